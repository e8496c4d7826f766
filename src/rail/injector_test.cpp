// SPDX-License-Identifier: Apache-2.0
#include "rail/injector.hpp"

#include <array>

#include <gtest/gtest.h>

#include "published_table.hpp"
#include "rail_cases.hpp"

namespace fw::rail {
namespace {

using test::MPa;
using test::page_liquid;

Injector of_rating(double cm3_per_30_s) {
  return {.nozzle_m2 = nozzle_area_m2(cm3_per_30_s * 1e-6 / 30.0).value(),
          .control_m3 = 20e-9,
          .static_m3_per_s = 5e-6 / 60.0};
}

// T18.
TEST(Injector, MatchesTheRating) {
  EXPECT_NEAR(of_rating(400).nozzle_m2 * 1e6, 0.08563, 5e-5);
  EXPECT_NEAR(of_rating(750).nozzle_m2 * 1e6, 0.16057, 5e-5);
  const double rate = full_rate_kg_per_s(of_rating(400), page_liquid(60.0), 180e6, 15e6);
  EXPECT_NEAR(rate * 1e3 / 46.15, 1.0, 3e-3);
}

// T19: Nurick (1976), from memory. The gain at 180 MPa into 15 MPa is the ratio of two rows of the same law.
TEST(Injector, MatchesTheCavitatingHole) {
  EXPECT_NEAR(cavitating_discharge(1.1).value(), 0.650, 1e-3);
  EXPECT_NEAR(cavitating_discharge(1.4).value(), 0.734, 1e-3);
  EXPECT_NEAR(cavitating_discharge(160.0 / 154.0).value(), 0.632, 1e-3);
  EXPECT_EQ(cavitating_discharge(0.9).error().front().where.field, "cavitation_number");
  EXPECT_NEAR(cavitating_gain(180 * MPa, 15 * MPa).value(), std::sqrt(180.0 / 165.0 / 1.01), 1e-12);
  EXPECT_EQ(cavitating_gain(15 * MPa, 15 * MPa).error().front().where.field, "rail_Pa");
}

// T20 and the whole quantity table of section 4.2.
TEST(Injector, MatchesTheQuantityTable) {
  const auto table = test::published_table("rail/quantity.csv");
  const Injector injector = of_rating(440);
  const std::array<double, 5> rail_MPa{30, 60, 100, 140, 180};
  const std::array<double, 5> cylinder_MPa{6, 8, 10, 12, 15};
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    for (std::size_t i = 0; i < rail_MPa.size(); ++i) {
      const double mass = shot_kg(injector, page_liquid(60.0),
                                  {.energised_s = table.number(row, "et_ms") * 1e-3,
                                   .rail_Pa = rail_MPa[i] * MPa,
                                   .cylinder_Pa = cylinder_MPa[i] * MPa})
                              .value();
      EXPECT_NEAR(mass * 1e6 / table.number(row, table.columns[i + 1]), 1.0, 5e-3) << row << " " << rail_MPa[i];
    }
  }
}

TEST(Injector, ShapeIntegratesAndInverts) {
  const RateShape shape{.opening_delay_s = 0.31e-3, .rise_s = 0.2e-3, .closing_delay_s = 0.27e-3, .fall_s = 0.24e-3};
  for (const double energised_s : {0.05e-3, 0.1e-3, 0.2e-3, 0.3e-3, 0.8e-3, 2e-3}) {
    const ShotShape shot = shot_shape(shape, energised_s);
    double sum = 0.0;
    const int count = 200000;
    const double step = 4e-3 / count;
    for (int i = 0; i < count; ++i) {
      sum += step * shot.at((i + 0.5) * step);
      if (i % 20000 == 0) {
        EXPECT_NEAR(shot.until(i * step), sum - step * shot.at((i + 0.5) * step), 1e-9);
      }
    }
    EXPECT_NEAR(sum, shot.full_rate_s, 1e-9) << energised_s;
    if (shot.full_rate_s > 0.0) {
      EXPECT_NEAR(energised_for_s(shape, shot.full_rate_s), energised_s, 1e-12);
    }
  }
}

TEST(Injector, NamesTheBadField) {
  Injector injector = of_rating(440);
  injector.nozzle_m2 = -1.0;
  EXPECT_EQ(shot_kg(injector, page_liquid(60.0), {1e-3, 1e8, 1e7}).error().front().where.field, "injector.nozzle_m2");
  EXPECT_EQ(shot_kg(of_rating(440), page_liquid(60.0), {-1e-3, 1e8, 1e7}).error().front().where.field,
            "shot.energised_s");
}

}  // namespace
}  // namespace fw::rail
