// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <span>
#include <string_view>
#include <vector>

#include "fuel/fuel.hpp"

/// Everything that this room knows of one fuel, at any number of temperatures and pressures.
namespace fw::fuel {

/// What changes with temperature or pressure. SI units as the functions that give them.
enum class StateQuantity : std::uint8_t {
  density,               ///< density_kg_per_m3
  kinematic_viscosity,   ///< kinematic_viscosity_m2_per_s
  dynamic_viscosity,     ///< dynamic_viscosity_Pa_s
  isothermal_modulus,    ///< isothermal_modulus_Pa
  isentropic_modulus,    ///< isentropic_modulus_Pa
  sound_speed,           ///< sound_speed_m_per_s
  expansion,             ///< expansion_per_K
  heat_capacity,         ///< heat_capacity_J_per_kg_K, at the atmosphere
  thermal_conductivity,  ///< thermal_conductivity_W_per_m_K, at the atmosphere
  vapour_pressure,       ///< vapour_pressure_Pa
  dissolved_air,         ///< dissolved_air [-], saturated at the atmosphere
  air_solubility,        ///< air_solubility [-]
  water_solubility,      ///< water_solubility [kg/kg]
  surface_tension,       ///< surface_tension_N_per_m
};
inline constexpr std::size_t state_quantities = static_cast<std::size_t>(StateQuantity::surface_tension) + 1;

/// What a fuel has once.
enum class FuelQuantity : std::uint8_t {
  density_15,              ///< kg/m3
  kinematic_viscosity_40,  ///< m2/s
  heating_value,           ///< lower_heating_value_J_per_kg
  cloud_point,             ///< cloud_point_K
  cfpp,                    ///< cfpp_K
  flash_point,             ///< K
  cetane_number,           ///< [-]
};
inline constexpr std::size_t fuel_quantities = static_cast<std::size_t>(FuelQuantity::cetane_number) + 1;

/// Names for tables, e.g. "bulk modulus, isentropic".
[[nodiscard]] std::string_view name(StateQuantity quantity);
[[nodiscard]] std::string_view name(FuelQuantity quantity);

struct FuelState {
  double temperature_K = required;
  double pressure_Pa = required;  ///< absolute
};

struct StateSheet {
  FuelState state;
  Cold cold = Cold::liquid;
  /// By StateQuantity: the number with its range, or why it is refused.
  std::vector<Result<Property>> values;
};

struct PropertySheet {
  Fuel fuel;
  /// By FuelQuantity: the number with its range, or why it is not known.
  std::vector<Result<Property>> values;
  std::vector<StateSheet> states;  ///< as asked, in order
};

/// Every property of a fuel at every state. What one law refuses does not hide the others: it stands in its place as
/// Errors. Same numbers as the single functions.
/// Errors: invalid_input and outside_model for a fuel, temperature or pressure that every law refuses; no state.
/// Check: d975_2d at 40 C, 101325 Pa -> density 827.207.
[[nodiscard]] Result<PropertySheet> property_sheet(const Fuel& fuel, std::span<const FuelState> states);

}  // namespace fw::fuel
