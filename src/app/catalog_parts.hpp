// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "catalog/catalog.hpp"
#include "supply/sizing.hpp"

namespace fw::app {

/// The hoses, tubes, separators, filters, strainers and electric pumps of the catalog, the shop's first in precedence,
/// as parts of a line sheet that can stand in for others. Errors: those of the sheet reader, at the entry's line.
[[nodiscard]] Result<std::vector<supply::Candidate>> catalog_parts(const catalog::Catalog& catalog);

}  // namespace fw::app
