// SPDX-License-Identifier: Apache-2.0
#include "assess/rail_section.hpp"

#include <span>
#include <utility>

#include "fuel/fuel_text.hpp"
#include "rail/film.hpp"
#include "supply/long_run.hpp"

namespace fw::assess {

namespace {

constexpr double gap_warmer_K = 20.0;  // of the gaps over the charge, judged
constexpr double highest_Pa = 200e6;
constexpr double inlet_limit_K = 339.15;  // 66 C to the injectors, published engine application data

/// The sheet's own fuel first, then summer and winter grades, petrol by mistake, biodiesel, and the inlet wholly water.
Result<std::vector<WearState>> wear_states(const SheetSide& side, const std::string& own,
                                           const system::TemperatureLoop& rated) {
  const rail::HighPressureSet& set = side.rail.set;
  if (set.pump.drive.kind != rail::DriveKind::cam) return std::vector<WearState>{};
  const auto design_fuel = fuel::fuel_of_text("en590");
  if (!design_fuel) return fail(design_fuel.error());
  const auto design = rail::contact_oil(*design_fuel, film_design_K);
  if (!design) return fail(design.error());
  const double shaft = set.rated_rev_per_s * set.pump.crank_ratio;
  std::vector<WearState> states;
  const auto add = [&](WearState state, const rail::ContactOil& oil) -> Result<void> {
    const auto margin = rail::wear_margin(set.pump, rated.rail_Pa, shaft, oil, *design);
    if (!margin) return fail(margin.error());
    state.inlet_K = rated.heat.inlet_K;
    state.relative = margin->relative;
    state.lambda = margin->film.lambda;
    states.push_back(std::move(state));
    return {};
  };
  struct Named {
    const char* words;
    const char* text;
  };
  std::vector<std::pair<std::string, fuel::Fuel>> fuels{{own, side.fuel}};
  for (const Named& one : {Named{"summer diesel", "en590"}, Named{"winter diesel", "d975_1d"},
                           Named{"diesel with 20 % petrol", "en590 + 20 % petrol"},
                           Named{"diesel with 20 % biodiesel", "en590 + 20 % fame_b100"}}) {
    auto fuel = fuel::fuel_of_text(one.text);
    if (!fuel) return fail(fuel.error());
    fuels.emplace_back(one.words, std::move(*fuel));
  }
  for (const auto& [words, fuel] : fuels) {
    const auto oil = rail::contact_oil(fuel, rated.heat.inlet_K);
    if (!oil) return fail(oil.error());
    const auto viscosity = fuel::kinematic_viscosity_m2_per_s(fuel, rated.heat.inlet_K);
    if (!viscosity) return fail(viscosity.error());
    if (const auto done = add({.fuel = words, .range = viscosity->range}, *oil); !done) return fail(done.error());
  }
  const auto done = add({.fuel = "inlet wholly water", .bounding = true}, rail::inlet_wholly_water());
  if (!done) return fail(done.error());
  return states;
}

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
  return rail::CapacityFuel{.charge = charge->liquid, .gap = gap->liquid, .inlet = system::pump_inlet(supply)};
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
  // For display only: a rail below its range leaves it out and stops nothing.
  if (const auto gain = rail::cavitating_gain(set.rated_Pa, set.cylinder_Pa)) answer.cavitating_gain = *gain;
  return answer;
}

Result<FuelHeat> fuel_heat(const system::LineSheet& sheet, double air_K, const Run& run) {
  const auto side = side_of(sheet);
  if (!side) return fail(side.error());
  FuelHeat answer{.sheet = sheet.name, .assumed = side->rail.assumed, .air_K = air_K, .limit_K = inlet_limit_K};
  const supply::WayRound way = supply::way_round(sheet);
  system::TemperatureLoopFacts facts{.loop = way.loop, .air_K = air_K};
  answer.assumed.insert(answer.assumed.end(), way.assumed.begin(), way.assumed.end());
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
                      {.duration_s = 3600.0, .air_K = air_K, .engine_point = 1, .tank_W_per_K = way.standing_W_per_K},
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
  // Explains, decides nothing: where its law does not hold it is left out.
  if (auto wear = wear_states(
          *side, sheet.fuel == "constant" ? "en590 for the constant fluid" : "fuel of the sheet, " + sheet.fuel,
          answer.points[0].loop)) {
    answer.wear = std::move(*wear);
  }
  return answer;
}

}  // namespace fw::assess
