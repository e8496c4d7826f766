// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "base/required.hpp"
#include "base/result.hpp"
#include "fuel/fuel.hpp"
#include "water/condensation.hpp"
#include "water/separator.hpp"

/// Water from the tank to the inlet of the high-pressure pump over days of work. Theory: docs/theory/water.md, section
/// Days of work.
namespace fw::water {

/// A tank as water sees it.
struct Tank {
  double volume_m3 = required;
  double floor_area_m2 = required;
  double pickup_height_m = required;  ///< mouth over the floor; 0: a sump or bottom draw, water comes first
};

/// Water [m3] that lies in the tank before the pickup draws it: floor area x height of the mouth (level ground, no cone
/// drawn up: a lower bound of what is drawn). Errors: invalid_input `tank...`.
[[nodiscard]] Result<double> water_under_pickup_m3(const Tank& tank);

enum class StageKind : std::uint8_t { pump, separator };
enum class Sensor : std::uint8_t { none, working, dead };

/// What changes the water on its way.
struct Stage {
  std::string id;
  StageKind kind = StageKind::separator;
  double dissipation_W_per_kg = required;  ///< pump
  Separator separator;                     ///< separator
  double bowl_m3 = required;               ///< separator: water it holds
  double probe_m3 = required;              ///< separator with a sensor: water when its electrodes are reached
  Sensor sensor = Sensor::none;
};

/// One way from the tank to the engine, and the share of the feed that takes it. Ways may share stages.
struct Path {
  double share = 1.0;
  std::vector<std::size_t> stages;  ///< in the order of the flow
};

struct Way {
  Tank tank;
  std::vector<Stage> stages;
  std::vector<Path> paths;  ///< shares sum to 1
};

/// How the vehicle is used, every day alike.
struct Duty {
  int days = 30;
  double run_s = required;  ///< a day
  double feed_m3_per_s = required;
  double burn_m3_per_s = required;      ///< at most the feed
  double night_K = required;            ///< fuel and air at the start of a day
  double warm_K = required;             ///< fuel at work, reached with a time constant of 1.5 h (assumed)
  Air day_air;                          ///< over the fuel
  double start_level = 0.7;             ///< share of the volume; filled to 0.95 when below 0.3 (assumed)
  std::optional<double> drain_every_s;  ///< bowls are drained by the calendar of running hours; not given: never
};

/// What comes in, and what is only known by order of magnitude.
struct WaterIn {
  double fuel_total = required;            ///< water in the fuel in the tank and in every fill [kg/kg]
  double slug_kg = 0.0;                    ///< poured in with the first fuel
  std::optional<int> slug_every_days;      ///< poured in again every so many days; not given: once
  double conductivity_S_per_m = required;  ///< of the free water
  double threshold_ohm = 100e3;            ///< of the sensors
  double interfacial_tension_N_per_m = 15e-3;
  double stirred_share = 0.1;  ///< of the layer at each start and fill and in each hour of running [-]
  double haze_drop_m = 10e-6;  ///< drops that cooling makes
  /// Undissolved through the inlet within one hour of running that does damage.
  double damaging_kg = std::numeric_limits<double>::infinity();
};

struct BowlEnd {
  std::string id;
  double held_kg = 0.0;
  double drained_kg = 0.0;
  std::optional<double> full_s;  ///< running time when it was first full
};

/// What became of the water. Times are running time.
struct DutyResult {
  double free_through_inlet_kg = 0.0;  ///< undissolved, each pass counted
  double slug_through_inlet_kg = 0.0;  ///< of it drawn as a body from the tank's floor
  double worst_undissolved = 0.0;      ///< at the inlet, mean of one step [kg/kg]
  double wet_share = 0.0;              ///< of the running time with over 1 mg/kg undissolved at the inlet [-]
  std::optional<double> first_draw_s;  ///< first body of water drawn from the floor
  std::optional<double> warned_s;      ///< first working sensor reached by water it can see
  std::optional<double>
      damaged_s;  ///< `damaging_kg` passed the inlet within one hour (hours counted from the first start)
  Blindness blindness = Blindness::none_fitted;  ///< why no sensor warned
  std::vector<BowlEnd> bowls;                    ///< by separator, in the order of the stages
  int frozen_starts = 0;  ///< starts at or below 0 C with water at the mouth or over 5 mL in a bowl
  double condensed_kg = 0.0;
  double layer_kg = 0.0;        ///< on the tank's floor at the end
  double in_kg = 0.0;           ///< with the fuel, the slug and the air
  double burned_kg = 0.0;       ///< gone with the burned fuel
  double in_fuel_kg = 0.0;      ///< in the tank's fuel at the end
  double balance_error = 0.0;   ///< (in - all that is accounted for)/in [-]
  Range range = Range::fitted;  ///< of the solubility
};

/// Steps through the days: night (cools, haze forms and settles, air condenses), start (layer stirred), work (fuel
/// drawn from a mixed tank, body of water above the mouth drawn first, pumps break drops, separators catch, return
/// mixes back). Explicit, first order in time: a step draws at most `step_share` of the tank. Mass closes to rounding.
/// A full bowl catches nothing. A dissolved share is in equilibrium at the tank's temperature at once (assumed); the
/// layer does not dissolve (assumed). Ice is counted, its plugging is not modelled.
/// Errors: invalid_input by field; those of the fuel's laws; outside_model for air beyond the vapour law.
struct DutyOptions {
  double step_share = 0.05;
};
[[nodiscard]] Result<DutyResult> run_days(const Way& way, const fuel::Fuel& fuel, const Duty& duty, const WaterIn& in,
                                          const DutyOptions& options = {});

}  // namespace fw::water
