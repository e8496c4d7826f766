// SPDX-License-Identifier: Apache-2.0
// Component laws in a row against the worked grade lines of the layouts page, section 9 (computed there by an
// independent script from the same published laws). No solver takes part: the flow of every leg is given.
#include <cmath>

#include <gtest/gtest.h>

#include "hydraulics/filter.hpp"
#include "hydraulics/fittings.hpp"
#include "hydraulics/friction.hpp"
#include "hydraulics/pipe.hpp"
#include "hydraulics/resistor.hpp"
#include "hydraulics/size_change.hpp"
#include "hydraulics_cases.hpp"

namespace fw::hydraulics {
namespace {

using test::gravity_m_per_s2;
using test::litre_per_hour;

// No. 2-D of the page at 20 C and -10 C.
constexpr fuel::Liquid warm{.density_kg_per_m3 = 841.458, .dynamic_viscosity_Pa_s = 841.458 * 4.05782e-6};
constexpr fuel::Liquid cold{.density_kg_per_m3 = 862.571, .dynamic_viscosity_Pa_s = 862.571 * 10.4922e-6};

/// Gauge pressure carried along a leg of one flow and one fluid, kPa.
class Walk {
 public:
  Walk(const fuel::Liquid& liquid, double flow_L_per_h)
      : liquid_(liquid), flow_m3_per_s_(flow_L_per_h * litre_per_hour) {}

  Walk& rise(double height_m) { return drop(liquid_.density_kg_per_m3 * gravity_m_per_s2 * height_m); }
  Walk& line(const PipeShape& pipe) { return along(pipe_law(pipe, liquid_).value()); }
  Walk& joints(const JointBore& joint) { return along(joint_loss(joint, liquid_).value()); }
  Walk& bends(double bore_m, double count) {
    const auto bend = fitting_law(fitting_named("bend-90-r4").value(), {.bore_m = bore_m}, liquid_);
    return drop(drop_Pa(times(bend->coefficients, count), flow_m3_per_s_));
  }
  Walk& head_loss(double k, double bore_m) {
    return drop(drop_Pa(resistor_of({.k1 = 0.0, .k_infinity = k}, bore_m, liquid_).value(), flow_m3_per_s_));
  }
  Walk& medium(double clean_drop_Pa) {
    const auto part = medium_from_drop({.clean_drop_Pa = clean_drop_Pa, .flow_m3_per_s = 150.0 * litre_per_hour});
    return drop(drop_Pa(medium_law(part.value(), liquid_)->coefficients, flow_m3_per_s_));
  }
  [[nodiscard]] double kPa() const { return 1e-3 * pressure_Pa_; }

 private:
  Walk& drop(double drop_Pa) {
    pressure_Pa_ -= drop_Pa;
    return *this;
  }
  Walk& along(const PipeCoefficients& pipe) {
    const double phi = pipe_friction_factor({.reynolds = pipe.reynolds_per_flow_s_per_m3 * flow_m3_per_s_,
                                             .relative_roughness = pipe.relative_roughness})
                           ->phi;
    return drop(
        phi * pipe.laminar_resistance_Pa_s_per_m3 * flow_m3_per_s_ +
        drop_Pa({.linear_Pa_s_per_m3 = pipe.linear_Pa_s_per_m3, .quadratic_Pa_s2_per_m6 = pipe.quadratic_Pa_s2_per_m6},
                flow_m3_per_s_));
  }

