// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string_view>

#include "units/dimension.hpp"

/// Inside the room units: what its readers know of a dimension beside the units.
namespace fw::units {

enum class Sign : std::uint8_t { any, not_negative, positive };

/// The numbers make legal texts of every form: "11 psi", "11 psi +/- 1 psi", "11 psi (9 to 13)", "9 to 13 psi".
struct DimensionFacts {
  std::string_view name;     ///< "a flow"
  std::string_view example;  ///< number and unit
  std::string_view number;
  std::string_view unit;
  std::string_view low;
  std::string_view high;
  std::string_view half_width;
  Sign sign;
};

[[nodiscard]] DimensionFacts facts(Dimension dimension);

/// True for gauge_pressure, absolute_pressure and pressure_drop.
[[nodiscard]] bool is_pressure(Dimension dimension);
/// True for length, bore and height.
[[nodiscard]] bool is_length(Dimension dimension);
/// The dimension of a difference between two values: a drop for pressures, a temperature difference for temperatures.
[[nodiscard]] Dimension difference_of(Dimension dimension);

}  // namespace fw::units
