// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "rail/liquid.hpp"

/// Leakage past a lapped plunger, needle guide or control piston that its own pressure widens.
namespace fw::rail {

/// Steel of plunger and barrel.
struct Steel {
  double young_Pa = 210e9;
  double poisson = 0.3;
};

/// How much a pressure opens the radial gap [m/Pa]: k = k_b + k_p,
///   k_b = (r/E) [(ro^2 + r^2)/(ro^2 - r^2) + nu] (barrel),  k_p = (r/E)(1 - nu) (plunger, pressed from the side).
/// Errors: invalid_input; ro not above r. Source: Lame, elasticity of thick walls. Check: 6.5 mm, ro/r 3: k_b 2.40,
/// k 3.48 um per 100 MPa.
struct Barrel {
  double bore_m = required;
  double outer_over_bore = 3.0;  ///< [-], typical, no source
  Steel steel{};
};
struct GapOpening {
  double barrel_m_per_Pa = required;
  double plunger_m_per_Pa = required;
  [[nodiscard]] double total_m_per_Pa() const { return barrel_m_per_Pa + plunger_m_per_Pa; }
};
[[nodiscard]] Result<GapOpening> gap_opening(const Barrel& barrel);

/// A sealing gap. The flow leaves through it from `pressure` to about the atmosphere.
struct SealGap {
  double bore_m = required;
  double length_m = required;
  double clearance_m = required;     ///< radial, unloaded; typical new 1 to 2.5 um
  double opening_m_per_Pa = 0.0;     ///< k
  double axial_loss_m_per_Pa = 0.0;  ///< nu r/E: the axial load widens the plunger; 0 leaves it out
  double eccentricity = 0.0;         ///< 0 centred to 1 touching [-]
};

struct GapFlow {
  double flow_m3_per_s = 0.0;  ///< volume at the state of the pressed fuel
  bool touches = false;        ///< the gap closes at its low end: the law stands outside its data
};

/// Q = pi d/(12 L) (1 + 1.5 e^2) integral_0^p h(q)^3/mu(q) dq,  h(q) = h0 + k q - (nu r/E) p.
/// Laminar, isothermal (heating by the flow is left out and would raise Q), eight-point Gauss quadrature (1e-6 of
/// Simpson with 200 intervals, test). Carry times or divided by 2 on every leakage (assumed).
/// Errors: invalid_input. Source: Reynolds' equation; law Q ~ d p h^3/(L mu) confirmed by Rothrock & Marsh, NACA TR-477
/// (number from memory). Check: 6.5 x 12 mm, 2 um, 180 MPa, mu0 1.14e-3, alpha 1e-8: 4.98 mL/min; k 3.482 um/100 MPa:
/// 71.5; with the axial load 44.2.
[[nodiscard]] Result<GapFlow> gap_flow(const SealGap& gap, const RailLiquid& liquid, double pressure_Pa);

/// The same without checks, for loops. Preconditions: gap_flow() accepts the arguments.
[[nodiscard]] GapFlow gap_flow_unchecked(const SealGap& gap, const RailLiquid& liquid, double pressure_Pa);

/// Adds the first fault of a gap to `check` under `name`.
void check_gap(InputCheck& check, const SealGap& gap, const std::string& name);

}  // namespace fw::rail
