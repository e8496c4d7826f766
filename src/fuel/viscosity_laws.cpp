// SPDX-License-Identifier: Apache-2.0
#include "fuel/viscosity_laws.hpp"

#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "base/contract.hpp"

namespace fw::fuel {

namespace {

constexpr double lowest_mm2_per_s = 0.21;
constexpr double highest_mm2_per_s = 1e6;

Result<double> lglg_z(double kinematic_viscosity_m2_per_s, const char* field) {
  if (const auto ok = require_positive(kinematic_viscosity_m2_per_s, field); !ok) return fail(ok.error());
  // Compared in m2/s first: the product with 1e6 may overflow.
  const bool huge = kinematic_viscosity_m2_per_s > 1e-6 * highest_mm2_per_s;
  const double nu = huge ? highest_mm2_per_s : kinematic_viscosity_m2_per_s * 1e6;
  if (huge || nu < lowest_mm2_per_s) {
    return outside(field, fmt::format("{:.4g} m2/s", kinematic_viscosity_m2_per_s), "0.21 to 1e6 mm2/s (ASTM D341)",
                   "Check the viscosity and its unit");
  }
  return std::log10(std::log10(nu + 0.7 + std::exp(-1.47 - 1.84 * nu - 0.51 * nu * nu)));
}

void expect_shares(std::span<const ViscosityShare> shares) {
  FW_EXPECTS(!shares.empty());
  double sum = 0.0;
  for (const ViscosityShare& share : shares) {
    FW_EXPECTS(std::isfinite(share.kinematic_viscosity_m2_per_s) && std::isfinite(share.fraction));
    FW_EXPECTS(share.kinematic_viscosity_m2_per_s > 0.2099e-6 && share.fraction >= 0.0);
    sum += share.fraction;
  }
  FW_EXPECTS(std::abs(sum - 1.0) < 1e-9);
}

}  // namespace

Result<ViscosityLine> viscosity_line(const ViscosityPoint& at, double slope) {
  const auto z = lglg_z(at.kinematic_viscosity_m2_per_s, "kinematic_viscosity_m2_per_s");
  if (!z) return fail(z.error());
  if (const auto ok = require_positive(at.temperature_K, "temperature_K"); !ok) return fail(ok.error());
  if (const auto ok = require_positive(slope, "viscosity_slope"); !ok) return fail(ok.error());
  return ViscosityLine{.intercept = *z + slope * std::log10(at.temperature_K), .slope = slope};
}

Result<ViscosityLine> viscosity_line(const ViscosityPoint& first, const ViscosityPoint& second) {
  const auto z1 = lglg_z(first.kinematic_viscosity_m2_per_s, "first.kinematic_viscosity_m2_per_s");
  if (!z1) return fail(z1.error());
  const auto z2 = lglg_z(second.kinematic_viscosity_m2_per_s, "second.kinematic_viscosity_m2_per_s");
  if (!z2) return fail(z2.error());
  if (const auto ok = require_positive(first.temperature_K, "first.temperature_K"); !ok) return fail(ok.error());
  if (const auto ok = require_positive(second.temperature_K, "second.temperature_K"); !ok) return fail(ok.error());
  const double run = std::log10(second.temperature_K) - std::log10(first.temperature_K);
  const double slope = run == 0.0 ? 0.0 : (*z1 - *z2) / run;
  if (!(slope > 0.0)) {
    return invalid("second",
                   fmt::format("{:.4g} mm2/s at {:.1f} C and {:.4g} mm2/s at {:.1f} C",
                               first.kinematic_viscosity_m2_per_s * 1e6, first.temperature_K - 273.15,
                               second.kinematic_viscosity_m2_per_s * 1e6, second.temperature_K - 273.15),
                   "two temperatures, the hotter one with the lower viscosity", "Check the two readings");
  }
  return ViscosityLine{.intercept = *z1 + slope * std::log10(first.temperature_K), .slope = slope};
}

Result<double> kinematic_viscosity_m2_per_s(const ViscosityLine& line, double temperature_K) {
  if (const auto ok = require_positive(temperature_K, "temperature_K"); !ok) return fail(ok.error());
  FW_EXPECTS(std::isfinite(line.intercept) && std::isfinite(line.slope));
  const double lglg = line.intercept - line.slope * std::log10(temperature_K);
  double nu = 0.0;
  if (lglg < 0.8) {  // Z < 2e6; keeps the powers below from overflowing
    const double x = std::exp(std::numbers::ln10 * std::exp(std::numbers::ln10 * lglg)) - 0.7;
    nu = x - std::exp(-0.7487 + x * (-3.295 + x * (0.6119 - 0.3193 * x)));
  }
  if (lglg >= 0.8 || nu < lowest_mm2_per_s || nu > highest_mm2_per_s) {
    return outside("kinematic_viscosity",
                   lglg >= 0.8 ? fmt::format("above 1e6 mm2/s at {:.1f} C", temperature_K - 273.15)
                               : fmt::format("{:.4g} mm2/s at {:.1f} C", nu, temperature_K - 273.15),
                   "0.21 to 1e6 mm2/s (ASTM D341)", "Check viscosity and slope of the fuel");
  }
  return nu * 1e-6;
}

double roelands_viscosity_Pa_s(const UnderPressure& at) {
  const double eta0 = at.dynamic_viscosity_Pa_s;
  FW_EXPECTS(std::isfinite(eta0) && std::isfinite(at.exponent) && std::isfinite(at.rise_Pa));
  FW_EXPECTS(eta0 > 0.0 && at.rise_Pa > -1e8);
  const double rise = std::expm1(at.exponent * std::log1p(5.1e-9 * at.rise_Pa));
  return eta0 * std::exp((std::log(eta0) + 9.67) * rise);
}

double pressure_viscosity_per_Pa(double dynamic_viscosity_Pa_s, double exponent) {
  FW_EXPECTS(std::isfinite(dynamic_viscosity_Pa_s) && dynamic_viscosity_Pa_s > 0.0 && std::isfinite(exponent));
  return 5.1e-9 * exponent * (std::log(dynamic_viscosity_Pa_s) + 9.67);
}

double refutas_blend_m2_per_s(std::span<const ViscosityShare> shares) {
  expect_shares(shares);
  double number = 0.0;
  for (const ViscosityShare& share : shares) {
    number += share.fraction * (14.534 * std::log(std::log(share.kinematic_viscosity_m2_per_s * 1e6 + 0.8)) + 10.975);
  }
  return (std::exp(std::exp((number - 10.975) / 14.534)) - 0.8) * 1e-6;
}

double arrhenius_blend_m2_per_s(std::span<const ViscosityShare> shares) {
  expect_shares(shares);
  double sum = 0.0;
  for (const ViscosityShare& share : shares) sum += share.fraction * std::log(share.kinematic_viscosity_m2_per_s * 1e6);
  return std::exp(sum) * 1e-6;
}

}  // namespace fw::fuel
