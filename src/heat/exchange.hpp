// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/required.hpp"
#include "base/result.hpp"

/// Heat of a fuel system. Theory: docs/theory/heat.md. Pressures are absolute.
namespace fw::heat {

/// Temperature [K] at the end of a line in still or moving air:
///   T_out - Ta = (T_in - Ta) exp(-U pi D L/(m cp))
/// Errors: invalid_input. Source: heat balance of a plug flow. Check: OD 17 mm, 3 m, 40 L/h of D20, +60 K: U 8
/// -> 56.0897, U 25 -> 48.6058 K over the air.
struct LineCooling {
  double length_m = required;
  double outer_m = required;
  double coefficient_W_per_m2_K = required;  ///< U, outside area
};
struct FuelStream {
  double mass_kg_per_s = required;
  double heat_capacity_J_per_kg_K = required;
};
[[nodiscard]] Result<double> line_end_K(const LineCooling& line, const FuelStream& fuel, double in_K, double air_K);

/// Nusselt number [-] of a horizontal cylinder in still air (Churchill & Chu): {0.60 + 0.387 Ra^(1/6)/[1 +
/// (0.559/Pr)^(9/16)]^(8/27)}^2, Ra up to 1e12. Errors: invalid_input. Check: Ra 1e5, Pr 0.7 -> 7.7641.
[[nodiscard]] Result<double> still_cylinder_nusselt(double rayleigh, double prandtl);
/// Nusselt number [-] of a cylinder across the wind (Churchill & Bernstein), Re Pr above 0.2. Errors: invalid_input.
/// Check: Re 1e4, Pr 0.7 -> 53.328. Source of both: Incropera & DeWitt (from memory).
[[nodiscard]] Result<double> wind_cylinder_nusselt(double reynolds, double prandtl);

/// Power [W] of a cooler by effectiveness and NTU, air side so large that its capacity does not count unless given:
///   P = e C_min (T_in - T_air), counter flow.
/// Errors: invalid_input. Check: closed form, exchange_test.cpp.
struct Cooler {
  double conductance_W_per_K = 0.0;  ///< UA; 0: no cooler
  double air_W_per_K = 0.0;          ///< m cp of the air; 0: unlimited
};
[[nodiscard]] Result<double> cooler_W(const Cooler& cooler, const FuelStream& fuel, double in_K, double air_K);

/// Constant-property temperature changes [K], for code checks, not for predictions (fuel/stiffness.hpp integrates).
///   throttling (1 - a T) dp/(rho cp),  compression a T dp/(rho cp),  tank to return dp/(rho cp eta)
/// Check: a 6.5e-4, 350 K, 840, 2150, 180 MPa: 77.0 K; a 5.5e-4, 340 K, 860, 2100: 18.6 K; D20: 76.0785, 29.0770,
/// 123.712.
struct ConstantLiquid {
  double expansion_per_K = required;
  double density_kg_per_m3 = required;
  double heat_capacity_J_per_kg_K = required;
};
[[nodiscard]] Result<double> throttling_rise_K(const ConstantLiquid& liquid, double temperature_K, double drop_Pa);
[[nodiscard]] Result<double> compression_rise_K(const ConstantLiquid& liquid, double temperature_K, double rise_Pa);
[[nodiscard]] Result<double> path_rise_K(const ConstantLiquid& liquid, double rise_Pa, double efficiency);

}  // namespace fw::heat
