// SPDX-License-Identifier: Apache-2.0
#include "numerics/proportion.hpp"

#include <algorithm>
#include <cmath>

#include "base/contract.hpp"
#include "numerics/distribution.hpp"

namespace fw::numerics {

namespace {

void expect_sound(const Count& count, double confidence) {
  FW_EXPECTS(count.trials >= 1 && count.events <= count.trials);
  FW_EXPECTS(std::isfinite(confidence) && confidence > 0.0 && confidence < 1.0);
}

}  // namespace

double upper_bound(const Count& count, double confidence) {
  expect_sound(count, confidence);
  if (count.events == count.trials) return 1.0;
  return beta_quantile(confidence, {.a = static_cast<double>(count.events) + 1.0,
                                    .b = static_cast<double>(count.trials - count.events)});
}

double lower_bound(const Count& count, double confidence) {
  expect_sound(count, confidence);
  if (count.events == 0) return 0.0;
  return beta_quantile(1.0 - confidence, {.a = static_cast<double>(count.events),
                                          .b = static_cast<double>(count.trials - count.events) + 1.0});
}

Band clopper_pearson(const Count& count, double confidence) {
  expect_sound(count, confidence);
  const double one_sided = 0.5 * (1.0 + confidence);
  return {.low = lower_bound(count, one_sided), .high = upper_bound(count, one_sided)};
}

Band wilson(const Count& count, double confidence) {
  expect_sound(count, confidence);
  const auto n = static_cast<double>(count.trials);
  const double p = static_cast<double>(count.events) / n;
  const double z = standard_normal_quantile(0.5 * (1.0 + confidence));
  const double middle = p + z * z / (2.0 * n);
  const double half = z * std::sqrt(p * (1.0 - p) / n + z * z / (4.0 * n * n));
  const double scale = 1.0 + z * z / n;
  // At 0 or n events one end is exactly 0 or 1; rounding must not carry it outside.
  return {.low = count.events == 0 ? 0.0 : std::max(0.0, (middle - half) / scale),
          .high = count.events == count.trials ? 1.0 : std::min(1.0, (middle + half) / scale)};
}

}  // namespace fw::numerics
