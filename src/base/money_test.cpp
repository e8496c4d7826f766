// SPDX-License-Identifier: Apache-2.0
#include "base/money.hpp"

#include <limits>

#include <gtest/gtest.h>

#include "published_table.hpp"

namespace fw {
namespace {

// ISO 4217, list of the maintenance agency: every currency with minor units, and no other.
TEST(Money, KnowsTheCurrenciesOfTheStandard) {
  const auto table = test::published_table("base/stat_iso4217.csv");
  ASSERT_GT(table.rows.size(), 150U);
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const auto currency = Currency::of(table.text(row, "code"));
    const std::string& digits = table.text(row, "minor_units");
    if (digits.size() != 1 || digits[0] < '0' || digits[0] > '9') {
      EXPECT_FALSE(currency.has_value()) << table.text(row, "code");
      continue;
    }
    ASSERT_TRUE(currency.has_value()) << table.text(row, "code");
    EXPECT_EQ(currency->minor_digits(), digits[0] - '0') << table.text(row, "code");
  }
  EXPECT_FALSE(Currency::of("usd").has_value());
}

TEST(Money, ReadsAndPrints) {
  for (const char* text : {"899.99 USD", "0.05 USD", "-12.00 EUR", "500 JPY", "1.005 KWD", "0.00 USD"}) {
    EXPECT_EQ(to_text(read_money(text).value()), text);
  }
  EXPECT_EQ(to_text(*read_money("1234567.5 USD")), "1,234,567.50 USD");
  EXPECT_EQ(read_money("12 USD")->minor, 1200);
}

TEST(Money, RefusesWhatIsNoAmount) {
  EXPECT_EQ(read_money("1250", "pump.price").error().front().where.field, "pump.price");
  EXPECT_NE(to_text(read_money("1250").error()).find("currency"), std::string::npos);
  for (const char* text : {"1,250.00 USD", "1.005 USD", "12. USD", ". USD", " USD", "12 XYZ", "--1 USD", "1e3 USD"}) {
    EXPECT_FALSE(read_money(text).has_value()) << text;
  }
  EXPECT_EQ(read_money("99999999999999999999 USD").error().front().code, ErrorCode::too_large);
}

// Worked estimate of the statistics page, section 7.
TEST(Money, MultipliesExactly) {
  EXPECT_EQ(times(*read_money("165.00 USD"), {.numerator = 145, .denominator = 10})->minor, 239250);
  EXPECT_EQ(times(*read_money("2392.50 USD"), {.numerator = 3, .denominator = 100})->minor, 7178);
  EXPECT_EQ(times(*read_money("4992.51 USD"), {.numerator = 825, .denominator = 10000})->minor, 41188);
  EXPECT_EQ(times(*read_money("5467.48 USD"), {.numerator = 10, .denominator = 100})->minor, 54675);
  // Half a cent goes away from zero, on both sides.
  EXPECT_EQ(times(*read_money("0.05 USD"), {.numerator = 1, .denominator = 2})->minor, 3);
  EXPECT_EQ(times(*read_money("-0.05 USD"), {.numerator = 1, .denominator = 2})->minor, -3);
  const Money most{.minor = std::numeric_limits<std::int64_t>::max(), .currency = *Currency::of("USD")};
  EXPECT_EQ(times(most, {.numerator = 2}).error().front().code, ErrorCode::too_large);
  EXPECT_EQ(times(most, {.numerator = 1, .denominator = 0}).error().front().where.field, "fraction.denominator");
}

TEST(Money, AddsOneCurrencyOnly) {
  EXPECT_EQ(sum(*read_money("5467.48 USD"), *read_money("2392.50 USD"))->minor, 785998);
  EXPECT_EQ(sum(*read_money("1 USD"), *read_money("1 EUR")).error().front().code, ErrorCode::conflict);
  const Money most{.minor = std::numeric_limits<std::int64_t>::max(), .currency = *Currency::of("USD")};
  EXPECT_EQ(sum(most, *read_money("1 USD")).error().front().code, ErrorCode::too_large);
}

}  // namespace
}  // namespace fw
