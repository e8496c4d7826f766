// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/input_check.hpp"

#include <cmath>

#include <fmt/format.h>

#include "base/contract.hpp"

namespace fw::hydraulics {

void InputCheck::keep(const Result<double>& checked) {
  if (!checked && !fault_) fault_ = checked.error();
}

InputCheck& InputCheck::positive(double value, const char* field) {
  keep(require_positive(value, field));
  return *this;
}

InputCheck& InputCheck::non_negative(double value, const char* field) {
  keep(require_non_negative(value, field));
  return *this;
}

InputCheck& InputCheck::finite(double value, const char* field) {
  keep(require_finite(value, field));
  return *this;
}

InputCheck& InputCheck::within(double value, double low, double high, const char* field) {
  finite(value, field);
  if (!fault_ && (value < low || value > high)) {
    fault_ =
        invalid(field, fmt::format("{:.9g}", value), fmt::format("a number from {:.9g} to {:.9g}", low, high)).value();
  }
  return *this;
}

InputCheck& InputCheck::liquid(const fuel::Liquid& liquid) {
  return positive(liquid.density_kg_per_m3, "liquid.density_kg_per_m3")
      .positive(liquid.dynamic_viscosity_Pa_s, "liquid.dynamic_viscosity_Pa_s");
}

InputCheck& InputCheck::that(bool holds, const char* field, const std::string& found, const std::string& expected,
                             const std::string& hint) {
  if (!holds && !fault_) fault_ = invalid(field, found, expected, hint).value();
  return *this;
}

tl::unexpected<Errors> InputCheck::fault() const {
  FW_EXPECTS(fault_.has_value());
  return tl::unexpected<Errors>(*fault_);
}

}  // namespace fw::hydraulics
