// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/annular.hpp"

#include <numbers>

#include <fmt/format.h>

#include "hydraulics/liquid_check.hpp"

namespace fw::hydraulics {

Result<ResistorCoefficients> annular_gap_law(const AnnularGap& gap, const fuel::Liquid& liquid) {
  InputCheck check;
  check.positive(gap.diameter_m, "gap.diameter_m")
      .positive(gap.clearance_m, "gap.clearance_m")
      .positive(gap.length_m, "gap.length_m")
      .within(gap.eccentricity, {.low = 0.0, .high = 1.0}, "gap.eccentricity");
  check_liquid(check, liquid);
  if (check.failed()) return check.fault();
  if (gap.clearance_m > 0.1 * gap.diameter_m) {
    return outside("gap.clearance_m", fmt::format("{:.6g} of the diameter", gap.clearance_m / gap.diameter_m),
                   "at most a tenth of the diameter: a wider gap is no flat channel", "Enter it as an orifice");
  }
  const double wide = 1.0 + 1.5 * gap.eccentricity * gap.eccentricity;
  const double cubed = gap.clearance_m * gap.clearance_m * gap.clearance_m;
  return ResistorCoefficients{.linear_Pa_s_per_m3 = 12.0 * liquid.dynamic_viscosity_Pa_s * gap.length_m /
                                                    (std::numbers::pi * gap.diameter_m * cubed * wide),
                              .quadratic_Pa_s2_per_m6 = 0.0};
}

}  // namespace fw::hydraulics
