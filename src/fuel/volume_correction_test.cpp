// SPDX-License-Identifier: Apache-2.0
#include "fuel/volume_correction.hpp"

#include <array>
#include <cmath>

#include <gtest/gtest.h>

#include "fuel_cases.hpp"

namespace fw::fuel {
namespace {

using test::celsius;

// Published: ASTM D1250-80 / API MPMS 11.1 table 54B (reference rows 1, 2, 3, 4, 5 and the worked values).
TEST(VolumeCorrection, MeetsTable54B) {
  EXPECT_NEAR(expansion_15C_per_K(835.0), 8.527259e-4, 1e-9);
  EXPECT_NEAR(expansion_15C_per_K(845.0), 8.372376e-4, 1e-9);
  EXPECT_NEAR(volume_correction(835.0, celsius(40)), 0.978552, 1e-6);
  EXPECT_NEAR(835.0 * volume_correction(835.0, celsius(40)), 817.091, 0.005);
  EXPECT_NEAR(835.0 * volume_correction(835.0, celsius(-20)), 859.684, 0.005);
  EXPECT_NEAR(845.0 * volume_correction(845.0, celsius(40)), 827.207, 0.005);
  EXPECT_NEAR(volume_correction(800.0, celsius(60)), 0.957718, 1e-6);
}

// Stated with the table: the groups meet within 0.1 % of a15. Deviation: gasolines and transition meet within 0.3 %.
TEST(VolumeCorrection, GroupsMeetAtTheirJoints) {
  for (const double joint : {787.5, 838.5}) {
    EXPECT_NEAR(expansion_15C_per_K(joint - 1e-9) / expansion_15C_per_K(joint), 1.0, 1e-3) << joint;
  }
  EXPECT_NEAR(expansion_15C_per_K(770.0) / expansion_15C_per_K(770.0 + 1e-9), 1.0, 3.1e-3);
}

// Published: API MPMS 11.1-2004, base 60 F (reference row 6); both editions agree at 40 C.
TEST(VolumeCorrection, MeetsTheEditionBasedOn60F) {
  EXPECT_NEAR(volume_correction_base_60(834.6043, (104.0 + 459.67) / 1.8).value(), 0.979011, 2e-6);
  // rho60 that belongs to 835 at 15 C, carried to 40 C by either edition: 817.09 kg/m3.
  const double density_60F = 835.0 * volume_correction(835.0, (60.0 + 459.67) / 1.8);
  EXPECT_NEAR(density_60F, 834.6043, 0.001);
  EXPECT_NEAR(density_60F * volume_correction_base_60(density_60F, celsius(40)).value(), 817.09, 0.01);
  for (const double rho : {650.0, 780.0, 850.0}) {
    const double base = rho * volume_correction(rho, (60.0 + 459.67) / 1.8);
    const double there = base * volume_correction_base_60(base, celsius(35)).value();
    EXPECT_NEAR(there / (rho * volume_correction(rho, celsius(35))), 1.0, 3e-4) << rho;
  }
}

// Published: API MPMS 11.2.1M (reference rows 7, 8 and worked values); table of R 50.2.076-2010: 0.408e-3 /MPa at
// 990 kg/m3, -50 C lies outside the range and is not asked for.
TEST(VolumeCorrection, MeetsCompressibility) {
  EXPECT_NEAR(volume_compressibility_per_Pa(835.0, celsius(40)).value() * 1e6, 8.8559e-4, 1e-8);
  EXPECT_NEAR(volume_compressibility_per_Pa(845.0, celsius(20)).value() * 1e6, 7.5670e-4, 1e-8);
  EXPECT_NEAR(
      pressure_correction({.density_15C_kg_per_m3 = 835.0, .temperature_K = celsius(40), .rise_Pa = 10e6}).value(),
      1.008935, 2e-6);
  EXPECT_NEAR(
      pressure_correction({.density_15C_kg_per_m3 = 835.0, .temperature_K = celsius(40), .rise_Pa = 1e6}).value(),
      1.000886, 1e-6);
}

// The imperial twin (2004, from memory) agrees to 0.04 %.
TEST(VolumeCorrection, MeetsTheImperialTwin) {
  for (const double t : {0.0, 20.0, 40.0, 60.0}) {
    const double fahrenheit = 1.8 * t + 32.0;
    const double rho60 = 835.0 * volume_correction(835.0, (60.0 + 459.67) / 1.8);
    const double per_psi =
        1e-5 * std::exp(-1.9947 + 0.00013427 * fahrenheit + (793920.0 + 2326.0 * fahrenheit) / (rho60 * rho60));
    EXPECT_NEAR(per_psi / 6894.757 / volume_compressibility_per_Pa(835.0, celsius(t)).value(), 1.0, 4e-4) << t;
  }
}

TEST(VolumeCorrection, RefusesWhatItDoesNotCover) {
  EXPECT_EQ(volume_correction_base_60(600.0, 300.0).error().front().code, ErrorCode::outside_model);
  EXPECT_EQ(volume_correction_base_60(required, 300.0).error().front().where.field, "base_density_kg_per_m3");
  EXPECT_EQ(volume_correction_base_60(800.0, required).error().front().where.field, "temperature_K");
  EXPECT_EQ(volume_compressibility_per_Pa(600.0, 300.0).error().front().code, ErrorCode::outside_model);
  EXPECT_EQ(volume_compressibility_per_Pa(835.0, celsius(95)).error().front().where.field, "temperature_K");
  EXPECT_EQ(pressure_correction({.density_15C_kg_per_m3 = 835.0, .temperature_K = celsius(40), .rise_Pa = 11e6})
                .error()
                .front()
                .code,
            ErrorCode::outside_model);
  EXPECT_EQ(pressure_correction({.density_15C_kg_per_m3 = 835.0, .temperature_K = celsius(40), .rise_Pa = -1.0})
                .error()
                .front()
                .code,
            ErrorCode::invalid_input);
}

}  // namespace
}  // namespace fw::fuel
