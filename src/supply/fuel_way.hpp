// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "system/line_sheet.hpp"

namespace fw::supply {

/// A part on the fuel's way from a tank to the engine.
struct WayPart {
  const system::Leg* leg = nullptr;
  const system::Part* part = nullptr;
  std::size_t index = 0;  ///< in its leg
  bool pumped = false;    ///< a running pump stands before it
  /// Inside the tank: its place says so, or none is stated and it is the strainer or the pickup tube: the first tube of
  /// the way, not longer than twice the inside height of the tank (assumed: a tube that reaches over its rim).
  bool in_tank = false;
  std::optional<double> height_m;  ///< of its outlet over the floor of the first tank, as far as stated
};

/// Parts between the first tank that leads to the engine and the engine, in the order of the flow, those that are
/// bypassed included. Where several ways lead there, the one whose legs stand first in the sheet. The pointers live as
/// long as the sheet. Empty if no way leads from a tank to the engine.
[[nodiscard]] std::vector<WayPart> supply_way(const system::LineSheet& sheet);

/// Legs of that way.
[[nodiscard]] std::vector<const system::Leg*> supply_legs(const system::LineSheet& sheet);

/// Legs that lead back from the engine to a tank or junction, in the order of the sheet.
[[nodiscard]] std::vector<const system::Leg*> return_legs(const system::LineSheet& sheet);

/// Title for people: the part's own or its id.
[[nodiscard]] const std::string& title_of(const system::Part& part);

/// Its place is stated and is the inside of the tank.
[[nodiscard]] bool says_tank(const system::Part& part);

/// A pump that turns: electric or engine-driven, not bypassed, not switched off.
[[nodiscard]] bool turns(const system::Part& part);

}  // namespace fw::supply
