// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "rail/capacity.hpp"

/// Closure and fuel states that the check values of the high-pressure page are reckoned with.
namespace fw::test {

/// rho0 = 830 - 0.68 (T - 20), K0 = 1.535e9 - 8.5e6 (T - 20), n 10, Barus viscosity: section 0 of the page. Viscosity
/// is tabulated at 40, 60 and 80 C; elsewhere the 40 C number stands and must not be used.
[[nodiscard]] inline rail::RailLiquid page_liquid(double celsius) {
  rail::RailLiquid liquid{.density_kg_per_m3 = 830.0 - 0.68 * (celsius - 20.0),
                          .modulus_Pa = 1.535e9 - 8.5e6 * (celsius - 20.0),
                          .modulus_slope = 10.0,
                          .viscosity_Pa_s = 2.2e-3,
                          .viscosity_per_Pa = 11e-9,
                          .heat_capacity_J_per_kg_K = 2050.0,
                          .expansion_per_K = 0.68 / (830.0 - 0.68 * (celsius - 20.0)),
                          .temperature_K = celsius + 273.15,
                          .free_density_kg_per_m3 = 816.4};
  if (celsius == 60.0) {
    liquid.viscosity_Pa_s = 1.53e-3;
    liquid.viscosity_per_Pa = 10.5e-9;
  } else if (celsius == 80.0) {
    liquid.viscosity_Pa_s = 1.14e-3;
    liquid.viscosity_per_Pa = 10e-9;
  }
  return liquid;
}

/// 60 C charge, 80 C in the gaps, 0.5 MPa at the inlet of a pump without a gear stage.
[[nodiscard]] inline rail::CapacityFuel page_fuel() {
  return {.charge = page_liquid(60.0), .gap = page_liquid(80.0), .inlet = {.pressure_Pa = 0.5e6}};
}

inline constexpr double mL_per_min = 1e-6 / 60.0;  ///< m3/s
inline constexpr double rpm = 1.0 / 60.0;          ///< rev/s
inline constexpr double MPa = 1e6;

}  // namespace fw::test
