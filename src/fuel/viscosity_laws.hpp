// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>

#include "base/required.hpp"
#include "base/result.hpp"

namespace fw::fuel {

/// Line of ASTM D341 through a liquid's kinematic viscosities: lg lg Z = A - slope lg T.
struct ViscosityLine {
  double intercept = required;  ///< A [-]
  double slope = required;      ///< Bv [-]
};

struct ViscosityPoint {
  double kinematic_viscosity_m2_per_s = required;
  double temperature_K = required;
};

/// Line through one viscosity and a slope.
///
///   Z = nu + 0.7 + exp(-1.47 - 1.84 nu - 0.51 nu^2),  nu [mm2/s];  A = lg lg Z + slope lg T
///
/// Validity: 0.21 to 1e6 mm2/s. The simple form of Z differs from the full one by at most 0.11 % for 0.5 to
/// 2.6 mm2/s. Errors: invalid_input not finite or not positive; outside_model viscosity.
/// Source: ASTM D341. Check: 2.60 mm2/s at 40 C and 1.08 at 100 C -> slope 4.056665, A 9.839198.
[[nodiscard]] Result<ViscosityLine> viscosity_line(const ViscosityPoint& at, double slope);

/// Line through two measured points. Errors: as above; invalid_input if the temperatures are equal.
[[nodiscard]] Result<ViscosityLine> viscosity_line(const ViscosityPoint& first, const ViscosityPoint& second);

/// Kinematic viscosity on the line [m2/s].
///
///   nu = (Z - 0.7) - exp(-0.7487 - 3.295 (Z - 0.7) + 0.6119 (Z - 0.7)^2 - 0.3193 (Z - 0.7)^3)
///
/// Errors: invalid_input temperature not positive; outside_model below 0.21 or above 1e6 mm2/s.
/// Source: ASTM D341. Check: the line of 2.60 and 1.08 -> 7.2925 mm2/s at 0 C, 4.0611 at 20 C.
[[nodiscard]] Result<double> kinematic_viscosity_m2_per_s(const ViscosityLine& line, double temperature_K);

struct UnderPressure {
  double dynamic_viscosity_Pa_s = required;  ///< eta0
  double exponent = required;                ///< Z [-]
  double rise_Pa = required;                 ///< p, counted from the pressure of eta0
};

/// Dynamic viscosity under pressure [Pa s] (Roelands, isothermal).
///
///   eta = eta0 exp{ [ln eta0 + 9.67] [(1 + 5.1e-9 p)^Z - 1] },  eta0 [Pa s], p [Pa]
///
/// p counts from the pressure of eta0. Z = 0.72 is fitted to n-dodecane (Huber, Laesecke, Perkins 2004), 20 to 100 C,
/// 10 to 200 MPa: rms 7.7 %, at most 16 %. Preconditions: eta0 > 0, p > -1e8, all finite.
/// Source: C. J. A. Roelands, thesis, Delft 1966 (form, from memory). Check: 2.2e-3, Z 0.72, 100 MPa -> 7.5007e-3;
/// 200 MPa -> 22.839e-3.
[[nodiscard]] double roelands_viscosity_Pa_s(const UnderPressure& at);

/// Slope d(ln eta)/dp at p = 0 [1/Pa], "Barus coefficient": 5.1e-9 Z (ln eta0 + 9.67). Never use exp(slope p) above
/// 50 MPa: it overpredicts. Check: 2.206e-3, 0.72 -> 13.1e-9.
[[nodiscard]] double pressure_viscosity_per_Pa(double dynamic_viscosity_Pa_s, double exponent);

struct ViscosityShare {
  double kinematic_viscosity_m2_per_s = required;
  double fraction = required;  ///< mass (Refutas) or volume (Arrhenius) [-], sum 1
};

/// Viscosity of a blend of petroleum liquids [m2/s] by mass fractions.
///
///   VBN = 14.534 ln ln(nu + 0.8) + 10.975,  VBN = sum w VBN,  nu = exp exp((VBN - 10.975)/14.534) - 0.8 [mm2/s]
///
/// Preconditions: every nu above 0.21 mm2/s, fractions >= 0 and of sum 1 to 1e-9, not empty.
/// Source: Refutas (constants from memory; see ASTM D7152). Check: 20 % (mass) 4.45 in 2.60 -> 2.8709 mm2/s.
[[nodiscard]] double refutas_blend_m2_per_s(std::span<const ViscosityShare> shares);

/// Viscosity of a blend of diesel and methyl ester [m2/s]: ln nu = sum x ln nu, x by volume. Same preconditions.
/// Source: Benjumea, Agudelo, Agudelo, Fuel 87 (2008) 2069 (abstract). Check: 20 % 4.45 in 2.60 -> 2.8950 mm2/s.
[[nodiscard]] double arrhenius_blend_m2_per_s(std::span<const ViscosityShare> shares);

}  // namespace fw::fuel
