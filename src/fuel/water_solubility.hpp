// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fuel/fuel.hpp"

/// Water that a fuel can hold in solution.
namespace fw::fuel {

/// Saturation with water [kg/kg].
///
///   No. 2 diesel: 40 + 2.4 (t - 4) mg/kg from 4 to 35 C, else 117 exp[2957 (1/308.15 - 1/T)]
///   ester:        1000 + 22.2 (t - 4) mg/kg
///   blend:        by volume (assumption, no source found)
///
/// The two diesel laws meet at 4 C and differ by 2.3 % at 35 C: end points and slopes are printed rounded.
/// Validity: 4 to 35 C; +/- 50 % diesel, +/- 25 % ester (k = 2; other measurements differ by so much). Kerosene,
/// paraffin, petrol and calibration fluid: diesel stands in, flagged where the family or its density says so.
/// Errors: as density; outside_model for a constant fluid and where the ester line reaches zero.
/// Source: He, Thompson, Routt, Van Gerpen, Appl. Eng. Agric. 23 (2007) 71, as summarised in a USDA technical note
/// (journal reference from memory). Check: 20 C: diesel 78.4 mg/kg, ester 1355.2 mg/kg.
[[nodiscard]] Result<Property> water_solubility(const Fuel& fuel, double temperature_K);

/// Free water [kg/kg] once `total` [kg/kg] is cooled or warmed to a temperature: max(0, total - S(T)).
/// Errors: as above; invalid_input total. Check: diesel saturated at 35 C (117 mg/kg) cooled to 4 C: 77 mg/kg.
[[nodiscard]] Result<Property> free_water(const Fuel& fuel, double total_water, double temperature_K);

}  // namespace fw::fuel
