// SPDX-License-Identifier: Apache-2.0
#include "report/figure_label.hpp"

#include <algorithm>
#include <limits>

#include "base/contract.hpp"

namespace fw::report {

bool crosses(Point from, Point to, const Box& box) {
  // Clips the piece against the four sides (Liang, Barsky 1984).
  double first = 0.0;
  double last = 1.0;
  const double dx = to.x - from.x;
  const double dy = to.y - from.y;
  const auto clip = [&](double along, double room) {
    if (along == 0.0) return room >= 0.0;
    const double t = room / along;
    if (along < 0.0) {
      first = std::max(first, t);
    } else {
      last = std::min(last, t);
    }
    return first <= last;
  };
  return clip(-dx, from.x - box.left) && clip(dx, box.right - from.x) && clip(-dy, from.y - box.top) &&
         clip(dy, box.bottom - from.y);
}

double LabelPlacer::cost(const Box& box) const {
  double cost = 0.0;
  if (box.left < inside_.left || box.right > inside_.right || box.top < inside_.top || box.bottom > inside_.bottom) {
    cost += 50.0;
  }
  const Corners mine = corners(box);
  for (const Corners& other : boxes_) {
    if (overlap(mine, other)) cost += 100.0;
  }
  for (const Piece& piece : lines_) {
    if (crosses(piece.from, piece.to, box)) cost += piece.weight;
  }
  return cost;
}

std::size_t LabelPlacer::place(const std::vector<Box>& candidates) {
  FW_EXPECTS(!candidates.empty());
  std::size_t best = 0;
  double least = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < candidates.size() && least > 0.0; ++i) {
    const double mine = cost(candidates[i]);
    if (mine < least) {
      least = mine;
      best = i;
    }
  }
  keep_off(candidates[best]);
  return best;
}

}  // namespace fw::report
