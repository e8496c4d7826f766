// SPDX-License-Identifier: Apache-2.0
#include "fuel/property_sheet.hpp"

#include <array>
#include <cmath>
#include <set>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "fuel/air.hpp"
#include "fuel/stiffness.hpp"
#include "fuel/thermal.hpp"
#include "fuel/water_solubility.hpp"
#include "fuel_cases.hpp"

namespace fw::fuel {
namespace {

using test::celsius;

double value(const StateSheet& sheet, StateQuantity quantity) {
  return sheet.values.at(static_cast<std::size_t>(quantity))->value;
}

// Every quantity stands in its own place: the sheet agrees with the single functions, no two of which are alike.
TEST(PropertySheet, AgreesWithTheSingleFunctions) {
  for (const Fuel& fuel : test::every_fuel()) {
    const std::vector<FuelState> states{{.temperature_K = celsius(25), .pressure_Pa = 101325.0},
                                        {.temperature_K = celsius(60), .pressure_Pa = 180e6}};
    const PropertySheet sheet = property_sheet(fuel, states).value();
    ASSERT_EQ(sheet.states.size(), 2U);
    for (const StateSheet& at : sheet.states) {
      const double T = at.state.temperature_K;
      const double p = at.state.pressure_Pa;
      EXPECT_EQ(value(at, StateQuantity::density), density_kg_per_m3(fuel, T, p)->value);
      EXPECT_EQ(value(at, StateQuantity::kinematic_viscosity), kinematic_viscosity_m2_per_s(fuel, T, p)->value);
      EXPECT_EQ(value(at, StateQuantity::dynamic_viscosity), dynamic_viscosity_Pa_s(fuel, T, p)->value);
      EXPECT_EQ(value(at, StateQuantity::isothermal_modulus), stiffness(fuel, T, p)->isothermal_modulus_Pa);
      EXPECT_EQ(value(at, StateQuantity::isentropic_modulus), stiffness(fuel, T, p)->isentropic_modulus_Pa);
      EXPECT_EQ(value(at, StateQuantity::sound_speed), stiffness(fuel, T, p)->sound_speed_m_per_s);
      EXPECT_EQ(value(at, StateQuantity::expansion), stiffness(fuel, T, p)->expansion_per_K);
      EXPECT_EQ(value(at, StateQuantity::heat_capacity), heat_capacity_J_per_kg_K(fuel, T)->value);
      EXPECT_EQ(value(at, StateQuantity::thermal_conductivity), thermal_conductivity_W_per_m_K(fuel, T)->value);
      EXPECT_EQ(value(at, StateQuantity::vapour_pressure), vapour_pressure_Pa(fuel, T)->value);
      EXPECT_EQ(value(at, StateQuantity::dissolved_air), dissolved_air(fuel, T, 101325.0)->value);
      EXPECT_EQ(value(at, StateQuantity::air_solubility), air_solubility(fuel, T)->value);
      EXPECT_EQ(value(at, StateQuantity::water_solubility), water_solubility(fuel, T)->value);
      EXPECT_EQ(value(at, StateQuantity::surface_tension), surface_tension_N_per_m(fuel, T)->value);
      EXPECT_EQ(at.cold, cold_state(fuel, T));
    }
    EXPECT_EQ(sheet.values.at(0)->value, fuel.density_15C_kg_per_m3);
    EXPECT_EQ(sheet.values.at(1)->value, fuel.kinematic_viscosity_40C_m2_per_s);
  }
}

// Every grade of the room has every property between -10 and 100 C, low pressure and high, and each says its range.
TEST(PropertySheet, EveryGradeHasEveryProperty) {
  for (const Fuel& fuel : test::every_fuel()) {
    for (const double t : {-10.0, 20.0, 40.0, 100.0}) {
      const std::array<FuelState, 2> states{
          {{.temperature_K = celsius(t), .pressure_Pa = 5e4}, {.temperature_K = celsius(t), .pressure_Pa = 200e6}}};
      const PropertySheet sheet = property_sheet(fuel, states).value();
      for (const StateSheet& at : sheet.states) {
        for (std::size_t i = 0; i < state_quantities; ++i) {
          ASSERT_TRUE(at.values[i].has_value()) << fuel.id << name(static_cast<StateQuantity>(i));
          EXPECT_TRUE(std::isfinite(at.values[i]->value)) << fuel.id << name(static_cast<StateQuantity>(i));
          EXPECT_EQ(at.values[i]->range == Range::extrapolated, !at.values[i]->reason().empty());
        }
      }
    }
  }
}

// A law that refuses leaves the others alone: ester's water line reaches zero at -41 C.
TEST(PropertySheet, RefusalsStandInTheirPlace) {
  const std::array<FuelState, 1> cold{{{.temperature_K = celsius(-45), .pressure_Pa = 101325.0}}};
  const StateSheet at = property_sheet(grade("fame_b100").value(), cold)->states.front();
  EXPECT_EQ(at.values[static_cast<std::size_t>(StateQuantity::water_solubility)].error().front().code,
            ErrorCode::outside_model);
  EXPECT_TRUE(at.values[static_cast<std::size_t>(StateQuantity::density)].has_value());
  EXPECT_EQ(at.cold, Cold::below_cfpp);
  const PropertySheet petrol = property_sheet(grade("petrol").value(), cold).value();
  EXPECT_EQ(petrol.values[static_cast<std::size_t>(FuelQuantity::cfpp)].error().front().code, ErrorCode::not_found);
  EXPECT_EQ(petrol.values[static_cast<std::size_t>(FuelQuantity::cetane_number)].error().front().where.field,
            "cetane_number");
}

TEST(PropertySheet, RefusesWhatNoLawCovers) {
  const Fuel fuel = grade("en590").value();
  const auto field = [&](double T, double p) {
    const std::array<FuelState, 1> at{{{.temperature_K = T, .pressure_Pa = p}}};
    return property_sheet(fuel, at).error().front().where.field;
  };
  EXPECT_EQ(field(celsius(-61), 1e5), "temperature_K");
  EXPECT_EQ(field(required, 1e5), "temperature_K");
  EXPECT_EQ(field(celsius(20), 4e8), "pressure_Pa");
  EXPECT_EQ(field(celsius(20), -1.0), "pressure_Pa");
  EXPECT_EQ(property_sheet(fuel, {}).error().front().where.field, "states");
}

TEST(PropertySheet, NamesAreDistinct) {
  std::set<std::string_view> names;
  for (std::size_t i = 0; i < state_quantities; ++i) names.insert(name(static_cast<StateQuantity>(i)));
  for (std::size_t i = 0; i < fuel_quantities; ++i) names.insert(name(static_cast<FuelQuantity>(i)));
  EXPECT_EQ(names.size(), state_quantities + fuel_quantities);
  EXPECT_EQ(names.count(""), 0U);
}

}  // namespace
}  // namespace fw::fuel
