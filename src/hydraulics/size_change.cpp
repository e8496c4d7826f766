// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/size_change.hpp"

#include <cmath>

#include <fmt/format.h>

#include "hydraulics/friction.hpp"
#include "hydraulics/liquid_check.hpp"

namespace fw::hydraulics {

namespace {

constexpr double contraction_switch = 2500.0;
constexpr double expansion_switch = 4000.0;
constexpr double blend_width = 0.2;  // of the switch, either side
constexpr double cone_bound_rad = 0.25 * std::numbers::pi;

/// Both branches of one change: K = (laminar_k1/Re + laminar) or turbulent, on the upstream head.
struct Branches {
  double laminar_k1 = 0.0;
  double laminar = 0.0;
  double turbulent_flat = 0.0;  ///< part without f1
  double turbulent_per_friction = 0.0;
  double switch_reynolds = 0.0;
};

Branches branches_of(const SizeChange& change) {
  const double r = change.upstream_bore_m / change.downstream_bore_m;
  const double r2 = r * r;
  const double half_sine = std::sin(0.5 * change.cone_angle_rad);
  const bool steep = change.cone_angle_rad >= cone_bound_rad;
  if (r > 1.0) {
    const double cone = steep ? std::sqrt(half_sine) : 1.6 * half_sine;
    const double laminar = cone * (r2 * r2 - 1.0);
    const double turbulent = cone * r2 * (r2 - 1.0);
    return {.laminar_k1 = 160.0 * laminar,
            .laminar = 1.2 * laminar,
            .turbulent_flat = 0.6 * turbulent,
            .turbulent_per_friction = 0.48 * turbulent,
            .switch_reynolds = contraction_switch};
  }
  const double cone = steep ? 1.0 : 2.6 * half_sine;
  const double turbulent = cone * (1.0 - r2) * (1.0 - r2);
  return {.laminar_k1 = 0.0,
          .laminar = cone * 2.0 * (1.0 - r2 * r2),
          .turbulent_flat = turbulent,
          .turbulent_per_friction = 0.8 * turbulent,
          .switch_reynolds = expansion_switch};
}

/// Share of the turbulent branch.
double turbulent_share(double reynolds, double switch_reynolds, BranchJoin join) {
  if (join == BranchJoin::hard) return reynolds > switch_reynolds ? 1.0 : 0.0;
  const double t = (reynolds / switch_reynolds - (1.0 - blend_width)) / (2.0 * blend_width);
  if (t <= 0.0) return 0.0;
  if (t >= 1.0) return 1.0;
  return t * t * (3.0 - 2.0 * t);
}

void check_change(InputCheck& check, const SizeChange& change) {
  check.positive(change.upstream_bore_m, "change.upstream_bore_m")
      .positive(change.downstream_bore_m, "change.downstream_bore_m")
      .positive(change.cone_angle_rad, "change.cone_angle_rad");
  if (check.failed()) return;
  check.that(change.cone_angle_rad <= std::numbers::pi, "change.cone_angle_rad",
             {.found = fmt::format("{:.6g} rad", change.cone_angle_rad), .expected = "at most pi, a square shoulder"});
}

}  // namespace

Result<double> size_change_loss_coefficient(const SizeChange& change, const SizeChangeState& state, BranchJoin join) {
  InputCheck check;
  check_change(check, change);
  check.positive(state.reynolds, "reynolds").positive(state.friction_factor, "friction_factor");
  if (check.failed()) return check.fault();
  const Branches k = branches_of(change);
  const double share = turbulent_share(state.reynolds, k.switch_reynolds, join);
  return (1.0 - share) * (k.laminar + k.laminar_k1 / state.reynolds) +
         share * (k.turbulent_flat + k.turbulent_per_friction * state.friction_factor);
}

Result<ResistorCoefficients> size_change_law(const SizeChange& change, const fuel::Liquid& liquid,
                                             double reference_flow_m3_per_s) {
  InputCheck check;
  check_change(check, change);
  check.non_negative(reference_flow_m3_per_s, "reference_flow_m3_per_s");
  check_liquid(check, liquid);
  if (check.failed()) return check.fault();
  const Branches k = branches_of(change);
  LossCoefficient loss{.k1 = k.laminar_k1, .k_infinity = k.laminar};
  const double reynolds = bore_reynolds(reference_flow_m3_per_s, change.upstream_bore_m, liquid);
  const double share = turbulent_share(reynolds, k.switch_reynolds, BranchJoin::blended);
  if (share > 0.0) {
    const auto friction = pipe_friction_factor({.reynolds = reynolds});
    if (!friction) return fail(friction.error());
    loss.k1 = (1.0 - share) * k.laminar_k1;
    loss.k_infinity =
        (1.0 - share) * k.laminar + share * (k.turbulent_flat + k.turbulent_per_friction * friction->factor);
  }
  return resistor_of(loss, change.upstream_bore_m, liquid);
}

Result<PipeCoefficients> stem_law(const Stem& stem, const fuel::Liquid& liquid, double reference_flow_m3_per_s) {
  InputCheck check;
  check.positive(stem.upstream_bore_m, "stem.upstream_bore_m")
      .positive(stem.bore_m, "stem.bore_m")
      .positive(stem.length_m, "stem.length_m")
      .positive(stem.downstream_bore_m, "stem.downstream_bore_m")
      .non_negative(stem.roughness_m, "stem.roughness_m");
  if (check.failed()) return check.fault();
  const auto in = size_change_law({.upstream_bore_m = stem.upstream_bore_m, .downstream_bore_m = stem.bore_m}, liquid,
                                  reference_flow_m3_per_s);
  if (!in) return fail(in.error());
  const auto out = size_change_law({.upstream_bore_m = stem.bore_m, .downstream_bore_m = stem.downstream_bore_m},
                                   liquid, reference_flow_m3_per_s);
  if (!out) return fail(out.error());
  return pipe_law({.bore_m = stem.bore_m, .length_m = stem.length_m, .roughness_m = stem.roughness_m}, liquid,
                  in_series(*in, *out));
}

Result<PipeCoefficients> joint_loss(const JointBore& joint, const fuel::Liquid& liquid) {
  InputCheck check;
  check.positive(joint.bore_m, "joint.bore_m")
      .positive(joint.line_bore_m, "joint.line_bore_m")
      .positive(joint.length_m, "joint.length_m")
      .non_negative(joint.roughness_m, "joint.roughness_m")
      .positive(joint.count, "joint.count");
  if (check.failed()) return check.fault();
  double k = 0.0;
  if (joint.bore_m < joint.line_bore_m) {
    const double ratio = joint.bore_m / joint.line_bore_m;
    k = 3.3 * (1.0 - ratio * ratio * ratio * ratio);
  }
  const auto ends = resistor_of({.k1 = 0.0, .k_infinity = joint.count * k}, joint.bore_m, liquid);
  if (!ends) return fail(ends.error());
  return pipe_law({.bore_m = joint.bore_m, .length_m = joint.count * joint.length_m, .roughness_m = joint.roughness_m},
                  liquid, *ends);
}

}  // namespace fw::hydraulics
