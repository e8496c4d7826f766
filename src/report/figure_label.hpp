// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "report/figure.hpp"

namespace fw::report {

/// Finds places for labels: each takes the first of its candidates that touches nothing, else the least bad one.
class LabelPlacer {
 public:
  /// Labels shall lie inside this box.
  explicit LabelPlacer(const Box& inside) : inside_(inside) {}

  /// Something labels shall not cover: another label (heavy) or a drawn line (light).
  void keep_off(const Box& box) { boxes_.push_back(corners(box)); }
  void keep_off(const Corners& box) { boxes_.push_back(box); }
  void keep_off_line(Point from, Point to, double weight = 1.0) { lines_.push_back({from, to, weight}); }

  /// Index of the chosen candidate, which is kept off from then on. Precondition: candidates is not empty.
  std::size_t place(const std::vector<Box>& candidates);

  /// What a label there would cover: 0 nothing, the weight of each line, 100 per label, 50 for standing out of the box.
  [[nodiscard]] double cost(const Box& box) const;

 private:
  struct Piece {
    Point from;
    Point to;
    double weight = 1.0;
  };
  Box inside_;
  std::vector<Corners> boxes_;
  std::vector<Piece> lines_;
};

/// Whether a straight piece passes through a box.
[[nodiscard]] bool crosses(Point from, Point to, const Box& box);

}  // namespace fw::report
