// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/result.hpp"
#include "catalog/document.hpp"
#include "diagnosis/tables.hpp"

namespace fw::catalog {

/// Adds the rows of a file of catalog/diagnosis to the tables; a row with the id of an older one takes its place, and
/// [numbers] takes the place of those it names. Errors: faults of the document, each with its line.
[[nodiscard]] Result<void> read_diagnosis(Document& document, diagnosis::Tables& tables);

}  // namespace fw::catalog
