// SPDX-License-Identifier: Apache-2.0
#include "report/figure_symbol.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace fw::report {
namespace {

/// Draws in units about a centre; mirrored for flow to the left, a quarter turned for flow downward.
class Pen {
 public:
  Pen(const SchematicPart& part, Point centre, double unit, Flow flow)
      : centre_(centre), unit_(unit), flow_(flow), stroke_(line_stroke(unit, part.bypassed, part.added)) {}

  [[nodiscard]] Point at(double x, double y) const {
    if (flow_ == Flow::downward) return {centre_.x - y * unit_, centre_.y + x * unit_};
    if (flow_ == Flow::upward) return {centre_.x + y * unit_, centre_.y - x * unit_};
    const double along = flow_ == Flow::leftward ? -x : x;
    return {centre_.x + along * unit_, centre_.y + y * unit_};
  }
  void line(double x1, double y1, double x2, double y2) {
    out.emplace_back(Line{.from = at(x1, y1), .to = at(x2, y2), .stroke = stroke_});
  }
  void dashed(double x1, double y1, double x2, double y2) {
    out.emplace_back(Line{.from = at(x1, y1), .to = at(x2, y2), .stroke = dash()});
  }
  void dashed_way(const std::vector<Point>& units) {
    out.emplace_back(Polyline{.points = placed(units), .stroke = dash()});
  }
  void way(const std::vector<Point>& units) { out.emplace_back(Polyline{.points = placed(units), .stroke = stroke_}); }
  void shape(const std::vector<Point>& units) {
    out.emplace_back(Polyline{.points = placed(units), .closed = true, .stroke = stroke_, .fill = Role::sheet});
  }
  void filled(const std::vector<Point>& units) {
    out.emplace_back(Polyline{.points = placed(units), .closed = true, .stroke = {}, .fill = stroke_.colour});
  }
  void circle(Point place, double radius) {
    out.emplace_back(
        Circle{.centre = at(place.x, place.y), .radius = radius * unit_, .stroke = stroke_, .fill = Role::sheet});
  }
  void dot(Point place, double radius) {
    out.emplace_back(
        Circle{.centre = at(place.x, place.y), .radius = radius * unit_, .stroke = {}, .fill = stroke_.colour});
  }
  void box(Point corner, Point size) {
    const Point a = at(corner.x, corner.y);
    const Point b = at(corner.x + size.x, corner.y + size.y);
    out.emplace_back(Rectangle{.corner = {std::min(a.x, b.x), std::min(a.y, b.y)},
                               .width = std::abs(a.x - b.x),
                               .height = std::abs(a.y - b.y),
                               .stroke = stroke_,
                               .fill = Role::sheet});
  }
  void letter(double x, double y, const char* text, double size) {
    Point place = at(x, y);
    place.y += 0.36 * size * unit_;
    out.emplace_back(Text{.at = place,
                          .text = text,
                          .style = {.size = size * unit_},
                          .colour = stroke_.colour,
                          .anchor = Anchor::middle});
  }
  /// An arrow from one point to another with a small open head.
  void arrow(double x1, double y1, double x2, double y2) {
    line(x1, y1, x2, y2);
    const double length = std::hypot(x2 - x1, y2 - y1);
    const double ux = (x2 - x1) / length;
    const double uy = (y2 - y1) / length;
    const double head = 0.36;
    filled({{x2, y2},
            {x2 - head * ux - 0.5 * head * uy, y2 - head * uy + 0.5 * head * ux},
            {x2 - head * ux + 0.5 * head * uy, y2 - head * uy - 0.5 * head * ux}});
  }
  /// A zigzag that stands on a point.
  void spring(Point foot, Point size) {
    const auto bend = [&](double side, double up) { return Point{foot.x + side * size.x, foot.y - up * size.y}; };
    way({foot, bend(-0.5, 0.17), bend(0.5, 0.42), bend(-0.5, 0.67), bend(0.5, 0.92), bend(0.0, 1.0)});
  }

