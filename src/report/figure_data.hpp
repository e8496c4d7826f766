// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "report/figure.hpp"

// What the figures draw. Plain values in the unit of display, named by `unit`: the caller converts, so that a figure
// shows psi to one reader and kPa to another. Text fields are printed as they stand.
namespace fw::report {

/// Size of a figure. Lengths in points; the widths of type and line go with `text_size`.
struct FigureSize {
  double width = 482.0;    ///< A4 less margins of 20 mm
  double text_size = 8.0;  ///< of names and axis numbers
  double plot_height = 0;  ///< of the plot alone; 0: chosen from the width
};

/// 5 and 95 in 100 of the draws.
struct ValueBand {
  double low = required;
  double high = required;
};

/// One place along the way: the value behind that part.
struct GradePoint {
  std::string name;  ///< of the part, short
  double value = required;
  std::optional<ValueBand> band;
};

/// A limit of the values from one place to another.
struct GradeLimit {
  double value = required;
  std::string words;  ///< written at the line, e.g. "21 least at inlet"
  std::size_t first = 0;
  std::size_t last = 0;  ///< indices of points
};

/// The outcome of a check, marked at its place.
struct GradeMark {
  std::size_t at = 0;
  Mark mark = Mark::holds;
  std::string words;  ///< begins with the word, e.g. "fails: sucks air"; empty: the word alone
};

/// Pressure along the fuel's way.
struct GradeLineData {
  std::string title;  ///< e.g. "Grade line as rebuilt, rated power, -10 C, filters half loaded"
  std::string unit;   ///< e.g. "kPa"; stands on the axis
  std::vector<GradePoint> points;
  std::vector<GradeLimit> limits;
  std::vector<GradeMark> marks;
  std::string end_value;  ///< set large at the end, e.g. "48.6"; empty: none
  std::string end_note;   ///< under it, e.g. "29 to 68"
  FigureSize size;
};

/// One line sheet among those compared.
enum class Sheet : std::uint8_t {
  as_designed,  ///< thin solid line
  as_found,     ///< dash and dot, ink
  as_rebuilt,   ///< heavy accent line
};

struct ComparedSheet {
  Sheet sheet = Sheet::as_found;
  std::string words;  ///< written at its end, e.g. "as found"
  /// One per station; nothing where the sheet has no such part, which leaves the value as it was.
  std::vector<std::optional<double>> values;
  std::vector<std::optional<ValueBand>> bands;  ///< empty, or one per station; drawn for one sheet at most
  std::string end_value;                        ///< e.g. "-38"
};

/// Up to three sheets on one axis.
struct ComparisonData {
  std::string title;
  std::string unit;
  std::vector<std::string> stations;  ///< the places of all sheets in the order of the flow
  std::vector<ComparedSheet> sheets;
  std::vector<GradeLimit> limits;  ///< indices of stations
  FigureSize size;
};

}  // namespace fw::report
