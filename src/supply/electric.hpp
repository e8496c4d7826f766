// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "supply/check.hpp"
#include "supply/criteria.hpp"
#include "supply/fuel_way.hpp"
#include "system/supply_model.hpp"

/// Electric pumps of a supply: their wire, fuse, cut-off, and who notices that one died.
namespace fw::supply {

/// Current that a copper conductor carries for good [A]: 20, 25, 35, 45, 60, 80, 120 A for 18, 16, 14, 12, 10, 8, 6 AWG
/// with 105 C insulation outside the engine space, times 0.85 inside it. A section between two sizes counts as the
/// smaller. None below 18 AWG: the table does not reach there.
/// Source: ABYC E-11, from memory. Precondition: `area_m2` above zero.
[[nodiscard]] std::optional<double> ampacity_A(double area_m2, bool engine_space);

/// Checks that need the current at a running point, for one electric pump: voltage lost on its wire (at most 0.5 V in
/// all, common practice), current against ampacity, and current against the fuse (rated at least 1.25 times the running
/// current, common practice; below the current it blows). Empty where wire or current is not known; electric_facts says
/// so. Precondition: the part is a pump of the model's sheet.
[[nodiscard]] std::vector<Criterion> electric_criteria(const system::SupplyModel& model, const system::Part& part);

/// Checks of the electric pumps that the sheet alone answers: fuse at most the ampacity of its wire, fuse within 178 mm
/// (7 in) of the battery, pump cut off with the key and when the engine stands or crashes (all common practice, no
/// source), and what is not stated of them.
[[nodiscard]] std::vector<Check> electric_facts(const std::vector<WayPart>& way);

/// How a pump's outlet is seen over the envelope, for the check that its death is noticed.
struct Watched {
  std::string part;
  std::string title;
  system::Watch watch = system::Watch::not_stated;
  std::optional<double> lowest_outlet_Pa;  ///< over ambient, lowest while the engine turns on warm fuel
  bool engine_stops = false;               ///< without the pump the engine is not fed at rated power
};

/// A dead pump that the engine runs on without is noticed only by a gauge or an alarm. Proposed alarm: seven tenths of
/// the lowest pressure at the pump's outlet while it works (design value minus 30 %, one engineer's judgement).
[[nodiscard]] Check watch_check(const Watched& watched);

}  // namespace fw::supply
