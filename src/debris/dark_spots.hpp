// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

/// Connected spots of a mask and their moments.
namespace fw::debris {

struct Spot {
  std::size_t points = 0;
  double x = 0.0;  ///< centroid, in points from the centre of the first
  double y = 0.0;
  double xx = 0.0;  ///< second central moments per point
  double xy = 0.0;
  double yy = 0.0;
  bool at_border = false;
};

/// Every spot of points that are not 0, neighbours also by their corners. Order: by the first point, row by row.
/// Precondition: mask.size() = width x height.
[[nodiscard]] std::vector<Spot> spots(std::span<const std::uint8_t> mask, std::size_t width, std::size_t height);

/// Labels as `spots` numbers them, from 1; 0 is outside. `corners`: neighbours also by their corners.
struct Labels {
  std::vector<std::uint32_t> of;
  std::uint32_t count = 0;
};
[[nodiscard]] Labels label(std::span<const std::uint8_t> mask, std::size_t width, std::size_t height, bool corners);

}  // namespace fw::debris
