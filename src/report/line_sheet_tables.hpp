// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "report/document.hpp"
#include "system/line_sheet.hpp"
#include "units/quantity.hpp"

/// Line sheets as the tables of an annex.
namespace fw::report {

/// What a part is and by which numbers it is ordered or set, both unit systems side by side: "bore 9.5 mm (0.375 in),
/// 1.60 m (5.25 ft) long, 2 bends, 2 joints of 7.90 mm (0.311 in)".
[[nodiscard]] std::string part_words(const system::Part& part, units::System system);

/// One table per leg: number, part, what it is, test port, height of its outlet.
[[nodiscard]] std::vector<Table> leg_tables(const system::LineSheet& sheet, units::System system);

/// Tank, engine, fuel and high-pressure side.
[[nodiscard]] KeyValues sheet_head(const system::LineSheet& sheet, units::System system);

}  // namespace fw::report
