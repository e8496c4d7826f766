// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "base/required.hpp"
#include "base/result.hpp"
#include "base/run.hpp"
#include "debris/transport.hpp"
#include "fuel/liquid.hpp"
#include "system/line_sheet.hpp"

/// What metal and dirt travel with: the flows of a sheet at cruise, and what its filters stop.
namespace fw::assess {

/// At cruise, 20 C, most likely values.
struct CruiseFlows {
  double taken_m3_per_s = required;
  double burned_m3_per_s = required;
  double housing_m3_per_s = required;  ///< housing flow of the sheet x n/n_rated
  double spent_m3_per_s = required;    ///< taken with all filters spent; NaN: no solution
  fuel::Liquid liquid;
};
/// Nothing where the supply has no solution at cruise. Errors: those of room system.
[[nodiscard]] Result<std::optional<CruiseFlows>> cruise_flows(const system::LineSheet& sheet, const Run& run);

/// A filter or separator on the fuel's way.
struct FilterOfWay {
  const system::Part* part = nullptr;
  bool pumped = false;                ///< a pump that turns stands before it
  std::optional<debris::Bins> stops;  ///< share of each bin, by its printed size; none: it stops nothing
  std::string_view why_none;          ///< "is bypassed and stops nothing."
};
/// In the order of the flow. By the printed size (debris::printed_rating), less what leaks past a seal:
/// leak sqrt(clean drop/drop of the leak)/feed.
[[nodiscard]] std::vector<FilterOfWay> filters_of(const system::LineSheet& sheet, double feed_m3_per_s);

}  // namespace fw::assess
