// SPDX-License-Identifier: Apache-2.0
#include "report/figure_strips.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "report/figure_axis.hpp"
#include "report/font.hpp"

namespace fw::report {
namespace {

Result<void> check_size(const FigureSize& size) {
  if (std::isfinite(size.width) && std::isfinite(size.text_size) && size.text_size >= 2.0 &&
      size.width >= 30.0 * size.text_size) {
    return {};
  }
  return invalid("size", fmt::format("{} wide, text {}", size.width, size.text_size),
                 "text of 2 or more, a width of 30 times the text or more");
}

Result<void> check_finite(double value, const std::string& field) {
  if (std::isfinite(value)) return {};
  return invalid(field, fmt::format("{}", value), "a finite number");
}

}  // namespace

Result<Figure> strips_figure(const StripsData& data) {
  if (auto fonts = load_fonts(); !fonts) return tl::unexpected(fonts.error());
  if (auto ok = check_size(data.size); !ok) return tl::unexpected(ok.error());
  if (data.strips.empty()) return invalid("strips", "none", "one input or more");
  if (auto ok = check_finite(data.nominal, "nominal"); !ok) return tl::unexpected(ok.error());
  if (data.band) {
    for (const double end : {data.band->low, data.band->high}) {
      if (auto ok = check_finite(end, "band"); !ok) return tl::unexpected(ok.error());
    }
    if (data.band->low > data.band->high) {
      return invalid("band", fmt::format("{} to {}", data.band->low, data.band->high), "the lower bound first");
    }
  }
  if (data.limit) {
    if (auto ok = check_finite(*data.limit, "limit"); !ok) return tl::unexpected(ok.error());
  }
  for (const std::string* words : {&data.title, &data.unit, &data.nominal_words, &data.limit_words}) {
    if (auto ok = check_glyphs(*words, {}, "title"); !ok) return tl::unexpected(ok.error());
  }
  for (std::size_t i = 0; i < data.strips.size(); ++i) {
    const Strip& strip = data.strips[i];
    const std::string field = fmt::format("strips.{}", i + 1);
    if (auto ok = check_finite(strip.at_low, field + ".at_low"); !ok) return tl::unexpected(ok.error());
    if (auto ok = check_finite(strip.at_high, field + ".at_high"); !ok) return tl::unexpected(ok.error());
    for (const std::string* words : {&strip.name, &strip.low_words, &strip.high_words, &strip.note}) {
      if (auto ok = check_glyphs(*words, {}, field); !ok) return tl::unexpected(ok.error());
    }
  }

  const double u = data.size.text_size;
  const TextStyle plain{.size = u};
  const TextStyle small{.size = 0.88 * u};
  double low = data.limit ? std::min(data.nominal, *data.limit) : data.nominal;
  double high = data.limit ? std::max(data.nominal, *data.limit) : data.nominal;
  if (data.band) {
    low = std::min(low, data.band->low);
    high = std::max(high, data.band->high);
  }
  double names = measure(data.unit, plain).width;
  double ends = 0.0;
  for (const Strip& strip : data.strips) {
    low = std::min({low, strip.at_low, strip.at_high});
    high = std::max({high, strip.at_low, strip.at_high});
    names = std::max({names, measure(strip.name, plain).width, measure(strip.note, small).width});
    ends = std::max({ends, measure(strip.low_words, small).width, measure(strip.high_words, small).width});
  }
  // The words at the ends stand outside the strips, on either side.
  const double left = names + 1.4 * u + ends + 0.9 * u;
  const double width = std::max(data.size.width, left + 18.0 * u + ends + 0.9 * u);
  const double right = width - ends - 0.9 * u;
  const Ticks ticks =
      round_ticks({.low = low, .high = high}, std::max(2, static_cast<int>((right - left) / (6.0 * u))));
  const auto x = [&](double value) { return left + (value - ticks.low) / (ticks.high - ticks.low) * (right - left); };
  Figure figure{.width = width, .height = 1.0, .title = data.title, .description = {}};
  const auto add = [&](Primitive primitive) { figure.primitives.push_back(std::move(primitive)); };

  const double pitch = 3.0 * u;
  const bool two_lines =
      data.limit && !data.limit_words.empty() && !data.nominal_words.empty() &&
      std::abs(x(data.nominal) - x(*data.limit)) <
          (measure(data.nominal_words, {.size = u, .bold = true}).width + measure(data.limit_words, plain).width) /
                  2.0 +
              1.0 * u;
  // Where the words of the two upright lines would touch they stand side by side, away from each other, if there is
  // room.
  const double nominal_width = measure(data.nominal_words, {.size = u, .bold = true}).width;
  const double limit_width = measure(data.limit_words, plain).width;
  const bool limit_first = data.limit && *data.limit < data.nominal;
  const double middle = data.limit ? 0.5 * (x(data.nominal) + x(*data.limit)) : 0.0;
  const double apart = data.limit ? std::max(0.5 * u, 0.5 * std::abs(x(data.nominal) - x(*data.limit))) : 0.0;
  const bool flanked = two_lines && middle - apart - (limit_first ? limit_width : nominal_width) > 0.0 &&
                       middle + apart + (limit_first ? nominal_width : limit_width) < width;
  const double top = (two_lines && !flanked ? 3.0 : 1.7) * u;
  const double bottom = top + pitch * static_cast<double>(data.strips.size());
  if (data.band) {
    add(Rectangle{.corner = {x(data.band->low), top},
                  .width = x(data.band->high) - x(data.band->low),
                  .height = bottom - top,
                  .stroke = {},
                  .fill = Role::wash});
  }
  add(GroupBegin{.title = data.unit.empty() ? "Value axis" : "Axis in " + data.unit, .description = {}});
  for (const double tick : ticks.values) {
    add(Line{.from = {x(tick), top},
             .to = {x(tick), bottom + 0.4 * u},
             .stroke = {.colour = Role::hairline, .width = 0.085 * u}});
    add(Text{.at = {x(tick), bottom + 1.5 * u},
             .text = tick_label(tick, ticks.decimals),
             .style = plain,
             .colour = Role::soft,
             .anchor = Anchor::middle});
  }
  add(Text{.at = {0.0, bottom + 1.5 * u}, .text = data.unit, .style = plain, .colour = Role::soft});
  add(GroupEnd{});
  // Words over the upright lines stay inside the figure.
  const auto over = [&](const std::string& words, double at, double y, const TextStyle& style) {
    if (flanked) {
      const bool first = limit_first == (&words == &data.limit_words);
      add(Text{.at = {first ? middle - apart : middle + apart, y},
               .text = words,
               .style = style,
               .anchor = first ? Anchor::end : Anchor::start});
      return;
    }
    // The limit's line gives way where it passes words below its own.
    const double half = measure(words, style).width / 2.0;
    const double centre = std::clamp(at, half, width - half);
    add(Rectangle{.corner = {centre - half - 0.2 * u, y - 0.9 * u},
                  .width = 2.0 * half + 0.4 * u,
                  .height = 1.2 * u,
                  .stroke = {},
                  .fill = Role::sheet});
    add(Text{.at = {centre, y}, .text = words, .style = style, .anchor = Anchor::middle});
  };
  add(GroupBegin{.title = "Most likely and limit", .description = {}});
  if (data.limit) {
    const double up = two_lines && !flanked ? 1.35 * u : 0.0;
    add(Line{.from = {x(*data.limit), top - 0.4 * u - up},
             .to = {x(*data.limit), bottom},
             .stroke = {.colour = Role::ink, .width = 0.17 * u, .dash = {0.62 * u, 0.36 * u}}});
    if (!data.limit_words.empty()) over(data.limit_words, x(*data.limit), top - 0.75 * u - up, plain);
  }
  add(Line{.from = {x(data.nominal), top - 0.4 * u},
           .to = {x(data.nominal), bottom},
           .stroke = {.colour = Role::ink, .width = 0.1 * u}});
  if (!data.nominal_words.empty()) over(data.nominal_words, x(data.nominal), top - 0.75 * u, {.size = u, .bold = true});
  add(GroupEnd{});
  const int decimals = std::min(ticks.decimals + 1, 9);
  figure.description = fmt::format("In {}; most likely {}.", data.unit, tick_label(data.nominal, decimals));
  if (data.band) {
    figure.description += fmt::format(" Nine in ten between {} and {}.", tick_label(data.band->low, decimals),
                                      tick_label(data.band->high, decimals));
  }
  if (data.limit) figure.description += fmt::format(" Limit {}.", tick_label(*data.limit, decimals));
  for (std::size_t i = 0; i < data.strips.size(); ++i) {
    const Strip& strip = data.strips[i];
    const double y = top + pitch * (static_cast<double>(i) + 0.5);
    add(GroupBegin{.title = strip.name, .description = {}});
    const double name_y = strip.note.empty() ? y + 0.36 * u : y - 0.15 * u;
    add(Text{.at = {0.0, name_y}, .text = strip.name, .style = plain, .colour = Role::ink});
    if (!strip.note.empty()) {
      add(Text{.at = {0.0, name_y + 1.15 * u}, .text = strip.note, .style = small, .colour = Role::soft});
    }
    const double a = x(strip.at_low);
    const double b = x(strip.at_high);
    add(Line{.from = {a, y}, .to = {b, y}, .stroke = {.colour = Role::accent, .width = 0.5 * u}});
    add(Circle{.centre = {a, y},
               .radius = 0.38 * u,
               .stroke = {.colour = Role::accent, .width = 0.14 * u},
               .fill = Role::sheet});
    add(Circle{.centre = {b, y},
               .radius = 0.38 * u,
               .stroke = {.colour = Role::accent, .width = 0.14 * u},
               .fill = Role::accent});
    const bool rising = b >= a;
    const auto beside = [&](const std::string& words, double at, bool on_left) {
      if (words.empty()) return;
      // The upright lines give way to the words.
      const double reach = measure(words, small).width + 0.3 * u;
      const double from = on_left ? at - 0.65 * u - reach : at + 0.65 * u;
      add(Rectangle{
          .corner = {from, y - 0.6 * u}, .width = reach, .height = 1.2 * u, .stroke = {}, .fill = Role::sheet});
      add(Text{.at = {at + (on_left ? -0.8 * u : 0.8 * u), y + 0.32 * u},
               .text = words,
               .style = small,
               .colour = Role::soft,
               .anchor = on_left ? Anchor::end : Anchor::start});
    };
    beside(strip.low_words, a, rising);
    beside(strip.high_words, b, !rising);
    add(GroupEnd{});
    figure.description += fmt::format(" {}: {} at {}, {} at {}{}.", strip.name, tick_label(strip.at_low, decimals),
                                      strip.low_words, tick_label(strip.at_high, decimals), strip.high_words,
                                      strip.note.empty() ? std::string() : "; " + strip.note);
  }
  figure.height = bottom + 2.1 * u;
  return figure;
}

Result<Figure> intervals_figure(const IntervalsData& data) {
  if (auto fonts = load_fonts(); !fonts) return tl::unexpected(fonts.error());
  if (auto ok = check_size(data.size); !ok) return tl::unexpected(ok.error());
  if (data.intervals.empty()) return invalid("intervals", "none", "one chance or more");
  if (auto ok = check_glyphs(data.title, {}, "title"); !ok) return tl::unexpected(ok.error());
  const double u = data.size.text_size;
  const TextStyle plain{.size = u};
  const TextStyle small{.size = 0.88 * u};
  double names = 0.0;
  double ends = 0.0;
  for (std::size_t i = 0; i < data.intervals.size(); ++i) {
    const Interval& one = data.intervals[i];
    const std::string field = fmt::format("intervals.{}", i + 1);
    for (const double value : {one.value, one.band.low, one.band.high}) {
      if (auto ok = check_finite(value, field); !ok) return tl::unexpected(ok.error());
    }
    if (one.band.low < 0.0 || one.band.high > 1.0 || one.band.low > one.value || one.band.high < one.value) {
      return invalid(field, fmt::format("{} of {} to {}", one.value, one.band.low, one.band.high),
                     "a chance of 0 to 1 within its band");
    }
    for (const std::string* words : {&one.name, &one.words, &one.note}) {
      if (auto ok = check_glyphs(*words, {}, field); !ok) return tl::unexpected(ok.error());
    }
    names = std::max({names, measure(one.name, plain).width, measure(one.note, small).width});
    ends = std::max(ends, measure(one.words, plain).width);
  }
  constexpr double least_plot = 12.0;  // of the text size
  const double left = names + 1.6 * u;
  const double width = std::max(data.size.width, left + least_plot * u + 1.2 * u + ends);
  const double right = width - ends - 1.2 * u;
  const auto x = [&](double chance) { return left + chance * (right - left); };
  Figure figure{.width = width, .height = 1.0, .title = data.title, .description = "Chances in 100."};
  const auto add = [&](Primitive primitive) { figure.primitives.push_back(std::move(primitive)); };
  const bool notes = std::ranges::any_of(data.intervals, [](const Interval& one) { return !one.note.empty(); });
  const double pitch = (notes ? 3.0 : 2.0) * u;
  const double top = 0.4 * u;
  const double bottom = top + pitch * static_cast<double>(data.intervals.size());
  add(GroupBegin{.title = "Axis, in 100", .description = {}});
  for (const int tick : {0, 25, 50, 75, 100}) {
    add(Line{.from = {x(tick / 100.0), top},
             .to = {x(tick / 100.0), bottom + 0.4 * u},
             .stroke = {.colour = Role::hairline, .width = 0.085 * u}});
    add(Text{.at = {x(tick / 100.0), bottom + 1.5 * u},
             .text = fmt::format("{}", tick),
             .style = plain,
             .colour = Role::soft,
             .anchor = Anchor::middle});
  }
  add(Text{.at = {0.0, bottom + 1.5 * u}, .text = "in 100", .style = plain, .colour = Role::soft});
  add(GroupEnd{});
  for (std::size_t i = 0; i < data.intervals.size(); ++i) {
    const Interval& one = data.intervals[i];
    const double y = top + pitch * (static_cast<double>(i) + 0.5);
    add(GroupBegin{.title = one.name, .description = {}});
    const double name_y = one.note.empty() ? y + 0.36 * u : y - 0.15 * u;
    add(Text{.at = {0.0, name_y}, .text = one.name, .style = plain, .colour = Role::ink});
    if (!one.note.empty()) {
      add(Text{.at = {0.0, name_y + 1.15 * u}, .text = one.note, .style = small, .colour = Role::soft});
    }
    add(Line{.from = {x(one.band.low), y},
             .to = {x(one.band.high), y},
             .stroke = {.colour = Role::accent, .width = 0.3 * u}});
    for (const double end : {one.band.low, one.band.high}) {
      add(Line{.from = {x(end), y - 0.4 * u},
               .to = {x(end), y + 0.4 * u},
               .stroke = {.colour = Role::accent, .width = 0.14 * u}});
    }
    add(Circle{.centre = {x(one.value), y}, .radius = 0.45 * u, .stroke = {}, .fill = Role::accent});
    add(Text{.at = {right + 1.2 * u, y + 0.36 * u}, .text = one.words, .style = plain, .colour = Role::ink});
    add(GroupEnd{});
    figure.description += fmt::format(" {}: {}{}.", one.name, one.words, one.note.empty() ? "" : "; " + one.note);
  }
  figure.height = bottom + 2.1 * u;
  return figure;
}

Result<Figure> for_against_figure(const ForAgainstData& data) {
  if (auto fonts = load_fonts(); !fonts) return tl::unexpected(fonts.error());
  if (auto ok = check_size(data.size); !ok) return tl::unexpected(ok.error());
  if (data.findings.empty()) return invalid("findings", "none", "one finding or more");
  if (auto ok = check_glyphs(data.title, {}, "title"); !ok) return tl::unexpected(ok.error());
  const double u = data.size.text_size;
  const TextStyle plain{.size = u};
  double names = 0.0;
  double ends = 0.0;
  // Odds times 2 at least, so that nothing is blown up to the width of the page.
  double most = std::log(2.0);
  for (std::size_t i = 0; i < data.findings.size(); ++i) {
    const ForAgainst& one = data.findings[i];
    const std::string field = fmt::format("findings.{}", i + 1);
    if (auto ok = check_finite(one.log_odds, field + ".log_odds"); !ok) return tl::unexpected(ok.error());
    for (const std::string* words : {&one.name, &one.words}) {
      if (auto ok = check_glyphs(*words, {}, field); !ok) return tl::unexpected(ok.error());
    }
    most = std::max(most, std::abs(one.log_odds));
    names = std::max(names, measure(one.name, plain).width);
    ends = std::max(ends, measure(one.words, plain).width);
  }
  constexpr double least_plot = 12.0;  // of the text size
  const double left = names + 1.6 * u;
  const double width = std::max(data.size.width, left + least_plot * u + 1.2 * u + ends);
  const double right = width - ends - 1.2 * u;
  const double middle = 0.5 * (left + right);
  const auto x = [&](double log_odds) { return middle + log_odds / most * 0.5 * (right - left); };
  Figure figure{
      .width = width, .height = 1.0, .title = data.title, .description = "Against on the left, for on the right."};
  const auto add = [&](Primitive primitive) { figure.primitives.push_back(std::move(primitive)); };
  const double pitch = 2.0 * u;
  const double top = 1.7 * u;
  const double bottom = top + pitch * static_cast<double>(data.findings.size());
  add(Text{.at = {middle - 0.6 * u, 1.0 * u},
           .text = "against",
           .style = plain,
           .colour = Role::soft,
           .anchor = Anchor::end});
  add(Text{.at = {middle + 0.6 * u, 1.0 * u}, .text = "for", .style = plain, .colour = Role::soft});
  add(Line{.from = {middle, top - 0.4 * u}, .to = {middle, bottom}, .stroke = {.colour = Role::ink, .width = 0.1 * u}});
  for (std::size_t i = 0; i < data.findings.size(); ++i) {
    const ForAgainst& one = data.findings[i];
    const double y = top + pitch * (static_cast<double>(i) + 0.5);
    add(GroupBegin{.title = one.name, .description = {}});
    add(Text{.at = {0.0, y + 0.36 * u}, .text = one.name, .style = plain, .colour = Role::ink});
    add(Line{.from = {middle, y},
             .to = {x(one.log_odds), y},
             .stroke = {.colour = one.log_odds > 0.0 ? Role::accent : Role::soft, .width = 0.7 * u}});
    add(Text{.at = {right + 1.2 * u, y + 0.36 * u}, .text = one.words, .style = plain, .colour = Role::ink});
    add(GroupEnd{});
    figure.description += fmt::format(" {}: {} ({}).", one.name, one.words, one.log_odds > 0.0 ? "for" : "against");
  }
  figure.height = bottom + 0.6 * u;
  return figure;
}

Result<Figure> coverage_figure(const CoverageData& data) {
  if (auto fonts = load_fonts(); !fonts) return tl::unexpected(fonts.error());
  if (auto ok = check_size(data.size); !ok) return tl::unexpected(ok.error());
  if (data.places.size() < 2) return invalid("places", fmt::format("{}", data.places.size()), "two places or more");
  if (data.rows.empty()) return invalid("rows", "none", "one protection or more");
  if (auto ok = check_glyphs(data.title, {}, "title"); !ok) return tl::unexpected(ok.error());
  for (const std::string& place : data.places) {
    if (auto ok = check_glyphs(place, {}, "places"); !ok) return tl::unexpected(ok.error());
  }
  const std::size_t last = data.places.size() - 1;
  for (std::size_t r = 0; r < data.rows.size(); ++r) {
    const CoverRow& row = data.rows[r];
    const std::string field = fmt::format("rows.{}", r + 1);
    if (auto ok = check_glyphs(row.name, {}, field + ".name"); !ok) return tl::unexpected(ok.error());
    std::size_t reached = 0;
    for (std::size_t i = 0; i < row.spans.size(); ++i) {
      const CoverSpan& span = row.spans[i];
      const std::string where = fmt::format("{}.spans.{}", field, i + 1);
      if (auto ok = check_glyphs(span.words, {}, where); !ok) return tl::unexpected(ok.error());
      if (span.first >= span.last || span.last > last || span.first < reached) {
        return invalid(where, fmt::format("places {} to {}", span.first, span.last),
                       fmt::format("spans in order, within {} to {}, none over another", reached, last));
      }
      reached = span.last;
    }
    for (const CoverMark& mark : row.marks) {
      if (auto ok = check_glyphs(mark.words, {}, field + ".marks"); !ok) return tl::unexpected(ok.error());
      if (mark.at > last) {
        return invalid(field + ".marks", fmt::format("place {}", mark.at), fmt::format("0 to {}", last));
      }
    }
  }

  const double u = data.size.text_size;
  const TextStyle plain{.size = u};
  double names = 0.0;
  for (const CoverRow& row : data.rows) names = std::max(names, measure(row.name, plain).width);
  const double left = names + 1.6 * u;
  const auto places = static_cast<double>(last);
  const double margin = name_margin(data.places, data.size.width - left, 0.6 * u, plain);
  const double right = data.size.width - margin;
  std::vector<double> xs;
  for (std::size_t i = 0; i <= last; ++i) xs.push_back(left + (right - left) * static_cast<double>(i) / places);
  Figure figure{.width = data.size.width, .height = 1.0, .title = data.title, .description = {}};
  const auto add = [&](Primitive primitive) { figure.primitives.push_back(std::move(primitive)); };

  double y = 0.4 * u;
  for (const CoverRow& row : data.rows) {
    add(GroupBegin{.title = row.name, .description = {}});
    // Words of spans over the track, words of marks under it; each line spread so that none touch.
    std::vector<SpreadLabel> over;
    std::vector<std::string> over_words;
    for (const CoverSpan& span : row.spans) {
      if (span.words.empty()) continue;
      over.push_back({.at = 0.5 * (xs[span.first] + xs[span.last]), .size = measure(span.words, plain).width});
      over_words.push_back(span.words);
    }
    std::vector<SpreadLabel> under;
    std::vector<std::string> under_words;
    std::vector<double> under_at;
    for (const CoverMark& mark : row.marks) {
      if (mark.words.empty()) continue;
      under.push_back({.at = xs[mark.at], .size = measure(mark.words, plain).width});
      under_words.push_back(mark.words);
      under_at.push_back(xs[mark.at]);
    }
    // Labels that one line cannot hold take turns on two.
    const auto levels = [&](const std::vector<SpreadLabel>& labels) {
      double sum = 0.0;
      for (const SpreadLabel& label : labels) sum += label.size + 0.9 * u;
      return sum > data.size.width - left ? 2 : 1;
    };
    const auto lines = [&](const std::vector<SpreadLabel>& labels, int count) {
      std::vector<double> centres(labels.size(), 0.0);
      for (int level = 0; level < count; ++level) {
        std::vector<SpreadLabel> mine;
        std::vector<std::size_t> index;
        for (std::size_t i = 0; i < labels.size(); ++i) {
          if (static_cast<int>(i) % count != level) continue;
          mine.push_back(labels[i]);
          index.push_back(i);
        }
        const auto found = spread_labels(mine, {.low = left, .high = data.size.width, .gap = 0.9 * u});
        for (std::size_t k = 0; k < index.size(); ++k) centres[index[k]] = found[k];
      }
      return centres;
    };
    const int over_levels = over.empty() ? 0 : levels(over);
    const int under_levels = under.empty() ? 0 : levels(under);
    const double track = y + (0.9 + 1.25 * over_levels) * u;
    add(Text{.at = {0.0, track + 0.36 * u}, .text = row.name, .style = plain, .colour = Role::ink});
    // The bare way first, protections on it.
    add(Line{.from = {xs.front(), track},
             .to = {xs.back(), track},
             .stroke = {.colour = Role::soft, .width = 0.1 * u, .dash = {0.1 * u, 0.35 * u}}});
    for (const CoverSpan& span : row.spans) {
      if (span.cover == Cover::none) continue;
      const bool full = span.cover == Cover::full;
      add(Line{.from = {xs[span.first], track},
               .to = {xs[span.last], track},
               .stroke = {.colour = Role::accent, .width = (full ? 0.62 : 0.2) * u}});
    }
    for (const CoverSpan& span : row.spans) {
      for (const std::size_t end : {span.first, span.last}) {
        add(Line{.from = {xs[end], track - 0.55 * u},
                 .to = {xs[end], track + 0.55 * u},
                 .stroke = {.colour = Role::ink, .width = 0.085 * u}});
      }
    }
    const auto over_at = lines(over, std::max(1, over_levels));
    for (std::size_t i = 0; i < over.size(); ++i) {
      const int level = over_levels == 2 ? static_cast<int>(i) % 2 : 0;
      const double base = track - (0.85 + 1.25 * level) * u;
      add(Text{.at = {over_at[i], base},
               .text = over_words[i],
               .style = plain,
               .colour = Role::ink,
               .anchor = Anchor::middle});
    }
    for (const CoverMark& mark : row.marks) {
      const double x = xs[mark.at];
      add(Circle{.centre = {x, track},
                 .radius = 0.6 * u,
                 .stroke = {.colour = Role::ink, .width = 0.12 * u},
                 .fill = Role::sheet});
      if (mark.works) {
        add(Circle{.centre = {x, track}, .radius = 0.26 * u, .stroke = {}, .fill = Role::ink});
      } else {
        const double arm = 0.42 * u;
        const Stroke stroke{.colour = Role::ink, .width = 0.12 * u};
        add(Line{.from = {x - arm, track - arm}, .to = {x + arm, track + arm}, .stroke = stroke});
        add(Line{.from = {x - arm, track + arm}, .to = {x + arm, track - arm}, .stroke = stroke});
      }
    }
    const auto under_centre = lines(under, std::max(1, under_levels));
    for (std::size_t i = 0; i < under.size(); ++i) {
      const int level = under_levels == 2 ? static_cast<int>(i) % 2 : 0;
      const double base = track + (1.75 + 1.25 * level) * u;
      if (std::abs(under_centre[i] - under_at[i]) > under[i].size / 2.0) {
        add(Line{.from = {under_at[i], track + 0.65 * u},
                 .to = {under_centre[i], base - 0.85 * u},
                 .stroke = {.colour = Role::soft, .width = 0.07 * u}});
      }
      add(Text{.at = {under_centre[i], base},
               .text = under_words[i],
               .style = plain,
               .colour = Role::soft,
               .anchor = Anchor::middle});
    }
    add(GroupEnd{});
    y = track + (1.5 + 1.25 * under_levels + (under_levels > 0 ? 0.4 : 0.0)) * u;
    figure.description += fmt::format("{}{}:", figure.description.empty() ? "" : " ", row.name);
    bool first = true;
    for (const CoverSpan& span : row.spans) {
      const char* how = span.cover == Cover::full     ? "covered"
                        : span.cover == Cover::partly ? "partly covered"
                                                      : "not covered";
      figure.description +=
          fmt::format("{} {} to {} {}{}", first ? "" : ";", data.places[span.first], data.places[span.last], how,
                      span.words.empty() ? std::string() : " (" + span.words + ")");
      first = false;
    }
    for (const CoverMark& mark : row.marks) {
      figure.description += fmt::format("{} {} at {}", first ? "" : ";",
                                        mark.words.empty() ? (mark.works ? "works" : "senses nothing") : mark.words,
                                        data.places[mark.at]);
      first = false;
    }
    figure.description += ".";
  }
  add(GroupBegin{.title = "Places along the way", .description = {}});
  NameRow row = name_row(data.places, xs, y + 0.3 * u, plain);
  for (Primitive& primitive : row.primitives) add(std::move(primitive));
  add(GroupEnd{});
  figure.height = y + 0.3 * u + row.depth + 0.3 * u;
  return figure;
}

}  // namespace fw::report
