// SPDX-License-Identifier: Apache-2.0
#include "report/figure_axis.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

#include <fmt/format.h>

#include "base/contract.hpp"
#include "report/font.hpp"

namespace fw::report {

Ticks round_ticks(const ValueRange& range, int wanted) {
  double low = range.low;
  double high = range.high;
  FW_EXPECTS(std::isfinite(low) && std::isfinite(high));
  FW_EXPECTS(low <= high);
  FW_EXPECTS(wanted >= 1);
  if (high - low < 1e-9 * std::max(1.0, std::max(std::abs(low), std::abs(high)))) {
    low -= 1.0;
    high += 1.0;
  }
  // Of the steps 1, 2, 5, 10 times the decade, the one whose count comes closest to the wish in ratio.
  const double rough = (high - low) / wanted;
  const double exponent = std::floor(std::log10(rough));
  const double decade = std::pow(10.0, exponent);
  double factor = 1.0;
  for (const double next : {2.0, 5.0, 10.0}) {
    if (std::abs(std::log(next * decade / rough)) < std::abs(std::log(factor * decade / rough))) factor = next;
  }
  Ticks ticks{.step = factor * decade};
  const int power = static_cast<int>(exponent) + (factor == 10.0 ? 1 : 0);
  ticks.decimals = std::clamp(-power, 0, 9);
  // A fiftieth of a step beyond the last rule is not seen, a further rule is.
  const double first = std::floor(low / ticks.step + 0.02);
  const double last = std::ceil(high / ticks.step - 0.02);
  const auto steps = static_cast<int>(last - first);
  for (int i = 0; i <= steps; ++i) ticks.values.push_back((first + i) * ticks.step);
  ticks.low = ticks.values.front();
  ticks.high = ticks.values.back();
  return ticks;
}

std::string tick_label(double value, int decimals) {
  std::string text = fmt::format("{:.{}f}", std::abs(value), decimals);
  const bool zero = text.find_first_not_of("0.") == std::string::npos;
  for (std::size_t at = std::min(text.find('.'), text.size()); at > 3;) text.insert(at -= 3, 1, ',');
  return value < 0.0 && !zero ? "\u2212" + text : text;
}

std::vector<double> spread_labels(const std::vector<SpreadLabel>& labels, const SpreadRoom& room) {
  std::vector<std::size_t> order(labels.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return labels[a].at < labels[b].at; });
  // A pool is a run of labels that touch; `top` is where its first one begins.
  struct Pool {
    std::size_t first = 0;
    std::size_t count = 0;
    double height = 0.0;
    double wish = 0.0;  // mean of where its members wish the pool's top
  };
  std::vector<Pool> pools;
  const auto settle = [&](const Pool& pool) {
    return std::max(room.low, std::min(pool.wish, room.high - pool.height));
  };
  for (std::size_t i = 0; i < order.size(); ++i) {
    const SpreadLabel& label = labels[order[i]];
    pools.push_back({.first = i, .count = 1, .height = label.size, .wish = label.at - label.size / 2.0});
    while (pools.size() > 1) {
      const Pool& last = pools.back();
      Pool& before = pools[pools.size() - 2];
      if (settle(before) + before.height + room.gap <= settle(last) + 1e-12) break;
      const double shift = before.height + room.gap;
      const auto n = static_cast<double>(before.count);
      const auto m = static_cast<double>(last.count);
      before.wish = (before.wish * n + (last.wish - shift) * m) / (n + m);
      before.height += room.gap + last.height;
      before.count += last.count;
      pools.pop_back();
    }
  }
  std::vector<double> centres(labels.size(), 0.0);
  for (const Pool& pool : pools) {
    double top = settle(pool);
    for (std::size_t i = pool.first; i < pool.first + pool.count; ++i) {
      const double size = labels[order[i]].size;
      centres[order[i]] = top + size / 2.0;
      top += size + room.gap;
    }
  }
  return centres;
}

