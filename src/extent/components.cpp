// SPDX-License-Identifier: Apache-2.0
#include "extent/components.hpp"

#include <algorithm>
#include <string>

#include <fmt/format.h>

namespace fw::extent {
namespace {

using debris::Place;

constexpr HoursByShape same(double low, double high) {
  return {Hours{low, high}, Hours{low, high}, Hours{low, high}, Hours{low, high}};
}
// Operations of the labour table: inline four, inline six, vee eight, machine.
constexpr HoursByShape drain{{{0.5, 0.9}, {0.5, 1.0}, {0.5, 1.0}, {0.4, 0.8}}};
constexpr HoursByShape tank_down{{{1.2, 2.5}, {1.2, 2.5}, {1.5, 3.0}, {0.6, 2.0}}};
constexpr HoursByShape tank_wash{{{1.0, 2.0}, {1.0, 2.0}, {1.0, 2.2}, {0.8, 2.0}}};
constexpr HoursByShape sender{{{0.3, 0.7}, {0.3, 0.6}, {0.3, 0.7}, {0.2, 0.5}}};
constexpr HoursByShape sump{{{1.0, 2.0}, {1.0, 2.0}, {1.0, 2.5}, {0.8, 2.0}}};
constexpr HoursByShape cap{{{0.2, 0.5}, {0.2, 0.4}, {0.2, 0.5}, {0.1, 0.3}}};
constexpr HoursByShape hose{{{0.2, 0.4}, {0.2, 0.4}, {0.2, 0.5}, {0.1, 0.3}}};
// Both lines flushed take 1 to 1.8 h: a third for each of suction, pressure and return (assumed).
constexpr HoursByShape flush{{{0.33, 0.6}, {0.33, 0.6}, {0.4, 0.73}, {0.2, 0.4}}};
constexpr HoursByShape cooler{{{0.5, 1.2}, {0.5, 1.0}, {0.6, 1.5}, {0.4, 1.0}}};
constexpr HoursByShape sensor{{{0.3, 0.6}, {0.3, 0.5}, {0.3, 0.7}, {0.2, 0.4}}};
constexpr HoursByShape chassis{{{0.6, 1.2}, {0.6, 1.2}, {0.8, 1.5}, {0.5, 1.0}}};
constexpr HoursByShape filter_head{{{0.3, 0.8}, {0.3, 0.6}, {0.4, 1.0}, {0.3, 0.5}}};
constexpr HoursByShape pump{{{3.0, 5.5}, {2.5, 4.5}, {5.0, 9.0}, {2.0, 4.0}}};
constexpr HoursByShape rail{{{0.8, 1.5}, {0.8, 1.5}, {1.5, 3.0}, {0.6, 1.2}}};
constexpr HoursByShape pipes{{{0.5, 1.0}, {0.6, 1.2}, {1.0, 1.8}, {0.5, 1.0}}};
constexpr HoursByShape injectors{{{1.5, 4.0}, {2.5, 5.0}, {4.0, 8.0}, {1.5, 4.0}}};
constexpr HoursByShape leak_off{{{0.3, 0.7}, {0.4, 0.9}, {0.5, 1.2}, {0.3, 0.6}}};
constexpr HoursByShape oil{{{0.5, 0.8}, {0.6, 1.0}, {0.6, 1.0}, {0.5, 1.0}}};
constexpr HoursByShape nothing = same(0.0, 0.0);

constexpr auto yes = Cleanable::yes;
constexpr auto partly = Cleanable::partly;
constexpr auto no = Cleanable::no;

constexpr std::array<Component, 24> table{{
    {"tank",
     "tank",
     3,
     yes,
     Access::tank_down,
     {Place::tank},
     1,
     sender,
     tank_wash,
     "drop, drain, wash, wipe, borescope and white cloth; replace if lined, rusted or baffled blind",
     "access seal"},
    {"filler-cap-vent",
     "cap, filler, vent and rollover valve",
     1,
     yes,
     Access::none,
     {},
     0,
     cap,
     cap,
     "clean, function check",
     "O-ring"},
    {"pickup-screen",
     "pickup, sender and screen",
     3,
     partly,
     Access::tank_down,
     {Place::pickup_screen},
     1,
     sender,
     sender,
     "replace screen and sender; clean if all metal",
     "seal, lock ring, strainer"},
    {"sump",
     "sump or welded pickup",
     2,
     yes,
     Access::tank_down,
     {},
     0,
     sump,
     sump,
     "clean, leak test, clearance check",
     "gasket, bolts, sealant"},
    {"suction-line",
     "suction line",
     1,
     partly,
     Access::none,
     {Place::suction_line},
     1,
     hose,
     flush,
     "flush; replace hose",
     "clamps"},
    {"primary-filter",
     "chassis separator or primary filter",
     3,
     partly,
     Access::none,
     {Place::primary_filter},
     1,
     filter_head,
     filter_head,
     "replace element, clean housing",
     "element, seal"},
    {"assist-pump",
     "assist or chassis pump",
     2,
     no,
     Access::none,
     {Place::assist_pump},
     1,
     chassis,
     nothing,
     "replace if downstream of tank debris; open to inspect",
     "quick-connector retainers"},
    {"pressure-line",
     "pressure line of the supply",
     1,
     partly,
     Access::none,
     {Place::pressure_line},
     1,
     hose,
     flush,
     "flush both ways; replace if rubber",
     "quick-connector O-rings"},
    {"engine-filter",
     "engine filter housing and element",
     2,
     yes,
     Access::none,
     {Place::final_filter, Place::final_clean_side},
     2,
     filter_head,
     filter_head,
     "wash, lint-free wipe, new element and seal; the clean side is the critical one",
     "element, O-ring, drain seal"},
    {"cooler", "fuel cooler", 3, no, Access::none, {Place::cooler}, 1, cooler, nothing, "replace", "O-rings, clamps"},
    {"thermal-valve",
     "fuel heater and recirculation valve",
     2,
     no,
     Access::none,
     {},
     0,
     sensor,
     nothing,
     "replace",
     "O-rings"},
    {"temperature-sensor",
     "fuel temperature sensor and tees",
     1,
     yes,
     Access::none,
     {},
     0,
     sensor,
     sensor,
     "clean, inspect",
     "O-rings, washers"},
    {"high-pressure-pump",
     "high-pressure pump",
     3,
     no,
     Access::pump_off,
     {Place::pump_housing, Place::plungers},
     2,
     nothing,
     nothing,
     "replace (new or remanufactured)",
     "drive nut, gasket, seals, washers"},
    {"pump-inlet-screen",
     "inlet screen of the pump",
     2,
     yes,
     Access::none,
     {Place::pump_inlet_screen},
     1,
     hose,
     hose,
     "replace with the pump",
     "seal"},
    {"metering-valve",
     "metering valve",
     3,
     no,
     Access::pump_off,
     {Place::metering_valve},
     1,
     nothing,
     nothing,
     "replace with the pump",
     "O-ring"},
    {"transfer-pump",
     "transfer pump of the high-pressure pump",
     2,
     no,
     Access::pump_off,
     {},
     0,
     nothing,
     nothing,
     "with the pump",
     "seals"},
    {"pipes",
     "high-pressure pipes",
     2,
     no,
     Access::pipes_off,
     {Place::pipes},
     1,
     nothing,
     nothing,
     "replace: cones deform",
     "all pipes"},
    {"rail",
     "rail",
     3,
     partly,
     Access::pipes_off,
     {Place::rail},
     1,
     rail,
     rail,
     "replace in a full scope; some clean, borescope and patch",
     "washers"},
    {"relief-valve",
     "relief or pressure limiting valve",
     3,
     no,
     Access::pipes_off,
     {},
     0,
     nothing,
     nothing,
     "replace",
     "washer"},
    {"rail-sensor",
     "rail pressure sensor",
     1,
     partly,
     Access::pipes_off,
     {},
     0,
     nothing,
     nothing,
     "replace if the rail is replaced or its bore fouled",
     "washer"},
    {"injectors",
     "injectors with edge filters",
     3,
     no,
     Access::pipes_off,
     {Place::injectors},
     1,
     injectors,
     nothing,
     "replace as a set, or bench test and strip by an accredited bench",
     "washers, O-rings, hold-down bolts"},
    {"leak-off",
     "return manifold, leak-off lines and retention valve",
     3,
     no,
     Access::none,
     {Place::leak_off},
     1,
     leak_off,
     nothing,
     "replace complete, do not dismantle",
     "lines, clips, O-rings"},
    {"return-line",
     "return hose and hard line",
     3,
     partly,
     Access::none,
     {Place::return_line},
     1,
     hose,
     flush,
     "replace rubber, flush steel and prove with a filter patch",
     "clamps"},
    {"oil", "engine oil and filter", 1, yes, Access::none, {}, 0, oil, oil, "change if fuel-diluted", "filter, seal"},
}};

constexpr std::array<std::string_view, shape_count> shapes{"inline-four", "inline-six", "vee-eight", "machine"};
constexpr std::array<std::string_view, access_count> accesses{"none", "drained", "tank-down", "pump-off", "pipes-off"};

}  // namespace

std::string_view id(EngineShape shape) { return shapes[static_cast<std::size_t>(shape)]; }
std::optional<EngineShape> shape_of_id(std::string_view text) {
  const auto* const found = std::ranges::find(shapes, text);
  if (found == shapes.end()) return std::nullopt;
  return static_cast<EngineShape>(found - shapes.begin());
}

std::string_view name(Action action) {
  switch (action) {
    case Action::keep: return "keep";
    case Action::clean_and_verify: return "clean and verify";
    case Action::replace: break;
  }
  return "replace";
}

std::string_view id(Access access) { return accesses[static_cast<std::size_t>(access)]; }
std::optional<Access> access_of_id(std::string_view text) {
  const auto* const found = std::ranges::find(accesses, text);
  if (found == accesses.end()) return std::nullopt;
  return static_cast<Access>(found - accesses.begin());
}
Access parent(Access access) { return access == Access::tank_down ? Access::drained : Access::none; }

HoursByShape hours(Access access) {
  switch (access) {
    case Access::drained: return drain;
    case Access::tank_down: return tank_down;
    case Access::pump_off: return pump;
    case Access::pipes_off: return pipes;
    case Access::none: break;
  }
  return nothing;
}

std::span<const Component> components() { return table; }

Result<std::size_t> component_index(std::string_view id) {
  const auto* const found = std::ranges::find(table, id, &Component::id);
  if (found != table.end()) return static_cast<std::size_t>(found - table.begin());
  std::string all;
  for (const Component& component : table) all += fmt::format("{}{}", all.empty() ? "" : ", ", component.id);
  return fail({.code = ErrorCode::not_found,
               .where = {.field = "component"},
               .found = fmt::format("\"{}\"", id),
               .expected = fmt::format("one of {}", all)});
}

bool allowed(const Component& component, Action action) {
  return action != Action::clean_and_verify || component.cleanable != Cleanable::no;
}

}  // namespace fw::extent
