// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/tee.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "hydraulics_cases.hpp"

namespace fw::hydraulics {
namespace {

using test::d20;
using test::published_table;

// hyd_tee_split.csv: Technical Paper 410 (2009) through an independent library.
TEST(Tee, MatchesTheSplitTable) {
  const auto table = published_table("hydraulics/hyd_tee_split.csv");
  ASSERT_EQ(table.rows.size(), 27u);
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const auto k =
        tee_split_coefficients({.branch_share = table.number(row, "split"), .bore_ratio = table.number(row, "beta")})
            .value();
    EXPECT_NEAR(k.branch_converging, table.number(row, "K_branch_converging"), 1e-8);
    EXPECT_NEAR(k.run_converging, table.number(row, "K_run_converging"), 1e-8);
    EXPECT_NEAR(k.branch_diverging, table.number(row, "K_branch_diverging"), 1e-8);
    EXPECT_NEAR(k.run_diverging, table.number(row, "K_run_diverging"), 1e-8);
  }
}

TEST(Tee, LegsAreFittings) {
  const auto branch = tee_leg_law(TeeBuild::threaded, TeeLeg::branch, {.bore_m = 9.5e-3}, d20).value();
  const auto run = tee_leg_law(TeeBuild::threaded, TeeLeg::run, {.bore_m = 9.5e-3}, d20).value();
  const auto table = fitting_law(fitting_named("tee-branch-threaded").value(), {.bore_m = 9.5e-3}, d20).value();
  EXPECT_EQ(branch.coefficients.linear_Pa_s_per_m3, table.coefficients.linear_Pa_s_per_m3);
  // The run always loses less than the branch, in all builds.
  for (const TeeBuild build : {TeeBuild::threaded, TeeBuild::long_radius, TeeBuild::flanged, TeeBuild::stub_in}) {
    const auto through = tee_leg_law(build, TeeLeg::run, {.bore_m = 9.5e-3}, d20)->coefficients;
    const auto turned = tee_leg_law(build, TeeLeg::branch, {.bore_m = 9.5e-3}, d20)->coefficients;
    EXPECT_LT(through.linear_Pa_s_per_m3, turned.linear_Pa_s_per_m3);
    EXPECT_LT(through.quadratic_Pa_s2_per_m6, turned.quadratic_Pa_s2_per_m6);
    EXPECT_GT(through.linear_Pa_s_per_m3, 0.0);
  }
  EXPECT_LT(run.coefficients.linear_Pa_s_per_m3, branch.coefficients.linear_Pa_s_per_m3);
}

// Every row of the table through the drops of a tee, both directions, at Re 10,000 of the combined leg.
TEST(Tee, DropsFollowTheSplitTableInTurbulentFlow) {
  const auto table = published_table("hydraulics/hyd_tee_split.csv");
  const double bore_m = 8e-3;
  const double flow = 1e4 * bore_area_m2(bore_m) * d20.kinematic_viscosity_m2_per_s() / bore_m;
  const double velocity = flow / bore_area_m2(bore_m);
  const double head_Pa = 0.5 * d20.density_kg_per_m3 * velocity * velocity;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const double share = table.number(row, "split");
    const double beta = table.number(row, "beta");
    SCOPED_TRACE(row);
    const Tee tee{.run_bore_m = bore_m, .branch_bore_m = beta * bore_m};
    const auto joining =
        tee_drops(
            tee,
            {.first_run_m3_per_s = (1.0 - share) * flow, .second_run_m3_per_s = -flow, .branch_m3_per_s = share * flow},
            d20)
            .value();
    EXPECT_NEAR(joining.branch_Pa / head_Pa, table.number(row, "K_branch_converging"), 1e-8);
    EXPECT_NEAR(joining.first_run_Pa / head_Pa, table.number(row, "K_run_converging"), 1e-8);
    EXPECT_EQ(joining.second_run_Pa, 0.0);
    const auto dividing = tee_drops(tee,
                                    {.first_run_m3_per_s = flow,
                                     .second_run_m3_per_s = -(1.0 - share) * flow,
                                     .branch_m3_per_s = -share * flow},
                                    d20)
                              .value();
    EXPECT_NEAR(-dividing.branch_Pa / head_Pa, table.number(row, "K_branch_diverging"), 1e-8);
    EXPECT_NEAR(-dividing.second_run_Pa / head_Pa, table.number(row, "K_run_diverging"), 1e-8);
    EXPECT_EQ(dividing.first_run_Pa, 0.0);
  }
}

