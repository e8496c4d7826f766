// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string_view>
#include <vector>

#include "base/required.hpp"
#include "base/result.hpp"
#include "base/run.hpp"
#include "debris/fuel_way.hpp"
#include "fuel/liquid.hpp"
#include "system/line_sheet.hpp"
#include "system/supply_model.hpp"

/// What metal and dirt travel with: the flows of a sheet at cruise, and what its filters stop.
namespace fw::assess {

/// At cruise, 20 C, most likely values.
struct CruiseFlows {
  double taken_m3_per_s = required;
  double burned_m3_per_s = required;
  double housing_m3_per_s = required;    ///< housing flow of the sheet x n/n_rated
  std::optional<double> spent_m3_per_s;  ///< taken with all filters spent; none: no solution
  fuel::Liquid liquid;
  std::vector<system::MediumAnswer> media;  ///< by medium that is not bypassed
};
/// Nothing where the supply has no solution at cruise. Errors: those of room system.
[[nodiscard]] Result<std::optional<CruiseFlows>> cruise_flows(const system::LineSheet& sheet, const Run& run);

/// A filter or separator on the fuel's way.
struct FilterOfWay {
  const system::Part* part = nullptr;
  bool pumped = false;                           ///< a pump that turns stands before it
  std::optional<debris::FilterElement> element;  ///< by the low end of its printed size; none: it stops nothing
  double flow_m3_per_s = 0.0;                    ///< through it at cruise
  std::string_view why_none;                     ///< "is bypassed and stops nothing."
  bool no_size = false;                          ///< it may stop something, but nothing says what
};
/// In the order of the flow. What goes past a medium by a leak or an open bypass is that of the solved cruise.
[[nodiscard]] std::vector<FilterOfWay> filters_of(const system::LineSheet& sheet, const CruiseFlows* flows);

}  // namespace fw::assess
