// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <memory>
#include <span>
#include <vector>

#include "system/rail_side.hpp"

/// The outer loop between supply and high-pressure side at stated running points: what the engine takes follows from
/// its inlet, and every leg has the temperature of the fuel that flows in it.
namespace fw::system {

/// One running point, closed.
struct LoopPoint {
  std::vector<double> leg_K;  ///< by leg of the sheet
  double inlet_K = required;
  double return_K = required;               ///< where the return leaves the engine
  std::shared_ptr<const EngineLaw> demand;  ///< RailDemand at `inlet_K`; points of one temperature share it
};

struct EngineLoop {
  std::vector<LoopPoint> points;   ///< in the order of the running points
  std::vector<PointState> states;  ///< the supply of the last pass
  int passes = 0;
  double residual_K = 0.0;  ///< largest change of an inlet or return temperature in the last pass
  bool converged = false;   ///< some point solved, residual of the solved ones within 0.05 K in at most 12 passes
  /// Makes a case of the supply model the running point `i`, coupled.
  void couple(SupplyModel::Case& one, std::size_t i) const {
    one.leg_temperature_K = &points[i].leg_K;
    one.engine_law = points[i].demand.get();
  }
};

/// Each pass: the supply with the legs at their temperatures and RailDemand at the inlet's -> pressure and gas at the
/// pump inlet -> rail pressure held -> return heat -> temperatures where streams meet, weighed by their flow. A running
/// point's fuel temperature is that of its tanks. Where cranked or at rest the return is as warm as the inlet. Most
/// likely values.
///
/// Left out: heat that legs give to the air, which a running point does not state (the long run has it,
/// close_temperature_loop), and the change of density between streams that meet. Returns are adiabatic, which
/// over-predicts. Points of one engine point whose inlets are alike within 0.01 K share the return heat of the first.
/// Check: at a junction where the return meets the tank's fuel the inlet's heat is the sum of both (engine_loop_test).
/// Errors: those of the rooms fuel, rail and of SupplyModel::solve.
[[nodiscard]] Result<EngineLoop> close_engine_loop(const SupplyModel& model, const RailSide& side,
                                                   const fuel::Fuel& fuel, std::span<const RunningPoint> points,
                                                   const Run& run);

}  // namespace fw::system
