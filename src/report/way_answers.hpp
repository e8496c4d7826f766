// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "assess/metal_way.hpp"
#include "report/json_parts.hpp"
#include "units/print.hpp"

/// The fuel's way that metal travels, and what says so, as text in eighty columns and as JSON.
namespace fw::report {

/// "40 %" of a share, "99.93 %" of nearly all, else as units::print.
[[nodiscard]] std::string way_value(const assess::WayFact& fact, units::System system);
[[nodiscard]] std::string way_text(const std::vector<assess::WayFact>& facts, const std::vector<std::string>& notes,
                                   units::System system);
/// One object for each fact: system, key (its end is the unit; a share has none), value, from.
[[nodiscard]] Json way_json(const std::vector<assess::WayFact>& facts);

}  // namespace fw::report
