// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/filter.hpp"

#include <cmath>

#include <fmt/format.h>

#include "hydraulics/liquid_check.hpp"
#include "hydraulics/orifice.hpp"

namespace fw::hydraulics {

namespace {

void check_medium(InputCheck& check, const Medium& medium) {
  check.non_negative(medium.darcy_per_m3, "medium.darcy_per_m3")
      .non_negative(medium.inertial_per_m4, "medium.inertial_per_m4")
      .finite(medium.terminal_ratio, "medium.terminal_ratio");
  if (check.failed()) return;
  check
      .that(medium.darcy_per_m3 > 0.0 || medium.inertial_per_m4 > 0.0, "medium.darcy_per_m3",
            [&] { return Mismatch{.found = "0 and no quadratic part", .expected = "a resistance"}; })
      .that(medium.terminal_ratio >= 1.0, "medium.terminal_ratio", [&] {
        return Mismatch{.found = fmt::format("{:.6g}", medium.terminal_ratio),
                        .expected = "1 (does not load) or above"};
      });
}

}  // namespace

Result<Medium> medium_from_drop(const StatedDrop& stated) {
  InputCheck check;
  check.positive(stated.clean_drop_Pa, "medium.clean_drop_Pa")
      .positive(stated.flow_m3_per_s, "medium.flow_m3_per_s")
      .within(stated.quadratic_share, {.low = 0.0, .high = 1.0}, "medium.quadratic_share")
      .positive(stated.dynamic_viscosity_Pa_s, "medium.dynamic_viscosity_Pa_s")
      .positive(stated.density_kg_per_m3, "medium.density_kg_per_m3");
  if (stated.terminal_drop_Pa) check.positive(*stated.terminal_drop_Pa, "medium.terminal_drop_Pa");
  if (check.failed()) return check.fault();
  check.that(stated.quadratic_share < 1.0, "medium.quadratic_share", [&] {
    return Mismatch{.found = "1",
                    .expected = "below 1: some of the drop grows with viscosity",
                    .hint = "Enter an orifice for a purely quadratic part"};
  });
  if (stated.terminal_drop_Pa) {
    check.that(*stated.terminal_drop_Pa >= stated.clean_drop_Pa, "medium.terminal_drop_Pa", [&] {
      return Mismatch{.found = fmt::format("{:.6g} Pa", *stated.terminal_drop_Pa),
                      .expected = fmt::format("at least the clean drop, {:.6g} Pa", stated.clean_drop_Pa),
                      .hint = "Check that both drops are of the same flow and fuel"};
    });
  }
  if (check.failed()) return check.fault();
  const double linear_Pa = (1.0 - stated.quadratic_share) * stated.clean_drop_Pa;
  const double quadratic_Pa = stated.quadratic_share * stated.clean_drop_Pa;
  return Medium{
      .darcy_per_m3 = linear_Pa / (stated.dynamic_viscosity_Pa_s * stated.flow_m3_per_s),
      .inertial_per_m4 = quadratic_Pa / (stated.density_kg_per_m3 * stated.flow_m3_per_s * stated.flow_m3_per_s),
      .terminal_ratio = stated.terminal_drop_Pa
                            ? std::fmax(1.0, (*stated.terminal_drop_Pa - quadratic_Pa) / linear_Pa)  // 1 up to rounding
                            : 1.0};
}

Result<ResistorLaw> medium_law(const Medium& medium, const fuel::Liquid& liquid, double loading) {
  InputCheck check;
  check_medium(check, medium);
  check.non_negative(loading, "loading");
  check_liquid(check, liquid);
  if (check.failed()) return check.fault();
  const double growth = 1.0 + loading * (medium.terminal_ratio - 1.0);
  return ResistorLaw{
      .coefficients = {.linear_Pa_s_per_m3 = medium.darcy_per_m3 * liquid.dynamic_viscosity_Pa_s * growth,
                       .quadratic_Pa_s2_per_m6 = medium.inertial_per_m4 * liquid.density_kg_per_m3},
      .range = widest(liquid.range, loading > 1.0 ? Range::extrapolated : Range::fitted)};
}

Result<double> loading_from_drop(const Medium& medium, const fuel::Liquid& liquid, double flow_m3_per_s,
                                 double drop_Pa) {
  InputCheck check;
  check_medium(check, medium);
  check.positive(flow_m3_per_s, "flow_m3_per_s").positive(drop_Pa, "drop_Pa");
  check_liquid(check, liquid);
  if (check.failed()) return check.fault();
  if (medium.terminal_ratio <= 1.0 || medium.darcy_per_m3 <= 0.0) {
    return fail(Error{.code = ErrorCode::conflict,
                      .where = {.field = "medium.terminal_ratio"},
                      .found = "a part that does not load",
                      .expected = "a terminal drop above the clean drop",
                      .hint = "Enter the terminal drop"});
  }
  const double linear_Pa = medium.darcy_per_m3 * liquid.dynamic_viscosity_Pa_s * flow_m3_per_s;
  const double quadratic_Pa = medium.inertial_per_m4 * liquid.density_kg_per_m3 * flow_m3_per_s * flow_m3_per_s;
  return ((drop_Pa - quadratic_Pa) / linear_Pa - 1.0) / (medium.terminal_ratio - 1.0);
}

Result<ResistorCoefficients> bypass_leak_law(const BypassLeak& leak, const fuel::Liquid& liquid) {
  InputCheck check;
  check.positive(leak.flow_m3_per_s, "leak.flow_m3_per_s")
      .positive(leak.drop_Pa, "leak.drop_Pa")
      .positive(leak.density_kg_per_m3, "leak.density_kg_per_m3");
  check_liquid(check, liquid);
  if (check.failed()) return check.fault();
  const double throat_m2 = leak.flow_m3_per_s / std::sqrt(2.0 * leak.drop_Pa / leak.density_kg_per_m3);
  const double bore_m = std::sqrt(throat_m2 / (sharp_discharge * bore_area_m2(1.0)));
  return orifice_law({.bore_m = bore_m}, liquid);
}

double unfiltered_share(const ResistorCoefficients& medium, const ResistorCoefficients& leak, double drop_Pa) {
  const double through_m3_per_s = flow_at_drop_m3_per_s(medium, drop_Pa);
  const double past_m3_per_s = flow_at_drop_m3_per_s(leak, drop_Pa);
  return past_m3_per_s / (through_m3_per_s + past_m3_per_s);
}

}  // namespace fw::hydraulics
