// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "report/figure.hpp"
#include "report/figure_data.hpp"

// Lines over speed, time, hours, cost or places: what a high-pressure side holds, the fuel's heat over a day, how clean
// it is along its way, what metal and money do. Lines differ by weight and dash, never by colour alone, and carry their
// words at their end.
namespace fw::report {

enum class CurveLine : std::uint8_t {
  heavy,     ///< accent
  thin,      ///< ink
  dashed,    ///< ink
  dash_dot,  ///< ink
  faint,     ///< soft ink, thin: lines of equal value
};

/// A run of points in the units of the axes.
struct Curve {
  std::string words;  ///< at its right end; empty: none
  CurveLine line = CurveLine::thin;
  std::vector<double> x;
  std::vector<double> y;
  bool dots = false;    ///< a circle at each point
  bool filled = false;  ///< a wash down to the lower end of the axis
};

/// A level drawn across, dashed, its words at the right.
struct CurveLevel {
  double value = required;
  std::string words;
};

/// A stretch of the x axis, drawn as a bar above it: an injection, a part of the day.
struct CurveSpan {
  double from = required;
  double to = required;
  std::string words;  ///< over the bar; may be empty
};

/// Equal steps, or a decade as far apart as the next.
enum class AxisScale : std::uint8_t { even, decades };

struct CurvesData {
  std::string title;
  std::string unit;    ///< of y, at the top of its axis
  std::string x_axis;  ///< words and unit of x, under the axis
  std::vector<Curve> curves;
  std::vector<CurveLevel> levels;
  std::vector<CurveSpan> spans;
  std::vector<std::string> notes;  ///< lines under the figure
  FigureSize size;
  AxisScale x_scale = AxisScale::even;
  AxisScale y_scale = AxisScale::even;
  std::vector<std::string> stations;  ///< names at x = 0, 1, ... in place of numbers; empty: numbers
};

/// Errors: invalid_input naming the field: no curve, a curve with fewer than two points, of unequal lengths or with a
/// number that is not finite (on decades: not above 0), stations that no x reaches, a span that ends before it begins,
/// a glyph missing; not_found without fonts.
[[nodiscard]] Result<Figure> curves_figure(const CurvesData& data);

}  // namespace fw::report
