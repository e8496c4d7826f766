// SPDX-License-Identifier: Apache-2.0
#include "system/planted_fault.hpp"

#include <cmath>
#include <set>

#include <gtest/gtest.h>

#include "system/supply_model.hpp"

namespace fw::system {
namespace {

constexpr double litre_per_hour = 1e-3 / 3600.0;

Stated fixed(double value) { return exactly(value); }

Part line(std::string id, double bore_mm, double length_m) {
  Part part;
  part.id = std::move(id);
  part.kind = PartKind::hose;
  part.line = Line{.bore_m = fixed(bore_mm * 1e-3), .length_m = fixed(length_m), .roughness_m = fixed(0.03e-3)};
  return part;
}

Part medium(std::string id, PartKind kind) {
  Part part;
  part.id = std::move(id);
  part.kind = kind;
  part.medium = Medium{.clean_drop_Pa = fixed(5e3),
                       .at_flow_m3_per_s = fixed(150 * litre_per_hour),
                       .quadratic_share = fixed(0.5),
                       .terminal_drop_Pa = fixed(20e3)};
  return part;
}

/// Tank, hose, shut-off, separator, displacement pump with relief, check valve, filter, engine, return.
LineSheet whole_sheet() {
  LineSheet sheet;
  sheet.name = "whole";
  sheet.fuel = "d975_2d";
  Tank tank;
  tank.height_m = fixed(0.40);
  tank.vent = Vent{.bore_m = fixed(0.003)};
  sheet.tanks.push_back(tank);
  Engine& e = sheet.engine;
  e.displacement_m3 = fixed(6e-3);
  e.rated_power_W = fixed(180e3);
  e.rated_speed_per_s = fixed(46.0);
  e.torque_peak_power_W = fixed(130e3);
  e.torque_peak_speed_per_s = fixed(28.0);
  e.idle_speed_per_s = fixed(11.0);
  e.crank_speed_per_s = fixed(3.0);
  e.rated_consumption_kg_per_J = fixed(62.5e-9);
  e.torque_peak_consumption_kg_per_J = fixed(57e-9);
  e.leakoff_share = fixed(0.2);
  e.housing_flow_m3_per_s = fixed(90 * litre_per_hour);
  e.inlet_height_m = fixed(0.5);
  Part cock;
  cock.id = "cock";
  cock.kind = PartKind::shut_off;
  Part pump;
  pump.id = "pump";
  pump.kind = PartKind::pump;
  pump.pump = Pump{.displacement_m3 = fixed(1.6e-6),
                   .slip = fixed(5e-7),
                   .viscous_drag = fixed(3e4),
                   .friction_share = fixed(0.2),
                   .friction_torque_N_m = fixed(0.12),
                   .motor_constant_V_s = fixed(0.0285),
                   .motor_resistance_ohm = fixed(0.45),
                   .harness_resistance_ohm = fixed(0.09),
                   .set_Pa = fixed(90e3),
                   .relief_reference = ReliefReference::own_inlet,
                   .surplus = Surplus::to_own_inlet,
                   .stopped = Stopped::bypass};
  Part check;
  check.id = "check";
  check.kind = PartKind::check;
  check.valve = Valve{.crack_Pa = fixed(3e3), .drop_Pa = fixed(3e3), .at_flow_m3_per_s = fixed(150 * litre_per_hour)};
  Part pickup = line("pickup", 9.5, 0.5);
  pickup.end_height_m = fixed(0.45);  // over the fuel: a crack there draws air
  sheet.legs = {Leg{.id = "supply",
                    .from = "tank",
                    .to = "engine",
                    .parts = {pickup, line("suction", 9.5, 1.2), cock, medium("separator", PartKind::separator), pump,
                              check, line("push", 7.9, 3.0), medium("filter", PartKind::filter)}},
                Leg{.id = "return", .from = "engine-return", .to = "tank", .parts = {line("back", 7.9, 4.0)}}};
  return sheet;
}

PointState solved(const LineSheet& sheet, RunningPoint point = {}, const std::vector<std::string>* stopped = nullptr) {
  const auto model = SupplyModel::build(sheet, {}, default_laws());
  if (!model) throw std::runtime_error(to_text(model.error()));
  InlineExecutor executor;
  SilentProgress progress;
  const std::vector<double> slots = model->nominal();
  const std::vector<SupplyModel::Case> cases{{.point = point, .slots = slots, .stopped_pumps = stopped}};
  const auto states = model->solve(cases, {executor, progress, {}});
  if (!states) throw std::runtime_error(to_text(states.error()));
  EXPECT_EQ(states->front().status, hydraulics::SolveStatus::converged) << states->front().trouble;
  return states->front();
}

PointState with(FaultKind kind, const std::string& part, double amount = required) {
  const auto edited = apply({.kind = kind, .part = part, .amount = amount}, whole_sheet());
  if (!edited) throw std::runtime_error(to_text(edited.error()));
  return solved(*edited);
}

double inlet_kPa(const PointState& state) { return state.inlet_over_ambient_Pa / 1e3; }

TEST(PlantedFault, KindsHaveNamesOfTheirOwn) {
  std::set<std::string_view> ids;
  for (std::size_t i = 0; i < fault_kinds().size(); ++i) {
    const FaultFacts& one = fault_kinds()[i];
    EXPECT_EQ(static_cast<std::size_t>(one.kind), i) << one.id;
    EXPECT_TRUE(ids.insert(one.id).second) << one.id;
    EXPECT_EQ(fault_kind_named(one.id), one.kind);
    EXPECT_EQ(std::isnan(one.usual), one.amount.empty()) << one.id;
  }
  EXPECT_FALSE(fault_kind_named("broken"));
}

TEST(PlantedFault, EveryPossibleFaultAppliesAndIsSolved) {
  const LineSheet sheet = whole_sheet();
  std::set<FaultKind> seen;
  for (const Fault& fault : faults_possible(sheet)) {
    SCOPED_TRACE(describe(fault, sheet));
    seen.insert(fault.kind);
    const auto edited = apply(fault, sheet);
    ASSERT_TRUE(edited) << to_text(edited.error());
    static_cast<void>(solved(*edited));
  }
  EXPECT_EQ(seen.size(), fault_kinds().size());
}

TEST(PlantedFault, PairsSolve) {
  const LineSheet sheet = whole_sheet();
  for (const Fault& first : faults_possible(sheet)) {
    const LineSheet once = apply(first, sheet).value();
    for (const Fault& second : faults_possible(once)) {
      SCOPED_TRACE(describe(first, sheet) + " and " + describe(second, once));
      static_cast<void>(solved(apply(second, once).value()));
    }
  }
}

// What each fault must do by its physics, against the healthy sheet.
TEST(PlantedFault, MovesTheReadingsTheRightWay) {
  const PointState healthy = solved(whole_sheet());
  EXPECT_FALSE(healthy.starved);
  EXPECT_LT(inlet_kPa(with(FaultKind::spent_filter, "filter")), inlet_kPa(healthy) - 5.0);
  EXPECT_LT(inlet_kPa(with(FaultKind::plugged_filter, "filter")), inlet_kPa(with(FaultKind::spent_filter, "filter")));
  EXPECT_GT(inlet_kPa(with(FaultKind::collapsed_filter, "filter")), inlet_kPa(healthy) + 0.5);
  EXPECT_LT(inlet_kPa(with(FaultKind::relief_stuck_open, "pump")), inlet_kPa(healthy) - 20.0);
  EXPECT_GT(inlet_kPa(with(FaultKind::relief_stuck_shut, "pump")), inlet_kPa(healthy) + 20.0);
  EXPECT_LT(inlet_kPa(with(FaultKind::kinked_hose, "push")), inlet_kPa(healthy) - 5.0);
  EXPECT_LT(inlet_kPa(with(FaultKind::wrong_set, "pump")), inlet_kPa(healthy) - 30.0);
  EXPECT_GT(inlet_kPa(with(FaultKind::wrong_set, "pump", 1.5)), inlet_kPa(healthy) + 30.0);
  // 5 L burned of 20 L ullage: 81.06 kPa, 20.3 kPa of vacuum before all else.
  EXPECT_NEAR(with(FaultKind::blocked_vent, "tank").pumps[0].inlet_over_ambient_Pa,
              healthy.pumps[0].inlet_over_ambient_Pa - 20.26e3, 300.0);
  EXPECT_TRUE(with(FaultKind::check_stuck_shut, "check").starved);
  EXPECT_TRUE(with(FaultKind::shut_off_shut, "cock").starved);
  EXPECT_GT(inlet_kPa(with(FaultKind::check_stuck_open, "check")), inlet_kPa(healthy) + 2.0);
}

// Current hardly follows voltage, volts at the motor do (part data 1.3): 0.2 Ohm at some 5.5 A take about 1.1 V.
TEST(PlantedFault, ABadGroundShowsAsVoltsNotAmperes) {
  const PointState healthy = solved(whole_sheet());
  const PointState bad = with(FaultKind::bad_ground, "pump");
  EXPECT_NEAR(bad.pumps[0].current_A, healthy.pumps[0].current_A, 0.05 * healthy.pumps[0].current_A);
  EXPECT_NEAR(healthy.pumps[0].connector_V - bad.pumps[0].connector_V, 0.2 * bad.pumps[0].current_A, 0.05);
  EXPECT_LT(bad.pumps[0].flow_m3_per_s, 0.96 * healthy.pumps[0].flow_m3_per_s);
}

// The two ways of saying it agree: the sheet, or the case.
TEST(PlantedFault, SheetAndCaseSayTheSame) {
  const std::vector<std::string> dead{"pump"};
  const PointState by_case = solved(whole_sheet(), {}, &dead);
  const PointState by_sheet = with(FaultKind::dead_pump, "pump");
  EXPECT_EQ(by_case.place_over_ambient_Pa, by_sheet.place_over_ambient_Pa);
  const PointState low = with(FaultKind::low_voltage, "");
  const PointState point = solved(whole_sheet(), {.voltage_V = 13.8 - 2.0});
  EXPECT_EQ(low.place_over_ambient_Pa, point.place_over_ambient_Pa);
}

// 0.5 mm hole at the pickup of a pump that sucks: Q = 0.611 A sqrt(2 dp/rho_air), carried to the engine as void.
TEST(PlantedFault, ACrackedPickupLetsAirIn) {
  const PointState cracked = with(FaultKind::cracked_pickup, "pickup");
  ASSERT_EQ(cracked.leaks.size(), 1U);
  const auto model = SupplyModel::build(
      apply({.kind = FaultKind::cracked_pickup, .part = "pickup"}, whole_sheet()).value(), {}, default_laws());
  const double over = cracked.place_over_ambient_Pa.at(model->place_of("pickup").value());
  ASSERT_LT(over, 0.0);
  const double expected = 0.611 * 3.14159265358979 * 0.25e-3 * 0.25e-3 * std::sqrt(2.0 * -over / 1.225);
  EXPECT_NEAR(cracked.leaks[0].air_m3_per_s, expected, 1e-3 * expected);
  EXPECT_GT(cracked.inlet_void, 10.0 * solved(whole_sheet()).inlet_void);
  EXPECT_LT(cracked.delivered_liquid_m3_per_s, cracked.taken_m3_per_s);
  // The pump swallows the air: its liquid falls by the void at its inlet.
  const PointState healthy = solved(whole_sheet());
  EXPECT_LT(cracked.pumps[0].flow_m3_per_s, healthy.pumps[0].flow_m3_per_s * (1.0 - 0.5 * cracked.pumps[0].inlet_void));
  // Behind the pump the same hole lets fuel out, no air in.
  const PointState outward = with(FaultKind::loose_joint, "push");
  EXPECT_EQ(outward.leaks[0].air_m3_per_s, 0.0);
  EXPECT_GT(outward.leaks[0].fuel_m3_per_s, 0.0);
}

TEST(PlantedFault, RefusesWhatDoesNotFit) {
  const LineSheet sheet = whole_sheet();
  EXPECT_EQ(apply({.kind = FaultKind::dead_pump, .part = "nobody"}, sheet).error().front().code, ErrorCode::not_found);
  EXPECT_EQ(apply({.kind = FaultKind::dead_pump, .part = "filter"}, sheet).error().front().where.field, "fault.part");
  EXPECT_EQ(apply({.kind = FaultKind::kinked_hose, .part = "push", .amount = 2.0}, sheet).error().front().where.field,
            "fault.amount");
  EXPECT_EQ(apply({.kind = FaultKind::dead_pump, .part = "pump", .amount = 2.0}, sheet).error().front().where.field,
            "fault.amount");
}

}  // namespace
}  // namespace fw::system
