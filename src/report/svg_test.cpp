// SPDX-License-Identifier: Apache-2.0
#include "report/svg.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <limits>
#include <map>
#include <numbers>
#include <sstream>

#include <gtest/gtest.h>

#include "report/canvas.hpp"
#include "report/font.hpp"

namespace fw::report {
namespace {

struct Element {
  std::string name;
  std::map<std::string, std::string> attributes;
  std::string text;  // right inside it
};

std::string unescaped(std::string text) {
  for (const auto& [entity, sign] : {std::pair{"&lt;", "<"}, {"&gt;", ">"}, {"&quot;", "\""}, {"&amp;", "&"}}) {
    for (std::size_t at = text.find(entity); at != std::string::npos; at = text.find(entity, at + 1)) {
      text.replace(at, std::string(entity).size(), sign);
    }
  }
  return text;
}

/// Elements in the order of their beginnings; fails the test where the text is not well-formed.
std::vector<Element> parse(const std::string& xml) {
  std::vector<Element> elements;
  std::vector<std::size_t> open;
  std::size_t at = 0;
  while (at < xml.size()) {
    const std::size_t tag = xml.find('<', at);
    const std::string between = xml.substr(at, tag == std::string::npos ? std::string::npos : tag - at);
    if (!open.empty()) elements[open.back()].text += unescaped(between);
    if (tag == std::string::npos) break;
    const std::size_t end = xml.find('>', tag);
    if (end == std::string::npos) {
      ADD_FAILURE() << "tag without end";
      return elements;
    }
    std::string inside = xml.substr(tag + 1, end - tag - 1);
    at = end + 1;
    if (inside.starts_with("/")) {
      if (open.empty() || elements[open.back()].name != inside.substr(1)) {
        ADD_FAILURE() << "</" << inside.substr(1) << "> closes nothing";
        return elements;
      }
      open.pop_back();
      continue;
    }
    const bool closed = inside.ends_with("/");
    if (closed) inside.pop_back();
    Element element;
    std::size_t i = inside.find_first_of(' ');
    element.name = inside.substr(0, i);
    while (i != std::string::npos && i < inside.size()) {
      i = inside.find_first_not_of(' ', i);
      if (i == std::string::npos) break;
      const std::size_t equals = inside.find("=\"", i);
      const std::size_t quote = equals == std::string::npos ? equals : inside.find('"', equals + 2);
      if (quote == std::string::npos) {
        ADD_FAILURE() << "bad attribute in <" << inside << ">";
        return elements;
      }
      const std::string name = inside.substr(i, equals - i);
      EXPECT_TRUE(element.attributes.emplace(name, unescaped(inside.substr(equals + 2, quote - equals - 2))).second)
          << name << " twice";
      i = quote + 1;
    }
    elements.push_back(element);
    if (!closed) open.push_back(elements.size() - 1);
  }
  EXPECT_TRUE(open.empty());
  return elements;
}

double number(const Element& element, const char* name, double absent = std::numeric_limits<double>::quiet_NaN()) {
  const auto found = element.attributes.find(name);
  return found == element.attributes.end() ? absent : std::stod(found->second);
}

std::vector<double> numbers(const std::string& text) {
  std::vector<double> all;
  const char* at = text.c_str();
  while (*at != '\0') {
    char* end = nullptr;
    const double value = std::strtod(at, &end);
    if (end == at) {
      ++at;
      continue;
    }
    all.push_back(value);
    at = end;
  }
  return all;
}

Box grown(Box box, double by) {
  return {.left = box.left - by, .top = box.top - by, .right = box.right + by, .bottom = box.bottom + by};
}

/// Butt ends: the stroke widens across the piece only.
Box piece_box(double x1, double y1, double x2, double y2, double half) {
  const double length = std::hypot(x2 - x1, y2 - y1);
  const double across_x = length > 0.0 ? half * std::abs(y2 - y1) / length : 0.0;
  const double across_y = length > 0.0 ? half * std::abs(x2 - x1) / length : 0.0;
  return {.left = std::min(x1, x2) - across_x,
          .top = std::min(y1, y2) - across_y,
          .right = std::max(x1, x2) + across_x,
          .bottom = std::max(y1, y2) + across_y};
}

Box joined(const Box& a, const Box& b) {
  return {.left = std::min(a.left, b.left),
          .top = std::min(a.top, b.top),
          .right = std::max(a.right, b.right),
          .bottom = std::max(a.bottom, b.bottom)};
}

/// The box that an SVG element draws in, from its own attributes alone.
Box box_of(const Element& element) {
  const bool stroked = element.attributes.contains("stroke");
  const double half = stroked ? number(element, "stroke-width") / 2.0 : 0.0;
  Box box;
  if (element.name == "line") {
    return piece_box(number(element, "x1"), number(element, "y1"), number(element, "x2"), number(element, "y2"), half);
  }
  if (element.name == "circle") {
    const double x = number(element, "cx");
    const double y = number(element, "cy");
    const double r = number(element, "r");
    return grown({.left = x - r, .top = y - r, .right = x + r, .bottom = y + r}, half);
  }
  if (element.name == "rect") {
    const double x = number(element, "x");
    const double y = number(element, "y");
    return grown({.left = x, .top = y, .right = x + number(element, "width"), .bottom = y + number(element, "height")},
                 half);
  }
  if (element.name == "polyline" || element.name == "polygon") {
    const auto all = numbers(element.attributes.at("points"));
    const std::size_t count = all.size() / 2;
    const bool ring = element.name == "polygon";
    box = {.left = all[0], .top = all[1], .right = all[0], .bottom = all[1]};
    for (std::size_t i = 0; i < count; ++i) {
      const double x = all[2 * i];
      const double y = all[2 * i + 1];
      // Round joins at every point but the two free ends.
      const bool join = ring || (i > 0 && i + 1 < count);
      box = joined(box, grown({.left = x, .top = y, .right = x, .bottom = y}, join ? half : 0.0));
      if (i + 1 < count) box = joined(box, piece_box(x, y, all[2 * i + 2], all[2 * i + 3], half));
    }
    return box;
  }
  ADD_FAILURE() << "no box for <" << element.name << ">";
  return box;
}

Figure every_primitive() {
  const Stroke thin{.colour = Role::ink, .width = 1.0};
  Figure figure{.width = 200.0, .height = 120.0, .title = "All <kinds> & \"signs\"", .description = "One of each."};
  figure.primitives = {
      GroupBegin{.title = "shapes & lines", .description = "drawn"},
      Line{.from = {10.0, 10.0}, .to = {60.0, 10.0}, .stroke = {.colour = Role::soft, .width = 2.0}},
      Line{.from = {10.25, 20.5}, .to = {60.0, 45.125}, .stroke = {.colour = Role::ink, .width = 3.0}},
      Polyline{.points = {{70.0, 10.0}, {90.0, 40.0}, {110.0, 12.0}}, .stroke = {.colour = Role::accent, .width = 2.0}},
      Polyline{
          .points = {{120.0, 10.0}, {150.0, 10.0}, {135.0, 40.0}}, .closed = true, .stroke = {}, .fill = Role::wash},
      Rectangle{.corner = {160.0, 10.0}, .width = 20.0, .height = 30.0, .stroke = thin, .fill = Role::sheet},
      Circle{.centre = {20.0, 70.0}, .radius = 8.0, .stroke = thin, .fill = Role::warning},
      Arc{.centre = {50.0, 70.0}, .radius = 10.0, .from_deg = 180.0, .to_deg = 360.0, .stroke = thin},
      Line{
          .from = {70.0, 70.0}, .to = {120.0, 70.0}, .stroke = {.colour = Role::ink, .width = 2.0, .dash = {5.0, 3.0}}},
      GroupEnd{},
      Text{.at = {10.0, 100.0}, .text = "\u221217 kPa < \u00B5m & \"more\"", .style = {.size = 9.0}},
      Text{.at = {120.0, 100.0},
           .text = "48.6",
           .style = {.size = 14.0, .bold = true, .mono = true},
           .anchor = Anchor::end},
      Text{.at = {130.0, 90.0}, .text = "slanted name", .colour = Role::soft, .turn_deg = 38.0},
      Text{.at = {160.0, 60.0}, .text = "middle", .style = {.size = 8.0, .italic = true}, .anchor = Anchor::middle},
  };
  return figure;
}

// Both back ends from one display list: same number of things, same boxes. The SVG side is read back from its text and
// measured by the parser above; the Cairo side is what a recording surface inks.
TEST(BackEnds, DrawTheSamePrimitives) {
  const Figure figure = every_primitive();
  const auto text = svg(figure);
  ASSERT_TRUE(text) << to_text(text.error());
  const auto inked = ink_boxes(figure);
  ASSERT_TRUE(inked);
  ASSERT_EQ(inked->size(), figure.primitives.size());
  std::vector<Element> drawn;
  for (const Element& element : parse(*text)) {
    if (element.name != "svg" && element.name != "title" && element.name != "desc" && element.name != "g") {
      drawn.push_back(element);
    }
  }
  std::size_t at = 0;
  for (std::size_t i = 0; i < figure.primitives.size(); ++i) {
    const Primitive& primitive = figure.primitives[i];
    if (std::holds_alternative<GroupBegin>(primitive) || std::holds_alternative<GroupEnd>(primitive)) {
      EXPECT_EQ((*inked)[i].width(), 0.0);
      continue;
    }
    ASSERT_LT(at, drawn.size());
    const Element& element = drawn[at++];
    const Box& ink = (*inked)[i];
    if (const auto* words = std::get_if<Text>(&primitive)) {
      ASSERT_EQ(element.name, "text");
      EXPECT_EQ(element.text, words->text);
      // Ink of letters lies in the advance box of the anchor and angle that the SVG states.
      Text stated{.at = {number(element, "x"), number(element, "y")}, .text = element.text};
      stated.style.size = number(element, "font-size");
      stated.style.bold = element.attributes.contains("font-weight");
      stated.style.italic = element.attributes.contains("font-style");
      stated.style.mono = element.attributes.contains("font-family");
      if (element.attributes.contains("text-anchor")) {
        stated.anchor = element.attributes.at("text-anchor") == "end" ? Anchor::end : Anchor::middle;
      }
      if (element.attributes.contains("transform")) stated.turn_deg = numbers(element.attributes.at("transform"))[0];
      const Box box = around(text_corners(stated));
      const double slack = 0.08 * stated.style.size + 0.5;
      EXPECT_GE(ink.left, box.left - slack) << element.text;
      EXPECT_LE(ink.right, box.right + slack) << element.text;
      EXPECT_GE(ink.top, box.top - slack) << element.text;
      EXPECT_LE(ink.bottom, box.bottom + slack) << element.text;
      EXPECT_GT(ink.width(), 0.75 * box.width()) << element.text;
      continue;
    }
    if (std::holds_alternative<Arc>(primitive)) {
      ASSERT_EQ(element.name, "path");
      const auto path = numbers(element.attributes.at("d"));  // M x y A r r 0 0 1 x y A r r 0 0 1 x y
      ASSERT_EQ(path.size(), 16U);
      EXPECT_NEAR(ink.left, path[0] - 0.5, 0.05);
      EXPECT_NEAR(ink.top, path[8] - 0.5, 0.05);  // the middle of an arc from 180 to 360 degrees is its top
      EXPECT_NEAR(ink.right, path[14] + 0.5, 0.05);
      continue;
    }
    const Box box = box_of(element);
    EXPECT_NEAR(ink.left, box.left, 0.05) << i;
    EXPECT_NEAR(ink.top, box.top, 0.05) << i;
    EXPECT_NEAR(ink.right, box.right, 0.05) << i;
    EXPECT_NEAR(ink.bottom, box.bottom, 0.05) << i;
  }
  EXPECT_EQ(at, drawn.size());
}

TEST(Svg, IsReadableByMachines) {
  const auto text = svg(every_primitive(), {.colours = SvgColours::fixed, .id = "grade-1"});
  ASSERT_TRUE(text);
  const auto elements = parse(*text);
  ASSERT_FALSE(elements.empty());
  EXPECT_EQ(elements[0].attributes.at("role"), "img");
  EXPECT_EQ(elements[0].attributes.at("aria-labelledby"), "grade-1-title grade-1-desc");
  EXPECT_EQ(elements[1].name, "title");
  EXPECT_EQ(elements[1].text, "All <kinds> & \"signs\"");
  EXPECT_EQ(elements[2].name, "desc");
  EXPECT_NE(text->find("stroke-dasharray=\"5 3\""), std::string::npos);
  EXPECT_EQ(*text, *svg(every_primitive(), {.colours = SvgColours::fixed, .id = "grade-1"}));
}

TEST(Svg, LeavesColoursToThePageWhenAsked) {
  const auto text = svg(every_primitive(), {.colours = SvgColours::page});
  ASSERT_TRUE(text);
  EXPECT_EQ(text->find('#'), std::string::npos);
  const std::string sheet = svg_style_sheet();
  for (const Element& element : parse(*text)) {
    if (!element.attributes.contains("class")) continue;
    std::istringstream names(element.attributes.at("class"));
    for (std::string name; names >> name;) {
      EXPECT_NE(sheet.find("." + name + "{"), std::string::npos) << name;
    }
  }
}

TEST(Svg, NumbersKeepNoNoise) {
  EXPECT_EQ(svg_number(0.0), "0");
  EXPECT_EQ(svg_number(-0.001), "0");
  EXPECT_EQ(svg_number(12.5), "12.5");
  EXPECT_EQ(svg_number(-3.14159), "-3.14");
  EXPECT_EQ(svg_number(1000.0), "1000");
}

TEST(Figures, UnsoundOnesAreRefusedByBothBackEnds) {
  const auto field = [](const Figure& figure) {
    const auto text = svg(figure);
    const auto picture = png(figure);
    EXPECT_EQ(text.has_value(), picture.has_value());
    return text ? std::string("accepted") : text.error().front().where.field;
  };
  Figure figure = every_primitive();
  EXPECT_EQ(field(figure), "accepted");
  std::get<Line>(figure.primitives[1]).to.x = required;
  EXPECT_EQ(field(figure), "figure.2.to.x");
  figure = every_primitive();
  std::get<Text>(figure.primitives[10]).text = "\u03C1";
  EXPECT_EQ(field(figure), "figure.11.text");
  figure = every_primitive();
  std::get<Text>(figure.primitives[10]).text = "bad \xFF bytes";
  EXPECT_EQ(field(figure), "figure.11.text");
  figure = every_primitive();
  figure.primitives.pop_back();
  figure.primitives.emplace_back(GroupEnd{});
  EXPECT_EQ(field(figure), "figure.14");
  figure = every_primitive();
  figure.primitives.emplace_back(GroupBegin{.title = "open", .description = {}});
  EXPECT_EQ(field(figure), "figure");
  figure = every_primitive();
  figure.width = 0.0;
  EXPECT_EQ(field(figure), "figure.size");
  figure = every_primitive();
  std::get<Rectangle>(figure.primitives[5]).width = -1.0;
  EXPECT_EQ(field(figure), "figure.6.width");
  EXPECT_EQ(svg(every_primitive(), {.colours = SvgColours::fixed, .id = "1 bad"}).error().front().where.field,
            "svg.id");
}

TEST(Png, HasTheScaledSizeAndIsRepeatable) {
  const auto bytes = png(every_primitive(), 2.0);
  ASSERT_TRUE(bytes);
  ASSERT_GT(bytes->size(), 24U);
  EXPECT_EQ(bytes->substr(1, 3), "PNG");
  const auto word32 = [&](std::size_t at) {
    std::uint32_t value = 0;
    for (std::size_t i = 0; i < 4; ++i) value = value << 8U | static_cast<unsigned char>((*bytes)[at + i]);
    return value;
  };
  EXPECT_EQ(word32(16), 400U);
  EXPECT_EQ(word32(20), 240U);
  EXPECT_EQ(*bytes, *png(every_primitive(), 2.0));
  EXPECT_EQ(png(every_primitive(), 0.0).error().front().where.field, "png.scale");
  Figure large = every_primitive();
  large.width = 5000.0;
  large.height = 5000.0;
  EXPECT_EQ(png(large, 3.0).error().front().code, ErrorCode::too_large);
}

TEST(MarkedWord, ShowsTheOutcomeWithoutColour) {
  const auto rules = [](Mark mark) {
    std::vector<Line> lines;
    const auto marked = marked_word(mark, word(mark), {0.0, 10.0}, 8.0);
    EXPECT_TRUE(marked.has_value());
    for (const Primitive& primitive : marked->primitives) {
      if (const auto* line = std::get_if<Line>(&primitive)) lines.push_back(*line);
    }
    return lines;
  };
  ASSERT_EQ(rules(Mark::holds).size(), 1U);
  ASSERT_EQ(rules(Mark::narrow).size(), 1U);
  EXPECT_GT(rules(Mark::holds)[0].stroke.width, 3.0 * rules(Mark::narrow)[0].stroke.width);
  EXPECT_EQ(rules(Mark::fails).size(), 4U);  // a cross of two strokes and a double rule
  ASSERT_EQ(rules(Mark::not_known).size(), 1U);
  EXPECT_FALSE(rules(Mark::not_known)[0].stroke.dash.empty());
}

// WCAG 2.1, 1.4.3 (AA): text at least 4.5 to 1 on its ground; 1.4.11: graphics at least 3 to 1.
TEST(Roles, ContrastMeetsAaInBothSheets) {
  const auto luminance = [](Rgb colour) {
    const auto linear = [](double channel) {
      channel /= 255.0;
      return channel <= 0.04045 ? channel / 12.92 : std::pow((channel + 0.055) / 1.055, 2.4);
    };
    return 0.2126 * linear(colour.red) + 0.7152 * linear(colour.green) + 0.0722 * linear(colour.blue);
  };
  const auto contrast = [&](Rgb a, Rgb b) {
    const double bright = std::max(luminance(a), luminance(b));
    const double dim = std::min(luminance(a), luminance(b));
    return (bright + 0.05) / (dim + 0.05);
  };
  for (const auto& colour : {light, dark}) {
    for (const Role ground : {Role::paper, Role::sheet, Role::wash}) {
      for (const Role text : {Role::ink, Role::soft, Role::accent}) {
        EXPECT_GE(contrast(colour(text), colour(ground)), 4.5) << name(text) << " on " << name(ground);
      }
    }
    for (const Role bar : {Role::danger, Role::warning, Role::notice}) {
      EXPECT_GE(contrast(colour(bar), colour(Role::paper)), 3.0) << name(bar);
    }
  }
}

}  // namespace
}  // namespace fw::report
