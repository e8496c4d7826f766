// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <string_view>

#include "base/result.hpp"

namespace fw {

/// A currency of ISO 4217, proved when it is made.
class Currency {
 public:
  /// Errors: invalid_input `field` when `code` is not an active code in capitals.
  [[nodiscard]] static Result<Currency> of(std::string_view code, const std::string& field = "currency");
  [[nodiscard]] std::string_view code() const { return {code_.data(), code_.size()}; }
  /// Digits behind the point: 2 for most, 0, 3 or 4.
  [[nodiscard]] int minor_digits() const { return minor_digits_; }
  /// Minor units of one unit: 10^minor_digits.
  [[nodiscard]] std::int64_t minor_per_unit() const;

  friend bool operator==(const Currency&, const Currency&) = default;

 private:
  std::array<char, 3> code_{'X', 'X', 'X'};
  int minor_digits_ = 2;
};

/// An amount in whole minor units (cents) of one currency. Never a binary fraction.
struct Money {
  std::int64_t minor = 0;
  Currency currency;

  friend bool operator==(const Money&, const Money&) = default;
};

/// "2899.99 USD", "-12 EUR". Errors: invalid_input `field`: no currency, not an amount, more digits than the currency
/// has, too large.
[[nodiscard]] Result<Money> read_money(std::string_view text, const std::string& field = "money");
/// "2,899.99 USD".
[[nodiscard]] std::string to_text(const Money& money);

/// Sum. Errors: conflict `money` of different currencies; too_large.
[[nodiscard]] Result<Money> sum(const Money& a, const Money& b);

/// A fraction of integers: rates and quantities (14.5 h = 145/10).
struct Fraction {
  std::int64_t numerator = 0;
  std::int64_t denominator = 1;  ///< > 0
};
/// amount x numerator/denominator, half a minor unit rounded away from zero. Errors: too_large; invalid_input
/// `fraction.denominator`. Check: 165.00 x 145/10 = 2392.50; 1.005 -> 1.01.
[[nodiscard]] Result<Money> times(const Money& money, const Fraction& fraction);

}  // namespace fw
