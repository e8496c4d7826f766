// SPDX-License-Identifier: Apache-2.0
#include "report/filter_answers.hpp"

#include <cmath>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "report/json_parts.hpp"

namespace fw::report {

namespace {

using assess::FilterHour;
using assess::FilterSheet;
using assess::FilterStage;
using units::Dimension;

constexpr double longest_h = 9995.0;  // of a year's use many times over: longer says nothing

std::string hours_words(double hours) {
  if (hours >= longest_h) return "over 9,900 h";
  return hours < 9.95 ? fmt::format("{:.1f} h", hours) : fmt::format("{:.0f} h", hours);
}

/// Nine in ten: "304 h to 3016 h"; "from 1697 h" where the far end means nothing.
std::string band_words(const Interval& band) {
  if (band.low >= longest_h) return "-";
  return band.high >= longest_h ? "from " + hours_words(band.low)
                                : fmt::format("{} to {}", hours_words(band.low), hours_words(band.high));
}

std::string_view words(debris::ChangedBy by) {
  switch (by) {
    case debris::ChangedBy::dirt: return "dirt";
    case debris::ChangedBy::hours: return "hours";
    case debris::ChangedBy::distance: return "distance";
    case debris::ChangedBy::age: break;
  }
  return "age";
}

std::string rounded(double value) {
  if (std::abs(value - std::round(value)) < 0.05) return fmt::format("{:.0f}", value);
  return fmt::format("{:.{}f}", value, value < 9.95 ? 1 : 0);
}

void say(Document& document, std::string text) { document.blocks.emplace_back(Paragraph{.spans = plain(text)}); }

std::string distance_words(const FilterStage& stage, units::System system) {
  if (std::isnan(stage.median_life_m) || stage.median_life_h >= longest_h) return "-";
  return units::print(stage.median_life_m, Dimension::distance, system);
}

Table stage_table(const FilterSheet& sheet, const PaperOptions& options) {
  Table table{.caption = "",
              .columns = {{.title = "element", .kind = ColumnKind::text},
                          {.title = "dirt", .kind = ColumnKind::number},
                          {.title = "lasts", .kind = ColumnKind::number},
                          {.title = "nine in ten", .kind = ColumnKind::number},
                          {.title = "distance", .kind = ColumnKind::number},
                          {.title = "a year", .kind = ColumnKind::number},
                          {.title = "by", .kind = ColumnKind::text}},
              .rows = {}};
  for (const FilterStage& stage : sheet.stages) {
    table.rows.push_back({.cells = {{.spans = plain(stage.title)},
                                    {.spans = plain(fmt::format("{:.0f} %", 100.0 * stage.share))},
                                    {.spans = plain(hours_words(stage.median_life_h))},
                                    {.spans = plain(band_words(stage.life_h))},
                                    {.spans = plain(distance_words(stage, options.system))},
                                    {.spans = plain(rounded(stage.year.changes))},
                                    {.spans = plain(std::string(words(stage.year.by)))}}});
  }
  return table;
}

std::string year_words(const FilterSheet& sheet) {
  std::string text = fmt::format("A year: {} {}, {:.0f} minutes", rounded(sheet.changes_a_year),
                                 rounded(sheet.changes_a_year) == "1" ? "change" : "changes", sheet.minutes_a_year);
  if (sheet.cost_a_year) return text + fmt::format(", {}.", to_text(*sheet.cost_a_year));
  return text + "; cost not known, no prices of these elements.";
}

std::string hours_line(const FilterHour& here, const FilterSheet& sheet, units::System system) {
  std::string fullest;
  double most = -1.0;
  for (std::size_t i = 0; i < here.loaded.size(); ++i) {
    if (here.loaded[i] <= most) continue;
    most = here.loaded[i];
    fullest = sheet.stages[i].title;
  }
  const std::string pressure = std::isnan(here.inlet_over_ambient_Pa)
                                   ? std::string("no solution")
                                   : units::print_both(here.inlet_over_ambient_Pa, Dimension::gauge_pressure, system);
  return fmt::format("{}: pump inlet {}{}; fullest {} at {:.0f} %", hours_words(here.hours), pressure,
                     here.unfed ? ", the engine is not fed" : "", fullest, 100.0 * std::max(0.0, most));
}

}  // namespace

Document filters_page(const assess::FilterSection& section, const PaperOptions& options) {
  Document document;
  document.title = "Filters over a year";
  document.created = options.created;
  document.size = options.size;
  const assess::VehicleUse& use = section.facts.use;
  std::string facts = fmt::format("{}: {:.0f} h a year, {} mean burn, {:.1f} mg/kg of dirt in the fuel as filled",
                                  use.name, use.run_s_a_year.value / 3600.0,
                                  units::print(use.burn_m3_per_s.value, Dimension::volume_flow, options.system),
                                  1e6 * use.dirt_kg_per_kg.value);
  if (use.distance_a_year_m.given()) {
    facts += fmt::format(", {} a year", units::print(use.distance_a_year_m.value, Dimension::distance, options.system));
  }
  say(document, facts + fmt::format(". {} draws, seed {}.", section.facts.draws, section.facts.seed));
  say(document,
      "Dirt: share of what comes with the fuel that ends in the element. Lasts: until dirt alone brings it to its "
      "terminal drop. A year: changes; by: what ends it first, dirt, hours, distance or age.");
  int number = 1;
  for (const FilterSheet& sheet : section.sheets) {
    document.blocks.emplace_back(
        Heading{.level = 1, .number = fmt::format("{}", number++), .text = "System " + sheet.name});
    if (sheet.stages.empty()) {
      say(document, "No filter of a stated size is on the fuel's way.");
    } else {
      document.blocks.emplace_back(stage_table(sheet, options));
      say(document, year_words(sheet));
      say(document, "At rated power, 20 C, until the first change:");
      Bullets bullets;
      for (const FilterHour& here : sheet.hours)
        bullets.items.push_back(plain(hours_line(here, sheet, options.system)));
      document.blocks.emplace_back(std::move(bullets));
    }
    for (const std::string& note : sheet.notes) say(document, note);
  }
  document.blocks.emplace_back(Heading{.level = 1, .text = "Assumed"});
  Bullets bullets;
  for (const std::string& one : section.assumptions) bullets.items.push_back(plain(one));
  document.blocks.emplace_back(std::move(bullets));
  say(document,
      "The maker's interval comes first. Old elements and what drips from them are hazardous waste: local rules "
      "say where they go.");
  return document;
}

std::string filters_json(const assess::FilterSection& section) {
  const assess::FilterFacts& facts = section.facts;
  Json json{{"schema", "fuelwright.filters/1.0"},
            {"seed", facts.seed},
            {"draws", facts.draws},
            {"use", std::string(facts.use.id)},
            {"run_s_a_year", facts.use.run_s_a_year.value},
            {"distance_a_year_m", number_json(facts.use.distance_a_year_m.value)},
            {"burn_m3_per_s", facts.use.burn_m3_per_s.value},
            {"dirt_kg_per_kg", facts.use.dirt_kg_per_kg.value},
            {"interval_h", number_json(facts.interval_h)},
            {"interval_m", number_json(facts.interval_m)},
            {"sheets", Json::array()},
            {"assumptions", section.assumptions}};
  for (const FilterSheet& sheet : section.sheets) {
    Json one{{"sheet", sheet.name},
             {"stages", Json::array()},
             {"changes_a_year", sheet.changes_a_year},
             {"minutes_a_year", sheet.minutes_a_year},
             {"cost_a_year", sheet.cost_a_year ? Json(to_text(*sheet.cost_a_year)) : Json(nullptr)},
             {"hours", Json::array()},
             {"notes", sheet.notes}};
    for (const FilterStage& stage : sheet.stages) {
      one["stages"].push_back(
          {{"part", stage.id},
           {"behind_pump", stage.pumped},
           {"rating_m", stage.rating_m},
           {"capacity_kg", stage.capacity_kg},
           {"capacity_stated", stage.capacity_stated},
           {"share_of_dirt", stage.share},
           {"life_h", {{"low_h", stage.life_h.low}, {"median_h", stage.median_life_h}, {"high_h", stage.life_h.high}}},
           {"life_m", number_json(stage.median_life_m)},
           {"changes_a_year", stage.year.changes},
           {"minutes_a_year", stage.year.minutes},
           {"changed_by", std::string(words(stage.year.by))},
           {"cost_a_year", stage.cost ? Json(to_text(*stage.cost)) : Json(nullptr)}});
    }
    for (const FilterHour& here : sheet.hours) {
      one["hours"].push_back({{"hours", here.hours},
                              {"inlet_over_ambient_Pa", number_json(here.inlet_over_ambient_Pa)},
                              {"unfed", here.unfed},
                              {"loaded", here.loaded}});
    }
    json["sheets"].push_back(std::move(one));
  }
  return json.dump(2) + "\n";
}

}  // namespace fw::report
