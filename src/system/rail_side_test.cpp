// SPDX-License-Identifier: Apache-2.0
#include "system/rail_side.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "fuel/fuel_text.hpp"
#include "small_supply.hpp"

namespace fw::system {
namespace {

LineSheet sheet_with_high_side() {
  LineSheet sheet = test::small_sheet(9.5e-3, true, InletClass::fed_low);
  sheet.high_side.cylinders = 8;
  sheet.high_side.rails = 2;
  sheet.high_side.plungers = 2;
  return sheet;
}

// Scaled to the engine, the set holds its rated point when fed; use 0.86 at torque peak, the worse of the two here.
TEST(RailSide, ScalesTheGenericSet) {
  const LineSheet sheet = sheet_with_high_side();
  const auto side = rail_side(sheet).value();
  const double peak = 128e3 * 57e-9 / 817.0;
  EXPECT_NEAR(1.2 * peak / (0.8 * side.set.pump.displacement_m3_per_rev() * 25.0 * side.set.pump.crank_ratio), 0.86,
              1e-12);
  EXPECT_FALSE(side.assumed.empty());
  const auto fuel = fuel::grade("en590").value();
  const auto charge = rail::rail_liquid(fuel, 333.15, 200e6).value();
  const auto gap = rail::rail_liquid(fuel, 353.15, 200e6).value();
  const auto point =
      rail::capacity_point(side.set, {.charge = charge.liquid, .gap = gap.liquid, .inlet = {.pressure_Pa = 5e5}},
                           {.crank_rev_per_s = side.set.rated_rev_per_s, .power_W = side.set.rated_W})
          .value();
  EXPECT_TRUE(point.holds);
}

TEST(RailSide, TakesWhatIsStated) {
  LineSheet sheet = sheet_with_high_side();
  sheet.high_side.displacement_m3 = exactly(0.9e-6);
  sheet.high_side.nozzle_flow_m3_per_s = exactly(440e-6 / 30.0);
  sheet.high_side.rail_volume_m3 = exactly(30e-6);
  sheet.high_side.rated_pressure_Pa = exactly(170e6);
  const auto side = rail_side(sheet).value();
  EXPECT_NEAR(side.set.pump.displacement_m3_per_rev(), 0.9e-6, 1e-15);
  EXPECT_NEAR(side.set.injector.nozzle_m2, rail::nozzle_area_m2(440e-6 / 30.0).value(), 1e-18);
  EXPECT_EQ(side.set.rail_volume_m3, 30e-6);
  EXPECT_NEAR(side.set.rated_Pa, 170e6 + 101325, 1e-3);
  EXPECT_EQ(side.set.pump.transfer.kind, rail::TransferStage::Kind::none);
  sheet.engine.inlet = InletClass::sucks;
  EXPECT_EQ(rail_side(sheet)->set.pump.transfer.kind, rail::TransferStage::Kind::gear);
}

TEST(RailSide, RefusesBadSheets) {
  LineSheet sheet = sheet_with_high_side();
  sheet.high_side.cylinders = 0;
  EXPECT_EQ(rail_side(sheet).error().front().where.field, "high_side.cylinders");
  const auto field = [](auto&& change) {
    LineSheet bad = sheet_with_high_side();
    change(bad.high_side);
    const auto side = rail_side(bad);
    EXPECT_FALSE(side.has_value());
    EXPECT_EQ(side.error().size(), 1U);
    return side.error().front().where.field;
  };
  EXPECT_EQ(field([](HighSide& h) { h.rail_volume_m3 = exactly(0.0); }), "high_side.rail_volume");
  EXPECT_EQ(field([](HighSide& h) { h.injector_count = 9; }), "high_side.injector_count");
  EXPECT_EQ(field([](HighSide& h) { h.rated_pressure_Pa = exactly(250e6); }), "high_side.rated_pressure");
  EXPECT_EQ(field([](HighSide& h) { h.plunger_stroke_m = exactly(-5e-3); }), "high_side.plunger_stroke");
}

// The demand law: what is asked for while the plungers fill, their charge when they do not, with a true slope.
TEST(RailSide, DemandIsCutByTheFilling) {
  const auto side = rail_side(sheet_with_high_side()).value();
  const auto liquid = rail::rail_liquid(fuel::grade("en590").value(), 333.15, 200e6)->liquid;
  const RailDemand law(side.set, liquid);
  const double n = side.set.rated_rev_per_s;
  const double injected = side.set.rated_W * side.set.consumption_kg_per_J / 817.0;
  const hydraulics::EngineDemand demand{
      .injected_m3_per_s = injected, .leakoff_m3_per_s = 0.2 * injected, .housing_m3_per_s = 2e-5, .speed_per_s = n};
  const auto at = [&](double pressure_Pa, double gas) {
    return law.take(demand,
                    {.pressure_Pa = pressure_Pa, .void_fraction = gas, .temperature_K = 333.15, .speed_per_s = n});
  };
  EXPECT_EQ(at(5e5, 0.0).taken_m3_per_s, demand.inlet_m3_per_s());
  EXPECT_EQ(at(5e5, 0.0).taken_slope_m3_per_s_Pa, 0.0);
  const auto starved = at(0.5e5, 0.1);
  EXPECT_LT(starved.taken_m3_per_s, demand.inlet_m3_per_s());
  EXPECT_GE(starved.taken_m3_per_s, starved.returned_m3_per_s);
  const double difference = (at(0.5e5 + 50, 0.1).taken_m3_per_s - at(0.5e5 - 50, 0.1).taken_m3_per_s) / 100.0;
  EXPECT_NEAR(starved.taken_slope_m3_per_s_Pa / difference, 1.0, 0.02);
}

// The loop closes, its residuals are small, and what it says hangs together: hotter air, hotter fuel.
TEST(RailSide, TemperatureLoopCloses) {
  const LineSheet sheet = sheet_with_high_side();
  const auto model = SupplyModel::build(sheet, branches(sheet).front(), default_laws()).value();
  const auto side = rail_side(sheet).value();
  InlineExecutor executor;
  SilentProgress progress;
  const auto fuel = fuel::fuel_of_text(sheet.fuel).value();
  TemperatureLoopFacts facts{.loop = {.tank = {.volume_m3 = 0.1, .conductance_W_per_K = 48.0},
                                      .supply = {.length_m = 4, .outer_m = 0.017, .coefficient_W_per_m2_K = 15},
                                      .back = {.length_m = 4, .outer_m = 0.012, .coefficient_W_per_m2_K = 15},
                                      .cooler = {.conductance_W_per_K = 15}},
                             .air_K = 303.15};
  facts.point.fuel_temperature_K = 313.15;
  const auto warm = close_temperature_loop(model, side, fuel, facts, {executor, progress, {}}).value();
  EXPECT_TRUE(warm.converged);
  EXPECT_LE(warm.residual_K, 0.05);
  EXPECT_LT(std::abs(warm.heat_residual_W), 1.0);
  EXPECT_GT(warm.heat.tank_K, facts.air_K);
  EXPECT_GT(warm.heat.engine_return_K, warm.heat.tank_return_K);
  facts.air_K = 283.15;
  const auto cool = close_temperature_loop(model, side, fuel, facts, {executor, progress, {}}).value();
  EXPECT_LT(cool.heat.inlet_K, warm.heat.inlet_K);
  facts.point.engine = EnginePoint::crank;
  EXPECT_EQ(close_temperature_loop(model, side, fuel, facts, {executor, progress, {}}).error().front().where.field,
            "point.engine");
}

}  // namespace
}  // namespace fw::system
