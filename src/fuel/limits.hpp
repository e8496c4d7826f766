// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "base/required.hpp"
#include "fuel/grades.hpp"

/// What the fuel standards demand, as data.
namespace fw::fuel {

enum class LimitedQuantity : std::uint8_t {
  density_15,                    ///< kg/m3
  kinematic_viscosity_40,        ///< m2/s
  kinematic_viscosity_minus_20,  ///< m2/s
  flash_point,                   ///< K
  cloud_point,                   ///< K
  freezing_point,                ///< K
  cfpp,                          ///< K
  water,                         ///< kg/kg
  water_and_sediment,            ///< m3/m3
  total_contamination,           ///< kg/kg
  particulates,                  ///< kg/m3
  lubricity_scar,                ///< m, HFRR at 60 C (ISO 12156-1, ASTM D6079, D7688)
  cetane_number,                 ///< [-]
  cetane_index,                  ///< [-]
  ester_volume,                  ///< m3/m3
  ester_mass,                    ///< kg/kg
  sulfur,                        ///< kg/kg
  oxidation_stability,           ///< s
  heating_value,                 ///< J/kg
  ash,                           ///< kg/kg
  distilled_90,                  ///< K, where 90 % of the volume has evaporated
  acid_number,                   ///< kg KOH/kg
};

/// Name of a quantity for tables, e.g. "cfpp".
[[nodiscard]] std::string_view name(LimitedQuantity quantity);

/// One demand of one standard. A missing bound is NaN.
struct Limit {
  std::string_view standard;  ///< id, e.g. "en590"
  LimitedQuantity quantity = LimitedQuantity::density_15;
  double min = required;
  double max = required;
  std::string_view variant;  ///< class or condition, empty if there is only one
  Mark mark = Mark::published;
  std::string_view source;
};

/// Ids: d975_1d, d975_2d, en590, en590_arctic0 to en590_arctic4, en14214, d7467, en15940, jp8, iso4113,
/// iso4113_cv. The standards differ in what they limit: a quantity that is not listed is not limited. D975 sets no
/// density, no water in mg/kg and no total contamination. Sources: see the rows.
[[nodiscard]] std::span<const Limit> limits();

/// All limits of one standard; empty for an unknown id.
[[nodiscard]] std::vector<Limit> limits_of(std::string_view standard);

/// The standard a grade is sold under, e.g. fame_b100 -> en14214, b20 -> d7467; empty for petrol and others.
[[nodiscard]] std::string_view standard_of(std::string_view grade_id);

/// How a value stands to a limit.
enum class Against : std::uint8_t { inside, below, above };
/// A value at the bound is inside. Precondition: value finite.
[[nodiscard]] Against against(const Limit& limit, double value);

}  // namespace fw::fuel
