// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/required.hpp"
#include "base/result.hpp"
#include "hydraulics/orifice.hpp"

/// The air over the fuel: atmosphere by altitude, the vent, and a vent that is blocked.
namespace fw::hydraulics {

struct Atmosphere {
  double pressure_Pa = 0.0;
  double temperature_K = 0.0;  ///< of the standard day
  double air_density_kg_per_m3 = 0.0;
  Range range = Range::fitted;
};

/// Standard atmosphere of the troposphere, z geopotential altitude:
///   p = 101325 (1 - 2.25577e-5 z)^5.25588,  T = 288.15 - 0.0065 z,  rho = p/(287.053 T)
/// Weather moves the pressure by +-3 % at sea level (from memory). Taking z as geometric altitude errs by under 0.06 %
/// of the pressure to 5,000 m.
/// Range: -500 to 5,000 m fitted, to 11,000 m extrapolated, beyond outside_model. Errors: invalid_input `altitude_m`.
/// Source: ISO 2533:1975, US Standard Atmosphere 1976. Check: tests/published/hydraulics/hyd_isa.csv, 3,000 m 70108.54
/// Pa.
[[nodiscard]] Result<Atmosphere> standard_atmosphere(double altitude_m);

/// A vent that lets nothing in: the ullage expands as fuel is burned, isothermal.
struct BlockedVent {
  double atmosphere_Pa = 101325.0;
  double ullage_m3 = 0.020;  ///< air over the fuel when the vent closed; assumed
  double burned_m3 = 0.005;  ///< fuel gone since; assumed
};

/// p = p_atm V_u/(V_u + burned) [Pa]. Vapour and air released from the fuel raise it: a lower bound.
/// Errors: invalid_input naming `blocked_vent...`. Check: the defaults give 81.06 kPa (p_atm 101.325 kPa).
[[nodiscard]] Result<double> blocked_vent_pressure_Pa(const BlockedVent& vent);

/// Pressure [Pa] on the fuel's surface under a working vent: atmosphere - vent drop of the net withdrawal.
/// Errors: as vent_drop; `atmosphere_Pa` not positive; outside_model `vent.bore_m` when the law would pump the tank
/// below a tenth of the atmosphere (choked flow, collapsing tank).
[[nodiscard]] Result<double> tank_surface_pressure_Pa(double atmosphere_Pa, const Vent& vent,
                                                      double withdrawal_m3_per_s);

}  // namespace fw::hydraulics
