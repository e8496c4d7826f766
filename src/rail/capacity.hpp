// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string_view>
#include <vector>

#include "rail/set.hpp"

/// What a high-pressure side can hold at a speed: by the balance of masses m_pump(n, p) = m_injected + m_returned(p).
namespace fw::rail {

/// What stands in the way of more fuel.
enum class Limit : std::uint8_t {
  none,      ///< the point holds with margin
  supply,    ///< the pump's filling is cut by pressure or gas at its inlet
  pump,      ///< displacement, leak or dead volume
  injector,  ///< the longest injection at the highest pressure is used up
  pressure,  ///< the highest pressure is used up at a fixed duration
};
/// "supply", "pump" ...
[[nodiscard]] std::string_view name(Limit limit);

/// Fuel states of one question.
struct CapacityFuel {
  RailLiquid charge{};  ///< at the pump inlet
  RailLiquid gap{};     ///< in the sealing gaps; hotter
  PumpInlet inlet{};
};

struct CapacityPoint {
  double crank_rev_per_s = required;
  double demand_kg_per_s = required;     ///< injected at the power asked for
  double needed_Pa = required;           ///< lowest pressure at which the shot fits the injection window
  double sustainable_Pa = required;      ///< highest the pump holds, at most the rated pressure
  double delivered_kg_per_s = required;  ///< by the open pump at `sustainable_Pa`
  double returned_kg_per_s = required;
  double delivery_margin = required;  ///< delivered/(injected + returned) - 1 at the rated pressure; negative: short
  double leak_share = required;       ///< plungers and returns over the charge, at `sustainable_Pa` [-]
  double shaft_torque_N_m = required;
  double inlet_m3_per_s = required;  ///< what the pump takes there, housing included
  Limit limit = Limit::none;         ///< none where the rated pressure holds
  bool holds = false;                ///< sustainable >= needed
};

/// One point. `power_W` at the crankshaft with the set's specific consumption.
/// Errors: check_set, invalid_input of liquids, speed, power. Source: mass balance 1.2, 1.8, 5 of the high-pressure
/// page. Check: V8 at rated: 18.75 g/s.
struct CapacityQuestion {
  double crank_rev_per_s = required;
  double power_W = required;
};
[[nodiscard]] Result<CapacityPoint> capacity_point(const HighPressureSet& set, const CapacityFuel& fuel,
                                                   const CapacityQuestion& question);

/// How long an injector may be open.
struct Duration {
  enum class Kind : std::uint8_t {
    window,  ///< the set's crank angle
    fixed,   ///< an equivalent full-rate duration as calibrated
  };
  Kind kind = Kind::window;
  double full_rate_s = required;  ///< fixed only
};

/// The most fuel at a speed, and what ends it.
struct Ceiling {
  double rail_Pa = required;      ///< at the ceiling
  double uncapped_Pa = required;  ///< where pump and injectors balance if pressure had no limit below 350 MPa
  double injected_kg_per_s = required;
  double returned_kg_per_s = required;
  double power_W = required;
  Limit limit = Limit::pump;
};
/// m_inj = shots x CdA sqrt(2 rho (p - p_cyl)) x duration, m_ret = shots x control(p) + injectors x static(p), free
/// density. Where the balance lies below the rated pressure the pump ends it (supply if its filling is cut by the
/// inlet), else the rated pressure: `pressure` with a fixed duration, `injector` with the window.
/// Errors: as capacity_point. Check: the table of 1.8, capacity_test.cpp.
[[nodiscard]] Result<Ceiling> fuel_ceiling(const HighPressureSet& set, const CapacityFuel& fuel, double crank_rev_per_s,
                                           const Duration& duration = {});

/// A grid of points, row by row of power.
struct CapacityMap {
  std::vector<double> crank_rev_per_s;
  std::vector<double> power_W;
  std::vector<CapacityPoint> points;  ///< [power][speed]
};
struct MapGrid {
  int speeds = 40;
  int powers = 40;
  double lowest_rev_per_s = required;
  double highest_rev_per_s = required;
  double highest_W = required;  ///< the lowest is highest/powers
};
/// Errors: as capacity_point; invalid_input of the grid (1 to 1000 each).
[[nodiscard]] Result<CapacityMap> capacity_map(const HighPressureSet& set, const CapacityFuel& fuel,
                                               const MapGrid& grid);

/// What another pump or other injectors buy at a speed.
struct SwapEffect {
  Ceiling before{};
  Ceiling after{};
  double ceiling_ratio = 1.0;
  double inlet_before_m3_per_s = required;
  double inlet_after_m3_per_s = required;  ///< whether the supply feeds it is for the supply to say
};
[[nodiscard]] Result<SwapEffect> swap_effect(const HighPressureSet& before, const HighPressureSet& after,
                                             const CapacityFuel& fuel, double crank_rev_per_s,
                                             const Duration& duration = {});

/// Demand by the worked rule of the trade: shots, control volume, static leak, and a margin (free volumes).
/// Check: 300 kW at 3000 rpm: 93.75 mg, 30.39 cm3/s.
struct WorkedDemand {
  double shot_kg = required;
  double rail_m3_per_s = required;
};
[[nodiscard]] Result<WorkedDemand> worked_demand(const HighPressureSet& set, const RailLiquid& liquid,
                                                 const CapacityQuestion& question, double margin = 0.10);

}  // namespace fw::rail
