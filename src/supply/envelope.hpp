// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>
#include <vector>

#include "system/running_point.hpp"

namespace fw::supply {

/// Climate words with the fuel temperatures they bring (layouts, typical): coldest start, warm, hottest return.
enum class Climate : std::uint8_t { arctic, cold, temperate, hot, tropical };
[[nodiscard]] std::string_view name(Climate climate);
[[nodiscard]] std::optional<Climate> climate_named(std::string_view text);

/// All running points a supply must survive: engine points x fuel temperature x filter loading x tank level, at 13.8 V
/// (crank 9.5 V), sea level. Half and low tank; clean filters, and on fuel of 20 C and more also filters at
/// the end of their life (a cold envelope with spent filters is a planted fault, not a running point).
[[nodiscard]] std::vector<system::RunningPoint> envelope(Climate climate);

/// Air [K] that the hottest fuel of an envelope goes with: 25 K below it (layouts: 15 to 30 K, typical).
/// Precondition: at least one point.
[[nodiscard]] double hottest_air_K(const std::vector<system::RunningPoint>& points);

}  // namespace fw::supply
