// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/input_check.hpp"
#include "base/required.hpp"
#include "base/result.hpp"
#include "fuel/fuel.hpp"
#include "rail/pipe_kernel.hpp"

/// The high-pressure side: pump, rail, pipes, injectors. Theory: docs/theory/rail.md. Pressures are absolute.
namespace fw::rail {

/// Fuel at one temperature as the high-pressure side sees it: closed forms, so that loops over time stay cheap.
///
///   K = K0 + n p      rho = rho0 (1 + n p/K0)^(1/n)      c = sqrt(K/rho)      ln mu = ln mu0 + alpha p + beta p^2
///
/// K is the isentropic modulus. Source: Murnaghan's form fits diesel to 350 MPa as well as Tait's (Bair, Fuel 135
/// (2014) 112, abstract). Validity: liquid, 0 to 250 MPa. Preconditions of the members: check_liquid() holds, p >= 0.
/// Check: rho0 802.8, K0 1.195e9, n 10, 180 MPa: 880.1 kg/m3, 2.995 GPa, 1844.8 m/s.
struct RailLiquid {
  double density_kg_per_m3 = required;  ///< rho0, at pressure 0
  double modulus_Pa = required;         ///< K0
  double modulus_slope = required;      ///< n [-]
  double viscosity_Pa_s = required;     ///< mu0
  double viscosity_per_Pa = 0.0;        ///< alpha
  double viscosity_per_Pa2 = 0.0;       ///< beta
  double heat_capacity_J_per_kg_K = required;
  double expansion_per_K = required;     ///< at atmospheric pressure
  double vapour_pressure_Pa = 500.0;     ///< lowest pressure in a pipe; order of a diesel at 60 C
  double temperature_K = 333.15;         ///< for which the numbers hold
  double free_density_kg_per_m3 = 817.;  ///< of returned volumes, at 40 C and atmosphere

  [[nodiscard]] double density_at(double pressure_Pa) const;      ///< kg/m3
  [[nodiscard]] double modulus_at(double pressure_Pa) const;      ///< Pa
  [[nodiscard]] double sound_speed_at(double pressure_Pa) const;  ///< m/s
  [[nodiscard]] double viscosity_at(double pressure_Pa) const;    ///< Pa s
  [[nodiscard]] double pressure_at(double density_kg_per_m3) const;
  /// Work of an ideal pump, integral of dp/rho [J/kg]. Check: 0 to 180 MPa at 60 C: 212.6 kJ/kg.
  [[nodiscard]] double pumping_J_per_kg(double from_Pa, double to_Pa) const;
};

/// p(rho) without a power or a root: c(rho) as a polynomial of degree seven through Chebyshev's points from the vapour
/// pressure to 260 MPa, then p = (rho c^2 - K0)/n; within 1e-9 up to 250 MPa. Below the density of the vapour pressure
/// p falls in proportion to rho: never negative. Check: liquid_test.cpp.
class WaveCurve {
 public:
  WaveCurve() = default;
  /// Precondition: check_liquid() holds.
  explicit WaveCurve(const RailLiquid& liquid);
  [[nodiscard]] double pressure_Pa(double density_kg_per_m3) const;
  [[nodiscard]] const kernel::Curve& curve() const { return curve_; }

 private:
  kernel::Curve curve_{};
};

/// Adds the first fault of the liquid's numbers to `check`, named "liquid...".
void check_liquid(InputCheck& check, const RailLiquid& liquid);

/// A fuel of room fuel in the closed form, and how far the form stands from it.
struct FittedLiquid {
  RailLiquid liquid;
  double density_deviation = 0.0;    ///< largest |form/room - 1| over the pressures [-]
  double modulus_deviation = 0.0;    ///< of the isentropic modulus [-]
  double viscosity_deviation = 0.0;  ///< [-]
  Range range = Range::fitted;
};

/// Fits K by least squares over eleven pressures from 0.1 MPa to `highest_Pa` along the isentrope that starts at
/// `temperature_K` and 0.1 MPa (the fuel warms by some 20 K to 180 MPa), anchors the density at their mean, and lays
/// ln mu through them by least squares; the viscosity is that of `temperature_K` throughout.
/// Errors: as the fuel room; invalid_input `highest_Pa` below 10 MPa; constant fluids: outside_model.
/// Check: rail/liquid_test.cpp, table of docs/theory/rail.md.
[[nodiscard]] Result<FittedLiquid> rail_liquid(const fuel::Fuel& fuel, double temperature_K, double highest_Pa);

/// Modulus [Pa] of liquid with free gas: 1/K = (1 - x)/K_l + x/(kappa p), x gas by volume at p of the whole.
/// Errors: invalid_input. Source: closure of the mixture, kappa 1 to 1.4. Check: 80 cm3 with 1 cm3 of air from 1 bar at
/// 20 bar, K_l 1.5 GPa: 0.913 GPa.
struct GasMix {
  double liquid_modulus_Pa = required;
  double volume_m3 = required;
  double free_gas_m3 = required;  ///< measured at `gas_measured_Pa`
  double gas_measured_Pa = 1e5;
  double polytropic = 1.2;
};
[[nodiscard]] Result<double> mixture_modulus_Pa(const GasMix& mix, double pressure_Pa);

}  // namespace fw::rail
