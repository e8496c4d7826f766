// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/stated.hpp"
#include "fuel/fuel.hpp"
#include "hydraulics/tee.hpp"

/// The line sheet: the ordered description of a fuel system from tank to injectors and back, as values.
///
/// Heights are metres over the inside of the tank floor, up. Pressures that a part is set to are over ambient
/// (gauge) unless the part refers them to its own inlet. Every number is a `Stated`; physics sees only its draws.
namespace fw::system {

/// What a part is. The kind decides which of the optional blocks of `Part` it must carry.
enum class PartKind : std::uint8_t {
  tube,         ///< rigid or plastic pipe: Line
  hose,         ///< flexible line: Line
  fitting,      ///< elbow, tee, bend as a loss of its own: Fitting
  joint,        ///< quick connector, stem, swivel: a short true bore between neighbours: Joint
  strainer,     ///< sock or screen in the tank: Medium
  separator,    ///< water-separating prefilter: Medium
  filter,       ///< particle filter: Medium
  heater,       ///< fuel heater, drop negligible unless a Medium is given
  cooler,       ///< return cooler: Medium
  thermostat,   ///< thermal return valve, a Medium if its drop matters
  hand_primer,  ///< two check valves in series with the flow: Valve
  check,        ///< check valve: Valve
  relief,       ///< in-line relief or overflow valve: Valve
  regulator,    ///< holds the pressure at its place by spilling to the tank: Valve
  orifice,      ///< Orifice
  shut_off,     ///< cock or solenoid valve, open unless a fault shuts it: Joint or Medium
  selector,     ///< tank selector: Medium
  sump,         ///< draw box under the tank: a place, no loss
  pump,         ///< electric, engine-driven or hand pump: Pump
  resistance,   ///< anything with one known drop at one flow: Medium
  stem,         ///< hose stem, barb, nipple or swivel by its true bore: Passage
  connector,    ///< push-on quick connector by its true bore: Passage
  banjo,        ///< banjo bolt: Banjo
  gap,          ///< annular clearance round a plunger, spool or shaft: Gap
  short_tube,   ///< sharp-edged drilling a few bores long: ShortTube
};

[[nodiscard]] std::string_view name(PartKind kind);
[[nodiscard]] std::optional<PartKind> part_kind_named(std::string_view text);

/// A straight or gently bent run of one bore.
struct Line {
  Stated bore_m;
  Stated length_m;
  Stated roughness_m;   ///< not given: law of the kind (tube 0.0015 mm, hose 0.03 mm, common practice)
  int bends = 0;        ///< 90 degree bends of r/d 4 in this run
  int joints = 0;       ///< stems or quick connectors in this run
  Stated joint_bore_m;  ///< through-bore of each; required when joints > 0
  std::optional<Stated> bend_diameter_m;  ///< a long arc: 2 x bend radius; not for short elbows
  std::string hose_kind;                  ///< "J30", "100R5", ... when the bore was stated as a dash size
  std::optional<Stated> vacuum_Pa;        ///< hose: vacuum it bears without closing, over 0
};

/// One fitting by the 2-K or 3-K law of hydraulics/fittings.hpp.
struct Fitting {
  std::string law;  ///< id of the fitting, e.g. "elbow-90-threaded"
  Stated bore_m;
  int count = 1;
};

/// A short passage of bore `bore_m` in a line of the neighbours' bore.
struct Joint {
  Stated bore_m;
  Stated line_bore_m;  ///< not given: bore of the nearest line in the leg
  int count = 1;
};

/// Water sensing at a bowl.
enum class WaterSensor : std::uint8_t { not_stated, none, wired, unplugged };

/// A medium with a stated clean drop: filters, strainers, coolers, heaters, selectors.
struct Medium {
  Stated clean_drop_Pa;  ///< at the stated flow and liquid
  Stated at_flow_m3_per_s;
  double at_kinematic_viscosity_m2_per_s = 2.7e-6;
  double at_density_kg_per_m3 = 817.09;
  Stated quadratic_share;                  ///< share of the clean drop that is quadratic in the flow, 0 to 1
  std::optional<Stated> terminal_drop_Pa;  ///< drop at end of life at the same flow and liquid
  std::optional<Stated> rated_flow_m3_per_s;
  std::optional<Stated> rating_m;              ///< particle size as printed
  std::optional<Stated> capacity_kg;           ///< of test dust held at the terminal drop
  std::optional<Stated> bypass_crack_Pa;       ///< bypass valve round the medium
  std::optional<Stated> bypass_leak_m3_per_s;  ///< past a bypass or seal that should be shut
  Stated bypass_leak_drop_Pa;                  ///< drop that leak is stated at
  WaterSensor sensor = WaterSensor::not_stated;
  std::optional<Stated> bowl_m3;       ///< separator: water its bowl holds
  std::optional<Stated> sensor_at_m3;  ///< water in the bowl when it reaches the sensor's electrodes
};

/// A sprung poppet or ball on a conical seat (hydraulics/check_valve.hpp).
struct Spring {
  Stated seat_m;  ///< bore of the seat
  Stated cone_half_angle_rad;
  Stated preload_N;
  Stated rate_N_per_m;
  Stated lift_m;  ///< to its stop
};

/// A one-way valve: by crack and drop; a check also by the bore it has when open, or by its spring.
struct Valve {
  Stated crack_Pa;  ///< check: drop at which it opens; relief and regulator: set over its reference
  Stated drop_Pa;   ///< drop above crack at `at_flow`; relief and regulator: rise of the held pressure at that flow
  Stated at_flow_m3_per_s;
  Stated hysteresis_Pa;               ///< relief, regulator: closes that much below opening; not given: 0
  bool balanced = false;              ///< relief: what stands behind it does not add to its set
  std::optional<Stated> open_bore_m;  ///< check: orifice it becomes when open, instead of `drop_Pa`
  std::optional<Spring> spring;       ///< check: instead of all others
};

struct Orifice {
  Stated diameter_m;
};

/// A short true bore between two lines, with the change of bore on both sides (hydraulics/size_change.hpp).
struct Passage {
  Stated bore_m;
  Stated length_m;      ///< not given: 30 mm, typical
  bool angled = false;  ///< connector only: with a 90 degree elbow
};

/// Sharp edges at both ends, no lines beside it counted: they have their own shoulders.
struct ShortTube {
  Stated bore_m;
  Stated length_m;
};

struct Banjo {
  Stated bolt_bore_m;
  Stated hole_bore_m;
  int holes = 2;
};

struct Gap {
  Stated diameter_m;
  Stated clearance_m;  ///< radial, when centred
  Stated length_m;
  Stated eccentricity;  ///< [-] 0 centred to 1 touching; not given: 0.5, assumed
};

/// What a pump does when it does not turn.
enum class Stopped : std::uint8_t { unknown, passes, bypass, blocks };
/// Where a pump's surplus goes.
enum class Surplus : std::uint8_t { unknown, to_own_inlet, to_tank };
/// What a pump's relief measures its set against.
enum class ReliefReference : std::uint8_t { unknown, own_inlet, tank };
/// What turns it.
enum class Drive : std::uint8_t { electric, engine, hand };

[[nodiscard]] std::string_view name(Stopped stopped);
[[nodiscard]] std::string_view name(Surplus surplus);
[[nodiscard]] std::string_view name(ReliefReference reference);
[[nodiscard]] std::string_view name(Drive drive);

/// The wire of an electric pump, battery to motor and back (hydraulics/wire.hpp). Stands instead of
/// `harness_resistance_ohm`.
struct Wiring {
  Stated area_m2;                             ///< of the conductor
  Stated length_m;                            ///< out and back together
  Stated temperature_K;                       ///< not given: 80 C
  int contacts = 6;                           ///< terminals, rings, crimps on the way; typical
  Stated contact_ohm;                         ///< each; not given: 3 mOhm
  Stated relay_ohm;                           ///< not given: 4 mOhm
  std::optional<Stated> fuse_A;               ///< rating
  std::optional<Stated> fuse_from_battery_m;  ///< length of unprotected wire
  std::optional<bool> engine_space;           ///< runs through the engine space, where it is hot
};

/// What takes the current off an electric pump.
struct CutOff {
  bool key = false;    ///< the key turned off
  bool stall = false;  ///< the engine standing: oil pressure, speed signal, control unit
  bool crash = false;  ///< an inertia switch or the crash signal
};
/// Who notices that a pump died.
enum class Watch : std::uint8_t { not_stated, none, gauge, alarm };

/// A pump by exactly one of: displacement (with motor or engine ratio), curve points, or free flow with slope.
struct Pump {
  Drive drive = Drive::electric;
  // Displacement pump (Wilson): needs displacement, slip; electric adds the motor.
  std::optional<Stated> displacement_m3;       ///< per revolution
  std::optional<Stated> slip;                  ///< Cs [-]
  std::optional<Stated> viscous_drag;          ///< Cd [-]
  std::optional<Stated> friction_share;        ///< Cf [-]
  std::optional<Stated> friction_torque_N_m;   ///< Tc
  std::optional<Stated> motor_constant_V_s;    ///< ke = kt
  std::optional<Stated> motor_resistance_ohm;  ///< Ra
  std::optional<Stated> harness_resistance_ohm;
  std::optional<Wiring> wiring;
  std::optional<Stated> speed_ratio;  ///< engine drive: pump revolutions per crank revolution
  // Turbine pump: dead head and free flow at the rated voltage.
  std::optional<Stated> dead_head_Pa;
  std::optional<Stated> turbine_free_flow_m3_per_s;
  // Any pump by the points of its falling curve at the rated voltage or speed, flows rising; at least 2.
  struct Point {
    Stated flow_m3_per_s;
    Stated rise_Pa;
  };
  std::vector<Point> curve;
  // Any pump by two points: free flow, and flow at a rise.
  std::optional<Stated> free_flow_m3_per_s;
  std::optional<Stated> flow_at_rise_m3_per_s;
  std::optional<Stated> at_rise_Pa;
  double rated_voltage_V = 13.8;
  // Its valves.
  std::optional<Stated> set_Pa;                 ///< relief or built-in regulator, over its reference
  std::optional<Stated> set_hysteresis_Pa;      ///< closes that much below opening; not given: 0
  std::optional<Stated> set_slope_Pa_s_per_m3;  ///< rise of the held pressure per flow spilled
  ReliefReference relief_reference = ReliefReference::unknown;
  Surplus surplus = Surplus::unknown;
  std::string surplus_tank;  ///< id of the tank that takes the surplus; "": the one its leg draws from
  Stopped stopped = Stopped::unknown;
  std::optional<Stated> stopped_crack_Pa;  ///< bypass check, or orifice of a turbine: crack
  std::optional<Stated> stopped_drop_Pa;   ///< and drop above crack at 150 L/h
  std::optional<Stated> current_A;         ///< at the working point, if stated
  bool running = true;                     ///< planted faults stop it
  std::optional<CutOff> cut_off;           ///< electric; not given: not stated
  Watch watch = Watch::not_stated;
};

/// Where a part hangs; a check on a place without its fact is not known.
struct Place {
  std::string where;  ///< "frame rail inside", "engine", ... as typed
  std::optional<Stated> over_ground_m;
  std::optional<Stated> to_exhaust_m;
  std::optional<bool> wheel_throw;  ///< in the plane of a wheel's throw
  std::optional<bool> shield;
  std::optional<Stated> service_s;  ///< time to change or drain it
  std::string clamp;                ///< kind of clamps, as typed
  std::optional<Stated> clamp_spacing_m;
};

/// What holds a valve or a shut-off where it should not be.
enum class Stuck : std::uint8_t { no, open, shut };

/// What is wrong with a part, as found or as planted (planted_fault.hpp).
struct Condition {
  bool spent = false;                    ///< medium: at its terminal drop, whatever the running point says
  std::optional<Stated> plugged;         ///< medium: drop over its clean drop, at its flow and liquid [-], >= 1
  std::optional<Stated> pores_left;      ///< medium that collapsed: linear part of its loss that is left [-], 0 to 1
  Stuck stuck = Stuck::no;               ///< valve, relief of a pump, shut-off
  std::optional<Stated> gap_m;           ///< relief stuck open: bore of the sharp orifice that stays open
  std::optional<Stated> bore_left;       ///< kinked or blocked line: share of its bore at the narrowest place [-]
  std::optional<Stated> air_leak_m;      ///< hole to the outside: bore of the equivalent orifice
  std::optional<Stated> bad_ground_ohm;  ///< electric pump: added to its return
  std::optional<Stated> set_factor;      ///< relief, regulator, pump: factor on the set as stated [-]
};

struct Part {
  std::string id;     ///< unique in the sheet; names the draws of its numbers
  std::string title;  ///< for people; the id if not given
  PartKind kind = PartKind::resistance;
  Origin origin;
  std::optional<Stated> end_height_m;  ///< height of its outlet; not given: as the part before
  std::optional<Stated> end_along_m;   ///< position of its outlet along the vehicle, forwards; not given: as before it
  std::string port;                    ///< test port at its outlet: "V1", "P3", ...
  std::string catalog_id;              ///< entry it was taken from, if any
  std::string housing;                 ///< neighbours in one housing share its name; "" stands alone
  bool bypassed = false;               ///< still there, not in the flow: drawn thin and crossed
  Place place;
  Condition condition;

