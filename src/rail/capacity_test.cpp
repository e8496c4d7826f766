// SPDX-License-Identifier: Apache-2.0
#include "rail/capacity.hpp"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "published_table.hpp"
#include "rail_cases.hpp"

namespace fw::rail {
namespace {

using test::MPa;
using test::page_fuel;
using test::rpm;

// The V8 as the table of 1.8 has it: plunger leak and inlet valve left out.
HighPressureSet table_set(double stroke_mm) {
  HighPressureSet set = generic_set("v8").value();
  set.pump.drive.stroke_m = stroke_mm * 1e-3;
  set.pump.gap = {.bore_m = 6.5e-3, .length_m = 12e-3, .clearance_m = 1e-9};
  set.pump.inlet_valve_m2 = 1.0;
  return set;
}

// T12 and the whole table of 1.8, 1 %.
TEST(Capacity, MatchesTheLargerPumpTable) {
  const auto table = test::published_table("rail/larger_pump.csv");
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const auto ceiling =
        fuel_ceiling(table_set(table.number(row, "stroke_mm")), page_fuel(), 3000 * rpm,
                     {.kind = Duration::Kind::fixed, .full_rate_s = table.number(row, "duration_ms") * 1e-3})
            .value();
    EXPECT_NEAR(ceiling.rail_Pa / MPa / table.number(row, "p_MPa"), 1.0, 0.01) << row;
    EXPECT_NEAR(ceiling.injected_kg_per_s * 1e3 / table.number(row, "injected_g_per_s"), 1.0, 0.01) << row;
    EXPECT_NEAR(ceiling.power_W / 1e3 / table.number(row, "power_kW"), 1.0, 0.01) << row;
    const double uncapped = table.number(row, "uncapped_MPa");
    if (uncapped > 0.0) {
      EXPECT_NEAR(ceiling.uncapped_Pa / MPa / uncapped, 1.0, 0.01) << row;
    }
    EXPECT_EQ(ceiling.limit, table.number(row, "p_MPa") < 180 ? Limit::pump : Limit::pressure) << row;
  }
}

// Rules of 1.8: +15 % buys nothing while demand-limited, 1.27 in pressure below the cap, 1.18 in fuel at the cap.
TEST(Capacity, LargerPumpFollowsTheRules) {
  const auto at = [](double duration_s) {
    return swap_effect(table_set(6.0), table_set(6.9), page_fuel(), 3000 * rpm,
                       {.kind = Duration::Kind::fixed, .full_rate_s = duration_s})
        .value();
  };
  EXPECT_NEAR(at(1.847e-3).ceiling_ratio, 1.0, 1e-12);
  EXPECT_NEAR(at(3.0e-3).after.rail_Pa / at(3.0e-3).before.rail_Pa, 1.27, 0.01);
  // At 180 MPa both pumps saturated: what they deliver less the fixed toll, 24.2 and 28.6 g/s.
  const auto spare = [](double stroke_mm) {
    const HighPressureSet set = table_set(stroke_mm);
    const auto fuel = page_fuel();
    const auto state =
        pump_state(set.pump, fuel.charge, fuel.gap, {.shaft_rev_per_s = 50.0, .rail_Pa = 180e6, .inlet = fuel.inlet})
            .value();
    return state.delivered_kg_per_s -
           fuel.charge.free_density_kg_per_m3 * (200.0 * set.injector.control_m3 + 8.0 * set.injector.static_m3_per_s);
  };
  EXPECT_NEAR(spare(6.0) * 1e3, 24.2, 0.1);
  EXPECT_NEAR(spare(6.9) * 1e3, 28.6, 0.1);
  EXPECT_NEAR(spare(6.9) / spare(6.0), 1.18, 0.005);
  EXPECT_NEAR(at(3.0e-3).inlet_after_m3_per_s / at(3.0e-3).inlet_before_m3_per_s, 1.10, 0.03);
}

// T21, with the page's mass densities: 22.97 cm3/s of 18.75 g/s is 816.3 kg/m3.
TEST(Capacity, MatchesTheWorkedDemand) {
  const auto demand =
      worked_demand(generic_set("v8").value(), test::page_liquid(60.0), {.crank_rev_per_s = 50.0, .power_W = 300e3})
          .value();
  EXPECT_NEAR(demand.shot_kg * 1e6, 93.75, 0.01);
  EXPECT_NEAR(demand.rail_m3_per_s * 1e6, 30.39, 0.02);
  EXPECT_NEAR(demand.rail_m3_per_s * 3.6e6, 109.4, 0.1);
  // The page reckons with the leaks at 180 MPa, not at the rated pressure of this set.
  HighPressureSet i4 = generic_set("i4").value();
  i4.rated_Pa = 180e6;
  const auto small =
      worked_demand(i4, test::page_liquid(60.0), {.crank_rev_per_s = 4000 * rpm, .power_W = 120e3}).value();
  EXPECT_NEAR(small.shot_kg * 1e6, 57.5, 0.01);
  EXPECT_NEAR(small.rail_m3_per_s * 1e6, 12.82, 0.06);
}

// Surplus must fall with pressure: what the bracketed search relies on.
TEST(Capacity, SustainablePressureBalancesTheMasses) {
  HighPressureSet set = generic_set("v8").value();
  set.window_rad = 0.9;  // injectors that could inject for longer than the pump delivers
  const auto fuel = page_fuel();
  const auto point = capacity_point(set, fuel, {.crank_rev_per_s = 50.0, .power_W = 380e3}).value();
  ASSERT_LT(point.sustainable_Pa, set.rated_Pa);
  EXPECT_NEAR(point.delivered_kg_per_s / (point.demand_kg_per_s + point.returned_kg_per_s), 1.0, 1e-6);
  EXPECT_EQ(point.limit, Limit::pump);
  EXPECT_LT(point.delivery_margin, 0.0);
  const auto rated = capacity_point(set, fuel, {.crank_rev_per_s = 50.0, .power_W = 300e3}).value();
  EXPECT_EQ(rated.limit, Limit::none);
  EXPECT_TRUE(rated.holds);
  EXPECT_GT(rated.delivery_margin, 0.0);
}

// The limit is named: gas and pressure at the inlet cut the filling before the pump runs out.
TEST(Capacity, NamesTheSupply) {
  auto fuel = page_fuel();
  fuel.inlet = {.pressure_Pa = 0.6e5, .gas_fraction = 0.1};
  const auto ceiling = fuel_ceiling(generic_set("v8").value(), fuel, 50.0).value();
  EXPECT_EQ(ceiling.limit, Limit::supply);
  const auto healthy = fuel_ceiling(generic_set("v8").value(), page_fuel(), 50.0).value();
  EXPECT_EQ(healthy.limit, Limit::injector);
  EXPECT_LT(ceiling.power_W, 0.9 * healthy.power_W);
}

// A worn pump fails at low speed and high pressure first; worn injectors take their share at every speed.
TEST(Capacity, WearShowsAtLowSpeedFirst) {
  const HighPressureSet healthy = generic_set("v8").value();
  const HighPressureSet pump_worn = worn(healthy, {.clearance_m = 2e-6}).value();
  const auto fuel = page_fuel();
  const auto margin = [&](const HighPressureSet& set, double speed) {
    return capacity_point(set, fuel, {.crank_rev_per_s = speed, .power_W = 300e3 * speed / 50.0})->delivery_margin;
  };
  const double lost_slow = margin(healthy, 11.0) - margin(pump_worn, 11.0);
  const double lost_fast = margin(healthy, 50.0) - margin(pump_worn, 50.0);
  EXPECT_GT(lost_slow, 2.0 * lost_fast);
  const HighPressureSet leaking = worn(healthy, {.static_factor = 6.0, .control_factor = 2.0}).value();
  EXPECT_LT(margin(leaking, 50.0), margin(healthy, 50.0));
}

// The map is the points.
TEST(Capacity, MapHoldsItsPoints) {
  const HighPressureSet set = generic_set("i4").value();
  const auto map =
      capacity_map(set, page_fuel(),
                   {.speeds = 5, .powers = 4, .lowest_rev_per_s = 10, .highest_rev_per_s = 70, .highest_W = 160e3})
          .value();
  ASSERT_EQ(map.points.size(), 20U);
  const auto& last = map.points.back();
  const auto alone = capacity_point(set, page_fuel(), {.crank_rev_per_s = 70, .power_W = 160e3}).value();
  EXPECT_EQ(last.sustainable_Pa, alone.sustainable_Pa);
  EXPECT_EQ(last.limit, alone.limit);
}

// Both generic sets hold their own rated point, healthy, with the page's fuel.
TEST(Capacity, GenericSetsHoldTheirRatedPoint) {
  for (const char* id : {"v8", "i4"}) {
    const HighPressureSet set = generic_set(id).value();
    const auto point =
        capacity_point(set, page_fuel(), {.crank_rev_per_s = set.rated_rev_per_s, .power_W = set.rated_W}).value();
    EXPECT_TRUE(point.holds) << id;
    EXPECT_GT(point.delivery_margin, 0.0) << id;
  }
}

TEST(Capacity, RefusesBadSets) {
  const auto fuel = page_fuel();
  const CapacityQuestion question{.crank_rev_per_s = 50.0, .power_W = 1e5};
  const auto field = [&](auto&& change) {
    HighPressureSet set = generic_set("v8").value();
    change(set);
    const auto point = capacity_point(set, fuel, question);
    EXPECT_FALSE(point.has_value());
    EXPECT_EQ(point.error().size(), 1U);
    return point.error().front().where.field;
  };
  EXPECT_EQ(field([](auto& s) { s.rail_volume_m3 = 0.0; }), "rail_volume_m3");
  EXPECT_EQ(field([](auto& s) { s.injectors = 9; }), "injectors");
  EXPECT_EQ(field([](auto& s) { s.rated_Pa = 215e6; }), "rated_Pa");
  EXPECT_EQ(field([](auto& s) { s.pump.drive.stroke_m = -1e-3; }), "pump.drive.stroke_m");
  EXPECT_EQ(generic_set("v12").error().front().code, ErrorCode::not_found);
  EXPECT_EQ(worn(generic_set("v8").value(), {.static_factor = 0.5}).error().front().where.field, "wear.static_factor");
}

}  // namespace
}  // namespace fw::rail
