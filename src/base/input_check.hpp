// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <concepts>
#include <optional>
#include <string>
#include <string_view>

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
  InputCheck& positive(double value, std::string_view field);
  InputCheck& non_negative(double value, std::string_view field);
  InputCheck& finite(double value, std::string_view field);
  /// Finite and low <= value <= high.
  InputCheck& within(double value, const Interval& interval, std::string_view field);
  /// Any other condition; `found` and `expected` are printed.
  InputCheck& that(bool holds, std::string_view field, std::string_view found, std::string_view expected,
                   std::string_view hint = {});

  /// The same with its texts named.
  InputCheck& that(bool holds, std::string_view field, const Mismatch& mismatch);

  /// The same with texts that are made only where they are needed: for what is asked at every running point.
  template <std::invocable Make>
  InputCheck& that(bool holds, std::string_view field, const Make& mismatch) {
    return holds ? *this : that(false, field, mismatch());
  }

  [[nodiscard]] bool failed() const { return fault_.has_value(); }
  /// Precondition: failed().
  [[nodiscard]] tl::unexpected<Errors> fault() const;

 private:
  void keep(const Result<double>& checked);
  std::optional<Errors> fault_;
};

}  // namespace fw
