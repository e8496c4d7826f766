// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>

#include "numerics/function_ref.hpp"
#include "numerics/value_and_slope.hpp"

/// Roots of one equation in one unknown, always within a bracket. Theory: docs/theory/numerics.md, Roots.
namespace fw::numerics {

enum class RootReason : std::uint8_t {
  converged,      ///< the residual or the bracket is within the tolerance
  no_bracket,     ///< the residuals at the two ends have the same sign
  not_finite,     ///< the function returned a NaN or an infinity
  out_of_budget,  ///< `iterations` calls did not suffice
};

struct Bracket {
  double low;
  double high;
};

struct RootOptions {
  double x_tolerance = 0.0;         ///< absolute, unit of x; 4 epsilon |x| is added, so 0 asks for all digits
  double residual_tolerance = 0.0;  ///< absolute, unit of the function; 0 asks for the bracket alone
  int iterations = 200;             ///< most calls of the function; bisection alone needs about 60 per factor 1e16
};

/// Where the search ended. Not converging is data: `x` is then the best point seen.
struct Root {
  double x = 0.0;
  double residual = 0.0;  ///< f(x)
  int iterations = 0;     ///< calls of the function
  RootReason reason = RootReason::out_of_budget;
  Bracket bracket{};  ///< encloses the root when the function is continuous

  [[nodiscard]] bool converged() const { return reason == RootReason::converged; }
};

/// Brent's method: inverse quadratic interpolation and secants, bisection whenever they do not shrink the bracket.
///
/// For a continuous function with a sign change; at a jump it ends at the jump. About 10 calls for a smooth function.
/// Source: R. P. Brent, Algorithms for Minimization without Derivatives (1973), chapter 4, procedure zero.
/// Preconditions: finite bracket, low < high, tolerances >= 0, iterations >= 2. Check: friction factor of Colebrook at
/// Re 1e5, roughness 1e-4 -> 0.018513866077.
[[nodiscard]] Root brent(FunctionRef<double(double)> function, Bracket bracket, const RootOptions& options = {});

/// Newton's method kept inside its bracket: a step that leaves it, a zero or wild slope, or a step that does not halve
/// the step before the last is replaced by bisection.
///
/// Converges where Newton alone cycles or runs away; second order near a simple root. Source: the safeguard of Brent
/// (1973) applied to Newton's step. Preconditions as for brent; `start` inside the bracket.
[[nodiscard]] Root newton(FunctionRef<ValueAndSlope(double)> function, Bracket bracket, double start,
                          const RootOptions& options = {});

}  // namespace fw::numerics
