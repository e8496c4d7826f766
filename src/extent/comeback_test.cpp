// SPDX-License-Identifier: Apache-2.0
#include "extent/comeback.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "published_table.hpp"

namespace fw::extent {
namespace {

// The clean system: nothing left gives p0 alone, in every draw.
TEST(Comeback, NothingLeftIsTheBaseAlone) {
  for (std::uint32_t sample = 0; sample < 50; ++sample) {
    const ComebackDraw draw = draw_comeback({}, 1, sample);
    EXPECT_EQ(comeback(draw, 0.0).value(), draw.base);
    EXPECT_GT(comeback(draw, 1.0).value(), draw.base);
    EXPECT_LE(comeback(draw, 1e12).value(), 1.0);
  }
}

// At N* the excess is 1 - 1/e whatever the exponent.
TEST(Comeback, ScaleIsWhereTheExcessIsOneLessOneOverE) {
  const ComebackDraw draw{.base = 0.05, .scale = 1e5, .exponent = 0.4};
  EXPECT_NEAR(*comeback(draw, 1e5), 0.05 + 0.95 * (1.0 - std::exp(-1.0)), 1e-15);
}

// Mean of Beta(2, 38) is 0.05, its sd 0.034.
TEST(Comeback, DrawsThePrior) {
  double sum = 0.0;
  double sum_ln = 0.0;
  for (std::uint32_t sample = 0; sample < 4000; ++sample) {
    const ComebackDraw draw = draw_comeback({}, 3, sample);
    sum += draw.base / 4000.0;
    sum_ln += std::log10(draw.scale) / 4000.0;
    EXPECT_TRUE(draw.exponent > 0.3 && draw.exponent < 1.0);
  }
  EXPECT_NEAR(sum, 0.05, 4 * 0.034 / std::sqrt(4000.0));
  EXPECT_NEAR(sum_ln, 5.5, 4 * 0.866 / std::sqrt(4000.0));
}

TEST(BreakEven, MatchesTheOracle) {
  const auto table = test::published_table("extent/break_even.csv");
  const Stake b{.cost = 6800, .comeback = 0.03, .loss = 7200};
  const auto a = [](double p) { return Stake{.cost = 2400, .comeback = p, .loss = 9500}; };
  const auto ours = [&](const std::string& quantity) {
    if (quantity == "break_even") return *break_even(a(0.0), b);
    if (quantity == "cost_A_at_0.2") return *expected_cost(a(0.2));
    if (quantity == "cost_A_at_0.6") return *expected_cost(a(0.6));
    if (quantity == "cost_B") return *expected_cost(b);
    if (quantity == "recurring_A_at_0.3") return *recurring_cost(a(0.3));
    if (quantity == "break_even_averse_20000") return *break_even(a(0.0), b, 20000);
    if (quantity == "certain_A_at_0.4_averse") return *certain_cost(a(0.4), 20000);
    if (quantity == "certain_B_averse") return *certain_cost(b, 20000);
    return 0.0;
  };
  ASSERT_EQ(table.rows.size(), 8U);
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    EXPECT_NEAR(ours(table.text(row, "quantity")) / table.number(row, "value"), 1.0, 1e-10) << row;
  }
  // At the break-even both cost the same.
  EXPECT_NEAR(*expected_cost(a(*break_even(a(0.0), b))), *expected_cost(b), 1e-9);
}

TEST(Comeback, NamesTheBadField) {
  EXPECT_EQ(comeback(draw_comeback({}, 1, 0), -1.0).error().front().where.field, "n14");
  EXPECT_EQ(check_prior({.base_a = -1.0}).error().front().where.field, "prior.base_a");
  EXPECT_EQ(check_prior({.scale_low = 1e8}).error().front().where.field, "prior.scale_high");
  EXPECT_EQ(expected_cost({.cost = 1, .comeback = 1.5, .loss = 1}).error().front().where.field, "stake.comeback");
  EXPECT_EQ(certain_cost({.cost = 1, .comeback = 0.5, .loss = 1}, 0.0).error().front().where.field, "risk_scale");
  EXPECT_EQ(break_even({.cost = 1, .comeback = 0, .loss = 0}, {.cost = 1, .comeback = 0, .loss = 0})
                .error()
                .front()
                .where.field,
            "a.loss");
}

}  // namespace
}  // namespace fw::extent
