// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "assess/rail_section.hpp"
#include "report/figure_rail.hpp"
#include "report/supply_figures.hpp"
#include "units/quantity.hpp"

/// Units of the axes of the high-pressure side's figures, and its results as the values that figures draw.
namespace fw::report {

/// value = (SI - zero) / unit
struct AxisUnit {
  const char* words;
  double unit;
  double zero = 0.0;
  [[nodiscard]] double of(double si) const { return (si - zero) / unit; }
};
struct RailAxes {
  AxisUnit pressure, power, temperature;
};
[[nodiscard]] RailAxes rail_axes(units::System system);

/// Said under every figure of a side of which a part is assumed.
inline constexpr const char* open_rail_facts =
    "Facts that the sheet leaves open are typical values; the command rail capacity names them.";

/// Temperatures over the work day of assess::fuel_heat.
[[nodiscard]] CurvesData day_of(const assess::FuelHeat& answer, const FigureOptions& options);

}  // namespace fw::report
