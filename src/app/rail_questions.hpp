// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "app/use_cases.hpp"
#include "assess/rail_section.hpp"

/// Questions about the high-pressure side of a line sheet and the heat of its fuel.
namespace fw::app {

struct RailQuestion {
  std::string sheet;                       ///< path
  double inlet_K = assess::usual_inlet_K;  ///< fuel at the pump inlet; heat: ignored
  std::string profile;                     ///< run only
  double air_K = assess::usual_air_K;      ///< heat only
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

}  // namespace fw::app
