// SPDX-License-Identifier: Apache-2.0
#include "base/required.hpp"

#include <fmt/format.h>

namespace fw {

namespace {
std::string shown(double value) {
  return std::isnan(value) ? std::string("nothing (not a number)") : fmt::format("{:.9g}", value);
}
}  // namespace

Result<double> require_positive(double value, const char* field) {
  if (std::isfinite(value) && value > 0.0) return value;
  return invalid(field, shown(value), "a finite number above zero", "Enter the value");
}

Result<double> require_non_negative(double value, const char* field) {
  if (std::isfinite(value) && value >= 0.0) return value;
  return invalid(field, shown(value), "a finite number, zero or above", "Enter the value");
}

Result<double> require_finite(double value, const char* field) {
  if (std::isfinite(value)) return value;
  return invalid(field, shown(value), "a finite number", "Enter the value");
}

}  // namespace fw
