// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>
#include <string>
#include <utility>

#include "base/stated.hpp"

/// Numbers that no sheet states, with their spreads.
namespace fw::assess {

/// Assumed, no source: uniform or log-uniform between two ends; the value is the middle of its kind.
[[nodiscard]] inline Stated assumed_between(std::string id, SpreadKind kind, double low, double high) {
  const double middle = kind == SpreadKind::log_uniform ? std::sqrt(low * high) : 0.5 * (low + high);
  return {.value = middle,
          .spread = {.kind = kind, .low = low, .high = high},
          .source = SourceClass::assumed,
          .id = std::move(id)};
}

/// Typical of its kind, most likely `value`.
[[nodiscard]] inline Stated typical_of(std::string id, double low, double value, double high) {
  return {.value = value,
          .spread = {.kind = SpreadKind::triangular, .low = low, .high = high},
          .source = SourceClass::typical,
          .id = std::move(id)};
}

}  // namespace fw::assess
