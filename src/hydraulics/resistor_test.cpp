// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/resistor.hpp"

#include <gtest/gtest.h>

#include "base/contract.hpp"
#include "hydraulics_cases.hpp"

namespace fw::hydraulics {
namespace {

using test::d20;
using test::litre_per_hour;

// Identity: K of the resistor is k1/Re + k_infinity at every Reynolds number, exactly.
TEST(Resistor, ReproducesKAtEveryReynoldsNumber) {
  constexpr LossCoefficient loss{.k1 = 800.0, .k_infinity = 1.4667};
  const auto law = resistor_of(loss, 9.525e-3, d20).value();
  for (double re = 1.0; re < 1e5; re *= 3.0) {
    EXPECT_NEAR(loss_coefficient_at(law, re, 9.525e-3, d20) / (800.0 / re + 1.4667), 1.0, 1e-13);
  }
}

TEST(Resistor, InvertsItsDrop) {
  constexpr ResistorCoefficients law{.linear_Pa_s_per_m3 = 3e7, .quadratic_Pa_s2_per_m6 = 5e11};
  for (const double flow : {-2e-4, -1e-9, 0.0, 1e-12, 3e-5, 1e-3}) {
    EXPECT_NEAR(flow_at_drop_m3_per_s(law, drop_Pa(law, flow)), flow, 1e-12 * std::abs(flow));
  }
  constexpr ResistorCoefficients orifice{.linear_Pa_s_per_m3 = 0.0, .quadratic_Pa_s2_per_m6 = 4e12};
  EXPECT_NEAR(flow_at_drop_m3_per_s(orifice, -4e4), -1e-4, 1e-18);
  EXPECT_THROW(static_cast<void>(flow_at_drop_m3_per_s(no_loss, 1.0)), ContractViolation);
}

TEST(Resistor, AddsInSeriesAndAlongAPipe) {
  constexpr ResistorCoefficients a{.linear_Pa_s_per_m3 = 1.0, .quadratic_Pa_s2_per_m6 = 2.0};
  constexpr ResistorCoefficients b{.linear_Pa_s_per_m3 = 10.0, .quadratic_Pa_s2_per_m6 = 20.0};
  const auto sum = in_series(a, times(b, 3.0));
  EXPECT_DOUBLE_EQ(sum.linear_Pa_s_per_m3, 31.0);
  EXPECT_DOUBLE_EQ(sum.quadratic_Pa_s2_per_m6, 62.0);
  const auto pipe = with_loss(
      {.reynolds_per_flow_s_per_m3 = 1.0, .laminar_resistance_Pa_s_per_m3 = 2.0, .linear_Pa_s_per_m3 = 1.0}, b);
  EXPECT_DOUBLE_EQ(pipe.linear_Pa_s_per_m3, 11.0);
  EXPECT_DOUBLE_EQ(pipe.quadratic_Pa_s2_per_m6, 20.0);
}

TEST(Resistor, NamesTheBadField) {
  EXPECT_EQ(resistor_of({.k1 = 1.0, .k_infinity = 1.0}, 0.0, d20).error().front().where.field, "bore_m");
  EXPECT_EQ(resistor_of({.k1 = -1.0, .k_infinity = 1.0}, 0.01, d20).error().front().where.field, "k1");
  EXPECT_EQ(resistor_of({.k1 = 1.0}, 0.01, d20).error().front().where.field, "k_infinity");
  const auto no_density = resistor_of({.k1 = 1.0, .k_infinity = 1.0}, 0.01, {.dynamic_viscosity_Pa_s = 1e-3});
  EXPECT_EQ(no_density.error().front().where.field, "liquid.density_kg_per_m3");
  EXPECT_EQ(no_density.error().size(), 1u);
}

}  // namespace
}  // namespace fw::hydraulics
