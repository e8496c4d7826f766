// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <limits>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/input_check.hpp"
#include "base/money.hpp"
#include "base/required.hpp"
#include "base/result.hpp"
#include "base/run.hpp"
#include "base/stated.hpp"
#include "debris/filter_loading.hpp"
#include "system/line_sheet.hpp"

/// What keeping the filters of a line sheet costs: how long each lasts, what ends it, and what the supply does while
/// they load. Theory: docs/theory/debris.md, Filters over a year.
namespace fw::assess {

/// How a vehicle is used. Source of all rows: part data 10, typical.
struct VehicleUse {
  std::string_view id;       ///< "towing"
  std::string_view name;     ///< "towing, heavy pickup"
  Stated run_s_a_year;       ///< running time of a year
  Stated distance_a_year_m;  ///< not given: a machine
  Stated burn_m3_per_s;      ///< mean over the hours
  Stated dirt_kg_per_kg;     ///< of the fuel as filled
};
[[nodiscard]] std::span<const VehicleUse> vehicle_uses();
[[nodiscard]] const VehicleUse* vehicle_use_of_id(std::string_view id);

/// What an element and an hour cost.
struct FilterPrices {
  std::optional<Money> primary;  ///< element before the first pump that turns
  std::optional<Money> final;    ///< behind it
  Money labour_per_hour;
};
struct FilterFacts {
  VehicleUse use;
  std::optional<FilterPrices> prices;
  double interval_m = 24.14e6;  ///< change by distance: 15,000 mi (part data 2); NaN: none
  double interval_h = std::numeric_limits<double>::quiet_NaN();
  std::uint64_t seed = 1;
  std::size_t draws = 256;
};

/// An element on the fuel's way.
struct FilterStage {
  std::string id;
  std::string title;
  bool pumped = false;  ///< a pump that turns stands before it
  double rating_m = required;
  bool capacity_stated = false;  ///< else that of its class, typical
  double capacity_kg = required;
  double share = required;  ///< of the dirt as filled that ends in it, most likely values [-]
  Interval life_h;          ///< nine in ten of the draws, by dirt alone
  double median_life_h = required;
  double median_life_m = required;  ///< NaN: a machine
  debris::YearOfFilter year;        ///< of the median life
  std::optional<Money> cost;        ///< of a year's elements and minutes
};
/// The supply while the filters load, at rated power and 20 C.
struct FilterHour {
  double hours = required;
  double inlet_over_ambient_Pa = required;  ///< NaN: no solution
  bool unfed = false;                       ///< the inlet starves
  std::vector<double> loaded;               ///< by stage: share of its capacity [-]
};
struct FilterSheet {
  std::string name;
  std::vector<FilterStage> stages;
  double changes_a_year = 0.0;
  double minutes_a_year = 0.0;
  std::optional<Money> cost_a_year;
  std::vector<FilterHour> hours;   ///< to the first change, in quarters
  std::vector<std::string> notes;  ///< elements that are left out, with the reason
};
struct FilterSection {
  FilterFacts facts;
  std::vector<FilterSheet> sheets;
  std::vector<std::string> assumptions;
};

/// Filters of each sheet in a well-mixed tank, by bin of ISO medium dust (A3), with the flows of cruise:
///
///   C_T = C_fill Q_b/(Q_b + E Q_r), E = 1 - prod(1 - E_i);  catch_i = Q_f C_T E_i prod_before(1 - E_j);
///   life = capacity/sum over bins;  1 - E_i in service = min(1, delta (1 - E_i)), delta log-uniform 1 to 10 (assumed)
///
/// Q_b is the mean burn of the use, Q_f/Q_b as at cruise. Year: debris::year_of_filter. While they load, the linear
/// part of each drop grows by exp(k m) to its terminal drop (debris::loaded_drop) and the supply is solved at rated
/// power: what the pump inlet has left.
/// Capacity: the line sheet's, else typical of the class by printed size (part data 2). Minutes: `service` of its
/// place, else 15 (assumed).
///
/// Limits: soft matter (wax, biomass, soaps) plugs filters long before dust does and is not predicted; the sock in the
/// tank and strainers are not counted. Source: mass balance (debris::steady_catch). Check: E 1, 10 L/h, 24 mg/kg, 20 g
/// -> 99.8 h; the last column of part data 10 (filter_section_test). Errors: those of the rooms; outside_model where no
/// cruise can be solved.
[[nodiscard]] Result<FilterSection> filter_section(std::span<const system::LineSheet> sheets, const FilterFacts& facts,
                                                   const Run& run);

}  // namespace fw::assess
