// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/lanes_friction.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include <gtest/gtest.h>

namespace fw::hydraulics {
namespace {

constexpr double roughnesses[] = {0.0, 1e-6, 1e-5, 1e-4, 1e-3, 3e-3, 0.01, 0.03, 0.05, 0.2, 0.9};

// Where the tables of the law meet: every sixteenth of an octave of Re/7, and what lies between.
std::vector<double> reynolds_numbers() {
  std::vector<double> out;
  for (double octave = 7.0 * 64.0; octave < friction_reynolds_end; octave *= 2.0) {
    for (int part = 0; part < 32; ++part) {
      const double re = octave * (1.0 + part / 32.0);
      if (re > friction_laminar_end && re < friction_reynolds_end) out.push_back(re);
    }
  }
  for (double re = 1.0001 * friction_laminar_end; re < friction_reynolds_end; re *= 1.0007) out.push_back(re);
  return out;
}

// Outside: Churchill's law as published, written with the standard library. The bound the solver counts on is 6e-9.
TEST(TableFriction, MeetsChurchillAsPublished) {
  double worst_phi = 0.0;
  double worst_phi_exact = 0.0;
  double worst_slope = 0.0;
  for (const double e : roughnesses) {
    for (const double re : reynolds_numbers()) {
      const double a = std::pow(-2.457 * std::log(std::pow(7.0 / re, 0.9) + 0.27 * e), 16);
      const double b = std::pow(37530.0 / re, 16);
      const double phi = 8.0 * std::pow(std::pow(8.0 / re, 12) + std::pow(a + b, -1.5), 1.0 / 12.0) * re / 64.0;
      const Friction<double> exact = churchill(re, e);
      const Friction<double> table = table_churchill(re, e);
      worst_phi = std::max(worst_phi, std::abs(table.phi / phi - 1.0));
      worst_phi_exact = std::max(worst_phi_exact, std::abs(exact.phi / phi - 1.0));
      worst_slope = std::max(worst_slope, std::abs(table.slope - exact.slope) / exact.phi);
    }
  }
  EXPECT_LT(worst_phi, 1e-11);
  EXPECT_LT(worst_phi_exact, 1e-12);
  EXPECT_LT(worst_slope, 1e-10);
}

// The drop rises over steps of 1e-10, across every place where two pieces meet, and the slope is the derivative.
TEST(TableFriction, DropRisesAcrossEveryJoint) {
  constexpr double step = 1e-10;
  std::size_t steps = 0;
  for (const double e : roughnesses) {
    for (const double re : reynolds_numbers()) {
      double last = 0.0;
      for (int i = -3; i <= 3; ++i) {
        const double here = re * (1.0 + i * step);
        const Friction<double> law = table_churchill(here, e);
        ASSERT_GT(law.phi * here, last) << "Re " << here << " e " << e;
        ASSERT_GE(law.slope, 0.0) << "Re " << here << " e " << e;
        last = law.phi * here;
        ++steps;
      }
      const double h = 1e-4;
      const double difference = (table_churchill(re * (1 + h), e).phi - table_churchill(re * (1 - h), e).phi) / (2 * h);
      ASSERT_NEAR(table_churchill(re, e).slope, difference, 2e-6 * table_churchill(re, e).phi)
          << "Re " << re << " e " << e;
    }
  }
  EXPECT_GT(steps, 1000000U);
}

#if defined(__SSE2__)
// Two lanes give the scalar's bits; wider ones are held to it through whole networks
// (tests/properties/network_property_test.cpp).
TEST(TableFriction, TwoLanesGiveTheScalarsBits) {
  for (const double e : roughnesses) {
    for (double re = 810.0; re < 1e7; re *= 1.37) {
      const Lanes<2>::Real both{re, 1.9 * re};
      const Lanes<2>::Real rough{e, 0.5 * e};
      const auto lanes = table_churchill(both, rough);
      for (int lane = 0; lane < 2; ++lane) {
        const Friction<double> one = table_churchill(both[lane], rough[lane]);
        EXPECT_EQ(lanes.phi[lane], one.phi);
        EXPECT_EQ(lanes.slope[lane], one.slope);
      }
    }
  }
}
#endif

}  // namespace
}  // namespace fw::hydraulics
