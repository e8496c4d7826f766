// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cctype>
#include <cmath>
#include <functional>
#include <map>
#include <utility>

#include <fmt/format.h>

#include "base/chance_words.hpp"
#include "numerics/draw.hpp"
#include "report/change_words.hpp"
#include "report/check_words.hpp"
#include "report/diagnosis_answers.hpp"
#include "report/diagnosis_figures.hpp"
#include "report/figure_grade.hpp"
#include "report/figure_schematic.hpp"
#include "report/figure_strips.hpp"
#include "report/input_words.hpp"
#include "report/line_sheet_tables.hpp"
#include "report/metal_words.hpp"
#include "report/paper_metal.hpp"
#include "report/paper_parts.hpp"
#include "report/paper_rail.hpp"
#include "report/papers.hpp"
#include "report/supply_figures.hpp"
#include "report/typeset.hpp"

namespace fw::report {

namespace {

using supply::Check;
using supply::Outcome;
using supply::SheetJudgement;
using units::Dimension;

units::System other(units::System system) {
  return system == units::System::us ? units::System::metric : units::System::us;
}

/// A value over the same in the other unit system.
Cell reading(const std::optional<Amount>& amount, units::System system) {
  Cell cell{.spans = plain(words_of(amount, system))};
  const std::string second = words_of(amount, other(system));
  if (amount && second != text_of(cell.spans)) cell.detail = second;
  return cell;
}

Amount pressure(double pascal) { return {.si = pascal, .dimension = Dimension::gauge_pressure}; }

std::string id_of(std::string_view prefix, const std::string& name) {
  std::string id(prefix);
  for (const char c : name) {
    const bool plain_letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
    id += plain_letter ? c : '-';
  }
  return id;
}

/// One row per sheet: outcomes and the inlet at rated power.
Table summary(const assess::Assessment& assessment, units::System system) {
  Table table;
  table.columns = {{.title = "system"},
                   {.title = "fail", .kind = ColumnKind::number},
                   {.title = "not known", .kind = ColumnKind::number},
                   {.title = "narrow", .kind = ColumnKind::number},
                   {.title = "hold", .kind = ColumnKind::number},
                   {.title = "pump inlet, rated power", .kind = ColumnKind::number},
                   {.title = "engine asks for", .kind = ColumnKind::number}};
  for (const SheetJudgement& sheet : assessment.sheets) {
    const auto number = [&](Outcome outcome) { return Cell{.spans = plain(fmt::format("{}", count(sheet, outcome)))}; };
    const Amount asked{.si = sheet.demand_rated_m3_per_s, .dimension = Dimension::volume_flow};
    table.rows.push_back({{.spans = plain(sheet.name)},
                          number(Outcome::fails),
                          number(Outcome::not_known),
                          number(Outcome::narrow),
                          number(Outcome::holds),
                          reading(pressure(sheet.line.over_ambient_Pa.back()), system),
                          reading(asked, system)});
  }
  return table;
}

/// Effects that were found and checks that turned, one row each.
Table effects_table(const std::vector<supply::Difference>& lines, units::System system) {
  Table table;
  table.columns = {{.title = "change"},
                   {.title = "before", .kind = ColumnKind::number},
                   {.title = "after", .kind = ColumnKind::number},
                   {.title = "difference, nine in ten"},
                   {.title = "effect"}};
  for (const supply::Difference& line : lines) {
    const bool found = line.effect == supply::Effect::better || line.effect == supply::Effect::worse;
    const bool turned = line.outcome_first != line.outcome_second;
    if (!found && !turned) continue;
    const bool counted = line.id == "stages";
    const auto value = [&](const std::optional<double>& si) {
      if (!si) return std::string("-");
      return counted ? fmt::format("{:.0f}", *si) : words_of(Amount{.si = *si, .dimension = line.dimension}, system);
    };
    std::string band = "-";
    if (line.band && !counted) {
      // Rounding leaves traces where two systems share all that counts.
      const auto end = [&](double si) { return value(std::abs(si) < 1e-6 * line.smallest ? 0.0 : si); };
      band = from_to(end(line.band->low), end(line.band->high));
    }
    std::string detail = line.branch.empty() ? "" : "taken: " + with_minus(line.branch);
    if (line.assumptions_differ) detail += "; another assumption gives another effect";
    std::string turn;
    if (turned) turn = fmt::format("{} to {}", supply::name(line.outcome_first), supply::name(line.outcome_second));
    table.rows.push_back(
        {{.spans = plain(with_temperatures(with_minus(line.title), system)), .mark = {}, .detail = detail},
         {.spans = plain(value(line.first))},
         {.spans = plain(value(line.second))},
         {.spans = plain(band)},
         {.spans = plain(std::string(supply::words(line.effect))), .mark = {}, .detail = turn}});
  }
  return table;
}

/// What changed from one sheet to the next, but for the sentences that stand above.
void add_changes(Document& document, const SheetJudgement& from, const SheetJudgement& to,
                 const std::vector<std::string>& told, units::System system) {
  const std::vector<supply::Difference> lines = supply::compare(from, to);
  ChangeWords words = change_words(lines, system);
  for (const std::string& sentence : told) {
    if (const std::size_t at = words.rest.find(sentence); at != std::string::npos) {
      words.rest.erase(at > 0 ? at - 1 : at, sentence.size() + (at > 0 ? 1 : 0));
    }
  }
  Table effects = effects_table(lines, system);
  effects.caption = fmt::format("From {} to {}", from.name, to.name);
  if (effects.rows.empty()) {
    paragraph(document, fmt::format("From {} to {} no effect was found.", from.name, to.name));
  } else {
    document.blocks.emplace_back(std::move(effects));
  }
  Bullets bullets;
  for (const std::string& sentence : changed_checks(from, to)) bullets.items.push_back(plain(with_minus(sentence)));
  if (!bullets.items.empty()) document.blocks.emplace_back(std::move(bullets));
  if (!words.rest.empty()) paragraph(document, with_temperatures(with_minus(words.rest), system), true);
}

/// A check that only waits for a fact.
bool is_missing_fact(const Check& check) {
  return check.outcome == Outcome::not_known && !value_of(check) && !check.point;
}

/// What the checks wait for.
Table missing_facts(const SheetJudgement& sheet, units::System system) {
  Table table;
  table.caption = "Not known: a fact is missing";
  table.columns = {{.title = "check"}, {.title = "what is missing"}};
  for (const Check& check : sheet.checks) {
    if (!is_missing_fact(check)) continue;
    std::string text = with_minus(check.sentence);
    if (check.proposed) text += " Proposed alarm: below " + words_of(proposed_of(check), system) + ".";
    table.rows.push_back({{.spans = plain(with_minus(check.title))}, {.spans = plain(std::move(text))}});
  }
  return table;
}

/// The checks of a sheet that do not hold, worst first: sentence and place under the title, so that they have room.
Table open_checks_table(const SheetJudgement& sheet, units::System system) {
  Table table;
  table.columns = {{.title = "check"},
                   {.title = "worst", .kind = ColumnKind::number},
                   {.title = "limit", .kind = ColumnKind::number},
                   {.title = "margin", .kind = ColumnKind::number},
                   {.title = "outcome", .kind = ColumnKind::outcome}};
  for (const Check& check : sheet.checks) {
    if (check.outcome == Outcome::holds || is_missing_fact(check)) continue;
    std::string detail = check.sentence;
    if (check.proposed) detail += " Proposed alarm: below " + words_of(proposed_of(check), system) + ".";
    if (!check.place.empty() && (check.point || value_of(check))) {
      detail += fmt::format(" Worst at {}", with_minus(check.place));
      if (check.point) detail += ": " + short_point(*check.point, system);
      detail += ".";
    }
    detail += with_minus(taken_words(check, system));
    const bool measured = value_of(check).has_value();
    table.rows.push_back(
        {{.spans = plain(with_minus(check.title)), .mark = {}, .detail = std::move(detail)},
         reading(value_of(check), system),
         reading(measured ? limit_of(check) : std::nullopt, system),
         reading(margin_of(check), system),
         {.spans = plain(outcome_words(check)), .mark = mark_of(check.outcome), .detail = band_words(check, system)}});
  }
  return table;
}

/// Every check of every sheet, one row each: the same check of several sheets side by side. Sentences stand in the
/// body, for those that do not hold.
Table all_checks_table(const std::vector<SheetJudgement>& sheets, std::size_t first, std::size_t last,
                       units::System system) {
  Table table;
  table.columns = {{.title = "check"}, {.title = "limit", .kind = ColumnKind::number}};
  std::vector<std::string> ids;
  for (std::size_t i = first; i < last; ++i) {
    table.columns.push_back({.title = sheets[i].name, .kind = ColumnKind::outcome});
    for (const Check& check : sheets[i].checks) {
      if (std::ranges::find(ids, check.id) == ids.end()) ids.push_back(check.id);
    }
  }
  for (const std::string& id : ids) {
    Row row(2);
    std::vector<std::string> limits;
    for (std::size_t i = first; i < last; ++i) {
      const auto check = std::ranges::find(sheets[i].checks, id, &Check::id);
      if (check != sheets[i].checks.end() && value_of(*check)) limits.push_back(words_of(limit_of(*check), system));
    }
    const bool differ = std::ranges::adjacent_find(limits, std::ranges::not_equal_to{}) != limits.end();
    for (std::size_t i = first; i < last; ++i) {
      const auto check = std::ranges::find(sheets[i].checks, id, &Check::id);
      if (check == sheets[i].checks.end()) {
        row.push_back({.spans = plain("-"), .mark = {}, .detail = {}});
        continue;
      }
      // A part may have another title in another system: the first one that has it names the row.
      if (row[0].spans.empty()) row[0] = {.spans = plain(with_minus(check->title))};
      const std::optional<Amount> value = value_of(*check);
      if (differ) {
        row[1].spans = plain("by system");
      } else {
        row[1] = reading(value ? limit_of(*check) : std::nullopt, system);
      }
      std::string detail;
      if (value) detail = check->sampled ? band_words(*check, system) : words_of(value, system);
      if (value && detail.empty()) detail = words_of(value, system);
      if (differ && value && limit_of(*check)) detail += ", limit " + words_of(limit_of(*check), system);
      row.push_back({.spans = plain(outcome_words(*check)), .mark = mark_of(check->outcome), .detail = detail});
    }
    table.rows.push_back(std::move(row));
  }
  return table;
}

/// A band that stays wider than this share of itself is not worth a measurement.
constexpr double worth_measuring = 0.9;

/// What measuring the strongest input of each check that does not hold would do to its band.
Table hinges_of(const SheetJudgement& sheet, const system::LineSheet& line_sheet, units::System system) {
  Table table;
  table.caption = "What measuring would do";
  table.columns = {{.title = "check"},
                   {.title = "number to measure"},
                   {.title = "explains", .kind = ColumnKind::number},
                   {.title = "width of the band", .kind = ColumnKind::number},
                   {.title = "once measured", .kind = ColumnKind::number}};
  for (const Check& check : sheet.checks) {
    if (check.outcome == Outcome::holds || !check.sampled || check.sampled->hinges.empty()) continue;
    const supply::Hinge& hinge = check.sampled->hinges.front();
    const double width_now = check.sampled->band.high - check.sampled->band.low;
    if (hinge.width_if_known > worth_measuring * width_now) continue;
    const auto width = [&](double si) {
      return units::print(
          si, check.dimension == Dimension::temperature ? Dimension::temperature_difference : check.dimension, system);
    };
    table.rows.push_back({{.spans = plain(with_minus(check.title))},
                          {.spans = plain(input_words(hinge.input, &line_sheet))},
                          {.spans = plain(in_100(hinge.share))},
                          {.spans = plain(width(width_now))},
                          {.spans = plain(width(hinge.width_if_known))}});
  }
  return table;
}

Table dead_pumps(const SheetJudgement& sheet, units::System system) {
  Table table;
  table.caption = "What happens when a pump dies";
  table.columns = {{.title = "dead"},
                   {.title = "inlet at idle", .kind = ColumnKind::number},
                   {.title = "inlet at rated power", .kind = ColumnKind::number},
                   {.title = "the engine"}};
  for (const supply::DeadPump& dead : sheet.dead_pumps) {
    const std::string words = with_temperatures(
        dead.engine_fed_at_rated && dead.low_at_rated()
            ? fmt::format("gets fuel, but under less than the {} its pump should see; fuel arrives {}",
                          words_of(pressure(*dead.inlet_limit_Pa), system), fed_where(dead))
        : dead.engine_fed_at_rated
            ? fmt::format("is fed at rated power with clean filters, 20 C; over the envelope {}", fed_where(dead))
        : dead.engine_fed_at_idle
            ? fmt::format("idles, starves at rated power with clean filters, 20 C; fed {}", fed_where(dead))
            : "is not fed",
        system);
    table.rows.push_back({{.spans = plain(with_minus(dead.named()))},
                          reading(pressure(dead.inlet_at_idle_Pa), system),
                          reading(pressure(dead.inlet_at_rated_Pa), system),
                          {.spans = plain(words)}});
  }
  return table;
}

Result<void> add_figure(Document& document, Result<Figure> figure, std::string caption) {
  if (!figure) return fail(figure.error());
  document.blocks.emplace_back(FigureBlock{.figure = std::move(*figure), .caption = plain(std::move(caption))});
  return {};
}

Result<void> add_sheet(Document& document, const SheetJudgement& sheet, const system::LineSheet& line_sheet,
                       const system::LineSheet* base, const std::string& number, const PaperOptions& options) {
  const FigureOptions drawing{.system = options.system, .size = {.width = 482.0, .text_size = 7.2}};
  heading(document, 1, number, "System " + sheet.name, id_of("sheet-", sheet.name));
  document.blocks.emplace_back(Lead{.spans = plain(with_minus(lead_sentence(sheet)))});
  if (auto ok = add_figure(document, schematic_figure(schematic_of(line_sheet, base, drawing)),
                           "Fuel system " + sheet.name +
                               ". Flow from left to right, return below; height is not to scale. "
                               "Manner of ISO 1219-1.");
      !ok) {
    return ok;
  }
  int part = 0;
  const auto subsection = [&] { return fmt::format("{}.{}", number, ++part); };
  heading(document, 2, subsection(), "Checks over the envelope", {});
  Table open = open_checks_table(sheet, options.system);
  if (!open.rows.empty()) document.blocks.emplace_back(std::move(open));
  if (sheet.samples > 0) {
    paragraph(
        document,
        fmt::format("Under the outcome: nine in ten of {} draws of the worst value. \"8 in 100\" is the chance of "
                    "failing; where none stands, it is under 1 in 100 (95 % sure).",
                    grouped(sheet.samples)),
        true);
  }
  if (Table missing = missing_facts(sheet, options.system); !missing.rows.empty()) {
    document.blocks.emplace_back(std::move(missing));
  }
  if (const std::size_t holding = count(sheet, Outcome::holds); holding > 0) {
    std::string names;
    for (const Check& check : sheet.checks) {
      if (check.outcome == Outcome::holds) names += (names.empty() ? "" : "; ") + lower_first(with_minus(check.title));
    }
    document.blocks.emplace_back(Paragraph{
        .spans = {{.text = fmt::format("{} {}: {}. ", spelled(holding), holding == 1 ? "holds" : "hold", names)},
                  {.text = "All checks", .link = "#checks"},
                  {.text = " with values and limits stand in annex B."}},
        .small = true});
  }
  if (Table hinges = hinges_of(sheet, line_sheet, options.system); !hinges.rows.empty()) {
    document.blocks.emplace_back(std::move(hinges));
  }
  if (sheet.unsolved > 0) {
    paragraph(document, fmt::format("{} of {} running points could not be solved and count for nothing.",
                                    sheet.unsolved, sheet.points));
  }
  for (const std::string& note : sheet.notes) {
    // The fuel stands in the annex with the rest of the line sheet.
    if (note != "Fuel: " + sheet.fuel + ".") paragraph(document, note, true);
  }
  if (!sheet.dead_pumps.empty()) {
    heading(document, 2, subsection(), "Dead pumps", {});
    Table table = dead_pumps(sheet, options.system);
    table.caption.clear();
    document.blocks.emplace_back(Paragraph{
        .spans = plain("Fed: the engine gets the flow it asks for; the pressure may lie outside the limits above."),
        .small = true,
        .with_next = true});
    document.blocks.emplace_back(std::move(table));
  }
  heading(document, 2, subsection(), "Pressure along the fuel's way", {});
  FigureOptions grade = drawing;
  grade.size.plot_height = 88.0;
  if (sheet.line.places.size() > 1) {
    const GradeLineData data = grade_line_of(sheet, GradePointOf::plain, sheet.line.band_Pa, grade);
    if (auto ok = add_figure(document, grade_line_figure(data), data.title + ". Most likely values; limits dashed.");
        !ok) {
      return ok;
    }
  }
  const bool apart = sheet.worst_line.places.size() > 1 && !(sheet.worst_line.point == sheet.line.point);
  if (apart) {
    grade.size.plot_height = 72.0;
    const GradeLineData data = grade_line_of(sheet, GradePointOf::worst, sheet.worst_line.band_Pa, grade);
    if (auto ok = add_figure(document, grade_line_figure(data),
                             "The running point with the lowest inlet pressure: " +
                                 point_words(sheet.worst_line.point, options.system) + ".");
        !ok) {
      return ok;
    }
  }
  heading(document, 2, subsection(), "What protects the way", {});
  if (auto ok =
          add_figure(document, coverage_figure(coverage_of(line_sheet, drawing)),
                     "Thick: protected; thin: partly, or the rating is not stated; dots: not protected. A crossed "
                     "sensor senses nothing.");
      !ok) {
    return ok;
  }
  return {};
}

/// Readings at the test ports of every sheet at rated power, fuel 20 C, clean filters.
Table port_readings(const assess::Assessment& assessment, units::System system) {
  Table table;
  table.columns = {{.title = "port"}, {.title = "behind"}};
  std::vector<std::string> order;
  std::map<std::string, std::string> behind;
  for (const SheetJudgement& sheet : assessment.sheets) {
    table.columns.push_back({.title = sheet.name, .kind = ColumnKind::number});
    for (const system::PlaceAt& place : ports_of(sheet.line)) {
      if (std::ranges::find(order, place.port) == order.end()) order.push_back(place.port);
      std::string& titles = behind[place.port];
      const std::string title = with_minus(place.title);
      if (titles.find(title) == std::string::npos) titles += (titles.empty() ? "" : "; ") + title;
    }
  }
  for (const std::string& port : order) {
    Row row{{.spans = plain(port)}, {.spans = plain(behind[port])}};
    for (const SheetJudgement& sheet : assessment.sheets) {
      std::optional<Amount> shown;
      for (std::size_t k = 0; k < sheet.line.places.size(); ++k) {
        if (sheet.line.places[k].port == port) shown = pressure(sheet.line.over_ambient_Pa[k]);
      }
      row.push_back(reading(shown, system));
    }
    table.rows.push_back(std::move(row));
  }
  return table;
}

/// Adds the part of a row that differs from one already there by its part alone ("fine filter: clean drop"). False if
/// there is none.
bool add_owner(Table& table, const Row& row) {
  const auto split = [](const Row& of) {
    const std::string words = text_of(of[0].spans);
    const std::size_t colon = words.find(": ");
    return colon == std::string::npos ? std::pair{std::string(), words}
                                      : std::pair{words.substr(0, colon), words.substr(colon + 2)};
  };
  const auto [owner, field] = split(row);
  if (owner.empty()) return false;
  for (Row& there : table.rows) {
    auto [owners, same] = split(there);
    bool alike = same == field && !owners.empty();
    for (std::size_t k = 1; k < row.size(); ++k) {
      // The systems may differ: the part says whose it is.
      alike =
          alike && (k == 3 || (text_of(there[k].spans) == text_of(row[k].spans) && there[k].detail == row[k].detail));
    }
    if (!alike) continue;
    there[0].spans = plain(owners + ", " + owner + ": " + field);
    if (text_of(there[3].spans) != text_of(row[3].spans)) there[3].spans = plain("where used");
    return true;
  }
  return false;
}

/// Whether the text as typed says no more than the printed value: a bare number in the same unit.
bool same_in_print(const std::string& typed, const std::string& printed) {
  const auto unit = [](const std::string& text) { return text.substr(std::min(text.find(' '), text.size())); };
  const auto number = [](char c) { return (c >= '0' && c <= '9') || c == '.' || c == '-'; };
  return unit(typed) == unit(printed) &&
         std::ranges::all_of(typed.substr(0, typed.size() - unit(typed).size()), number);
}

/// "as-found" of "as-found.toml": the annex names the files once, in full.
std::string without_extension(const std::string& file) {
  return file.ends_with(".toml") ? file.substr(0, file.size() - 5) : file;
}

/// Every number of every sheet once; the column of sheets says whose it is.
std::vector<Table> number_tables(const assess::Assessment& assessment, const std::vector<system::LineSheet>& sheets,
                                 units::System system) {
  struct Entry {
    const Stated* input = nullptr;
    const system::LineSheet* sheet = nullptr;
    std::vector<std::string> names;
  };
  std::vector<Entry> entries;
  for (std::size_t s = 0; s < assessment.sheets.size(); ++s) {
    for (const Stated& input : assessment.sheets[s].inputs) {
      const auto same = std::ranges::find_if(entries, [&](const Entry& entry) {
        const Stated& a = *entry.input;
        return a.id == input.id && a.value == input.value && a.spread == input.spread && a.source == input.source &&
               a.origin.as_typed == input.origin.as_typed && a.unknown == input.unknown;
      });
      if (same == entries.end()) {
        entries.push_back({.input = &input, .sheet = &sheets[s], .names = {assessment.sheets[s].name}});
      } else {
        same->names.push_back(assessment.sheets[s].name);
      }
    }
  }
  std::vector<std::string> sources;  // told once, by their number in the tables
  const auto source_number = [&](const std::string& source) {
    const auto at = std::ranges::find(sources, source);
    const auto place = at - sources.begin();
    if (at == sources.end()) sources.push_back(source);
    return fmt::format("[{}]", place + 1);
  };
  const auto table_of = [&](const char* caption, bool stated) {
    Table table;
    table.caption = caption;
    table.columns = {
        {.title = "number"}, {.title = "value"}, {.title = "nine in ten"}, {.title = "system"}, {.title = "from"}};
    for (const Entry& entry : entries) {
      const Stated& input = *entry.input;
      const bool typed = !input.origin.as_typed.empty() && !input.unknown;
      if (typed != stated) continue;
      std::string range = "exact";
      if (input.spread.kind != SpreadKind::exact) {
        const numerics::Band band = numerics::band_90(input);
        range = from_to(input_at(input, band.low, system), input_at(input, band.high, system));
      }
      std::string names;
      for (std::string name : entry.names) {
        if (name.starts_with("as ")) name.erase(0, 3);
        names += (names.empty() ? "" : ", ") + name;
      }
      if (entry.names.size() == assessment.sheets.size() && entry.names.size() > 1) names = "all";
      std::string source = input.origin.source;
      if (source.starts_with("assumed: ")) source.erase(0, 9);
      std::string from = typed ? without_extension(file_name(input.origin.file)) : std::string();
      if (typed && input.origin.line > 0) from += fmt::format(", line {}", input.origin.line);
      // A source of a word or two needs no number.
      constexpr std::size_t short_source = 24;
      if (!source.empty() && (!typed || source.size() > short_source)) {
        from += (from.empty() ? "" : " ") + (source.size() > short_source ? source_number(source) : source);
      } else if (!source.empty()) {
        from += "; " + source;
      }
      std::string value = input_at(input, input.value, system);
      std::string detail;
      if (typed && !same_in_print(input.origin.as_typed, value)) detail = "typed: " + with_minus(input.origin.as_typed);
      if (input.unknown) detail = "typed: ?";
      std::string origin(fw::name(input.source));
      if (from.starts_with("[")) origin += " " + std::exchange(from, {});
      Row row{{.spans = plain(input_words(input.id, entry.sheet))},
              {.spans = plain(with_minus(value)), .mark = {}, .detail = detail},
              {.spans = plain(with_minus(range))},
              {.spans = plain(names)},
              {.spans = plain(std::move(origin)), .mark = {}, .detail = from}};
      if (!stated && add_owner(table, row)) continue;
      table.rows.push_back(std::move(row));
    }
    return table;
  };
  std::vector<Table> tables;
  tables.push_back(table_of("Assumptions: not stated, so usual values stand in", false));
  tables.push_back(table_of("As stated in the line sheets", true));
  Table told{.caption = "Sources", .columns = {{.title = "number"}, {.title = "source"}}, .rows = {}};
  for (std::size_t i = 0; i < sources.size(); ++i) {
    told.rows.push_back({{.spans = plain(fmt::format("[{}]", i + 1))}, {.spans = plain(with_minus(sources[i]))}});
  }
  tables.push_back(std::move(told));
  std::erase_if(tables, [](const Table& table) { return table.rows.empty(); });
  return tables;
}

/// Whose limits the checks are held against, each once; a table for every kind of limit.
std::vector<Table> limits_tables(const assess::Assessment& assessment, units::System system) {
  // Checks under one limit stand in one row.
  std::vector<std::vector<const Check*>> rows;
  for (const SheetJudgement& sheet : assessment.sheets) {
    for (const Check& check : sheet.checks) {
      if (!limit_of(check) && check.limit.source.empty()) continue;
      const auto same = std::ranges::find_if(rows, [&](const std::vector<const Check*>& row) {
        const supply::Limit& limit = row.front()->limit;
        return row.front()->dimension == check.dimension && row.front()->low == check.low &&
               limit.source == check.limit.source && limit.origin == check.limit.origin &&
               words_of(limit_of(*row.front()), system) == words_of(limit_of(check), system) &&
               words_of(narrow_limit_of(*row.front()), system) == words_of(narrow_limit_of(check), system);
      });
      if (same == rows.end()) {
        rows.push_back({&check});
      } else if (std::ranges::none_of(*same, [&](const Check* other) { return other->title == check.title; })) {
        same->push_back(&check);
      }
    }
  }
  std::vector<Table> tables;
  for (const supply::LimitOrigin origin : {supply::LimitOrigin::maker, supply::LimitOrigin::practice,
                                           supply::LimitOrigin::assumed, supply::LimitOrigin::none}) {
    Table table;
    table.caption = std::string(supply::words(origin));
    if (!table.caption.empty()) table.caption[0] = static_cast<char>(std::toupper(table.caption[0]));
    table.columns = {{.title = "check"},
                     {.title = "fails beyond", .kind = ColumnKind::number},
                     {.title = "narrow beyond", .kind = ColumnKind::number},
                     {.title = "source"}};
    for (const std::vector<const Check*>& row : rows) {
      const Check& check = *row.front();
      if (check.limit.origin != origin) continue;
      std::string titles;
      for (const Check* same : row) {
        titles += titles.empty() ? with_minus(same->title) : "; " + lower_first(with_minus(same->title));
      }
      table.rows.push_back({{.spans = plain(titles)},
                            reading(limit_of(check), system),
                            reading(narrow_limit_of(check), system),
                            {.spans = plain(check.limit.source.empty() ? "-" : with_minus(check.limit.source))}});
    }
    if (!table.rows.empty()) tables.push_back(std::move(table));
  }
  return tables;
}

/// All words of a table: two that say the same are one.
std::string words_in(const Table& table) {
  std::string all = table.caption;
  for (const Row& row : table.rows) {
    for (const Cell& cell : row) all += "\n" + text_of(cell.spans) + "\n" + cell.detail;
  }
  return all;
}

/// What speaks for and against the most probable cause that may be named, and what would overturn it.
Result<void> add_reasons(Document& document, const assess::Assessment& assessment, const std::string& number) {
  constexpr std::size_t most_results = 4;
  const auto first = std::ranges::find(assessment.why, false, [](const auto& why) { return why.cause.held_back; });
  if (first == assessment.why.end()) return {};
  const ForAgainstData strips = for_against_of(*first, {.width = figure_width, .text_size = 7.2});
  heading(document, 2, number + ".1", "For and against", {});
  if (!strips.findings.empty()) {
    if (auto ok = add_figure(document, for_against_figure(strips),
                             strips.title + ". What each finding alone does to the odds, the others as they are.");
        !ok) {
      return ok;
    }
  }
  const bool leads = assessment.diagnosis->causes.front().id == first->cause.id;
  const char* front = leads ? "put another cause in front" : "put it in front";
  if (first->overturns.empty()) {
    paragraph(document, fmt::format("No single look that is left would {}.", front));
  } else {
    document.blocks.emplace_back(
        Paragraph{.spans = plain(fmt::format("What single look would {}, and how often it comes out so:", front)),
                  .with_next = true});
    Bullets bullets;
    for (std::size_t i = 0; i < std::min(most_results, first->overturns.size()); ++i) {
      const diagnosis::Overturn& one = first->overturns[i];
      bullets.items.push_back(
          plain(fmt::format("{}: if {}, {} times", upper_first(one.title), one.outcome, in_100(one.chance))));
    }
    document.blocks.emplace_back(std::move(bullets));
  }
  paragraph(document,
            conflict_words(first->conflict_bits) + "." +
                (first->effective_draws ? " " + effective_words(*first->effective_draws) + "." : std::string()),
            true);
  return {};
}

/// What the findings say of state and cause. Chances, no stronger words; who worked on it before is not judged.
Result<void> add_diagnosis(Document& document, const assess::Assessment& assessment, const std::string& number) {
  constexpr std::size_t most_causes = 6;
  const diagnosis::Diagnosis& diagnosis = *assessment.diagnosis;
  heading(document, 1, number, "State and cause", "diagnosis");
  const std::string counted =
      fmt::format("From {} {} of the case", diagnosis.counted, diagnosis.counted == 1 ? "finding" : "findings");
  // A sentence on somebody's earlier work leaves the house only when somebody of the shop releases it.
  const diagnosis::Belief& first = diagnosis.causes.front();
  std::string lead = fmt::format("{}, the cause is not determined: {}.", counted, diagnosis.why_not);
  if (diagnosis.determined && first.held_back) {
    lead = fmt::format("{}, the most probable cause is held back until the shop's owner releases it.", counted);
  } else if (diagnosis.determined) {
    lead = fmt::format("{}, the most probable cause is: {}, {}.", counted, lower_first(first.title),
                       in_hundred_words(first, diagnosis.draws));
  }
  document.blocks.emplace_back(Lead{.spans = plain(std::move(lead))});
  const IntervalsData lines = intervals_of(diagnosis, most_causes, {.width = figure_width, .text_size = 7.2});
  if (auto ok = add_figure(document, intervals_figure(lines),
                           "What happened, then what may have caused it: the chance as a dot, nine in ten of the "
                           "tables' draws as a line.");
      !ok) {
    return ok;
  }
  if (std::ranges::any_of(diagnosis.causes, &diagnosis::Belief::held_back)) {
    paragraph(document, "Causes that touch earlier work are left out until the shop's owner releases them.", true);
  }
  if (!diagnosis.discounted.empty()) {
    std::string text = "Not counted: ";
    for (std::size_t i = 0; i < diagnosis.discounted.size(); ++i) {
      const diagnosis::Discounted& one = diagnosis.discounted[i];
      text += fmt::format("{}{} ({})", i == 0 ? "" : "; ", lower_first(one.title), one.why);
    }
    paragraph(document, with_minus(text) + ".", true);
  }
  if (auto ok = add_reasons(document, assessment, number); !ok) return ok;
  std::string source =
      "Chances come from tables of common practice that the shop can edit, not from counted failures. Metal proves "
      "that the pump came apart, not why; a chance is advice, never fault.";
  if (assessment.looks) source += " Next looks are ranked by what they save. " + losses_words(*assessment.looks);
  paragraph(document, std::move(source), true);
  return {};
}

/// A zone of the system by its name where it was written by its id.
std::string zone_words(const std::string& zone) {
  const auto place = debris::place_of_id(zone);
  return place ? std::string(debris::name(*place)) : zone;
}

/// The evidence log: every entry, then the photos by zone of the debris map.
void add_evidence(Document& document, const std::vector<casefile::EvidenceEntry>& entries, const std::string& letter) {
  heading(document, 1, letter, "Evidence log", "evidence");
  paragraph(document,
            "Entries are never changed; a correction is an entry of its own. Each carries the hash of the one before: "
            "write down the last one elsewhere. The export of the log is verified by sha256sum.",
            true);
  Table table;
  table.columns = {{.title = "no."}, {.title = "what"}, {.title = "when, by whom"}, {.title = "value, custody"}};
  const auto joined = [](std::initializer_list<std::pair<const char*, const std::string*>> parts) {
    std::string all;
    for (const auto& [word, text] : parts) {
      if (!text->empty()) all += (all.empty() ? "" : "; ") + std::string(word) + *text;
    }
    return with_minus(all);
  };
  std::map<std::string, std::vector<std::string>> photos;
  const std::string none;
  for (const casefile::EvidenceEntry& one : entries) {
    std::string what = one.title;
    if (one.corrects) what += fmt::format(" (corrects {})", *one.corrects);
    const std::string zone = zone_words(one.zone);
    const std::string measured = joined({{"", &one.value}, {"by ", &one.instrument}, {"compared ", &one.compared}});
    const std::string custody = joined({{"container ", &one.container},
                                        {"seal ", &one.seal},
                                        {"duplicate ", &one.duplicate},
                                        {"handed to ", &one.handed_to},
                                        {"on ", &one.handed_on}});
    const std::string file = joined({{"file ", &one.file}});
    // The first line is never empty: a photo without a value has its file there.
    const std::string& first = !measured.empty() ? measured : !file.empty() ? file : custody;
    table.rows.push_back(
        {{.spans = plain(fmt::format("{}", one.number))},
         {.spans = plain(with_minus(what)), .detail = joined({{"", &one.place}, {"zone ", &zone}, {"", &one.note}})},
         {.spans = plain(one.time), .detail = joined({{"", &one.person}})},
         {.spans = plain(first),
          .detail = joined({{"", &first == &measured ? &file : &none}, {"", &first == &custody ? &none : &custody}})}});
    if (!one.file.empty()) {
      photos[zone.empty() ? "no zone" : zone].push_back(fmt::format("no. {}: {}", one.number, file_name(one.file)));
    }
  }
  document.blocks.emplace_back(std::move(table));
  if (!photos.empty()) {
    KeyValues index;
    for (const auto& [zone, files] : photos) {
      index.pairs.push_back({.key = zone, .value = plain(with_minus(fmt::format("{}", fmt::join(files, "; "))))});
    }
    heading(document, 2, letter + ".1", "Photos and files by zone", {});
    document.blocks.emplace_back(std::move(index));
  }
  paragraph(document, "Hash of the last entry: " + entries.back().sha256, true);
}

}  // namespace

Result<Document> technical_paper(const assess::Assessment& assessment, const std::vector<system::LineSheet>& sheets,
                                 const PaperOptions& options) {
  if (sheets.empty() || sheets.size() != assessment.sheets.size()) {
    return invalid("sheets", fmt::format("{}", sheets.size()),
                   fmt::format("{}, one or more", assessment.sheets.size()));
  }
  const units::System system = options.system;
  Document document = case_paper(assessment, options, "Fuel supply, technical report");
  document.header = assessment.title + ", fuel supply, technical report";
  document.footer =
      assessment.sheets.back().samples > 0
          ? fmt::format("Judged with {} draws. Pressures over ambient.", grouped(assessment.sheets.back().samples))
          : std::string("Judged at most likely values, not sampled. Pressures over ambient.");

  document.blocks.emplace_back(Contents{.title = "Contents"});
  int number = 1;
  heading(document, 1, fmt::format("{}", number), "In short", "short");
  const SheetJudgement& last = assessment.sheets.back();
  document.blocks.emplace_back(
      Lead{.spans = plain("System " + last.name + ": " + lower_first(with_minus(lead_sentence(last))))});
  document.blocks.emplace_back(summary(assessment, system));
  if (!assessment.story.empty()) {
    heading(document, 2, "1.1", "The story as told", {});
    std::string story = assessment.story;
    std::ranges::replace(story, '\n', ' ');
    while (!story.empty() && story.back() == ' ') story.pop_back();
    paragraph(document, story);
  }
  if (assessment.sheets.size() > 1) {
    heading(document, 2, assessment.story.empty() ? "1.1" : "1.2", "The systems compared", "compared");
    if (assessment.sheets.size() <= 3) {
      FigureOptions drawing{.system = system, .size = {.width = 482.0, .text_size = 7.2, .plot_height = 120.0}};
      const ComparisonData data = comparison_of(assessment.sheets, drawing);
      if (auto ok = add_figure(document, comparison_figure(data),
                               data.title + ". Where a system has no such part its "
                                            "line stays level. Limits at the pump inlet "
                                            "dashed.");
          !ok) {
        return fail(ok.error());
      }
    }
    const std::vector<std::string> did = attribution_words(assessment, system);
    if (!did.empty()) {
      document.blocks.emplace_back(
          Paragraph{.spans = plain("From the system as designed to the one as found:"), .with_next = true});
      Bullets bullets;
      for (const std::string& sentence : did) bullets.items.push_back(plain(with_minus(sentence)));
      document.blocks.emplace_back(std::move(bullets));
    }
    for (std::size_t i = 1; i < assessment.sheets.size(); ++i) {
      const bool above = assessment.sheets[i - 1].name == "as designed" && assessment.sheets[i].name == "as found";
      add_changes(document, assessment.sheets[i - 1], assessment.sheets[i], above ? did : std::vector<std::string>(),
                  system);
    }
  }
  for (std::size_t i = 0; i < sheets.size(); ++i) {
    const system::LineSheet* base = i == 0 ? nullptr : &sheets.front();
    if (auto ok = add_sheet(document, assessment.sheets[i], sheets[i], base, fmt::format("{}", ++number), options);
        !ok) {
      return fail(ok.error());
    }
  }
  if (assessment.diagnosis && !assessment.diagnosis->causes.empty()) {
    if (auto ok = add_diagnosis(document, assessment, fmt::format("{}", ++number)); !ok) return fail(ok.error());
  }
  if (assessment.metal) {
    const auto added = add_metal(document, assessment, sheets, fmt::format("{}", ++number), options);
    if (!added) return fail(added.error());
  }
  if (assessment.water) add_water(document, assessment, fmt::format("{}", ++number), options);
  if (auto done = add_rail_chapters(document, assessment, options, number); !done) return fail(done.error());
  add_not_computed(assessment, document);
  Table ports = port_readings(assessment, system);
  if (!ports.rows.empty()) {
    heading(document, 1, fmt::format("{}", ++number), "Readings to expect at the test ports", "ports");
    for (const assess::Caution& caution : assessment.cautions) {
      document.blocks.emplace_back(
          Caution{.signal = signal_of(caution.signal), .title = caution.title, .spans = plain(caution.text)});
    }
    const std::string point = point_words(last.line.point, system);
    document.blocks.emplace_back(
        Paragraph{.spans = plain("At rated power, " + point.substr(point.find("fuel")) +
                                 ", every pump running. Most likely values; a gauge adds its own error."),
                  .with_next = true});
    document.blocks.emplace_back(std::move(ports));
  }

  char letter = 'A';
  const std::string sheets_letter(1, letter++);
  heading(document, 1, sheets_letter, "The line sheets", "line-sheets");
  std::map<std::string, std::string> told;  // words of a leg, the annex that has them
  for (std::size_t i = 0; i < sheets.size(); ++i) {
    const std::string annex = fmt::format("{}.{}", sheets_letter, i + 1);
    heading(document, 2, annex, "System " + sheets[i].name, {});
    KeyValues head = sheet_head(sheets[i], system);
    for (KeyValue& pair : head.pairs) {
      if (pair.key == "fuel" && !assessment.sheets[i].fuel.empty()) pair.value = plain(assessment.sheets[i].fuel);
    }
    document.blocks.emplace_back(std::move(head));
    std::map<std::string, std::vector<std::string>> same;  // an annex, the legs that stand there
    for (Table& table : leg_tables(sheets[i], system)) {
      const auto [before, fresh] = told.try_emplace(words_in(table), annex);
      if (fresh) {
        document.blocks.emplace_back(std::move(table));
      } else {
        same[before->second].push_back(table.caption);
      }
    }
    for (const auto& [where, legs] : same) paragraph(document, fmt::format("As in {}: {}.", where, listed(legs)));
  }
  const std::string checks_letter(1, letter++);
  heading(document, 1, checks_letter, "All checks", "checks");
  paragraph(document,
            last.samples > 0
                ? "Under the outcome: nine in ten of the draws of the worst value, and the chance of failing where it "
                  "is over 1 in 100. Why a check does not hold stands in the section of its system."
                : "Under the outcome: the worst value. Why a check does not hold stands in the section of its system.",
            true);
  constexpr std::size_t side_by_side = 3;
  for (std::size_t i = 0; i < assessment.sheets.size(); i += side_by_side) {
    document.blocks.emplace_back(
        all_checks_table(assessment.sheets, i, std::min(i + side_by_side, assessment.sheets.size()), system));
  }
  const std::string limits_letter(1, letter++);
  std::vector<Table> limits = limits_tables(assessment, system);
  if (!limits.empty()) {
    heading(document, 1, limits_letter, "Whose limits these are", "limits");
    document.blocks.emplace_back(
        Paragraph{.spans = plain("A result against a limit that is not the maker's can justify advice, never fault."),
                  .with_next = true});
    for (Table& table : limits) document.blocks.emplace_back(std::move(table));
  }
  heading(document, 1, std::string(1, letter++), "How it was judged", "judged");
  KeyValues how;
  how.pairs = {
      {.key = "fails", .value = plain("the worst value over the envelope lies beyond the limit, or a rule is broken")},
      {.key = "narrow", .value = plain("within the limit, but near it, or with a chance of failing of over 5 in 100")},
      {.key = "not known", .value = plain("a fact is missing, or the case lies outside what the model can say")},
      {.key = "holds", .value = plain("none of these")},
      {.key = "envelope",
       .value = plain(fmt::format("{} running points of a {} climate", last.points, supply::name(assessment.climate)))},
      {.key = "depth",
       .value = plain(last.samples > 0
                          ? fmt::format("{} draws at the running points that can govern a check", grouped(last.samples))
                          : std::string("nominal: most likely values over the whole envelope, not sampled"))},
      {.key = "nine in ten",
       .value = plain("the range that holds a number with nine chances in ten, as stated or by its class")},
      {.key = "seed", .value = plain(fmt::format("{}", assessment.seed))}};
  std::string files;
  for (const SheetJudgement& sheet : assessment.sheets) files += (files.empty() ? "" : ", ") + file_name(sheet.file);
  how.pairs.push_back({.key = "line sheets", .value = plain(files)});
  document.blocks.emplace_back(std::move(how));
  heading(document, 1, std::string(1, letter++), "Every number and where it comes from", "numbers");
  for (Table& table : number_tables(assessment, sheets, system)) document.blocks.emplace_back(std::move(table));
  if (!options.evidence.empty()) add_evidence(document, options.evidence, std::string(1, letter++));
  document = typeset(std::move(document));
  if (const auto sound = check(document); !sound) return fail(sound.error());
  return document;
}

}  // namespace fw::report
