// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <span>
#include <vector>

#include "base/result.hpp"
#include "debris/debris_map.hpp"
#include "debris/dirt.hpp"
#include "debris/fuel_way.hpp"
#include "debris/iso_code.hpp"

/// How clean the fuel is along its way: what the filters of a system leave of the dirt it is filled with.
/// Theory: docs/theory/debris.md, section Filter cascade.
namespace fw::debris {

/// Sizes of ISO 4406 [m]: 4, 6, 14 um(c).
inline constexpr std::array<double, 3> cascade_sizes_m{4e-6, 6e-6, 14e-6};

/// The fuel behind a place.
struct CascadePoint {
  Place place = Place::tank;
  /// Particles at or above each size [1/m3]: filters in service let through 1.12 to 8.9 times what they do in their
  /// test (5 and 95 % of the assumed log-uniform spread 1 to 10), at the median 3.16 times.
  std::array<Quantiles, 3> number_per_m3;
  IsoCode code;  ///< of the medians
};

/// Tank, behind the primary and the final filter (those the way has), pump inlet, injectors and return of a system in
/// which nothing sheds: one pass of fuel with `mass_kg_per_m3` of `dirt`.
///
///   N_i behind = N_i passes_i(elements, delta)   by bin (fuel_way.hpp)
///
/// Nothing is added between filters and nothing is taken out by a pump. The bins are those of standard_edges_m();
/// what is below 1 um is not counted. Errors: invalid_input `mass_kg_per_m3` (not above 0), those of number_per_kg and
/// code_of. Check: A3 dust, 10 mg/L, beta4 75, beta6 1000 at delta 1 -> 154.4 and 4.02/mL behind (11580.2/75,
/// 4021.9/1000).
[[nodiscard]] Result<std::vector<CascadePoint>> cascade(const FuelWay& way, const Dirt& dirt, double mass_kg_per_m3);

/// Particles by bin that stay of `number` behind the elements of a filter.
[[nodiscard]] Bins behind_filter(const Bins& number, std::span<const FilterElement> elements, double derating);

/// Particles from 14 um(c) at the pump inlet [1/m3] at one derating. Errors as cascade.
[[nodiscard]] Result<double> coarse_at_inlet_per_m3(const FuelWay& way, const Dirt& dirt, double mass_kg_per_m3,
                                                    double derating);

}  // namespace fw::debris
