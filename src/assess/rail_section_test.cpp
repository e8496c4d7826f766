// SPDX-License-Identifier: Apache-2.0
#include "assess/rail_section.hpp"

#include <cmath>
#include <string>

#include <gtest/gtest.h>

#include "casefile/line_sheet_reader.hpp"
#include "casefile/sheet_sources.hpp"
#include "catalog/catalog.hpp"
#include "rail/transient.hpp"
#include "supply/long_run.hpp"

#include "quiet_run.hpp"

namespace fw::assess {
namespace {

system::LineSheet sheet_of(const std::string& text) {
  static const catalog::Catalog book = catalog::built_in().value();
  return casefile::read_line_sheet(text, "sheet.toml", book.spreads, casefile::sheet_sources(book)).value();
}

// The typical sets of section 12 of the high-pressure page, as a workshop would write them on a line sheet.
const std::string v8_text = R"(format = 1
name = "v8"
from = "layout:f2"
[engine]
displacement = "7.0 L"
rated_power = "300 kW"
rated_speed = "3000 rpm"
torque_peak_power = "200 kW"
torque_peak_speed = "1800 rpm"
idle_speed = "650 rpm"
crank_speed = "200 rpm"
rated_consumption = "225 g/kWh"
housing_flow = "90 L/h"
[high_side]
cylinders = 8
rails = 2
plungers = 2
crank_ratio = "1"
plunger_bore = "6.5 mm"
plunger_stroke = "6.0 mm"
plunger_clearance = "2.0 um"
rail_volume = "25 cm3"
rated_pressure = "180 MPa"
idle_pressure = "35 MPa"
relief_pressure = "210 MPa"
nozzle_flow = "880 mL/min"
feed_pipe_length = "250 mm"
feed_pipe_bore = "3.0 mm"
)";
const std::string i4_text = R"(format = 1
name = "i4"
from = "layout:d"
[engine]
displacement = "2.0 L"
rated_power = "120 kW"
rated_speed = "4000 rpm"
torque_peak_power = "84 kW"
torque_peak_speed = "2000 rpm"
idle_speed = "800 rpm"
crank_speed = "250 rpm"
rated_consumption = "230 g/kWh"
housing_flow = "45 L/h"
[high_side]
cylinders = 4
rails = 1
plungers = 3
crank_ratio = "2/3"
plunger_bore = "6.5 mm"
plunger_stroke = "7.0 mm"
plunger_clearance = "1.5 um"
rail_volume = "20 cm3"
rated_pressure = "160 MPa"
idle_pressure = "30 MPa"
relief_pressure = "190 MPa"
nozzle_flow = "780 mL/min"
feed_pipe_length = "200 mm"
feed_pipe_bore = "2.4 mm"
)";

void expect_set(const rail::HighPressureSet& set, const rail::HighPressureSet& page) {
  const double over_ambient_Pa = 101325.0;
  EXPECT_NEAR(set.pump.displacement_m3_per_rev() / page.pump.displacement_m3_per_rev(), 1.0, 1e-12);
  EXPECT_NEAR(set.pump.dead_volume_m3 / page.pump.dead_volume_m3, 1.0, 1e-12);
  EXPECT_NEAR(set.pump.crank_ratio, page.pump.crank_ratio, 1e-9);
  EXPECT_NEAR(set.pump.gap.clearance_m / page.pump.gap.clearance_m, 1.0, 1e-12);
  EXPECT_NEAR(set.pump.housing_m3_per_s / page.pump.housing_m3_per_s, 1.0, 1e-12);
  EXPECT_NEAR(set.injector.nozzle_m2 / page.injector.nozzle_m2, 1.0, 1e-12);
  EXPECT_EQ(set.injectors, page.injectors);
  EXPECT_EQ(set.rails, page.rails);
  EXPECT_NEAR(set.pressed_volume_m3() / page.pressed_volume_m3(), 1.0, 1e-12);
  EXPECT_NEAR(set.rated_Pa - over_ambient_Pa, page.rated_Pa, 1.0);
  EXPECT_NEAR(set.idle_Pa - over_ambient_Pa, page.idle_Pa, 1.0);
  EXPECT_NEAR(set.relief.open_Pa - over_ambient_Pa, page.relief.open_Pa, 1.0);
  EXPECT_NEAR(set.rated_W, page.rated_W, 1e-6);
  EXPECT_NEAR(set.rated_rev_per_s, page.rated_rev_per_s, 1e-9);
  EXPECT_NEAR(set.idle_rev_per_s, page.idle_rev_per_s, 1e-9);
  EXPECT_NEAR(set.cranking_rev_per_s, page.cranking_rev_per_s, 1e-9);
  EXPECT_NEAR(set.consumption_kg_per_J / page.consumption_kg_per_J, 1.0, 1e-12);
}

