// SPDX-License-Identifier: Apache-2.0
#include "report/figure_rail.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "report/figure_axis.hpp"
#include "report/font.hpp"
#include "report/text_block.hpp"

namespace fw::report {
namespace {

struct Reach {
  double low = std::numeric_limits<double>::infinity();
  double high = -std::numeric_limits<double>::infinity();

  void take(double value) {
    low = std::min(low, value);
    high = std::max(high, value);
  }
};

Result<void> check_data(const CurvesData& data) {
  const FigureSize& size = data.size;
  if (!std::isfinite(size.width) || !std::isfinite(size.text_size) || !std::isfinite(size.plot_height) ||
      size.text_size < 2.0 || size.width < 30.0 * size.text_size || size.plot_height < 0.0) {
    return invalid("size", fmt::format("{} wide, text {}", size.width, size.text_size),
                   "text of 2 or more, a width of 30 times the text or more");
  }
  if (data.curves.empty()) return invalid("curves", "none", "at least one");
  for (std::size_t i = 0; i < data.curves.size(); ++i) {
    const Curve& curve = data.curves[i];
    const std::string field = fmt::format("curves.{}", i + 1);
    if (curve.x.size() != curve.y.size() || curve.x.size() < 2) {
      return invalid(field, fmt::format("{} and {} numbers", curve.x.size(), curve.y.size()),
                     "two points or more, each with x and y");
    }
    for (const auto* numbers : {&curve.x, &curve.y}) {
      for (const double number : *numbers) {
        if (!std::isfinite(number)) return invalid(field, fmt::format("{}", number), "finite numbers");
        const AxisScale scale = numbers == &curve.x ? data.x_scale : data.y_scale;
        if (scale == AxisScale::decades && number <= 0.0) {
          return invalid(field, fmt::format("{}", number), "numbers above 0 on an axis of decades");
        }
      }
    }
    if (auto good = check_glyphs(curve.words, {}, field + ".words"); !good) return good;
  }
  for (std::size_t i = 0; i < data.notes.size(); ++i) {
    if (auto good = check_glyphs(data.notes[i], {}, fmt::format("notes.{}", i + 1)); !good) return good;
  }
  for (std::size_t i = 0; i < data.levels.size(); ++i) {
    const std::string field = fmt::format("levels.{}", i + 1);
    if (!std::isfinite(data.levels[i].value)) return invalid(field, "not finite", "a finite number");
    if (data.y_scale == AxisScale::decades && data.levels[i].value <= 0.0) {
      return invalid(field, fmt::format("{}", data.levels[i].value), "a number above 0 on an axis of decades");
    }
    if (auto good = check_glyphs(data.levels[i].words, {}, field + ".words"); !good) return good;
  }
  for (std::size_t i = 0; i < data.stations.size(); ++i) {
    if (auto good = check_glyphs(data.stations[i], {}, fmt::format("stations.{}", i + 1)); !good) return good;
  }
  for (std::size_t i = 0; i < data.spans.size(); ++i) {
    const CurveSpan& span = data.spans[i];
    const std::string field = fmt::format("spans.{}", i + 1);
    if (!std::isfinite(span.from) || !std::isfinite(span.to) || span.to < span.from) {
      return invalid(field, fmt::format("{} to {}", span.from, span.to), "the begin before the end");
    }
    if (auto good = check_glyphs(span.words, {}, field + ".words"); !good) return good;
  }
  return {};
}

/// A number as it lies on an axis.
double on_axis(AxisScale scale, double value) { return scale == AxisScale::decades ? std::log10(value) : value; }

/// Whole decades that cover a range of exponents.
Ticks decade_ticks(const ValueRange& range) {
  Ticks ticks{.low = std::floor(range.low + 1e-9), .high = std::ceil(range.high - 1e-9), .step = 1.0};
  if (ticks.high <= ticks.low) ticks.high = ticks.low + 1.0;
  for (double at = ticks.low; at < ticks.high + 0.5; at += 1.0) ticks.values.push_back(at);
  return ticks;
}

/// "0.1", "1", "100", "10 k", "1 M".
std::string decade_label(double exponent) {
  const int e = static_cast<int>(std::lround(exponent));
  if (e < 0) return fmt::format("{:.{}f}", std::pow(10.0, e), -e);
  constexpr std::array<const char*, 4> letters{"", " k", " M", " G"};
  const int third = std::min(e / 3, 3);
  return "1" + std::string(static_cast<std::size_t>(e - 3 * third), '0') + letters.at(static_cast<std::size_t>(third));
}

Stroke stroke_of(CurveLine line, double text) {
  switch (line) {
    case CurveLine::heavy: return {.colour = Role::accent, .width = 0.24 * text, .dash = {}};
    case CurveLine::thin: return {.colour = Role::ink, .width = 0.10 * text, .dash = {}};
    case CurveLine::dashed: return {.colour = Role::ink, .width = 0.13 * text, .dash = {0.9 * text, 0.45 * text}};
    case CurveLine::dash_dot:
      return {.colour = Role::ink, .width = 0.13 * text, .dash = {0.9 * text, 0.4 * text, 0.15 * text, 0.4 * text}};
    case CurveLine::faint: break;
  }
  return {.colour = Role::soft, .width = 0.07 * text, .dash = {}};
}

}  // namespace

Result<Figure> curves_figure(const CurvesData& data) {
  if (auto fonts = load_fonts(); !fonts) return fail(fonts.error());
  if (const auto good = check_data(data); !good) return fail(good.error());
  const double text = data.size.text_size;
  const TextStyle style{.size = text};
  Reach x_reach;
  Reach y_reach;
  for (const Curve& curve : data.curves) {
    for (const double x : curve.x) x_reach.take(on_axis(data.x_scale, x));
    for (const double y : curve.y) y_reach.take(on_axis(data.y_scale, y));
  }
  for (const CurveLevel& level : data.levels) y_reach.take(on_axis(data.y_scale, level.value));
  if (!data.stations.empty()) {
    x_reach.take(0.0);
    x_reach.take(static_cast<double>(data.stations.size() - 1));
  }
  const double height = data.size.plot_height > 0.0 ? data.size.plot_height : 0.42 * data.size.width;
  const Ticks y_ticks = data.y_scale == AxisScale::decades
                            ? decade_ticks({.low = y_reach.low, .high = y_reach.high})
                            : round_ticks({.low = y_reach.low, .high = y_reach.high},
                                          std::max(2, static_cast<int>(height / (text * 3.2))));
  const auto y_label = [&](double tick) {
    return data.y_scale == AxisScale::decades ? decade_label(tick) : tick_label(tick, y_ticks.decimals);
  };

  double axis = measure(data.unit, style).width;
  for (const double tick : y_ticks.values) {
    axis = std::max(axis, measure(y_label(tick), style).width);
  }
  double words = 0.0;
  for (const Curve& curve : data.curves) words = std::max(words, measure(curve.words, style).width);
  for (const CurveLevel& level : data.levels) words = std::max(words, measure(level.words, style).width);
  const double left = axis + 1.2 * text;
  const double right = data.size.width - (words > 0.0 ? words + 1.9 * text : text);
  const double top = 2.4 * text;
  const double bottom = top + height;
  const Ticks x_ticks = data.x_scale == AxisScale::decades
                            ? decade_ticks({.low = x_reach.low, .high = x_reach.high})
                            : round_ticks({.low = x_reach.low, .high = x_reach.high},
                                          std::max(2, static_cast<int>((right - left) / (text * 6.0))));
  const double x_low = x_reach.low;
  const double x_high = x_reach.high > x_reach.low ? x_reach.high : x_reach.low + 1.0;
  // By what stands on the axis: an exponent where it has decades.
  const auto along_x = [&](double x) { return left + (x - x_low) / (x_high - x_low) * (right - left); };
  const auto along_y = [&](double y) {
    return bottom - (y - y_ticks.low) / (y_ticks.high - y_ticks.low) * (bottom - top);
  };
  const auto at_x = [&](double x) { return along_x(on_axis(data.x_scale, x)); };
  const auto at_y = [&](double y) { return along_y(on_axis(data.y_scale, y)); };

  Figure figure{.width = data.size.width, .height = 0.0, .title = data.title, .description = {}, .primitives = {}};
  const auto add = [&](Primitive primitive) { figure.primitives.push_back(std::move(primitive)); };

  // The wash lies under the grid.
  for (const Curve& curve : data.curves) {
    if (!curve.filled) continue;
    Polyline area{.points = {}, .closed = true, .stroke = {}, .fill = Role::wash};
    for (std::size_t i = 0; i < curve.x.size(); ++i) area.points.push_back({at_x(curve.x[i]), at_y(curve.y[i])});
    area.points.push_back({at_x(curve.x.back()), bottom});
    area.points.push_back({at_x(curve.x.front()), bottom});
    add(std::move(area));
  }
  add(GroupBegin{.title = "Axes", .description = {}});
  for (const double tick : y_ticks.values) {
    add(Line{.from = {left, along_y(tick)},
             .to = {right, along_y(tick)},
             .stroke = {.colour = Role::hairline, .width = 0.085 * text, .dash = {}}});
    add(Text{.at = {left - 0.7 * text, along_y(tick) + 0.36 * text},
             .text = y_label(tick),
             .style = style,
             .colour = Role::soft,
             .anchor = Anchor::end});
  }
  add(Text{
      .at = {left - 0.7 * text, text}, .text = data.unit, .style = style, .colour = Role::soft, .anchor = Anchor::end});
  add(Line{.from = {left, bottom},
           .to = {right, bottom},
           .stroke = {.colour = Role::soft, .width = 0.085 * text, .dash = {}}});
  const auto tick_line = [&](double x) {
    add(Line{.from = {x, bottom},
             .to = {x, bottom + 0.4 * text},
             .stroke = {.colour = Role::soft, .width = 0.085 * text, .dash = {}}});
  };
  double under = 1.5 * text;  // depth of what stands under the axis
  if (data.stations.empty()) {
    for (const double tick : x_ticks.values) {
      if (tick < x_low - 1e-9 * (x_high - x_low) || tick > x_high + 1e-9 * (x_high - x_low)) continue;
      tick_line(along_x(tick));
      add(Text{.at = {along_x(tick), bottom + 1.5 * text},
               .text = data.x_scale == AxisScale::decades ? decade_label(tick) : tick_label(tick, x_ticks.decimals),
               .style = style,
               .colour = Role::soft,
               .anchor = Anchor::middle});
    }
  } else {
    std::vector<double> places;
    for (std::size_t i = 0; i < data.stations.size(); ++i) {
      places.push_back(along_x(static_cast<double>(i)));
      tick_line(places.back());
    }
    NameRow names = name_row(data.stations, places, bottom + 0.6 * text, style);
    for (Primitive& primitive : names.primitives) add(std::move(primitive));
    under = 0.6 * text + names.depth;
  }
  add(Text{.at = {0.5 * (left + right), bottom + under + 1.4 * text},
           .text = data.x_axis,
           .style = style,
           .colour = Role::soft,
           .anchor = Anchor::middle});
  add(GroupEnd{});

  add(GroupBegin{.title = "Stretches", .description = {}});
  for (const CurveSpan& span : data.spans) {
    const double from = std::clamp(at_x(span.from), left, right);
    const double to = std::clamp(at_x(span.to), left, right);
    if (to <= from) continue;
    add(Rectangle{.corner = {from, bottom - 0.55 * text},
                  .width = std::max(to - from, 0.15 * text),
                  .height = 0.55 * text,
                  .stroke = {},
                  .fill = Role::soft});
    if (span.words.empty()) continue;
    // Words wider than their bar stand behind it: over it they would lie on the axis or on a line that begins there.
    const double wide = measure(span.words, style).width;
    const bool behind = wide > to - from && to + 0.5 * text + wide < right;
    double foot = bottom - (behind ? 0.25 : 0.9) * text;
    for (const CurveLevel& level : data.levels) {
      const double dashed = at_y(level.value);
      const bool through = dashed > foot - text && dashed < foot + 0.3 * text && dashed < bottom - 0.6 * text;
      if (through) foot = dashed - 0.35 * text;
    }
    add(Text{.at = {behind ? to + 0.5 * text + 0.5 * wide : 0.5 * (from + to), foot},
             .text = span.words,
             .style = style,
             .colour = Role::soft,
             .anchor = Anchor::middle});
  }
  add(GroupEnd{});

  struct Ending {
    double y = 0.0;
    double from_x = 0.0;
    std::string words;
  };
  std::vector<Ending> endings;
  for (const CurveLevel& level : data.levels) {
    add(Line{.from = {left, at_y(level.value)},
             .to = {right, at_y(level.value)},
             .stroke = {.colour = Role::ink, .width = 0.09 * text, .dash = {0.35 * text, 0.35 * text}}});
    endings.push_back({.y = at_y(level.value), .from_x = right, .words = level.words});
  }
  for (const Curve& curve : data.curves) {
    add(GroupBegin{.title = curve.words.empty() ? "line" : curve.words, .description = {}});
    Polyline run{.points = {}, .closed = false, .stroke = stroke_of(curve.line, text), .fill = Role::none};
    for (std::size_t i = 0; i < curve.x.size(); ++i) run.points.push_back({at_x(curve.x[i]), at_y(curve.y[i])});
    const Point last = run.points.back();
    const std::vector<Point> places = run.points;
    add(std::move(run));
    if (curve.dots) {
      for (const Point& place : places) {
        add(Circle{.centre = place,
                   .radius = 0.32 * text,
                   .stroke = {.colour = Role::ink, .width = 0.12 * text, .dash = {}},
                   .fill = Role::paper});
      }
    }
    add(GroupEnd{});
    if (!curve.words.empty()) endings.push_back({.y = last.y, .from_x = last.x, .words = curve.words});
  }

  std::stable_sort(endings.begin(), endings.end(), [](const Ending& a, const Ending& b) { return a.y < b.y; });
  std::vector<SpreadLabel> wished;
  for (const Ending& ending : endings) wished.push_back({.at = ending.y, .size = 1.15 * text});
  const std::vector<double> centre = spread_labels(wished, {.low = 0.6 * text, .high = bottom, .gap = 0.1 * text});
  add(GroupBegin{.title = "Names of the lines", .description = {}});
  for (std::size_t i = 0; i < endings.size(); ++i) {
    const Ending& ending = endings[i];
    if (ending.words.empty()) continue;
    const double to_x = right + 1.2 * text;
    add(Line{.from = {ending.from_x + 0.35 * text, ending.y},
             .to = {to_x, centre[i]},
             .stroke = {.colour = Role::soft, .width = 0.06 * text, .dash = {}}});
    add(Text{.at = {to_x + 0.3 * text, centre[i] + 0.36 * text}, .text = ending.words, .style = style});
  }
  add(GroupEnd{});
  double end = bottom + under + 1.9 * text;
  const auto note_line = [&](const std::string& line) {
    end += 1.35 * text;
    add(Text{.at = {0.0, end}, .text = line, .style = style, .colour = Role::soft});
  };
  for (const std::string& note : data.notes) {
    std::string line;
    for (const auto& [from, to] : unbreakable_pieces(note)) {
      const std::string word = note.substr(from, to - from);
      const std::string longer = line.empty() ? word : line + " " + word;
      if (!line.empty() && measure(longer, style).width > data.size.width) {
        note_line(line);
        line = word;
      } else {
        line = longer;
      }
    }
    if (!line.empty()) note_line(line);
  }
  figure.height = end + 0.6 * text;
  figure.description = data.title + ". " + data.x_axis + " across, " + data.unit + " up.";
  for (const Curve& curve : data.curves) {
    if (curve.words.empty()) continue;
    figure.description += fmt::format(" {}: {:.4g} at {:.4g}, {:.4g} at {:.4g}.", curve.words, curve.y.front(),
                                      curve.x.front(), curve.y.back(), curve.x.back());
  }
  for (const CurveLevel& level : data.levels) {
    if (!level.words.empty()) figure.description += fmt::format(" {} at {:.4g}.", level.words, level.value);
  }
  if (const auto good = check(figure); !good) return fail(good.error());
  return figure;
}

}  // namespace fw::report
