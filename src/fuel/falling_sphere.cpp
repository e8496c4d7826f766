// SPDX-License-Identifier: Apache-2.0
#include "fuel/falling_sphere.hpp"

#include <cmath>

#include "base/input_check.hpp"

namespace fw::fuel {

namespace {

void check_liquid(InputCheck& check, const Liquid& liquid) {
  check.positive(liquid.density_kg_per_m3, "liquid.density_kg_per_m3")
      .positive(liquid.dynamic_viscosity_Pa_s, "liquid.dynamic_viscosity_Pa_s");
}

}  // namespace

Result<Fall> stokes_fall(const Sphere& sphere, const Liquid& liquid) {
  InputCheck check;
  check.positive(sphere.diameter_m, "sphere.diameter_m").positive(sphere.density_kg_per_m3, "sphere.density_kg_per_m3");
  check_liquid(check, liquid);
  if (check.failed()) return check.fault();
  const double d = sphere.diameter_m;
  const double mu = liquid.dynamic_viscosity_Pa_s;
  const double v =
      (sphere.density_kg_per_m3 - liquid.density_kg_per_m3) * standard_gravity_m_per_s2 * d * d / (18.0 * mu);
  const double re = liquid.density_kg_per_m3 * std::abs(v) * d / mu;
  return Fall{.speed_m_per_s = v, .reynolds = re, .range = re > 0.1 ? Range::extrapolated : Range::fitted};
}

Result<Fall> rigid_fall(const Sphere& sphere, const Liquid& liquid) {
  const auto stokes = stokes_fall(sphere, liquid);
  if (!stokes) return tl::unexpected<Errors>(stokes.error());
  // Re (1 + 0.15 Re^0.687) = Re_Stokes; the left side rises and is above Re, so Newton from Re_Stokes falls to it.
  const double target = stokes->reynolds;
  double re = target;
  for (int i = 0; i < 60 && re > 0.0; ++i) {
    const double drag = 0.15 * std::pow(re, 0.687);
    const double step = (re * (1.0 + drag) - target) / (1.0 + 1.687 * drag);
    re -= step;
    if (std::abs(step) <= 1e-15 * re) break;
  }
  return Fall{.speed_m_per_s = target > 0.0 ? stokes->speed_m_per_s * (re / target) : 0.0,
              .reynolds = re,
              .range = re > 800.0 ? Range::extrapolated : Range::fitted};
}

Result<double> mobile_surface_factor(double drop_viscosity_Pa_s, const Liquid& liquid) {
  InputCheck check;
  check.positive(drop_viscosity_Pa_s, "drop_viscosity_Pa_s");
  check_liquid(check, liquid);
  if (check.failed()) return check.fault();
  const double mu = liquid.dynamic_viscosity_Pa_s;
  return (mu + drop_viscosity_Pa_s) / (2.0 / 3.0 * mu + drop_viscosity_Pa_s);
}

Result<double> stokes_diameter_m(double speed_m_per_s, double sphere_density_kg_per_m3, const Liquid& liquid) {
  InputCheck check;
  check.positive(speed_m_per_s, "speed_m_per_s").positive(sphere_density_kg_per_m3, "sphere_density_kg_per_m3");
  check_liquid(check, liquid);
  if (check.failed()) return check.fault();
  const double difference_kg_per_m3 = std::abs(sphere_density_kg_per_m3 - liquid.density_kg_per_m3);
  check.that(difference_kg_per_m3 > 0.0, "sphere_density_kg_per_m3", "the density of the fuel",
             "a density that differs from the fuel's");
  if (check.failed()) return check.fault();
  return std::sqrt(18.0 * liquid.dynamic_viscosity_Pa_s * speed_m_per_s /
                   (difference_kg_per_m3 * standard_gravity_m_per_s2));
}

}  // namespace fw::fuel
