// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "assess/water_section.hpp"
#include "report/document.hpp"
#include "report/json_parts.hpp"
#include "report/papers.hpp"

/// Water from tank to pump inlet on paper and as JSON. They word results; they compute none.
namespace fw::report {

/// Tank, stages in the order of the flow, what reaches the inlet, what a sensor would have changed, sheet by sheet;
/// then what differs, and every assumption.
[[nodiscard]] Document water_page(const assess::WaterSection& section, const PaperOptions& options);

/// Schema fuelwright.water/1.0.
[[nodiscard]] std::string water_json(const assess::WaterSection& section);

/// The chance of a warning before damage with the sensor as the sheet has it: "60 in 100 (20 to 95)", "none, no sensor
/// works in the flow".
[[nodiscard]] std::string warning_words(const assess::WaterSheet& sheet);

/// The same as part of another document.
[[nodiscard]] Json water_part(const assess::WaterSection& section);

}  // namespace fw::report
