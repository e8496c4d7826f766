// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/curvature.hpp"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "hydraulics_cases.hpp"

namespace fw::hydraulics {
namespace {

using test::published_table;

TEST(Curvature, MatchesTheWorkedHose) {
  const double reynolds = test::worked("pipe", "same: Re", 2);
  const double dean = dean_number(reynolds, std::sqrt(9.5 / 200.0));
  FW_EXPECT_WORKED(dean, "curved hose", "d 9.5 mm bend radius 100 mm Q 180 L/h: Dean number");
  FW_EXPECT_WORKED(white_factor(dean)->value, "curved hose", "same: White f_curved/f_straight");
  FW_EXPECT_WORKED(mishra_gupta_factor(dean)->value, "curved hose", "same: Mishra-Gupta 1+0.033 (log10 De)^4");
}

// hyd_friction_curved.csv: White and the critical Reynolds numbers from an independent library, Mishra-Gupta from own
// code of the reference page. Columns of Mori-Nakayama and Schmidt (laminar) belong to laws the product does not use.
TEST(Curvature, MatchesTheTable) {
  const auto table = published_table("hydraulics/hyd_friction_curved.csv");
  int turbulent_rows = 0;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const double reynolds = table.number(row, "Re");
    const double ratio = table.number(row, "d_over_Dc");
    const double curvature = std::sqrt(ratio);
    const double dean = dean_number(reynolds, curvature);
    const double straight = table.number(row, "f_straight_laminar");
    EXPECT_NEAR(dean / table.number(row, "De"), 1.0, 1e-9);
    EXPECT_NEAR(straight * white_factor(dean)->value / table.number(row, "f_White"), 1.0, 1e-9);
    EXPECT_NEAR(straight * mishra_gupta_factor(dean)->value / table.number(row, "f_MishraGupta_lam"), 1.0, 1e-9);
    const auto critical = critical_reynolds(curvature).value();
    EXPECT_NEAR(critical.ito / table.number(row, "Recrit_Ito"), 1.0, 1e-9);
    EXPECT_NEAR(critical.srinivasan / table.number(row, "Recrit_Srinivasan"), 1.0, 1e-9);
    EXPECT_NEAR(critical.schmidt / table.number(row, "Recrit_Schmidt"), 1.0, 1e-9);
    EXPECT_EQ(critical.range, ratio > 1.0 / 15.0 ? Range::extrapolated : Range::fitted);
    if (table.text(row, "f_MishraGupta_turb") == "nan") continue;
    const double blasius = 0.316 * std::pow(reynolds, -0.25);
    EXPECT_NEAR(mishra_gupta_turbulent_friction(
                    {.reynolds = reynolds, .curvature = curvature, .straight_friction_factor = blasius})
                        ->value /
                    table.number(row, "f_MishraGupta_turb"),
                1.0, 1e-9);
    ++turbulent_rows;
  }
  EXPECT_EQ(table.rows.size(), 48u);
  EXPECT_EQ(turbulent_rows, 18);
}

// White and Mishra-Gupta are two fits to coiled pipes: 5.5 % apart at most for De 20 to 2000.
TEST(Curvature, TheTwoLaminarFitsAgree) {
  double worst = 0.0;
  for (double dean = 20.0; dean <= 2000.0; dean *= 1.05) {
    worst = std::max(worst, std::abs(white_factor(dean)->value / mishra_gupta_factor(dean)->value - 1.0));
  }
  EXPECT_NEAR(worst, 0.055, 1e-3);
}

TEST(Curvature, SaysWhereItEnds) {
  EXPECT_EQ(white_factor(2000.0)->range, Range::fitted);
  EXPECT_EQ(white_factor(2001.0)->range, Range::extrapolated);
  EXPECT_EQ(mishra_gupta_factor(3001.0)->range, Range::extrapolated);
  EXPECT_EQ(
      mishra_gupta_turbulent_friction({.reynolds = 4000.0, .curvature = 0.1, .straight_friction_factor = 0.04})->range,
      Range::extrapolated);
  EXPECT_DOUBLE_EQ(white_factor(0.0)->value, 1.0);
  EXPECT_DOUBLE_EQ(mishra_gupta_factor(0.5)->value, 1.0);
  EXPECT_EQ(white_factor(required).error().front().where.field, "dean");
  EXPECT_EQ(critical_reynolds(0.0).error().front().where.field, "curvature");
  EXPECT_EQ(critical_reynolds(0.9).error().front().where.field, "curvature");
  EXPECT_EQ(mishra_gupta_turbulent_friction({.reynolds = 5000.0, .curvature = 0.1, .straight_friction_factor = -1.0})
                .error()
                .front()
                .where.field,
            "straight_friction_factor");
}

}  // namespace
}  // namespace fw::hydraulics
