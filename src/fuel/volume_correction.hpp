// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/required.hpp"
#include "base/result.hpp"

namespace fw::fuel {

/// Thermal expansion coefficient a15 [1/K] of petroleum at 15 C by density group.
///
///   rho15 <= 770            346.4228/rho15^2 + 0.4388/rho15     gasolines
///   rho15 <  787.5          -0.00336312 + 2680.3206/rho15^2     transition
///   rho15 <  838.5          594.5418/rho15^2                    kerosenes; most EN 590, ISO 4113
///   else                    186.9696/rho15^2 + 0.4862/rho15     fuel oils; most No. 2-D
///
/// rho15 [kg/m3]. Groups meet within 0.1 %, at 770 within 0.3 %. Precondition: finite, positive.
/// Validity: 653 to 1075 kg/m3 (checked by callers). Source: ASTM D1250-80 / API MPMS 11.1, table 54B.
/// Check: 835 -> 8.527259e-4.
[[nodiscard]] double expansion_15C_per_K(double density_15C_kg_per_m3);

/// Density of petroleum at atmospheric pressure over that at 15 C [-].
///
///   VCF = exp(-x (1 + 0.8 x)),  x = a15 (T - 15 C)
///
/// Validity: -18 to 90 C (from memory), smooth beyond. Precondition: finite arguments.
/// Source: ASTM D1250-80 / API MPMS 11.1, table 54B. Check: 835, 40 C -> 0.978552; 800, 60 C -> 0.957718.
[[nodiscard]] double volume_correction(double density_15C_kg_per_m3, double temperature_K);

/// The same by the edition based on 60 F, from the density at 60 F [-]: CTL = exp(-y (1 + 0.8 y)), y = a60 (T - 60 F),
/// a60 = K0/rho60^2 + K1/rho60 + K2 [1/F]. The temperature shift of the edition (0.0137 F) is left out, below 1e-5.
/// Validity: 610.6 to 1163.5 kg/m3. Errors: invalid_input not finite; outside_model density.
/// Source: API MPMS 11.1-2004 / ASTM D1250-04. Check: rho60 834.6043, 104 F -> 0.979011.
[[nodiscard]] Result<double> volume_correction_base_60(double base_density_kg_per_m3, double temperature_K);

/// Compressibility of petroleum for volume correction at low pressure [1/Pa], constant over pressure.
///
///   F = 1e-9 exp(-1.62080 + 0.00021592 t + (870960 + 4209.2 t)/rho15^2),  t [C]
///   rho(T, p) = rho0(T) / (1 - F (p - pe)),  pe the larger of vapour pressure and atmosphere
///
/// Runs 6 to 8 % above the tangent compressibility of stiffness.hpp for diesel: for volumes in the low-pressure
/// circuit, not for waves. Validity: 638 to 1074 kg/m3, -30 to 90 C, up to 10.3 MPa; +/- 6.5 % (range and uncertainty
/// from memory). Errors: invalid_input not finite; outside_model density or temperature.
/// Source: API MPMS 11.2.1M. Check: 835, 40 C -> 8.8559e-10 /Pa; 845, 20 C -> 7.5670e-10.
[[nodiscard]] Result<double> volume_compressibility_per_Pa(double density_15C_kg_per_m3, double temperature_K);

struct PressureRise {
  double density_15C_kg_per_m3 = required;
  double temperature_K = required;
  double rise_Pa = required;  ///< above pe
};

/// CPL = 1/(1 - F rise) [-], rise [Pa] above pe. Errors: as volume_compressibility_per_Pa; outside_model for a rise
/// outside 0 to 10.3 MPa. Check: 835, 40 C, 10 MPa -> 1.008935.
[[nodiscard]] Result<double> pressure_correction(const PressureRise& at);

}  // namespace fw::fuel
