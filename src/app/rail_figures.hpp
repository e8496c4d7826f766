// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>

#include "base/result.hpp"
#include "base/run.hpp"
#include "report/figure.hpp"
#include "report/supply_figures.hpp"
#include "system/line_sheet.hpp"

/// Figures of the high-pressure side of a line sheet and the heat of its fuel.
namespace fw::app {

enum class RailFigure : std::uint8_t {
  capacity,  ///< power over speed: what it holds as stated, worn and with 15 % more stroke, and the engine's own line
  rail,      ///< rail pressure over a full pull
  waves,  ///< pressure at the first injector over one engine cycle at rated power, a pilot before each main injection
  day,    ///< temperatures over a work day
};
/// A figure of the high-pressure side of a sheet, fuel at 60 C at the pump inlet, air at 30 C. Computed, not observed.
/// Errors: those of assess::side_of, of the rooms rail and heat, and of curves_figure.
[[nodiscard]] Result<report::Figure> rail_figure(RailFigure which, const system::LineSheet& sheet,
                                                 const report::FigureOptions& options, const Run& run);

}  // namespace fw::app
