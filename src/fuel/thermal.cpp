// SPDX-License-Identifier: Apache-2.0
#include "fuel/thermal.hpp"

#include <cmath>
#include <optional>

#include <fmt/format.h>

#include "fuel/mixture.hpp"

namespace fw::fuel {

namespace {

Result<double> check_thermal(const Fuel& fuel, double temperature_K) {
  if (const auto ok = check_fuel(fuel); !ok) return ok;
  if (fuel.family == Family::constant) {
    return outside("fuel", "a fluid of constant density and viscosity", "a grade or a blend",
                   "Choose a grade for thermal properties");
  }
  return check_temperature(temperature_K);
}

bool outside_0_to_200_C(double temperature_K) { return temperature_K < 273.15 || temperature_K > 473.15; }

Property property(double value, Doubts doubts, double relative_uncertainty) {
  return {.value = value, .range = doubts.range(), .doubts = doubts, .relative_uncertainty = relative_uncertainty};
}

}  // namespace

Result<Property> heat_capacity_J_per_kg_K(const Fuel& fuel, double temperature_K) {
  if (const auto ok = check_thermal(fuel, temperature_K); !ok) return fail(ok.error());
  const double celsius = temperature_K - 273.15;
  double heat = 0.0;
  double mass = 0.0;
  for_each_part(fuel, [&](const Fuel& part, double x) {
    const double share = x * part.density_15C_kg_per_m3;
    mass += share;
    if (part.family == Family::fame) {
      heat += share * 2000.0;
    } else if (part.family == Family::paraffinic) {
      heat += share * (2123.0 + 3.55 * celsius);
    } else {
      heat +=
          share * 4186.8 * (0.388 + 0.00045 * (1.8 * celsius + 32.0)) / std::sqrt(part.density_15C_kg_per_m3 / 1000.0);
    }
  });
  const Families families = families_of(fuel);
  Doubts doubts;
  doubts.add_if(outside_0_to_200_C(temperature_K), Doubt::heat_temperature);
  doubts.add_if(families.fame > minor_share, Doubt::heat_ester);
  doubts.add_if(families.petrol > minor_share, Doubt::heat_light);
  return property(heat / mass, doubts, 0.04);
}

Result<Property> thermal_conductivity_W_per_m_K(const Fuel& fuel, double temperature_K) {
  if (const auto ok = check_thermal(fuel, temperature_K); !ok) return fail(ok.error());
  const Families families = families_of(fuel);
  Doubts doubts;
  doubts.add_if(outside_0_to_200_C(temperature_K), Doubt::heat_temperature);
  const bool stand_in = families.fame + families.paraffinic > minor_share;
  doubts.add_if(stand_in, Doubt::conductivity_stand_in);
  const double celsius = temperature_K - 273.15;
  return property(0.1172 * (1.0 - 0.00054 * celsius) / (fuel.density_15C_kg_per_m3 / 1000.0), doubts,
                  stand_in ? 0.25 : 0.10);
}

Result<HeatingValue> petroleum_heating_value(double density_15C_kg_per_m3, const Impurities& with) {
  if (const auto ok = require_positive(density_15C_kg_per_m3, "density_15C_kg_per_m3"); !ok) return fail(ok.error());
  if (const auto ok = require_non_negative(with.water, "water"); !ok) return fail(ok.error());
  if (const auto ok = require_non_negative(with.ash, "ash"); !ok) return fail(ok.error());
  if (const auto ok = require_non_negative(with.sulfur, "sulfur"); !ok) return fail(ok.error());
  const double foreign = with.water + with.ash + with.sulfur;
  if (foreign > 1.0) {
    return invalid("water", fmt::format("water, ash and sulfur of {:.4g} together", foreign),
                   "mass fractions of at most 1 together", "Enter fractions, not percent");
  }
  if (density_15C_kg_per_m3 < 653.0 || density_15C_kg_per_m3 > 1075.0) {
    return outside("density_15C_kg_per_m3", fmt::format("{:.6g} kg/m3", density_15C_kg_per_m3), "653 to 1075 kg/m3",
                   "Check the density and its unit");
  }
  const double d = density_15C_kg_per_m3 / 1000.0;
  const double net = (46.423 - 8.792 * d * d + 3.170 * d) * (1.0 - foreign) + 9.420 * with.sulfur - 2.449 * with.water;
  const double gross = (51.916 - 8.792 * d * d) * (1.0 - foreign) + 9.420 * with.sulfur;
  return HeatingValue{.net_J_per_kg = net * 1e6, .gross_J_per_kg = gross * 1e6};
}

Result<Property> lower_heating_value_J_per_kg(const Fuel& fuel) {
  if (const auto ok = check_fuel(fuel); !ok) return fail(ok.error());
  if (std::isfinite(fuel.lower_heating_value_J_per_kg)) return Property{.value = fuel.lower_heating_value_J_per_kg};
  if (fuel.family == Family::petroleum) {
    const auto value = petroleum_heating_value(fuel.density_15C_kg_per_m3);
    if (!value) return fail(value.error());
    return Property{.value = value->net_J_per_kg};
  }
  if (fuel.family == Family::blend) {
    double heat = 0.0;
    double mass = 0.0;
    std::optional<Errors> failed;
    for_each_part(fuel, [&](const Fuel& part, double x) {
      if (failed) return;
      const auto value = lower_heating_value_J_per_kg(part);
      if (!value) {
        failed = value.error();
        return;
      }
      heat += x * part.density_15C_kg_per_m3 * value->value;
      mass += x * part.density_15C_kg_per_m3;
    });
    if (failed) return fail(*failed);
    return Property{.value = heat / mass};
  }
  return fail(Error{.code = ErrorCode::not_found,
                    .where = {.file = {}, .line = 0, .column = 0, .field = "lower_heating_value_J_per_kg"},
                    .found = "no heating value of " + fuel.title,
                    .expected = "a heating value",
                    .hint = "Enter it from the fuel report"});
}

Result<Property> surface_tension_N_per_m(const Fuel& fuel, double temperature_K) {
  if (const auto ok = check_thermal(fuel, temperature_K); !ok) return fail(ok.error());
  Doubts doubts;
  doubts.add_if(std::abs(temperature_K - 293.15) > 5.0, Doubt::tension_temperature);
  return property(0.027, doubts, 0.0);
}

}  // namespace fw::fuel
