// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "heat/loop.hpp"
#include "rail/return_heat.hpp"
#include "system/supply_model.hpp"

/// The high-pressure side of a line sheet, and the outer temperature loop between it and the supply.
namespace fw::system {

struct RailSide {
  rail::HighPressureSet set;
  std::vector<std::string> assumed;  ///< facts that a generic set stands in for, in words
  /// Pump displacement or nozzle flow stand in, sized for the engine's own power: what the set has to spare then
  /// follows from the sizing rule and says nothing of the pump or the injectors that are there.
  bool sized_to_engine = false;
  /// The sheet states the pump's displacement, or bore and stroke: what its plungers can take is known.
  bool filling_stated = false;
};

/// Takes what the sheet states; for the rest a generic set stands in: the eccentric one with three plungers or more,
/// the cam otherwise, scaled to the engine. Nozzles so that a rated shot takes the generic crank angle; displacement so
/// that 1.2 injected/(0.8 V_g n) = 0.86 (layouts, engine archetypes; typical) at rated power or torque peak, whichever
/// burns more per turn (our choice, no source); rail volume by cylinders.
/// A pump whose inlet class is `sucks` has a gear stage (layouts).
/// Errors: invalid_input for a sheet without cylinders, and those of rail::check_set under "high_side".
[[nodiscard]] Result<RailSide> rail_side(const LineSheet& sheet);

/// What the engine takes where the plungers cannot fill: the demand, cut to the charge that inlet pressure and gas
/// allow, or to what a pump that is too small can charge at all (EngineTake::well_fed). With a pump that is always fed
/// it is ConstantDemand. The slope is taken by a difference of 100 Pa.
class RailDemand final : public EngineLaw {
 public:
  /// Precondition: rail_side() made the set. `liquid` is the fuel at the inlet.
  RailDemand(rail::HighPressureSet set, const rail::RailLiquid& liquid);
  [[nodiscard]] EngineTake take(const hydraulics::EngineDemand& demand, const EngineInlet& inlet) const override;

 private:
  rail::HighPressureSet set_;
  rail::RailLiquid liquid_;
};

/// What the engine does with the fuel of one running point: the rail pressure it holds, and what it sends back.
struct EngineReturn {
  double rail_Pa = required;
  rail::ReturnHeat heat{};
};
/// The sustainable rail pressure at a speed and power (rail::capacity_point, with gaps 40 K warmer than the charge,
/// assumed; at idle no more than the idle pressure) and the heat of the return at that pressure (rail::return_heat).
/// Below 1 MPa the heat is that of 1 MPa: next to nothing. Errors: those of room rail; invalid_input for a speed or
/// power that is not positive.
[[nodiscard]] Result<EngineReturn> engine_return(const RailSide& side, const fuel::Fuel& fuel, EnginePoint engine,
                                                 double crank_rev_per_s, double power_W, double inlet_K,
                                                 const rail::PumpInlet& inlet);
/// The pump inlet as the supply at a running point leaves it; an absolute pressure of at least 1 kPa.
[[nodiscard]] rail::PumpInlet pump_inlet(const PointState& supply);

/// Supply, high-pressure side and heat at one engine point, made to agree.
struct TemperatureLoop {
  PointState supply{};
  rail::ReturnHeat engine{};
  heat::LoopState heat{};
  double rail_Pa = 0.0;          ///< held there
  double residual_K = 0.0;       ///< change of the inlet temperature in the last pass
  double heat_residual_W = 0.0;  ///< of the steady tank
  int passes = 0;
  bool converged = false;  ///< residual within 0.05 K in at most 20 passes
};
struct TemperatureLoopFacts {
  heat::FuelLoop loop{};
  double air_K = required;
  RunningPoint point{};  ///< its fuel temperature is the start of the search
};
/// Each pass: the supply with every leg at its temperature and the engine's take as RailDemand has it -> pressure and
/// gas at the pump inlet -> rail pressure held
/// -> return heat -> steady tank -> temperatures again. Legs towards the engine take the mean of tank and inlet, return
/// legs the mean of the return's ends. Errors: those of the rooms; invalid_input for an engine point without power
/// (crank).
[[nodiscard]] Result<TemperatureLoop> close_temperature_loop(const SupplyModel& model, const RailSide& side,
                                                             const fuel::Fuel& fuel, const TemperatureLoopFacts& facts,
                                                             const Run& run);

/// Power [W] at an engine point: rated, torque peak; no load and idle by their fuel (0.5 L/h per litre x n/n_idle, from
/// memory). Precondition: the model's solve gave `burned`.
[[nodiscard]] double power_of_burn_W(const rail::HighPressureSet& set, double burned_m3_per_s,
                                     double density_kg_per_m3);

}  // namespace fw::system
