// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>

#include "numerics/draw.hpp"

/// How sure a counted share is. Theory: docs/theory/numerics.md, Proportions.
namespace fw::numerics {

/// `events` of `trials` independent trials.
struct Count {
  std::size_t events = 0;
  std::size_t trials = 0;  ///< at least 1
};

/// One-sided upper bound of the chance [-]: the truth lies below it with at least this confidence.
///
///   Clopper-Pearson: the p with P(at most k of n | p) = 1 - confidence, the Beta(k + 1, n - k) quantile at
///   `confidence`; 1 when all n happened. For k = 0 it is 1 - (1 - confidence)^(1/n).
///
/// Source: C. J. Clopper, E. S. Pearson, Biometrika 26 (1934) 404-413. Never too small: the true confidence is at
/// least the stated one. Preconditions: events <= trials, trials >= 1, 0 < confidence < 1.
/// Check: 0 of 2000, 0.95 -> 0.0014968; 0 of 12, 0.975 -> 0.2646484694.
[[nodiscard]] double upper_bound(const Count& count, double confidence = 0.95);

/// One-sided lower bound of the chance [-], likewise: the Beta(k, n - k + 1) quantile at 1 - confidence; 0 when none
/// happened.
[[nodiscard]] double lower_bound(const Count& count, double confidence = 0.95);

/// Two-sided Clopper-Pearson interval of the chance [-], equal tails. Check: 3 of 20, 0.95 -> 0.03207093719 to
/// 0.3789268265.
[[nodiscard]] Band clopper_pearson(const Count& count, double confidence = 0.95);

/// Two-sided score interval of the chance [-]: right on average, shorter than Clopper-Pearson.
///
///   (p + z^2/2n +/- z sqrt(p (1 - p)/n + z^2/4n^2)) / (1 + z^2/n),   p = k/n
///
/// Source: E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209-212. Check: 3 of 20, 0.95 -> 0.0523687459 to 0.3604188647.
[[nodiscard]] Band wilson(const Count& count, double confidence = 0.95);

}  // namespace fw::numerics
