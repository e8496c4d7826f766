// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/friction.hpp"

#include <cmath>
#include <string>

#include <gtest/gtest.h>

#include "published_table.hpp"

namespace fw::hydraulics {
namespace {

double factor(const PipeFlow& flow) { return pipe_friction_factor(flow).value().factor; }

// Outside: hyd_friction_factor.csv, columns f_churchill and f_colebrook (library fluids 1.0.22 and independent code).
TEST(PipeFriction, MeetsTheTableOfChurchillAndColebrook) {
  const test::PublishedTable table = test::published_table("hydraulics/hyd_friction_factor.csv");
  int colebrook_rows = 0;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const double re = table.number(row, "Re");
    const double e = table.number(row, "eps_over_D");
    EXPECT_NEAR(factor({.reynolds = re, .relative_roughness = e}) / table.number(row, "f_churchill"), 1.0, 1e-9)
        << "Re " << re << " e " << e;
    if (re < 2000.0) continue;
    // A transition at 1000 makes everything above 1100 Colebrook.
    const PipeFlow flow{.reynolds = re, .relative_roughness = e, .transition_reynolds = 1000.0};
    EXPECT_NEAR(factor(flow) / table.number(row, "f_colebrook"), 1.0, 1e-9) << "Re " << re << " e " << e;
    ++colebrook_rows;
  }
  EXPECT_EQ(colebrook_rows, 16 * 8);
}

// Outside: hyd_friction_curved.csv, f_MishraGupta_lam. Where the straight pipe is laminar too (Re <= 1000) the blend
// must give the laminar law; where f_MishraGupta_turb stands (Blasius + 0.03 sqrt(d/Dc)) and Re >= Recrit_Ito it
// must give the turbulent one to the difference between Blasius and Churchill and the rest of the blend.
TEST(PipeFriction, MeetsTheTableOfCurvedPipes) {
  const test::PublishedTable table = test::published_table("hydraulics/hyd_friction_curved.csv");
  int laminar = 0;
  int turbulent = 0;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const double re = table.number(row, "Re");
    const double k = std::sqrt(table.number(row, "d_over_Dc"));
    const double f = factor({.reynolds = re, .curvature = k});
    if (re <= 1000.0) {
      EXPECT_NEAR(f / table.number(row, "f_MishraGupta_lam"), 1.0, 1e-6) << "Re " << re << " k " << k;
      ++laminar;
    }
    if (re >= 2.0 * table.number(row, "Recrit_Ito")) {
      EXPECT_NEAR(f / table.number(row, "f_MishraGupta_turb"), 1.0, 0.05) << "Re " << re << " k " << k;
      ++turbulent;
    }
  }
  EXPECT_EQ(laminar, 18);
  EXPECT_GE(turbulent, 5);
}

// Closed form: below 0.9 Re_m the drawn law is Poiseuille, above 1.1 Re_m Colebrook, and both ends of the cubic meet.
TEST(PipeFriction, DrawnTransitionMeetsBothEnds) {
  for (const double transition : {2000.0, 2700.0, 4000.0}) {
    for (const double e : {0.0, 1e-3, 0.05}) {
      const auto at = [&](double re) {
        return pipe_friction_factor({.reynolds = re, .relative_roughness = e, .transition_reynolds = transition})
            .value();
      };
      EXPECT_EQ(at(0.9 * transition).phi, 1.0);
      EXPECT_NEAR(at(0.9 * transition * (1 + 1e-9)).phi, 1.0, 1e-12);
      const PipeFriction below = at(1.1 * transition * (1 - 1e-9));
      const PipeFriction above = at(1.1 * transition * (1 + 1e-9));
      EXPECT_NEAR(below.phi / above.phi, 1.0, 1e-8);
      EXPECT_NEAR(below.phi_slope / above.phi_slope, 1.0, 1e-6);
    }
  }
}

// Identity: the slope is the derivative (central difference), and drop(Q) rises strictly, over six decades of Re.
TEST(PipeFriction, SlopeIsTheDerivativeAndTheDropRisesStrictly) {
  int states = 0;
  for (const double e : {0.0, 1e-5, 1e-3, 0.02, 0.3}) {
    for (const double k : {0.0, 0.05, 0.32, 0.7}) {
      for (const double transition : {0.0, 2000.0, 3100.0, 4000.0}) {
        double last_drop = 0.0;
        for (double re = 0.5; re < 1e6; re *= 1.013) {
          const auto at = [&](double reynolds) {
            return pipe_friction_factor({.reynolds = reynolds,
                                         .relative_roughness = e,
                                         .curvature = k,
                                         .transition_reynolds = transition})
                .value();
          };
          const PipeFriction here = at(re);
          const double drop = here.phi * re;
          EXPECT_GT(drop, last_drop);
          EXPECT_GE(here.phi_slope, -1e-12 * here.phi);
          last_drop = drop;
          const double h = 1e-5;
          const bool joint = transition > 0.0 && (std::abs(re / (0.9 * transition) - 1.0) < 2 * h ||
                                                  std::abs(re / (1.1 * transition) - 1.0) < 2 * h);
          if (re > 1.1 && !joint) {
            const double difference = (at(re * (1 + h)).phi - at(re * (1 - h)).phi) / (2 * h);
            EXPECT_NEAR(here.phi_slope, difference, 2e-6 * here.phi)
                << "Re " << re << " e " << e << " k " << k << " Re_m " << transition;
          }
          ++states;
        }
      }
    }
  }
  EXPECT_GT(states, 80000);
}

// Limit: no overflow, no trap, from creeping flow to far beyond any fuel line; outside the data it says so.
TEST(PipeFriction, SaysWhereItExtrapolates) {
  EXPECT_EQ(factor({.reynolds = 1e-9}), 64.0 / 1e-9);
  EXPECT_EQ(pipe_friction_factor({.reynolds = 1e12})->range, Range::extrapolated);
  EXPECT_EQ(pipe_friction_factor({.reynolds = 3e3, .relative_roughness = 0.2})->range, Range::extrapolated);
  EXPECT_EQ(pipe_friction_factor({.reynolds = 3e3})->range, Range::fitted);
  EXPECT_GT(pipe_friction_factor({.reynolds = 1e300, .relative_roughness = 0.9, .curvature = 0.9})->phi, 1.0);
}

TEST(PipeFriction, NamesTheBadField) {
  const auto field = [](const PipeFlow& flow) { return pipe_friction_factor(flow).error().front().where.field; };
  EXPECT_EQ(field({}), "reynolds");
  EXPECT_EQ(field({.reynolds = 1e3, .relative_roughness = 1.0}), "relative_roughness");
  EXPECT_EQ(field({.reynolds = 1e3, .curvature = -0.1}), "curvature");
  EXPECT_EQ(field({.reynolds = 1e3, .transition_reynolds = 10.0}), "transition_reynolds");
}

}  // namespace
}  // namespace fw::hydraulics
