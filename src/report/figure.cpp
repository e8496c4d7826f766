// SPDX-License-Identifier: Apache-2.0
#include "report/figure.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "base/contract.hpp"
#include "report/font.hpp"
#include "report/text_block.hpp"

namespace fw::report {
namespace {

/// Least and greatest projection of the corners on an axis.
struct Reach {
  double low = 0.0;
  double high = 0.0;
};

Reach project(const Corners& box, Point axis) {
  Reach span{.low = box[0].x * axis.x + box[0].y * axis.y, .high = box[0].x * axis.x + box[0].y * axis.y};
  for (const Point& p : box) {
    const double along = p.x * axis.x + p.y * axis.y;
    span.low = std::min(span.low, along);
    span.high = std::max(span.high, along);
  }
  return span;
}

Point edge_axis(const Corners& box, std::size_t from, std::size_t to) {
  const double dx = box[to].x - box[from].x;
  const double dy = box[to].y - box[from].y;
  const double length = std::hypot(dx, dy);
  if (length < 1e-12) return {1.0, 0.0};
  return {dx / length, dy / length};
}

Result<void> check_number(double value, const std::string& field) {
  if (std::isfinite(value)) return {};
  return invalid(field, fmt::format("{}", value), "a finite number");
}

Result<void> check_size(double value, const std::string& field) {
  if (std::isfinite(value) && value >= 0.0) return {};
  return invalid(field, fmt::format("{}", value), "a size of zero or more");
}

Result<void> check_stroke(const Stroke& stroke, const std::string& field) {
  if (auto ok = check_size(stroke.width, field + ".width"); !ok) return ok;
  for (const double dash : stroke.dash) {
    if (!std::isfinite(dash) || dash <= 0.0) {
      return invalid(field + ".dash", fmt::format("{}", dash), "dash lengths above zero");
    }
  }
  return {};
}

struct Checker {
  std::string field;
  int depth = 0;

  Result<void> point(const Point& p, const char* member) const {
    if (auto ok = check_number(p.x, field + "." + member + ".x"); !ok) return ok;
    return check_number(p.y, field + "." + member + ".y");
  }
  Result<void> operator()(const Line& line) const {
    if (auto ok = point(line.from, "from"); !ok) return ok;
    if (auto ok = point(line.to, "to"); !ok) return ok;
    return check_stroke(line.stroke, field + ".stroke");
  }
  Result<void> operator()(const Polyline& line) const {
    if (line.points.size() < 2) {
      return invalid(field + ".points", fmt::format("{}", line.points.size()), "two points or more");
    }
    for (const Point& p : line.points) {
      if (auto ok = point(p, "points"); !ok) return ok;
    }
    return check_stroke(line.stroke, field + ".stroke");
  }
  Result<void> operator()(const Rectangle& box) const {
    if (auto ok = point(box.corner, "corner"); !ok) return ok;
    if (auto ok = check_size(box.width, field + ".width"); !ok) return ok;
    if (auto ok = check_size(box.height, field + ".height"); !ok) return ok;
    return check_stroke(box.stroke, field + ".stroke");
  }
  Result<void> operator()(const Circle& circle) const {
    if (auto ok = point(circle.centre, "centre"); !ok) return ok;
    if (auto ok = check_size(circle.radius, field + ".radius"); !ok) return ok;
    return check_stroke(circle.stroke, field + ".stroke");
  }
  Result<void> operator()(const Arc& arc) const {
    if (auto ok = point(arc.centre, "centre"); !ok) return ok;
    if (auto ok = check_size(arc.radius, field + ".radius"); !ok) return ok;
    if (auto ok = check_number(arc.from_deg, field + ".from_deg"); !ok) return ok;
    if (auto ok = check_number(arc.to_deg, field + ".to_deg"); !ok) return ok;
    const double turn = arc.to_deg - arc.from_deg;
    if (turn <= 0.0 || turn > 360.0) {
      return invalid(field + ".to_deg", fmt::format("{}", arc.to_deg), "above from_deg by at most 360");
    }
    return check_stroke(arc.stroke, field + ".stroke");
  }
  Result<void> operator()(const Text& text) const {
    if (auto ok = point(text.at, "at"); !ok) return ok;
    if (auto ok = check_number(text.turn_deg, field + ".turn_deg"); !ok) return ok;
    if (!std::isfinite(text.style.size) || text.style.size <= 0.0) {
      return invalid(field + ".style.size", fmt::format("{}", text.style.size), "a size above zero");
    }
    return check_glyphs(text.text, text.style, field + ".text");
  }
  Result<void> operator()(const GroupBegin& group) {
    ++depth;
    if (auto ok = check_glyphs(group.title, {}, field + ".title"); !ok) return ok;
    return check_glyphs(group.description, {}, field + ".description");
  }
  Result<void> operator()(const GroupEnd&) {
    if (--depth < 0) return invalid(field, "the end of a group", "a group begun before it");
    return {};
  }
};

struct Mover {
  double dx = 0.0;
  double dy = 0.0;

