// SPDX-License-Identifier: Apache-2.0
#include "fuel/stiffness.hpp"

#include <array>
#include <cmath>
#include <string>

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include "fuel_cases.hpp"
#include "published_table.hpp"

namespace fw::fuel {
namespace {

using test::celsius;
using test::every_fuel;
using test::with_density;

constexpr std::array temperatures_C{-40.0, -15.0, 0.0, 20.0, 40.0, 60.0, 80.0, 100.0, 140.0};
constexpr std::array pressures_Pa{3e4, 101325.0, 4e5, 1e7, 1e8, 2e8, 2.5e8};

Fuel fluid_of(const std::string& name) {
  if (name == "petroleum835") return with_density("en590", 835.0);
  if (name == "petroleum825") return with_density("iso4113", 825.0);
  if (name == "petroleum800") return with_density("jp8", 800.0);
  if (name == "ester883.3") return with_density("fame_b100", 883.3);
  if (name == "paraffin780") return with_density("hvo", 780.0);
  if (name == "b20") return test::mixed(with_density("en590", 835.0), with_density("fame_b100", 883.3), 0.2);
  throw std::runtime_error("no fluid " + name);
}

// Reference rows 9 to 15 (petroleum), 16 (calibration fluid), 17 (ester), 18 (B20), 19 (paraffinic).
TEST(Stiffness, MeetsTheCheckRows) {
  const auto at = [](const Fuel& fuel, double t, double p_MPa) {
    return stiffness(fuel, celsius(t), p_MPa * 1e6).value();
  };
  const Fuel diesel = fluid_of("petroleum835");
  const Stiffness still = stiffness(diesel, celsius(40), standard_pressure_Pa).value();
  EXPECT_NEAR(still.isothermal_modulus_Pa * 1e-6, 1135.22, 0.05);
  EXPECT_NEAR(tait_of(diesel, celsius(40))->stiffness_Pa * 1e-6, 99.798, 0.01);
  EXPECT_NEAR(still.sound_speed_m_per_s, 1293.66, 0.1);
  EXPECT_NEAR(at(diesel, 40, 100).density_kg_per_m3, 870.17, 0.05);
  EXPECT_NEAR(at(diesel, 40, 200).density_kg_per_m3, 904.57, 0.05);
  EXPECT_NEAR(at(diesel, 40, 200).isothermal_modulus_Pa * 1e-6, 3077.3, 1.0);
  EXPECT_NEAR(at(diesel, 40, 200).isentropic_modulus_Pa * 1e-6, 3494.1, 2.0);
  EXPECT_NEAR(at(diesel, 40, 100).sound_speed_m_per_s, 1680.5, 0.5);
  EXPECT_NEAR(at(diesel, 40, 200).sound_speed_m_per_s, 1965.4, 0.5);
  EXPECT_NEAR(at(diesel, 80, 200).sound_speed_m_per_s, 1863.6, 0.5);
  const Stiffness bench = at(fluid_of("petroleum825"), 40, 100);
  EXPECT_NEAR(bench.density_kg_per_m3, 860.77, 0.05);
  EXPECT_NEAR(bench.sound_speed_m_per_s, 1676.7, 0.5);
  const Stiffness ester = at(fluid_of("ester883.3"), 40, 100);
  EXPECT_NEAR(ester.density_kg_per_m3, 916.01, 0.05);
  EXPECT_NEAR(ester.sound_speed_m_per_s, 1657.2, 0.5);
  const Stiffness b20 = at(fluid_of("b20"), 40, 100);
  EXPECT_NEAR(b20.density_kg_per_m3, 879.21, 0.05);
  EXPECT_NEAR(b20.sound_speed_m_per_s, 1676.8, 1.0);
  EXPECT_NEAR(at(fluid_of("paraffin780"), 40, 100).density_kg_per_m3, 816.33, 0.05);
}

// Step values of the derivation at 40 and 20 C for 835 kg/m3 (reference section 2.3).
TEST(Stiffness, MeetsTheStepValues) {
  const Tait warm = tait_of(fluid_of("petroleum835"), celsius(40)).value();
  EXPECT_NEAR(warm.density_kg_per_m3, 817.091, 0.0006);
  EXPECT_NEAR(warm.expansion_per_K, 8.8181e-4, 6e-9);
  EXPECT_NEAR(warm.heat_capacity_J_per_kg_K, 1992.2, 0.06);
  EXPECT_NEAR(warm.stiffness_slope_Pa_per_K * 1e-6, -0.6298, 0.00006);
  const Tait mild = tait_of(fluid_of("petroleum835"), celsius(20)).value();
  EXPECT_NEAR(mild.density_kg_per_m3, 831.435, 0.0006);
  EXPECT_NEAR(mild.expansion_per_K, 8.5854e-4, 6e-9);
  EXPECT_NEAR(mild.heat_capacity_J_per_kg_K, 1917.95, 0.006);
  EXPECT_NEAR(mild.stiffness_Pa * 1e-6, 112.935, 0.0006);
}

// Table 2.6 of the reference, every cell to half a unit of its last printed digit. Deviations: the paraffinic rows are
// printed from 1.12 x n-dodecane, this room uses the polynomial of B that check row 19 is made with: at most 0.12 kg/m3
// and 1.3 m/s; B20 at 150 MPa is 1822.47 m/s for 1823 (heat capacity by mass).
TEST(Stiffness, MeetsTheTable) {
  const test::PublishedTable table = test::published_table("fuel/high_pressure.csv");
  int cells = 0;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const Fuel fuel = fluid_of(table.text(row, "fluid"));
    const std::string& quantity = table.text(row, "quantity");
    const double t = table.number(row, "t_C");
    for (const std::string column : {"p0.1", "p50", "p100", "p150", "p200", "p250"}) {
      const double p = column == "p0.1" ? standard_pressure_Pa : 1e6 * std::stod(column.substr(1));
      const Stiffness state = stiffness(fuel, celsius(t), p).value();
      const double value = quantity == "rho"   ? state.density_kg_per_m3
                           : quantity == "K_T" ? state.isothermal_modulus_Pa * 1e-6
                           : quantity == "K_S" ? state.isentropic_modulus_Pa * 1e-6
                                               : state.sound_speed_m_per_s;
      const double allowed = table.text(row, "fluid") == "paraffin780" ? (quantity == "rho" ? 0.12 : 1.3)
                             : table.text(row, "fluid") == "b20"       ? 1.1 * test::half_unit(table.text(row, column))
                                                                       : test::half_unit(table.text(row, column));
      EXPECT_NEAR(value, table.number(row, column), allowed)
          << table.text(row, "fluid") << " " << quantity << " " << t << " C " << column;
      ++cells;
    }
  }
  EXPECT_EQ(cells, 34 * 6);
}

// Polynomials of B by density: at most 0.19 MPa from the direct B, as stated with them, to its printed digits.
TEST(Stiffness, MeetsThePolynomialsOfB) {
  const test::PublishedTable table = test::published_table("fuel/tait_polynomials.csv");
  double worst = 0.0;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const Fuel fuel = with_density("en590", table.number(row, "rho15"));
    for (double t = -20.0; t <= 120.0; t += 5.0) {
      const double polynomial = table.number(row, "b0") + t * (table.number(row, "b1") + t * table.number(row, "b2"));
      worst = std::max(worst, std::abs(tait_of(fuel, celsius(t))->stiffness_Pa * 1e-6 - polynomial));
    }
  }
  EXPECT_LT(worst, 0.195);
}

