// SPDX-License-Identifier: Apache-2.0
#include "app/rail_figures.hpp"

#include <array>
#include <string>
#include <utility>

#include "assess/rail_section.hpp"
#include "rail/transient.hpp"
#include "report/figure_rail.hpp"

namespace fw::app {

namespace {

constexpr double figure_pilot_kg = 2e-6;  // typical, no source

/// The parts of the day, in the order of assess::fuel_heat.
constexpr std::array day_words{"rated power", "idle", "rated power"};

/// A sheet with its high-pressure side.
struct Side {
  const system::LineSheet& sheet;
  const assess::SheetSide& models;
};

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
  const auto fuel = assess::fuel_at_inlet(side.models, assess::usual_inlet_K, run);
  if (!fuel) return fail(fuel.error());
  const FigureUnits units = units_of(options.system);
  const rail::HighPressureSet& set = side.models.rail.set;
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
  const auto fuel = assess::fuel_at_inlet(side.models, assess::usual_inlet_K, run);
  if (!fuel) return fail(fuel.error());
  const FigureUnits units = units_of(options.system);
  const rail::HighPressureSet& set = side.models.rail.set;
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
  const auto fuel = assess::fuel_at_inlet(side.models, assess::usual_inlet_K, run);
  if (!fuel) return fail(fuel.error());
  const FigureUnits units = units_of(options.system);
  const rail::HighPressureSet& set = side.models.rail.set;
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
  const auto answer = assess::fuel_heat(side.sheet, assess::usual_air_K, run);
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

}  // namespace

Result<report::Figure> rail_figure(RailFigure which, const system::LineSheet& sheet,
                                   const report::FigureOptions& options, const Run& run) {
  const auto models = assess::side_of(sheet);
  if (!models) return fail(models.error());
  const Side side{.sheet = sheet, .models = *models};
  switch (which) {
    case RailFigure::capacity: return capacity_figure(side, options, run);
    case RailFigure::rail: return trace_figure(side, options, run);
    case RailFigure::waves: return wave_figure(side, options, run);
    case RailFigure::day: break;
  }
  return day_figure(side, options, run);
}

}  // namespace fw::app
