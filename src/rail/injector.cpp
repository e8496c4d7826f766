// SPDX-License-Identifier: Apache-2.0
#include "rail/injector.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace fw::rail {

Result<double> nozzle_area_m2(double rated_flow_m3_per_s) {
  InputCheck check;
  check.positive(rated_flow_m3_per_s, "rated_flow_m3_per_s");
  if (check.failed()) return check.fault();
  return rated_flow_m3_per_s / std::sqrt(2.0 * rating_pressure_Pa / rating_density_kg_per_m3);
}

Result<double> cavitating_discharge(double cavitation_number) {
  InputCheck check;
  check.within(cavitation_number, {.low = 1.0, .high = 2.6}, "cavitation_number");
  if (check.failed()) return check.fault();
  return 0.62 * std::sqrt(cavitation_number);
}

Result<double> cavitating_gain(double rail_Pa, double cylinder_Pa) {
  constexpr double rating_back_Pa = 1e5;
  InputCheck check;
  check.positive(rail_Pa, "rail_Pa").non_negative(cylinder_Pa, "cylinder_Pa");
  if (check.failed()) return check.fault();
  check.that(cylinder_Pa < rail_Pa, "rail_Pa", fmt::format("{:.6g} Pa", rail_Pa), "above the cylinder's pressure");
  if (check.failed()) return check.fault();
  const auto there = cavitating_discharge(rail_Pa / (rail_Pa - cylinder_Pa));
  if (!there) return fail(there.error());
  const auto rated = cavitating_discharge((rating_pressure_Pa + rating_back_Pa) / rating_pressure_Pa);
  if (!rated) return fail(rated.error());
  return *there / *rated;
}

void check_injector(InputCheck& check, const Injector& injector) {
  check.positive(injector.nozzle_m2, "injector.nozzle_m2")
      .non_negative(injector.shape.opening_delay_s, "injector.shape.opening_delay_s")
      .positive(injector.shape.rise_s, "injector.shape.rise_s")
      .non_negative(injector.shape.closing_delay_s, "injector.shape.closing_delay_s")
      .positive(injector.shape.fall_s, "injector.shape.fall_s")
      .non_negative(injector.control_m3, "injector.control_m3")
      .non_negative(injector.static_m3_per_s, "injector.static_m3_per_s")
      .within(injector.static_exponent, {.low = 0.5, .high = 3.0}, "injector.static_exponent")
      .positive(injector.reference_Pa, "injector.reference_Pa");
}

ShotShape shot_shape(const RateShape& shape, double energised_s) {
  ShotShape shot{.shape = shape};
  const double f = (energised_s - shape.opening_delay_s + shape.closing_delay_s) / shape.rise_s;
  if (f <= 0.0) return shot;
  shot.peak = std::min(1.0, f);
  shot.start_s = shape.opening_delay_s;
  shot.fall_start_s = energised_s + shape.closing_delay_s;
  shot.end_s = shot.fall_start_s + shot.peak * shape.fall_s;
  const double held_s = shot.fall_start_s - shot.start_s - shot.peak * shape.rise_s;
  shot.full_rate_s = shot.peak * held_s + 0.5 * shot.peak * shot.peak * (shape.rise_s + shape.fall_s);
  return shot;
}

double ShotShape::at(double time_s) const {
  if (peak <= 0.0 || time_s <= start_s || time_s >= end_s) return 0.0;
  return std::min({peak, (time_s - start_s) / shape.rise_s, (end_s - time_s) / shape.fall_s});
}

double ShotShape::until(double time_s) const {
  if (peak <= 0.0 || time_s <= start_s) return 0.0;
  if (time_s >= end_s) return full_rate_s;
  const double risen_s = start_s + peak * shape.rise_s;
  if (time_s <= risen_s) return 0.5 * (time_s - start_s) * (time_s - start_s) / shape.rise_s;
  if (time_s <= fall_start_s) return 0.5 * peak * peak * shape.rise_s + peak * (time_s - risen_s);
  return full_rate_s - 0.5 * (end_s - time_s) * (end_s - time_s) / shape.fall_s;
}

double full_rate_kg_per_s(const Injector& injector, const RailLiquid& liquid, double rail_Pa, double cylinder_Pa) {
  if (rail_Pa <= cylinder_Pa) return 0.0;
  return injector.nozzle_m2 * std::sqrt(2.0 * liquid.density_at(rail_Pa) * (rail_Pa - cylinder_Pa));
}

Result<double> shot_kg(const Injector& injector, const RailLiquid& liquid, const Shot& shot) {
  InputCheck check;
  check_injector(check, injector);
  check_liquid(check, liquid);
  check.non_negative(shot.energised_s, "shot.energised_s")
      .non_negative(shot.rail_Pa, "shot.rail_Pa")
      .non_negative(shot.cylinder_Pa, "shot.cylinder_Pa");
  if (check.failed()) return check.fault();
  return full_rate_kg_per_s(injector, liquid, shot.rail_Pa, shot.cylinder_Pa) *
         shot_shape(injector.shape, shot.energised_s).full_rate_s;
}

double energised_for_s(const RateShape& shape, double full_rate_s) {
  if (full_rate_s <= 0.0) return 0.0;
  const double ramps_s = 0.5 * (shape.rise_s + shape.fall_s);
  if (full_rate_s < ramps_s) {
    const double f = std::sqrt(full_rate_s / ramps_s);
    return std::max(0.0, f * shape.rise_s + shape.opening_delay_s - shape.closing_delay_s);
  }
  return std::max(0.0, full_rate_s - ramps_s + shape.rise_s + shape.opening_delay_s - shape.closing_delay_s);
}

double control_m3_at(const Injector& injector, double rail_Pa) {
  return injector.control_m3 * std::sqrt(rail_Pa / injector.reference_Pa);
}

double static_m3_per_s_at(const Injector& injector, double rail_Pa) {
  const double share = rail_Pa / injector.reference_Pa;
  // The usual exponent needs no power: this stands in the loop over time.
  if (std::abs(injector.static_exponent - 1.0) < 1e-12) return injector.static_m3_per_s * share;
  return injector.static_m3_per_s * std::pow(share, injector.static_exponent);
}

}  // namespace fw::rail
