// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "catalog/catalog.hpp"
#include "catalog/change_list.hpp"

namespace fw::casefile {

/// Sources of a sheet: layouts, builds and parts of the catalog, and files beside the sheet that names them.
///
/// `from = "layout:c-low"` names a layout; any other name is a file relative to the folder of the sheet that asks,
/// inside that folder. The catalog must outlive what is returned.
[[nodiscard]] catalog::SheetSources sheet_sources(const catalog::Catalog& catalog);

}  // namespace fw::casefile
