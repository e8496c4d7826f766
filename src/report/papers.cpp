// SPDX-License-Identifier: Apache-2.0
#include "report/papers.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include <fmt/format.h>

#include "report/figure_grade.hpp"

namespace fw::report {

namespace {

using supply::Check;
using supply::Outcome;
using supply::SheetJudgement;
using units::Dimension;

Mark mark_of(Outcome outcome) {
  switch (outcome) {
    case Outcome::fails: return Mark::fails;
    case Outcome::not_known: return Mark::not_known;
    case Outcome::narrow: return Mark::narrow;
    case Outcome::holds: return Mark::holds;
  }
  return Mark::not_known;
}

Signal signal_of(assess::Signal signal) {
  switch (signal) {
    case assess::Signal::danger: return Signal::danger;
    case assess::Signal::warning: return Signal::warning;
    case assess::Signal::caution: return Signal::caution;
    case assess::Signal::notice: return Signal::notice;
  }
  return Signal::warning;
}

std::string pressure(double pascal, units::System system) {
  return units::print(pascal, Dimension::gauge_pressure, system);
}

std::string flow(double m3_per_s, units::System system) {
  return units::print(m3_per_s, Dimension::volume_flow, system);
}

std::string spelled(std::size_t count) {
  static constexpr std::array<std::string_view, 13> small{"No",    "One",   "Two",  "Three", "Four",   "Five",  "Six",
                                                          "Seven", "Eight", "Nine", "Ten",   "Eleven", "Twelve"};
  return count < small.size() ? std::string(small[count]) : fmt::format("{}", count);
}

std::string lower_first(std::string text) {
  if (!text.empty() && text[0] >= 'A' && text[0] <= 'Z') text[0] = static_cast<char>(text[0] - 'A' + 'a');
  return text;
}

std::size_t count(const SheetJudgement& sheet, Outcome outcome) {
  return static_cast<std::size_t>(std::ranges::count(sheet.checks, outcome, &Check::outcome));
}

std::string titles(const SheetJudgement& sheet, Outcome outcome) {
  std::string all;
  for (const Check& check : sheet.checks) {
    if (check.outcome == outcome) all += (all.empty() ? "" : "; ") + lower_first(check.title);
  }
  return all;
}

/// Value and limit of a check in the reader's units.
std::string value_text(const Check& check, units::System system) {
  return check.value_Pa ? pressure(*check.value_Pa, system) : std::string("-");
}

std::string limit_text(const Check& check, units::System system) {
  return std::isfinite(check.limit.fails_Pa) ? pressure(check.limit.fails_Pa, system) : std::string("none known");
}

std::string where_and_when(const Check& check) {
  std::string text = check.place;
  if (check.point) text += (text.empty() ? "" : "; ") + system::describe(*check.point);
  return text;
}

Spans sentence_of(const Check& check) {
  std::string text = check.sentence;
  if (!check.branch.empty()) text += " Taken: " + check.branch + ".";
  return plain(std::move(text));
}

/// A running point in a few words, for table cells.
std::string short_point(const system::RunningPoint& point) {
  const std::string_view engine = point.engine == system::EnginePoint::rated ? "rated" : system::name(point.engine);
  std::string text = fmt::format("{}, {:.0f} C", engine, point.fuel_temperature_K - 273.15);
  if (point.filter_loading > 0.5) text += ", spent filters";
  if (point.tank_level < 0.3) text += ", low tank";
  return text;
}

/// The checks of all sheets that do not hold, one row each.
Table open_checks(const assess::Assessment& assessment, units::System system) {
  Table table;
  const std::string unit = units::unit_name(Dimension::gauge_pressure, system);
  const auto number = [&](double pascal) { return units::print_number(pascal, Dimension::gauge_pressure, system); };
  table.columns = {{.title = "system"},
                   {.title = "check"},
                   {.title = "worst, " + unit, .kind = ColumnKind::number},
                   {.title = "limit, " + unit, .kind = ColumnKind::number},
                   {.title = "outcome", .kind = ColumnKind::outcome},
                   {.title = "where"}};
  for (const SheetJudgement& sheet : assessment.sheets) {
    for (const Check& check : sheet.checks) {
      if (check.outcome == Outcome::holds) continue;
      Row row;
      row.push_back({.spans = plain(sheet.name)});
      row.push_back({.spans = plain(check.title)});
      row.push_back({.spans = plain(check.value_Pa ? number(*check.value_Pa) : std::string("-"))});
      row.push_back({.spans = plain(check.value_Pa && std::isfinite(check.limit.fails_Pa) ? number(check.limit.fails_Pa)
                                                                                          : std::string("-"))});
      row.push_back({.spans = {}, .mark = mark_of(check.outcome)});
      row.push_back({.spans = plain(check.point ? short_point(*check.point) : check.sentence)});
      table.rows.push_back(std::move(row));
    }
  }
  return table;
}

/// Every check that does not hold as a line of its own with its reason under it; the holding ones in one line.
void add_open_checks(const SheetJudgement& sheet, units::System system, Document& document) {
  for (const Check& check : sheet.checks) {
    if (check.outcome == Outcome::holds) continue;
    Spans spans;
    spans.push_back({.text = {}, .mark = mark_of(check.outcome)});
    std::string head = "  " + check.title;
    if (check.value_Pa) head += ": " + value_text(check, system) + ", limit " + limit_text(check, system);
    spans.push_back({.text = std::move(head), .bold = true});
    spans.push_back({.text = ". " + text_of(sentence_of(check)) + " Worst at " + where_and_when(check) + "."});
    document.blocks.emplace_back(Paragraph{.spans = std::move(spans)});
  }
  std::string holding;
  for (const Check& check : sheet.checks) {
    if (check.outcome != Outcome::holds) continue;
    holding += (holding.empty() ? "Holds: " : "; ") + lower_first(check.title);
    if (check.value_Pa) holding += " (" + value_text(check, system) + ", limit " + limit_text(check, system) + ")";
  }
  if (!holding.empty()) document.blocks.emplace_back(Paragraph{.spans = plain(holding + ".")});
}

std::string dead_pump_sentence(const supply::DeadPump& dead, units::System system) {
  if (dead.engine_fed_at_rated) {
    return fmt::format("If the {} dies, the engine is still fed: {} at the pump inlet at rated power.", dead.pump,
                       pressure(dead.inlet_at_rated_Pa, system));
  }
  if (dead.engine_fed_at_idle) {
    return fmt::format("If the {} dies, the engine idles ({} at the pump inlet) and starves at rated power.", dead.pump,
                       pressure(dead.inlet_at_idle_Pa, system));
  }
  return fmt::format("If the {} dies, the engine is not fed.", dead.pump);
}

/// The same in a few words, for a page that has little room.
std::string dead_pump_shortly(const supply::DeadPump& dead, units::System system) {
  if (dead.engine_fed_at_rated) {
    return fmt::format("With the {} dead: still fed, {} at the inlet.", dead.pump,
                       pressure(dead.inlet_at_rated_Pa, system));
  }
  return fmt::format("With the {} dead: {}.", dead.pump,
                     dead.engine_fed_at_idle ? "idles, starves at rated power" : "not fed");
}

/// The inputs that stand in for what nobody stated, in the order of the sheet.
std::vector<const Stated*> stand_ins(const SheetJudgement& sheet) {
  std::vector<const Stated*> all;
  for (const Stated& input : sheet.inputs) {
    if (input.origin.as_typed.empty() || input.unknown) all.push_back(&input);
  }
  return all;
}

void add_cautions(const assess::Assessment& assessment, Document& document) {
  for (const assess::Caution& caution : assessment.cautions) {
    document.blocks.emplace_back(
        Caution{.signal = signal_of(caution.signal), .title = caution.title, .spans = plain(caution.text)});
  }
}

/// The cautions of one page: the first in full, the other warnings and the notices joined, each by its title.
void add_cautions_shortly(const assess::Assessment& assessment, Document& document) {
  for (const assess::Signal signal :
       {assess::Signal::danger, assess::Signal::warning, assess::Signal::caution, assess::Signal::notice}) {
    std::string title, text;
    for (const assess::Caution& caution : assessment.cautions) {
      if (caution.signal != signal) continue;
      if (&caution == &assessment.cautions.front()) {
        document.blocks.emplace_back(
            Caution{.signal = signal_of(signal), .title = caution.title, .spans = plain(caution.text)});
        continue;
      }
      title += (title.empty() ? "" : ", ") + (title.empty() ? caution.title : lower_first(caution.title));
      text += (text.empty() ? "" : " ") + caution.shortly;
    }
    if (!title.empty()) {
      document.blocks.emplace_back(Caution{.signal = signal_of(signal), .title = title, .spans = plain(text)});
    }
  }
}

/// Input ids in words: "tank.vent.ullage" -> "tank vent ullage", "law.fuel-density" -> "fuel density".
std::string in_words(std::string id) {
  if (id.starts_with("law.")) id.erase(0, 4);
  for (char& c : id) {
    if (c == '.' || c == '-' || c == '_') c = ' ';
  }
  return id;
}

Sheet style_of(std::size_t index, const std::string& name) {
  if (name == "as designed") return Sheet::as_designed;
  if (name == "as found") return Sheet::as_found;
  if (name == "as rebuilt") return Sheet::as_rebuilt;
  return static_cast<Sheet>(std::min<std::size_t>(index, 2));
}

Result<Figure> grade_lines(const assess::Assessment& assessment, units::System system) {
  ComparisonData data;
  data.title = "Pressure along the fuel's way at rated power, fuel 20 C, clean filters, half tank";
  data.unit = units::unit_name(Dimension::gauge_pressure, system);
  data.size.plot_height = 100.0;  // the page has room for this much
  data.size.text_size = 7.0;
  const units::Scale scale = units::scale(Dimension::gauge_pressure, system);
  std::vector<std::vector<std::string>> names;
  for (const SheetJudgement& sheet : assessment.sheets) {
    std::vector<std::string> of_sheet;
    for (const system::PlaceAt& place : sheet.line.places) {
      of_sheet.push_back(place.title);
    }
    names.push_back(std::move(of_sheet));
  }
  const MergedStations merged = merge_stations(names);
  data.stations = merged.stations;
  for (std::size_t i = 0; i < assessment.sheets.size(); ++i) {
    const SheetJudgement& sheet = assessment.sheets[i];
    ComparedSheet line;
    line.sheet = style_of(i, sheet.name);
    line.words = sheet.name;
    line.values.assign(data.stations.size(), std::nullopt);
    for (std::size_t k = 0; k < sheet.line.over_ambient_Pa.size(); ++k) {
      line.values[merged.places[i][k]] = sheet.line.over_ambient_Pa[k] * scale.factor;
    }
    line.end_value = units::print_number(sheet.line.over_ambient_Pa.back(), Dimension::gauge_pressure, system);
    data.sheets.push_back(std::move(line));
  }
  // Limits of the inlet, from the first sheet that has them.
  for (const SheetJudgement& sheet : assessment.sheets) {
    for (const Check& check : sheet.checks) {
      if (check.id != "inlet-low" && check.id != "inlet-high") continue;
      if (!std::isfinite(check.limit.fails_Pa)) continue;
      const bool low = check.id == "inlet-low";
      data.limits.push_back({.value = check.limit.fails_Pa * scale.factor,
                             .words = units::print_number(check.limit.fails_Pa, Dimension::gauge_pressure, system) +
                                      (low ? " least at inlet" : " most at inlet"),
                             .first = data.stations.size() - 1,
                             .last = data.stations.size() - 1});
    }
    if (!data.limits.empty()) break;
  }
  return comparison_figure(data);
}

Result<Figure> single_grade_line(const SheetJudgement& sheet, units::System system) {
  GradeLineData data;
  data.title = "Pressure along the fuel's way, " + system::describe(sheet.line.point);
  data.unit = units::unit_name(Dimension::gauge_pressure, system);
  const units::Scale scale = units::scale(Dimension::gauge_pressure, system);
  for (std::size_t k = 0; k < sheet.line.places.size(); ++k) {
    data.points.push_back({.name = sheet.line.places[k].title, .value = sheet.line.over_ambient_Pa[k] * scale.factor});
  }
  for (const Check& check : sheet.checks) {
    if ((check.id == "inlet-low" || check.id == "inlet-high") && std::isfinite(check.limit.fails_Pa)) {
      data.limits.push_back({.value = check.limit.fails_Pa * scale.factor,
                             .words = units::print_number(check.limit.fails_Pa, Dimension::gauge_pressure, system) +
                                      (check.id == "inlet-low" ? " least at inlet" : " most at inlet"),
                             .first = data.points.size() - 1,
                             .last = data.points.size() - 1});
    }
  }
  data.end_value = units::print_number(sheet.line.over_ambient_Pa.back(), Dimension::gauge_pressure, system);
  return grade_line_figure(data);
}

std::string case_line(const assess::Assessment& assessment) {
  std::string text = "Case " + assessment.case_id;
  for (const std::string* part : {&assessment.vehicle, &assessment.odometer}) {
    if (!part->empty()) text += ", " + *part;
  }
  if (!assessment.opened.empty()) text += ", opened " + assessment.opened;
  return text;
}

}  // namespace

std::string lead_sentence(const SheetJudgement& sheet) {
  std::string text;
  const auto clause = [&](Outcome outcome, const char* one, const char* many) {
    const std::size_t n = count(sheet, outcome);
    if (n == 0) return;
    text +=
        fmt::format("{}{} {}: {}.", text.empty() ? "" : " ", spelled(n), n == 1 ? one : many, titles(sheet, outcome));
  };
  clause(Outcome::fails, "check fails", "checks fail");
  clause(Outcome::not_known, "is not known", "are not known");
  clause(Outcome::narrow, "is narrow", "are narrow");
  const std::size_t holding = count(sheet, Outcome::holds);
  if (holding == sheet.checks.size()) {
    text = fmt::format("All {} checks hold.", holding);
  } else if (holding > 0) {
    text += fmt::format(" {} {}.", spelled(holding), holding == 1 ? "holds" : "hold");
  } else {
    text += " None holds.";
  }
  return text;
}

Result<Document> brief(const assess::Assessment& assessment, const PaperOptions& options) {
  Document document;
  document.title = assessment.title;
  document.subtitle = case_line(assessment);
  document.subject = "brief";
  document.created = options.created;
  document.size = options.size;
  document.blocks.emplace_back(Paragraph{
      .spans = plain(fmt::format(
          "Judged nominally over {} running points of a {} climate (not sampled). Pressures over "
          "ambient.",
          assessment.sheets.empty() ? 0 : assessment.sheets.front().points, supply::name(assessment.climate))),
      .small = true});
  std::size_t number = 1;
  for (const SheetJudgement& sheet : assessment.sheets) {
    document.blocks.emplace_back(
        Heading{.level = 1, .number = fmt::format("{}", number++), .text = "System " + sheet.name});
    document.blocks.emplace_back(Lead{.spans = plain(lead_sentence(sheet))});
    add_open_checks(sheet, options.system, document);
    document.blocks.emplace_back(Paragraph{
        .spans = plain(fmt::format(
            "At rated power (fuel 20 C, clean filters) the engine asks for {}, burns {}, and the "
            "pump inlet sees {}.",
            flow(sheet.demand_rated_m3_per_s, options.system), flow(sheet.burned_rated_m3_per_s, options.system),
            pressure(sheet.line.over_ambient_Pa.back(), options.system)))});
    for (const supply::DeadPump& dead : sheet.dead_pumps) {
      document.blocks.emplace_back(Paragraph{.spans = plain(dead_pump_sentence(dead, options.system))});
    }
    for (const std::string& note : sheet.notes) document.blocks.emplace_back(Paragraph{.spans = plain(note)});
    if (sheet.unsolved > 0) {
      document.blocks.emplace_back(
          Paragraph{.spans = plain(fmt::format("{} of {} running points could not be solved and count for nothing.",
                                               sheet.unsolved, sheet.points))});
    }
    const std::size_t guessed = stand_ins(sheet).size();
    document.blocks.emplace_back(
        Paragraph{.spans = plain(fmt::format("{} of {} numbers were not stated: usual values stand in.", guessed,
                                             sheet.inputs.size())),
                  .small = true});
  }
  if (!assessment.cautions.empty()) {
    document.blocks.emplace_back(Heading{.level = 1, .number = {}, .text = "Before the work"});
    add_cautions(assessment, document);
  }
  if (const auto sound = check(document); !sound) return fail(sound.error());
  return document;
}

Result<Document> supply_page(const assess::Assessment& assessment, const PaperOptions& options) {
  Document document;
  document.title = assessment.title;
  document.subtitle = case_line(assessment);
  document.subject = "Fuel supply, as judged";
  document.created = options.created;
  document.size = options.size;
  document.header = assessment.title + ", fuel supply";
  document.footer = "Judged nominally, not sampled. Pressures over ambient.";

  if (!assessment.sheets.empty()) {
    const SheetJudgement& last = assessment.sheets.back();
    document.blocks.emplace_back(Lead{.spans = plain("System " + last.name + ": " + lower_first(lead_sentence(last)))});
    const auto figure = assessment.sheets.size() > 1 && assessment.sheets.size() <= 3
                            ? grade_lines(assessment, options.system)
                            : single_grade_line(last, options.system);
    if (!figure) return fail(figure.error());
    document.blocks.emplace_back(FigureBlock{
        .figure = *figure,
        .caption =
            plain("Rated power, fuel 20 C, clean filters, half tank, most likely values. Dashed: limits at the pump "
                  "inlet.")});
  }
  const Table open = open_checks(assessment, options.system);
  if (!open.rows.empty()) document.blocks.emplace_back(open);
  std::string rest;
  for (const SheetJudgement& sheet : assessment.sheets) {
    rest += fmt::format("{}{}: {} of {} checks hold.", rest.empty() ? "System " : " System ", sheet.name,
                        count(sheet, Outcome::holds), sheet.checks.size());
    for (const supply::DeadPump& dead : sheet.dead_pumps) rest += " " + dead_pump_shortly(dead, options.system);
  }
  document.blocks.emplace_back(Paragraph{.spans = plain(rest), .small = true});
  add_cautions_shortly(assessment, document);

  std::map<std::string, std::size_t> by_class;
  std::string guessed;
  std::size_t shown = 0;
  if (!assessment.sheets.empty()) {
    const SheetJudgement& sheet = assessment.sheets.back();
    for (const Stated& input : sheet.inputs) ++by_class[std::string(fw::name(input.source))];
    for (const Stated* input : stand_ins(sheet)) {
      if (shown == 4) break;
      guessed += (guessed.empty() ? "" : "; ") + in_words(input->id) + " (" + input->origin.source + ")";
      ++shown;
    }
    std::string classes;
    for (const auto& [name, n] : by_class) classes += fmt::format("{}{} {}", classes.empty() ? "" : ", ", n, name);
    document.blocks.emplace_back(
        Paragraph{.spans = plain(fmt::format(
                      "Where the numbers come from: system {}, file {}, {} numbers ({}). Not stated, so usual values "
                      "stand in: {}{}. Limits "
                      "here are common practice or assumed unless a maker's value was entered: they can "
                      "justify advice, never fault.",
                      sheet.name, sheet.file, sheet.inputs.size(), classes, guessed.empty() ? "none" : guessed,
                      stand_ins(sheet).size() > shown ? fmt::format(" and {} more", stand_ins(sheet).size() - shown)
                                                      : std::string())),
                  .small = true});
  }
  if (const auto sound = check(document); !sound) return fail(sound.error());
  return document;
}

}  // namespace fw::report
