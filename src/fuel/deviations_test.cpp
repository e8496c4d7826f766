// SPDX-License-Identifier: Apache-2.0
// The check rows of the reference and the values that stand beside the laws, each to its tolerance, and the table of
// deviations in docs/theory/fuel.md, which must be the one that these numbers make.
#include <algorithm>
#include <array>
#include <cmath>
#include <fstream>
#include <iterator>
#include <set>
#include <stdexcept>
#include <string>
#include <vector>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "fuel/air.hpp"
#include "fuel/stiffness.hpp"
#include "fuel/thermal.hpp"
#include "fuel/viscosity_laws.hpp"
#include "fuel/volume_correction.hpp"
#include "fuel/water_solubility.hpp"
#include "fuel_cases.hpp"
#include "project_file.hpp"
#include "published_table.hpp"

namespace fw::fuel {
namespace {

using test::celsius;
using test::with_density;

constexpr double psi_Pa = 6894.757293168;

struct Ask {
  std::string quantity;
  std::string fuel;
  double t = 0.0;     ///< C
  double p_Pa = 0.0;  ///< absolute
};

/// A cell that may be "-" where the quantity has no such argument.
double number_or(const test::PublishedTable& table, std::size_t row, const char* column, double otherwise) {
  return table.text(row, column) == "-" ? otherwise : table.number(row, column);
}

Fuel fluid(const std::string& name) {
  if (name.starts_with("petroleum")) return with_density("en590", std::stod(name.substr(9)));
  if (name == "ester883.3") return with_density("fame_b100", 883.3);
  if (name == "paraffin780") return with_density("hvo", 780.0);
  if (name == "b20") return test::mixed(with_density("en590", 835.0), with_density("fame_b100", 883.3), 0.2);
  return grade(name).value();
}

ViscosityLine line_of(const std::string& name) {
  const auto point = [](double nu, double t) {
    return ViscosityPoint{.kinematic_viscosity_m2_per_s = nu * 1e-6, .temperature_K = celsius(t)};
  };
  if (name == "n-dodecane") return viscosity_line(point(1.9862, 20), point(0.7367, 100)).value();
  return viscosity_line(point(2.60, 40), point(1.08, 100)).value();
}

double dodecane(const std::string& quantity, const std::string& t, const std::string& column) {
  const test::PublishedTable table = test::published_table("fuel/n_dodecane.csv");
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    if (table.text(row, "quantity") == quantity && table.text(row, "t_C") == t) return table.number(row, column);
  }
  throw std::runtime_error("no row " + quantity + " at " + t);
}

/// The recipe of the stiffness law with n-dodecane's values at the atmosphere: equation of state at 40 C, else from the
/// table, whose densities and moduli give the slopes.
Tait recipe(double t) {
  if (t == 40.0) {
    return {.temperature_K = 313.15,
            .density_kg_per_m3 = 734.642,
            .expansion_per_K = 1.00530e-3,
            .heat_capacity_J_per_kg_K = 2262.5,
            .c = 0.0880,
            .stiffness_Pa = 0.0880 * 907.29e6 - standard_pressure_Pa,
            .stiffness_slope_Pa_per_K = -0.5464e6};
  }
  const auto rho = [](double x) { return dodecane("rho", fmt::format("{:.0f}", x), "p0.1"); };
  const auto B = [](double x) {
    return 0.0880 * 1e6 * dodecane("K_T", fmt::format("{:.0f}", x), "p0.1") - standard_pressure_Pa;
  };
  // Second-order difference over 20 K, one-sided at the ends of the table.
  const auto slope = [&](const auto& f) {
    if (t == 20.0) return (-3.0 * f(20.0) + 4.0 * f(40.0) - f(60.0)) / 40.0;
    if (t == 80.0) return (3.0 * f(80.0) - 4.0 * f(60.0) + f(40.0)) / 40.0;
    return (f(t + 20.0) - f(t - 20.0)) / 40.0;
  };
  return {.temperature_K = celsius(t),
          .density_kg_per_m3 = rho(t),
          .expansion_per_K = -slope([&](double x) { return std::log(rho(x)); }),
          .heat_capacity_J_per_kg_K = 2123.0 + 3.55 * t,
          .c = 0.0880,
          .stiffness_Pa = B(t),
          .stiffness_slope_Pa_per_K = slope(B)};
}

double of_dodecane(const Ask& ask) {
  if (ask.quantity == "nu") return kinematic_viscosity_m2_per_s(line_of(ask.fuel), celsius(ask.t)).value() * 1e6;
  if (ask.quantity == "eta")
    return 1e3 * roelands_viscosity_Pa_s({.dynamic_viscosity_Pa_s = 1.061e-3, .exponent = 0.72, .rise_Pa = ask.p_Pa});
  if (ask.quantity == "D341 slope") return line_of(ask.fuel).slope;
  // 753 kg/m3 at 15 C: 749.44 at 20 C and a slope of -0.70.
  if (ask.quantity == "k") return thermal_conductivity_W_per_m_K(with_density("hvo", 753.0), celsius(ask.t))->value;
  // Row 21 asks the density at 20 C of the equation at 40 C and its expansion.
  if (ask.quantity == "rho" && ask.t == 20.0) return 734.642 * std::exp(20.0 * 1.00530e-3);
  const TaitState state = tait_state(recipe(ask.t), ask.p_Pa).value();
  if (ask.quantity == "rho") return state.density_kg_per_m3;
  if (ask.quantity == "K_T") return state.isothermal_modulus_Pa * 1e-6;
  if (ask.quantity == "c") return state.sound_speed_m_per_s;
  throw std::runtime_error("n-dodecane has no " + ask.quantity);
}

std::array<ViscosityShare, 2> blend_of_2_60(double share_of_4_45) {
  return {{{.kinematic_viscosity_m2_per_s = 2.60e-6, .fraction = 1.0 - share_of_4_45},
           {.kinematic_viscosity_m2_per_s = 4.45e-6, .fraction = share_of_4_45}}};
}

/// What the code under test says, in the unit of the tables.
double computed(const Ask& ask) {
  const std::string& q = ask.quantity;
  const double T = celsius(ask.t);
  if (ask.fuel == "n-dodecane") return of_dodecane(ask);
  if (q == "CTL") return volume_correction_base_60(834.6043, T).value();
  if (q == "nu Refutas") return refutas_blend_m2_per_s(blend_of_2_60(0.2)) * 1e6;
  if (q == "nu Arrhenius") return arrhenius_blend_m2_per_s(blend_of_2_60(0.2)) * 1e6;
  if (q == "D341 slope") return line_of(ask.fuel).slope;
  if (q == "D341 intercept") return line_of(ask.fuel).intercept;
  if (q == "nu" && ask.fuel == "2.60 and 1.08") return kinematic_viscosity_m2_per_s(line_of(ask.fuel), T).value() * 1e6;
  if (q == "eta")
    return 1e3 * roelands_viscosity_Pa_s({.dynamic_viscosity_Pa_s = 2.2e-3, .exponent = 0.72, .rise_Pa = ask.p_Pa});
  if (q == "alpha0") return 1e9 * pressure_viscosity_per_Pa(2.2e-3, 0.72);
  if (q == "K_eff") {
    return 1e-6 *
           aerated_modulus_Pa({.void_fraction = 0.02, .pressure_Pa = ask.p_Pa, .liquid_modulus_Pa = 1.135e9}).value();
  }
  if (q == "pv at 60 F") {
    const VapourLaw law = petrol_vapour(std::stod(ask.fuel.substr(11)) * psi_Pa).value();
    return std::exp(law.intercept - law.slope_K / ((60.0 + 459.67) / 1.8));
  }
  const Fuel fuel = fluid(ask.fuel);
  const double rho15 = fuel.density_15C_kg_per_m3;
  if (q == "a15") return expansion_15C_per_K(rho15) * 1e4;
  if (q == "VCF") return volume_correction(rho15, T);
  if (q == "F") return volume_compressibility_per_Pa(rho15, T).value() * 1e10;
  if (q == "CPL")
    return pressure_correction({.density_15C_kg_per_m3 = rho15, .temperature_K = T, .rise_Pa = ask.p_Pa}).value();
  if (q == "rho") return density_kg_per_m3(fuel, T, ask.p_Pa)->value;
  if (q == "K_T") return isothermal_modulus_Pa(fuel, T, ask.p_Pa)->value * 1e-6;
  if (q == "K_S") return isentropic_modulus_Pa(fuel, T, ask.p_Pa)->value * 1e-6;
  if (q == "B") return tait_of(fuel, T)->stiffness_Pa * 1e-6;
  if (q == "c") return sound_speed_m_per_s(fuel, T, ask.p_Pa)->value;
  if (q == "throttling") {
    return throttled(fuel, {.temperature_K = T, .from_Pa = ask.p_Pa, .to_Pa = 0.1e6})->temperature_K - T;
  }
  if (q == "LHV") {
    return 1e-6 * (ask.fuel == "petroleum835" ? petroleum_heating_value(rho15)->net_J_per_kg
                                              : lower_heating_value_J_per_kg(fuel)->value);
  }
  if (q == "cp") return heat_capacity_J_per_kg_K(fuel, T)->value;
  if (q == "k") return thermal_conductivity_W_per_m_K(fuel, T)->value;
  if (q == "pv") return vapour_pressure_Pa(fuel, T)->value;
  if (q == "Lc") return ostwald_coefficient(rho15, T);
  if (q == "beta")
    return bunsen_coefficient(
        {.ostwald = ostwald_coefficient(rho15, T), .temperature_K = T, .gas_pressure_Pa = 101325.0});
  if (q == "r" || q == "alpha") {
    const Release release =
        released_air(
            {.ostwald = ostwald_coefficient(rho15, T), .saturation_pressure_Pa = 101325.0, .pressure_Pa = ask.p_Pa})
            .value();
    return q == "r" ? release.ratio : release.void_fraction;
  }
  if (q == "S") return water_solubility(fuel, T)->value * 1e6;
  if (q == "nu") return kinematic_viscosity_m2_per_s(fuel, T)->value * 1e6;
  if (q == "rho ratio at 10 MPa") {
    return density_kg_per_m3(fuel, T, 10e6)->value / density_kg_per_m3(fuel, T)->value;
  }
  if (q == "mean K_T to 10 MPa") {
    return 1e-6 * tait_secant_modulus_Pa(tait_of(fuel, T).value(), 10e6 + standard_pressure_Pa);
  }
  throw std::runtime_error("no quantity " + q);
}

std::size_t decimals(const std::string& printed) {
  const auto point = printed.find('.');
  return point == std::string::npos ? 0 : printed.size() - point - 1;
}

/// Value with one digit more than the published one, and the deviation in per cent of it.
std::string here_and_deviation(double value, const std::string& published) {
  const double percent = 100.0 * (value / std::stod(published) - 1.0);
  return fmt::format("{:.{}f} | {:+.3f} %", value, decimals(published) + 1,
                     std::abs(percent) < 5e-4 ? 0.0 : percent);  // never "-0.000"
}

std::vector<std::string> check_row_lines() {
  const test::PublishedTable table = test::published_table("fuel/check_rows.csv");
  std::vector<std::string> lines;
  std::set<int> seen;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const double p = number_or(table, row, "p_MPa", 0.1);
    const Ask ask{.quantity = table.text(row, "quantity"),
                  .fuel = table.text(row, "fuel"),
                  .t = number_or(table, row, "t_C", 15.0),
                  .p_Pa = p == 0.1 ? standard_pressure_Pa : p * 1e6};
    const double value = computed(ask);
    const std::string& published = table.text(row, "value");
    const std::string& tolerance = table.text(row, "tolerance");
    const double target = std::stod(published);
    const double allowed =
        tolerance.ends_with('%') ? 0.01 * std::stod(tolerance) * target : std::stod(tolerance) * (1.0 + 1e-9);
    EXPECT_NEAR(value, target, allowed) << "row " << table.text(row, "row") << " " << ask.quantity;
    seen.insert(std::stoi(table.text(row, "row")));
    lines.push_back(fmt::format("| {} | {}, {} | {} | {} | {} | {} | {} | {} | {} |", table.text(row, "row"),
                                ask.quantity, table.text(row, "unit"), ask.fuel, table.text(row, "t_C"),
                                table.text(row, "p_MPa"), published, here_and_deviation(value, published), tolerance,
                                table.text(row, "basis")));
  }
  EXPECT_EQ(seen.size(), 34U);
  return lines;
}

