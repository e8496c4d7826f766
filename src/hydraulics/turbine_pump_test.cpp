// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/turbine_pump.hpp"

#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "hydraulics_cases.hpp"

namespace fw::hydraulics {
namespace {

using test::d20;
using test::fluid_w;
using test::litre_per_hour;

// Worked rows of the hydraulics page.
TEST(TurbinePump, MatchesTheWorkedCurve) {
  const auto curve = turbine_curve(500e3, 400.0 * litre_per_hour).value();
  for (const char* ratio : {"1", "0.8"}) {
    FW_EXPECT_WORKED(
        curve_rise_Pa(curve, {.flow_m3_per_s = 180.0 * litre_per_hour, .speed_ratio = std::stod(ratio)}, d20).value(),
        "turbine pump", "linear rise 500 kPa(1-Q/400 L/h) at speed ratio " + std::string(ratio) + " Q 180 L/h: rise");
  }
}

// Part data 1.2: dp0 800, Qm 330, r = V/13.8.
TEST(TurbinePump, MatchesThePartData) {
  const auto curve = turbine_curve(800e3, 330.0 * litre_per_hour).value();
  struct Row {
    double volts, rise_kPa, flow;
  };
  for (const Row& row : {Row{13.8, 412.12, 165.00}, Row{12.0, 267.63, 97.21}, Row{10.0, 139.01, 11.43}}) {
    const double r = row.volts / 13.8;
    EXPECT_NEAR(
        curve_rise_Pa(curve, {.flow_m3_per_s = 160.0 * litre_per_hour, .speed_ratio = r}, fluid_w).value() / 1e3,
        row.rise_kPa, 0.006);
    EXPECT_NEAR(curve_flow_m3_per_s(curve, 400e3, r, fluid_w).value() / litre_per_hour, row.flow, 0.006);
  }
}

// The solver's valve is the curve: drop(Q) = crack + a Q + b Q^2 = -rise(Q), at any speed; affinity in every point.
TEST(TurbinePump, IsAValveWithNegativeCrack) {
  const PumpCurve curve{
      .dead_head_Pa = 450e3, .linear_Pa_s_per_m3 = 3e8, .quadratic_Pa_s2_per_m6 = 1.2e13, .density_kg_per_m3 = 800.0};
  for (const double r : {0.6, 1.0, 1.2}) {
    const auto law = curve_pump_law(curve, d20, r).value();
    for (const double flow : {0.0, 2e-5, 1e-4}) {
      const double rise = curve_rise_Pa(curve, {.flow_m3_per_s = flow, .speed_ratio = r}, d20).value();
      EXPECT_NEAR(law.crack_Pa + (law.linear_Pa_s_per_m3 + law.quadratic_Pa_s2_per_m6 * flow) * flow, -rise, 1e-9);
      const double scaled = curve_rise_Pa(curve, {.flow_m3_per_s = flow / r}, d20).value();
      EXPECT_NEAR(rise, r * r * scaled, 1e-9 * 450e3);
      if (rise > 0.0) {
        EXPECT_NEAR(curve_flow_m3_per_s(curve, rise, r, d20).value(), flow, 1e-16);
      }
    }
    EXPECT_EQ(curve_flow_m3_per_s(curve, 1e7, r, d20).value(), 0.0);
  }
  // The stated density is 800: rise grows with 835/800.
  EXPECT_NEAR(curve_rise_Pa(curve, {.flow_m3_per_s = 0.0}, d20).value(), 450e3 * 835.0 / 800.0, 1e-9);
}

// The pump of the diesel loop net: five of its points give its three numbers back.
TEST(TurbinePump, FitsItsOwnPoints) {
  std::vector<CurvePoint> points;
  for (const double flow : {0.0, 2e-5, 5e-5, 9e-5, 1.5e-4}) {
    points.push_back({.flow_m3_per_s = flow, .rise_Pa = 450e3 - 3e8 * flow - 1.2e13 * flow * flow});
  }
  const auto fit = curve_through(points).value();
  EXPECT_NEAR(fit.curve.dead_head_Pa / 450e3, 1.0, 1e-12);
  EXPECT_NEAR(fit.curve.linear_Pa_s_per_m3 / 3e8, 1.0, 1e-9);
  EXPECT_NEAR(fit.curve.quadratic_Pa_s2_per_m6 / 1.2e13, 1.0, 1e-9);
  EXPECT_LT(fit.largest_deviation_Pa, 1e-6);
  EXPECT_FALSE(fit.constrained);
}

// Least squares against the normal equations of a hand-made case: points (0, 10), (1, 9), (2, 5), (3, 1) have the
// parabola 10.15 - 0.85 x - 0.75 x^2 (worked by hand); two points a straight line.
TEST(TurbinePump, FitsByLeastSquares) {
  const std::vector<CurvePoint> points{{.flow_m3_per_s = 0.0, .rise_Pa = 10.0},
                                       {.flow_m3_per_s = 1.0, .rise_Pa = 9.0},
                                       {.flow_m3_per_s = 2.0, .rise_Pa = 5.0},
                                       {.flow_m3_per_s = 3.0, .rise_Pa = 1.0}};
  const auto fit = curve_through(points).value();
  EXPECT_NEAR(fit.curve.dead_head_Pa, 10.15, 1e-12);
  EXPECT_NEAR(fit.curve.linear_Pa_s_per_m3, 0.85, 1e-12);
  EXPECT_NEAR(fit.curve.quadratic_Pa_s2_per_m6, 0.75, 1e-12);
  EXPECT_NEAR(fit.largest_deviation_Pa, 0.45, 1e-12);
  const auto line = curve_through(std::vector<CurvePoint>{points[0], points[3]}).value();
  EXPECT_NEAR(line.curve.linear_Pa_s_per_m3, 3.0, 1e-12);
  EXPECT_EQ(line.curve.quadratic_Pa_s2_per_m6, 0.0);
}

// A curve that flattens, and one that starts flat: held to the solver's shape, and said so.
TEST(TurbinePump, ConstrainsShapesTheSolverCannotHold) {
  const std::vector<CurvePoint> flattening{{.flow_m3_per_s = 0.0, .rise_Pa = 100.0},
                                           {.flow_m3_per_s = 1.0, .rise_Pa = 50.0},
                                           {.flow_m3_per_s = 2.0, .rise_Pa = 30.0}};
  const auto line = curve_through(flattening).value();
  EXPECT_TRUE(line.constrained);
  EXPECT_EQ(line.curve.quadratic_Pa_s2_per_m6, 0.0);
  EXPECT_NEAR(line.largest_deviation_Pa, 10.0, 1e-12);  // 95 - 35 Q leaves 5, -10, 5
  const std::vector<CurvePoint> flat{{.flow_m3_per_s = 0.0, .rise_Pa = 100.0},
                                     {.flow_m3_per_s = 1.0, .rise_Pa = 99.0},
                                     {.flow_m3_per_s = 2.0, .rise_Pa = 80.0}};
  const auto held = curve_through(flat).value();
  EXPECT_TRUE(held.constrained);
  EXPECT_NEAR(held.curve.linear_Pa_s_per_m3, 1e-3 * 100.0 / 2.0, 1e-12);
  EXPECT_GT(held.curve.quadratic_Pa_s2_per_m6, 0.0);
  EXPECT_LT(held.largest_deviation_Pa, 4.0);
}

TEST(TurbinePump, RefusesPointsThatDoNotFall) {
  const auto fault = [](const std::vector<CurvePoint>& points) { return curve_through(points).error().front(); };
  EXPECT_EQ(fault({{.flow_m3_per_s = 0.0, .rise_Pa = 100.0}}).where.field, "points");
  EXPECT_EQ(fault({{.flow_m3_per_s = 0.0, .rise_Pa = 100.0}, {.flow_m3_per_s = 1.0, .rise_Pa = 101.0}}).where.field,
            "points[1].rise_Pa");
  EXPECT_EQ(fault({{.flow_m3_per_s = 1.0, .rise_Pa = 100.0}, {.flow_m3_per_s = 1.0, .rise_Pa = 90.0}}).where.field,
            "points[1].flow_m3_per_s");
  EXPECT_EQ(fault({{.flow_m3_per_s = 0.0}, {.flow_m3_per_s = 1.0, .rise_Pa = 90.0}}).where.field, "points[0].rise_Pa");
  EXPECT_EQ(fault({{.flow_m3_per_s = 0.0, .rise_Pa = -5.0}, {.flow_m3_per_s = 1.0, .rise_Pa = -90.0}}).code,
            ErrorCode::outside_model);
}

TEST(TurbinePump, NamesTheBadField) {
  EXPECT_EQ(turbine_curve(0.0, 1e-4).error().front().where.field, "dead_head_Pa");
  const auto curve = turbine_curve(5e5, 1e-4).value();
  EXPECT_EQ(curve_rise_Pa(curve, {.flow_m3_per_s = -1.0}, d20).error().front().where.field, "flow_m3_per_s");
  EXPECT_EQ(curve_pump_law(curve, d20, 0.0).error().front().where.field, "speed_ratio");
  EXPECT_EQ(curve_pump_law({.dead_head_Pa = 1e5, .linear_Pa_s_per_m3 = 0.0}, d20).error().front().where.field,
            "curve.linear_Pa_s_per_m3");
  EXPECT_EQ(curve_flow_m3_per_s(curve, required, 1.0, d20).error().front().where.field, "rise_Pa");
}

}  // namespace
}  // namespace fw::hydraulics
