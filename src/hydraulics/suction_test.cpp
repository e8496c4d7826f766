// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/suction.hpp"

#include <string>

#include <gtest/gtest.h>

#include "hydraulics_cases.hpp"

namespace fw::hydraulics {
namespace {

using test::d20;

// Worked rows of the hydraulics page: inlet pressure and NPSHa.
TEST(Suction, MatchesTheWorkedInlet) {
  fuel::Liquid fuel = d20;
  fuel.vapour_pressure_Pa = 500.0;
  const auto inlet =
      inlet_state({.atmosphere_Pa = 70108.5, .vent_drop_Pa = 2000.0, .lift_m = 0.6, .friction_drop_Pa = 9000.0}, fuel)
          .value();
  FW_EXPECT_WORKED(inlet.npsh_m, "NPSHa",
                   "p_tank 70108.5 Pa (3000 m) vent 2 kPa pv 500 Pa lift 0.6 m friction 9 kPa rho 835");
  FW_EXPECT_WORKED(inlet.pressure_Pa, "NPSHa", "same as inlet absolute pressure");
  EXPECT_FALSE(inlet.starved);
}

// Starvation is a state: the pressure stays at vapour pressure, what is missing is said.
TEST(Suction, StarvesInsteadOfGoingNegative) {
  fuel::Liquid fuel = d20;
  fuel.vapour_pressure_Pa = 500.0;
  const auto inlet = inlet_state({.atmosphere_Pa = 101325.0, .lift_m = 1.0, .friction_drop_Pa = 120e3}, fuel).value();
  EXPECT_TRUE(inlet.starved);
  EXPECT_EQ(inlet.pressure_Pa, 500.0);
  EXPECT_EQ(inlet.npsh_m, 0.0);
  EXPECT_NEAR(inlet.missing_Pa, 500.0 - (101325.0 - 835.0 * 9.80665 - 120e3), 1e-9);
}

TEST(Suction, CountsAccelerationAndVelocity) {
  const SuctionLine still{.atmosphere_Pa = 101325.0, .lift_m = -0.2, .friction_drop_Pa = 0.0};
  SuctionLine moving = still;
  moving.acceleration_drop_Pa = 3e3;
  moving.inlet_velocity_m_per_s = 1.0;
  const auto a = inlet_state(still, d20).value();
  const auto b = inlet_state(moving, d20).value();
  EXPECT_NEAR(a.pressure_Pa - b.pressure_Pa, 3e3, 1e-9);
  EXPECT_NEAR(a.npsh_m - b.npsh_m, 3e3 / (835.0 * 9.80665) - 1.0 / (2.0 * 9.80665), 1e-12);
}

// Worked rows: gas set free at equilibrium and the mixture's sound speed.
TEST(Suction, MatchesTheWorkedGas) {
  fuel::Liquid fuel = d20;
  fuel.air_solubility = 0.12;
  struct Row {
    const char *pressure, *void_fraction;
  };
  for (const Row& row :
       {Row{"90000", "0.0148754"}, Row{"80000", "0.030996"}, Row{"70000", "0.0509633"}, Row{"50000", "0.109671"}}) {
    const double pressure_Pa = std::stod(row.pressure);
    const auto gas = free_gas({.pressure_Pa = pressure_Pa, .release_share = 1.0}, fuel).value();
    FW_EXPECT_WORKED(gas.per_liquid, "gas release",
                     "Ostwald 0.12 saturated at 101325 Pa equilibrium at " + std::string(row.pressure) +
                         " Pa: free gas / liquid volume");
    EXPECT_NEAR(gas.void_fraction / std::stod(row.void_fraction), 1.0, 1e-5);
    FW_EXPECT_WORKED(
        mixture_sound_speed_m_per_s(
            {.void_fraction = gas.void_fraction, .pressure_Pa = pressure_Pa, .bulk_modulus_Pa = 1.4e9}, fuel)
            .value(),
        "Wood wave speed", "same void fraction " + std::string(row.void_fraction) + " isothermal n=1");
  }
}

// Layouts page 9, K1: void at V2, full equilibrium and 14 % of it. Ostwald coefficients by the D2779 form of the
// hydraulics page at d 0.845 (0.11561 at 20 C, 0.12893 at 40 C), V2 -36.1 and -35.8 kPa.
TEST(Suction, MatchesTheCheckGradeLine) {
  fuel::Liquid fuel = d20;
  fuel.air_solubility = 0.11561;
  const auto percent = [&](double pressure_Pa, double share) {
    return 100.0 * free_gas({.pressure_Pa = pressure_Pa, .release_share = share}, fuel)->void_fraction;
  };
  EXPECT_NEAR(percent(101325.0 - 36.1e3, 1.0), 6.0, 0.05);
  EXPECT_NEAR(percent(101325.0 - 36.1e3, median_release_share), 0.89, 0.006);
  fuel.air_solubility = 0.12893;
  EXPECT_NEAR(percent(101325.0 - 35.8e3, 1.0), 6.6, 0.05);
  EXPECT_NEAR(percent(101325.0 - 35.8e3, median_release_share), 0.97, 0.011);
}

// Limits: no gas at or above saturation, pure liquid has its own sound speed (worked row).
TEST(Suction, HasItsLimits) {
  fuel::Liquid fuel = d20;
  fuel.air_solubility = 0.12;
  EXPECT_EQ(free_gas({.pressure_Pa = 101325.0}, fuel)->void_fraction, 0.0);
  EXPECT_EQ(free_gas({.pressure_Pa = 3e5}, fuel)->per_liquid, 0.0);
  FW_EXPECT_WORKED(
      mixture_sound_speed_m_per_s({.void_fraction = 0.0, .pressure_Pa = 1e5, .bulk_modulus_Pa = 1.4e9}, fuel).value(),
      "wave speed", "free fluid sqrt(K/rho)");
}

TEST(Suction, NamesTheBadField) {
  EXPECT_EQ(inlet_state({.atmosphere_Pa = 1e5, .friction_drop_Pa = 0.0}, d20).error().front().where.field,
            "suction.lift_m");
  EXPECT_EQ(free_gas({.pressure_Pa = 0.0}, d20).error().front().where.field, "gas.pressure_Pa");
  EXPECT_EQ(free_gas({.pressure_Pa = 1e5, .release_share = 1.5}, d20).error().front().where.field, "gas.release_share");
  EXPECT_EQ(mixture_sound_speed_m_per_s({.void_fraction = 1.0, .pressure_Pa = 1e5, .bulk_modulus_Pa = 1e9}, d20)
                .error()
                .front()
                .where.field,
            "mixture.void_fraction");
}

}  // namespace
}  // namespace fw::hydraulics
