// SPDX-License-Identifier: Apache-2.0
#include "debris/filter_loading.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "published_table.hpp"

namespace fw::debris {
namespace {

constexpr double litre_per_hour = 1e-3 / 3600.0;
constexpr double mg_per_L = 1e-3;

// Check row 17 and the rest of 2.2.
TEST(FilterLoading, DarcyCase) {
  PorousMedium medium{.area_m2 = 0.30, .thickness_m = 0.8e-3, .permeability_m2 = 3.6e-13};
  const MediumFlow flow{
      .flow_m3_per_s = 100 * litre_per_hour, .dynamic_viscosity_Pa_s = 2.5e-3, .density_kg_per_m3 = 830};
  EXPECT_NEAR(medium_drop_Pa(medium, flow).value() / 514.40, 1.0, 1e-4);
  medium.inertia_per_m = 1e8;
  EXPECT_NEAR(medium_drop_Pa(medium, flow).value(), 515.0, 0.06);
  EXPECT_NEAR(permeability_m2({.face_velocity_m_per_s = 5e-3, .thickness_m = 0.8e-3}).value() / 3.62e-13, 1.0, 1e-3);
  medium.permeability_m2 = required;
  EXPECT_EQ(medium_drop_Pa(medium, flow).error().front().where.field, "medium.permeability_m2");
}

// Check row 18 and b = 0.13195 per gram.
TEST(FilterLoading, ExponentialGrowth) {
  const Loading loading{.clean_drop_Pa = 5e3, .terminal_drop_Pa = 70e3, .capacity_kg = 20e-3};
  EXPECT_NEAR(loaded_drop(loading, 10e-3)->drop_Pa / 18.708e3, 1.0, 1e-4);
  EXPECT_NEAR(std::log(loaded_drop(loading, 1e-3)->drop_Pa / 5e3), 0.13195, 1e-5);
  EXPECT_EQ(loaded_drop(loading, 21e-3)->range, Range::extrapolated);
}

// Every law goes through both ends, rises, and gives the mass back; the steeper laws lie lower in between.
TEST(FilterLoading, EveryLawMeetsItsEnds) {
  double middle_before = 1e9;
  for (const Blocking law : {Blocking::cake, Blocking::intermediate, Blocking::standard, Blocking::complete}) {
    const Loading loading{.clean_drop_Pa = 5e3, .terminal_drop_Pa = 70e3, .capacity_kg = 20e-3, .law = law};
    EXPECT_NEAR(loaded_drop(loading, 0.0)->drop_Pa, 5e3, 1e-9);
    EXPECT_NEAR(loaded_drop(loading, 20e-3)->drop_Pa, 70e3, 1e-6);
    double before = 0.0;
    for (double kg = 0.0; kg <= 20e-3; kg += 1e-3) {
      const double drop = loaded_drop(loading, kg)->drop_Pa;
      EXPECT_GT(drop, before);
      EXPECT_NEAR(retained_kg(loading, drop).value(), kg, 1e-12);
      before = drop;
    }
    const double middle = loaded_drop(loading, 10e-3)->drop_Pa;
    EXPECT_LT(middle, middle_before);
    middle_before = middle;
  }
  const Loading complete{
      .clean_drop_Pa = 5e3, .terminal_drop_Pa = 70e3, .capacity_kg = 20e-3, .law = Blocking::complete};
  EXPECT_EQ(loaded_drop(complete, 25e-3).error().front().code, ErrorCode::outside_model);
  EXPECT_EQ(
      loaded_drop({.clean_drop_Pa = 5e3, .terminal_drop_Pa = 70e3, .capacity_kg = 1e-3}, 1.0).error().front().code,
      ErrorCode::outside_model);
  EXPECT_EQ(retained_kg(complete, 4e3).error().front().where.field, "drop_Pa");
  EXPECT_EQ(loaded_drop({.clean_drop_Pa = 5e3, .terminal_drop_Pa = 4e3, .capacity_kg = 1e-3}, 0.0)
                .error()
                .front()
                .where.field,
            "loading.terminal_drop_Pa");
}

// Check row 19.
TEST(FilterLoading, RuthCake) {
  Cake cake{.dynamic_viscosity_Pa_s = 2.5e-3,
            .face_velocity_m_per_s = 100 * litre_per_hour / 0.30,
            .medium_resistance_per_m = 2e9,
            .specific_resistance_m_per_kg = 1e12,
            .mass_per_area_kg_per_m2 = 0.05};
  EXPECT_NEAR(cake_drop_Pa(cake).value() / 12037, 1.0, 1e-4);
  cake.mass_per_area_kg_per_m2 = 0.0;
  EXPECT_NEAR(cake_drop_Pa(cake).value(), 463, 0.5);
}

// Part data 2: life follows the burn; cleanliness page 2.3: once through.
TEST(FilterLoading, LifeFollowsTheBurn) {
  struct Row {
    double efficiency, tank_mg_per_L, catch_mg_per_h;
  };
  for (const Row row : {Row{0.5, 2.505, 187.88}, Row{0.9, 1.4735, 198.93}, Row{0.999, 1.3372, 200.39}}) {
    const Catch c = steady_catch({.burn_m3_per_s = 10 * litre_per_hour,
                                  .return_m3_per_s = 140 * litre_per_hour,
                                  .fill_kg_per_m3 = 20.04 * mg_per_L,
                                  .efficiency = row.efficiency})
                        .value();
    EXPECT_NEAR(c.tank_kg_per_m3 / mg_per_L / row.tank_mg_per_L, 1.0, 1e-4);
    EXPECT_NEAR(c.catch_kg_per_s * 3600e6 / row.catch_mg_per_h, 1.0, 1e-4);
    if (row.efficiency == 0.999) {
      EXPECT_NEAR(filter_life(20e-3, c.catch_kg_per_s, required)->seconds / 3600, 99.80, 0.01);
    }
  }
  const Catch clean = steady_catch({.burn_m3_per_s = 10 * litre_per_hour,
                                    .return_m3_per_s = 140 * litre_per_hour,
                                    .fill_kg_per_m3 = 5e-6 * 835,
                                    .efficiency = 0.999})
                          .value();
  EXPECT_NEAR(filter_life(20e-3, clean.catch_kg_per_s, required)->seconds / 3600 / 479.0, 1.0, 1e-3);
  const Catch once = steady_catch({.burn_m3_per_s = 100 * litre_per_hour,
                                   .return_m3_per_s = 0.0,
                                   .fill_kg_per_m3 = 10 * mg_per_L,
                                   .efficiency = 0.999})
                         .value();
  const auto life = filter_life(20e-3, once.catch_kg_per_s, 20.0).value();
  EXPECT_NEAR(life.seconds / 3600, 20.0, 0.03);
  EXPECT_NEAR(life.distance_m, 20.0 * life.seconds, 1e-6);
  EXPECT_TRUE(std::isnan(filter_life(20e-3, 1e-6, required)->distance_m));
  EXPECT_EQ(filter_life(20e-3, 0.0, required).error().front().where.field, "catch_kg_per_s");
}

// Part data 10, column "20 / 40 g filter, h (mg/kg)".
TEST(FilterLoading, HoursByUse) {
  const auto table = test::published_table("debris/filter_hours_by_use.csv");
  ASSERT_EQ(table.rows.size(), 6u);
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    for (const double grams : {20.0, 40.0}) {
      // The page takes E -> 1: all that is burnt was filtered once.
      const Catch c = steady_catch({.burn_m3_per_s = table.number(row, "burn_L_per_h") * litre_per_hour,
                                    .return_m3_per_s = 100 * litre_per_hour,
                                    .fill_kg_per_m3 = table.number(row, "fill_mg_per_kg") * 1e-6 * 835,
                                    .efficiency = 1.0})
                          .value();
      EXPECT_NEAR(filter_life(grams * 1e-3, c.catch_kg_per_s, required)->seconds / 3600,
                  table.number(row, grams == 20.0 ? "h_20_g" : "h_40_g"), 0.6)
          << table.text(row, "use");
    }
  }
}

TEST(FilterLoading, YearlyWork) {
  FilterUse use{.hours_a_year = 650,
                .metres_a_year = 45000e3,
                .life_by_dirt_h = 399,
                .interval_h = required,
                .interval_m = 24140e3,
                .minutes_per_change = 30,
                .elements = 2};
  const auto dirty = year_of_filter(use).value();
  EXPECT_EQ(dirty.by, ChangedBy::distance);
  EXPECT_NEAR(dirty.changes, 45000.0 / 24140.0, 1e-9);
  EXPECT_NEAR(dirty.elements, 2 * dirty.changes, 1e-12);
  EXPECT_NEAR(dirty.minutes, 30 * dirty.changes, 1e-12);
  use.life_by_dirt_h = 100;
  EXPECT_EQ(year_of_filter(use)->by, ChangedBy::dirt);
  use = {.hours_a_year = 30,
         .metres_a_year = required,
         .life_by_dirt_h = 5000,
         .interval_h = 500,
         .interval_m = required,
         .minutes_per_change = 30};
  EXPECT_EQ(year_of_filter(use)->by, ChangedBy::age);
  EXPECT_EQ(year_of_filter(use)->changes, 1.0);
  use.interval_h = 20;
  EXPECT_EQ(year_of_filter(use)->by, ChangedBy::hours);
  use.interval_m = 1e6;
  EXPECT_EQ(year_of_filter(use).error().front().where.field, "use.metres_a_year");
}

}  // namespace
}  // namespace fw::debris
