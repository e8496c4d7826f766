// SPDX-License-Identifier: Apache-2.0
#include "fuel/volume_correction.hpp"

#include <cmath>

#include <fmt/format.h>

#include "base/contract.hpp"

namespace fw::fuel {

double expansion_15C_per_K(double rho15) {
  if (rho15 <= 770.0) return 346.4228 / (rho15 * rho15) + 0.4388 / rho15;
  if (rho15 < 787.5) return -0.00336312 + 2680.3206 / (rho15 * rho15);
  if (rho15 < 838.5) return 594.5418 / (rho15 * rho15);
  return 186.9696 / (rho15 * rho15) + 0.4862 / rho15;
}

double volume_correction(double density_15C_kg_per_m3, double temperature_K) {
  FW_EXPECTS(std::isfinite(density_15C_kg_per_m3) && density_15C_kg_per_m3 > 0.0 && std::isfinite(temperature_K));
  const double x = expansion_15C_per_K(density_15C_kg_per_m3) * (temperature_K - 288.15);
  return std::exp(-x * (1.0 + 0.8 * x));
}

Result<double> volume_correction_base_60(double base_density_kg_per_m3, double temperature_K) {
  const auto rho = require_positive(base_density_kg_per_m3, "base_density_kg_per_m3");
  if (!rho) return fail(rho.error());
  const auto T = require_positive(temperature_K, "temperature_K");
  if (!T) return fail(T.error());
  const double rho60 = *rho;
  if (rho60 < 610.6 || rho60 > 1163.5) {
    return outside("base_density_kg_per_m3", fmt::format("{:.6g} kg/m3", rho60),
                   "610.6 to 1163.5 kg/m3 (API MPMS 11.1-2004)", "Check the density and its unit");
  }
  double a60 = 0.0;
  if (rho60 >= 838.3127) {
    a60 = 103.8720 / (rho60 * rho60) + 0.2701 / rho60;
  } else if (rho60 >= 787.5195) {
    a60 = 330.3010 / (rho60 * rho60);
  } else if (rho60 >= 770.3520) {
    a60 = 1489.0670 / (rho60 * rho60) - 0.00186840;
  } else {
    a60 = 192.4571 / (rho60 * rho60) + 0.2438 / rho60;
  }
  const double y = a60 * (1.8 * *T - 459.67 - 60.0);
  return std::exp(-y * (1.0 + 0.8 * y));
}

Result<double> volume_compressibility_per_Pa(double density_15C_kg_per_m3, double temperature_K) {
  const auto rho = require_positive(density_15C_kg_per_m3, "density_15C_kg_per_m3");
  if (!rho) return fail(rho.error());
  const auto T = require_positive(temperature_K, "temperature_K");
  if (!T) return fail(T.error());
  const double t = *T - 273.15;
  if (*rho < 638.0 || *rho > 1074.0) {
    return outside("density_15C_kg_per_m3", fmt::format("{:.6g} kg/m3", *rho), "638 to 1074 kg/m3 (API MPMS 11.2.1M)",
                   "Check the density and its unit");
  }
  if (t < -30.0 || t > 90.0) {
    return outside("temperature_K", fmt::format("{:.6g} C", t), "-30 to 90 C (API MPMS 11.2.1M)",
                   "Use the density at temperature and pressure instead");
  }
  return 1e-9 * std::exp(-1.62080 + 0.00021592 * t + (870960.0 + 4209.2 * t) / (*rho * *rho));
}

Result<double> pressure_correction(const PressureRise& at) {
  const auto compressibility = volume_compressibility_per_Pa(at.density_15C_kg_per_m3, at.temperature_K);
  if (!compressibility) return fail(compressibility.error());
  const auto rise = require_non_negative(at.rise_Pa, "rise_Pa");
  if (!rise) return fail(rise.error());
  if (*rise > 10.3e6) {
    return outside("rise_Pa", fmt::format("{:.4g} Pa", *rise), "0 to 10.3 MPa (API MPMS 11.2.1M)",
                   "Use the density at temperature and pressure instead");
  }
  return 1.0 / (1.0 - *compressibility * *rise);
}

}  // namespace fw::fuel
