// SPDX-License-Identifier: Apache-2.0
// How far the room stands from outside values: the table of docs/theory/debris.md must be the one that these numbers
// make.
#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "debris/beta.hpp"
#include "debris/clean_up.hpp"
#include "debris/dirt.hpp"
#include "debris/dose.hpp"
#include "debris/filter_loading.hpp"
#include "debris/iso_code.hpp"
#include "debris/settling.hpp"
#include "debris/size_scale.hpp"
#include "published_table.hpp"
#include "theory_table.hpp"

namespace fw::debris {
namespace {

constexpr double um = 1e-6;
constexpr double per_mL = 1e6;
constexpr double mg_per_L = 1e-3;

/// The row of a table that stands farthest from ours.
class Farthest {
 public:
  void add(double outside, double ours) {
    // Rounding must not choose the row.
    if (count_++ > 0 && std::abs(ours / outside - 1.0) < std::abs(ours_ / outside_ - 1.0) + 1e-6) return;
    outside_ = outside;
    ours_ = ours;
  }
  [[nodiscard]] test::TheoryRow row(const std::string& what, const std::string& source,
                                    const std::string& held_by) const {
    return {what + ", farthest of " + std::to_string(count_), source, outside_, ours_, held_by};
  }

 private:
  double outside_ = 1.0;
  double ours_ = 1.0;
  int count_ = 0;
};

std::vector<test::TheoryRow> settling() {
  Farthest stokes, same_law, library;
  constexpr fuel::Liquid d20{.density_kg_per_m3 = 835.0, .dynamic_viscosity_Pa_s = 835.0 * 4.5e-6};
  const auto table = test::published_table("debris/settling.csv");
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const double ours =
        fall_velocity({.size_m = table.number(row, "d_um") * um, .density_kg_per_m3 = table.number(row, "rho_p")}, d20)
            ->velocity_m_per_s;
    same_law.add(table.number(row, "v_schiller"), ours);
    library.add(table.number(row, "v_fluids"), ours);
    if (table.number(row, "Re") < 0.1) stokes.add(table.number(row, "v_stokes"), ours);
  }
  const std::string other = "Settling.MatchesAnotherProgram";
  const fuel::Liquid page{.density_kg_per_m3 = 835.0, .dynamic_viscosity_Pa_s = 3.34e-3};
  return {same_law.row("velocity, water to steel, m/s", "Schiller & Naumann by another program", other),
          library.row("velocity, same table, m/s", "library fluids 1.0.22, its default law", other),
          stokes.row("velocity, same table, Re below 0.1, m/s", "Stokes, another program",
                     "Deviations.StandInTheTheoryAsMeasured"),
          {"steel of 300 um, m/s", "Schiller & Naumann, worked row", 0.0701,
           fall_velocity({.size_m = 300 * um, .density_kg_per_m3 = 7850.0}, page)->velocity_m_per_s,
           "Settling.LeavesStokesForCoarseSteel"}};
}

std::vector<test::TheoryRow> sizes_and_counts() {
  Farthest bounds_of, acftd, dust;
  const auto scale = test::published_table("debris/iso4406_scale_numbers.csv");
  for (std::size_t row = 0; row < scale.rows.size(); ++row) {
    bounds_of.add(scale.number(row, "upper_per_mL"), bounds(static_cast<int>(row)).upper_per_m3 / per_mL);
  }
  const auto sizes = test::published_table("debris/acftd_sizes.csv");
  for (std::size_t row = 0; row < sizes.rows.size(); ++row) {
    acftd.add(sizes.number(row, "counter_c_um"), counter_c_diameter_m({.diameter_m = sizes.number(row, "acftd_um") * um,
                                                                       .scale = SizeScale::counter_air_cleaner_dust})
                                                         .value() /
                                                     um);
  }
  const auto counted = test::published_table("debris/test_dust_counts.csv");
  for (std::size_t row = 0; row < counted.rows.size(); ++row) {
    const Dirt dirt{.shape = mass_table(counted.text(row, "dust") == "A3" ? TestDust::a3_medium : TestDust::a2_fine),
                    .density_kg_per_m3 = test_dust_density_kg_per_m3,
                    .optical_factor = counted.number(row, "psi")};
    const auto counts = counts_of(dirt, counted.number(row, "mg_per_L") * mg_per_L).value();
    const char* columns[] = {"n4", "n6", "n14"};
    for (std::size_t i = 0; i < 3; ++i) {
      dust.add(counted.number(row, columns[i]), counts.at[i]->number_per_m3 / per_mL);
    }
  }
  const auto spheres = [](double size_um) {
    const Dirt one{.shape = LogNormal{.mass_median_m = size_um * um, .geometric_sd = 1.0001},
                   .density_kg_per_m3 = 2650};
    return number_per_kg(one, 0.0).value() * 1e-9;
  };
  const auto law =
      count_law({.size_m = 4 * um, .number_per_m3 = 2500 * per_mL}, {.size_m = 14 * um, .number_per_m3 = 80 * per_mL})
          .value();
  const auto interval = poisson_interval(20.0);
  const auto six = code_of_nas_class(6).value();
  return {
      bounds_of.row("scale numbers, upper bound, 1/mL", "ISO 4406:2021, several copies",
                    "IsoCode.EveryScaleNumberOfTheTable"),
      acftd.row("ACFTD size as um(c)", "secondary literature, two copies", "SizeScale.ConvertsAcftd"),
      {"quartz spheres of 10 um in 1 ug", "NIOSH Manual, App. A", 720.0, spheres(10), "Dirt.SpheresPerMicrogram"},
      {"quartz spheres of 5 um in 1 ug", "NIOSH Manual, App. A", 5.8e3, spheres(5), "Dirt.SpheresPerMicrogram"},
      dust.row("test dust A2, A3, counts at 4, 6, 14 um(c), 1/mL",
               "bin method on ISO 12103-1 masses (from memory), worked rows", "Dirt.TestDustTable"),
      {"18/-/13, exponent of the counts", "hand algebra", 2.74754, law.exponent, "Dirt.PowerLawOfCounts"},
      {"same, mass from 4 to 50 um, mg/L", "hand algebra", 2.1552,
       mass_kg_per_m3(law, {.density_kg_per_m3 = 2650, .largest_m = 50 * um}).value() / mg_per_L,
       "Dirt.PowerLawOfCounts"},
      {"20 counted, lower end, 95 %", "Garwood 1936 (from memory)", 12.217, interval.low, "IsoCode.CountsAreUncertain"},
      {"20 counted, upper end, 95 %", "Garwood 1936 (from memory)", 30.888, interval.high,
       "IsoCode.CountsAreUncertain"},
      {"NAS 1638 class 6, above 6 um(c), 1/mL", "class limits (from memory), summed", 194.62,
       six.at_6_um_per_m3 / per_mL, "IsoCode.ApproximatesNasClasses"}};
}

std::vector<test::TheoryRow> filters() {
  const Dirt a3{.shape = mass_table(TestDust::a3_medium), .density_kg_per_m3 = test_dust_density_kg_per_m3};
  const auto rating = [](double small, double large) {
    return BetaRating{.points = {{4 * um, small}, {6 * um, large}}, .test = FilterTest::iso_19438};
  };
  const auto bins = bin_efficiencies(rating(75, 200), a3, std::vector{4 * um, 6 * um, 14 * um}).value();
  Farthest hours;
  const auto uses = test::published_table("debris/filter_hours_by_use.csv");
  for (std::size_t row = 0; row < uses.rows.size(); ++row) {
    const Catch caught = steady_catch({.burn_m3_per_s = uses.number(row, "burn_L_per_h") * 1e-3 / 3600,
                                       .return_m3_per_s = 100e-3 / 3600,
                                       .fill_kg_per_m3 = uses.number(row, "fill_mg_per_kg") * 1e-6 * 835,
                                       .efficiency = 1.0})
                             .value();
    hours.add(uses.number(row, "h_20_g"), filter_life(20e-3, caught.catch_kg_per_s, required)->seconds / 3600);
  }
  const PorousMedium medium{.area_m2 = 0.30, .thickness_m = 0.8e-3, .permeability_m2 = 3.6e-13};
  const MediumFlow flow{.flow_m3_per_s = 100e-3 / 3600, .dynamic_viscosity_Pa_s = 2.5e-3, .density_kg_per_m3 = 830};
  const Cake cake{.dynamic_viscosity_Pa_s = 2.5e-3,
                  .face_velocity_m_per_s = 100e-3 / 3600 / 0.30,
                  .medium_resistance_per_m = 2e9,
                  .specific_resistance_m_per_kg = 1e12,
                  .mass_per_area_kg_per_m2 = 0.05};
  const Catch caught = steady_catch({.burn_m3_per_s = 10e-3 / 3600,
                                     .return_m3_per_s = 140e-3 / 3600,
                                     .fill_kg_per_m3 = 20.04 * mg_per_L,
                                     .efficiency = 0.9})
                           .value();
  return {{"beta of the bin 4 to 6 um, rated 75 and 200", "worked row", 56.28,
           beta_of_efficiency(bins[0].efficiency).value(), "Beta.BinsAndInterpolation"},
          {"beta at 5 um, rated 75 and 1000", "hand algebra", 273.86, beta_at(rating(75, 1000), 5 * um)->beta,
           "Beta.BinsAndInterpolation"},
          {"beta 1000 with 1 % past the medium", "hand algebra", 90.992, beta_with_bypass(1000, 0.01).value(),
           "Beta.BypassLimits"},
          {"clean medium, 100 L/h through 0.30 m2, Pa", "Darcy, worked row", 514.40,
           medium_drop_Pa(medium, flow).value(), "FilterLoading.DarcyCase"},
          {"half loaded, 5 to 70 kPa, Pa", "exponential, hand algebra", 18.708e3,
           loaded_drop({.clean_drop_Pa = 5e3, .terminal_drop_Pa = 70e3, .capacity_kg = 20e-3}, 10e-3)->drop_Pa,
           "FilterLoading.ExponentialGrowth"},
          {"cake of 50 g/m2, Pa", "Ruth 1935 (from memory), worked row", 12037.0, cake_drop_Pa(cake).value(),
           "FilterLoading.RuthCake"},
          {"caught at 10 L/h burnt, 140 L/h returned, E 0.9, mg/h", "hand algebra", 198.93,
           caught.catch_kg_per_s * 3600e6, "FilterLoading.LifeFollowsTheBurn"},
          hours.row("hours of 20 g by use", "typical uses, no source; worked rows", "FilterLoading.HoursByUse")};
}

std::vector<test::TheoryRow> cleaning_and_dose() {
  const auto loop = [](double beta, double source) {
    return KidneyLoop{
        .volume_m3 = 0.1, .flow_m3_per_s = 5e-3 / 60.0, .efficiency = *efficiency(beta), .source_per_s = source};
  };
  const auto turnovers = [&](double beta) { return time_to(loop(beta, 0.0), 40000 * per_mL, 40 * per_mL)->turnovers; };
  const std::vector<double> edges{standard_edges_m().begin(), standard_edges_m().end()};
  const Dirt dirt{.shape = LogNormal{.mass_median_m = 20 * um, .geometric_sd = 2.5}, .density_kg_per_m3 = 7850};
  Arrivals slug{.hardness_Pa = material("steel")->hardness_low_Pa};
  const std::vector<BinContent> bins = bin_contents(dirt, edges).value();
  for (const BinContent& bin : bins) {
    slug.number.push_back(10e-6 * bin.number_per_kg);
    slug.mass_kg.push_back(10e-6 * bin.mass_share);
  }
  const auto dose = dose_of(slug, {.edges_m = edges, .surface_hardness_Pa = 700 * 9.80665e6}).value();
  return {{"turnovers from 40,000 to 40/mL, beta 1000", "closed form", 6.91467, turnovers(1000), "CleanUp.Turnovers"},
          {"same, beta 2", "closed form", 13.81551, turnovers(2), "CleanUp.Turnovers"},
          {"tank after 60 min with ingress, 1/mL", "closed form", 2091.98,
           concentration_per_m3(loop(75, 1e5 / 60.0), 40000 * per_mL, 3600).value() / per_mL, "CleanUp.WithIngress"},
          {"flush of 8 mm at 2.5 mm2/s, Re 4000, L/min", "ISO 23309, hand algebra", 3.770,
           flush_flow(8e-3, 2.5e-6)->flow_m3_per_s * 60e3, "CleanUp.FlushFlow"},
          {"extractions 100, 30, 9: share of the last", "ISO 16232 (from memory), hand algebra", 0.06475,
           judge_decay(std::vector<double>{100, 30, 9})->last_share, "CleanUp.Decay"},
          {"10 mg of steel, particles from 4 um", "log-normal, worked row", 2.13e6, dose.at_4_um, "Dose.SlugOfSteel"},
          {"same, from 14 um", "log-normal, worked row", 1.22e5, dose.acute_number, "Dose.SlugOfSteel"}};
}

TEST(Deviations, StandInTheTheoryAsMeasured) {
  std::vector<test::TheoryRow> rows;
  for (const auto& part : {settling(), sizes_and_counts(), filters(), cleaning_and_dose()}) {
    rows.insert(rows.end(), part.begin(), part.end());
  }
  test::expect_theory_table("debris.md", "debris", rows);
}

}  // namespace
}  // namespace fw::debris
