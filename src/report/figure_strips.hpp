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

/// Interval lines: chances of 0 to 100 in 100, each a line over nine in ten of the draws with the chance as a dot.
///
/// Errors: invalid_input naming the field: no intervals, a value that is no chance or lies outside its band, a glyph
/// missing; not_found without fonts.
[[nodiscard]] Result<Figure> intervals_figure(const IntervalsData& data);

/// For and against: one strip per finding from an upright line, to the right where it speaks for the cause, to the left
/// where it speaks against it; its length is the logarithm of what it does to the odds.
///
/// Errors: invalid_input naming the field: no findings, a weight that is no number, a glyph missing; not_found without
/// fonts.
[[nodiscard]] Result<Figure> for_against_figure(const ForAgainstData& data);

}  // namespace fw::report