class TypicalSet : public ::testing::TestWithParam<std::pair<std::string, std::string>> {};

// Both sets run from a line sheet: the same set as by name, capacity that holds the rated point, a transient that keeps
// its pressure and its mass.
TEST_P(TypicalSet, RunsFromALineSheet) {
  test::QuietRun quiet;
  const auto& [id, text] = GetParam();
  const system::LineSheet sheet = sheet_of(text);
  const SheetSide side = side_of(sheet).value();
  EXPECT_FALSE(side.rail.sized_to_engine);
  EXPECT_TRUE(side.rail.filling_stated);
  expect_set(side.rail.set, rail::generic_set(id).value());

  const RailCapacity capacity = rail_capacity(sheet, usual_inlet_K, quiet.run()).value();
  EXPECT_TRUE(capacity.states.front().line.back().holds);
  EXPECT_GT(capacity.states.front().ceiling.power_W, capacity.rated_W);
  EXPECT_LT(capacity.states[1].line.back().delivery_margin, capacity.states[0].line.back().delivery_margin);

  const rail::CapacityFuel fuel = fuel_at_inlet(side, usual_inlet_K, quiet.run()).value();
  const auto ready = rail::ready_profile(side.rail.set, fuel.inlet, "idle").value();
  const auto played = rail::rail_transient(
      side.rail.set, fuel, ready.points,
      {.end_s = 0.2, .pipes = rail::PipeModel::waves, .hold = ready.hold, .start_Pa = ready.start_Pa}, ready.faults,
      quiet.run());
  ASSERT_TRUE(played) << to_text(played.error());
  EXPECT_LT(std::abs(played->mass.closure()), 1e-10);
  EXPECT_NEAR(played->trace.back().rail_Pa / side.rail.set.idle_Pa, 1.0, 0.1);
}
INSTANTIATE_TEST_SUITE_P(Page, TypicalSet,
                         ::testing::Values(std::pair{std::string("v8"), v8_text},
                                           std::pair{std::string("i4"), i4_text}),
                         [](const auto& one) { return one.param.first; });

// One question, one answer: the long run of the supply's checks and the heat section's rated point are the same loop.
TEST(FuelHeat, IsTheLongRunOfTheSupply) {
  test::QuietRun quiet;
  const system::LineSheet sheet = sheet_of(v8_text);
  const FuelHeat heat = fuel_heat(sheet, usual_air_K, quiet.run()).value();
  const supply::LongRun run = supply::long_run(sheet, usual_air_K, quiet.run());
  ASSERT_FALSE(run.checks.empty());
  ASSERT_TRUE(run.checks.front().value) << run.checks.front().sentence;
  EXPECT_NEAR(*run.checks.front().value, heat.points.front().loop.heat.inlet_K, 1e-9);
}

// Laws of the film (film.hpp): thinner fuel, thinner film; petrol is worse than diesel; water bounds them all. An
// eccentric pump has no roller.
TEST(FuelHeat, TellsTheFilmOfARollerPumpOnly) {
  test::QuietRun quiet;
  const FuelHeat cam = fuel_heat(sheet_of(v8_text), usual_air_K, quiet.run()).value();
  ASSERT_EQ(cam.wear.size(), 6U);
  double diesel = 0.0;
  for (const WearState& state : cam.wear) {
    EXPECT_GT(state.relative, 0.0);
    EXPECT_LT(state.lambda, 1.0) << "boundary even on good fuel: " << state.fuel;
    if (state.fuel == "summer diesel") diesel = state.relative;
    EXPECT_EQ(state.bounding, state.fuel == "inlet wholly water");
  }
  for (const WearState& state : cam.wear) {
    if (state.fuel == "diesel with 20 % petrol") {
      EXPECT_LT(state.relative, 0.9 * diesel);
    }
    if (state.bounding) {
      EXPECT_LT(state.relative, 0.1 * diesel);
    }
  }
  EXPECT_TRUE(fuel_heat(sheet_of(i4_text), usual_air_K, quiet.run()).value().wear.empty());
}

}  // namespace
}  // namespace fw::assess
