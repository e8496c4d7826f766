// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <vector>

#include "fuel/fuel.hpp"
#include "heat/exchange.hpp"
#include "numerics/function_ref.hpp"

/// The fuel's way round: tank, supply line, engine, return line, cooler, tank. The outer temperature loop.
namespace fw::heat {

struct TankHeat {
  double volume_m3 = required;            ///< of fuel at the start
  double dead_volume_m3 = 0.0;            ///< never used up
  double conductance_W_per_K = required;  ///< UA; standing 13 to 26, moving 32 to 65 for road tanks (typical)
};

struct FuelLoop {
  TankHeat tank{};
  LineCooling supply{};
  LineCooling back{};
  Cooler cooler{};  ///< in the return
};

/// What an engine point does to fuel that arrives at `inlet_K`; system makes it from rail and supply.
struct EngineHeat {
  double taken_kg_per_s = required;
  double returned_kg_per_s = required;  ///< below `taken`
  double return_K = required;           ///< where the return leaves the engine
};
using EngineHeatLaw = numerics::FunctionRef<Result<EngineHeat>(double inlet_K)>;

/// Temperatures along the way for a tank temperature.
struct LoopState {
  double tank_K = required;
  double inlet_K = required;  ///< at the high-pressure pump
  double engine_return_K = required;
  double tank_return_K = required;  ///< after line and cooler
  double cooler_W = 0.0;
  double heat_W = required;  ///< that the return brings into the tank, over the tank's temperature
  double inlet_viscosity_m2_per_s = required;
  Range range = Range::fitted;
  EngineHeat engine{};
};
/// Errors: invalid_input naming `loop...`; those of the engine's law and of the fuel.
[[nodiscard]] Result<LoopState> loop_state(const FuelLoop& loop, const fuel::Fuel& fuel, double tank_K, double air_K,
                                           EngineHeatLaw engine);

/// The tank temperature at which the return's heat equals what the tank gives to the air, with the level standing
/// still: where a long run ends. `residual_W` is the imbalance left. Errors: as loop_state; outside_model where the
/// loop would pass 200 C. Check: 2,000 W, UA 40 W/K: +50 K.
struct SteadyLoop {
  LoopState state{};
  double residual_W = 0.0;
  int iterations = 0;
};
[[nodiscard]] Result<SteadyLoop> steady_loop(const FuelLoop& loop, const fuel::Fuel& fuel, double air_K,
                                             EngineHeatLaw engine);

/// A stretch of a work day.
struct DayPart {
  double duration_s = required;
  double air_K = required;
  std::size_t engine_point = 0;        ///< which law
  std::optional<double> tank_W_per_K;  ///< UA while it lasts, e.g. standing
};
struct DaySample {
  double time_s = 0.0;
  double fuel_kg = 0.0;
  LoopState state{};
  std::size_t part = 0;
};
struct Day {
  std::vector<DaySample> samples;
  DaySample hottest{};                ///< highest pump inlet temperature
  bool ran_dry = false;               ///< the dead volume was reached: the day ends there
  double largest_step_error_K = 0.0;  ///< between one step and two halves
};
/// m cp dT/dt = m_ret cp (T_ret - T) - UA (T - T_air),  dm/dt = -(taken - returned), by fourth-order Runge-Kutta in
/// steps of `step_s`, halved until two steps agree with one within 0.01 K; a day without pause. The laws are asked at
/// each stage: they are slow functions, a day costs some thousand calls. Errors: as loop_state; invalid_input of the
/// parts. Check: 80 L, UA 40, 2,000 W: +32.5303 K after 1 h at constant mass.
[[nodiscard]] Result<Day> work_day(const FuelLoop& loop, const fuel::Fuel& fuel, double start_K,
                                   const std::vector<DayPart>& parts, const std::vector<EngineHeatLaw>& engines,
                                   double step_s = 60.0);

/// Smallest cooler [W/K] that keeps the pump inlet at or below a temperature in the steady loop; 0 where none is
/// needed. Errors: as steady_loop; outside_model where even a cooler of 1,000 W/K does not. Limit used by checks
/// elsewhere: fuel to the injectors at most 66 C (published engine application data).
[[nodiscard]] Result<double> cooler_need_W_per_K(FuelLoop loop, const fuel::Fuel& fuel, double air_K,
                                                 EngineHeatLaw engine, double highest_inlet_K);

}  // namespace fw::heat
