// SPDX-License-Identifier: Apache-2.0
#include "units/stated_text.hpp"

#include <cmath>
#include <string>

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "base/contract.hpp"
#include "units/quantity.hpp"
#include "units_teaching.hpp"

namespace fw::units {
namespace {

// NOLINTBEGIN(modernize-use-designated-initializers): the rows are tables, their columns named above them

constexpr double psi_Pa = 6894.757293168361;
constexpr double inhg_Pa = 3386.388640341;

Stated stated_of(std::string_view text, Dimension dimension, const StatedOptions& options = {}) {
  const auto parsed = parse_stated(text, dimension, options);
  EXPECT_TRUE(parsed) << text << ": " << (parsed ? "" : to_text(parsed.error()));
  return parsed.value_or(Stated{});
}

TEST(Stated, ReadsEveryFormOfDoubt) {
  struct Row {
    std::string_view text;
    Dimension dimension;
    double value;
    Spread spread;
  };
  const auto normal = [](double half_width) { return Spread{.kind = SpreadKind::normal, .half_width = half_width}; };
  const auto uniform = [](double low, double high) {
    return Spread{.kind = SpreadKind::uniform, .low = low, .high = high};
  };
  const auto triangular = [](double low, double high) {
    return Spread{.kind = SpreadKind::triangular, .low = low, .high = high};
  };
  constexpr Dimension gauge = Dimension::gauge_pressure;
  const Row rows[] = {
      {"11 psi +/- 1 psi", gauge, 11 * psi_Pa, normal(psi_Pa)},
      {"11 +/- 1 psi", gauge, 11 * psi_Pa, normal(psi_Pa)},
      {"11 psi +/- 1", gauge, 11 * psi_Pa, normal(psi_Pa)},
      {"11 psi \xC2\xB1 1 psi", gauge, 11 * psi_Pa, normal(psi_Pa)},
      {"11psi+/-1psi", gauge, 11 * psi_Pa, normal(psi_Pa)},
      {"11 psi +/- 10 %", gauge, 11 * psi_Pa, normal(1.1 * psi_Pa)},
      {"11 psi +/- 5 kPa", gauge, 11 * psi_Pa, normal(5e3)},
      {"8 +/- 1 inHg vac", gauge, -8 * inhg_Pa, normal(inhg_Pa)},
      {"8 inHg vac +/- 1 inHg", gauge, -8 * inhg_Pa, normal(inhg_Pa)},
      {"8 inHg vac +/- 10 %", gauge, -8 * inhg_Pa, normal(0.8 * inhg_Pa)},
      {"26 psi abs +/- 1 psi", Dimension::absolute_pressure, 26 * psi_Pa, normal(psi_Pa)},
      {"26 +/- 1 psi abs", Dimension::absolute_pressure, 26 * psi_Pa, normal(psi_Pa)},
      {"26 +/- 1 psia", Dimension::absolute_pressure, 26 * psi_Pa, normal(psi_Pa)},
      {"10 to 12 psi", gauge, 11 * psi_Pa, uniform(10 * psi_Pa, 12 * psi_Pa)},
      {"10 psi to 12 psi", gauge, 11 * psi_Pa, uniform(10 * psi_Pa, 12 * psi_Pa)},
      {"-2 to 3 kPa", gauge, 500.0, uniform(-2e3, 3e3)},
      {"5 to 8 inHg vac", gauge, -6.5 * inhg_Pa, uniform(-8 * inhg_Pa, -5 * inhg_Pa)},
      {"2 inHg vac to 3 psi", gauge, (3 * psi_Pa - 2 * inhg_Pa) / 2, uniform(-2 * inhg_Pa, 3 * psi_Pa)},
      {"11 psi (9 to 13)", gauge, 11 * psi_Pa, triangular(9 * psi_Pa, 13 * psi_Pa)},
      {"11 psi (9 psi to 13 psi)", gauge, 11 * psi_Pa, triangular(9 * psi_Pa, 13 * psi_Pa)},
      {"11 psi (9 to 13 psi)", gauge, 11 * psi_Pa, triangular(9 * psi_Pa, 13 * psi_Pa)},
      {"11 (9 to 13) psi", gauge, 11 * psi_Pa, triangular(9 * psi_Pa, 13 * psi_Pa)},
      {"11 (9 to 13 psi)", gauge, 11 * psi_Pa, triangular(9 * psi_Pa, 13 * psi_Pa)},
      {"9 psi (9 to 13)", gauge, 9 * psi_Pa, triangular(9 * psi_Pa, 13 * psi_Pa)},
      {"6 inHg vac (5 to 8)", gauge, -6 * inhg_Pa, triangular(-8 * inhg_Pa, -5 * inhg_Pa)},
      {"26 psi (abs) (24 to 28)", Dimension::absolute_pressure, 26 * psi_Pa, triangular(24 * psi_Pa, 28 * psi_Pa)},
      {"0.5 in (3/8 to 5/8)", Dimension::bore, 0.0127, triangular(0.009525, 0.015875)},
      {"8 kPa/(100 L/h) (4 to 20)", Dimension::linear_resistance, 8e3 * 36e3, triangular(4e3 * 36e3, 20e3 * 36e3)},
      {"4 to 20 kPa/(100 L/h)", Dimension::linear_resistance, 12e3 * 36e3, uniform(4e3 * 36e3, 20e3 * 36e3)},
      {"log 0.02 to 1", Dimension::ratio, std::sqrt(0.02), {.kind = SpreadKind::log_uniform, .low = 0.02, .high = 1.0}},
      {"log 1 to 100 kPa", Dimension::pressure_drop, 1e4, {.kind = SpreadKind::log_uniform, .low = 1e3, .high = 1e5}},
      {"50 kPa times/divided by 3", Dimension::pressure_drop, 5e4, {.kind = SpreadKind::lognormal, .factor = 3.0}},
      {"50 kPa \xC3\x97/\xC3\xB7 3", Dimension::pressure_drop, 5e4, {.kind = SpreadKind::lognormal, .factor = 3.0}},
      {"40 C +/- 3 K", Dimension::temperature, 313.15, normal(3.0)},
      {"40 +/- 3 C", Dimension::temperature, 313.15, normal(3.0)},
      {"104 F +/- 9 F", Dimension::temperature, 313.15, normal(5.0)},
      {"35 to 45 C", Dimension::temperature, 313.15, uniform(308.15, 318.15)},
      {"20 % +/- 2 %", Dimension::ratio, 0.2, normal(0.02)},
      {"0.2 +/- 10 %", Dimension::ratio, 0.2, normal(0.02)},
      {"5 to 10 in 100", Dimension::ratio, 0.075, uniform(0.05, 0.10)},
      {"exactly 11 psi", gauge, 11 * psi_Pa, {}},
  };
  for (const Row& row : rows) {
    const Stated read = stated_of(row.text, row.dimension);
    const double scale = std::abs(row.value) + std::abs(row.spread.low) + std::abs(row.spread.high);
    EXPECT_NEAR(read.value, row.value, 1e-13 * scale) << row.text;
    EXPECT_EQ(read.spread.kind, row.spread.kind) << row.text;
    EXPECT_NEAR(read.spread.half_width, row.spread.half_width, 1e-13 * scale) << row.text;
    EXPECT_NEAR(read.spread.factor, row.spread.factor, 1e-14) << row.text;
    EXPECT_NEAR(read.spread.low, row.spread.low, 1e-13 * scale) << row.text;
    EXPECT_NEAR(read.spread.high, row.spread.high, 1e-13 * scale) << row.text;
    EXPECT_EQ(read.source, SourceClass::measured) << row.text;
    EXPECT_EQ(read.origin.as_typed, row.text);
    EXPECT_EQ(read.id, "");
    EXPECT_FALSE(read.unknown);
  }
}

TEST(Stated, UnknownIsAValue) {
  for (const std::string_view text : {"?", "  ? "}) {
    const Stated read = stated_of(text, Dimension::bore);
    EXPECT_TRUE(read.unknown);
    EXPECT_FALSE(read.given());
    EXPECT_EQ(read.source, SourceClass::assumed);
    EXPECT_EQ(read.origin.as_typed, text);
  }
}

TEST(Stated, ClassWordsSetTheClassBeforeEveryForm) {
  for (const SourceClass source : {SourceClass::measured, SourceClass::datasheet, SourceClass::catalog,
                                   SourceClass::typical, SourceClass::assumed}) {
    const std::string word(fw::name(source));
    for (const std::string_view form :
         {"11 psi", "11 psi +/- 1 psi", "10 to 12 psi", "11 psi (9 to 13)", "exactly 11 psi", "log 10 to 12 psi"}) {
      const std::string text = word + " " + std::string(form);
      const Stated read = stated_of(text, Dimension::gauge_pressure);
      EXPECT_EQ(read.source, source) << text;
      EXPECT_EQ(read.origin.as_typed, text);
    }
  }
  EXPECT_EQ(stated_of("Typical 11 psi", Dimension::gauge_pressure).source, SourceClass::typical);
  EXPECT_EQ(stated_of("11 psi", Dimension::gauge_pressure, {.source = SourceClass::datasheet}).source,
            SourceClass::datasheet);
}

// The defaults are those of catalog/source-classes.toml as shipped; all assumed, no source.
TEST(Stated, DefaultSpreadsFollowTheClass) {
  struct Row {
    std::string_view text;
    Dimension dimension;
    SpreadKind kind;
    double half_width_or_factor;
  };
  const Row rows[] = {
      {"measured 100 kPa", Dimension::pressure_drop, SpreadKind::normal, 2e3},
      {"datasheet 100 kPa", Dimension::pressure_drop, SpreadKind::normal, 10e3},
      {"catalog 100 kPa", Dimension::pressure_drop, SpreadKind::normal, 15e3},
      {"typical 100 kPa", Dimension::pressure_drop, SpreadKind::normal, 30e3},
      {"assumed 100 kPa", Dimension::pressure_drop, SpreadKind::lognormal, 2.0},
      {"measured 30 kPa vac", Dimension::gauge_pressure, SpreadKind::normal, 0.6e3},
      {"assumed 30 kPa vac", Dimension::gauge_pressure, SpreadKind::lognormal, 2.0},
      {"2 m", Dimension::length, SpreadKind::normal, 0.1},
      {"catalog 2 m", Dimension::length, SpreadKind::normal, 0.1},
      {"typical 2 m", Dimension::length, SpreadKind::normal, 0.6},
      {"8 mm", Dimension::bore, SpreadKind::normal, 0.24e-3},
      {"datasheet 8 mm", Dimension::bore, SpreadKind::normal, 0.24e-3},
      {"assumed 8 mm", Dimension::bore, SpreadKind::lognormal, 2.0},
      {"assumed -0.5 m", Dimension::height, SpreadKind::normal, 0.15},
      {"0 m", Dimension::height, SpreadKind::exact, 0.0},
      {"assumed 0 kPa", Dimension::pressure_drop, SpreadKind::exact, 0.0},
      {"measured 40 C", Dimension::temperature, SpreadKind::normal, 2.0},
      {"typical 40 C", Dimension::temperature, SpreadKind::normal, 10.0},
      {"assumed 0 C", Dimension::temperature, SpreadKind::normal, 15.0},
  };
  for (const Row& row : rows) {
    const Stated read = stated_of(row.text, row.dimension);
    EXPECT_EQ(read.spread.kind, row.kind) << row.text;
    if (row.kind == SpreadKind::normal) {
      EXPECT_NEAR(read.spread.half_width, row.half_width_or_factor, 1e-13 * row.half_width_or_factor) << row.text;
    }
    if (row.kind == SpreadKind::lognormal) {
      EXPECT_EQ(read.spread.factor, row.half_width_or_factor) << row.text;
    }
  }
  const SourceSpreads shop{.measured = 0.05, .typical = 0.0, .assumed_factor = 1.0};
  EXPECT_NEAR(stated_of("100 kPa", Dimension::pressure_drop, {.spreads = shop}).spread.half_width, 5e3, 1e-9);
  EXPECT_EQ(stated_of("typical 100 kPa", Dimension::pressure_drop, {.spreads = shop}).spread, Spread{});
  EXPECT_EQ(stated_of("assumed 100 kPa", Dimension::pressure_drop, {.spreads = shop}).spread, Spread{});
  EXPECT_THROW(static_cast<void>(default_spread(required, SourceClass::measured, Dimension::length, {})),
               ContractViolation);
}

TEST(Stated, RefusesWithOneErrorAndALegalExample) {
  struct Row {
    std::string_view text;
    Dimension dimension;
    std::string_view says;
  };
  constexpr Dimension gauge = Dimension::gauge_pressure;
  const Row rows[] = {
      {"11 psi (13 to 9)", gauge, "inside its range"},
      {"14 psi (9 to 13)", gauge, "inside its range"},
      {"11 psi (11 to 11)", gauge, "inside its range"},
      {"11 psi (9 to 13", gauge, "closing bracket"},
      {"11 psi (9 - 13)", gauge, "low to high"},
      {"11 psi (9 to 13) abs", gauge, "nothing behind the closing bracket"},
      {"11 psi (9 to 13 m)", gauge, "is a unit of a length"},
      {"11 (9 to 13)", gauge, "with its unit"},
      {"12 to 10 psi", gauge, "smaller one first"},
      {"10 to 10 psi", gauge, "smaller one first"},
      {"8 to 5 inHg vac", gauge, "smaller one first"},
      {"10 to psi", gauge, "with its unit"},
      {"10 to 12", gauge, "with its unit"},
      {"10-12 psi", gauge, "\"to\" between two numbers"},
      {"10 - 12 psi", gauge, "\"to\" between two numbers"},
      {"11 psi +/- 0 psi", gauge, "above zero after +/-"},
      {"11 psi +/- -1 psi", gauge, "above zero after +/-"},
      {"11 psi +/-", gauge, "with its unit"},
      {"+/- 1 psi", gauge, "with its unit"},
      {"11 +/- 1", gauge, "with its unit"},
      {"11 +/- 10 %", gauge, "with its unit"},
      {"11 psi +/- 1 m", gauge, "a unit of the value"},
      {"11 psi +/- 1,5 psi", gauge, "decimal point"},
      {"0 psi +/- 10 %", gauge, "a share of 0"},
      {"26 psi abs +/- 1 m", Dimension::absolute_pressure, "a unit of the value"},
      {"40 C +/- 10 %", Dimension::temperature, "a share of a temperature"},
      {"40 +/- 3 K", Dimension::temperature, "its own unit"},
      {"40 C times/divided by 2", Dimension::temperature, "a share of a temperature"},
      {"50 kPa times/divided by 1", Dimension::pressure_drop, "factor above 1"},
      {"50 kPa times/divided by 2 kPa", Dimension::pressure_drop, "factor above 1"},
      {"50 kPa times/divided by 1e30", Dimension::pressure_drop, "factor above 1"},
      {"0 kPa times/divided by 2", Dimension::pressure_drop, "other than 0"},
      {"log 5 psi", gauge, "log low to high"},
      {"log 0 to 1 psi", gauge, "above zero after \"log\""},
      {"log 2 to 1 psi", gauge, "smaller one first"},
      {"typical", gauge, "with its unit"},
      {"typical ?", gauge, "\"?\" alone"},
      {"exactly ?", gauge, "\"?\" alone"},
      {"? psi", gauge, "with its unit"},
      {"exactly 10 to 12 psi", gauge, "one number after"},
      {"exactly 11 psi +/- 1 psi", gauge, "one number after"},
      {"typical assumed 11 psi", gauge, "one class word"},
      {"guessed 11 psi", gauge, "with its unit"},
      {"typical 8", Dimension::bore, "with its unit"},
      {"26 psi (24 to 28)", Dimension::absolute_pressure, "marked \"abs\""},
      {"10 to 12 psi abs", gauge, "over ambient"},
      {"-3 to 3 kPa", Dimension::pressure_drop, "zero or more"},
  };
  for (const Row& row : rows) {
    const auto parsed = parse_stated(row.text, row.dimension);
    ASSERT_FALSE(parsed) << row.text;
    test::expect_teaching(parsed.error(), row.text, row.says, [&](std::string_view legal) {
      return parse_stated(legal, row.dimension) || (row.dimension == Dimension::bore && parse_bore(legal));
    });
  }
}

// What is typed comes back as typed, whatever is read from it.
RC_GTEST_PROP(Stated, ComesBackAsTyped, ()) {
  const auto number = *rc::gen::inRange(1, 100000);
  const auto half = *rc::gen::inRange(1, 1000);
  const std::string unit = *rc::gen::element<std::string>("psi", "bar", "kPa", "MPa", "mbar", "mmHg");
  const std::string form = *rc::gen::element<std::string>("+/-", "\xC2\xB1", " +/- ");
  const std::string text = std::to_string(number) + " " + unit + form + std::to_string(half) + " " + unit;
  const auto read = parse_stated(text, Dimension::gauge_pressure);
  RC_ASSERT(read.has_value());
  RC_ASSERT(read->origin.as_typed == text);
  const auto one = parse("1 " + unit, Dimension::gauge_pressure).value();
  RC_ASSERT(std::abs(read->value - number * one) <= 1e-12 * number * one);
  RC_ASSERT(std::abs(read->spread.half_width - half * one) <= 1e-12 * half * one);
}

// NOLINTEND(modernize-use-designated-initializers)

}  // namespace
}  // namespace fw::units