  fuel::Liquid liquid_;
  double flow_m3_per_s_ = 0.0;
  double pressure_Pa_ = 0.0;
};

/// Tolerance of the page: 0.5 % of the value or 0.02 kPa, or half a printed digit of three.
void expect_printed(double kPa, double printed, const char* what) {
  EXPECT_NEAR(kPa, printed, std::fmax(0.02, 5e-3 * std::abs(printed))) << what;
}

// K1, suction-fed vee-eight: every row at 169.31 and 24.36 L/h, 20 and -10 C. Surface z 0.20.
TEST(GradeLine, SuctionFedVeeEight) {
  struct Column {
    const fuel::Liquid& liquid;
    double flow_L_per_h;
    double rows[9];
  };
  const Column columns[] = {
      {warm, 169.31, {-1.78, -3.70, -10.6, -17.8, -22.3, -30.0, -30.5, -37.3, -36.1}},
      {cold, 169.31, {-3.70, -5.86, -24.1, -33.2, -37.8, -52.8, -54.1, -61.5, -60.2}},
      {warm, 24.36, {-0.179, -0.234, -1.23, -1.51, -6.05, -6.74, -6.81, -6.99, -5.75}},
      {cold, 24.36, {-0.454, -0.539, -3.17, -3.71, -8.36, -10.1, -10.3, -10.5, -9.26}},
  };
  for (const Column& column : columns) {
    Walk at(column.liquid, column.flow_L_per_h);
    const double* printed = column.rows;
    at.medium(500.0).head_loss(0.8, 8.0e-3).line({.bore_m = 8.0e-3, .length_m = 0.45, .roughness_m = tube_roughness_m});
    expect_printed(at.kPa(), *printed++, "strainer, entrance, tube");
    at.joints({.bore_m = 6.3e-3, .line_bore_m = 7.75e-3});
    expect_printed(at.kPa(), *printed++, "joint");
    at.line({.bore_m = 7.75e-3, .length_m = 3.8, .roughness_m = tube_roughness_m});
    expect_printed(at.kPa(), *printed++, "line");
    at.bends(7.75e-3, 4.0).joints({.bore_m = 6.3e-3, .line_bore_m = 7.75e-3, .count = 3.0});
    expect_printed(at.kPa(), *printed++, "bends, joints");
    at.rise(0.55);
    expect_printed(at.kPa(), *printed++, "V1");
    at.medium(5e3);
    expect_printed(at.kPa(), *printed++, "filter");
    at.line({.bore_m = 9.5e-3, .length_m = 0.6, .roughness_m = hose_roughness_m});
    expect_printed(at.kPa(), *printed++, "hose");
    at.joints({.bore_m = 6.0e-3, .line_bore_m = 9.5e-3, .count = 2.0});
    expect_printed(at.kPa(), *printed++, "joints");
    at.rise(-0.15);
    expect_printed(at.kPa(), *printed++, "V2");
  }
}

// K3, crossover between two tanks: 1.5 m with K 1.5 + 2 at 41 L/h; level difference in mm.
TEST(GradeLine, Crossover) {
  struct Row {
    const fuel::Liquid& liquid;
    double bore_m, drop_Pa, level_mm;
  };
  for (const Row& row : {Row{warm, 25.4e-3, 6.45, 0.78}, Row{cold, 25.4e-3, 15.9, 1.88},
                         Row{warm, 12.7e-3, 103.0, 12.5}, Row{cold, 12.7e-3, 254.0, 30.1}}) {
    Walk pipe(row.liquid, 41.0);
    pipe.head_loss(1.5 + exit_loss_laminar, row.bore_m)
        .line({.bore_m = row.bore_m, .length_m = 1.5, .roughness_m = tube_roughness_m});
    const double drop_Pa = -1e3 * pipe.kPa();
    EXPECT_NEAR(drop_Pa / row.drop_Pa, 1.0, 5e-3);
    EXPECT_NEAR(1e3 * drop_Pa / (row.liquid.density_kg_per_m3 * gravity_m_per_s2) / row.level_mm, 1.0, 7e-3);
  }
}

// K4, return of the inline six, 104.31 L/h, term by term, and the same line of half the bore.
TEST(GradeLine, ReturnLine) {
  const auto term = [](auto&& part) {
    Walk walk(warm, 104.31);
    part(walk);
    return -walk.kPa();
  };
  const auto walk = [](const fuel::Liquid& liquid, double bore_m, double joint_m) {
    Walk at(liquid, 104.31);
    at.line({.bore_m = bore_m, .length_m = 5.0, .roughness_m = tube_roughness_m})
        .bends(bore_m, 6.0)
        .joints({.bore_m = joint_m, .line_bore_m = bore_m, .count = 2.0})
        .medium(5e3)
        .head_loss(exit_loss_laminar, bore_m);
    return -at.kPa();
  };
  EXPECT_NEAR(term([](Walk& w) { w.line({.bore_m = 7.75e-3, .length_m = 5.0, .roughness_m = tube_roughness_m}); }),
              5.59, 0.03);
  EXPECT_NEAR(term([](Walk& w) { w.bends(7.75e-3, 6.0); }), 1.06, 0.006);
  EXPECT_NEAR(term([](Walk& w) { w.joints({.bore_m = 6.2e-3, .line_bore_m = 7.75e-3, .count = 2.0}); }), 1.67, 0.01);
  EXPECT_NEAR(term([](Walk& w) { w.medium(5e3); }), 3.94, 0.02);
  EXPECT_NEAR(term([](Walk& w) { w.head_loss(exit_loss_laminar, 7.75e-3); }), 0.32, 0.006);
  EXPECT_NEAR(walk(warm, 7.75e-3, 6.2e-3), 12.6, 0.063);
  EXPECT_NEAR(walk(cold, 7.75e-3, 6.2e-3), 27.7, 0.14);
  EXPECT_NEAR(walk(warm, 3.875e-3, 3.1e-3), 155.0, 0.8);
  EXPECT_NEAR(walk(cold, 3.875e-3, 3.1e-3), 304.0, 1.6);
}

}  // namespace
}  // namespace fw::hydraulics
