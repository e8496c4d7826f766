// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "base/result.hpp"
#include "base/run.hpp"
#include "supply/judge.hpp"

namespace fw::supply {

/// How far the fuel side carries more power. Air, exhaust temperature, driveline and emissions approval are not judged.
struct PowerCeiling {
  double rated_W = 0.0;          ///< as the sheet states it
  double ceiling_W = 0.0;        ///< highest power at which no computed check fails, most likely values
  bool at_rated = true;          ///< false: checks fail already at the stated power
  bool open = false;             ///< no check fails up to three times the stated power
  std::optional<Check> limited;  ///< the check that fails first beyond the ceiling, at its worst point
};

/// Power is scaled with its torque peak; consumption and speeds stay. Found to 0.5 % by halving; checks that fail for
/// reasons of their own at the stated power (return, viscosity, inlet too high) do not count.
/// Errors: those of judge_sheet.
[[nodiscard]] Result<PowerCeiling> power_ceiling(const system::LineSheet& sheet,
                                                 const std::vector<system::RunningPoint>& points, const Run& run);

/// One size of a line.
struct SizeStep {
  std::string size;  ///< "-8 J30 hose"
  double bore_m = 0.0;
  bool holds = false;         ///< no pressure, vacuum or delivery check fails
  double inlet_low_Pa = 0.0;  ///< worst inlet pressure over the envelope, over ambient
  double gain_Pa = 0.0;       ///< over the next smaller size
  std::string failing;        ///< title of the first failing check
};

/// The line `part` in every hose size of `sizes`, smallest first; the first that holds is the smallest to order.
/// Errors: not_found or invalid_input naming `part`; those of judge_sheet.
struct HoseSize {
  std::string size;
  double bore_m = required;
};
[[nodiscard]] Result<std::vector<SizeStep>> size_line(const system::LineSheet& sheet, const std::string& part,
                                                      std::span<const HoseSize> sizes,
                                                      const std::vector<system::RunningPoint>& points, const Run& run);

}  // namespace fw::supply
