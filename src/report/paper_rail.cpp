// SPDX-License-Identifier: Apache-2.0
#include "report/paper_rail.hpp"

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "report/input_words.hpp"
#include "report/metal_words.hpp"
#include "report/paper_parts.hpp"
#include "report/rail_figures.hpp"
#include "report/typeset.hpp"
#include "units/print.hpp"

namespace fw::report {

namespace {

using assess::FuelHeat;
using assess::RailCapacity;
using units::Dimension;

std::string at_words(double rev_per_s, double power_W, units::System system) {
  return fmt::format("{} rpm and {}", grouped(static_cast<std::size_t>(std::lround(60.0 * rev_per_s))),
                     units::print(power_W, Dimension::power, system));
}
std::string percent(double share) { return fmt::format("{:.0f} %", 100.0 * share); }

const char* who_runs_out(rail::Limit limit) {
  switch (limit) {
    case rail::Limit::supply: return "the supply runs out before the pump does";
    case rail::Limit::pump: return "the pump runs out before the supply does";
    case rail::Limit::injector: return "the injectors run out before pump and supply do";
    case rail::Limit::pressure: return "the rail pressure is used up before pump and supply are";
    case rail::Limit::none: break;
  }
  return "nothing runs out";
}
Cell cell(std::string text, std::string detail = {}) {
  return {.spans = plain(std::move(text)), .detail = std::move(detail)};
}
Column number_column(std::string title) { return {.title = std::move(title), .kind = ColumnKind::number}; }

/// Answers of which the same is said, one paragraph for all their sheets.
template <class Answer, class Say>  // two kinds of answers, lambdas
void say_by_sheet(Document& document, const std::vector<Answer>& answers, const Say& say, bool note = false) {
  std::vector<std::pair<std::string, std::vector<std::string>>> said;
  for (const Answer& answer : answers) {
    const std::string words = say(answer);
    if (words.empty()) continue;
    const auto same = std::ranges::find_if(said, [&](const auto& one) { return one.first == words; });
    if (same == said.end()) {
      said.push_back({words, {answer.sheet}});
    } else {
      same->second.push_back(answer.sheet);
    }
  }
  for (const auto& [words, sheets] : said) {
    const bool all = sheets.size() == answers.size();
    paragraph(document,
              all && answers.size() > 1 ? words
                                        : (sheets.size() > 1 ? "Systems " : "System ") + listed(sheets) + ": " + words,
              note);
  }
}

template <class Answer>  // two kinds of answers
void add_assumed(Document& document, const std::vector<Answer>& answers) {
  say_by_sheet(
      document, answers,
      [](const Answer& answer) {
        return answer.assumed.empty() ? std::string()
                                      : "Not stated, typical values stand in: " + listed(answer.assumed) + ".";
      },
      true);
}

/// Rows of a table by sheet; sheets of which the same is to be said share them under both names.
class RowsBySheet {
 public:
  void add(const std::string& sheet, std::vector<Row> rows) {
    const auto same = std::ranges::find_if(groups_, [&](const Group& group) { return alike(group.rows, rows); });
    if (same == groups_.end()) {
      groups_.push_back({.sheets = {sheet}, .rows = std::move(rows)});
    } else {
      same->sheets.push_back(sheet);
    }
  }
  /// The first cell of a row takes the names.
  void move_to(Table& table) {
    for (Group& group : groups_) {
      for (std::size_t i = 0; i < group.rows.size(); ++i) {
        Row row{cell(i > 0 ? std::string() : listed(group.sheets))};
        row.insert(row.end(), group.rows[i].begin(), group.rows[i].end());
        table.rows.push_back(std::move(row));
      }
    }
    groups_.clear();
  }

