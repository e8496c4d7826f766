// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>

#include "app/use_cases.hpp"
#include "report/figure.hpp"
#include "report/supply_figures.hpp"
#include "system/line_sheet.hpp"

/// Questions about the high-pressure side of a line sheet and the heat of its fuel.
namespace fw::app {

struct RailQuestion {
  std::string sheet;        ///< path
  double inlet_K = 333.15;  ///< fuel at the pump inlet; heat: ignored
  std::string profile;      ///< run only
  double air_K = 303.15;    ///< heat only
  bool json = false;
};
/// What the side holds, healthy, worn, and with 15 % more stroke. Errors: those of the reader and the rooms.
[[nodiscard]] Result<std::string> rail_capacity_text(const RailQuestion& question, const Request& request,
                                                     const Run& run);
/// One of rail::ready_profile over time.
[[nodiscard]] Result<std::string> rail_run_text(const RailQuestion& question, const Request& request, const Run& run);
/// Leak-down of the standing rail, healthy and worn.
[[nodiscard]] Result<std::string> leak_down_text(const RailQuestion& question, const Request& request, const Run& run);
/// Temperatures of a long run and of a work day, and the cooler that is needed.
[[nodiscard]] Result<std::string> heat_text(const RailQuestion& question, const Request& request, const Run& run);

enum class RailFigure : std::uint8_t {
  capacity,  ///< power over speed: what it holds as stated, worn and with 15 % more stroke, and the engine's own line
  rail,      ///< rail pressure over a full pull
  waves,  ///< pressure at the first injector over one engine cycle at rated power, a pilot before each main injection
  day,    ///< temperatures over a work day
};
/// A figure of the high-pressure side of a sheet, fuel at 60 C at the pump inlet, air at 30 C. Computed, not observed.
/// Errors: as the questions above, and those of the figure.
[[nodiscard]] Result<report::Figure> rail_figure(RailFigure which, const system::LineSheet& sheet,
                                                 const report::FigureOptions& options, const Run& run);

}  // namespace fw::app
