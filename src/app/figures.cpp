// SPDX-License-Identifier: Apache-2.0
#include "app/figures.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <span>

#include <fmt/format.h>

#include "app/open_case.hpp"
#include "app/rail_figures.hpp"
#include "assess/assess.hpp"
#include "assess/diagnosis_section.hpp"
#include "casefile/case.hpp"
#include "catalog/catalog.hpp"
#include "numerics/draw.hpp"
#include "numerics/quantile.hpp"
#include "report/canvas.hpp"
#include "report/diagnosis_figures.hpp"
#include "report/figure_grade.hpp"
#include "report/figure_grid.hpp"
#include "report/figure_schematic.hpp"
#include "report/figure_strips.hpp"
#include "report/metal_figures.hpp"
#include "report/pdf.hpp"
#include "report/supply_figures.hpp"
#include "report/svg.hpp"
#include "report/typeset.hpp"
#include "supply/sampling.hpp"
#include "system/supply_model.hpp"

namespace fw::app {

namespace {

using supply::Outcome;
using system::RunningPoint;
using system::SupplyModel;

constexpr std::array<std::string_view, 18> kind_names{
    "schematic", "grade-line", "worst-line", "comparison", "envelope", "coverage", "matters",    "gauges", "capacity",
    "rail",      "waves",      "day",        "cascade",    "dose",     "frontier", "break-even", "causes", "why"};
constexpr std::size_t most_strips = 10;
/// Error of a gauge of 0 to 200 kPa, class 1.6 (assumed): readings closer than this are not told apart.
constexpr double gauge_error_Pa = 0.016 * 200e3;

/// The sheet asked for, and the one it is compared with.
struct Chosen {
  const system::LineSheet* sheet = nullptr;
  const system::LineSheet* base = nullptr;
};

std::string plain_name(std::string text) {
  std::ranges::replace(text, '-', ' ');
  std::ranges::replace(text, '_', ' ');
  return text;
}

Result<Chosen> choose(const casefile::Case& job, const std::string& wanted) {
  Chosen chosen;
  std::string all;
  for (const system::LineSheet& sheet : job.sheets) {
    all += (all.empty() ? "" : ", ") + sheet.name;
    if (wanted.empty() || plain_name(sheet.name) == plain_name(wanted)) chosen.sheet = &sheet;
  }
  if (chosen.sheet == nullptr) {
    return fail(Error{.code = ErrorCode::not_found,
                      .where = {.file = {}, .line = 0, .column = 0, .field = "--sheet"},
                      .found = "\"" + wanted + "\"",
                      .expected = "a sheet of this case: " + all,
                      .hint = "Write for example --sheet \"" + job.sheets.front().name + "\""});
  }
  if (chosen.sheet != &job.sheets.front()) chosen.base = &job.sheets.front();
  return chosen;
}

Result<supply::SheetJudgement> judged(const system::LineSheet& sheet, supply::Climate climate,
                                      const supply::Sampling& sampling, const Run& run) {
  auto judgement = supply::judge_sheet(sheet, supply::envelope(climate), sampling, run);
  if (!judgement) return fail(judgement.error().in_file(sheet.file));
  return judgement;
}

/// The most likely values of a model's inputs, and as many draws of them as asked for.
struct Inputs {
  std::vector<double> nominal;
  std::vector<supply::Draw> draws;
};

Inputs inputs_of(const SupplyModel& model, const supply::Sampling& sampling) {
  Inputs inputs{.nominal = model.nominal(), .draws = {}};
  for (std::size_t i = 0; i < sampling.samples; ++i) {
    inputs.draws.push_back(supply::draw_of(model, sampling.seed, static_cast<std::uint32_t>(i)));
  }
  return inputs;
}

/// 5 and 95 in 100 of what was drawn; nothing where too little was.
std::optional<numerics::Band> band_of(std::vector<double> values) {
  if (values.size() < 20) return std::nullopt;
  std::ranges::sort(values);
  return numerics::Band{.low = numerics::quantile_of_sorted(values, 0.05),
                        .high = numerics::quantile_of_sorted(values, 0.95)};
}

/// Worst outcome of an inlet pressure against both limits; while cranking only against the upper one.
Outcome inlet_outcome(double inlet_Pa, const RunningPoint& point, const supply::InletLimits& limits) {
  // The better known of the two decides where the other has no limit.
  const bool low_known = std::isfinite(limits.low.fails) || limits.low.narrow;
  const bool high_known = std::isfinite(limits.high.fails) || limits.high.narrow;
  if (!low_known && !high_known) return Outcome::not_known;
  Outcome outcome = Outcome::holds;
  if (low_known && point.engine != system::EnginePoint::crank) {
    outcome = std::min(outcome, supply::against(inlet_Pa, limits.low, true));
  }
  if (high_known) outcome = std::min(outcome, supply::against(inlet_Pa, limits.high, false));
  return outcome;
}

Result<report::Figure> envelope_map(const system::LineSheet& sheet, supply::Climate climate,
                                    const report::FigureOptions& options, const Run& run) {
  const std::vector<RunningPoint> points = supply::envelope(climate);
  const supply::InletLimits limits = supply::inlet_limits(sheet.engine);
  std::vector<report::EnvelopeValue> values;
  for (const RunningPoint& point : points) {
    values.push_back({.point = point, .inlet_over_ambient_Pa = {}, .outcome = Outcome::not_known});
  }
  // Where a fact of a pump is unknown every way is computed; each cell shows its worst.
  for (const system::Branch& branch : system::branches(sheet)) {
    const auto model = SupplyModel::build(sheet, branch, system::default_laws());
    if (!model) return fail(model.error().in_file(sheet.file));
    const std::vector<double> slots = model->nominal();
    std::vector<SupplyModel::Case> cases;
    for (const RunningPoint& point : points) cases.push_back({.point = point, .slots = slots});
    const auto states = model->solve(cases, run);
    if (!states) return fail(states.error().in_file(sheet.file));
    for (std::size_t i = 0; i < points.size(); ++i) {
      if ((*states)[i].status != hydraulics::SolveStatus::converged) continue;
      const double inlet_Pa = (*states)[i].inlet_over_ambient_Pa;
      const Outcome outcome = inlet_outcome(inlet_Pa, points[i], limits);
      report::EnvelopeValue& value = values[i];
      const bool worse = !value.inlet_over_ambient_Pa || outcome < value.outcome ||
                         (outcome == value.outcome && inlet_Pa < *value.inlet_over_ambient_Pa);
      if (!worse) continue;
      value.inlet_over_ambient_Pa = inlet_Pa;
      value.outcome = outcome;
    }
  }
  report::EnvelopeValue* lowest = nullptr;
  for (report::EnvelopeValue& value : values) {
    if (!value.inlet_over_ambient_Pa || value.point.engine == system::EnginePoint::crank) continue;
    if (lowest == nullptr || *value.inlet_over_ambient_Pa < *lowest->inlet_over_ambient_Pa) lowest = &value;
  }
  if (lowest != nullptr) lowest->governs = true;
  return report::envelope_map_figure(report::envelope_of(sheet.name, values, options));
}

Result<report::Figure> what_matters(const system::LineSheet& sheet, supply::Climate climate,
                                    const supply::Sampling& sampling, const report::FigureOptions& options,
                                    const Run& run) {
  const auto judgement = judged(sheet, climate, {}, run);
  if (!judgement) return fail(judgement.error());
  const RunningPoint point = judgement->worst_line.places.empty() ? RunningPoint{} : judgement->worst_line.point;
  const auto model = SupplyModel::build(sheet, system::branches(sheet).front(), system::default_laws());
  if (!model) return fail(model.error().in_file(sheet.file));
  const Inputs all = inputs_of(*model, sampling);
  const std::vector<double>& nominal = all.nominal;
  std::vector<std::vector<double>> draws{nominal};
  std::vector<std::size_t> inputs;
  for (std::size_t i = 0; i < model->inputs().size(); ++i) {
    const Stated& input = model->inputs()[i];
    if (input.spread.kind == SpreadKind::exact) continue;
    const numerics::Band band = numerics::band_90(input);
    inputs.push_back(i);
    for (const double end : {band.low, band.high}) {
      draws.push_back(nominal);
      draws.back()[i] = end;
    }
  }
  std::vector<SupplyModel::Case> cases;
  for (const std::vector<double>& slots : draws) cases.push_back({.point = point, .slots = slots});
  for (const supply::Draw& draw : all.draws) {
    cases.push_back({.point = point, .slots = draw.slots, .transition_reynolds = draw.transition_reynolds});
  }
  const auto states = model->solve(cases, run);
  if (!states) return fail(states.error().in_file(sheet.file));
  const auto solved = [&](std::size_t i) { return (*states)[i].status == hydraulics::SolveStatus::converged; };
  std::vector<report::InputEffect> effects;
  for (std::size_t k = 0; k < inputs.size(); ++k) {
    if (!solved(1 + 2 * k) || !solved(2 + 2 * k)) continue;
    effects.push_back({.input = model->inputs()[inputs[k]],
                       .at_low_Pa = (*states)[1 + 2 * k].inlet_over_ambient_Pa,
                       .at_high_Pa = (*states)[2 + 2 * k].inlet_over_ambient_Pa});
  }
  std::ranges::stable_sort(effects, std::greater<>{},
                           [](const auto& effect) { return std::abs(effect.at_high_Pa - effect.at_low_Pa); });
  if (effects.size() > most_strips) effects.resize(most_strips);
  std::vector<double> inlets;
  for (std::size_t i = draws.size(); i < states->size(); ++i) {
    if (solved(i)) inlets.push_back((*states)[i].inlet_over_ambient_Pa);
  }
  return report::strips_figure(report::strips_of(*judgement, sheet, point, states->front().inlet_over_ambient_Pa,
                                                 effects, band_of(std::move(inlets)), options));
}

Result<report::Figure> gauge_book(const system::LineSheet& sheet, const supply::Sampling& sampling,
                                  const report::FigureOptions& options, const Run& run) {
  const auto model = SupplyModel::build(sheet, system::branches(sheet).front(), system::default_laws());
  if (!model) return fail(model.error().in_file(sheet.file));
  std::vector<system::PlaceAt> ports;
  std::vector<std::size_t> places;
  for (std::size_t i = 0; i < model->places().size(); ++i) {
    if (model->places()[i].port.empty()) continue;
    ports.push_back(model->places()[i]);
    places.push_back(i);
  }
  if (ports.empty()) {
    return fail(Error{.code = ErrorCode::invalid_input,
                      .where = {.file = sheet.file, .line = 0, .column = 0, .field = "port"},
                      .found = "no part with a test port",
                      .expected = "at least one",
                      .hint = "Write port = \"P3\" at the part whose outlet is measured"});
  }
  const Inputs inputs = inputs_of(*model, sampling);
  struct State {
    RunningPoint point;
    std::vector<std::string> stopped;
  };
  std::vector<State> kinds{{.point = {}, .stopped = {}},
                           {.point = {.engine = system::EnginePoint::idle}, .stopped = {}},
                           {.point = {.filter_loading = 1.0}, .stopped = {}}};
  std::vector<report::PortReadings> readings;
  readings.push_back({.state = "healthy, rated power", .tell = {}});
  readings.push_back({.state = "healthy, idle", .tell = {}});
  readings.push_back({.state = "filters at end of life, rated power", .tell = {}});
  for (const system::Leg& leg : sheet.legs) {
    for (const system::Part& part : leg.parts) {
      if (!part.pump || part.bypassed || part.pump->drive == system::Drive::hand) continue;
      kinds.push_back({.point = {}, .stopped = {part.id}});
      readings.push_back({.state = part.title + " dead, rated power", .tell = {}});
    }
  }
  std::vector<SupplyModel::Case> cases;
  for (const State& kind : kinds) {
    const std::vector<std::string>* stopped = kind.stopped.empty() ? nullptr : &kind.stopped;
    cases.push_back({.point = kind.point, .slots = inputs.nominal, .stopped_pumps = stopped});
    for (const supply::Draw& draw : inputs.draws) {
      cases.push_back({.point = kind.point,
                       .slots = draw.slots,
                       .transition_reynolds = draw.transition_reynolds,
                       .stopped_pumps = stopped});
    }
  }
  const auto states = model->solve(cases, run);
  if (!states) return fail(states.error().in_file(sheet.file));
  const auto solved = [&](std::size_t i) { return (*states)[i].status == hydraulics::SolveStatus::converged; };
  const std::size_t stride = 1 + inputs.draws.size();
  std::vector<std::vector<std::optional<numerics::Band>>> bands(readings.size());
  for (std::size_t k = 0; k < readings.size(); ++k) {
    const system::PointState& state = (*states)[k * stride];
    if (!solved(k * stride)) readings[k].tell = "not solved";
    if (solved(k * stride) && state.starved) readings[k].tell = "starves at " + state.starved_at;
    for (std::size_t p = 0; p < places.size(); ++p) {
      std::vector<double> drawn;
      for (std::size_t i = k * stride + 1; i < (k + 1) * stride; ++i) {
        if (solved(i)) drawn.push_back((*states)[i].place_over_ambient_Pa[places[p]]);
      }
      bands[k].push_back(band_of(std::move(drawn)));
      const double here_Pa = state.place_over_ambient_Pa[places[p]];
      const double healthy_Pa = states->front().place_over_ambient_Pa[places[p]];
      readings[k].over_ambient_Pa.push_back(solved(k * stride) ? std::optional<double>(here_Pa) : std::nullopt);
      // Told apart nine times in ten: the roots of both bands and of the gauge, as in supply::Separation.
      const auto half = [](const std::optional<numerics::Band>& band) {
        return band ? 0.5 * (band->high - band->low) : 0.0;
      };
      const double least_Pa = std::hypot(half(bands[0][p]), half(bands[k][p]), gauge_error_Pa);
      // Idle is another running point, not a fault: nothing there differs.
      readings[k].differs.push_back(k > 1 && solved(k * stride) && std::abs(here_Pa - healthy_Pa) > least_Pa);
    }
    const bool all = std::ranges::all_of(bands[k], [](const auto& band) { return band.has_value(); });
    for (std::size_t p = 0; all && p < places.size(); ++p) readings[k].band_Pa.push_back(*bands[k][p]);
  }
  return report::gauge_book_figure(report::gauge_book_of(sheet.name, ports, readings, options));
}

Result<report::Figure> compared(const casefile::Case& job, supply::Climate climate,
                                const report::FigureOptions& options, const Run& run) {
  if (job.sheets.size() < 2) {
    return fail(Error{.code = ErrorCode::invalid_input,
                      .where = {.file = {}, .line = 0, .column = 0, .field = "comparison"},
                      .found = "a single line sheet",
                      .expected = "a case of two or three",
                      .hint = "Name a case folder"});
  }
  std::vector<supply::SheetJudgement> sheets;
  for (const system::LineSheet& sheet : job.sheets) {
    auto judgement = judged(sheet, climate, {}, run);
    if (!judgement) return fail(judgement.error());
    sheets.push_back(std::move(*judgement));
  }
  return report::comparison_figure(report::comparison_of(sheets, options));
}

Result<report::Figure> metal_figure(const FigureRequest& request, const casefile::Case& job,
                                    const catalog::Catalog& catalog, const report::FigureSize& size, const Run& run) {
  if (!job.metal) {
    return fail(Error{.code = ErrorCode::not_found,
                      .where = {.file = request.target, .field = std::string(name(request.kind))},
                      .found = "no metal.toml",
                      .expected = "a case folder that says where metal was found",
                      .hint = "docs/reference/case-folder.md says how to write one"});
  }
  if (request.kind == FigureKind::cascade) {
    const auto joined = assess::metal_input(*job.metal, job.sheets, job.as_found, run);
    if (!joined) return fail(joined.error().in_file(job.folder + "/metal.toml"));
    const auto systems = assess::cleanliness_of(joined->input);
    if (!systems) return fail(systems.error());
    return report::curves_figure(report::cascade_of(*systems, size));
  }
  const auto answer = assess::assess(job, catalog, {.seed = request.seed, .sections = {assess::Section::extent}}, run);
  if (!answer) return fail(answer.error());
  if (!answer->metal || !answer->metal->decision) return fail(answer->not_computed.front().why);
  if (request.kind == FigureKind::dose) {
    return report::curves_figure(report::dose_of(*answer->metal->decision, size));
  }
  const auto data = request.kind == FigureKind::frontier ? report::frontier_of(*answer->metal, size)
                                                         : report::break_even_of(*answer->metal, size);
  if (!data) return fail(data.error().in_file(job.folder + "/metal.toml"));
  return report::curves_figure(*data);
}

/// State and causes, or for and against one of them.
Result<report::Figure> diagnosis_figure(const FigureRequest& request, const casefile::Case& job,
                                        const catalog::Catalog& catalog, const Run& run) {
  constexpr std::size_t most_causes = 8;
  if (!job.findings) {
    return fail(Error{.code = ErrorCode::not_found,
                      .where = {.file = job.folder, .line = 0, .column = 0, .field = "findings"},
                      .found = "a case without findings",
                      .expected = "findings = \"findings.toml\"",
                      .hint = "Write what was found (docs/reference/findings.md)"});
  }
  const auto facts = assess::facts_of_case(job, catalog, request.seed, run);
  if (!facts) return fail(facts.error());
  const diagnosis::Draws draws{.seed = request.seed, .count = assess::table_draws(assess::Depth::nominal)};
  const auto found = diagnosis::diagnose(catalog.diagnosis, *facts, draws, run);
  if (!found) return fail(found.error());
  const report::FigureSize size{.width = request.width};
  if (request.kind == FigureKind::causes) {
    return report::intervals_figure(report::intervals_of(*found, most_causes, size));
  }
  const std::string cause = request.cause.empty() ? found->causes.front().id : request.cause;
  const auto why = diagnosis::explain(catalog.diagnosis, *facts, cause, draws, run);
  if (!why) return fail(why.error());
  if (why->cause.held_back) {
    return fail(Error{.code = ErrorCode::conflict,
                      .where = {.file = {}, .line = 0, .column = 0, .field = "cause"},
                      .found = why->cause.id + ", a cause of other people's work",
                      .expected = "one that may leave the house",
                      .hint = "Release it in the findings: [release_others_work]"});
  }
  return report::for_against_figure(report::for_against_of(*why, size));
}

Result<report::Figure> figure_of(const FigureRequest& request, const casefile::Case& job,
                                 const catalog::Catalog& catalog, const Run& run) {
  if (request.kind == FigureKind::causes || request.kind == FigureKind::why) {
    return diagnosis_figure(request, job, catalog, run);
  }
  const auto chosen = choose(job, request.sheet);
  if (!chosen) return fail(chosen.error());
  const supply::Climate climate = request.climate.value_or(job.climate);
  report::FigureOptions options{.system = request.system, .size = {}};
  options.size.width = request.width;
  if (request.kind >= FigureKind::cascade) return metal_figure(request, job, catalog, options.size, run);
  const system::LineSheet& sheet = *chosen->sheet;
  const supply::Sampling sampling{.samples = request.samples, .seed = request.seed};
  switch (request.kind) {
    case FigureKind::schematic: return report::schematic_figure(report::schematic_of(sheet, chosen->base, options));
    case FigureKind::coverage: return report::coverage_figure(report::coverage_of(sheet, options));
    case FigureKind::comparison: return compared(job, climate, options, run);
    case FigureKind::envelope: return envelope_map(sheet, climate, options, run);
    case FigureKind::matters: return what_matters(sheet, climate, sampling, options, run);
    case FigureKind::gauges: return gauge_book(sheet, sampling, options, run);
    case FigureKind::capacity: return rail_figure(RailFigure::capacity, sheet, options, run);
    case FigureKind::rail: return rail_figure(RailFigure::rail, sheet, options, run);
    case FigureKind::waves: return rail_figure(RailFigure::waves, sheet, options, run);
    case FigureKind::day: return rail_figure(RailFigure::day, sheet, options, run);
    case FigureKind::cascade:
    case FigureKind::dose:
    case FigureKind::frontier:
    case FigureKind::break_even:
    case FigureKind::causes:
    case FigureKind::why:
    case FigureKind::grade_line:
    case FigureKind::worst_line: break;
  }
  const auto judgement = judged(sheet, climate, sampling, run);
  if (!judgement) return fail(judgement.error());
  const bool worst = request.kind == FigureKind::worst_line;
  const supply::GradeLine& line = worst ? judgement->worst_line : judgement->line;
  return report::grade_line_figure(report::grade_line_of(
      *judgement, worst ? report::GradePointOf::worst : report::GradePointOf::plain, line.band_Pa, options));
}

}  // namespace

std::string_view name(FigureKind kind) { return kind_names.at(static_cast<std::size_t>(kind)); }

std::vector<std::string> figure_kinds() { return {kind_names.begin(), kind_names.end()}; }

std::optional<FigureKind> figure_kind_named(std::string_view text) {
  const auto* found = std::ranges::find(kind_names, text);
  if (found == kind_names.end()) return std::nullopt;
  return static_cast<FigureKind>(found - kind_names.begin());
}

Result<std::string> make_figure(const FigureRequest& request, const Run& run) {
  const auto catalog = catalog::built_in();
  if (!catalog) return fail(catalog.error());
  const auto job = open_case_or_sheet(request.target, *catalog);
  if (!job) return fail(job.error());
  const auto figure = figure_of(request, *job, *catalog, run);
  if (!figure) return fail(figure.error());
  const auto titled = report::titled(report::typeset(*figure));
  if (!titled) return fail(titled.error());
  switch (request.format) {
    case FigureFormat::svg: return report::svg(*titled);
    case FigureFormat::png: return report::png(*titled);
    case FigureFormat::pdf: return report::render_pdf(*titled, request.created);
  }
  return report::svg(*titled);
}

}  // namespace fw::app
