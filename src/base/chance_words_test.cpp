// SPDX-License-Identifier: Apache-2.0
#include "base/chance_words.hpp"

#include <limits>

#include <gtest/gtest.h>

#include "base/contract.hpp"

namespace fw {
namespace {

TEST(ChanceWords, SayANumberOfAHundred) {
  EXPECT_EQ(in_100(0.08), "8 in 100");
  EXPECT_EQ(hundredths(0.425), "42");
  EXPECT_EQ(in_100(0.2, 0.95), "20 to 95 in 100");
}

TEST(ChanceWords, NeverSayNoneOrCertain) {
  EXPECT_EQ(in_100(0.0), "under 1 in 100");
  EXPECT_EQ(in_100(0.004), "under 1 in 100");
  EXPECT_EQ(in_100(0.996), "over 99 in 100");
  EXPECT_EQ(in_100(1.0), "over 99 in 100");
  EXPECT_EQ(in_100(0.01), "1 in 100");
  EXPECT_EQ(in_100(0.99), "99 in 100");
}

TEST(ChanceWords, SayABandOfOneNumberOnce) {
  EXPECT_EQ(in_100(0.001, 0.009), "under 1 in 100");
  EXPECT_EQ(in_100(0.08, 0.081), "8 in 100");
}

TEST(ChanceWords, RefuseWhatIsNoNumber) {
  EXPECT_THROW((void)hundredths(std::numeric_limits<double>::quiet_NaN()), ContractViolation);
}

}  // namespace
}  // namespace fw
