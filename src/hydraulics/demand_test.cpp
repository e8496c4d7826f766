// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/demand.hpp"

#include <algorithm>
#include <string>

#include <gtest/gtest.h>

#include "hydraulics_cases.hpp"

namespace fw::hydraulics {
namespace {

using test::litre_per_hour;
using test::published_table;

constexpr double density_kg_per_m3 = 817.0;

EngineFacts inline_six() {
  return {.displacement_m3 = 5.6e-3,
          .rated_power_W = 230e3,
          .rated_speed_per_s = 2800.0 / 60.0,
          .idle_speed_per_s = 700.0 / 60.0};
}

// Check value of the demand law: 230 kW, 817 kg/m3, 225 g/kWh, 20 %, 90 L/h.
TEST(Demand, MatchesTheCheckValue) {
  const auto demand = engine_demand(inline_six(), EnginePoint::rated, density_kg_per_m3).value();
  EXPECT_NEAR(demand.injected_m3_per_s / litre_per_hour, 63.34, 0.005);
  EXPECT_NEAR(demand.leakoff_m3_per_s / litre_per_hour, 12.67, 0.005);
  EXPECT_NEAR(demand.housing_m3_per_s / litre_per_hour, 90.0, 1e-9);
  EXPECT_NEAR(demand.inlet_m3_per_s() / litre_per_hour, 166.01, 0.01);
}

// Layouts page 6, nine archetypes; the tolerance is half a printed digit.
TEST(Demand, MatchesTheArchetypes) {
  const auto table = published_table("hydraulics/demand_archetypes.csv");
  ASSERT_EQ(table.rows.size(), 9u);
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const auto at = [&](const char* column) { return table.number(row, column); };
    EngineFacts engine{.displacement_m3 = 1e-3 * at("litres"),
                       .rated_power_W = 1e3 * at("rated_kW"),
                       .rated_speed_per_s = at("rated_rpm") / 60.0,
                       .idle_speed_per_s = at("idle_rpm") / 60.0,
                       .crank_speed_per_s = at("crank_rpm") / 60.0,
                       .rated_consumption_kg_per_J = 1e-3 * at("rated_g_per_kWh") / 3.6e6,
                       .torque_peak_consumption_kg_per_J = 1e-3 * at("peak_g_per_kWh") / 3.6e6,
                       .housing_flow_m3_per_s = at("housing") * litre_per_hour};
    const bool has_peak = table.text(row, "peak_kW") != "-";
    if (has_peak) {
      engine.torque_peak_power_W = 1e3 * at("peak_kW");
      engine.torque_peak_speed_per_s = at("peak_rpm") / 60.0;
    }
    const auto demand = [&](EnginePoint point) { return engine_demand(engine, point, density_kg_per_m3).value(); };
    const auto agrees = [&](double flow_m3_per_s, const char* column) {
      EXPECT_NEAR(flow_m3_per_s / litre_per_hour, at(column), 0.0501) << table.text(row, "id") << " " << column;
    };
    const EngineDemand rated = demand(EnginePoint::rated);
    agrees(rated.injected_m3_per_s, "Q_inj");
    agrees(rated.leakoff_m3_per_s, "leakoff");
    agrees(rated.inlet_m3_per_s(), "Q_in");
    agrees(rated.return_m3_per_s(), "returned");
    agrees(demand(EnginePoint::cruise).injected_m3_per_s, "cruise_Q_inj");
    agrees(demand(EnginePoint::idle).inlet_m3_per_s(), "idle_Q_in");
    // The table's point without load is at 2,500 rpm.
    const double table_speed_per_s = std::min(2500.0 / 60.0, engine.rated_speed_per_s);
    agrees(no_load_demand(engine, table_speed_per_s)->inlet_m3_per_s(), "no_load_Q_in");
    const double raised_per_s = std::min(2000.0 / 60.0, engine.rated_speed_per_s);
    EXPECT_DOUBLE_EQ(demand(EnginePoint::raised).inlet_m3_per_s(),
                     no_load_demand(engine, raised_per_s)->inlet_m3_per_s());
    agrees(demand(EnginePoint::crank).inlet_m3_per_s(), "crank_Q_in");
    EXPECT_EQ(demand(EnginePoint::crank).injected_m3_per_s, 0.0);
    EXPECT_EQ(demand(EnginePoint::stopped).inlet_m3_per_s(), 0.0);
    if (has_peak) {
      agrees(demand(EnginePoint::torque_peak).injected_m3_per_s, "peak_Q_inj");
      agrees(demand(EnginePoint::torque_peak).inlet_m3_per_s(), "peak_Q_in");
    } else {
      EXPECT_EQ(engine_demand(engine, EnginePoint::torque_peak, density_kg_per_m3).error().front().code,
                ErrorCode::not_found);
    }
  }
}

// Layouts page 9, K1: the suction-fed vee-eight at 3,000 rpm without load takes 107.47 L/h.
TEST(Demand, FollowsSpeedWithoutLoad) {
  EngineFacts engine{
      .displacement_m3 = 6.6e-3, .rated_power_W = 240e3, .rated_speed_per_s = 50.0, .idle_speed_per_s = 680.0 / 60.0};
  EXPECT_NEAR(no_load_demand(engine, 50.0)->inlet_m3_per_s() / litre_per_hour, 107.47, 0.005);
  EXPECT_EQ(no_load_demand(engine, -1.0).error().front().where.field, "speed_per_s");
}

// Identity over every point: what goes in is burned or comes back.
TEST(Demand, TakesWhatItBurnsAndReturns) {
  EngineFacts engine = inline_six();
  engine.torque_peak_power_W = 170e3;
  engine.torque_peak_speed_per_s = 1700.0 / 60.0;
  for (const EnginePoint point : {EnginePoint::stopped, EnginePoint::crank, EnginePoint::idle, EnginePoint::raised,
                                  EnginePoint::cruise, EnginePoint::torque_peak, EnginePoint::rated}) {
    const auto demand = engine_demand(engine, point, density_kg_per_m3).value();
    EXPECT_DOUBLE_EQ(demand.inlet_m3_per_s() - demand.return_m3_per_s() + 1.0, demand.injected_m3_per_s + 1.0);
  }
  const auto again =
      load_demand(engine, {.power_W = 230e3, .consumption_kg_per_J = 225e-3 / 3.6e6, .speed_per_s = 2800.0 / 60.0},
                  density_kg_per_m3);
  EXPECT_DOUBLE_EQ(again->inlet_m3_per_s(),
                   engine_demand(engine, EnginePoint::rated, density_kg_per_m3)->inlet_m3_per_s());
}

TEST(Demand, NamesTheBadField) {
  const auto field = [](const EngineFacts& engine) {
    return engine_demand(engine, EnginePoint::idle, density_kg_per_m3).error().front().where.field;
  };
  EngineFacts engine = inline_six();
  engine.displacement_m3 = required;
  EXPECT_EQ(field(engine), "engine.displacement_m3");
  engine = inline_six();
  engine.idle_speed_per_s = 60.0;
  EXPECT_EQ(field(engine), "engine.idle_speed_per_s");
  engine = inline_six();
  engine.leakoff_share = 1.2;
  EXPECT_EQ(field(engine), "engine.leakoff_share");
  EXPECT_EQ(engine_demand(inline_six(), EnginePoint::rated, 0.0).error().front().where.field, "density_kg_per_m3");
  EXPECT_EQ(load_demand(inline_six(), {.power_W = 1.0, .consumption_kg_per_J = 1.0}, 800.0).error().front().where.field,
            "load.speed_per_s");
}

}  // namespace
}  // namespace fw::hydraulics
