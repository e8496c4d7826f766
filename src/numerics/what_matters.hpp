// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <span>
#include <vector>

#include "base/required.hpp"
#include "numerics/draw.hpp"

/// Which inputs a sampled outcome hangs on, from the samples that exist anyway; no further call of the model.
/// For shares with interactions see sobol_indices.hpp. Theory: docs/theory/numerics.md, What matters.
namespace fw::numerics {

/// What one input does to the outcome.
struct Influence {
  double first_order = required;     ///< share of the outcome's variance that this input alone explains [-]; its
                                     ///< expectation is 0 without effect, so noise may make it slightly negative
  double noise = required;           ///< standard deviation of first_order for an input without effect [-]
  double direction = required;       ///< rank correlation with the outcome, > 0: rises with the input [-]
  double width_if_known = required;  ///< width of the outcome's 90 % band if this input were known exactly, on average
                                     ///< over its values; unit of the outcome

  /// Beyond what chance does: more than three times the noise.
  [[nodiscard]] bool matters() const { return first_order > 3.0 * noise; }
};

struct WhatMatters {
  Band band;                       ///< 5 % and 95 % of the outcome
  std::vector<Influence> inputs;   ///< in the order of the inputs
  std::vector<std::size_t> order;  ///< indices of inputs, the largest first-order share first

  [[nodiscard]] double width() const { return band.high - band.low; }
};

/// Fewest samples from which an influence is computed.
inline constexpr std::size_t fewest_samples_to_rank = 32;

/// Ranks the inputs of a sampled outcome by the share of its variance that each explains alone.
///
///   S = 1 - [sum e^2 / (n - p)] / [sum (y - mean)^2 / (n - 1)]
///
/// e: what is left of the outcome y after a straight line in the rank of the input within each of K slices of equally
/// many samples, K = n^(1/3) rounded; p: number of fitted parameters (two per slice, one where the input does not
/// vary). The width if known is that of the 5 % to 95 % quantiles of e sqrt(n / (n - p)), never above the band's own
/// width. noise: sqrt(2 (p - 1) / ((n - p)(n + 1))), from the beta distribution of R^2 without effect.
///
/// Independent of any monotone change of an input's scale. Sees curved and up-and-down relations; an input that acts
/// only together with another (first order 0) is not seen. Deterministic: ties are ordered by sample number.
///
/// Source: first-order index from given data, E. Plischke, E. Borgonovo, C. L. Smith, Eur. J. Oper. Res. 226 (2013)
/// 536-550; local straight lines, S. Da Veiga, F. Wahl, F. Gamboa, Technometrics 51 (2009) 452-463; from memory. The
/// number of slices is a judgement, no source. Validity: independent inputs; correlated inputs share what they explain.
/// Preconditions: n >= fewest_samples_to_rank, all spans of the same length, finite.
/// Check: Ishigami function, 2000 samples -> 0.314, 0.442, 0 within the noise of the estimate.
[[nodiscard]] WhatMatters what_matters(std::span<const double> outcome,
                                       std::span<const std::span<const double>> inputs);

}  // namespace fw::numerics
