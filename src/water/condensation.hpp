// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>

#include "base/required.hpp"
#include "base/result.hpp"

/// Water out of the air over the fuel: grams. Theory: docs/theory/water.md, section Condensation.
namespace fw::water {

/// Saturation pressure of water vapour over liquid [Pa]: 611.2 exp(17.62 t/(243.12 + t)), t in C.
/// Range -45 to 60 C, over ice up to 30 % high at -40 C; outside_model beyond. Errors: also invalid_input
/// `temperature_K`. Source: Magnus, WMO No. 8, from memory. Check: 20 C -> 2332.6 Pa.
[[nodiscard]] Result<double> saturation_pressure_Pa(double temperature_K);

/// Air with its relative humidity.
struct Air {
  double temperature_K = required;
  double humidity = required;  ///< 0 to 1 [-]
};
/// Water vapour in air [kg/m3]: RH e_s/(461.5 T). Errors: as above; invalid_input `air.humidity`.
/// Check: 30 C, 100 % -> 30.262 g/m3.
[[nodiscard]] Result<double> vapour_density_kg_per_m3(const Air& air);
/// Dew point [K]: inverse of the law above. Errors: as above; outside_model for dry air.
/// Check: 30 C, 70 % -> 23.9 C.
[[nodiscard]] Result<double> dew_point_K(const Air& air);

/// Air space over the fuel that cools from its state to a colder temperature.
struct UllageCooling {
  double ullage_m3 = required;
  Air warm;
  double cold_K = required;
};
struct Condensate {
  double sealed_kg = required;  ///< no air comes in
  double vented_kg = required;  ///< air of the cold temperature, saturated, is drawn in as the gas shrinks
  double breathed_share = 0.0;  ///< volume drawn in over the ullage [-]
  double breathed_vapour_kg = 0.0;
};
/// Vented: dry air m = (p - e) V/(287.05 T) and humidity ratio w = 0.622 e/(p - e) in both states, p = 101325 Pa:
/// m_warm (w_warm - w_cold). 0 where the cold temperature lies above the dew point.
/// Errors: as above; invalid_input `cooling...`.
/// Check: 100 L, 30 C, 70 %, to 10 C: sealed 1.1801 g, vented 1.2572 g; breathed 6.6 %, 0.077 g of vapour.
[[nodiscard]] Result<Condensate> condense(const UllageCooling& cooling);

/// Vapour [kg] drawn in with the air that takes the place of burned fuel. Errors: as above; invalid_input `burned_m3`.
/// Check: 100 L at 30 C, 70 % -> 2.12 g. An upper bound: not all of it condenses.
[[nodiscard]] Result<double> drawn_in_with_burn_kg(double burned_m3, const Air& air);

/// Where water in a tank can have come from.
enum class WaterOrigin : std::uint8_t {
  condensation_can,  ///< explained by condensation, or by less than 10 g
  not_determined,
  bulk_ingress,  ///< delivery, washing, cap, flood: more than condensation gives
};
[[nodiscard]] constexpr const char* name(WaterOrigin origin) {
  switch (origin) {
    case WaterOrigin::condensation_can: return "condensation can explain it";
    case WaterOrigin::bulk_ingress: return "bulk ingress";
    case WaterOrigin::not_determined: break;
  }
  return "not determined";
}
/// Condensation gives grams a cycle; tens of millilitres in a vehicle's tank mean bulk ingress (reference rule).
/// With the number of nights since the tank was last known dry: up to what they give at most, condensation can; over
/// three times that, bulk ingress. Without: under 10 g condensation can, from 30 g bulk ingress (assumed reading of
/// "tens of millilitres"). Errors: invalid_input `found_kg`, `night_kg`.
[[nodiscard]] Result<WaterOrigin> origin_of(double found_kg, double night_kg, std::optional<int> nights);

}  // namespace fw::water
