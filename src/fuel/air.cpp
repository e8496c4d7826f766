// SPDX-License-Identifier: Apache-2.0
#include "fuel/air.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "base/contract.hpp"
#include "fuel/mixture.hpp"

namespace fw::fuel {

namespace {

double solubility_of(Gas gas) {
  switch (gas) {
    case Gas::air: return 0.098;
    case Gas::nitrogen: return 0.069;
    case Gas::oxygen: return 0.16;
  }
  return 0.098;
}

Result<double> compliance_per_Pa(const Aerated& mixture) {
  if (const auto ok = require_non_negative(mixture.void_fraction, "void_fraction"); !ok) return fail(ok.error());
  if (mixture.void_fraction >= 1.0) {
    return invalid("void_fraction", fmt::format("{:.4g}", mixture.void_fraction), "0 to below 1", "Enter the fraction");
  }
  if (const auto ok = require_positive(mixture.pressure_Pa, "pressure_Pa"); !ok) return fail(ok.error());
  if (const auto ok = require_positive(mixture.liquid_modulus_Pa, "liquid_modulus_Pa"); !ok) return fail(ok.error());
  if (const auto ok = require_positive(mixture.polytropic_exponent, "polytropic_exponent"); !ok) {
    return fail(ok.error());
  }
  return (1.0 - mixture.void_fraction) / mixture.liquid_modulus_Pa +
         mixture.void_fraction / (mixture.polytropic_exponent * mixture.pressure_Pa);
}

}  // namespace

double ostwald_coefficient(double density_15C_kg_per_m3, double temperature_K, Gas gas) {
  FW_EXPECTS(std::isfinite(density_15C_kg_per_m3) && std::isfinite(temperature_K) && temperature_K > 0.0);
  const double L =
      0.300 * std::exp(0.639 * (700.0 - temperature_K) / temperature_K * std::log(3.333 * solubility_of(gas)));
  return 7.70 * L * std::max(0.0, 0.980 - density_15C_kg_per_m3 / 1000.0);
}

Result<Property> air_solubility(const Fuel& fuel, double temperature_K) {
  if (const auto ok = check_fuel(fuel); !ok) return fail(ok.error());
  if (fuel.family == Family::constant) return Property{.value = 0.0};
  if (const auto ok = check_temperature(temperature_K); !ok) return fail(ok.error());
  const Families families = families_of(fuel);
  const double d = fuel.density_15C_kg_per_m3 / 1000.0;
  Doubts doubts;
  doubts.add_if(temperature_K < 228.15 || temperature_K > 423.15, Doubt::air_temperature);
  doubts.add_if(d < 0.63 || d > 0.90, Doubt::air_density);
  doubts.add_if(families.fame > minor_share, Doubt::air_ester);
  return Property{.value = ostwald_coefficient(fuel.density_15C_kg_per_m3, temperature_K),
                  .range = doubts.range(),
                  .doubts = doubts,
                  .relative_uncertainty = 0.10};
}

double bunsen_coefficient(const Saturation& at) {
  FW_EXPECTS(std::isfinite(at.ostwald) && std::isfinite(at.gas_pressure_Pa));
  FW_EXPECTS(std::isfinite(at.temperature_K) && at.temperature_K > 0.0);
  return 2697.0 * (at.gas_pressure_Pa * 1e-6) * at.ostwald / at.temperature_K;
}

Result<Property> dissolved_air(const Fuel& fuel, double temperature_K, double pressure_Pa) {
  auto air = air_solubility(fuel, temperature_K);
  if (!air) return air;
  if (const auto ok = check_pressure(pressure_Pa); !ok) return fail(ok.error());
  if (fuel.family == Family::constant) return air;
  const auto vapour = vapour_pressure_Pa(fuel, temperature_K);
  if (!vapour) return fail(vapour.error());
  air->value = bunsen_coefficient({.ostwald = air->value,
                                   .temperature_K = temperature_K,
                                   .gas_pressure_Pa = std::max(0.0, pressure_Pa - vapour->value)});
  air->doubts = air->doubts | vapour->doubts;
  air->range = air->doubts.range();
  return air;
}

Result<Release> released_air(const ReleaseCase& at) {
  if (const auto ok = require_non_negative(at.ostwald, "ostwald"); !ok) return fail(ok.error());
  if (const auto ok = require_positive(at.saturation_pressure_Pa, "saturation_pressure_Pa"); !ok) {
    return fail(ok.error());
  }
  if (const auto ok = require_positive(at.pressure_Pa, "pressure_Pa"); !ok) return fail(ok.error());
  if (const auto ok = require_non_negative(at.released_fraction, "released_fraction"); !ok) return fail(ok.error());
  if (at.released_fraction > 1.0) {
    return invalid("released_fraction", fmt::format("{:.4g}", at.released_fraction), "0 to 1",
                   "Enter the fraction of the equilibrium amount");
  }
  if (at.pressure_Pa >= at.saturation_pressure_Pa) return Release{.ratio = 0.0, .void_fraction = 0.0};
  const double ratio =
      at.released_fraction * at.ostwald * (at.saturation_pressure_Pa - at.pressure_Pa) / at.pressure_Pa;
  return Release{.ratio = ratio, .void_fraction = ratio / (1.0 + ratio)};
}

Result<double> aerated_modulus_Pa(const Aerated& mixture) {
  const auto compliance = compliance_per_Pa(mixture);
  if (!compliance) return fail(compliance.error());
  return 1.0 / *compliance;
}

Result<double> mixture_sound_speed_m_per_s(const Aerated& mixture, double liquid_density_kg_per_m3) {
  if (const auto ok = require_positive(liquid_density_kg_per_m3, "liquid_density_kg_per_m3"); !ok) return ok;
  const auto compliance = compliance_per_Pa(mixture);
  if (!compliance) return fail(compliance.error());
  return std::sqrt(1.0 / (liquid_density_kg_per_m3 * (1.0 - mixture.void_fraction) * *compliance));
}

}  // namespace fw::fuel
