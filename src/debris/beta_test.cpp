// SPDX-License-Identifier: Apache-2.0
#include "debris/beta.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "debris/fuel_way.hpp"

namespace fw::debris {
namespace {

constexpr double um = 1e-6;
const Dirt a3{.shape = mass_table(TestDust::a3_medium), .density_kg_per_m3 = test_dust_density_kg_per_m3};

BetaRating rating(std::vector<BetaPoint> points) {
  return {.points = std::move(points), .test = FilterTest::iso_19438};
}

// Cleanliness page 2.1 and check row 12.
TEST(Beta, EfficiencyTable) {
  struct Row {
    double beta, percent;
  };
  for (const Row row : {Row{2, 50}, Row{5, 80}, Row{10, 90}, Row{20, 95}, Row{75, 98.667}, Row{100, 99}, Row{200, 99.5},
                        Row{1000, 99.9}, Row{2000, 99.95}, Row{5000, 99.98}}) {
    EXPECT_NEAR(100 * efficiency(row.beta).value(), row.percent, 5e-4);
    EXPECT_NEAR(beta_of_efficiency(*efficiency(row.beta)).value() / row.beta, 1.0, 1e-9);
  }
  EXPECT_NEAR(efficiency(75).value(), 0.986667, 1e-6);
  EXPECT_EQ(efficiency(0.5).error().front().where.field, "beta");
  EXPECT_FALSE(beta_of_efficiency(1.0).has_value());
}

// Check rows 13 and 16.
TEST(Beta, BinsAndInterpolation) {
  const auto bins =
      bin_efficiencies(rating({{4 * um, 75}, {6 * um, 200}}), a3, std::vector{4 * um, 6 * um, 14 * um}).value();
  EXPECT_NEAR(bins[0].efficiency / 0.98223, 1.0, 1e-3);
  EXPECT_NEAR(beta_of_efficiency(bins[0].efficiency).value() / 56.28, 1.0, 1e-3);
  EXPECT_EQ(bins[0].origin, BetaOrigin::rated);
  EXPECT_EQ(bins[1].origin, BetaOrigin::held);
  const auto at_5 = beta_at(rating({{4 * um, 75}, {6 * um, 1000}}), 5 * um).value();
  EXPECT_NEAR(at_5.beta / 273.86, 1.0, 1e-4);
  EXPECT_EQ(at_5.origin, BetaOrigin::interpolated);
}

TEST(Beta, SaysWhereItComesFrom) {
  const BetaRating r = rating({{4 * um, 75}, {6 * um, 1000}});
  EXPECT_EQ(beta_at(r, 4 * um)->origin, BetaOrigin::rated);
  const auto below = beta_at(r, 2.5 * um).value();
  EXPECT_EQ(below.origin, BetaOrigin::below_rating);
  EXPECT_NEAR(below.beta, std::sqrt(75.0), 1e-9);  // half way in size between 1 and 4 um
  EXPECT_EQ(beta_at(r, 0.5 * um)->beta, 1.0);
  EXPECT_EQ(beta_at(r, 50 * um)->origin, BetaOrigin::held);
  EXPECT_EQ(beta_at(r, 50 * um)->beta, 1000.0);
}

// What goes through, summed over the bins of the test dust, is what the cumulative rating says at every edge.
TEST(Beta, BinsRebuildTheRating) {
  const BetaRating r = rating({{4 * um, 20}, {6 * um, 200}, {14 * um, 1000}});
  const auto edges = standard_edges_m();
  const auto bins = bin_efficiencies(r, a3, edges).value();
  ASSERT_EQ(bins.size(), 12u);
  for (std::size_t k = 2; k + 1 < edges.size(); ++k) {  // from the smallest rated size
    double through = 0.0;
    for (std::size_t i = k; i < bins.size(); ++i) {
      const double high = i + 1 == bins.size() ? 0.0 : number_per_kg(a3, edges[i + 1]).value();
      through += (number_per_kg(a3, edges[i]).value() - high) * (1.0 - bins[i].efficiency);
    }
    const double fed = number_per_kg(a3, edges[k]).value();
    if (fed <= 0.0) continue;
    EXPECT_NEAR(fed / through / beta_at(r, edges[k])->beta, 1.0, 1e-9) << edges[k];
  }
  for (std::size_t i = 1; i < bins.size(); ++i) EXPECT_GE(bins[i].efficiency, bins[i - 1].efficiency - 1e-12);
}

// Check rows 14 and 15; beta with bypass never exceeds 1/f.
TEST(Beta, BypassLimits) {
  EXPECT_NEAR(beta_with_bypass(1000, 0.01).value() / 90.992, 1.0, 1e-4);
  EXPECT_NEAR(beta_with_bypass(1000, 0.001).value() / 500.25, 1.0, 1e-4);
  EXPECT_NEAR(beta_with_bypass(75, 0.05).value() / 15.96, 1.0, 1e-3);
  for (const double f : {1e-4, 0.01, 0.3, 1.0}) {
    for (double beta = 1.0; beta < 1e9; beta *= 7) {
      const double eff = beta_with_bypass(beta, f).value();
      EXPECT_LE(eff, 1.0 / f * (1 + 1e-12));
      EXPECT_LE(eff, beta * (1 + 1e-12));
      EXPECT_NEAR(efficiency_with_bypass(*efficiency(beta), f).value(), efficiency(std::max(eff, 1.0)).value(), 1e-12);
    }
  }
  EXPECT_EQ(beta_with_bypass(75, -0.1).error().front().where.field, "bypass_share");
}

TEST(Beta, ServiceSeriesAndRequired) {
  EXPECT_NEAR(service_efficiency(0.999, 10)->efficiency, 0.99, 1e-12);
  EXPECT_EQ(service_efficiency(0.999, 1)->efficiency, 0.999);
  EXPECT_TRUE(service_efficiency(0.5, 10)->floored);
  EXPECT_EQ(service_efficiency(0.5, 10)->efficiency, 0.0);
  EXPECT_EQ(service_efficiency(0.5, 0.9).error().front().where.field, "derating");
  EXPECT_NEAR(derating_at_probability(0.5), std::sqrt(10.0), 1e-12);
  const std::vector<double> two{*efficiency(10), *efficiency(1000)};
  EXPECT_NEAR(beta_of_efficiency(series_efficiency(two).value()).value() / 1e4, 1.0, 1e-9);
  EXPECT_EQ(series_efficiency({}).value(), 0.0);
  EXPECT_NEAR(required_beta(2500, 40).value(), 62.5, 1e-9);
  EXPECT_NEAR(required_beta(40000, 40).value(), 1000, 1e-9);
  const double with_leak = required_beta(40000, 400, 0.005).value();
  EXPECT_NEAR(beta_with_bypass(with_leak, 0.005).value(), 100, 1e-9);
  EXPECT_EQ(required_beta(40000, 40, 0.01).error().front().code, ErrorCode::outside_model);
}

// Low ends of the typical new elements of each class: part data, beta(c), new, steady. The finer element of two never
// stops less.
TEST(Beta, APrintedSizeIsWorthTheLowEndOfItsClass) {
  EXPECT_EQ(beta_at(printed_rating(4 * um).value(), 6 * um)->beta, 75.0);
  EXPECT_EQ(beta_at(printed_rating(7 * um).value(), 10 * um)->beta, 20.0);
  EXPECT_EQ(beta_at(printed_rating(10 * um).value(), 10 * um)->beta, 2.0);
  EXPECT_EQ(beta_at(printed_rating(30 * um).value(), 30 * um)->beta, 2.0);
  EXPECT_EQ(beta_at(printed_rating(450 * um).value(), 70 * um)->beta, 2.0);
  EXPECT_EQ(printed_rating(-1.0).error().front().where.field, "size_m");
  for (const double size : {1 * um, 5 * um, 7 * um, 10 * um, 30 * um, 70 * um, 450 * um}) {
    EXPECT_TRUE(efficiency_by_bin(printed_rating(size).value())) << "counts that the test dust can have, " << size;
  }
  for (const double at : {4 * um, 10 * um, 20 * um, 40 * um}) {
    double finer = 1e9;
    for (const double size : {2 * um, 5 * um, 7 * um, 10 * um, 30 * um, 70 * um}) {
      const double here = beta_at(printed_rating(size).value(), at)->beta;
      EXPECT_LE(here, finer * (1.0 + 1e-12)) << size << " at " << at;
      finer = here;
    }
  }
}

TEST(Beta, RefusesARatingThatSaysNothing) {
  EXPECT_EQ(beta_at({.points = {{4 * um, 75}}}, 4 * um).error().front().where.field, "rating.test");
  EXPECT_EQ(beta_at({.test = FilterTest::iso_19438}, 4 * um).error().front().where.field, "rating.points");
  EXPECT_EQ(beta_at(rating({{4 * um, 0.5}}), 4 * um).error().front().where.field, "rating.points[0].beta");
  EXPECT_EQ(beta_at(rating({{4 * um, 75}, {6 * um, 20}}), 4 * um).error().front().where.field, "rating.points[1].beta");
  EXPECT_EQ(beta_at(rating({{0.5 * um, 75}}), 4 * um).error().front().where.field, "rating.points[0].size_m");
}

}  // namespace
}  // namespace fw::debris
