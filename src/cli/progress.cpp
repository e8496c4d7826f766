// SPDX-License-Identifier: Apache-2.0
#include "cli/progress.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace fw::cli {

namespace {

constexpr std::string_view ways = "ways";  // counted, but no word for people

std::size_t level_of(std::string_view what) {
  if (what == "sheets" || what == "faults") return 0;
  if (what == ways) return 1;
  return what == "running points" ? 3 : 2;
}

/// 2000 -> "2,000".
std::string counted(std::size_t number) {
  const std::string digits = std::to_string(number);
  std::string text;
  for (std::size_t i = 0; i < digits.size(); ++i) {
    if (i > 0 && (digits.size() - i) % 3 == 0) text += ',';
    text += digits[i];
  }
  return text;
}

}  // namespace

void ProgressShare::at(std::string_view what, std::size_t done, std::size_t total) {
  if (total == 0) return;
  const std::size_t mine = level_of(what);
  Level& level = levels_.at(mine);
  level = {.what = std::string(what), .done = std::min(done, total), .total = total};
  for (std::size_t inner = mine + 1; inner < levels_.size(); ++inner) levels_.at(inner).done = 0;

  double share = 0.0;
  double step = 1.0;
  for (std::size_t i = 0; i < levels_shown(); ++i) {
    const Level& one = levels_.at(i);
    if (one.total == 0) continue;
    step /= static_cast<double>(one.total);
    share += step * static_cast<double>(one.done);
  }
  share_ = std::clamp(share, share_, 1.0);
}

std::size_t ProgressShare::levels_shown() const {
  const bool outer = std::any_of(levels_.begin(), levels_.end() - 1, [](const Level& one) { return one.total > 0; });
  return levels_.size() - (outer ? 1 : 0);
}

std::string ProgressShare::words() const {
  std::string text;
  for (std::size_t i = 0; i < levels_shown(); ++i) {
    const Level& one = levels_.at(i);
    if (one.total == 0 || one.what == ways) continue;
    text += fmt::format("{}{} {} of {}", text.empty() ? "" : ", ", one.what, counted(one.done), counted(one.total));
  }
  return text;
}

std::string progress_line(const ProgressShare& share, int columns) {
  const int cells = std::clamp(columns / 4, 5, 20);
  const int full = static_cast<int>(std::floor(share.share() * cells));
  std::string line = fmt::format("[{}{}] {:3.0f} %  {}", std::string(static_cast<std::size_t>(full), '#'),
                                 std::string(static_cast<std::size_t>(cells - full), '.'),
                                 std::floor(100.0 * share.share()), share.words());
  line.resize(std::min(line.size(), static_cast<std::size_t>(std::max(columns, 0))));
  return line;
}

}  // namespace fw::cli
