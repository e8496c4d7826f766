// SPDX-License-Identifier: Apache-2.0
#include "report/paper_metal.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <optional>
#include <utility>

#include <fmt/format.h>

#include "base/chance_words.hpp"
#include "report/change_words.hpp"
#include "report/check_words.hpp"
#include "report/debris_marks.hpp"
#include "report/figure_schematic.hpp"
#include "report/metal_figures.hpp"
#include "report/metal_words.hpp"
#include "report/paper_parts.hpp"
#include "report/supply_figures.hpp"
#include "report/typeset.hpp"
#include "report/water_answers.hpp"
#include "report/way_answers.hpp"

namespace fw::report {

namespace {

using debris::PlaceState;
using extent::Action;
using extent::Decision;
using extent::OptionResult;
using extent::Standing;

constexpr FigureSize plot{.width = 482.0, .text_size = 7.2, .plot_height = 150.0};

/// Lines with their notes as the caption, behind the title where no heading says it.
enum class Caption : std::uint8_t { with_title, notes };

Result<void> add_curves(Document& document, CurvesData data, Caption caption) {
  std::string words = caption == Caption::with_title ? data.title + "." : std::string();
  for (const std::string& note : data.notes) words += (words.empty() ? "" : " ") + note;
  data.notes.clear();
  auto figure = curves_figure(data);
  if (!figure) return fail(figure.error());
  document.blocks.emplace_back(FigureBlock{.figure = std::move(*figure), .caption = plain(std::move(words))});
  return {};
}

/// Nothing where the case does not hold what a figure needs; any other error comes out.
Result<std::optional<CurvesData>> where_known(Result<CurvesData> data) {
  if (data) return std::optional(std::move(*data));
  const bool missing =
      std::ranges::all_of(data.error(), [](const Error& error) { return error.code == ErrorCode::not_found; });
  if (!missing) return fail(data.error());
  return std::optional<CurvesData>();
}

/// A bold word with what belongs to it.
Spans told(const char* word, std::string text) {
  return {{.text = std::string(word) + " ", .bold = true}, {.text = std::move(text)}};
}

std::vector<std::string> parts_of(const OptionResult& option, Action action) {
  std::vector<std::string> names;
  for (std::size_t i = 0; i < option.actions.size(); ++i) {
    if (option.actions[i] == action) names.emplace_back(extent::components()[i].name);
  }
  return names;
}

std::string short_standing(const Decision& decision, const OptionResult& option) {
  switch (option.standing) {
    case Standing::not_offered: return "not offered by this shop";
    case Standing::not_on_this_evidence: return "not on this evidence";
    case Standing::eligible: break;
  }
  return decision.first == option.kind ? "first on this evidence" : "may be chosen";
}

Cell text_cell(std::string text, std::string detail = {}) {
  return {.spans = plain(std::move(text)), .mark = {}, .detail = std::move(detail)};
}

Table map_table(const debris::DebrisMap& map) {
  Table table;
  table.columns = {{.title = "place"},
                   {.title = "state"},
                   {.title = "metal there, likely", .kind = ColumnKind::number},
                   {.title = "nine in ten", .kind = ColumnKind::number},
                   {.title = "reached, in 100", .kind = ColumnKind::number}};
  for (const debris::PlaceOfMap& place : map.places) {
    std::string state(debris::name(place.state));
    if (place.verified_by) state += fmt::format(" by {}", debris::id(*place.verified_by));
    table.rows.push_back({text_cell(std::string(debris::name(place.place))), text_cell(std::move(state)),
                          text_cell(mass_words(place.mass_kg.median)),
                          text_cell(from_to(mass_words(place.mass_kg.low), mass_words(place.mass_kg.high))),
                          text_cell(hundredths(place.reached))});
  }
  return table;
}

Result<void> add_map(Document& document, const assess::Assessment& assessment,
                     const std::vector<system::LineSheet>& sheets, const std::string& number,
                     const PaperOptions& options) {
  const debris::DebrisMap& map = assessment.metal->map;
  heading(document, 2, number, "Where metal lies");
  const auto found = std::ranges::find(sheets, std::string("as found"), &system::LineSheet::name);
  const system::LineSheet* shown = found != sheets.end() ? &*found : sheets.empty() ? nullptr : &sheets.front();
  if (shown != nullptr) {
    FigureOptions drawing{.system = options.system, .size = {.width = plot.width, .text_size = plot.text_size}};
    SchematicData data =
        schematic_of(*shown, shown == &sheets.front() ? nullptr : &sheets.front(), drawing, SchematicDetail::essential);
    mark_metal(data, *shown, map, MarkedPlaces::every);
    auto figure = schematic_figure(data);
    if (!figure) return fail(figure.error());
    document.blocks.emplace_back(FigureBlock{
        .figure = std::move(*figure), .caption = plain(fmt::format("Debris map on the system {}.", shown->name))});
  }
  document.blocks.emplace_back(map_table(map));
  paragraph(
      document,
      fmt::format("Shed in all: likely {}, nine in ten {}. Reached: the chance that at least {:.0f} particles "
                  "of 14 um(c) or more lie there. Not inspected is not clean; a clean magnet or a look by eye "
                  "verifies nothing, cloth, patch or count do. {} of {} computed histories carry the answer{}.",
                  mass_words(map.shed_kg.median), from_to(mass_words(map.shed_kg.low), mass_words(map.shed_kg.high)),
                  debris::reached_by, grouped(static_cast<std::size_t>(std::lround(map.effective_samples))),
                  grouped(map.samples), map.effective_samples < 100.0 ? ": few, the bands are rough" : ""),
      true);
  return {};
}

Table cleanliness_table(const std::vector<assess::Cleanliness>& systems) {
  Table table;
  table.columns = {{.title = "behind"}};
  for (const assess::Cleanliness& system : systems) {
    table.columns.push_back({.title = system.system, .kind = ColumnKind::number});
  }
  for (const debris::Place place : debris::all_places()) {
    Row row{text_cell(std::string(debris::name(place)))};
    bool any = false;
    for (const assess::Cleanliness& system : systems) {
      const auto point = std::ranges::find(system.points, place, &debris::CascadePoint::place);
      if (point == system.points.end()) {
        row.push_back(text_cell("no such part"));
        continue;
      }
      any = true;
      const debris::Quantiles& fine = point->number_per_m3.front();
      row.push_back(text_cell(debris::to_text(point->code),
                              from_to(count_words(1e-6 * fine.low), count_words(1e-6 * fine.high))));
    }
    if (any) table.rows.push_back(std::move(row));
  }
  // The tank comes first on the fuel's way and last among the places.
  std::ranges::rotate(table.rows, table.rows.end() - 1);
  return table;
}

/// What the fuel's way is and what says so, a row for each number with a column for each system.
Table way_table(const std::vector<assess::WayFact>& facts, units::System system) {
  Table table{.caption = "The fuel's way, at cruise and 20 C", .columns = {{.title = ""}}, .rows = {}};
  std::vector<std::string> systems;
  for (const assess::WayFact& fact : facts) {
    if (std::ranges::find(systems, fact.system) != systems.end()) continue;
    systems.push_back(fact.system);
    table.columns.push_back({.title = fact.system, .kind = ColumnKind::number});
    table.columns.push_back({.title = "by"});
  }
  std::vector<std::string> told;
  for (const assess::WayFact& fact : facts) {
    if (std::ranges::find(told, fact.key) != told.end()) continue;
    told.push_back(fact.key);
    Row row{text_cell(fact.what)};
    for (const std::string& name : systems) {
      const auto here = std::ranges::find_if(
          facts, [&](const assess::WayFact& one) { return one.system == name && one.key == fact.key; });
      row.push_back(text_cell(here == facts.end() ? "-" : way_value(*here, system)));
      row.push_back(text_cell(here == facts.end() ? "" : here->from));
    }
    table.rows.push_back(std::move(row));
  }
  return table;
}

Result<void> add_cleanliness(Document& document, const assess::MetalAnswer& metal, units::System system,
                             const std::string& number) {
  const std::vector<assess::Cleanliness>& systems = metal.cleanliness;
  heading(document, 2, number, "Cleanliness along the fuel's way");
  if (auto ok = add_curves(document, cascade_of(systems, plot), Caption::notes); !ok) return ok;
  document.blocks.emplace_back(cleanliness_table(systems));
  for (const assess::CleanlinessChange& change : metal.changes) {
    paragraph(document, upper_first(cleanliness_words(change)));
  }
  paragraph(
      document,
      "ISO 4406 codes at 4, 6 and 14 um(c) of fuel that just meets EN 590; under them particles from 4 um(c) in 1 mL, "
      "nine in ten. Codes of 12/9/6 at the pump are asked for "
      "widely (secondary sources; no maker's document was seen). What a failing pump sheds into rail and injectors "
      "meets no filter: it is in the debris map, not here.",
      true);
  document.blocks.emplace_back(way_table(metal.way, system));
  for (const std::string& note : metal.way_notes) paragraph(document, upper_first(note), true);
  return {};
}

/// What the smallest repair and the whole system leave, beside what fuel brings by itself.
std::string relative_words(const Decision& decision, const assess::Cleanliness& clean) {
  const debris::Quantiles& own = clean.inlet_in_100_h;
  std::string text = fmt::format(
      "For scale: in the same 100 h, fuel that just meets EN 590 by itself brings likely {} particles of that size "
      "({}) to the pump inlet {}, an hour of fuel at 12/9/6 {}.",
      count_words(own.median), from_to(count_words(own.low), count_words(own.high)), clean.system,
      count_words(clean.reference_hour));
  const auto add = [&](const OptionResult& option) {
    const double left = option.reached[extent::decision_mark].median;
    const double hours = left / clean.reference_hour;
    text += left < 1.0
                ? fmt::format(" Left by {}: under one.", extent::name(option.kind))
                : fmt::format(" Left by {}: {}, as much as {}.", extent::name(option.kind),
                              left < own.median
                                  ? fmt::format("one for every {} of the fuel's own", count_words(own.median / left))
                                  : fmt::format("{} times the fuel's own", count_words(left / own.median)),
                              hours < 0.1 ? std::string("under 0.1 h of fuel at 12/9/6")
                                          : fmt::format("{:.2g} h of fuel at 12/9/6", hours));
  };
  add(smallest_repair(decision));
  if (const OptionResult* whole = option_of(decision, extent::OptionKind::whole_system)) add(*whole);
  return text;
}

Table hinges_table(const Decision& decision) {
  Table table;
  table.caption = "What the order hangs on";
  table.columns = {{.title = "assumption"},
                   {.title = "share of the doubt, alone", .kind = ColumnKind::number},
                   {.title = "with the others", .kind = ColumnKind::number},
                   {.title = "turns the order at"}};
  for (const extent::Hinge& hinge : decision.hinges) {
    const bool number = hinge.assumption.starts_with("particles");
    const bool chance = hinge.assumption.starts_with("chance");
    const std::string turns = !hinge.flips_at ? "no value alone"
                              : number        ? count_words(*hinge.flips_at)
                              : chance        ? in_100(*hinge.flips_at)
                                              : fmt::format("{:.2g}", *hinge.flips_at);
    table.rows.push_back({text_cell(std::string(hinge.assumption)), text_cell(in_100(hinge.first)),
                          text_cell(in_100(hinge.total)), text_cell(turns)});
  }
  return table;
}

/// What a set does beyond the one before it.
std::string step_words(const extent::FrontierPoint& before, const extent::FrontierPoint& after) {
  std::vector<std::string> done, undone;
  for (std::size_t i = 0; i < after.actions.size(); ++i) {
    if (after.actions[i] == before.actions[i]) continue;
    const auto action = static_cast<Action>(after.actions[i]);
    const std::string name(extent::components()[i].name);
    if (action == Action::keep) {
      undone.push_back(name);
    } else {
      done.push_back(action == Action::replace ? "new " + name : "clean " + name);
    }
  }
  std::string text = listed(done);
  if (!undone.empty()) text += (text.empty() ? "without " : "; without ") + listed(undone);
  return text;
}

/// Sets of the frontier that cut the dose by a good part each.
Table next_part_table(const assess::MetalAnswer& metal) {
  const auto& points = metal.decision->frontier;
  Table table;
  table.columns = {{.title = "likely cost", .kind = ColumnKind::number},
                   {.title = "particles", .kind = ColumnKind::number},
                   {.title = "does, beyond the row above"}};
  constexpr double worth_a_row = 0.5;  // of the dose of the row above: a row halves it
  const extent::FrontierPoint* last = nullptr;
  for (std::size_t i = 0; i < points.size(); ++i) {
    // Under one particle there is nothing left to cut.
    if (last != nullptr && last->dose < 1.0) break;
    const bool end = i + 1 == points.size();
    if (last != nullptr && !end && points[i].dose > worth_a_row * last->dose) continue;
    const Money cost{.minor = points[i].cost_minor, .currency = *metal.currency};
    table.rows.push_back({text_cell(money_words(cost)), text_cell(count_words(points[i].dose)),
                          text_cell(last == nullptr ? "nothing is done" : step_words(*last, points[i]))});
    last = &points[i];
  }
  return table;
}

}  // namespace

Table options_table(const Decision& decision) {
  Table table;
  table.columns = {{.title = "option"},
                   {.title = "likely cost", .kind = ColumnKind::number},
                   {.title = "nine in ten cost less than", .kind = ColumnKind::number},
                   {.title = "work"},
                   {.title = "back within a year", .kind = ColumnKind::number}};
  for (const OptionResult& option : decision.options) {
    table.rows.push_back(
        {text_cell(std::string(extent::name(option.kind)), short_standing(decision, option)),
         text_cell(cost_words(option.likely_cost)), text_cell(cost_words(option.unlucky_cost)),
         text_cell(days_words(option.labour), fmt::format("{:.0f} to {:.0f} h", option.labour.low, option.labour.high)),
         text_cell(in_100(option.mean_comeback),
                   fmt::format("{} to {}", hundredths(option.comeback.low), hundredths(option.comeback.high)))});
  }
  return table;
}

std::string option_line(const Decision& decision, const OptionResult& option) {
  std::string text = fmt::format("{} ({}): likely {}", extent::name(option.kind), short_standing(decision, option),
                                 option.likely_cost ? money_words(*option.likely_cost) : std::string("cost not known"));
  if (option.unlucky_cost) text += fmt::format(", nine in ten cost less than {}", money_words(*option.unlucky_cost));
  return text + fmt::format("; {} of work; {} such jobs back within a year ({}).", days_words(option.labour),
                            in_100(option.mean_comeback), in_100(option.comeback.low, option.comeback.high));
}

Bullets option_words(const OptionResult& option) {
  Bullets bullets;
  for (const std::string& why : standing_words(option)) bullets.items.push_back({{.text = why, .bold = true}});
  if (option.kind == extent::OptionKind::whole_and_upgrade) {
    bullets.items.push_back(told("New and cleaned:", "as for the whole system; the fuel supply is rebuilt besides."));
  } else if (const auto names = parts_of(option, Action::replace); !names.empty()) {
    bullets.items.push_back(told("New:", listed(names) + "."));
  }
  if (const auto names = parts_of(option, Action::clean_and_verify);
      !names.empty() && option.kind != extent::OptionKind::whole_and_upgrade) {
    bullets.items.push_back(told("Cleaned and proved clean:", listed(names) + "."));
  }
  bullets.items.push_back(
      told("Not covered:", option.not_covered.empty()
                               ? std::string("no part that is kept is likely to hold metal of this failure.")
                               : fmt::format("kept as they are, though metal lies there or likely lies there: {}.",
                                             listed(option.not_covered))));
  bullets.items.push_back(told("Risk that stays:", residual_words(option)));
  if (std::string even = break_even_words(option); !even.empty()) bullets.items.push_back(told("Money:", even));
  if (!option.likely_cost && !option.missing_prices.empty()) {
    bullets.items.push_back(told("No price for:", listed(option.missing_prices) + "."));
  }
  return bullets;
}

Table assumptions_table() {
  Table table;
  table.columns = {{.title = "assumption"}, {.title = "taken"}, {.title = "where it comes from"}};
  for (const AssumptionRow& row : metal_assumptions()) {
    table.rows.push_back({text_cell(row.what), text_cell(row.value), text_cell(row.source)});
  }
  return table;
}

Result<void> add_metal(Document& document, const assess::Assessment& assessment,
                       const std::vector<system::LineSheet>& sheets, const std::string& number,
                       const PaperOptions& options) {
  if (!assessment.metal) return {};
  const assess::MetalAnswer& metal = *assessment.metal;
  heading(document, 1, number, "Metal, and what must be replaced", "metal");
  if (metal.decision) document.blocks.emplace_back(Lead{.spans = plain(verdict_words(*metal.decision))});
  int part = 0;
  const auto section = [&] { return fmt::format("{}.{}", number, ++part); };
  if (auto ok = add_map(document, assessment, sheets, section(), options); !ok) return ok;
  if (!metal.cleanliness.empty()) {
    if (auto ok = add_cleanliness(document, metal, options.system, section()); !ok) return ok;
  }
  if (!metal.decision) return {};
  const Decision& decision = *metal.decision;
  heading(document, 2, section(), "The options side by side");
  document.blocks.emplace_back(options_table(decision));
  for (const OptionResult& option : decision.options) {
    heading(document, 3, {}, upper_first(std::string(extent::name(option.kind))));
    document.blocks.emplace_back(option_words(option));
  }
  if (auto ok = add_curves(document, dose_of(decision, plot), Caption::with_title); !ok) return ok;
  if (!metal.cleanliness.empty()) paragraph(document, relative_words(decision, metal.cleanliness.front()));
  if (!decision.hinges.empty()) {
    heading(document, 2, section(), "What decides");
    const auto even = where_known(break_even_of(metal, plot));
    if (!even) return fail(even.error());
    if (*even) {
      if (auto ok = add_curves(document, **even, Caption::with_title); !ok) return ok;
    }
    if (std::string why = beyond_money_words(decision); !why.empty()) paragraph(document, std::move(why));
    document.blocks.emplace_back(hinges_table(decision));
    paragraph(document,
              "The doubt: how far the cost of the smallest repair and of the whole system may lie apart, comebacks in "
              "(Sobol indices, first order and total). The order turns where the smallest repair stops being the "
              "cheaper one, all other assumptions at their middles.",
              true);
  }
  const auto frontier = where_known(frontier_of(metal, plot));
  if (!frontier) return fail(frontier.error());
  if (*frontier) {
    heading(document, 2, section(), "What the next part buys");
    if (auto ok = add_curves(document, **frontier, Caption::notes); !ok) return ok;
    document.blocks.emplace_back(next_part_table(metal));
  }
  heading(document, 2, section(), "What these numbers stand on");
  document.blocks.emplace_back(assumptions_table());
  return {};
}

void add_water(Document& document, const assess::Assessment& assessment, const std::string& number,
               const PaperOptions& options) {
  if (!assessment.water) return;
  heading(document, 1, number, "Water", "water");
  int part = 0;
  for (Block& block : water_page(*assessment.water, options).blocks) {
    if (auto* head = std::get_if<Heading>(&block)) {
      head->level = 2;
      head->number = fmt::format("{}.{}", number, ++part);
    }
    document.blocks.push_back(std::move(block));
  }
}

std::vector<std::string> attribution_words(const assess::Assessment& assessment, units::System system) {
  std::vector<std::string> out;
  const auto pair = std::ranges::find_if(assessment.comparisons, [](const assess::Comparison& one) {
    return one.first == "as designed" && one.second == "as found";
  });
  if (pair != assessment.comparisons.end()) {
    for (const supply::Difference& line : pair->lines) {
      if (line.id != "inlet-at-rated" && line.id != "stages" && line.id != "water-sensor") continue;
      if (line.id != "inlet-at-rated" || !line.first || !line.second) {
        out.push_back(line.sentence);
        continue;
      }
      const auto value = [&](double si) { return units::print(si, line.dimension, system); };
      std::string text = fmt::format("Pressure at the pump inlet at rated power: {} as designed, {} as found",
                                     value(*line.first), value(*line.second));
      if (line.band) {
        const auto end = [&](double si) { return value(std::abs(si) < 1e-6 * line.smallest ? 0.0 : si); };
        text += fmt::format(" (nine in ten of the differences {})", from_to(end(line.band->low), end(line.band->high)));
      } else {
        text += " (no band drawn)";
      }
      text += fmt::format(": {}.", supply::words(line.effect));
      out.push_back(std::move(text));
    }
  }
  if (assessment.water) {
    const auto sheet = [&](const char* name) {
      const auto found = std::ranges::find(assessment.water->sheets, std::string(name), &assess::WaterSheet::name);
      return found == assessment.water->sheets.end() ? nullptr : &*found;
    };
    const assess::WaterSheet* designed = sheet("as designed");
    const assess::WaterSheet* found = sheet("as found");
    if (designed != nullptr && found != nullptr) {
      if (auto text = assess::water_difference(*designed, *found); !text.empty())
        out.push_back("Water: " + lower_first(text));
      out.push_back(fmt::format("A warning before damage by water: as designed {}; as found {}.",
                                warning_words(*designed), warning_words(*found)));
    }
  }
  return out;
}

}  // namespace fw::report
