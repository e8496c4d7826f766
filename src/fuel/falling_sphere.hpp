// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/required.hpp"
#include "base/result.hpp"
#include "fuel/liquid.hpp"

/// A particle or a drop falling through still fuel.
namespace fw::fuel {

inline constexpr double standard_gravity_m_per_s2 = 9.80665;

struct Sphere {
  double diameter_m = required;         ///< equal-volume sphere
  double density_kg_per_m3 = required;  ///< less than the fuel's: it rises
};

struct Fall {
  double speed_m_per_s{};  ///< down; negative: rises
  double reynolds{};       ///< rho |v| d/mu [-]
  Range range{Range::fitted};
};

/// Terminal speed of a rigid sphere in still fuel.
///
///   v = (rho_p - rho_f) g d^2/(18 mu) 24/(Cd Re),   Cd = 24/Re (1 + 0.15 Re^0.687),   Re = rho_f |v| d/mu
///
/// Below Re 0.1 the bracket is 1 within 3 %: Stokes. Above Re 800 the law leaves its data: extrapolated.
/// Particles are not spheres: flakes fall slower. Errors: invalid_input naming `sphere...` or `liquid...`.
/// Source: L. Schiller, A. Naumann, Z. VDI 77 (1933) 318 (from memory). Check, 835 kg/m3, 3.34e-3 Pa s: quartz
/// 10 um 2.961e-5, steel 10 um 1.144e-4 (Stokes); steel 300 um 0.0701 m/s, Re 5.26.
[[nodiscard]] Result<Fall> rigid_fall(const Sphere& sphere, const Liquid& liquid);

/// The same with Stokes' law whatever Re is: for closed forms that need a speed proportional to d^2.
[[nodiscard]] Result<Fall> stokes_fall(const Sphere& sphere, const Liquid& liquid);

/// By how much a drop with a mobile surface falls faster than a rigid one [-]:
///   (mu_f + mu_d)/((2/3) mu_f + mu_d)
/// Surface-active additives make the surface rigid: use 1 for fuel with additives.
/// Source: Hadamard 1911, Rybczynski 1911 (from memory). Check: mu_f 3.34e-3, water 1.002e-3 -> 1.345.
/// Errors: invalid_input naming `drop_viscosity_Pa_s` or `liquid...`.
[[nodiscard]] Result<double> mobile_surface_factor(double drop_viscosity_Pa_s, const Liquid& liquid);

/// Diameter [m] of the sphere that falls at `speed_m_per_s` by Stokes' law: sqrt(18 mu v/(|rho_p - rho_f| g)).
/// Errors: invalid_input naming `speed_m_per_s`, `sphere_density_kg_per_m3` (equal to the fuel's) or `liquid...`.
/// Check: 120 L/h over 50 cm2, water 998.2 kg/m3 -> 500.4 um.
[[nodiscard]] Result<double> stokes_diameter_m(double speed_m_per_s, double sphere_density_kg_per_m3,
                                               const Liquid& liquid);

}  // namespace fw::fuel
