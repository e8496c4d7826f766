// SPDX-License-Identifier: Apache-2.0
#include "debris/filter_loading.hpp"

#include <cmath>

#include <fmt/format.h>

#include "base/input_check.hpp"

namespace fw::debris {

namespace {

void check_loading(InputCheck& check, const Loading& loading) {
  check.positive(loading.clean_drop_Pa, "loading.clean_drop_Pa")
      .positive(loading.terminal_drop_Pa, "loading.terminal_drop_Pa")
      .positive(loading.capacity_kg, "loading.capacity_kg");
  if (check.failed()) return;
  check.that(loading.terminal_drop_Pa > loading.clean_drop_Pa, "loading.terminal_drop_Pa",
             fmt::format("{:.6g} Pa", loading.terminal_drop_Pa),
             fmt::format("more than the clean drop, {:.6g} Pa", loading.clean_drop_Pa));
}

// k of the law, 1/kg.
double growth_per_kg(const Loading& loading) {
  const double ratio = loading.terminal_drop_Pa / loading.clean_drop_Pa;
  switch (loading.law) {
    case Blocking::cake: return (ratio - 1.0) / loading.capacity_kg;
    case Blocking::intermediate: return std::log(ratio) / loading.capacity_kg;
    case Blocking::standard: return (1.0 - 1.0 / std::sqrt(ratio)) / loading.capacity_kg;
    case Blocking::complete: return (1.0 - 1.0 / ratio) / loading.capacity_kg;
  }
  return 0.0;
}

}  // namespace

Result<double> medium_drop_Pa(const PorousMedium& medium, const MediumFlow& flow) {
  InputCheck check;
  check.positive(medium.area_m2, "medium.area_m2")
      .positive(medium.thickness_m, "medium.thickness_m")
      .positive(medium.permeability_m2, "medium.permeability_m2")
      .non_negative(medium.inertia_per_m, "medium.inertia_per_m")
      .non_negative(flow.flow_m3_per_s, "flow.flow_m3_per_s")
      .positive(flow.dynamic_viscosity_Pa_s, "flow.dynamic_viscosity_Pa_s")
      .positive(flow.density_kg_per_m3, "flow.density_kg_per_m3");
  if (check.failed()) return check.fault();
  const double v = flow.flow_m3_per_s / medium.area_m2;
  return flow.dynamic_viscosity_Pa_s * (medium.thickness_m / medium.permeability_m2) * v +
         medium.inertia_per_m * flow.density_kg_per_m3 * medium.thickness_m * v * v;
}

Result<double> permeability_m2(const AirTest& test) {
  InputCheck check;
  check.positive(test.face_velocity_m_per_s, "test.face_velocity_m_per_s")
      .positive(test.thickness_m, "test.thickness_m")
      .positive(test.drop_Pa, "test.drop_Pa")
      .positive(test.air_viscosity_Pa_s, "test.air_viscosity_Pa_s");
  if (check.failed()) return check.fault();
  return test.air_viscosity_Pa_s * test.face_velocity_m_per_s * test.thickness_m / test.drop_Pa;
}

Result<LoadedDrop> loaded_drop(const Loading& loading, double retained_kg) {
  InputCheck check;
  check_loading(check, loading);
  check.non_negative(retained_kg, "retained_kg");
  if (check.failed()) return check.fault();
  const double km = growth_per_kg(loading) * retained_kg;
  double growth = 1.0;
  switch (loading.law) {
    case Blocking::cake: growth = 1.0 + km; break;
    case Blocking::intermediate:
      if (km > 600.0) {
        return outside("retained_kg", fmt::format("{:.4g} kg", retained_kg), "a mass that the law can still hold");
      }
      growth = std::exp(km);
      break;
    case Blocking::standard:
    case Blocking::complete:
      if (km >= 1.0) {
        return outside("retained_kg", fmt::format("{:.4g} kg", retained_kg),
                       fmt::format("below {:.4g} kg, where this law is plugged", retained_kg / km));
      }
      growth = loading.law == Blocking::standard ? 1.0 / ((1.0 - km) * (1.0 - km)) : 1.0 / (1.0 - km);
      break;
  }
  return LoadedDrop{.drop_Pa = loading.clean_drop_Pa * growth,
                    .range = retained_kg > loading.capacity_kg ? Range::extrapolated : Range::fitted};
}

Result<double> retained_kg(const Loading& loading, double drop_Pa) {
  InputCheck check;
  check_loading(check, loading);
  check.positive(drop_Pa, "drop_Pa");
  if (check.failed()) return check.fault();
  const double growth = drop_Pa / loading.clean_drop_Pa;
  check.that(growth >= 1.0, "drop_Pa", fmt::format("{:.6g} Pa", drop_Pa),
             fmt::format("at least the clean drop, {:.6g} Pa", loading.clean_drop_Pa),
             "Bring the reading to the flow and viscosity of the clean drop first: R = dp/(mu Q)");
  if (check.failed()) return check.fault();
  const double k = growth_per_kg(loading);
  switch (loading.law) {
    case Blocking::cake: return (growth - 1.0) / k;
    case Blocking::intermediate: return std::log(growth) / k;
    case Blocking::standard: return (1.0 - 1.0 / std::sqrt(growth)) / k;
    case Blocking::complete: return (1.0 - 1.0 / growth) / k;
  }
  return 0.0;
}

Result<double> cake_drop_Pa(const Cake& cake) {
  InputCheck check;
  check.positive(cake.dynamic_viscosity_Pa_s, "cake.dynamic_viscosity_Pa_s")
      .non_negative(cake.face_velocity_m_per_s, "cake.face_velocity_m_per_s")
      .non_negative(cake.medium_resistance_per_m, "cake.medium_resistance_per_m")
      .non_negative(cake.specific_resistance_m_per_kg, "cake.specific_resistance_m_per_kg")
      .non_negative(cake.mass_per_area_kg_per_m2, "cake.mass_per_area_kg_per_m2");
  if (check.failed()) return check.fault();
  return cake.dynamic_viscosity_Pa_s * cake.face_velocity_m_per_s *
         (cake.medium_resistance_per_m + cake.specific_resistance_m_per_kg * cake.mass_per_area_kg_per_m2);
}

Result<Catch> steady_catch(const Circuit& circuit) {
  InputCheck check;
  check.positive(circuit.burn_m3_per_s, "circuit.burn_m3_per_s")
      .non_negative(circuit.return_m3_per_s, "circuit.return_m3_per_s")
      .non_negative(circuit.fill_kg_per_m3, "circuit.fill_kg_per_m3")
      .within(circuit.efficiency, {.low = 0.0, .high = 1.0}, "circuit.efficiency");
  if (check.failed()) return check.fault();
  const double tank = circuit.fill_kg_per_m3 * circuit.burn_m3_per_s /
                      (circuit.burn_m3_per_s + circuit.efficiency * circuit.return_m3_per_s);
  return Catch{.tank_kg_per_m3 = tank,
               .catch_kg_per_s = circuit.efficiency * (circuit.burn_m3_per_s + circuit.return_m3_per_s) * tank};
}

Result<FilterLife> filter_life(double capacity_kg, double catch_kg_per_s, double mean_speed_m_per_s) {
  InputCheck check;
  check.positive(capacity_kg, "capacity_kg").positive(catch_kg_per_s, "catch_kg_per_s");
  const bool wanted = !std::isnan(mean_speed_m_per_s);
  if (wanted) check.positive(mean_speed_m_per_s, "mean_speed_m_per_s");
  if (check.failed()) return check.fault();
  const double seconds = capacity_kg / catch_kg_per_s;
  return FilterLife{.seconds = seconds, .distance_m = wanted ? seconds * mean_speed_m_per_s : required};
}

Result<YearOfFilter> year_of_filter(const FilterUse& use) {
  InputCheck check;
  check.positive(use.hours_a_year, "use.hours_a_year")
      .positive(use.longest_years, "use.longest_years")
      .non_negative(use.minutes_per_change, "use.minutes_per_change")
      .that(use.elements >= 1, "use.elements", fmt::format("{}", use.elements), "1 or more");
  const auto given = [](double value) { return !std::isnan(value); };
  if (given(use.life_by_dirt_h)) check.positive(use.life_by_dirt_h, "use.life_by_dirt_h");
  if (given(use.interval_h)) check.positive(use.interval_h, "use.interval_h");
  if (given(use.interval_m)) {
    check.positive(use.interval_m, "use.interval_m").positive(use.metres_a_year, "use.metres_a_year");
  }
  if (check.failed()) return check.fault();
  double years = use.longest_years;
  ChangedBy by = ChangedBy::age;
  const auto sooner = [&](double other_years, ChangedBy reason) {
    if (other_years < years) {
      years = other_years;
      by = reason;
    }
  };
  if (given(use.life_by_dirt_h)) sooner(use.life_by_dirt_h / use.hours_a_year, ChangedBy::dirt);
  if (given(use.interval_h)) sooner(use.interval_h / use.hours_a_year, ChangedBy::hours);
  if (given(use.interval_m)) sooner(use.interval_m / use.metres_a_year, ChangedBy::distance);
  const double changes = 1.0 / years;
  return YearOfFilter{
      .changes = changes, .elements = changes * use.elements, .minutes = changes * use.minutes_per_change, .by = by};
}

}  // namespace fw::debris