 private:
  struct Group {
    std::vector<std::string> sheets;
    std::vector<Row> rows;
  };
  static bool alike(const std::vector<Row>& a, const std::vector<Row>& b) {
    return std::ranges::equal(a, b, [](const Row& one, const Row& other) {
      return std::ranges::equal(one, other, [](const Cell& left, const Cell& right) {
        return text_of(left.spans) == text_of(right.spans) && left.detail == right.detail;
      });
    });
  }
  std::vector<Group> groups_;
};

void add_capacity(Document& document, const std::vector<RailCapacity>& answers, units::System system) {
  say_by_sheet(document, answers, [&](const RailCapacity& answer) { return capacity_sentence(answer, system); });
  if (std::ranges::all_of(answers, &RailCapacity::sized_to_engine)) {
    add_assumed(document, answers);
    return;
  }
  Table line{.caption = "Along the engine's own line of power",
             .columns = {{.title = "system"},
                         {.title = "speed and power"},
                         number_column("rail, needed"),
                         number_column("rail, held"),
                         number_column("delivery to spare")},
             .rows = {}};
  const bool limited = std::ranges::any_of(answers, [](const RailCapacity& answer) {
    return !answer.sized_to_engine &&
           std::ranges::any_of(answer.states.front().line,
                               [](const rail::CapacityPoint& at) { return at.limit != rail::Limit::none; });
  });
  if (limited) line.columns.push_back({.title = "limit"});
  Table worn{.caption = "Power that the fuel is good for at rated speed",
             .columns = {{.title = "system"}, {.title = "state"}, number_column("power"), {.title = "what ends it"}},
             .rows = {}};
  RowsBySheet along;
  RowsBySheet ends;
  for (const RailCapacity& answer : answers) {
    if (answer.sized_to_engine) continue;
    const assess::RailState& own = answer.states.front();
    std::vector<Row> rows;
    for (std::size_t i = 0; i < own.line.size(); ++i) {
      const rail::CapacityPoint& point = own.line[i];
      rows.push_back({cell(at_words(point.crank_rev_per_s, answer.line_W[i], system)),
                      cell(rail_words(point.needed_Pa, system)), cell(rail_words(point.sustainable_Pa, system)),
                      cell(with_minus(fmt::format("{:+.0f} %", 100.0 * point.delivery_margin)))});
      if (limited) rows.back().push_back(cell(limit_words(point.limit)));
    }
    along.add(answer.sheet, std::move(rows));
    std::vector<Row> states;
    for (const assess::RailState& state : answer.states) {
      states.push_back({cell(state.title), cell(units::print(state.ceiling.power_W, Dimension::power, system)),
                        cell(limit_words(state.ceiling.limit))});
    }
    ends.add(answer.sheet, std::move(states));
  }
  along.move_to(line);
  ends.move_to(worn);
  document.blocks.emplace_back(std::move(line));
  document.blocks.emplace_back(std::move(worn));
  std::vector<RailCapacity> known;
  std::ranges::copy_if(answers, std::back_inserter(known),
                       [](const RailCapacity& one) { return !one.sized_to_engine; });
  say_by_sheet(document, known, [](const RailCapacity& one) { return with_minus(swap_sentence(one)); });
  paragraph(document,
            "Needed: lowest rail pressure whose longest injection makes the shot. Held: highest that the pump keeps "
            "up. Delivery to spare: the open pump against injection and returns at full rail pressure. Leakage may be "
            "half or double (assumed). Computed, not measured.",
            true);
  say_by_sheet(
      document, known,
      [&](const RailCapacity& one) {
        return fmt::format(
            "Fuel at {} and {} with {:.1f} % gas at the pump inlet, as the supply gives it at rated "
            "power.",
            units::print(one.inlet_K, Dimension::temperature, system),
            units::print(one.inlet.pressure_Pa, Dimension::absolute_pressure, system), 100.0 * one.inlet.gas_fraction);
      },
      true);
  add_assumed(document, answers);
}

/// How closely the loop of supply, high-pressure side and heat closes.
std::string agreement(double residual_K) {
  constexpr double least_told_K = 1e-3;
  return residual_K < least_told_K ? fmt::format("better than {} K", least_told_K)
                                   : fmt::format("within {:.3f} K", residual_K);
}

/// "fuel of the sheet, No. 2 diesel" where the sheet names its fuel by the name of a file.
std::string fuel_words(const std::string& fuel, const std::string& title) {
  constexpr std::string_view own = "fuel of the sheet";
  return fuel.starts_with(own) && !title.empty() ? fmt::format("{}, {}", own, title) : fuel;
}

void add_wear(Document& document, const FuelHeat& answer, const std::string& fuel, const std::string& number,
              units::System system) {
  if (answer.wear.empty()) return;
  document.blocks.emplace_back(
      Heading{.level = 2, .number = number, .text = "Film on the cam: an explanation, no verdict", .id = ""});
  Table table{.caption = "",
              .columns = {{.title = "fuel at the pump"},
                          number_column("at"),
                          number_column("film against the design point"),
                          number_column("film over roughness")},
              .rows = {}};
  for (const assess::WearState& state : answer.wear) {
    table.rows.push_back(
        {cell(fuel_words(state.fuel, fuel), state.bounding                       ? "bounding case"
                                            : state.range == Range::extrapolated ? "viscosity extrapolated"
                                                                                 : ""),
         cell(units::print(state.inlet_K, Dimension::temperature, system)), cell(percent(state.relative)),
         cell(fmt::format("{:.2f}", state.lambda))});
  }
  document.blocks.emplace_back(std::move(table));
  paragraph(document,
            fmt::format("System {} at rated power for hours. Design point: summer diesel at {}, assumed. Below 1 the "
                        "parts touch through the film even on good fuel: the contact lives on its surface and on the "
                        "fuel's additives. Thin fuel narrows what is left; no figure here proves a cause, and none "
                        "enters a verdict.",
                        answer.sheet, units::print(assess::film_design_K, Dimension::temperature, system)),
            true);
}

Result<void> add_heat(Document& document, const assess::Assessment& assessment, const PaperOptions& options,
                      const std::string& number) {
  const std::vector<FuelHeat>& answers = assessment.heat;
  const units::System system = options.system;
  const auto temperature = [&](double kelvin) { return units::print(kelvin, Dimension::temperature, system); };
  say_by_sheet(document, answers, [&](const FuelHeat& answer) { return heat_sentence(answer, system); });
  Table table{.caption = "Where a long run ends, in air of " + temperature(answers.back().air_K),
              .columns = {{.title = "system"},
                          {.title = "engine"},
                          number_column("tank"),
                          number_column("pump inlet"),
                          number_column("return at engine"),
                          number_column("return at tank")},
              .rows = {}};
  double residual_K = 0.0;
  RowsBySheet runs;
  for (const FuelHeat& answer : answers) {
    std::vector<Row> rows;
    for (const assess::HeatPoint& point : answer.points) {
      const heat::LoopState& state = point.loop.heat;
      residual_K = std::max(residual_K, point.loop.residual_K);
      rows.push_back({cell(point.title), cell(temperature(state.tank_K)), cell(temperature(state.inlet_K)),
                      cell(temperature(state.engine_return_K)), cell(temperature(state.tank_return_K))});
    }
    runs.add(answer.sheet, std::move(rows));
  }
  runs.move_to(table);
  document.blocks.emplace_back(std::move(table));
  say_by_sheet(document, answers, [&](const FuelHeat& answer) { return cooler_sentence(answer, system); });
  const FuelHeat& shown = answers.back();
  CurvesData drawn =
      day_of(shown, {.system = system, .size = {.width = 482.0, .text_size = 7.2, .plot_height = 130.0}});
  drawn.notes.clear();
  auto day = curves_figure(drawn);
  if (!day) return fail(day.error());
  std::string caption = fmt::format(
      "Fuel temperature over a work day, system {}: three hours at rated power, one at idle, three more", shown.sheet);
  caption += shown.day.ran_dry ? fmt::format("; the tank runs dry after {:.1f} h, where the day ends.",
                                             shown.day.samples.back().time_s / 3600.0)
                               : std::string(".");
  caption += " The limit is published engine application data.";
  document.blocks.emplace_back(FigureBlock{.figure = std::move(*day), .caption = plain(std::move(caption))});
  paragraph(document,
            fmt::format("Supply, high-pressure side and heat agree {}. Returns are taken without loss of heat, which "
                        "makes them too hot rather than too cool; the tank is mixed, without sun or heat from road and "
                        "exhaust. What tank and lines give off is assumed.",
                        agreement(residual_K)),
            true);
  add_assumed(document, answers);
  const auto sheet = std::ranges::find(assessment.sheets, shown.sheet, &supply::SheetJudgement::name);
  add_wear(document, shown, sheet == assessment.sheets.end() ? std::string() : sheet->fuel, number + ".1", system);
  return {};
}

}  // namespace

std::string limit_words(rail::Limit limit) {
  switch (limit) {
    case rail::Limit::supply: return "supply";
    case rail::Limit::pump: return "pump";
    case rail::Limit::injector: return "injectors";
    case rail::Limit::pressure: return "pressure";
    case rail::Limit::none: break;
  }
  return "-";
}

std::string rail_words(double absolute_Pa, units::System system) {
  constexpr double atmosphere_Pa = 101325.0;
  std::string text = units::print(absolute_Pa - atmosphere_Pa, Dimension::gauge_pressure, system);
  // Five digits of psi read in groups.
  const std::size_t digits = text.find_first_not_of("0123456789");
  constexpr std::size_t ungrouped = 4;
  if (digits != std::string::npos && digits > ungrouped && text[digits] == ' ') {
    text = grouped(std::stoul(text.substr(0, digits))) + text.substr(digits);
  }
  return text;
}

std::string swap_sentence(const RailCapacity& answer) {
  constexpr const char* common = "That the later pump of a family delivers 15 % more is common practice, no source.";
  constexpr double least_told = 0.005;
  const double gain = answer.swap_ratio - 1.0;
  const double fed = answer.swap_inlet_ratio - 1.0;
  if (std::abs(gain) < least_told && std::abs(fed) < least_told) {
    return fmt::format("{} Here it would change nothing: the {} stay the limit.", common,
                       limit_words(answer.swap_limit));
  }
  return fmt::format(
      "{} Here it would change the fuel at the ceiling by {:+.0f} %; the limit would then be the {}, and "
      "the supply would be asked for {:+.0f} %.",
      common, 100.0 * gain, limit_words(answer.swap_limit), 100.0 * fed);
}

std::string capacity_sentence(const RailCapacity& answer, units::System system) {
  if (answer.sized_to_engine) {
    return "What the high-pressure pump and the injectors have to spare is not known: the pump's displacement and the "
           "nozzle flow are not both stated.";
  }
  const assess::RailState& own = answer.states.front();
  // The point that is short speaks; of several the one at the highest speed. Else the one with least to spare.
  std::size_t worst = own.line.size() - 1;
  for (std::size_t i = own.line.size(); i-- > 0;) {
    const rail::CapacityPoint& here = own.line[i];
    const rail::CapacityPoint& most = own.line[worst];
    const bool shorter = most.limit == rail::Limit::none && here.limit != rail::Limit::none;
    const bool tighter = most.limit == rail::Limit::none && here.limit == rail::Limit::none &&
                         here.delivery_margin < most.delivery_margin;
    if (shorter || tighter) worst = i;
  }
  const rail::CapacityPoint& point = own.line[worst];
  const std::string where = at_words(point.crank_rev_per_s, answer.line_W[worst], system);
  std::string words;
  if (point.limit == rail::Limit::none) {
    words = fmt::format(
        "Along the engine's line of power the rail keeps its full {}, with {} of delivery to spare "
        "where it is least, at {}.",
        rail_words(answer.rated_Pa, system), percent(point.delivery_margin), where);
  } else {
    words = fmt::format("At {} {}: the rail holds {} of {}, {}.", where, who_runs_out(point.limit),
                        rail_words(point.sustainable_Pa, system), rail_words(answer.rated_Pa, system),
                        point.holds ? "enough for the shot" : "too little for the shot");
  }
  words += fmt::format(" At {} {}.", at_words(answer.rated_rev_per_s, own.ceiling.power_W, system),
                       who_runs_out(own.ceiling.limit));
  return words;
}

std::string heat_sentence(const FuelHeat& answer, units::System system) {
  const heat::DaySample& hottest = answer.day.hottest;
  return fmt::format(
      "In air of {} the fuel at the pump inlet reaches {} within a work day, after {:.1f} h; its viscosity is then "
      "{}.{}",
      units::print(answer.air_K, Dimension::temperature, system),
      units::print(hottest.state.inlet_K, Dimension::temperature, system), hottest.time_s / 3600.0,
      units::print(hottest.state.inlet_viscosity_m2_per_s, Dimension::kinematic_viscosity, system),
      answer.day.ran_dry ? " The tank runs dry before the day ends." : "");
}

std::string cooler_sentence(const FuelHeat& answer, units::System system) {
  if (!answer.no_cooler.empty()) return answer.no_cooler;
  const std::string limit = units::print(answer.limit_K, Dimension::temperature, system);
  if (answer.cooler_W_per_K <= 0.0) return "No cooler is needed to keep the pump inlet at " + limit + ".";
  return fmt::format("To keep the pump inlet at {} at rated power for good, a return cooler of {:.0f} W/K is needed.",
                     limit, answer.cooler_W_per_K);
}

void add_rail_brief(Document& document, const assess::Assessment& assessment, units::System system) {
  if (!assessment.rail.empty()) {
    document.blocks.emplace_back(Heading{.level = 1, .number = {}, .text = "High-pressure side"});
    say_by_sheet(document, assessment.rail, [&](const RailCapacity& one) { return capacity_sentence(one, system); });
  }
  if (!assessment.heat.empty()) {
    document.blocks.emplace_back(Heading{.level = 1, .number = {}, .text = "How warm the fuel gets"});
    say_by_sheet(document, assessment.heat,
                 [&](const FuelHeat& one) { return heat_sentence(one, system) + " " + cooler_sentence(one, system); });
  }
}

Result<void> add_rail_chapters(Document& document, const assess::Assessment& assessment, const PaperOptions& options,
                               int& number) {
  if (!assessment.rail.empty()) {
    document.blocks.emplace_back(Heading{
        .level = 1, .number = fmt::format("{}", ++number), .text = "What the high-pressure side holds", .id = "rail"});
    add_capacity(document, assessment.rail, options.system);
  }
  if (!assessment.heat.empty()) {
    const std::string chapter = fmt::format("{}", ++number);
    document.blocks.emplace_back(
        Heading{.level = 1, .number = chapter, .text = "How warm the fuel gets", .id = "heat"});
    if (auto done = add_heat(document, assessment, options, chapter); !done) return done;
  }
  return {};
}

}  // namespace fw::report
