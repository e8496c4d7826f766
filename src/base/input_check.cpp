// SPDX-License-Identifier: Apache-2.0
#include "base/input_check.hpp"

#include <cmath>

#include <fmt/format.h>

#include "base/contract.hpp"

namespace fw {

void InputCheck::keep(const Result<double>& checked) {
  if (!checked && !fault_) fault_ = checked.error();
}

InputCheck& InputCheck::positive(double value, const std::string& field) {
  keep(require_positive(value, field.c_str()));
  return *this;
}

InputCheck& InputCheck::non_negative(double value, const std::string& field) {
  keep(require_non_negative(value, field.c_str()));
  return *this;
}

InputCheck& InputCheck::finite(double value, const std::string& field) {
  keep(require_finite(value, field.c_str()));
  return *this;
}

InputCheck& InputCheck::within(double value, const Interval& interval, const std::string& field) {
  finite(value, field);
  if (!fault_ && (value < interval.low || value > interval.high)) {
    fault_ = invalid(field, fmt::format("{:.9g}", value),
                     fmt::format("a number from {:.9g} to {:.9g}", interval.low, interval.high))
                 .value();
  }
  return *this;
}

InputCheck& InputCheck::that(bool holds, const std::string& field, const std::string& found,
                             const std::string& expected, const std::string& hint) {
  if (!holds && !fault_) fault_ = invalid(field, found, expected, hint).value();
  return *this;
}

InputCheck& InputCheck::that(bool holds, const std::string& field, const Mismatch& mismatch) {
  return that(holds, field, mismatch.found, mismatch.expected, mismatch.hint);
}

tl::unexpected<Errors> InputCheck::fault() const {
  FW_EXPECTS(fault_.has_value());
  return tl::unexpected<Errors>(*fault_);
}

}  // namespace fw
