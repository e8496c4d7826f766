// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "assess/assess.hpp"
#include "report/figure_rail.hpp"

/// Metal and money as figures: they show results of an assessment; they compute none.
namespace fw::report {

/// Filter cascade: particles along the fuel's way from 4 and 14 um(c), as found and as rebuilt.
/// Precondition: at least one system.
[[nodiscard]] CurvesData cascade_of(const std::vector<assess::Cleanliness>& systems, const FigureSize& size);

/// Metal of this failure that reaches pump, valve or injectors over the hours after the repair, a line by option.
[[nodiscard]] CurvesData dose_of(const extent::Decision& decision, const FigureSize& size);

/// Cost against what still reaches the parts in 100 h, over all sets of actions that nothing beats in both, with the
/// options beside it. Errors: not_found without prices.
[[nodiscard]] Result<CurvesData> frontier_of(const assess::MetalAnswer& metal, const FigureSize& size);

/// What the smallest repair costs with its comebacks, by their chance, against the whole system: they meet at the
/// break-even. Errors: not_found without prices.
[[nodiscard]] Result<CurvesData> break_even_of(const assess::MetalAnswer& metal, const FigureSize& size);

}  // namespace fw::report
