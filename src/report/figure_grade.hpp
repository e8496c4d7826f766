// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/figure.hpp"
#include "report/figure_data.hpp"

namespace fw::report {

/// The grade line: values along the named parts, the 5 to 95 in 100 band as a wash, limits dashed with their words,
/// outcome marks at their places, the value that matters set large at the end.
///
/// Errors: invalid_input naming the field (fewer than two points, a value that is no number, a band that does not hold
/// low <= high, an index outside the points, a glyph missing); not_found without fonts. Theory: docs/theory/figures.md.
[[nodiscard]] Result<Figure> grade_line_figure(const GradeLineData& data);

/// Up to three sheets on one axis, told apart by weight and dash (so in grey print too) and by words at their ends.
///
/// Errors: as grade_line_figure; also more than three sheets, the same Sheet twice, bands for more than one sheet.
[[nodiscard]] Result<Figure> comparison_figure(const ComparisonData& data);

/// The places of several sheets as one list in the order of the flow, and where each sheet's places went in it.
///
/// Longest common subsequence, sheet by sheet, so that a part that two sheets share stands once. Names that repeat
/// within a sheet are kept apart. Empty input gives an empty answer.
struct MergedStations {
  std::vector<std::string> stations;
  std::vector<std::vector<std::size_t>> places;  ///< per sheet: index into stations of each of its names
};
[[nodiscard]] MergedStations merge_stations(const std::vector<std::vector<std::string>>& sheets);

}  // namespace fw::report
