// SPDX-License-Identifier: Apache-2.0
#include "fuel/air.hpp"

#include <cmath>
#include <string>

#include <gtest/gtest.h>

#include "fuel_cases.hpp"
#include "published_table.hpp"

namespace fw::fuel {
namespace {

using test::celsius;
using test::with_density;

// Reference row 30 and table of section 5.5: ASTM D2779 (constants from memory), to the printed digits. Deviation: one
// cell (d 0.800, 20 C) is printed 0.1542 for 0.154147.
TEST(Air, MeetsD2779) {
  EXPECT_NEAR(ostwald_coefficient(835.0, celsius(20)), 0.12417, 2e-5);
  EXPECT_NEAR(ostwald_coefficient(835.0, 333.15), 0.15242, 2e-5);
  const test::PublishedTable table = test::published_table("fuel/ostwald.csv");
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    for (const std::string column : {"t-20", "t0", "t20", "t40", "t60", "t80"}) {
      EXPECT_NEAR(ostwald_coefficient(1000.0 * table.number(row, "d"), celsius(std::stod(column.substr(1)))),
                  table.number(row, column), 1.1 * test::half_unit(table.text(row, column)))
          << table.text(row, "d") << column;
    }
  }
}

// Stated with the constants: L(273 K, d = 0.85) = L0 for every gas.
TEST(Air, ConstantsAreConsistent) {
  EXPECT_NEAR(ostwald_coefficient(850.0, 273.15, Gas::air), 0.098, 0.0005);
  EXPECT_NEAR(ostwald_coefficient(850.0, 273.15, Gas::nitrogen), 0.069, 0.0005);
  EXPECT_NEAR(ostwald_coefficient(850.0, 273.15, Gas::oxygen), 0.16, 0.0005);
}

// Reference row 30: beta at 0.101325 MPa of air. With the vapour pressure of the fuel (58 Pa) it is 0.06 % less.
TEST(Air, MeetsBunsen) {
  EXPECT_NEAR(bunsen_coefficient({.ostwald = ostwald_coefficient(835.0, celsius(20)),
                                  .temperature_K = celsius(20),
                                  .gas_pressure_Pa = 101325.0}),
              0.11575, 2e-5);
  const double dissolved = dissolved_air(with_density("en590", 835.0), celsius(20), 101325.0)->value;
  EXPECT_NEAR(dissolved / 0.11575, 1.0 - 57.9 / 101325.0, 2e-4);
  // Closed form: 2697 is (273.15/101325 Pa) in 1/MPa, so beta = Lc (p/T)/(p/T at 0 C, 1 atm).
  EXPECT_NEAR(2697.0 / (273.15 / 0.101325), 1.0, 1e-3);
  EXPECT_EQ(dissolved_air(test::mixed(grade("en590").value(), grade("petrol").value(), 0.9), celsius(60), 2e4)->value,
            0.0);
}

// Reference row 31 and the line of section 5.5: saturated at 101.325 kPa, d 0.835, 20 C.
TEST(Air, MeetsReleasedAir) {
  struct Row {
    double p_kPa, ratio, void_percent;
  };
  for (const Row row : {Row{80, 0.0331, 3.2}, Row{60, 0.0855, 7.9}, Row{50, 0.1275, 11.3}, Row{30, 0.2952, 22.8}}) {
    const Release release = released_air({.ostwald = ostwald_coefficient(835.0, celsius(20)),
                                          .saturation_pressure_Pa = 101325.0,
                                          .pressure_Pa = row.p_kPa * 1e3})
                                .value();
    EXPECT_NEAR(release.ratio, row.ratio, 1e-4) << row.p_kPa;
    EXPECT_NEAR(100.0 * release.void_fraction, row.void_percent, 0.06) << row.p_kPa;
  }
  const Release check =
      released_air(
          {.ostwald = ostwald_coefficient(835.0, celsius(20)), .saturation_pressure_Pa = 101325.0, .pressure_Pa = 50e3})
          .value();
  EXPECT_NEAR(check.void_fraction, 0.1131, 1e-4);
  // Rounded coefficient of the hydraulics page: 0.12, 80 kPa and 50 kPa.
  EXPECT_NEAR(released_air({.ostwald = 0.12, .saturation_pressure_Pa = 101325.0, .pressure_Pa = 80e3})->ratio, 0.031988,
              1e-6);
  EXPECT_NEAR(released_air({.ostwald = 0.12, .saturation_pressure_Pa = 101325.0, .pressure_Pa = 50e3})->ratio, 0.12318,
              1e-6);
}

// Closed form: the released part is linear in x_rel, none comes out at or above saturation, and Henry's law keeps the
// amount of air: released plus dissolved at p equals dissolved at saturation.
TEST(Air, ReleaseKeepsTheAmountOfAir) {
  const double L = 0.13;
  const double ps = 98e3;
  for (const double p : {10e3, 40e3, 70e3, 97e3}) {
    const double all = released_air({.ostwald = L, .saturation_pressure_Pa = ps, .pressure_Pa = p})->ratio;
    EXPECT_NEAR(all * p + L * p, L * ps, 1e-9 * L * ps);
    const double part =
        released_air({.ostwald = L, .saturation_pressure_Pa = ps, .pressure_Pa = p, .released_fraction = 0.14})->ratio;
    EXPECT_NEAR(part, 0.14 * all, 1e-15);
  }
  EXPECT_EQ(released_air({.ostwald = L, .saturation_pressure_Pa = ps, .pressure_Pa = ps})->void_fraction, 0.0);
  EXPECT_EQ(released_air({.ostwald = L, .saturation_pressure_Pa = ps, .pressure_Pa = 2 * ps})->ratio, 0.0);
}

// Reference row 34.
TEST(Air, MeetsAeratedStiffness) {
  EXPECT_NEAR(
      aerated_modulus_Pa({.void_fraction = 0.02, .pressure_Pa = 50e3, .liquid_modulus_Pa = 1.135e9}).value() * 1e-6,
      2.4946, 0.001);
  EXPECT_NEAR(aerated_modulus_Pa({.void_fraction = 0.0, .pressure_Pa = 50e3, .liquid_modulus_Pa = 1.135e9}).value(),
              1.135e9, 1.0);
}

// Worked rows of the hydraulics page: wave speed by Wood, rho 835, K 1.40 GPa, isothermal.
TEST(Air, MeetsWood) {
  struct Row {
    double p_kPa, void_fraction, speed;
  };
  for (const Row row : {Row{90, 0.0148754, 85.580706}, Row{80, 0.030996, 56.428496}, Row{70, 0.0509633, 41.613431},
                        Row{50, 0.109671, 24.760424}}) {
    // The void fraction is printed to six digits.
    EXPECT_NEAR(
        mixture_sound_speed_m_per_s(
            {.void_fraction = row.void_fraction, .pressure_Pa = row.p_kPa * 1e3, .liquid_modulus_Pa = 1.40e9}, 835.0)
                .value() /
            row.speed,
        1.0, 3e-6)
        << row.p_kPa;
  }
  EXPECT_NEAR(
      mixture_sound_speed_m_per_s({.void_fraction = 0.0, .pressure_Pa = 80e3, .liquid_modulus_Pa = 1.40e9}, 835.0)
          .value(),
      1294.854, 0.001);
}

TEST(Air, SaysWhatItDoesNotKnow) {
  EXPECT_EQ(air_solubility(grade("en590").value(), celsius(20))->range, Range::fitted);
  EXPECT_TRUE(air_solubility(grade("fame_b100").value(), celsius(20))->doubts.has(Doubt::air_ester));
  EXPECT_NEAR(air_solubility(with_density("fame_b100", 883.0), celsius(20))->value, 0.083, 0.0005);
  EXPECT_TRUE(air_solubility(grade("en590").value(), celsius(-50))->doubts.has(Doubt::air_temperature));
  EXPECT_TRUE(air_solubility(with_density("fame_b100", 905.0), celsius(20))->doubts.has(Doubt::air_density));
  EXPECT_EQ(air_solubility(constant_fluid(835.0, 3e-6).value(), celsius(20))->value, 0.0);
}

TEST(Air, NamesTheBadField) {
  const ReleaseCase good{.ostwald = 0.12, .saturation_pressure_Pa = 1e5, .pressure_Pa = 5e4};
  ReleaseCase bad = good;
  bad.pressure_Pa = -1.0;
  EXPECT_EQ(released_air(bad).error().front().where.field, "pressure_Pa");
  bad = good;
  bad.released_fraction = 1.5;
  EXPECT_EQ(released_air(bad).error().front().where.field, "released_fraction");
  bad = good;
  bad.ostwald = required;
  EXPECT_EQ(released_air(bad).error().front().where.field, "ostwald");
  EXPECT_EQ(aerated_modulus_Pa({.void_fraction = 1.0, .pressure_Pa = 1e5, .liquid_modulus_Pa = 1e9})
                .error()
                .front()
                .where.field,
            "void_fraction");
  EXPECT_EQ(mixture_sound_speed_m_per_s({.void_fraction = 0.1, .pressure_Pa = 0.0, .liquid_modulus_Pa = 1e9}, 835.0)
                .error()
                .front()
                .where.field,
            "pressure_Pa");
}

}  // namespace
}  // namespace fw::fuel
