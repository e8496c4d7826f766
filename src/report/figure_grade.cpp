// SPDX-License-Identifier: Apache-2.0
#include "report/figure_grade.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "base/contract.hpp"
#include "report/figure_axis.hpp"
#include "report/figure_label.hpp"
#include "report/font.hpp"

namespace fw::report {
namespace {

/// Checks shared by both figures; the first fault ends it.
struct Checks {
  Result<void> state;

  void add(Result<void> next) {
    if (state && !next) state = std::move(next);
  }
  void finite(double value, const std::string& field) {
    if (!std::isfinite(value)) add(invalid(field, fmt::format("{}", value), "a finite number"));
  }
  void text(std::string_view value, const std::string& field) { add(check_glyphs(value, {}, field)); }
  void band(const std::optional<ValueBand>& band, const std::string& field) {
    if (!band) return;
    finite(band->low, field + ".low");
    finite(band->high, field + ".high");
    if (state && band->low > band->high) {
      add(invalid(field, fmt::format("{} to {}", band->low, band->high), "the lower bound first"));
    }
  }
  void limits(const std::vector<GradeLimit>& limits, std::size_t places) {
    for (std::size_t i = 0; i < limits.size(); ++i) {
      const std::string field = fmt::format("limits.{}", i + 1);
      finite(limits[i].value, field + ".value");
      text(limits[i].words, field + ".words");
      if (limits[i].first > limits[i].last || limits[i].last >= places) {
        add(invalid(field, fmt::format("places {} to {}", limits[i].first, limits[i].last),
                    fmt::format("places in order, 0 to {}", places - 1)));
      }
    }
  }
  void size(const FigureSize& size) {
    finite(size.width, "size.width");
    finite(size.text_size, "size.text_size");
    finite(size.plot_height, "size.plot_height");
    if (state && (size.text_size < 2.0 || size.width < 30.0 * size.text_size || size.plot_height < 0.0)) {
      add(invalid("size", fmt::format("{} wide, text {}", size.width, size.text_size),
                  "text of 2 or more, a width of 30 times the text or more"));
    }
  }
};

struct Extent {
  double low = std::numeric_limits<double>::infinity();
  double high = -std::numeric_limits<double>::infinity();

  void take(double value) {
    low = std::min(low, value);
    high = std::max(high, value);
  }
};

/// What stands right of the plot: words at their heights.
struct EndLabel {
  double y = 0.0;  ///< where it belongs
  double height = 0.0;
  double width = 0.0;
  double line_end_x = 0.0;  ///< where a leader begins
  std::vector<Text> texts;  ///< relative to the label's left and middle
  std::optional<Mark> mark;
  std::string mark_words;
};

/// The frame that both figures share: value axis, grid, names, limits, labels at the end.
struct Plot {
  double text = 8.0;
  Ticks ticks;
  std::vector<double> xs;
  double left = 0.0;
  double right = 0.0;
  double top = 0.0;
  double bottom = 0.0;
  double width = 0.0;
  double label_x = 0.0;
  Figure figure;

