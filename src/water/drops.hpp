// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/required.hpp"
#include "base/result.hpp"
#include "fuel/liquid.hpp"

/// Water drops in fuel: how fast they fall, what a bowl catches by gravity, what a pump leaves of them.
/// Theory: docs/theory/water.md, section Drops.
namespace fw::water {

/// How a drop falls. With additives its surface is rigid (assumed); a clean drop is faster by mobile_surface().
struct DropFall {
  double velocity_m_per_s = required;         ///< Schiller and Naumann
  double stokes_velocity_m_per_s = required;  ///< (rho_w - rho_f) g d^2/(18 mu), within 4 % below Re 0.1
  double reynolds = required;                 ///< of the fall [-]
};

/// v = sqrt(4 g d (rho_w - rho_f)/(3 rho_f Cd)), Cd = 24/Re (1 + 0.15 Re^0.687), Re below 800.
/// Errors: invalid_input `size_m`, `liquid...`; outside_model above Re 800, and for a fuel as dense as water.
/// Source: L. Schiller, A. Naumann (1933), from memory. Check, 835 kg/m3 and 3.34 mPa s: Stokes 10 um 2.662e-6, 100 um
/// 2.662e-4 m/s; Schiller and Naumann 500 um 5.93e-3 m/s.
[[nodiscard]] Result<DropFall> drop_fall(double size_m, const fuel::Liquid& liquid);

/// Factor on Stokes' velocity of a drop whose surface moves: (mu_f + mu_w)/(2/3 mu_f + mu_w).
/// Errors: invalid_input. Check: 3.34 mPa s -> 1.345. Source: Hadamard, Rybczynski (1911), from memory.
[[nodiscard]] Result<double> mobile_surface(double fuel_viscosity_Pa_s);

/// Smallest drop [m] that a bowl catches by gravity alone, by Stokes: d = sqrt(18 mu Q/(A (rho_w - rho_f) g)).
/// Errors: invalid_input `flow_m3_per_s`, `area_m2`, `liquid...`. Check: 120 L/h over 50 cm2 -> 500.4 um: a bowl alone
/// catches slugs, no drops.
struct Bowl {
  double flow_m3_per_s = required;
  double area_m2 = required;  ///< across the flow
};
[[nodiscard]] Result<double> bowl_cut_m(const Bowl& bowl, const fuel::Liquid& liquid);

/// Largest drop [m] that turbulence leaves whole: d = 0.725 (sigma/rho_f)^0.6 eps^-0.4.
struct BreakUp {
  double interfacial_tension_N_per_m = required;
  double dissipation_W_per_kg = required;  ///< of the fuel where it is worst; 1e5 in a pump (order of magnitude)
  double fuel_density_kg_per_m3 = required;
};
/// Range: turbulent flow round the drop; in laminar lines drops do not break this way.
/// Errors: invalid_input by field. Source: J. O. Hinze, AIChE J. 1 (1955) 289, from memory.
/// Check: 15 mN/m: 100 W/kg 163.30 um, 1e5 W/kg 10.303 um; 7 mN/m, 1e5 W/kg 6.5 um.
[[nodiscard]] Result<double> largest_drop_m(const BreakUp& at);

}  // namespace fw::water
