// SPDX-License-Identifier: Apache-2.0
#include "report/fuel_page.hpp"

#include <array>
#include <string>
#include <vector>

#include <gtest/gtest.h>
#include <nlohmann/json.hpp>

#include "fuel/fuel_text.hpp"
#include "report/fuel_json.hpp"
#include "report/text.hpp"

namespace fw::report {
namespace {

constexpr const char* time = "2031-05-04T10:00:00Z";

fuel::PropertySheet sheet_of(const char* text, const std::vector<double>& celsius, double pressure_Pa = 101325.0) {
  std::vector<fuel::FuelState> states;
  for (const double t : celsius) states.push_back({.temperature_K = t + 273.15, .pressure_Pa = pressure_Pa});
  return fuel::property_sheet(fuel::fuel_of_text(text).value(), states).value();
}

std::string text_of_page(const fuel::PropertySheet& sheet, units::System system) {
  const Document page = fuel_page(sheet, {.system = system, .size = PageSize::a4, .created = time});
  return render_text(page, 80).value();
}

bool has(const std::string& text, const std::string& words) { return text.find(words) != std::string::npos; }

/// The line of a table that begins with a name.
std::string line_of(const std::string& text, const std::string& name) {
  const auto start = text.find("\n" + name);
  if (start == std::string::npos) return "";
  return text.substr(start + 1, text.find('\n', start + 1) - start - 1);
}

// Published: density of No. 2 diesel at 40 C by ASTM D1250 (827.207 kg/m3, reference row 4) and 2.60 mm2/s, in print.
TEST(FuelPage, OneStateStandsInBothSystems) {
  for (const units::System system : {units::System::metric, units::System::us}) {
    const std::string text = text_of_page(sheet_of("d975_2d", {40}), system);
    EXPECT_TRUE(has(line_of(text, "density"), "827.2 kg/m3")) << text;
    EXPECT_TRUE(has(line_of(text, "kinematic viscosity"), "2.60 mm2/s")) << text;
    const std::string sound = line_of(text, "sound speed");
    EXPECT_TRUE(has(sound, "m/s") && has(sound, "ft/s")) << text;
    EXPECT_TRUE(has(line_of(text, "net heating value"), "42.82 MJ/kg")) << text;
    EXPECT_TRUE(has(line_of(text, "net heating value"), "18409 BTU/lb")) << text;
    EXPECT_TRUE(has(line_of(text, "cloud point"), "-12.0 C") && has(line_of(text, "cloud point"), "10.4 F")) << text;
  }
}

// What is extrapolated carries a mark that leads to its reason; what is inside its data carries none.
TEST(FuelPage, SaysWhereItExtrapolates) {
  const std::string text = text_of_page(sheet_of("d975_2d", {20, 60}), units::System::metric);
  EXPECT_TRUE(has(text, "extrapolated")) << text;
  EXPECT_FALSE(has(line_of(text, "density"), "[")) << text;
  const std::string vapour = line_of(text, "vapour pressure");
  EXPECT_TRUE(has(vapour, "58.0  ")) << vapour;   // 57.95 Pa at 20 C, inside 4 to 38 C
  EXPECT_TRUE(has(vapour, "440 [1]")) << vapour;  // at 60 C outside
  EXPECT_TRUE(has(text, "extrapolated from 4 to 38 C")) << text;
}

// Reference page on cold flow: no number is invented for wax.
TEST(FuelPage, SaysWax) {
  EXPECT_TRUE(has(line_of(text_of_page(sheet_of("d975_2d", {-13}), units::System::metric), "wax"), "wax"));
  const std::string plugged = text_of_page(sheet_of("d975_2d", {-16}), units::System::metric);
  EXPECT_TRUE(has(plugged, "plugs filters"));
  EXPECT_TRUE(has(plugged, "no filter is taken to pass"));
  EXPECT_TRUE(has(text_of_page(sheet_of("iso4113", {20}), units::System::metric), "no cloud point"));
  EXPECT_TRUE(has(line_of(text_of_page(sheet_of("d975_2d", {20}), units::System::metric), "wax"), "none"));
}

// What a law refuses is "-" with its reason, beside numbers that stand: ester's water line ends at -41 C.
TEST(FuelPage, ShowsRefusals) {
  const std::string text = text_of_page(sheet_of("fame_b100", {-45}), units::System::metric);
  EXPECT_TRUE(has(line_of(text, "dissolved water"), " -")) << text;
  EXPECT_TRUE(has(text, "Refused")) << text;
  EXPECT_TRUE(has(line_of(text, "density"), "kg/m3")) << text;
}

// Many states are cut into tables that fit a terminal.
TEST(FuelPage, FitsTheTerminal) {
  std::vector<double> many;
  for (int i = 0; i < 9; ++i) many.push_back(10.0 * i);
  const std::string text = text_of_page(sheet_of("b20 + 3 % petrol", many), units::System::us);
  std::size_t longest = 0;
  std::size_t tables = 0;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t end = text.find('\n', at);
    longest = std::max(longest, end - at);
    tables += has(text.substr(at, end - at), "property ") ? 1U : 0U;
    at = end + 1;
  }
  EXPECT_LE(longest, 80U);
  EXPECT_EQ(tables, 3U);
}

// JSON: schema and version, SI values as the library gives them, range and reason of each.
TEST(FuelJson, CarriesValuesWithTheirRange) {
  const fuel::PropertySheet sheet = sheet_of("en590 + 5 % petrol", {-10, 20, 95});
  const auto json = nlohmann::json::parse(fuel_json(sheet));
  EXPECT_EQ(json["schema"], "fuelwright.fuel/2.0");
  EXPECT_EQ(json["id"], "en590 + 5 % petrol");
  ASSERT_EQ(json["parts"].size(), 2U);
  EXPECT_NEAR(json["parts"][1]["volume_fraction"].get<double>(), 0.05, 1e-12);
  ASSERT_EQ(json["states"].size(), 3U);
  for (std::size_t i = 0; i < 3; ++i) {
    const auto& state = json["states"][i];
    EXPECT_EQ(state["temperature_K"].get<double>(), sheet.states[i].state.temperature_K);
    EXPECT_EQ(state["properties"].size(), fuel::state_quantities);
    EXPECT_EQ(state["properties"]["density_kg_per_m3"]["value"].get<double>(), sheet.states[i].values[0]->value);
  }
  EXPECT_EQ(json["states"][0]["cold_state"], "below cloud point");
  EXPECT_EQ(json["states"][1]["cold_state"], "liquid");
  EXPECT_EQ(json["states"][1]["properties"]["density_kg_per_m3"]["range"], "fitted");
  EXPECT_EQ(json["states"][2]["properties"]["density_kg_per_m3"]["range"], "extrapolated");
  EXPECT_FALSE(json["states"][2]["properties"]["density_kg_per_m3"]["why"].get<std::string>().empty());
  EXPECT_TRUE(json["properties"]["cfpp_K"]["value"].is_null());
  EXPECT_EQ(json["properties"]["cfpp_K"]["range"], "not known");
}

}  // namespace
}  // namespace fw::report