// Independent: Batzle & Wang eq. 18 gives 1.00745 for the relative density at 15.6 C, 10 MPa (1.00725 here);
// API 11.2.1M gives a mean modulus of 1129 MPa from 0 to 10 MPa at 40 C, 6.5 % uncertain. Deviation: the reference
// prints a mean K_T of 1198 MPa for its own equations, the secant is 1190.6 MPa.
TEST(Stiffness, StandsNearIndependentCorrelations) {
  const Fuel diesel = fluid_of("petroleum835");
  const Tait cool = tait_of(diesel, celsius(15.6)).value();
  EXPECT_NEAR(stiffness(diesel, celsius(15.6), 10e6)->density_kg_per_m3 / cool.density_kg_per_m3, 1.00725, 6e-6);
  EXPECT_NEAR(stiffness(diesel, celsius(15.6), 10e6)->density_kg_per_m3 / cool.density_kg_per_m3, 1.00745, 3e-4);
  const double mean = tait_secant_modulus_Pa(tait_of(diesel, celsius(40)).value(), 10e6 + standard_pressure_Pa);
  EXPECT_NEAR(mean * 1e-6 / 1198.0, 1.0, 0.01);
  EXPECT_NEAR(mean * volume_compressibility_per_Pa(835.0, celsius(40)).value(), 1.0, 0.065);
}

