// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

#include "base/result.hpp"
#include "catalog/catalog.hpp"
#include "diagnosis/diagnose.hpp"

namespace fw::casefile {

/// Reads the findings of a case (docs/reference/findings.md). Ids and grades are checked against the catalog's tables.
/// Errors: all faults of the document at once, each with its line; unknown ids with the nearest.
[[nodiscard]] Result<diagnosis::Facts> read_findings(std::string_view text, const std::string& file,
                                                     const catalog::Catalog& catalog);

/// The findings as a document that read_findings reads back. Facts that say nothing are left out.
[[nodiscard]] std::string findings_text(const diagnosis::Facts& facts);

}  // namespace fw::casefile
