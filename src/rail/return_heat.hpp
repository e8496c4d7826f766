// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fuel/fuel.hpp"
#include "rail/capacity.hpp"

/// What the high-pressure side does to the fuel that it sends back.
namespace fw::rail {

struct ReturnHeat {
  double taken_kg_per_s = required;  ///< at the pump inlet, housing flow included
  double injected_kg_per_s = required;
  double returned_kg_per_s = required;
  double return_K = required;      ///< mixed
  double throttled_K = required;   ///< of fuel that leaves the rail or a gap
  double housing_K = required;     ///< of the flow through the pump housing
  double throttling_W = required;  ///< heat in the throttled flows against their inlet state, m times pump work
  double pump_loss_W = required;
  Range range = Range::fitted;
};

/// At a rail pressure that the set holds with the power asked for: control and static flow, plunger leak, and metered
/// surplus none (inlet metering). Compression from `inlet_K` is isentropic, leaks are throttled to the atmosphere at
/// constant enthalpy, the housing flow takes the pump's loss: hydraulic power (1/eta - 1). Adiabatic: over-predicts.
/// Errors: as capacity_point and the fuel room; invalid_input `rail_Pa`.
/// Source: section 9 of the high-pressure page. Check: 4.67 cm3/s, rho 880, 180 MPa: 874 W (return_heat_test.cpp).
struct ReturnQuestion {
  double crank_rev_per_s = required;
  double power_W = required;
  double rail_Pa = required;
  double inlet_K = required;
  PumpInlet inlet{};
};
[[nodiscard]] Result<ReturnHeat> return_heat(const HighPressureSet& set, const fuel::Fuel& fuel,
                                             const ReturnQuestion& question);

/// Heat [W] of a flow throttled from a rail pressure to the atmosphere, against pump work: m integral dp/rho.
[[nodiscard]] Result<double> throttled_W(const RailLiquid& liquid, double mass_kg_per_s, double rail_Pa);

}  // namespace fw::rail
