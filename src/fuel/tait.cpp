// SPDX-License-Identifier: Apache-2.0
#include "fuel/tait.hpp"

#include <cmath>

#include <fmt/format.h>

#include "base/contract.hpp"

namespace fw::fuel {

double tait_density_kg_per_m3(const Tait& liquid, double pressure_Pa) {
  const double stiffness_Pa = liquid.stiffness_Pa;
  const double c = liquid.c;
  FW_EXPECTS(std::isfinite(stiffness_Pa) && stiffness_Pa > 0.0);
  FW_EXPECTS(std::isfinite(pressure_Pa) && pressure_Pa >= 0.0 && pressure_Pa <= 1e9);
  FW_EXPECTS(std::isfinite(c) && c > 0.0 && c < 0.12);
  // log1p keeps the digits of a small pressure difference.
  const double q = 1.0 - c * std::log1p((pressure_Pa - standard_pressure_Pa) / (stiffness_Pa + standard_pressure_Pa));
  return liquid.density_kg_per_m3 / q;
}

Result<TaitState> tait_state(const Tait& liquid, double pressure_Pa) {
  FW_EXPECTS(std::isfinite(liquid.temperature_K) && std::isfinite(liquid.density_kg_per_m3) &&
             std::isfinite(liquid.expansion_per_K) && std::isfinite(liquid.heat_capacity_J_per_kg_K) &&
             std::isfinite(liquid.c) && std::isfinite(liquid.stiffness_slope_Pa_per_K));
  const double B = liquid.stiffness_Pa;
  const double rho = tait_density_kg_per_m3(liquid, pressure_Pa);
  const double q = liquid.density_kg_per_m3 / rho;
  const double isothermal = (B + pressure_Pa) * q / liquid.c;
  const double rise = 1.0 / (B + pressure_Pa) - 1.0 / (B + standard_pressure_Pa);
  const double a = liquid.expansion_per_K - liquid.c / q * liquid.stiffness_slope_Pa_per_K * rise;
  const double compliance = 1.0 / isothermal - a * a * liquid.temperature_K / (rho * liquid.heat_capacity_J_per_kg_K);
  if (!(compliance > 0.0)) {
    return outside("stiffness", fmt::format("a compressibility of {:.3g} 1/Pa at constant entropy", compliance),
                   "a compressibility above zero", "Check density, expansion and measured sound speed of the fuel");
  }
  const double isentropic = 1.0 / compliance;
  return TaitState{.density_kg_per_m3 = rho,
                   .isothermal_modulus_Pa = isothermal,
                   .isentropic_modulus_Pa = isentropic,
                   .expansion_per_K = a,
                   .sound_speed_m_per_s = std::sqrt(isentropic / rho)};
}

double tait_secant_modulus_Pa(const Tait& liquid, double pressure_Pa) {
  FW_EXPECTS(std::isfinite(pressure_Pa) && pressure_Pa > standard_pressure_Pa);
  const double rho = tait_density_kg_per_m3(liquid, pressure_Pa);
  return (pressure_Pa - standard_pressure_Pa) / (1.0 - liquid.density_kg_per_m3 / rho);
}

}  // namespace fw::fuel
