// SPDX-License-Identifier: Apache-2.0
#include "heat/exchange.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/input_check.hpp"

namespace fw::heat {

namespace {

void check_stream(InputCheck& check, const FuelStream& fuel) {
  check.positive(fuel.mass_kg_per_s, "fuel.mass_kg_per_s")
      .positive(fuel.heat_capacity_J_per_kg_K, "fuel.heat_capacity_J_per_kg_K");
}

void check_constant(InputCheck& check, const ConstantLiquid& liquid) {
  check.non_negative(liquid.expansion_per_K, "liquid.expansion_per_K")
      .positive(liquid.density_kg_per_m3, "liquid.density_kg_per_m3")
      .positive(liquid.heat_capacity_J_per_kg_K, "liquid.heat_capacity_J_per_kg_K");
}

}  // namespace

Result<double> line_end_K(const LineCooling& line, const FuelStream& fuel, double in_K, double air_K) {
  InputCheck check;
  check.non_negative(line.length_m, "line.length_m")
      .positive(line.outer_m, "line.outer_m")
      .non_negative(line.coefficient_W_per_m2_K, "line.coefficient_W_per_m2_K");
  check_stream(check, fuel);
  check.positive(in_K, "in_K").positive(air_K, "air_K");
  if (check.failed()) return check.fault();
  const double units = line.coefficient_W_per_m2_K * std::numbers::pi * line.outer_m * line.length_m /
                       (fuel.mass_kg_per_s * fuel.heat_capacity_J_per_kg_K);
  return air_K + (in_K - air_K) * std::exp(-std::min(units, 700.0));
}

Result<double> still_cylinder_nusselt(double rayleigh, double prandtl) {
  InputCheck check;
  check.within(rayleigh, {.low = 1e-6, .high = 1e12}, "rayleigh").positive(prandtl, "prandtl");
  if (check.failed()) return check.fault();
  const double root =
      0.60 + 0.387 * std::pow(rayleigh, 1.0 / 6.0) / std::pow(1.0 + std::pow(0.559 / prandtl, 9.0 / 16.0), 8.0 / 27.0);
  return root * root;
}

Result<double> wind_cylinder_nusselt(double reynolds, double prandtl) {
  InputCheck check;
  check.positive(reynolds, "reynolds").positive(prandtl, "prandtl");
  if (check.failed()) return check.fault();
  check.within(reynolds * prandtl, {.low = 0.2, .high = 1e8}, "reynolds");
  if (check.failed()) return check.fault();
  return 0.3 + 0.62 * std::sqrt(reynolds) * std::cbrt(prandtl) /
                   std::pow(1.0 + std::pow(0.4 / prandtl, 2.0 / 3.0), 0.25) *
                   std::pow(1.0 + std::pow(reynolds / 282000.0, 0.625), 0.8);
}

Result<double> cooler_W(const Cooler& cooler, const FuelStream& fuel, double in_K, double air_K) {
  InputCheck check;
  check.non_negative(cooler.conductance_W_per_K, "cooler.conductance_W_per_K")
      .non_negative(cooler.air_W_per_K, "cooler.air_W_per_K");
  check_stream(check, fuel);
  check.positive(in_K, "in_K").positive(air_K, "air_K");
  if (check.failed()) return check.fault();
  const double hot = fuel.mass_kg_per_s * fuel.heat_capacity_J_per_kg_K;
  if (cooler.air_W_per_K == 0.0) {
    return -std::expm1(-std::min(700.0, cooler.conductance_W_per_K / hot)) * hot * (in_K - air_K);
  }
  const double least = std::min(hot, cooler.air_W_per_K);
  const double ratio = least / std::max(hot, cooler.air_W_per_K);
  const double units = std::min(700.0, cooler.conductance_W_per_K / least);
  const double away = std::exp(-units * (1.0 - ratio));
  // The limit of equal capacities, where the formula is 0/0.
  const double effectiveness = 1.0 - ratio < 1e-9 ? units / (1.0 + units) : (1.0 - away) / (1.0 - ratio * away);
  return effectiveness * least * (in_K - air_K);
}

Result<double> throttling_rise_K(const ConstantLiquid& liquid, double temperature_K, double drop_Pa) {
  InputCheck check;
  check_constant(check, liquid);
  check.positive(temperature_K, "temperature_K").finite(drop_Pa, "drop_Pa");
  if (check.failed()) return check.fault();
  return (1.0 - liquid.expansion_per_K * temperature_K) * drop_Pa /
         (liquid.density_kg_per_m3 * liquid.heat_capacity_J_per_kg_K);
}

Result<double> compression_rise_K(const ConstantLiquid& liquid, double temperature_K, double rise_Pa) {
  InputCheck check;
  check_constant(check, liquid);
  check.positive(temperature_K, "temperature_K").finite(rise_Pa, "rise_Pa");
  if (check.failed()) return check.fault();
  return liquid.expansion_per_K * temperature_K * rise_Pa /
         (liquid.density_kg_per_m3 * liquid.heat_capacity_J_per_kg_K);
}

Result<double> path_rise_K(const ConstantLiquid& liquid, double rise_Pa, double efficiency) {
  InputCheck check;
  check_constant(check, liquid);
  check.finite(rise_Pa, "rise_Pa").positive(efficiency, "efficiency").within(efficiency, {0.0, 1.0}, "efficiency");
  if (check.failed()) return check.fault();
  return rise_Pa / (liquid.density_kg_per_m3 * liquid.heat_capacity_J_per_kg_K * efficiency);
}

}  // namespace fw::heat
