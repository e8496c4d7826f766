// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/relief.hpp"

#include <cmath>

#include <fmt/format.h>

#include "base/input_check.hpp"

namespace fw::hydraulics {

namespace {

void check_relief(InputCheck& check, const Relief& relief, const ReliefUse& use) {
  check.positive(relief.opening_Pa, "relief.opening_Pa")
      .positive(relief.slope_Pa_s_per_m3, "relief.slope_Pa_s_per_m3")
      .non_negative(relief.hysteresis_Pa, "relief.hysteresis_Pa")
      .finite(use.back_pressure_Pa, "use.back_pressure_Pa");
  if (check.failed()) return;
  check.that(relief.hysteresis_Pa < relief.opening_Pa, "relief.hysteresis_Pa", [&] {
    return Mismatch{
        .found = fmt::format("{:.6g} Pa", relief.hysteresis_Pa),
        .expected = fmt::format("less than the set, {:.6g} Pa: the valve would never close", relief.opening_Pa)};
  });
}

double set_Pa(const Relief& relief, ReliefSet set) {
  return set == ReliefSet::opening ? relief.opening_Pa : relief.opening_Pa - relief.hysteresis_Pa;
}

}  // namespace

Result<double> override_slope_Pa_s_per_m3(const OverridePoint& point) {
  InputCheck check;
  check.non_negative(point.crack_Pa, "override.crack_Pa")
      .positive(point.full_Pa, "override.full_Pa")
      .positive(point.flow_m3_per_s, "override.flow_m3_per_s");
  if (check.failed()) return check.fault();
  check.that(point.full_Pa > point.crack_Pa, "override.full_Pa",
             {.found = fmt::format("{:.6g} Pa", point.full_Pa),
              .expected = fmt::format("more than the crack pressure, {:.6g} Pa", point.crack_Pa)});
  if (check.failed()) return check.fault();
  return (point.full_Pa - point.crack_Pa) / point.flow_m3_per_s;
}

Result<ValveCoefficients> relief_law(const Relief& relief, const ReliefUse& use) {
  InputCheck check;
  check_relief(check, relief, use);
  if (check.failed()) return check.fault();
  const double set = set_Pa(relief, use.set);
  const double crack_Pa = use.back_pressure == BackPressure::adds ? set : std::fmax(0.0, set - use.back_pressure_Pa);
  return ValveCoefficients{.crack_Pa = crack_Pa, .linear_Pa_s_per_m3 = relief.slope_Pa_s_per_m3};
}

Result<double> relief_opening_pressure_Pa(const Relief& relief, double reference_Pa, const ReliefUse& use) {
  InputCheck check;
  check_relief(check, relief, use);
  check.finite(reference_Pa, "reference_Pa");
  if (check.failed()) return check.fault();
  return reference_Pa + set_Pa(relief, use.set) +
         (use.back_pressure == BackPressure::adds ? use.back_pressure_Pa : 0.0);
}

}  // namespace fw::hydraulics