  std::optional<Line> line;
  std::optional<Fitting> fitting;
  std::optional<Joint> joint;
  std::optional<Medium> medium;
  std::optional<Valve> valve;
  std::optional<Orifice> orifice;
  std::optional<Passage> passage;
  std::optional<Banjo> banjo;
  std::optional<Gap> gap;
  std::optional<ShortTube> short_tube;
  std::optional<Pump> pump;
};

/// An unbranched run of parts between two ends, in the order of the flow.
/// Ends: a tank id, "engine" (inlet of the high-pressure pump), "engine-return" (where pump return and leak-off
/// join), or the name of a junction.
struct Leg {
  std::string id;
  std::string title;
  std::string from;
  std::string to;
  Origin origin;
  double mouth_loss = 0.8;              ///< K [-] of the mouth, leg that leaves a tank; re-entrant tube end
  double exit_loss = 2.0;               ///< K [-] of the end in a tank; laminar profile
  std::optional<Stated> from_pickup_m;  ///< a return: distance of its mouth from the pickup in the same tank
  std::vector<Part> parts;
};

/// The fitting in which three legs meet (hydraulics/tee.hpp).
struct TeeFitting {
  hydraulics::TeeBuild build = hydraulics::TeeBuild::threaded;
  std::string branch;    ///< id of the leg that turns off; the other two run through
  Stated run_bore_m;     ///< not given: bore of the nearest line in the first of the legs that run through
  Stated branch_bore_m;  ///< not given: bore of the nearest line in the branch
};

struct Junction {
  std::string id;
  Origin origin;
  std::optional<Stated> height_m;  ///< not given: from the first leg that ends there
  std::optional<TeeFitting> tee;   ///< not given: the junction itself loses nothing
};

struct Vent {
  Stated bore_m;  ///< equivalent orifice, Cd 0.6
  bool blocked = false;
  Stated ullage_m3;  ///< air over the fuel, for a blocked vent
  Stated burned_m3;  ///< fuel burned since it blocked
};

struct Tank {
  std::string id = "tank";
  std::string title;
  Origin origin;
  std::optional<Stated> volume_m3;
  Stated height_m;         ///< inside height
  Stated floor_height_m;   ///< height of its floor over the datum (first tank: 0)
  Stated pickup_height_m;  ///< height of the pickup's mouth over its floor
  std::optional<Vent> vent;
  std::optional<Stated> level;  ///< wet share of its inside height [-]; not given: the running point's
  Stated along_m;               ///< position of its middle along the vehicle, forwards; not given: 0
};

/// A valve that chooses among the tanks. Parts of kind selector in legs that leave a tank are open where that tank is
/// `feed`, those in legs that lead into a tank where it is `back`; shut elsewhere.
struct SelectorPosition {
  std::string feed;  ///< tank that is drawn from; "": the first tank
  std::string back;  ///< tank that takes the return; "": as feed
};

/// Which inlet limits are usual where the maker's are not entered (layouts: inlet classes).
enum class InletClass : std::uint8_t { unknown, sucks, fed_low, fed_high };
[[nodiscard]] std::string_view name(InletClass inlet);

/// Engine facts that make its demand.
struct Engine {
  std::string title;
  Origin origin;
  Stated displacement_m3;
  Stated rated_power_W;
  Stated rated_speed_per_s;
  Stated torque_peak_power_W;      ///< not given: 0.73 of rated power
  Stated torque_peak_speed_per_s;  ///< not given: 0.6 of rated speed
  Stated idle_speed_per_s;
  Stated crank_speed_per_s;                 ///< not given: 200 rpm
  Stated rated_consumption_kg_per_J;        ///< not given: 225 g/kWh
  Stated torque_peak_consumption_kg_per_J;  ///< not given: 205 g/kWh
  Stated leakoff_share;                     ///< of injected flow
  Stated housing_flow_m3_per_s;             ///< at rated speed
  Stated inlet_height_m;                    ///< of the high-pressure pump's inlet
  Stated inlet_along_m;                     ///< its position along the vehicle, forwards; not given: 0
  InletClass inlet = InletClass::unknown;
  std::optional<Stated> inlet_low_Pa;   ///< maker's lowest inlet pressure over ambient
  std::optional<Stated> inlet_high_Pa;  ///< maker's highest
};

/// The high-pressure side: its places, and the facts that its physics takes where they are stated (rail_side.hpp).
struct HighSide {
  Origin origin;
  int cylinders = 0;
  int rails = 1;
  int plungers = 0;
  std::string metering;                   ///< "metering valve", "metering valve and pressure valve"
  std::string injectors;                  ///< "solenoid", "piezo", "?" as typed
  int injector_count = 0;                 ///< 0: as cylinders
  std::optional<Stated> displacement_m3;  ///< of the pump per revolution
  std::optional<Stated> crank_ratio;      ///< pump speed over crank speed
  std::optional<Stated> plunger_bore_m;
  std::optional<Stated> plunger_stroke_m;
  std::optional<Stated> plunger_clearance_m;  ///< radial
  std::optional<Stated> rail_volume_m3;       ///< of one rail
  std::optional<Stated> rated_pressure_Pa;    ///< over ambient, as the others
  std::optional<Stated> idle_pressure_Pa;
  std::optional<Stated> relief_pressure_Pa;
  std::optional<Stated> nozzle_flow_m3_per_s;  ///< hydraulic rating at 100 bar
  std::optional<Stated> feed_pipe_length_m;
  std::optional<Stated> feed_pipe_bore_m;
  std::optional<Stated> leak_off_Pa;  ///< pressure that the leak-off is held at
};

/// Names of the high-pressure places in the order of the flow, e.g. "high-pressure pump", "metering valve",
/// "pump-to-rail pipe", "rail 1", ..., "injector 6", "leak-off".
[[nodiscard]] std::vector<std::string> high_pressure_places(const HighSide& high_side);

/// What a laboratory found in the fuel of this vehicle. It takes the place of the grade's usual values.
struct FuelReport {
  Origin origin;
  std::string title;  ///< laboratory, number, date, as typed
  std::optional<Stated> density_15C_kg_per_m3;
  std::optional<Stated> viscosity_40C_m2_per_s;  ///< kinematic
  std::optional<Stated> cloud_point_K;
  std::optional<Stated> cfpp_K;
};

struct LineSheet {
  int format = 1;
  std::string name;                   ///< "as found"
  std::string file;                   ///< as the user named it
  std::string fuel;                   ///< grade id, or "" for `constant_*`
  Stated constant_density_kg_per_m3;  ///< used when `fuel` is "constant"
  Stated constant_kinematic_viscosity_m2_per_s;
  std::optional<FuelReport> fuel_report;
  std::vector<Tank> tanks;
  std::vector<Junction> junctions;
  Engine engine;
  HighSide high_side;
  std::vector<Leg> legs;
  SelectorPosition selector;
  std::optional<Stated> voltage_loss_V;  ///< low voltage: below the running point's, at the battery

  [[nodiscard]] const Part* find_part(std::string_view id) const;
  [[nodiscard]] const Leg* find_leg(std::string_view id) const;
  [[nodiscard]] const Tank* find_tank(std::string_view id) const;
};

/// The fuel of the sheet: its grade or blend, with what the fuel report says of it.
/// Errors: those of fuel::fuel_of_text and constant_fluid at `fuel`; invalid_input for a report beside a constant
/// fluid, for a filter plugging point above the cloud point, or a density the laws do not cover.
[[nodiscard]] Result<fuel::Fuel> fuel_of_sheet(const LineSheet& sheet);

inline constexpr std::string_view engine_end = "engine";
inline constexpr std::string_view engine_return_end = "engine-return";

/// Structure faults that make a sheet impossible to build, all at once: no tank, unknown ends, an end used once
/// and belonging to nobody, no way from a tank to the engine, doubled ids, parts without their block.
/// Origins of the parts give file and line.
[[nodiscard]] Result<void> validate(const LineSheet& sheet);

}  // namespace fw::system
