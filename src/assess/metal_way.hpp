// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "base/required.hpp"
#include "base/result.hpp"
#include "base/run.hpp"
#include "casefile/metal.hpp"
#include "extent/decision.hpp"
#include "system/line_sheet.hpp"
#include "units/dimension.hpp"

/// The fuel's way that metal travels, from the line sheets of the case. Theory: docs/theory/debris.md, The fuel's way.
namespace fw::assess {

/// One thing about the fuel's way, and what says so.
struct WayFact {
  std::string system;  ///< "as found", "as rebuilt"
  std::string key;     ///< "feed_m3_per_s"
  std::string what;    ///< "fuel to the engine"
  double value = required;
  units::Dimension dimension = units::Dimension::ratio;
  std::string from;  ///< "metal.toml", "line sheet, cruise", "assumed"
};

/// What the debris map and the extent are worked out from.
struct MetalInput {
  extent::DecisionInput input;
  /// Of the sheet before the one as found, by that sheet alone; none: there is none, or it has no tank or flow.
  std::optional<debris::FuelWay> as_designed;
  std::vector<WayFact> facts;
  std::vector<std::string> notes;  ///< filters that count for nothing, flows that move as filters load
};

/// Joins what metal.toml states with the line sheets of the case; what it states counts before them.
///
/// Of a sheet: volume of the tank the way starts from; floor = volume/inside height (height 0.25 m where it is not
/// stated, typical); feed, burn and housing flow at cruise, 20 C, clean filters, most likely values: share to the rail
/// = 1 - housing/taken, leak-off = 1 - burn/(taken - housing); filters and separators before the first turning pump in
/// series are the primary, those behind it the final one, each by its printed size (debris::printed_rating), less what
/// leaks past a seal: leak sqrt(clean drop/drop of the leak)/feed. One that is bypassed or collapsed counts for
/// nothing. The way as rebuilt is that of the sheet behind the one as found, or [rebuilt_way] over the way as found.
/// Where no cruise can be solved, 40 % to the rail and 30 % leak-off stand in (assumed).
///
/// Limits: the flows of clean filters stand for the whole horizon; how far the feed moves with spent ones is in the
/// notes where it is more than 2 %.
/// Errors: invalid_input `way.tank`, `way.feed` where neither metal.toml nor a sheet says it; those of the rooms.
[[nodiscard]] Result<MetalInput> metal_input(const casefile::Metal& metal, std::span<const system::LineSheet> sheets,
                                             std::optional<std::size_t> as_found, const Run& run);

}  // namespace fw::assess
