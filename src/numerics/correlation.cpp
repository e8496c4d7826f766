// SPDX-License-Identifier: Apache-2.0
#include "numerics/correlation.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "base/contract.hpp"

namespace fw::numerics {

namespace {

bool all_finite(std::span<const double> values) {
  return std::ranges::all_of(values, [](double value) { return std::isfinite(value); });
}

double mean(std::span<const double> values) {
  return std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}

}  // namespace

std::vector<std::size_t> rising_order(std::span<const double> values) {
  FW_EXPECTS(all_finite(values));
  std::vector<std::size_t> order(values.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::ranges::sort(
      order, [&](std::size_t a, std::size_t b) { return values[a] != values[b] ? values[a] < values[b] : a < b; });
  return order;
}

std::vector<double> ranks(std::span<const double> values, std::span<const std::size_t> order) {
  FW_EXPECTS(values.size() == order.size());
  std::vector<double> result(values.size());
  for (std::size_t first = 0; first < order.size();) {
    std::size_t last = first;
    while (last + 1 < order.size() && values[order[last + 1]] == values[order[first]]) ++last;
    const double shared = 0.5 * static_cast<double>(first + last) + 1.0;
    for (; first <= last; ++first) result[order[first]] = shared;
  }
  return result;
}

std::vector<double> ranks(std::span<const double> values) { return ranks(values, rising_order(values)); }

double pearson(std::span<const double> x, std::span<const double> y) {
  FW_EXPECTS(x.size() == y.size() && x.size() >= 2 && all_finite(x) && all_finite(y));
  const double mean_x = mean(x);
  const double mean_y = mean(y);
  double xx = 0.0;
  double yy = 0.0;
  double xy = 0.0;
  for (std::size_t i = 0; i < x.size(); ++i) {
    xx += (x[i] - mean_x) * (x[i] - mean_x);
    yy += (y[i] - mean_y) * (y[i] - mean_y);
    xy += (x[i] - mean_x) * (y[i] - mean_y);
  }
  const double scale = std::sqrt(xx) * std::sqrt(yy);
  return scale > 0.0 ? std::clamp(xy / scale, -1.0, 1.0) : 0.0;
}

double spearman(std::span<const double> x, std::span<const double> y) {
  FW_EXPECTS(x.size() == y.size() && x.size() >= 2);
  return pearson(ranks(x), ranks(y));
}

}  // namespace fw::numerics
