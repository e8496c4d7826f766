// SPDX-License-Identifier: Apache-2.0
// How far the room stands from outside values: the table of docs/theory/heat.md must be the one that these numbers
// make.
#include <cmath>
#include <vector>

#include <gtest/gtest.h>

#include "heat/exchange.hpp"
#include "heat/loop.hpp"
#include "theory_table.hpp"

namespace fw::heat {
namespace {

TEST(Deviations, StandInTheTheoryAsMeasured) {
  const std::string worked = "same formula, another program";
  std::vector<test::TheoryRow> rows;
  const FuelStream litres40{.mass_kg_per_s = 40e-3 / 3600 * 835, .heat_capacity_J_per_kg_K = 2050};
  const auto over = [&](double u) {
    return line_end_K({.length_m = 3, .outer_m = 17e-3, .coefficient_W_per_m2_K = u}, litres40, 353.15, 293.15)
               .value() -
           293.15;
  };
  const std::string line = "Exchange.MatchesTheWorkedLine";
  rows.push_back({"line of 3 m, 17 mm, 40 L/h, 60 K over the air, U 8: K left", worked, 56.0897, over(8), line});
  rows.push_back({"same, U 25", worked, 48.6058, over(25), line});
  const std::string films = "Exchange.MatchesTheWorkedFilms";
  rows.push_back({"still air on a cylinder, Nusselt at Ra 1e5, Pr 0.7", "Churchill & Chu (from memory), worked row",
                  7.7641, still_cylinder_nusselt(1e5, 0.7).value(), films});
  rows.push_back({"wind on a cylinder, Nusselt at Re 1e4, Pr 0.7", "Churchill & Bernstein (from memory), worked row",
                  53.328, wind_cylinder_nusselt(1e4, 0.7).value(), films});
  const std::string rises = "Exchange.MatchesTheConstantPropertyRises";
  const ConstantLiquid d20{.expansion_per_K = 8.3e-4, .density_kg_per_m3 = 835, .heat_capacity_J_per_kg_K = 2050};
  rows.push_back(
      {"throttling over 180 MPa at 60 C, K", worked, 76.0785, throttling_rise_K(d20, 333.15, 180e6).value(), rises});
  rows.push_back(
      {"compression over 180 MPa at 60 C, K", worked, 29.0770, compression_rise_K(d20, 333.15, 180e6).value(), rises});
  rows.push_back(
      {"whole path over 180 MPa, efficiency 0.85, K", worked, 123.712, path_rise_K(d20, 180e6, 0.85).value(), rises});

  const double hot = litres40.mass_kg_per_s * litres40.heat_capacity_J_per_kg_K;
  const double air = 3.0 * hot;
  const double power = cooler_W({.conductance_W_per_K = 15, .air_W_per_K = air}, litres40, 363.15, 303.15).value();
  const double cold_end_K = 363.15 - power / hot - 303.15;
  const double warm_end_K = 363.15 - (303.15 + power / air);
  rows.push_back({"cooler of 15 W/K, 60 K, air of three times the fuel's capacity, W", "log-mean difference (identity)",
                  15.0 * (warm_end_K - cold_end_K) / std::log(warm_end_K / cold_end_K), power,
                  "Exchange.CoolerObeysTheLogMeanDifference"});

  const auto fuel = fuel::grade("en590").value();
  const FuelLoop loop{.tank = {.volume_m3 = 0.080, .conductance_W_per_K = 40.0},
                      .supply = {.length_m = 0, .outer_m = 0.01, .coefficient_W_per_m2_K = 0},
                      .back = {.length_m = 0, .outer_m = 0.01, .coefficient_W_per_m2_K = 0}};
  const auto two_kilowatts = [](double inlet_K) -> Result<EngineHeat> {
    return EngineHeat{.taken_kg_per_s = 0.020,
                      .returned_kg_per_s = 0.020,
                      .return_K = inlet_K + 2000.0 / (0.020 * (1992.2 + 3.72 * (inlet_K - 313.15)))};
  };
  rows.push_back({"tank with 2,000 W and 40 W/K in the end, K over the air", "hand algebra", 50.0,
                  steady_loop(loop, fuel, 293.15, two_kilowatts)->state.tank_K - 293.15, "Loop.FindsTheSteadyTank"});

  const auto one_K = [](double inlet_K) -> Result<EngineHeat> {
    return EngineHeat{.taken_kg_per_s = 0.020, .returned_kg_per_s = 0.020, .return_K = inlet_K + 1.0};
  };
  const EngineHeatLaw law(one_K);
  const double heat_W = loop_state(loop, fuel, 313.15, 313.15, law)->heat_W;
  const double mass_kg = 0.080 * fuel::density_kg_per_m3(fuel, 313.15)->value;
  const auto day = work_day(loop, fuel, 313.15, {{.duration_s = 3600, .air_K = 313.15}}, {law}).value();
  rows.push_back({"80 L after one hour at constant mass, K over the air", "closed form, 1 - exp(-t UA/(m cp))",
                  heat_W / 40.0 * (1.0 - std::exp(-3600.0 * 40.0 / (mass_kg * heat_W / 0.020))),
                  day.samples.back().state.tank_K - 313.15, "Loop.WarmsUpLikeTheClosedForm"});
  test::expect_theory_table("heat.md", "heat", rows);
}

}  // namespace
}  // namespace fw::heat
