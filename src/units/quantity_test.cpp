// SPDX-License-Identifier: Apache-2.0
#include "units/quantity.hpp"

#include <cmath>
#include <map>
#include <numbers>
#include <set>
#include <string>

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "published_table.hpp"
#include "units/reading.hpp"
#include "units/unit_table.hpp"
#include "units_teaching.hpp"

namespace fw::units {
namespace {

// NOLINTBEGIN(modernize-use-designated-initializers): the rows are tables, their columns named above them

double value_of(std::string_view text, Dimension dimension) {
  const auto parsed = parse(text, dimension);
  EXPECT_TRUE(parsed) << text << ": " << (parsed ? "" : to_text(parsed.error()));
  return parsed.value_or(std::nan(""));
}

// Published: NIST SP 811 (2008) conversion factors, 12 digits as collected in tests/published/units/unit_factors.csv.
TEST(Factors, AreThoseOfNistSp811) {
  struct Row {
    std::string_view from;  ///< as in the table
    std::string_view text;  ///< as we read it
    Dimension dimension;
    double table_unit = 1.0;  ///< of the unit in the table's second column
  };
  const Row rows[] = {{"psi", "1 psi", Dimension::pressure_drop},
                      {"bar", "1 bar", Dimension::pressure_drop},
                      {"atm", "1 atm", Dimension::pressure_drop},
                      {"kgf/cm2", "1 kgf/cm2", Dimension::pressure_drop},
                      {"inHg 0C", "1 inHg", Dimension::pressure_drop},
                      {"mmHg", "1 mmHg", Dimension::pressure_drop},
                      {"inH2O 4C", "1 inH2O", Dimension::pressure_drop},
                      {"mH2O", "1 mH2O", Dimension::pressure_drop},
                      {"gal US", "1 gal", Dimension::volume},
                      {"gal imp", "1 imp gal", Dimension::volume},
                      {"gph US>m3/s", "1 gph", Dimension::volume_flow},
                      {"gph US>L/h", "1 gph", Dimension::volume_flow, 1e-3 / 3600.0},
                      {"gpm US", "1 gpm", Dimension::volume_flow},
                      {"L/h", "1 L/h", Dimension::volume_flow},
                      {"cfs", "1 cfs", Dimension::volume_flow},
                      {"cSt", "1 cSt", Dimension::kinematic_viscosity},
                      {"cP", "1 cP", Dimension::dynamic_viscosity},
                      {"in", "1 in", Dimension::length},
                      {"ft", "1 ft", Dimension::length},
                      {"lbf", "1 lbf", Dimension::force},
                      {"lbf ft", "1 lbf ft", Dimension::torque},
                      {"lbf in", "1 lbf in", Dimension::torque},
                      {"lb", "1 lb", Dimension::mass},
                      {"hp mech", "1 mech hp", Dimension::power},
                      {"PS metric", "1 metric hp", Dimension::power},
                      {"BTU IT", "1 BTU", Dimension::energy},
                      // The table gives rad/s, a rotational speed is read in revolutions per second.
                      {"rpm", "1 rpm", Dimension::rotational_speed, 1.0 / (2.0 * std::numbers::pi)}};
  std::map<std::string, double> published;
  const test::PublishedTable table = test::published_table("units/unit_factors.csv");
  for (std::size_t i = 0; i < table.rows.size(); ++i) {
    const std::string& from = table.text(i, "from");
    published[from == "gph US" ? from + ">" + table.text(i, "to") : from] = table.number(i, "factor");
  }
  EXPECT_EQ(published.size(), std::size(rows));
  for (const Row& row : rows) {
    ASSERT_TRUE(published.contains(std::string(row.from))) << row.from;
    EXPECT_NEAR(value_of(row.text, row.dimension) / (published[std::string(row.from)] * row.table_unit), 1.0, 1e-11)
        << row.from;
  }
}

// Published: definitions in NIST SP 811, to the last digit of a double.
TEST(Factors, AreExactWhereTheyAreDefined) {
  EXPECT_DOUBLE_EQ(value_of("1 psi", Dimension::pressure_drop), 0.45359237 * 9.80665 / (0.0254 * 0.0254));
  EXPECT_DOUBLE_EQ(value_of("1 gal", Dimension::volume), 0.003785411784);
  EXPECT_DOUBLE_EQ(value_of("1 mech hp", Dimension::power), 745.69987158227022);
  EXPECT_DOUBLE_EQ(value_of("1 metric hp", Dimension::power), 735.49875);
  EXPECT_DOUBLE_EQ(value_of("1 mi", Dimension::distance), 1609.344);
  EXPECT_DOUBLE_EQ(value_of("32 F", Dimension::temperature), 273.15);
  EXPECT_DOUBLE_EQ(value_of("-40 F", Dimension::temperature), value_of("-40 C", Dimension::temperature));
}

TEST(Parse, ReadsWhatPeopleWrite) {
  struct Row {
    std::string_view text;
    Dimension dimension;
    double si;
  };
  constexpr double psi = 6894.757293168361;
  constexpr double in_hg = 3386.388640341;
  const Row rows[] = {
      // Numbers.
      {"120 L/h", Dimension::volume_flow, 120e-3 / 3600.0},
      {"1e-5 m2/s", Dimension::kinematic_viscosity, 1e-5},
      {".5 in", Dimension::bore, 0.0127},
      {"+3 kPa", Dimension::pressure_drop, 3e3},
      {"5/16 in", Dimension::bore, 5.0 / 16.0 * 0.0254},
      {"1 1/2 in", Dimension::length, 0.0381},
      {"1-1/2 in", Dimension::length, 0.0381},
      {"-1 1/2 in", Dimension::height, -0.0381},
      {"3/8\"", Dimension::bore, 0.009525},
      {"1\xC2\xBD in", Dimension::length, 0.0381},
      {"5 ft 3 in", Dimension::length, 1.6002},
      {"5'3 1/2\"", Dimension::length, 1.6129},
      {"-1 ft 6 in", Dimension::height, -0.4572},
      {"  8mm ", Dimension::bore, 0.008},
      {"0 %", Dimension::ratio, 0.0},
      // Letters in several shapes.
      {"\xE2\x88\x92"
       "5 \xC2\xB0"
       "C",
       Dimension::temperature, 268.15},
      {"40 deg C", Dimension::temperature, 313.15},
      {"104 F", Dimension::temperature, 313.15},
      {"10 \xC2\xB5m", Dimension::length, 10e-6},
      {"10 um", Dimension::length, 10e-6},
      {"5 m^3/s", Dimension::volume_flow, 5.0},
      {"5 m\xC2\xB3/s", Dimension::volume_flow, 5.0},
      {"0.12 N\xC2\xB7m", Dimension::torque, 0.12},
      {"0.12 N*m", Dimension::torque, 0.12},
      {"4.7 m\xE2\x84\xA6", Dimension::resistance, 4.7e-3},
      {"60 L per h", Dimension::volume_flow, 60e-3 / 3600.0},
      {"30\xC2\xB0", Dimension::angle, std::numbers::pi / 6.0},
      {"11 PSI", Dimension::gauge_pressure, 11.0 * psi},
      {"11 Psi", Dimension::gauge_pressure, 11.0 * psi},
      {"60 l/h", Dimension::volume_flow, 60e-3 / 3600.0},
      // The field decides what a pressure is.
      {"11 psi", Dimension::gauge_pressure, 11.0 * psi},
      {"11 psig", Dimension::gauge_pressure, 11.0 * psi},
      {"0.8 bar(g)", Dimension::gauge_pressure, 0.8e5},
      {"57.3 kPa gauge", Dimension::gauge_pressure, 57.3e3},
      {"-30 kPa", Dimension::gauge_pressure, -30e3},
      {"8 inHg vac", Dimension::gauge_pressure, -8.0 * in_hg},
      {"8 in Hg vacuum", Dimension::gauge_pressure, -8.0 * in_hg},
      {"0 inHg vac", Dimension::gauge_pressure, 0.0},
      {"26 psi abs", Dimension::absolute_pressure, 26.0 * psi},
      {"26 psia", Dimension::absolute_pressure, 26.0 * psi},
      {"1.2 bar(a)", Dimension::absolute_pressure, 1.2e5},
      {"101.325 kPa absolute", Dimension::absolute_pressure, 101325.0},
      {"8 psid", Dimension::pressure_drop, 8.0 * psi},
      {"8 inHg", Dimension::pressure_drop, 8.0 * in_hg},
      {"20 mbar", Dimension::pressure_drop, 2000.0},
      {"160 MPa", Dimension::gauge_pressure, 160e6},
      {"200 mmH2O", Dimension::pressure_drop, 1961.33},
      // A temperature point and a difference.
      {"5 C", Dimension::temperature, 278.15},
      {"5 C", Dimension::temperature_difference, 5.0},
      {"5 K", Dimension::temperature_difference, 5.0},
      {"-9 F", Dimension::temperature_difference, -5.0},
      // Other dimensions.
      {"100 gph", Dimension::volume_flow, 378.5411784e-3 / 3600.0},
      {"100 imp gph", Dimension::volume_flow, 454.609e-3 / 3600.0},
      {"1000 cc/min", Dimension::volume_flow, 1e-3 / 60.0},
      {"225 g/kWh", Dimension::specific_consumption, 62.5e-9},
      {"2400 rpm", Dimension::rotational_speed, 40.0},
      {"2400 1/min", Dimension::rotational_speed, 40.0},
      {"1.6 cm3/rev", Dimension::displacement, 1.6e-6},
      {"0.0285 V s", Dimension::motor_constant, 0.0285},
      {"3 V/krpm", Dimension::motor_constant, 3.0 * 60.0 / (2.0 * std::numbers::pi * 1000.0)},
      {"8 kPa/(100 L/h)", Dimension::linear_resistance, 8e3 * 36000.0},
      {"8 kPa per 100 L/h", Dimension::linear_resistance, 8e3 * 36000.0},
      {"1.63e10 1/m3", Dimension::viscous_coefficient, 1.63e10},
      {"1.5 GPa", Dimension::modulus, 1.5e9},
      {"200 mg/kg", Dimension::concentration_mass, 200e-6},
      {"0.02 % mass", Dimension::concentration_mass, 200e-6},
      {"20 mg/L", Dimension::concentration_volume, 20e-3},
      {"15 W/K", Dimension::conductance_thermal, 15.0},
      {"20 %", Dimension::ratio, 0.2},
      {"8 in 100", Dimension::ratio, 0.08},
      {"1/3", Dimension::ratio, 1.0 / 3.0},
      {"0.75", Dimension::ratio, 0.75},
      {"-0.5", Dimension::ratio, -0.5},
      {"5.6 L", Dimension::displacement, 5.6e-3},
      {"500 h", Dimension::time, 1.8e6},
      {"15 gal", Dimension::volume, 15.0 * 0.003785411784},
  };
  for (const Row& row : rows) {
    const double parsed = value_of(row.text, row.dimension);
    EXPECT_NEAR(parsed, row.si, 1e-14 * std::abs(row.si)) << row.text;
    EXPECT_FALSE(std::signbit(parsed) && parsed == 0.0) << row.text;
  }
}

TEST(Parse, RefusesWithOneErrorAndALegalExample) {
  struct Row {
    std::string_view text;
    Dimension dimension;
    std::string_view says;  ///< part of what is expected
  };
  const std::string endless(5000, '9');
  const Row rows[] = {
      {"8", Dimension::bore, "with its unit"},
      {"8", Dimension::length, "with its unit"},
      {"120", Dimension::volume_flow, "a flow with its unit"},
      {"40", Dimension::temperature, "with its unit"},
      {"", Dimension::length, "with its unit"},
      {"   ", Dimension::volume_flow, "with its unit"},
      {"eight mm", Dimension::length, "with its unit"},
      {"mm", Dimension::bore, "with its unit"},
      {"8 mn", Dimension::bore, "one of the units mm"},
      {"120 L", Dimension::volume_flow, "\"L\" is a unit of a volume"},
      {"8 mm", Dimension::volume_flow, "is a unit of a length"},
      {"5 bar", Dimension::temperature, "is a unit of a pressure drop"},
      {"1,5 m", Dimension::length, "decimal point"},
      {"1,000 h", Dimension::time, "decimal point"},
      {",5 mm", Dimension::bore, "decimal point"},
      {"1 000 kPa", Dimension::gauge_pressure, "one number"},
      {"1.2.3 m", Dimension::length, "one number"},
      {"2.5/3 in", Dimension::bore, "one number"},
      {"5/16/20 in", Dimension::bore, "one number"},
      {"10-12 psi", Dimension::gauge_pressure, "one number"},
      {"5/0 in", Dimension::bore, "below the line"},
      {"1 3/2 in", Dimension::bore, "below one"},
      {"1e999 m", Dimension::length, "between 1e-100 and 1e100"},
      {"1e-999 m", Dimension::length, "between 1e-100 and 1e100"},
      {endless, Dimension::length, "between 1e-100 and 1e100"},
      {"nan m", Dimension::length, "with its unit"},
      {"inf m", Dimension::length, "with its unit"},
      {"0x10 mm", Dimension::bore, "one of the units"},
      {"--3 m", Dimension::height, "with its unit"},
      {"- 3 m", Dimension::height, "with its unit"},
      {"-3 m", Dimension::length, "zero or more"},
      {"-3 kPa", Dimension::pressure_drop, "zero or more"},
      {"0 mm", Dimension::bore, "above zero"},
      {"0 kg/m3", Dimension::density, "above zero"},
      {"-300 C", Dimension::temperature, "absolute zero"},
      {"-500 F", Dimension::temperature, "absolute zero"},
      {"26 psi abs", Dimension::gauge_pressure, "over ambient"},
      {"26 psia", Dimension::gauge_pressure, "over ambient"},
      {"3 psid", Dimension::gauge_pressure, "over ambient"},
      {"-8 inHg vac", Dimension::gauge_pressure, "without a minus"},
      {"40 inHg vac", Dimension::gauge_pressure, "no vacuum is deeper"},
      {"-20 psi", Dimension::gauge_pressure, "no vacuum is deeper"},
      {"26 psi", Dimension::absolute_pressure, "marked \"abs\""},
      {"26 psig", Dimension::absolute_pressure, "marked \"abs\""},
      {"8 inHg vac", Dimension::absolute_pressure, "marked \"abs\""},
      {"-5 kPa abs", Dimension::absolute_pressure, "zero or more"},
      {"12 psi gauge", Dimension::pressure_drop, "difference of two pressures"},
      {"12 psia", Dimension::pressure_drop, "difference of two pressures"},
      {"3 inHg vac", Dimension::pressure_drop, "difference of two pressures"},
      {"10 psi psi", Dimension::gauge_pressure, "one of the units"},
      {"10 abs", Dimension::absolute_pressure, "one of the units"},
      {"300 hp", Dimension::power, "two horsepowers"},
      {"300 HP", Dimension::power, "two horsepowers"},
      {"200 ppm", Dimension::concentration_mass, "by mass or by volume"},
      {"160 mpa", Dimension::gauge_pressure, "\"MPa\" with these capitals"},
      {"5 Mpa s", Dimension::dynamic_viscosity, "with these capitals"},
      {"5 MA", Dimension::current, "with these capitals"},
      {"5 m/s/s", Dimension::velocity, "one of the units"},
      {"5 ft 14 in", Dimension::length, "inches below 12"},
      {"5 ft 3 mm", Dimension::length, "inches below 12"},
      {"225 g/hp", Dimension::specific_consumption, "one of the units g/kWh"},
      {"11 psi +/- 1 psi", Dimension::gauge_pressure, "one of the units"},
      {"?", Dimension::bore, "with its unit"},
      {"typical 11 psi", Dimension::gauge_pressure, "with its unit"},
      {"8 mm\n", Dimension::bore, "one of the units"},
      {"\xFF\xFE", Dimension::bore, "with its unit"},
  };
  for (const Row& row : rows) {
    const auto parsed = parse(row.text, row.dimension);
    ASSERT_FALSE(parsed) << row.text;
    test::expect_teaching(parsed.error(), row.text, row.says, [&](std::string_view legal) {
      // A bore field takes dash sizes too, through parse_bore().
      return parse(legal, row.dimension) || (row.dimension == Dimension::bore && parse_bore(legal));
    });
  }
}

// Every dimension: its example is legal, a bare number is not, its units are named once, capitals never blur two units.
TEST(Dimensions, KeepTheirPromises) {
  for (int i = 0; i < dimension_count; ++i) {
    const auto dimension = static_cast<Dimension>(i);
    EXPECT_TRUE(parse(example(dimension), dimension)) << example(dimension);
    EXPECT_EQ(parse("7", dimension).has_value(), dimension == Dimension::ratio) << name(dimension);
    EXPECT_TRUE(parse_stated(example_of_doubt(dimension), dimension)) << example_of_doubt(dimension);
    EXPECT_TRUE(parse_stated(example_of_range(dimension), dimension)) << example_of_range(dimension);
    EXPECT_TRUE(parse_stated(example_of_mode(dimension), dimension)) << example_of_mode(dimension);
    EXPECT_TRUE(parse_stated(example_of_log_range(dimension), dimension)) << example_of_log_range(dimension);
    std::set<std::string_view> seen;
    std::map<std::string, double> any_case;
    for (const Unit& unit : units_of(dimension)) {
      EXPECT_TRUE(seen.insert(unit.text).second) << name(dimension) << " has twice " << unit.text;
      EXPECT_EQ(unit_key(unit.text), unit.text) << "not in the spelling of unit_key";
      EXPECT_TRUE(std::isfinite(unit.factor) && unit.factor > 0.0) << unit.text;
      if (unit.letters != Letters::any_case) continue;
      const auto [place, fresh] = any_case.emplace(lower(unit.text), unit.factor);
      EXPECT_TRUE(fresh || place->second == unit.factor) << name(dimension) << " blurs " << unit.text;
    }
  }
}

// Any text at all gives a value or exactly one error, never a crash.
RC_GTEST_PROP(Parse, SurvivesAnyText, (const std::string& text)) {
  for (int i = 0; i < dimension_count; ++i) {
    const auto parsed = parse_stated(text, static_cast<Dimension>(i));
    RC_ASSERT((parsed.has_value() || parsed.error().size() == 1U));
  }
  const auto bore = parse_bore(text);
  RC_ASSERT((bore.has_value() || bore.error().size() == 1U));
}

// Texts near the legal ones: characters that the grammar knows, in any order.
RC_GTEST_PROP(Parse, SurvivesTextsOfItsOwnCharacters, ()) {
  const std::string alphabet = "0123456789./-+()% ,toinpsibargkhLm?J30R5dwl\"'";
  const auto text = *rc::gen::container<std::string>(rc::gen::elementOf(alphabet));
  for (const Dimension dimension : {Dimension::gauge_pressure, Dimension::bore, Dimension::ratio, Dimension::length,
                                    Dimension::temperature, Dimension::linear_resistance}) {
    const auto parsed = parse_stated(text, dimension);
    if (parsed) {
      RC_ASSERT((parsed->unknown || std::isfinite(parsed->value)));
      RC_ASSERT(parsed->origin.as_typed == text);
    } else {
      RC_ASSERT(parsed.error().size() == 1U);
    }
  }
  const auto bore = parse_bore(text);
  if (bore) {
    RC_ASSERT((bore->unknown || bore->value > 0.0));
  } else {
    RC_ASSERT(bore.error().size() == 1U);
  }
}

// NOLINTEND(modernize-use-designated-initializers)

}  // namespace
}  // namespace fw::units