  void move(Point& p) const {
    p.x += dx;
    p.y += dy;
  }
  void operator()(Line& line) const {
    move(line.from);
    move(line.to);
  }
  void operator()(Polyline& line) const {
    for (Point& p : line.points) move(p);
  }
  void operator()(Rectangle& box) const { move(box.corner); }
  void operator()(Circle& circle) const { move(circle.centre); }
  void operator()(Arc& arc) const { move(arc.centre); }
  void operator()(Text& text) const { move(text.at); }
  void operator()(GroupBegin&) const {}
  void operator()(GroupEnd&) const {}
};

}  // namespace

std::string_view name(Role role) {
  switch (role) {
    case Role::none: return "none";
    case Role::paper: return "paper";
    case Role::sheet: return "sheet";
    case Role::ink: return "ink";
    case Role::soft: return "soft";
    case Role::hairline: return "hairline";
    case Role::accent: return "accent";
    case Role::wash: return "wash";
    case Role::danger: return "danger";
    case Role::warning: return "warning";
    case Role::caution: return "caution";
    case Role::notice: return "notice";
  }
  return "none";
}

Rgb light(Role role) {
  switch (role) {
    case Role::none: break;
    case Role::paper: return {.red = 0xfa, .green = 0xf8, .blue = 0xf2};
    case Role::sheet: return {.red = 0xff, .green = 0xfe, .blue = 0xfa};
    case Role::ink: return {.red = 0x1d, .green = 0x1f, .blue = 0x1e};
    case Role::soft: return {.red = 0x5d, .green = 0x62, .blue = 0x5f};
    case Role::hairline: return {.red = 0xd9, .green = 0xd5, .blue = 0xc8};
    case Role::accent: return {.red = 0x15, .green = 0x5e, .blue = 0x63};
    case Role::wash: return {.red = 0xd7, .green = 0xe6, .blue = 0xe4};
    case Role::danger: return {.red = 0xb8, .green = 0x1d, .blue = 0x24};
    case Role::warning: return {.red = 0xc4, .green = 0x54, .blue = 0x1a};
    case Role::caution: return {.red = 0xf2, .green = 0xc1, .blue = 0x18};
    case Role::notice: return {.red = 0x1f, .green = 0x5f, .blue = 0xa8};
  }
  FW_EXPECTS(role != Role::none);
  return {};
}

Rgb dark(Role role) {
  switch (role) {
    case Role::none: break;
    case Role::paper: return {.red = 0x16, .green = 0x18, .blue = 0x17};
    case Role::sheet: return {.red = 0x1d, .green = 0x20, .blue = 0x1f};
    case Role::ink: return {.red = 0xec, .green = 0xea, .blue = 0xe2};
    case Role::soft: return {.red = 0xa9, .green = 0xae, .blue = 0xa8};
    case Role::hairline: return {.red = 0x3c, .green = 0x41, .blue = 0x3e};
    case Role::accent: return {.red = 0x6f, .green = 0xc3, .blue = 0xc2};
    case Role::wash: return {.red = 0x23, .green = 0x40, .blue = 0x42};
    case Role::danger: return {.red = 0xf0, .green = 0x6a, .blue = 0x6a};
    case Role::warning: return {.red = 0xe8, .green = 0x86, .blue = 0x4a};
    case Role::caution: return {.red = 0xf2, .green = 0xc1, .blue = 0x18};
    case Role::notice: return {.red = 0x6f, .green = 0xa8, .blue = 0xe6};
  }
  FW_EXPECTS(role != Role::none);
  return {};
}

std::string hex(Rgb colour) { return fmt::format("#{:02x}{:02x}{:02x}", colour.red, colour.green, colour.blue); }

std::string_view word(Mark mark) {
  switch (mark) {
    case Mark::holds: return "holds";
    case Mark::narrow: return "narrow";
    case Mark::fails: return "fails";
    case Mark::not_known: return "not known";
  }
  return "not known";
}

bool overlap(const Corners& a, const Corners& b, double slack) {
  // Rectangles: two edge directions each suffice.
  for (const Point axis : {edge_axis(a, 0, 1), edge_axis(a, 0, 3), edge_axis(b, 0, 1), edge_axis(b, 0, 3)}) {
    const Reach of_a = project(a, axis);
    const Reach of_b = project(b, axis);
    if (of_a.high - of_b.low <= slack || of_b.high - of_a.low <= slack) return false;
  }
  return true;
}

Corners corners(const Box& box) {
  return {Point{box.left, box.top}, Point{box.right, box.top}, Point{box.right, box.bottom},
          Point{box.left, box.bottom}};
}

Box around(const Corners& all) {
  Box box{.left = all[0].x, .top = all[0].y, .right = all[0].x, .bottom = all[0].y};
  for (const Point& p : all) {
    box.left = std::min(box.left, p.x);
    box.top = std::min(box.top, p.y);
    box.right = std::max(box.right, p.x);
    box.bottom = std::max(box.bottom, p.y);
  }
  return box;
}

Result<void> check(const Figure& figure) {
  if (auto fonts = load_fonts(); !fonts) return fonts;
  for (const double size : {figure.width, figure.height}) {
    if (!std::isfinite(size) || size <= 0.0) {
      return invalid("figure.size", fmt::format("{} x {}", figure.width, figure.height), "a width and a height");
    }
  }
  if (auto ok = check_glyphs(figure.title, {}, "figure.title"); !ok) return ok;
  if (auto ok = check_glyphs(figure.description, {}, "figure.description"); !ok) return ok;
  Checker checker;
  for (std::size_t i = 0; i < figure.primitives.size(); ++i) {
    checker.field = fmt::format("figure.{}", i + 1);
    if (auto ok = std::visit(checker, figure.primitives[i]); !ok) return ok;
  }
  if (checker.depth != 0) {
    return invalid("figure", fmt::format("{} open groups at the end", checker.depth), "every group ended");
  }
  return {};
}

Figure moved(Figure figure, double dx, double dy) {
  for (Primitive& primitive : figure.primitives) std::visit(Mover{.dx = dx, .dy = dy}, primitive);
  return figure;
}

Result<Figure> titled(const Figure& figure) {
  if (auto fonts = load_fonts(); !fonts) return fail(fonts.error());
  constexpr double line_height = 13.5;
  constexpr TextStyle style{.size = 10.0, .bold = true};
  std::vector<std::string> lines;
  std::string line;
  for (const auto& [begin, end] : unbreakable_pieces(figure.title)) {
    const std::string word = figure.title.substr(begin, end - begin);
    const std::string longer = line.empty() ? word : line + " " + word;
    if (!line.empty() && measure(longer, style).width > figure.width) {
      lines.push_back(line);
      line = word;
    } else {
      line = longer;
    }
  }
  lines.push_back(line);
  const double depth = line_height * static_cast<double>(lines.size()) + 6.0;
  Figure with = moved(figure, 0.0, depth);
  with.height += depth;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    with.primitives.emplace_back(
        Text{.at = {0.0, 10.0 + line_height * static_cast<double>(i)}, .text = lines[i], .style = style});
  }
  return with;
}

