// SPDX-License-Identifier: Apache-2.0
#include "report/input_words.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

namespace fw::report {

namespace {

using units::Dimension;

struct Field {
  std::string_view key;
  std::string_view words;
  Dimension dimension;
};

// The fields of a line sheet (docs/reference/line-sheet.md) in the order of that page.
constexpr std::array<Field, 67> fields{{
    {"volume", "volume", Dimension::volume},
    {"height", "inside height", Dimension::length},
    {"floor_height", "height of its floor", Dimension::height},
    {"pickup_height", "height of the pickup", Dimension::length},
    {"ullage", "air over the fuel", Dimension::volume},
    {"burned", "fuel burned since the vent blocked", Dimension::volume},
    {"displacement", "displacement", Dimension::displacement},
    {"rated_power", "rated power", Dimension::power},
    {"rated_speed", "rated speed", Dimension::rotational_speed},
    {"torque_peak_power", "power at torque peak", Dimension::power},
    {"torque_peak_speed", "speed at torque peak", Dimension::rotational_speed},
    {"idle_speed", "idle speed", Dimension::rotational_speed},
    {"crank_speed", "cranking speed", Dimension::rotational_speed},
    {"rated-consumption", "consumption at rated power", Dimension::specific_consumption},
    {"torque-peak-consumption", "consumption at torque peak", Dimension::specific_consumption},
    {"rated_consumption", "consumption at rated power", Dimension::specific_consumption},
    {"torque_peak_consumption", "consumption at torque peak", Dimension::specific_consumption},
    {"leakoff-share", "leak-off, share of injected flow", Dimension::ratio},
    {"leakoff_share", "leak-off, share of injected flow", Dimension::ratio},
    {"housing-flow", "housing flow of the high-pressure pump", Dimension::volume_flow},
    {"housing_flow", "housing flow of the high-pressure pump", Dimension::volume_flow},
    {"inlet_height", "height of the pump inlet", Dimension::height},
    {"fitting-loss", "fitting losses, factor", Dimension::ratio},
    {"fuel-density", "fuel density, factor", Dimension::ratio},
    {"fuel-viscosity", "fuel viscosity, factor", Dimension::ratio},
    {"gas-release", "share of gas released", Dimension::ratio},
    {"roughness-tube", "roughness of tubes", Dimension::length},
    {"roughness-hose", "roughness of hoses", Dimension::length},
    {"roughness", "roughness", Dimension::length},
    {"end_height", "height of its outlet", Dimension::height},
    {"bore", "bore", Dimension::bore},
    {"joint_bore", "bore of its joints", Dimension::bore},
    {"line_bore", "bore of the line", Dimension::bore},
    {"diameter", "diameter", Dimension::bore},
    {"length", "length", Dimension::length},
    {"clean_drop", "clean drop", Dimension::pressure_drop},
    {"terminal_drop", "drop at end of life", Dimension::pressure_drop},
    {"at_flow", "flow at which the drop is stated", Dimension::volume_flow},
    {"quadratic_share", "quadratic share of the drop", Dimension::ratio},
    {"rated_flow", "rated flow", Dimension::volume_flow},
    {"rating", "rating", Dimension::length},
    {"bowl", "water the bowl holds", Dimension::volume},
    {"sensor_at", "water at which the sensor is reached", Dimension::volume},
    {"bypass_crack", "bypass opens at", Dimension::pressure_drop},
    {"set", "set pressure", Dimension::gauge_pressure},
    {"crack", "opening pressure", Dimension::pressure_drop},
    {"drop", "drop when open", Dimension::pressure_drop},
    {"free_flow", "free flow", Dimension::volume_flow},
    {"turbine_free_flow", "free flow", Dimension::volume_flow},
    {"flow_at_rise", "flow at the stated rise", Dimension::volume_flow},
    {"at_rise", "stated rise", Dimension::pressure_drop},
    {"dead_head", "dead head", Dimension::pressure_drop},
    {"stopped_crack", "opens when stopped at", Dimension::pressure_drop},
    {"stopped_drop", "drop when stopped", Dimension::pressure_drop},
    {"current", "current", Dimension::current},
    {"wire", "section of the wire", Dimension::area},
    {"wire_length", "length of the wire, out and back", Dimension::length},
    {"wire_temperature", "temperature of the wire", Dimension::temperature},
    {"contact_resistance", "resistance of each contact", Dimension::resistance},
    {"relay_resistance", "resistance of the relay", Dimension::resistance},
    {"harness_resistance", "resistance of the wire", Dimension::resistance},
    {"fuse", "rating of the fuse", Dimension::current},
    {"fuse_from_battery", "wire before the fuse", Dimension::length},
    {"vacuum_rating", "vacuum it bears", Dimension::pressure_drop},
    {"from_pickup", "distance from the pickup", Dimension::length},
    {"set_slope", "rise of the set with spilled flow", Dimension::linear_resistance},
    {"speed_ratio", "turns per crank turn", Dimension::ratio},
}};

const Field* field_of(std::string_view id) {
  const std::size_t dot = id.rfind('.');
  const std::string_view key = dot == std::string_view::npos ? id : id.substr(dot + 1);
  const auto* found = std::ranges::find(fields, key, &Field::key);
  return found == fields.end() ? nullptr : &*found;
}

std::string spaced(std::string_view id) {
  std::string words(id);
  for (char& c : words) {
    if (c == '.' || c == '-' || c == '_') c = ' ';
  }
  return words;
}

bool digit(char c) { return c >= '0' && c <= '9'; }

}  // namespace

std::optional<units::Dimension> dimension_of_input(std::string_view id) {
  const Field* field = field_of(id);
  if (field == nullptr) return std::nullopt;
  if (id == "engine.displacement") return Dimension::volume;  // a pump's is per revolution
  return field->dimension;
}

std::string input_words(std::string_view id, const system::LineSheet* sheet) {
  const Field* field = field_of(id);
  const std::size_t dot = id.rfind('.');
  std::string owner(dot == std::string_view::npos ? std::string_view() : id.substr(0, dot));
  const std::string what =
      field == nullptr ? spaced(dot == std::string_view::npos ? id : id.substr(dot + 1)) : std::string(field->words);
  if (owner == "law") return what;
  const bool of_vent = owner.ends_with(".vent");
  if (of_vent) owner.resize(owner.size() - 5);
  std::string title = spaced(owner);
  if (sheet != nullptr) {
    if (const system::Part* part = sheet->find_part(owner)) title = part->title;
    if (const system::Tank* tank = sheet->find_tank(owner)) title = tank->title;
  }
  if (title.empty()) return what;
  return with_minus(title) + (of_vent ? ": vent, " : ": ") + what;
}

std::string input_value(const Stated& input, units::System system) {
  if (input.unknown) return "?";
  if (!input.origin.as_typed.empty()) return input.origin.as_typed;
  return input_at(input, input.value, system);
}

std::string input_at(const Stated& input, double value, units::System system) {
  if (const auto dimension = dimension_of_input(input.id)) return units::print(value, *dimension, system);
  return value < input.value ? "low" : value > input.value ? "high" : "-";
}

std::string with_minus(std::string text) {
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const bool sign = text[i] == '-' && i + 1 < text.size() && digit(text[i + 1]) &&
                      (i == 0 || text[i - 1] == ' ' || text[i - 1] == '(');
    if (sign) {
      out += "\u2212";
    } else {
      out += text[i];
    }
  }
  return out;
}

}  // namespace fw::report
