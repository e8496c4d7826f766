// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace fw::numerics {

/// Places of the values in rising order, equal ones in the order they stand in. Precondition: finite.
[[nodiscard]] std::vector<std::size_t> rising_order(std::span<const double> values);

/// Ranks from 1 of values whose rising order is known; equal values share the mean of their ranks.
[[nodiscard]] std::vector<double> ranks(std::span<const double> values, std::span<const std::size_t> order);

/// Ranks from 1 in rising order; equal values share the mean of their ranks. Precondition: finite.
[[nodiscard]] std::vector<double> ranks(std::span<const double> values);

/// Product-moment correlation [-], in [-1, 1]; 0 when one of the two does not vary.
/// Preconditions: finite, of the same length >= 2.
[[nodiscard]] double pearson(std::span<const double> x, std::span<const double> y);

/// Rank correlation [-]: pearson of the ranks, so it sees any rising or falling relation.
/// Source: C. Spearman, Am. J. Psychol. 15 (1904) 72-101. Preconditions as for pearson.
/// Check: ranks 1..5 against 2 1 4 3 5 -> 0.8, that is 1 - 6 sum d^2 / (n (n^2 - 1)).
[[nodiscard]] double spearman(std::span<const double> x, std::span<const double> y);

}  // namespace fw::numerics
