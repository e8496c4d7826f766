// SPDX-License-Identifier: Apache-2.0
#include "debris/settling.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "base/input_check.hpp"
#include "debris/dirt.hpp"

namespace fw::debris {

Result<Fall> fall_velocity(const FallingParticle& particle, const fuel::Liquid& liquid) {
  InputCheck check;
  check.positive(particle.size_m, "particle.size_m")
      .positive(particle.density_kg_per_m3, "particle.density_kg_per_m3")
      .positive(liquid.density_kg_per_m3, "liquid.density_kg_per_m3")
      .positive(liquid.dynamic_viscosity_Pa_s, "liquid.dynamic_viscosity_Pa_s");
  if (check.failed()) return check.fault();
  constexpr double gravity_m_per_s2 = 9.80665;
  const double excess = particle.density_kg_per_m3 - liquid.density_kg_per_m3;
  const double d = particle.size_m;
  const double stokes = std::abs(excess) * gravity_m_per_s2 * d * d / (18.0 * liquid.dynamic_viscosity_Pa_s);
  const double reynolds_per_speed = liquid.density_kg_per_m3 * d / liquid.dynamic_viscosity_Pa_s;
  // v (1 + 0.15 Re^0.687) = v_stokes: rising in v, so Newton from Stokes' value falls to the root.
  double v = stokes;
  for (int i = 0; i < 60; ++i) {
    const double power = 0.15 * std::pow(reynolds_per_speed * v, 0.687);
    const double step = (v * (1.0 + power) - stokes) / (1.0 + 1.687 * power);
    v -= step;
    if (std::abs(step) <= 1e-14 * v) break;
  }
  const double reynolds = reynolds_per_speed * v;
  if (reynolds > 800.0) {
    return outside("particle.size_m", fmt::format("{:.4g} um, Re {:.4g}", 1e6 * d, reynolds), "a fall of Re below 800");
  }
  return Fall{.velocity_m_per_s = excess < 0.0 ? -v : v, .reynolds = reynolds};
}

Result<Bins> fall_velocities_m_per_s(double density_kg_per_m3, const fuel::Liquid& liquid) {
  const std::vector<double> middles = middle_sizes_m(standard_edges_m());
  Bins velocities{};
  for (std::size_t bin = 0; bin < bin_count; ++bin) {
    const auto fall = fall_velocity({.size_m = middles[bin], .density_kg_per_m3 = density_kg_per_m3}, liquid);
    if (!fall) return fail(fall.error());
    velocities[bin] = std::max(0.0, fall->velocity_m_per_s);
  }
  return velocities;
}

}  // namespace fw::debris
