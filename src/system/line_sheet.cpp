// SPDX-License-Identifier: Apache-2.0
#include "system/line_sheet.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <set>

#include <fmt/format.h>

#include "fuel/fuel_text.hpp"

namespace fw::system {

namespace {

constexpr std::array<std::string_view, 25> part_kind_names{
    "tube",       "hose",       "fitting", "joint",     "strainer",  "separator", "filter",    "heater",   "cooler",
    "thermostat", "primer",     "check",   "relief",    "regulator", "orifice",   "shut-off",  "selector", "sump",
    "pump",       "resistance", "stem",    "connector", "banjo",     "gap",       "short-tube"};
constexpr double zero_C_K = 273.15;
constexpr std::array<std::string_view, 4> stopped_names{"unknown", "passes", "bypass", "blocks"};
constexpr std::array<std::string_view, 3> surplus_names{"unknown", "to own inlet", "to tank"};
constexpr std::array<std::string_view, 3> reference_names{"unknown", "own inlet", "tank"};
constexpr std::array<std::string_view, 3> drive_names{"electric", "engine", "hand"};
constexpr std::array<std::string_view, 4> inlet_names{"unknown", "sucks", "fed low", "fed high"};

/// The block a kind must carry, or "" where it may stand without one.
std::string_view missing_block(const Part& part) {
  switch (part.kind) {
    case PartKind::tube:
    case PartKind::hose: return part.line ? "" : "bore and length";
    case PartKind::fitting: return part.fitting ? "" : "law and bore";
    case PartKind::joint: return part.joint ? "" : "bore";
    case PartKind::strainer:
    case PartKind::separator:
    case PartKind::filter:
    case PartKind::cooler:
    case PartKind::selector:
    case PartKind::resistance: return part.medium ? "" : "clean_drop";
    case PartKind::hand_primer:
    case PartKind::check:
    case PartKind::relief:
    case PartKind::regulator: return part.valve ? "" : "crack or set";
    case PartKind::orifice: return part.orifice ? "" : "diameter";
    case PartKind::stem:
    case PartKind::connector: return part.passage ? "" : "bore";
    case PartKind::banjo: return part.banjo ? "" : "bolt_bore and hole_bore";
    case PartKind::gap: return part.gap ? "" : "diameter, clearance and length";
    case PartKind::short_tube: return part.short_tube ? "" : "bore and length";
    case PartKind::pump: return part.pump ? "" : "a pump description";
    case PartKind::heater:
    case PartKind::thermostat:
    case PartKind::shut_off:
    case PartKind::sump: return "";
  }
  return "";
}

Error fault(const Origin& origin, std::string field, std::string found, std::string expected, std::string hint) {
  return {.code = ErrorCode::invalid_input,
          .where = {.file = origin.file, .line = origin.line, .column = 0, .field = std::move(field)},
          .found = std::move(found),
          .expected = std::move(expected),
          .hint = std::move(hint)};
}

}  // namespace

std::string_view name(PartKind kind) { return part_kind_names.at(static_cast<std::size_t>(kind)); }

std::optional<PartKind> part_kind_named(std::string_view text) {
  for (std::size_t i = 0; i < part_kind_names.size(); ++i) {
    if (part_kind_names[i] == text) return static_cast<PartKind>(i);
  }
  return std::nullopt;
}

std::string_view name(Stopped stopped) { return stopped_names.at(static_cast<std::size_t>(stopped)); }
std::string_view name(Surplus surplus) { return surplus_names.at(static_cast<std::size_t>(surplus)); }
std::string_view name(ReliefReference reference) { return reference_names.at(static_cast<std::size_t>(reference)); }
std::string_view name(Drive drive) { return drive_names.at(static_cast<std::size_t>(drive)); }
std::string_view name(InletClass inlet) { return inlet_names.at(static_cast<std::size_t>(inlet)); }

std::vector<std::string> high_pressure_places(const HighSide& high_side) {
  std::vector<std::string> places{"high-pressure pump", "metering valve", "pump-to-rail pipe"};
  for (int rail = 1; rail <= high_side.rails; ++rail) {
    places.push_back(high_side.rails == 1 ? "rail" : fmt::format("rail {}", rail));
    if (rail == 1 && high_side.rails > 1) places.push_back("rail crossover pipe");
  }
  places.push_back("rail sensor");
  places.push_back("relief valve");
  for (int cylinder = 1; cylinder <= high_side.cylinders; ++cylinder) {
    places.push_back(fmt::format("injector pipe {}", cylinder));
  }
  for (int cylinder = 1; cylinder <= high_side.cylinders; ++cylinder) {
    places.push_back(fmt::format("injector {}", cylinder));
  }
  places.push_back("leak-off");
  return places;
}

const Part* LineSheet::find_part(std::string_view id) const {
  for (const Leg& leg : legs) {
    for (const Part& part : leg.parts) {
      if (part.id == id) return &part;
    }
  }
  return nullptr;
}

const Leg* LineSheet::find_leg(std::string_view id) const {
  const auto found = std::ranges::find(legs, id, &Leg::id);
  return found == legs.end() ? nullptr : &*found;
}

const Tank* LineSheet::find_tank(std::string_view id) const {
  const auto found = std::ranges::find(tanks, id, &Tank::id);
  return found == tanks.end() ? nullptr : &*found;
}

Result<fuel::Fuel> fuel_of_sheet(const LineSheet& sheet) {
  const bool constant = sheet.fuel == "constant";
  auto chosen = constant ? fuel::constant_fluid(sheet.constant_density_kg_per_m3.value,
                                                sheet.constant_kinematic_viscosity_m2_per_s.value)
                         : fuel::fuel_of_text(sheet.fuel);
  if (!chosen) return fail(chosen.error().in_field("fuel").in_file(sheet.file));
  if (!sheet.fuel_report) return chosen;
  const FuelReport& report = *sheet.fuel_report;
  if (constant) {
    return fail(fault(report.origin, "fuel_report", "a fuel report beside fuel = \"constant\"",
                      "a grade with its report, or a constant fluid", "Remove one of the two"));
  }
  const auto take = [](double& value, const std::optional<Stated>& stated) {
    if (stated && stated->given()) value = stated->value;
  };
  take(chosen->density_15C_kg_per_m3, report.density_15C_kg_per_m3);
  take(chosen->kinematic_viscosity_40C_m2_per_s, report.viscosity_40C_m2_per_s);
  take(chosen->cloud_point_K, report.cloud_point_K);
  take(chosen->cfpp_K, report.cfpp_K);
  if (report.cloud_point_K && report.cloud_point_K->given()) {
    chosen->freezing_point_for_cloud = false;
  }
  // A fuel plugs at or below its cloud point. What the grade usually has says nothing of this fuel where the report
  // contradicts it.
  if (std::isfinite(chosen->cfpp_K) && std::isfinite(chosen->cloud_point_K) && chosen->cfpp_K > chosen->cloud_point_K) {
    const bool cloud = report.cloud_point_K && report.cloud_point_K->given();
    const bool plugging = report.cfpp_K && report.cfpp_K->given();
    if (cloud && plugging) {
      return fail(fault(report.origin, "fuel_report.cfpp",
                        fmt::format("a filter plugging point of {:.1f} C above the cloud point of {:.1f} C",
                                    chosen->cfpp_K - zero_C_K, chosen->cloud_point_K - zero_C_K),
                        "a plugging point at or below the cloud point", "Check which is which in the report"));
    }
    (cloud ? chosen->cfpp_K : chosen->cloud_point_K) = std::numeric_limits<double>::quiet_NaN();
  }
  const auto sound = fuel::density_kg_per_m3(*chosen, zero_C_K + 15.0);
  if (!sound) {
    Errors errors = sound.error().in_field("fuel_report");
    return fail(errors.in_file(sheet.file));
  }
  return chosen;
}

Result<void> validate(const LineSheet& sheet) {
  std::vector<Error> faults;
  const Origin whole{.file = sheet.file};
  if (sheet.tanks.empty()) {
    faults.push_back(fault(whole, "tank", "no tank", "at least one tank", "Add a [tank] table"));
  }
  if (sheet.legs.empty()) {
    faults.push_back(fault(whole, "leg", "no legs", "a leg from a tank to \"engine\"", "Add a [[leg]] table"));
  }

  std::set<std::string> ids;
  for (const Tank& tank : sheet.tanks) {
    if (!ids.insert(tank.id).second) {
      faults.push_back(fault(tank.origin, "tank." + tank.id, "the id \"" + tank.id + "\" twice", "ids that differ",
                             "Give one of them another id"));
    }
  }
  for (const std::string_view reserved : {engine_end, engine_return_end}) ids.insert(std::string(reserved));

  for (const std::string& chosen : {sheet.selector.feed, sheet.selector.back}) {
    if (!chosen.empty() && sheet.find_tank(chosen) == nullptr) {
      faults.push_back(fault(whole, "selector", "the tank \"" + chosen + "\"", "the id of a tank of the sheet",
                             "Check the spelling"));
    }
  }
  // Ends: a junction is any name that is neither tank nor engine; it must join at least two legs.
  std::map<std::string, int> uses;
  for (const Leg& leg : sheet.legs) {
    const std::string field = "leg." + leg.id;
    if (!ids.insert(leg.id).second) {
      faults.push_back(fault(leg.origin, field, "the id \"" + leg.id + "\" twice", "ids that differ",
                             "Give one of them another id"));
    }
    if (leg.from == leg.to) {
      faults.push_back(fault(leg.origin, field, "a leg from \"" + leg.from + "\" to itself", "two different ends",
                             "Name where the fuel comes from and where it goes"));
    }
    if (leg.from == engine_end || leg.to == engine_return_end) {
      faults.push_back(fault(leg.origin, field, "a leg from \"" + leg.from + "\" to \"" + leg.to + "\"",
                             "legs that lead to \"engine\" and away from \"engine-return\"",
                             "Turn the leg round: its parts stand in the order of the flow"));
    }
    ++uses[leg.from];
    ++uses[leg.to];
    for (const Part& part : leg.parts) {
      const std::string part_field = field + "." + part.id;
      if (!ids.insert(part.id).second) {
        faults.push_back(fault(part.origin, part_field, "the id \"" + part.id + "\" twice", "ids that differ",
                               "Give one of them another id"));
      }
      if (part.pump && !part.pump->surplus_tank.empty() && sheet.find_tank(part.pump->surplus_tank) == nullptr) {
        faults.push_back(fault(part.origin, part_field + ".surplus_tank", "\"" + part.pump->surplus_tank + "\"",
                               "the id of a tank of the sheet", "Check the spelling"));
      }
      const std::string_view block = missing_block(part);
      if (!block.empty() && !part.bypassed) {
        faults.push_back(fault(part.origin, part_field, fmt::format("a {} without {}", name(part.kind), block),
                               fmt::format("{} with its unit, or \"?\"", block), "Measure it or write \"?\""));
      }
      if (part.line && part.line->joints > 0 && !part.line->joint_bore_m.given()) {
        faults.push_back(fault(part.origin, part_field + ".joint_bore", "joints without their bore",
                               "the through-bore of a joint", "Write joint_bore = \"6.3 mm\" or \"?\""));
      }
    }
  }
  for (const Junction& junction : sheet.junctions) {
    if (!junction.tee) continue;
    const std::string field = "junction." + junction.id;
    if (uses[junction.id] != 3) {
      faults.push_back(fault(junction.origin, field + ".tee", fmt::format("a tee of {} legs", uses[junction.id]),
                             "three legs that meet there", "Name each leg's end, or leave tee out"));
    }
    const Leg* branch = sheet.find_leg(junction.tee->branch);
    if (branch == nullptr || (branch->from != junction.id && branch->to != junction.id)) {
      faults.push_back(fault(junction.origin, field + ".branch", "the leg \"" + junction.tee->branch + "\"",
                             "the id of the leg that turns off at this junction", "Check the spelling"));
    }
  }
  for (const Leg& leg : sheet.legs) {
    for (const std::string& end : {leg.from, leg.to}) {
      const bool known = end == engine_end || end == engine_return_end || sheet.find_tank(end) != nullptr;
      if (!known && uses[end] == 1) {
        faults.push_back(fault(leg.origin, "leg." + leg.id, "the end \"" + end + "\"",
                               "a tank, \"engine\", \"engine-return\" or a junction that another leg names too",
                               "Check the spelling, or join a second leg there"));
      }
    }
  }

  if (!sheet.legs.empty() && faults.empty()) {
    // The engine must be reachable from a tank along the legs.
    std::set<std::string> reached;
    for (const Tank& tank : sheet.tanks) reached.insert(tank.id);
    bool grew = true;
    while (grew) {
      grew = false;
      for (const Leg& leg : sheet.legs) {
        if (reached.contains(leg.from) && reached.insert(leg.to).second) grew = true;
      }
    }
    if (!reached.contains(std::string(engine_end))) {
      faults.push_back(fault(whole, "leg", "no way from a tank to \"engine\"",
                             "legs that lead from a tank to the engine", "Let the last leg end at to = \"engine\""));
    }
  }
  if (!faults.empty()) return fail(Errors(std::move(faults)));
  return {};
}

}  // namespace fw::system