// Murnaghan's form is within 0.042 % of the Tait density for diesel, 20 to 100 C, up to 250 MPa (reference
// section 2.2).
TEST(Stiffness, StandsNearMurnaghan) {
  const Fuel diesel = fluid_of("petroleum835");
  constexpr double n = 9.638;
  for (double t = 20.0; t <= 100.0; t += 20.0) {
    const Stiffness still = stiffness(diesel, celsius(t), standard_pressure_Pa).value();
    for (double p = 1e7; p <= 2.5e8; p += 1e7) {
      const double rho =
          still.density_kg_per_m3 *
          std::pow(1.0 + n * (p - standard_pressure_Pa) / (1.0173 * still.isothermal_modulus_Pa), 1.0 / n);
      EXPECT_NEAR(rho / stiffness(diesel, celsius(t), p)->density_kg_per_m3, 1.0, 0.00042) << t << " C " << p;
    }
  }
}

// Identities over every grade and blend, temperature and pressure: a = -dln(rho)/dT and K_T = rho dp/drho by central
// difference, c^2 rho = K_S, K_S >= K_T, 1/K_S = 1/K_T - a^2 T/(rho cp), density rising with pressure.
TEST(Stiffness, KeepsTheIdentitiesOfThermodynamics) {
  for (const Fuel& fuel : every_fuel()) {
    for (const double t : temperatures_C) {
      double last = 0.0;
      for (const double p : pressures_Pa) {
        const double T = celsius(t);
        const auto rho = [&](double temperature_K, double pressure_Pa) {
          return density_kg_per_m3(fuel, temperature_K, pressure_Pa)->value;
        };
        const Stiffness state = stiffness(fuel, T, p).value();
        const std::string where = fuel.id + " " + std::to_string(t) + " C " + std::to_string(p) + " Pa";
        EXPECT_DOUBLE_EQ(state.density_kg_per_m3, rho(T, p)) << where;
        const double a = -std::log(rho(T + 0.05, p) / rho(T - 0.05, p)) / 0.1;
        EXPECT_NEAR(state.expansion_per_K / a, 1.0, 2e-6) << where;
        const double h = 1e-4 * (p + 5e7);
        const double low = std::max(p - h, 1.0);
        const double modulus = (p + h - low) / std::log(rho(T, p + h) / rho(T, low));
        EXPECT_NEAR(state.isothermal_modulus_Pa / modulus, 1.0, p > h ? 2e-7 : 2e-4) << where;
        EXPECT_NEAR(state.sound_speed_m_per_s * state.sound_speed_m_per_s * state.density_kg_per_m3 /
                        state.isentropic_modulus_Pa,
                    1.0, 1e-14)
            << where;
        EXPECT_GE(state.isentropic_modulus_Pa, state.isothermal_modulus_Pa) << where;
        const double thermal = state.expansion_per_K * state.expansion_per_K * T /
                               (state.density_kg_per_m3 * state.heat_capacity_J_per_kg_K);
        EXPECT_NEAR((1.0 / state.isentropic_modulus_Pa + thermal) * state.isothermal_modulus_Pa, 1.0, 1e-12) << where;
        EXPECT_GT(state.density_kg_per_m3, last) << where;
        EXPECT_GT(state.isentropic_K_per_Pa, 0.0) << where;
        EXPECT_LT(state.isenthalpic_K_per_Pa, 0.0) << where;
        last = state.density_kg_per_m3;
      }
    }
  }
}

// A measured sound speed is met exactly and moves the modulus with it, for every family.
TEST(Stiffness, MeetsAMeasuredSoundSpeed) {
  for (Fuel fuel : every_fuel()) {
    const double before = sound_speed_m_per_s(fuel, celsius(25), standard_pressure_Pa)->value;
    fuel.sound_speed_m_per_s = 1.03 * before;
    fuel.sound_temperature_K = celsius(25);
    const Stiffness state = stiffness(fuel, celsius(25), standard_pressure_Pa).value();
    EXPECT_NEAR(state.sound_speed_m_per_s / fuel.sound_speed_m_per_s, 1.0, 1e-12) << fuel.id;
    EXPECT_GT(sound_speed_m_per_s(fuel, celsius(60), 1e8)->value, 1.0) << fuel.id;
  }
}

