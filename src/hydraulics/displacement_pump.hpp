// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/required.hpp"
#include "base/result.hpp"
#include "fuel/liquid.hpp"
#include "hydraulics/network.hpp"

/// Gear, gerotor, vane and roller pumps: Wilson's slip and torque, a DC motor with its harness, the engine as drive,
/// and what is left of the pump when it does not turn. Speeds are revolutions per second.
namespace fw::hydraulics {

/// Wilson pump with Schlosser's turbulent slip.
///
///   Q = D n - Cs D dp/(2 pi mu) - Cst D^(2/3) sqrt(2 dp/rho) - Q_in
///   T = D dp/(2 pi) (1 + Cf) + Cd D mu n + Tc
struct DisplacementPump {
  double displacement_m3 = required;  ///< D per revolution
  double slip = required;             ///< Cs [-], 1e-8 to 1e-7 new (textbook), cheap face clearances to 1.2e-6
  double turbulent_slip = 0.0;        ///< Cst [-]; 0: laminar gaps only
  double inlet_loss_m3_per_s = 0.0;   ///< Q_in, flow lost at the inlet port
  double viscous_drag = 0.0;          ///< Cd [-]
  double friction_share = 0.0;        ///< Cf [-]
  double friction_torque_N_m = 0.0;   ///< Tc
};

/// Brushed DC motor at its supply: V - I (Ra + Rh) = ke 2 pi n, T = ke I.
struct MotorDrive {
  double motor_constant_V_s = required;      ///< ke = kt
  double winding_resistance_ohm = required;  ///< Ra
  double harness_resistance_ohm = 0.0;       ///< Rh: wire out and back, relay, connectors, ground (wire.hpp)
  double supply_V = required;                ///< at the battery end of the harness
};

/// A worn pump: its slip (laminar and turbulent) times `factor` >= 1; worn x2 to x6 (typical, no source).
/// Errors: invalid_input `factor`.
[[nodiscard]] Result<DisplacementPump> worn(const DisplacementPump& pump, double factor);

/// What the pump does at one pressure rise.
struct PumpState {
  double flow_m3_per_s = 0.0;          ///< delivered
  double speed_per_s = 0.0;            ///< revolutions per second
  double torque_N_m = 0.0;             ///< at the shaft
  double current_A = 0.0;              ///< 0 for an engine drive
  double power_W = 0.0;                ///< electric: supply voltage x current; engine: torque x 2 pi n
  double connector_V = 0.0;            ///< voltage at the pump's own connector, supply - I Rh
  double volumetric_efficiency = 0.0;  ///< flow/(D n) [-]; 0 when not turning
  bool stalled = false;                ///< the motor cannot turn against this rise: slip only, locked-rotor current
  Range range = Range::fitted;         ///< extrapolated at a rise below 0: torque law not verified there
};

/// State of an electric pump at a rise dp, in closed form.
///
/// With R = Ra + Rh and g = D (1 + Cf)/(2 pi) the two motor equations give a speed that is linear in the rise,
///   n = (V - (R/ke) (g dp + Tc)) / (2 pi ke + R Cd D mu/ke),      I = (g dp + Cd D mu n + Tc)/ke.
/// The current does not depend on the voltage when Cd is 0. Below n 0 the motor stalls: I = V/R, slip only.
///
/// Validity: warm motor at its stated resistance; Cs and Cd constant, mu of the liquid at the pump.
/// Errors: invalid_input naming `pump...`, `motor...`, `rise_Pa` or the liquid's field.
/// Source: W. E. Wilson (1948); W. M. J. Schlosser (1961); coefficients and forms from memory.
/// Check: 1.2 cm3, 350 kPa, ke 0.025, Ra 0.25, Tc 0.010, Rh 0.12, Cs 5e-8, mu 3.7575e-3, 13.8 V: 3.073803 A,
/// 345.04689 L/h. Theory: docs/theory/components.md.
[[nodiscard]] Result<PumpState> electric_pump_state(const DisplacementPump& pump, const MotorDrive& motor,
                                                    double rise_Pa, const fuel::Liquid& liquid);

/// State of a pump turned at a given speed (a gear stage on the engine).
/// Errors as above, and `speed_per_s` negative.
/// Check: 1.5 cm3, Cs 5e-8, 820 kg/m3, 2.7e-6 m2/s, 3000 rpm, 500 kPa: 260.30 L/h.
[[nodiscard]] Result<PumpState> driven_pump_state(const DisplacementPump& pump, double speed_per_s, double rise_Pa,
                                                  const fuel::Liquid& liquid);

/// The electric pump as a source, Q = free_flow - conductance dp.
///
/// Exact for Cst 0, because speed and laminar slip are linear in the rise:
///   free_flow = D n(0) - Q_in,   conductance = D (R g/ke)/(2 pi ke + R Cd D mu/ke) + Cs D/(2 pi mu).
/// Turbulent slip enters by its secant from 0 to `turbulent_slip_reference_Pa`: exact at both ends, too little slip
/// between them (by at most a quarter of its value there). Holds from 0 to `stall_rise_Pa`; beyond it the
/// line runs on and the pump's relief must have opened. A rise below 0 (a pump pushed through by one upstream) keeps
/// the line: the motor is relieved, 1 + Cf and Cd are then not verified.
/// Errors: as electric_pump_state; `turbulent_slip_reference_Pa` not positive while Cst > 0; invalid_input
/// `motor.supply_V` when the motor cannot turn against its own friction.
[[nodiscard]] Result<SourceCoefficients> electric_pump_law(const DisplacementPump& pump, const MotorDrive& motor,
                                                           const fuel::Liquid& liquid,
                                                           double turbulent_slip_reference_Pa = 0.0);

/// The engine-driven pump as a source: free_flow = D n - Q_in, conductance = Cs D/(2 pi mu) (+ secant as above).
[[nodiscard]] Result<SourceCoefficients> driven_pump_law(const DisplacementPump& pump, double speed_per_s,
                                                         const fuel::Liquid& liquid,
                                                         double turbulent_slip_reference_Pa = 0.0);

/// Rise [Pa] at which the motor stands still, (V ke/R - Tc)/g; below 0 never: then invalid_input `motor.supply_V`.
[[nodiscard]] Result<double> stall_rise_Pa(const DisplacementPump& pump, const MotorDrive& motor);

/// Current [A] of the standing rotor, V/(Ra + Rh): the inrush of the first 30 to 100 ms and the stall current.
[[nodiscard]] Result<double> locked_rotor_current_A(const MotorDrive& motor);

/// A stopped pump passes slip only, either way: drop = 2 pi mu/(Cs D) Q, until the fuel turns it. Turbulent slip is
/// left out: it adds under suction as well, so the law leans to starving.
/// Check: 1.6 cm3, Cs 5e-7, 20 kPa, mu 2.214e-3: 4.14 L/h.
/// Errors: invalid_input `pump.slip` of 0 (nothing passes: hold the element shut instead).
[[nodiscard]] Result<ResistorCoefficients> stopped_pump_law(const DisplacementPump& pump, const fuel::Liquid& liquid);

/// Drop [Pa] at which the fuel turns a stopped pump: 2 pi Tc/D. Check: 1.6 cm3, 0.12 N m: 471.2 kPa.
/// Errors: `pump.displacement_m3`, `pump.friction_torque_N_m`.
[[nodiscard]] Result<double> turning_drop_Pa(const DisplacementPump& pump);

}  // namespace fw::hydraulics
