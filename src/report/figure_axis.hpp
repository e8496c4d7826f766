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

struct ValueRange {
  double low = required;
  double high = required;
};

/// About `wanted` steps over a range; a range without width is widened by one about it.
/// Preconditions: finite, low <= high, wanted >= 1.
[[nodiscard]] Ticks round_ticks(const ValueRange& range, int wanted);

/// A tick's number with a true minus sign.
[[nodiscard]] std::string tick_label(double value, int decimals);

struct SpreadLabel {
  double at = required;  ///< wished centre
  double size = required;
};
struct SpreadRoom {
  double low = required;
  double high = required;
  double gap = 0.0;  ///< kept between neighbours
};
/// Moves labels apart along one direction, as little as needed, keeping their order; inside the room if they fit there
/// (else they overrun `high`). Pools neighbours that would touch and puts each pool where the mean of its members
/// wishes it (the pool-adjacent-violators answer of the least-squares problem).
[[nodiscard]] std::vector<double> spread_labels(const std::vector<SpreadLabel>& labels, const SpreadRoom& room);

/// Draws names under their ticks: level where the widest fits, else slanted by 38 degrees, else 60, else upright, and
/// says how deep they reach and how far they stand out to the right of the last tick.
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
