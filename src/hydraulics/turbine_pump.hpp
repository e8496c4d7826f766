// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <span>

#include "base/required.hpp"
#include "base/result.hpp"
#include "fuel/liquid.hpp"
#include "hydraulics/network.hpp"

/// Pumps known by a falling curve of rise over flow: turbine (regenerative) pumps, solenoid pumps, and any pump with
/// measured points. For the solver they are valves with a negative crack pressure.
namespace fw::hydraulics {

/// rise = c0 - c1 Q - c2 Q^2 at the nominal speed, falling: c0 > 0, c1 > 0, c2 >= 0. No reverse flow.
struct PumpCurve {
  double dead_head_Pa = required;        ///< c0
  double linear_Pa_s_per_m3 = required;  ///< c1
  double quadratic_Pa_s2_per_m6 = 0.0;   ///< c2
  /// Density of the stated curve; given: the rise scales with density. Not given: it does not.
  std::optional<double> density_kg_per_m3;
};

/// The straight curve of a turbine pump, rise = dp0 (1 - Q/Qm). Errors: invalid_input naming the field.
[[nodiscard]] Result<PumpCurve> turbine_curve(double dead_head_Pa, double free_flow_m3_per_s);

struct CurvePoint {
  double flow_m3_per_s = required;
  double rise_Pa = required;
};

struct CurveFit {
  PumpCurve curve;
  double largest_deviation_Pa = 0.0;  ///< of the fit from a point
  bool constrained = false;           ///< the free parabola was not falling with growing slope; see curve_through
};

/// Curve through measured points by least squares: 2 points a straight line, 3 and more a parabola. Where the free
/// parabola flattens towards free flow (c2 < 0) a straight line is fitted; where it starts flat or rises (c1 <= 0) the
/// slope at rest is held at one thousandth of dead head per largest flow and c0, c2 are fitted. Both are
/// `constrained`, and the deviation says what it costs: uniqueness of the solver's answer rests on a falling curve.
/// Errors: invalid_input naming `points[i]....`: fewer than 2 points, flows not rising, rises not strictly falling,
/// numbers not finite, flow below 0; outside_model `points` when the fit is not a pump (c0 <= 0).
/// Check: five points of 450000 - 3e8 Q - 1.2e13 Q^2 give the three numbers back.
[[nodiscard]] Result<CurveFit> curve_through(std::span<const CurvePoint> points);

/// Rise [Pa] at a flow >= 0 and speed ratio r = n/n0 by affinity (Q ~ n, rise ~ n^2):
///   rise = c0 r^2 - c1 r Q - c2 Q^2
/// For a DC motor r is near V/V0 (assumed); with load it falls faster.
/// Errors: invalid_input naming `curve...`, `flow_m3_per_s`, `speed_ratio` (not above 0) or the liquid's field.
/// Check: 500 kPa, 400 L/h, 180 L/h: r 1 275000 Pa, r 0.8 140000 Pa.
struct CurveState {
  double flow_m3_per_s = required;
  double speed_ratio = 1.0;
};
[[nodiscard]] Result<double> curve_rise_Pa(const PumpCurve& curve, const CurveState& state, const fuel::Liquid& liquid);

/// Flow [m3/s] at a rise; 0 when the rise is at or above dead head. Errors as curve_rise_Pa, `rise_Pa` not finite.
/// Check: 800 kPa, 330 L/h at 400 kPa, r = 1, 12/13.8, 10/13.8: 165.00 / 97.21 / 11.43 L/h.
[[nodiscard]] Result<double> curve_flow_m3_per_s(const PumpCurve& curve, double rise_Pa, double speed_ratio,
                                                 const fuel::Liquid& liquid);

/// The running pump for the solver, from its inlet to its outlet: crack = -c0 r^2, a = c1 r, b = c2 (x density ratio).
/// Errors as curve_rise_Pa. A stopped turbine pump is an orifice behind its check: valve_from_orifice, typical 3 to
/// 5 mm behind 5 to 20 kPa (typical, no source).
[[nodiscard]] Result<ValveCoefficients> curve_pump_law(const PumpCurve& curve, const fuel::Liquid& liquid,
                                                       double speed_ratio = 1.0);

}  // namespace fw::hydraulics
