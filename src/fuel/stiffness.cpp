// SPDX-License-Identifier: Apache-2.0
#include "fuel/stiffness.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "fuel/mixture.hpp"

namespace fw::fuel {

namespace {

constexpr double modulus_uncertainty = 0.06;
constexpr double sound_uncertainty = 0.03;
constexpr double largest_step_Pa = 5e6;
constexpr int fewest_steps = 10;

Result<Stiffness> of_constant(const Fuel& fuel) {
  if (!std::isfinite(fuel.sound_speed_m_per_s)) {
    return outside("fuel", "a fluid of constant density without a sound speed", "a grade, a blend or a sound speed",
                   "Enter a sound speed or choose a grade");
  }
  const double rho = fuel.density_15C_kg_per_m3;
  const double c = fuel.sound_speed_m_per_s;
  return Stiffness{.density_kg_per_m3 = rho,
                   .isothermal_modulus_Pa = rho * c * c,
                   .isentropic_modulus_Pa = rho * c * c,
                   .expansion_per_K = 0.0,
                   .sound_speed_m_per_s = c};
}

/// Precondition: checked fuel.
Result<Stiffness> of_checked(const Fuel& fuel, double temperature_K, double pressure_Pa) {
  if (const auto ok = check_temperature(temperature_K); !ok) return fail(ok.error());
  if (const auto ok = check_pressure(pressure_Pa); !ok) return fail(ok.error());
  const auto at = atmospheric_state(fuel, temperature_K);
  if (!at) return fail(at.error());
  const auto state = tait_state(at->tait, pressure_Pa);
  if (!state) return fail(state.error());
  const Doubts doubts = at->density | at->stiffness | pressure_doubts(families_of(fuel), temperature_K, pressure_Pa);
  const double rho = state->density_kg_per_m3;
  const double cp = at->tait.heat_capacity_J_per_kg_K;
  const double a = state->expansion_per_K;
  return Stiffness{.density_kg_per_m3 = rho,
                   .isothermal_modulus_Pa = state->isothermal_modulus_Pa,
                   .isentropic_modulus_Pa = state->isentropic_modulus_Pa,
                   .expansion_per_K = a,
                   .sound_speed_m_per_s = state->sound_speed_m_per_s,
                   .heat_capacity_J_per_kg_K = cp,
                   .isentropic_K_per_Pa = a * temperature_K / (rho * cp),
                   .isenthalpic_K_per_Pa = -(1.0 - a * temperature_K) / (rho * cp),
                   .range = doubts.range(),
                   .doubts = doubts};
}

Result<Property> single(const Fuel& fuel, double temperature_K, double pressure_Pa, double Stiffness::* member,
                        double relative_uncertainty) {
  const auto state = stiffness(fuel, temperature_K, pressure_Pa);
  if (!state) return fail(state.error());
  return Property{.value = (*state).*member,
                  .range = state->range,
                  .doubts = state->doubts,
                  .relative_uncertainty = fuel.family == Family::constant ? 0.0 : relative_uncertainty};
}

Result<PressureStepEnd> integrate(const Fuel& fuel, const PressureStep& step, double Stiffness::* slope, bool works) {
  if (fuel.family == Family::constant) {
    return outside("fuel", "a fluid of constant density", "a grade or a blend",
                   "A constant fluid has no heat capacity");
  }
  if (const auto ok = check_fuel(fuel); !ok) return fail(ok.error());
  if (const auto ok = check_pressure(step.from_Pa); !ok) return fail(ok.error().in_field("from"));
  if (const auto ok = check_pressure(step.to_Pa); !ok) return fail(ok.error().in_field("to"));
  const double span_Pa = step.to_Pa - step.from_Pa;
  const int steps = std::max(fewest_steps, static_cast<int>(std::ceil(std::abs(span_Pa) / largest_step_Pa)));
  const double h = span_Pa / steps;
  PressureStepEnd end{.temperature_K = step.temperature_K, .compression_J_per_kg = 0.0, .pumping_J_per_kg = 0.0};
  const auto start = of_checked(fuel, step.temperature_K, step.from_Pa);
  if (!start) return fail(start.error());
  end.doubts = start->doubts;
  for (int i = 0; i < steps; ++i) {
    const double p = step.from_Pa + i * h;
    const double T = end.temperature_K;
    const auto first = of_checked(fuel, T, p);
    if (!first) return fail(first.error());
    const auto second = of_checked(fuel, T + 0.5 * h * (*first).*slope, p + 0.5 * h);
    if (!second) return fail(second.error());
    const auto third = of_checked(fuel, T + 0.5 * h * (*second).*slope, p + 0.5 * h);
    if (!third) return fail(third.error());
    const auto fourth = of_checked(fuel, T + h * (*third).*slope, i + 1 == steps ? step.to_Pa : p + h);
    if (!fourth) return fail(fourth.error());
    end.temperature_K +=
        h / 6.0 * ((*first).*slope + 2.0 * (*second).*slope + 2.0 * (*third).*slope + (*fourth).*slope);
    if (works) {  // Simpson's rule on the path
      const auto squeeze = [](const Stiffness& s, double at_Pa) {
        return at_Pa / (s.density_kg_per_m3 * s.isentropic_modulus_Pa);
      };
      end.compression_J_per_kg +=
          h / 6.0 * (squeeze(*first, p) + 4.0 * squeeze(*third, p + 0.5 * h) + squeeze(*fourth, p + h));
      end.pumping_J_per_kg +=
          h / 6.0 * (1.0 / first->density_kg_per_m3 + 4.0 / third->density_kg_per_m3 + 1.0 / fourth->density_kg_per_m3);
    }
    end.doubts = i + 1 == steps ? end.doubts | fourth->doubts : end.doubts;
  }
  end.range = end.doubts.range();
  return end;
}

}  // namespace

Result<Stiffness> stiffness(const Fuel& fuel, double temperature_K, double pressure_Pa) {
  if (const auto ok = check_fuel(fuel); !ok) return fail(ok.error());
  if (fuel.family != Family::constant) return of_checked(fuel, temperature_K, pressure_Pa);
  if (const auto ok = require_positive(temperature_K, "temperature_K"); !ok) return fail(ok.error());
  if (const auto ok = check_pressure(pressure_Pa); !ok) return fail(ok.error());
  return of_constant(fuel);
}

Result<Property> isothermal_modulus_Pa(const Fuel& fuel, double temperature_K, double pressure_Pa) {
  return single(fuel, temperature_K, pressure_Pa, &Stiffness::isothermal_modulus_Pa, modulus_uncertainty);
}

Result<Property> isentropic_modulus_Pa(const Fuel& fuel, double temperature_K, double pressure_Pa) {
  return single(fuel, temperature_K, pressure_Pa, &Stiffness::isentropic_modulus_Pa, modulus_uncertainty);
}

Result<Property> sound_speed_m_per_s(const Fuel& fuel, double temperature_K, double pressure_Pa) {
  return single(fuel, temperature_K, pressure_Pa, &Stiffness::sound_speed_m_per_s, sound_uncertainty);
}

Result<Property> expansion_per_K(const Fuel& fuel, double temperature_K, double pressure_Pa) {
  return single(fuel, temperature_K, pressure_Pa, &Stiffness::expansion_per_K, 0.0);
}

Result<Tait> tait_of(const Fuel& fuel, double temperature_K) {
  if (const auto ok = check_fuel(fuel); !ok) return fail(ok.error());
  if (fuel.family == Family::constant) {
    return outside("fuel", "a fluid of constant density", "a grade or a blend", "Choose a grade");
  }
  if (const auto ok = check_temperature(temperature_K); !ok) return fail(ok.error());
  const auto at = atmospheric_state(fuel, temperature_K);
  if (!at) return fail(at.error());
  return at->tait;
}

Result<PressureStepEnd> compressed(const Fuel& fuel, const PressureStep& step) {
  return integrate(fuel, step, &Stiffness::isentropic_K_per_Pa, true);
}

Result<PressureStepEnd> throttled(const Fuel& fuel, const PressureStep& step) {
  return integrate(fuel, step, &Stiffness::isenthalpic_K_per_Pa, false);
}

}  // namespace fw::fuel
