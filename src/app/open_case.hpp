// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "base/result.hpp"
#include "casefile/case.hpp"
#include "catalog/catalog.hpp"

namespace fw::app {

/// A case folder, or one line sheet as a case of its own that has nothing but that sheet.
/// Errors: those of casefile::read_case and casefile::read_sheet_file.
[[nodiscard]] Result<casefile::Case> open_case_or_sheet(const std::string& target, const catalog::Catalog& catalog);

}  // namespace fw::app
