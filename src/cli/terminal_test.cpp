// SPDX-License-Identifier: Apache-2.0
#include "cli/terminal.hpp"

#include <gtest/gtest.h>

namespace fw::cli {
namespace {

TEST(Coloured, MarksTheWordThatBeginsAParagraphAndNoOther) {
  EXPECT_EQ(coloured("1 System\n--------\n\nFAILS Pump inlet: 2 kPa.\nFAILS goes on.\n"),
            "1 System\n--------\n\n\x1b[1;31mFAILS\x1b[0m Pump inlet: 2 kPa.\nFAILS goes on.\n");
  EXPECT_EQ(coloured("narrow Low points\n\nnot known Facts"),
            "\x1b[33mnarrow\x1b[0m Low points\n\n\x1b[34mnot known\x1b[0m Facts");
  EXPECT_EQ(coloured("text\n\n| WARNING: Fire\n| No flame.\n"),
            "text\n\n| \x1b[1;31mWARNING\x1b[0m: Fire\n| No flame.\n");
  EXPECT_EQ(coloured("two holds and one FAILS\n"), "two holds and one FAILS\n");
  EXPECT_EQ(coloured(""), "");
}

TEST(WrappedHelp, GoesOnUnderTheDescriptionAndKeepsExamplesWhole) {
  const std::string option =
      "  --depth TEXT                nominal: most likely values; quick: with bands from 256 draws\n";
  EXPECT_EQ(wrapped_help(option, 80),
            "  --depth TEXT                nominal: most likely values; quick: with bands\n"
            "                              from 256 draws\n");
  EXPECT_EQ(wrapped_help(option, 100), option);
  const std::string example = "Example: fuelwright " + std::string(90, 'x') + " y\n";
  EXPECT_EQ(wrapped_help(example, 80), example);
  const std::string unbroken = std::string(90, 'x') + "\n";
  EXPECT_EQ(wrapped_help(unbroken, 80), unbroken);
  EXPECT_EQ(wrapped_help("Usage: fuelwright\n\nOptions:", 80), "Usage: fuelwright\n\nOptions:");
}

}  // namespace
}  // namespace fw::cli
