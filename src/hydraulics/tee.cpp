// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/tee.hpp"

#include <array>
#include <cmath>
#include <string_view>

#include <fmt/format.h>

#include "hydraulics/liquid_check.hpp"

namespace fw::hydraulics {

namespace {

std::string_view fitting_id(TeeBuild build, TeeLeg leg) {
  const bool run = leg == TeeLeg::run;
  switch (build) {
    case TeeBuild::threaded: return run ? "tee-run-threaded" : "tee-branch-threaded";
    case TeeBuild::long_radius: return run ? "tee-run-flanged" : "tee-branch-long";
    case TeeBuild::flanged: return run ? "tee-run-flanged" : "tee-branch-flanged";
    case TeeBuild::stub_in: return run ? "tee-run-stub-in" : "tee-branch-stub-in";
  }
  return "";
}

}  // namespace

Result<ResistorLaw> tee_leg_law(TeeBuild build, TeeLeg leg, const FittingUse& use, const fuel::Liquid& liquid) {
  const auto fitting = fitting_named(fitting_id(build, leg));
  if (!fitting) return fail(fitting.error());
  return fitting_law(*fitting, use, liquid);
}

Result<TeeCoefficients> tee_split_coefficients(const TeeSplit& tee) {
  InputCheck check;
  check.within(tee.branch_share, {.low = 0.0, .high = 1.0}, "tee.branch_share")
      .positive(tee.bore_ratio, "tee.bore_ratio")
      .within(tee.bore_ratio, {.low = 0.0, .high = 1.0}, "tee.bore_ratio");
  if (check.failed()) return check.fault();
  const double s = tee.branch_share;
  const double b2 = tee.bore_ratio * tee.bore_ratio;
  const double v = s / b2;
  double joining = 1.0;
  if (b2 > 0.35) joining = s <= 0.4 ? 0.9 * (1.0 - s) : std::fmin(0.55, 0.54 + 0.5 * (s - 0.4));
  const double splitting = tee.bore_ratio <= 2.0 / 3.0 ? 1.0 : 0.3;
  const double equal_bores = tee.bore_ratio >= 0.99 ? 1.0 + 0.3 * s * s : 1.0;
  double run = 0.4;
  if (b2 > 0.4) run = (s <= 0.5 ? 2.0 : 0.3) * (2.0 * s - 1.0);
  return TeeCoefficients{.branch_converging = joining * (1.0 + v * v - 2.0 * (1.0 - s) * (1.0 - s)),
                         .run_converging = 1.55 * s - s * s,
                         .branch_diverging = equal_bores * (1.0 + splitting * v * v),
                         .run_diverging = run * s * s};
}

namespace {

/// 0 in laminar, 1 in turbulent flow of the combined leg, a cubic between.
double turbulent_weight(double reynolds) {
  const double t = (reynolds - tee_laminar_reynolds) / (tee_turbulent_reynolds - tee_laminar_reynolds);
  if (t <= 0.0) return 0.0;
  if (t >= 1.0) return 1.0;
  return t * t * (3.0 - 2.0 * t);
}

}  // namespace

Result<TeeDrops> tee_drops(const Tee& tee, const TeeFlows& flows, const fuel::Liquid& liquid) {
  InputCheck check;
  check.positive(tee.run_bore_m, "tee.run_bore_m")
      .positive(tee.branch_bore_m, "tee.branch_bore_m")
      .finite(flows.first_run_m3_per_s, "flows.first_run_m3_per_s")
      .finite(flows.second_run_m3_per_s, "flows.second_run_m3_per_s")
      .finite(flows.branch_m3_per_s, "flows.branch_m3_per_s");
  check_liquid(check, liquid);
  if (check.failed()) return check.fault();
  check.that(tee.branch_bore_m <= tee.run_bore_m, "tee.branch_bore_m",
             {.found = fmt::format("{:.6g} m", tee.branch_bore_m),
              .expected = fmt::format("not above the bore of the run, {:.6g} m", tee.run_bore_m)});
  if (check.failed()) return check.fault();

  // Legs in the order first run, second run, branch.
  constexpr std::size_t branch = 2;
  const std::array<double, 3> flow{flows.first_run_m3_per_s, flows.second_run_m3_per_s, flows.branch_m3_per_s};
  std::size_t combined = 0;
  for (std::size_t leg = 1; leg < flow.size(); ++leg) {
    if (std::abs(flow[leg]) > std::abs(flow[combined])) combined = leg;
  }
  const double most = std::abs(flow[combined]);
  const bool covered = combined != branch;
  const double reynolds = bore_reynolds(most, covered ? tee.run_bore_m : tee.branch_bore_m, liquid);
  const double weight = covered ? turbulent_weight(reynolds) : 0.0;
  TeeCoefficients k;
  if (weight > 0.0) {
    const auto split = tee_split_coefficients({.branch_share = std::fmin(1.0, std::abs(flow[branch]) / most),
                                               .bore_ratio = tee.branch_bore_m / tee.run_bore_m});
    if (!split) return fail(split.error());
    k = *split;
  }
  const double velocity = most / bore_area_m2(tee.run_bore_m);
  const double head_Pa = 0.5 * liquid.density_kg_per_m3 * velocity * velocity;
  const bool joining = flow[combined] < 0.0;

  std::array<double, 3> drop{};
  std::array<double, 3> slope{};
  for (std::size_t leg = 0; leg < flow.size(); ++leg) {
    const TeeLeg turn = leg == branch || !covered ? TeeLeg::branch : TeeLeg::run;
    const auto law =
        tee_leg_law(tee.build, turn, {.bore_m = leg == branch ? tee.branch_bore_m : tee.run_bore_m}, liquid);
    if (!law) return fail(law.error());
    const ResistorCoefficients& own = law->coefficients;
    slope[leg] = own.linear_Pa_s_per_m3 + 2.0 * own.quadratic_Pa_s2_per_m6 * std::abs(flow[leg]);
    if (leg == combined) continue;
    const double laminar_Pa = drop_Pa(own, flow[leg]);
    double turbulent_Pa = 0.0;
    if (weight > 0.0) {
      const double coefficient = leg == branch ? (joining ? k.branch_converging : k.branch_diverging)
                                               : (joining ? k.run_converging : k.run_diverging);
      turbulent_Pa = (joining ? 1.0 : -1.0) * coefficient * head_Pa;
    }
    drop[leg] = (1.0 - weight) * laminar_Pa + weight * turbulent_Pa;
  }
  return TeeDrops{.first_run_Pa = drop[0],
                  .second_run_Pa = drop[1],
                  .branch_Pa = drop[2],
                  .first_run_slope_Pa_s_per_m3 = slope[0],
                  .second_run_slope_Pa_s_per_m3 = slope[1],
                  .branch_slope_Pa_s_per_m3 = slope[2]};
}

}  // namespace fw::hydraulics
