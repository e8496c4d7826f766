// SPDX-License-Identifier: Apache-2.0
#include "numerics/draw.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "base/contract.hpp"
#include "numerics/normal.hpp"

namespace fw::numerics {
namespace {

// Published: Wichura, Algorithm AS 241, Appl. Statist. 37 (1988) 477-484, test values of section "Test results".
TEST(Normal, MatchesTheQuantilesOfAlgorithmAS241) {
  EXPECT_NEAR(standard_normal_quantile(0.25), -0.6744897501960817, 1e-15);
  EXPECT_NEAR(standard_normal_quantile(0.001), -3.090232306167814, 4e-15);
  EXPECT_NEAR(standard_normal_quantile(1e-20), -9.262340089798408, 1e-14);
  EXPECT_DOUBLE_EQ(standard_normal_quantile(0.975), -standard_normal_quantile(0.025));
}

// The quantile inverts the distribution of the C library, P(z) = erfc(-z/sqrt 2)/2.
TEST(Normal, InvertsTheErrorFunction) {
  for (double u = 1e-6; u < 1.0; u += 0.00731) {
    EXPECT_NEAR(0.5 * std::erfc(-standard_normal_quantile(u) / std::sqrt(2.0)), u, 1e-14);
  }
  EXPECT_NEAR(standard_normal_quantile(0.95), normal_95, 1e-14);
}

// Published: draft-eastlake-fnv, appendix C test vectors for the 64-bit FNV-1a.
TEST(Fnv, MatchesThePublishedVectors) {
  EXPECT_EQ(fnv1a_64(""), 0xcbf29ce484222325ULL);
  EXPECT_EQ(fnv1a_64("a"), 0xaf63dc4c8601ec8cULL);
  EXPECT_EQ(fnv1a_64("foobar"), 0x85944171f73967e8ULL);
}

TEST(Stated, EverySpreadHasItsNinetyPercentBand) {
  Stated x = exactly(10.0, "x");
  x.spread = {.kind = SpreadKind::normal, .half_width = 2.0};
  EXPECT_NEAR(band_90(x).low, 8.0, 1e-12);
  EXPECT_NEAR(band_90(x).high, 12.0, 1e-12);
  x.spread = {.kind = SpreadKind::lognormal, .factor = 2.0};
  EXPECT_NEAR(band_90(x).low, 5.0, 1e-12);
  EXPECT_NEAR(band_90(x).high, 20.0, 1e-12);
  x.spread = {.kind = SpreadKind::uniform, .low = 8.0, .high = 12.0};
  EXPECT_NEAR(band_90(x).low, 8.2, 1e-12);
  x.spread = {.kind = SpreadKind::log_uniform, .low = 1.0, .high = 100.0};
  EXPECT_NEAR(at_probability(x, 0.5), 10.0, 1e-12);
  x.spread = {.kind = SpreadKind::triangular, .low = 8.0, .high = 14.0};
  EXPECT_NEAR(at_probability(x, 1.0 / 3.0), 10.0, 1e-12);  // F(mode) = (mode - low)/(high - low)
  EXPECT_NEAR(at_probability(x, 1e-12), 8.0, 1e-5);
  EXPECT_NEAR(at_probability(x, 1.0 - 1e-12), 14.0, 1e-5);
}

TEST(Stated, QuantilesRiseWithProbability) {
  for (const SpreadKind kind : {SpreadKind::normal, SpreadKind::lognormal, SpreadKind::uniform, SpreadKind::log_uniform,
                                SpreadKind::triangular}) {
    Stated x = exactly(3.0, "x");
    x.spread = {.kind = kind, .half_width = 4.0, .factor = 1.7, .low = 2.0, .high = 5.0};
    double last = -1.0;
    for (double u = 0.001; u < 1.0; u += 0.001) {
      const double value = at_probability(x, u);
      EXPECT_GE(value, last) << name(kind) << " at " << u;
      EXPECT_GE(value, 0.0) << "a normal is cut at zero";
      last = value;
    }
  }
}

TEST(Stated, HasNoValueBeforeItIsGiven) {
  EXPECT_THROW(static_cast<void>(at_probability(Stated{}, 0.5)), ContractViolation);
}

}  // namespace
}  // namespace fw::numerics
