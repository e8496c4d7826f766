// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "base/required.hpp"
#include "base/result.hpp"

// A figure is a display list: primitives in drawing order, in points, x to the right and y down. Two back ends draw
// it (svg.hpp writes text, canvas.hpp draws by Cairo), so that screen and paper show the same picture.
namespace fw::report {

/// What a colour says. The four safety roles stand beside a caution only (ANSI Z535).
enum class Role : std::uint8_t {
  none,
  paper,
  sheet,
  ink,
  soft,      ///< soft ink: axis text, remarks
  hairline,  ///< grid and table rules
  accent,    ///< deep teal: data
  wash,      ///< pale teal: bands
  danger,
  warning,
  caution,
  notice,
};

/// Name as it stands in CSS classes and variables, e.g. "hairline".
[[nodiscard]] std::string_view name(Role role);

struct Rgb {
  std::uint8_t red = 0;
  std::uint8_t green = 0;
  std::uint8_t blue = 0;
};

/// Colour of a role on the light sheet. Precondition: not Role::none. Sheet colours as the project's look has them; the
/// safety colours follow ANSI Z535.1 red, orange, yellow and blue (RGB renderings from memory; the orange darker).
[[nodiscard]] Rgb light(Role role);
/// The same role in the dark variant for the bay.
[[nodiscard]] Rgb dark(Role role);
/// "#rrggbb"
[[nodiscard]] std::string hex(Rgb colour);

/// Outcome of a check, as it is marked on paper: the word always stands, the line under it says the same.
enum class Mark : std::uint8_t {
  holds,      ///< thick rule
  narrow,     ///< hairline
  fails,      ///< double rule, bold, drawn cross before the word
  not_known,  ///< dotted rule, soft ink
};

/// "holds", "narrow", "fails", "not known".
[[nodiscard]] std::string_view word(Mark mark);

/// Two numbers whose order everybody knows: it is written {x, y}.
struct Point {
  double x = 0.0;
  double y = 0.0;

  constexpr Point() = default;
  constexpr Point(double at_x, double at_y) : x(at_x), y(at_y) {}

  friend bool operator==(const Point&, const Point&) = default;
};

struct Stroke {
  Role colour = Role::none;
  double width = 1.0;
  std::vector<double> dash;  ///< on, off, on, ...; empty: solid

  friend bool operator==(const Stroke&, const Stroke&) = default;
};

struct TextStyle {
  double size = 8.0;  ///< of the em, in points
  bool bold = false;
  bool mono = false;  ///< B612 Mono: readings
  bool italic = false;

  friend bool operator==(const TextStyle&, const TextStyle&) = default;
};

enum class Anchor : std::uint8_t { start, middle, end };

struct Line {
  Point from;
  Point to;
  Stroke stroke;
};

/// Open or closed run of straight pieces; with a fill it is an area.
struct Polyline {
  std::vector<Point> points;
  bool closed = false;
  Stroke stroke;
  Role fill = Role::none;
};

struct Rectangle {
  Point corner;  ///< least x, least y
  double width = required;
  double height = required;
  Stroke stroke;
  Role fill = Role::none;
};

struct Circle {
  Point centre;
  double radius = required;
  Stroke stroke;
  Role fill = Role::none;
};

/// Part of a circle, drawn clockwise on the page from one angle to the other, 0 to the right.
struct Arc {
  Point centre;
  double radius = required;
  double from_deg = required;
  double to_deg = required;  ///< > from_deg, at most 360 more
  Stroke stroke;
};

/// One line of text; `at` is the anchor on the baseline.
struct Text {
  Point at;
  std::string text;
  TextStyle style;
  Role colour = Role::ink;
  Anchor anchor = Anchor::start;
  double turn_deg = 0.0;  ///< clockwise about `at`
};

/// Opens a group that reads as one thing (screen readers, hovering); groups nest.
struct GroupBegin {
  std::string title;
  std::string description;  ///< may be empty
};
struct GroupEnd {};

using Primitive = std::variant<Line, Polyline, Rectangle, Circle, Arc, Text, GroupBegin, GroupEnd>;

struct Figure {
  double width = required;
  double height = required;
  std::string title;        ///< one line: what it shows
  std::string description;  ///< the figure in words, for those who cannot see it
  std::vector<Primitive> primitives;
};

/// Upright box around something drawn.
struct Box {
  double left = 0.0;
  double top = 0.0;
  double right = 0.0;
  double bottom = 0.0;

  [[nodiscard]] double width() const { return right - left; }
  [[nodiscard]] double height() const { return bottom - top; }
};

/// The four corners of a text's box, turned with it.
using Corners = std::array<Point, 4>;

/// Whether two turned boxes share more than `slack` points of depth (separating axes).
[[nodiscard]] bool overlap(const Corners& a, const Corners& b, double slack = 0.1);

[[nodiscard]] Corners corners(const Box& box);
[[nodiscard]] Box around(const Corners& corners);

/// Finite numbers, positive sizes, balanced groups, every glyph in the fonts. Both back ends ask this first.
///
/// Errors: invalid_input with field "figure.<number of the primitive>...", or the fonts cannot be loaded (font.hpp).
[[nodiscard]] Result<void> check(const Figure& figure);

/// Moves every primitive.
[[nodiscard]] Figure moved(Figure figure, double dx, double dy);

/// The figure with its title above it, in as many lines as its width asks for: a figure that stands alone. Errors: no
/// fonts.
[[nodiscard]] Result<Figure> titled(const Figure& figure);

/// The rules under an outcome's word that stands from `from` (start of the baseline) to `to_x`.
[[nodiscard]] std::vector<Primitive> mark_rules(Mark mark, Point from, double to_x, double size);
/// The drawn cross before a word that fails; `at` is the start of the baseline.
[[nodiscard]] std::vector<Primitive> mark_cross(Point at, double size);
/// Room of the cross with the gap after it.
[[nodiscard]] constexpr double mark_cross_advance(double size) { return 0.92 * size; }

/// The line (or two, or dots) under an outcome's word, with the drawn cross before it for `fails`, and the word itself.
/// `at` is the start of the baseline. The result ends at the returned x. The same marks stand in papers.
struct MarkedWord {
  std::vector<Primitive> primitives;
  double end_x = 0.0;
};
[[nodiscard]] Result<MarkedWord> marked_word(Mark mark, std::string_view text, Point at, double size);

}  // namespace fw::report
