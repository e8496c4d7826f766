// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <span>

#include "numerics/draw.hpp"

/// Quantiles of samples. Theory: docs/theory/numerics.md, Quantiles of samples.
namespace fw::numerics {

/// Quantile of sorted samples at probability p, in the unit of the samples.
///
///   h = (n - 1) p,  k = floor(h),  x[k] + (h - k) (x[k+1] - x[k])        (x[0] smallest)
///
/// Type 7 of R. J. Hyndman, Y. Fan, Am. Stat. 50 (1996) 361-365: p = 0 is the smallest, p = 1 the largest sample.
/// Preconditions: not empty, rising, finite, 0 <= p <= 1. Check: {1, 2, 4, 8}, p 0.9 -> 6.8.
[[nodiscard]] double quantile_of_sorted(std::span<const double> sorted, double p);

/// The same of unsorted samples, which it reorders; allocates nothing.
[[nodiscard]] double quantile_in_place(std::span<double> samples, double p);

/// 5 % and 95 % quantile of unsorted samples, which it reorders; allocates nothing.
[[nodiscard]] Band band_90_in_place(std::span<double> samples);

/// Which samples bound a quantile of the distribution, whatever the distribution is.
struct RankInterval {
  std::size_t low = 0;    ///< rank from 1 in rising order; 0: no lower bound with so few samples
  std::size_t high = 0;   ///< rank from 1; samples + 1: no upper bound with so few samples
  double coverage = 0.0;  ///< probability that the two samples enclose the quantile [-], at least the one asked for
};

/// Ranks of the samples that enclose the quantile at probability p with at least this confidence, equal tails.
///
///   low = the smallest l with P(K <= l) >= (1 - confidence)/2,  high = 1 + the smallest u with P(K <= u) >=
///   (1 + confidence)/2,  K binomial(samples, p);  coverage = P(low <= K < high)
///
/// Source: H. A. David, H. N. Nagaraja, Order Statistics, 3rd ed. (2003), section 7.1, from memory.
/// Preconditions: samples >= 1, 0 < p < 1, 0 < confidence < 1.
/// Check: 1000 samples, p 0.9, 0.95 -> ranks 881 and 919, coverage 0.9549.
[[nodiscard]] RankInterval quantile_ranks(std::size_t samples, double p, double confidence = 0.95);

}  // namespace fw::numerics
