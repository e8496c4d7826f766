// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "base/result.hpp"
#include "catalog/document.hpp"
#include "extent/decision.hpp"

namespace fw::casefile {

/// What metal.toml states of the fuel's way; the line sheets say the rest (assess/metal_way.hpp).
struct StatedWay {
  std::optional<double> tank_m3;
  std::optional<double> tank_floor_m2;
  std::optional<double> feed_m3_per_s;
  std::optional<double> rail_share;
  std::optional<double> leak_off_share;
  std::optional<debris::PumpLayout> pump;
  std::optional<debris::Bins> primary_efficiency;
  std::optional<debris::Bins> final_efficiency;
};

/// What metal.toml of a case says: how the metal came about, what was found where, what parts cost
/// (docs/reference/case-folder.md).
struct Metal {
  /// All but the ways, which no file tells as a whole: assess::metal_input joins `as_found` and `as_rebuilt` with the
  /// line sheets.
  extent::DecisionInput input;
  StatedWay as_found;
  std::optional<StatedWay> as_rebuilt;    ///< none: no [rebuilt_way]
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
