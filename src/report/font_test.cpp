// SPDX-License-Identifier: Apache-2.0
#include "report/font.hpp"

#include <thread>

#include <gtest/gtest.h>

namespace fw::report {
namespace {

TEST(Font, LoadsWithoutSystemConfiguration) {
  const auto loaded = load_fonts();
  ASSERT_TRUE(loaded) << to_text(loaded.error());
  // Proportional and mono faces are told apart although the mono files also carry the family name B612.
  EXPECT_LT(measure("iiii", {.size = 10.0}).width, measure("MMMM", {.size = 10.0}).width);
  EXPECT_NEAR(measure("iiii", {.size = 10.0, .mono = true}).width, measure("MMMM", {.size = 10.0, .mono = true}).width,
              1e-9);
  // Bold has the advances of regular: emphasis moves no line break.
  EXPECT_NEAR(measure("Mass", {.size = 10.0, .bold = true}).width, measure("Mass", {.size = 10.0}).width, 1e-9);
}

// Advances of digits in B612 1.008 are 650 units of a 1000-unit em (read from the font file's metrics).
TEST(Font, DigitsHaveOneWidthInBothFaces) {
  for (const bool mono : {false, true}) {
    for (const char* digit : {"0", "1", "7", "8"}) {
      EXPECT_NEAR(measure(digit, {.size = 10.0, .mono = mono}).width, 6.5, 2e-3) << digit;
    }
  }
}

TEST(Font, WidthsGrowWithTheSize) {
  const double small = measure("Grade line 48.6 kPa", {.size = 8.0}).width;
  const double large = measure("Grade line 48.6 kPa", {.size = 24.0}).width;
  EXPECT_NEAR(large / small, 3.0, 2e-3);
}

TEST(Font, MissingFolderTeachesThePackage) {
  const auto there = check_font_folder("/nowhere/fonts");
  ASSERT_FALSE(there);
  EXPECT_EQ(there.error().front().code, ErrorCode::not_found);
  EXPECT_NE(there.error().front().hint.find("fonts-b612"), std::string::npos);
}

TEST(Font, FindsMissingGlyphs) {
  EXPECT_TRUE(missing_glyphs("\u221220 \u00B0C, 4 \u00B5m, \u03B2\u2081\u2080 \u2264 75 \u00B7 \u00BD in", {}).empty());
  const auto rho = missing_glyphs("a \u03C1", {});
  ASSERT_EQ(rho.size(), 1U);
  EXPECT_EQ(rho[0].code, U'\u03C1');
  EXPECT_EQ(rho[0].byte, 2U);
  EXPECT_EQ(missing_glyphs("\u6CB9\u6CF5", {}).size(), 2U);
  EXPECT_EQ(missing_glyphs("tab\there", {}).size(), 1U);
  EXPECT_EQ(missing_glyphs("\xC3", {}).size(), 1U);
  EXPECT_EQ(missing_glyphs(std::string_view("a\0b", 3), {}).size(), 1U);
  const auto error = check_glyphs("\u03C1", {}, "case.name");
  ASSERT_FALSE(error);
  EXPECT_EQ(error.error().front().where.field, "case.name");
  EXPECT_NE(error.error().front().found.find("U+03C1"), std::string::npos);
}

TEST(Font, MeasuresFromSeveralThreads) {
  const double here = measure("assist pump", {.size = 9.0}).width;
  std::vector<double> there(4, 0.0);
  std::vector<std::thread> threads;
  threads.reserve(there.size());
  for (double& width : there) {
    threads.emplace_back([&width] { width = measure("assist pump", {.size = 9.0}).width; });
  }
  for (std::thread& thread : threads) thread.join();
  for (const double width : there) EXPECT_EQ(width, here);
}

}  // namespace
}  // namespace fw::report
