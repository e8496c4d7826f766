// SPDX-License-Identifier: Apache-2.0
#include "fuel/property_sheet.hpp"

#include <cmath>

#include "fuel/air.hpp"
#include "fuel/mixture.hpp"
#include "fuel/stiffness.hpp"
#include "fuel/thermal.hpp"
#include "fuel/water_solubility.hpp"

namespace fw::fuel {

namespace {

Result<Property> value_of(const Fuel& fuel, StateQuantity quantity, const FuelState& at) {
  const double T = at.temperature_K;
  const double p = at.pressure_Pa;
  switch (quantity) {
    case StateQuantity::density: return density_kg_per_m3(fuel, T, p);
    case StateQuantity::kinematic_viscosity: return kinematic_viscosity_m2_per_s(fuel, T, p);
    case StateQuantity::dynamic_viscosity: return dynamic_viscosity_Pa_s(fuel, T, p);
    case StateQuantity::isothermal_modulus: return isothermal_modulus_Pa(fuel, T, p);
    case StateQuantity::isentropic_modulus: return isentropic_modulus_Pa(fuel, T, p);
    case StateQuantity::sound_speed: return sound_speed_m_per_s(fuel, T, p);
    case StateQuantity::expansion: return expansion_per_K(fuel, T, p);
    case StateQuantity::heat_capacity: return heat_capacity_J_per_kg_K(fuel, T);
    case StateQuantity::thermal_conductivity: return thermal_conductivity_W_per_m_K(fuel, T);
    case StateQuantity::vapour_pressure: return vapour_pressure_Pa(fuel, T);
    case StateQuantity::dissolved_air: return dissolved_air(fuel, T, standard_pressure_Pa);
    case StateQuantity::air_solubility: return air_solubility(fuel, T);
    case StateQuantity::water_solubility: return water_solubility(fuel, T);
    case StateQuantity::surface_tension: return surface_tension_N_per_m(fuel, T);
  }
  return density_kg_per_m3(fuel, T, p);
}

Result<Property> stated(const Fuel& fuel, double value, const char* field, std::string_view what) {
  if (std::isfinite(value)) return Property{.value = value};
  return fail(Error{.code = ErrorCode::not_found,
                    .where = {.file = {}, .line = 0, .column = 0, .field = field},
                    .found = "no " + std::string(what) + " of " + fuel.title,
                    .expected = "a " + std::string(what),
                    .hint = "Take it from the fuel report"});
}

Result<Property> value_of(const Fuel& fuel, FuelQuantity quantity) {
  switch (quantity) {
    case FuelQuantity::density_15: return Property{.value = fuel.density_15C_kg_per_m3};
    case FuelQuantity::kinematic_viscosity_40: {
      // As stated: D341 gives it back to its own accuracy only.
      auto value = kinematic_viscosity_m2_per_s(fuel, 313.15);
      if (value) value->value = fuel.kinematic_viscosity_40C_m2_per_s;
      return value;
    }
    case FuelQuantity::heating_value: return lower_heating_value_J_per_kg(fuel);
    case FuelQuantity::cloud_point: return cloud_point_K(fuel);
    case FuelQuantity::cfpp: return cfpp_K(fuel);
    case FuelQuantity::flash_point: return stated(fuel, fuel.flash_point_K, "flash_point_K", "flash point");
    case FuelQuantity::cetane_number: return stated(fuel, fuel.cetane_number, "cetane_number", "cetane number");
  }
  return Property{.value = fuel.density_15C_kg_per_m3};
}

}  // namespace

std::string_view name(StateQuantity quantity) {
  switch (quantity) {
    case StateQuantity::density: return "density";
    case StateQuantity::kinematic_viscosity: return "kinematic viscosity";
    case StateQuantity::dynamic_viscosity: return "dynamic viscosity";
    case StateQuantity::isothermal_modulus: return "bulk modulus, isothermal";
    case StateQuantity::isentropic_modulus: return "bulk modulus, isentropic";
    case StateQuantity::sound_speed: return "sound speed";
    case StateQuantity::expansion: return "thermal expansion";
    case StateQuantity::heat_capacity: return "heat capacity";
    case StateQuantity::thermal_conductivity: return "thermal conductivity";
    case StateQuantity::vapour_pressure: return "vapour pressure";
    case StateQuantity::dissolved_air: return "dissolved air, gas at 0 C";
    case StateQuantity::air_solubility: return "dissolved air, gas as is";
    case StateQuantity::water_solubility: return "dissolved water";
    case StateQuantity::surface_tension: return "surface tension";
  }
  return "";
}

std::string_view name(FuelQuantity quantity) {
  switch (quantity) {
    case FuelQuantity::density_15: return "density at 15 C";
    case FuelQuantity::kinematic_viscosity_40: return "kinematic viscosity at 40 C";
    case FuelQuantity::heating_value: return "net heating value";
    case FuelQuantity::cloud_point: return "cloud point";
    case FuelQuantity::cfpp: return "filter plugging point, CFPP";
    case FuelQuantity::flash_point: return "flash point";
    case FuelQuantity::cetane_number: return "cetane number";
  }
  return "";
}

Result<PropertySheet> property_sheet(const Fuel& fuel, std::span<const FuelState> states) {
  if (const auto ok = check_fuel(fuel); !ok) return fail(ok.error());
  if (states.empty()) return invalid("states", "no state", "a temperature and a pressure", "Name a temperature");
  PropertySheet sheet{.fuel = fuel, .values = {}, .states = {}};
  for (std::size_t i = 0; i < fuel_quantities; ++i) {
    sheet.values.push_back(value_of(fuel, static_cast<FuelQuantity>(i)));
  }
  for (const FuelState& at : states) {
    if (const auto ok = check_temperature(at.temperature_K); !ok) return fail(ok.error());
    if (const auto ok = check_pressure(at.pressure_Pa); !ok) return fail(ok.error());
    StateSheet here{.state = at, .cold = cold_state(fuel, at.temperature_K), .values = {}};
    for (std::size_t i = 0; i < state_quantities; ++i) {
      here.values.push_back(value_of(fuel, static_cast<StateQuantity>(i), at));
    }
    sheet.states.push_back(std::move(here));
  }
  return sheet;
}

}  // namespace fw::fuel
