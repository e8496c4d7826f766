// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/lanes.hpp"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

namespace fw::hydraulics {
namespace {

// Against the standard library, over the whole range and close to 1, at the accuracy the comments state.
TEST(Lanes, LogarithmKeepsItsAccuracy) {
  double worst = 0.0;
  int seen = 0;
  for (double x = 1e-300; x < 1e300; x *= 1.0371) {
    worst = std::max(worst, std::abs(logarithm(x) - std::log(x)) / (1e-14 + 4e-16 * std::abs(std::log(x))));
    ++seen;
  }
  for (double x = 0.5; x < 2.0; x += 1e-5) worst = std::max(worst, std::abs(logarithm(x) - std::log(x)) / 1e-14);
  EXPECT_LT(worst, 1.0);
  EXPECT_GT(seen, 30000);
  EXPECT_NEAR(logarithm(1.0), 0.0, 1e-14);
}

TEST(Lanes, ExponentialKeepsItsAccuracy) {
  double worst = 0.0;
  for (double x = -700.0; x <= 700.0; x += 0.0137) {
    worst = std::max(worst, std::abs(exponential(x) / std::exp(x) - 1.0) / (2e-14 + 2e-16 * std::abs(x)));
  }
  EXPECT_LT(worst, 1.0);
  EXPECT_EQ(exponential(0.0), 1.0);
}

TEST(Lanes, PowersKeepTheirAccuracy) {
  double worst_root = 0.0;
  for (double x = 0.6876; x < 1e70; x *= 1.00173) {
    worst_root = std::max(worst_root, std::abs(twelfth_root(x) / std::pow(x, 1.0 / 12.0) - 1.0));
  }
  EXPECT_LT(worst_root, 2e-14);
  double worst_power = 0.0;
  for (double x = 1.0; x < 2e9; x *= 1.00037) {
    worst_power = std::max(worst_power, std::abs(minus_nine_tenths_power(x) / std::pow(x, -0.9) - 1.0));
  }
  EXPECT_LT(worst_power, 3e-14);
}

TEST(Lanes, ShortFunctionsKeepTheirAccuracy) {
  double worst_log = 0.0;
  for (double x = 1e-8; x < 10.0; x *= 1.00071) {
    worst_log = std::max(worst_log, std::abs(short_logarithm(x) - std::log(x)));
  }
  EXPECT_LT(worst_log, 5e-13);
  double worst_tenths = 0.0;
  for (double x = 1.0; x < 2e9; x *= 1.00037) {
    worst_tenths = std::max(worst_tenths, std::abs(short_minus_nine_tenths_power(x) / std::pow(x, -0.9) - 1.0));
  }
  EXPECT_LT(worst_tenths, 3e-12);
  double worst_eighth = 0.0;
  double worst_twelfths = 0.0;
  for (double x = 0.6876; x < 1e250; x *= 1.0083) {
    worst_eighth = std::max(worst_eighth, std::abs(minus_eighth_power(x) / std::pow(x, -0.125) - 1.0));
    worst_twelfths =
        std::max(worst_twelfths, std::abs(minus_eleven_twelfths_power(x) / std::pow(x, -11.0 / 12.0) - 1.0));
  }
  EXPECT_LT(worst_eighth, 6e-12);
  EXPECT_LT(worst_twelfths, 3e-12);
}

#if defined(__SSE2__)
// Two lanes give the scalar's bits, each on its own. Wider ones are held to it through whole networks
// (tests/properties/network_property_test.cpp).
TEST(Lanes, TwoLanesGiveTheScalarsBits) {
  int seen = 0;
  for (double x = 1e-3; x < 1e9; x *= 1.37) {
    const Lanes<2>::Real both{x, 1.0 / x};
    EXPECT_EQ(logarithm(both)[0], logarithm(x));
    EXPECT_EQ(logarithm(both)[1], logarithm(1.0 / x));
    const Lanes<2>::Real small{std::log(x), -0.5 * std::log(x)};
    EXPECT_EQ(exponential(small)[0], exponential(std::log(x)));
    EXPECT_EQ(exponential(small)[1], exponential(-0.5 * std::log(x)));
    const Lanes<2>::Real large{1.0 + x, 1.5 + 1.0 / x};
    EXPECT_EQ(twelfth_root(large)[0], twelfth_root(1.0 + x));
    EXPECT_EQ(twelfth_root(large)[1], twelfth_root(1.5 + 1.0 / x));
    EXPECT_EQ(minus_nine_tenths_power(large)[0], minus_nine_tenths_power(1.0 + x));
    EXPECT_EQ(minus_nine_tenths_power(large)[1], minus_nine_tenths_power(1.5 + 1.0 / x));
    ++seen;
  }
  EXPECT_GT(seen, 80);
}
#endif

}  // namespace
}  // namespace fw::hydraulics
