// SPDX-License-Identifier: Apache-2.0
#include "app/rail_questions.hpp"

#include <algorithm>
#include <cmath>

#include "app/catalog_answer.hpp"
#include "assess/rail_section.hpp"
#include "casefile/case.hpp"
#include "report/rail_answers.hpp"
#include "report/text.hpp"

namespace fw::app {

namespace {

/// A sheet with its high-pressure side.
struct Side {
  system::LineSheet sheet;
  assess::SheetSide models;
};

Result<system::LineSheet> read_sheet(const RailQuestion& question, const Request& request) {
  const auto catalog = open_catalog(request.catalog_folder);
  if (!catalog) return fail(catalog.error());
  return casefile::read_sheet_file(question.sheet, *catalog);
}

Result<Side> read_side(const RailQuestion& question, const Request& request) {
  auto sheet = read_sheet(question, request);
  if (!sheet) return fail(sheet.error());
  auto models = assess::side_of(*sheet);
  if (!models) return fail(models.error());
  return Side{.sheet = std::move(*sheet), .models = std::move(*models)};
}

report::PaperOptions paper_options(const Request& request) {
  return {.system = request.system, .size = request.size, .created = request.created};
}

}  // namespace

Result<std::string> rail_capacity_text(const RailQuestion& question, const Request& request, const Run& run) {
  const auto sheet = read_sheet(question, request);
  if (!sheet) return fail(sheet.error());
  const auto answer = assess::rail_capacity(*sheet, question.inlet_K, run);
  if (!answer) return fail(answer.error());
  if (question.json) return report::rail_capacity_json(*answer);
  return report::render_text(report::rail_capacity_page(*answer, paper_options(request)), request.width);
}

Result<std::string> rail_run_text(const RailQuestion& question, const Request& request, const Run& run) {
  const auto side = read_side(question, request);
  if (!side) return fail(side.error());
  const auto fuel = assess::fuel_at_inlet(side->models, question.inlet_K, run);
  if (!fuel) return fail(fuel.error());
  const auto ready = rail::ready_profile(side->models.rail.set, fuel->inlet, question.profile);
  if (!ready) return fail(ready.error());
  // Starts and stops are slow; waves in the pipes add nothing to them.
  const bool lumped = question.profile == "start" || question.profile == "stop";
  auto played = rail::rail_transient(side->models.rail.set, *fuel, ready->points,
                                     {.end_s = ready->end_s,
                                      .pipes = lumped ? rail::PipeModel::lumped : rail::PipeModel::waves,
                                      .hold = ready->hold,
                                      .start_Pa = ready->start_Pa,
                                      .sample_s = 1e-3},
                                     ready->faults, run);
  if (!played) return fail(played.error());
  report::RailRun answer{.sheet = side->sheet.name,
                         .profile = question.profile,
                         .assumed = side->models.rail.assumed,
                         .lumped = lumped,
                         .enable_Pa = side->models.rail.set.enable_Pa,
                         .vapour_Pa = fuel->charge.vapour_pressure_Pa,
                         .run = std::move(*played)};
  answer.deviations = rail::injector_deviations(answer.run, 0.5 * answer.run.end_s, false);
  if (question.json) return report::rail_run_json(answer);
  return report::render_text(report::rail_run_page(answer, paper_options(request)), request.width);
}

Result<std::string> leak_down_text(const RailQuestion& question, const Request& request, const Run& run) {
  const auto side = read_side(question, request);
  if (!side) return fail(side.error());
  const auto fuel = assess::fuel_at_inlet(side->models, question.inlet_K, run);
  if (!fuel) return fail(fuel.error());
  const rail::HighPressureSet& set = side->models.rail.set;
  report::LeakDown answer{.sheet = side->sheet.name,
                          .assumed = side->models.rail.assumed,
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
  const auto sheet = read_sheet(question, request);
  if (!sheet) return fail(sheet.error());
  const auto answer = assess::fuel_heat(*sheet, question.air_K, run);
  if (!answer) return fail(answer.error());
  if (question.json) return report::heat_json(*answer);
  return report::render_text(report::heat_page(*answer, paper_options(request)), request.width);
}

}  // namespace fw::app