  /// Light obstacles: words may cross a grid line, but do not stand on one if there is another place.
  void keep_off_grid(LabelPlacer& placer) const {
    for (const double tick : ticks.values) placer.keep_off_line({left, y(tick)}, {right, y(tick)}, 0.2);
  }
  [[nodiscard]] double y(double value) const {
    return bottom - (value - ticks.low) / (ticks.high - ticks.low) * (bottom - top);
  }
  void add(Primitive primitive) { figure.primitives.push_back(std::move(primitive)); }
  void group(std::string title) { add(GroupBegin{.title = std::move(title), .description = {}}); }
  void end_group() { add(GroupEnd{}); }
};

Plot lay_out(const FigureSize& size, const std::string& unit, const std::vector<std::string>& names,
             const Extent& range, const std::vector<EndLabel>& ends) {
  Plot plot;
  plot.text = size.text_size;
  plot.width = size.width;
  const TextStyle style{.size = plot.text};
  const double height = size.plot_height > 0.0 ? size.plot_height : 0.30 * size.width;
  plot.ticks =
      round_ticks({.low = range.low, .high = range.high}, std::max(2, static_cast<int>(height / (plot.text * 3.2))));
  double axis = 0.0;
  for (const double tick : plot.ticks.values) {
    axis = std::max(axis, measure(tick_label(tick, plot.ticks.decimals), style).width);
  }
  const double unit_width = measure(unit, style).width;
  double end = 0.0;
  for (const EndLabel& label : ends) end = std::max(end, label.width);
  const double gap = plot.text * 2.0;  // from the last place to the words
  plot.left = std::max(axis, unit_width) + plot.text * 1.1;
  double margin = end > 0.0 ? end + gap + plot.text * 0.4 : plot.text;
  const auto places = static_cast<double>(names.size() - 1);
  // Names under the axis may stand out further than the words at the end.
  margin = name_margin(names, size.width - plot.left, margin, style);
  plot.right = size.width - margin;
  plot.label_x = plot.right + gap;
  plot.top = unit.empty() ? plot.text : plot.text * 2.4;
  plot.bottom = plot.top + height;
  for (std::size_t i = 0; i < names.size(); ++i) {
    plot.xs.push_back(plot.left + (plot.right - plot.left) * static_cast<double>(i) / places);
  }
  plot.figure.width = size.width;

  plot.group(unit.empty() ? "Value axis" : "Axis in " + unit);
  for (const double tick : plot.ticks.values) {
    const double y = plot.y(tick);
    const bool zero = std::abs(tick) < plot.ticks.step * 1e-6;
    plot.add(
        Line{.from = {plot.left, y},
             .to = {plot.right, y},
             .stroke = {.colour = zero ? Role::soft : Role::hairline, .width = plot.text * (zero ? 0.07 : 0.085)}});
    plot.add(Text{.at = {plot.left - plot.text * 0.7, y + plot.text * 0.36},
                  .text = tick_label(tick, plot.ticks.decimals),
                  .style = style,
                  .colour = Role::soft,
                  .anchor = Anchor::end});
  }
  if (!unit.empty()) {
    plot.add(Text{.at = {plot.left - plot.text * 0.7, plot.text},
                  .text = unit,
                  .style = style,
                  .colour = Role::soft,
                  .anchor = Anchor::end});
  }
  plot.end_group();
  plot.group("Places along the way");
  NameRow row = name_row(names, plot.xs, plot.bottom + plot.text * 0.9, style);
  for (Primitive& primitive : row.primitives) plot.add(std::move(primitive));
  plot.end_group();
  plot.figure.height = plot.bottom + plot.text * 0.9 + row.depth + plot.text * 0.3;
  return plot;
}

/// A wash between two bounds over a run of places.
void draw_band(Plot& plot, const std::vector<std::optional<ValueBand>>& bands) {
  for (std::size_t i = 0; i < bands.size();) {
    if (!bands[i]) {
      ++i;
      continue;
    }
    std::size_t end = i;
    while (end < bands.size() && bands[end]) ++end;
    if (end - i >= 2) {
      Polyline area{.points = {}, .closed = true, .stroke = {}, .fill = Role::wash};
      for (std::size_t k = i; k < end; ++k) area.points.push_back({plot.xs[k], plot.y(bands[k]->high)});
      for (std::size_t k = end; k-- > i;) area.points.push_back({plot.xs[k], plot.y(bands[k]->low)});
      plot.add(std::move(area));
    } else {
      const double half = plot.text * 0.35;
      const double top = plot.y(bands[i]->high);
      plot.add(Rectangle{.corner = {plot.xs[i] - half, top},
                         .width = 2.0 * half,
                         .height = plot.y(bands[i]->low) - top,
                         .stroke = {},
                         .fill = Role::wash});
    }
    i = end;
  }
}

/// Dashed rules; words of those that end inside the plot are placed at the rule.
void draw_limits(Plot& plot, const std::vector<GradeLimit>& limits, LabelPlacer& placer) {
  const TextStyle style{.size = plot.text};
  const std::size_t last = plot.xs.size() - 1;
  plot.group("Limits");
  for (const GradeLimit& limit : limits) {
    const double y = plot.y(limit.value);
    const double spacing = plot.xs[1] - plot.xs[0];
    const bool to_end = limit.last == last;
    const double stub = std::min(plot.text * 2.6, spacing * 0.9);
    const double from = limit.first == limit.last ? plot.xs[limit.first] - stub : plot.xs[limit.first];
    double to = plot.xs[limit.last];
    if (to_end) {
      to += plot.text * 1.5;
    } else if (limit.first == limit.last) {
      to += stub;
    }
    plot.add(
        Line{.from = {from, y},
             .to = {to, y},
             .stroke = {.colour = Role::ink, .width = plot.text * 0.17, .dash = {plot.text * 0.62, plot.text * 0.36}}});
    placer.keep_off_line({from, y}, {to, y});
    if (to_end || limit.words.empty()) continue;
    const TextSize size = measure(limit.words, style);
    std::vector<Box> wishes;
    for (const double up : {1.0, 0.0}) {
      for (const double at : {0.0, 0.5, 1.0}) {
        const double x = from + (to - from) * at - size.width * at;
        const double baseline = up > 0.0 ? y - plot.text * 0.35 - size.descent : y + plot.text * 0.3 + size.ascent;
        wishes.push_back(
            {.left = x, .top = baseline - size.ascent, .right = x + size.width, .bottom = baseline + size.descent});
      }
    }
    const Box box = wishes[placer.place(wishes)];
    plot.add(Text{.at = {box.left, box.top + size.ascent}, .text = limit.words, .style = style, .colour = Role::ink});
  }
  plot.end_group();
}

void draw_ends(Plot& plot, const std::vector<EndLabel>& ends) {
  std::vector<SpreadLabel> wishes;
  wishes.reserve(ends.size());
  for (const EndLabel& end : ends) wishes.push_back({.at = end.y, .size = end.height});
  const double floor = plot.bottom + plot.text * 0.8;
  const auto centres = spread_labels(wishes, {.low = plot.text * 0.2, .high = floor, .gap = plot.text * 0.25});
  for (std::size_t i = 0; i < ends.size(); ++i) {
    const EndLabel& end = ends[i];
    if (std::abs(centres[i] - end.y) > plot.text * 0.3) {
      plot.add(Line{.from = {end.line_end_x, end.y},
                    .to = {plot.label_x - plot.text * 0.25, centres[i]},
                    .stroke = {.colour = Role::soft, .width = plot.text * 0.07}});
    }
    for (Text text : end.texts) {
      text.at.x += plot.label_x;
      text.at.y += centres[i];
      plot.add(std::move(text));
    }
    if (end.mark) {
      auto marked = marked_word(*end.mark, end.mark_words, {plot.label_x, centres[i] + plot.text * 0.25}, plot.text);
      FW_EXPECTS(marked.has_value());
      for (Primitive& primitive : marked->primitives) plot.add(std::move(primitive));
    }
  }
}

EndLabel limit_label(const GradeLimit& limit, double text) {
  const TextStyle style{.size = text};
  const TextSize size = measure(limit.words, style);
  return {.y = limit.value,
          .height = size.ascent + size.descent,
          .width = size.width,
          .texts = {{.at = {0.0, text * 0.36}, .text = limit.words, .style = style, .colour = Role::ink}},
          .mark = {},
          .mark_words = {}};
}

std::string mark_text(const GradeMark& mark) { return mark.words.empty() ? std::string(word(mark.mark)) : mark.words; }

/// Extent of a marked word, its rule included.
Box mark_box(const GradeMark& mark, double text, Point at) {
  auto marked = marked_word(mark.mark, mark_text(mark), at, text);
  FW_EXPECTS(marked.has_value());
  return {.left = at.x, .top = at.y - text * 0.95, .right = marked->end_x, .bottom = at.y + text * 0.6};
}

std::string band_words(const std::optional<ValueBand>& band, int decimals) {
  if (!band) return {};
  return fmt::format(" ({} to {})", tick_label(band->low, decimals), tick_label(band->high, decimals));
}

/// One more place than the ticks have, so that the words tell values between them.
int words_decimals(const Ticks& ticks) { return std::min(ticks.decimals + 1, 9); }

void describe_limits(std::string& words, const std::vector<GradeLimit>& limits, int decimals) {
  for (const GradeLimit& limit : limits) {
    words += fmt::format(" Limit {}{}.", tick_label(limit.value, decimals),
                         limit.words.empty() ? std::string() : ": " + limit.words);
  }
}

/// Line style of a sheet: told apart by weight and dash, not by colour alone.
Stroke stroke_of(Sheet sheet, double text) {
  switch (sheet) {
    case Sheet::as_designed: return {.colour = Role::soft, .width = text * 0.10};
    case Sheet::as_found:
      return {.colour = Role::ink, .width = text * 0.19, .dash = {text * 1.1, text * 0.32, text * 0.2, text * 0.32}};
    case Sheet::as_rebuilt: return {.colour = Role::accent, .width = text * 0.34};
  }
  return {};
}

}  // namespace

Result<Figure> grade_line_figure(const GradeLineData& data) {
  if (auto fonts = load_fonts(); !fonts) return tl::unexpected(fonts.error());
  Checks checks;
  if (data.points.size() < 2) {
    return invalid("points", fmt::format("{}", data.points.size()), "two places or more along the way");
  }
  checks.text(data.title, "title");
  checks.text(data.unit, "unit");
  checks.text(data.end_value, "end_value");
  checks.text(data.end_note, "end_note");
  for (std::size_t i = 0; i < data.points.size(); ++i) {
    const std::string field = fmt::format("points.{}", i + 1);
    checks.finite(data.points[i].value, field + ".value");
    checks.band(data.points[i].band, field + ".band");
    checks.text(data.points[i].name, field + ".name");
  }
  checks.limits(data.limits, data.points.size());
  for (std::size_t i = 0; i < data.marks.size(); ++i) {
    const std::string field = fmt::format("marks.{}", i + 1);
    checks.text(data.marks[i].words, field + ".words");
    const std::string_view own = word(data.marks[i].mark);
    if (!data.marks[i].words.empty() && !data.marks[i].words.starts_with(own)) {
      checks.add(invalid(field + ".words", fmt::format("\"{}\"", data.marks[i].words),
                         fmt::format("words that begin with \"{}\"", own)));
    }
    if (data.marks[i].at >= data.points.size()) {
      checks.add(
          invalid(field + ".at", fmt::format("{}", data.marks[i].at), fmt::format("0 to {}", data.points.size() - 1)));
    }
  }
  checks.size(data.size);
  if (!checks.state) return tl::unexpected(checks.state.error());

  const double text = data.size.text_size;
  const std::size_t last = data.points.size() - 1;
  Extent range;
  std::vector<std::string> names;
  for (const GradePoint& point : data.points) {
    names.push_back(point.name);
    range.take(point.value);
    if (point.band) {
      range.take(point.band->low);
      range.take(point.band->high);
    }
  }
  for (const GradeLimit& limit : data.limits) range.take(limit.value);

  // Words right of the plot; their y are values until the axis stands.
  std::vector<EndLabel> ends;
  for (const GradeLimit& limit : data.limits) {
    if (limit.last == last && !limit.words.empty()) ends.push_back(limit_label(limit, text));
  }
  const double value_size = text * 1.75;
  if (!data.end_value.empty()) {
    const TextStyle large{.size = value_size, .bold = true};
    const TextStyle small{.size = text};
    EndLabel end{.y = data.points[last].value, .mark = {}, .mark_words = {}};
    end.width = measure(data.end_value, large).width;
    end.height = value_size * 1.0;
    double baseline = value_size * 0.36;
    if (!data.end_note.empty()) {
      end.height += text * 1.35;
      baseline -= text * 0.675;
      end.width = std::max(end.width, measure(data.end_note, small).width);
    }
    end.texts.push_back({.at = {0.0, baseline}, .text = data.end_value, .style = large, .colour = Role::ink});
    if (!data.end_note.empty()) {
      end.texts.push_back(
          {.at = {0.0, baseline + text * 1.4}, .text = data.end_note, .style = small, .colour = Role::soft});
    }
    ends.push_back(std::move(end));
  }
  for (const GradeMark& mark : data.marks) {
    if (mark.at != last) continue;
    const Box box = mark_box(mark, text, {0.0, 0.0});
    ends.push_back({.y = data.points[last].value,
                    .height = text * 1.7,
                    .width = box.width(),
                    .mark = mark.mark,
                    .mark_words = mark_text(mark)});
  }

  Plot plot = lay_out(data.size, data.unit, names, range, ends);
  const double value_end = plot.right + text * 0.5;
  std::size_t limit_count = 0;
  for (const GradeLimit& limit : data.limits) {
    if (limit.last == last && !limit.words.empty()) ends[limit_count++].line_end_x = plot.right + text * 1.5;
  }
  for (std::size_t i = 0; i < ends.size(); ++i) {
    ends[i].y = plot.y(ends[i].y);
    if (i >= limit_count) ends[i].line_end_x = value_end;
  }

  LabelPlacer placer({.left = plot.left, .top = 0.0, .right = plot.right, .bottom = plot.bottom + text * 0.8});
  plot.keep_off_grid(placer);
  std::vector<Point> way;
  for (std::size_t i = 0; i <= last; ++i) way.push_back({plot.xs[i], plot.y(data.points[i].value)});
  for (std::size_t i = 0; i < last; ++i) placer.keep_off_line(way[i], way[i + 1]);
  for (const Point& at : way) {
    const double r = text * 0.5;
    placer.keep_off({.left = at.x - r, .top = at.y - r, .right = at.x + r, .bottom = at.y + r});
  }

  plot.group("5 to 95 in 100");
  std::vector<std::optional<ValueBand>> bands;
  bands.reserve(data.points.size());
  for (const GradePoint& point : data.points) bands.push_back(point.band);
  draw_band(plot, bands);
  plot.end_group();
  draw_limits(plot, data.limits, placer);
  plot.group("Grade line");
  plot.add(Polyline{.points = way, .stroke = {.colour = Role::accent, .width = text * 0.21}});
  for (std::size_t i = 0; i <= last; ++i) {
    const bool marked =
        std::any_of(data.marks.begin(), data.marks.end(), [&](const GradeMark& mark) { return mark.at == i; });
    plot.add(Circle{.centre = way[i],
                    .radius = text * (marked ? 0.38 : 0.23),
                    .stroke = {.colour = marked ? Role::ink : Role::accent, .width = text * (marked ? 0.17 : 0.14)},
                    .fill = Role::sheet});
  }
  plot.end_group();
  plot.group("Outcomes");
  for (const GradeMark& mark : data.marks) {
    if (mark.at == last) continue;
    const Point at = way[mark.at];
    const Box box = mark_box(mark, text, {0.0, 0.0});
    std::vector<Box> wishes;
    for (const double far : {0.8, 2.2, 3.6}) {
      for (const double aside : {0.5, 0.0, 1.0}) {
        const double x = at.x - box.width() * aside;
        const double above = at.y - text * far - box.height();
        const double below = at.y + text * far;
        wishes.push_back({.left = x, .top = below, .right = x + box.width(), .bottom = below + box.height()});
        wishes.push_back({.left = x, .top = above, .right = x + box.width(), .bottom = above + box.height()});
      }
    }
    const Box place = wishes[placer.place(wishes)];
    const bool under = place.top > at.y;
    const double mid = std::clamp(at.x, place.left, place.right);
    plot.add(Line{.from = {at.x, at.y + text * (under ? 0.4 : -0.4)},
                  .to = {mid, under ? place.top : place.bottom + text * 0.05},
                  .stroke = {.colour = Role::soft, .width = text * 0.07}});
    auto marked = marked_word(mark.mark, mark_text(mark), {place.left, place.top - box.top}, text);
    FW_EXPECTS(marked.has_value());
    for (Primitive& primitive : marked->primitives) plot.add(std::move(primitive));
  }
  plot.end_group();
  plot.group("At the end");
  draw_ends(plot, ends);
  plot.end_group();

  const int decimals = words_decimals(plot.ticks);
  plot.figure.title = data.title;
  std::string& words = plot.figure.description;
  words = fmt::format("In {}, along the way:", data.unit);
  for (std::size_t i = 0; i <= last; ++i) {
    words += fmt::format("{} {}: {}{}", i == 0 ? "" : ";", data.points[i].name,
                         tick_label(data.points[i].value, decimals), band_words(data.points[i].band, decimals));
  }
  words += ".";
  describe_limits(words, data.limits, decimals);
  for (const GradeMark& mark : data.marks) {
    words += fmt::format(" At {}: {}.", data.points[mark.at].name, mark_text(mark));
  }
  return plot.figure;
}

Result<Figure> comparison_figure(const ComparisonData& data) {
  if (auto fonts = load_fonts(); !fonts) return tl::unexpected(fonts.error());
  if (data.stations.size() < 2) {
    return invalid("stations", fmt::format("{}", data.stations.size()), "two places or more along the way");
  }
  if (data.sheets.empty() || data.sheets.size() > 3) {
    return invalid("sheets", fmt::format("{}", data.sheets.size()), "one to three line sheets");
  }
  Checks checks;
  checks.text(data.title, "title");
  checks.text(data.unit, "unit");
  for (std::size_t i = 0; i < data.stations.size(); ++i) {
    checks.text(data.stations[i], fmt::format("stations.{}", i + 1));
  }
  Extent range;
  std::size_t banded = 0;
  for (std::size_t k = 0; k < data.sheets.size(); ++k) {
    const ComparedSheet& sheet = data.sheets[k];
    const std::string field = fmt::format("sheets.{}", k + 1);
    checks.text(sheet.words, field + ".words");
    checks.text(sheet.end_value, field + ".end_value");
    for (std::size_t other = 0; other < k; ++other) {
      if (data.sheets[other].sheet == sheet.sheet) {
        checks.add(invalid(field + ".sheet", "the same sheet twice", "as designed, as found, as rebuilt once each"));
      }
    }
    if (sheet.values.size() != data.stations.size()) {
      checks.add(invalid(field + ".values", fmt::format("{} values", sheet.values.size()),
                         fmt::format("{}, one per station", data.stations.size())));
    }
    if (!sheet.bands.empty() && sheet.bands.size() != data.stations.size()) {
      checks.add(invalid(field + ".bands", fmt::format("{} bands", sheet.bands.size()),
                         fmt::format("none or {}", data.stations.size())));
    }
    if (!checks.state) return tl::unexpected(checks.state.error());
    std::size_t present = 0;
    for (std::size_t i = 0; i < sheet.values.size(); ++i) {
      if (!sheet.values[i]) continue;
      ++present;
      checks.finite(*sheet.values[i], fmt::format("{}.values.{}", field, i + 1));
      if (!sheet.bands.empty()) checks.band(sheet.bands[i], fmt::format("{}.bands.{}", field, i + 1));
      if (!checks.state) return tl::unexpected(checks.state.error());
      range.take(*sheet.values[i]);
      if (!sheet.bands.empty() && sheet.bands[i]) {
        range.take(sheet.bands[i]->low);
        range.take(sheet.bands[i]->high);
      }
    }
    if (present < 2) checks.add(invalid(field + ".values", fmt::format("{} values", present), "two or more"));
    if (!sheet.bands.empty()) ++banded;
  }
  if (banded > 1) checks.add(invalid("sheets", fmt::format("bands for {} sheets", banded), "bands for one sheet"));
  checks.limits(data.limits, data.stations.size());
  checks.size(data.size);
  if (!checks.state) return tl::unexpected(checks.state.error());

  const double text = data.size.text_size;
  const std::size_t last = data.stations.size() - 1;
  for (const GradeLimit& limit : data.limits) range.take(limit.value);
  std::vector<EndLabel> ends;
  std::vector<double> end_places;  // fraction of the way at which the label's line ends
  for (const GradeLimit& limit : data.limits) {
    if (limit.last == last && !limit.words.empty()) ends.push_back(limit_label(limit, text));
  }
  const std::size_t limit_count = ends.size();
  for (const ComparedSheet& sheet : data.sheets) {
    std::size_t at = last;
    while (!sheet.values[at]) --at;
    const bool heavy = sheet.sheet == Sheet::as_rebuilt;
    const TextStyle value_style{.size = text * (heavy ? 1.45 : 1.15), .bold = heavy};
    const TextStyle word_style{.size = text, .bold = heavy};
    EndLabel end{.y = *sheet.values[at], .mark = {}, .mark_words = {}};
    const TextSize words = measure(sheet.words, word_style);
    end.height = std::max(words.ascent + words.descent, value_style.size * 1.05);
    double x = 0.0;
    if (!sheet.end_value.empty()) {
      end.texts.push_back(
          {.at = {0.0, value_style.size * 0.36}, .text = sheet.end_value, .style = value_style, .colour = Role::ink});
      x = measure(sheet.end_value, value_style).width + text * 0.6;
    }
    end.texts.push_back(
        {.at = {x, value_style.size * 0.36}, .text = sheet.words, .style = word_style, .colour = Role::ink});
    end.width = x + words.width;
    ends.push_back(std::move(end));
    end_places.push_back(static_cast<double>(at) / static_cast<double>(last));
  }
  Plot plot = lay_out(data.size, data.unit, data.stations, range, ends);
  for (std::size_t i = 0; i < ends.size(); ++i) {
    ends[i].y = plot.y(ends[i].y);
    ends[i].line_end_x = i < limit_count
                             ? plot.right + text * 1.5
                             : plot.left + (plot.right - plot.left) * end_places[i - limit_count] + text * 0.4;
  }
  LabelPlacer placer({.left = plot.left, .top = 0.0, .right = plot.right, .bottom = plot.bottom + text * 0.8});
  plot.keep_off_grid(placer);
  std::vector<std::vector<Point>> ways;
  for (const ComparedSheet& sheet : data.sheets) {
    // Where a sheet has no part, nothing changes the pressure: the line stays level.
    std::vector<Point> way;
    std::size_t end = last;
    while (!sheet.values[end]) --end;
    std::optional<double> value;
    for (std::size_t i = 0; i <= end; ++i) {
      if (sheet.values[i]) value = sheet.values[i];
      if (value) way.push_back({plot.xs[i], plot.y(*value)});
    }
    for (std::size_t i = 0; i + 1 < way.size(); ++i) placer.keep_off_line(way[i], way[i + 1]);
    ways.push_back(std::move(way));
  }
  for (const ComparedSheet& sheet : data.sheets) {
    if (!sheet.bands.empty()) {
      plot.group("5 to 95 in 100, " + sheet.words);
      std::vector<std::optional<ValueBand>> bands = sheet.bands;
      std::size_t end = last;
      while (!sheet.values[end]) --end;
      for (std::size_t i = 1; i <= end; ++i) {
        if (!sheet.values[i]) bands[i] = bands[i - 1];
      }
      draw_band(plot, bands);
      plot.end_group();
    }
  }
  draw_limits(plot, data.limits, placer);
  // The heaviest line last, so that thin ones stay under it where they meet.
  for (const Sheet which : {Sheet::as_designed, Sheet::as_found, Sheet::as_rebuilt}) {
    for (std::size_t k = 0; k < data.sheets.size(); ++k) {
      if (data.sheets[k].sheet != which) continue;
      plot.group(data.sheets[k].words);
      plot.add(Polyline{.points = ways[k], .stroke = stroke_of(which, text)});
      plot.add(Circle{.centre = ways[k].back(),
                      .radius = text * 0.26,
                      .stroke = {.colour = stroke_of(which, text).colour, .width = text * 0.12},
                      .fill = Role::sheet});
      plot.end_group();
    }
  }
  plot.group("At the end");
  draw_ends(plot, ends);
  plot.end_group();

  const int decimals = words_decimals(plot.ticks);
  plot.figure.title = data.title;
  std::string& words = plot.figure.description;
  words = fmt::format("In {}, along the way.", data.unit);
  for (const ComparedSheet& sheet : data.sheets) {
    words += fmt::format(" Sheet {}:", sheet.words);
    bool first = true;
    for (std::size_t i = 0; i <= last; ++i) {
      if (!sheet.values[i]) continue;
      words += fmt::format("{} {}: {}{}", first ? "" : ";", data.stations[i], tick_label(*sheet.values[i], decimals),
                           sheet.bands.empty() ? std::string() : band_words(sheet.bands[i], decimals));
      first = false;
    }
    words += ".";
  }
  describe_limits(words, data.limits, decimals);
  return plot.figure;
}

MergedStations merge_stations(const std::vector<std::vector<std::string>>& sheets) {
  MergedStations merged;
  for (const auto& sheet : sheets) {
    const std::vector<std::string> before = merged.stations;
    const std::size_t n = before.size();
    const std::size_t m = sheet.size();
    // common[i][j]: length of the longest common subsequence of before[i..] and sheet[j..].
    std::vector<std::vector<std::size_t>> common(n + 1, std::vector<std::size_t>(m + 1, 0));
    for (std::size_t i = n; i-- > 0;) {
      for (std::size_t j = m; j-- > 0;) {
        common[i][j] = before[i] == sheet[j] ? common[i + 1][j + 1] + 1 : std::max(common[i + 1][j], common[i][j + 1]);
      }
    }
    std::vector<std::string> stations;
    std::vector<std::size_t> went(n);
    std::vector<std::size_t> places;
    std::size_t i = 0;
    std::size_t j = 0;
    while (i < n || j < m) {
      if (i < n && j < m && before[i] == sheet[j]) {
        went[i++] = stations.size();
        places.push_back(stations.size());
        stations.push_back(sheet[j++]);
      } else if (j == m || (i < n && common[i + 1][j] >= common[i][j + 1])) {
        went[i] = stations.size();
        stations.push_back(before[i++]);
      } else {
        places.push_back(stations.size());
        stations.push_back(sheet[j++]);
      }
    }
    for (auto& earlier : merged.places) {
      for (std::size_t& place : earlier) place = went[place];
    }
    merged.places.push_back(std::move(places));
    merged.stations = std::move(stations);
  }
  return merged;
}

}  // namespace fw::report
