// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "base/result.hpp"
#include "catalog/catalog.hpp"

namespace fw::app {

/// The built-in catalog, with the shop's folder over it unless `folder` is empty. Errors: those of with_shop_folder.
[[nodiscard]] Result<catalog::Catalog> open_catalog(const std::string& folder);

struct CatalogAnswer {
  std::string text;
  std::string json;  ///< schema fuelwright.catalog/1.0
};

/// All entries by kind, one line each; or the entries of id `id`, whole, with their sources.
/// Errors: those of open_catalog; not_found with the nearest id.
[[nodiscard]] Result<CatalogAnswer> catalog_answer(const std::string& id, const std::string& folder);

}  // namespace fw::app
