// SPDX-License-Identifier: Apache-2.0
#include "units/wire.hpp"

#include <cmath>
#include <string>

#include <gtest/gtest.h>

#include "base/required.hpp"
#include "published_table.hpp"
#include "units_teaching.hpp"

namespace fw::units {
namespace {

// NOLINTBEGIN(modernize-use-designated-initializers): the rows are tables, their columns named above them

constexpr double cold_K = 293.15;
constexpr double hot_K = 353.15;

double milliohm_per_m(std::string_view text, double temperature_K) {
  return copper_resistance_ohm_per_m(parse_wire(text).value(), temperature_K).value() * 1e3;
}

// Computed from ASTM B258 and IEC 60028, four digits: tests/published/units/copper_wire.csv.
TEST(Wire, AreasAndResistancesAreThoseOfTheTable) {
  const test::PublishedTable table = test::published_table("units/copper_wire.csv");
  EXPECT_EQ(table.rows.size(), 7U);
  for (std::size_t i = 0; i < table.rows.size(); ++i) {
    const std::string gauge = table.text(i, "awg") + " AWG";
    EXPECT_NEAR(parse_wire(gauge)->area_m2 * 1e6 / table.number(i, "area_mm2"), 1.0, 7e-4) << gauge;
    EXPECT_NEAR(milliohm_per_m(gauge, cold_K) / table.number(i, "mOhm_per_m_20C"), 1.0, 5e-4) << gauge;
    EXPECT_NEAR(milliohm_per_m(gauge, hot_K) / table.number(i, "mOhm_per_m_80C"), 1.0, 5e-4) << gauge;
  }
}

// Worked row beside the table: 10 A through 5 m out and 5 m back.
TEST(Wire, DropsTheVoltageOfTheWorkedRow) {
  EXPECT_NEAR(10.0 * 10.0 * milliohm_per_m("12 AWG", cold_K) * 1e-3, 0.521, 5e-4);
  EXPECT_NEAR(10.0 * 10.0 * milliohm_per_m("12 AWG", hot_K) * 1e-3, 0.644, 5e-4);
  EXPECT_NEAR(10.0 * 10.0 * milliohm_per_m("10 AWG", cold_K) * 1e-3, 0.328, 5e-4);
}

TEST(Wire, ReadsWhatPeopleWrite) {
  const double twelve = parse_wire("12 AWG")->area_m2;
  for (const std::string_view text : {"AWG 12", "12AWG", "12 awg", " AWG12 "}) {
    EXPECT_EQ(parse_wire(text)->area_m2, twelve) << text;
  }
  // ASTM B258 defines 36 as 0.005 in and 4/0 as 0.46 in.
  const auto diameter_in = [](std::string_view text) {
    return 2.0 * std::sqrt(parse_wire(text)->area_m2 / 3.14159265358979) / 0.0254;
  };
  EXPECT_NEAR(diameter_in("36 AWG"), 0.005, 1e-12);
  EXPECT_NEAR(diameter_in("4/0 AWG"), 0.46, 1e-12);
  EXPECT_NEAR(diameter_in("0000 AWG"), 0.46, 1e-12);
  EXPECT_EQ(parse_wire("0 AWG")->area_m2, parse_wire("1/0 AWG")->area_m2);
  EXPECT_DOUBLE_EQ(parse_wire("4 mm2")->area_m2, 4e-6);
  EXPECT_DOUBLE_EQ(parse_wire("2.5 mm\xC2\xB2")->area_m2, 2.5e-6);
}

TEST(Wire, RefusesWithOneErrorAndALegalExample) {
  struct Row {
    std::string_view text;
    std::string_view says;
  };
  for (const Row& row :
       {Row{"12", "its gauge with \"AWG\""}, Row{"", "its gauge with \"AWG\""}, Row{"12 ga", "its gauge with \"AWG\""},
        Row{"41 AWG", "4/0 AWG to 40 AWG"}, Row{"-12 AWG", "4/0 AWG to 40 AWG"}, Row{"12.5 AWG", "4/0 AWG to 40 AWG"},
        Row{"5/0 AWG", "4/0 AWG to 40 AWG"}, Row{"AWG", "4/0 AWG to 40 AWG"}, Row{"4 mm", "its gauge with \"AWG\""},
        Row{"0 mm2", "from 0.005 to 200 mm2"}, Row{"1 m2", "from 0.005 to 200 mm2"}}) {
    const auto parsed = parse_wire(row.text);
    ASSERT_FALSE(parsed) << row.text;
    test::expect_teaching(parsed.error(), row.text, row.says,
                          [](std::string_view legal) { return parse_wire(legal).has_value(); });
  }
}

TEST(Wire, ResistanceNamesTheBadField) {
  const Wire wire = parse_wire("12 AWG").value();
  EXPECT_EQ(copper_resistance_ohm_per_m({}, cold_K).error().front().where.field, "wire.area_m2");
  EXPECT_EQ(copper_resistance_ohm_per_m({.area_m2 = required}, cold_K).error().front().where.field, "wire.area_m2");
  EXPECT_EQ(copper_resistance_ohm_per_m(wire, required).error().front().where.field, "temperature_K");
  EXPECT_EQ(copper_resistance_ohm_per_m(wire, 500.0).error().front().code, ErrorCode::outside_model);
  EXPECT_EQ(copper_resistance_ohm_per_m(wire, 20.0).error().front().code, ErrorCode::outside_model);
}

// NOLINTEND(modernize-use-designated-initializers)

}  // namespace
}  // namespace fw::units
