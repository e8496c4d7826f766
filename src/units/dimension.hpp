// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string_view>

namespace fw::units {

/// What a field holds. The field decides whether a pressure text is a gauge reading, an absolute pressure or a drop,
/// and whether a temperature text is a point or a difference.
enum class Dimension : std::uint8_t {
  gauge_pressure,           ///< Pa over ambient; "8 inHg vac" is negative
  absolute_pressure,        ///< Pa absolute; the text says "abs"
  pressure_drop,            ///< Pa, a difference of two pressures, zero or more
  volume_flow,              ///< m3/s
  length,                   ///< m
  bore,                     ///< m, a length above zero with the tighter default spread of bores
  height,                   ///< m, a position: may be negative
  distance,                 ///< m, on the road
  temperature,              ///< K, a point
  temperature_difference,   ///< K
  volume,                   ///< m3
  displacement,             ///< m3 per revolution
  dynamic_viscosity,        ///< Pa s
  kinematic_viscosity,      ///< m2/s
  power,                    ///< W
  mass,                     ///< kg
  density,                  ///< kg/m3
  time,                     ///< s
  voltage,                  ///< V
  current,                  ///< A
  resistance,               ///< Ohm
  rotational_speed,         ///< revolutions per second (1/s), not rad/s
  velocity,                 ///< m/s
  specific_consumption,     ///< kg/J
  torque,                   ///< N m
  motor_constant,           ///< V s (per radian), equal to N m/A
  area,                     ///< m2
  modulus,                  ///< Pa, a stiffness: bulk modulus, modulus of elasticity
  compressibility,          ///< 1/Pa
  angle,                    ///< rad; a slope in per cent is a ratio
  energy,                   ///< J
  mass_flow,                ///< kg/s
  concentration_mass,       ///< kg/kg
  concentration_volume,     ///< kg/m3
  conductance_thermal,      ///< W/K
  heat_transfer,            ///< W/(m2 K)
  thermal_conductivity,     ///< W/(m K)
  specific_heat,            ///< J/(kg K)
  surface_tension,          ///< N/m
  linear_resistance,        ///< Pa s/m3: drop per flow, slope of a regulator
  quadratic_resistance,     ///< Pa s2/m6: drop per flow squared
  viscous_coefficient,      ///< 1/m3: a of drop = a mu Q
  inertial_coefficient,     ///< 1/m4: b of drop = b rho Q^2
  force,                    ///< N
  spring_rate,              ///< N/m
  pressure_rate,            ///< Pa/s: decay in a leak test; may be negative
  temperature_coefficient,  ///< 1/K; may be negative
  resistance_per_length,    ///< Ohm/m
  mass_per_length,          ///< kg/m
  volume_per_length,        ///< m3/m
  volume_per_energy,        ///< m3/J
  ratio,                    ///< pure number; "0.2", "20 %", "8 in 100", "1/3"
};

/// How many dimensions there are; `ratio` stands last.
inline constexpr int dimension_count = static_cast<int>(Dimension::ratio) + 1;

/// Name of a dimension for messages, with its article: "a flow".
[[nodiscard]] std::string_view name(Dimension dimension);
/// A legal text of this dimension, for hints: "120 L/h".
[[nodiscard]] std::string_view example(Dimension dimension);

}  // namespace fw::units
