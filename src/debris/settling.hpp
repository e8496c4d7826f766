// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>

#include "base/required.hpp"
#include "base/result.hpp"
#include "debris/transport.hpp"
#include "fuel/liquid.hpp"

/// How fast particles fall in fuel. Theory: docs/theory/debris.md, section Settling.
namespace fw::debris {

/// A sphere.
struct FallingParticle {
  double size_m = required;             ///< diameter
  double density_kg_per_m3 = required;  ///< any; lighter than the fuel: rises, velocity below 0
};

struct Fall {
  double velocity_m_per_s = required;
  double reynolds = required;  ///< of the fall [-]
};

/// Terminal velocity [m/s].
///
///   v = sqrt(4 g d |rho_p - rho_f|/(3 rho_f Cd)),  Cd = 24/Re (1 + 0.15 Re^0.687)
///
/// which is Stokes' v = (rho_p - rho_f) g d^2/(18 mu) for Re to 0. Range: Re below 800 (L. Schiller, A. Naumann, 1933;
/// from memory); above outside_model. g = 9.80665 m/s2. Errors: invalid_input `particle...`, `liquid...`.
/// Check, fuel of 835 kg/m3 and 3.34 mPa s: quartz 10 um 2.961e-5, steel 10 um 1.144e-4, steel 300 um 0.0701 m/s, Re
/// 5.26.
[[nodiscard]] Result<Fall> fall_velocity(const FallingParticle& particle, const fuel::Liquid& liquid);

/// Velocity [m/s] of each standard bin at its middle size, not below 0. Errors as above.
[[nodiscard]] Result<Bins> fall_velocities_m_per_s(double density_kg_per_m3, const fuel::Liquid& liquid);

}  // namespace fw::debris
