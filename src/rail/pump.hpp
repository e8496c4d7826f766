// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>

#include "rail/gap.hpp"

/// The high-pressure pump: kinematics, mass per stroke, metering, transfer stage, filling, torque.
namespace fw::rail {

enum class DriveKind : std::uint8_t {
  cam,        ///< lobes with harmonic lift and a roller
  eccentric,  ///< polygon ring and flat tappet: lift e (1 - cos a), exact
};

/// x = (S/2)(1 - cos L a), a the pump shaft's angle from bottom dead centre; an eccentric has L = 1 and S = 2 e.
struct PumpDrive {
  DriveKind kind = DriveKind::cam;
  int plungers = 2;
  int lobes = 2;  ///< of a cam; an eccentric counts as one
  double stroke_m = required;
  double base_radius_m = required;    ///< cam only, else left out
  double roller_radius_m = required;  ///< cam only
  double roller_length_m = required;  ///< cam only

  [[nodiscard]] int lift_count() const { return kind == DriveKind::cam ? lobes : 1; }
  [[nodiscard]] int strokes_per_rev() const { return plungers * lift_count(); }
};

struct PlungerLift {
  double lift_m = required;
  double slope_m = required;  ///< dx/da
  double bend_m = required;   ///< d2x/da2
};
/// Precondition: stroke and angle finite.
[[nodiscard]] PlungerLift plunger_lift(const PumpDrive& drive, double angle_rad);

/// Contact of roller and cam at an angle: R = Rb + Rr + x, rho_p = (R^2 + x'^2)^1.5/(R^2 + 2 x'^2 - R x''),
/// rho_c = rho_p - Rr, tan(phi) = x'/R.
/// Errors: invalid_input naming the drive's field; conflict for a concave flank the roller does not fit into.
/// Source: plane cam geometry. Check: S 6, Rb 14, Rr 5.5 mm, two lobes: nose 11.84 mm, 45 degrees 14.93 degrees.
struct CamContact {
  double cam_radius_m = required;  ///< negative: concave
  double pressure_angle_rad = required;
  double surface_speed_m = required;  ///< of the cam under the roller per rad of shaft [m]
};
[[nodiscard]] Result<CamContact> cam_contact(const PumpDrive& drive, double angle_rad);

/// How the plungers are fed.
struct TransferStage {
  enum class Kind : std::uint8_t { none, gear };
  Kind kind = Kind::none;
  double set_Pa = 6.0e5;    ///< absolute, of the overflow valve; typical 3.5 to 6 bar gauge, from memory
  double efficiency = 0.9;  ///< eta_t [-], typical, no source
  double margin = 1.3;      ///< stage flow over need at rated speed [-], assumed
};

/// Opening where the current is missing.
enum class MeteringRest : std::uint8_t { open, shut };

struct MeteringValve {
  double largest_m2 = required;  ///< Cd A, full open
  double lag_s = 0.030;          ///< typical 20 to 50 ms, from memory
  double hysteresis = 0.05;      ///< share of the stroke, typical 3 to 8 %
  MeteringRest rest = MeteringRest::open;
};

struct Pump {
  PumpDrive drive{};
  double plunger_bore_m = required;
  double dead_volume_m3 = required;  ///< per plunger
  double crank_ratio = required;     ///< pump speed over crank speed
  SealGap gap{};
  double filling = 0.92;       ///< at and above `slow_rev_per_s`, healthy inlet [-]; typical 0.90 to 0.98
  double slow_filling = 0.97;  ///< below it
  double slow_rev_per_s = 1000.0 / 60.0;
  double inlet_valve_m2 = 5e-6;   ///< Cd A of one plunger's inlet valve; typical 3 to 5 mm2
  double delivery_leak_m2 = 0.0;  ///< Cd A of one shut delivery valve; worn 1e-12 to 1e-10, assumed
  double mechanical_efficiency = 0.88;
  double housing_m3_per_s = required;  ///< lubrication flow at rated speed
  double rated_rev_per_s = required;   ///< pump shaft
  TransferStage transfer{};
  MeteringValve metering{};