  std::vector<Primitive> out;

 private:
  [[nodiscard]] std::vector<Point> placed(const std::vector<Point>& units) const {
    std::vector<Point> points;
    points.reserve(units.size());
    for (const Point& unit : units) points.push_back(at(unit.x, unit.y));
    return points;
  }
  [[nodiscard]] Stroke dash() const {
    Stroke stroke = stroke_;
    stroke.width *= 0.8;
    stroke.dash = {0.28 * unit_, 0.2 * unit_};
    return stroke;
  }

  Point centre_;
  double unit_;
  Flow flow_;
  Stroke stroke_;
};

constexpr double pump_radius = 1.2;
constexpr double diamond = 1.5;
constexpr double bowl_level = 0.42;

void pump(Pen& pen) {
  pen.circle({0.0, 0.0}, pump_radius);
  pen.filled({{pump_radius, 0.0}, {0.35, -0.62}, {0.35, 0.62}});
}

void square_on_point(Pen& pen, double half) { pen.shape({{-half, 0.0}, {0.0, -half}, {half, 0.0}, {0.0, half}}); }

void spring_loaded_box(Pen& pen) {
  pen.box({-0.95, -0.95}, {1.9, 1.9});
  pen.arrow(-0.95, 0.3, 0.9, 0.3);
  pen.spring({0.0, -0.95}, {0.7, 1.05});
}

}  // namespace

Stroke line_stroke(double unit, bool thin, bool added) {
  if (thin) return {.colour = Role::soft, .width = 0.055 * unit};
  return {.colour = added ? Role::accent : Role::ink, .width = (added ? 0.17 : 0.115) * unit};
}

SymbolExtent extent(const SchematicPart& part) {
  SymbolExtent reach;
  switch (part.symbol) {
    case Symbol::tube: reach = {.half_width = 0.9, .above = 0.3, .below = 0.3}; break;
    case Symbol::hose: reach = {.half_width = 1.5, .above = 0.3, .below = 0.9}; break;
    case Symbol::sump: reach = {.half_width = 0.0, .above = 0.0, .below = 0.0}; break;
    case Symbol::strainer: reach = {.half_width = 1.1, .above = 1.0, .below = 1.0}; break;
    case Symbol::filter:
    case Symbol::separator:
    case Symbol::filter_separator: reach = {.half_width = 1.6, .above = 1.5, .below = 1.5}; break;
    case Symbol::heater:
    case Symbol::cooler: reach = {.half_width = 1.6, .above = 2.1, .below = 2.1}; break;
    case Symbol::motor_pump: reach = {.half_width = 1.3, .above = 3.6, .below = 1.2}; break;
    case Symbol::gear_pump:
    case Symbol::hand_pump: reach = {.half_width = 1.3, .above = 2.4, .below = 1.2}; break;
    case Symbol::jet_pump: reach = {.half_width = 1.4, .above = 0.7, .below = 0.7}; break;
    case Symbol::check_valve: reach = {.half_width = 0.9, .above = 0.7, .below = 0.7}; break;
    case Symbol::relief_valve:
    case Symbol::regulator: reach = {.half_width = 1.3, .above = 2.1, .below = 1.9}; break;
    case Symbol::metering_valve:
    case Symbol::thermostat: reach = {.half_width = 2.2, .above = 1.0, .below = 1.0}; break;
    case Symbol::shut_off: reach = {.half_width = 1.2, .above = 1.2, .below = 0.7}; break;
    case Symbol::selector: reach = {.half_width = 1.7, .above = 1.0, .below = 1.0}; break;
    case Symbol::orifice: reach = {.half_width = 0.8, .above = 0.7, .below = 0.7}; break;
    case Symbol::other: reach = {.half_width = 1.2, .above = 0.8, .below = 0.8}; break;
  }
  if (part.drain) reach.below = std::max(reach.below, 2.5);
  return reach;
}

