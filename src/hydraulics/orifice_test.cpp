// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/orifice.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include <gtest/gtest.h>

#include "hydraulics_cases.hpp"

namespace fw::hydraulics {
namespace {

using test::d20;
using test::litre_per_hour;
using test::published_table;

// hyd_orifice_cd.csv (Merritt 1967, from memory there): sharp orifice and short tubes, hard switch as printed.
TEST(Orifice, MatchesTheDischargeTable) {
  const auto table = published_table("hydraulics/hyd_orifice_cd.csv");
  double worst = 0.0;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const double reynolds = table.number(row, "R");
    EXPECT_NEAR(sharp_orifice_discharge(reynolds).value() / table.number(row, "cd_sharp"), 1.0, 1e-9);
    for (const char* ratio : {"0.5", "2", "5", "10", "20"}) {
      const double cd = table.number(row, "cd_tube_Ld" + std::string(ratio));
      const double length_over_bore = std::stod(ratio);
      EXPECT_NEAR(short_tube_discharge(reynolds, length_over_bore, BranchJoin::hard).value() / cd, 1.0, 1e-9);
      worst = std::max(worst, std::abs(short_tube_discharge(reynolds, length_over_bore).value() / cd - 1.0));
    }
  }
  // The blend moves the printed values by under 1 %, at the switch.
  EXPECT_LT(worst, 0.01);
  EXPECT_GT(worst, 0.005);
}

TEST(Orifice, BlendIsContinuousAndRising) {
  double last = 0.0;
  for (double x = 30.0; x < 80.0; x *= 1.001) {
    const double cd = short_tube_discharge(x, 1.0).value();
    EXPECT_GT(cd, last);
    EXPECT_LT(cd - last, x == 30.0 ? 1.0 : 1e-3);
    last = cd;
  }
}

// Worked rows of the hydraulics page: both laws with a finite slope at rest, and the turbulent orifice itself.
TEST(Orifice, MatchesTheWorkedOrifices) {
  const Orifice hole{.bore_m = 1e-3};
  const auto law = orifice_law(hole, d20).value();
  for (const char* drop : {"10", "100", "1000", "10000", "100000"}) {
    FW_EXPECT_WORKED(flow_at_drop_m3_per_s(law, std::stod(drop)) / litre_per_hour, "orifice lin+quad",
                     "d 1 mm Cd 0.611 R_tr 9.33 dp " + std::string(drop) + " Pa");
    FW_EXPECT_WORKED(fourth_root_flow_m3_per_s(hole, d20, std::stod(drop)).value() / litre_per_hour, "orifice root4",
                     "d 1 mm Cd 0.611 Re_cr 9.33 dp " + std::string(drop) + " Pa");
  }
  const ResistorCoefficients turbulent{.linear_Pa_s_per_m3 = 0.0, .quadratic_Pa_s2_per_m6 = law.quadratic_Pa_s2_per_m6};
  const double flow = flow_at_drop_m3_per_s(turbulent, 1e5);
  FW_EXPECT_WORKED(flow / litre_per_hour, "orifice", "sharp d 1 mm dp 100 kPa Cd 0.611: Q");
  FW_EXPECT_WORKED(bore_reynolds(flow, 1e-3, d20), "orifice", "same: R = 4Q/(pi d nu)");
  EXPECT_DOUBLE_EQ(fourth_root_flow_m3_per_s(hole, d20, -1e4).value(),
                   -fourth_root_flow_m3_per_s(hole, d20, 1e4).value());
}

// Limits of the linear-plus-quadratic form against the turbulent drop: twice at R_t, 5 % more at 20 R_t; n holes
// take n times the flow.
TEST(Orifice, HasItsLimits) {
  const auto law = orifice_law({.bore_m = 2e-3}, d20).value();
  const double turning = sharp_transition_reynolds * bore_area_m2(2e-3) * d20.kinematic_viscosity_m2_per_s() / 2e-3;
  EXPECT_NEAR(drop_Pa(law, turning) / (law.quadratic_Pa_s2_per_m6 * turning * turning), 2.0, 1e-12);
  EXPECT_NEAR(drop_Pa(law, 20.0 * turning) / (law.quadratic_Pa_s2_per_m6 * 400.0 * turning * turning), 1.05, 1e-12);
  const auto three = orifice_law({.bore_m = 2e-3, .count = 3.0}, d20).value();
  EXPECT_NEAR(flow_at_drop_m3_per_s(three, 5e3) / flow_at_drop_m3_per_s(law, 5e3), 3.0, 1e-12);
}

// Measured deviation of the resistor from the discharge law it stands for: exact below R d/L 40 and at the reference.
TEST(Orifice, ShortTubeResistorDeviates) {
  const ShortTube tube{.bore_m = 4e-3, .length_m = 8e-3};
  const auto exact_Pa = [&](double flow) {
    const double cd = short_tube_discharge(bore_reynolds(flow, tube.bore_m, d20), 2.0).value();
    const double velocity = flow / bore_area_m2(tube.bore_m) / cd;
    return 0.5 * d20.density_kg_per_m3 * velocity * velocity;
  };
  const double flow_at_x1 = 2.0 * bore_area_m2(tube.bore_m) * d20.kinematic_viscosity_m2_per_s() / tube.bore_m;
  const auto low = short_tube_law(tube, d20).value();
  for (double x = 0.1; x < 40.0; x *= 1.3) {
    EXPECT_NEAR(drop_Pa(low, x * flow_at_x1) / exact_Pa(x * flow_at_x1), 1.0, 1e-12);
  }
  double worst = 0.0;
  for (double reference = 60.0; reference < 3e4; reference *= 1.5) {
    const auto law = short_tube_law(tube, d20, reference * flow_at_x1).value();
    EXPECT_NEAR(drop_Pa(law, reference * flow_at_x1) / exact_Pa(reference * flow_at_x1), 1.0, 1e-12);
    for (double x = 0.2 * reference; x <= 5.0 * reference; x *= 1.02) {
      worst = std::max(worst, std::abs(drop_Pa(law, x * flow_at_x1) / exact_Pa(x * flow_at_x1) - 1.0));
    }
  }
  EXPECT_NEAR(worst, 0.144, 2e-3);
}

// Worked rows: the vent, incompressible.
TEST(Orifice, MatchesTheWorkedVents) {
  for (const char* bore : {"1", "1.5", "2", "3"}) {
    const Vent vent{.bore_m = 1e-3 * std::stod(bore)};
    for (const char* flow : {"60", "300"}) {
      FW_EXPECT_WORKED(
          vent_drop(vent, std::stod(flow) * litre_per_hour)->vacuum_Pa, "tank vent",
          "orifice " + std::string(bore) + " mm Cd 0.6 air 1.204 kg/m3 withdrawal " + flow + " L/h: vacuum");
    }
    // The element differs from it by its linear part only: under 6 % from 60 L/h on.
    const auto law = vent_law(vent).value();
    const double vacuum_Pa = vent_drop(vent, 60.0 * litre_per_hour)->vacuum_Pa;
    EXPECT_GT(drop_Pa(law, 60.0 * litre_per_hour), vacuum_Pa);
    EXPECT_LT(drop_Pa(law, 60.0 * litre_per_hour), 1.06 * vacuum_Pa);
  }
  EXPECT_DOUBLE_EQ(vent_drop({.bore_m = 2e-3}, -1e-5)->vacuum_Pa, -vent_drop({.bore_m = 2e-3}, 1e-5)->vacuum_Pa);
  EXPECT_EQ(vent_drop({.bore_m = 1e-3}, 300.0 * litre_per_hour)->range, Range::extrapolated);
  EXPECT_EQ(vent_drop({.bore_m = 2e-3}, 300.0 * litre_per_hour)->range, Range::fitted);
}

TEST(Orifice, NamesTheBadField) {
  EXPECT_EQ(orifice_law({}, d20).error().front().where.field, "orifice.bore_m");
  EXPECT_EQ(orifice_law({.bore_m = 1e-3, .count = 0.0}, d20).error().front().where.field, "orifice.count");
  EXPECT_EQ(
      fourth_root_flow_m3_per_s({.bore_m = 1e-3, .transition_reynolds = 0.0}, d20, 1.0).error().front().where.field,
      "orifice.transition_reynolds");
  EXPECT_EQ(sharp_orifice_discharge(-1.0).error().front().where.field, "reynolds");
  EXPECT_EQ(short_tube_discharge(1.0, 0.0).error().front().where.field, "length_over_bore");
  EXPECT_EQ(short_tube_law({.bore_m = 1e-3}, d20).error().front().where.field, "tube.length_m");
  EXPECT_EQ(vent_drop({}, 1e-5).error().front().where.field, "vent.bore_m");
  EXPECT_EQ(vent_drop({.bore_m = 1e-3}, required).error().front().where.field, "withdrawal_m3_per_s");
}

}  // namespace
}  // namespace fw::hydraulics
