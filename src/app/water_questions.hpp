// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "app/supply_questions.hpp"

/// Water in the fuel, what a laboratory says of it, and how to clean.
namespace fw::app {

/// Water from tank to pump inlet for a case folder or one line sheet, by assess::water_section; with the water of the
/// case's fuel report where it has one. Schema fuelwright.water/1.0.
/// Errors: those of the readers and of assess::water_section.
[[nodiscard]] Result<SupplyAnswer> water_answer(const std::string& target, supply::Climate climate,
                                                const Request& request, const Run& run);

}  // namespace fw::app
