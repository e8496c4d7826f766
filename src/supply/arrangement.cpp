// SPDX-License-Identifier: Apache-2.0
#include "supply/arrangement.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>

#include "supply/electric.hpp"
#include "supply/fuel_way.hpp"
#include "supply/limits.hpp"

namespace fw::supply {

namespace {

using system::LineSheet;
using system::Part;
using system::PartKind;
using system::WaterSensor;
using units::Dimension;

constexpr double fine_m = 10e-6;
constexpr double exhaust_m = 0.15;
constexpr double clamp_m = 0.45;
constexpr double hang_m = 0.051;
constexpr double return_from_pickup_m = 0.10;
constexpr double piezo_low_Pa = 400e3, piezo_high_Pa = 1100e3;
constexpr double nothing = std::numeric_limits<double>::quiet_NaN();

Check start(std::string id, std::string title, std::string source) {
  Check check;
  check.id = std::move(id);
  check.title = std::move(title);
  check.outcome = Outcome::holds;
  check.dimension = Dimension::length;
  check.limit = {.fails = nothing, .narrow = {}, .origin = LimitOrigin::practice, .source = std::move(source)};
  return check;
}

void say(Check& check, Outcome outcome, const std::string& title, const std::string& part, std::string sentence) {
  check.outcome = outcome;
  check.place = title;
  check.place_part = part;
  check.sentence = std::move(sentence);
}

bool is_stage(const Part& part) {
  return part.kind == PartKind::strainer || part.kind == PartKind::separator || part.kind == PartKind::filter;
}

const char* practice = ", against common practice; maker's arrangement not entered.";

Check water_sensor(const std::vector<WayPart>& way) {
  Check check =
      start("water-sensor", "Water sensor in the flow", "sensor in the first bowl after the tank, common practice");
  const Part* wired = nullptr;
  const Part* dead = nullptr;
  bool wired_late = false;
  bool stated = true;
  bool stage_before = false;
  for (const WayPart& at : way) {
    const Part& part = *at.part;
    if (!part.medium || part.kind == PartKind::strainer) continue;
    switch (part.medium->sensor) {
      case WaterSensor::wired:
        if (part.bypassed) {
          dead = &part;
        } else if (wired == nullptr) {
          wired = &part;
          wired_late = at.pumped || stage_before;
        }
        break;
      case WaterSensor::unplugged: dead = &part; break;
      case WaterSensor::not_stated:
        if (part.kind == PartKind::separator && !part.bypassed) stated = false;
        break;
      case WaterSensor::none: break;
    }
    if (!part.bypassed && (part.kind == PartKind::separator || part.kind == PartKind::filter)) stage_before = true;
  }
  if (wired != nullptr && !wired_late) {
    say(check, Outcome::holds, title_of(*wired), wired->id, "Water in the first bowl is seen.");
  } else if (wired != nullptr) {
    say(check, Outcome::narrow, title_of(*wired), wired->id,
        std::string("The sensor works, but it stands behind a pump or another element and sees little of the water") +
            practice);
  } else if (!stated) {
    say(check, Outcome::not_known, "fuel way", "", "Whether a water sensor is fitted and wired is not stated.");
  } else if (dead != nullptr) {
    say(check, Outcome::fails, title_of(*dead), dead->id,
        std::string("The water sensor is there but sees nothing: unplugged or out of the flow") + practice);
  } else {
    say(check, Outcome::fails, "fuel way", "", std::string("No water sensor is in the flow") + practice);
  }
  return check;
}

Check water_stage(const std::vector<WayPart>& way) {
  Check check = start("water-stage", "Place of the water separator",
                      "separator before any fine element and before a pump that breaks drops, common practice");
  bool fine_before = false;
  for (const WayPart& at : way) {
    const Part& part = *at.part;
    if (part.bypassed) continue;
    if (part.kind == PartKind::separator) {
      if (fine_before || at.pumped) {
        say(check, Outcome::narrow, title_of(part), part.id,
            std::string(at.pumped ? "The separator stands behind a pump that breaks the drops"
                                  : "The separator stands behind a finer element") +
                practice);
      } else {
        say(check, Outcome::holds, title_of(part), part.id,
            "The separator gets the water first, before a pump or a finer element.");
      }
      return check;
    }
    if (part.kind == PartKind::filter) fine_before = true;
  }
  say(check, Outcome::fails, "fuel way", "", std::string("No stage that separates water is in the flow") + practice);
  return check;
}

Check fine_on_suction(const std::vector<WayPart>& way) {
  Check check = start("fine-on-suction", "Fine element on the suction side",
                      "no element of 10 um or finer before the first pump, common practice");
  bool any_pump = false;
  for (const WayPart& at : way) any_pump = any_pump || turns(*at.part);
  const Part* open = nullptr;
  for (const WayPart& at : way) {
    const Part& part = *at.part;
    if (part.bypassed || at.pumped || part.kind != PartKind::filter) continue;
    if (!part.medium || !part.medium->rating_m) {
      open = &part;
    } else if (part.medium->rating_m->value <= fine_m) {
      say(check, Outcome::narrow, title_of(part), part.id,
          std::string("A fine element stands before the first pump: as it loads, the pump has to suck harder") +
              practice);
      return check;
    }
  }
  if (open != nullptr) {
    say(check, Outcome::not_known, title_of(*open), open->id,
        "The rating of the element on the suction side is not stated.");
  } else {
    say(check, Outcome::holds, "fuel way", "", "No fine element stands before the first pump.");
  }
  return check;
}

Check return_join(const LineSheet& sheet, const std::vector<WayPart>& way) {
  Check check = start("return-join", "Where the return joins", "return to the tank by its own line, common practice");
  for (const system::Leg* leg : return_legs(sheet)) {
    if (leg->from != system::engine_return_end || sheet.find_tank(leg->to) != nullptr) continue;
    const auto joins = [&](const WayPart& at) { return at.leg->from == leg->to; };
    if (std::ranges::none_of(way, joins)) continue;
    const bool into_suction = std::ranges::any_of(way, [&](const WayPart& at) { return joins(at) && !at.pumped; });
    say(check, Outcome::narrow, leg->title.empty() ? leg->id : leg->title,
        leg->parts.empty() ? "" : leg->parts.back().id,
        std::string(into_suction
                        ? "The return is teed into the suction: hot fuel with its air and dirt is drawn in again"
                        : "The return joins the supply: hot fuel is drawn in again") +
            practice);
    return check;
  }
  say(check, Outcome::holds, "return", "", "The return has its own way to the tank.");
  return check;
}

std::optional<Check> return_place(const LineSheet& sheet, const std::vector<WayPart>& way) {
  for (const system::Leg* leg : return_legs(sheet)) {
    if (leg->to != way.front().leg->from) continue;
    Check check = start("return-place", "Return and pickup apart", "100 to 150 mm apart in the tank, common practice");
    check.low = true;
    check.limit.fails = return_from_pickup_m;
    check.limit.narrow = 1.5 * return_from_pickup_m;
    const std::string& title = leg->title.empty() ? leg->id : leg->title;
    if (!leg->from_pickup_m) {
      say(check, Outcome::not_known, title, "", "The distance of return and pickup in the tank is not stated.");
      return check;
    }
    check.value = leg->from_pickup_m->value;
    check.margin = *check.value - check.limit.fails;
    const Outcome outcome = against(*check.value, check.limit, true);
    say(check, outcome, title, "",
        outcome == Outcome::holds
            ? "The return ends far enough from the pickup."
            : "The return ends beside the pickup: its air and heat are drawn in again" + ending(check.limit));
    return check;
  }
  return std::nullopt;
}

std::optional<Check> hoses_unrated(const std::vector<WayPart>& way) {
  for (const WayPart& at : way) {
    const Part& part = *at.part;
    if (part.bypassed || at.pumped || part.kind != PartKind::hose) continue;
    if (part.line->vacuum_Pa && part.line->vacuum_Pa->value > 0.0) continue;
    Check check = start("hose-vacuum", "Vacuum in the suction hoses", "rating of the hose's maker");
    say(check, Outcome::not_known, title_of(part), part.id,
        "The vacuum that the " + title_of(part) + " is rated for is not stated.");
    return check;
  }
  return std::nullopt;
}

std::optional<Check> piezo_return(const LineSheet& sheet) {
  if (sheet.high_side.injectors.find("piezo") == std::string::npos) return std::nullopt;
  Check check = start("return-low", "Pressure held on the leak-off of piezo injectors",
                      "4 to 11 bar on the leak-off, service data");
  check.dimension = Dimension::gauge_pressure;
  check.low = true;
  check.limit.fails = piezo_low_Pa;
  if (!sheet.high_side.leak_off_Pa) {
    say(check, Outcome::not_known, "leak-off", "", "The pressure that the leak-off is held at is not stated.");
    return check;
  }
  check.value = sheet.high_side.leak_off_Pa->value;
  check.margin = *check.value - piezo_low_Pa;
  if (*check.value > piezo_high_Pa) {
    check.low = false;
    check.limit.fails = piezo_high_Pa;
    check.margin = piezo_high_Pa - *check.value;
    say(check, Outcome::fails, "leak-off", "",
        "The leak-off is held too high for piezo injectors" + ending(check.limit));
  } else if (*check.value < piezo_low_Pa) {
    say(check, Outcome::fails, "leak-off", "",
        "The leak-off is held too low: the couplers of piezo injectors run empty and the engine may not start" +
            ending(check.limit));
  } else {
    say(check, Outcome::holds, "leak-off", "", "The couplers of the piezo injectors stay filled.");
  }
  return check;
}

Check low_point(const LineSheet& sheet, const std::vector<WayPart>& way) {
  Check check = start("low-point", "Low points of the supply",
                      "a line may hang 51 mm below tank or sump, 49 CFR 393.65; below it needs a shut-off");
  check.dimension = Dimension::height;
  check.low = true;
  check.limit.fails = -hang_m;
  check.limit.origin = LimitOrigin::practice;
  double floor = 0.0;
  if (!sheet.tanks.empty() && sheet.tanks.front().floor_height_m.given())
    floor = sheet.tanks.front().floor_height_m.value;
  bool shut_off = false;
  const WayPart* lowest = nullptr;
  bool lowest_shut = false;
  for (const WayPart& at : way) {
    if (at.part->kind == PartKind::shut_off && !at.part->bypassed) shut_off = true;
    if (!at.height_m || at.part->bypassed) continue;
    if (lowest == nullptr || *at.height_m < *lowest->height_m) {
      lowest = &at;
      lowest_shut = shut_off;
    }
  }
  if (lowest == nullptr) {
    say(check, Outcome::not_known, "fuel way", "", "No height of the supply is stated.");
    return check;
  }
  check.value = *lowest->height_m - floor;
  check.margin = *check.value + hang_m;
  const std::string& title = title_of(*lowest->part);
  if (*check.value < -hang_m && !lowest_shut) {
    say(check, Outcome::fails, title, lowest->part->id,
        "The line hangs below the tank without a shut-off: torn off, it empties the tank" + ending(check.limit));
  } else if (*check.value < 0.0) {
    say(check, Outcome::narrow, title, lowest->part->id,
        std::string(lowest_shut ? "The line runs below the tank behind a shut-off; it gathers water and needs a shield"
                                : "The line runs just below the tank; it gathers water and needs a shield") +
            ending(check.limit));
  } else {
    say(check, Outcome::holds, title, lowest->part->id, "Nothing hangs below the tank.");
  }
  return check;
}

/// Worst of a place rule over the parts it concerns, those inside a tank left out. `judge` gives the outcome of one
/// part.
Check place_rule(Check check, const std::vector<WayPart>& way, const std::function<bool(const WayPart&)>& concerns,
                 const std::function<std::pair<Outcome, std::optional<double>>(const Part&)>& judge,
                 const std::string& when_fails, const std::string& fact, const std::string& when_holds) {
  bool any = false;
  for (const WayPart& at : way) {
    const Part& part = *at.part;
    if (part.bypassed || at.in_tank || !concerns(at)) continue;
    const auto [outcome, value] = judge(part);
    if (any && outcome >= check.outcome) continue;
    any = true;
    check.value = value;
    check.margin = value && std::isfinite(check.limit.fails)
                       ? std::optional(check.low ? *value - check.limit.fails : check.limit.fails - *value)
                       : std::nullopt;
    say(check, outcome, title_of(part), part.id,
        outcome == Outcome::fails       ? when_fails + ending(check.limit)
        : outcome == Outcome::not_known ? fact + " is not stated for the " + title_of(part) + "."
                                        : when_holds);
  }
  if (!any) say(check, Outcome::holds, "fuel way", "", when_holds);
  return check;
}

bool hangs_outside(const WayPart& at) {
  const Part& part = *at.part;
  return (part.kind == PartKind::separator || part.kind == PartKind::filter || (part.pump && turns(part)) ||
          part.kind == PartKind::sump) &&
         (!part.pump || part.pump->drive == system::Drive::electric) && !part.place.where.starts_with("engine");
}

std::vector<Check> place_checks(const std::vector<WayPart>& way) {
  std::vector<Check> checks;
  Check stone = start("stone-throw", "Housings safe from stones off the wheels", "common practice, no source");
  checks.push_back(place_rule(
      std::move(stone), way, hangs_outside,
      [](const Part& part) -> std::pair<Outcome, std::optional<double>> {
        if (!part.place.wheel_throw) return {Outcome::not_known, std::nullopt};
        if (!*part.place.wheel_throw || part.place.shield == true) return {Outcome::holds, std::nullopt};
        return {part.place.shield ? Outcome::fails : Outcome::not_known, std::nullopt};
      },
      "The housing hangs where a wheel throws stones, without a shield", "Whether a wheel throws stones there",
      "No housing hangs bare where a wheel throws stones."));

  Check heat = start("heat", "Distance to the exhaust", "150 mm to the exhaust, common practice");
  heat.low = true;
  heat.limit.fails = exhaust_m;
  checks.push_back(place_rule(
      std::move(heat), way, [](const WayPart& at) { return hangs_outside(at) || at.part->line.has_value(); },
      [](const Part& part) -> std::pair<Outcome, std::optional<double>> {
        if (!part.place.to_exhaust_m) return {Outcome::not_known, std::nullopt};
        const double distance = part.place.to_exhaust_m->value;
        return {distance < exhaust_m && part.place.shield != true ? Outcome::fails : Outcome::holds, distance};
      },
      "The part is too close to the exhaust without a shield", "Distance to the exhaust",
      "Lines and housings keep their distance to the exhaust."));

  Check clamps = start("clamps", "Spacing of the clamps", "300 to 450 mm, common practice");
  clamps.limit.fails = clamp_m;
  checks.push_back(place_rule(
      std::move(clamps), way,
      [](const WayPart& at) {
        return at.part->line && at.part->line->length_m.given() && at.part->line->length_m.value > clamp_m;
      },
      [](const Part& part) -> std::pair<Outcome, std::optional<double>> {
        if (!part.place.clamp_spacing_m) return {Outcome::not_known, std::nullopt};
        const double spacing = part.place.clamp_spacing_m->value;
        return {spacing > clamp_m ? Outcome::fails : Outcome::holds, spacing};
      },
      "The clamps of the line stand too far apart", "Spacing of the clamps", "The clamps stand close enough."));

  Check service = start("service", "Minutes to change an element", "no limit; what is slow is not done");
  const bool stated = std::ranges::all_of(way, [](const WayPart& at) {
    return at.part->bypassed || !is_stage(*at.part) || at.part->kind == PartKind::strainer ||
           at.part->place.service_s.has_value();
  });
  if (stated) {
    service.dimension = Dimension::time;
    double longest = 0.0;
    for (const WayPart& at : way) {
      if (at.part->place.service_s && is_stage(*at.part)) longest = std::max(longest, at.part->place.service_s->value);
    }
    service.value = longest;
    service.limit.narrow = 3600.0;
    service.outcome = against(longest, service.limit, false);
    service.place = "fuel way";
    service.sentence =
        service.outcome == Outcome::narrow
            ? "An element takes over an hour to change: the change will be put off, against common practice."
            : "Every element is changed within the hour.";
  } else {
    say(service, Outcome::not_known, "fuel way", "", "The time to change an element is not stated for every stage.");
  }
  checks.push_back(std::move(service));
  return checks;
}

}  // namespace

std::vector<Stage> stages(const LineSheet& sheet) {
  std::vector<Stage> all;
  for (const WayPart& at : supply_way(sheet)) {
    const Part& part = *at.part;
    if (!is_stage(part)) continue;
    Stage stage{.part = part.id,
                .title = title_of(part),
                .kind = part.kind,
                .rating_m = {},
                .in_flow = !part.bypassed,
                .pumped = at.pumped,
                .senses_water = !part.bypassed && part.medium && part.medium->sensor == WaterSensor::wired};
    if (part.medium && part.medium->rating_m) stage.rating_m = part.medium->rating_m->value;
    all.push_back(std::move(stage));
  }
  return all;
}

std::vector<Check> arrangement_checks(const LineSheet& sheet) {
  const std::vector<WayPart> way = supply_way(sheet);
  std::vector<Check> checks;
  if (way.empty()) return checks;
  checks.push_back(water_sensor(way));
  checks.push_back(water_stage(way));
  checks.push_back(fine_on_suction(way));
  checks.push_back(return_join(sheet, way));
  if (auto check = return_place(sheet, way)) checks.push_back(*std::move(check));
  if (auto check = hoses_unrated(way)) checks.push_back(*std::move(check));
  if (auto check = piezo_return(sheet)) checks.push_back(*std::move(check));
  for (Check& check : electric_facts(way)) checks.push_back(std::move(check));
  checks.push_back(low_point(sheet, way));
  for (Check& check : place_checks(way)) checks.push_back(std::move(check));
  return checks;
}

}  // namespace fw::supply