namespace {

struct NameFit {
  double widest = 0.0;
  double line_height = 0.0;
  double ascent = 0.0;
};

NameFit fit(const std::vector<std::string>& names, const TextStyle& style) {
  NameFit widths;
  for (const std::string& text : names) {
    const TextSize size = measure(text, style);
    widths.widest = std::max(widths.widest, size.width);
    widths.line_height = size.ascent + size.descent;
    widths.ascent = size.ascent;
  }
  return widths;
}

/// Angle at which names at this spacing do not touch.
double name_angle_deg(double spacing, const NameFit& names) {
  if (names.widest + 0.6 * names.line_height <= spacing) return 0.0;
  for (const double degrees : {38.0, 60.0}) {
    if (spacing * std::sin(degrees * std::numbers::pi / 180.0) >= names.line_height) return degrees;
  }
  return 90.0;
}

/// How far the names of a row at this spacing stand out right of the last place.
double name_overhang(const std::vector<std::string>& names, double spacing, const TextStyle& style) {
  if (names.empty()) return 0.0;
  const NameFit widths = fit(names, style);
  const double turn = name_angle_deg(spacing, widths) * std::numbers::pi / 180.0;
  if (turn == 0.0) return measure(names.back(), style).width / 2.0;
  double most = 0.0;
  for (std::size_t i = 0; i < names.size(); ++i) {
    const double back = spacing * static_cast<double>(names.size() - 1 - i);
    most = std::max(most, measure(names[i], style).width * std::cos(turn) + widths.line_height - back);
  }
  return most;
}

}  // namespace

double name_margin(const std::vector<std::string>& names, double room, double least, const TextStyle& style) {
  FW_EXPECTS(names.size() >= 2);
  // A wider margin brings the places closer together, which may turn the names and change the margin again.
  double margin = least;
  for (int i = 0; i < 8; ++i) {
    const double spacing = (room - margin) / static_cast<double>(names.size() - 1);
    const double needed = name_overhang(names, spacing, style) + 0.4 * style.size;
    if (needed <= margin) break;
    margin = needed;
  }
  return margin;
}

NameRow name_row(const std::vector<std::string>& names, const std::vector<double>& xs, double top,
                 const TextStyle& style) {
  FW_EXPECTS(names.size() == xs.size());
  NameRow row;
  if (names.empty()) return row;
  const NameFit widths = fit(names, style);
  const double spacing = xs.size() > 1 ? (xs.back() - xs.front()) / static_cast<double>(xs.size() - 1) : 1e6;
  const double degrees = name_angle_deg(spacing, widths);
  const double tick = style.size * 0.55;
  const double below = top + tick + style.size * 0.25;
  for (std::size_t i = 0; i < names.size(); ++i) {
    row.primitives.emplace_back(Line{.from = {xs[i], top},
                                     .to = {xs[i], top + tick},
                                     .stroke = {.colour = Role::soft, .width = style.size * 0.085}});
    Text label{.at = {xs[i], below + widths.ascent}, .text = names[i], .style = style, .colour = Role::soft};
    if (degrees == 0.0) {
      label.anchor = Anchor::middle;
    } else {
      // The text hangs from its tick: its upper left corner lies under the tick.
      const double turn = degrees * std::numbers::pi / 180.0;
      const double rise = style.size * 0.8;
      label.turn_deg = degrees;
      label.at = {xs[i] - rise * std::sin(turn) + style.size * 0.45, below + rise * std::cos(turn)};
    }
    if (!names[i].empty()) {
      const Box box = around(text_corners(label));
      row.depth = std::max(row.depth, box.bottom - top);
      row.overhang = std::max(row.overhang, box.right - xs.back());
      row.primitives.emplace_back(std::move(label));
    }
  }
  row.depth = std::max(row.depth, tick);
  return row;
}

}  // namespace fw::report
