// SPDX-License-Identifier: Apache-2.0
#include "rail/set.hpp"

#include <cmath>
#include <numbers>

#include <fmt/format.h>

namespace fw::rail {

namespace {

/// As a line sheet has it.
std::string over_air(double absolute_Pa) { return fmt::format("{:.4g} MPa", 1e-6 * (absolute_Pa - 101325.0)); }

}  // namespace

double HighPressureSet::pressed_volume_m3() const {
  return rails * rail_volume_m3 + pump_pipe_volume_m3 +
         injectors * (injector_bore_m3 + feed_pipe.area_m2() * feed_pipe.length_m);
}

Result<void> check_set(const HighPressureSet& set) {
  InputCheck check;
  check
      .that(set.cylinders >= 1 && set.cylinders <= 16, "cylinders", fmt::format("{}", set.cylinders),
            "1 to 16 cylinders")
      .that(set.injectors == set.cylinders, "injectors",
            fmt::format("{} injectors on {} cylinders", set.injectors, set.cylinders), "one injector per cylinder",
            "Correct the number of injectors or of cylinders")
      .that(set.rails >= 1 && set.rails <= 2, "rails", fmt::format("{}", set.rails), "1 or 2 rails")
      .positive(set.rail_volume_m3, "rail_volume_m3")
      .positive(set.pump_pipe_volume_m3, "pump_pipe_volume_m3")
      .positive(set.pump_pipe_bore_m, "pump_pipe_bore_m")
      .positive(set.injector_bore_m3, "injector_bore_m3")
      .non_negative(set.rail_throttle_m2, "rail_throttle_m2");
  check_pipe(check, set.feed_pipe, "feed_pipe");
  check_pump(check, set.pump);
  check_injector(check, set.injector);
  check.positive(set.idle_Pa, "idle_Pa")
      .positive(set.rated_Pa, "rated_Pa")
      .positive(set.enable_Pa, "enable_Pa")
      .positive(set.relief.open_Pa, "relief.open_Pa")
      .positive(set.relief.close_Pa, "relief.close_Pa")
      .positive(set.relief.open_m2, "relief.open_m2")
      .positive(set.cranking_rev_per_s, "cranking_rev_per_s")
      .positive(set.idle_rev_per_s, "idle_rev_per_s")
      .positive(set.rated_rev_per_s, "rated_rev_per_s")
      .positive(set.rated_W, "rated_W")
      .positive(set.consumption_kg_per_J, "consumption_kg_per_J")
      .non_negative(set.cylinder_Pa, "cylinder_Pa")
      .positive(set.window_rad, "window_rad");
  if (set.pressure_valve) {
    check.positive(set.pressure_valve->slope_m3_per_s_Pa, "pressure_valve.slope_m3_per_s_Pa")
        .positive(set.pressure_valve->lag_s, "pressure_valve.lag_s")
        .positive(set.pressure_valve->rest_Pa, "pressure_valve.rest_Pa");
  }
  if (check.failed()) return check.fault();
  check
      .that(set.rated_Pa < set.relief.open_Pa, "rated_Pa", over_air(set.rated_Pa),
            "below the relief valve, " + over_air(set.relief.open_Pa),
            "Lower the rated pressure or correct the relief valve")
      .that(set.relief.close_Pa < set.relief.open_Pa, "relief.close_Pa", over_air(set.relief.close_Pa),
            "below the opening pressure")
      .that(set.idle_Pa <= set.rated_Pa, "idle_Pa", over_air(set.idle_Pa), "not above the rated pressure")
      .that(set.cylinder_Pa < set.rated_Pa, "cylinder_Pa", over_air(set.cylinder_Pa), "below the rated pressure");
  if (check.failed()) return check.fault();
  return {};
}

Result<HighPressureSet> generic_set(std::string_view id) {
  constexpr double mm = 1e-3;
  constexpr double cm3 = 1e-6;
  constexpr double rpm = 1.0 / 60.0;
  constexpr double per_30_s = cm3 / 30.0;
  constexpr double g_per_kWh = 1e-3 / 3.6e6;
  constexpr double litre_per_hour = 1e-3 / 3600.0;
  HighPressureSet set;
  set.id = std::string(id);
  SealGap gap{.bore_m = 6.5 * mm, .length_m = 12.0 * mm};
  const auto opening = gap_opening({.bore_m = gap.bore_m});
  if (!opening) return fail(opening.error());
  gap.opening_m_per_Pa = opening->total_m_per_Pa();
  gap.axial_loss_m_per_Pa = Steel{}.poisson * 0.5 * gap.bore_m / Steel{}.young_Pa;
  if (id == "v8") {
    gap.clearance_m = 2.0e-6;
    set.pump = {.drive = {.kind = DriveKind::cam,
                          .plungers = 2,
                          .lobes = 2,
                          .stroke_m = 6.0 * mm,
                          .base_radius_m = 14.0 * mm,
                          .roller_radius_m = 5.5 * mm,
                          .roller_length_m = 16.0 * mm},
                .plunger_bore_m = 6.5 * mm,
                .dead_volume_m3 = 0.10 * cm3,
                .crank_ratio = 1.0,
                .gap = gap,
                .housing_m3_per_s = 90.0 * litre_per_hour,
                .rated_rev_per_s = 3000.0 * rpm,
                .metering = {.largest_m2 = 6.0e-6}};
    set.injector = {.nozzle_m2 = nozzle_area_m2(440.0 * per_30_s).value(),
                    .control_m3 = 20.0e-9,
                    .static_m3_per_s = 5.0 * cm3 / 60.0};
    set.cylinders = set.injectors = 8;
    set.rails = 2;
    set.rail_volume_m3 = 25.0 * cm3;
    set.pump_pipe_volume_m3 = 4.0 * cm3;
    set.feed_pipe = {.length_m = 0.25, .bore_m = 3.0 * mm, .outer_m = 8.0 * mm};
    set.injector_bore_m3 = 1.5 * cm3;
    set.relief.open_Pa = 210e6;
    set.idle_Pa = 35e6;
    set.rated_Pa = 180e6;
    set.enable_Pa = 25e6;
    set.cranking_rev_per_s = 200.0 * rpm;
    set.idle_rev_per_s = 650.0 * rpm;
    set.rated_rev_per_s = 3000.0 * rpm;
    set.rated_W = 300e3;
    set.consumption_kg_per_J = 225.0 * g_per_kWh;
  } else if (id == "i4") {
    gap.clearance_m = 1.5e-6;
    set.pump = {.drive = {.kind = DriveKind::eccentric, .plungers = 3, .lobes = 1, .stroke_m = 7.0 * mm},
                .plunger_bore_m = 6.5 * mm,
                .dead_volume_m3 = 0.08 * cm3,
                .crank_ratio = 2.0 / 3.0,
                .gap = gap,
                .housing_m3_per_s = 45.0 * litre_per_hour,
                .rated_rev_per_s = 4000.0 * rpm * 2.0 / 3.0,
                .metering = {.largest_m2 = 3.0e-6}};
    set.injector = {.nozzle_m2 = nozzle_area_m2(390.0 * per_30_s).value(),
                    .control_m3 = 15.0e-9,
                    .static_m3_per_s = 4.0 * cm3 / 60.0};
    set.cylinders = set.injectors = 4;
    set.rails = 1;
    set.rail_volume_m3 = 20.0 * cm3;
    set.pump_pipe_volume_m3 = 1.8 * cm3;
    set.feed_pipe = {.length_m = 0.20, .bore_m = 2.4 * mm, .outer_m = 6.0 * mm};
    set.injector_bore_m3 = 1.2 * cm3;
    set.relief.open_Pa = 190e6;
    set.idle_Pa = 30e6;
    set.rated_Pa = 160e6;
    set.enable_Pa = 20e6;
    set.cranking_rev_per_s = 250.0 * rpm;
    set.idle_rev_per_s = 800.0 * rpm;
    set.rated_rev_per_s = 4000.0 * rpm;
    set.rated_W = 120e3;
    set.consumption_kg_per_J = 230.0 * g_per_kWh;
  } else {
    return fail(Error{
        .code = ErrorCode::not_found, .where = {.field = "set"}, .found = std::string(id), .expected = "v8 or i4"});
  }
  return set;
}

Result<HighPressureSet> worn(HighPressureSet set, const Wear& wear) {
  InputCheck check;
  check.non_negative(wear.clearance_m, "wear.clearance_m")
      .non_negative(wear.delivery_leak_m2, "wear.delivery_leak_m2")
      .within(wear.static_factor, {.low = 1.0, .high = 1000.0}, "wear.static_factor")
      .within(wear.control_factor, {.low = 1.0, .high = 1000.0}, "wear.control_factor");
  if (check.failed()) return check.fault();
  set.pump.gap.clearance_m += wear.clearance_m;
  set.pump.delivery_leak_m2 += wear.delivery_leak_m2;
  set.injector.static_m3_per_s *= wear.static_factor;
  set.injector.control_m3 *= wear.control_factor;
  return set;
}

}  // namespace fw::rail
