// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fuel/fuel.hpp"

/// Air dissolved in fuel, what of it comes out, and what that does to stiffness.
namespace fw::fuel {

enum class Gas : std::uint8_t { air, nitrogen, oxygen };

/// Ostwald coefficient Lc [-]: volume of gas at T and its own partial pressure per volume of liquid; independent of
/// pressure.
///
///   L = 0.300 exp[0.639 (700 - T)/T ln(3.333 L0)],  Lc = 7.70 L (0.980 - d),  d = rho15/1000
///   L0: air 0.098, nitrogen 0.069, oxygen 0.16
///
/// Validity: 0.63 <= d <= 0.90, -45 to 150 C. Jet fuel agrees with the sister density method within 10 %.
/// Preconditions: finite, T > 0. A density of 980 kg/m3 and more dissolves none.
/// Source: ASTM D2779-92 (structure and scope; constants from memory, internally consistent).
/// Check: d 0.835, 20 C -> 0.12417.
[[nodiscard]] double ostwald_coefficient(double density_15C_kg_per_m3, double temperature_K, Gas gas = Gas::air);

/// Ostwald coefficient of air in a fuel [-], by the density of the whole. Ester: no value found, law unverified.
/// Errors: as density.
[[nodiscard]] Result<Property> air_solubility(const Fuel& fuel, double temperature_K);

struct Saturation {
  double ostwald = required;  ///< Lc [-]
  double temperature_K = required;
  double gas_pressure_Pa = required;  ///< partial pressure of the gas
};

/// Bunsen coefficient beta [-]: volume of gas at 0 C, 101.325 kPa per volume of liquid.
///
///   beta = 2697 (p - pv) Lc/T,  p in MPa
///
/// Precondition: finite, T > 0. Source: ASTM D2779. Check: Lc 0.12417, 20 C, 0.101325 MPa of air -> 0.11575.
[[nodiscard]] double bunsen_coefficient(const Saturation& at);

/// Air dissolved in a fuel saturated at total pressure p: Bunsen coefficient at p - pv; 0 at or below vapour pressure.
[[nodiscard]] Result<Property> dissolved_air(const Fuel& fuel, double temperature_K, double pressure_Pa);

struct Release {
  double ratio = required;          ///< gas at T and p per volume of liquid [-]
  double void_fraction = required;  ///< gas per volume of mixture [-]
};

struct ReleaseCase {
  double ostwald = required;
  double saturation_pressure_Pa = required;
  double pressure_Pa = required;
  double released_fraction = 1.0;  ///< x_rel of the equilibrium amount [-]; 1: the upper bound
};

/// Free air after saturation at ps and a drop to p; vapour pressure and warming left out.
///
///   r = x_rel Lc (ps - p)/p,  alpha = r/(1 + r);  none at p >= ps
///
/// Full equilibrium is an upper bound: in a short suction line release is limited by kinetics, for which no rate is
/// published. Errors: invalid_input naming the field. Source: Henry's law.
/// Check: Lc 0.12417, 101325 -> 50000 Pa: r 0.1275, alpha 0.1131.
[[nodiscard]] Result<Release> released_air(const ReleaseCase& at);

struct Aerated {
  double void_fraction = required;
  double pressure_Pa = required;
  double liquid_modulus_Pa = required;
  double polytropic_exponent = 1.0;  ///< n: 1 isothermal to 1.4 isentropic [-]
};

/// Effective bulk modulus of a mixture [Pa]: 1/K = (1 - alpha)/K_l + alpha/(n p).
/// Errors: invalid_input; void fraction outside [0, 1). Source: textbook (series of springs).
/// Check: alpha 0.02, 50 kPa, 1.135 GPa, n 1 -> 2.4946 MPa.
[[nodiscard]] Result<double> aerated_modulus_Pa(const Aerated& mixture);

/// Sound speed of a bubbly mixture [m/s]: 1/c^2 = rho_l (1 - alpha) [alpha/(n p) + (1 - alpha)/K_l]; gas mass left out.
/// Errors: as above. Source: A. B. Wood, A Textbook of Sound (1930) (from memory).
/// Check: rho 835, K 1.40 GPa, alpha 0.030996, 80 kPa, n 1 -> 56.4285 m/s.
[[nodiscard]] Result<double> mixture_sound_speed_m_per_s(const Aerated& mixture, double liquid_density_kg_per_m3);

}  // namespace fw::fuel
