// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fuel/fuel.hpp"

/// Heat capacity, conductivity, heating value, surface tension.
namespace fw::fuel {

/// Heat capacity at constant pressure for heat balances [J/(kg K)], atmospheric pressure.
///
///   petroleum: 4186.8 (0.388 + 0.00045 (1.8 t + 32))/sqrt(d);  paraffinic: 2123 + 3.55 t;  ester: 2000 (+/- 100)
///   blend: by mass
///
/// Validity: 0 to 200 C, +/- 4 % (range from memory). Ester: one value at 25 C from memory; its equation of state gives
/// 2.27 kJ/(kg K), which stiffness.hpp uses: flagged. Errors: as density; outside_model for a constant fluid.
/// Source: C. S. Cragoe, NBS Misc. Publ. 97 (1929); paraffinic: n-dodecane, Lemmon & Huber 2004.
/// Check: d 0.835: 1918 (20 C), 1992.2 (40 C), 2141 (80 C).
[[nodiscard]] Result<Property> heat_capacity_J_per_kg_K(const Fuel& fuel, double temperature_K);

/// Thermal conductivity [W/(m K)]: 0.1172 (1 - 0.00054 t)/d, d of the whole; ester and paraffin flagged.
/// Validity: 0 to 200 C, +/- 10 % (from memory); ester and paraffin +/- 25 % (judged: 13 to 21 % above n-dodecane from
/// 20 to 80 C). Errors: as above. Source: Cragoe 1929 (from memory). Check: d 0.835: 0.1388 (20 C), 0.1373 (40 C),
/// 0.1343 (80 C).
[[nodiscard]] Result<Property> thermal_conductivity_W_per_m_K(const Fuel& fuel, double temperature_K);

struct HeatingValue {
  double net_J_per_kg = required;
  double gross_J_per_kg = required;
};

struct Impurities {
  double water = 0.0;  ///< mass fractions [-]
  double ash = 0.0;
  double sulfur = 0.0;
};

/// Heating value of petroleum diesel by density [J/kg].
///
///   net   = (46.423 - 8.792 d^2 + 3.170 d)(1 - (x + y + s)) + 9.420 s - 2.449 x   [MJ/kg]
///   gross = (51.916 - 8.792 d^2)(1 - (x + y + s)) + 9.420 s
///
/// x water, y ash, s sulfur. Neither ester nor paraffin. Errors: invalid_input not finite, negative or sum above 1;
/// outside_model for rho15 outside 653 to 1075 kg/m3. Source: ASTM D4868 (from memory).
/// Check: d 0.835 -> 42.940 and 45.786 MJ/kg.
[[nodiscard]] Result<HeatingValue> petroleum_heating_value(double density_15C_kg_per_m3, const Impurities& with = {});

/// Net heating value [J/kg] as stated for the fuel, else by D4868 for petroleum, else by mass of the parts of a blend.
/// Errors: not_found where neither is possible. Source for blends: Benjumea et al. 2008 (abstract).
[[nodiscard]] Result<Property> lower_heating_value_J_per_kg(const Fuel& fuel);

/// Surface tension against air [N/m]: 0.027 near 20 C (from memory); the same number elsewhere, flagged. Errors: as
/// density; outside_model for a constant fluid.
[[nodiscard]] Result<Property> surface_tension_N_per_m(const Fuel& fuel, double temperature_K);

}  // namespace fw::fuel
