// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fuel/fuel.hpp"

/// Bulk modulus, sound speed, expansion and the temperature change of compression and throttling, up to 250 MPa.
namespace fw::fuel {

/// A fuel's compressible state, every number from one consistent set of derivatives.
struct Stiffness {
  double density_kg_per_m3 = required;
  double isothermal_modulus_Pa = required;     ///< K_T
  double isentropic_modulus_Pa = required;     ///< K_S
  double expansion_per_K = required;           ///< a = -dln(rho)/dT at constant pressure
  double sound_speed_m_per_s = required;       ///< c
  double heat_capacity_J_per_kg_K = required;  ///< cp that fits K_S; for heat balances see thermal.hpp
  double isentropic_K_per_Pa = required;       ///< (dT/dp)_s = a T/(rho cp)
  double isenthalpic_K_per_Pa = required;      ///< (dT/dp)_h = -(1 - a T)/(rho cp); negative: throttling heats
  Range range = Range::fitted;
  Doubts doubts{};
};

/// Modified Tait equation (tait.hpp) with coefficients from the density at 15 C.
///
///   petroleum: C = 0.0880;  c0 = 2096 sqrt(d/(2.6 - d)) - 3.7 t;  cp by Cragoe
///              K_T0 = 1/[1/(rho0 c0^2) + a0^2 T/(rho0 cp)],  B = C K_T0 - p0
///   ester:     C = 0.0967, B = 159.77 - 0.86197 t + 0.00179199 t^2 MPa, cp = 2227 + 1.2 t
///   paraffin:  C = 0.0880, B = 116.714 - 0.74434 t + 0.0015706 t^2 MPa, cp = 2123 + 3.55 t
///   blend:     rho0, C, B by volume, cp by mass
///
/// d = rho15/1000, t [C]. A measured sound speed of the fuel scales B so that the measurement is met.
///
/// Validity: petroleum 790 to 880 kg/m3, -20 to 120 C, 250 MPa; ester -5 to 100 C, 50 MPa; paraffinic -5 to 120 C, an
/// estimate throughout. The numbers for diesel and ISO 4113 fluid are a prediction from density, no fit to measured
/// diesel: K +/- 6 %, c +/- 3 %, density +/- 0.7 % at 200 MPa (k = 2, judged).
///
/// Errors: invalid_input and outside_model naming the field. A constant fluid: outside_model without a sound speed;
/// with one K_T = K_S = rho c^2, a = 0 and no heat capacity (NaN).
///
/// Source: Batzle & Wang, Geophysics 57 (1992) 1396, eq. 20a; C fitted to the n-dodecane equation of Lemmon & Huber,
/// Energy Fuels 18 (2004) 960; ester: Huber et al., Energy Fuels 23 (2009) 3790; Cragoe, NBS Misc. Publ. 97 (1929).
/// Check: 835, 40 C: K_T0 1135.22 MPa, c 1293.66 m/s; 200 MPa: 904.57 kg/m3, K_T 3077.3, K_S 3494.1 MPa, 1965.4 m/s.
[[nodiscard]] Result<Stiffness> stiffness(const Fuel& fuel, double temperature_K, double pressure_Pa);

/// Single values of the above, with their judged uncertainty.
[[nodiscard]] Result<Property> isothermal_modulus_Pa(const Fuel& fuel, double temperature_K, double pressure_Pa);
[[nodiscard]] Result<Property> isentropic_modulus_Pa(const Fuel& fuel, double temperature_K, double pressure_Pa);
[[nodiscard]] Result<Property> sound_speed_m_per_s(const Fuel& fuel, double temperature_K, double pressure_Pa);
[[nodiscard]] Result<Property> expansion_per_K(const Fuel& fuel, double temperature_K, double pressure_Pa);

/// The Tait liquid of a fuel at a temperature and the atmosphere; constant fluids have none (outside_model).
[[nodiscard]] Result<Tait> tait_of(const Fuel& fuel, double temperature_K);

struct PressureStep {
  double temperature_K = required;  ///< at `from_Pa`
  double from_Pa = required;
  double to_Pa = required;
};

/// End of a compression, expansion or throttling.
struct PressureStepEnd {
  double temperature_K = required;
  /// Work done on the fuel by volume change, integral of p/(rho K) dp along the path [J/kg]; 0 for throttling.
  double compression_J_per_kg = required;
  /// Work of an ideal pump, integral of dp/rho along the path [J/kg]; 0 for throttling.
  double pumping_J_per_kg = required;
  Range range = Range::fitted;
  Doubts doubts{};  ///< at start and end
};

/// Temperature after an isentropic change of pressure: dT/dp = a T/(rho cp), fourth-order Runge-Kutta in steps of at
/// most 5 MPa, at least 10. cp independent of pressure: +/- 8 % of the temperature change.
/// Errors: as stiffness; outside_model if the path leaves the temperatures of the room; a constant fluid has no heat
/// capacity (outside_model).
/// Check: 835, 0.5 -> 180 MPa from 40 C: +20.8 K.
[[nodiscard]] Result<PressureStepEnd> compressed(const Fuel& fuel, const PressureStep& step);

/// Temperature after throttling at constant enthalpy: dT/dp = -(1 - a T)/(rho cp). As above.
/// Check: 835, 200 -> 0.1 MPa from 60 C: +84.2 K.
[[nodiscard]] Result<PressureStepEnd> throttled(const Fuel& fuel, const PressureStep& step);

}  // namespace fw::fuel