// Reference section 2.7: slopes, isentropic 0.5 -> 180 MPa from 40 C +20.8 K; throttling 200 -> 0.1 MPa from 60 C
// +84.2 K (row 22), 180 -> 0.1 MPa from 40 C to 118 C.
TEST(PressureStep, MeetsTheCheckRows) {
  const Fuel diesel = fluid_of("petroleum835");
  const Stiffness low = stiffness(diesel, celsius(40), 101325.0).value();
  const Stiffness high = stiffness(diesel, celsius(40), 200e6).value();
  EXPECT_NEAR(low.isentropic_K_per_Pa * 1e6, 0.170, 0.0006);
  EXPECT_NEAR(high.isentropic_K_per_Pa * 1e6, 0.082, 0.0006);
  EXPECT_NEAR(-low.isenthalpic_K_per_Pa * 1e6, 0.445, 0.0006);
  EXPECT_NEAR(-high.isenthalpic_K_per_Pa * 1e6, 0.473, 0.0006);
  const auto squeezed = compressed(diesel, {.temperature_K = celsius(40), .from_Pa = 0.5e6, .to_Pa = 180e6}).value();
  EXPECT_NEAR(squeezed.temperature_K - celsius(40), 20.8, 0.06);
  const auto hot = throttled(diesel, {.temperature_K = celsius(60), .from_Pa = 200e6, .to_Pa = 0.1e6}).value();
  EXPECT_NEAR(hot.temperature_K - celsius(60), 84.2, 0.5);
  EXPECT_EQ(hot.range, Range::extrapolated);
  EXPECT_TRUE(hot.doubts.has(Doubt::density_hot));
  const auto mild = throttled(diesel, {.temperature_K = celsius(40), .from_Pa = 180e6, .to_Pa = 0.1e6}).value();
  EXPECT_NEAR(mild.temperature_K - celsius(40), 78.0, 0.6);
}

// Reversible: compression and expansion undo each other; two halves are the whole.
TEST(PressureStep, CompressionIsReversibleAndAdds) {
  for (const Fuel& fuel : every_fuel()) {
    const auto up = compressed(fuel, {.temperature_K = 320.0, .from_Pa = 1e6, .to_Pa = 161e6}).value();
    const auto back = compressed(fuel, {.temperature_K = up.temperature_K, .from_Pa = 161e6, .to_Pa = 1e6}).value();
    EXPECT_NEAR(back.temperature_K, 320.0, 1e-6) << fuel.id;
    EXPECT_NEAR(back.compression_J_per_kg / -up.compression_J_per_kg, 1.0, 1e-6) << fuel.id;
    const auto half = compressed(fuel, {.temperature_K = 320.0, .from_Pa = 1e6, .to_Pa = 81e6}).value();
    const auto rest = compressed(fuel, {.temperature_K = half.temperature_K, .from_Pa = 81e6, .to_Pa = 161e6}).value();
    EXPECT_NEAR(rest.temperature_K, up.temperature_K, 1e-6) << fuel.id;
    EXPECT_NEAR((half.pumping_J_per_kg + rest.pumping_J_per_kg) / up.pumping_J_per_kg, 1.0, 1e-9) << fuel.id;
  }
}

// Closed form: on the path d(p/rho) = dp/rho - p/(rho K_S) dp, so pumping - compression = p2/rho2 - p1/rho1.
TEST(PressureStep, WorksAddUpToFlowWork) {
  for (const Fuel& fuel : every_fuel()) {
    const auto end = compressed(fuel, {.temperature_K = 310.0, .from_Pa = 0.4e6, .to_Pa = 180e6}).value();
    const double before = 0.4e6 / density_kg_per_m3(fuel, 310.0, 0.4e6)->value;
    const double after = 180e6 / density_kg_per_m3(fuel, end.temperature_K, 180e6)->value;
    EXPECT_NEAR((end.pumping_J_per_kg - end.compression_J_per_kg) / (after - before), 1.0, 5e-6) << fuel.id;
  }
}

