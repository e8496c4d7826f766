// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>

#include "base/required.hpp"
#include "base/result.hpp"

namespace fw {

/// Closed interval.
struct Interval {
  double low = required;
  double high = required;

  friend bool operator==(const Interval&, const Interval&) = default;
};

/// What stands there, what would be right, and how to mend it.
struct Mismatch {
  std::string found;
  std::string expected;
  std::string hint = {};

  friend bool operator==(const Mismatch&, const Mismatch&) = default;
};

/// Checks the inputs of one function in order and keeps the first fault, so that a bad input gives exactly one error.
class InputCheck {
 public:
  InputCheck& positive(double value, const std::string& field);
  InputCheck& non_negative(double value, const std::string& field);
  InputCheck& finite(double value, const std::string& field);
  /// Finite and low <= value <= high.
  InputCheck& within(double value, const Interval& interval, const std::string& field);
  /// Any other condition; `found` and `expected` are printed.
  InputCheck& that(bool holds, const std::string& field, const std::string& found, const std::string& expected,
                   const std::string& hint = {});

  /// The same with its texts named.
  InputCheck& that(bool holds, const std::string& field, const Mismatch& mismatch);

  [[nodiscard]] bool failed() const { return fault_.has_value(); }
  /// Precondition: failed().
  [[nodiscard]] tl::unexpected<Errors> fault() const;

 private:
  void keep(const Result<double>& checked);
  std::optional<Errors> fault_;
};

}  // namespace fw
