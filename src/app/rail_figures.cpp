// SPDX-License-Identifier: Apache-2.0
#include "app/rail_figures.hpp"

#include <string>
#include <utility>

#include "assess/rail_section.hpp"
#include "rail/transient.hpp"
#include "report/rail_figures.hpp"

namespace fw::app {

namespace {

constexpr double figure_pilot_kg = 2e-6;  // typical, no source

/// A sheet with its high-pressure side.
struct Side {
  const system::LineSheet& sheet;
  const assess::SheetSide& models;
};

Result<report::Figure> capacity_figure(const Side& side, const report::FigureOptions& options, const Run& run) {
  const auto fuel = assess::fuel_at_inlet(side.models, assess::usual_inlet_K, run);
  if (!fuel) return fail(fuel.error());
  const report::RailAxes units = report::rail_axes(options.system);
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
                report::open_rail_facts};
  return report::curves_figure(data);
}

Result<report::Figure> trace_figure(const Side& side, const report::FigureOptions& options, const Run& run) {
  const auto fuel = assess::fuel_at_inlet(side.models, assess::usual_inlet_K, run);
  if (!fuel) return fail(fuel.error());
  const report::RailAxes units = report::rail_axes(options.system);
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
       .notes = {"Computed.", report::open_rail_facts},
       .size = options.size});
}

Result<report::Figure> wave_figure(const Side& side, const report::FigureOptions& options, const Run& run) {
  const auto fuel = assess::fuel_at_inlet(side.models, assess::usual_inlet_K, run);
  if (!fuel) return fail(fuel.error());
  const report::RailAxes units = report::rail_axes(options.system);
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
  report::CurvesData data{.title = "Pressure at the first injector, rated power, " + side.sheet.name,
                          .unit = units.pressure.words,
                          .x_axis = "time over one engine cycle, ms",
                          .curves = {std::move(injector), std::move(rail)},
                          .notes = {"Computed. Bars: the first injector's pilot and main injection, as energised.",
                                    report::open_rail_facts},
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
  return report::curves_figure(report::day_of(*answer, options));
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
