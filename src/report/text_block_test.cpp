// SPDX-License-Identifier: Apache-2.0
#include "report/text_block.hpp"

#include <gtest/gtest.h>

#include "report/font.hpp"

namespace fw::report {
namespace {

std::vector<std::string> pieces(const std::string& text) {
  std::vector<std::string> all;
  for (const auto& [begin, end] : unbreakable_pieces(text)) all.push_back(text.substr(begin, end - begin));
  return all;
}

TEST(UnbreakablePieces, KeepNumbersWithTheirUnits) {
  using Words = std::vector<std::string>;
  EXPECT_EQ(pieces("sees 48.6 kPa (29 to 68) at rated power"),
            (Words{"sees", "48.6 kPa", "(29 to 68)", "at", "rated", "power"}));
  EXPECT_EQ(pieces("8 in 100 jobs"), (Words{"8 in 100 jobs"}));
  EXPECT_EQ(pieces("wait 5 minutes"), (Words{"wait", "5", "minutes"}));
  EXPECT_EQ(pieces("at \u221220 \u00B0C with 12 3"), (Words{"at", "\u221220 \u00B0C", "with", "12", "3"}));
  // A letter of two bytes is one letter.
  EXPECT_EQ(pieces("of 14 \u00B5m(c) or more"), (Words{"of", "14 \u00B5m(c)", "or", "more"}));
  EXPECT_EQ(pieces("at 1.40 mm\u00B2/s and"), (Words{"at", "1.40 mm\u00B2/s", "and"}));
  EXPECT_EQ(pieces("in 5 to the tank"), (Words{"in", "5 to", "the", "tank"}));
  EXPECT_TRUE(pieces("   ").empty());
}

TEST(TextBlock, BreaksIntoLinesOfTheWidth) {
  ASSERT_TRUE(load_fonts());
  const Spans spans = plain("the engine pump sees 48.6 kPa at rated power with all four filters spent");
  const TextBlockStyle style{.type = {.size = 10.0}};
  const TextBlock one(spans, style, 0.0);
  EXPECT_EQ(one.lines(), 1U);
  const TextBlock narrow(spans, style, 120.0);
  EXPECT_GT(narrow.lines(), 2U);
  EXPECT_LE(narrow.natural_width(), 120.0 + 0.01);
  EXPECT_NEAR(narrow.height(), 14.2 * static_cast<double>(narrow.lines()), 1e-9);
  // A block set to the width it asked for stays on one line.
  EXPECT_EQ(TextBlock(spans, style, one.natural_width()).lines(), 1U);
}

TEST(TextBlock, ReadingsInMonoStandAsWideAsInText) {
  ASSERT_TRUE(load_fonts());
  const TextBlockStyle style{.type = {.size = 10.0}};
  const TextBlock text({{.text = "48.6 kPa"}}, style, 0.0);
  const TextBlock reading({{.text = "48.6 kPa", .mono = true}}, style, 0.0);
  EXPECT_NEAR(reading.natural_width(), text.natural_width(), 0.2);
}

TEST(TextBlock, ACrossTakesRoomBeforeItsWord) {
  ASSERT_TRUE(load_fonts());
  const TextBlockStyle style{.type = {.size = 10.0}};
  const TextBlock holds({{.text = "fails", .bold = true}}, style, 0.0);
  const TextBlock fails({{.text = {}, .mark = Mark::fails}}, style, 0.0);
  EXPECT_NEAR(fails.natural_width() - holds.natural_width(), mark_cross_advance(10.0), 0.05);
  EXPECT_NEAR(widest_word({{.text = {}, .mark = Mark::fails}}, {.size = 10.0}), fails.natural_width(), 0.1);
}

}  // namespace
}  // namespace fw::report
