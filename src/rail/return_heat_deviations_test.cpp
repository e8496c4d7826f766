// SPDX-License-Identifier: Apache-2.0
// The heat of the high-pressure side beside outside values: the second table of docs/theory/heat.md.
#include <vector>

#include <gtest/gtest.h>

#include "fuel/stiffness.hpp"
#include "rail/return_heat.hpp"
#include "rail_cases.hpp"
#include "theory_table.hpp"

namespace fw::rail {
namespace {

TEST(ReturnHeatDeviations, StandInTheTheoryAsMeasured) {
  const auto page = test::page_liquid(60.0);
  const auto fuel = fuel::grade("en590").value();
  const auto up = fuel::compressed(fuel, {.temperature_K = 333.15, .from_Pa = 0.1e6, .to_Pa = 180e6}).value();
  const auto down =
      fuel::throttled(fuel, {.temperature_K = up.temperature_K, .from_Pa = 180e6, .to_Pa = 0.1e6}).value();
  const double throttling_K = down.temperature_K - up.temperature_K;
  const std::string closure = "page's closure, another program";
  const std::string near = "ReturnHeat.ProductsFluidStandsNearThePage";
  test::expect_theory_table(
      "heat.md", "return heat",
      {{"return of 4.67 cm3/s over 180 MPa, page's fluid, W", closure, 874.0,
        throttled_W(page, 4.67e-6 * 880.0, 180e6).value(), "ReturnHeat.MatchesTheReturnPower"},
       {"pump work to 180 MPa at 60 C over 2050 J/(kg K), page's fluid, K", closure, 103.7,
        page.pumping_J_per_kg(0.1e6, 180e6) / 2050.0, near},
       {"pump work to 180 MPa at 60 C, fuel en590, kJ/kg", closure, 212.6, 1e-3 * up.pumping_J_per_kg, near},
       {"compression to 180 MPa, fuel en590, K", closure, 19.2, up.temperature_K - 333.15, near},
       {"throttling from 180 MPa, fuel en590, K", closure + " (an upper bound)", 90.6, throttling_K, near},
       {"same, lower end of 0.43 to 0.50 K/MPa", "common practice, no source", 0.43 * 179.9, throttling_K,
        "ReturnHeatDeviations.StandInTheTheoryAsMeasured"}});
}

}  // namespace
}  // namespace fw::rail
