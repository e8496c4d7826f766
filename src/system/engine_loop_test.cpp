// SPDX-License-Identifier: Apache-2.0
#include "system/engine_loop.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "fuel/fuel_text.hpp"
#include "small_supply.hpp"

namespace fw::system {
namespace {

using test::litre_per_hour;

constexpr double tank_K = 313.15;

Leg line(const char* id, const char* from, const char* to) {
  Leg leg{.id = id, .from = from, .to = to};
  Part hose;
  hose.id = std::string(id) + "-hose";
  hose.title = hose.id;
  hose.kind = PartKind::hose;
  hose.line = Line{.bore_m = exactly(0.0127), .length_m = exactly(1.0)};
  leg.parts.push_back(hose);
  return leg;
}

LineSheet sheet_with(const char* return_to) {
  LineSheet sheet = test::small_sheet(0.0127, true, InletClass::fed_low);
  sheet.high_side.cylinders = 8;
  sheet.high_side.rails = 2;
  sheet.high_side.plungers = 2;
  sheet.high_side.displacement_m3 = exactly(0.8e-6);
  sheet.legs.front().to = "meet";
  sheet.legs.push_back(line("run", "meet", "engine"));
  sheet.legs.push_back(line("back", "engine-return", return_to));
  return sheet;
}

EngineLoop closed(const LineSheet& sheet, const std::vector<RunningPoint>& points) {
  InlineExecutor executor;
  SilentProgress progress;
  const auto model = SupplyModel::build(sheet, branches(sheet).front(), default_laws()).value();
  const auto side = rail_side(sheet).value();
  return close_engine_loop(model, side, fuel::fuel_of_text(sheet.fuel).value(), points, {executor, progress, {}})
      .value();
}

// Heat balance of the junction: what runs to the engine carries what tank and return bring, whatever the rise is.
TEST(EngineLoop, StreamsThatMeetKeepTheirHeat) {
  const LineSheet sheet = sheet_with("meet");
  const EngineLoop loop = closed(sheet, {{.engine = EnginePoint::rated, .fuel_temperature_K = tank_K},
                                         {.engine = EnginePoint::idle, .fuel_temperature_K = tank_K}});
  ASSERT_TRUE(loop.converged);
  EXPECT_LE(loop.residual_K, 0.05);
  for (std::size_t i = 0; i < loop.points.size(); ++i) {
    const LoopPoint& point = loop.points[i];
    const PointState& state = loop.states[i];
    EXPECT_EQ(point.leg_K[0], tank_K);
    EXPECT_NEAR(point.leg_K[1], point.inlet_K, 1e-3);
    EXPECT_NEAR(point.leg_K[2], point.return_K, 1e-3);
    EXPECT_GT(point.return_K, point.inlet_K + 1.0);
    const double returned = state.return_m3_per_s / state.taken_m3_per_s;
    EXPECT_GT(returned, 0.1);
    EXPECT_NEAR(point.inlet_K, (1.0 - returned) * tank_K + returned * point.return_K, 0.05) << i;
  }
  EXPECT_GT(loop.points[1].inlet_K, tank_K + 1.0) << "at idle most of what is taken comes round again";
}

TEST(EngineLoop, AReturnToTheTankWarmsItsOwnLegOnly) {
  const LineSheet sheet = sheet_with("tank");
  const EngineLoop loop = closed(sheet, {{.engine = EnginePoint::rated, .fuel_temperature_K = tank_K},
                                         {.engine = EnginePoint::crank, .fuel_temperature_K = tank_K}});
  ASSERT_TRUE(loop.converged);
  EXPECT_EQ(loop.points[0].inlet_K, tank_K);
  EXPECT_EQ(loop.points[0].leg_K[1], tank_K);
  EXPECT_GT(loop.points[0].leg_K[2], tank_K + 5.0);
  EXPECT_EQ(loop.points[1].leg_K[2], tank_K) << "a cranked engine heats nothing";
  EXPECT_EQ(loop.states[0].taken_m3_per_s, loop.states[0].demand_m3_per_s);
  EXPECT_FALSE(loop.states[0].unfilled);
}

// What cannot be charged is not taken. A well-fed pump that is too small lacks nothing that the supply could give; a
// thin suction leaves the plungers unfilled. Either way the engine takes the charge at the solved inlet.
TEST(EngineLoop, TheEngineTakesWhatThePlungersCharge) {
  const RunningPoint rated{.engine = EnginePoint::rated, .fuel_temperature_K = tank_K};
  const auto expect_charge = [&](const EngineLoop& loop) {
    ASSERT_TRUE(loop.converged);
    const PointState& state = loop.states[0];
    EXPECT_LT(state.taken_m3_per_s, 0.99 * state.demand_m3_per_s);
    EXPECT_FALSE(state.starved);
    const EngineTake take =
        loop.points[0].demand->take({.injected_m3_per_s = state.demand_m3_per_s, .speed_per_s = state.speed_per_s},
                                    {.pressure_Pa = state.ambient_Pa + state.inlet_over_ambient_Pa,
                                     .void_fraction = state.inlet_void,
                                     .temperature_K = tank_K,
                                     .speed_per_s = state.speed_per_s});
    // With the housing's own flow on top.
    EXPECT_NEAR(state.taken_m3_per_s, take.taken_m3_per_s + 90 * litre_per_hour, 2e-5 * state.taken_m3_per_s);
  };
  LineSheet small = sheet_with("tank");
  small.high_side.displacement_m3 = exactly(0.3e-6);
  const EngineLoop fed = closed(small, {rated});
  expect_charge(fed);
  EXPECT_FALSE(fed.states[0].unfilled);
  EXPECT_NEAR(fed.states[0].well_fed_m3_per_s, fed.states[0].taken_m3_per_s, 2e-5 * fed.states[0].taken_m3_per_s);

  LineSheet thin = test::small_sheet(0.0052, false, InletClass::fed_low);
  thin.high_side.cylinders = 6;
  thin.high_side.plungers = 2;
  thin.high_side.displacement_m3 = exactly(0.5e-6);
  thin.legs.push_back(line("back", "engine-return", "tank"));
  const EngineLoop starving = closed(thin, {rated});
  expect_charge(starving);
  EXPECT_TRUE(starving.states[0].unfilled);
  EXPECT_GT(starving.states[0].well_fed_m3_per_s, 1.01 * starving.states[0].taken_m3_per_s);
}

}  // namespace
}  // namespace fw::system
