// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "base/stated.hpp"
#include "system/line_sheet.hpp"
#include "units/quantity.hpp"

/// Input ids and stated numbers in the words of papers and figures.
namespace fw::report {

/// What an input measures, by the field its id ends in ("suction-hose.bore": a bore). Nothing for a field that is not
/// known here: such a number is shown as typed.
[[nodiscard]] std::optional<units::Dimension> dimension_of_input(std::string_view id);

/// "suction hose -10: bore", "all parts: fitting losses", "side tank: height". Titles are those of the sheet; an id it
/// does not know stands as words.
[[nodiscard]] std::string input_words(std::string_view id, const system::LineSheet* sheet);

/// The number as people read it: as typed where it was typed, else printed in the units of the reader, else "-".
[[nodiscard]] std::string input_value(const Stated& input, units::System system);

/// One end of its range in the units of the reader, or "low" and "high" where the unit is not known.
[[nodiscard]] std::string input_at(const Stated& input, double value, units::System system);

/// "hose -8": a hyphen that stands before a digit after a blank becomes a minus sign, which B612 draws wider.
[[nodiscard]] std::string with_minus(std::string text);

}  // namespace fw::report
