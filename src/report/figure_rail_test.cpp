// SPDX-License-Identifier: Apache-2.0
#include "report/figure_rail.hpp"

#include <cmath>
#include <limits>

#include <gtest/gtest.h>

#include "figure_parts.hpp"
#include "report/font.hpp"

namespace fw::report {
namespace {

using test::all;

CurvesData three_lines() {
  return {.title = "Rail pressure in a full pull",
          .unit = "MPa",
          .x_axis = "time, s",
          .curves = {{.words = "rail", .line = CurveLine::heavy, .x = {0, 1, 2}, .y = {35, 90, 180}},
                     {.words = "set", .line = CurveLine::dashed, .x = {0, 1, 2}, .y = {35, 100, 180}},
                     {.words = "first injector", .line = CurveLine::dash_dot, .x = {0, 1, 2}, .y = {34, 80, 179}}},
          .levels = {{.value = 210, .words = "relief valve opens"}},
          .spans = {{.from = 0.0, .to = 0.5, .words = "idle"}},
          .notes = {"Computed."}};
}

// Lines that end at one height keep their words apart, and nothing leaves the figure.
TEST(FigureRail, KeepsItsWordsApart) {
  for (const double width : {260.0, 482.0, 1200.0}) {
    CurvesData data = three_lines();
    data.size.width = width;
    const auto figure = curves_figure(data);
    ASSERT_TRUE(figure.has_value()) << to_text(figure.error());
    const auto texts = all<Text>(*figure);
    for (std::size_t i = 0; i < texts.size(); ++i) {
      const Box box = around(text_corners(texts[i]));
      EXPECT_GE(box.left, -0.5) << texts[i].text;
      EXPECT_LE(box.right, figure->width + 0.5) << texts[i].text;
      EXPECT_LE(box.bottom, figure->height + 1.0) << texts[i].text;
      for (std::size_t k = 0; k < i; ++k) {
        EXPECT_FALSE(overlap(text_corners(texts[i]), text_corners(texts[k]), 1.6))
            << texts[i].text << " on " << texts[k].text << " at " << width;
      }
    }
  }
}

// Without colour the lines still differ: each has a weight and dash of its own.
TEST(FigureRail, TellsLinesApartInGrey) {
  CurvesData data = three_lines();
  data.curves.push_back({.words = "engine", .line = CurveLine::thin, .x = {0, 2}, .y = {40, 60}});
  data.curves.push_back({.words = "equal", .line = CurveLine::faint, .x = {0, 2}, .y = {50, 70}});
  const auto lines = all<Polyline>(curves_figure(data).value());
  ASSERT_EQ(lines.size(), 5U);
  for (std::size_t i = 0; i < lines.size(); ++i) {
    for (std::size_t k = 0; k < i; ++k) {
      EXPECT_TRUE(lines[i].stroke.dash != lines[k].stroke.dash ||
                  std::abs(lines[i].stroke.width - lines[k].stroke.width) > 0.15)
          << i << " " << k;
    }
  }
}

// A point at the middle of both axes is drawn there.
TEST(FigureRail, DrawsValuesAtTheirPlace) {
  CurvesData data = three_lines();
  data.levels.clear();
  data.curves = {{.words = "", .line = CurveLine::heavy, .x = {0, 1, 2}, .y = {0, 50, 100}, .dots = true}};
  const auto circles = all<Circle>(curves_figure(data).value());
  ASSERT_EQ(circles.size(), 3U);
  EXPECT_NEAR(circles[1].centre.x, 0.5 * (circles[0].centre.x + circles[2].centre.x), 1e-9);
  EXPECT_NEAR(circles[1].centre.y, 0.5 * (circles[0].centre.y + circles[2].centre.y), 1e-9);
  EXPECT_LT(circles[2].centre.y, circles[0].centre.y);
}

TEST(FigureRail, NamesTheBadField) {
  const auto field = [](auto change) {
    CurvesData data = three_lines();
    change(data);
    const auto figure = curves_figure(data);
    EXPECT_FALSE(figure.has_value());
    return figure.error().front().where.field;
  };
  EXPECT_EQ(field([](CurvesData& d) { d.curves.clear(); }), "curves");
  EXPECT_EQ(field([](CurvesData& d) { d.curves[1].y.pop_back(); }), "curves.2");
  EXPECT_EQ(field([](CurvesData& d) { d.curves[0].y[1] = std::numeric_limits<double>::quiet_NaN(); }), "curves.1");
  EXPECT_EQ(field([](CurvesData& d) { d.spans[0].to = -1.0; }), "spans.1");
  EXPECT_EQ(field([](CurvesData& d) { d.levels[0].value = required; }), "levels.1");
  EXPECT_EQ(field([](CurvesData& d) { d.size.width = 20.0; }), "size");
}

}  // namespace
}  // namespace fw::report
