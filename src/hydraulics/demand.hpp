// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>

#include "base/required.hpp"
#include "base/result.hpp"

/// What a common-rail engine takes from its low-pressure supply, and what it gives back.
namespace fw::hydraulics {

/// Facts that make the demand. Speeds are revolutions of the crank per second.
struct EngineFacts {
  double displacement_m3 = required;
  double rated_power_W = required;
  double rated_speed_per_s = required;
  double idle_speed_per_s = required;
  double crank_speed_per_s = 200.0 / 60.0;  ///< typical, 180 to 250 rpm
  /// Power at the torque peak and its speed; not given: this point is refused. Fixed-speed engines have none.
  std::optional<double> torque_peak_power_W;
  std::optional<double> torque_peak_speed_per_s;
  double rated_consumption_kg_per_J = 225.0e-3 / 3.6e6;        ///< 225 g/kWh, from memory
  double torque_peak_consumption_kg_per_J = 205.0e-3 / 3.6e6;  ///< 205 g/kWh, from memory
  double leakoff_share = 0.20;                                 ///< of Q_inj (0.10 to 0.35, assumed)
  double housing_flow_m3_per_s = 90.0e-3 / 3600.0;             ///< at rated speed, 90 L/h (40 to 120, typical)
};

enum class EnginePoint : std::uint8_t {
  stopped,  ///< key on, engine at rest: nothing is taken
  crank,    ///< nothing injected; housing flow at crank speed (assumed)
  idle,     ///< no load at idle speed
  raised,   ///< no load at raised_speed_per_s
  cruise,   ///< 30 % of rated power at the torque-peak consumption and speed (rated speed if none)
  torque_peak,
  rated,
};

/// Speed of the point `raised`: 2,000 rpm, where a workshop holds an engine for a reading (common practice, no source);
/// rated speed if that is lower. Precondition: a finite speed.
[[nodiscard]] double raised_speed_per_s(double rated_speed_per_s);

struct EngineDemand {
  double injected_m3_per_s = 0.0;
  double leakoff_m3_per_s = 0.0;
  double housing_m3_per_s = 0.0;
  double speed_per_s = 0.0;  ///< crank speed of the point
  [[nodiscard]] double inlet_m3_per_s() const { return injected_m3_per_s + leakoff_m3_per_s + housing_m3_per_s; }
  [[nodiscard]] double return_m3_per_s() const { return leakoff_m3_per_s + housing_m3_per_s; }
};

/// Flow taken at the high-pressure pump's inlet, Q_in = Q_inj + Q_leakoff + Q_housing; returned Q_in - Q_inj.
///
///   Q_inj = power x consumption/density           (rated, torque peak, cruise)
///   Q_inj = 0.5 L/h per litre of displacement x n/n_idle   (no load, from memory)
///   Q_leakoff = share x Q_inj                     Q_housing = housing flow x n/n_rated  (assumed)
///
/// Volumes are those of the fuel at the pump's inlet. Validity: mechanically driven common-rail pump without inlet
/// starvation; the no-load rule lies above measured idle burns of small engines (0.64 L/h for a 2.0 litre car).
/// Errors: invalid_input naming `engine...` or `density_kg_per_m3`; not_found `engine.torque_peak_power_W` when that
/// point is asked for and not given; idle speed above rated speed.
/// Source: consumption and no-load rule from memory; shares assumed.
/// Check: 230 kW, 817 kg/m3: 63.34 + 12.67 + 90 = 166.01 L/h; nine archetypes in tests/published/hydraulics.
[[nodiscard]] Result<EngineDemand> engine_demand(const EngineFacts& engine, EnginePoint point,
                                                 double density_kg_per_m3);

/// Demand without load at any crank speed [1/s], by the no-load rule. Errors as above, `speed_per_s` negative.
[[nodiscard]] Result<EngineDemand> no_load_demand(const EngineFacts& engine, double speed_per_s);

/// Demand at a stated power, consumption and speed, for a point between the named ones or a raised rating.
struct LoadPoint {
  double power_W = required;
  double consumption_kg_per_J = required;
  double speed_per_s = required;
};
[[nodiscard]] Result<EngineDemand> load_demand(const EngineFacts& engine, const LoadPoint& load,
                                               double density_kg_per_m3);

}  // namespace fw::hydraulics
