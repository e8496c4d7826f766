// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "base/required.hpp"
#include "base/result.hpp"
#include "debris/iso_code.hpp"
#include "fuel/liquid.hpp"

/// Cleaning a tank by circulation, flushing lines, and how to know that a part is clean.
namespace fw::debris {

/// A tank circulated through a filter at constant volume, with dirt coming in.
struct KidneyLoop {
  double volume_m3 = required;
  double flow_m3_per_s = required;
  double efficiency = required;  ///< at the size looked at, > 0
  double source_per_s = 0.0;     ///< particles coming in (or kg: any additive amount)
};
/// Concentration it ends at [1/m3]: S/(Q E).
/// Errors of all functions of the loop: invalid_input `loop...`. Check: 100 L, 5 L/min, beta 75, 1e5/min -> 20.270/mL.
[[nodiscard]] Result<double> final_concentration_per_m3(const KidneyLoop& loop);
/// Concentration [1/m3] after a time: C_inf + (C0 - C_inf) exp(-Q E t/V). Check: from 40000/mL, 60 min -> 2091.98/mL.
[[nodiscard]] Result<double> concentration_per_m3(const KidneyLoop& loop, double start_per_m3, double time_s);

/// Time to a target.
struct CleanUpTime {
  double turnovers = required;  ///< Q t/V = ln((C0 - C_inf)/(C - C_inf))/E
  double time_s = required;
  /// Real tanks short-circuit: two to three times the computed time (common practice, no source).
  double practical_low_s = required;
  double practical_high_s = required;
};
/// Errors: outside_model `target_per_m3` at or below what comes in keeps up; 0 time when already there.
/// Check: 40000 -> 40/mL: 6.91467 turnovers at beta 1000, 13.81551 at 2; 100 L at 5 L/min 138.29 min; with ingress
/// above, 160/mL after 114.657 min.
[[nodiscard]] Result<CleanUpTime> time_to(const KidneyLoop& loop, double start_per_m3, double target_per_m3);

/// Turnovers from one code to another: the worst of the sizes given in both, from the upper bound of the start to the
/// upper bound of the target. Errors: invalid_input `target` better known than `start` at no size; loop errors.
struct CleanUpToCode {
  CleanUpTime time;
  int governing_entry = 0;  ///< 0, 1, 2
};
/// Efficiency per entry (4, 6, 14 um(c)).
[[nodiscard]] Result<CleanUpToCode> time_to_code(const KidneyLoop& loop, std::span<const double> efficiencies,
                                                 const IsoCode& start, const IsoCode& target);

/// A tank as stirred parts in a row plus a dead part that the circulation reaches only by slow exchange.
struct StirredTanks {
  KidneyLoop loop;
  int in_row = 1;                  ///< 1: one stirred volume; more: nearer to displacement
  double dead_share = 0.0;         ///< of the volume [-]
  double exchange_m3_per_s = 0.0;  ///< between the dead part and the first stirred one
};
/// Time [s] until the mean of the whole tank is at the target, by integration of the linear system. Without source.
/// Errors: invalid_input `tanks...`; outside_model when the dead part alone keeps it above the target.
[[nodiscard]] Result<double> time_with_dead_volume_s(const StirredTanks& tanks, double start_per_m3,
                                                     double target_per_m3);

/// Flow that makes a flush of a bore turbulent.
struct Flush {
  double speed_m_per_s = required;
  double flow_m3_per_s = required;
};
/// v = Re nu/D. ISO 23309 asks for Re above 4000 and more than twice the service flow.
/// Errors: invalid_input `bore_m`, `kinematic_viscosity_m2_per_s`, `reynolds`.
/// Check: 8 mm, 2.5 mm2/s -> 1.250 m/s, 3.770 L/min; 10 mm -> 1.0 m/s, 4.71; 8 mm, 4 mm2/s -> 2.0 m/s, 6.03.
[[nodiscard]] Result<Flush> flush_flow(double bore_m, double kinematic_viscosity_m2_per_s, double reynolds = 4000.0);
/// Reynolds number of a flow in a bore [-]. Check: 150 L/h, 8 mm, 2.5 mm2/s -> 2653.
[[nodiscard]] Result<double> reynolds(double flow_m3_per_s, double bore_m, double kinematic_viscosity_m2_per_s);

/// What stands in the way of a flush or a circulation, worst first.
enum class FlushCaution : std::uint8_t {
  light_fuel_in_unrated_equipment,  ///< refused: petrol mixture in a cart not rated for it
  flash_point_unknown,              ///< treated as a petrol mixture until measured
  laminar,                          ///< Re at or below 4000: debris stays
  below_twice_service_flow,
  bond_and_ground,  ///< fine filters charge fuel: bond cart, filter and tank
};
[[nodiscard]] std::string_view sentence(FlushCaution caution);

/// A flush as planned.
struct FlushPlan {
  double bore_m = required;
  double flow_m3_per_s = required;
  double service_flow_m3_per_s = required;
  double kinematic_viscosity_m2_per_s = required;
  /// NaN: not measured. Below 55 C (EN 590 demands more) the fuel is taken for a mixture with petrol or kerosene.
  double flash_point_K = required;
  bool equipment_rated_for_petrol = false;
  bool filter_in_circuit = true;
};
/// Cautions of a plan. Errors: conflict `plan.equipment_rated_for_petrol` when the flush must not be done: a light or
/// unknown fuel in equipment not rated for it; invalid_input `plan...`.
[[nodiscard]] Result<std::vector<FlushCaution>> judge_flush(const FlushPlan& plan);

/// Acceptance by decay: extractions repeated until the last gives at most a tenth of the sum, at most six.
struct Decay {
  double last_share = required;  ///< a_n/sum [-]
  bool passed = false;
  bool another_allowed = false;  ///< not passed and fewer than six done
  /// Geometric model r = a_n/a_(n-1): what further extractions would still give, in the unit of the input; empty with
  /// one extraction or r >= 1. What adheres or is trapped is not seen: a lower bound.
  std::optional<double> remaining;
  std::optional<double> ratio;
};
/// Source: ISO 16232 / VDA 19.1 (from memory). Errors: invalid_input `extracted`: empty, negative, over six, all 0.
/// Check: 100, 30, 9 -> 6.475 %, passes; remaining 3.857.
[[nodiscard]] Result<Decay> judge_decay(std::span<const double> extracted);

/// Whether two consecutive samples are both at the target at every size the target names.
/// Errors: conflict `samples`: fewer than two, or a size of the target not counted.
[[nodiscard]] Result<bool> two_samples_at_target(std::span<const IsoCode> samples, const IsoCode& target);

}  // namespace fw::debris
