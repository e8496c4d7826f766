// SPDX-License-Identifier: Apache-2.0
#include "fuel/water_solubility.hpp"

#include <array>

#include <gtest/gtest.h>

#include "fuel_cases.hpp"

namespace fw::fuel {
namespace {

using test::celsius;

double mg_per_kg(const Fuel& fuel, double t) { return water_solubility(fuel, celsius(t))->value * 1e6; }

// Reference row 32, end points of He et al. 2007, B20 and the extrapolation of section 6.1 to its printed digits.
TEST(WaterSolubility, MeetsTheCheckRows) {
  const Fuel diesel = grade("d975_2d").value();
  const Fuel ester = grade("fame_b100").value();
  EXPECT_NEAR(mg_per_kg(diesel, 20), 78.4, 0.1);
  EXPECT_NEAR(mg_per_kg(ester, 20), 1355.2, 0.1);
  EXPECT_NEAR(mg_per_kg(diesel, 4), 40.0, 0.1);
  EXPECT_NEAR(mg_per_kg(ester, 4), 1000.0, 0.1);
  EXPECT_NEAR(mg_per_kg(grade("b20").value(), 20), 334.0, 0.5);
  EXPECT_NEAR(mg_per_kg(diesel, 0), 34.0, 0.5);
  EXPECT_NEAR(mg_per_kg(diesel, 40), 136.0, 0.5);
  EXPECT_NEAR(mg_per_kg(diesel, 60), 240.0, 0.5);
  EXPECT_NEAR(mg_per_kg(diesel, 80), 397.0, 0.5);
}

// Published end points 117 and 1700 mg/kg at 35 C; deviation: slope and end points are rounded apart, the line gives
// 114.4 (2.2 % low) and 1688 (0.7 % low).
TEST(WaterSolubility, StandsNearTheUpperEndPoints) {
  EXPECT_NEAR(mg_per_kg(grade("d975_2d").value(), 35) / 117.0, 1.0, 0.023);
  EXPECT_NEAR(mg_per_kg(grade("fame_b100").value(), 35) / 1700.0, 1.0, 0.008);
}

// Reference section 6.1: diesel saturated at 35 C (117 mg/kg) cooled to 4 C sheds 77 mg/kg.
TEST(WaterSolubility, ShedsWaterOnCooling) {
  const Fuel diesel = grade("d975_2d").value();
  EXPECT_NEAR(free_water(diesel, 117e-6, celsius(4))->value * 1e6, 77.0, 0.1);
  EXPECT_EQ(free_water(diesel, 30e-6, celsius(4))->value, 0.0);
  EXPECT_EQ(free_water(diesel, -1.0, celsius(4)).error().front().where.field, "total_water");
}

TEST(WaterSolubility, RisesWithTemperatureForEveryFuel) {
  for (const Fuel& fuel : test::every_fuel()) {
    double last = 0.0;
    for (double t = -40.0; t <= 120.0; t += 1.0) {
      EXPECT_GT(mg_per_kg(fuel, t), last) << fuel.id << t;
      last = mg_per_kg(fuel, t);
    }
  }
}

TEST(WaterSolubility, SaysWhatItDoesNotKnow) {
  EXPECT_EQ(water_solubility(grade("en590").value(), celsius(20))->range, Range::fitted);
  EXPECT_TRUE(water_solubility(grade("en590").value(), celsius(50))->doubts.has(Doubt::water_temperature));
  EXPECT_TRUE(water_solubility(grade("hvo").value(), celsius(20))->doubts.has(Doubt::water_stand_in));
  EXPECT_TRUE(water_solubility(grade("jp8").value(), celsius(20))->doubts.has(Doubt::water_stand_in));
  EXPECT_EQ(water_solubility(grade("fame_b100").value(), celsius(-50)).error().front().code, ErrorCode::outside_model);
  EXPECT_EQ(water_solubility(constant_fluid(835.0, 3e-6).value(), celsius(20)).error().front().code,
            ErrorCode::outside_model);
}

}  // namespace
}  // namespace fw::fuel
