// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <numbers>

#include "base/required.hpp"
#include "base/result.hpp"
#include "fuel/liquid.hpp"
#include "hydraulics/network.hpp"
#include "hydraulics/orifice.hpp"
#include "hydraulics/pipe.hpp"
#include "hydraulics/resistor.hpp"

/// Changes of bore: square shoulders and cones, and the stems, barbs, swivels and joints that are made of them.
namespace fw::hydraulics {

struct SizeChange {
  double upstream_bore_m = required;
  double downstream_bore_m = required;
  double cone_angle_rad = std::numbers::pi;  ///< total angle; pi: a square shoulder
};

/// Loss coefficient K [-] of a change of bore, on the velocity head of the UPSTREAM bore, at Re1 and f1 there.
///
///   contraction, Re1 <= 2500:  (1.2 + 160/Re1) (r^4 - 1)          r = d1/d2
///                 above:       (0.6 + 0.48 f1) r^2 (r^2 - 1)
///   expansion,   Re1 <= 4000:  2 (1 - r^4)
///                 above:       (1 + 0.8 f1) (1 - r^2)^2
///   cone, total angle t: contraction x sqrt(sin(t/2)) from 45 degrees, x 1.6 sin(t/2) below; expansion x 1 from 45
///   degrees, x 2.6 sin(t/2) below. The factor holds on both branches; it jumps by 1 % at 45 degrees.
///
/// `BranchJoin::hard` switches as printed and jumps down by a factor of 2.8 to 4.5; `blended` crosses from 0.8 to 1.2
/// of the switch Re by a cubic (common practice, no source). K Re^2, so the drop, still falls inside the blend: as a
/// law of the solver use size_change_law.
///
/// Validity: the laminar branch has no creeping-flow term (30/Re of Idelchik) and is low below Re 10; no accuracy is
/// published for small bores, carry fitting_law_spread.
/// Errors: invalid_input naming `change...`, `reynolds`, `friction_factor`.
/// Source: W. B. Hooper, Chem. Eng. 95(16) (1988) 89, secondary; cones from memory.
/// Check: tests/published/hydraulics/hyd_size_change.csv; 9.5 to 6 mm, Re1 2000 -> 6.764506173.
struct SizeChangeState {
  double reynolds = required;         ///< Re1 in the upstream bore [-]
  double friction_factor = required;  ///< f1, Darcy, of the upstream bore [-]; used on the turbulent branch only
};
[[nodiscard]] Result<double> size_change_loss_coefficient(const SizeChange& change, const SizeChangeState& state,
                                                          BranchJoin join = BranchJoin::blended);

/// The change of bore as a resistor, which is strictly rising where the published K is not.
///
/// Without a reference flow: the laminar branch, exact for every Re1 up to 0.8 of its switch, and an upper bound beyond
/// (up to 2.8 times a contraction's loss, 4.5 times an expansion's at Re1 1e4; 9.5 mm and 6 mm).
/// With the flow that the part is expected to carry: exact at that flow, blended K and smooth friction factor. If that
/// flow is laminar, the result is the same; if it is turbulent, the resistor is within 1 % of the blended K from
/// Re1 1.2 of the switch to 1e4, and too low by the same 2.8 and 4.5 when the real flow is laminar.
/// The linear part is 0 for an expansion and for a turbulent contraction: put it along a pipe (with_loss).
/// Errors: as above, and `reference_flow_m3_per_s` negative or the liquid's field.
[[nodiscard]] Result<ResistorCoefficients> size_change_law(const SizeChange& change, const fuel::Liquid& liquid,
                                                           double reference_flow_m3_per_s = 0.0);

/// A hose stem, barb, swivel or nipple: a short bore between two lines. No published K exists for these; the true
/// through-bore decides.
struct Stem {
  double upstream_bore_m = required;
  double bore_m = required;  ///< true through-bore, 8 % typical scatter: measure it
  double length_m = required;
  double downstream_bore_m = required;
  double roughness_m = tube_roughness_m;
};

/// Size change in + straight bore + size change out, as one pipe element (losses along it).
/// Errors: as pipe_law and size_change_law, fields "stem...".
/// Check: D20, 9.5 mm hose with 6.0 x 30 mm, 60 / 180 / 300 L/h: 488.735 / 3839.13 / 10695.5 Pa (hard switch; laminar).
[[nodiscard]] Result<PipeCoefficients> stem_law(const Stem& stem, const fuel::Liquid& liquid,
                                                double reference_flow_m3_per_s = 0.0);

/// A joint of the check grade lines: quick connector or stem of which only the through-bore is known.
struct JointBore {
  double bore_m = required;
  double line_bore_m = required;  ///< of the neighbouring line
  double length_m = 0.030;        ///< of the joint's own bore, typical
  double roughness_m = tube_roughness_m;
  double count = 1.0;  ///< equal joints in series
};

/// K = 3.3 (1 - (d/D)^4) on the joint's bore plus the joint's own bore as pipe, as one pipe element. 3.3 is Hooper's
/// laminar contraction (1.2 + 160/Re) and expansion 2 at Re about 1500; no measurement of a joint was found. A joint
/// not narrower than its line costs its length only.
/// Errors: invalid_input naming `joint...` or the liquid's field.
/// Check: layouts page 9, K1: 6.3 in 7.75 mm at 169.31 L/h, 841.458 kg/m3, 4.05782 mm2/s: 1.92 kPa.
[[nodiscard]] Result<PipeCoefficients> joint_loss(const JointBore& joint, const fuel::Liquid& liquid);

}  // namespace fw::hydraulics
