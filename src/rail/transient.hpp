// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string_view>
#include <vector>

#include "base/run.hpp"
#include "rail/capacity.hpp"
#include "rail/pipe_group.hpp"

/// The high-pressure side over time: pump strokes, rail, waves in the pipes, injections, valves and controller.
namespace fw::rail {

/// One breakpoint of a profile; between breakpoints everything is linear, before the first and after the last constant.
struct ProfilePoint {
  double time_s = required;
  double crank_rev_per_s = required;
  double shot_kg = 0.0;   ///< main injection asked of each cylinder per cycle
  double pilot_kg = 0.0;  ///< pilot asked of each
  double set_Pa = required;
  PumpInlet inlet{};
};

enum class PipeModel : std::uint8_t {
  lumped,  ///< all pressed fuel in one volume
  waves,   ///< pump pipes and feed pipes with their waves
};

enum class Metering : std::uint8_t {
  constant_charge,  ///< the same mass into every stroke
  controlled,       ///< feed-forward and PI on the metering valve
};

/// What the control unit reckons the duration of a shot from.
enum class DurationFrom : std::uint8_t { rail_pressure, set_pressure };

/// Whether the profile waits at its second breakpoint until the rail reaches the enabling pressure.
enum class Hold : std::uint8_t { none, until_enabled };

/// Faults planted, and what a control unit does at key-off.
struct TransientFaults {
  bool relief_stuck_open = false;
  double metering_stiction = 0.0;       ///< of full travel [-]; the valve stands until the command is this far away
  double dump_m2 = 0.0;                 ///< Cd A opened while the engine stands; many control units empty the rail
  std::vector<double> nozzle_factor{};  ///< on each injector's Cd A; empty: 1
};

struct TransientOptions {
  double end_s = required;
  double step_s = 0.0;          ///< 0: from the grid, Courant number 0.9 at the relief pressure; lumped: 20 us
  std::size_t feed_cells = 10;  ///< of each feed pipe; pump pipes get cells of about the same length
  PipeModel pipes = PipeModel::waves;
  PipeFriction friction = PipeFriction::memory;
  Metering metering = Metering::controlled;
  DurationFrom duration_from = DurationFrom::rail_pressure;
  Hold hold = Hold::none;
  double charge_kg = 0.0;        ///< per stroke, of constant_charge
  double start_Pa = required;    ///< in the rail
  double pump_phase_rad = 0.0;   ///< of the pump shaft at the start: 0 has plunger 1 at its bottom
  double pilot_lead_rad = 0.35;  ///< crank angle of the pilot before the main injection; 20 degrees, assumed
  double sample_s = 1e-4;        ///< of the trace
  double controller_s = 5e-3;    ///< sampling of the controller; typical, no source
  double omega_per_s = 10.0;     ///< of the controller; lowered to 0.2 over the dead time
};

struct TraceSample {
  double time_s = 0.0;
  double rail_Pa = 0.0;
  double injector_Pa = 0.0;  ///< at the first injector
  double set_Pa = 0.0;
  double crank_rev_per_s = 0.0;
  double metered_kg_per_s = 0.0;  ///< past the metering valve
};

struct ShotRecord {
  double start_s = 0.0;
  std::size_t injector = 0;
  bool pilot = false;
  double asked_kg = 0.0;
  double energised_s = 0.0;
  double given_kg = 0.0;
};

/// Where the fuel went [kg].
struct MassLedger {
  double start_kg = 0.0;
  double end_kg = 0.0;
  double taken_kg = 0.0;  ///< by the plungers
  double injected_kg = 0.0;
  double control_kg = 0.0;
  double static_kg = 0.0;
  double spilled_kg = 0.0;  ///< relief, pressure valve, dump
  double leaked_kg = 0.0;   ///< plungers and delivery valves
  /// (end - start - taken + all that left)/start: rounding only.
  [[nodiscard]] double closure() const;
};

enum class TransientReason : std::uint8_t {
  reached_end,
  courant_exceeded,  ///< the step is too long for the waves: results stop there
};

struct TransientRun {
  std::vector<TraceSample> trace;
  std::vector<ShotRecord> shots;  ///< finished ones, in the order of their start
  MassLedger mass{};
  double end_s = 0.0;
  double step_s = 0.0;
  long steps = 0;
  double lowest_Pa = 0.0;  ///< in rail and pipes
  double highest_Pa = 0.0;
  std::optional<double> enabled_s;      ///< when the rail first reached the enabling pressure
  std::optional<double> relief_open_s;  ///< when the relief valve first opened
  TransientReason reason = TransientReason::reached_end;
  bool beyond_data = false;  ///< pressure above 250 MPa, where the fuel has no data
};

/// Runs a profile. Volumes: a gallery at the pump (a quarter of the pump pipes' volume, assumed), each rail, each
/// injector bore; pipes between them. Nodes take their pressure half a step ahead, as the pipes do. A plunger is an
/// ideal check valve over its chamber: it delivers what keeps chamber and gallery at one density, so its compression
/// needs no small step. Injections: trapezoid of rate shape on the pressure at the injector; the duration comes from
/// the rail pressure at their start, as a control unit does. The controller commands mass past the metering valve:
/// feed-forward (injection, return, K/V dp/dt) plus PI with clamped integral; the flow follows the root of the transfer
/// pressure and lags. Errors: check_set; invalid_input of profile (times rising, non-negative), options, faults;
/// too_large above 5e7 steps; cancelled. Allocates before the loop only. Deterministic. Check: six reference runs of
/// the high-pressure page (pulsation within 8 %), mass to 1e-10, closed forms of build-up and leak-down
/// (transient_test.cpp).
[[nodiscard]] Result<TransientRun> rail_transient(const HighPressureSet& set, const CapacityFuel& fuel,
                                                  const std::vector<ProfilePoint>& profile,
                                                  const TransientOptions& options, const TransientFaults& faults,
                                                  const Run& run);

/// How far a run stands from one on half the cells with twice the step.
struct TransientEstimate {
  TransientRun run;         ///< on the finer grid
  double rail_Pa = 0.0;     ///< root mean square difference of the traces
  double shot_share = 0.0;  ///< largest difference of a shot over its mass [-]
};
[[nodiscard]] Result<TransientEstimate> rail_transient_with_estimate(const HighPressureSet& set,
                                                                     const CapacityFuel& fuel,
                                                                     const std::vector<ProfilePoint>& profile,
                                                                     const TransientOptions& options,
                                                                     const TransientFaults& faults, const Run& run);

/// Each injector's quantity against the mean of all, from the shots that start after `from_s`.
struct InjectorDeviation {
  std::size_t injector = 0;
  double mean_kg = 0.0;
  double deviation = 0.0;  ///< over the mean of all [-]
  std::size_t shots = 0;
};
[[nodiscard]] std::vector<InjectorDeviation> injector_deviations(const TransientRun& run, double from_s, bool pilot);

/// Ready profiles of a set. Errors: not_found for another name.
///   "start"       cranking from an empty rail to idle
///   "idle"        steady idle
///   "step"        40 to 100 MPa at 1,500 rpm, no-load to half power
///   "pull"        idle to rated power in 2 s, held for 1 s
///   "supply-loss" rated power; the inlet falls from its start to 0.3 bar absolute within 0.5 s
///   "air-slug"    part load; 60 % gas at the inlet for 0.3 s
///   "relief-stuck"     a full pull with the relief valve stuck open
///   "metering-sticks"  idle with a metering valve that moves in steps of 6 % of its travel (assumed)
///   "stop"             idle, then standing
struct ReadyProfile {
  std::vector<ProfilePoint> points;
  double end_s = 0.0;
  double start_Pa = 0.0;
  Hold hold = Hold::none;
  TransientFaults faults{};
};
[[nodiscard]] Result<ReadyProfile> ready_profile(const HighPressureSet& set, const PumpInlet& inlet,
                                                 std::string_view name);

}  // namespace fw::rail
