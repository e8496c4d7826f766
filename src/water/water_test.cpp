// SPDX-License-Identifier: Apache-2.0
#include <cmath>
#include <string>

#include <gtest/gtest.h>

#include "fuel/fuel_text.hpp"
#include "fuel/water_solubility.hpp"
#include "published_table.hpp"
#include "water/condensation.hpp"
#include "water/drops.hpp"
#include "water/forms.hpp"
#include "water/liquid_water.hpp"
#include "water/separator.hpp"

namespace fw::water {
namespace {

constexpr double celsius(double t) { return t + 273.15; }
constexpr double mg = 1e-6;
const fuel::Liquid reference{.density_kg_per_m3 = 835.0, .dynamic_viscosity_Pa_s = 3.34e-3};

fuel::Fuel blend(const std::string& text) { return fuel::fuel_of_text(text).value(); }
fuel::Fuel b0() { return blend("d975_2d"); }
fuel::Fuel b7() { return blend("d975_2d + 7 % fame_b100"); }
fuel::Fuel b20() { return blend("d975_2d + 20 % fame_b100"); }

class Published : public testing::Test {
 protected:
  void holds(const std::string& id, double value) {
    const test::PublishedTable table = test::published_table("water/checks.csv");
    for (std::size_t row = 0; row < table.rows.size(); ++row) {
      if (table.text(row, "id") != id) continue;
      EXPECT_NEAR(value / table.number(row, "value"), 1.0, table.number(row, "tolerance")) << id;
      return;
    }
    ADD_FAILURE() << "no row " << id;
  }
};

TEST_F(Published, Drops) {
  const auto stokes = [](double um) { return drop_fall(1e-6 * um, reference).value().stokes_velocity_m_per_s; };
  for (const int um : {5, 10, 60, 100, 200, 300}) holds("stokes_" + std::to_string(um) + "_um_m_per_s", stokes(um));
  holds("inertia_500_um_m_per_s", drop_fall(500e-6, reference).value().velocity_m_per_s);
  holds("mobile_surface", mobile_surface(3.34e-3).value());
  holds("bowl_cut_um", 1e6 * bowl_cut_m({.flow_m3_per_s = 120e-3 / 3600, .area_m2 = 50e-4}, reference).value());
  const auto hinze = [](double sigma, double eps) {
    return 1e6 *
           largest_drop_m(
               {.interfacial_tension_N_per_m = sigma, .dissipation_W_per_kg = eps, .fuel_density_kg_per_m3 = 835.0})
               .value();
  };
  holds("hinze_15_100_um", hinze(15e-3, 100));
  holds("hinze_15_1e5_um", hinze(15e-3, 1e5));
  holds("hinze_7_1e5_um", hinze(7e-3, 1e5));
}

TEST_F(Published, Air) {
  holds("e_s_20_Pa", saturation_pressure_Pa(celsius(20)).value());
  const auto rho = [](double t) {
    return 1e3 * vapour_density_kg_per_m3({.temperature_K = celsius(t), .humidity = 1.0}).value();
  };
  holds("rho_v_10_g_per_m3", rho(10));
  holds("rho_v_20_g_per_m3", rho(20));
  holds("rho_v_30_g_per_m3", rho(30));
  const Air warm{.temperature_K = celsius(30), .humidity = 0.7};
  holds("dew_point_30_70_C", dew_point_K(warm).value() - 273.15);
  const auto dew = condense({.ullage_m3 = 0.1, .warm = warm, .cold_K = celsius(10)}).value();
  holds("condensate_sealed_g", 1e3 * dew.sealed_kg);
  holds("condensate_vented_g", 1e3 * dew.vented_kg);
  holds("breathed_percent", 100 * dew.breathed_share);
  holds("breathed_vapour_g", 1e3 * dew.breathed_vapour_kg);
  holds("drawn_in_100_L_g", 1e3 * drawn_in_with_burn_kg(0.1, warm).value());
}

TEST_F(Published, Forms) {
  const auto held = [](const fuel::Fuel& f, double t) { return forms(f, 0.0, celsius(t)).value().saturation / mg; };
  holds("solubility_b0_20_mg_per_kg", held(b0(), 20));
  holds("solubility_b7_20_mg_per_kg", held(b7(), 20));
  holds("solubility_b20_20_mg_per_kg", held(b20(), 20));
  holds("solubility_b0_10_mg_per_kg", held(b0(), 10));
  const Cooling cooling{.warm_K = celsius(35), .cold_K = celsius(4)};
  holds("cooling_b0_g", 1e3 * released_on_cooling_kg(b0(), 83.5, cooling).value());
  holds("cooling_b7_g", 1e3 * released_on_cooling_kg(b7(), 83.5, cooling).value());
  holds("volume_share_mg_per_kg", of_volume_share(0.05e-2, 835.0).value() / mg);
}

// A fuel at the limit of EN 590 carries free water when it is cool.
TEST_F(Published, SeparatorAndProbe) {
  const double undissolved = forms(b0(), 200 * mg, celsius(10)).value().undissolved;
  holds("free_200_at_10_mg_per_kg", undissolved / mg);
  const Bowled bowl{.undissolved = undissolved, .fuel_kg_per_s = 83.5 / 3600, .efficiency = 0.95, .volume_m3 = 200e-6};
  const auto filling = fill_bowl(bowl).value();
  holds("free_200_at_10_g_per_h", 3.6e6 * (filling.caught_kg_per_s + filling.passed_kg_per_s));
  holds("passed_95_mg_per_kg", filling.passed_kg_per_s / bowl.fuel_kg_per_s / mg);
  holds("full_200_mL_h", filling.time_to_full_s / 3600);
  EXPECT_DOUBLE_EQ(drain_interval_s(bowl, 0.5).value(), 0.5 * filling.time_to_full_s);
  // 0.05 % by volume at 10 L/h of burn: 5 mL/h, all of it caught.
  const auto trip = fill_bowl({.undissolved = of_volume_share(0.05e-2, 835.0).value(),
                               .fuel_kg_per_s = 8.35 / 3600,
                               .efficiency = 1.0,
                               .volume_m3 = 40e-6});
  holds("probe_40_mL_h", trip->time_to_full_s / 3600);
  const auto ohm = [](double conductivity) {
    return probe_resistance_ohm({.conductivity_S_per_m = conductivity}).value();
  };
  holds("probe_0_05_ohm", ohm(0.05));
  holds("probe_0_005_ohm", ohm(0.005));
  holds("probe_condensate_ohm", ohm(5.5e-6));
  holds("probe_fuel_ohm", ohm(50e-12));
  EXPECT_NEAR(tested_efficiency({.in = 200 * mg, .out = 61.68 * mg, .saturation = 54.4 * mg}).value(), 0.95, 1e-9);
}

// Identities over the range: the parts add up, Schiller and Naumann never passes Stokes and meets it for small drops,
// the dew point is the inverse of the vapour law, nothing condenses above it.
TEST(Water, Identities) {
  for (const fuel::Fuel& f : {b0(), b7(), b20()}) {
    for (double t = -20.0; t <= 60.0; t += 5.0) {
      for (const double total : {0.0, 50 * mg, 200 * mg, 3000 * mg}) {
        const auto split = forms(f, total, celsius(t)).value();
        EXPECT_DOUBLE_EQ(split.dissolved + split.undissolved, total);
        EXPECT_LE(split.dissolved, split.saturation);
        EXPECT_EQ(split.undissolved, fuel::free_water(f, total, celsius(t)).value().value);
      }
    }
  }
  for (double um = 1.0; um < 1000.0; um *= 1.3) {
    const auto fall = drop_fall(1e-6 * um, reference).value();
    EXPECT_LT(fall.velocity_m_per_s, fall.stokes_velocity_m_per_s);
    EXPECT_NEAR(fall.velocity_m_per_s * (1.0 + 0.15 * std::pow(fall.reynolds, 0.687)) / fall.stokes_velocity_m_per_s,
                1.0, 1e-10);
  }
  for (double t = -20.0; t <= 50.0; t += 10.0) {
    for (const double humidity : {0.2, 0.6, 1.0}) {
      const Air air{.temperature_K = celsius(t), .humidity = humidity};
      const double dew = dew_point_K(air).value();
      EXPECT_NEAR(vapour_density_kg_per_m3({.temperature_K = dew, .humidity = 1.0}).value() * dew,
                  vapour_density_kg_per_m3(air).value() * air.temperature_K, 1e-9);
      if (humidity < 1.0) {
        EXPECT_EQ(condense({.ullage_m3 = 0.1, .warm = air, .cold_K = 0.5 * (dew + air.temperature_K)})->sealed_kg, 0.0);
      }
    }
  }
  EXPECT_NEAR(dissolved_from_air(b0(), 0.5, celsius(20)).value() / mg, 39.2, 1e-6);
}

// A pump ahead of the separator breaks the drops: at one element, coarse water is stopped and fine water is not.
TEST(Water, EfficiencyRisesWithTheDrop) {
  const Separator element{.coarse = 0.95, .fine = 0.6};
  EXPECT_NEAR(efficiency_at(element, coarse_drop_m).value(), 0.95, 1e-12);
  EXPECT_NEAR(efficiency_at(element, fine_drop_m).value(), 0.6, 1e-12);
  double before = 0.0;
  for (double um = 1.0; um < 3000.0; um *= 1.5) {
    const double e = efficiency_at(element, 1e-6 * um).value();
    EXPECT_GT(e, before);
    EXPECT_LT(e, 1.0);
    before = e;
  }
  EXPECT_EQ(efficiency_at({.coarse = 0.9, .fine = 0.9}, 50e-6).value(),
            efficiency_at({.coarse = 0.9, .fine = 0.9}, 10e-6).value());
}

// Grams are condensation, tens of millilitres are not.
TEST(Water, OriginByAmount) {
  const double night = 1.2572e-3;
  EXPECT_EQ(origin_of(2e-3, night, std::nullopt), WaterOrigin::condensation_can);
  EXPECT_EQ(origin_of(20e-3, night, std::nullopt), WaterOrigin::not_determined);
  EXPECT_EQ(origin_of(50e-3, night, std::nullopt), WaterOrigin::bulk_ingress);
  EXPECT_EQ(origin_of(50e-3, night, 60), WaterOrigin::condensation_can);
  EXPECT_EQ(origin_of(500e-3, night, 60), WaterOrigin::bulk_ingress);
}

template <class T>
std::string field(const Result<T>& result) {
  return result ? "no error" : result.error().front().where.field;
}

TEST(Water, NamesTheBadField) {
  EXPECT_EQ(field(forms(b0(), -1.0, celsius(20))), "total_water");
  EXPECT_EQ(forms(fuel::constant_fluid(800.0, 1e-6).value(), 0.0, celsius(20)).error().front().code,
            ErrorCode::outside_model);
  EXPECT_EQ(field(dissolved_from_air(b0(), 1.1, celsius(20))), "humidity");
  EXPECT_EQ(field(released_on_cooling_kg(b0(), 1.0, {.warm_K = 280, .cold_K = 290})), "cooling.cold_K");
  EXPECT_EQ(field(of_volume_share(required, 835.0)), "share");
  EXPECT_EQ(field(drop_fall(0.0, reference)), "size_m");
  EXPECT_EQ(field(drop_fall(30e-3, reference)), "size_m");
  EXPECT_EQ(field(drop_fall(1e-5, {.density_kg_per_m3 = 1000.0, .dynamic_viscosity_Pa_s = 1e-3})),
            "liquid.density_kg_per_m3");
  EXPECT_EQ(field(mobile_surface(-1.0)), "fuel_viscosity_Pa_s");
  EXPECT_EQ(field(bowl_cut_m({.flow_m3_per_s = 1e-5}, reference)), "bowl.area_m2");
  EXPECT_EQ(field(largest_drop_m({.interfacial_tension_N_per_m = 1e-2, .fuel_density_kg_per_m3 = 835})),
            "at.dissipation_W_per_kg");
  EXPECT_EQ(saturation_pressure_Pa(400.0).error().front().code, ErrorCode::outside_model);
  EXPECT_EQ(field(dew_point_K({.temperature_K = 300, .humidity = 0.0})), "air.humidity");
  EXPECT_EQ(field(condense({.ullage_m3 = 0.1, .warm = {.temperature_K = 280, .humidity = 0.5}, .cold_K = 290})),
            "cooling.cold_K");
  EXPECT_EQ(field(drawn_in_with_burn_kg(-1.0, {.temperature_K = 280, .humidity = 0.5})), "burned_m3");
  EXPECT_EQ(field(origin_of(1.0, 1.0, -1)), "nights");
  EXPECT_EQ(field(efficiency_at({.coarse = 0.5, .fine = 0.6}, 1e-5)), "separator.fine");
  EXPECT_EQ(field(efficiency_at({.coarse = 1.0, .fine = 0.6}, 1e-5)), "separator.coarse");
  EXPECT_EQ(field(tested_efficiency({.in = 10 * mg, .out = 5 * mg, .saturation = 50 * mg})), "test.in");
  EXPECT_EQ(field(fill_bowl({.undissolved = 1e-4, .fuel_kg_per_s = 0.02, .efficiency = 1.5, .volume_m3 = 1e-4})),
            "bowl.efficiency");
  EXPECT_EQ(
      field(drain_interval_s({.undissolved = 1e-4, .fuel_kg_per_s = 0.02, .efficiency = 0.5, .volume_m3 = 1e-4}, 2.0)),
      "share");
  EXPECT_EQ(field(probe_resistance_ohm({})), "probe.conductivity_S_per_m");
}

}  // namespace
}  // namespace fw::water
