// SPDX-License-Identifier: Apache-2.0
#include "water/condensation.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "base/input_check.hpp"

namespace fw::water {

namespace {

constexpr double ambient_Pa = 101325.0;
constexpr double vapour_constant_J_per_kg_K = 461.5;
constexpr double air_constant_J_per_kg_K = 287.05;
constexpr double molar_ratio = 0.622;

double magnus_Pa(double temperature_K) {
  const double t = temperature_K - 273.15;
  return 611.2 * std::exp(17.62 * t / (243.12 + t));
}

}  // namespace

Result<double> saturation_pressure_Pa(double temperature_K) {
  InputCheck check;
  check.positive(temperature_K, "temperature_K");
  if (check.failed()) return check.fault();
  if (temperature_K < 228.15 || temperature_K > 333.15) {
    return outside("temperature_K", fmt::format("{:.1f} C", temperature_K - 273.15), "air of -45 to 60 C");
  }
  return magnus_Pa(temperature_K);
}

Result<double> vapour_density_kg_per_m3(const Air& air) {
  InputCheck check;
  check.within(air.humidity, {.low = 0.0, .high = 1.0}, "air.humidity");
  if (check.failed()) return check.fault();
  const auto full = saturation_pressure_Pa(air.temperature_K);
  if (!full) return fail(full.error().in_field("air"));
  return air.humidity * *full / (vapour_constant_J_per_kg_K * air.temperature_K);
}

Result<double> dew_point_K(const Air& air) {
  InputCheck check;
  check.within(air.humidity, {.low = 0.0, .high = 1.0}, "air.humidity");
  if (check.failed()) return check.fault();
  const auto full = saturation_pressure_Pa(air.temperature_K);
  if (!full) return fail(full.error().in_field("air"));
  if (air.humidity <= 0.0) return outside("air.humidity", "0", "more than 0: dry air has no dew point");
  const double x = std::log(air.humidity * *full / 611.2);
  return 273.15 + 243.12 * x / (17.62 - x);
}

Result<Condensate> condense(const UllageCooling& cooling) {
  InputCheck check;
  check.non_negative(cooling.ullage_m3, "cooling.ullage_m3").positive(cooling.cold_K, "cooling.cold_K");
  if (check.failed()) return check.fault();
  const auto warm = vapour_density_kg_per_m3(cooling.warm);
  if (!warm) return fail(warm.error().in_field("cooling"));
  const auto cold = saturation_pressure_Pa(cooling.cold_K);
  if (!cold) return fail(cold.error().in_field("cooling"));
  if (cooling.cold_K > cooling.warm.temperature_K) {
    return invalid("cooling.cold_K", fmt::format("{:.1f} C", cooling.cold_K - 273.15),
                   fmt::format("at most {:.1f} C, where it starts", cooling.warm.temperature_K - 273.15));
  }
  const double volume = cooling.ullage_m3;
  const double e_warm = cooling.warm.humidity * magnus_Pa(cooling.warm.temperature_K);
  const double e_cold = *cold;
  const double dry_warm = (ambient_Pa - e_warm) * volume / (air_constant_J_per_kg_K * cooling.warm.temperature_K);
  const double dry_cold = (ambient_Pa - e_cold) * volume / (air_constant_J_per_kg_K * cooling.cold_K);
  const double w_warm = molar_ratio * e_warm / (ambient_Pa - e_warm);
  const double w_cold = molar_ratio * e_cold / (ambient_Pa - e_cold);
  const double left = e_cold / (vapour_constant_J_per_kg_K * cooling.cold_K);
  return Condensate{.sealed_kg = std::max(0.0, volume * (*warm - left)),
                    .vented_kg = std::max(0.0, dry_warm * (w_warm - w_cold)),
                    .breathed_share = 1.0 - cooling.cold_K / cooling.warm.temperature_K,
                    .breathed_vapour_kg = std::max(0.0, dry_cold - dry_warm) * w_cold};
}

Result<double> drawn_in_with_burn_kg(double burned_m3, const Air& air) {
  if (const auto ok = require_non_negative(burned_m3, "burned_m3"); !ok) return fail(ok.error());
  const auto density = vapour_density_kg_per_m3(air);
  if (!density) return fail(density.error());
  return burned_m3 * *density;
}

Result<WaterOrigin> origin_of(double found_kg, double night_kg, std::optional<int> nights) {
  InputCheck check;
  check.non_negative(found_kg, "found_kg")
      .non_negative(night_kg, "night_kg")
      .that(!nights || *nights >= 0, "nights", fmt::format("{}", nights.value_or(0)), "0 or more");
  if (check.failed()) return check.fault();
  double can_kg = 10e-3;
  double must_kg = 30e-3;
  if (nights) {
    can_kg = std::max(can_kg, night_kg * *nights);
    must_kg = std::max(must_kg, 3.0 * night_kg * *nights);
  }
  if (found_kg <= can_kg) return WaterOrigin::condensation_can;
  return found_kg >= must_kg ? WaterOrigin::bulk_ingress : WaterOrigin::not_determined;
}

}  // namespace fw::water
