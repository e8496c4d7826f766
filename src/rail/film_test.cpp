// SPDX-License-Identifier: Apache-2.0
#include "rail/film.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "rail_cases.hpp"

namespace fw::rail {
namespace {

// T27, textbook line contact.
TEST(Film, MatchesTheTextbookContact) {
  const auto film = line_film({.load_N_per_m = 5e5, .radius_m = 0.02, .entraining_m_per_s = 2.0},
                              {.viscosity_Pa_s = 0.04, .pressure_exponent_per_Pa = 2.2e-8}, 1e-7)
                        .value();
  EXPECT_NEAR(film.smallest_m * 1e9 / 510.5, 1.0, 5e-3);
  EXPECT_NEAR(film.central_m * 1e9 / 681.1, 1.0, 5e-3);
  EXPECT_NEAR(film.peak_Pa / 0.9582e9, 1.0, 5e-3);
  EXPECT_NEAR(film.half_width_m * 1e6 / 332.2, 1.0, 5e-3);
}

// T28 and the table of 10.2: F 5973 N on 16 mm, R 3.755 mm, u 4 m/s, Rq 0.05 and 0.05 um.
TEST(Film, MatchesTheCamNose) {
  struct Row {
    double eta, alpha, nm, lambda;
  };
  for (const Row& row : {Row{2.20, 11, 37.9, 0.536}, Row{1.53, 10.5, 28.7, 0.405}, Row{1.14, 10, 22.7, 0.321},
                         Row{0.75, 9, 16.0, 0.226}, Row{0.55, 9, 12.9, 0.182}, Row{0.35, 8, 8.8, 0.125}}) {
    const auto film = line_film({.load_N_per_m = 5973.0 / 16e-3, .radius_m = 3.755e-3, .entraining_m_per_s = 4.0},
                                {.viscosity_Pa_s = row.eta * 1e-3, .pressure_exponent_per_Pa = row.alpha * 1e-9},
                                0.05e-6 * std::sqrt(2.0))
                          .value();
    EXPECT_NEAR(film.smallest_m * 1e9, row.nm, 0.06) << row.eta;
    EXPECT_NEAR(film.lambda, row.lambda, 0.001) << row.eta;
    EXPECT_NEAR(film.peak_Pa / 1.911e9, 1.0, 5e-3);
    EXPECT_NEAR(film.half_width_m * 1e6, 124.4, 0.5);
    EXPECT_LT(film.lambda, 1.0);  // boundary even on good fuel: the reading of the page
  }
}

// The pump's own nose: load and radius are those of the table; scaling 0.567 from 1.14 to 0.55 mPa s at 0.9 of alpha.
TEST(Film, PumpMeetsTheTable) {
  const Pump pump = generic_set("v8")->pump;
  const ContactOil design{1.14e-3, 10e-9};
  const auto margin = wear_margin(pump, 180e6, 50.0, {0.55e-3, 9e-9}, design).value();
  EXPECT_NEAR(margin.relative, 0.567, 0.002);
  EXPECT_NEAR(margin.design.peak_Pa / 1.911e9, 1.0, 5e-3);
  const auto water = wear_margin(pump, 180e6, 50.0, inlet_wholly_water(), design).value();
  EXPECT_LT(water.film.smallest_m, 1e-9);  // Martin's floor
}

// Fuels in the order that viscosity gives: winter fuel and petrol thin the film, ester thickens it.
TEST(Film, FuelsFollowTheirViscosity) {
  const auto film = [](const fuel::Fuel& fuel, double celsius) {
    return wear_margin(generic_set("v8")->pump, 180e6, 50.0, contact_oil(fuel, celsius + 273.15).value(),
                       contact_oil(fuel::grade("en590").value(), 313.15).value())
        ->relative;
  };
  const auto summer = fuel::grade("en590").value();
  const auto petrol = fuel::grade("petrol").value();
  const std::vector<fuel::Share> shares{{summer, 0.8}, {petrol, 0.2}};
  EXPECT_NEAR(film(summer, 40.0), 1.0, 1e-12);
  EXPECT_LT(film(summer, 80.0), film(summer, 40.0));
  EXPECT_LT(film(fuel::grade("en590_arctic2").value(), 60.0), film(summer, 60.0));
  EXPECT_LT(film(fuel::blend(shares).value(), 60.0), film(summer, 60.0));
  EXPECT_GT(film(fuel::grade("fame_b100").value(), 60.0), film(summer, 60.0));
}

TEST(Film, NamesTheBadField) {
  EXPECT_EQ(line_film({1e5, 0.0, 1.0}, {1e-3, 1e-8}, 1e-7).error().front().where.field, "contact.radius_m");
  EXPECT_EQ(wear_margin(generic_set("i4")->pump, 1e8, 50, {1e-3, 1e-8}, {1e-3, 1e-8}).error().front().where.field,
            "pump.drive.roller_length_m");
}

}  // namespace
}  // namespace fw::rail
