// SPDX-License-Identifier: Apache-2.0
#include "debris/dose.hpp"

#include <cmath>

#include <gtest/gtest.h>

namespace fw::debris {
namespace {

constexpr double um = 1e-6;
const std::vector<double> edges{standard_edges_m().begin(), standard_edges_m().end()};

Arrivals steel(double kg) {
  const Dirt dirt{.shape = LogNormal{.mass_median_m = 20 * um, .geometric_sd = 2.5}, .density_kg_per_m3 = 7850};
  Arrivals a{.hardness_Pa = material("steel")->hardness_low_Pa};
  const std::vector<BinContent> bins = bin_contents(dirt, edges).value();
  for (const BinContent& bin : bins) {
    a.number.push_back(kg * bin.number_per_kg);
    a.mass_kg.push_back(kg * bin.mass_share);
  }
  return a;
}

// Cleanliness page 5.2: 10 mg of steel are 2.13e6 particles at 4 um, 0.53 reference hours at 0.1 m3/h, and 1.22e5 at
// 14 um: a count dose hides a slug.
TEST(Dose, SlugOfSteel) {
  const DoseSettings settings{.edges_m = edges, .surface_hardness_Pa = 700 * 9.80665e6};
  const auto dose = dose_of(steel(10e-6), settings).value();
  EXPECT_NEAR(dose.at_4_um / 2.13e6, 1.0, 3e-3);
  EXPECT_NEAR(dose.at_4_um / reference_dose(0.1 / 3600, 3600).value(), 0.53, 5e-3);
  EXPECT_NEAR(dose.acute_number / 1.22e5, 1.0, 3e-3);
  EXPECT_EQ(dose.acute_chance, 1.0);
  EXPECT_EQ(dose.hardness_weight, 0.1);  // steel on steel is not 1.2 times harder
  EXPECT_NEAR(dose.hard_mass_kg, 1e-6, 1e-15);
  Arrivals quartz = steel(10e-6);
  quartz.hardness_Pa = material("quartz")->hardness_high_Pa;
  EXPECT_EQ(dose_of(quartz, settings)->hardness_weight, 1.0);
  EXPECT_GT(dose.at_2_um, dose.at_4_um);
}

// Check row 38.
TEST(Dose, ReferenceHour) {
  EXPECT_NEAR(reference_dose(0.1 / 3600, 36000).value(), 4.0e7, 1e-6);
  EXPECT_EQ(reference_dose(0.1, 3600).value(), 4.0e7 * 360);
  EXPECT_NEAR(life_index(1.0, 10.0, 1.7).value(), 1.0 / 50.0, 2e-4);  // 10 x cleaner, 50 x longer
  EXPECT_FALSE(life_index(1.0, 10.0, 2.0).has_value());
}

// Doses are additive in the arrivals, and the acute chance is that of a Poisson count.
TEST(Dose, IsAdditive) {
  const DoseSettings settings{.edges_m = edges, .surface_hardness_Pa = 700 * 9.80665e6};
  const auto one = dose_of(steel(1e-12), settings).value();
  const auto three = dose_of(steel(3e-12), settings).value();
  EXPECT_NEAR(three.at_4_um, 3 * one.at_4_um, 1e-9 * three.at_4_um);
  EXPECT_NEAR(1 - three.acute_chance, std::pow(1 - one.acute_chance, 3), 1e-12);
  const std::vector<double> ones(12, 1.0);
  // Clearance 3 um: window 1.5 to 9 um holds the middles 2.83, 4.90, 6.93, 8.94.
  EXPECT_EQ(windowed_dose(ones, edges, 3 * um, 0).value(), 4.0);
  double squares = 0.0;
  for (const double d : {std::sqrt(8.0), std::sqrt(24.0), std::sqrt(48.0), std::sqrt(80.0)}) squares += d * d / 9;
  EXPECT_NEAR(windowed_dose(ones, edges, 3 * um, 2).value(), squares, 1e-9);
}

TEST(Dose, NamesTheBadField) {
  const DoseSettings settings{.edges_m = edges, .surface_hardness_Pa = 700 * 9.80665e6};
  Arrivals bad = steel(1e-6);
  bad.number[3] = -1.0;
  EXPECT_EQ(dose_of(bad, settings).error().front().where.field, "arrivals.number[3]");
  DoseSettings other = settings;
  other.critical_size_m = 15 * um;
  EXPECT_EQ(dose_of(steel(1e-6), other).error().front().where.field, "settings.edges_m");
  EXPECT_FALSE(windowed_dose(std::vector<double>(12, 1.0), edges, 3 * um, 1).has_value());
  EXPECT_FALSE(reference_dose(-1.0, 1.0).has_value());
}

}  // namespace
}  // namespace fw::debris
