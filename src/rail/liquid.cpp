// SPDX-License-Identifier: Apache-2.0
#include "rail/liquid.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "fuel/stiffness.hpp"
#include "fuel/thermal.hpp"

namespace fw::rail {

namespace {

constexpr double highest_fitted_Pa = 260e6;

}  // namespace

double RailLiquid::density_at(double pressure_Pa) const {
  return density_kg_per_m3 * std::pow(1.0 + modulus_slope * pressure_Pa / modulus_Pa, 1.0 / modulus_slope);
}

double RailLiquid::modulus_at(double pressure_Pa) const { return modulus_Pa + modulus_slope * pressure_Pa; }

double RailLiquid::sound_speed_at(double pressure_Pa) const {
  return std::sqrt(modulus_at(pressure_Pa) / density_at(pressure_Pa));
}

double RailLiquid::viscosity_at(double pressure_Pa) const {
  return viscosity_Pa_s * std::exp(pressure_Pa * (viscosity_per_Pa + viscosity_per_Pa2 * pressure_Pa));
}

double RailLiquid::pressure_at(double density) const {
  return modulus_Pa / modulus_slope * (std::pow(density / density_kg_per_m3, modulus_slope) - 1.0);
}

double RailLiquid::pumping_J_per_kg(double from_Pa, double to_Pa) const {
  const double n = modulus_slope;
  const auto primitive = [&](double pressure_Pa) {
    return modulus_Pa / (density_kg_per_m3 * (n - 1.0)) * std::pow(1.0 + n * pressure_Pa / modulus_Pa, (n - 1.0) / n);
  };
  return primitive(to_Pa) - primitive(from_Pa);
}

WaveCurve::WaveCurve(const RailLiquid& liquid) {
  constexpr std::size_t terms = kernel::curve_terms;
  const double low = liquid.density_at(liquid.vapour_pressure_Pa);
  const double high = liquid.density_at(highest_fitted_Pa);
  const double middle = 0.5 * (low + high);
  const double half = 0.5 * (high - low);
  // Chebyshev's coefficients of the sound speed, then gathered by powers of t.
  std::array<double, terms> at{};
  std::array<double, terms> angle{};
  for (std::size_t j = 0; j < terms; ++j) {
    angle[j] = std::numbers::pi * (static_cast<double>(j) + 0.5) / static_cast<double>(terms);
    const double share = (middle + half * std::cos(angle[j])) / liquid.density_kg_per_m3;
    at[j] =
        std::sqrt(liquid.modulus_Pa / liquid.density_kg_per_m3) * std::pow(share, 0.5 * (liquid.modulus_slope - 1.0));
  }
  std::array<double, terms> before{};  // T_(k-1) and T_k by powers
  std::array<double, terms> here{};
  here[0] = 1.0;
  for (std::size_t k = 0; k < terms; ++k) {
    double coefficient = 0.0;
    for (std::size_t j = 0; j < terms; ++j) coefficient += at[j] * std::cos(static_cast<double>(k) * angle[j]);
    coefficient *= (k == 0 ? 1.0 : 2.0) / static_cast<double>(terms);
    for (std::size_t i = 0; i < terms; ++i) curve_.sound_m_per_s[i] += coefficient * here[i];
    std::array<double, terms> next{};
    for (std::size_t i = 0; i < terms; ++i) {
      const double raised = i > 0 ? here[i - 1] : 0.0;
      next[i] = (k == 0 ? 1.0 : 2.0) * raised - before[i];
    }
    before = here;
    here = next;
  }
  curve_.scale = 1.0 / half;
  curve_.shift = middle / half;
  curve_.modulus_Pa = liquid.modulus_Pa;
  curve_.inverse_slope = 1.0 / liquid.modulus_slope;
  curve_.vapour_density_kg_per_m3 = low;
  const double sound = liquid.sound_speed_at(liquid.vapour_pressure_Pa);
  curve_.liquid_impedance = low * sound;
  curve_.liquid_inverse_sound_squared = 1.0 / (sound * sound);
  curve_.vapour_sound_m_per_s = std::sqrt(liquid.vapour_pressure_Pa / low);
}

double WaveCurve::pressure_Pa(double density) const { return kernel::pressure_Pa(curve_, density); }

void check_liquid(InputCheck& check, const RailLiquid& liquid) {
  check.positive(liquid.density_kg_per_m3, "liquid.density_kg_per_m3")
      .positive(liquid.modulus_Pa, "liquid.modulus_Pa")
      .within(liquid.modulus_slope, {.low = 2.0, .high = 20.0}, "liquid.modulus_slope")
      .positive(liquid.viscosity_Pa_s, "liquid.viscosity_Pa_s")
      .finite(liquid.viscosity_per_Pa, "liquid.viscosity_per_Pa")
      .finite(liquid.viscosity_per_Pa2, "liquid.viscosity_per_Pa2")
      .positive(liquid.heat_capacity_J_per_kg_K, "liquid.heat_capacity_J_per_kg_K")
      .finite(liquid.expansion_per_K, "liquid.expansion_per_K")
      .positive(liquid.vapour_pressure_Pa, "liquid.vapour_pressure_Pa")
      .positive(liquid.temperature_K, "liquid.temperature_K")
      .positive(liquid.free_density_kg_per_m3, "liquid.free_density_kg_per_m3");
}

Result<FittedLiquid> rail_liquid(const fuel::Fuel& fuel, double temperature_K, double highest_Pa) {
  InputCheck check;
  check.positive(temperature_K, "temperature_K")
      .within(highest_Pa, {.low = 10e6, .high = fuel::highest_pressure_Pa}, "highest_Pa");
  if (check.failed()) return check.fault();

  constexpr int count = 11;
  std::array<double, count> pressure{};
  std::array<double, count> density{};
  std::array<double, count> modulus{};
  std::array<double, count> log_viscosity{};
  FittedLiquid fit;
  for (int i = 0; i < count; ++i) {
    const auto k = static_cast<std::size_t>(i);
    pressure[k] = fuel::standard_pressure_Pa + (highest_Pa - fuel::standard_pressure_Pa) * i / (count - 1.0);
    double compressed_K = temperature_K;
    if (i > 0) {
      const auto end = fuel::compressed(
          fuel, {.temperature_K = temperature_K, .from_Pa = fuel::standard_pressure_Pa, .to_Pa = pressure[k]});
      if (!end) return fail(end.error());
      compressed_K = end->temperature_K;
    }
    const auto state = fuel::stiffness(fuel, compressed_K, pressure[k]);
    if (!state) return fail(state.error());
    const auto viscosity = fuel::dynamic_viscosity_Pa_s(fuel, temperature_K, pressure[k]);
    if (!viscosity) return fail(viscosity.error());
    density[k] = state->density_kg_per_m3;
    modulus[k] = state->isentropic_modulus_Pa;
    log_viscosity[k] = std::log(viscosity->value);
    if (i == 0) fit.liquid.expansion_per_K = state->expansion_per_K;
    fit.range = widest(fit.range, widest(state->range, viscosity->range));
  }
  const auto capacity = fuel::heat_capacity_J_per_kg_K(fuel, temperature_K);
  if (!capacity) return fail(capacity.error());
  const auto vapour = fuel::vapour_pressure_Pa(fuel, temperature_K);
  if (!vapour) return fail(vapour.error());
  const auto free_density = fuel::density_kg_per_m3(fuel, 313.15);
  if (!free_density) return fail(free_density.error());

  double mean_p = 0.0;
  double mean_k = 0.0;
  for (std::size_t k = 0; k < count; ++k) {
    mean_p += pressure[k] / count;
    mean_k += modulus[k] / count;
  }
  double above = 0.0;
  double below = 0.0;
  for (std::size_t k = 0; k < count; ++k) {
    above += (pressure[k] - mean_p) * (modulus[k] - mean_k);
    below += (pressure[k] - mean_p) * (pressure[k] - mean_p);
  }
  RailLiquid& liquid = fit.liquid;
  liquid.modulus_slope = above / below;
  liquid.modulus_Pa = mean_k - liquid.modulus_slope * mean_p;
  double log_density = 0.0;
  liquid.density_kg_per_m3 = 1.0;
  for (std::size_t k = 0; k < count; ++k) log_density += std::log(density[k] / liquid.density_at(pressure[k])) / count;
  liquid.density_kg_per_m3 = std::exp(log_density);

  // ln mu - ln mu(first) = alpha x + beta x^2 with x = p - p(first), then moved to p = 0.
  double s2 = 0.0;
  double s3 = 0.0;
  double s4 = 0.0;
  double t1 = 0.0;
  double t2 = 0.0;
  for (std::size_t k = 1; k < count; ++k) {
    const double x = (pressure[k] - pressure[0]) / highest_Pa;
    const double y = log_viscosity[k] - log_viscosity[0];
    s2 += x * x;
    s3 += x * x * x;
    s4 += x * x * x * x;
    t1 += x * y;
    t2 += x * x * y;
  }
  const double determinant = s2 * s4 - s3 * s3;
  const double alpha = (t1 * s4 - t2 * s3) / determinant / highest_Pa;
  const double beta = (s2 * t2 - s3 * t1) / determinant / (highest_Pa * highest_Pa);
  liquid.viscosity_per_Pa2 = beta;
  liquid.viscosity_per_Pa = alpha - 2.0 * beta * pressure[0];
  liquid.viscosity_Pa_s = std::exp(log_viscosity[0] - pressure[0] * (alpha - beta * pressure[0]));
  liquid.heat_capacity_J_per_kg_K = capacity->value;
  liquid.vapour_pressure_Pa = vapour->value;
  liquid.temperature_K = temperature_K;
  liquid.free_density_kg_per_m3 = free_density->value;
  for (std::size_t k = 0; k < count; ++k) {
    const double p = pressure[k];
    fit.density_deviation = std::max(fit.density_deviation, std::abs(liquid.density_at(p) / density[k] - 1.0));
    fit.modulus_deviation = std::max(fit.modulus_deviation, std::abs(liquid.modulus_at(p) / modulus[k] - 1.0));
    fit.viscosity_deviation =
        std::max(fit.viscosity_deviation, std::abs(liquid.viscosity_at(p) / std::exp(log_viscosity[k]) - 1.0));
  }
  return fit;
}

Result<double> mixture_modulus_Pa(const GasMix& mix, double pressure_Pa) {
  InputCheck check;
  check.positive(mix.liquid_modulus_Pa, "mix.liquid_modulus_Pa")
      .positive(mix.volume_m3, "mix.volume_m3")
      .non_negative(mix.free_gas_m3, "mix.free_gas_m3")
      .positive(mix.gas_measured_Pa, "mix.gas_measured_Pa")
      .within(mix.polytropic, {.low = 1.0, .high = 1.4}, "mix.polytropic")
      .positive(pressure_Pa, "pressure_Pa");
  if (check.failed()) return check.fault();
  const double gas_m3 = mix.free_gas_m3 * std::pow(mix.gas_measured_Pa / pressure_Pa, 1.0 / mix.polytropic);
  const double x = gas_m3 / mix.volume_m3;
  if (x > 1.0) {
    return invalid("mix.free_gas_m3", "more gas than the volume holds at this pressure", "gas that fits the volume");
  }
  return 1.0 / ((1.0 - x) / mix.liquid_modulus_Pa + x / (mix.polytropic * pressure_Pa));
}

}  // namespace fw::rail
