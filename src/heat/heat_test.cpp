// SPDX-License-Identifier: Apache-2.0
#include <cmath>
#include <string>

#include <gtest/gtest.h>

#include "heat/exchange.hpp"
#include "heat/loop.hpp"

namespace fw::heat {
namespace {

// D20 of the hydraulics page: 835 kg/m3, 2050 J/(kg K).
constexpr FuelStream litres40{.mass_kg_per_s = 40e-3 / 3600 * 835, .heat_capacity_J_per_kg_K = 2050};

// Hydraulics page 7: OD 17 mm, 3 m, 40 L/h, +60 K.
TEST(Exchange, MatchesTheWorkedLine) {
  const auto over = [](double u) {
    return line_end_K({.length_m = 3, .outer_m = 17e-3, .coefficient_W_per_m2_K = u}, litres40, 353.15, 293.15)
               .value() -
           293.15;
  };
  EXPECT_NEAR(over(8), 56.0897, 1e-4);
  EXPECT_NEAR(over(25), 48.6058, 1e-4);
}

TEST(Exchange, MatchesTheWorkedFilms) {
  EXPECT_NEAR(still_cylinder_nusselt(1e5, 0.7).value(), 7.7641, 1e-4);
  EXPECT_NEAR(wind_cylinder_nusselt(1e4, 0.7).value(), 53.328, 1e-3);
}

// T26 and the worked rows of the hydraulics page, D20 with a 8.3e-4 1/K.
TEST(Exchange, MatchesTheConstantPropertyRises) {
  EXPECT_NEAR(throttling_rise_K({6.5e-4, 840, 2150}, 350, 180e6).value(), 77.0, 0.05);
  EXPECT_NEAR(compression_rise_K({5.5e-4, 860, 2100}, 340, 180e6).value(), 18.6, 0.05);
  const ConstantLiquid d20{8.3e-4, 835, 2050};
  EXPECT_NEAR(throttling_rise_K(d20, 333.15, 180e6).value(), 76.0785, 1e-3);
  EXPECT_NEAR(compression_rise_K(d20, 333.15, 180e6).value(), 29.0770, 1e-3);
  EXPECT_NEAR(path_rise_K(d20, 180e6, 0.85).value(), 123.712, 1e-3);
}

// Counter flow against the log-mean temperature difference, which must give the same power.
TEST(Exchange, CoolerObeysTheLogMeanDifference) {
  const double hot = litres40.mass_kg_per_s * litres40.heat_capacity_J_per_kg_K;
  for (const double air : {0.5 * hot, hot * 1.000000001, 3.0 * hot}) {
    const double power = cooler_W({.conductance_W_per_K = 15, .air_W_per_K = air}, litres40, 363.15, 303.15).value();
    const double a = 363.15 - (303.15 + power / air);
    const double b = 363.15 - power / hot - 303.15;
    const double mean = std::abs(a - b) < 1e-4 ? a : (a - b) / std::log(a / b);
    EXPECT_NEAR(power, 15 * mean, 1e-3 * power) << air;
  }
  EXPECT_NEAR(cooler_W({.conductance_W_per_K = 15}, litres40, 363.15, 303.15).value(),
              hot * 60 * (1 - std::exp(-15 / hot)), 1e-9);
  EXPECT_EQ(cooler_W({}, litres40, 363.15, 303.15).value(), 0.0);
}

// A tank in air, lines without loss.
FuelLoop insulated_lines(double conductance) {
  return {.tank = {.volume_m3 = 0.080, .conductance_W_per_K = conductance},
          .supply = {.length_m = 0, .outer_m = 0.01, .coefficient_W_per_m2_K = 0},
          .back = {.length_m = 0, .outer_m = 0.01, .coefficient_W_per_m2_K = 0}};
}

// Hydraulics page 7: UA 40 W/K, 2,000 W: +50 K in the end.
TEST(Loop, FindsTheSteadyTank) {
  const auto fuel = fuel::grade("en590").value();
  const auto engine = [&](double inlet_K) -> Result<EngineHeat> {
    // 2,000 W into 20 g/s, with the heat capacity at the tank.
    return EngineHeat{.taken_kg_per_s = 0.020,
                      .returned_kg_per_s = 0.020,
                      .return_K = inlet_K + 2000.0 / (0.020 * (1992.2 + 3.72 * (inlet_K - 313.15)))};
  };
  const auto steady = steady_loop(insulated_lines(40.0), fuel, 293.15, engine).value();
  EXPECT_NEAR(steady.state.tank_K, 343.15, 0.05);  // the straight line stands for the room's heat capacity
  EXPECT_LT(std::abs(steady.residual_W), 1e-3);
  EXPECT_NEAR(steady.state.inlet_K, steady.state.tank_K, 1e-9);
}

// 80 L, +32.5303 K after 1 h at constant mass for cp 2050 and 835 kg/m3: the same closed form with the numbers that the
// fuel room has, time constant m cp/UA.
TEST(Loop, WarmsUpLikeTheClosedForm) {
  const double tau = 0.080 * 835 * 2050 / 40.0;
  EXPECT_NEAR(tau, 3423.5, 0.1);
  EXPECT_NEAR(50.0 * (1 - std::exp(-3600 / tau)), 32.5303, 1e-3);
  // A fuel whose capacity hardly changes over 1 K: scale the power down by 50, so that closed form and model agree.
  const auto fuel = fuel::grade("en590").value();
  double capacity = 0.0;
  const auto engine = [&](double inlet_K) -> Result<EngineHeat> {
    return EngineHeat{.taken_kg_per_s = 0.020, .returned_kg_per_s = 0.020, .return_K = inlet_K + 1.0};
  };
  const EngineHeatLaw law(engine);
  const FuelLoop loop = insulated_lines(40.0);
  const auto start = loop_state(loop, fuel, 313.15, 313.15, law).value();
  capacity = start.heat_W / 0.020;
  const double mass = 0.080 * fuel::density_kg_per_m3(fuel, 313.15)->value;
  const auto day = work_day(loop, fuel, 313.15, {{.duration_s = 3600, .air_K = 313.15}}, {law}).value();
  const double exact = start.heat_W / 40.0 * (1 - std::exp(-3600 * 40.0 / (mass * capacity)));
  EXPECT_NEAR((day.samples.back().state.tank_K - 313.15) / exact, 1.0, 2e-3);
  EXPECT_NEAR(day.samples.back().fuel_kg, mass, 1e-9);
  EXPECT_LT(day.largest_step_error_K, 0.01);
}

// Order of the step: what one step and two halves differ by falls by 2^5 with the step halved, as a fourth-order
// method's local error does.
TEST(Loop, TheStepOfADayIsOfFourthOrder) {
  const auto fuel = fuel::grade("en590").value();
  const auto engine = [](double inlet_K) -> Result<EngineHeat> {
    return EngineHeat{.taken_kg_per_s = 0.045, .returned_kg_per_s = 0.030, .return_K = inlet_K + 35.0};
  };
  const std::vector<EngineHeatLaw> laws{EngineHeatLaw(engine)};
  FuelLoop loop = insulated_lines(35.0);
  loop.tank.volume_m3 = 0.120;
  double before_K = 0.0;
  for (const double step_s : {480.0, 240.0, 120.0}) {
    const double error_K =
        work_day(loop, fuel, 303.15, {{.duration_s = 1440, .air_K = 303.15}}, laws, step_s)->largest_step_error_K;
    EXPECT_GT(error_K, 0.0);
    if (before_K > 0.0) {
      EXPECT_NEAR(std::log2(before_K / error_K), 5.0, 0.3) << step_s << " s, " << error_K << " K";
    }
    RecordProperty("step_" + std::to_string(static_cast<int>(step_s)), std::to_string(error_K * 1e9) + " nK");
    before_K = error_K;
  }
}

// A day: warms while it works, cools while it stands, empties at the rate burnt, and says where it was hottest.
TEST(Loop, DayFollowsItsParts) {
  const auto fuel = fuel::grade("en590").value();
  const auto hard = [](double inlet_K) -> Result<EngineHeat> {
    return EngineHeat{.taken_kg_per_s = 0.045, .returned_kg_per_s = 0.030, .return_K = inlet_K + 35.0};
  };
  const auto rest = [](double inlet_K) -> Result<EngineHeat> {
    return EngineHeat{.taken_kg_per_s = 0.006, .returned_kg_per_s = 0.0055, .return_K = inlet_K + 10.0};
  };
  FuelLoop loop = insulated_lines(35.0);
  loop.tank.volume_m3 = 0.120;
  const std::vector<EngineHeatLaw> laws{EngineHeatLaw(hard), EngineHeatLaw(rest)};
  const std::vector<DayPart> parts{{.duration_s = 3600, .air_K = 303.15, .engine_point = 0},
                                   {.duration_s = 3600, .air_K = 303.15, .engine_point = 1, .tank_W_per_K = 15.0}};
  const auto day = work_day(loop, fuel, 303.15, parts, laws).value();
  EXPECT_FALSE(day.ran_dry);
  const double start = day.samples.front().fuel_kg;
  EXPECT_NEAR(day.samples.back().fuel_kg, start - 3600 * (0.015 + 0.0005), 1e-6);
  EXPECT_NEAR(day.hottest.time_s, 3600, 61);
  EXPECT_LT(day.samples.back().state.tank_K, day.hottest.state.tank_K);
  loop.tank.volume_m3 = 0.040;
  EXPECT_TRUE(work_day(loop, fuel, 303.15, parts, laws)->ran_dry);
}

// The cooler that is asked for holds the temperature that was asked for.
TEST(Loop, CoolerNeedHoldsTheInlet) {
  const auto fuel = fuel::grade("en590").value();
  const auto engine = [](double inlet_K) -> Result<EngineHeat> {
    return EngineHeat{.taken_kg_per_s = 0.045, .returned_kg_per_s = 0.030, .return_K = inlet_K + 40.0};
  };
  FuelLoop loop = insulated_lines(35.0);
  const double limit_K = 339.15;
  const double need = cooler_need_W_per_K(loop, fuel, 308.15, engine, limit_K).value();
  EXPECT_GT(need, 1.0);
  loop.cooler.conductance_W_per_K = need;
  EXPECT_NEAR(steady_loop(loop, fuel, 308.15, engine)->state.inlet_K, limit_K, 1e-2);
  EXPECT_LT(cooler_need_W_per_K(loop, fuel, 258.15, engine, limit_K).value(), need);
  EXPECT_EQ(cooler_need_W_per_K(loop, fuel, 308.15, engine, 300.0).error().front().code, ErrorCode::outside_model);
}

TEST(Loop, NamesTheBadField) {
  const auto fuel = fuel::grade("en590").value();
  const auto engine = [](double inlet_K) -> Result<EngineHeat> {
    return EngineHeat{.taken_kg_per_s = 0.01, .returned_kg_per_s = 0.02, .return_K = inlet_K};
  };
  FuelLoop loop = insulated_lines(35.0);
  EXPECT_EQ(steady_loop(loop, fuel, 300, engine).error().front().where.field, "engine.returned_kg_per_s");
  loop.tank.volume_m3 = 0.0;
  EXPECT_EQ(steady_loop(loop, fuel, 300, engine).error().front().where.field, "loop.tank.volume_m3");
  EXPECT_EQ(work_day(insulated_lines(35), fuel, 300, {}, {}).error().front().where.field, "parts");
  EXPECT_EQ(wind_cylinder_nusselt(0.1, 0.7).error().front().where.field, "reynolds");
}

}  // namespace
}  // namespace fw::heat
