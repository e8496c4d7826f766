// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>

#include "base/required.hpp"
#include "base/result.hpp"
#include "fuel/liquid.hpp"

namespace fw::hydraulics {

/// Checks the inputs of one law in order and keeps the first fault, so that a bad input gives exactly one error.
class InputCheck {
 public:
  InputCheck& positive(double value, const char* field);
  InputCheck& non_negative(double value, const char* field);
  InputCheck& finite(double value, const char* field);
  /// Finite and low <= value <= high.
  InputCheck& within(double value, double low, double high, const char* field);
  /// Density and viscosity finite and positive; fields "liquid....".
  InputCheck& liquid(const fuel::Liquid& liquid);
  /// Any other condition between fields; `found` and `expected` are printed.
  InputCheck& that(bool holds, const char* field, const std::string& found, const std::string& expected,
                   const std::string& hint = {});

  [[nodiscard]] bool failed() const { return fault_.has_value(); }
  /// Precondition: failed().
  [[nodiscard]] tl::unexpected<Errors> fault() const;

 private:
  void keep(const Result<double>& checked);
  std::optional<Errors> fault_;
};

}  // namespace fw::hydraulics
