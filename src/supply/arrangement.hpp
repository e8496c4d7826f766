// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "supply/check.hpp"
#include "system/line_sheet.hpp"

namespace fw::supply {

/// A stage of cleaning on the fuel's way, as it stands in the flow.
struct Stage {
  std::string part;  ///< id
  std::string title;
  system::PartKind kind = system::PartKind::filter;
  std::optional<double> rating_m;  ///< as printed
  bool in_flow = true;             ///< not bypassed
  bool pumped = false;             ///< a running pump stands before it
  bool senses_water = false;       ///< a wired sensor in its bowl, in the flow
};

/// Strainers, separators and filters between tank and engine, in the order of the flow.
[[nodiscard]] std::vector<Stage> stages(const system::LineSheet& sheet);

/// Checks that the order and the place of the parts answer, without physics. A check whose fact is not stated is not
/// known and says which fact. All against common practice unless they say otherwise (trade rules on the order of
/// stages, on places, heat, clamps and low points; no source unless named in the limit):
///
///   water-sensor, water-stage, fine-on-suction, return-join, return-place, hose-vacuum (its missing rating),
///   return-low (piezo injectors), those of electric pumps (electric.hpp), low-point, stone-throw, heat, clamps,
///   service.
[[nodiscard]] std::vector<Check> arrangement_checks(const system::LineSheet& sheet);

}  // namespace fw::supply
