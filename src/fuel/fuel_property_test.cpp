// SPDX-License-Identifier: Apache-2.0
// What must hold for every fuel that a person can name, at every state that the room accepts.
#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include "fuel/fuel_text.hpp"
#include "fuel/property_sheet.hpp"
#include "fuel/stiffness.hpp"
#include "fuel/thermal.hpp"
#include "fuel/water_solubility.hpp"
#include "fuel_cases.hpp"

namespace fw::fuel {
namespace {

using test::celsius;

/// A grade or a blend of up to three grades, as typed.
std::string any_text() {
  const std::vector<std::string> ids = grade_ids();
  std::vector<std::string> used{*rc::gen::elementOf(ids)};
  std::string text = used.front();
  for (int part = *rc::gen::inRange(0, 3); part > 0; --part) {
    const std::string id = *rc::gen::elementOf(ids);
    if (std::find(used.begin(), used.end(), id) != used.end()) continue;
    used.push_back(id);
    text += " + " + std::to_string(*rc::gen::inRange(1, 50)) + " % " + id;
  }
  return text;
}

Fuel any_fuel() { return fuel_of_text(any_text()).value(); }
double any_temperature_K() { return celsius(*rc::gen::inRange(-5500, 15000) / 100.0); }
/// 0.01 to 340 MPa, every order of magnitude alike.
double any_pressure_Pa() { return 1e4 * std::exp(*rc::gen::inRange(0, 10430) / 1000.0); }

// Closed form of every liquid here: hotter is lighter and thinner, squeezed is denser and thicker.
RC_GTEST_PROP(AnyFuel, DensityAndViscosityAreMonotone, ()) {
  const Fuel fuel = any_fuel();
  const double T = any_temperature_K();
  const double p = any_pressure_Pa();
  const double hotter = T + *rc::gen::inRange(1, 400) / 10.0;
  const double higher = std::min(highest_pressure_Pa, p * (1.0 + *rc::gen::inRange(1, 1000) / 100.0));
  RC_ASSERT(density_kg_per_m3(fuel, hotter, p)->value < density_kg_per_m3(fuel, T, p)->value);
  RC_ASSERT(density_kg_per_m3(fuel, T, higher)->value > density_kg_per_m3(fuel, T, p)->value);
  RC_ASSERT(dynamic_viscosity_Pa_s(fuel, hotter, p)->value < dynamic_viscosity_Pa_s(fuel, T, p)->value);
  RC_ASSERT(dynamic_viscosity_Pa_s(fuel, T, higher)->value > dynamic_viscosity_Pa_s(fuel, T, p)->value);
  RC_ASSERT(vapour_pressure_Pa(fuel, hotter)->value > vapour_pressure_Pa(fuel, T)->value);
  RC_ASSERT(sound_speed_m_per_s(fuel, T, higher)->value > sound_speed_m_per_s(fuel, T, p)->value);
}

// Definition of sound speed: c^2 = dp/drho along an isentrope. The path is integrated, the densities are those of the
// density law: neither knows the K_S behind the sound speed.
RC_GTEST_PROP(AnyFuel, SoundSpeedIsTheSlopeAlongAnIsentrope, ()) {
  const Fuel fuel = any_fuel();
  const double T = celsius(*rc::gen::inRange(-2000, 12000) / 100.0);
  const double p = 1e6 + any_pressure_Pa() * 0.9;
  const double h = 2e5;
  const auto end_density = [&](double to_Pa) {
    const auto end = compressed(fuel, {.temperature_K = T, .from_Pa = p, .to_Pa = to_Pa}).value();
    return density_kg_per_m3(fuel, end.temperature_K, to_Pa)->value;
  };
  const double slope = 2.0 * h / (end_density(p + h) - end_density(p - h));
  const double c = sound_speed_m_per_s(fuel, T, p)->value;
  // Differences of densities near 800 kg/m3 over 0.2 kg/m3 lose four digits; the third derivative adds 1e-5.
  RC_ASSERT(std::abs(std::sqrt(slope) / c - 1.0) < 3e-5);
}

// Isothermal modulus by its definition, K_T = rho dp/drho.
RC_GTEST_PROP(AnyFuel, IsothermalModulusIsTheSlopeOfDensity, ()) {
  const Fuel fuel = any_fuel();
  const double T = any_temperature_K();
  const double p = 1e6 + any_pressure_Pa() * 0.9;
  const double h = 2e5;
  const auto rho = [&](double at_Pa) { return density_kg_per_m3(fuel, T, at_Pa)->value; };
  const double modulus = rho(p) * 2.0 * h / (rho(p + h) - rho(p - h));
  RC_ASSERT(std::abs(modulus / isothermal_modulus_Pa(fuel, T, p)->value - 1.0) < 3e-5);
}

// Every rule of blending keeps a blend of two between them: density, viscosity, vapour pressure, heat, water.
RC_GTEST_PROP(AnyFuel, ABlendLiesBetweenItsParts, ()) {
  const std::vector<std::string> ids = grade_ids();
  const std::string a = *rc::gen::elementOf(ids);
  const std::string b = *rc::gen::elementOf(ids);
  RC_PRE(a != b);
  const int percent = *rc::gen::inRange(1, 100);
  const Fuel made = fuel_of_text(a + " + " + std::to_string(percent) + " % " + b).value();
  const double T = celsius(*rc::gen::inRange(-3500, 15000) / 100.0);
  const auto between = [&](const auto& value) {
    const double first = value(grade(a).value());
    const double second = value(grade(b).value());
    const double whole = value(made);
    RC_ASSERT(whole >= std::min(first, second) * (1.0 - 1e-9));
    RC_ASSERT(whole <= std::max(first, second) * (1.0 + 1e-9));
  };
  between([&](const Fuel& f) { return density_kg_per_m3(f, T)->value; });
  between([&](const Fuel& f) { return kinematic_viscosity_m2_per_s(f, T)->value; });
  between([&](const Fuel& f) { return vapour_pressure_Pa(f, T)->value; });
  between([&](const Fuel& f) { return heat_capacity_J_per_kg_K(f, T)->value; });
  between([&](const Fuel& f) { return water_solubility(f, T)->value; });
  between([&](const Fuel& f) { return lower_heating_value_J_per_kg(f)->value; });
  between([&](const Fuel& f) { return tait_of(f, T)->stiffness_Pa; });
}

// A fuel never gets less waxy by cooling, and no law speaks of wax above the highest cloud point of the parts.
RC_GTEST_PROP(AnyFuel, WaxOnlyGrowsByCooling, ()) {
  const Fuel fuel = any_fuel();
  const auto severity = [](Cold cold) {
    return cold == Cold::below_cfpp ? 2 : cold == Cold::below_cloud_point ? 1 : 0;
  };
  int last = 2;
  for (double t = -60.0; t <= 30.0; t += 0.5) {
    const int now = severity(cold_state(fuel, celsius(t)));
    RC_ASSERT(now <= last);
    last = now;
  }
  RC_ASSERT(last == 0);
}

// A property says extrapolated exactly where it has a reason, is finite, and is refused only beyond the room's bounds
// (ester's water line below -41 C is the one exception, named in its header).
RC_GTEST_PROP(AnyFuel, EveryPropertySaysItsRange, ()) {
  const Fuel fuel = any_fuel();
  const std::vector<FuelState> at{{.temperature_K = any_temperature_K(), .pressure_Pa = any_pressure_Pa()}};
  const PropertySheet sheet = property_sheet(fuel, at).value();
  for (std::size_t i = 0; i < state_quantities; ++i) {
    const auto& value = sheet.states.front().values[i];
    if (!value) {
      RC_ASSERT(static_cast<StateQuantity>(i) == StateQuantity::water_solubility);
      RC_ASSERT(at.front().temperature_K < celsius(-40.9));
      continue;
    }
    RC_ASSERT(std::isfinite(value->value));
    RC_ASSERT((value->range == Range::extrapolated) == !value->reason().empty());
  }
  const std::vector<FuelState> cold{{.temperature_K = lowest_temperature_K - 1.0, .pressure_Pa = 1e5}};
  const std::vector<FuelState> deep{{.temperature_K = celsius(20), .pressure_Pa = 1.01 * highest_pressure_Pa}};
  RC_ASSERT(property_sheet(fuel, cold).error().front().code == ErrorCode::outside_model);
  RC_ASSERT(property_sheet(fuel, deep).error().front().code == ErrorCode::outside_model);
}

}  // namespace
}  // namespace fw::fuel
