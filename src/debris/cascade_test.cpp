// SPDX-License-Identifier: Apache-2.0
#include "debris/cascade.hpp"

#include <cmath>
#include <limits>

#include <gtest/gtest.h>

namespace fw::debris {
namespace {

const Dirt a3{.shape = mass_table(TestDust::a3_medium), .density_kg_per_m3 = test_dust_density_kg_per_m3};
const BetaRating fine{.points = {{.size_m = 4e-6, .beta = 75.0}, {.size_m = 6e-6, .beta = 1000.0}},
                      .test = FilterTest::iso_19438};
constexpr double ten_mg_per_L = 0.010;  // kg/m3

std::vector<FilterElement> one(const Bins& stops) { return {{.stops = stops}}; }

FuelWay way_with(std::optional<Bins> primary, std::optional<Bins> last) {
  return {.tank_m3 = 0.1,
          .tank_floor_m2 = 0.5,
          .feed_m3_per_s = 3e-5,
          .primary_filter = primary ? one(*primary) : std::vector<FilterElement>{},
          .final_filter = last ? one(*last) : std::vector<FilterElement>{}};
}

Bins numbers() {
  const auto contents = bin_contents(a3, standard_edges_m()).value();
  Bins number{};
  for (std::size_t bin = 0; bin < bin_count; ++bin) number[bin] = ten_mg_per_L * contents[bin].number_per_kg;
  return number;
}

double from(const Bins& number, std::size_t first) {
  double sum = 0.0;
  for (std::size_t bin = first; bin < bin_count; ++bin) sum += number[bin];
  return sum;
}

// Closed form: fed with the dust of its test, a filter leaves N/beta at each rated size. Counts of A3 dust at 10 mg/L:
// 11580.2/mL at 4 um, 4021.9/mL at 6 um (table of the test dust).
TEST(Cascade, LeavesTheCountOfTheTestDustOverItsBeta) {
  const Bins behind = behind_filter(numbers(), one(efficiency_by_bin(fine).value()), 1.0);
  EXPECT_NEAR(from(numbers(), 2) / 11580.2e6, 1.0, 1e-4);
  EXPECT_NEAR(from(behind, 2) / (11580.2e6 / 75.0), 1.0, 1e-3);
  EXPECT_NEAR(from(behind, 3) / (4021.9e6 / 1000.0), 1.0, 1e-3);
  // In service ten times as much passes, and never more than comes in.
  EXPECT_NEAR(from(behind_filter(numbers(), one(efficiency_by_bin(fine).value()), 10.0), 3) / from(behind, 3), 10.0,
              1e-9);
  const Bins coarse = behind_filter(numbers(), one(Bins{}), 10.0);
  EXPECT_EQ(coarse, numbers());
}

// Codes of A3 dust at 10 mg/L: 21/19/15 in the tank.
TEST(Cascade, TellsTheCodeAtEachPoint) {
  const auto points = cascade(way_with(std::nullopt, efficiency_by_bin(fine).value()), a3, ten_mg_per_L).value();
  ASSERT_EQ(points.size(), 5U);
  EXPECT_EQ(points[0].place, Place::tank);
  EXPECT_EQ(to_text(points[0].code), "21/19/15");
  EXPECT_EQ(points[1].place, Place::final_filter);
  // Median of the service spread: sqrt(10) times what the test lets through, 488.3/mL at 4 um: 16.
  EXPECT_NEAR(points[1].number_per_m3[0].median / (std::sqrt(10.0) * 11580.2e6 / 75.0), 1.0, 1e-3);
  EXPECT_EQ(points[1].code.entries[0].number, 16);
  for (std::size_t i = 2; i < points.size(); ++i) EXPECT_EQ(points[i].code, points[1].code) << "nothing sheds";
  for (const CascadePoint& point : points) {
    for (const Quantiles& q : point.number_per_m3) {
      EXPECT_LE(q.low, q.median);
      EXPECT_LE(q.median, q.high);
    }
  }
}

TEST(Cascade, FiltersInSeriesMultiply) {
  const Bins e = efficiency_by_bin(fine).value();
  const Bins once = behind_filter(numbers(), one(e), 2.0);
  const Bins twice = behind_filter(once, one(e), 2.0);
  for (std::size_t bin = 0; bin < bin_count; ++bin) {
    EXPECT_NEAR(twice[bin] * numbers()[bin], once[bin] * once[bin], 1e-9 * once[bin] * once[bin]);
  }
  const auto both = cascade(way_with(e, e), a3, ten_mg_per_L).value();
  EXPECT_EQ(both.size(), 6U);
  EXPECT_LT(both.back().number_per_m3[0].low, both[1].number_per_m3[0].low);
  EXPECT_LT(both.back().number_per_m3[0].median, both[1].number_per_m3[0].median);
  EXPECT_LT(both.back().number_per_m3[0].high, both[1].number_per_m3[0].high);
}

TEST(Cascade, NamesTheBadField) {
  for (const double bad : {0.0, -1.0, std::numeric_limits<double>::quiet_NaN()}) {
    const auto refused = cascade(way_with({}, {}), a3, bad);
    ASSERT_FALSE(refused);
    EXPECT_EQ(refused.error().front().where.field, "mass_kg_per_m3");
  }
}

}  // namespace
}  // namespace fw::debris
