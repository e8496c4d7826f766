// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/banjo.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "hydraulics_cases.hpp"

namespace fw::hydraulics {
namespace {

using test::d20;

// Hand algebra of the three terms for the M12 bolt: 2 (K1/Re + Ki (1 + Kd/Dn^0.3)) of the mitre on 5.5 mm, two holes
// of 4.5 mm with Cd 0.611, 20 mm of 5.5 mm as pipe. No published coefficient exists to hold it against.
TEST(Banjo, AddsItsThreeTerms) {
  const auto law = banjo_law({.bolt_bore_m = 5.5e-3, .hole_bore_m = 4.5e-3}, d20).value();
  const double pi = std::numbers::pi;
  const double area = pi * 5.5e-3 * 5.5e-3 / 4.0;
  const double holes = 2.0 * pi * 4.5e-3 * 4.5e-3 / 4.0;
  const double k = 2.0 * 0.27 * (1.0 + 4.0 / std::pow(5.5 / 25.4, 0.3));
  const double jet = 835.0 / 2.0 / (0.611 * 0.611 * holes * holes);
  EXPECT_NEAR(law.quadratic_Pa_s2_per_m6 / (k * 835.0 / (2.0 * area * area) + jet), 1.0, 1e-12);
  EXPECT_NEAR(law.linear_Pa_s_per_m3 /
                  (2.0 * 1000.0 * 3.7575e-3 / (2.0 * 5.5e-3 * area) + jet * 9.33 * holes * 4.5e-6 / 4.5e-3),
              1.0, 1e-12);
  EXPECT_NEAR(law.laminar_resistance_Pa_s_per_m3 / (128.0 * 3.7575e-3 * 0.020 / (pi * std::pow(5.5e-3, 4.0))), 1.0,
              1e-12);
}

// A larger bolt of the typical sizes always loses less.
TEST(Banjo, LargerBoltsLoseLess) {
  double last = 1e30;
  for (const BanjoSize& size : banjo_sizes) {
    const auto law =
        banjo_law({.bolt_bore_m = size.bolt_bore_m, .hole_bore_m = size.hole_bore_m, .hole_count = size.hole_count},
                  d20)
            .value();
    EXPECT_LT(law.quadratic_Pa_s2_per_m6, last);
    last = law.quadratic_Pa_s2_per_m6;
  }
}

TEST(Banjo, NamesTheBadField) {
  EXPECT_EQ(banjo_law({.bolt_bore_m = 5e-3}, d20).error().front().where.field, "banjo.hole_bore_m");
  EXPECT_EQ(banjo_law({.bolt_bore_m = 5e-3, .hole_bore_m = 4e-3, .hole_count = 0.0}, d20).error().front().where.field,
            "banjo.hole_count");
}

}  // namespace
}  // namespace fw::hydraulics
