// SPDX-License-Identifier: Apache-2.0
#include "rail/return_heat.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "fuel/stiffness.hpp"
#include "fuel/thermal.hpp"
#include "rail_cases.hpp"

namespace fw::rail {
namespace {

const ReturnQuestion full_load{
    .crank_rev_per_s = 50, .power_W = 300e3, .rail_Pa = 180e6, .inlet_K = 333.15, .inlet = {.pressure_Pa = 0.5e6}};

// Section 9: V8 return 4.67 cm3/s at 880 kg/m3 is 874 W at 180 MPa, 60 C.
TEST(ReturnHeat, MatchesTheReturnPower) {
  EXPECT_NEAR(throttled_W(test::page_liquid(60.0), 4.67e-6 * 880.0, 180e6).value(), 874.0, 2.0);
}

// Section 9, integrated with the page's closure: compression 19.2 K, work/cp 103.7 K, throttling 90.6 K, an upper bound
// there because its expansion is too small at high pressure. Throttling after compression is the work less what the
// compression took up as heat, both over cp: an identity of the states, held by the product's fluid whatever its
// expansion. The rule of 0.43 to 0.50 K/MPa (77 to 90 K) is missed by 4 % on the low side: a deviation, listed in
// docs/theory/heat.md and not a bound of this test.
TEST(ReturnHeat, ProductsFluidStandsNearThePage) {
  EXPECT_NEAR(test::page_liquid(60.0).pumping_J_per_kg(0.1e6, 180e6) / 2050.0, 103.7, 0.2);
  const auto fuel = fuel::grade("en590").value();
  const auto up = fuel::compressed(fuel, {.temperature_K = 333.15, .from_Pa = 0.1e6, .to_Pa = 180e6}).value();
  const auto down =
      fuel::throttled(fuel, {.temperature_K = up.temperature_K, .from_Pa = 180e6, .to_Pa = 0.1e6}).value();
  const double throttling_K = down.temperature_K - up.temperature_K;
  EXPECT_NEAR(up.temperature_K - 333.15, 19.2, 4.0);
  EXPECT_LT(throttling_K, 90.6);
  // From the inlet to the return the enthalpy at 0.1 MPa rises by the pump's work.
  const double mean_K = 0.5 * (333.15 + down.temperature_K);
  const double cp = fuel::heat_capacity_J_per_kg_K(fuel, mean_K).value().value;
  EXPECT_NEAR((down.temperature_K - 333.15) * cp / up.pumping_J_per_kg, 1.0, 0.02);
  EXPECT_NEAR(up.pumping_J_per_kg / 212.6e3, 1.0, 0.02);
}

// Energy over the whole side: what the pump's shaft puts in leaves with injected fuel (as pressure) and return (as
// heat).
TEST(ReturnHeat, BalancesTheEnergy) {
  const HighPressureSet set = generic_set("v8").value();
  const auto fuel = fuel::grade("en590").value();
  const auto heat = return_heat(set, fuel, full_load).value();
  EXPECT_NEAR(heat.taken_kg_per_s, heat.injected_kg_per_s + heat.returned_kg_per_s, 1e-15);
  EXPECT_NEAR(heat.injected_kg_per_s * 1e3, 18.75, 0.01);
  // Measured returns are 90 to 140 C at the leak-off (typical, from memory); the adiabatic model stands at or above it.
  EXPECT_GT(heat.throttled_K, 273.15 + 120.0);
  EXPECT_LT(heat.throttled_K, 273.15 + 190.0);
  const double cp = 2066.0;
  const double carried = heat.returned_kg_per_s * cp * (heat.return_K - 333.15);
  EXPECT_NEAR(carried / (heat.throttling_W + heat.pump_loss_W), 1.0, 0.15);  // cp rises along the way
  // More wear, more heat.
  const auto bad = return_heat(worn(set, {.clearance_m = 2e-6, .static_factor = 4.0}).value(), fuel, full_load).value();
  EXPECT_GT(bad.throttling_W, 1.5 * heat.throttling_W);
  EXPECT_GT(bad.return_K, heat.return_K);
}

TEST(ReturnHeat, NamesTheBadField) {
  const auto fuel = fuel::grade("en590").value();
  EXPECT_EQ(return_heat(generic_set("v8").value(), fuel,
                        {.crank_rev_per_s = 50, .power_W = 3e5, .rail_Pa = 0.0, .inlet_K = 333, .inlet = {5e5}})
                .error()
                .front()
                .where.field,
            "question.rail_Pa");
}

}  // namespace
}  // namespace fw::rail
