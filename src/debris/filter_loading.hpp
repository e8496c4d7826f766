// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>

#include "base/required.hpp"
#include "base/result.hpp"

/// How a filter's drop grows with the dirt it holds, how long it lasts, and what keeping it costs in work.
namespace fw::debris {

/// A clean medium by its permeability.
struct PorousMedium {
  double area_m2 = required;          ///< unfolded
  double thickness_m = required;      ///< t
  double permeability_m2 = required;  ///< k
  double inertia_per_m = 0.0;         ///< beta_F; negligible in media
};
/// Drop of the medium alone [Pa]: mu (t/k) v + beta_F rho t v^2, v = Q/A. Ports and housing are not in it.
/// Errors: invalid_input naming the field. Source: Darcy, Forchheimer. Check: 100 L/h, 0.30 m2, 2.5e-3 Pa s, 0.8 mm,
/// 3.6e-13 m2 -> 514.4 Pa; beta_F 1e8, 830 kg/m3 -> 515.0.
struct MediumFlow {
  double flow_m3_per_s = required;
  double dynamic_viscosity_Pa_s = required;
  double density_kg_per_m3 = required;
};
[[nodiscard]] Result<double> medium_drop_Pa(const PorousMedium& medium, const MediumFlow& flow);

/// Permeability [m2] from an air test: mu_air v_air t/dp. Check: 5 L/m2/s, 0.8 mm, 1.81e-5 Pa s, 200 Pa -> 3.62e-13.
struct AirTest {
  double face_velocity_m_per_s = required;
  double thickness_m = required;
  double drop_Pa = 200.0;  ///< usual pressure of the test
  double air_viscosity_Pa_s = 1.81e-5;
};
[[nodiscard]] Result<double> permeability_m2(const AirTest& test);

/// Laws of growth at constant flow (J. Hermia, Trans. IChemE 60 (1982) 183; from memory).
enum class Blocking : std::uint8_t {
  cake,          ///< 1 + k m
  intermediate,  ///< exp(k m): the default
  standard,      ///< (1 - k m)^-2
  complete,      ///< 1/(1 - k m)
};
/// One law scaled by a terminal point.
struct Loading {
  double clean_drop_Pa = required;
  double terminal_drop_Pa = required;
  double capacity_kg = required;  ///< retained at the terminal drop
  Blocking law = Blocking::intermediate;
};
/// Drop [Pa] with `retained_kg` in the filter, at the flow and liquid of the clean drop. Beyond the capacity the law
/// goes on and is extrapolated; the blocking laws end where they become infinite (outside_model).
/// Real plugging is often soft matter (wax, asphaltenes, soaps, biomass), which dust capacity does not predict.
/// Errors: invalid_input `loading...`, `retained_kg`. Check: 5 to 70 kPa at 20 g -> 18.708 kPa at 10 g.
struct LoadedDrop {
  double drop_Pa = required;
  Range range = Range::fitted;
};
[[nodiscard]] Result<LoadedDrop> loaded_drop(const Loading& loading, double retained_kg);
/// Retained mass [kg] that a drop stands for, at the same flow and liquid. Errors: as above; invalid_input `drop_Pa`
/// below the clean drop.
[[nodiscard]] Result<double> retained_kg(const Loading& loading, double drop_Pa);

/// Cake filtration: dp = mu v (R_m + alpha w), w = m/A. Check: 2.5e-3, 9.259e-5, 2e9, 1e12, 0.05 -> 12037 Pa.
/// Source: B. F. Ruth, Ind. Eng. Chem. 27 (1935) 708 (from memory). Errors: invalid_input naming the field.
struct Cake {
  double dynamic_viscosity_Pa_s = required;
  double face_velocity_m_per_s = required;
  double medium_resistance_per_m = required;
  double specific_resistance_m_per_kg = required;
  double mass_per_area_kg_per_m2 = required;
};
[[nodiscard]] Result<double> cake_drop_Pa(const Cake& cake);

/// Dirt that a filter in an engine's circuit catches. Life follows the burn, not the feed: what returns was filtered.
struct Circuit {
  double burn_m3_per_s = required;
  double return_m3_per_s = required;  ///< to the tank the filter draws from
  double fill_kg_per_m3 = required;   ///< dirt in the fuel as filled
  double efficiency = required;       ///< by mass, 0 to 1
};
struct Catch {
  double tank_kg_per_m3 = required;  ///< steady, well mixed
  double catch_kg_per_s = required;
};
/// Steady state of a well-mixed tank: C_T = C_fill Q_b/(Q_b + E Q_r), catch = E (Q_b + Q_r) C_T.
/// Errors: invalid_input naming the field. Check: 10 and 140 L/h, 20.04 mg/L: E 0.5 / 0.9 / 0.999 -> 2.505 / 1.4735 /
/// 1.3372 mg/L, 187.88 / 198.93 / 200.39 mg/h.
[[nodiscard]] Result<Catch> steady_catch(const Circuit& circuit);

/// Hours and distance to the capacity. Check: 20 g at E 0.999 above -> 99.80 h; once through 100 L/h at 10 mg/L -> 20
/// h.
struct FilterLife {
  double seconds = required;
  double distance_m = required;  ///< NaN without a speed
};
/// Errors: invalid_input `capacity_kg`, `catch_kg_per_s`, `mean_speed_m_per_s` (NaN: not wanted).
[[nodiscard]] Result<FilterLife> filter_life(double capacity_kg, double catch_kg_per_s, double mean_speed_m_per_s);

/// A filter's use over a year, in what an estimate prices: changes, elements, minutes.
struct FilterUse {
  double hours_a_year = required;
  double metres_a_year = required;   ///< NaN when the interval has no distance
  double life_by_dirt_h = required;  ///< from filter_life; NaN: not known
  double interval_h = required;      ///< maker's or shop's; NaN: none
  double interval_m = required;      ///< distance; NaN: none
  double longest_years = 1.0;        ///< age limit, common practice 1 year
  double minutes_per_change = required;
  int elements = 1;  ///< changed together
};
enum class ChangedBy : std::uint8_t { dirt, hours, distance, age };
struct YearOfFilter {
  double changes = required;
  double elements = required;
  double minutes = required;
  ChangedBy by = ChangedBy::age;  ///< what comes first
};
/// Errors: invalid_input `use...`.
[[nodiscard]] Result<YearOfFilter> year_of_filter(const FilterUse& use);

}  // namespace fw::debris
