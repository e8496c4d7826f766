// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/check_valve.hpp"

#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "hydraulics/liquid_check.hpp"
#include "hydraulics/orifice.hpp"
#include "hydraulics/resistor.hpp"

namespace fw::hydraulics {

namespace {

/// Checks the poppet; an Errors with outside_model if its lift leaves the law.
Result<void> checked(const SpringPoppet& poppet, const fuel::Liquid& liquid) {
  InputCheck check;
  check.positive(poppet.seat_bore_m, "poppet.seat_bore_m")
      .positive(poppet.cone_half_angle_rad, "poppet.cone_half_angle_rad")
      .within(poppet.cone_half_angle_rad, {.low = 0.0, .high = 0.5 * std::numbers::pi}, "poppet.cone_half_angle_rad")
      .non_negative(poppet.preload_N, "poppet.preload_N")
      .positive(poppet.rate_N_per_m, "poppet.rate_N_per_m")
      .positive(poppet.lift_stop_m, "poppet.lift_stop_m")
      .positive(poppet.discharge, "poppet.discharge");
  check_liquid(check, liquid);
  if (check.failed()) return check.fault();
  const double gap_m = poppet.lift_stop_m * std::sin(poppet.cone_half_angle_rad);
  if (gap_m > 0.25 * poppet.seat_bore_m) {
    return outside("poppet.lift_stop_m", fmt::format("a gap of {:.6g} m", gap_m),
                   fmt::format("a gap up to a quarter of the seat, {:.6g} m", 0.25 * poppet.seat_bore_m),
                   "Enter it by its crack pressure and full-open orifice");
  }
  return {};
}

double force_per_drop_m2(const SpringPoppet& poppet) { return bore_area_m2(poppet.seat_bore_m); }

PoppetState state_of(const SpringPoppet& poppet, const fuel::Liquid& liquid, double drop_Pa) {
  const double free_lift_m = (force_per_drop_m2(poppet) * drop_Pa - poppet.preload_N) / poppet.rate_N_per_m;
  if (free_lift_m <= 0.0) return {};
  const bool at_stop = free_lift_m >= poppet.lift_stop_m;
  const double lift_m = at_stop ? poppet.lift_stop_m : free_lift_m;
  const double curtain_m2 = std::numbers::pi * poppet.seat_bore_m * lift_m * std::sin(poppet.cone_half_angle_rad);
  return {.lift_m = lift_m,
          .flow_m3_per_s = poppet.discharge * curtain_m2 * std::sqrt(2.0 * drop_Pa / liquid.density_kg_per_m3),
          .at_stop = at_stop};
}

}  // namespace

Result<PoppetState> poppet_state(const SpringPoppet& poppet, const fuel::Liquid& liquid, double drop_Pa) {
  if (const auto ok = checked(poppet, liquid); !ok) return fail(ok.error());
  InputCheck check;
  check.finite(drop_Pa, "drop_Pa");
  if (check.failed()) return check.fault();
  return state_of(poppet, liquid, drop_Pa);
}

Result<double> poppet_crack_Pa(const SpringPoppet& poppet) {
  InputCheck check;
  check.positive(poppet.seat_bore_m, "poppet.seat_bore_m").non_negative(poppet.preload_N, "poppet.preload_N");
  if (check.failed()) return check.fault();
  return poppet.preload_N / force_per_drop_m2(poppet);
}

Result<ValveCoefficients> poppet_law(const SpringPoppet& poppet, const fuel::Liquid& liquid) {
  if (const auto ok = checked(poppet, liquid); !ok) return fail(ok.error());
  const double crack_Pa = poppet.preload_N / force_per_drop_m2(poppet);
  const double stop_excess_Pa = poppet.rate_N_per_m * poppet.lift_stop_m / force_per_drop_m2(poppet);
  const double low_Pa = crack_Pa + 0.5 * stop_excess_Pa;
  const double high_Pa = crack_Pa + 2.0 * stop_excess_Pa;
  return valve_through_points(crack_Pa,
                              {.flow_m3_per_s = state_of(poppet, liquid, low_Pa).flow_m3_per_s, .drop_Pa = low_Pa},
                              {.flow_m3_per_s = state_of(poppet, liquid, high_Pa).flow_m3_per_s, .drop_Pa = high_Pa});
}

Result<ValveCoefficients> valve_through_points(double crack_Pa, const ValvePoint& low, const ValvePoint& high) {
  InputCheck check;
  check.non_negative(crack_Pa, "crack_Pa")
      .positive(low.flow_m3_per_s, "low.flow_m3_per_s")
      .positive(low.drop_Pa, "low.drop_Pa")
      .positive(high.flow_m3_per_s, "high.flow_m3_per_s")
      .positive(high.drop_Pa, "high.drop_Pa");
  if (check.failed()) return check.fault();
  check
      .that(low.drop_Pa > crack_Pa, "low.drop_Pa",
            {.found = fmt::format("{:.6g} Pa", low.drop_Pa),
             .expected = fmt::format("more than the crack pressure, {:.6g} Pa", crack_Pa)})
      .that(high.flow_m3_per_s > low.flow_m3_per_s, "high.flow_m3_per_s",
            {.found = fmt::format("{:.6g} m3/s", high.flow_m3_per_s),
             .expected = fmt::format("more than the flow of the low point, {:.6g} m3/s", low.flow_m3_per_s)})
      .that(high.drop_Pa > low.drop_Pa, "high.drop_Pa",
            {.found = fmt::format("{:.6g} Pa", high.drop_Pa),
             .expected = fmt::format("more than the drop of the low point, {:.6g} Pa", low.drop_Pa)});
  if (check.failed()) return check.fault();
  const double low_slope = (low.drop_Pa - crack_Pa) / low.flow_m3_per_s;
  const double high_slope = (high.drop_Pa - crack_Pa) / high.flow_m3_per_s;
  double b = (high_slope - low_slope) / (high.flow_m3_per_s - low.flow_m3_per_s);
  // Two points on one straight line give b = 0 up to rounding.
  if (b < 0.0 && low_slope - high_slope <= 1e-12 * low_slope) b = 0.0;
  const double a = low_slope - b * low.flow_m3_per_s;
  if (!(a > 0.0) || b < 0.0) {
    return outside("high.drop_Pa", fmt::format("{:.6g} Pa", high.drop_Pa),
                   "a drop over crack that grows at least with the flow and less than with its square",
                   "State the crack pressure and one drop over it instead");
  }
  return ValveCoefficients{.crack_Pa = crack_Pa, .linear_Pa_s_per_m3 = a, .quadratic_Pa_s2_per_m6 = b};
}

Result<ValveCoefficients> valve_from_orifice(const OpenOrificeValve& valve, const fuel::Liquid& liquid) {
  InputCheck check;
  check.non_negative(valve.crack_Pa, "valve.crack_Pa")
      .positive(valve.bore_m, "valve.bore_m")
      .positive(valve.discharge, "valve.discharge");
  check_liquid(check, liquid);
  if (check.failed()) return check.fault();
  const auto open = orifice_law({.bore_m = valve.bore_m, .discharge = valve.discharge}, liquid);
  if (!open) return fail(open.error());
  return ValveCoefficients{.crack_Pa = valve.crack_Pa,
                           .linear_Pa_s_per_m3 = open->linear_Pa_s_per_m3,
                           .quadratic_Pa_s2_per_m6 = open->quadratic_Pa_s2_per_m6};
}

Result<ValveCoefficients> valve_from_drop(const StatedValve& valve, const fuel::Liquid& liquid) {
  InputCheck check;
  check.non_negative(valve.crack_Pa, "valve.crack_Pa")
      .positive(valve.drop_over_crack_Pa, "valve.drop_over_crack_Pa")
      .positive(valve.flow_m3_per_s, "valve.flow_m3_per_s")
      .positive(valve.dynamic_viscosity_Pa_s, "valve.dynamic_viscosity_Pa_s")
      .positive(valve.density_kg_per_m3, "valve.density_kg_per_m3");
  check_liquid(check, liquid);
  if (check.failed()) return check.fault();
  const double throat_m2 = valve.flow_m3_per_s / std::sqrt(2.0 * valve.drop_over_crack_Pa / valve.density_kg_per_m3);
  const double bore_m = std::sqrt(throat_m2 / sharp_discharge / bore_area_m2(1.0));
  const auto at_stated = orifice_law({.bore_m = bore_m}, {.density_kg_per_m3 = valve.density_kg_per_m3,
                                                          .dynamic_viscosity_Pa_s = valve.dynamic_viscosity_Pa_s});
  if (!at_stated) return fail(at_stated.error());
  const auto open = orifice_law({.bore_m = bore_m}, liquid);
  if (!open) return fail(open.error());
  const ResistorCoefficients law = times(*open, valve.drop_over_crack_Pa / drop_Pa(*at_stated, valve.flow_m3_per_s));
  return ValveCoefficients{.crack_Pa = valve.crack_Pa,
                           .linear_Pa_s_per_m3 = law.linear_Pa_s_per_m3,
                           .quadratic_Pa_s2_per_m6 = law.quadratic_Pa_s2_per_m6};
}

}  // namespace fw::hydraulics
