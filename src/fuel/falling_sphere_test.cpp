// SPDX-License-Identifier: Apache-2.0
#include "fuel/falling_sphere.hpp"

#include <cmath>

#include <gtest/gtest.h>

namespace fw::fuel {
namespace {

// Reference fuel of the cleanliness page: 835 kg/m3, 4.0 mm2/s.
constexpr Liquid reference{.density_kg_per_m3 = 835.0, .dynamic_viscosity_Pa_s = 3.34e-3};
constexpr double quartz_kg_per_m3 = 2650.0;
constexpr double steel_kg_per_m3 = 7850.0;
constexpr double water_kg_per_m3 = 998.2;

double fall(double diameter_um, double density) {
  return rigid_fall({.diameter_m = diameter_um * 1e-6, .density_kg_per_m3 = density}, reference)->speed_m_per_s;
}
double stokes(double diameter_um, double density) {
  return stokes_fall({.diameter_m = diameter_um * 1e-6, .density_kg_per_m3 = density}, reference)->speed_m_per_s;
}

// Cleanliness page 3.2, table of speeds and check rows 25, 26; times to fall 0.3 m.
TEST(FallingSphere, MatchesTheSettlingTable) {
  struct Row {
    double um, quartz, steel, aluminium;
  };
  for (const Row row : {Row{4, 4.737e-6, 1.831e-5, 4.867e-6}, Row{10, 2.961e-5, 1.144e-4, 3.042e-5},
                        Row{20, 1.184e-4, 4.577e-4, 1.217e-4}, Row{50, 7.401e-4, 2.861e-3, 7.605e-4}}) {
    EXPECT_NEAR(stokes(row.um, quartz_kg_per_m3) / row.quartz, 1.0, 1e-3) << row.um;
    EXPECT_NEAR(stokes(row.um, steel_kg_per_m3) / row.steel, 1.0, 1e-3) << row.um;
    EXPECT_NEAR(stokes(row.um, 2700.0) / row.aluminium, 1.0, 1e-3) << row.um;
  }
  EXPECT_NEAR(0.3 / stokes(4, quartz_kg_per_m3) / 3600.0, 17.6, 0.05);
  EXPECT_NEAR(0.3 / stokes(10, steel_kg_per_m3) / 3600.0, 0.728, 1e-3);
  const Fall large = rigid_fall({.diameter_m = 300e-6, .density_kg_per_m3 = steel_kg_per_m3}, reference).value();
  EXPECT_NEAR(large.speed_m_per_s / 0.0701, 1.0, 1e-3);
  EXPECT_NEAR(large.reynolds / 5.26, 1.0, 1e-3);
  EXPECT_NEAR(stokes(300, steel_kg_per_m3) / 0.1030, 1.0, 1e-3);
}

// Cleanliness page 6.3 and check rows 27, 28.
TEST(FallingSphere, MatchesTheWaterDrops) {
  EXPECT_NEAR(stokes(10, water_kg_per_m3) / 2.662e-6, 1.0, 1e-3);
  EXPECT_NEAR(stokes(100, water_kg_per_m3) / 2.662e-4, 1.0, 1e-3);
  EXPECT_NEAR(stokes(60, water_kg_per_m3) / 9.58e-5, 1.0, 1e-3);
  EXPECT_NEAR(fall(500, water_kg_per_m3) / 5.93e-3, 1.0, 1e-3);
  EXPECT_NEAR(mobile_surface_factor(1.002e-3, reference).value() / 1.345, 1.0, 1e-3);
  const double cut_m = stokes_diameter_m(120e-3 / 3600.0 / 50e-4, water_kg_per_m3, reference).value();
  EXPECT_NEAR(cut_m / 500.4e-6, 1.0, 1e-3);
  EXPECT_NEAR(stokes(cut_m * 1e6, water_kg_per_m3), 120e-3 / 3600.0 / 50e-4, 1e-12);
}

// Identity: the drag balances the weight at every size; Stokes is the limit of small spheres.
TEST(FallingSphere, BalancesDragAndWeight) {
  double before = 0.0;
  for (double um = 0.5; um < 2000.0; um *= 1.3) {
    const Fall f = rigid_fall({.diameter_m = um * 1e-6, .density_kg_per_m3 = steel_kg_per_m3}, reference).value();
    const double d = um * 1e-6;
    const double cd = 24.0 / f.reynolds * (1.0 + 0.15 * std::pow(f.reynolds, 0.687));
    const double pi = std::acos(-1.0);
    const double drag_N = cd * 0.5 * 835.0 * f.speed_m_per_s * f.speed_m_per_s * pi / 4.0 * d * d;
    const double weight_N = pi / 6.0 * d * d * d * (steel_kg_per_m3 - 835.0) * standard_gravity_m_per_s2;
    EXPECT_NEAR(drag_N / weight_N, 1.0, 1e-12) << um;
    EXPECT_GT(f.speed_m_per_s, before);
    EXPECT_LE(f.speed_m_per_s, stokes(um, steel_kg_per_m3));
    before = f.speed_m_per_s;
  }
  EXPECT_NEAR(fall(1.0, quartz_kg_per_m3) / stokes(1.0, quartz_kg_per_m3), 1.0, 1e-3);
  EXPECT_LT(fall(10.0, 700.0), 0.0);  // rises
  EXPECT_EQ(rigid_fall({.diameter_m = 1e-5, .density_kg_per_m3 = 835.0}, reference)->speed_m_per_s, 0.0);
  EXPECT_EQ(rigid_fall({.diameter_m = 20e-3, .density_kg_per_m3 = steel_kg_per_m3}, reference)->range,
            Range::extrapolated);
}

TEST(FallingSphere, NamesTheBadField) {
  EXPECT_EQ(rigid_fall({.density_kg_per_m3 = 1.0}, reference).error().front().where.field, "sphere.diameter_m");
  EXPECT_EQ(rigid_fall({.diameter_m = 1e-6, .density_kg_per_m3 = 1.0}, {}).error().front().where.field,
            "liquid.density_kg_per_m3");
  EXPECT_EQ(mobile_surface_factor(0.0, reference).error().front().where.field, "drop_viscosity_Pa_s");
  EXPECT_EQ(stokes_diameter_m(1e-3, 835.0, reference).error().front().where.field, "sphere_density_kg_per_m3");
}

}  // namespace
}  // namespace fw::fuel
