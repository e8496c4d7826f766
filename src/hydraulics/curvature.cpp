// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/curvature.hpp"

#include <cmath>

#include "base/input_check.hpp"

namespace fw::hydraulics {

namespace {
constexpr double tightest_curvature = 0.7072;  // d/Dc 1/2
}

double dean_number(double reynolds, double curvature) { return reynolds * curvature; }

Result<CurvatureNumber> white_factor(double dean) {
  InputCheck check;
  check.non_negative(dean, "dean");
  if (check.failed()) return check.fault();
  constexpr double onset = 11.6;
  if (dean <= onset) return CurvatureNumber{.value = 1.0};
  const double inner = 1.0 - std::pow(onset / dean, 0.45);
  return CurvatureNumber{.value = 1.0 / (1.0 - std::pow(inner, 1.0 / 0.45)),
                         .range = dean <= 2000.0 ? Range::fitted : Range::extrapolated};
}

Result<CurvatureNumber> mishra_gupta_factor(double dean) {
  InputCheck check;
  check.non_negative(dean, "dean");
  if (check.failed()) return check.fault();
  if (dean <= 1.0) return CurvatureNumber{.value = 1.0};
  const double decades = std::log10(dean);
  return CurvatureNumber{.value = 1.0 + 0.033 * decades * decades * decades * decades,
                         .range = dean <= 3000.0 ? Range::fitted : Range::extrapolated};
}

Result<CurvatureNumber> mishra_gupta_turbulent_friction(const ArcFlow& flow) {
  InputCheck check;
  check.positive(flow.reynolds, "reynolds")
      .within(flow.curvature, {.low = 0.0, .high = tightest_curvature}, "curvature")
      .positive(flow.straight_friction_factor, "straight_friction_factor");
  if (check.failed()) return check.fault();
  return CurvatureNumber{.value = flow.straight_friction_factor + 0.03 * flow.curvature,
                         .range = flow.reynolds > 4500.0 && flow.reynolds < 1e5 ? Range::fitted : Range::extrapolated};
}

Result<CriticalReynolds> critical_reynolds(double curvature) {
  InputCheck check;
  check.positive(curvature, "curvature").within(curvature, {.low = 0.0, .high = tightest_curvature}, "curvature");
  if (check.failed()) return check.fault();
  const double ratio = curvature * curvature;
  return CriticalReynolds{.ito = 2e4 * std::pow(ratio, 0.32),
                          .srinivasan = 2100.0 * (1.0 + 12.0 * curvature),
                          .schmidt = 2300.0 * (1.0 + 8.6 * std::pow(ratio, 0.45)),
                          .range = ratio >= 1.0 / 860.0 && ratio <= 1.0 / 15.0 ? Range::fitted : Range::extrapolated};
}

}  // namespace fw::hydraulics
