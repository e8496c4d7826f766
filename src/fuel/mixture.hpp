// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fuel/fuel.hpp"

/// What the property functions of this room share: a fuel of any family resolved at one temperature.
namespace fw::fuel {

/// A share up to this volume does not make a fuel leave the laws of the rest: EN 590 allows 7 % ester in diesel.
inline constexpr double minor_share = 0.07;

/// A temperature typed in C arrives with rounding; a bound counts as reached within this [K].
inline constexpr double rounding_K = 1e-6;

/// Volume fractions of the families [-] at 15 C.
struct Families {
  double fame = 0.0;
  double paraffinic = 0.0;
  double petrol = 0.0;
};
[[nodiscard]] Families families_of(const Fuel& fuel);

/// Finite, and inside the bounds of the room. Errors: invalid_input, outside_model.
[[nodiscard]] Result<double> check_temperature(double temperature_K);
/// Finite, positive, at most highest_pressure_Pa. Errors: invalid_input, outside_model.
[[nodiscard]] Result<double> check_pressure(double pressure_Pa);
/// Every number of the fuel that its laws use. Errors: invalid_input, outside_model naming the field.
[[nodiscard]] Result<double> check_fuel(const Fuel& fuel);

/// A fuel that is not constant at one temperature and atmospheric pressure. The heat capacity in it is the one that
/// fits the equations of state (ester 2227 + 1.2 t), not the one for heat balances (thermal.hpp).
struct Atmospheric {
  Tait tait;
  Doubts density;    ///< of the density
  Doubts stiffness;  ///< of B
};
/// Precondition: checked fuel and temperature, not constant. Errors: outside_model if B is not positive.
[[nodiscard]] Result<Atmospheric> atmospheric_state(const Fuel& fuel, double temperature_K);

/// Doubts of density or stiffness that come with pressure.
[[nodiscard]] Doubts pressure_doubts(const Families& families, double temperature_K, double pressure_Pa);

/// Viscosity at atmospheric pressure [m2/s]. Precondition: checked, not constant. Errors: outside_model.
[[nodiscard]] Result<double> atmospheric_viscosity_m2_per_s(const Fuel& fuel, double temperature_K);

/// Calls use(part, volume fraction at 15 C) for every part; a fuel that is no blend is its own part.
template <class Use>  // a template, so that the compiler inlines the loop of liquid_at
void for_each_part(const Fuel& fuel, Use use) {
  if (fuel.shares.empty()) {
    use(fuel, 1.0);
    return;
  }
  for (const Share& share : fuel.shares) use(share.fuel, share.volume_fraction);
}

/// Density of the parts at 15 C by volume [kg/m3], before any laboratory value of the blend.
[[nodiscard]] double density_of_parts_kg_per_m3(const Fuel& fuel);
/// Viscosity of the parts at 40 C by the blending rules [m2/s], before any laboratory value of the blend.
[[nodiscard]] double viscosity_of_parts_m2_per_s(const Fuel& fuel);

}  // namespace fw::fuel
