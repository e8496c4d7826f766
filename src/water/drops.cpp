// SPDX-License-Identifier: Apache-2.0
#include "water/drops.hpp"

#include <cmath>

#include <fmt/format.h>

#include "base/input_check.hpp"
#include "water/liquid_water.hpp"

namespace fw::water {

namespace {

constexpr double most_reynolds = 800.0;

void check_liquid(InputCheck& check, const fuel::Liquid& liquid) {
  check.positive(liquid.density_kg_per_m3, "liquid.density_kg_per_m3")
      .positive(liquid.dynamic_viscosity_Pa_s, "liquid.dynamic_viscosity_Pa_s");
  if (check.failed()) return;
  check.that(liquid.density_kg_per_m3 < water_density_kg_per_m3, "liquid.density_kg_per_m3",
             fmt::format("{:.1f} kg/m3", liquid.density_kg_per_m3),
             fmt::format("below {:.1f} kg/m3: in denser fuel water does not sink", water_density_kg_per_m3));
}

double stokes_m_per_s(double size_m, const fuel::Liquid& liquid) {
  return (water_density_kg_per_m3 - liquid.density_kg_per_m3) * gravity_m_per_s2 * size_m * size_m /
         (18.0 * liquid.dynamic_viscosity_Pa_s);
}

}  // namespace

Result<DropFall> drop_fall(double size_m, const fuel::Liquid& liquid) {
  InputCheck check;
  check.positive(size_m, "size_m");
  check_liquid(check, liquid);
  if (check.failed()) return check.fault();
  const double stokes = stokes_m_per_s(size_m, liquid);
  const double per_speed = liquid.density_kg_per_m3 * size_m / liquid.dynamic_viscosity_Pa_s;
  // v (1 + 0.15 Re^0.687) = v_stokes rises with v: bisection between 0 and Stokes.
  double low = 0.0;
  double high = stokes;
  for (int i = 0; i < 200 && high - low > 1e-14 * stokes; ++i) {
    const double middle = 0.5 * (low + high);
    const double with_inertia = middle * (1.0 + 0.15 * std::pow(per_speed * middle, 0.687));
    (with_inertia < stokes ? low : high) = middle;
  }
  const DropFall fall{.velocity_m_per_s = 0.5 * (low + high),
                      .stokes_velocity_m_per_s = stokes,
                      .reynolds = per_speed * 0.5 * (low + high)};
  if (fall.reynolds > most_reynolds) {
    return outside("size_m", fmt::format("{:.3g} mm", 1e3 * size_m), "a drop that falls at a Reynolds number below 800",
                   "Treat it as a layer");
  }
  return fall;
}

Result<double> mobile_surface(double fuel_viscosity_Pa_s) {
  if (const auto ok = require_positive(fuel_viscosity_Pa_s, "fuel_viscosity_Pa_s"); !ok) return fail(ok.error());
  return (fuel_viscosity_Pa_s + water_viscosity_Pa_s) / (2.0 / 3.0 * fuel_viscosity_Pa_s + water_viscosity_Pa_s);
}

Result<double> bowl_cut_m(const Bowl& bowl, const fuel::Liquid& liquid) {
  InputCheck check;
  check.positive(bowl.flow_m3_per_s, "bowl.flow_m3_per_s").positive(bowl.area_m2, "bowl.area_m2");
  check_liquid(check, liquid);
  if (check.failed()) return check.fault();
  return std::sqrt(18.0 * liquid.dynamic_viscosity_Pa_s * bowl.flow_m3_per_s /
                   (bowl.area_m2 * (water_density_kg_per_m3 - liquid.density_kg_per_m3) * gravity_m_per_s2));
}

Result<double> largest_drop_m(const BreakUp& at) {
  InputCheck check;
  check.positive(at.interfacial_tension_N_per_m, "at.interfacial_tension_N_per_m")
      .positive(at.dissipation_W_per_kg, "at.dissipation_W_per_kg")
      .positive(at.fuel_density_kg_per_m3, "at.fuel_density_kg_per_m3");
  if (check.failed()) return check.fault();
  return 0.725 * std::pow(at.interfacial_tension_N_per_m / at.fuel_density_kg_per_m3, 0.6) *
         std::pow(at.dissipation_W_per_kg, -0.4);
}

}  // namespace fw::water
