// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

#include "base/result.hpp"
#include "catalog/document.hpp"
#include "diagnosis/fuel_report.hpp"

namespace fw::casefile {

/// Reads the text of a fuel-report.toml called `path` (docs/reference/case-folder.md). Errors of the whole file at
/// once, each with its line: a result without its unit or in a wrong one, an unknown test, element, place or container,
/// a code that is none. A share of the volume must say "%"; microbes "CFU/L" or "CFU/mL".
[[nodiscard]] Result<diagnosis::LabReport> read_fuel_report(std::string_view text, const std::string& path,
                                                            const units::SourceSpreads& spreads);

/// Reads FOLDER/fuel-report.toml, or the file itself. Errors: also those of read_file.
[[nodiscard]] Result<diagnosis::LabReport> read_fuel_report_of(const std::string& case_or_file,
                                                               const units::SourceSpreads& spreads);

/// Whether a case folder has one.
[[nodiscard]] bool has_fuel_report(const std::string& folder);

}  // namespace fw::casefile
