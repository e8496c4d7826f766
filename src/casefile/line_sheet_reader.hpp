// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

#include "base/result.hpp"
#include "catalog/change_list.hpp"
#include "system/line_sheet.hpp"
#include "units/quantity.hpp"

namespace fw::casefile {

/// Reads a line sheet (docs/reference/line-sheet.md) from its text; `file` is the name that errors and origins carry.
///
/// Numbers that are absent or "?" get the usual range of their field as an assumed or typical value with its source,
/// where one is known. Errors, all at once and sorted by line: broken TOML, unknown keys with the nearest known one,
/// bare numbers, wrong units, and the structure faults of system::validate.
[[nodiscard]] Result<system::LineSheet> read_line_sheet(std::string_view text, const std::string& file,
                                                        const units::SourceSpreads& spreads = {});

/// The same for a sheet that may start from another and name catalog parts, which `sources` finds.
[[nodiscard]] Result<system::LineSheet> read_line_sheet(std::string_view text, const std::string& file,
                                                        const units::SourceSpreads& spreads,
                                                        const catalog::SheetSources& sources);

}  // namespace fw::casefile
