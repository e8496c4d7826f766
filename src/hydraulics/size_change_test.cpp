// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/size_change.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

#include <gtest/gtest.h>

#include "hydraulics/friction.hpp"
#include "hydraulics_cases.hpp"

namespace fw::hydraulics {
namespace {

using test::d20;
using test::litre_per_hour;
using test::published_table;

constexpr SizeChange narrowing{.upstream_bore_m = 9.5e-3, .downstream_bore_m = 6.0e-3};
constexpr SizeChange widening{.upstream_bore_m = 6.0e-3, .downstream_bore_m = 9.5e-3};

double pipe_drop_Pa(const PipeCoefficients& pipe, double flow_m3_per_s) {
  const double phi = pipe_friction_factor({.reynolds = pipe.reynolds_per_flow_s_per_m3 * flow_m3_per_s,
                                           .relative_roughness = pipe.relative_roughness})
                         .value()
                         .phi;
  return phi * pipe.laminar_resistance_Pa_s_per_m3 * flow_m3_per_s +
         drop_Pa({.linear_Pa_s_per_m3 = pipe.linear_Pa_s_per_m3, .quadratic_Pa_s2_per_m6 = pipe.quadratic_Pa_s2_per_m6},
                 flow_m3_per_s);
}

/// Blended K with the smooth Churchill factor of the upstream bore.
double blended_k(const SizeChange& change, double reynolds) {
  const double friction = pipe_friction_factor({.reynolds = reynolds})->factor;
  return size_change_loss_coefficient(change, {.reynolds = reynolds, .friction_factor = friction}).value();
}

double flow_at(double reynolds, double bore_m) {
  return reynolds * d20.kinematic_viscosity_m2_per_s() / bore_m * bore_area_m2(bore_m);
}

// hyd_size_change.csv: Hooper (1988) as printed (hard switch), held there against an independent library to 1e-9. The
// turbulent alternatives of the table (Rennels & Hudson; Idelchik, Borda-Carnot) measure what the choice is worth.
TEST(SizeChange, MatchesTheTable) {
  const auto table = published_table("hydraulics/hyd_size_change.csv");
  double contraction_low = 10.0;
  double contraction_high = 0.0;
  double expansion_worst = 0.0;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const SizeChange change{.upstream_bore_m = 1e-3 * table.number(row, "d1_mm"),
                            .downstream_bore_m = 1e-3 * table.number(row, "d2_mm")};
    const SizeChangeState state{.reynolds = table.number(row, "Re1"), .friction_factor = table.number(row, "f1")};
    const double k = size_change_loss_coefficient(change, state, BranchJoin::hard).value();
    EXPECT_NEAR(k / table.number(row, "K_hooper_up"), 1.0, 1e-9);
    const double small = std::min(change.upstream_bore_m, change.downstream_bore_m) / change.upstream_bore_m;
    const double k_small = k * std::pow(small, 4.0);
    EXPECT_NEAR(k_small / table.number(row, "K_hooper_small"), 1.0, 1e-9);
    // The blend leaves every row alone that is not within 20 % of a switch.
    EXPECT_NEAR(size_change_loss_coefficient(change, state).value() / k, 1.0, 1e-12);
    if (state.reynolds < 5000.0) continue;
    if (change.downstream_bore_m < change.upstream_bore_m) {
      for (const char* other : {"K_rennels_small", "K_idelchik_small"}) {
        contraction_low = std::min(contraction_low, k_small / table.number(row, other));
        contraction_high = std::max(contraction_high, k_small / table.number(row, other));
      }
    } else {
      expansion_worst = std::max(expansion_worst, std::abs(k_small / table.number(row, "K_rennels_small") - 1.0));
    }
  }
  EXPECT_EQ(table.rows.size(), 48u);
  // Measured deviation between authors, turbulent: contractions -11.2 to +8.9 %, expansions 3.0 %.
  EXPECT_NEAR(contraction_low, 0.888, 1e-3);
  EXPECT_NEAR(contraction_high, 1.089, 1e-3);
  EXPECT_NEAR(expansion_worst, 0.030, 1e-3);
}

// The blend is continuous and meets both branches at its ends.
TEST(SizeChange, BlendMeetsBothBranches) {
  for (const SizeChange& change : {narrowing, widening}) {
    const double at = change.downstream_bore_m < change.upstream_bore_m ? 2500.0 : 4000.0;
    for (const double end : {0.8 * at, 1.2 * at}) {
      const SizeChangeState state{.reynolds = end, .friction_factor = 0.04};
      EXPECT_NEAR(size_change_loss_coefficient(change, state).value() /
                      size_change_loss_coefficient(change, state, BranchJoin::hard).value(),
                  1.0, 1e-12);
    }
    double last = blended_k(change, 0.75 * at);
    for (double re = 0.75 * at; re < 1.25 * at; re *= 1.0005) {
      const double k = blended_k(change, re);
      EXPECT_LT(std::abs(k - last), 0.02 * last);
      last = k;
    }
  }
}

// The resistor: exact on the whole laminar branch; exact at its reference flow; measured deviation from the blended K
// over Re1 10 to 1e4, as the header states it.
TEST(SizeChange, ResistorDeviation) {
  for (const SizeChange& change : {narrowing, widening}) {
    const bool contraction = change.downstream_bore_m < change.upstream_bore_m;
    const double at = contraction ? 2500.0 : 4000.0;
    const double bore_m = change.upstream_bore_m;
    const auto laminar = size_change_law(change, d20).value();
    double over = 0.0;
    for (double re = 10.0; re <= 1e4; re *= 1.05) {
      const double ratio = loss_coefficient_at(laminar, re, bore_m, d20) / blended_k(change, re);
      if (re <= 0.8 * at) {
        EXPECT_NEAR(ratio, 1.0, 1e-12);
      }
      EXPECT_GT(ratio, 1.0 - 1e-12);
      over = std::max(over, ratio);
    }
    EXPECT_NEAR(over, contraction ? 2.82 : 4.54, 0.01);

    // A laminar reference changes nothing.
    const auto same = size_change_law(change, d20, flow_at(0.5 * at, bore_m)).value();
    EXPECT_EQ(same.linear_Pa_s_per_m3, laminar.linear_Pa_s_per_m3);
    EXPECT_EQ(same.quadratic_Pa_s2_per_m6, laminar.quadratic_Pa_s2_per_m6);

    double worst = 0.0;
    for (double reference = 0.8 * at; reference <= 1e4; reference *= 1.02) {
      const auto law = size_change_law(change, d20, flow_at(reference, bore_m)).value();
      EXPECT_NEAR(loss_coefficient_at(law, reference, bore_m, d20) / blended_k(change, reference), 1.0, 1e-12);
      EXPECT_GE(law.linear_Pa_s_per_m3, 0.0);
      EXPECT_GT(law.quadratic_Pa_s2_per_m6, 0.0);
      if (reference < 1.2 * at) continue;
      for (double re = 1.2 * at; re <= 1e4; re *= 1.05) {
        worst = std::max(worst, std::abs(loss_coefficient_at(law, re, bore_m, d20) / blended_k(change, re) - 1.0));
      }
    }
    EXPECT_LT(worst, 0.01);
    EXPECT_GT(worst, 0.004);
  }
}

// Worked rows: contraction + 30 mm stem + expansion in a 9.5 mm hose, hard switch, all within the laminar branches.
TEST(SizeChange, MatchesTheWorkedStems) {
  for (const char* flow : {"60", "180", "300"}) {
    for (const char* viscosity : {"4.5e-06", "2.5e-05"}) {
      const fuel::Liquid liquid{.density_kg_per_m3 = 835.0, .dynamic_viscosity_Pa_s = 835.0 * std::stod(viscosity)};
      const Stem stem{.upstream_bore_m = 9.5e-3,
                      .bore_m = 6.0e-3,
                      .length_m = 0.030,
                      .downstream_bore_m = 9.5e-3,
                      .roughness_m = 0.0};
      FW_EXPECT_WORKED(pipe_drop_Pa(stem_law(stem, liquid).value(), std::stod(flow) * litre_per_hour), "hose stem",
                       "9.5 mm hose with 6.0 mm x 30 mm stem Q " + std::string(flow) + " L/h nu " + viscosity +
                           ": contraction; stem; expansion sum");
    }
  }
  // With the flow as reference the blend sets in at 300 L/h of D20 (Re 2482 and 3930): 30 % less.
  const Stem stem{.upstream_bore_m = 9.5e-3, .bore_m = 6e-3, .length_m = 0.03, .downstream_bore_m = 9.5e-3};
  const double flow = 300.0 * litre_per_hour;
  const double ratio =
      pipe_drop_Pa(stem_law(stem, d20, flow).value(), flow) / pipe_drop_Pa(stem_law(stem, d20).value(), flow);
  EXPECT_NEAR(ratio, 0.696, 2e-3);
}

// Cones: no change of bore costs nothing, a square shoulder is the cone of 180 degrees, flat cones cost less; the
// factors of both branches are the same (the source's point), and jump by 1 % at 45 degrees.
TEST(SizeChange, ConesScaleBothBranches) {
  const double deg = std::numbers::pi / 180.0;
  for (const SizeChange& square : {narrowing, widening}) {
    double last = 0.0;
    for (const double angle : {10.0, 20.0, 40.0, 44.999, 45.0, 60.0, 90.0, 180.0}) {
      SizeChange cone = square;
      cone.cone_angle_rad = angle * deg;
      const auto factor = [&](double reynolds) {
        const SizeChangeState state{.reynolds = reynolds, .friction_factor = 0.03};
        return size_change_loss_coefficient(cone, state).value() / size_change_loss_coefficient(square, state).value();
      };
      EXPECT_NEAR(factor(500.0), factor(2e4), 1e-12);
      EXPECT_GT(factor(500.0), 0.985 * last);
      EXPECT_LE(factor(500.0), 1.0);
      last = factor(500.0);
    }
  }
  EXPECT_EQ(size_change_law({.upstream_bore_m = 8e-3, .downstream_bore_m = 8e-3}, d20)->quadratic_Pa_s2_per_m6, 0.0);
}

// Layouts page 9, K1 at 169.31 L/h, No. 2-D at 20 C: the joint of 6.3 mm in 7.75 mm takes 3.70 - 1.78 = 1.92 kPa, two
// of 6.0 mm in 9.5 mm 37.3 - 30.5 = 6.8 kPa (printed to 0.01 and 0.1 kPa).
TEST(SizeChange, JointMatchesTheCheckGradeLine) {
  const fuel::Liquid warm{.density_kg_per_m3 = 841.458, .dynamic_viscosity_Pa_s = 841.458 * 4.05782e-6};
  const double flow = 169.31 * litre_per_hour;
  EXPECT_NEAR(pipe_drop_Pa(joint_loss({.bore_m = 6.3e-3, .line_bore_m = 7.75e-3}, warm).value(), flow), 1920.0, 10.0);
  EXPECT_NEAR(pipe_drop_Pa(joint_loss({.bore_m = 6.0e-3, .line_bore_m = 9.5e-3, .count = 2.0}, warm).value(), flow),
              6800.0, 100.0);
  // The joint law against Hooper's own two branches at Re about 1500 in the line: 1 % (3.3 for 3.307).
  const Stem stem{.upstream_bore_m = 9.5e-3, .bore_m = 6e-3, .length_m = 0.03, .downstream_bore_m = 9.5e-3};
  const double at_1500 = flow_at(1500.0, 9.5e-3);
  EXPECT_NEAR(pipe_drop_Pa(joint_loss({.bore_m = 6e-3, .line_bore_m = 9.5e-3}, d20).value(), at_1500) /
                  pipe_drop_Pa(stem_law(stem, d20).value(), at_1500),
              1.0, 0.01);
  // Not narrower than the line: its length only.
  EXPECT_EQ(joint_loss({.bore_m = 9.5e-3, .line_bore_m = 9.5e-3}, d20)->quadratic_Pa_s2_per_m6, 0.0);
}

TEST(SizeChange, NamesTheBadField) {
  EXPECT_EQ(size_change_law({.upstream_bore_m = 0.01}, d20).error().front().where.field, "change.downstream_bore_m");
  EXPECT_EQ(size_change_law({.upstream_bore_m = 0.01, .downstream_bore_m = 0.02, .cone_angle_rad = 4.0}, d20)
                .error()
                .front()
                .where.field,
            "change.cone_angle_rad");
  EXPECT_EQ(size_change_law(narrowing, d20, -1.0).error().front().where.field, "reference_flow_m3_per_s");
  EXPECT_EQ(size_change_loss_coefficient(narrowing, {.reynolds = 100.0}).error().front().where.field,
            "friction_factor");
  EXPECT_EQ(stem_law({.upstream_bore_m = 0.01, .bore_m = 0.008, .length_m = 0.03}, d20).error().front().where.field,
            "stem.downstream_bore_m");
  EXPECT_EQ(joint_loss({.bore_m = 0.006}, d20).error().front().where.field, "joint.line_bore_m");
}

}  // namespace
}  // namespace fw::hydraulics
