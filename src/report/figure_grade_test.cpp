// SPDX-License-Identifier: Apache-2.0
#include "report/figure_grade.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include <gtest/gtest.h>

#include "figure_parts.hpp"
#include "report/canvas.hpp"
#include "report/figure_axis.hpp"
#include "report/figure_label.hpp"
#include "report/font.hpp"
#include "report/svg.hpp"

namespace fw::report {
namespace {

using test::all;

GradeLineData sample() {
  GradeLineData data{.title = "Grade line, rated power, \u221210 \u00B0C", .unit = "kPa"};
  struct Part {
    const char* name;
    double value;
    double low;
    double high;
  };
  for (const Part& part : {Part{.name = "tank", .value = 0.0, .low = 0.0, .high = 0.0},
                           Part{.name = "sump", .value = -1.2, .low = -1.9, .high = -0.8},
                           Part{.name = "hose \u221210", .value = -2.6, .low = -5.2, .high = -1.6},
                           Part{.name = "assist pump", .value = 78.0, .low = 66.0, .high = 84.0},
                           Part{.name = "filter 1", .value = 71.0, .low = 57.0, .high = 80.0},
                           Part{.name = "separator", .value = 60.2, .low = 43.0, .high = 74.0},
                           Part{.name = "engine filter", .value = 49.5, .low = 31.0, .high = 69.0},
                           Part{.name = "pump inlet", .value = 48.6, .low = 29.5, .high = 68.4}}) {
    data.points.push_back(
        {.name = part.name, .value = part.value, .band = ValueBand{.low = part.low, .high = part.high}});
  }
  data.limits = {{.value = 21.0, .words = "21 least at inlet", .first = 7, .last = 7},
                 {.value = 83.0, .words = "83 most at inlet", .first = 7, .last = 7},
                 {.value = -17.0, .words = "\u221217 most vacuum", .first = 1, .last = 2}};
  data.marks = {{.at = 2, .mark = Mark::holds, .words = {}},
                {.at = 6, .mark = Mark::fails, .words = "fails: change it"},
                {.at = 7, .mark = Mark::narrow, .words = "narrow, 8 in 100"}};
  data.end_value = "48.6";
  data.end_note = "29 to 68";
  return data;
}

ComparisonData three_sheets() {
  ComparisonData data{.title = "Three sheets", .unit = "psi"};
  data.stations = {"tank", "separator", "plain filter", "assist pump", "pump inlet"};
  data.sheets = {{.sheet = Sheet::as_designed,
                  .words = "as designed",
                  .values = {0.0, -1.8, std::nullopt, std::nullopt, 6.9},
                  .bands = {},
                  .end_value = "6.9"},
                 {.sheet = Sheet::as_found,
                  .words = "as found",
                  .values = {0.0, std::nullopt, -5.0, std::nullopt, 6.5},
                  .bands = {},
                  .end_value = "6.5"},
                 {.sheet = Sheet::as_rebuilt,
                  .words = "as rebuilt",
                  .values = {0.0, -0.5, std::nullopt, 9.0, 7.0},
                  .bands = {ValueBand{.low = 0.0, .high = 0.0}, ValueBand{.low = -1.0, .high = 0.0}, std::nullopt,
                            ValueBand{.low = 8.0, .high = 10.0}, ValueBand{.low = 5.5, .high = 8.0}},
                  .end_value = "7.0"}};
  data.limits = {{.value = 6.6, .words = "6.6 least at inlet", .first = 4, .last = 4}};
  return data;
}

std::vector<Corners> label_boxes(const Figure& figure) {
  std::vector<Corners> boxes;
  for (const Primitive& primitive : figure.primitives) {
    if (const auto* text = std::get_if<Text>(&primitive)) boxes.push_back(text_corners(*text));
  }
  return boxes;
}

void expect_no_label_touches(const Figure& figure) {
  const auto boxes = label_boxes(figure);
  for (std::size_t i = 0; i < boxes.size(); ++i) {
    const Box box = around(boxes[i]);
    EXPECT_GE(box.left, -0.5) << figure.title;
    EXPECT_LE(box.right, figure.width + 0.5) << figure.title << " label " << i;
    EXPECT_LE(box.bottom, figure.height + 1.0) << figure.title << " label " << i;
    for (std::size_t k = 0; k < i; ++k)
      EXPECT_FALSE(overlap(boxes[i], boxes[k], 0.6)) << figure.title << " " << i << "," << k;
  }
}

TEST(GradeLine, PutsEveryValueAtItsHeight) {
  const GradeLineData data = sample();
  const auto figure = grade_line_figure(data);
  ASSERT_TRUE(figure) << to_text(figure.error());
  // The axis labels give the scale: two ticks fix the line through all values.
  std::vector<Text> ticks;
  for (const Text& text : all<Text>(*figure)) {
    if (text.anchor == Anchor::end && text.text != "kPa") ticks.push_back(text);
  }
  ASSERT_GE(ticks.size(), 3U);
  const auto value_of = [](const Text& text) {
    return text.text.starts_with("\u2212") ? -std::stod(text.text.substr(3)) : std::stod(text.text);
  };
  const double scale = (ticks.back().at.y - ticks.front().at.y) / (value_of(ticks.back()) - value_of(ticks.front()));
  const auto circles = all<Circle>(*figure);
  ASSERT_EQ(circles.size(), data.points.size());
  const double baseline = 0.36 * data.size.text_size;  // of a tick's label below its line
  for (std::size_t i = 0; i < circles.size(); ++i) {
    const double y = ticks.front().at.y - baseline + (data.points[i].value - value_of(ticks.front())) * scale;
    EXPECT_NEAR(circles[i].centre.y, y, 1e-9) << data.points[i].name;
  }
  // Wash: both bounds of every band, there and back.
  bool washed = false;
  for (const Polyline& line : all<Polyline>(*figure)) {
    if (line.fill != Role::wash) continue;
    washed = true;
    ASSERT_EQ(line.points.size(), 2 * data.points.size());
    for (std::size_t i = 0; i < data.points.size(); ++i) {
      const double rise = (data.points[i].band->low - data.points[i].band->high) * scale;
      EXPECT_NEAR(line.points[line.points.size() - 1 - i].y - line.points[i].y, rise, 1e-9);
    }
  }
  EXPECT_TRUE(washed);
}

TEST(GradeLine, SaysEverythingInWords) {
  const auto figure = grade_line_figure(sample());
  ASSERT_TRUE(figure);
  for (const char* words : {"pump inlet: 48.6 (29.5 to 68.4)", "sump: \u22121.2", "21 least at inlet",
                            "At engine filter: fails: change it", "At hose \u221210: holds"}) {
    EXPECT_NE(figure->description.find(words), std::string::npos) << words << " in " << figure->description;
  }
}

TEST(GradeLine, LabelsNeverTouch) {
  for (const double width : {335.0, 420.0, 482.0, 640.0}) {
    GradeLineData data = sample();
    data.size.width = width;
    const auto figure = grade_line_figure(data);
    ASSERT_TRUE(figure);
    expect_no_label_touches(*figure);
  }
  // Limits and value on one spot, many places, long names.
  GradeLineData crowd = sample();
  crowd.limits = {{.value = 48.6, .words = "48.6 least at inlet", .first = 7, .last = 7},
                  {.value = 49.0, .words = "49 most at inlet", .first = 7, .last = 7},
                  {.value = 48.0, .words = "48 where it begins to starve", .first = 7, .last = 7}};
  auto figure = grade_line_figure(crowd);
  ASSERT_TRUE(figure);
  expect_no_label_touches(*figure);
  GradeLineData many = sample();
  many.points.clear();
  for (int i = 0; i < 30; ++i) {
    many.points.push_back({.name = "part with a name " + std::to_string(i), .value = 50.0 - 3.0 * i, .band = {}});
  }
  many.limits.clear();
  many.marks = {{.at = 29, .mark = Mark::not_known, .words = {}}};
  figure = grade_line_figure(many);
  ASSERT_TRUE(figure);
  expect_no_label_touches(*figure);
}

TEST(GradeLine, ConstantPressureHasAnAxis) {
  GradeLineData const data{
      .title = "flat", .unit = "kPa", .points = {{.name = "a", .value = 3.0}, {.name = "b", .value = 3.0}}};
  const auto figure = grade_line_figure(data);
  ASSERT_TRUE(figure) << to_text(figure.error());
  for (const Circle& circle : all<Circle>(*figure)) EXPECT_TRUE(std::isfinite(circle.centre.y));
}

TEST(GradeLine, NamesTheBadField) {
  const auto field = [](const GradeLineData& data) -> std::string {
    const auto figure = grade_line_figure(data);
    return figure ? "accepted" : figure.error().front().where.field;
  };
  GradeLineData data = sample();
  data.points[2].value = required;
  EXPECT_EQ(field(data), "points.3.value");
  data = sample();
  data.points[1].band = ValueBand{.low = 2.0, .high = 1.0};
  EXPECT_EQ(field(data), "points.2.band");
  data = sample();
  data.points[0].name = "\u03C1 of the tank";  // rho is not in the fonts
  EXPECT_EQ(field(data), "points.1.name");
  data = sample();
  data.limits[1].last = 8;
  EXPECT_EQ(field(data), "limits.2");
  data = sample();
  data.marks[0].at = 8;
  EXPECT_EQ(field(data), "marks.1.at");
  data = sample();
  data.marks[0].words = "all right";
  EXPECT_EQ(field(data), "marks.1.words");
  data = sample();
  data.points.resize(1);
  EXPECT_EQ(field(data), "points");
  data = sample();
  data.size.width = 20.0;
  EXPECT_EQ(field(data), "size");
  data = sample();
  data.size.width = std::numeric_limits<double>::infinity();
  EXPECT_EQ(field(data), "size.width");
}

TEST(Comparison, TellsSheetsApartWithoutColour) {
  const auto figure = comparison_figure(three_sheets());
  ASSERT_TRUE(figure) << to_text(figure.error());
  expect_no_label_touches(*figure);
  std::vector<std::pair<double, std::vector<double>>> manners;  // width and dash
  for (const Polyline& line : all<Polyline>(*figure)) {
    if (line.stroke.colour != Role::none) manners.emplace_back(line.stroke.width, line.stroke.dash);
  }
  ASSERT_EQ(manners.size(), 3U);
  for (std::size_t i = 0; i < 3; ++i) {
    for (std::size_t k = 0; k < i; ++k) {
      const bool weight =
          std::max(manners[i].first, manners[k].first) >= 1.5 * std::min(manners[i].first, manners[k].first);
      EXPECT_TRUE(weight || manners[i].second != manners[k].second) << i << "," << k;
    }
  }
  for (const char* words : {"as designed", "as found", "as rebuilt"}) {
    const auto texts = all<Text>(*figure);
    EXPECT_TRUE(std::any_of(texts.begin(), texts.end(), [&](const Text& text) { return text.text == words; })) << words;
  }
}

TEST(Comparison, StaysLevelWhereASheetHasNoPart) {
  const auto figure = comparison_figure(three_sheets());
  ASSERT_TRUE(figure);
  const auto lines = all<Polyline>(*figure);
  const auto designed = std::find_if(lines.begin(), lines.end(), [](const Polyline& line) {
    return line.stroke.colour == Role::soft && line.points.size() == 5;
  });
  ASSERT_NE(designed, lines.end());
  EXPECT_DOUBLE_EQ(designed->points[1].y, designed->points[2].y);
  EXPECT_DOUBLE_EQ(designed->points[1].y, designed->points[3].y);
  EXPECT_LT(designed->points[4].y, designed->points[3].y);  // 6.9 lies above -1.8
}

TEST(Comparison, NamesTheBadField) {
  ComparisonData data = three_sheets();
  data.sheets[1].sheet = Sheet::as_designed;
  EXPECT_EQ(comparison_figure(data).error().front().where.field, "sheets.2.sheet");
  data = three_sheets();
  data.sheets[1].values.pop_back();
  EXPECT_EQ(comparison_figure(data).error().front().where.field, "sheets.2.values");
  data = three_sheets();
  data.sheets[0].bands = data.sheets[2].bands;
  EXPECT_EQ(comparison_figure(data).error().front().where.field, "sheets");
  data = three_sheets();
  data.sheets[0].values[0] = required;
  EXPECT_EQ(comparison_figure(data).error().front().where.field, "sheets.1.values.1");
  data = three_sheets();
  data.sheets.clear();
  EXPECT_EQ(comparison_figure(data).error().front().where.field, "sheets");
}

TEST(MergeStations, KeepsOrderAndSharesNames) {
  const std::vector<std::vector<std::string>> sheets = {{"tank", "separator", "pump", "filter", "inlet"},
                                                        {"tank", "filter", "pump", "filter", "inlet"},
                                                        {"tank", "pump", "inlet"}};
  const MergedStations merged = merge_stations(sheets);
  ASSERT_EQ(merged.places.size(), 3U);
  for (std::size_t k = 0; k < sheets.size(); ++k) {
    ASSERT_EQ(merged.places[k].size(), sheets[k].size());
    for (std::size_t i = 0; i < sheets[k].size(); ++i) {
      EXPECT_EQ(merged.stations.at(merged.places[k][i]), sheets[k][i]);
      if (i > 0) {
        EXPECT_GT(merged.places[k][i], merged.places[k][i - 1]);
      }
    }
  }
  EXPECT_EQ(merged.stations.size(), 6U);  // one place of its own on either side
  EXPECT_TRUE(merge_stations({}).stations.empty());
}

TEST(Ticks, CoverTheRangeInRoundSteps) {
  for (const auto& [low, high] :
       {std::pair{-17.0, 84.0}, {0.0, 1.0}, {-0.003, 0.0041}, {99.0, 101.0}, {5.0, 5.0}, {0.0, 12345.0}}) {
    const Ticks ticks = round_ticks({.low = low, .high = high}, 6);
    EXPECT_LE(ticks.low, low + 1e-9);
    EXPECT_GE(ticks.high, high - 1e-9);
    EXPECT_GE(ticks.values.size(), 3U) << low << " " << high;
    EXPECT_LE(ticks.values.size(), 13U) << low << " " << high;
    const double lead = ticks.step / std::pow(10.0, std::floor(std::log10(ticks.step) + 1e-9));
    EXPECT_TRUE(std::abs(lead - 1.0) < 1e-9 || std::abs(lead - 2.0) < 1e-9 || std::abs(lead - 5.0) < 1e-9) << lead;
    // Printed with the stated decimals, no two ticks read the same.
    for (std::size_t i = 1; i < ticks.values.size(); ++i) {
      EXPECT_NE(tick_label(ticks.values[i], ticks.decimals), tick_label(ticks.values[i - 1], ticks.decimals));
    }
  }
  EXPECT_EQ(tick_label(-0.0001, 1), "0.0");
  EXPECT_EQ(tick_label(-20.0, 0), "\u221220");
}

TEST(SpreadLabels, KeepsGapsOrderAndBounds) {
  const std::vector<SpreadLabel> labels = {
      {.at = 10.0, .size = 8.0}, {.at = 11.0, .size = 8.0}, {.at = 50.0, .size = 8.0}, {.at = 12.0, .size = 8.0}};
  const auto at = spread_labels(labels, {.low = 0.0, .high = 100.0, .gap = 2.0});
  EXPECT_NEAR(at[1] - at[0], 10.0, 1e-9);
  EXPECT_NEAR(at[3] - at[1], 10.0, 1e-9);
  EXPECT_NEAR((at[0] + at[1] + at[3]) / 3.0, 14.0, 1e-9);  // wish of 11, held by the upper bound at 0: 4, 14, 24
  EXPECT_DOUBLE_EQ(at[2], 50.0);
  const auto free =
      spread_labels({{.at = 30.0, .size = 8.0}, {.at = 31.0, .size = 8.0}}, {.low = 0.0, .high = 100.0, .gap = 2.0});
  EXPECT_NEAR(free[0], 25.5, 1e-9);
  EXPECT_NEAR(free[1], 35.5, 1e-9);
}

TEST(LabelPlacer, PrefersFreeGround) {
  LabelPlacer placer({.left = 0.0, .top = 0.0, .right = 100.0, .bottom = 100.0});
  placer.keep_off({.left = 0.0, .top = 0.0, .right = 20.0, .bottom = 20.0});
  placer.keep_off_line({0.0, 50.0}, {100.0, 50.0});
  const std::vector<Box> wishes = {{.left = 5.0, .top = 5.0, .right = 15.0, .bottom = 15.0},
                                   {.left = 40.0, .top = 45.0, .right = 60.0, .bottom = 55.0},
                                   {.left = 40.0, .top = 70.0, .right = 60.0, .bottom = 80.0}};
  EXPECT_EQ(placer.place(wishes), 2U);
  EXPECT_EQ(placer.place(wishes), 1U);  // the free one is taken, a line is better than a label
}

TEST(Corners, OverlapIsSeenBetweenTurnedBoxes) {
  const Corners level = corners({.left = 0.0, .top = 0.0, .right = 10.0, .bottom = 10.0});
  const Corners diamond = {Point{15.0, 5.0}, Point{20.0, 10.0}, Point{15.0, 15.0}, Point{10.0, 10.0}};
  EXPECT_FALSE(overlap(level, diamond, 0.0));  // upright boxes around them share a corner region, they do not
  const Corners nearer = {Point{13.0, 3.0}, Point{18.0, 8.0}, Point{13.0, 13.0}, Point{8.0, 8.0}};
  EXPECT_TRUE(overlap(level, nearer, 0.0));
}

}  // namespace
}  // namespace fw::report
