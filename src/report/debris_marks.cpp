// SPDX-License-Identifier: Apache-2.0
#include "report/debris_marks.hpp"

#include <algorithm>
#include <array>
#include <initializer_list>
#include <set>

#include "supply/fuel_way.hpp"

namespace fw::report {

namespace {

using debris::Place;
using debris::PlaceState;
using system::PartKind;

class Marker {
 public:
  Marker(SchematicData& drawing, const debris::DebrisMap& map, MarkedPlaces which)
      : drawing_(drawing), map_(map), which_(which) {}

  /// The strongest state of several places.
  [[nodiscard]] DebrisMark of(std::initializer_list<Place> places) const {
    constexpr std::array order{PlaceState::verified_clean, PlaceState::not_inspected, PlaceState::inferred,
                               PlaceState::seen};
    std::size_t strongest = 0;
    for (const Place place : places) {
      const PlaceState state = map_.places.at(static_cast<std::size_t>(place)).state;
      strongest = std::max(strongest, static_cast<std::size_t>(std::ranges::find(order, state) - order.begin()));
    }
    const bool quiet = which_ == MarkedPlaces::looked_at;
    switch (order[strongest]) {
      case PlaceState::seen: return DebrisMark::metal_seen;
      case PlaceState::verified_clean: return DebrisMark::clean;
      case PlaceState::inferred: return quiet ? DebrisMark::none : DebrisMark::inferred;
      case PlaceState::not_inspected: break;
    }
    return quiet ? DebrisMark::none : DebrisMark::not_inspected;
  }

  /// Marks the part if its place has none yet.
  void at(const system::Part& part, std::initializer_list<Place> places) {
    for (SchematicLeg& leg : drawing_.legs) {
      const auto found = std::ranges::find(leg.parts, part.id, &SchematicPart::id);
      if (found == leg.parts.end()) continue;
      if (!told_.insert(*places.begin()).second) return;
      found->debris = of(places);
    }
  }

 private:
  SchematicData& drawing_;
  const debris::DebrisMap& map_;
  MarkedPlaces which_;
  std::set<Place> told_;
};

bool filters(const system::Part& part) { return part.kind == PartKind::filter || part.kind == PartKind::separator; }
bool carries(const system::Part& part) { return part.kind == PartKind::hose || part.kind == PartKind::tube; }

}  // namespace

void mark_metal(SchematicData& drawing, const system::LineSheet& sheet, const debris::DebrisMap& map,
                MarkedPlaces which) {
  Marker marker(drawing, map, which);
  const system::Part* last_filter = nullptr;
  for (const supply::WayPart& one : supply::supply_way(sheet)) {
    const system::Part& part = *one.part;
    if (part.bypassed) continue;
    if (part.kind == PartKind::strainer) marker.at(part, {Place::pickup_screen});
    if (supply::turns(part)) marker.at(part, {Place::assist_pump});
    if (filters(part) && !one.pumped) marker.at(part, {Place::primary_filter});
    if (filters(part) && one.pumped) last_filter = &part;
    if (carries(part)) marker.at(part, {one.pumped ? Place::pressure_line : Place::suction_line});
  }
  for (const system::Leg* leg : supply::return_legs(sheet)) {
    for (const system::Part& part : leg->parts) {
      if (part.bypassed) continue;
      if (part.kind == PartKind::cooler) marker.at(part, {Place::cooler});
      if (carries(part)) marker.at(part, {Place::return_line});
    }
  }
  if (last_filter != nullptr) marker.at(*last_filter, {Place::final_filter, Place::final_clean_side});
  for (SchematicTank& tank : drawing.tanks) tank.debris = marker.of({Place::tank});
  SchematicHighSide& high = drawing.high_side;
  high.metering_debris = marker.of({Place::metering_valve});
  high.pump_debris =
      high.metering_valve
          ? marker.of({Place::pump_inlet_screen, Place::pump_housing, Place::plungers})
          : marker.of({Place::pump_inlet_screen, Place::pump_housing, Place::plungers, Place::metering_valve});
  high.rail_debris = marker.of({Place::rail});
  high.injector_debris = marker.of({Place::injectors});
}

}  // namespace fw::report
