// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>

#include "base/required.hpp"
#include "base/result.hpp"
#include "fuel/liquid.hpp"
#include "hydraulics/resistor.hpp"

/// Sharp orifices, short tubes, and the vent hole of a tank. Q = Cd A sqrt(2 dp/rho), R = (Q/A) d/nu.
namespace fw::hydraulics {

/// Discharge coefficient of a sharp round orifice: delta sqrt(R) below R_t = (0.611/delta)^2, 0.611 above.
inline constexpr double sharp_discharge = 0.611;
inline constexpr double sharp_delta = 0.2;                 ///< round hole (Wuest 1954), R_t 9.33; a slit 0.157
inline constexpr double sharp_transition_reynolds = 9.33;  ///< R_t of the round hole, as the check rows round it

/// Errors: invalid_input `reynolds` negative, `edge.delta`, `edge.turbulent_discharge` not positive.
/// Source: H. E. Merritt, Hydraulic Control Systems (1967) 3; W. Wuest (1954); from memory.
/// Check: tests/published/hydraulics/hyd_orifice_cd.csv, R 10 -> 0.611, R 5 -> 0.4472136.
struct SharpEdge {
  double delta = sharp_delta;
  double turbulent_discharge = sharp_discharge;
};
[[nodiscard]] Result<double> sharp_orifice_discharge(double reynolds, const SharpEdge& edge = {});

enum class BranchJoin : std::uint8_t {
  blended,  ///< smooth over +-20 % of the switch: for use
  hard,     ///< jumps at the switch: as the source prints it, for checks
};

/// Discharge coefficient of a sharp-edged short tube, x = R d/L:
///   x > 50: (1.5 + 13.74/sqrt(x))^-0.5        else (2.28 + 64/x)^-0.5
/// The branches give 0.5389 and 0.5300 at x = 50; `blended` goes from one to the other between x 40 and 60 by a cubic.
/// Not for chamfered or rounded inlets, not in cavitation.
/// Errors: invalid_input `reynolds`, `length_over_bore` not positive. Source: Merritt (1967), from memory.
/// Check: L/d 2, R 1000 -> 0.6877001.
[[nodiscard]] Result<double> short_tube_discharge(double reynolds, double length_over_bore,
                                                  BranchJoin join = BranchJoin::blended);

struct Orifice {
  double bore_m = required;
  double discharge = sharp_discharge;
  double transition_reynolds = sharp_transition_reynolds;
  double count = 1.0;  ///< equal holes side by side
};

/// The orifice as a resistor with a finite slope at rest:
///   dp = (rho/2) (1/(Cd A))^2 (Q|Q| + Q Q_t),  Q_t = R_t A nu/d     (Q, A of one hole)
/// For R >> R_t it is the turbulent orifice; at R_t it has twice its drop, at R = 20 R_t 5 % more.
/// Errors: invalid_input naming `orifice...` or the liquid's field.
/// Source: form of Borutzky, Barnard & Thoma, Sim. Mod. Pract. Theory 10 (2002) 141, from memory.
/// Check: 1 mm, D20 fuel (835 kg/m3, 4.5e-6 m2/s), 100 kPa: 26.67726 L/h; 10 Pa: 0.21451973 L/h.
[[nodiscard]] Result<ResistorCoefficients> orifice_law(const Orifice& orifice, const fuel::Liquid& liquid);

/// Flow [m3/s] by the fourth-root law Q = Cd A sqrt(2/rho) dp/(dp^2 + dp_c^2)^(1/4), dp_c = (rho/2)(R_t nu/(Cd d))^2:
/// the alternative where an explicit flow with finite slope is wanted (transients). Within 24 % of orifice_law at
/// 10 Pa and 0.3 % at 100 kPa for the check orifice.
/// Errors as orifice_law, `drop_Pa` not finite. Check: 1 mm, D20, 10 Pa: 0.26482921 L/h.
[[nodiscard]] Result<double> fourth_root_flow_m3_per_s(const Orifice& orifice, const fuel::Liquid& liquid,
                                                       double drop_Pa);

struct ShortTube {
  double bore_m = required;
  double length_m = required;
};

/// The short tube as a resistor: a from the low branch (K = 2.28 + 64/x is exact with a = 64 part, b = 2.28 part).
/// With `reference_flow_m3_per_s` above 0 beyond x 40 the quadratic part is set so that the drop at that flow is the
/// blended law's; it then deviates from it by at most 14.5 % over a fifth to five times that flow (test).
/// Errors: invalid_input naming `tube...`, `reference_flow_m3_per_s` or the liquid's field.
[[nodiscard]] Result<ResistorCoefficients> short_tube_law(const ShortTube& tube, const fuel::Liquid& liquid,
                                                          double reference_flow_m3_per_s = 0.0);

/// A tank's breather: air in, as much as fuel goes out.
struct Vent {
  double bore_m = required;  ///< equivalent orifice; typical 2 mm (1 to 4)
  double discharge = 0.6;
  double air_density_kg_per_m3 = 1.204;  ///< 20 C at sea level
  double air_kinematic_viscosity_m2_per_s = 1.5e-5;
};

/// Vacuum [Pa] over the fuel, (rho_air/2)(Q/(Cd A))^2 with the sign of the withdrawal (negative: the tank breathes
/// out). Incompressible: extrapolated beyond 10 kPa (a tenth of the atmosphere; common practice, no source). Errors:
/// invalid_input naming `vent...` or `withdrawal_m3_per_s`. Check: 1 / 1.5 / 2 / 3 mm at 300 L/h: 18825.726 / 3718.6619
/// / 1176.6079 / 232.41637 Pa.
struct VentDrop {
  double vacuum_Pa = 0.0;
  Range range = Range::fitted;
};
[[nodiscard]] Result<VentDrop> vent_drop(const Vent& vent, double withdrawal_m3_per_s);

/// The vent as an element between the atmosphere and the tank, which carries the net withdrawal (feed - return).
/// Its linear part is that of orifice_law with the air's viscosity.
[[nodiscard]] Result<ResistorCoefficients> vent_law(const Vent& vent);

}  // namespace fw::hydraulics
