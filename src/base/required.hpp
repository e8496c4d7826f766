// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cmath>
#include <limits>
#include <string>

#include "base/result.hpp"

namespace fw {

/// Default of a field that has no sensible default: a forgotten initialiser is found by the check, not silently 0.
inline constexpr double required = std::numeric_limits<double>::quiet_NaN();

/// How far a model stands from the data behind it; reports must say so when not `fitted`.
enum class Range : std::uint8_t { fitted, extrapolated };

/// The wider of two statements.
[[nodiscard]] constexpr Range widest(Range a, Range b) {
  return a == Range::extrapolated || b == Range::extrapolated ? Range::extrapolated : Range::fitted;
}

/// Finite and > 0, else one error naming the field.
[[nodiscard]] Result<double> require_positive(double value, const char* field);
/// Finite and >= 0, else one error naming the field.
[[nodiscard]] Result<double> require_non_negative(double value, const char* field);
/// Finite, else one error naming the field.
[[nodiscard]] Result<double> require_finite(double value, const char* field);

}  // namespace fw
