// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/tank.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "hydraulics_cases.hpp"

namespace fw::hydraulics {
namespace {

using test::litre_per_hour;
using test::published_table;

// hyd_isa.csv: p_simple is the same law (geopotential altitude); p, T and rho take z as geometric and differ by under
// 0.06 % to 5,000 m.
TEST(Tank, MatchesTheStandardAtmosphere) {
  const auto table = published_table("hydraulics/hyd_isa.csv");
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const auto air = standard_atmosphere(table.number(row, "z_m")).value();
    EXPECT_NEAR(air.pressure_Pa / table.number(row, "p_simple_Pa"), 1.0, 1e-6);
    EXPECT_NEAR(air.pressure_Pa / table.number(row, "p_Pa"), 1.0, 6e-4);
    EXPECT_NEAR(air.temperature_K, table.number(row, "T_K"), 0.03);
    EXPECT_NEAR(air.air_density_kg_per_m3 / table.number(row, "rho_kg_m3"), 1.0, 6e-4);
    EXPECT_EQ(air.range, Range::fitted);
  }
  // Values printed on the hydraulics page.
  EXPECT_NEAR(standard_atmosphere(1000.0)->pressure_Pa, 89874.6, 0.06);
  EXPECT_NEAR(standard_atmosphere(2000.0)->pressure_Pa, 79495.2, 0.06);
  EXPECT_NEAR(standard_atmosphere(3000.0)->pressure_Pa, 70108.5, 0.06);
  EXPECT_NEAR(standard_atmosphere(4000.0)->pressure_Pa, 61640.0, 0.6);
  EXPECT_EQ(standard_atmosphere(8000.0)->range, Range::extrapolated);
  EXPECT_EQ(standard_atmosphere(12000.0).error().front().code, ErrorCode::outside_model);
  EXPECT_EQ(standard_atmosphere(required).error().front().where.field, "altitude_m");
}

// Default of the supply: 20 L ullage, 5 L burned, 101.325 kPa -> 81.1 kPa.
TEST(Tank, BlockedVentExpandsItsAir) {
  EXPECT_NEAR(blocked_vent_pressure_Pa({}).value(), 81.1e3, 50.0);
  EXPECT_DOUBLE_EQ(blocked_vent_pressure_Pa({.burned_m3 = 0.0}).value(), 101325.0);
  EXPECT_EQ(blocked_vent_pressure_Pa({.ullage_m3 = 0.0}).error().front().where.field, "blocked_vent.ullage_m3");
}

TEST(Tank, VentHoldsTheSurface) {
  const Vent vent{.bore_m = 2e-3};
  EXPECT_NEAR(tank_surface_pressure_Pa(101325.0, vent, 300.0 * litre_per_hour).value(), 101325.0 - 1176.6079, 1e-3);
  EXPECT_GT(tank_surface_pressure_Pa(101325.0, vent, -60.0 * litre_per_hour).value(), 101325.0);
  EXPECT_EQ(tank_surface_pressure_Pa(101325.0, {.bore_m = 0.5e-3}, 300.0 * litre_per_hour).error().front().code,
            ErrorCode::outside_model);
  EXPECT_EQ(tank_surface_pressure_Pa(0.0, vent, 0.0).error().front().where.field, "atmosphere_Pa");
}

}  // namespace
}  // namespace fw::hydraulics
