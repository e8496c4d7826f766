// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/tank.hpp"

#include <cmath>

#include <fmt/format.h>

#include "base/input_check.hpp"

namespace fw::hydraulics {

namespace {
constexpr double lowest_altitude_m = -500.0;
constexpr double fitted_altitude_m = 5000.0;
constexpr double tropopause_m = 11000.0;
constexpr double gas_constant_of_air_J_per_kg_K = 287.053;
}  // namespace

Result<Atmosphere> standard_atmosphere(double altitude_m) {
  InputCheck check;
  check.finite(altitude_m, "altitude_m");
  if (check.failed()) return check.fault();
  if (altitude_m < lowest_altitude_m || altitude_m > tropopause_m) {
    return outside("altitude_m", fmt::format("{:.6g} m", altitude_m), "-500 to 11000 m, the troposphere");
  }
  const double pressure_Pa = 101325.0 * std::pow(1.0 - 2.25577e-5 * altitude_m, 5.25588);
  const double temperature_K = 288.15 - 0.0065 * altitude_m;
  return Atmosphere{.pressure_Pa = pressure_Pa,
                    .temperature_K = temperature_K,
                    .air_density_kg_per_m3 = pressure_Pa / (gas_constant_of_air_J_per_kg_K * temperature_K),
                    .range = altitude_m <= fitted_altitude_m ? Range::fitted : Range::extrapolated};
}

Result<double> blocked_vent_pressure_Pa(const BlockedVent& vent) {
  InputCheck check;
  check.positive(vent.atmosphere_Pa, "blocked_vent.atmosphere_Pa")
      .positive(vent.ullage_m3, "blocked_vent.ullage_m3")
      .non_negative(vent.burned_m3, "blocked_vent.burned_m3");
  if (check.failed()) return check.fault();
  return vent.atmosphere_Pa * vent.ullage_m3 / (vent.ullage_m3 + vent.burned_m3);
}

Result<double> tank_surface_pressure_Pa(double atmosphere_Pa, const Vent& vent, double withdrawal_m3_per_s) {
  InputCheck check;
  check.positive(atmosphere_Pa, "atmosphere_Pa");
  if (check.failed()) return check.fault();
  const auto drop = vent_drop(vent, withdrawal_m3_per_s);
  if (!drop) return fail(drop.error());
  const double surface_Pa = atmosphere_Pa - drop->vacuum_Pa;
  if (surface_Pa < 0.1 * atmosphere_Pa) {
    return outside("vent.bore_m", fmt::format("a vacuum of {:.6g} Pa", drop->vacuum_Pa),
                   "a vent that keeps more than a tenth of the atmosphere over the fuel", "Treat the vent as blocked");
  }
  return surface_Pa;
}

}  // namespace fw::hydraulics
