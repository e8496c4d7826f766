// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/tee.hpp"

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

TEST(Tee, NamesTheBadField) {
  EXPECT_EQ(tee_split_coefficients({.branch_share = 1.1, .bore_ratio = 1.0}).error().front().where.field,
            "tee.branch_share");
  EXPECT_EQ(tee_split_coefficients({.branch_share = 0.5, .bore_ratio = 0.0}).error().front().where.field,
            "tee.bore_ratio");
  EXPECT_EQ(tee_leg_law(TeeBuild::flanged, TeeLeg::run, {}, d20).error().front().where.field, "fitting.bore_m");
}

}  // namespace
}  // namespace fw::hydraulics
