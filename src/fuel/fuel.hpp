// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/required.hpp"
#include "base/result.hpp"
#include "fuel/liquid.hpp"

namespace fw::fuel {

/// Which density law a fuel follows.
enum class Family : std::uint8_t {
  petroleum,   ///< ASTM D1250-80, table 54B groups by density
  fame,        ///< fatty acid methyl ester
  paraffinic,  ///< hydrotreated or synthetic paraffin
  constant,    ///< user-given density and viscosity, any temperature
};

/// A fuel by the few numbers that make its properties. Every member may be overridden by a laboratory value.
struct Fuel {
  std::string id;
  std::string title;
  Family family = Family::petroleum;
  double density_15C_kg_per_m3 = required;
  double kinematic_viscosity_40C_m2_per_s = required;
  /// Slope of ASTM D341, lg lg Z = A - slope lg T [-].
  double viscosity_slope = required;
  double cloud_point_K = required;  ///< NaN: not stated
  double cfpp_K = required;         ///< NaN: not stated
  std::string source;               ///< source line of the default values
};

/// A preloaded grade: d975_1d, d975_2d, en590, en590_arctic2, fame_b100, hvo, jp8, iso4113. Values: fuel-properties
/// table of typical values (from memory unless the source line says otherwise). Errors: not_found with the nearest id.
[[nodiscard]] Result<Fuel> grade(std::string_view id);
[[nodiscard]] std::vector<std::string> grade_ids();

/// A fluid of one density [kg/m3] and kinematic viscosity [m2/s] at all temperatures, without vapour or dissolved air.
/// Errors: invalid_input naming the field.
[[nodiscard]] Result<Fuel> constant_fluid(double density_kg_per_m3, double kinematic_viscosity_m2_per_s);

/// Density [kg/m3] at atmospheric pressure.
///   petroleum: rho = rho15 exp(-x (1 + 0.8 x)), x = a15 (T - 15 C); a15 by group of rho15 (ASTM D1250-80, table 54B).
///   FAME: rho15 - 0.7420 dT + 3.845e-4 dT^2 (after Huber et al., Energy Fuels 23 (2009) 3790, mixture of esters);
///   paraffinic: rho15 - 0.70 dT (slope of n-hexadecane, from memory).
/// Range: 653 <= rho15 <= 1075 kg/m3, -18 to 90 C (from memory), extrapolated to -50 and 120 C, else outside_model.
/// Check: rho15 835, 40 C -> 817.091; -20 C -> 859.684; 845, 40 C -> 827.207.
struct Density {
  double density_kg_per_m3 = required;
  Range range = Range::fitted;
};
[[nodiscard]] Result<Density> density(const Fuel& fuel, double temperature_K);

/// Volume correction coefficient a15 [1/K] of ASTM D1250-80 table 54B at rho15 [kg/m3]; check 835 -> 8.527259e-4.
[[nodiscard]] double expansion_15C_per_K(double density_15C_kg_per_m3);

/// Kinematic viscosity [m2/s] by ASTM D341 (simple pair of Z and nu) from the value at 40 C and the slope.
/// Below the cloud point the number stands for the liquid without wax and says nothing of a filter.
/// Range: -40 to 100 C, extrapolated -50 to 120 C. Check: 2.60 at 40 C, slope 4.056665 -> 7.2925 at 0 C, 4.0611 at 20
/// C.
[[nodiscard]] Result<double> kinematic_viscosity_m2_per_s(const Fuel& fuel, double temperature_K);

/// Vapour pressure [Pa, absolute]: ln p[psia] = A - B/T_R; No. 2 distillate A 12.101, B 8907; kerosene 12.390, 8933 (US
/// EPA AP-42 ch. 7.1, from memory; 4 to 38 C, extrapolated above). Check: No. 2 at 40 C -> 170.3 Pa.
[[nodiscard]] double vapour_pressure_Pa(const Fuel& fuel, double temperature_K);

/// Ostwald coefficient of air [-] by ASTM D2779: L = 0.300 exp(0.639 (700 - T)/T ln(3.333 x 0.098)), corrected by
/// 7.70 (0.980 - d), d = rho15/1000; constants from memory. Check: d 0.835, 20 C -> 0.12417.
[[nodiscard]] double air_solubility(const Fuel& fuel, double temperature_K);

/// How cold a fuel is against its own wax.
enum class Cold : std::uint8_t { liquid, below_cloud_point, below_cfpp, not_stated };
[[nodiscard]] Cold cold_state(const Fuel& fuel, double temperature_K);

/// All that the low-pressure physics needs at temperature [K] and absolute pressure [Pa]. Compressibility is left out:
/// 0.1 % over 1 MPa. Errors: outside_model for a temperature that no correlation covers.
[[nodiscard]] Result<Liquid> liquid_at(const Fuel& fuel, double temperature_K, double pressure_Pa);

}  // namespace fw::fuel
