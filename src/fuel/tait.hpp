// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/required.hpp"
#include "base/result.hpp"

namespace fw::fuel {

inline constexpr double standard_pressure_Pa = 101325.0;  ///< p0 of all laws of this room

/// A liquid at one temperature and atmospheric pressure, and how it stiffens.
struct Tait {
  double temperature_K = required;
  double density_kg_per_m3 = required;         ///< rho0
  double expansion_per_K = required;           ///< a0 = -dln(rho0)/dT
  double heat_capacity_J_per_kg_K = required;  ///< cp, taken to be independent of pressure
  double c = required;                         ///< C [-]
  double stiffness_Pa = required;              ///< B; C K_T0 - p0
  double stiffness_slope_Pa_per_K = required;  ///< dB/dT
};

/// The same liquid at a pressure.
struct TaitState {
  double density_kg_per_m3 = required;
  double isothermal_modulus_Pa = required;  ///< K_T = rho dp/drho at constant T
  double isentropic_modulus_Pa = required;  ///< K_S = rho dp/drho at constant entropy
  double expansion_per_K = required;        ///< a = -dln(rho)/dT at constant p
  double sound_speed_m_per_s = required;    ///< c
};

/// Modified Tait equation and what thermodynamics makes of it, exact derivatives.
///
///   L = ln((B + p)/(B + p0)),  q = 1 - C L
///   rho = rho0/q                 K_T = (B + p) q/C
///   a = a0 - (C/q) B' [1/(B + p) - 1/(B + p0)]
///   1/K_S = 1/K_T - a^2 T/(rho cp)              c = sqrt(K_S/rho)
///
/// p absolute [Pa]; p0 = 101325 Pa. Constant cp errs by less than 1.5 % up to 250 MPa on n-dodecane.
/// Preconditions: every number finite, B > 0, C in (0, 0.12), p in [0, 1e9]: the callers check what users give.
/// Errors: outside_model if 1/K_S comes out not positive (numbers that contradict each other).
/// Source: J. H. Dymond, R. Malhotra, Int. J. Thermophys. 9 (1988) 941 (form; from memory); coefficients are the
/// caller's. Check: n-dodecane at 40 C (rho0 734.642, a0 1.00530e-3, cp 2262.5, K_T0 907.29 MPa, B' -0.5464 MPa/K,
/// C 0.0880), 100 MPa -> 791.136 kg/m3, 1896.7 MPa, 1667.7 m/s.
[[nodiscard]] Result<TaitState> tait_state(const Tait& liquid, double pressure_Pa);

/// rho alone, the fast part of tait_state: rho0/(1 - C ln((B + p)/(B + p0))) [kg/m3]. Same preconditions.
/// Uses density, C and B of the liquid only.
[[nodiscard]] double tait_density_kg_per_m3(const Tait& liquid, double pressure_Pa);

/// Mean (secant) modulus [Pa] from p0 to p: (p - p0)/(1 - rho0/rho). Precondition: p > p0.
[[nodiscard]] double tait_secant_modulus_Pa(const Tait& liquid, double pressure_Pa);

}  // namespace fw::fuel
