// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/check_valve.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

#include <gtest/gtest.h>

#include "hydraulics/resistor.hpp"
#include "hydraulics_cases.hpp"

namespace fw::hydraulics {
namespace {

using test::d20;
using test::fluid_w;
using test::litre_per_hour;

constexpr SpringPoppet poppet{.seat_bore_m = 8e-3,
                              .cone_half_angle_rad = std::numbers::pi / 4.0,
                              .preload_N = 0.25,
                              .rate_N_per_m = 200.0,
                              .lift_stop_m = 2e-3};

double valve_flow(const ValveCoefficients& valve, double drop_Pa) {
  if (drop_Pa <= valve.crack_Pa) return 0.0;
  return flow_at_drop_m3_per_s(
      {.linear_Pa_s_per_m3 = valve.linear_Pa_s_per_m3, .quadratic_Pa_s2_per_m6 = valve.quadratic_Pa_s2_per_m6},
      drop_Pa - valve.crack_Pa);
}

// Worked rows of the hydraulics page.
TEST(CheckValve, MatchesTheWorkedPoppet) {
  int nth = 0;
  for (const char* drop : {"4000", "6000", "10000", "20000"}) {
    const auto state = poppet_state(poppet, d20, std::stod(drop)).value();
    const std::string inputs =
        "seat 8 mm cone 45 deg preload 0.25 N rate 200 N/m xmax 2 mm Cd 0.65 dp " + std::string(drop) + " Pa: lift";
    const std::string flow = "same: Q = Cd pi d x sin45 sqrt(2dp/rho)";
    if (nth == 0) {
      EXPECT_EQ(test::worked("check valve", inputs), 0.0);
      EXPECT_EQ(state.lift_m, 0.0);
      EXPECT_EQ(test::worked("check valve", flow, nth), 0.0);
      EXPECT_EQ(state.flow_m3_per_s, 0.0);
    } else {
      FW_EXPECT_WORKED(state.lift_m * 1e3, "check valve", inputs);
      FW_EXPECT_WORKED(state.flow_m3_per_s / litre_per_hour, "check valve", flow, nth);
    }
    EXPECT_EQ(state.at_stop, nth == 3);
    ++nth;
  }
  EXPECT_NEAR(poppet_crack_Pa(poppet).value(), 0.25 / (std::numbers::pi * 16e-6), 1e-9);
}

// Fit of the solver's law to the lift law: crack and its two points exact, deviation measured between them.
TEST(CheckValve, PoppetFitDeviates) {
  const auto law = poppet_law(poppet, d20).value();
  EXPECT_DOUBLE_EQ(law.crack_Pa, poppet_crack_Pa(poppet).value());
  const double stop_Pa = 200.0 * 2e-3 / bore_area_m2(8e-3);
  for (const double share : {0.5, 2.0}) {
    const double drop = law.crack_Pa + share * stop_Pa;
    EXPECT_NEAR(valve_flow(law, drop) / poppet_state(poppet, d20, drop)->flow_m3_per_s, 1.0, 1e-12);
  }
  double worst = 0.0;
  double worst_share = 0.0;
  for (double share = 0.25; share <= 4.0; share *= 1.01) {
    const double drop = law.crack_Pa + share * stop_Pa;
    const double exact = poppet_state(poppet, d20, drop)->flow_m3_per_s;
    const double deviation = std::abs(valve_flow(law, drop) / exact - 1.0);
    if (deviation > worst) worst_share = share;
    worst = std::max(worst, deviation);
  }
  EXPECT_NEAR(worst, 0.255, 2e-3);
  EXPECT_NEAR(worst_share, 1.0, 0.02);  // where the poppet meets its stop
}

// Every poppet gives a rising law (a > 0, b >= 0): weak and stiff springs, no preload and much.
TEST(CheckValve, EveryPoppetGivesARisingLaw) {
  for (const double preload : {0.0, 0.01, 0.25, 5.0}) {
    for (const double rate : {10.0, 200.0, 5000.0}) {
      for (const double stop : {0.1e-3, 0.5e-3, 2e-3}) {
        SpringPoppet other = poppet;
        other.preload_N = preload;
        other.rate_N_per_m = rate;
        other.lift_stop_m = stop;
        const auto law = poppet_law(other, d20);
        ASSERT_TRUE(law.has_value()) << preload << " " << rate << " " << stop;
        EXPECT_GT(law->linear_Pa_s_per_m3, 0.0);
        EXPECT_GE(law->quadratic_Pa_s2_per_m6, 0.0);
      }
    }
  }
}

// Part data 4 (typical): full-open orifices of in-line checks, b [1/m4] and the drop without spring at 300 L/h of W.
TEST(CheckValve, MatchesThePartData) {
  struct Row {
    double bore_mm, b_per_m4, drop_kPa;
  };
  for (const Row& row :
       {Row{6.0, 1.480e9, 8.430}, Row{7.5, 6.063e8, 3.453}, Row{8.5, 3.675e8, 2.093}, Row{11.0, 1.310e8, 0.746}}) {
    const auto law = valve_from_orifice({.crack_Pa = 3e3, .bore_m = 1e-3 * row.bore_mm}, fluid_w).value();
    EXPECT_NEAR(law.quadratic_Pa_s2_per_m6 / fluid_w.density_kg_per_m3 / row.b_per_m4, 1.0, 5e-4);
    const double flow = 300.0 * litre_per_hour;
    EXPECT_NEAR(law.quadratic_Pa_s2_per_m6 * flow * flow / 1e3, row.drop_kPa, 6e-4);
    EXPECT_EQ(law.crack_Pa, 3e3);
    // The linear part adds under 1 %.
    EXPECT_LT(law.linear_Pa_s_per_m3 * flow / 1e3, 0.01 * row.drop_kPa);
  }
}

// Layouts page 9: bypass of a stopped pump, 7 kPa + 3 kPa (rho/817.09)(Q/150 L/h)^2.
TEST(CheckValve, MatchesTheStatedDrop) {
  const StatedValve bypass{.crack_Pa = 7e3, .drop_over_crack_Pa = 3e3, .flow_m3_per_s = 150.0 * litre_per_hour};
  const fuel::Liquid stated{.density_kg_per_m3 = 817.09, .dynamic_viscosity_Pa_s = 2.7e-6 * 817.09};
  const auto exact = valve_from_drop(bypass, stated).value();
  const double flow = 150.0 * litre_per_hour;
  EXPECT_NEAR(drop_Pa({exact.linear_Pa_s_per_m3, exact.quadratic_Pa_s2_per_m6}, flow), 3e3, 1e-9);
  const fuel::Liquid cold{.density_kg_per_m3 = 862.571, .dynamic_viscosity_Pa_s = 862.571 * 10.4922e-6};
  const auto law = valve_from_drop(bypass, cold).value();
  for (const double share : {0.3, 1.0, 2.0}) {
    const double plain = 3e3 * 862.571 / 817.09 * share * share;
    EXPECT_NEAR(drop_Pa({law.linear_Pa_s_per_m3, law.quadratic_Pa_s2_per_m6}, share * flow) / plain, 1.0, 0.04);
  }
}

TEST(CheckValve, TwoPointsGiveTheLawOrAnError) {
  const auto law =
      valve_through_points(5e3, {.flow_m3_per_s = 1e-5, .drop_Pa = 6e3}, {.flow_m3_per_s = 4e-5, .drop_Pa = 12e3})
          .value();
  EXPECT_NEAR(valve_flow(law, 6e3), 1e-5, 1e-17);
  EXPECT_NEAR(valve_flow(law, 12e3), 4e-5, 1e-17);
  const auto straight =
      valve_through_points(0.0, {.flow_m3_per_s = 1e-5, .drop_Pa = 1e3}, {.flow_m3_per_s = 3e-5, .drop_Pa = 3e3});
  EXPECT_NEAR(straight->quadratic_Pa_s2_per_m6 * 3e-5 / straight->linear_Pa_s_per_m3, 0.0, 1e-10);
  const auto field = [](double crack, const ValvePoint& low, const ValvePoint& high) {
    return valve_through_points(crack, low, high).error().front();
  };
  // Steeper than quadratic, and falling off: neither is held by the law.
  EXPECT_EQ(field(0.0, {.flow_m3_per_s = 1e-5, .drop_Pa = 1e3}, {.flow_m3_per_s = 2e-5, .drop_Pa = 5e3}).code,
            ErrorCode::outside_model);
  EXPECT_EQ(field(0.0, {.flow_m3_per_s = 1e-5, .drop_Pa = 1e3}, {.flow_m3_per_s = 4e-5, .drop_Pa = 2e3}).code,
            ErrorCode::outside_model);
  EXPECT_EQ(field(2e3, {.flow_m3_per_s = 1e-5, .drop_Pa = 1e3}, {.flow_m3_per_s = 4e-5, .drop_Pa = 3e3}).where.field,
            "low.drop_Pa");
  EXPECT_EQ(field(0.0, {.flow_m3_per_s = 1e-5, .drop_Pa = 1e3}, {.flow_m3_per_s = 1e-5, .drop_Pa = 3e3}).where.field,
            "high.flow_m3_per_s");
  EXPECT_EQ(field(-1.0, {.flow_m3_per_s = 1e-5, .drop_Pa = 1e3}, {.flow_m3_per_s = 2e-5, .drop_Pa = 3e3}).where.field,
            "crack_Pa");
}

TEST(CheckValve, NamesTheBadField) {
  SpringPoppet bad = poppet;
  bad.rate_N_per_m = 0.0;
  EXPECT_EQ(poppet_state(bad, d20, 1e4).error().front().where.field, "poppet.rate_N_per_m");
  bad = poppet;
  bad.lift_stop_m = 4e-3;
  EXPECT_EQ(poppet_law(bad, d20).error().front().code, ErrorCode::outside_model);
  EXPECT_EQ(poppet_state(poppet, d20, required).error().front().where.field, "drop_Pa");
  EXPECT_EQ(valve_from_orifice({.crack_Pa = 1e3}, d20).error().front().where.field, "valve.bore_m");
  EXPECT_EQ(valve_from_drop({.crack_Pa = 1e3, .drop_over_crack_Pa = 0.0, .flow_m3_per_s = 1e-5}, d20)
                .error()
                .front()
                .where.field,
            "valve.drop_over_crack_Pa");
}

}  // namespace
}  // namespace fw::hydraulics
