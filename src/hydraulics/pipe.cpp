// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/pipe.hpp"

#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "hydraulics/liquid_check.hpp"

namespace fw::hydraulics {

namespace {

constexpr double largest_relative_roughness = 0.05;  // Colebrook (1939), Churchill (1977)

void check_shape(InputCheck& check, const PipeShape& pipe) {
  check.positive(pipe.bore_m, "pipe.bore_m")
      .positive(pipe.length_m, "pipe.length_m")
      .non_negative(pipe.roughness_m, "pipe.roughness_m")
      .non_negative(pipe.bend_diameter_m, "pipe.bend_diameter_m");
  if (check.failed()) return;
  check.that(pipe.bend_diameter_m == 0.0 || pipe.bend_diameter_m >= 2.0 * pipe.bore_m, "pipe.bend_diameter_m", [&] {
    return Mismatch{.found = fmt::format("{:.6g} m around a bore of {:.6g} m", pipe.bend_diameter_m, pipe.bore_m),
                    .expected = "0 for a straight run, or at least twice the bore",
                    .hint = "Enter a tighter turn as a fitting"};
  });
}

}  // namespace

Result<PipeCoefficients> pipe_law(const PipeShape& pipe, const fuel::Liquid& liquid,
                                  const ResistorCoefficients& along) {
  InputCheck check;
  check_shape(check, pipe);
  check.non_negative(along.linear_Pa_s_per_m3, "along.linear_Pa_s_per_m3")
      .non_negative(along.quadratic_Pa_s2_per_m6, "along.quadratic_Pa_s2_per_m6");
  check_liquid(check, liquid);
  if (check.failed()) return check.fault();
  const double relative_roughness = pipe.roughness_m / pipe.bore_m;
  if (relative_roughness > largest_relative_roughness) {
    return outside("pipe.roughness_m", fmt::format("{:.6g} of the bore", relative_roughness),
                   "at most 0.05 of the bore: the friction laws end there",
                   "Measure the drop of a corrugated hose and enter it as a part with a stated drop");
  }
  const double d2 = pipe.bore_m * pipe.bore_m;
  return PipeCoefficients{
      .reynolds_per_flow_s_per_m3 = 4.0 / (std::numbers::pi * pipe.bore_m * liquid.kinematic_viscosity_m2_per_s()),
      .laminar_resistance_Pa_s_per_m3 =
          128.0 * liquid.dynamic_viscosity_Pa_s * pipe.length_m / (std::numbers::pi * d2 * d2),
      .relative_roughness = relative_roughness,
      .curvature = pipe.bend_diameter_m > 0.0 ? std::sqrt(pipe.bore_m / pipe.bend_diameter_m) : 0.0,
      .linear_Pa_s_per_m3 = along.linear_Pa_s_per_m3,
      .quadratic_Pa_s2_per_m6 = along.quadratic_Pa_s2_per_m6};
}

Result<double> laminar_entry_length_m(double reynolds, double bore_m) {
  InputCheck check;
  check.non_negative(reynolds, "reynolds").positive(bore_m, "bore_m");
  if (check.failed()) return check.fault();
  return 0.06 * reynolds * bore_m;
}

Result<double> inertance_kg_per_m4(const PipeShape& pipe, const fuel::Liquid& liquid) {
  InputCheck check;
  check_shape(check, pipe);
  check_liquid(check, liquid);
  if (check.failed()) return check.fault();
  return liquid.density_kg_per_m3 * pipe.length_m / bore_area_m2(pipe.bore_m);
}

Result<double> tip_in_sag_Pa(double inertance_kg_per_m4, const TipIn& tip_in) {
  InputCheck check;
  check.non_negative(inertance_kg_per_m4, "inertance_kg_per_m4")
      .non_negative(tip_in.full_draw_m3_per_s, "tip_in.full_draw_m3_per_s")
      .within(tip_in.from_share, {.low = 0.0, .high = 1.0}, "tip_in.from_share")
      .within(tip_in.to_share, {.low = 0.0, .high = 1.0}, "tip_in.to_share")
      .positive(tip_in.over_s, "tip_in.over_s");
  if (check.failed()) return check.fault();
  return inertance_kg_per_m4 * tip_in.full_draw_m3_per_s * (tip_in.to_share - tip_in.from_share) / tip_in.over_s;
}

}  // namespace fw::hydraulics
