// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "base/result.hpp"
#include "catalog/document.hpp"
#include "extent/decision.hpp"

namespace fw::casefile {

/// What metal.toml of a case says: how the metal came about, what was found where, what parts cost
/// (docs/reference/case-folder.md).
struct Metal {
  extent::DecisionInput input;
  double fuel_density_kg_per_m3 = 835.0;  ///< of settling
  double fuel_viscosity_Pa_s = 3.34e-3;   ///< of settling: 4 mm2/s, about 20 C
};

/// Reads the text of a metal.toml called `path`. Errors of the whole file at once, each with its line: unknown place,
/// way to look, grade, origin, component or currency; an amount without currency; a beta below 1; a negative area.
[[nodiscard]] Result<Metal> read_metal(std::string_view text, const std::string& path,
                                       const units::SourceSpreads& spreads);

/// Reads FOLDER/metal.toml.
[[nodiscard]] Result<Metal> read_metal_of(const std::string& folder, const units::SourceSpreads& spreads);

}  // namespace fw::casefile
