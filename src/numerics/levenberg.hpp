// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "numerics/dense.hpp"
#include "numerics/function_ref.hpp"
#include "numerics/verdict.hpp"

/// Nonlinear least squares. Theory: docs/theory/numerics.md, Nonlinear least squares.
namespace fw::numerics {

/// Writes the residuals (model minus observation, divided by its standard deviation where that is known).
using ResidualFunction = FunctionRef<Verdict(std::span<const double> parameters, std::span<double> residuals)>;
/// Writes d(residual row)/d(parameter column) into a matrix of that size.
using JacobianFunction = FunctionRef<Verdict(std::span<const double> parameters, Matrix& jacobian)>;

struct FitOptions {
  double step_tolerance = 1e-12;  ///< ends when the scaled step is shorter than this part of the scaled parameters
  double angle_tolerance = 1e-5;  ///< largest |cosine| between residuals and a column of the Jacobian at the end
  double first_radius = 1.0;      ///< first trust radius over the scaled length of the start (More: 0.1 to 100)
  int evaluations = 2000;         ///< most evaluations of the residuals, those of a numerical Jacobian left out
};

enum class FitReason : std::uint8_t {
  converged,      ///< the step is short and the residuals stand at right angles to the Jacobian
  stalled,        ///< the step is short but the angle is not right: rounding noise, or a kink in the model
  out_of_budget,  ///< `evaluations` did not suffice
  stopped,        ///< a callback said stop
  not_finite,     ///< no finite residuals or Jacobian at the start
};

/// Where the fit ended. Not converging is data: the parameters are the best seen.
struct Fit {
  std::vector<double> parameters;
  double residual_ss = 0.0;  ///< sum of squared residuals
  double angle = 1.0;        ///< largest |cosine| between residuals and a column of the Jacobian [-]
  std::size_t freedom = 0;   ///< residuals - parameters
  int evaluations = 0;       ///< of the residuals, those of a numerical Jacobian left out
  FitReason reason = FitReason::out_of_budget;
  /// (J^T J)^-1, without the residual variance; nullopt when a parameter is not determined (condition above 1e10). For
  /// unknown noise multiply by residual_ss / freedom, for residuals divided by their known deviations leave it.
  std::optional<Matrix> unscaled_covariance;
  double condition = 0.0;  ///< of the Jacobian with columns scaled to length 1 [-]; 0 when not determined

  [[nodiscard]] bool converged() const { return reason == FitReason::converged; }
  /// Standard deviation of a parameter for unknown noise; nullopt when not determined or freedom is 0.
  [[nodiscard]] std::optional<double> standard_deviation(std::size_t parameter) const;
};

/// Parameters with the least sum of squared residuals near the start.
///
///   minimise |r + J p| subject to |D p| <= radius, D the largest column norms of J seen so far
///
/// Levenberg-Marquardt with a trust region: the step solves (J^T J + lambda D^2) p = -J^T r through the QR factors of
/// J, never through J^T J. A residual function that answers retry_smaller_step, or returns a number that is not finite
/// (or above 1e150), shortens the step. Finds the minimum in whose valley the start lies: use several starts.
///
/// Source: J. J. More, The Levenberg-Marquardt algorithm: implementation and theory, Lecture Notes in Math. 630 (1978)
/// 105-116. Preconditions: residuals >= parameters >= 1, finite start, tolerances > 0.
/// Check: NIST StRD nonlinear regression, at least 6 certified digits from start 2 (levenberg_test.cpp).
[[nodiscard]] Fit levenberg(ResidualFunction residual, JacobianFunction jacobian, std::span<const double> start,
                            std::size_t residuals, const FitOptions& options = {});

/// The same with a Jacobian by central differences, step 6e-6 of the parameter (of 1 where it is 0): about 10 digits
/// of the slope, 2 calls of the residuals for each parameter.
[[nodiscard]] Fit levenberg(ResidualFunction residual, std::span<const double> start, std::size_t residuals,
                            const FitOptions& options = {});

}  // namespace fw::numerics
