// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "assess/assess.hpp"
#include "base/money.hpp"
#include "debris/debris_map.hpp"
#include "extent/decision.hpp"
#include "report/json_parts.hpp"

/// Where metal lies and what must be replaced, as text in eighty columns and as JSON. They word results; they compute
/// none.
namespace fw::report {

/// Places with their state and band, and what the numbers mean.
[[nodiscard]] std::string debris_text(const debris::DebrisMap& map);
/// Schema "fuelwright.debris/1.0".
[[nodiscard]] std::string debris_json(const debris::DebrisMap& map, const std::vector<assess::WayFact>& way,
                                      const std::vector<std::string>& way_notes, std::uint64_t seed);

/// The map, the verdict, the options side by side, what decides, what the next part buys. `currency` is that of the
/// prices; nothing: no prices entered.
[[nodiscard]] std::string extent_text(const debris::DebrisMap& map, const extent::Decision& decision,
                                      const std::optional<Currency>& currency);
/// Schema "fuelwright.extent/1.0".
[[nodiscard]] std::string extent_json(const debris::DebrisMap& map, const extent::Decision& decision,
                                      const std::optional<Currency>& currency, std::uint64_t seed);

/// The same as parts of another document.
[[nodiscard]] Json map_json(const debris::DebrisMap& map);
[[nodiscard]] Json cleanliness_json(const std::vector<assess::Cleanliness>& systems);
[[nodiscard]] Json changes_json(const std::vector<assess::CleanlinessChange>& changes);
[[nodiscard]] Json decision_json(const extent::Decision& decision, const std::optional<Currency>& currency);

}  // namespace fw::report
