// SPDX-License-Identifier: Apache-2.0
#include "numerics/quantile.hpp"

#include <algorithm>
#include <cmath>

#include "base/contract.hpp"
#include "numerics/distribution.hpp"

namespace fw::numerics {

namespace {

bool all_finite(std::span<const double> values) {
  return std::ranges::all_of(values, [](double value) { return std::isfinite(value); });
}

struct Place {
  std::size_t below = 0;
  double fraction = 0.0;
};

Place place_of(std::size_t samples, double p) {
  const double h = static_cast<double>(samples - 1) * p;
  const double below = std::floor(h);
  return {.below = static_cast<std::size_t>(below), .fraction = h - below};
}

// P(K <= k) for K binomial(n, p), through the incomplete beta function.
double binomial_cdf(std::size_t k, std::size_t n, double p) {
  if (k >= n) return 1.0;
  return beta_cdf(1.0 - p, {.a = static_cast<double>(n - k), .b = static_cast<double>(k) + 1.0});
}

// The smallest k with P(K <= k) >= u, by bisection.
std::size_t binomial_quantile(double u, std::size_t n, double p) {
  std::size_t low = 0;
  std::size_t high = n;
  while (low < high) {
    const std::size_t middle = low + (high - low) / 2;
    if (binomial_cdf(middle, n, p) >= u) {
      high = middle;
    } else {
      low = middle + 1;
    }
  }
  return low;
}

}  // namespace

double quantile_of_sorted(std::span<const double> sorted, double p) {
  FW_EXPECTS(!sorted.empty() && std::isfinite(p) && p >= 0.0 && p <= 1.0);
  FW_EXPECTS(all_finite(sorted) && std::ranges::is_sorted(sorted));
  const Place place = place_of(sorted.size(), p);
  const double below = sorted[place.below];
  if (place.fraction == 0.0) return below;
  return below + place.fraction * (sorted[place.below + 1] - below);
}

double quantile_in_place(std::span<double> samples, double p) {
  FW_EXPECTS(!samples.empty() && std::isfinite(p) && p >= 0.0 && p <= 1.0);
  FW_EXPECTS(all_finite(samples));
  const Place place = place_of(samples.size(), p);
  const auto at = samples.begin() + static_cast<std::ptrdiff_t>(place.below);
  std::nth_element(samples.begin(), at, samples.end());
  if (place.fraction == 0.0) return *at;
  const double above = *std::min_element(at + 1, samples.end());
  return *at + place.fraction * (above - *at);
}

Band band_90_in_place(std::span<double> samples) {
  return {.low = quantile_in_place(samples, 0.05), .high = quantile_in_place(samples, 0.95)};
}

RankInterval quantile_ranks(std::size_t samples, double p, double confidence) {
  FW_EXPECTS(samples >= 1 && std::isfinite(p) && p > 0.0 && p < 1.0);
  FW_EXPECTS(std::isfinite(confidence) && confidence > 0.0 && confidence < 1.0);
  RankInterval interval;
  interval.low = binomial_quantile(0.5 * (1.0 - confidence), samples, p);
  interval.high = binomial_quantile(0.5 * (1.0 + confidence), samples, p) + 1;
  interval.coverage = binomial_cdf(interval.high - 1, samples, p) -
                      (interval.low == 0 ? 0.0 : binomial_cdf(interval.low - 1, samples, p));
  return interval;
}

}  // namespace fw::numerics
