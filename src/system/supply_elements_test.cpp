// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "hydraulics/annular.hpp"
#include "hydraulics/check_valve.hpp"
#include "hydraulics/friction.hpp"
#include "hydraulics/orifice.hpp"
#include "hydraulics/pipe.hpp"
#include "hydraulics/quick_connector.hpp"
#include "hydraulics/size_change.hpp"
#include "hydraulics/tee.hpp"
#include "numerics/stream.hpp"
#include "published_table.hpp"
#include "supply_rig.hpp"
#include "system/supply_model.hpp"

namespace fw::system {
namespace {

using test::build;
using test::line;
using test::named;
using test::over_Pa;
using test::row_of;
using test::sheet_of;
using test::solved;

constexpr double litre_per_hour = test::rig_litre_per_hour;
constexpr double gravity = 9.80665;
constexpr fuel::Liquid d20{.density_kg_per_m3 = 835.0, .dynamic_viscosity_Pa_s = 835.0 * 4.5e-6};

Stated fixed(double value) { return exactly(value); }

/// A pump that delivers one flow whatever the pressures, and does not spill.
Part fixed_pump(std::string id, double flow_L_per_h) {
  Part part = named(std::move(id), PartKind::pump);
  part.pump = Pump{.free_flow_m3_per_s = fixed(flow_L_per_h * litre_per_hour), .stopped = Stopped::blocks};
  return part;
}

double flow_of(const SupplyModel& model, const PointState& state, std::string_view part) {
  return state.place_flow_m3_per_s.at(model.place_of(part).value());
}
/// Pressure at the start of a leg.
double start_Pa(const SupplyModel& model, const PointState& state, std::string_view leg) {
  for (std::size_t i = 0; i < model.places().size(); ++i) {
    if (model.places()[i].leg == leg && model.places()[i].part_index == 0) return state.place_over_ambient_Pa[i];
  }
  throw std::runtime_error("no such leg");
}

// ---- tees ----

/// Two draws join at a tee; pumps fix both flows, so the split is that of the table.
LineSheet joining(double share, double beta, double flow_L_per_h, double viscosity) {
  LineSheet sheet = sheet_of({Leg{.id = "run",
                                  .from = "tank",
                                  .to = "tee",
                                  .parts = {fixed_pump("p", (1 - share) * flow_L_per_h), line("run-line", 8.0, 0.5)}},
                              Leg{.id = "side",
                                  .from = "tank",
                                  .to = "tee",
                                  .parts = {fixed_pump("s", share * flow_L_per_h), line("side-line", 8.0 * beta, 0.5)}},
                              Leg{.id = "feed", .from = "tee", .to = "engine", .parts = {line("feed-line", 8.0, 0.5)}}},
                             flow_L_per_h);
  // The tank takes what the pumps' rounding leaves over.
  sheet.legs.push_back(Leg{.id = "spare", .from = "engine-return", .to = "tank", .parts = {line("back", 8.0, 0.1)}});
  sheet.constant_kinematic_viscosity_m2_per_s = fixed(viscosity);
  sheet.junctions.push_back({.id = "tee", .tee = TeeFitting{.branch = "side"}});
  return sheet;
}

// hyd_tee_split.csv (Technical Paper 410) through a whole sheet: the drops between the ends of the legs, in turbulent
// flow of the combined leg (Re 17,700 at 1 mm2/s). The pumps hold the flows, the table says the drops.
TEST(Elements, AJoiningTeeLosesWhatTheTableSays) {
  const auto table = test::published_table("hydraulics/hyd_tee_split.csv");
  const double flow = 400.0 * litre_per_hour;
  const double velocity = flow / (std::numbers::pi * 16e-6);
  const double head_Pa = 0.5 * 835.0 * velocity * velocity;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const double share = table.number(row, "split");
    SCOPED_TRACE(row);
    const SupplyModel model = build(joining(share, table.number(row, "beta"), 400.0, 1e-6), {}, 0.0);
    const PointState state = solved(model);
    const double combined = start_Pa(model, state, "feed");
    // The slip of the pumps, 1e-12 m3/s/Pa, is what the flows differ by.
    EXPECT_NEAR(flow_of(model, state, "side-line") / flow, share, 1e-3);
    EXPECT_NEAR((over_Pa(model, state, "side-line") - combined) / head_Pa, table.number(row, "K_branch_converging"),
                2e-3 * std::max(1.0, std::abs(table.number(row, "K_branch_converging"))));
    EXPECT_NEAR((over_Pa(model, state, "run-line") - combined) / head_Pa, table.number(row, "K_run_converging"), 2e-3);
  }
}

// A dividing tee meets its own law at the flows that the whole network finds, in laminar and in turbulent flow, and a
// sheet with its run and branch told the other way round but otherwise equal finds other flows.
TEST(Elements, ADividingTeeMeetsItsLawAtTheFlowsFound) {
  for (const double viscosity : {1e-6, 2.5e-6, 4.5e-6, 20e-6}) {
    SCOPED_TRACE(viscosity);
    LineSheet sheet =
        sheet_of({Leg{.id = "draw", .from = "tank", .to = "tee", .parts = {line("draw-line", 8.0, 0.5)}},
                  Leg{.id = "left", .from = "tee", .to = "join", .parts = {line("left-line", 8.0, 1.0)}},
                  Leg{.id = "right", .from = "tee", .to = "join", .parts = {line("right-line", 6.0, 1.0)}},
                  Leg{.id = "feed", .from = "join", .to = "engine", .parts = {line("feed-line", 8.0, 0.5)}}},
                 250.0);
    sheet.constant_kinematic_viscosity_m2_per_s = fixed(viscosity);
    const SupplyModel plain = build(sheet);
    sheet.junctions.push_back({.id = "tee", .tee = TeeFitting{.branch = "right"}});
    const SupplyModel model = build(sheet);
    const PointState state = solved(model);
    EXPECT_GT(state.passes, 1);
    const double left = flow_of(model, state, "left-line");
    const double right = flow_of(model, state, "right-line");
    EXPECT_NEAR(left + right, 250.0 * litre_per_hour, 1e-9);
    const auto law = hydraulics::tee_drops(
                         {.run_bore_m = 8e-3, .branch_bore_m = 6e-3},
                         {.first_run_m3_per_s = left + right, .second_run_m3_per_s = -left, .branch_m3_per_s = -right},
                         {.density_kg_per_m3 = 835.0, .dynamic_viscosity_Pa_s = 835.0 * viscosity})
                         .value();
    const double combined = over_Pa(model, state, "draw-line");
    EXPECT_NEAR(combined - start_Pa(model, state, "left"), -law.second_run_Pa, 0.3);
    EXPECT_NEAR(combined - start_Pa(model, state, "right"), -law.branch_Pa, 0.3);
    // Turning off costs more than running through: less goes into the branch than without a tee.
    EXPECT_LT(right, flow_of(plain, solved(plain), "right-line"));
  }
}

TEST(Elements, ATeeNamesWhatIsWrong) {
  LineSheet sheet = joining(0.3, 1.0, 200.0, 4.5e-6);
  sheet.junctions[0].tee->branch = "nobody";
  EXPECT_EQ(validate(sheet).error().front().where.field, "junction.tee.branch");
  sheet = joining(0.3, 1.0, 200.0, 4.5e-6);
  sheet.legs.push_back(Leg{.id = "fourth", .from = "tank", .to = "tee", .parts = {line("fourth-line", 8.0, 1.0)}});
  EXPECT_EQ(validate(sheet).error().front().where.field, "junction.tee.tee");
}

// ---- valves ----

// hyd_worked, check poppet: the sheet's valve is the two-point law of the poppet, whose deviation check_valve_test
// measures (26 % of flow at most); here the sheet meets the law itself.
TEST(Elements, ASpringPoppetFollowsItsLaw) {
  const hydraulics::SpringPoppet poppet{.seat_bore_m = 8e-3,
                                        .cone_half_angle_rad = std::numbers::pi / 4.0,
                                        .preload_N = 0.25,
                                        .rate_N_per_m = 200.0,
                                        .lift_stop_m = 2e-3};
  Part check = named("check", PartKind::check);
  check.valve = Valve{.spring = Spring{.seat_m = fixed(8e-3),
                                       .cone_half_angle_rad = fixed(std::numbers::pi / 4.0),
                                       .preload_N = fixed(0.25),
                                       .rate_N_per_m = fixed(200.0),
                                       .lift_m = fixed(2e-3)}};
  for (const double flow_L_per_h : {40.66755, 257.10474}) {
    const SupplyModel model = build(row_of({line("before", 12.7, 0.1), check, line("after", 12.7, 0.1)}, flow_L_per_h));
    const PointState state = solved(model);
    const auto law = hydraulics::poppet_law(poppet, d20).value();
    const double q = flow_L_per_h * litre_per_hour;
    EXPECT_NEAR(over_Pa(model, state, "before") - over_Pa(model, state, "check"),
                law.crack_Pa + law.linear_Pa_s_per_m3 * q + law.quadratic_Pa_s2_per_m6 * q * q, 0.1);
  }
}

// Part data: 6.0 mm, Cd 0.65: 8.430 kPa over crack at 300 L/h of 817 kg/m3; x 835/817.09 here. And "3 kPa at 150 L/h".
TEST(Elements, AnOpenCheckLosesByItsSquare) {
  Part by_bore = named("check", PartKind::check);
  by_bore.valve = Valve{.crack_Pa = fixed(3e3), .open_bore_m = fixed(6e-3)};
  Part by_drop = named("check", PartKind::check);
  by_drop.valve = Valve{.crack_Pa = fixed(7e3), .drop_Pa = fixed(3e3), .at_flow_m3_per_s = fixed(150 * litre_per_hour)};
  const auto drop = [](const Part& check, double flow_L_per_h) {
    const SupplyModel model = build(row_of({line("before", 12.7, 0.1), check, line("after", 12.7, 0.1)}, flow_L_per_h));
    const PointState state = solved(model);
    return over_Pa(model, state, "before") - over_Pa(model, state, "check");
  };
  EXPECT_NEAR(drop(by_bore, 300.0), 3e3 + 8430.0 * 835.0 / 817.09, 80.0);
  EXPECT_NEAR(drop(by_drop, 300.0), 7e3 + 4.0 * 3e3 * 835.0 / 817.09, 60.0);
}

/// A pump of 200 L/h feeds 60 to the engine; the rest goes through the relief in the second leg.
LineSheet relieved(const Valve& valve) {
  Part relief = named("relief", PartKind::relief);
  relief.valve = valve;
  return sheet_of(
      {Leg{.id = "draw", .from = "tank", .to = "tee", .parts = {fixed_pump("pump", 200.0), line("push", 12.7, 0.1)}},
       Leg{.id = "spill", .from = "tee", .to = "tank", .parts = {relief, line("thin", 5.0, 2.0)}},
       Leg{.id = "feed", .from = "tee", .to = "engine", .parts = {line("feed-line", 12.7, 0.1)}}},
      60.0);
}

// Held pressure = set + slope x spilled (+ back-pressure unless balanced); 8 kPa of hysteresis lowers it on the way
// down, and both branches are there to be computed.
TEST(Elements, AReliefInTheLegHasSlopeHysteresisAndBackPressure) {
  Valve valve{.crack_Pa = fixed(60e3),
              .drop_Pa = fixed(10e3),
              .at_flow_m3_per_s = fixed(100 * litre_per_hour),
              .hysteresis_Pa = fixed(8e3)};
  const LineSheet sheet = relieved(valve);
  const auto ways = branches(sheet);
  ASSERT_EQ(ways.size(), 2U);
  const auto held = [](const SupplyModel& model) {
    const PointState state = solved(model);
    // 140 L/h less the slip of the pump, 1e-12 m3/s/Pa.
    EXPECT_NEAR(flow_of(model, state, "thin"), 140 * litre_per_hour - 1e-12 * over_Pa(model, state, "push"), 1e-10);
    return std::array{start_Pa(model, state, "spill"), over_Pa(model, state, "relief"),
                      10e3 * flow_of(model, state, "thin") / (100 * litre_per_hour)};
  };
  const auto [opening, behind, rise] = held(build(sheet, ways[0], 0.0));
  EXPECT_NEAR(rise, 14e3, 50.0);
  EXPECT_GT(behind, 2e3);
  EXPECT_NEAR(opening - behind, 60e3 + rise, 1.0);
  const auto [closing, behind_closing, rise_closing] = held(build(sheet, ways[1], 0.0));
  EXPECT_NEAR(closing - behind_closing, 52e3 + rise_closing, 1.0);
  EXPECT_NE(ways[1].title.find("fallen"), std::string::npos);
  valve.balanced = true;
  const auto [balanced, behind_balanced, rise_balanced] = held(build(relieved(valve), ways[0], 0.0));
  EXPECT_GT(behind_balanced, 2e3);
  EXPECT_NEAR(balanced, 60e3 + rise_balanced, 2.0);
}

TEST(Elements, ARegulatorRisesByItsSlope) {
  Part regulator = named("regulator", PartKind::regulator);
  regulator.valve = Valve{.crack_Pa = fixed(76e3)};
  const auto held = [&] {
    const SupplyModel model =
        build(row_of({fixed_pump("pump", 300.0), line("push", 12.7, 0.1), regulator, line("feed", 12.7, 0.1)}, 100.0),
              {}, 0.0);
    return over_Pa(model, solved(model), "regulator");
  };
  EXPECT_NEAR(held(), 76e3, 10.0);
  regulator.valve->drop_Pa = fixed(8e3);
  regulator.valve->at_flow_m3_per_s = fixed(100 * litre_per_hour);
  // Less the slip of the pump, 1e-12 m3/s/Pa at 92 kPa: 26 Pa.
  EXPECT_NEAR(held(), 76e3 + 2.0 * 8e3 - 1e-12 * 92e3 * 8e3 / (100 * litre_per_hour), 5.0);
}

// ---- short passages ----

// Q = Cd A sqrt(2 dp/rho), Cd of hyd_orifice_cd's law at the flow found: both branches and the blend between.
TEST(Elements, AShortTubeDischargesAsItsFlowSays) {
  for (const double length_mm : {1.0, 6.0, 40.0, 120.0}) {
    SCOPED_TRACE(length_mm);
    Part tube = named("tube", PartKind::short_tube);
    tube.short_tube = ShortTube{.bore_m = fixed(2e-3), .length_m = fixed(length_mm * 1e-3)};
    const SupplyModel model = build(row_of({line("before", 12.7, 0.1), tube, line("after", 12.7, 0.1)}, 30.0));
    const PointState state = solved(model);
    const double drop = over_Pa(model, state, "before") - over_Pa(model, state, "tube");
    const double q = 30.0 * litre_per_hour;
    const double area = std::numbers::pi * 1e-6;
    const double cd = hydraulics::short_tube_discharge(q / area * 2e-3 / 4.5e-6, length_mm / 2.0).value();
    EXPECT_NEAR(cd * area * std::sqrt(2.0 * drop / 835.0), q, 1e-4 * q);
  }
}

// hyd_worked: d 10 mm, c 10 um, L 10 mm, 1 MPa: 0.250826 L/h centred, 0.627064 touching.
TEST(Elements, AGapLeaksAsTheWorkedRows) {
  for (const auto& [eccentricity, flow_L_per_h] : {std::pair{0.0, 0.250826}, std::pair{1.0, 0.627064}}) {
    Part gap = named("gap", PartKind::gap);
    gap.gap = Gap{.diameter_m = fixed(10e-3),
                  .clearance_m = fixed(10e-6),
                  .length_m = fixed(10e-3),
                  .eccentricity = fixed(eccentricity)};
    Part regulator = named("regulator", PartKind::regulator);
    regulator.valve = Valve{.crack_Pa = fixed(1e6)};
    LineSheet sheet =
        sheet_of({Leg{.id = "draw",
                      .from = "tank",
                      .to = "tee",
                      .parts = {fixed_pump("pump", 100.0), line("push", 12.7, 0.1), regulator}},
                  Leg{.id = "leak", .from = "tee", .to = "tank", .parts = {gap}},
                  Leg{.id = "feed", .from = "tee", .to = "engine", .parts = {line("feed-line", 12.7, 0.1)}}},
                 10.0);
    const SupplyModel model = build(sheet, {}, 0.0);
    EXPECT_NEAR(flow_of(model, solved(model), "gap") / litre_per_hour, flow_L_per_h, 2e-3 * flow_L_per_h);
  }
}

TEST(Elements, AnAngledConnectorCostsItsStemAndItsElbow) {
  const auto drop = [](bool angled) {
    Part connector = named("connector", PartKind::connector);
    connector.passage = Passage{.bore_m = fixed(6e-3), .length_m = fixed(0.030), .angled = angled};
    const SupplyModel model = build(row_of({line("before", 9.5, 1.0), connector, line("after", 9.5, 1.0)}, 60.0));
    const PointState state = solved(model);
    return over_Pa(model, state, "before") - over_Pa(model, state, "connector");
  };
  EXPECT_NEAR(drop(false), 488.735, 0.5);  // hydraulics page 2: 9.5 mm hose with one 6.0 mm x 30 mm stem
  const auto law = hydraulics::quick_connector_law({.upstream_bore_m = 9.5e-3,
                                                    .bore_m = 6e-3,
                                                    .length_m = 0.030,
                                                    .downstream_bore_m = 9.5e-3,
                                                    .form = hydraulics::ConnectorForm::elbow_90},
                                                   d20)
                       .value();
  const double q = 60.0 * litre_per_hour;
  EXPECT_NEAR(drop(true),
              (law.laminar_resistance_Pa_s_per_m3 + law.linear_Pa_s_per_m3) * q + law.quadratic_Pa_s2_per_m6 * q * q,
              0.5);
}

// ---- tanks ----

// Blocked vent, 20 L of air, 5 L burned: 101325 x 20/25 = 81,060 Pa over the fuel (the row of 81.1 kPa).
TEST(Elements, ABlockedVentPullsTheTankDown) {
  LineSheet sheet = row_of({line("feed", 12.7, 0.1)}, 10.0);
  sheet.tanks[0].level = fixed(0.5);
  sheet.tanks[0].vent =
      Vent{.bore_m = fixed(3e-3), .blocked = true, .ullage_m3 = fixed(0.020), .burned_m3 = fixed(0.005)};
  const SupplyModel blocked = build(sheet);
  const PointState state = solved(blocked);
  sheet.tanks[0].vent->blocked = false;
  const SupplyModel open = build(sheet);
  EXPECT_NEAR(solved(open).inlet_over_ambient_Pa - state.inlet_over_ambient_Pa, 101325.0 - 81060.0, 1.0);
}

// Hand: two tanks 2 m apart on 10 % stand rho g 0.2 m apart: the crossover carries what that head drives through its
// laminar line, 128 mu L Q/(pi d^4), mouth and end.
TEST(Elements, ASlopeDrivesTheCrossover) {
  LineSheet sheet = sheet_of(
      {Leg{.id = "supply", .from = "tank", .to = "engine", .parts = {line("feed", 12.7, 0.5)}},
       Leg{.id = "crossover", .from = "far", .to = "tank", .mouth_loss = 1.5, .parts = {line("cross", 6.0, 10.0)}}},
      60.0);
  Tank far = sheet.tanks.front();
  far.id = "far";
  far.along_m = fixed(2.0);
  sheet.tanks[0].along_m = fixed(0.0);
  sheet.tanks.push_back(far);
  const SupplyModel model = build(sheet);
  EXPECT_NEAR(flow_of(model, solved(model), "cross"), 0.0, 1e-12);
  const double q = flow_of(model, solved(model, {.slope = 0.10}), "cross");
  const double velocity = q / (std::numbers::pi * 9e-6);
  ASSERT_LT(velocity * 6e-3 / 4.5e-6, 1500.0);  // laminar
  const double lost = 128.0 * 835.0 * 4.5e-6 * 10.0 * q / (std::numbers::pi * std::pow(6e-3, 4)) +
                      3.5 * 0.5 * 835.0 * velocity * velocity;
  EXPECT_NEAR(lost, 835.0 * gravity * 0.2, 2.0);
  EXPECT_NEAR(flow_of(model, solved(model, {.slope = -0.10}), "cross"), -q, 2e-2 * q);
}

// ---- gas and air ----

/// A pump on a suction line of 7 mm, all its flow to the engine.
LineSheet sucking(const Pump& pump) {
  Part part = named("pump", PartKind::pump);
  part.pump = pump;
  part.pump->stopped = Stopped::blocks;
  Part strainer = named("strainer", PartKind::strainer);
  strainer.medium = Medium{
      .clean_drop_Pa = fixed(40e3), .at_flow_m3_per_s = fixed(150 * litre_per_hour), .quadratic_share = fixed(0.0)};
  LineSheet sheet = row_of({line("draw", 9.5, 0.5), strainer, part, line("push", 12.7, 0.2)}, 150.0);
  sheet.fuel = "d975_2d";
  return sheet;
}

// Gas at the inlet takes the place of liquid: the rotor's whole volume is the curve's, the liquid is (1 - void) of it.
TEST(Elements, GasThinsTurbineAndCurvePumps) {
  Pump turbine{.dead_head_Pa = fixed(500e3), .turbine_free_flow_m3_per_s = fixed(400 * litre_per_hour)};
  Pump curve;
  curve.curve = {{fixed(0.0), fixed(500e3)}, {fixed(400 * litre_per_hour), fixed(0.0)}};
  for (const Pump& pump : {turbine, curve}) {
    const LineSheet sheet = sucking(pump);
    const SupplyModel dry = build(sheet, {}, 0.0);
    const SupplyModel gassing = build(sheet, {}, 1.0);
    const PumpAnswer without = solved(dry).pumps.at(0);
    const PumpAnswer with = solved(gassing).pumps.at(0);
    EXPECT_EQ(without.inlet_void, 0.0);
    ASSERT_GT(with.inlet_void, 0.05);
    const double whole = with.flow_m3_per_s / (1.0 - with.inlet_void);
    EXPECT_NEAR(with.rise_Pa, 500e3 * (1.0 - whole / (400 * litre_per_hour)), 50.0);
    EXPECT_LT(with.rise_Pa, without.rise_Pa - 1e4);
  }
}

// A leak before a junction: its air is shared as the flows, and what goes back to the tank takes its share along.
TEST(Elements, LeakedAirIsSharedAtAJunction) {
  Part cracked = line("draw-line", 6.0, 2.0);
  cracked.condition.air_leak_m = fixed(0.3e-3);
  LineSheet sheet = sheet_of({Leg{.id = "draw", .from = "tank", .to = "tee", .parts = {cracked}},
                              Leg{.id = "back",
                                  .from = "tee",
                                  .to = "tank",
                                  .parts = {fixed_pump("side", 120.0), line("back-line", 9.5, 1.0)}},
                              Leg{.id = "feed", .from = "tee", .to = "engine", .parts = {line("feed-line", 9.5, 0.5)}}},
                             60.0);
  const SupplyModel model = build(sheet, {}, 0.0);
  const PointState state = solved(model);
  ASSERT_GT(state.leaks.at(0).air_m3_per_s, 0.0);
  // The concentration is one: air over all the liquid that passes the junction.
  const double side = flow_of(model, state, "back-line");
  const double per_liquid = state.leaks[0].air_m3_per_s / (side + 60.0 * litre_per_hour);
  const double inlet = state.inlet_over_ambient_Pa + state.ambient_Pa;
  const double gas = per_liquid * state.ambient_Pa / inlet;
  EXPECT_NEAR(state.inlet_void, gas / (1.0 + gas), 1e-4 * state.inlet_void);
  const double pump_gas = per_liquid * state.ambient_Pa / (state.pumps[0].inlet_over_ambient_Pa + state.ambient_Pa);
  EXPECT_NEAR(state.pumps[0].inlet_void, pump_gas / (1.0 + pump_gas), 1e-4 * state.inlet_void);
}

// ---- fuel ----

TEST(Elements, AFuelReportTakesThePlaceOfTheGrade) {
  LineSheet sheet = row_of({line("feed", 9.5, 2.0)}, 60.0);
  sheet.fuel = "d975_2d";
  Stated density;
  density.value = 830.0;
  density.spread = {.kind = SpreadKind::normal, .half_width = 4.15};
  sheet.fuel_report = FuelReport{
      .density_15C_kg_per_m3 = density, .viscosity_40C_m2_per_s = fixed(2.0e-6), .cloud_point_K = fixed(268.15)};
  const auto fuel = fuel_of_sheet(sheet).value();
  EXPECT_EQ(fuel.cloud_point_K, 268.15);
  EXPECT_EQ(fuel.cfpp_K, 258.15);  // the grade's -15 C stands: it lies below the reported cloud point
  const SupplyModel model = build(sheet);
  const PointState state = solved(model, {.fuel_temperature_K = 313.15});
  EXPECT_NEAR(state.liquid.kinematic_viscosity_m2_per_s(), 2.0e-6, 4e-10);  // 0.01 %: the inverse of D341
  EXPECT_NEAR(solved(model, {.fuel_temperature_K = 288.15}).liquid.density_kg_per_m3, 830.0, 1e-6);
  // Its own doubt, 0.5 %, instead of the grade's 1 %.
  const auto found = std::ranges::find(model.inputs(), "fuel_report.density", &Stated::id);
  ASSERT_NE(found, model.inputs().end());
  EXPECT_NEAR(found->spread.half_width, 0.005, 1e-12);
  EXPECT_EQ(std::ranges::count(model.inputs(), "law.fuel-density", &Stated::id), 0);

  sheet.fuel_report->cloud_point_K = fixed(253.15);  // below the grade's plugging point: that says nothing any more
  EXPECT_TRUE(std::isnan(fuel_of_sheet(sheet)->cfpp_K));
  sheet.fuel_report->cfpp_K = fixed(263.15);
  EXPECT_EQ(fuel_of_sheet(sheet).error().front().where.field, "fuel_report.cfpp");
  sheet.fuel_report = FuelReport{.density_15C_kg_per_m3 = fixed(1200.0)};
  EXPECT_FALSE(fuel_of_sheet(sheet));
  sheet.fuel = "constant";
  EXPECT_EQ(fuel_of_sheet(sheet).error().front().where.field, "fuel_report");
}

// ---- properties over random sheets ----

double uniform(std::string_view what, std::uint32_t sample, double low, double high) {
  return low + (high - low) * numerics::uniform(11, numerics::key_of(what), numerics::Purpose::synthetic, sample);
}

/// Two ways from the tank to the engine, one with a pump, and a return.
LineSheet random_sheet(std::uint32_t sample) {
  Part pump = named("pump", PartKind::pump);
  pump.pump = Pump{.stopped = Stopped::blocks};
  pump.pump->curve = {{fixed(0.0), fixed(uniform("head", sample, 5e4, 5e5))},
                      {fixed(uniform("free", sample, 100, 400) * litre_per_hour), fixed(0.0)}};
  Part high = line("push", uniform("d2", sample, 6, 13), uniform("l2", sample, 0.2, 4));
  high.end_height_m = fixed(uniform("z", sample, 0.0, 1.0));
  LineSheet sheet = sheet_of(
      {Leg{.id = "first",
           .from = "tank",
           .to = "engine",
           .parts = {line("draw", uniform("d1", sample, 6, 13), uniform("l1", sample, 0.2, 4)), pump, high,
                     line("drop", 9.5, 0.5)}},
       Leg{.id = "second", .from = "tank", .to = "engine", .parts = {line("other", uniform("d3", sample, 4, 8), 3.0)}},
       Leg{.id = "back",
           .from = "engine-return",
           .to = "tank",
           .parts = {line("return", uniform("d4", sample, 6, 10), 2.0)}}},
      uniform("q", sample, 10, 200));
  sheet.constant_kinematic_viscosity_m2_per_s = fixed(uniform("nu", sample, 1.5e-6, 12e-6));
  return sheet;
}

/// Loss of a line at its flow by its own law, without the network.
double lost_Pa(const Part& part, double flow, const fuel::Liquid& liquid) {
  const auto law = hydraulics::pipe_law({.bore_m = part.line->bore_m.value,
                                         .length_m = part.line->length_m.value,
                                         .roughness_m = part.line->roughness_m.value},
                                        liquid)
                       .value();
  const double phi = hydraulics::pipe_friction_factor({.reynolds = law.reynolds_per_flow_s_per_m3 * std::abs(flow),
                                                       .relative_roughness = law.relative_roughness})
                         ->phi;
  return phi * law.laminar_resistance_Pa_s_per_m3 * flow;
}

// What the pump puts in is what the lines, the mouths and the end turn to heat, plus what lifts the fuel and presses it
// at the engine: sum over all parts of flow x loss by the part's own law, against pump power and the work at the ends.
TEST(SupplyProperty, EnergyBalances) {
  for (std::uint32_t sample = 0; sample < 200; ++sample) {
    SCOPED_TRACE(sample);
    const LineSheet sheet = random_sheet(sample);
    const SupplyModel model = build(sheet);
    const PointState state = solved(model);
    if (state.starved) continue;
    const double rho_g = state.liquid.density_kg_per_m3 * gravity;
    double lost = 0.0;
    double scale = 0.0;
    for (const Leg& leg : sheet.legs) {
      for (const Part& part : leg.parts) {
        if (!part.line) continue;
        const double q = flow_of(model, state, part.id);
        lost += q * lost_Pa(part, q, state.liquid);
        scale += std::abs(q * lost_Pa(part, q, state.liquid));
      }
    }
    const auto head = [&](const Part& part, double q) {
      const double v = q / (std::numbers::pi * std::pow(part.line->bore_m.value, 2) / 4.0);
      return 0.5 * state.liquid.density_kg_per_m3 * v * std::abs(v);
    };
    // Mouth K 0.8 on the first line, end K 2 on the last, each with its least resistance of 1e3 Pa s/m3.
    for (const auto& [id, k] : {std::pair{"draw", 0.8}, std::pair{"other", 0.8}, std::pair{"return", 2.0}}) {
      const double q = flow_of(model, state, id);
      lost += k * q * head(*sheet.find_part(id), q) + 1e3 * q * q;
    }
    // Square shoulder from the high line to the last one, as the size-change law gives it.
    const double push = flow_of(model, state, "push");
    const auto shoulder = hydraulics::size_change_law(
        {.upstream_bore_m = sheet.find_part("push")->line->bore_m.value, .downstream_bore_m = 9.5e-3}, state.liquid);
    if (shoulder) lost += push * hydraulics::drop_Pa(*shoulder, push);
    const PumpAnswer& pump = state.pumps.at(0);
    const double power = pump.flow_m3_per_s * pump.rise_Pa;
    // Surface at 0.2 m under ambient; engine at 0.2 m; the return starts at the engine's height.
    const double engine_work = state.taken_m3_per_s * state.inlet_over_ambient_Pa;
    const double return_work = flow_of(model, state, "return") * start_Pa(model, state, "back");
    scale += std::abs(power) + std::abs(engine_work) + std::abs(return_work) + rho_g * state.taken_m3_per_s;
    EXPECT_NEAR(power, lost + engine_work - return_work, 1e-6 * scale);
  }
}

// A narrower bore anywhere never raises the flow through that line, taken along its pressure.
TEST(SupplyProperty, MoreRestrictionNeverRaisesTheFlow) {
  for (std::uint32_t sample = 0; sample < 100; ++sample) {
    SCOPED_TRACE(sample);
    const LineSheet sheet = random_sheet(sample);
    LineSheet tight = sheet;
    tight.legs[1].parts[0].line->bore_m = fixed(0.8 * sheet.legs[1].parts[0].line->bore_m.value);
    const SupplyModel a = build(sheet);
    const SupplyModel b = build(tight);
    const double wide = flow_of(a, solved(a), "other");
    const double narrow = flow_of(b, solved(b), "other");
    EXPECT_LE(std::abs(narrow), std::abs(wide) * (1.0 + 1e-6) + 1e-12);
    EXPECT_GE(narrow * wide, 0.0);
  }
}

// The same legs in another order, and told with other ids, give the same pressures and flows.
TEST(SupplyProperty, MirroredSheetsAgree) {
  for (std::uint32_t sample = 0; sample < 50; ++sample) {
    SCOPED_TRACE(sample);
    const LineSheet sheet = random_sheet(sample);
    LineSheet mirrored = sheet;
    std::swap(mirrored.legs[0], mirrored.legs[1]);
    mirrored.legs[0].id = "renamed";
    const SupplyModel a = build(sheet);
    const SupplyModel b = build(mirrored);
    const PointState one = solved(a);
    const PointState two = solved(b);
    EXPECT_NEAR(one.inlet_over_ambient_Pa, two.inlet_over_ambient_Pa, 1e-3);
    for (const char* part : {"draw", "push", "other", "return"}) {
      EXPECT_NEAR(flow_of(a, one, part), flow_of(b, two, part), 1e-7 * one.demand_m3_per_s) << part;
    }
  }
}

// Laminar limit: ten times the viscosity and a tenth of the flow leave every drop where it was (Poiseuille), up to the
// mouth's and the shoulder's quadratic share.
TEST(SupplyProperty, LaminarFlowScales) {
  LineSheet thin = row_of({line("feed", 6.0, 20.0)}, 10.0);
  LineSheet thick = row_of({line("feed", 6.0, 20.0)}, 1.0);
  thick.constant_kinematic_viscosity_m2_per_s = fixed(45e-6);
  const double a = solved(build(thin)).inlet_over_ambient_Pa;
  const double b = solved(build(thick)).inlet_over_ambient_Pa;
  EXPECT_LT(a, -100.0);
  EXPECT_NEAR(a, b, 2e-3 * std::abs(a));
}

}  // namespace
}  // namespace fw::system
