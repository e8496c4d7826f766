// SPDX-License-Identifier: Apache-2.0
// How far the room stands from outside values: the table of docs/theory/water.md must be the one that these numbers
// make.
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "fuel/fuel_text.hpp"
#include "published_table.hpp"
#include "theory_table.hpp"
#include "water/condensation.hpp"
#include "water/drops.hpp"
#include "water/forms.hpp"
#include "water/separator.hpp"

namespace fw::water {
namespace {

constexpr double celsius(double t) { return t + 273.15; }

double published(const std::string& id) {
  const test::PublishedTable table = test::published_table("water/checks.csv");
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    if (table.text(row, "id") == id) return table.number(row, "value");
  }
  ADD_FAILURE() << "no row " << id;
  return 1.0;
}

class Rows {
 public:
  void add(const std::string& what, const std::string& source, const std::string& id, double ours,
           const std::string& held_by) {
    rows_.push_back({what, source, published(id), ours, held_by});
  }
  [[nodiscard]] const std::vector<test::TheoryRow>& all() const { return rows_; }

 private:
  std::vector<test::TheoryRow> rows_;
};

TEST(Deviations, StandInTheTheoryAsMeasured) {
  Rows rows;
  const fuel::Liquid liquid{.density_kg_per_m3 = 835.0, .dynamic_viscosity_Pa_s = 3.34e-3};
  const std::string forms_test = "Published.Forms";
  const std::string he = "He and others 2007 (from memory), worked row";
  const auto held = [](const char* text, double t) {
    return 1e6 * forms(fuel::fuel_of_text(text).value(), 0.0, celsius(t))->saturation;
  };
  rows.add("water held at 20 C, diesel, mg/kg", he, "solubility_b0_20_mg_per_kg", held("d975_2d", 20), forms_test);
  rows.add("same, 7 % ester", he, "solubility_b7_20_mg_per_kg", held("d975_2d + 7 % fame_b100", 20), forms_test);
  rows.add("same, 20 % ester", he, "solubility_b20_20_mg_per_kg", held("d975_2d + 20 % fame_b100", 20), forms_test);
  rows.add("water let go by 100 L from 35 to 4 C, diesel, g", he, "cooling_b0_g",
           1e3 * released_on_cooling_kg(fuel::fuel_of_text("d975_2d").value(), 83.5,
                                        {.warm_K = celsius(35), .cold_K = celsius(4)})
                     .value(),
           forms_test);

  const std::string drops = "Published.Drops";
  const auto fall = [&](double um) { return drop_fall(1e-6 * um, liquid).value(); };
  rows.add("fall of 100 um by Stokes, m/s", "Stokes, worked row", "stokes_100_um_m_per_s",
           fall(100).stokes_velocity_m_per_s, drops);
  rows.add("fall of 100 um as used, m/s", "Stokes, worked row", "stokes_100_um_m_per_s", fall(100).velocity_m_per_s,
           drops);
  rows.add("fall of 200 um as used, m/s", "Stokes, worked row", "stokes_200_um_m_per_s", fall(200).velocity_m_per_s,
           drops);
  rows.add("fall of 300 um as used, m/s", "Stokes, worked row", "stokes_300_um_m_per_s", fall(300).velocity_m_per_s,
           drops);
  rows.add("fall of 500 um as used, m/s", "Schiller & Naumann 1933 (from memory), worked row", "inertia_500_um_m_per_s",
           fall(500).velocity_m_per_s, drops);
  rows.add("clean drop over rigid drop", "Hadamard & Rybczynski (from memory), worked row", "mobile_surface",
           mobile_surface(3.34e-3).value(), drops);
  rows.add("smallest drop caught by 50 cm2 at 120 L/h, um", "Stokes, worked row", "bowl_cut_um",
           1e6 * bowl_cut_m({.flow_m3_per_s = 120e-3 / 3600, .area_m2 = 50e-4}, liquid).value(), drops);
  const auto largest = [](double tension, double dissipation) {
    return 1e6 * largest_drop_m({.interfacial_tension_N_per_m = tension,
                                 .dissipation_W_per_kg = dissipation,
                                 .fuel_density_kg_per_m3 = 835.0})
                     .value();
  };
  const std::string hinze = "Hinze 1955 (from memory), worked row";
  rows.add("largest drop, 15 mN/m, 100 W/kg, um", hinze, "hinze_15_100_um", largest(15e-3, 100), drops);
  rows.add("largest drop, 15 mN/m, 1e5 W/kg, um", hinze, "hinze_15_1e5_um", largest(15e-3, 1e5), drops);
  rows.add("largest drop, 7 mN/m, 1e5 W/kg, um", hinze, "hinze_7_1e5_um", largest(7e-3, 1e5), drops);

  const std::string air = "Published.Air";
  const std::string magnus = "Magnus, WMO No. 8 (from memory), worked row";
  const Air warm{.temperature_K = celsius(30), .humidity = 0.7};
  rows.add("vapour pressure at 20 C, Pa", magnus, "e_s_20_Pa", saturation_pressure_Pa(celsius(20)).value(), air);
  rows.add("vapour density at 30 C, g/m3", magnus, "rho_v_30_g_per_m3",
           1e3 * vapour_density_kg_per_m3({.temperature_K = celsius(30), .humidity = 1.0}).value(), air);
  rows.add("dew point of 30 C, 70 %, C", magnus, "dew_point_30_70_C", dew_point_K(warm).value() - 273.15, air);
  const auto dew = condense({.ullage_m3 = 0.1, .warm = warm, .cold_K = celsius(10)}).value();
  rows.add("condensate of 100 L, 30 C 70 % to 10 C, sealed, g", magnus, "condensate_sealed_g", 1e3 * dew.sealed_kg,
           air);
  rows.add("same, vented, g", magnus, "condensate_vented_g", 1e3 * dew.vented_kg, air);

  const std::string bowl_test = "Published.SeparatorAndProbe";
  const double free_share = forms(fuel::fuel_of_text("d975_2d").value(), 200e-6, celsius(10))->undissolved;
  const auto filling =
      fill_bowl({.undissolved = free_share, .fuel_kg_per_s = 83.5 / 3600, .efficiency = 0.95, .volume_m3 = 200e-6})
          .value();
  rows.add("free water of 200 mg/kg at 10 C, mg/kg", he, "free_200_at_10_mg_per_kg", 1e6 * free_share, bowl_test);
  rows.add("bowl of 200 mL full at 100 L/h, h", "hand algebra", "full_200_mL_h", filling.time_to_full_s / 3600,
           bowl_test);
  rows.add("electrodes in 5.5e-6 S/m, Ohm", "hand algebra", "probe_condensate_ohm",
           probe_resistance_ohm({.conductivity_S_per_m = 5.5e-6}).value(), bowl_test);
  test::expect_theory_table("water.md", "water", rows.all());
}

}  // namespace
}  // namespace fw::water
