// SPDX-License-Identifier: Apache-2.0
#include "report/figure_strips.hpp"

#include <algorithm>

#include <gtest/gtest.h>

#include "figure_parts.hpp"
#include "report/canvas.hpp"
#include "report/figure_grid.hpp"
#include "report/font.hpp"

namespace fw::report {
namespace {

using test::all;

void expect_no_label_touches(const Figure& figure) {
  EXPECT_TRUE(check(figure)) << figure.title;
  const auto texts = all<Text>(figure);
  ASSERT_GT(texts.size(), 4U);
  for (std::size_t i = 0; i < texts.size(); ++i) {
    const Box box = around(text_corners(texts[i]));
    EXPECT_GE(box.left, -0.5) << texts[i].text;
    EXPECT_LE(box.right, figure.width + 0.5) << texts[i].text;
    EXPECT_LE(box.bottom, figure.height + 1.0) << texts[i].text;
    for (std::size_t k = 0; k < i; ++k) {
      // Line boxes hold room for accents; letters touch where the boxes share more than that.
      EXPECT_FALSE(overlap(text_corners(texts[i]), text_corners(texts[k]), 1.6))
          << figure.title << ": " << texts[i].text << " on " << texts[k].text;
    }
  }
}

StripsData strips() {
  StripsData data{.title = "What matters", .unit = "kPa", .nominal = 48.6, .nominal_words = "48.6 most likely"};
  data.limit = 21.0;
  data.limit_words = "21 least at inlet";
  data.strips = {{.name = "filter loading, engine filter",
                  .at_low = 64.0,
                  .at_high = 29.0,
                  .low_words = "clean",
                  .high_words = "end of life",
                  .note = "typical: read the gauge"},
                 {.name = "push hose length",
                  .at_low = 52.0,
                  .at_high = 44.0,
                  .low_words = "1.5 m",
                  .high_words = "3.1 m",
                  .note = "assumed: measure it"},
                 {.name = "assist pump set",
                  .at_low = 43.0,
                  .at_high = 54.0,
                  .low_words = "8 psi",
                  .high_words = "10 psi",
                  .note = ""}};
  return data;
}

EnvelopeMapData envelope() {
  EnvelopeMapData data{.title = "Envelope", .unit = "kPa", .column_axis = "engine", .row_axis = "fuel, filters"};
  data.columns = {"crank", "idle", "rated power"};
  data.rows = {"20 \u00B0C, clean", "\u221220 \u00B0C, spent, low tank, 11.8 V"};
  data.cells = {{{.mark = Mark::holds, .value = "71.0"},
                 {.mark = Mark::holds, .value = "70.2"},
                 {.mark = Mark::narrow, .value = "24.1"}},
                {{.mark = std::nullopt, .value = {}},
                 {.mark = Mark::not_known, .value = "\u2013"},
                 {.mark = Mark::fails, .value = "18.4", .governs = true}}};
  return data;
}

GaugeBookData gauges() {
  GaugeBookData data{
      .title = "Gauge book", .unit = "kPa", .ports = {"V1", "P3"}, .places = {"suction hose", "pump inlet"}};
  data.rows = {
      {.name = "healthy",
       .tell = {},
       .cells = {{.value = "\u22125.2", .band = "\u22128 to \u22124"}, {.value = "104", .band = "88 to 115"}}},
      {.name = "pickup strainer plugged",
       .tell = "V1 falls first",
       .cells = {{.value = "\u221238", .band = "\u221252 to \u221230", .differs = true}, {.value = {}, .band = {}}}}};
  return data;
}

CoverageData coverage() {
  CoverageData data{.title = "Coverage"};
  data.places = {"tank",         "strainer",      "suction hose", "plain filter head",
                 "chassis pump", "engine filter", "pump inlet"};
  data.rows = {{.name = "solids",
                .spans = {{.first = 1, .last = 3, .cover = Cover::partly, .words = "strainer 100 \u00B5m"},
                          {.first = 3, .last = 5, .cover = Cover::partly, .words = "10 \u00B5m"},
                          {.first = 5, .last = 6, .cover = Cover::full, .words = "4 \u00B5m, \u03B2 200"}},
                .marks = {}},
               {.name = "water sensed",
                .spans = {},
                .marks = {{.at = 3, .works = false, .words = "sensor unplugged"},
                          {.at = 4, .works = true, .words = "new sensor"}}}};
  return data;
}

TEST(Strips, WordsOfCloseLinesGiveWayToEachOther) {
  for (const double limit : {47.0, 48.5, 48.6, 48.7, 50.0}) {
    for (const double width : {335.0, 482.0}) {
      StripsData data = strips();
      data.limit = limit;
      data.size.width = width;
      const auto figure = strips_figure(data);
      ASSERT_TRUE(figure);
      expect_no_label_touches(*figure);
    }
  }
}

TEST(Strips, ReachFromLowToHighOnTheAxis) {
  const auto figure = strips_figure(strips());
  ASSERT_TRUE(figure) << to_text(figure.error());
  expect_no_label_touches(*figure);
  // Axis numbers give the scale: every strip ends where its value stands.
  std::vector<Text> ticks;
  for (const Text& text : all<Text>(*figure)) {
    if (text.anchor == Anchor::middle && text.text.find(' ') == std::string::npos) ticks.push_back(text);
  }
  ASSERT_GE(ticks.size(), 3U);
  const double scale =
      (ticks.back().at.x - ticks.front().at.x) / (std::stod(ticks.back().text) - std::stod(ticks.front().text));
  const auto dots = all<Circle>(*figure);
  ASSERT_EQ(dots.size(), 6U);
  const StripsData data = strips();
  for (std::size_t i = 0; i < data.strips.size(); ++i) {
    const auto x = [&](double value) { return ticks.front().at.x + (value - std::stod(ticks.front().text)) * scale; };
    EXPECT_NEAR(dots[2 * i].centre.x, x(data.strips[i].at_low), 1e-9);
    EXPECT_NEAR(dots[2 * i + 1].centre.x, x(data.strips[i].at_high), 1e-9);
    EXPECT_NE(dots[2 * i].fill, dots[2 * i + 1].fill);  // low end open, high end filled
  }
}

TEST(Strips, NominalBesideTheLimitKeepsWordsApart) {
  StripsData data = strips();
  data.nominal = 22.0;
  data.nominal_words = "22.0 most likely";
  const auto figure = strips_figure(data);
  ASSERT_TRUE(figure);
  expect_no_label_touches(*figure);
}

TEST(EnvelopeMap, EveryCellHasItsWord) {
  const auto figure = envelope_map_figure(envelope());
  ASSERT_TRUE(figure) << to_text(figure.error());
  expect_no_label_touches(*figure);
  const auto count = [&](std::string_view words) {
    const auto texts = all<Text>(*figure);
    return std::count_if(texts.begin(), texts.end(), [&](const Text& text) { return text.text == words; });
  };
  EXPECT_EQ(count("holds"), 2);
  EXPECT_EQ(count("narrow"), 1);
  EXPECT_EQ(count("fails"), 1);
  EXPECT_EQ(count("not known"), 1);
  EXPECT_EQ(all<Rectangle>(*figure).size(), 1U);  // the governing point is framed
  EXPECT_NE(figure->description.find("rated power 18.4, the governing point (fails)"), std::string::npos)
      << figure->description;
}

TEST(EnvelopeMap, GrowsRatherThanOverprints) {
  EnvelopeMapData data = envelope();
  data.columns.clear();
  data.cells.assign(1, {});
  data.rows.resize(1);
  for (int i = 0; i < 14; ++i) {
    data.columns.push_back("running point " + std::to_string(i));
    data.cells[0].push_back({.mark = Mark::not_known, .value = "123.4"});
  }
  const auto figure = envelope_map_figure(data);
  ASSERT_TRUE(figure);
  EXPECT_GT(figure->width, data.size.width);
  expect_no_label_touches(*figure);
}

TEST(GaugeBook, MarksWhatTells) {
  const auto figure = gauge_book_figure(gauges());
  ASSERT_TRUE(figure) << to_text(figure.error());
  expect_no_label_touches(*figure);
  EXPECT_EQ(all<Rectangle>(*figure).size(), 1U);
  for (const Text& text : all<Text>(*figure)) {
    if (text.text == "\u221238" || text.text == "104") {
      EXPECT_EQ(text.style.bold, text.text != "104") << text.text;
    }
  }
  EXPECT_NE(figure->description.find(
                "pickup strainer plugged: V1 \u221238 (\u221252 to \u221230), tells; P3 no reading. V1 falls first."),
            std::string::npos)
      << figure->description;
}

TEST(Titled, PutsTheTitleAboveInAsManyLinesAsItNeeds) {
  StripsData data = strips();
  data.title = "A title of many words that no figure of this width could hold in a single line of its own";
  data.size.width = 335.0;
  const Figure bare = strips_figure(data).value();
  const Figure figure = titled(bare).value();
  EXPECT_GT(figure.height, bare.height + 2.0 * 13.0);
  expect_no_label_touches(figure);
}

TEST(Coverage, ThicknessAndCrossesTellItInGrey) {
  const auto figure = coverage_figure(coverage());
  ASSERT_TRUE(figure) << to_text(figure.error());
  expect_no_label_touches(*figure);
  double partly = 0.0;
  double full = 0.0;
  for (const Line& line : all<Line>(*figure)) {
    if (line.stroke.colour != Role::accent) continue;
    full = std::max(full, line.stroke.width);
    partly = partly == 0.0 ? line.stroke.width : std::min(partly, line.stroke.width);
  }
  EXPECT_GT(full, 2.5 * partly);
  EXPECT_NE(figure->description.find("engine filter to pump inlet covered (4 \u00B5m, \u03B2 200)"), std::string::npos)
      << figure->description;
  EXPECT_NE(figure->description.find("sensor unplugged at plain filter head"), std::string::npos);
}

TEST(Coverage, CrowdedWordsStayApart) {
  CoverageData data = coverage();
  data.rows[0].spans.clear();
  for (std::size_t i = 0; i < 6; ++i) {
    data.rows[0].spans.push_back(
        {.first = i, .last = i + 1, .cover = Cover::full, .words = "10 \u00B5m absolute " + std::to_string(i)});
  }
  const auto figure = coverage_figure(data);
  ASSERT_TRUE(figure);
  expect_no_label_touches(*figure);
}

TEST(JudgedFigures, NameTheBadField) {
  StripsData bad_strips = strips();
  bad_strips.strips[1].at_high = required;
  EXPECT_EQ(strips_figure(bad_strips).error().front().where.field, "strips.2.at_high");
  bad_strips = strips();
  bad_strips.strips.clear();
  EXPECT_EQ(strips_figure(bad_strips).error().front().where.field, "strips");
  EnvelopeMapData bad_map = envelope();
  bad_map.cells[1].pop_back();
  EXPECT_EQ(envelope_map_figure(bad_map).error().front().where.field, "cells.2");
  bad_map = envelope();
  bad_map.rows[0] = "\u6CB9";
  EXPECT_EQ(envelope_map_figure(bad_map).error().front().where.field, "rows");
  GaugeBookData bad_book = gauges();
  bad_book.places.pop_back();
  EXPECT_EQ(gauge_book_figure(bad_book).error().front().where.field, "places");
  bad_book = gauges();
  bad_book.rows[1].cells.pop_back();
  EXPECT_EQ(gauge_book_figure(bad_book).error().front().where.field, "rows.2");
  CoverageData bad_cover = coverage();
  bad_cover.rows[0].spans[1].first = 2;
  EXPECT_EQ(coverage_figure(bad_cover).error().front().where.field, "rows.1.spans.2");
  bad_cover = coverage();
  bad_cover.rows[1].marks[0].at = 7;
  EXPECT_EQ(coverage_figure(bad_cover).error().front().where.field, "rows.2.marks");
}

}  // namespace
}  // namespace fw::report
