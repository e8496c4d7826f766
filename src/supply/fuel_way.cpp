// SPDX-License-Identifier: Apache-2.0
#include "supply/fuel_way.hpp"

#include <algorithm>

namespace fw::supply {

namespace {

using system::Leg;
using system::LineSheet;
using system::Part;

constexpr double pickup_lengths = 2.0;  // of the tank's inside height

bool is_tank(const LineSheet& sheet, std::string_view end) { return sheet.find_tank(end) != nullptr; }

/// Strainer or pickup tube that states no place.
bool is_pickup(const Part& part, const system::Tank& tank) {
  if (!part.place.where.empty()) return false;
  if (part.kind == system::PartKind::strainer) return true;
  return part.kind == system::PartKind::tube && part.line && part.line->length_m.given() && tank.height_m.given() &&
         part.line->length_m.value <= pickup_lengths * tank.height_m.value;
}

/// Legs from `end` to the engine, first way first.
bool follow(const LineSheet& sheet, std::string_view end, std::vector<const Leg*>& way) {
  if (end == system::engine_end) return true;
  for (const Leg& leg : sheet.legs) {
    if (leg.from != end || std::ranges::count(way, &leg) > 0) continue;
    way.push_back(&leg);
    if (follow(sheet, leg.to, way)) return true;
    way.pop_back();
  }
  return false;
}

}  // namespace

const std::string& title_of(const Part& part) { return part.title.empty() ? part.id : part.title; }

bool says_tank(const Part& part) {
  return part.place.where == "tank" || part.place.where == "in the tank" || part.place.where == "inside the tank";
}

bool turns(const Part& part) {
  return part.pump && !part.bypassed && part.pump->running && part.pump->drive != system::Drive::hand;
}

std::vector<const Leg*> supply_legs(const LineSheet& sheet) {
  std::vector<const Leg*> legs;
  for (const system::Tank& tank : sheet.tanks) {
    legs.clear();
    if (follow(sheet, tank.id, legs)) break;
  }
  return legs;
}

std::vector<WayPart> supply_way(const LineSheet& sheet) {
  const std::vector<const Leg*> legs = supply_legs(sheet);
  std::vector<WayPart> way;
  if (legs.empty()) return way;
  const system::Tank* tank = sheet.find_tank(legs.front()->from);
  bool pumped = false;
  bool begins = true;
  std::optional<double> height;
  if (tank->floor_height_m.given() && tank->pickup_height_m.given())
    height = tank->floor_height_m.value + tank->pickup_height_m.value;
  for (const Leg* leg : legs) {
    for (std::size_t i = 0; i < leg->parts.size(); ++i) {
      const Part& part = leg->parts[i];
      if (part.end_height_m) height = part.end_height_m->value;
      const bool in_tank = says_tank(part) || (begins && is_pickup(part, *tank));
      begins = begins && in_tank && part.kind != system::PartKind::tube;
      const WayPart here{
          .leg = leg, .part = &part, .index = i, .pumped = pumped, .in_tank = in_tank, .height_m = height};
      way.push_back(here);
      if (turns(part)) pumped = true;
    }
  }
  return way;
}

std::vector<const Leg*> return_legs(const LineSheet& sheet) {
  std::vector<const Leg*> legs;
  for (const Leg& leg : sheet.legs) {
    if (leg.from == system::engine_return_end || (is_tank(sheet, leg.to) && !is_tank(sheet, leg.from)))
      legs.push_back(&leg);
  }
  return legs;
}

}  // namespace fw::supply
