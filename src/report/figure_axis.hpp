// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "report/figure.hpp"

// What the figures with axes share.
namespace fw::report {

/// Round tick values (steps of 1, 2 or 5 times a power of ten) that cover a range.
struct Ticks {
  double low = 0.0;
  double high = 1.0;
  double step = 1.0;
  int decimals = 0;            ///< that the step needs
  std::vector<double> values;  ///< low to high
};

/// About `wanted` steps over [low, high]; a range without width is widened by one about it.
/// Preconditions: finite, low <= high, wanted >= 1.
[[nodiscard]] Ticks round_ticks(double low, double high, int wanted);

/// A tick's number with a true minus sign.
[[nodiscard]] std::string tick_label(double value, int decimals);

/// Moves labels apart along one direction, as little as needed, keeping their order.
///
/// `at` are wished centres, `size` their extents; the answer keeps `gap` between neighbours and stays inside
/// [low, high] if they fit there (else they overrun `high`). Pools neighbours that would touch and centres each pool
/// on the mean wish of its members (the pool-adjacent-violators answer of the least-squares problem).
struct SpreadLabel {
  double at = required;
  double size = required;
};
[[nodiscard]] std::vector<double> spread_labels(const std::vector<SpreadLabel>& labels, double gap, double low,
                                                double high);

/// Angle at which names under an axis with this spacing do not touch: 0 (level, middled) where the widest fits,
/// else 38 degrees, else 60, else 90.
[[nodiscard]] double name_angle_deg(double spacing, double widest, double line_height);

/// Draws names under their ticks and says how deep they reach and how far they stand out to the right of the last tick.
struct NameRow {
  std::vector<Primitive> primitives;
  double depth = 0.0;     ///< below `top`
  double overhang = 0.0;  ///< right of the last x
};
[[nodiscard]] NameRow name_row(const std::vector<std::string>& names, const std::vector<double>& xs, double top,
                               const TextStyle& style);

/// Margin right of the last place that keeps its name inside the figure: places share `room` less the margin.
[[nodiscard]] double name_margin(const std::vector<std::string>& names, double room, double least,
                                 const TextStyle& style);

}  // namespace fw::report
