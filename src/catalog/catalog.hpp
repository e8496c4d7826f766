// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>

#include "base/result.hpp"
#include "units/quantity.hpp"

namespace fw::catalog {

/// What the shop knows before any case: default doubt per source class.
struct Catalog {
  units::SourceSpreads spreads;
};

/// The catalog built into the program (catalog/source-classes.toml). Errors: those of read_source_classes, which
/// only a damaged build can cause.
[[nodiscard]] Result<Catalog> built_in();

/// Reads the table of source classes from its text. Every row states its 90 % half-width and its source.
[[nodiscard]] Result<units::SourceSpreads> read_source_classes(std::string_view text, std::string_view file);

}  // namespace fw::catalog