std::vector<Primitive> draw_symbol(const SchematicPart& part, Point centre, double unit, Flow flow) {
  Pen pen(part, centre, unit, flow);
  const SymbolExtent reach = extent(part);
  const double w = reach.half_width;
  switch (part.symbol) {
    case Symbol::tube: pen.line(-w, 0.0, w, 0.0); break;
    case Symbol::hose: {
      // A sagging line between two dots.
      std::vector<Point> sag;
      for (int i = 0; i <= 12; ++i) {
        const double t = i / 12.0;
        sag.push_back({-1.2 + 2.4 * t, 0.75 * 4.0 * t * (1.0 - t)});
      }
      pen.line(-w, 0.0, -1.2, 0.0);
      pen.way(sag);
      pen.line(1.2, 0.0, w, 0.0);
      pen.dot({-1.2, 0.0}, 0.2);
      pen.dot({1.2, 0.0}, 0.2);
      break;
    }
    case Symbol::sump: break;
    case Symbol::strainer:
      pen.line(-w, 0.0, w, 0.0);
      square_on_point(pen, 1.0);
      pen.dashed(0.0, -1.0, 0.0, 1.0);
      break;
    case Symbol::filter:
    case Symbol::separator:
    case Symbol::filter_separator:
      pen.line(-w, 0.0, w, 0.0);
      square_on_point(pen, diamond);
      // The level of the water that has settled in the bowl.
      if (part.symbol != Symbol::separator) {
        pen.dashed(0.0, -diamond, 0.0, part.symbol == Symbol::filter ? diamond : bowl_level);
      }
      if (part.symbol != Symbol::filter) pen.line(bowl_level - diamond, bowl_level, diamond - bowl_level, bowl_level);
      break;
    case Symbol::heater:
    case Symbol::cooler:
      pen.line(-w, 0.0, w, 0.0);
      square_on_point(pen, diamond);
      if (part.symbol == Symbol::heater) {
        pen.arrow(0.0, -2.1, 0.0, -0.75);
        pen.arrow(0.0, 2.1, 0.0, 0.75);
      } else {
        pen.arrow(0.0, -0.6, 0.0, -2.1);
        pen.arrow(0.0, 0.6, 0.0, 2.1);
      }
      break;
    case Symbol::motor_pump:
      pen.line(-w, 0.0, w, 0.0);
      pump(pen);
      pen.line(-0.13, -pump_radius, -0.13, -1.75);
      pen.line(0.13, -pump_radius, 0.13, -1.75);
      pen.circle({0.0, -2.65}, 0.9);
      pen.letter(0.0, -2.65, "M", 0.95);
      break;
    case Symbol::gear_pump:
      pen.line(-w, 0.0, w, 0.0);
      pump(pen);
      pen.dashed(-0.13, -pump_radius, -0.13, -2.4);
      pen.dashed(0.13, -pump_radius, 0.13, -2.4);
      break;
    case Symbol::hand_pump:
      pen.line(-w, 0.0, w, 0.0);
      pump(pen);
      pen.line(0.0, -pump_radius, 0.55, -2.1);
      pen.line(0.1, -2.35, 1.0, -1.85);
      break;
    case Symbol::jet_pump:
      pen.line(-w, 0.0, -1.0, 0.0);
      pen.shape({{-1.0, -0.55}, {-0.1, -0.18}, {-0.1, 0.18}, {-1.0, 0.55}});
      pen.shape({{0.15, -0.6}, {0.55, -0.25}, {1.2, -0.5}, {1.2, 0.5}, {0.55, 0.25}, {0.15, 0.6}});
      pen.line(1.2, 0.0, w, 0.0);
      break;
    case Symbol::check_valve:
      pen.line(-w, 0.0, -0.28, 0.0);
      pen.line(0.5, 0.0, w, 0.0);
      pen.way({{0.12, -0.6}, {-0.28, 0.0}, {0.12, 0.6}});
      pen.circle({0.17, 0.0}, 0.36);
      break;
    case Symbol::relief_valve:
    case Symbol::regulator:
      pen.line(-w, 0.0, -0.95, 0.0);
      pen.line(0.95, 0.0, w, 0.0);
      spring_loaded_box(pen);
      // The side it senses: its inlet, or (regulator held against the tank) a pilot that leaves downward.
      if (part.pilot_to_tank) {
        pen.dashed_way({{1.2, 0.0}, {1.2, 1.4}, {0.0, 1.4}, {0.0, 0.95}});
      } else {
        pen.dashed_way({{-1.2, 0.0}, {-1.2, 1.4}, {0.0, 1.4}, {0.0, 0.95}});
      }
      break;
    case Symbol::metering_valve:
      pen.line(-w, 0.0, w, 0.0);
      pen.box({-1.5, -0.75}, {1.5, 1.5});
      pen.box({0.0, -0.75}, {1.5, 1.5});
      pen.arrow(-1.35, 0.0, -0.15, 0.0);
      pen.line(0.35, -0.25, 0.35, 0.25);
      pen.line(1.1, -0.25, 1.1, 0.25);
      pen.box({1.5, -0.4}, {0.55, 0.8});
      pen.line(1.5, 0.4, 2.05, -0.4);
      break;
    case Symbol::thermostat:
      pen.line(-w, 0.0, w, 0.0);
      pen.box({-1.5, -0.75}, {1.5, 1.5});
      pen.box({0.0, -0.75}, {1.5, 1.5});
      pen.arrow(-1.35, 0.0, -0.15, 0.0);
      pen.arrow(0.2, 0.5, 1.3, -0.5);
      pen.circle({1.85, 0.0}, 0.32);
      break;
    case Symbol::shut_off:
      pen.line(-w, 0.0, w, 0.0);
      pen.shape({{-0.9, -0.6}, {-0.9, 0.6}, {0.0, 0.0}});
      pen.shape({{0.9, -0.6}, {0.9, 0.6}, {0.0, 0.0}});
      pen.line(0.0, 0.0, 0.0, -0.95);
      pen.line(-0.4, -0.95, 0.4, -0.95);
      break;
    case Symbol::selector:
      pen.line(-w, 0.0, w, 0.0);
      pen.box({-1.4, -0.85}, {1.4, 1.7});
      pen.box({0.0, -0.85}, {1.4, 1.7});
      pen.arrow(-1.3, 0.35, -0.1, 0.35);
      pen.arrow(-0.1, -0.35, -1.3, -0.35);
      pen.line(0.1, -0.5, 1.3, 0.5);
      pen.line(0.1, 0.5, 1.3, -0.5);
      break;
    case Symbol::orifice: {
      pen.line(-w, 0.0, w, 0.0);
      // Two arcs that face each other, as runs of short pieces.
      for (const double side : {-1.0, 1.0}) {
        std::vector<Point> arc;
        for (int i = -6; i <= 6; ++i) {
          const double angle = i * std::numbers::pi / 18.0;
          arc.push_back({0.62 * std::sin(angle), side * (0.85 - 0.62 * std::cos(angle))});
        }
        pen.way(arc);
      }
      break;
    }
    case Symbol::other:
      pen.line(-w, 0.0, w, 0.0);
      pen.box({-1.1, -0.75}, {2.2, 1.5});
      break;
  }
  if (part.drain) {
    SchematicPart closed = part;
    closed.drain = false;
    const bool flat = part.symbol == Symbol::tube || part.symbol == Symbol::hose;
    const double from = flat ? 0.0 : std::min(extent(closed).below, 1.5);
    pen.line(0.0, from, 0.0, 2.1);
    pen.shape({{0.0, 2.1}, {-0.32, 2.5}, {0.32, 2.5}});
  }
  if (part.electrode) {
    pen.line(-0.28, 0.62, -0.28, 1.08);
    pen.line(0.28, 0.62, 0.28, 1.08);
  }
  if (part.bypassed) {
    const double reach_x = std::min(w, 1.6);
    const double reach_y = std::min(std::max(reach.above, 0.9), 1.7);
    pen.line(-reach_x, -reach_y, reach_x, reach_y);
    pen.line(-reach_x, reach_y, reach_x, -reach_y);
  }
  return std::move(pen.out);
}

