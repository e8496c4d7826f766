// SPDX-License-Identifier: Apache-2.0
#include "base/probability.hpp"

#include <cmath>

#include <fmt/format.h>

namespace fw {

Result<Probability> Probability::of(double value, const std::string& field) {
  if (!std::isfinite(value) || value < 0.0 || value > 1.0) {
    return invalid(field, fmt::format("{}", value), "a chance from 0 to 1");
  }
  return Probability(value);
}

std::string in_words(Probability probability) {
  const double hundred = 100.0 * probability.value();
  if (probability.value() <= 0.0) return "0 in 100";
  if (hundred < 1.0) return "fewer than 1 in 100";
  if (probability.value() >= 1.0) return "100 in 100";
  if (hundred > 99.0) return "more than 99 in 100";
  return fmt::format("{:.0f} in 100", hundred);
}

}  // namespace fw
