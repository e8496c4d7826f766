// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "base/required.hpp"
#include "base/result.hpp"
#include "base/run.hpp"
#include "numerics/function_ref.hpp"

/// Shares of a model's variance that its inputs cause, alone and together with others, by calling the model at chosen
/// points. For samples that already exist see what_matters.hpp. Theory: docs/theory/numerics.md, Sobol indices.
namespace fw::numerics {

/// Most inputs: points A and B take two dimensions for each.
inline constexpr std::size_t sobol_inputs = 20;

struct SobolOptions {
  std::uint32_t points = 1024;  ///< per shift, a power of two; the evenness of Sobol points needs one
  std::uint32_t shifts = 8;     ///< random shifts, at least 2: their scatter gives the standard errors
  std::uint64_t seed = 1;       ///< of the shifts
};

struct SobolIndex {
  double first = required;        ///< share caused by this input alone [-]
  double first_error = required;  ///< standard error over the shifts [-]
  double total = required;        ///< share that would remain if all other inputs were known [-]
  double total_error = required;  ///< standard error over the shifts [-]
};

struct SobolIndices {
  double mean = required;
  double variance = required;      ///< 0: the model is constant, then all indices are 0
  std::vector<SobolIndex> inputs;  ///< in the order of the inputs
  std::size_t calls = 0;           ///< of the model: points x shifts x (inputs + 2)
};

/// First-order and total indices of a model of independent inputs.
///
///   A, B: points of the first and second half of the dimensions; AB_i: A with coordinate i of B
///   S_i  = mean((f(B) - m) (f(AB_i) - f(A))) / V          T_i = mean((f(A) - f(AB_i))^2) / 2V
///   m, V: mean and variance (divided by 2N) of f over A and B
///
/// The model is called with one probability in (0, 1) for each input and applies the inverse distributions itself
/// (at_probability); it is called from several threads at the same time. Results do not depend on their number.
///
/// Source: A. Saltelli et al., Comput. Phys. Commun. 181 (2010) 259-270 (S); M. J. W. Jansen, Comput. Phys. Commun. 117
/// (1999) 35-43 (T). Taking m off leaves the expectation of S and removes its noise where |m| >> sqrt(V).
/// Validity: independent inputs; a first-order index near 0 may come out slightly negative.
/// Errors: outside_model when the model returns a NaN or an infinity, cancelled.
/// Preconditions: 1 <= inputs <= sobol_inputs, options as commented.
/// Check: Ishigami function, a 7, b 0.1 -> S 0.3139 0.4424 0, T 0.5576 0.4424 0.2437.
[[nodiscard]] Result<SobolIndices> sobol_indices(FunctionRef<double(std::span<const double>)> model, std::size_t inputs,
                                                 const SobolOptions& options, const Run& run);

struct SobolShares {
  double first = 0.0;
  double total = 0.0;
};

/// The estimators alone, on values of one set of points: f(A), f(B) and f(AB_i), all of the same length >= 2.
[[nodiscard]] SobolShares sobol_shares(std::span<const double> at_a, std::span<const double> at_b,
                                       std::span<const double> at_ab);

}  // namespace fw::numerics