// Laminar legs lose their own fitting, the turbulent loss takes over without a jump, and a mirrored tee agrees.
TEST(Tee, DropsGoOverFromLaminarToTurbulentWithoutAJump) {
  const double bore_m = 8e-3;
  const Tee tee{.run_bore_m = bore_m, .branch_bore_m = bore_m};
  const auto at = [&](double reynolds) {
    const double flow = reynolds * bore_area_m2(bore_m) * d20.kinematic_viscosity_m2_per_s() / bore_m;
    return tee_drops(tee,
                     {.first_run_m3_per_s = 0.7 * flow, .second_run_m3_per_s = -flow, .branch_m3_per_s = 0.3 * flow},
                     d20)
        .value();
  };
  const double flow = 1500.0 * bore_area_m2(bore_m) * d20.kinematic_viscosity_m2_per_s() / bore_m;
  const auto own = tee_leg_law(TeeBuild::threaded, TeeLeg::branch, {.bore_m = bore_m}, d20)->coefficients;
  EXPECT_DOUBLE_EQ(at(1500.0).branch_Pa, drop_Pa(own, 0.3 * flow));
  double before = at(1900.0).branch_Pa;
  for (double reynolds = 1901.0; reynolds <= 4100.0; reynolds += 1.0) {
    const double here = at(reynolds).branch_Pa;
    EXPECT_LT(std::abs(here - before), 2e-3 * std::abs(at(1900.0).branch_Pa)) << reynolds;
    before = here;
  }
  const auto mirrored =
      tee_drops(tee, {.first_run_m3_per_s = -flow, .second_run_m3_per_s = 0.7 * flow, .branch_m3_per_s = 0.3 * flow},
                d20)
          .value();
  EXPECT_EQ(mirrored.second_run_Pa, at(1500.0).first_run_Pa);
  EXPECT_EQ(mirrored.branch_Pa, at(1500.0).branch_Pa);
}

TEST(Tee, NamesTheBadField) {
  const TeeFlows still{.first_run_m3_per_s = 0.0, .second_run_m3_per_s = 0.0, .branch_m3_per_s = 0.0};
  EXPECT_EQ(tee_drops({.run_bore_m = 6e-3, .branch_bore_m = 8e-3}, still, d20).error().front().where.field,
            "tee.branch_bore_m");
  EXPECT_EQ(tee_drops({.run_bore_m = 6e-3, .branch_bore_m = 6e-3}, {}, d20).error().front().where.field,
            "flows.first_run_m3_per_s");
  // At rest nothing is lost, and the slopes stay above zero.
  const auto at_rest = tee_drops({.run_bore_m = 6e-3, .branch_bore_m = 6e-3}, still, d20).value();
  EXPECT_EQ(at_rest.branch_Pa, 0.0);
  EXPECT_GT(at_rest.branch_slope_Pa_s_per_m3, 0.0);
  EXPECT_EQ(tee_split_coefficients({.branch_share = 1.1, .bore_ratio = 1.0}).error().front().where.field,
            "tee.branch_share");
  EXPECT_EQ(tee_split_coefficients({.branch_share = 0.5, .bore_ratio = 0.0}).error().front().where.field,
            "tee.bore_ratio");
  EXPECT_EQ(tee_leg_law(TeeBuild::flanged, TeeLeg::run, {}, d20).error().front().where.field, "fitting.bore_m");
}

}  // namespace
}  // namespace fw::hydraulics
