// SPDX-License-Identifier: Apache-2.0
#include "system/running_point.hpp"

#include <array>
#include <cmath>

#include <fmt/format.h>

namespace fw::system {

namespace {
constexpr std::array<std::string_view, 7> names{"key on", "crank",       "idle",       "no load",
                                                "cruise", "torque peak", "rated power"};
}

std::string_view name(EnginePoint point) { return names.at(static_cast<std::size_t>(point)); }

std::optional<EnginePoint> engine_point_named(std::string_view text) {
  for (std::size_t i = 0; i < names.size(); ++i) {
    if (names[i] == text) return static_cast<EnginePoint>(i);
  }
  return std::nullopt;
}

std::string describe(const RunningPoint& point) {
  std::string text = fmt::format("{}, fuel {:.0f} C", name(point.engine), point.fuel_temperature_K - 273.15);
  if (point.filter_loading >= 0.995) {
    text += ", filters at end of life";
  } else if (point.filter_loading > 0.005) {
    text += fmt::format(", filters {:.0f} % loaded", 100.0 * point.filter_loading);
  } else {
    text += ", clean filters";
  }
  if (std::abs(point.tank_level - 0.5) > 0.005) text += fmt::format(", tank {:.0f} % full", 100.0 * point.tank_level);
  if (std::abs(point.voltage_V - 13.8) > 0.005) text += fmt::format(", {:.1f} V", point.voltage_V);
  if (std::abs(point.altitude_m) > 0.5) text += fmt::format(", {:.0f} m up", point.altitude_m);
  if (std::abs(point.slope) > 0.0005) {
    text += fmt::format(", nose {} on a slope of {:.0f} %", point.slope > 0.0 ? "up" : "down",
                        100.0 * std::abs(point.slope));
  }
  return text;
}

Result<hydraulics::SystemVoltage> system_voltage(EnginePoint engine, double temperature_K) {
  if (engine == EnginePoint::crank) return hydraulics::cranking_voltage(temperature_K);
  if (engine == EnginePoint::stopped) {
    return hydraulics::SystemVoltage{.nominal_V = 12.4, .low_V = 12.2, .high_V = 12.7};
  }
  return hydraulics::regulated_voltage(temperature_K);
}

}  // namespace fw::system
