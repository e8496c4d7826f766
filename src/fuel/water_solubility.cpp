// SPDX-License-Identifier: Apache-2.0
#include "fuel/water_solubility.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "fuel/mixture.hpp"

namespace fw::fuel {

namespace {

constexpr double mg_per_kg = 1e-6;

bool inside_data(double temperature_K) { return temperature_K >= 277.15 && temperature_K <= 308.15; }

double of_diesel(double temperature_K) {
  if (inside_data(temperature_K)) return mg_per_kg * (40.0 + 2.4 * (temperature_K - 277.15));
  return mg_per_kg * 117.0 * std::exp(2957.0 * (1.0 / 308.15 - 1.0 / temperature_K));
}

double of_ester(double temperature_K) { return mg_per_kg * (1000.0 + 22.2 * (temperature_K - 277.15)); }

}  // namespace

Result<Property> water_solubility(const Fuel& fuel, double temperature_K) {
  if (const auto ok = check_fuel(fuel); !ok) return fail(ok.error());
  if (fuel.family == Family::constant) {
    return outside("fuel", "a fluid of constant density and viscosity", "a grade or a blend",
                   "Choose a grade for water solubility");
  }
  if (const auto ok = check_temperature(temperature_K); !ok) return fail(ok.error());
  double sum = 0.0;
  double ester = 0.0;
  double stand_in = 0.0;
  for_each_part(fuel, [&](const Fuel& part, double x) {
    sum += x * (part.family == Family::fame ? of_ester(temperature_K) : of_diesel(temperature_K));
    if (part.family == Family::fame) ester += x;
    // 820 kg/m3 is the least density of EN 590; below it a petroleum fuel is no No. 2 diesel.
    const bool diesel = part.family == Family::petroleum && part.density_15C_kg_per_m3 >= 820.0;
    if (!diesel && part.family != Family::fame) stand_in += x;
  });
  if (ester > 0.0 && of_ester(temperature_K) <= 0.0) {
    return outside("temperature_K", fmt::format("{:.1f} C", temperature_K - 273.15),
                   "above -41 C for the water solubility of methyl ester", "No correlation here covers it");
  }
  Doubts doubts;
  doubts.add_if(!inside_data(temperature_K), Doubt::water_temperature);
  doubts.add_if(stand_in > minor_share, Doubt::water_stand_in);
  return Property{
      .value = sum, .range = doubts.range(), .doubts = doubts, .relative_uncertainty = ester > 0.5 ? 0.25 : 0.50};
}

Result<Property> free_water(const Fuel& fuel, double total_water, double temperature_K) {
  if (const auto ok = require_non_negative(total_water, "total_water"); !ok) return fail(ok.error());
  auto held = water_solubility(fuel, temperature_K);
  if (!held) return held;
  held->value = std::max(0.0, total_water - held->value);
  held->relative_uncertainty = 0.0;
  return held;
}

}  // namespace fw::fuel
