// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "hydraulics/demand.hpp"
#include "hydraulics/wire.hpp"

namespace fw::system {

using hydraulics::EnginePoint;

[[nodiscard]] std::string_view name(EnginePoint point);
[[nodiscard]] std::optional<EnginePoint> engine_point_named(std::string_view text);

/// One operating state of the whole system.
struct RunningPoint {
  EnginePoint engine = EnginePoint::rated;
  double fuel_temperature_K = 293.15;
  double voltage_V = 13.8;      ///< at the battery
  double tank_level = 0.5;      ///< share of the tank's inside height that is wet, 0 to 1
  double filter_loading = 0.0;  ///< of every medium with a terminal drop, 0 clean to 1 end of life
  double altitude_m = 0.0;
  double slope = 0.0;  ///< rise over run of the vehicle, nose up positive: lifts what stands forward

  friend bool operator==(const RunningPoint&, const RunningPoint&) = default;
};

/// "rated power, -10 C, filters at end of life" in the words of screens and papers; only what differs from the
/// plain state (13.8 V, half tank, sea level) is said.
[[nodiscard]] std::string describe(const RunningPoint& point);

/// Voltage of a 12 V system at an engine point: cranking, regulated with the engine running, 12.4 V (12.2 to 12.7,
/// typical) with the key on and the engine at rest. Errors: those of hydraulics/wire.hpp.
[[nodiscard]] Result<hydraulics::SystemVoltage> system_voltage(EnginePoint engine, double temperature_K);

}  // namespace fw::system
