// SPDX-License-Identifier: Apache-2.0
#include "base/input_check.hpp"

#include <cmath>

#include <fmt/format.h>

#include "base/contract.hpp"

namespace fw {

void InputCheck::keep(const Result<double>& checked) {
  if (!checked && !fault_) fault_ = checked.error();
}

InputCheck& InputCheck::positive(double value, std::string_view field) {
  if (!(std::isfinite(value) && value > 0.0)) keep(require_positive(value, std::string(field).c_str()));
  return *this;
}

InputCheck& InputCheck::non_negative(double value, std::string_view field) {
  if (!(std::isfinite(value) && value >= 0.0)) keep(require_non_negative(value, std::string(field).c_str()));
  return *this;
}

InputCheck& InputCheck::finite(double value, std::string_view field) {
  if (!std::isfinite(value)) keep(require_finite(value, std::string(field).c_str()));
  return *this;
}

InputCheck& InputCheck::within(double value, const Interval& interval, std::string_view field) {
  finite(value, field);
  if (!fault_ && (value < interval.low || value > interval.high)) {
    fault_ = invalid(std::string(field), fmt::format("{:.9g}", value),
                     fmt::format("a number from {:.9g} to {:.9g}", interval.low, interval.high))
                 .value();
  }
  return *this;
}

InputCheck& InputCheck::that(bool holds, std::string_view field, std::string_view found, std::string_view expected,
                             std::string_view hint) {
  if (!holds && !fault_) {
    fault_ = invalid(std::string(field), std::string(found), std::string(expected), std::string(hint)).value();
  }
  return *this;
}

InputCheck& InputCheck::that(bool holds, std::string_view field, const Mismatch& mismatch) {
  return that(holds, field, mismatch.found, mismatch.expected, mismatch.hint);
}

tl::unexpected<Errors> InputCheck::fault() const {
  FW_EXPECTS(fault_.has_value());
  return tl::unexpected<Errors>(*fault_);
}

}  // namespace fw
