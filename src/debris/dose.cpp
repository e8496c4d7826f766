// SPDX-License-Identifier: Apache-2.0
#include "debris/dose.hpp"

#include <cmath>
#include <cstddef>

#include <fmt/format.h>

#include "base/input_check.hpp"

namespace fw::debris {

namespace {

bool same_size(double a, double b) { return std::abs(a - b) <= 1e-9 * b; }

bool has_edge(std::span<const double> edges_m, double size_m) {
  for (const double edge : edges_m) {
    if (same_size(edge, size_m)) return true;
  }
  return false;
}

void check_edges(InputCheck& check, std::span<const double> edges_m, std::size_t bins, const char* field) {
  check.that(edges_m.size() == bins + 1 && bins >= 1, field, fmt::format("{} edges for {} bins", edges_m.size(), bins),
             "one edge more than bins");
  for (std::size_t i = 0; i < edges_m.size() && !check.failed(); ++i) {
    check.positive(edges_m[i], field);
    if (check.failed()) return;
    check.that(i == 0 || edges_m[i] > edges_m[i - 1], field, "an edge below the one before", "rising edges");
  }
}

}  // namespace

Result<Dose> dose_of(const Arrivals& arrivals, const DoseSettings& settings) {
  InputCheck check;
  const std::size_t bins = arrivals.number.size();
  check_edges(check, settings.edges_m, bins, "settings.edges_m");
  check
      .that(arrivals.mass_kg.size() == bins, "arrivals.mass_kg", fmt::format("{} bins", arrivals.mass_kg.size()),
            fmt::format("{} bins", bins))
      .positive(arrivals.hardness_Pa, "arrivals.hardness_Pa")
      .positive(settings.surface_hardness_Pa, "settings.surface_hardness_Pa")
      .within(settings.soft_weight, {.low = 0.0, .high = 1.0}, "settings.soft_weight")
      .positive(settings.hard_ratio, "settings.hard_ratio")
      .positive(settings.critical_size_m, "settings.critical_size_m");
  for (const double size_m : {2e-6, 4e-6, settings.critical_size_m}) {
    if (check.failed()) break;
    check.that(has_edge(settings.edges_m, size_m), "settings.edges_m",
               fmt::format("no edge at {:.4g} um", size_m * 1e6), "edges at 2 and 4 um and at the critical size");
  }
  for (std::size_t i = 0; i < bins && !check.failed(); ++i) {
    check.non_negative(arrivals.number[i], fmt::format("arrivals.number[{}]", i))
        .non_negative(arrivals.mass_kg[i], fmt::format("arrivals.mass_kg[{}]", i));
  }
  if (check.failed()) return check.fault();
  Dose dose{.at_4_um = 0.0,
            .at_2_um = 0.0,
            .hard_mass_kg = 0.0,
            .acute_number = 0.0,
            .acute_chance = 0.0,
            .hardness_weight =
                arrivals.hardness_Pa > settings.hard_ratio * settings.surface_hardness_Pa ? 1.0 : settings.soft_weight};
  for (std::size_t i = 0; i < bins; ++i) {
    const double low = settings.edges_m[i];
    const auto from = [&](double size_m) { return low >= size_m * (1.0 - 1e-9); };
    if (from(2e-6)) dose.at_2_um += arrivals.number[i];
    if (from(4e-6)) dose.at_4_um += arrivals.number[i];
    if (from(settings.critical_size_m)) dose.acute_number += arrivals.number[i];
    dose.hard_mass_kg += dose.hardness_weight * arrivals.mass_kg[i];
  }
  dose.acute_chance = -std::expm1(-dose.acute_number);
  return dose;
}

Result<double> windowed_dose(std::span<const double> number, std::span<const double> edges_m, double clearance_m,
                             double exponent) {
  InputCheck check;
  check_edges(check, edges_m, number.size(), "edges_m");
  check.positive(clearance_m, "clearance_m")
      .that(exponent == 0.0 || exponent == 2.0 || exponent == 3.0, "exponent", fmt::format("{:.6g}", exponent),
            "0, 2 or 3");
  for (std::size_t i = 0; i < number.size(); ++i) check.non_negative(number[i], fmt::format("number[{}]", i));
  if (check.failed()) return check.fault();
  const auto middle = middle_sizes_m(edges_m);
  double dose = 0.0;
  for (std::size_t i = 0; i < number.size(); ++i) {
    const double ratio = middle[i] / clearance_m;
    if (ratio >= 0.5 && ratio <= 3.0) dose += number[i] * std::pow(ratio, exponent);
  }
  return dose;
}

Result<double> reference_dose(double flow_m3_per_s, double time_s) {
  InputCheck check;
  check.non_negative(flow_m3_per_s, "flow_m3_per_s").non_negative(time_s, "time_s");
  if (check.failed()) return check.fault();
  return bounds(12).upper_per_m3 * flow_m3_per_s * time_s;
}

Result<double> life_index(double reference, double dose, double exponent) {
  InputCheck check;
  check.positive(reference, "reference").positive(dose, "dose").within(exponent, {.low = 1.0, .high = 1.7}, "exponent");
  if (check.failed()) return check.fault();
  return std::pow(reference / dose, exponent);
}

}  // namespace fw::debris
