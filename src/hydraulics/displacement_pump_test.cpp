// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/displacement_pump.hpp"

#include <cmath>
#include <numbers>
#include <string>

#include <gtest/gtest.h>

#include "hydraulics_cases.hpp"

namespace fw::hydraulics {
namespace {

using test::d20;
using test::fluid_k;
using test::fluid_w;
using test::litre_per_hour;

// Parameter sets of part data 1.2 (typical, judgement without source; the checks are computed there from them).
struct ParameterSet {
  const char* name;
  DisplacementPump pump;
  double motor_constant_V_s;
  double winding_resistance_ohm;

  [[nodiscard]] MotorDrive at(double supply_V, double harness_ohm = 0.0) const {
    return {.motor_constant_V_s = motor_constant_V_s,
            .winding_resistance_ohm = winding_resistance_ohm,
            .harness_resistance_ohm = harness_ohm,
            .supply_V = supply_V};
  }
};

DisplacementPump wilson(double displacement_cm3, double slip, double share, double torque_N_m) {
  return {.displacement_m3 = 1e-6 * displacement_cm3,
          .slip = slip,
          .viscous_drag = 3e4,
          .friction_share = share,
          .friction_torque_N_m = torque_N_m};
}

const ParameterSet g1{"G1", wilson(1.6, 5e-7, 0.2, 0.12), 0.0285, 0.45};
const ParameterSet g2{"G2", wilson(2.6, 5e-7, 0.2, 0.22), 0.0290, 0.20};
const ParameterSet v1{"V1", wilson(1.8, 1.2e-6, 0.2, 0.07), 0.0260, 0.60};
const ParameterSet r1{"R1", wilson(0.62, 1e-7, 0.3, 0.080), 0.0175, 0.25};

double flow_L_per_h(const ParameterSet& set, const MotorDrive& motor, double rise_Pa, const fuel::Liquid& liquid) {
  return electric_pump_state(set.pump, motor, rise_Pa, liquid)->flow_m3_per_s / litre_per_hour;
}

// Part data 1.2: flow [L/h] and current [A] with W at three voltages and K at 13.8 V. Five to six digits are printed.
TEST(DisplacementPump, MatchesTheParameterSets) {
  struct Row {
    const ParameterSet& set;
    double rise_Pa;
    double voltage_V;
    const fuel::Liquid& liquid;
    double flow, current;
  };
  const Row rows[] = {
      {g1, 70e3, 13.8, fluid_w, 354.14, 5.200},  {g1, 70e3, 12.0, fluid_w, 296.77, 5.163},
      {g1, 70e3, 9.6, fluid_w, 220.29, 5.113},   {g1, 70e3, 13.8, fluid_k, 350.51, 6.277},
      {g2, 70e3, 13.8, fluid_w, 591.07, 9.176},  {g2, 70e3, 12.0, fluid_w, 499.20, 9.117},
      {g2, 70e3, 9.6, fluid_w, 376.72, 9.039},   {g2, 70e3, 13.8, fluid_k, 592.10, 10.969},
      {v1, 70e3, 13.8, fluid_w, 414.50, 3.940},  {v1, 70e3, 12.0, fluid_w, 344.29, 3.890},
      {v1, 70e3, 9.6, fluid_w, 250.67, 3.824},   {v1, 70e3, 13.8, fluid_k, 413.61, 5.336},
      {r1, 400e3, 13.8, fluid_w, 234.34, 7.757}, {r1, 400e3, 12.0, fluid_w, 198.00, 7.719},
      {r1, 400e3, 9.6, fluid_w, 149.54, 7.668},  {r1, 400e3, 13.8, fluid_k, 233.70, 8.929},
  };
  for (const Row& row : rows) {
    const auto state = electric_pump_state(row.set.pump, row.set.at(row.voltage_V), row.rise_Pa, row.liquid).value();
    EXPECT_NEAR(state.flow_m3_per_s / litre_per_hour, row.flow, 0.006) << row.set.name << " " << row.voltage_V;
    EXPECT_NEAR(state.current_A, row.current, 6e-4) << row.set.name << " " << row.voltage_V;
  }
}

// Part data 1.1: the flows the sets were made for, printed to 1 L/h and 0.1 A.
TEST(DisplacementPump, GivesTheClassFlows) {
  struct Row {
    const ParameterSet& set;
    double rise_Pa, flow;
  };
  for (const Row& row :
       {Row{g1, 0.0, 379}, Row{g1, 70e3, 354}, Row{g1, 100e3, 343}, Row{g2, 0.0, 627}, Row{g2, 70e3, 591},
        Row{g2, 100e3, 576}, Row{v1, 0.0, 475}, Row{v1, 70e3, 415}, Row{v1, 100e3, 388}, Row{r1, 0.0, 256},
        Row{r1, 300e3, 240}, Row{r1, 400e3, 234}, Row{r1, 500e3, 229}}) {
    EXPECT_NEAR(flow_L_per_h(row.set, row.set.at(13.8), row.rise_Pa, fluid_w), row.flow, 0.6)
        << row.set.name << " " << row.rise_Pa;
  }
  const auto current = [](const ParameterSet& set, double rise_Pa) {
    return electric_pump_state(set.pump, set.at(13.8), rise_Pa, fluid_w)->current_A;
  };
  EXPECT_NEAR(current(g1, 0.0), 4.5, 0.051);
  EXPECT_NEAR(current(g1, 100e3), 5.5, 0.051);
  EXPECT_NEAR(current(g2, 0.0), 8.0, 0.051);
  EXPECT_NEAR(current(g2, 100e3), 9.7, 0.051);
  EXPECT_NEAR(current(v1, 0.0), 3.0, 0.051);
  EXPECT_NEAR(current(r1, 300e3), 7.0, 0.051);
  EXPECT_NEAR(current(r1, 500e3), 8.5, 0.051);
  // Part data 1.3: all of the electric power heats the fuel of a dead-headed G2, 134 W.
  EXPECT_NEAR(electric_pump_state(g2.pump, g2.at(13.8), 100e3, fluid_w)->power_W, 134.0, 0.6);
}

// Part data 1.3 and 5: turning drop, slip under suction, harness, voltage exponent, inrush.
TEST(DisplacementPump, MatchesTheFactsOfThePartData) {
  struct Row {
    const ParameterSet& set;
    double turning_kPa, slip_L_per_h, inrush_A, inrush_with_harness_A;
  };
  for (const Row& row : {Row{g1, 471, 4.14, 31, 26}, Row{g2, 532, 6.73, 69, 48}, Row{v1, 244, 11.18, 23, 20},
                         Row{r1, 811, 0.32, 55, 41}}) {
    EXPECT_NEAR(turning_drop_Pa(row.set.pump).value() / 1e3, row.turning_kPa, 0.5) << row.set.name;
    const auto stopped = stopped_pump_law(row.set.pump, fluid_w).value();
    EXPECT_NEAR(20e3 / stopped.linear_Pa_s_per_m3 / litre_per_hour, row.slip_L_per_h, 0.006) << row.set.name;
    EXPECT_EQ(stopped.quadratic_Pa_s2_per_m6, 0.0);
    EXPECT_NEAR(locked_rotor_current_A(row.set.at(13.8)).value(), row.inrush_A, 0.51) << row.set.name;
    EXPECT_NEAR(locked_rotor_current_A(row.set.at(13.8, 0.09)).value(), row.inrush_with_harness_A, 0.51);
  }
  const auto with = [](double harness_ohm) {
    return electric_pump_state(g1.pump, g1.at(13.8, harness_ohm), 70e3, fluid_w).value();
  };
  EXPECT_NEAR(with(0.09039).flow_m3_per_s / litre_per_hour, 339.19, 0.006);
  EXPECT_NEAR(with(0.09039).current_A, 5.190, 6e-4);
  EXPECT_NEAR(with(0.25).flow_m3_per_s / litre_per_hour, 312.92, 0.006);
  EXPECT_NEAR(with(0.25).current_A, 5.173, 6e-4);
  EXPECT_NEAR(with(0.25).connector_V, 13.8 - 0.25 * 5.173, 2e-4);
  const auto exponent = [](const ParameterSet& set, double rise_Pa) {
    return std::log(flow_L_per_h(set, set.at(13.8), rise_Pa, fluid_w) /
                    flow_L_per_h(set, set.at(12.0), rise_Pa, fluid_w)) /
           std::log(13.8 / 12.0);
  };
  EXPECT_NEAR(exponent(g1, 70e3), 1.26, 0.006);
  EXPECT_NEAR(exponent(v1, 70e3), 1.33, 0.006);
  EXPECT_NEAR(exponent(r1, 400e3), 1.21, 0.006);
}

// Part data 1.6: the gear stage on the engine, W.
TEST(DisplacementPump, MatchesTheGearStage) {
  const DisplacementPump gears{.displacement_m3 = 1.5e-6, .slip = 5e-8};
  struct Row {
    double rpm, rise_Pa, flow, tolerance;
  };
  for (const Row& row : {Row{100, 100e3, 7.0591, 6e-5}, Row{400, 300e3, 30.177, 6e-4}, Row{1500, 450e3, 126.27, 6e-3},
                         Row{3000, 500e3, 260.30, 6e-3}}) {
    const auto state = driven_pump_state(gears, row.rpm / 60.0, row.rise_Pa, fluid_w).value();
    EXPECT_NEAR(state.flow_m3_per_s / litre_per_hour, row.flow, row.tolerance) << row.rpm;
    const auto law = driven_pump_law(gears, row.rpm / 60.0, fluid_w).value();
    EXPECT_NEAR((law.free_flow_m3_per_s - law.conductance_m3_per_s_Pa * row.rise_Pa) / litre_per_hour, row.flow,
                row.tolerance);
  }
}

// Worked rows of the hydraulics page: gear pump and DC pump.
TEST(DisplacementPump, MatchesTheWorkedPumps) {
  const DisplacementPump gear{.displacement_m3 = 2e-6, .slip = 5e-8};
  int nth = 0;
  for (const char* rise : {"100000", "500000"}) {
    const auto state = driven_pump_state(gear, 50.0, std::stod(rise), d20).value();
    FW_EXPECT_WORKED(state.flow_m3_per_s / litre_per_hour, "gear pump",
                     "D 2 cm3/rev 3000 rpm Cs 5e-8 mu 3.7575e-3 dp " + std::string(rise) + " Pa: Q");
    FW_EXPECT_WORKED(state.volumetric_efficiency, "gear pump", "same: volumetric efficiency", nth++);
  }
  const DisplacementPump small{.displacement_m3 = 1.2e-6, .slip = 5e-8, .friction_torque_N_m = 0.010};
  nth = 0;
  for (const char* volts : {"13.8", "12", "10", "8"}) {
    const MotorDrive motor{.motor_constant_V_s = 0.025,
                           .winding_resistance_ohm = 0.25,
                           .harness_resistance_ohm = 0.12,
                           .supply_V = std::stod(volts)};
    const auto state = electric_pump_state(small, motor, 350e3, d20).value();
    FW_EXPECT_WORKED(state.current_A, "DC pump",
                     "displacement 1.2 cm3/rev dp 350 kPa ke=kt 0.025 Ra 0.25 T0 0.01 N m harness 0.12 ohm Cs 5e-8 "
                     "battery " +
                         std::string(volts) + " V: current");
    FW_EXPECT_WORKED(state.flow_m3_per_s / litre_per_hour, "DC pump", "same: Q", nth++);
  }
}

// Proof by test that the flow is a straight line of the rise, and that the source coefficients are that line: at any
// three rises below stall, with every coefficient of the law in play, and the motor's own equations are met.
TEST(DisplacementPump, IsAStraightLineOfTheRise) {
  for (const ParameterSet& set : {g1, g2, v1, r1}) {
    for (const double volts : {9.6, 12.0, 13.8}) {
      for (const fuel::Liquid& liquid : {fluid_w, fluid_k}) {
        const MotorDrive motor = set.at(volts, 0.09);
        const auto law = electric_pump_law(set.pump, motor, liquid).value();
        const double stall_Pa = stall_rise_Pa(set.pump, motor).value();
        for (double share = -0.05; share < 1.0; share += 0.15) {
          const double rise_Pa = share * stall_Pa;
          const auto state = electric_pump_state(set.pump, motor, rise_Pa, liquid).value();
          EXPECT_FALSE(state.stalled);
          EXPECT_NEAR(state.flow_m3_per_s, law.free_flow_m3_per_s - law.conductance_m3_per_s_Pa * rise_Pa,
                      1e-13 * law.free_flow_m3_per_s + 1e-18);
          const double omega = 2.0 * std::numbers::pi * state.speed_per_s;
          EXPECT_NEAR(volts - state.current_A * (motor.winding_resistance_ohm + motor.harness_resistance_ohm),
                      motor.motor_constant_V_s * omega, 1e-12 * volts);
          EXPECT_NEAR(state.torque_N_m, motor.motor_constant_V_s * state.current_A, 1e-14);
          EXPECT_EQ(state.range, rise_Pa < 0.0 ? Range::extrapolated : Range::fitted);
        }
        EXPECT_TRUE(electric_pump_state(set.pump, motor, 1.001 * stall_Pa, liquid)->stalled);
      }
    }
  }
}

// Energy: electric power covers copper loss and shaft power; shaft power covers the hydraulic power.
TEST(DisplacementPump, KeepsItsEnergyBalance) {
  const MotorDrive motor = g1.at(13.8, 0.09);
  const auto state = electric_pump_state(g1.pump, motor, 70e3, fluid_w).value();
  const double shaft_W = state.torque_N_m * 2.0 * std::numbers::pi * state.speed_per_s;
  EXPECT_NEAR(state.power_W, shaft_W + state.current_A * state.current_A * (0.45 + 0.09), 1e-10);
  EXPECT_GT(shaft_W, 70e3 * state.flow_m3_per_s);
}

TEST(DisplacementPump, StallsAndStops) {
  const double stall_Pa = stall_rise_Pa(g1.pump, g1.at(13.8)).value();
  const auto state = electric_pump_state(g1.pump, g1.at(13.8), 1.2 * stall_Pa, fluid_w).value();
  EXPECT_TRUE(state.stalled);
  EXPECT_DOUBLE_EQ(state.current_A, locked_rotor_current_A(g1.at(13.8)).value());
  const auto slip = stopped_pump_law(g1.pump, fluid_w).value();
  EXPECT_NEAR(-state.flow_m3_per_s, 1.2 * stall_Pa / slip.linear_Pa_s_per_m3, 1e-18);
  // Too little voltage to beat its own friction: 0.12 N m need 4.2 A, 1.9 V across 0.45 Ohm.
  EXPECT_EQ(electric_pump_law(g1.pump, g1.at(1.8), fluid_w).error().front().where.field, "motor.supply_V");
  EXPECT_EQ(stall_rise_Pa(g1.pump, g1.at(1.8)).error().front().where.field, "motor.supply_V");
  EXPECT_TRUE(electric_pump_law(g1.pump, g1.at(2.0), fluid_w).has_value());
}

// Slip is laminar: it scales with 1/mu and with wear; turbulent slip with sqrt(dp/rho) (closed forms).
TEST(DisplacementPump, SlipScales) {
  const auto old = worn(g1.pump, 4.0).value();
  EXPECT_DOUBLE_EQ(old.slip, 4.0 * g1.pump.slip);
  const auto stage = DisplacementPump{.displacement_m3 = 1.5e-6, .slip = 5e-8, .turbulent_slip = 2e-4};
  const auto at = [&](double rise_Pa) { return driven_pump_state(stage, 10.0, rise_Pa, fluid_w)->flow_m3_per_s; };
  const double laminar = 5e-8 * 1.5e-6 / (2.0 * std::numbers::pi * fluid_w.dynamic_viscosity_Pa_s);
  const double turbulent = 2e-4 * std::cbrt(1.5e-6 * 1.5e-6) * std::sqrt(2.0 / fluid_w.density_kg_per_m3);
  EXPECT_NEAR(at(0.0) - at(4e5), laminar * 4e5 + turbulent * std::sqrt(4e5), 1e-17);
  // The source takes the secant: exact at 0 and at the reference, least slip error a quarter of the turbulent slip.
  const auto law = driven_pump_law(stage, 10.0, fluid_w, 4e5).value();
  EXPECT_NEAR(law.free_flow_m3_per_s - law.conductance_m3_per_s_Pa * 4e5, at(4e5), 1e-17);
  EXPECT_NEAR(law.free_flow_m3_per_s - law.conductance_m3_per_s_Pa * 1e5 - at(1e5), 0.25 * turbulent * std::sqrt(4e5),
              1e-17);
  EXPECT_EQ(driven_pump_law(stage, 10.0, fluid_w).error().front().where.field, "turbulent_slip_reference_Pa");
}

TEST(DisplacementPump, NamesTheBadField) {
  const auto field = [](const DisplacementPump& pump) {
    return electric_pump_law(pump, g1.at(13.8), fluid_w).error().front().where.field;
  };
  EXPECT_EQ(field({.slip = 5e-7}), "pump.displacement_m3");
  EXPECT_EQ(field({.displacement_m3 = 1e-6}), "pump.slip");
  EXPECT_EQ(electric_pump_state(g1.pump, {.motor_constant_V_s = 0.03, .winding_resistance_ohm = 0.4}, 0.0, fluid_w)
                .error()
                .front()
                .where.field,
            "motor.supply_V");
  EXPECT_EQ(electric_pump_state(g1.pump, g1.at(13.8), required, fluid_w).error().front().where.field, "rise_Pa");
  EXPECT_EQ(driven_pump_state(g1.pump, -1.0, 0.0, fluid_w).error().front().where.field, "speed_per_s");
  EXPECT_EQ(worn(g1.pump, 0.5).error().front().where.field, "factor");
  EXPECT_EQ(stopped_pump_law({.displacement_m3 = 1e-6, .slip = 0.0}, fluid_w).error().front().where.field, "pump.slip");
}

}  // namespace
}  // namespace fw::hydraulics