std::vector<Primitive> mark_rules(Mark mark, Point from, double to_x, double size) {
  std::vector<Primitive> rules;
  const auto rule = [&](double below, double width, Role role, std::vector<double> dash = {}) {
    rules.emplace_back(Line{.from = {from.x, from.y + below * size},
                            .to = {to_x, from.y + below * size},
                            .stroke = {.colour = role, .width = width * size, .dash = std::move(dash)}});
  };
  switch (mark) {
    case Mark::holds: rule(0.40, 0.19, Role::ink); break;
    case Mark::narrow: rule(0.36, 0.055, Role::ink); break;
    case Mark::fails:
      rule(0.30, 0.075, Role::ink);
      rule(0.50, 0.075, Role::ink);
      break;
    case Mark::not_known: rule(0.38, 0.11, Role::soft, {size * 0.11, size * 0.14}); break;
  }
  return rules;
}

std::vector<Primitive> mark_cross(Point at, double size) {
  const double arm = size * 0.56;
  const double top = at.y - size * 0.64;
  const Stroke stroke{.colour = Role::ink, .width = size * 0.15};
  return {Line{.from = {at.x, top}, .to = {at.x + arm, top + arm}, .stroke = stroke},
          Line{.from = {at.x, top + arm}, .to = {at.x + arm, top}, .stroke = stroke}};
}

Result<MarkedWord> marked_word(Mark mark, std::string_view text, Point at, double size) {
  if (auto fonts = load_fonts(); !fonts) return tl::unexpected(fonts.error());
  MarkedWord marked;
  double x = at.x;
  if (mark == Mark::fails) {
    marked.primitives = mark_cross(at, size);
    x += mark_cross_advance(size);
  }
  const TextStyle style{.size = size, .bold = mark == Mark::fails};
  const Role colour = mark == Mark::not_known ? Role::soft : Role::ink;
  marked.primitives.emplace_back(Text{.at = {x, at.y}, .text = std::string(text), .style = style, .colour = colour});
  marked.end_x = x + measure(text, style).width;
  for (Primitive& rule : mark_rules(mark, at, marked.end_x, size)) marked.primitives.push_back(std::move(rule));
  return marked;
}

}  // namespace fw::report
