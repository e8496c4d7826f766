// SPDX-License-Identifier: Apache-2.0
#include "fuel/fuel.hpp"

#include <array>
#include <cmath>
#include <limits>

#include <fmt/format.h>

namespace fw::fuel {

namespace {

constexpr double zero_C_K = 273.15;
constexpr double at_15C_K = 288.15;

struct Row {
  std::string_view id;
  std::string_view title;
  Family family;
  double density_15C;
  double viscosity_40C_mm2_per_s;
  double slope;
  double cloud_C;
  double cfpp_C;
  std::string_view source;
};

constexpr double unstated = std::numeric_limits<double>::quiet_NaN();
constexpr std::array<Row, 8> rows{{
    {"d975_1d", "No. 1 diesel", Family::petroleum, 812, 1.60, 4.08, -40, -42, "typical values, from memory"},
    {"d975_2d", "No. 2 diesel", Family::petroleum, 845, 2.60, 4.05, -12, -15, "typical values, from memory"},
    {"en590", "EN 590 diesel", Family::petroleum, 835, 2.70, 4.05, -4, -15, "typical values, from memory"},
    {"en590_arctic2", "EN 590 arctic class 2", Family::petroleum, 815, 1.90, 4.05, -26, -34,
     "typical values, from memory"},
    {"fame_b100", "methyl ester, B100", Family::fame, 883, 4.45, 3.35, -4, -13,
     "typical values, from memory; density Huber et al. 2009"},
    {"hvo", "paraffinic diesel", Family::paraffinic, 780, 2.80, 3.80, -15, -15, "supplier sheets; slope from memory"},
    {"jp8", "kerosene, JP-8", Family::petroleum, 802, 1.30, 4.09, -50, unstated,
     "typical values, from memory; freezing point stands for cloud point"},
    {"iso4113", "calibration fluid ISO 4113", Family::petroleum, 825, 2.60, 4.00, unstated, unstated,
     "middle of the ISO 4113 limits"},
}};

Fuel fuel_of(const Row& row) {
  return {.id = std::string(row.id),
          .title = std::string(row.title),
          .family = row.family,
          .density_15C_kg_per_m3 = row.density_15C,
          .kinematic_viscosity_40C_m2_per_s = row.viscosity_40C_mm2_per_s * 1e-6,
          .viscosity_slope = row.slope,
          .cloud_point_K = row.cloud_C + zero_C_K,
          .cfpp_K = row.cfpp_C + zero_C_K,
          .source = std::string(row.source)};
}

/// Z of ASTM D341, simple form; nu in mm2/s.
double z_of(double nu) { return nu + 0.7 + std::exp(-1.47 - 1.84 * nu - 0.51 * nu * nu); }

double nu_of(double z) {
  const double x = z - 0.7;
  return x - std::exp(-0.7487 - 3.295 * x + 0.6119 * x * x - 0.3193 * x * x * x);
}

Result<Range> temperature_range(double temperature_K, double fitted_low_C, double fitted_high_C) {
  const double celsius = temperature_K - zero_C_K;
  if (!std::isfinite(temperature_K) || celsius < -50.0 || celsius > 120.0) {
    return outside("temperature", fmt::format("{:.1f} C", celsius), "a fuel temperature from -50 to 120 C",
                   "No correlation here covers it");
  }
  return celsius < fitted_low_C || celsius > fitted_high_C ? Range::extrapolated : Range::fitted;
}

}  // namespace

std::vector<std::string> grade_ids() {
  std::vector<std::string> ids;
  for (const Row& row : rows) ids.emplace_back(row.id);
  return ids;
}

Result<Fuel> grade(std::string_view id) {
  for (const Row& row : rows) {
    if (row.id == id) return fuel_of(row);
  }
  std::string known;
  for (const Row& row : rows) known += (known.empty() ? "" : ", ") + std::string(row.id);
  return fail(Error{.code = ErrorCode::not_found,
                    .where = {.file = {}, .line = 0, .column = 0, .field = "grade"},
                    .found = fmt::format("the fuel \"{}\"", id),
                    .expected = "one of " + known,
                    .hint = "Write one of these ids, or fuel = \"constant\" with a [fluid] table"});
}

Result<Fuel> constant_fluid(double density_kg_per_m3, double kinematic_viscosity_m2_per_s) {
  if (const auto ok = require_positive(density_kg_per_m3, "density"); !ok) return fail(ok.error());
  if (const auto ok = require_positive(kinematic_viscosity_m2_per_s, "kinematic_viscosity"); !ok) {
    return fail(ok.error());
  }
  return Fuel{.id = "constant",
              .title = "fluid as given",
              .family = Family::constant,
              .density_15C_kg_per_m3 = density_kg_per_m3,
              .kinematic_viscosity_40C_m2_per_s = kinematic_viscosity_m2_per_s,
              .viscosity_slope = 0.0,
              .source = "given by the user"};
}

double expansion_15C_per_K(double rho15) {
  if (rho15 <= 770.0) return 346.4228 / (rho15 * rho15) + 0.4388 / rho15;
  if (rho15 < 787.5) return -0.00336312 + 2680.3206 / (rho15 * rho15);
  if (rho15 < 838.5) return 594.5418 / (rho15 * rho15);
  return 186.9696 / (rho15 * rho15) + 0.4862 / rho15;
}

Result<Density> density(const Fuel& fuel, double temperature_K) {
  const double rho15 = fuel.density_15C_kg_per_m3;
  if (const auto ok = require_positive(rho15, "density_15C_kg_per_m3"); !ok) return fail(ok.error());
  if (fuel.family == Family::constant) return Density{.density_kg_per_m3 = rho15};
  const auto range = temperature_range(temperature_K, -18.0, 90.0);
  if (!range) return fail(range.error());
  const double dT = temperature_K - at_15C_K;
  switch (fuel.family) {
    case Family::fame: return Density{.density_kg_per_m3 = rho15 - 0.7420 * dT + 3.845e-4 * dT * dT, .range = *range};
    case Family::paraffinic: return Density{.density_kg_per_m3 = rho15 - 0.70 * dT, .range = *range};
    case Family::petroleum:
    case Family::constant: break;
  }
  if (rho15 < 653.0 || rho15 > 1075.0) {
    return outside("density_15C", fmt::format("{:.1f} kg/m3", rho15), "653 to 1075 kg/m3 (ASTM D1250 table 54B)",
                   "Check the density and its unit");
  }
  const double x = expansion_15C_per_K(rho15) * dT;
  return Density{.density_kg_per_m3 = rho15 * std::exp(-x * (1.0 + 0.8 * x)), .range = *range};
}

Result<double> kinematic_viscosity_m2_per_s(const Fuel& fuel, double temperature_K) {
  const double nu40 = fuel.kinematic_viscosity_40C_m2_per_s;
  if (const auto ok = require_positive(nu40, "kinematic_viscosity_40C_m2_per_s"); !ok) return fail(ok.error());
  if (fuel.family == Family::constant) return nu40;
  if (const auto range = temperature_range(temperature_K, -40.0, 100.0); !range) return fail(range.error());
  const double at_40C_K = 313.15;
  const double lglg40 = std::log10(std::log10(z_of(nu40 * 1e6)));
  const double lglg = lglg40 - fuel.viscosity_slope * (std::log10(temperature_K) - std::log10(at_40C_K));
  return nu_of(std::pow(10.0, std::pow(10.0, lglg))) * 1e-6;
}

double vapour_pressure_Pa(const Fuel& fuel, double temperature_K) {
  if (fuel.family == Family::constant) return 0.0;
  const bool kerosene = fuel.family == Family::petroleum && fuel.density_15C_kg_per_m3 < 813.0;
  const double a = kerosene ? 12.390 : 12.101;
  const double b = kerosene ? 8933.0 : 8907.0;
  return 6894.757293168 * std::exp(a - b / (1.8 * temperature_K));
}

double air_solubility(const Fuel& fuel, double temperature_K) {
  if (fuel.family == Family::constant) return 0.0;
  const double l = 0.300 * std::exp(0.639 * (700.0 - temperature_K) / temperature_K * std::log(3.333 * 0.098));
  return 7.70 * l * (0.980 - fuel.density_15C_kg_per_m3 / 1000.0);
}

Cold cold_state(const Fuel& fuel, double temperature_K) {
  if (fuel.family == Family::constant) return Cold::liquid;
  if (std::isfinite(fuel.cfpp_K) && temperature_K <= fuel.cfpp_K) return Cold::below_cfpp;
  if (!std::isfinite(fuel.cloud_point_K)) return Cold::not_stated;
  return temperature_K <= fuel.cloud_point_K ? Cold::below_cloud_point : Cold::liquid;
}

Result<Liquid> liquid_at(const Fuel& fuel, double temperature_K, double pressure_Pa) {
  if (const auto ok = require_positive(pressure_Pa, "pressure_Pa"); !ok) return fail(ok.error());
  if (const auto ok = require_positive(temperature_K, "temperature_K"); !ok) return fail(ok.error());
  const auto rho = density(fuel, temperature_K);
  if (!rho) return fail(rho.error());
  const auto nu = kinematic_viscosity_m2_per_s(fuel, temperature_K);
  if (!nu) return fail(nu.error());
  return Liquid{.density_kg_per_m3 = rho->density_kg_per_m3,
                .dynamic_viscosity_Pa_s = *nu * rho->density_kg_per_m3,
                .vapour_pressure_Pa = vapour_pressure_Pa(fuel, temperature_K),
                .air_solubility = air_solubility(fuel, temperature_K),
                .range = rho->range};
}

}  // namespace fw::fuel
