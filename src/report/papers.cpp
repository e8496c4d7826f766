// SPDX-License-Identifier: Apache-2.0
#include "report/papers.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include <fmt/format.h>

#include "base/chance_words.hpp"
#include "report/check_words.hpp"
#include "report/figure_grade.hpp"
#include "report/input_words.hpp"
#include "report/metal_words.hpp"
#include "report/paper_metal.hpp"
#include "report/paper_parts.hpp"
#include "report/paper_rail.hpp"
#include "report/supply_figures.hpp"
#include "report/typeset.hpp"

namespace fw::report {

namespace {

using supply::Check;
using supply::Outcome;
using supply::SheetJudgement;
using units::Dimension;

std::string pressure(double pascal, units::System system) {
  return units::print(pascal, Dimension::gauge_pressure, system);
}

std::string flow(double m3_per_s, units::System system) {
  return units::print(m3_per_s, Dimension::volume_flow, system);
}

/// At most `most` titles by name; one more rather than "and 1 more".
std::string titles(const SheetJudgement& sheet, Outcome outcome, std::size_t most) {
  const std::size_t n = count(sheet, outcome);
  const std::size_t named = n > most + 1 ? most : n;
  std::string all;
  std::size_t so_far = 0;
  for (const Check& check : sheet.checks) {
    if (check.outcome != outcome || so_far++ >= named) continue;
    all += (all.empty() ? "" : "; ") + lower_first(check.title);
  }
  if (n > named) all += fmt::format("; and {} more", n - named);
  return all;
}

/// For terminals: plain ASCII.
std::string value_text(const std::optional<Amount>& amount, units::System system) {
  return amount ? units::print(amount->si, amount->dimension, system) : std::string("-");
}

std::string limit_text(const Check& check, units::System system) {
  if (limit_of(check)) return value_text(limit_of(check), system);
  const auto narrow = narrow_limit_of(check);
  return narrow ? "narrow from " + value_text(narrow, system) : std::string("none known");
}

std::string where_and_when(const Check& check) {
  std::string text = check.place;
  if (check.point) text += (text.empty() ? "" : "; ") + system::describe(*check.point);
  return text;
}

Spans sentence_of(const Check& check, units::System system) {
  std::string text = check.sentence;
  if (check.proposed && check.outcome != Outcome::holds) {
    text += " Proposed alarm: below " + units::print(*check.proposed, check.dimension, system) + ".";
  }
  text += taken_words(check, system);
  return plain(std::move(text));
}

/// The checks of all sheets that do not hold, one row each.
Table open_checks(const assess::Assessment& assessment, units::System system, std::size_t most) {
  Table table;
  table.columns = {{.title = "system"},
                   {.title = "check"},
                   {.title = "worst", .kind = ColumnKind::number},
                   {.title = "limit", .kind = ColumnKind::number},
                   {.title = "outcome", .kind = ColumnKind::outcome},
                   {.title = "where"}};
  std::size_t left_out = 0;
  for (const SheetJudgement& sheet : assessment.sheets) {
    std::size_t of_sheet = 0;
    for (const Check& check : sheet.checks) {
      if (check.outcome == Outcome::holds) continue;
      // Every sheet gets its share of the rows: the worst come first.
      if (of_sheet == std::max<std::size_t>(1, most / assessment.sheets.size())) {
        ++left_out;
        continue;
      }
      ++of_sheet;
      Row row;
      row.push_back({.spans = plain(sheet.name)});
      row.push_back({.spans = plain(with_minus(check.title))});
      row.push_back({.spans = plain(words_of(value_of(check), system))});
      row.push_back({.spans = plain(words_of(value_of(check) ? limit_of(check) : std::nullopt, system))});
      row.push_back({.spans = {}, .mark = mark_of(check.outcome)});
      row.push_back(
          {.spans = plain(check.point ? short_point(*check.point, system) : with_minus(sentence_alone(check)))});
      table.rows.push_back(std::move(row));
    }
  }
  if (left_out > 0)
    table.caption = fmt::format("The worst; {} more that do not hold stand in the technical report", left_out);
  return table;
}

/// A check that only waits for a fact of the sheet.
bool is_missing_fact(const Check& check) { return check.outcome == Outcome::not_known && !check.value && !check.point; }

/// "52.1 kPa to 61.0 kPa" with the minus of a keyboard, as all of the brief.
std::string plain_band(const Check& check, units::System system) {
  const auto end = [&](double si) { return units::print(si, check.dimension, system); };
  return end(check.sampled->band.low) + " to " + end(check.sampled->band.high);
}

/// "8 in 100 fail"; "under 0.15 % fail, 95 % sure" where no draw failed.
std::string chance_words(const Check& check) {
  const supply::Sampled& sampled = *check.sampled;
  if (sampled.failing == 0) return fmt::format("under {:.2g} % fail, 95 % sure", 100.0 * sampled.chance_at_most);
  return fmt::format("{}{} fail", sampled.coarse ? "about " : "", in_100(sampled.chance()));
}

/// Every check that does not hold as a line of its own with its reason under it; the holding ones in one line.
void add_open_checks(const SheetJudgement& sheet, units::System system, Document& document) {
  for (const Check& check : sheet.checks) {
    if (check.outcome == Outcome::holds || is_missing_fact(check)) continue;
    Spans spans;
    spans.push_back({.text = {}, .mark = mark_of(check.outcome)});
    std::string head = "  " + check.title;
    if (value_of(check)) head += ": " + value_text(value_of(check), system) + ", limit " + limit_text(check, system);
    spans.push_back({.text = std::move(head), .bold = true});
    std::string tail = ". " + text_of(sentence_of(check, system));
    if (check.point) {
      tail += " Worst at " + where_and_when(check) + ".";
    } else if (!check.place_part.empty()) {
      tail += " At " + check.place + ".";
    }
    if (check.sampled && check.sampled->samples > 0) {
      tail += " In nine of ten draws " + plain_band(check, system) + "; " + chance_words(check) + ".";
    }
    spans.push_back({.text = std::move(tail)});
    document.blocks.emplace_back(Paragraph{.spans = std::move(spans)});
  }
  std::string missing;
  for (const Check& check : sheet.checks) {
    if (!is_missing_fact(check) || missing.find(check.sentence) != std::string::npos) continue;
    missing += (missing.empty() ? "" : " ") + check.sentence;
  }
  if (!missing.empty()) {
    Spans spans;
    spans.push_back({.text = {}, .mark = mark_of(Outcome::not_known)});
    spans.push_back({.text = "  Facts that are missing", .bold = true});
    spans.push_back({.text = ". " + missing});
    document.blocks.emplace_back(Paragraph{.spans = std::move(spans)});
  }
  std::string holding;
  for (const Check& check : sheet.checks) {
    if (check.outcome != Outcome::holds) continue;
    holding += (holding.empty() ? "Holds: " : "; ") + lower_first(check.title);
    if (value_of(check))
      holding += " (" + value_text(value_of(check), system) + ", limit " + limit_text(check, system) + ")";
  }
  if (!holding.empty()) document.blocks.emplace_back(Paragraph{.spans = plain(holding + ".")});
}

/// Title, and what was taken of it in commas.
std::string with_comma(const supply::DeadPump& dead) {
  return dead.assumption.empty() ? dead.pump : dead.pump + ", " + dead.assumption + ",";
}

std::string dead_pump_sentence(const supply::DeadPump& dead, units::System system) {
  const std::string named = with_comma(dead);
  if (dead.engine_fed_at_rated && dead.low_at_rated()) {
    return fmt::format(
        "If the {} dies, fuel still reaches the high-pressure pump, but at {} (rated power, clean fuel of 20 C) "
        "where it should see {}: the engine may lose power, stall or not start, or run on unnoticed while the pump "
        "wears. Fuel arrives {}.",
        named, pressure(dead.inlet_at_rated_Pa, system), pressure(*dead.inlet_limit_Pa, system), fed_where(dead));
  }
  if (dead.engine_fed_at_rated) {
    return fmt::format(
        "If the {} dies, the engine is still fed on clean fuel of 20 C ({} at the pump inlet at rated "
        "power); over the envelope {}.",
        named, pressure(dead.inlet_at_rated_Pa, system), fed_where(dead));
  }
  if (dead.engine_fed_at_idle) {
    return fmt::format(
        "If the {} dies, the engine idles ({} at the pump inlet) and starves at rated power; it is fed {}.", named,
        pressure(dead.inlet_at_idle_Pa, system), fed_where(dead));
  }
  return fmt::format("If the {} dies, the engine is not fed.", named);
}

/// "chassis pump (passing at rest)".
std::string with_brackets(const supply::DeadPump& dead) {
  return dead.assumption.empty() ? dead.pump : fmt::format("{} ({})", dead.pump, dead.assumption);
}

/// The same in a few words, for a page that has little room.
std::string dead_pump_shortly(const supply::DeadPump& dead, units::System system) {
  if (dead.engine_fed_at_rated) {
    const bool everywhere = dead.fed_points == dead.points && dead.wax_points == 0;
    if (dead.low_at_rated()) {
      return fmt::format("{}: {} at the inlet, {} needed", with_brackets(dead),
                         pressure(dead.inlet_at_rated_Pa, system), pressure(*dead.inlet_limit_Pa, system));
    }
    return fmt::format("{}: still fed{}, {} at the inlet", with_brackets(dead),
                       everywhere ? "" : with_temperatures(" at 20 C, not everywhere", system),
                       pressure(dead.inlet_at_rated_Pa, system));
  }
  return fmt::format("{}: {}", with_brackets(dead),
                     dead.engine_fed_at_idle ? "idles, starves at rated power" : "not fed");
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

/// Draws behind the answer, 0 where only the most likely values were taken.
std::size_t draws_of(const assess::Assessment& assessment) {
  return assessment.sheets.empty() ? 0 : assessment.sheets.back().samples;
}

}  // namespace

std::string lead_sentence(const SheetJudgement& sheet, std::size_t most) {
  std::string text;
  const auto clause = [&](Outcome outcome, const char* one, const char* many) {
    const std::size_t n = count(sheet, outcome);
    if (n == 0) return;
    text += fmt::format("{}{} {}: {}.", text.empty() ? "" : " ", spelled(n), n == 1 ? one : many,
                        titles(sheet, outcome, most));
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
  Document document = case_paper(assessment, options, "brief");
  const std::size_t drawn = draws_of(assessment);
  document.blocks.emplace_back(Paragraph{
      .spans = plain(fmt::format("Judged {} over {} running points of a {} climate{}. Pressures over ambient.",
                                 drawn == 0 ? "nominally" : fmt::format("with {} draws", drawn),
                                 assessment.sheets.empty() ? 0 : assessment.sheets.front().points,
                                 supply::name(assessment.climate), drawn == 0 ? " (not sampled)" : "")),
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
    document.blocks.emplace_back(Paragraph{
        .spans = plain(fmt::format("While the draw rises from half to full in 0.3 s (assumed) the inertia of the fuel "
                                   "takes up to {} of that.",
                                   pressure(sheet.tip_in_sag_Pa, options.system)))});
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
  if (const std::vector<std::string> did = attribution_words(assessment, options.system); !did.empty()) {
    document.blocks.emplace_back(Heading{
        .level = 1, .number = fmt::format("{}", number++), .text = "From the system as designed to the one as found"});
    Bullets bullets;
    for (const std::string& sentence : did) bullets.items.push_back(plain(sentence));
    document.blocks.emplace_back(std::move(bullets));
  }
  if (assessment.metal && assessment.metal->decision) {
    document.blocks.emplace_back(
        Heading{.level = 1, .number = fmt::format("{}", number++), .text = "Metal, and what must be replaced"});
    document.blocks.emplace_back(Lead{.spans = plain(verdict_words(*assessment.metal->decision))});
    Bullets bullets;
    for (const extent::OptionResult& option : assessment.metal->decision->options) {
      bullets.items.push_back(plain(option_line(*assessment.metal->decision, option)));
    }
    for (const assess::CleanlinessChange& change : assessment.metal->changes) {
      bullets.items.push_back(plain(upper_first(cleanliness_words(change))));
    }
    document.blocks.emplace_back(std::move(bullets));
  }
  add_rail_brief(document, assessment, options.system);
  add_not_computed(assessment, document);
  if (!assessment.cautions.empty()) {
    document.blocks.emplace_back(Heading{.level = 1, .number = {}, .text = "Before the work"});
    add_cautions(assessment, document);
  }
  if (const auto sound = check(document); !sound) return fail(sound.error());
  return document;
}

namespace {

/// "a; b and 24 more", "24 numbers", "none".
std::string stand_in_words(const std::string& named, std::size_t all, std::size_t shown) {
  if (all == 0) return "none";
  if (shown == 0) return fmt::format("{} {}", all, all == 1 ? "number" : "numbers");
  return all > shown ? fmt::format("{} and {} more", named, all - shown) : named;
}

/// What the page has room for.
struct PageFill {
  std::size_t rows = 1;      ///< of the table, all sheets
  std::size_t named = 1;     ///< checks of each outcome in the lead
  std::size_t guesses = 0;   ///< stand-ins named
  double plot_height = 0.0;  ///< 0: no figure
  bool several = false;      ///< the figure compares the systems
  bool dead_pumps = false;
  bool close_set = true;
};

Result<Document> compose_page(const assess::Assessment& assessment, const PaperOptions& options, const PageFill& fill) {
  Document document = case_paper(assessment, options, "Fuel supply, as judged");
  document.close_set = fill.close_set;
  document.header = assessment.title + ", fuel supply";
  const std::size_t drawn = draws_of(assessment);
  document.footer = drawn == 0 ? std::string("Judged nominally, not sampled. Pressures over ambient.")
                               : fmt::format("Judged with {} draws. Pressures over ambient.", grouped(drawn));

  if (!assessment.sheets.empty()) {
    const SheetJudgement& last = assessment.sheets.back();
    document.blocks.emplace_back(
        Lead{.spans = plain("System " + last.name + ": " + lower_first(lead_sentence(last, fill.named)))});
    if (fill.plot_height > 0.0) {
      FigureOptions drawing{.system = options.system, .size = {.width = figure_width, .text_size = 7.0}};
      drawing.size.plot_height = fill.plot_height;
      const bool several = fill.several && assessment.sheets.size() > 1 && assessment.sheets.size() <= 3;
      const auto figure = several
                              ? comparison_figure(comparison_of(assessment.sheets, drawing))
                              : grade_line_figure(grade_line_of(last, GradePointOf::plain, last.line.band_Pa, drawing));
      if (!figure) return fail(figure.error());
      document.blocks.emplace_back(
          FigureBlock{.figure = *figure,
                      .caption = plain("At " + point_words(last.line.point, options.system) +
                                       ". Most likely values. Dashed: limits at the pump inlet.")});
    }
  }
  const Table open = open_checks(assessment, options.system, fill.rows);
  if (!open.rows.empty()) document.blocks.emplace_back(open);
  Table held;
  held.columns = {{.title = "system"}, {.title = "hold", .kind = ColumnKind::number}, {.title = "when a pump dies"}};
  for (const SheetJudgement& sheet : assessment.sheets) {
    std::string deaths;
    for (const supply::DeadPump& dead : sheet.dead_pumps) {
      deaths += (deaths.empty() ? "" : "; ") + dead_pump_shortly(dead, options.system);
    }
    held.rows.push_back(
        {{.spans = plain(sheet.name)},
         {.spans = plain(fmt::format("{} of {}", count(sheet, Outcome::holds), sheet.checks.size()))},
         {.spans = plain(deaths.empty()                                           ? "-"
                         : fill.dead_pumps || &sheet == &assessment.sheets.back() ? with_minus(deaths)
                                                                                  : "in the technical report")}});
  }
  if (!held.rows.empty()) document.blocks.emplace_back(std::move(held));
  add_cautions_shortly(assessment, document);

  std::map<std::string, std::size_t> by_class;
  std::string guessed;
  std::size_t shown = 0;
  if (!assessment.sheets.empty()) {
    const SheetJudgement& sheet = assessment.sheets.back();
    for (const Stated& input : sheet.inputs) ++by_class[std::string(fw::name(input.source))];
    for (const Stated* input : stand_ins(sheet)) {
      if (shown == fill.guesses) break;
      guessed += (guessed.empty() ? "" : "; ") + input_words(input->id, nullptr) + " (" + input->origin.source + ")";
      ++shown;
    }
    std::string classes;
    for (const auto& [name, n] : by_class) classes += fmt::format("{}{} {}", classes.empty() ? "" : ", ", n, name);
    document.blocks.emplace_back(Paragraph{
        .spans = plain(fmt::format(
            "Where the numbers come from: system {}, file {}, {} numbers ({}). Not stated, so usual values "
            "stand in: {}. Limits here are common practice or assumed unless a maker's value was entered: they can "
            "justify advice, never fault.",
            sheet.name, file_name(sheet.file), sheet.inputs.size(), classes,
            stand_in_words(guessed, stand_ins(sheet).size(), shown))),
        .small = true});
  }
  document = typeset(std::move(document));
  if (const auto sound = check(document); !sound) return fail(sound.error());
  return document;
}

}  // namespace

Result<Document> supply_page(const assess::Assessment& assessment, const PaperOptions& options) {
  const auto composed = [&](const PageFill& fill) { return compose_page(assessment, options, fill); };
  return fill_one_page(
      composed, PageFill{},
      {[](PageFill& fill) { fill.plot_height = 36.0; }, [](PageFill& fill) { fill.plot_height = 50.0; },
       [](PageFill& fill) { fill.several = fill.plot_height >= 50.0; }, [](PageFill& fill) { fill.named = 2; },
       [](PageFill& fill) { fill.rows = 6; }, [](PageFill& fill) { fill.dead_pumps = true; },
       [](PageFill& fill) { fill.plot_height = 70.0; }, [](PageFill& fill) { fill.rows = 9; },
       [](PageFill& fill) { fill.named = 4; }, [](PageFill& fill) { fill.plot_height = 100.0; },
       [](PageFill& fill) { fill.guesses = 1; }, [](PageFill& fill) { fill.rows = 12; },
       [](PageFill& fill) { fill.guesses = 3; }, [](PageFill& fill) { fill.close_set = false; }});
}

}  // namespace fw::report
