// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/required.hpp"
#include "base/result.hpp"
#include "fuel/fuel.hpp"

/// Water in fuel: dissolved (clear), dispersed as drops (haze), and as a layer of its own. Theory:
/// docs/theory/water.md.
namespace fw::water {

/// What a total splits into at one temperature, as mass of water per mass of fuel [kg/kg].
struct Forms {
  double dissolved = required;
  double undissolved = required;  ///< dispersed and free together: which of them, drops and standing decide
  double saturation = required;
  Range range = Range::fitted;  ///< of the solubility
};

/// dissolved = min(total, S(T)), undissolved = the rest: equilibrium, drops dissolve and form at once (assumed).
/// S: fuel::water_solubility. A total of 200 mg/kg, the limit of EN 590, lies above what cool fuel without ester holds:
/// fuel within its standard can carry free water.
/// Errors: those of fuel::water_solubility; invalid_input `total_water`.
/// Check: 200 mg/kg in fuel without ester at 10 C (54.4 mg/kg) -> 145.6 mg/kg undissolved.
[[nodiscard]] Result<Forms> forms(const fuel::Fuel& fuel, double total_water, double temperature_K);

/// Water [kg/kg] that fuel takes from air at a relative humidity, at rest long enough: RH S(T) (Henry; assumed).
/// Errors: as above; invalid_input `humidity` outside 0 to 1.
[[nodiscard]] Result<double> dissolved_from_air(const fuel::Fuel& fuel, double humidity, double temperature_K);

/// Water [kg] that fuel saturated at one temperature lets go when cooled to another: m (S(warm) - S(cold)).
/// Errors: as above; invalid_input `fuel_mass_kg`, `cold_K` above `warm_K`.
/// Check: 83.5 kg from 35 to 4 C: without ester 6.212 g, with 7 % ester 9.800 g.
struct Cooling {
  double warm_K = required;
  double cold_K = required;
};
[[nodiscard]] Result<double> released_on_cooling_kg(const fuel::Fuel& fuel, double fuel_mass_kg,
                                                    const Cooling& cooling);

/// Water [kg/kg] that stands in a fuel of this density as a share of its volume: x rho_w/rho_f.
/// Errors: invalid_input. Check: 0.05 % by volume in 835 kg/m3 -> 597.7 mg/kg.
[[nodiscard]] Result<double> of_volume_share(double share, double fuel_density_kg_per_m3);

}  // namespace fw::water
