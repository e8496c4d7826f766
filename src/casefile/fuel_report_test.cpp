// SPDX-License-Identifier: Apache-2.0
#include "casefile/fuel_report.hpp"

#include <string>

#include <gtest/gtest.h>

#include "catalog/catalog.hpp"

#include "project_file.hpp"

namespace fw::casefile {
namespace {

const catalog::Catalog& book() {
  static const catalog::Catalog all = catalog::built_in().value();
  return all;
}

const std::string head = "format = 1\ntitle = \"t\"\nstandard = \"en590\"\n";

Result<diagnosis::LabReport> read(const std::string& rest) {
  return read_fuel_report(head + rest, "fuel-report.toml", book().spreads);
}

TEST(FuelReportFile, ReadsTheDemo) {
  const auto report = read_fuel_report_of(test::project_file("cases/quarry-vee"), book().spreads);
  ASSERT_TRUE(report.has_value()) << to_text(report.error());
  EXPECT_NEAR(diagnosis::value_of(*report, diagnosis::ReportTest::water)->value, 310e-6, 1e-15);
  EXPECT_NEAR(diagnosis::value_of(*report, diagnosis::ReportTest::ester)->value, 0.048, 1e-15);
  EXPECT_EQ(debris::to_text(*report->particles), "22/20/17");
  EXPECT_EQ(report->sample.place, diagnosis::SamplePlace::tank_bottom);
  EXPECT_TRUE(diagnosis::read_together(*report).has_value());
  EXPECT_TRUE(has_fuel_report(test::project_file("cases/quarry-vee")));
}

// A report of a wrong or missing unit is refused with one error that says where and how to mend it.
TEST(FuelReportFile, RefusesWrongAndMissingUnits) {
  for (const auto& [line, field] : std::initializer_list<std::pair<const char*, const char*>>{
           {"water = 310", "results.water"},
           {"water = \"310\"", "results.water"},
           {"water = \"310 mm2/s\"", "results.water"},
           {"viscosity = \"2.7 mPa s\"", "results.viscosity"},
           {"density = \"0.842\"", "results.density"},
           {"flash_point = \"63\"", "results.flash_point"},
           {"lubricity = \"480\"", "results.lubricity"},
           {"ester = \"4.8\"", "results.ester"},
           {"water_and_sediment = \"0.02\"", "results.water_and_sediment"},
           {"microbes = \"4000\"", "results.microbes"},
           {"microbes = \"-3 CFU/L\"", "results.microbes"},
           {"sulfur = \"?\"", "results.sulfur"},
           {"particle_count = \"18/19/13\"", "results.particle_count"},
           {"haze = 9", "results.haze"},
           {"flashpoint = \"63 C\"", "results.flashpoint"}}) {
    const auto refused = read("[results]\n" + std::string(line) + "\n");
    ASSERT_FALSE(refused.has_value()) << line;
    EXPECT_EQ(refused.error().size(), 1U) << to_text(refused.error());
    EXPECT_EQ(refused.error().front().where.field, field) << line;
    EXPECT_EQ(refused.error().front().where.line, 5U) << line;
    EXPECT_FALSE(refused.error().front().hint.empty()) << line;
  }
  EXPECT_FALSE(read("").has_value());
  EXPECT_FALSE(read("[results]\n[metals]\nFe = \"3\"\n").has_value());
  EXPECT_FALSE(read("[results]\n[metals]\nXx = \"3 mg/kg\"\n").has_value());
  EXPECT_FALSE(read("[results]\n[sample]\nplace = \"moon\"\n").has_value());
}

TEST(FuelReportFile, ReadsEveryTest) {
  const auto report = read(
      "[results]\nwater = \"120 mg/kg\"\nwater_and_sediment = \"0.02 %\"\nparticulate = \"9 mg/kg\"\nlubricity = \"430 "
      "um\"\n"
      "viscosity = \"2.7 mm2/s\"\ndensity = \"838 kg/m3\"\ndistilled_10 = \"205 C\"\ndistilled_90 = \"330 C\"\n"
      "distilled_95 = \"352 C\"\nflash_point = \"63 C\"\nester = \"6.8 %\"\nsulfur = \"8 mg/kg\"\n"
      "acid_number = \"80 mg/kg\"\noxidation_residue = \"12 g/m3\"\noxidation_time = \"24 h\"\ncloud_point = \"-7 C\"\n"
      "cfpp = \"-18 C\"\nmicrobes = \"3 CFU/mL\"\n");
  ASSERT_TRUE(report.has_value()) << to_text(report.error());
  EXPECT_EQ(report->values.size(), static_cast<std::size_t>(diagnosis::report_test_count));
  EXPECT_NEAR(diagnosis::value_of(*report, diagnosis::ReportTest::microbes)->value, 3e6, 1e-3);
  EXPECT_TRUE(diagnosis::read_together(*report)->readings.empty());
}

}  // namespace
}  // namespace fw::casefile
