// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/result.hpp"
#include "catalog/document.hpp"
#include "diagnosis/next_look.hpp"
#include "diagnosis/tables.hpp"

namespace fw::catalog {

/// Adds the rows of a file of catalog/diagnosis to the tables; a row with the id of an older one takes its place, and
/// [numbers] takes the place of those it names. Errors: faults of the document, each with its line.
[[nodiscard]] Result<void> read_diagnosis(Document& document, diagnosis::Tables& tables);

/// Adds or replaces the decisions of catalog/diagnosis/losses.toml. Errors: faults of the document.
[[nodiscard]] Result<void> read_losses(Document& document, diagnosis::Losses& losses);

/// Gives every listed cause without a decision of its own the treatment as its decision: treat it, or leave it.
void complete_losses(const diagnosis::Tables& tables, diagnosis::Losses& losses);

}  // namespace fw::catalog
