// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/displacement_pump.hpp"

#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "hydraulics/liquid_check.hpp"

namespace fw::hydraulics {

namespace {

constexpr double two_pi = 2.0 * std::numbers::pi;

void check_pump(InputCheck& check, const DisplacementPump& pump) {
  check.positive(pump.displacement_m3, "pump.displacement_m3")
      .non_negative(pump.slip, "pump.slip")
      .non_negative(pump.turbulent_slip, "pump.turbulent_slip")
      .non_negative(pump.inlet_loss_m3_per_s, "pump.inlet_loss_m3_per_s")
      .non_negative(pump.viscous_drag, "pump.viscous_drag")
      .non_negative(pump.friction_share, "pump.friction_share")
      .non_negative(pump.friction_torque_N_m, "pump.friction_torque_N_m");
}

void check_motor(InputCheck& check, const MotorDrive& motor) {
  check.positive(motor.motor_constant_V_s, "motor.motor_constant_V_s")
      .positive(motor.winding_resistance_ohm, "motor.winding_resistance_ohm")
      .non_negative(motor.harness_resistance_ohm, "motor.harness_resistance_ohm")
      .non_negative(motor.supply_V, "motor.supply_V");
}

double resistance_ohm(const MotorDrive& motor) { return motor.winding_resistance_ohm + motor.harness_resistance_ohm; }

/// g = D (1 + Cf)/(2 pi): torque per rise [m3].
double torque_per_rise_m3(const DisplacementPump& pump) {
  return pump.displacement_m3 * (1.0 + pump.friction_share) / two_pi;
}

/// Cd D mu: torque per speed [N m s].
double torque_per_speed_N_m_s(const DisplacementPump& pump, const fuel::Liquid& liquid) {
  return pump.viscous_drag * pump.displacement_m3 * liquid.dynamic_viscosity_Pa_s;
}

/// Laminar slip per rise [m3/s/Pa].
double slip_conductance(const DisplacementPump& pump, const fuel::Liquid& liquid) {
  return pump.slip * pump.displacement_m3 / (two_pi * liquid.dynamic_viscosity_Pa_s);
}

/// Slip at a rise, sign of the rise.
double slip_m3_per_s(const DisplacementPump& pump, double rise_Pa, const fuel::Liquid& liquid) {
  const double jet_m_per_s = std::sqrt(2.0 * std::abs(rise_Pa) / liquid.density_kg_per_m3);
  const double turbulent = pump.turbulent_slip * std::cbrt(pump.displacement_m3 * pump.displacement_m3) * jet_m_per_s;
  return slip_conductance(pump, liquid) * rise_Pa + std::copysign(turbulent, rise_Pa);
}

/// n = at_rest - per_rise dp.
struct SpeedLine {
  double at_no_rise_per_s = 0.0;
  double per_rise_per_s_Pa = 0.0;
};

SpeedLine motor_speed(const DisplacementPump& pump, const MotorDrive& motor, const fuel::Liquid& liquid) {
  const double volt_per_torque = resistance_ohm(motor) / motor.motor_constant_V_s;
  const double volt_per_speed =
      two_pi * motor.motor_constant_V_s + volt_per_torque * torque_per_speed_N_m_s(pump, liquid);
  return {.at_no_rise_per_s = (motor.supply_V - volt_per_torque * pump.friction_torque_N_m) / volt_per_speed,
          .per_rise_per_s_Pa = volt_per_torque * torque_per_rise_m3(pump) / volt_per_speed};
}

double efficiency(const DisplacementPump& pump, double flow_m3_per_s, double speed_per_s) {
  return speed_per_s > 0.0 ? flow_m3_per_s / (pump.displacement_m3 * speed_per_s) : 0.0;
}

Range range_at(double rise_Pa, const fuel::Liquid& liquid) {
  return widest(liquid.range, rise_Pa < 0.0 ? Range::extrapolated : Range::fitted);
}

void check_reference(InputCheck& check, const DisplacementPump& pump, double reference_Pa) {
  if (check.failed()) return;
  if (pump.turbulent_slip > 0.0) {
    check.positive(reference_Pa, "turbulent_slip_reference_Pa");
  } else {
    check.non_negative(reference_Pa, "turbulent_slip_reference_Pa");
  }
}

/// Slip as a straight line through 0 and the slip at the reference.
double secant_conductance(const DisplacementPump& pump, double reference_Pa, const fuel::Liquid& liquid) {
  if (pump.turbulent_slip > 0.0) return slip_m3_per_s(pump, reference_Pa, liquid) / reference_Pa;
  return slip_conductance(pump, liquid);
}

tl::unexpected<Errors> does_not_turn(const MotorDrive& motor) {
  return invalid("motor.supply_V", fmt::format("{:.6g} V", motor.supply_V),
                 "enough voltage to turn the pump against its own friction",
                 "Treat the pump as stopped at this running point");
}

}  // namespace

Result<DisplacementPump> worn(const DisplacementPump& pump, double factor) {
  InputCheck check;
  check.finite(factor, "factor");
  if (!check.failed())
    check.that(factor >= 1.0, "factor", {.found = fmt::format("{:.6g}", factor), .expected = "1 (new) or above"});
  if (check.failed()) return check.fault();
  DisplacementPump result = pump;
  result.slip *= factor;
  result.turbulent_slip *= factor;
  return result;
}

Result<PumpState> electric_pump_state(const DisplacementPump& pump, const MotorDrive& motor, double rise_Pa,
                                      const fuel::Liquid& liquid) {
  InputCheck check;
  check_pump(check, pump);
  check_motor(check, motor);
  check.finite(rise_Pa, "rise_Pa");
  check_liquid(check, liquid);
  if (check.failed()) return check.fault();
  const SpeedLine line = motor_speed(pump, motor, liquid);
  const double speed_per_s = line.at_no_rise_per_s - line.per_rise_per_s_Pa * rise_Pa;
  PumpState state{.range = range_at(rise_Pa, liquid)};
  if (speed_per_s <= 0.0) {
    state.stalled = true;
    state.current_A = motor.supply_V / resistance_ohm(motor);
    state.torque_N_m = motor.motor_constant_V_s * state.current_A;
    state.flow_m3_per_s = -slip_m3_per_s(pump, rise_Pa, liquid);
  } else {
    state.speed_per_s = speed_per_s;
    state.torque_N_m = torque_per_rise_m3(pump) * rise_Pa + torque_per_speed_N_m_s(pump, liquid) * speed_per_s +
                       pump.friction_torque_N_m;
    state.current_A = state.torque_N_m / motor.motor_constant_V_s;
    state.flow_m3_per_s =
        pump.displacement_m3 * speed_per_s - slip_m3_per_s(pump, rise_Pa, liquid) - pump.inlet_loss_m3_per_s;
  }
  state.power_W = motor.supply_V * state.current_A;
  state.connector_V = motor.supply_V - state.current_A * motor.harness_resistance_ohm;
  state.volumetric_efficiency = efficiency(pump, state.flow_m3_per_s, state.speed_per_s);
  return state;
}

Result<PumpState> driven_pump_state(const DisplacementPump& pump, double speed_per_s, double rise_Pa,
                                    const fuel::Liquid& liquid) {
  InputCheck check;
  check_pump(check, pump);
  check.non_negative(speed_per_s, "speed_per_s").finite(rise_Pa, "rise_Pa");
  check_liquid(check, liquid);
  if (check.failed()) return check.fault();
  PumpState state{.speed_per_s = speed_per_s, .range = range_at(rise_Pa, liquid)};
  state.torque_N_m = torque_per_rise_m3(pump) * rise_Pa + torque_per_speed_N_m_s(pump, liquid) * speed_per_s +
                     pump.friction_torque_N_m;
  state.power_W = state.torque_N_m * two_pi * speed_per_s;
  state.flow_m3_per_s =
      pump.displacement_m3 * speed_per_s - slip_m3_per_s(pump, rise_Pa, liquid) - pump.inlet_loss_m3_per_s;
  state.volumetric_efficiency = efficiency(pump, state.flow_m3_per_s, speed_per_s);
  return state;
}

Result<SourceCoefficients> electric_pump_law(const DisplacementPump& pump, const MotorDrive& motor,
                                             const fuel::Liquid& liquid, double turbulent_slip_reference_Pa) {
  InputCheck check;
  check_pump(check, pump);
  check_motor(check, motor);
  check_liquid(check, liquid);
  check_reference(check, pump, turbulent_slip_reference_Pa);
  if (check.failed()) return check.fault();
  const SpeedLine line = motor_speed(pump, motor, liquid);
  if (line.at_no_rise_per_s <= 0.0) return does_not_turn(motor);
  return SourceCoefficients{
      .free_flow_m3_per_s = pump.displacement_m3 * line.at_no_rise_per_s - pump.inlet_loss_m3_per_s,
      .conductance_m3_per_s_Pa = pump.displacement_m3 * line.per_rise_per_s_Pa +
                                 secant_conductance(pump, turbulent_slip_reference_Pa, liquid)};
}

Result<SourceCoefficients> driven_pump_law(const DisplacementPump& pump, double speed_per_s, const fuel::Liquid& liquid,
                                           double turbulent_slip_reference_Pa) {
  InputCheck check;
  check_pump(check, pump);
  check.non_negative(speed_per_s, "speed_per_s");
  check_liquid(check, liquid);
  check_reference(check, pump, turbulent_slip_reference_Pa);
  if (check.failed()) return check.fault();
  return SourceCoefficients{.free_flow_m3_per_s = pump.displacement_m3 * speed_per_s - pump.inlet_loss_m3_per_s,
                            .conductance_m3_per_s_Pa = secant_conductance(pump, turbulent_slip_reference_Pa, liquid)};
}

Result<double> stall_rise_Pa(const DisplacementPump& pump, const MotorDrive& motor) {
  InputCheck check;
  check_pump(check, pump);
  check_motor(check, motor);
  if (check.failed()) return check.fault();
  const double rise_Pa =
      (motor.supply_V * motor.motor_constant_V_s / resistance_ohm(motor) - pump.friction_torque_N_m) /
      torque_per_rise_m3(pump);
  if (rise_Pa <= 0.0) return does_not_turn(motor);
  return rise_Pa;
}

Result<double> locked_rotor_current_A(const MotorDrive& motor) {
  InputCheck check;
  check_motor(check, motor);
  if (check.failed()) return check.fault();
  return motor.supply_V / resistance_ohm(motor);
}

Result<ResistorCoefficients> stopped_pump_law(const DisplacementPump& pump, const fuel::Liquid& liquid) {
  InputCheck check;
  check_pump(check, pump);
  check.positive(pump.slip, "pump.slip");
  check_liquid(check, liquid);
  if (check.failed()) return check.fault();
  return ResistorCoefficients{.linear_Pa_s_per_m3 = 1.0 / slip_conductance(pump, liquid),
                              .quadratic_Pa_s2_per_m6 = 0.0};
}

Result<double> turning_drop_Pa(const DisplacementPump& pump) {
  InputCheck check;
  check_pump(check, pump);
  if (check.failed()) return check.fault();
  return two_pi * pump.friction_torque_N_m / pump.displacement_m3;
}

}  // namespace fw::hydraulics
