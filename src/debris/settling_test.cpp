// SPDX-License-Identifier: Apache-2.0
#include "debris/settling.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "published_table.hpp"

namespace fw::debris {
namespace {

constexpr fuel::Liquid reference_fuel{.density_kg_per_m3 = 835.0, .dynamic_viscosity_Pa_s = 3.34e-3};

double velocity(double size_um, double density) {
  return fall_velocity({.size_m = size_um * 1e-6, .density_kg_per_m3 = density}, reference_fuel)->velocity_m_per_s;
}

// Values computed from the formulas by an independent sheet (settling table of the project's reference page).
TEST(Settling, MatchesTheReferenceTable) {
  EXPECT_NEAR(velocity(4, 2650) / 4.737e-6, 1.0, 1e-3);
  EXPECT_NEAR(velocity(10, 2650) / 2.961e-5, 1.0, 1e-3);
  EXPECT_NEAR(velocity(10, 7850) / 1.144e-4, 1.0, 1e-3);
}

// An iteration of the same drag law in another program, and the laws of a library of fluid formulas (python fluids
// 1.0.22; its default law differs from Schiller and Naumann's by up to 3.4 % in this table).
TEST(Settling, MatchesAnotherProgram) {
  const auto table = test::published_table("debris/settling.csv");
  ASSERT_GE(table.rows.size(), 30U);
  constexpr fuel::Liquid test_fluid{.density_kg_per_m3 = 835.0, .dynamic_viscosity_Pa_s = 835.0 * 4.5e-6};
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const FallingParticle particle{.size_m = table.number(row, "d_um") * 1e-6,
                                   .density_kg_per_m3 = table.number(row, "rho_p")};
    const double ours = fall_velocity(particle, test_fluid)->velocity_m_per_s;
    EXPECT_NEAR(ours / table.number(row, "v_schiller"), 1.0, 1e-6) << row;
    EXPECT_NEAR(ours / table.number(row, "v_fluids"), 1.0, 0.035) << row;
  }
}

TEST(Settling, LeavesStokesForCoarseSteel) {
  const auto fall = fall_velocity({.size_m = 300e-6, .density_kg_per_m3 = 7850.0}, reference_fuel).value();
  EXPECT_NEAR(fall.velocity_m_per_s / 0.0701, 1.0, 1e-3);
  EXPECT_NEAR(fall.reynolds / 5.26, 1.0, 1e-3);
}

// Identity: drag equals weight, C_d rho v^2/2 pi d^2/4 = (rho_p - rho_f) g pi d^3/6.
TEST(Settling, DragBalancesWeight) {
  for (const double size_m : {5e-6, 60e-6, 500e-6, 900e-6}) {
    const auto fall = fall_velocity({.size_m = size_m, .density_kg_per_m3 = 7850.0}, reference_fuel).value();
    const double drag = 24.0 / fall.reynolds * (1.0 + 0.15 * std::pow(fall.reynolds, 0.687));
    const double lhs = drag * 835.0 * fall.velocity_m_per_s * fall.velocity_m_per_s / 8.0;
    EXPECT_NEAR(lhs / ((7850.0 - 835.0) * 9.80665 * size_m / 6.0), 1.0, 1e-10) << size_m;
  }
}

TEST(Settling, LightParticlesRiseAndDoNotSettleInBins) {
  EXPECT_LT(velocity(100, 800), 0.0);
  const auto bins = fall_velocities_m_per_s(800.0, reference_fuel).value();
  EXPECT_EQ(bins[11], 0.0);
  EXPECT_GT(fall_velocities_m_per_s(7850.0, reference_fuel).value()[11], 0.0);
}

TEST(Settling, NamesTheBadField) {
  const auto negative = fall_velocity({.size_m = -1e-6, .density_kg_per_m3 = 7850.0}, reference_fuel);
  EXPECT_EQ(negative.error().front().where.field, "particle.size_m");
  const auto boulder = fall_velocity({.size_m = 2e-2, .density_kg_per_m3 = 7850.0}, reference_fuel);
  EXPECT_EQ(boulder.error().front().code, ErrorCode::outside_model);
}

}  // namespace
}  // namespace fw::debris
