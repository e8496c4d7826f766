// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "base/input_check.hpp"
#include "base/required.hpp"
#include "base/result.hpp"

/// What a working sensor would have changed: the chance that its warning comes before the damage.
namespace fw::water {

/// One draw of a story in which water comes in.
struct WarningRun {
  std::optional<double> warned_s;   ///< running time of the first warning, if any
  std::optional<double> damaged_s;  ///< of the damage, if any
  double reaction_s = required;     ///< from the lamp to the engine off, as driven
};

struct WarningChance {
  std::size_t damaging = 0;      ///< runs in which the water did damage: only they are counted
  std::optional<double> chance;  ///< [-]; empty: not determined
  std::optional<Interval> band;  ///< 5 to 95 % over the sets of assumptions; empty with too few sets
};

/// Each inner vector holds the runs of one set of assumptions (damaging amount, element, sensor), drawn over the
/// stories that can happen (how much water, how soon the driver acts). A warning precedes damage where warned +
/// reaction < damaged. Sets with fewer than 5 damaging runs say nothing and are left out. Not determined: fewer than 10
/// sets left, or a band wider than 0.5 (assumed rule): the assumptions decide, not the facts. Errors: invalid_input for
/// a time that is not finite or below 0.
[[nodiscard]] Result<WarningChance> chance_of_warning_first(std::span<const std::vector<WarningRun>> sets);

}  // namespace fw::water
