// SPDX-License-Identifier: Apache-2.0
#include "rail/film.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace fw::rail {

Result<Film> line_film(const LineContact& contact, const ContactOil& oil, double roughness_m) {
  InputCheck check;
  check.positive(contact.load_N_per_m, "contact.load_N_per_m")
      .positive(contact.radius_m, "contact.radius_m")
      .positive(contact.entraining_m_per_s, "contact.entraining_m_per_s")
      .positive(contact.modulus_Pa, "contact.modulus_Pa")
      .positive(oil.viscosity_Pa_s, "oil.viscosity_Pa_s")
      .non_negative(oil.pressure_exponent_per_Pa, "oil.pressure_exponent_per_Pa")
      .positive(roughness_m, "roughness_m");
  if (check.failed()) return check.fault();
  const double r = contact.radius_m;
  const double e = contact.modulus_Pa;
  const double u = oil.viscosity_Pa_s * contact.entraining_m_per_s / (e * r);
  const double g = oil.pressure_exponent_per_Pa * e;
  const double w = contact.load_N_per_m / (e * r);
  const double martin = 4.9 * oil.viscosity_Pa_s * contact.entraining_m_per_s * r / contact.load_N_per_m;
  Film film;
  film.smallest_m = std::max(martin, 2.65 * r * std::pow(u, 0.70) * std::pow(g, 0.54) * std::pow(w, -0.13));
  film.central_m = std::max(martin, 3.06 * r * std::pow(u, 0.69) * std::pow(g, 0.56) * std::pow(w, -0.10));
  film.half_width_m = std::sqrt(8.0 * contact.load_N_per_m * r / (std::numbers::pi * e));
  film.peak_Pa = 2.0 * contact.load_N_per_m / (std::numbers::pi * film.half_width_m);
  film.lambda = film.smallest_m / roughness_m;
  return film;
}

Result<ContactOil> contact_oil(const fuel::Fuel& fuel, double temperature_K) {
  constexpr double reach_Pa = 50e6;
  const auto low = fuel::dynamic_viscosity_Pa_s(fuel, temperature_K);
  if (!low) return fail(low.error());
  const auto high = fuel::dynamic_viscosity_Pa_s(fuel, temperature_K, fuel::standard_pressure_Pa + reach_Pa);
  if (!high) return fail(high.error());
  return ContactOil{.viscosity_Pa_s = low->value,
                    .pressure_exponent_per_Pa = std::log(high->value / low->value) / reach_Pa};
}

ContactOil inlet_wholly_water() { return {.viscosity_Pa_s = 0.35e-3, .pressure_exponent_per_Pa = 0.0}; }

Result<WearMargin> wear_margin(const Pump& pump, double rail_Pa, double shaft_rev_per_s, const ContactOil& oil,
                               const ContactOil& design, double roughness_m) {
  InputCheck check;
  check_pump(check, pump);
  check.positive(rail_Pa, "rail_Pa")
      .positive(shaft_rev_per_s, "shaft_rev_per_s")
      .positive(pump.drive.roller_length_m, "pump.drive.roller_length_m");
  if (check.failed()) return check.fault();
  const auto nose = cam_contact(pump.drive, std::numbers::pi / pump.drive.lift_count());
  if (!nose) return fail(nose.error().in_field("pump"));
  const LineContact contact{.load_N_per_m = pump.plunger_area_m2() * rail_Pa / pump.drive.roller_length_m,
                            .radius_m = 1.0 / (1.0 / pump.drive.roller_radius_m + 1.0 / nose->cam_radius_m),
                            .entraining_m_per_s = nose->surface_speed_m * 2.0 * std::numbers::pi * shaft_rev_per_s};
  const auto film = line_film(contact, oil, roughness_m);
  if (!film) return fail(film.error());
  const auto healthy = line_film(contact, design, roughness_m);
  if (!healthy) return fail(healthy.error().in_field("design"));
  return WearMargin{.film = *film, .design = *healthy, .relative = film->smallest_m / healthy->smallest_m};
}

}  // namespace fw::rail
