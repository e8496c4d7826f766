// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/pipe.hpp"

#include <limits>
#include <string>

#include <gtest/gtest.h>

#include "hydraulics/friction.hpp"
#include "hydraulics_cases.hpp"

namespace fw::hydraulics {
namespace {

using test::d20;
using test::litre_per_hour;

double pipe_drop_Pa(const PipeCoefficients& pipe, double flow_m3_per_s) {
  const double phi = pipe_friction_factor({.reynolds = pipe.reynolds_per_flow_s_per_m3 * flow_m3_per_s,
                                           .relative_roughness = pipe.relative_roughness,
                                           .curvature = pipe.curvature})
                         .value()
                         .phi;
  return phi * pipe.laminar_resistance_Pa_s_per_m3 * flow_m3_per_s +
         drop_Pa({.linear_Pa_s_per_m3 = pipe.linear_Pa_s_per_m3, .quadratic_Pa_s2_per_m6 = pipe.quadratic_Pa_s2_per_m6},
                 flow_m3_per_s);
}

// Worked rows of the hydraulics page, Churchill smooth, 1 m of D20 at 180 L/h.
TEST(Pipe, MatchesTheWorkedHoses) {
  struct Row {
    double bore_m;
    const char* bore;
  };
  int nth = 0;
  for (const Row row : {Row{6.3e-3, "6.3"}, Row{7.9e-3, "7.9"}, Row{9.5e-3, "9.5"}, Row{12.7e-3, "12.7"}}) {
    const double flow = 180.0 * litre_per_hour;
    const auto pipe = pipe_law({.bore_m = row.bore_m, .length_m = 1.0}, d20).value();
    FW_EXPECT_WORKED(flow / bore_area_m2(row.bore_m), "pipe",
                     "Q 180 L/h d " + std::string(row.bore) + " mm L 1 m smooth Churchill: velocity");
    FW_EXPECT_WORKED(pipe.reynolds_per_flow_s_per_m3 * flow, "pipe", "same: Re", nth);
    FW_EXPECT_WORKED(pipe_drop_Pa(pipe, flow), "pipe", "same: dp", nth);
    ++nth;
  }
  const auto hose = pipe_law({.bore_m = 9.5e-3, .length_m = 1.0}, d20).value();
  FW_EXPECT_WORKED(hose.laminar_resistance_Pa_s_per_m3 * 180.0 * litre_per_hour, "poiseuille",
                   "128 mu L Q/(pi d^4) d 9.5 mm L 1 m Q 180 L/h");
}

TEST(Pipe, MatchesTheWorkedInertia) {
  constexpr PipeShape line{.bore_m = 9.5e-3, .length_m = 3.0};
  const double inertance = inertance_kg_per_m4(line, d20).value();
  FW_EXPECT_WORKED(inertance, "inertance", "L 3 m d 9.5 mm: rho L/A");
  const TipIn start{.full_draw_m3_per_s = 180.0 * litre_per_hour, .from_share = 0.0, .to_share = 1.0, .over_s = 0.1};
  FW_EXPECT_WORKED(tip_in_sag_Pa(inertance, start).value(), "acceleration head", "same; 180 L/h started in 0.1 s: dp");
  // Default: half to full draw in 0.3 s is a sixth of that.
  EXPECT_NEAR(tip_in_sag_Pa(inertance, {.full_draw_m3_per_s = 180.0 * litre_per_hour}).value(), 17670.167 / 6.0, 1e-2);
}

TEST(Pipe, TakesCurvatureAndLosses) {
  const auto law =
      pipe_law({.bore_m = 9.5e-3, .length_m = 1.0, .roughness_m = hose_roughness_m, .bend_diameter_m = 0.2}, d20,
               {.linear_Pa_s_per_m3 = 3.0, .quadratic_Pa_s2_per_m6 = 4.0})
          .value();
  EXPECT_DOUBLE_EQ(law.curvature, std::sqrt(9.5 / 200.0));
  EXPECT_DOUBLE_EQ(law.relative_roughness, 0.03 / 9.5);
  EXPECT_DOUBLE_EQ(law.linear_Pa_s_per_m3, 3.0);
  EXPECT_DOUBLE_EQ(law.quadratic_Pa_s2_per_m6, 4.0);
}

// Hydraulics page 1: 0.86 m for Re 1500 in 9.5 mm.
TEST(Pipe, KnowsTheEntryLength) { EXPECT_NEAR(laminar_entry_length_m(1500.0, 9.5e-3).value(), 0.86, 0.006); }

TEST(Pipe, NamesTheBadField) {
  const auto field = [](const PipeShape& pipe) { return pipe_law(pipe, d20).error().front().where.field; };
  EXPECT_EQ(field({.length_m = 1.0}), "pipe.bore_m");
  EXPECT_EQ(field({.bore_m = 0.01}), "pipe.length_m");
  EXPECT_EQ(field({.bore_m = 0.01, .length_m = 1.0, .roughness_m = -1e-6}), "pipe.roughness_m");
  EXPECT_EQ(field({.bore_m = 0.01, .length_m = 1.0, .bend_diameter_m = 0.015}), "pipe.bend_diameter_m");
  const auto rough = pipe_law({.bore_m = 0.01, .length_m = 1.0, .roughness_m = 6e-4}, d20);
  EXPECT_EQ(rough.error().front().code, ErrorCode::outside_model);
  EXPECT_EQ(rough.error().front().where.field, "pipe.roughness_m");
  const auto along = pipe_law({.bore_m = 0.01, .length_m = 1.0}, d20, {.linear_Pa_s_per_m3 = required});
  EXPECT_EQ(along.error().front().where.field, "along.linear_Pa_s_per_m3");
  EXPECT_EQ(tip_in_sag_Pa(1e7, {.full_draw_m3_per_s = 1e-5, .over_s = 0.0}).error().front().where.field,
            "tip_in.over_s");
  EXPECT_EQ(inertance_kg_per_m4({.bore_m = std::numeric_limits<double>::infinity(), .length_m = 1.0}, d20)
                .error()
                .front()
                .where.field,
            "pipe.bore_m");
}

}  // namespace
}  // namespace fw::hydraulics
