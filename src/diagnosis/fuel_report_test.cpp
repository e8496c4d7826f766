// SPDX-License-Identifier: Apache-2.0
#include "diagnosis/fuel_report.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include <gtest/gtest.h>

#include "published_table.hpp"

namespace fw::diagnosis {
namespace {

constexpr double mg = 1e-6;
constexpr double celsius(double t) { return t + 273.15; }

double si(double value, const std::string& unit) {
  if (unit == "mg/kg" || unit == "um" || unit == "mm2/s") return value * 1e-6;
  if (unit == "C") return celsius(value);
  if (unit == "%") return value * 1e-2;
  if (unit == "g/m3") return value * 1e-3;
  return value;
}

LabReport report(std::string standard, std::vector<std::pair<ReportTest, double>> values) {
  LabReport out{.title = "test", .standard = std::move(standard)};
  for (const auto& [test, value] : values) out.values.push_back({.test = test, .value = exactly(value)});
  return out;
}

const ReportLine& line_of(const FuelVerdict& verdict, std::string_view key) {
  const auto found = std::ranges::find(verdict.lines, key, &ReportLine::key);
  if (found == verdict.lines.end()) throw std::runtime_error("no line " + std::string(key));
  return *found;
}
bool reads(const FuelVerdict& verdict, std::string_view start) {
  return std::ranges::any_of(verdict.readings, [&](const ReportReading& one) { return one.title.starts_with(start); });
}

// Every limit of the table, from both sides: the value at it is inside, the next one beyond is not.
TEST(FuelReport, HoldsTheLimitsOfTheTable) {
  const test::PublishedTable table = test::published_table("diagnosis/fuel_report_limits.csv");
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const std::string& key = table.text(row, "test");
    const auto facts = std::ranges::find(report_tests(), std::string_view(key), &ReportTestFacts::key);
    ASSERT_NE(facts, report_tests().end()) << key;
    for (const char* side : {"min", "max"}) {
      if (table.text(row, side) == "-") continue;
      const double limit = si(table.number(row, side), table.text(row, "unit"));
      const double outward = side == std::string("min") ? 1.0 - 1e-6 : 1.0 + 1e-6;
      const std::string& standard = table.text(row, "standard");
      // A rounding error inwards: the limit in SI is not always the number times its unit.
      const auto at = read_together(report(standard, {{facts->test, limit * (1.0 + (1.0 - outward) * 1e-6)}})).value();
      EXPECT_EQ(line_of(at, key).outcome, ReportOutcome::inside) << standard << " " << key << " " << side;
      const auto beyond = read_together(report(standard, {{facts->test, limit * outward}})).value();
      EXPECT_EQ(line_of(beyond, key).outcome, ReportOutcome::beyond) << standard << " " << key << " " << side;
      EXPECT_FALSE(line_of(beyond, key).points_to.empty()) << key;
    }
  }
  // D975 limits neither water in mg/kg nor density: no limit is invented.
  const auto free =
      read_together(report("d975_2d", {{ReportTest::water, 150 * mg}, {ReportTest::density, 900}})).value();
  EXPECT_EQ(line_of(free, "water").outcome, ReportOutcome::no_limit);
  EXPECT_EQ(line_of(free, "density").outcome, ReportOutcome::no_limit);
}

// Free water is what lies above the solubility at the sample's temperature, not what lies above a standard.
TEST(FuelReport, FreeWaterByTemperatureAndEster) {
  LabReport cool = report("en590", {{ReportTest::water, 150 * mg}, {ReportTest::ester, 0.0}});
  cool.sample_temperature_K = celsius(10);
  const auto verdict = read_together(cool).value();
  EXPECT_NEAR(*verdict.saturation, 54.4 * mg, 0.05 * mg);
  EXPECT_EQ(line_of(verdict, "water").outcome, ReportOutcome::inside);
  EXPECT_TRUE(reads(verdict, "free water"));
  // The same water in fuel with 7 % ester at 20 C is dissolved.
  LabReport ester = report("en590", {{ReportTest::water, 150 * mg}, {ReportTest::ester, 0.07}});
  const auto held = read_together(ester).value();
  EXPECT_NEAR(*held.saturation, 167.78 * mg, 0.05 * mg);
  EXPECT_FALSE(reads(held, "free water"));
}

TEST(FuelReport, SeveralTestsTogether) {
  const auto petrol = read_together(report("en590", {{ReportTest::flash_point, celsius(25)},
                                                     {ReportTest::viscosity, 1.8e-6},
                                                     {ReportTest::distilled_10, celsius(120)}}))
                          .value();
  ASSERT_TRUE(reads(petrol, "petrol"));
  EXPECT_EQ(petrol.readings.front().strength, "several tests agree");
  EXPECT_EQ(petrol.readings.front().causes, std::vector<std::string>{"C03"});
  const auto alone = read_together(report("en590", {{ReportTest::flash_point, celsius(25)}})).value();
  EXPECT_EQ(alone.readings.front().strength, "one test alone");
  const auto kerosene =
      read_together(report("en590", {{ReportTest::flash_point, celsius(45)}, {ReportTest::density, 800.0}})).value();
  EXPECT_TRUE(reads(kerosene, "kerosene"));
  EXPECT_FALSE(reads(kerosene, "petrol in"));
  const auto good = read_together(report("en590", {{ReportTest::flash_point, celsius(63)},
                                                   {ReportTest::viscosity, 2.7e-6},
                                                   {ReportTest::density, 836.0}}))
                        .value();
  EXPECT_TRUE(good.readings.empty());
  const auto scar = read_together(report("en590", {{ReportTest::lubricity, 520e-6}})).value();
  EXPECT_TRUE(reads(scar, "low lubricity"));
  EXPECT_FALSE(reads(read_together(report("d975_2d", {{ReportTest::lubricity, 520e-6}})).value(), "low lubricity"));
}

// Iron with chromium as in bearing steel, without chromium as rust, 70:18:8 as stainless; soil; salt water.
TEST(FuelReport, MetalsTellOriginsApart) {
  const auto with = [](std::vector<std::pair<const char*, double>> metals) {
    LabReport out = report("en590", {});
    for (const auto& [element, value] : metals) {
      out.metals.push_back({.element = element, .value = exactly(value * mg)});
    }
    return read_together(out).value();
  };
  EXPECT_TRUE(reads(with({{"Fe", 6.5}, {"Cr", 0.1}}), "bearing steel"));
  EXPECT_TRUE(reads(with({{"Fe", 6.5}}), "rust"));
  EXPECT_TRUE(reads(with({{"Fe", 7.0}, {"Cr", 1.8}, {"Ni", 0.8}}), "stainless"));
  EXPECT_FALSE(reads(with({{"Fe", 7.0}, {"Cr", 1.8}, {"Ni", 0.8}}), "bearing"));
  EXPECT_TRUE(reads(with({{"Al", 1.0}, {"Si", 1.2}}), "soil"));
  EXPECT_TRUE(reads(with({{"Na", 2.0}, {"Cl", 1.0}}), "salt water"));
  EXPECT_TRUE(reads(with({{"Na", 2.0}}), "catalyst"));
  EXPECT_TRUE(reads(with({{"Ca", 2.0}, {"Zn", 1.0}, {"P", 1.0}}), "engine oil"));
  const auto clean = with({{"Fe", 0.05}});
  EXPECT_TRUE(clean.readings.empty());
  ASSERT_FALSE(clean.notes.empty());  // a clean analysis excludes no chips
  EXPECT_NE(clean.notes.front().find("does not exclude chips"), std::string::npos);
}

// Water is counted as particles: a code of wet fuel carries its warning, one of dry fuel does not.
TEST(FuelReport, CodesOfWetFuelAreUpperBounds) {
  LabReport wet = report("en590", {{ReportTest::water, 310 * mg}, {ReportTest::ester, 0.0}});
  wet.particles = debris::parse_code("22/20/12").value();
  const auto verdict = read_together(wet).value();
  EXPECT_TRUE(reads(verdict, "dirt"));
  EXPECT_TRUE(std::ranges::count(verdict.notes, std::string(debris::water_note(debris::Wetness::wet))) == 1);
  LabReport dry = report("en590", {{ReportTest::water, 40 * mg}, {ReportTest::ester, 0.0}});
  dry.particles = debris::parse_code("15/13/10").value();
  const auto clean = read_together(dry).value();
  EXPECT_TRUE(clean.readings.empty());
  EXPECT_TRUE(clean.notes.empty());
}

TEST(FuelReport, SaysWhatTheSampleLacks) {
  const auto bare = read_together(report("en590", {})).value();
  EXPECT_GE(bare.gaps.size(), 6U);
  EXPECT_GE(bare.missing.size(), 4U);
  LabReport good = report("en590", {});
  good.sample = {.place = SamplePlace::return_line,
                 .taken = "2026-07-03",
                 .person = "A",
                 .container = Container::certified_bottle,
                 .duplicate = true,
                 .seal = "12"};
  EXPECT_TRUE(read_together(good)->gaps.empty());
  good.sample.duplicate = false;
  EXPECT_EQ(read_together(good)->gaps.size(), 1U);
}

TEST(FuelReport, GivesTheLineSheetItsBlock) {
  const LabReport lab = report("en590", {{ReportTest::density, 838.0}, {ReportTest::viscosity, 2.9e-6}});
  const system::FuelReport block = for_line_sheet(lab);
  EXPECT_EQ(block.density_15C_kg_per_m3->value, 838.0);
  EXPECT_EQ(block.viscosity_40C_m2_per_s->id, "fuel_report.viscosity");
  EXPECT_FALSE(block.cloud_point_K.has_value());
}

TEST(FuelReport, NamesTheBadField) {
  const auto field = [](const LabReport& bad) {
    const auto verdict = read_together(bad);
    return verdict ? std::string("no error") : verdict.error().front().where.field;
  };
  EXPECT_EQ(field(report("en591", {})), "standard");
  EXPECT_EQ(field(report("en590", {{ReportTest::water, -1.0}})), "water");
  EXPECT_EQ(field(report("en590", {{ReportTest::water, required}})), "water");
  EXPECT_EQ(field(report("en590", {{ReportTest::ester, 4.8}})), "ester");
  EXPECT_EQ(field(report("en590", {{ReportTest::density, 0.842}})), "density");
  EXPECT_EQ(field(report("en590", {{ReportTest::water, 1e-4}, {ReportTest::water, 1e-4}})), "water");
  LabReport haze = report("en590", {});
  haze.haze = 9;
  EXPECT_EQ(field(haze), "haze");
}

}  // namespace
}  // namespace fw::diagnosis
