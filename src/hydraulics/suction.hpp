// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/required.hpp"
#include "base/result.hpp"
#include "fuel/liquid.hpp"

/// The suction side: pressure and head available at an inlet, and the air that comes out of the fuel there.
namespace fw::hydraulics {

struct SuctionLine {
  double atmosphere_Pa = required;
  double vent_drop_Pa = 0.0;
  double lift_m = required;  ///< inlet over the fuel's surface; negative: flooded
  double friction_drop_Pa = required;
  double acceleration_drop_Pa = 0.0;    ///< inertance x dQ/dt (pipe.hpp)
  double inlet_velocity_m_per_s = 0.0;  ///< at the flange; its head counts towards NPSH
};

struct InletState {
  double pressure_Pa = 0.0;  ///< absolute; never below vapour pressure
  double npsh_m = 0.0;       ///< available net positive suction head, 0 when starved
  bool starved = false;      ///< the line asks for less than vapour pressure: the flow cannot be had
  double missing_Pa = 0.0;   ///< by how much, 0 if not starved
};

/// p_inlet = p_atm - dp_vent - rho g lift - dp_friction - dp_acceleration, NPSHa = (p_inlet - p_v)/(rho g) + V^2/2g.
/// Errors: invalid_input naming `suction...` or the liquid's field (vapour pressure below 0 included).
/// Check: 70108.5 Pa, vent 2 kPa, lift 0.6 m, friction 9 kPa, 835 kg/m3, p_v 500 Pa: 54195.368 Pa, 6.5573698 m.
[[nodiscard]] Result<InletState> inlet_state(const SuctionLine& suction, const fuel::Liquid& liquid);

/// Share of the equilibrium release that has come out on the way to the inlet [-]: log-uniform 0.02 to 1 (assumed, no
/// rate is published), median 0.14.
inline constexpr double median_release_share = 0.14;

struct GasState {
  double saturation_pressure_Pa = 101325.0;  ///< air pressure under which the fuel took up its air (tank surface)
  double pressure_Pa = required;             ///< absolute, at the inlet
  double release_share = median_release_share;
};

struct FreeGas {
  double per_liquid = 0.0;     ///< r, gas volume per liquid volume at the local pressure [-]
  double void_fraction = 0.0;  ///< r/(1 + r) [-]
};

/// r = x L (p_s - p)/p, void = r/(1 + r), 0 at and above p_s. L: the liquid's Ostwald coefficient of air.
/// Validity: pressures well above vapour; the vapour itself is not counted, nor gas that entered at leaks.
/// Errors: invalid_input naming `gas...` (pressure not above 0, share outside 0 to 1), `liquid.air_solubility`.
/// Check: L 0.12, 101325 to 80000 Pa, x 1: 0.0319875, void 0.030996.
[[nodiscard]] Result<FreeGas> free_gas(const GasState& gas, const fuel::Liquid& liquid);

struct Mixture {
  double void_fraction = required;
  double pressure_Pa = required;
  double bulk_modulus_Pa = required;  ///< of the liquid
  double polytropic_exponent = 1.0;   ///< of the gas, 1 isothermal
};

/// Sound speed [m/s] of a bubbly liquid (Wood): 1/a^2 = rho_m [void/(n p) + (1 - void)/K], rho_m = rho (1 - void).
/// Errors: invalid_input naming `mixture...` (void 0 to below 1) or the liquid's field.
/// Check: void 0.030996, 80 kPa, 835 kg/m3, 1.4 GPa: 56.4285 m/s.
[[nodiscard]] Result<double> mixture_sound_speed_m_per_s(const Mixture& mixture, const fuel::Liquid& liquid);

}  // namespace fw::hydraulics
