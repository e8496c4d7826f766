// SPDX-License-Identifier: Apache-2.0
#include "app/rail_questions.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "app/catalog_answer.hpp"
#include "casefile/case.hpp"
#include "fuel/fuel_text.hpp"
#include "report/figure_rail.hpp"
#include "report/rail_answers.hpp"
#include "report/text.hpp"

namespace fw::app {

namespace {

constexpr double gap_warmer_K = 20.0;  // of the gaps over the charge, judged
constexpr double highest_Pa = 200e6;
constexpr double road_tank_m3 = 0.120;     // layouts: pickup V8, typical
constexpr double moving_W_per_K = 48.0;    // part data: light truck, mid, moving, typical
constexpr double standing_W_per_K = 19.0;  // the same, standing
constexpr double figure_inlet_K = 333.15;
constexpr double figure_air_K = 303.15;
constexpr double figure_pilot_kg = 2e-6;  // typical, no source
constexpr double inlet_limit_K = 339.15;  // 66 C to the injectors, published engine application data

struct Side {
  system::LineSheet sheet;
  fuel::Fuel fuel;
  system::RailSide rail;
  system::SupplyModel model;
};

Result<Side> side_of(system::LineSheet sheet, const std::string& file) {
  auto rail = system::rail_side(sheet);
  if (!rail) return fail(rail.error().in_file(file));
  // A constant fluid has no bulk modulus: a grade stands in, and is named.
  const bool constant = sheet.fuel == "constant";
  if (constant) rail->assumed.emplace_back("fuel grade en590 for the constant fluid");
  auto fuel = fuel::fuel_of_text(constant ? std::string("en590") : sheet.fuel);
  if (!fuel) return fail(fuel.error().in_file(file));
  auto model = system::SupplyModel::build(sheet, system::branches(sheet).front(), system::default_laws());
  if (!model) return fail(model.error().in_file(file));
  return Side{
      .sheet = std::move(sheet), .fuel = std::move(*fuel), .rail = std::move(*rail), .model = std::move(*model)};
}

Result<Side> read_side(const RailQuestion& question, const Request& request) {
  const auto catalog = open_catalog(request.catalog_folder);
  if (!catalog) return fail(catalog.error());
  auto sheet = casefile::read_sheet_file(question.sheet, *catalog);
  if (!sheet) return fail(sheet.error());
  return side_of(std::move(*sheet), question.sheet);
}

Result<rail::CapacityFuel> fuel_of(const Side& side, double inlet_K, const Run& run) {
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

/// The parts of the day, in the order of the engine points asked: rated power and idle.
constexpr std::array day_words{"rated power", "idle", "rated power"};

Result<report::HeatAnswer> heat_answer(const Side& side, double air_K, const Run& run) {
  report::HeatAnswer answer{
      .sheet = side.sheet.name, .assumed = side.rail.assumed, .air_K = air_K, .limit_K = inlet_limit_K};
  system::TemperatureLoopFacts facts{
      .loop = {.tank = {.volume_m3 = road_tank_m3,
                        .dead_volume_m3 = 0.03 * road_tank_m3,
                        .conductance_W_per_K = moving_W_per_K},
               .supply = {.length_m = 4.4, .outer_m = 0.017, .coefficient_W_per_m2_K = 15.0},
               .back = {.length_m = 5.0, .outer_m = 0.012, .coefficient_W_per_m2_K = 15.0}},
      .air_K = air_K};
  const auto& tanks = side.sheet.tanks;
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
    auto loop = system::close_temperature_loop(side.model, side.rail, side.fuel, facts, run);
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
      heat::work_day(facts.loop, side.fuel, air_K,
                     {{.duration_s = 3 * 3600.0, .air_K = air_K, .engine_point = 0},
                      {.duration_s = 3600.0, .air_K = air_K, .engine_point = 1, .tank_W_per_K = standing_W_per_K},
                      {.duration_s = 3 * 3600.0, .air_K = air_K, .engine_point = 0}},
                     laws);
  if (!day) return fail(day.error());
  answer.day = std::move(*day);
  const auto cooler = heat::cooler_need_W_per_K(facts.loop, side.fuel, air_K, laws[0], inlet_limit_K);
  if (cooler) {
    answer.cooler_W_per_K = *cooler;
  } else if (cooler.error().front().code == ErrorCode::outside_model) {
    answer.no_cooler = "No return cooler of up to 1,000 W/K keeps the pump inlet at 66 C: cool the supply or the tank.";
  } else {
    return fail(cooler.error());
  }
  return answer;
}

/// Units of an axis: value = (SI - zero) / unit.
struct AxisUnit {
  const char* words;
  double unit;
  double zero = 0.0;
  [[nodiscard]] double of(double si) const { return (si - zero) / unit; }
};
struct FigureUnits {
  AxisUnit pressure, power, temperature;
};
FigureUnits units_of(units::System system) {
  switch (system) {
    case units::System::us: return {{"psi", 6894.757293168}, {"hp", 745.69987}, {"F", 5.0 / 9.0, 273.15 - 160.0 / 9.0}};
    case units::System::si: return {{"Pa", 1.0}, {"W", 1.0}, {"K", 1.0}};
    case units::System::metric: break;
  }
  return {{"MPa", 1e6}, {"kW", 1e3}, {"C", 1.0, 273.15}};
}

constexpr const char* open_facts = "Facts that the sheet leaves open are typical values: rail capacity names them.";

Result<report::Figure> capacity_figure(const Side& side, const report::FigureOptions& options, const Run& run) {
  const auto fuel = fuel_of(side, figure_inlet_K, run);
  if (!fuel) return fail(fuel.error());
  const FigureUnits units = units_of(options.system);
  const rail::HighPressureSet& set = side.rail.set;
  const double highest = 1.15 * set.rated_rev_per_s;
  report::CurvesData data{.title = "Fuel capacity, " + side.sheet.name,
                          .unit = units.power.words,
                          .x_axis = "engine speed, rpm",
                          .size = options.size};
  rail::HighPressureSet larger = set;
  larger.pump.drive.stroke_m *= 1.15;
  const auto worn = rail::worn(set, {.clearance_m = 2e-6});
  if (!worn) return fail(worn.error());
  struct State {
    const char* words;
    const rail::HighPressureSet* set;
    report::CurveLine line;
    bool filled;
  };
  constexpr int speeds = 40;
  for (const State& state : {State{"as stated", &set, report::CurveLine::heavy, true},
                             State{"plungers 2 um wider", &*worn, report::CurveLine::dash_dot, false},
                             State{"15 % more stroke", &larger, report::CurveLine::dashed, false}}) {
    report::Curve curve{.words = state.words, .line = state.line, .filled = state.filled};
    rail::Limit limit = rail::Limit::none;
    for (int i = 0; i < speeds; ++i) {
      const double speed = set.idle_rev_per_s + (highest - set.idle_rev_per_s) * i / (speeds - 1);
      const auto ceiling = rail::fuel_ceiling(*state.set, *fuel, speed);
      if (!ceiling) return fail(ceiling.error());
      curve.x.push_back(60.0 * speed);
      curve.y.push_back(units.power.of(ceiling->power_W));
      limit = ceiling->limit;
    }
    curve.words += ": " + std::string(rail::name(limit));
    data.curves.push_back(std::move(curve));
  }
  const system::Engine& engine = side.sheet.engine;
  data.curves.push_back(
      {.words = "engine",
       .line = report::CurveLine::thin,
       .x = {60.0 * set.idle_rev_per_s, 60.0 * engine.torque_peak_speed_per_s.value, 60.0 * set.rated_rev_per_s},
       .y = {units.power.of(0.03 * set.rated_W * set.idle_rev_per_s / set.rated_rev_per_s),
             units.power.of(engine.torque_peak_power_W.value), units.power.of(set.rated_W)},
       .dots = true});
  data.notes = {"Computed. A line's end names what ends it there. Power by the fuel's mass and the rated consumption.",
                open_facts};
  return report::curves_figure(data);
}

Result<report::Figure> trace_figure(const Side& side, const report::FigureOptions& options, const Run& run) {
  const auto fuel = fuel_of(side, figure_inlet_K, run);
  if (!fuel) return fail(fuel.error());
  const FigureUnits units = units_of(options.system);
  const rail::HighPressureSet& set = side.rail.set;
  const auto ready = rail::ready_profile(set, fuel->inlet, "pull");
  if (!ready) return fail(ready.error());
  const auto played = rail::rail_transient(
      set, *fuel, ready->points,
      {.end_s = ready->end_s, .hold = ready->hold, .start_Pa = ready->start_Pa, .sample_s = 5e-3}, ready->faults, run);
  if (!played) return fail(played.error());
  report::Curve rail{.words = "rail", .line = report::CurveLine::heavy};
  report::Curve wanted{.words = "set", .line = report::CurveLine::dashed};
  for (const rail::TraceSample& sample : played->trace) {
    rail.x.push_back(sample.time_s);
    rail.y.push_back(units.pressure.of(sample.rail_Pa));
    wanted.x.push_back(sample.time_s);
    wanted.y.push_back(units.pressure.of(sample.set_Pa));
  }
  return report::curves_figure(
      {.title = "Rail pressure in a full pull, " + side.sheet.name,
       .unit = units.pressure.words,
       .x_axis = "time, s",
       .curves = {std::move(rail), std::move(wanted)},
       .levels = {{.value = units.pressure.of(set.relief.open_Pa), .words = "relief valve opens"}},
       .spans = {{.from = 0.0, .to = 0.5, .words = "idle"}, {.from = 2.5, .to = ready->end_s, .words = "rated power"}},
       .notes = {"Computed.", open_facts},
       .size = options.size});
}

Result<report::Figure> wave_figure(const Side& side, const report::FigureOptions& options, const Run& run) {
  const auto fuel = fuel_of(side, figure_inlet_K, run);
  if (!fuel) return fail(fuel.error());
  const FigureUnits units = units_of(options.system);
  const rail::HighPressureSet& set = side.rail.set;
  const rail::ProfilePoint rated{
      .time_s = 0.0,
      .crank_rev_per_s = set.rated_rev_per_s,
      .shot_kg = set.rated_W * set.consumption_kg_per_J / set.shots_per_s(set.rated_rev_per_s),
      .pilot_kg = figure_pilot_kg,
      .set_Pa = set.rated_Pa,
      .inlet = fuel->inlet};
  const double cycle_s = 2.0 / set.rated_rev_per_s;
  const double from_s = 4.0 * cycle_s - 0.1 * cycle_s;
  const auto played = rail::rail_transient(
      set, *fuel, {rated},
      {.end_s = from_s + 1.05 * cycle_s, .feed_cells = 20, .start_Pa = set.rated_Pa, .sample_s = cycle_s / 800.0}, {},
      run);
  if (!played) return fail(played.error());
  report::Curve injector{.words = "first injector", .line = report::CurveLine::heavy};
  report::Curve rail{.words = "rail", .line = report::CurveLine::thin};
  for (const rail::TraceSample& sample : played->trace) {
    if (sample.time_s < from_s || sample.time_s > from_s + cycle_s) continue;
    const double ms = 1e3 * (sample.time_s - from_s);
    injector.x.push_back(ms);
    injector.y.push_back(units.pressure.of(sample.injector_Pa));
    rail.x.push_back(ms);
    rail.y.push_back(units.pressure.of(sample.rail_Pa));
  }
  report::CurvesData data{
      .title = "Pressure at the first injector, rated power, " + side.sheet.name,
      .unit = units.pressure.words,
      .x_axis = "time over one engine cycle, ms",
      .curves = {std::move(injector), std::move(rail)},
      .notes = {"Computed. Bars: the first injector's pilot and main injection, as energised.", open_facts},
      .size = options.size};
  for (const rail::ShotRecord& shot : played->shots) {
    if (shot.injector != 0 || shot.start_s < from_s || shot.start_s > from_s + cycle_s) continue;
    data.spans.push_back(
        {.from = 1e3 * (shot.start_s - from_s), .to = 1e3 * (shot.start_s - from_s + shot.energised_s)});
  }
  return report::curves_figure(data);
}

Result<report::Figure> day_figure(const Side& side, const report::FigureOptions& options, const Run& run) {
  const auto answer = heat_answer(side, figure_air_K, run);
  if (!answer) return fail(answer.error());
  const FigureUnits units = units_of(options.system);
  report::Curve tank{.words = "tank", .line = report::CurveLine::heavy};
  report::Curve inlet{.words = "pump inlet", .line = report::CurveLine::dashed};
  report::Curve back{.words = "return into the tank", .line = report::CurveLine::dash_dot};
  report::CurvesData data{.title = "Fuel temperature over a work day, " + side.sheet.name,
                          .unit = units.temperature.words,
                          .x_axis = "time, h",
                          .size = options.size};
  std::size_t part = answer->day.samples.empty() ? 0 : answer->day.samples.front().part;
  double begin_h = 0.0;
  double last_h = 0.0;
  const auto close_part = [&] {
    data.spans.push_back({.from = begin_h, .to = last_h, .words = day_words.at(part)});
    begin_h = last_h;
  };
  for (const heat::DaySample& sample : answer->day.samples) {
    const double hour = sample.time_s / 3600.0;
    if (sample.part != part) {
      close_part();
      part = sample.part;
    }
    last_h = hour;
    for (report::Curve* curve : {&tank, &inlet, &back}) curve->x.push_back(hour);
    tank.y.push_back(units.temperature.of(sample.state.tank_K));
    inlet.y.push_back(units.temperature.of(sample.state.inlet_K));
    back.y.push_back(units.temperature.of(sample.state.tank_return_K));
  }
  close_part();
  data.curves = {std::move(tank), std::move(inlet), std::move(back)};
  data.levels = {{.value = units.temperature.of(answer->limit_K), .words = "most for injectors"},
                 {.value = units.temperature.of(answer->air_K), .words = "air"}};
  data.notes = {
      "Computed. Heat given off by tank and lines is assumed; the limit is published engine application data.",
      open_facts};
  if (answer->day.ran_dry) data.notes.emplace_back("The tank runs dry: the day ends there.");
  return report::curves_figure(data);
}

report::PaperOptions paper_options(const Request& request) {
  return {.system = request.system, .size = request.size, .created = request.created};
}

}  // namespace

Result<std::string> rail_capacity_text(const RailQuestion& question, const Request& request, const Run& run) {
  const auto side = read_side(question, request);
  if (!side) return fail(side.error());
  const auto fuel = fuel_of(*side, question.inlet_K, run);
  if (!fuel) return fail(fuel.error());
  const rail::HighPressureSet& set = side->rail.set;
  report::RailCapacity answer{.sheet = side->sheet.name,
                              .assumed = side->rail.assumed,
                              .rated_W = set.rated_W,
                              .rated_rev_per_s = set.rated_rev_per_s,
                              .rated_Pa = set.rated_Pa,
                              .inlet = fuel->inlet,
                              .inlet_K = question.inlet_K};
  // The engine's own line: idle with 3 % of the power, torque peak, rated.
  const system::Engine& engine = side->sheet.engine;
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
    report::RailState row{.title = state.title};
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
  if (question.json) return report::rail_capacity_json(answer);
  return report::render_text(report::rail_capacity_page(answer, paper_options(request)), request.width);
}

Result<std::string> rail_run_text(const RailQuestion& question, const Request& request, const Run& run) {
  const auto side = read_side(question, request);
  if (!side) return fail(side.error());
  const auto fuel = fuel_of(*side, question.inlet_K, run);
  if (!fuel) return fail(fuel.error());
  const auto ready = rail::ready_profile(side->rail.set, fuel->inlet, question.profile);
  if (!ready) return fail(ready.error());
  // Starts and stops are slow; waves in the pipes add nothing to them.
  const bool lumped = question.profile == "start" || question.profile == "stop";
  auto played = rail::rail_transient(side->rail.set, *fuel, ready->points,
                                     {.end_s = ready->end_s,
                                      .pipes = lumped ? rail::PipeModel::lumped : rail::PipeModel::waves,
                                      .hold = ready->hold,
                                      .start_Pa = ready->start_Pa,
                                      .sample_s = 1e-3},
                                     ready->faults, run);
  if (!played) return fail(played.error());
  report::RailRun answer{.sheet = side->sheet.name,
                         .profile = question.profile,
                         .assumed = side->rail.assumed,
                         .lumped = lumped,
                         .enable_Pa = side->rail.set.enable_Pa,
                         .run = std::move(*played)};
  answer.deviations = rail::injector_deviations(answer.run, 0.5 * answer.run.end_s, false);
  if (question.json) return report::rail_run_json(answer);
  return report::render_text(report::rail_run_page(answer, paper_options(request)), request.width);
}

Result<std::string> leak_down_text(const RailQuestion& question, const Request& request, const Run& run) {
  const auto side = read_side(question, request);
  if (!side) return fail(side.error());
  const auto fuel = fuel_of(*side, question.inlet_K, run);
  if (!fuel) return fail(fuel.error());
  const rail::HighPressureSet& set = side->rail.set;
  report::LeakDown answer{.sheet = side->sheet.name,
                          .assumed = side->rail.assumed,
                          .start_Pa = set.idle_Pa,
                          .time_s = {0.0, 5.0, 10.0, 20.0, 60.0}};
  struct State {
    const char* title;
    rail::Wear wear;
    double dump_m2;
  };
  for (const State& state :
       {State{"nothing worn", {}, 0.0}, State{"injectors leak 4 times", {.static_factor = 4.0}, 0.0},
        State{"delivery valves worn", {.delivery_leak_m2 = 1e-11}, 0.0},
        State{"plungers 2 um wider", {.clearance_m = 2e-6}, 0.0}, State{"control unit empties it", {}, 1e-8}}) {
    const auto used = rail::worn(set, state.wear);
    if (!used) return fail(used.error());
    const rail::ProfilePoint still{.time_s = 0.0, .crank_rev_per_s = 0.0, .set_Pa = set.idle_Pa, .inlet = fuel->inlet};
    const auto played = rail::rail_transient(*used, *fuel, {still},
                                             {.end_s = answer.time_s.back(),
                                              .step_s = 5e-4,
                                              .pipes = rail::PipeModel::lumped,
                                              .start_Pa = answer.start_Pa,
                                              .sample_s = 0.1},
                                             {.dump_m2 = state.dump_m2}, run);
    if (!played) return fail(played.error());
    report::LeakDownRow row{.title = state.title};
    for (const double time_s : answer.time_s) {
      const auto i = std::min(played->trace.size() - 1, static_cast<std::size_t>(std::lround(time_s / 0.1)));
      row.pressure_Pa.push_back(played->trace[i].rail_Pa);
    }
    answer.rows.push_back(std::move(row));
  }
  if (question.json) return report::leak_down_json(answer);
  return report::render_text(report::leak_down_page(answer, paper_options(request)), request.width);
}

Result<std::string> heat_text(const RailQuestion& question, const Request& request, const Run& run) {
  const auto side = read_side(question, request);
  if (!side) return fail(side.error());
  const auto answer = heat_answer(*side, question.air_K, run);
  if (!answer) return fail(answer.error());
  if (question.json) return report::heat_json(*answer);
  return report::render_text(report::heat_page(*answer, paper_options(request)), request.width);
}

Result<report::Figure> rail_figure(RailFigure which, const system::LineSheet& sheet,
                                   const report::FigureOptions& options, const Run& run) {
  const auto side = side_of(sheet, sheet.file);
  if (!side) return fail(side.error());
  switch (which) {
    case RailFigure::capacity: return capacity_figure(*side, options, run);
    case RailFigure::rail: return trace_figure(*side, options, run);
    case RailFigure::waves: return wave_figure(*side, options, run);
    case RailFigure::day: break;
  }
  return day_figure(*side, options, run);
}

}  // namespace fw::app