std::vector<std::string> independent_lines() {
  const test::PublishedTable table = test::published_table("fuel/independent.csv");
  std::vector<std::string> lines;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const Ask ask{.quantity = table.text(row, "quantity"),
                  .fuel = table.text(row, "fuel"),
                  .t = number_or(table, row, "t_C", 40.0),
                  .p_Pa = standard_pressure_Pa};
    const double value = computed(ask);
    const std::string& published = table.text(row, "value");
    const double within = 0.01 * table.number(row, "within_percent");
    EXPECT_NEAR(value / std::stod(published), 1.0, within) << ask.quantity << " " << ask.fuel << " " << ask.t;
    lines.push_back(fmt::format("| {}, {} | {} | {} | {} | {} | {} % | {} |", ask.quantity, table.text(row, "unit"),
                                ask.fuel, table.text(row, "t_C"), published, here_and_deviation(value, published),
                                table.text(row, "within_percent"), table.text(row, "source")));
  }
  return lines;
}

/// Lowest and highest deviation [%] over a table.
struct Spread {
  double low = 0.0;
  double high = 0.0;
  void add(double ratio) {
    low = std::min(low, 100.0 * (ratio - 1.0));
    high = std::max(high, 100.0 * (ratio - 1.0));
  }
};

std::vector<std::string> spread_lines() {
  std::vector<std::string> lines;
  const auto line = [&](const std::string& what, Spread found, Spread stated, double rounding, const char* source) {
    EXPECT_GE(found.low, stated.low - rounding) << what;
    EXPECT_LE(found.high, stated.high + rounding) << what;
    lines.push_back(fmt::format("| {} | {:+.3f} to {:+.3f} % | {:+.3g} to {:+.3g} % | {} |", what, found.low,
                                found.high, stated.low, stated.high, source));
  };
  // Stated for 20 to 80 C, 50 to 250 MPa. The table prints four digits, its K_T at the atmosphere to 0.07 %.
  Spread rho;
  Spread K_T;
  Spread c;
  for (const double t : {20.0, 40.0, 60.0, 80.0}) {
    for (const std::string column : {"p50", "p100", "p150", "p200", "p250"}) {
      const TaitState state = tait_state(recipe(t), 1e6 * std::stod(column.substr(1))).value();
      const std::string text = fmt::format("{:.0f}", t);
      rho.add(state.density_kg_per_m3 / dodecane("rho", text, column));
      K_T.add(state.isothermal_modulus_Pa * 1e-6 / dodecane("K_T", text, column));
      // At the ends of the table the slopes from printed digits blur c by 0.8 %, inside by 0.2 %.
      if (t == 40.0 || t == 60.0) c.add(state.sound_speed_m_per_s / dodecane("c", text, column));
    }
  }
  const char* eos = "Lemmon & Huber 2004";
  line("rho of n-dodecane by the recipe, 20 to 80 C, 50 to 250 MPa", rho, {.low = -0.13, .high = 0.13}, 0.015, eos);
  line("K_T, same", K_T, {.low = -1.75, .high = 0.7}, 0.1, eos);
  line("c, same, 40 and 60 C", c, {.low = -1.2, .high = 0.4}, 0.2, eos);

  Spread eta;
  for (const std::string t : {"20", "40", "60", "80"}) {
    for (const std::string column : {"p50", "p100", "p150", "p200"}) {
      eta.add(1e3 *
              roelands_viscosity_Pa_s({.dynamic_viscosity_Pa_s = 1e-3 * dodecane("eta", t, "p0.1"),
                                       .exponent = 0.72,
                                       .rise_Pa = 1e6 * std::stod(column.substr(1))}) /
              dodecane("eta", t, column));
    }
  }
  line("eta of n-dodecane by Roelands, 20 to 80 C, 50 to 200 MPa", eta, {.low = -16, .high = 16}, 0.0,
       "Huber et al. 2004");

  Spread murnaghan;
  const Fuel diesel = fluid("petroleum835");
  for (double t = 20.0; t <= 100.0; t += 20.0) {
    const Stiffness still = stiffness(diesel, celsius(t), standard_pressure_Pa).value();
    for (double p = 1e7; p <= 2.5e8; p += 1e7) {
      const double rise = 9.638 * (p - standard_pressure_Pa) / (1.0173 * still.isothermal_modulus_Pa);
      murnaghan.add(stiffness(diesel, celsius(t), p)->density_kg_per_m3 /
                    (still.density_kg_per_m3 * std::pow(1.0 + rise, 1.0 / 9.638)));
    }
  }
  line("rho of 835 kg/m3 against Murnaghan, 20 to 100 C, to 250 MPa", murnaghan, {.low = -0.042, .high = 0.042}, 0.0005,
       "fuel reference page");

  Spread hvo_rho;
  Spread hvo_c;
  const test::PublishedTable table = test::published_table("fuel/high_pressure.csv");
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    if (table.text(row, "fluid") != "paraffin780") continue;
    for (const std::string column : {"p0.1", "p50", "p100", "p150", "p200", "p250"}) {
      const double p = column == "p0.1" ? standard_pressure_Pa : 1e6 * std::stod(column.substr(1));
      const Ask ask{
          .quantity = table.text(row, "quantity"), .fuel = "paraffin780", .t = table.number(row, "t_C"), .p_Pa = p};
      (ask.quantity == "rho" ? hvo_rho : hvo_c).add(computed(ask) / table.number(row, column));
    }
  }
  line("rho of paraffin 780 against the printed table", hvo_rho, {.low = -0.02, .high = 0.02}, 0.0, "printed from K_T");
  line("c, same", hvo_c, {.low = -0.1, .high = 0.1}, 0.0, "printed from K_T");

  Spread imperial;
  for (const double t : {0.0, 20.0, 40.0, 60.0}) {
    const double F = 1.8 * t + 32.0;
    const double rho60 = 835.0 * volume_correction(835.0, (60.0 + 459.67) / 1.8);
    const double per_psi = 1e-5 * std::exp(-1.9947 + 0.00013427 * F + (793920.0 + 2326.0 * F) / (rho60 * rho60));
    imperial.add(volume_compressibility_per_Pa(835.0, celsius(t)).value() * psi_Pa / per_psi);
  }
  line("F against its imperial twin, 0 to 60 C", imperial, {.low = -0.04, .high = 0.04}, 0.0, "API 2004 (from memory)");
  return lines;
}

