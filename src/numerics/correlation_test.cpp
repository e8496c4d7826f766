// SPDX-License-Identifier: Apache-2.0
#include "numerics/correlation.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "base/contract.hpp"
#include "base/required.hpp"

namespace fw::numerics {
namespace {

using Values = std::vector<double>;

TEST(Ranks, EqualValuesShareTheirMean) {
  EXPECT_EQ(ranks(Values{30.0, 10.0, 20.0}), (Values{3.0, 1.0, 2.0}));
  EXPECT_EQ(ranks(Values{5.0, 5.0, 1.0, 5.0}), (Values{3.0, 3.0, 1.0, 3.0}));
  EXPECT_TRUE(ranks({}).empty());
}

// Published: F. J. Anscombe, Am. Stat. 27 (1973) 17-21, first data set: r = 0.81642.
TEST(Pearson, MatchesAnscombe) {
  const Values x = {10, 8, 13, 9, 11, 14, 6, 4, 12, 7, 5};
  const Values y = {8.04, 6.95, 7.58, 8.81, 8.33, 9.96, 7.24, 4.26, 10.84, 4.82, 5.68};
  EXPECT_NEAR(pearson(x, y), 0.81642, 5e-6);
}

TEST(Pearson, IsOneForALineAndZeroForAConstant) {
  EXPECT_DOUBLE_EQ(pearson(Values{1.0, 2.0, 4.0}, Values{-1.0, -3.0, -7.0}), -1.0);
  EXPECT_EQ(pearson(Values{1.0, 2.0}, Values{7.0, 7.0}), 0.0);
}

// Closed form without ties: 1 - 6 sum d^2 / (n (n^2 - 1)) = 1 - 6 x 4 / 120.
TEST(Spearman, SeesAnyRisingRelation) {
  EXPECT_NEAR(spearman(Values{1, 2, 3, 4, 5}, Values{2, 1, 4, 3, 5}), 0.8, 1e-15);
  Values x;
  Values y;
  for (int i = 0; i < 50; ++i) {
    x.push_back(i);
    y.push_back(std::exp(0.2 * i));
  }
  EXPECT_DOUBLE_EQ(spearman(x, y), 1.0);
}

TEST(Correlation, RefusesWhatIsNotPaired) {
  EXPECT_THROW(static_cast<void>(pearson(Values{1.0, 2.0}, Values{1.0})), ContractViolation);
  EXPECT_THROW(static_cast<void>(spearman(Values{1.0}, Values{1.0})), ContractViolation);
  EXPECT_THROW(static_cast<void>(pearson(Values{1.0, required}, Values{1.0, 2.0})), ContractViolation);
}

}  // namespace
}  // namespace fw::numerics
