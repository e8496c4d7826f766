// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/tee.hpp"

#include <string_view>

#include "base/input_check.hpp"

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
  if (b2 > 0.35) joining = s <= 0.4 ? 0.9 * (1.0 - s) : 0.55;
  const double splitting = tee.bore_ratio <= 2.0 / 3.0 ? 1.0 : 0.3;
  const double equal_bores = tee.bore_ratio >= 0.99 ? 1.0 + 0.3 * s * s : 1.0;
  double run = 0.4;
  if (b2 > 0.4) run = (s <= 0.5 ? 2.0 : 0.3) * (2.0 * s - 1.0);
  return TeeCoefficients{.branch_converging = joining * (1.0 + v * v - 2.0 * (1.0 - s) * (1.0 - s)),
                         .run_converging = 1.55 * s - s * s,
                         .branch_diverging = equal_bores * (1.0 + splitting * v * v),
                         .run_diverging = run * s * s};
}

}  // namespace fw::hydraulics