TEST(PressureStep, NamesTheBadField) {
  const Fuel diesel = fluid_of("petroleum835");
  EXPECT_EQ(throttled(diesel, {.temperature_K = 300.0, .from_Pa = required, .to_Pa = 1e5}).error().front().where.field,
            "from.pressure_Pa");
  EXPECT_EQ(throttled(diesel, {.temperature_K = 300.0, .from_Pa = 1e5, .to_Pa = -1.0}).error().front().where.field,
            "to.pressure_Pa");
  EXPECT_EQ(throttled(diesel, {.temperature_K = celsius(150), .from_Pa = 250e6, .to_Pa = 1e5}).error().front().code,
            ErrorCode::outside_model);
  EXPECT_EQ(compressed(constant_fluid(835.0, 3e-6).value(), {.temperature_K = 300.0, .from_Pa = 1e5, .to_Pa = 1e6})
                .error()
                .front()
                .code,
            ErrorCode::outside_model);
}

TEST(Stiffness, SaysWhereItExtrapolates) {
  const Fuel diesel = fluid_of("petroleum835");
  EXPECT_EQ(sound_speed_m_per_s(diesel, celsius(40), 1e8)->range, Range::fitted);
  EXPECT_EQ(sound_speed_m_per_s(diesel, celsius(40), 1e8)->relative_uncertainty, 0.03);
  EXPECT_TRUE(sound_speed_m_per_s(diesel, celsius(40), 3e8)->doubts.has(Doubt::pressure_above_fit));
  EXPECT_TRUE(sound_speed_m_per_s(diesel, celsius(20), 2.2e8)->doubts.has(Doubt::pressure_freezing));
  EXPECT_TRUE(isentropic_modulus_Pa(fluid_of("ester883.3"), celsius(40), 6e7)->doubts.has(Doubt::pressure_above_fit));
  EXPECT_TRUE(
      isothermal_modulus_Pa(fluid_of("paraffin780"), celsius(40), 1e5)->doubts.has(Doubt::stiffness_paraffinic));
  EXPECT_TRUE(expansion_per_K(with_density("jp8", 785.0), celsius(40), 1e5)->doubts.has(Doubt::stiffness_density));
  EXPECT_EQ(stiffness(diesel, celsius(40), 4e8).error().front().where.field, "pressure_Pa");
}

// A constant fluid with a sound speed is the textbook liquid of water hammer: K = rho c^2.
TEST(Stiffness, ConstantFluidHasTheGivenSoundSpeed) {
  Fuel fluid = constant_fluid(835.0, 4.5e-6).value();
  EXPECT_EQ(stiffness(fluid, 293.15, 1e5).error().front().code, ErrorCode::outside_model);
  fluid.sound_speed_m_per_s = 1294.854;
  EXPECT_NEAR(stiffness(fluid, 293.15, 1e5)->isentropic_modulus_Pa, 1.40e9, 2e3);
  fluid.sound_speed_m_per_s = 10.0;
  EXPECT_EQ(stiffness(fluid, 293.15, 1e5).error().front().where.field, "sound_speed_m_per_s");
}

// Property: an ester blend of any share has density and Tait stiffness between its parts, and pressure keeps the order.
RC_GTEST_PROP(Stiffness, EsterBlendsLieBetweenTheirParts, ()) {
  const Fuel diesel = with_density("d975_2d", *rc::gen::inRange(800, 880));
  const Fuel ester = grade("fame_b100").value();
  const Fuel made = test::mixed(diesel, ester, *rc::gen::inRange(0, 1001) / 1000.0);
  const double T = celsius(*rc::gen::inRange(-20, 100));
  const auto check_between = [](double value, double a, double b) {
    RC_ASSERT(value >= std::min(a, b) * (1.0 - 1e-12) && value <= std::max(a, b) * (1.0 + 1e-12));
  };
  const Tait whole = tait_of(made, T).value();
  const Tait first = tait_of(diesel, T).value();
  const Tait second = tait_of(ester, T).value();
  check_between(whole.density_kg_per_m3, first.density_kg_per_m3, second.density_kg_per_m3);
  check_between(whole.stiffness_Pa, first.stiffness_Pa, second.stiffness_Pa);
  check_between(whole.heat_capacity_J_per_kg_K, first.heat_capacity_J_per_kg_K, second.heat_capacity_J_per_kg_K);
}

}  // namespace
}  // namespace fw::fuel