  [[nodiscard]] double plunger_area_m2() const;
  [[nodiscard]] double stroke_volume_m3() const;         ///< of one plunger
  [[nodiscard]] double displacement_m3_per_rev() const;  ///< V_g
};
/// Adds the first fault of a pump to `check`, fields "pump...". A negative lift is refused here.
void check_pump(InputCheck& check, const Pump& pump);

/// What comes to the pump.
struct PumpInlet {
  double pressure_Pa = required;  ///< absolute
  double gas_fraction = 0.0;      ///< free gas by volume there [-]
};

/// The way of the fuel to the plungers.
struct TransferState {
  double pressure_Pa = required;  ///< absolute, before the metering valve
  double stage_m3_per_s = 0.0;    ///< what a gear stage moves; 0 without one
  bool collapsed = false;         ///< a gear stage that moves less than the plungers ask for
};

/// Filling of the plungers: phi = base x (1 - gas) x min(1, Q_max/Q_peak), Q_peak = A S L omega/2,
/// Q_max = Cd A sqrt(2 (p_transfer - 0.4e5)/rho): 0.4 bar absolute as floor of air release, typical, no source.
struct Filling {
  double factor = required;  ///< phi [-]
  double peak_m3_per_s = required;
  double valve_drop_Pa = required;  ///< (rho/2)(Q_peak/CdA)^2
  bool limited_by_inlet = false;    ///< by pressure or gas, not by the base
  double inlet_share = 1.0;         ///< of the factor that pressure and gas at the inlet leave [-]
};

/// One stroke with a full or metered charge, by masses:
///   m_full = phi rho1 [V_s - V_d (rho2/rho1 - 1)]
/// The leak acts half of the time and takes fuel of rail density. Source: mass balance (high-pressure page 1.2).
/// Check: V_s 199.1 mm3, V_d 100 mm3, 0.5 -> 180 MPa, 60 C: 0.952 by mass, 0.869 by outlet volume, 0.1313 of the
/// stroke.
struct StrokeBalance {
  double full_kg = required;            ///< with the filling
  double compression_share = required;  ///< eta_c by mass without filling and leak
  double outlet_volume_share = required;
  double lost_stroke_share = required;  ///< of a full charge, spent on compression
};
[[nodiscard]] Result<StrokeBalance> stroke_balance(const Pump& pump, const RailLiquid& liquid, double transfer_Pa,
                                                   double rail_Pa, double filling = 1.0);

/// The pump at a speed and a rail pressure, metering valve open.
struct PumpState {
  double strokes_per_s = required;
  double full_kg_per_s = required;       ///< charge
  double delivered_kg_per_s = required;  ///< charge less leak, not below 0
  double leak_kg_per_s = required;       ///< past the plungers and back through the delivery valves
  double volumetric_share = required;    ///< delivered over rho1 V_g n; negative: cannot reach the pressure
  TransferState transfer{};
  Filling filling{};
};
struct PumpQuestion {
  double shaft_rev_per_s = required;
  double rail_Pa = required;
  PumpInlet inlet{};
};
/// `gap_liquid`: the fuel in the sealing gaps, which is warmer than the charge.
/// Errors: invalid_input of pump, liquids, question. Check: V8 pump, 60 C, gap at 80 C without the axial load: 0.843 at
/// 3000 rpm and 180 MPa, 0.772 at 650 rpm.
[[nodiscard]] Result<PumpState> pump_state(const Pump& pump, const RailLiquid& liquid, const RailLiquid& gap_liquid,
                                           const PumpQuestion& question);
/// Without checks. Preconditions: pump_state() accepts the arguments.
[[nodiscard]] PumpState pump_state_unchecked(const Pump& pump, const RailLiquid& liquid, const RailLiquid& gap_liquid,
                                             const PumpQuestion& question);

/// Charge alone, as in PumpState::full_kg_per_s, and the share of it that the inlet leaves. Preconditions as
/// pump_state_unchecked.
struct FullCharge {
  double kg_per_s = required;
  double inlet_share = required;  ///< [-]
};
[[nodiscard]] FullCharge full_charge(const Pump& pump, const RailLiquid& liquid, const PumpQuestion& question);

/// Flow [m3/s] through the metering valve at an opening of 0 to 1: CdA sqrt(2 dp/rho); 0 for dp <= 0.
/// Check: 5 -> 3 bar at the same opening: 0.775 of the flow. Preconditions: finite.
[[nodiscard]] double metering_flow_m3_per_s(const MeteringValve& valve, const RailLiquid& liquid, double opening,
                                            double drop_Pa);

/// Mean shaft torque [N m] V_g phi p/(2 pi eta). Errors: invalid_input `delivered_share` outside [0, 1], `rail_Pa`.
/// Check: 0.7964 cm3/rev, 180 MPa, full, eta 0.90: 25.35 N m.
[[nodiscard]] Result<double> pump_torque_N_m(const Pump& pump, double rail_Pa, double delivered_share);

/// The same pump with its stroke scaled: a later pump of a family that delivers more (15 %: common practice, no
/// source). Errors: invalid_input `factor` not positive.
[[nodiscard]] Result<Pump> with_stroke_scaled(Pump pump, double factor);

}  // namespace fw::rail
