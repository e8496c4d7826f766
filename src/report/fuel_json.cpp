// SPDX-License-Identifier: Apache-2.0
#include "report/fuel_json.hpp"

#include <cmath>

#include <nlohmann/json.hpp>

namespace fw::report {

std::string fuel_json(const fuel::Fuel& fuel, const fuel::Liquid& liquid, double temperature_K, fuel::Cold cold) {
  using Json = nlohmann::ordered_json;
  const auto number = [](double value) { return std::isfinite(value) ? Json(value) : Json(nullptr); };
  const char* state = cold == fuel::Cold::liquid              ? "liquid"
                      : cold == fuel::Cold::below_cloud_point ? "below cloud point"
                      : cold == fuel::Cold::below_cfpp        ? "below filter plugging point"
                                                              : "not stated";
  const Json json{{"schema", "fuelwright.fuel/1.0"},
                  {"id", fuel.id},
                  {"title", fuel.title},
                  {"source", fuel.source},
                  {"temperature_K", temperature_K},
                  {"density_kg_per_m3", number(liquid.density_kg_per_m3)},
                  {"dynamic_viscosity_Pa_s", number(liquid.dynamic_viscosity_Pa_s)},
                  {"kinematic_viscosity_m2_per_s", number(liquid.kinematic_viscosity_m2_per_s())},
                  {"vapour_pressure_Pa", number(liquid.vapour_pressure_Pa)},
                  {"air_solubility", number(liquid.air_solubility)},
                  {"cloud_point_K", number(fuel.cloud_point_K)},
                  {"cfpp_K", number(fuel.cfpp_K)},
                  {"cold_state", state},
                  {"extrapolated", liquid.range == Range::extrapolated}};
  return json.dump(2) + "\n";
}

}  // namespace fw::report
