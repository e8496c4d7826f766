// SPDX-License-Identifier: Apache-2.0
#include "fuel/tait.hpp"

#include <array>
#include <cmath>
#include <string>

#include <gtest/gtest.h>

#include "base/contract.hpp"
#include "fuel_cases.hpp"
#include "published_table.hpp"

namespace fw::fuel {
namespace {

constexpr std::array pressures_MPa{"p0.1", "p50", "p100", "p150", "p200", "p250"};

double pressure_Pa(const std::string& column) {
  return column == "p0.1" ? standard_pressure_Pa : 1e6 * std::stod(column.substr(1));
}

double dodecane(const std::string& quantity, const std::string& t, const std::string& column) {
  const test::PublishedTable table = test::published_table("fuel/n_dodecane.csv");
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    if (table.text(row, "quantity") == quantity && table.text(row, "t_C") == t) return table.number(row, column);
  }
  throw std::runtime_error("no row " + quantity + " at " + t);
}

/// n-dodecane at 40 C by the recipe: atmospheric values only, C = 0.0880.
Tait recipe_at_40C() {
  return {.temperature_K = 313.15,
          .density_kg_per_m3 = 734.642,
          .expansion_per_K = 1.00530e-3,
          .heat_capacity_J_per_kg_K = 2262.5,
          .c = 0.0880,
          .stiffness_Pa = 0.0880 * 907.29e6 - standard_pressure_Pa,
          .stiffness_slope_Pa_per_K = -0.5464e6};
}

// Published inputs: Lemmon & Huber 2004 at 40 C; outputs of the recipe (reference section 2.4) to its printed digits,
// and within 0.2 %, 2 % and 1.5 % of the equation of state (reference row 20).
TEST(Tait, MeetsDodecaneAt40C) {
  const TaitState state = tait_state(recipe_at_40C(), 100e6).value();
  EXPECT_NEAR(state.density_kg_per_m3, 791.136, 0.0006);
  EXPECT_NEAR(state.isothermal_modulus_Pa * 1e-6, 1896.7, 0.06);
  EXPECT_NEAR(state.sound_speed_m_per_s, 1667.7, 0.06);
  EXPECT_NEAR(state.density_kg_per_m3 / 790.34, 1.0, 0.002);
  EXPECT_NEAR(state.isothermal_modulus_Pa / 1919.1e6, 1.0, 0.02);
  EXPECT_NEAR(state.sound_speed_m_per_s / 1682.5, 1.0, 0.015);
}

// Published: n-dodecane 749.44 kg/m3, 1301.2 m/s at 20 C, 0.1 MPa (reference row 21). The density follows from that at
// 40 C with its expansion, the sound speed from K_T, cp 2196 J/(kg K) and the slope of the tabulated densities.
TEST(Tait, MeetsDodecaneAt20C) {
  const double rho40 = recipe_at_40C().density_kg_per_m3;
  EXPECT_NEAR(rho40 * std::exp(20.0 * recipe_at_40C().expansion_per_K) / 749.44, 1.0, 0.002);
  const double rho20 = dodecane("rho", "20", "p0.1");
  const Tait liquid{.temperature_K = 293.15,
                    .density_kg_per_m3 = rho20,
                    .expansion_per_K = (rho20 - dodecane("rho", "40", "p0.1")) / 20.0 / rho20,
                    .heat_capacity_J_per_kg_K = 2196.0,
                    .c = 0.0880,
                    .stiffness_Pa = 0.0880 * 1e6 * dodecane("K_T", "20", "p0.1") - standard_pressure_Pa,
                    .stiffness_slope_Pa_per_K = 0.0};
  EXPECT_NEAR(tait_state(liquid, standard_pressure_Pa)->sound_speed_m_per_s / 1301.2, 1.0, 0.005);
}

// Published: n-dodecane, 20 to 80 C, 0.1 to 250 MPa. Fit of the form to the equation of state (C 0.08835, B quadratic):
// density within 0.051 % and K_T within 2.3 % as stated there; the printed digits add 0.007 %.
TEST(Tait, FitsDodecaneOverTheTable) {
  double worst_density = 0.0;
  double worst_modulus = 0.0;
  for (const std::string t : {"20", "40", "60", "80"}) {
    const double celsius = std::stod(t);
    const Tait liquid{.temperature_K = celsius + 273.15,
                      .density_kg_per_m3 = dodecane("rho", t, "p0.1"),
                      .expansion_per_K = 1e-3,
                      .heat_capacity_J_per_kg_K = 2260.0,
                      .c = 0.08835,
                      .stiffness_Pa = 1e6 * (106.82 - 0.67868 * celsius + 0.0013965 * celsius * celsius),
                      .stiffness_slope_Pa_per_K = 1e6 * (-0.67868 + 2.0 * 0.0013965 * celsius)};
    for (const std::string column : pressures_MPa) {
      const TaitState state = tait_state(liquid, pressure_Pa(column)).value();
      worst_density = std::max(worst_density, std::abs(state.density_kg_per_m3 / dodecane("rho", t, column) - 1.0));
      worst_modulus =
          std::max(worst_modulus, std::abs(state.isothermal_modulus_Pa * 1e-6 / dodecane("K_T", t, column) - 1.0));
    }
  }
  EXPECT_LT(worst_density, 0.00051 + 0.00007);
  EXPECT_LT(worst_modulus, 0.023 + 0.0005);
}

// Closed form: K0' = 1/C - 1 and V/V0 = 1 - ln[1 + (p/K0)(1 + K0')]/(1 + K0') (reference section 2.2).
TEST(Tait, IsTheLogarithmicEquationOfVolume) {
  const Tait liquid = recipe_at_40C();
  const double modulus = (liquid.stiffness_Pa + standard_pressure_Pa) / liquid.c;
  for (const double rise : {1e5, 1e7, 1e8, 2.5e8}) {
    const double volume = 1.0 - liquid.c * std::log(1.0 + rise / modulus / liquid.c);
    const double rho = tait_density_kg_per_m3(liquid, standard_pressure_Pa + rise);
    EXPECT_NEAR(rho * volume / liquid.density_kg_per_m3, 1.0, 1e-13) << rise;
    const double secant = tait_secant_modulus_Pa(liquid, standard_pressure_Pa + rise);
    EXPECT_NEAR(secant, rise / (1.0 - volume), 1e-6 * secant) << rise;
  }
}

// Limit: at the atmosphere the state is what was put in.
TEST(Tait, IsTheInputAtTheAtmosphere) {
  const TaitState state = tait_state(recipe_at_40C(), standard_pressure_Pa).value();
  EXPECT_DOUBLE_EQ(state.density_kg_per_m3, 734.642);
  EXPECT_NEAR(state.isothermal_modulus_Pa, 907.29e6, 1.0);
  EXPECT_DOUBLE_EQ(state.expansion_per_K, 1.00530e-3);
}

TEST(Tait, RefusesNumbersThatContradictEachOther) {
  Tait liquid = recipe_at_40C();
  liquid.expansion_per_K = 5e-3;
  EXPECT_EQ(tait_state(liquid, 1e5).error().front().code, ErrorCode::outside_model);
  liquid.stiffness_Pa = -1.0;
  EXPECT_THROW(static_cast<void>(tait_density_kg_per_m3(liquid, 1e5)), ContractViolation);
}

}  // namespace
}  // namespace fw::fuel
