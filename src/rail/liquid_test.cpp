// SPDX-License-Identifier: Apache-2.0
#include "rail/liquid.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "fuel/stiffness.hpp"
#include "published_table.hpp"
#include "rail_cases.hpp"

namespace fw::rail {
namespace {

using test::MPa;
using test::page_liquid;

// T1 and the table of section 0 of the high-pressure page.
TEST(RailLiquid, MatchesThePageClosure) {
  const auto table = test::published_table("rail/page_fluid.csv");
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const RailLiquid liquid = page_liquid(table.number(row, "t_C"));
    const double p = table.number(row, "p_MPa") * MPa;
    EXPECT_NEAR(liquid.density_at(p) / table.number(row, "rho"), 1.0, 1e-4);
    EXPECT_NEAR(liquid.modulus_at(p) / table.number(row, "K_GPa") / 1e9, 1.0, 5e-4);
    EXPECT_NEAR(liquid.sound_speed_at(p) / table.number(row, "c"), 1.0, 1e-4);
  }
}

// Section 1.7: isentropic pump work per kg, 212.6 kJ/kg to 180 MPa at 60 C.
TEST(RailLiquid, MatchesThePumpWork) {
  EXPECT_NEAR(page_liquid(60.0).pumping_J_per_kg(0.1e6, 180e6) / 212.6e3, 1.0, 1e-3);
}

TEST(RailLiquid, InvertsItsDensityAndDifferentiatesToItsModulus) {
  const RailLiquid liquid = page_liquid(60.0);
  for (const double p : {0.0, 1e5, 1e7, 1e8, 2.5e8}) {
    EXPECT_NEAR(liquid.pressure_at(liquid.density_at(p)), p, 10.0);
    const double rho = liquid.density_at(p);
    const double slope = (liquid.pressure_at(rho * 1.00001) - liquid.pressure_at(rho * 0.99999)) / 2e-5;
    EXPECT_NEAR(slope / liquid.modulus_at(p), 1.0, 1e-7);
  }
}

TEST(RailLiquid, CurveMatchesThePower) {
  for (const double celsius : {20.0, 60.0, 80.0}) {
    RailLiquid liquid = page_liquid(celsius);
    liquid.modulus_slope = 9.37;
    const WaveCurve curve(liquid);
    for (double p = 1e5; p < 250e6; p += 7e6) {
      EXPECT_NEAR(curve.pressure_Pa(liquid.density_at(p)) / p, 1.0, 1e-8) << p;
    }
    EXPECT_EQ(curve.pressure_Pa(-1.0), 0.0);
    EXPECT_LT(curve.pressure_Pa(0.5 * liquid.density_kg_per_m3), liquid.vapour_pressure_Pa);
  }
}

// T31 and its neighbours: 1 cm3 of air in 80 cm3.
TEST(RailLiquid, MatchesTheAirMixture) {
  const GasMix mix{.liquid_modulus_Pa = 1.5e9, .volume_m3 = 80e-6, .free_gas_m3 = 1e-6};
  EXPECT_NEAR(mixture_modulus_Pa(mix, 20e5).value() / 0.913e9, 1.0, 5e-3);
  EXPECT_NEAR(mixture_modulus_Pa(mix, 5e5).value() / 0.164e9, 1.0, 5e-3);
  EXPECT_NEAR(mixture_modulus_Pa(mix, 100e5).value() / 1.452e9, 1.0, 5e-3);
}

// The product's fluid in the closed form. A straight line laid through a modulus with one bend is off by a parabola
// a (p^2 - p P + P^2/6): aP^2/6 at most. The density is off by its integral over K^2, a P^3/(36 sqrt 3)/K^2 at most, so
// by 0.0962 P/K times the modulus' own deviation; K is least at the start. Modulus and viscosity: as
// docs/theory/rail.md publishes them, no bound from a source.
TEST(RailLiquid, FitsTheFuelRoom) {
  const auto fuel = fuel::grade("en590").value();
  for (const double celsius : {20.0, 40.0, 60.0, 80.0}) {
    const auto fit = rail_liquid(fuel, celsius + 273.15, 200e6).value();
    const double lowest_Pa = fuel::stiffness(fuel, celsius + 273.15, 101325.0).value().isentropic_modulus_Pa;
    EXPECT_LT(fit.density_deviation, 0.0962 * fit.modulus_deviation * 200e6 / lowest_Pa) << celsius;
    EXPECT_LT(fit.modulus_deviation, 2e-2) << celsius;
    EXPECT_LT(fit.viscosity_deviation, 1e-2) << celsius;
    const auto end =
        fuel::compressed(fuel, {.temperature_K = celsius + 273.15, .from_Pa = 101325.0, .to_Pa = 100e6}).value();
    const auto state = fuel::stiffness(fuel, end.temperature_K, 100e6).value();
    EXPECT_NEAR(fit.liquid.sound_speed_at(100e6) / state.sound_speed_m_per_s, 1.0, 1.5e-2);
  }
}

TEST(RailLiquid, RefusesBadInput) {
  const auto fuel = fuel::grade("en590").value();
  EXPECT_EQ(rail_liquid(fuel, 333.15, 1e6).error().front().where.field, "highest_Pa");
  EXPECT_EQ(rail_liquid(fuel::constant_fluid(800.0, 2e-6).value(), 333.15, 1e8).error().front().code,
            ErrorCode::outside_model);
  EXPECT_EQ(mixture_modulus_Pa({.liquid_modulus_Pa = 1e9, .volume_m3 = 1e-6, .free_gas_m3 = 1e-3}, 1e5)
                .error()
                .front()
                .where.field,
            "mix.free_gas_m3");
}

}  // namespace
}  // namespace fw::rail
