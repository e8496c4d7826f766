// SPDX-License-Identifier: Apache-2.0
#include "report/fuel_json.hpp"

#include <nlohmann/json.hpp>

namespace fw::report {

namespace {

using Json = nlohmann::ordered_json;
using fuel::FuelQuantity;
using fuel::StateQuantity;

const char* key(StateQuantity quantity) {
  switch (quantity) {
    case StateQuantity::density: return "density_kg_per_m3";
    case StateQuantity::kinematic_viscosity: return "kinematic_viscosity_m2_per_s";
    case StateQuantity::dynamic_viscosity: return "dynamic_viscosity_Pa_s";
    case StateQuantity::isothermal_modulus: return "isothermal_modulus_Pa";
    case StateQuantity::isentropic_modulus: return "isentropic_modulus_Pa";
    case StateQuantity::sound_speed: return "sound_speed_m_per_s";
    case StateQuantity::expansion: return "expansion_per_K";
    case StateQuantity::heat_capacity: return "heat_capacity_J_per_kg_K";
    case StateQuantity::thermal_conductivity: return "thermal_conductivity_W_per_m_K";
    case StateQuantity::vapour_pressure: return "vapour_pressure_Pa";
    case StateQuantity::dissolved_air: return "dissolved_air";
    case StateQuantity::air_solubility: return "air_solubility";
    case StateQuantity::water_solubility: return "water_solubility";
    case StateQuantity::surface_tension: return "surface_tension_N_per_m";
  }
  return "";
}

const char* key(FuelQuantity quantity) {
  switch (quantity) {
    case FuelQuantity::density_15: return "density_15C_kg_per_m3";
    case FuelQuantity::kinematic_viscosity_40: return "kinematic_viscosity_40C_m2_per_s";
    case FuelQuantity::heating_value: return "lower_heating_value_J_per_kg";
    case FuelQuantity::cloud_point: return "cloud_point_K";
    case FuelQuantity::cfpp: return "cfpp_K";
    case FuelQuantity::flash_point: return "flash_point_K";
    case FuelQuantity::cetane_number: return "cetane_number";
  }
  return "";
}

const char* word(fuel::Cold cold) {
  switch (cold) {
    case fuel::Cold::liquid: return "liquid";
    case fuel::Cold::below_cloud_point: return "below cloud point";
    case fuel::Cold::below_cfpp: return "below filter plugging point";
    case fuel::Cold::not_stated: return "not stated";
  }
  return "";
}

Json number(const Result<fuel::Property>& value) {
  if (!value) {
    const Error& error = value.error().front();
    return Json{{"value", nullptr},
                {"range", error.code == ErrorCode::not_found ? "not known" : "refused"},
                {"why", error.found + "; expected " + error.expected}};
  }
  Json json{{"value", value->value},
            {"range", value->range == Range::extrapolated ? "extrapolated" : "fitted"},
            {"why", value->reason()}};
  if (value->relative_uncertainty > 0.0) json["relative_uncertainty"] = value->relative_uncertainty;
  return json;
}

template <class Quantity>  // the two enumerations of quantities
Json numbers(const std::vector<Result<fuel::Property>>& values) {
  Json json = Json::object();
  for (std::size_t i = 0; i < values.size(); ++i) json[key(static_cast<Quantity>(i))] = number(values[i]);
  return json;
}

}  // namespace

std::string fuel_json(const fuel::PropertySheet& sheet) {
  Json parts = Json::array();
  for (const fuel::Share& share : sheet.fuel.shares) {
    parts.push_back(Json{{"id", share.fuel.id},
                         {"title", share.fuel.title},
                         {"volume_fraction", share.volume_fraction},
                         {"source", share.fuel.source}});
  }
  Json states = Json::array();
  for (const fuel::StateSheet& at : sheet.states) {
    states.push_back(Json{{"temperature_K", at.state.temperature_K},
                          {"pressure_Pa", at.state.pressure_Pa},
                          {"cold_state", word(at.cold)},
                          {"properties", numbers<StateQuantity>(at.values)}});
  }
  const Json json{{"schema", "fuelwright.fuel/2.0"}, {"id", sheet.fuel.id},
                  {"title", sheet.fuel.title},       {"source", sheet.fuel.source},
                  {"parts", std::move(parts)},       {"properties", numbers<FuelQuantity>(sheet.values)},
                  {"states", std::move(states)}};
  return json.dump(2) + "\n";
}

}  // namespace fw::report
