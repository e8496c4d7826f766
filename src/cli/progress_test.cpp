// SPDX-License-Identifier: Apache-2.0
#include "cli/progress.hpp"

#include <gtest/gtest.h>

namespace fw::cli {
namespace {

TEST(ProgressShare, AddsDrawsToTheSheetTheyBelongTo) {
  ProgressShare share;
  EXPECT_EQ(share.words(), "");
  share.at("sheets", 1, 4);
  EXPECT_DOUBLE_EQ(share.share(), 0.25);
  share.at("draws", 500, 2000);
  EXPECT_DOUBLE_EQ(share.share(), 0.25 + 0.25 * 0.25);
  EXPECT_EQ(share.words(), "sheets 1 of 4, draws 500 of 2,000");
  share.at("sheets", 2, 4);
  EXPECT_DOUBLE_EQ(share.share(), 0.5);
  EXPECT_EQ(share.words(), "sheets 2 of 4, draws 0 of 2,000");
}

TEST(ProgressShare, NeverFallsAndNeverPassesTheEnd) {
  ProgressShare share;
  share.at("sheets", 0, 2);
  share.at("draws", 256, 256);
  share.at("draws", 16, 256);
  EXPECT_DOUBLE_EQ(share.share(), 0.5);
  share.at("sheets", 2, 2);
  share.at("draws", 300, 256);
  EXPECT_DOUBLE_EQ(share.share(), 1.0);
}

TEST(ProgressShare, CountsTheWaysToReadASheetAndKeepsThemToItself) {
  ProgressShare share;
  share.at("sheets", 1, 2);
  share.at("ways", 1, 2);
  share.at("draws", 128, 256);
  EXPECT_DOUBLE_EQ(share.share(), 0.5 + 0.25 + 0.125);
  EXPECT_EQ(share.words(), "sheets 1 of 2, draws 128 of 256");
}

TEST(ProgressShare, CountsRunningPointsOnlyWhereNothingElseIsTold) {
  ProgressShare share;
  share.at("running points", 25, 50);
  EXPECT_DOUBLE_EQ(share.share(), 0.5);
  EXPECT_EQ(share.words(), "running points 25 of 50");

  ProgressShare nested;
  nested.at("faults", 0, 10);
  nested.at("running points", 50, 50);
  EXPECT_DOUBLE_EQ(nested.share(), 0.0);
  EXPECT_EQ(nested.words(), "faults 0 of 10");
  nested.at("faults", 0, 0);  // says nothing
  EXPECT_EQ(nested.words(), "faults 0 of 10");
}

TEST(ProgressLine, FitsItsColumns) {
  ProgressShare share;
  share.at("draws", 1000000, 2000000);
  EXPECT_EQ(progress_line(share, 80), "[##########..........]  50 %  draws 1,000,000 of 2,000,000");
  EXPECT_EQ(progress_line(share, 30), "[###....]  50 %  draws 1,000,0");
  EXPECT_EQ(progress_line(share, 0), "");
}

}  // namespace
}  // namespace fw::cli