/// The lines between "<!-- begin NAME -->" and "<!-- end NAME -->" of docs/theory/fuel.md that are rows of numbers.
std::vector<std::string> documented(const std::string& name) {
  std::ifstream file(test::project_file("docs/theory/fuel.md"));
  std::vector<std::string> lines;
  bool inside = false;
  for (std::string line; std::getline(file, line);) {
    if (line == "<!-- end " + name + " -->") break;
    if (inside && line.starts_with("| ") && !line.starts_with("| ---")) lines.push_back(line);
    if (line == "<!-- begin " + name + " -->") inside = true;
  }
  if (!lines.empty()) lines.erase(lines.begin());  // head of the table
  return lines;
}

void expect_documented(const std::string& name, const std::vector<std::string>& lines) {
  const std::vector<std::string> written = documented(name);
  std::string fresh;
  for (const std::string& line : lines) fresh += line + "\n";
  EXPECT_EQ(written, lines) << "docs/theory/fuel.md, table \"" << name << "\", must read:\n" << fresh;
}

// All 34 rows of the reference's table of check values.
TEST(Deviations, CheckRowsHoldAndAreDocumented) { expect_documented("check rows", check_row_lines()); }

// Published values beside the laws, to the accuracy that is stated with each law.
TEST(Deviations, IndependentValuesHoldAndAreDocumented) { expect_documented("independent", independent_lines()); }

// Stated spreads over whole tables.
TEST(Deviations, SpreadsHoldAndAreDocumented) { expect_documented("spreads", spread_lines()); }

}  // namespace
}  // namespace fw::fuel
