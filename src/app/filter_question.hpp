// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "app/supply_questions.hpp"

/// How long filters last and what a year of them costs.
namespace fw::app {

/// As typed; empty texts were not given.
struct FilterQuestion {
  std::string target;  ///< case folder or line sheet
  std::string use;     ///< id of assess::vehicle_uses
  std::string hours;   ///< running time of a year
  std::string distance, burn, dirt;
  std::string interval;  ///< time or distance; "none"
};
/// Schema fuelwright.filters/1.0. Prices are those of the case's metal.toml. Errors: by option, "--burn"; those of the
/// readers and of assess::filter_section.
[[nodiscard]] Result<SupplyAnswer> filters_answer(const FilterQuestion& question, const Request& request,
                                                  const Run& run);

}  // namespace fw::app
