// SPDX-License-Identifier: Apache-2.0
#include "debris/dark_spots.hpp"

#include "base/contract.hpp"

namespace fw::debris {

namespace {

/// Sets that grow together; the least member stands for its set.
class Sets {
 public:
  std::uint32_t add() {
    parent_.push_back(static_cast<std::uint32_t>(parent_.size()));
    return parent_.back();
  }
  std::uint32_t root(std::uint32_t at) {
    while (parent_[at] != at) {
      parent_[at] = parent_[parent_[at]];
      at = parent_[at];
    }
    return at;
  }
  void join(std::uint32_t a, std::uint32_t b) {
    a = root(a);
    b = root(b);
    if (a < b) parent_[b] = a;
    if (b < a) parent_[a] = b;
  }
  [[nodiscard]] std::size_t size() const { return parent_.size(); }

 private:
  std::vector<std::uint32_t> parent_;
};

}  // namespace

Labels label(std::span<const std::uint8_t> mask, std::size_t width, std::size_t height, bool corners) {
  FW_EXPECTS(mask.size() == width * height);
  Labels labels;
  labels.of.assign(mask.size(), 0);
  Sets sets;
  sets.add();  // 0 is outside
  for (std::size_t y = 0; y < height; ++y) {
    for (std::size_t x = 0; x < width; ++x) {
      const std::size_t at = y * width + x;
      if (mask[at] == 0) continue;
      std::uint32_t mine = 0;
      const auto touch = [&](std::size_t other) {
        const std::uint32_t theirs = labels.of[other];
        if (theirs == 0) return;
        if (mine == 0) {
          mine = theirs;
        } else {
          sets.join(mine, theirs);
        }
      };
      if (x > 0) touch(at - 1);
      if (y > 0) {
        touch(at - width);
        if (corners && x > 0) touch(at - width - 1);
        if (corners && x + 1 < width) touch(at - width + 1);
      }
      labels.of[at] = mine == 0 ? sets.add() : mine;
    }
  }
  std::vector<std::uint32_t> number(sets.size(), 0);
  for (std::uint32_t& one : labels.of) {
    if (one == 0) continue;
    std::uint32_t& given = number[sets.root(one)];
    if (given == 0) given = ++labels.count;
    one = given;
  }
  return labels;
}

std::vector<Spot> spots(std::span<const std::uint8_t> mask, std::size_t width, std::size_t height) {
  const Labels labels = label(mask, width, height, true);
  std::vector<Spot> all(labels.count);
  for (std::size_t y = 0; y < height; ++y) {
    for (std::size_t x = 0; x < width; ++x) {
      const std::uint32_t one = labels.of[y * width + x];
      if (one == 0) continue;
      Spot& spot = all[one - 1];
      ++spot.points;
      spot.x += static_cast<double>(x);
      spot.y += static_cast<double>(y);
      spot.at_border = spot.at_border || x == 0 || y == 0 || x + 1 == width || y + 1 == height;
    }
  }
  for (Spot& spot : all) {
    spot.x /= static_cast<double>(spot.points);
    spot.y /= static_cast<double>(spot.points);
  }
  for (std::size_t y = 0; y < height; ++y) {
    for (std::size_t x = 0; x < width; ++x) {
      const std::uint32_t one = labels.of[y * width + x];
      if (one == 0) continue;
      Spot& spot = all[one - 1];
      const double right = static_cast<double>(x) - spot.x;
      const double down = static_cast<double>(y) - spot.y;
      const double share = 1.0 / static_cast<double>(spot.points);
      spot.xx += share * right * right;
      spot.xy += share * right * down;
      spot.yy += share * down * down;
    }
  }
  return all;
}

}  // namespace fw::debris
