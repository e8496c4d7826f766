// SPDX-License-Identifier: Apache-2.0
#include "water/forms.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "base/input_check.hpp"
#include "fuel/water_solubility.hpp"
#include "water/liquid_water.hpp"

namespace fw::water {

Result<Forms> forms(const fuel::Fuel& fuel, double total_water, double temperature_K) {
  if (const auto ok = require_non_negative(total_water, "total_water"); !ok) return fail(ok.error());
  const auto held = fuel::water_solubility(fuel, temperature_K);
  if (!held) return fail(held.error());
  const double dissolved = std::min(total_water, held->value);
  return Forms{
      .dissolved = dissolved, .undissolved = total_water - dissolved, .saturation = held->value, .range = held->range};
}

Result<double> dissolved_from_air(const fuel::Fuel& fuel, double humidity, double temperature_K) {
  InputCheck check;
  check.within(humidity, {.low = 0.0, .high = 1.0}, "humidity");
  if (check.failed()) return check.fault();
  const auto held = fuel::water_solubility(fuel, temperature_K);
  if (!held) return fail(held.error());
  return humidity * held->value;
}

Result<double> released_on_cooling_kg(const fuel::Fuel& fuel, double fuel_mass_kg, const Cooling& cooling) {
  InputCheck check;
  check.non_negative(fuel_mass_kg, "fuel_mass_kg")
      .positive(cooling.warm_K, "cooling.warm_K")
      .positive(cooling.cold_K, "cooling.cold_K");
  if (!check.failed()) {
    check.that(cooling.cold_K <= cooling.warm_K, "cooling.cold_K", fmt::format("{:.1f} C", cooling.cold_K - 273.15),
               fmt::format("at most {:.1f} C, where it starts", cooling.warm_K - 273.15));
  }
  if (check.failed()) return check.fault();
  const auto warm = fuel::water_solubility(fuel, cooling.warm_K);
  if (!warm) return fail(warm.error());
  const auto cold = fuel::water_solubility(fuel, cooling.cold_K);
  if (!cold) return fail(cold.error());
  return fuel_mass_kg * (warm->value - cold->value);
}

Result<double> of_volume_share(double share, double fuel_density_kg_per_m3) {
  InputCheck check;
  check.within(share, {.low = 0.0, .high = 1.0}, "share").positive(fuel_density_kg_per_m3, "fuel_density_kg_per_m3");
  if (check.failed()) return check.fault();
  return share * water_density_kg_per_m3 / fuel_density_kg_per_m3;
}

}  // namespace fw::water
