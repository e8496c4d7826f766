// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/figure.hpp"
#include "report/figure_data.hpp"

namespace fw::report {

/// What matters: one strip per input from the answer at its low end (open dot) to the answer at its high end (filled
/// dot), the most likely answer as an upright line, the limit dashed with its words.
///
/// Errors: invalid_input naming the field: no strips, a value that is no number, a glyph missing; not_found without
/// fonts.
[[nodiscard]] Result<Figure> strips_figure(const StripsData& data);

/// What protects which stretch of the way: one track per protection, thick where it is full, thin where partial, dotted
/// where there is none, with its words; sensors as marks, crossed where they sense nothing.
///
/// Errors: as strips_figure; spans outside the places or over each other.
[[nodiscard]] Result<Figure> coverage_figure(const CoverageData& data);

}  // namespace fw::report
