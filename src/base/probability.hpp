// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "base/result.hpp"

namespace fw {

/// A chance between 0 and 1, proved when it is made.
class Probability {
 public:
  constexpr Probability() = default;  ///< impossible
  /// Errors: invalid_input `field` when not a number from 0 to 1.
  [[nodiscard]] static Result<Probability> of(double value, const std::string& field = "probability");
  [[nodiscard]] constexpr double value() const { return value_; }

  friend constexpr auto operator<=>(const Probability&, const Probability&) = default;

 private:
  constexpr explicit Probability(double value) : value_(value) {}
  double value_ = 0.0;
};

/// As papers for owners say it: "8 in 100"; "fewer than 1 in 100", "more than 99 in 100".
[[nodiscard]] std::string in_words(Probability probability);

}  // namespace fw
