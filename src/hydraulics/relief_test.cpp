// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/relief.hpp"

#include <gtest/gtest.h>

#include "hydraulics_cases.hpp"

namespace fw::hydraulics {
namespace {

using test::litre_per_hour;

constexpr double slope = 8e3 / (100.0 * 1e-3 / 3600.0);  // 8 kPa per 100 L/h
constexpr Relief regulator{.opening_Pa = 76e3, .slope_Pa_s_per_m3 = slope, .hysteresis_Pa = 2e3};

TEST(Relief, TakesSlopeFromADataSheet) {
  EXPECT_NEAR(override_slope_Pa_s_per_m3({.crack_Pa = 110e3, .full_Pa = 140e3, .flow_m3_per_s = 340.0 * litre_per_hour})
                  .value(),
              30e3 / (340.0 * litre_per_hour), 1.0);
  EXPECT_EQ(
      override_slope_Pa_s_per_m3({.crack_Pa = 2e5, .full_Pa = 1e5, .flow_m3_per_s = 1e-5}).error().front().where.field,
      "override.full_Pa");
}

TEST(Relief, OpensAndClosesAtItsTwoSets) {
  EXPECT_EQ(relief_law(regulator)->crack_Pa, 76e3);
  EXPECT_EQ(relief_law(regulator, {.set = ReliefSet::closing})->crack_Pa, 74e3);
  EXPECT_EQ(relief_law(regulator)->linear_Pa_s_per_m3, slope);
  EXPECT_EQ(relief_law(regulator)->quadratic_Pa_s2_per_m6, 0.0);
}

// Back pressure adds to an unbalanced valve: at the sensed place, not across the valve.
TEST(Relief, FeelsBackPressureUnlessBalanced) {
  const ReliefUse adds{.back_pressure_Pa = 10e3};
  const ReliefUse balanced{.back_pressure = BackPressure::balanced, .back_pressure_Pa = 10e3};
  EXPECT_EQ(relief_law(regulator, adds)->crack_Pa, 76e3);
  EXPECT_EQ(relief_law(regulator, balanced)->crack_Pa, 66e3);
  EXPECT_EQ(relief_opening_pressure_Pa(regulator, 101e3, adds).value(), 187e3);
  EXPECT_EQ(relief_opening_pressure_Pa(regulator, 101e3, balanced).value(), 177e3);
  const ReliefUse drowned{.back_pressure = BackPressure::balanced, .back_pressure_Pa = 90e3};
  EXPECT_EQ(relief_law(regulator, drowned)->crack_Pa, 0.0);
}

// Layouts page 0.2 and K2: the same chassis relief behind an assist pump that gives 70.0 kPa at its inlet.
TEST(Relief, DependsOnItsReference) {
  const Relief chassis{.opening_Pa = 60e3, .slope_Pa_s_per_m3 = slope};
  EXPECT_EQ(relief_opening_pressure_Pa(chassis, 70e3).value(), 130e3);  // own inlet: it adds
  EXPECT_EQ(relief_opening_pressure_Pa(chassis, 0.0).value(), 60e3);    // tank: it does not
}

TEST(Relief, NamesTheBadField) {
  const auto field = [](const Relief& relief) { return relief_law(relief).error().front().where.field; };
  EXPECT_EQ(field({.slope_Pa_s_per_m3 = slope}), "relief.opening_Pa");
  EXPECT_EQ(field({.opening_Pa = 1e5, .slope_Pa_s_per_m3 = 0.0}), "relief.slope_Pa_s_per_m3");
  EXPECT_EQ(field({.opening_Pa = 1e3, .slope_Pa_s_per_m3 = slope, .hysteresis_Pa = 1e3}), "relief.hysteresis_Pa");
  EXPECT_EQ(relief_opening_pressure_Pa(regulator, required).error().front().where.field, "reference_Pa");
}

}  // namespace
}  // namespace fw::hydraulics
