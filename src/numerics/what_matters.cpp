// SPDX-License-Identifier: Apache-2.0
#include "numerics/what_matters.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "base/contract.hpp"
#include "numerics/correlation.hpp"
#include "numerics/quantile.hpp"

namespace fw::numerics {

namespace {

bool all_finite(std::span<const double> values) {
  return std::ranges::all_of(values, [](double value) { return std::isfinite(value); });
}

double sum_of_squares(std::span<const double> values) {
  const double mean = std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
  double squares = 0.0;
  for (const double value : values) squares += (value - mean) * (value - mean);
  return squares;
}

struct Slice {
  std::span<const std::size_t> members;
  std::span<const double> rank;
  std::span<const double> outcome;
};

// Writes what a straight line in the rank leaves of the outcome; returns the number of parameters of the line.
int take_off_line(const Slice& slice, std::span<double> left) {
  const auto n = static_cast<double>(slice.members.size());
  double mean_rank = 0.0;
  double mean_outcome = 0.0;
  for (const std::size_t i : slice.members) {
    mean_rank += slice.rank[i] / n;
    mean_outcome += slice.outcome[i] / n;
  }
  double squares = 0.0;
  double products = 0.0;
  for (const std::size_t i : slice.members) {
    squares += (slice.rank[i] - mean_rank) * (slice.rank[i] - mean_rank);
    products += (slice.rank[i] - mean_rank) * (slice.outcome[i] - mean_outcome);
  }
  // Ranks differ by at least a half when they differ at all.
  const bool varies = squares >= 0.125;
  const double slope = varies ? products / squares : 0.0;
  for (const std::size_t i : slice.members) {
    left[i] = slice.outcome[i] - mean_outcome - slope * (slice.rank[i] - mean_rank);
  }
  return varies ? 2 : 1;
}

/// The outcome, and what of it every input is held against.
struct Outcome {
  std::span<const double> values;
  std::vector<double> ranks;
  double total = 0.0;  ///< sum of squares about the mean
  double width = 0.0;  ///< of its band
};

Influence influence(const Outcome& told, std::span<const double> input) {
  const std::span<const double> outcome = told.values;
  const std::size_t samples = outcome.size();
  const auto slices = static_cast<std::size_t>(std::lround(std::cbrt(static_cast<double>(samples))));
  const std::vector<std::size_t> order = rising_order(input);
  const std::vector<double> rank = ranks(input, order);
  std::vector<double> left(samples);
  int parameters = 0;
  for (std::size_t slice = 0; slice < slices; ++slice) {
    const std::size_t first = slice * samples / slices;
    const std::size_t last = (slice + 1) * samples / slices;
    parameters += take_off_line(
        {.members = std::span(order).subspan(first, last - first), .rank = rank, .outcome = outcome}, left);
  }
  const auto n = static_cast<double>(samples);
  const auto p = static_cast<double>(parameters);
  double unexplained = 0.0;
  for (const double value : left) unexplained += value * value;
  const bool varies =
      rank.front() != rank.back() || std::ranges::adjacent_find(rank, std::not_equal_to<>()) != rank.end();
  if (!varies || !(told.total > 0.0)) {
    return {.first_order = 0.0, .noise = 0.0, .direction = 0.0, .width_if_known = told.width};
  }
  const double scale = std::sqrt(n / (n - p));
  for (double& value : left) value *= scale;
  const Band rest = band_90_in_place(left);
  return {.first_order = 1.0 - unexplained / (n - p) * (n - 1.0) / told.total,
          .noise = std::sqrt(2.0 * (p - 1.0) / ((n - p) * (n + 1.0))),
          .direction = pearson(rank, told.ranks),
          .width_if_known = std::min(told.width, rest.high - rest.low)};
}

}  // namespace

WhatMatters what_matters(std::span<const double> outcome, std::span<const std::span<const double>> inputs) {
  FW_EXPECTS(outcome.size() >= fewest_samples_to_rank && all_finite(outcome));
  WhatMatters result;
  std::vector<double> scratch(outcome.begin(), outcome.end());
  result.band = band_90_in_place(scratch);
  const Outcome told{
      .values = outcome, .ranks = ranks(outcome), .total = sum_of_squares(outcome), .width = result.width()};
  for (const std::span<const double> input : inputs) {
    FW_EXPECTS(input.size() == outcome.size() && all_finite(input));
    result.inputs.push_back(influence(told, input));
  }
  result.order.resize(inputs.size());
  std::iota(result.order.begin(), result.order.end(), std::size_t{0});
  std::ranges::stable_sort(result.order, [&](std::size_t a, std::size_t b) {
    return result.inputs[a].first_order > result.inputs[b].first_order;
  });
  return result;
}

}  // namespace fw::numerics
