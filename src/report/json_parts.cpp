// SPDX-License-Identifier: Apache-2.0
#include "report/json_parts.hpp"

#include <cmath>

#include <nlohmann/json.hpp>

#include "units/quantity.hpp"

namespace fw::report {

Json number_json(double value) { return std::isfinite(value) ? Json(value) : Json(nullptr); }

Json number_json(const std::optional<double>& value) { return value ? number_json(*value) : Json(nullptr); }

Json point_json(const system::RunningPoint& point) {
  return {{"engine", std::string(system::name(point.engine))},
          {"fuel_temperature_K", point.fuel_temperature_K},
          {"voltage_V", point.voltage_V},
          {"tank_level", point.tank_level},
          {"filter_loading", point.filter_loading},
          {"altitude_m", point.altitude_m},
          {"words", system::describe(point)}};
}

std::string unit_in_key(units::Dimension dimension) {
  if (dimension == units::Dimension::ratio) return {};
  std::string unit;
  for (const char c : units::unit_name(dimension, units::System::si)) {
    unit += c == '/' ? "_per_" : c == ' ' ? "_" : std::string(1, c);
  }
  return unit;
}

std::string key_of(const char* what, units::Dimension dimension) {
  const std::string unit = unit_in_key(dimension);
  return unit.empty() ? what : std::string(what) + "_" + unit;
}

}  // namespace fw::report
