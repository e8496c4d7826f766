// SPDX-License-Identifier: Apache-2.0
#include "base/money.hpp"

#include <algorithm>
#include <limits>

#include <fmt/format.h>

namespace fw {
namespace {

struct Known {
  std::string_view code;
  int minor_digits;
};
// Active codes of ISO 4217 with minor units (list of the maintenance agency, February 2026).
constexpr std::array<Known, 165> known{
    {{"AED", 2}, {"AFN", 2}, {"ALL", 2}, {"AMD", 2}, {"AOA", 2}, {"ARS", 2}, {"AUD", 2}, {"AWG", 2}, {"AZN", 2},
     {"BAM", 2}, {"BBD", 2}, {"BDT", 2}, {"BHD", 3}, {"BIF", 0}, {"BMD", 2}, {"BND", 2}, {"BOB", 2}, {"BOV", 2},
     {"BRL", 2}, {"BSD", 2}, {"BTN", 2}, {"BWP", 2}, {"BYN", 2}, {"BZD", 2}, {"CAD", 2}, {"CDF", 2}, {"CHE", 2},
     {"CHF", 2}, {"CHW", 2}, {"CLF", 4}, {"CLP", 0}, {"CNY", 2}, {"COP", 2}, {"COU", 2}, {"CRC", 2}, {"CUP", 2},
     {"CVE", 2}, {"CZK", 2}, {"DJF", 0}, {"DKK", 2}, {"DOP", 2}, {"DZD", 2}, {"EGP", 2}, {"ERN", 2}, {"ETB", 2},
     {"EUR", 2}, {"FJD", 2}, {"FKP", 2}, {"GBP", 2}, {"GEL", 2}, {"GHS", 2}, {"GIP", 2}, {"GMD", 2}, {"GNF", 0},
     {"GTQ", 2}, {"GYD", 2}, {"HKD", 2}, {"HNL", 2}, {"HTG", 2}, {"HUF", 2}, {"IDR", 2}, {"ILS", 2}, {"INR", 2},
     {"IQD", 3}, {"IRR", 2}, {"ISK", 0}, {"JMD", 2}, {"JOD", 3}, {"JPY", 0}, {"KES", 2}, {"KGS", 2}, {"KHR", 2},
     {"KMF", 0}, {"KPW", 2}, {"KRW", 0}, {"KWD", 3}, {"KYD", 2}, {"KZT", 2}, {"LAK", 2}, {"LBP", 2}, {"LKR", 2},
     {"LRD", 2}, {"LSL", 2}, {"LYD", 3}, {"MAD", 2}, {"MDL", 2}, {"MGA", 2}, {"MKD", 2}, {"MMK", 2}, {"MNT", 2},
     {"MOP", 2}, {"MRU", 2}, {"MUR", 2}, {"MVR", 2}, {"MWK", 2}, {"MXN", 2}, {"MXV", 2}, {"MYR", 2}, {"MZN", 2},
     {"NAD", 2}, {"NGN", 2}, {"NIO", 2}, {"NOK", 2}, {"NPR", 2}, {"NZD", 2}, {"OMR", 3}, {"PAB", 2}, {"PEN", 2},
     {"PGK", 2}, {"PHP", 2}, {"PKR", 2}, {"PLN", 2}, {"PYG", 0}, {"QAR", 2}, {"RON", 2}, {"RSD", 2}, {"RUB", 2},
     {"RWF", 0}, {"SAR", 2}, {"SBD", 2}, {"SCR", 2}, {"SDG", 2}, {"SEK", 2}, {"SGD", 2}, {"SHP", 2}, {"SLE", 2},
     {"SOS", 2}, {"SRD", 2}, {"SSP", 2}, {"STN", 2}, {"SVC", 2}, {"SYP", 2}, {"SZL", 2}, {"THB", 2}, {"TJS", 2},
     {"TMT", 2}, {"TND", 3}, {"TOP", 2}, {"TRY", 2}, {"TTD", 2}, {"TWD", 2}, {"TZS", 2}, {"UAH", 2}, {"UGX", 0},
     {"USD", 2}, {"USN", 2}, {"UYI", 0}, {"UYU", 2}, {"UYW", 4}, {"UZS", 2}, {"VED", 2}, {"VES", 2}, {"VND", 0},
     {"VUV", 0}, {"WST", 2}, {"XAD", 2}, {"XAF", 0}, {"XCD", 2}, {"XCG", 2}, {"XOF", 0}, {"XPF", 0}, {"YER", 2},
     {"ZAR", 2}, {"ZMW", 2}, {"ZWG", 2}}};

tl::unexpected<Errors> too_large(const std::string& field) {
  return fail({.code = ErrorCode::too_large,
               .where = {.field = field},
               .found = "an amount beyond 9.2e18 minor units",
               .expected = "a smaller amount"});
}

}  // namespace

Result<Currency> Currency::of(std::string_view code, const std::string& field) {
  const auto* const found = std::ranges::find(known, code, &Known::code);
  if (found == known.end()) {
    return invalid(field, fmt::format("\"{}\"", code), "a currency of ISO 4217, as USD or EUR");
  }
  Currency currency;
  std::ranges::copy(code, currency.code_.begin());
  currency.minor_digits_ = found->minor_digits;
  return currency;
}

std::int64_t Currency::minor_per_unit() const {
  std::int64_t unit = 1;
  for (int i = 0; i < minor_digits_; ++i) unit *= 10;
  return unit;
}

Result<Money> read_money(std::string_view text, const std::string& field) {
  const auto bad = [&](std::string expected, std::string hint = {}) {
    return invalid(field, fmt::format("\"{}\"", text), std::move(expected), std::move(hint));
  };
  const std::size_t space = text.find(' ');
  if (space == std::string_view::npos) {
    return bad("an amount with its currency, as \"1250.00 USD\"", "Write the currency behind the amount.");
  }
  const auto currency = Currency::of(text.substr(space + 1), field);
  if (!currency) return fail(currency.error());
  std::string_view amount = text.substr(0, space);
  const bool negative = amount.starts_with('-');
  if (negative) amount.remove_prefix(1);
  std::int64_t value = 0;
  int digits = 0;
  int behind = -1;
  for (const char c : amount) {
    if (c == '.' && behind < 0) {
      behind = 0;
      continue;
    }
    if (c < '0' || c > '9') return bad("digits and at most one point, then the currency");
    ++digits;
    if (behind >= 0) ++behind;
    if (value > (std::numeric_limits<std::int64_t>::max() - 9) / 10) return too_large(field);
    value = 10 * value + (c - '0');
  }
  if (digits == 0) return bad("digits and at most one point, then the currency");
  if (behind == 0 || behind > currency->minor_digits()) {
    return bad(fmt::format("1 to {} digits behind the point", currency->minor_digits()));
  }
  for (int i = std::max(behind, 0); i < currency->minor_digits(); ++i) {
    if (value > std::numeric_limits<std::int64_t>::max() / 10) return too_large(field);
    value *= 10;
  }
  return Money{.minor = negative ? -value : value, .currency = *currency};
}

std::string to_text(const Money& money) {
  const std::int64_t unit = money.currency.minor_per_unit();
  // In parts, so that the smallest amount has a magnitude.
  const auto whole = static_cast<std::uint64_t>(money.minor < 0 ? -(money.minor / unit) : money.minor / unit);
  const auto rest = static_cast<std::uint64_t>(money.minor < 0 ? -(money.minor % unit) : money.minor % unit);
  const std::string plain = fmt::format("{}", whole);
  std::string digits;
  for (std::size_t at = 0; at < plain.size(); ++at) {
    if (at > 0 && (plain.size() - at) % 3 == 0) digits += ',';
    digits += plain[at];
  }
  if (unit > 1) digits += fmt::format(".{:0{}}", rest, money.currency.minor_digits());
  return fmt::format("{}{} {}", money.minor < 0 ? "-" : "", digits, money.currency.code());
}

Result<Money> sum(const Money& a, const Money& b) {
  if (a.currency != b.currency) {
    return fail({.code = ErrorCode::conflict,
                 .where = {.field = "money"},
                 .found = fmt::format("{} and {}", a.currency.code(), b.currency.code()),
                 .expected = "one currency"});
  }
  std::int64_t out = 0;
  if (__builtin_add_overflow(a.minor, b.minor, &out)) return too_large("money");
  return Money{.minor = out, .currency = a.currency};
}

Result<Money> times(const Money& money, const Fraction& fraction) {
  if (fraction.denominator <= 0) {
    return invalid("fraction.denominator", fmt::format("{}", fraction.denominator), "more than 0");
  }
  __extension__ using Wide = __int128;
  const Wide product = static_cast<Wide>(money.minor) * fraction.numerator;
  const Wide magnitude = product < 0 ? -product : product;
  const Wide rounded = (2 * magnitude + fraction.denominator) / (2 * static_cast<Wide>(fraction.denominator));
  if (rounded > std::numeric_limits<std::int64_t>::max()) return too_large("money");
  const auto out = static_cast<std::int64_t>(rounded);
  return Money{.minor = product < 0 ? -out : out, .currency = money.currency};
}

}  // namespace fw
