// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/required.hpp"
#include "base/result.hpp"
#include "fuel/liquid.hpp"
#include "hydraulics/network.hpp"

/// Check valves and bypasses: the lift of a sprung poppet, and the solver's law drop = crack + a Q + b Q^2.
namespace fw::hydraulics {

/// Sprung poppet or ball on a conical seat.
struct SpringPoppet {
  double seat_bore_m = required;
  double cone_half_angle_rad = required;
  double preload_N = required;
  double rate_N_per_m = required;
  double lift_stop_m = required;
  double discharge = 0.65;
};

struct PoppetState {
  double lift_m = 0.0;
  double flow_m3_per_s = 0.0;
  bool at_stop = false;
};

/// Lift and flow at a drop: A dp = F0 + k x, 0 <= x <= x_max, A = pi d^2/4;
///   Q = Cd pi d x sin(half angle) sqrt(2 dp/rho); 0 at or below the crack pressure F0/A.
/// Validity: small lift (x sin(angle) below d/4, where the seat's bore becomes the throat), no flow force, no friction
/// of the guide. Errors: invalid_input naming `poppet...`, `drop_Pa` or the liquid's field; outside_model
/// `poppet.lift_stop_m` for a larger lift.
/// Check: 8 mm, 45 degrees, 0.25 N, 200 N/m, 2 mm, Cd 0.65, 835 kg/m3: 10 kPa 1.2632741 mm, 257.10474 L/h.
[[nodiscard]] Result<PoppetState> poppet_state(const SpringPoppet& poppet, const fuel::Liquid& liquid, double drop_Pa);

/// Drop [Pa] at which it opens, F0/A.
[[nodiscard]] Result<double> poppet_crack_Pa(const SpringPoppet& poppet);

/// The poppet as a valve of the solver, through crack and two points of its own curve: half of the lift, and twice the
/// excess over crack that brings it to its stop. There a > 0 and b >= 0 hold for every poppet (see components.md).
/// For the check poppet the flow is up to 26 % low where the poppet meets its stop, the worst between a quarter of the
/// stop's excess and four times of it (test).
/// Errors: as poppet_state.
[[nodiscard]] Result<ValveCoefficients> poppet_law(const SpringPoppet& poppet, const fuel::Liquid& liquid);

/// One measured point of a valve: whole drop at a flow.
struct ValvePoint {
  double flow_m3_per_s = required;
  double drop_Pa = required;
};

/// crack + a Q + b Q^2 through two points.
/// Errors: invalid_input `crack_Pa` (negative), `low...`, `high...` (flows and drops must rise from crack on);
/// outside_model `high.drop_Pa` when the points bend the wrong way (a <= 0 or b < 0): the law cannot hold them.
[[nodiscard]] Result<ValveCoefficients> valve_through_points(double crack_Pa, const ValvePoint& low,
                                                             const ValvePoint& high);

/// A valve known by its crack pressure and the orifice it becomes when full open.
struct OpenOrificeValve {
  double crack_Pa = required;  ///< >= 0; typical 3 kPa (1 to 7), foot valve 1.5 kPa
  double bore_m = required;    ///< typical 6.0 / 7.5 / 8.5 / 11.0 mm for lines -5 / -6 / -8 / -10
  double discharge = 0.65;
};

/// Crack plus an orifice with its linear part (orifice.hpp).
/// Errors: invalid_input naming `valve...` or the liquid's field.
/// Check: 6.0 mm, Cd 0.65, W, 300 L/h: 8.430 kPa over crack (turbulent part); b = rho 1.480e9.
[[nodiscard]] Result<ValveCoefficients> valve_from_orifice(const OpenOrificeValve& valve, const fuel::Liquid& liquid);

/// A valve known by crack and one drop over it, e.g. "7 kPa plus 3 kPa at 150 L/h".
struct StatedValve {
  double crack_Pa = required;
  double drop_over_crack_Pa = required;
  double flow_m3_per_s = required;
  double dynamic_viscosity_Pa_s = 2.7e-6 * 817.09;  ///< of the stated drop
  double density_kg_per_m3 = 817.09;
};

/// crack + a Q + b Q^2 with the stated drop at the stated flow and liquid, the quadratic part ~ density, and the linear
/// part of a sharp orifice of that size (Cd 0.611): nearly drop (rho/rho0)(Q/Q0)^2.
/// Errors: invalid_input naming `valve...` or the liquid's field.
[[nodiscard]] Result<ValveCoefficients> valve_from_drop(const StatedValve& valve, const fuel::Liquid& liquid);

}  // namespace fw::hydraulics
