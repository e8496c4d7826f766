// SPDX-License-Identifier: Apache-2.0
#include "assess/rail_section.hpp"

#include <algorithm>
#include <span>
#include <utility>

#include "fuel/fuel_text.hpp"

namespace fw::assess {

namespace {

constexpr double gap_warmer_K = 20.0;  // of the gaps over the charge, judged
constexpr double highest_Pa = 200e6;
constexpr double road_tank_m3 = 0.120;     // layouts: pickup V8, typical
constexpr double moving_W_per_K = 48.0;    // part data: light truck, mid, moving, typical
constexpr double standing_W_per_K = 19.0;  // the same, standing
constexpr double inlet_limit_K = 339.15;   // 66 C to the injectors, published engine application data

}  // namespace

Result<SheetSide> side_of(const system::LineSheet& sheet) {
  auto rail = system::rail_side(sheet);
  if (!rail) return fail(rail.error().in_file(sheet.file));
  const bool constant = sheet.fuel == "constant";
  if (constant) rail->assumed.emplace_back("fuel grade en590 for the constant fluid");
  auto fuel = constant ? fuel::fuel_of_text("en590") : system::fuel_of_sheet(sheet);
  if (!fuel) return fail(fuel.error().in_file(sheet.file));
  auto model = system::SupplyModel::build(sheet, system::branches(sheet).front(), system::default_laws());
  if (!model) return fail(model.error().in_file(sheet.file));
  return SheetSide{.fuel = std::move(*fuel), .rail = std::move(*rail), .model = std::move(*model)};
}

Result<rail::CapacityFuel> fuel_at_inlet(const SheetSide& side, double inlet_K, const Run& run) {
  const auto charge = rail::rail_liquid(side.fuel, inlet_K, highest_Pa);
  if (!charge) return fail(charge.error());
  const auto gap = rail::rail_liquid(side.fuel, inlet_K + gap_warmer_K, highest_Pa);
  if (!gap) return fail(gap.error());
  const std::vector<double> slots = side.model.nominal();
  const system::RailDemand demand(side.rail.set, charge->liquid);
  const system::SupplyModel::Case one{.point = {.fuel_temperature_K = inlet_K}, .slots = slots, .engine_law = &demand};
  const auto solved = side.model.solve(std::span(&one, 1), run);
  if (!solved) return fail(solved.error());
  const system::PointState& supply = solved->front();
  if (supply.status != hydraulics::SolveStatus::converged) {
    return fail(Error{.code = ErrorCode::did_not_converge, .found = supply.trouble, .expected = "a solved supply"});
  }
  return rail::CapacityFuel{.charge = charge->liquid,
                            .gap = gap->liquid,
                            .inlet = {.pressure_Pa = std::max(1e3, supply.ambient_Pa + supply.inlet_over_ambient_Pa),
                                      .gas_fraction = std::clamp(supply.inlet_void, 0.0, 1.0)}};
}

Result<RailCapacity> rail_capacity(const system::LineSheet& sheet, double inlet_K, const Run& run) {
  const auto side = side_of(sheet);
  if (!side) return fail(side.error());
  const auto fuel = fuel_at_inlet(*side, inlet_K, run);
  if (!fuel) return fail(fuel.error());
  const rail::HighPressureSet& set = side->rail.set;
  RailCapacity answer{.sheet = sheet.name,
                      .assumed = side->rail.assumed,
                      .sized_to_engine = side->rail.sized_to_engine,
                      .rated_W = set.rated_W,
                      .rated_rev_per_s = set.rated_rev_per_s,
                      .rated_Pa = set.rated_Pa,
                      .inlet = fuel->inlet,
                      .inlet_K = inlet_K};
  // The engine's own line: idle with 3 % of the power, torque peak, rated.
  const system::Engine& engine = sheet.engine;
  struct LinePoint {
    double rev_per_s, power_W;
  };
  const std::vector<LinePoint> line{{set.idle_rev_per_s, 0.03 * set.rated_W * set.idle_rev_per_s / set.rated_rev_per_s},
                                    {engine.torque_peak_speed_per_s.value, engine.torque_peak_power_W.value},
                                    {set.rated_rev_per_s, set.rated_W}};
  for (const LinePoint& point : line) answer.line_W.push_back(point.power_W);
  struct State {
    const char* title;
    rail::Wear wear;
  };
  for (const State& state : {State{"as stated", {}}, State{"plungers 2 um wider", {.clearance_m = 2e-6}},
                             State{"injectors leak 4 times", {.static_factor = 4.0, .control_factor = 1.5}}}) {
    const auto used = rail::worn(set, state.wear);
    if (!used) return fail(used.error());
    RailState row{.title = state.title};
    const auto ceiling = rail::fuel_ceiling(*used, *fuel, set.rated_rev_per_s);
    if (!ceiling) return fail(ceiling.error());
    row.ceiling = *ceiling;
    for (const LinePoint& point : line) {
      const auto held =
          rail::capacity_point(*used, *fuel, {.crank_rev_per_s = point.rev_per_s, .power_W = point.power_W});
      if (!held) return fail(held.error());
      row.line.push_back(*held);
    }
    answer.states.push_back(std::move(row));
  }
  rail::HighPressureSet larger = set;
  larger.pump.drive.stroke_m *= 1.15;
  const auto swap = rail::swap_effect(set, larger, *fuel, set.rated_rev_per_s);
  if (!swap) return fail(swap.error());
  answer.swap_ratio = swap->ceiling_ratio;
  answer.swap_limit = swap->after.limit;
  answer.swap_inlet_ratio = swap->inlet_after_m3_per_s / swap->inlet_before_m3_per_s;
  return answer;
}

Result<FuelHeat> fuel_heat(const system::LineSheet& sheet, double air_K, const Run& run) {
  const auto side = side_of(sheet);
  if (!side) return fail(side.error());
  FuelHeat answer{.sheet = sheet.name, .assumed = side->rail.assumed, .air_K = air_K, .limit_K = inlet_limit_K};
  system::TemperatureLoopFacts facts{
      .loop = {.tank = {.volume_m3 = road_tank_m3,
                        .dead_volume_m3 = 0.03 * road_tank_m3,
                        .conductance_W_per_K = moving_W_per_K},
               .supply = {.length_m = 4.4, .outer_m = 0.017, .coefficient_W_per_m2_K = 15.0},
               .back = {.length_m = 5.0, .outer_m = 0.012, .coefficient_W_per_m2_K = 15.0}},
      .air_K = air_K};
  const auto& tanks = sheet.tanks;
  if (!tanks.empty() && tanks.front().volume_m3 && tanks.front().volume_m3->given()) {
    facts.loop.tank.volume_m3 = tanks.front().volume_m3->value;
    facts.loop.tank.dead_volume_m3 = 0.03 * facts.loop.tank.volume_m3;
  } else {
    answer.assumed.emplace_back("tank volume 120 L");
  }
  answer.assumed.emplace_back("heat given off by tank and lines");
  facts.point.fuel_temperature_K = air_K + 20.0;
  for (const auto& [engine, title] :
       {std::pair{system::EnginePoint::rated, "rated power"}, std::pair{system::EnginePoint::idle, "idle"}}) {
    facts.point.engine = engine;
    auto loop = system::close_temperature_loop(side->model, side->rail, side->fuel, facts, run);
    if (!loop) return fail(loop.error());
    answer.points.push_back({.title = title, .loop = std::move(*loop)});
  }
  // A day: three hours at rated power, one at idle, three more. The engine's laws are the points' own, warmed along.
  const auto law = [&](const system::TemperatureLoop& loop) {
    return [&loop](double inlet_K) -> Result<heat::EngineHeat> {
      return heat::EngineHeat{.taken_kg_per_s = loop.engine.taken_kg_per_s,
                              .returned_kg_per_s = loop.engine.returned_kg_per_s,
                              .return_K = inlet_K + loop.engine.return_K - loop.heat.inlet_K};
    };
  };
  const auto rated = law(answer.points[0].loop);
  const auto idle = law(answer.points[1].loop);
  const std::vector<heat::EngineHeatLaw> laws{heat::EngineHeatLaw(rated), heat::EngineHeatLaw(idle)};
  auto day =
      heat::work_day(facts.loop, side->fuel, air_K,
                     {{.duration_s = 3 * 3600.0, .air_K = air_K, .engine_point = 0},
                      {.duration_s = 3600.0, .air_K = air_K, .engine_point = 1, .tank_W_per_K = standing_W_per_K},
                      {.duration_s = 3 * 3600.0, .air_K = air_K, .engine_point = 0}},
                     laws);
  if (!day) return fail(day.error());
  answer.day = std::move(*day);
  const auto cooler = heat::cooler_need_W_per_K(facts.loop, side->fuel, air_K, laws[0], inlet_limit_K);
  if (cooler) {
    answer.cooler_W_per_K = *cooler;
  } else if (cooler.error().front().code == ErrorCode::outside_model) {
    answer.no_cooler = "No return cooler of up to 1,000 W/K keeps the pump inlet at 66 C: cool the supply or the tank.";
  } else {
    return fail(cooler.error());
  }
  return answer;
}

}  // namespace fw::assess
