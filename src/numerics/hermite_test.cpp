// SPDX-License-Identifier: Apache-2.0
#include "numerics/hermite.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "base/contract.hpp"

namespace fw::numerics {
namespace {

HermiteEnd end_of_sine(double x) { return {.x = x, .value = std::sin(x), .slope = std::cos(x)}; }

// Closed form: any cubic comes back.
TEST(Hermite, IsExactForCubics) {
  const auto cubic = [](double x) {
    return HermiteEnd{x, 2.0 - x + 3.0 * x * x - 0.5 * x * x * x, -1.0 + 6.0 * x - 1.5 * x * x};
  };
  for (const double x : {-1.0, -0.3, 0.5, 1.7, 2.0, 2.5}) {
    const auto [value, slope] = hermite(cubic(-1.0), cubic(2.0), x);
    EXPECT_NEAR(value, cubic(x).value, 1e-13);
    EXPECT_NEAR(slope, cubic(x).slope, 1e-13);
  }
}

// Order 4: half the interval, a sixteenth of the error. The slope is that of the value.
TEST(Hermite, IsOfFourthOrder) {
  const auto error = [](double h) {
    return std::abs(hermite(end_of_sine(1.0), end_of_sine(1.0 + h), 1.0 + 0.5 * h).value - std::sin(1.0 + 0.5 * h));
  };
  EXPECT_NEAR(error(0.2) / error(0.1), 16.0, 1.6);
  const auto at = [](double x) { return hermite(end_of_sine(0.0), end_of_sine(2.0), x); };
  EXPECT_NEAR(at(0.7).slope, (at(0.7 + 1e-5).value - at(0.7 - 1e-5).value) / 2e-5, 1e-9);
}

// Published: with alpha, beta the end slopes over the chord, Fritsch and Carlson prove monotone for both <= 3 and for
// the ellipse alpha^2 + alpha (beta - 6) + (beta - 3)^2 = 0, which bounds the rest.
TEST(Hermite, KnowsWhenItIsMonotone) {
  const auto monotone = [](double alpha, double beta) {
    return hermite_is_monotone({.x = 0.0, .value = 0.0, .slope = alpha}, {.x = 1.0, .value = 1.0, .slope = beta});
  };
  EXPECT_TRUE(monotone(0.0, 0.0));
  EXPECT_TRUE(monotone(3.0, 3.0));
  EXPECT_TRUE(monotone(0.0, 3.0));
  EXPECT_FALSE(monotone(0.0, 3.01));
  EXPECT_TRUE(monotone(4.0, 1.0)) << "on the ellipse";
  EXPECT_FALSE(monotone(4.01, 1.0));
  EXPECT_FALSE(monotone(3.5, 3.5));
  EXPECT_FALSE(monotone(-0.01, 1.0));
  const auto falling = [](double slope) {
    return hermite_is_monotone({.x = 0.0, .value = 2.0, .slope = slope}, {.x = 2.0, .value = 0.0, .slope = -1.0});
  };
  EXPECT_TRUE(falling(-1.0));
  EXPECT_FALSE(falling(0.1));
}

TEST(Hermite, RefusesAnEmptyInterval) {
  EXPECT_THROW(static_cast<void>(hermite(end_of_sine(1.0), end_of_sine(1.0), 1.0)), ContractViolation);
  EXPECT_THROW(static_cast<void>(hermite(end_of_sine(1.0), HermiteEnd{}, 1.0)), ContractViolation);
}

}  // namespace
}  // namespace fw::numerics