std::vector<Primitive> draw_gauge(const std::string& name, Point on_line, double unit) {
  const Stroke stroke{.colour = Role::ink, .width = 0.085 * unit};
  const double radius = 0.75;
  const double y = on_line.y + 1.95 * unit;
  std::vector<Primitive> out;
  out.emplace_back(Line{.from = on_line, .to = {on_line.x, y - radius * unit}, .stroke = stroke});
  out.emplace_back(Circle{.centre = {on_line.x, y}, .radius = radius * unit, .stroke = stroke, .fill = Role::sheet});
  out.emplace_back(Line{.from = {on_line.x - 0.35 * unit, y + 0.35 * unit},
                        .to = {on_line.x + 0.38 * unit, y - 0.38 * unit},
                        .stroke = stroke});
  out.emplace_back(Text{.at = {on_line.x, y + 1.75 * unit},
                        .text = name,
                        .style = {.size = 0.88 * unit, .bold = true},
                        .colour = Role::ink,
                        .anchor = Anchor::middle});
  return out;
}

std::vector<Primitive> draw_debris_mark(DebrisMark mark, Point centre, double unit) {
  const Stroke stroke{.colour = Role::ink, .width = 0.09 * unit};
  const double r = 0.55 * unit;
  std::vector<Primitive> out;
  switch (mark) {
    case DebrisMark::none: break;
    case DebrisMark::metal_seen:
      out.emplace_back(Polyline{.points = {{centre.x - r, centre.y},
                                           {centre.x, centre.y - r},
                                           {centre.x + r, centre.y},
                                           {centre.x, centre.y + r}},
                                .closed = true,
                                .stroke = {},
                                .fill = Role::ink});
      break;
    case DebrisMark::clean:
      out.emplace_back(Circle{.centre = centre, .radius = r, .stroke = stroke, .fill = Role::sheet});
      out.emplace_back(Polyline{.points = {{centre.x - 0.5 * r, centre.y},
                                           {centre.x - 0.1 * r, centre.y + 0.45 * r},
                                           {centre.x + 0.55 * r, centre.y - 0.45 * r}},
                                .stroke = stroke});
      break;
    case DebrisMark::inferred: {
      Stroke dotted = stroke;
      dotted.dash = {0.14 * unit, 0.14 * unit};
      out.emplace_back(Circle{.centre = centre, .radius = r, .stroke = dotted, .fill = Role::sheet});
      break;
    }
    case DebrisMark::not_inspected:
      out.emplace_back(Circle{.centre = centre, .radius = r, .stroke = stroke, .fill = Role::sheet});
      out.emplace_back(Text{.at = {centre.x, centre.y + 0.3 * unit},
                            .text = "?",
                            .style = {.size = 0.8 * unit},
                            .colour = Role::ink,
                            .anchor = Anchor::middle});
      break;
  }
  return out;
}

Primitive arrow_head(Point tip, double unit, double turn_deg, Role colour) {
  const double turn = turn_deg * std::numbers::pi / 180.0;
  const double c = std::cos(turn);
  const double s = std::sin(turn);
  const auto at = [&](double along, double across) {
    return Point{tip.x + unit * (along * c - across * s), tip.y + unit * (along * s + across * c)};
  };
  return Polyline{
      .points = {at(0.0, 0.0), at(-0.75, -0.3), at(-0.75, 0.3)}, .closed = true, .stroke = {}, .fill = colour};
}

}  // namespace fw::report
