// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "hydraulics/banjo.hpp"
#include "hydraulics/size_change.hpp"
#include "numerics/stream.hpp"
#include "supply_rig.hpp"
#include "system/supply_model.hpp"

namespace fw::system {
namespace {

using test::build;
using test::line;
using test::named;
using test::over_Pa;
using test::row_of;
using test::solved;

constexpr double litre_per_hour = test::rig_litre_per_hour;

Stated fixed(double value) { return exactly(value); }

// hydraulics page 2: D20, 9.5 mm hose with a stem of 6.0 mm x 30 mm: 60 / 180 L/h -> 488.735 / 3839.13 Pa.
TEST(SupplyParts, AStemCostsWhatThePageSays) {
  struct Row {
    double flow_L_per_h, drop_Pa;
  };
  for (const Row& row : {Row{60.0, 488.735}, Row{180.0, 3839.13}}) {
    Part stem = named("stem", PartKind::stem);
    stem.passage = Passage{.bore_m = fixed(6e-3), .length_m = fixed(0.030)};
    const SupplyModel model =
        build(row_of({line("before", 9.5, 1.0), stem, line("after", 9.5, 1.0)}, row.flow_L_per_h));
    const PointState state = solved(model);
    EXPECT_NEAR(over_Pa(model, state, "before") - over_Pa(model, state, "stem"), row.drop_Pa, 1e-3 * row.drop_Pa);
  }
}

// Two lines that meet: a shoulder of the laminar law, (1.2 + 160/Re1)(r^4 - 1) on the upstream velocity head.
TEST(SupplyParts, LinesOfDifferentBoreCostAShoulder) {
  const SupplyModel meets = build(row_of({line("wide", 9.5, 1.0), line("narrow", 6.0, 1.0)}));
  const SupplyModel alone =
      build(row_of({line("wide", 9.5, 1.0), named("sump", PartKind::sump), line("narrow", 6.0, 1.0)}));
  const PointState with = solved(meets);
  const PointState without = solved(alone);
  const double flow = 60.0 * litre_per_hour;
  const double area = 3.14159265358979 * 9.5e-3 * 9.5e-3 / 4.0;
  const double re = flow / area * 9.5e-3 / 4.5e-6;
  const double r = 9.5 / 6.0;
  const double shoulder = (1.2 + 160.0 / re) * (r * r * r * r - 1.0) * 0.5 * 835.0 * std::pow(flow / area, 2);
  EXPECT_NEAR(over_Pa(alone, without, "narrow") - over_Pa(meets, with, "narrow"), shoulder, 1e-3 * shoulder);
}

TEST(SupplyParts, ABanjoCostsItsLaw) {
  Part banjo = named("banjo", PartKind::banjo);
  banjo.banjo = Banjo{.bolt_bore_m = fixed(5.5e-3), .hole_bore_m = fixed(4.5e-3)};
  const SupplyModel model = build(row_of({line("before", 7.75, 1.0), banjo, line("after", 7.75, 1.0)}));
  const PointState state = solved(model);
  const auto law = hydraulics::banjo_law({.bolt_bore_m = 5.5e-3, .hole_bore_m = 4.5e-3}, state.liquid).value();
  const double q = 60.0 * litre_per_hour;
  // Laminar in the bolt (Re 857): friction is r Q.
  const double drop =
      (law.laminar_resistance_Pa_s_per_m3 + law.linear_Pa_s_per_m3) * q + law.quadratic_Pa_s2_per_m6 * q * q;
  EXPECT_NEAR(over_Pa(model, state, "before") - over_Pa(model, state, "banjo"), drop, 1e-3 * drop);
}

// ISO 2533: 70108.5 Pa at 3,000 m. Slope: rho g x lifts a place 4 m forward on 10 % by 0.4 m.
TEST(SupplyParts, AltitudeAndSlopeCount) {
  LineSheet sheet = row_of({line("feed", 9.5, 1.0)});
  sheet.engine.inlet_along_m = fixed(4.0);
  const SupplyModel model = build(sheet);
  const PointState level = solved(model);
  const PointState up = solved(model, {.slope = 0.10});
  EXPECT_NEAR(level.inlet_over_ambient_Pa - up.inlet_over_ambient_Pa, 835.0 * 9.80665 * 0.4, 1.0);
  EXPECT_NEAR(solved(model, {.altitude_m = 3000.0}).ambient_Pa, 70108.5, 1.0);
}

Part curve_pump() {
  Part pump = named("pump", PartKind::pump);
  pump.pump = Pump{.surplus = Surplus::to_own_inlet, .stopped = Stopped::blocks};
  // 500 kPa at rest, 400 L/h free: turbine law of the hydraulics page, 275 kPa at 180 L/h; at r 0.8 140 kPa.
  pump.pump->curve = {{fixed(0.0), fixed(500e3)}, {fixed(400 * litre_per_hour), fixed(0.0)}};
  return pump;
}

TEST(SupplyParts, APumpByPointsFollowsAffinity) {
  const SupplyModel model = build(row_of({line("draw", 12.7, 0.1), curve_pump(), line("push", 12.7, 0.1)}, 180.0));
  EXPECT_NEAR(solved(model).pumps.at(0).rise_Pa, 275e3, 30.0);
  EXPECT_NEAR(solved(model, {.voltage_V = 0.8 * 13.8}).pumps.at(0).rise_Pa, 140e3, 30.0);
}

// 10 m of 12 AWG at 80 C + 26 mOhm = 0.09039 Ohm, small gerotor G1 at 70 kPa: 339.19 L/h and 5.190 A (part data 1.3).
TEST(SupplyParts, TheWireTakesVoltsFromTheMotor) {
  Part pump = named("pump", PartKind::pump);
  pump.pump = Pump{.displacement_m3 = fixed(1.6e-6),
                   .slip = fixed(5e-7),
                   .viscous_drag = fixed(3e4),
                   .friction_share = fixed(0.2),
                   .friction_torque_N_m = fixed(0.12),
                   .motor_constant_V_s = fixed(0.0285),
                   .motor_resistance_ohm = fixed(0.45),
                   .wiring = Wiring{.area_m2 = fixed(3.3088e-6),
                                    .length_m = fixed(10.0),
                                    .temperature_K = fixed(353.15),
                                    .contacts = 1,
                                    .contact_ohm = fixed(26e-3),
                                    .relay_ohm = fixed(0.0)},
                   .set_Pa = fixed(70e3),
                   .relief_reference = ReliefReference::own_inlet,
                   .surplus = Surplus::to_own_inlet,
                   .stopped = Stopped::blocks};
  LineSheet sheet = row_of({line("draw", 20.0, 0.1), pump, line("push", 12.7, 0.1)});
  sheet.constant_density_kg_per_m3 = fixed(820.0);
  sheet.constant_kinematic_viscosity_m2_per_s = fixed(2.7e-6);
  const PumpAnswer answer = solved(build(sheet)).pumps.at(0);
  EXPECT_NEAR(answer.current_A, 5.190, 0.005 * 5.190);
  EXPECT_NEAR(answer.flow_m3_per_s / litre_per_hour, 339.19, 0.005 * 339.19);
  EXPECT_NEAR(answer.supply_V - answer.connector_V, 5.190 * 0.09039, 0.01);
}

Part two_point_pump(ReliefReference reference, Surplus surplus) {
  Part pump = named("pump", PartKind::pump);
  pump.pump = Pump{.free_flow_m3_per_s = fixed(300 * litre_per_hour),
                   .set_Pa = fixed(60e3),
                   .relief_reference = reference,
                   .surplus = surplus,
                   .stopped = Stopped::blocks};
  return pump;
}

// What the relief refers to decides what is held, where it spills decides what is sucked.
TEST(SupplyParts, CrossedReliefsHoldWhatTheyReferTo) {
  const auto answer = [&](ReliefReference reference, Surplus surplus) {
    LineSheet sheet = row_of({line("draw", 7.0, 2.0), two_point_pump(reference, surplus), line("push", 12.7, 0.1)});
    sheet.tanks[0].pickup_height_m = fixed(0.2);
    return solved(build(sheet)).pumps.at(0);
  };
  const PumpAnswer to_tank = answer(ReliefReference::own_inlet, Surplus::to_tank);
  EXPECT_NEAR(to_tank.rise_Pa, 60e3, 50.0);
  const PumpAnswer to_inlet = answer(ReliefReference::tank, Surplus::to_own_inlet);
  EXPECT_NEAR(to_inlet.rise_Pa + to_inlet.inlet_over_ambient_Pa, 60e3, 50.0);
  // 300 L/h sucked against 60: deeper vacuum.
  EXPECT_LT(to_tank.inlet_over_ambient_Pa, 3.0 * to_inlet.inlet_over_ambient_Pa);
}

// A set with 8 kPa of hysteresis holds 60 kPa when the pressure has risen to it and 52 when it has fallen.
TEST(SupplyParts, HysteresisChoosesTheSet) {
  Part pump = two_point_pump(ReliefReference::own_inlet, Surplus::to_own_inlet);
  pump.pump->set_hysteresis_Pa = fixed(8e3);
  const SupplyModel model = build(row_of({line("draw", 9.5, 1.0), pump, line("push", 12.7, 0.1)}));
  InlineExecutor executor;
  SilentProgress progress;
  const std::vector<double> slots = model.nominal();
  const std::vector<SupplyModel::Case> cases{
      {.point = {}, .slots = slots}, {.point = {}, .slots = slots, .relief_set = hydraulics::ReliefSet::closing}};
  const auto states = model.solve(cases, {executor, progress, {}}).value();
  EXPECT_NEAR(states[0].pumps.at(0).rise_Pa - states[1].pumps.at(0).rise_Pa, 8e3, 1.0);
}

// 5 L/h past the seal at 20 kPa: by the orifice, sqrt(drop/20 kPa) of it at the drop found.
TEST(SupplyParts, ALeakPastTheFilterIsNotFiltered) {
  Part filter = named("filter", PartKind::filter);
  filter.medium = Medium{.clean_drop_Pa = fixed(5e3),
                         .at_flow_m3_per_s = fixed(150 * litre_per_hour),
                         .at_kinematic_viscosity_m2_per_s = 4.5e-6,
                         .at_density_kg_per_m3 = 835.0,
                         .quadratic_share = fixed(0.5),
                         .bypass_leak_m3_per_s = fixed(5 * litre_per_hour),
                         .bypass_leak_drop_Pa = fixed(20e3)};
  const SupplyModel model = build(row_of({line("feed", 9.5, 1.0), filter}, 150.0));
  const MediumAnswer answer = solved(model).media.at(0);
  EXPECT_NEAR(answer.flow_m3_per_s, 150 * litre_per_hour, 1e-6 * 150 * litre_per_hour);
  EXPECT_LT(answer.drop_Pa, 5e3);
  const double leak = answer.unfiltered_share * answer.flow_m3_per_s / litre_per_hour;
  EXPECT_NEAR(leak, 5.0 * std::sqrt(answer.drop_Pa / 20e3), 0.1);
}

// A leg that is colder loses more: the ratio of laminar drops is the ratio of viscosities.
TEST(SupplyParts, ALegMayHaveItsOwnTemperature) {
  LineSheet sheet = row_of({line("feed", 9.5, 4.0)}, 30.0);
  sheet.fuel = "d975_2d";
  sheet.tanks[0].pickup_height_m = fixed(0.2);
  const SupplyModel model = build(sheet);
  InlineExecutor executor;
  SilentProgress progress;
  const std::vector<double> slots = model.nominal();
  const std::vector<double> cold{263.15};
  const std::vector<double> same{293.15};
  const std::vector<SupplyModel::Case> cases{{.point = {}, .slots = slots},
                                             {.point = {}, .slots = slots, .leg_temperature_K = &same},
                                             {.point = {}, .slots = slots, .leg_temperature_K = &cold}};
  const auto states = model.solve(cases, {executor, progress, {}}).value();
  EXPECT_EQ(states[0].inlet_over_ambient_Pa, states[1].inlet_over_ambient_Pa);
  const double ratio = states[2].inlet_over_ambient_Pa / states[0].inlet_over_ambient_Pa;
  // No. 2 diesel: 10.4922 x 862.571 against 4.05782 x 841.458 (layouts page 9); the mouth's loss is not viscous.
  EXPECT_NEAR(ratio, 10.4922 * 862.571 / (4.05782 * 841.458), 0.03 * ratio);
}

/// Takes less the lower its inlet is: half at 90 kPa.
class FallingLaw final : public EngineLaw {
 public:
  [[nodiscard]] EngineTake take(const hydraulics::EngineDemand& demand, const EngineInlet& inlet) const override {
    const double share = std::clamp(0.5 + (inlet.pressure_Pa - 90e3) / 20e3, 0.0, 1.0);
    return {.taken_m3_per_s = share * demand.inlet_m3_per_s(),
            .returned_m3_per_s = share * demand.return_m3_per_s(),
            .taken_slope_m3_per_s_Pa = demand.inlet_m3_per_s() / 20e3,
            .returned_slope_m3_per_s_Pa = demand.return_m3_per_s() / 20e3};
  }
};

TEST(SupplyParts, AnotherEngineLawTakesThePlaceOfTheConstantOne) {
  const SupplyModel model = build(row_of({line("feed", 6.0, 4.0)}, 120.0));
  InlineExecutor executor;
  SilentProgress progress;
  const std::vector<double> slots = model.nominal();
  const FallingLaw falling;
  const ConstantDemand constant;
  const std::vector<SupplyModel::Case> cases{{.point = {}, .slots = slots},
                                             {.point = {}, .slots = slots, .engine_law = &constant},
                                             {.point = {}, .slots = slots, .engine_law = &falling}};
  const auto states = model.solve(cases, {executor, progress, {}}).value();
  EXPECT_EQ(states[0].taken_m3_per_s, states[1].taken_m3_per_s);
  EXPECT_EQ(states[1].passes, 1);
  ASSERT_EQ(states[2].status, hydraulics::SolveStatus::converged) << states[2].trouble;
  const double pressure = states[2].inlet_over_ambient_Pa + states[2].ambient_Pa;
  EXPECT_NEAR(states[2].taken_m3_per_s / states[2].demand_m3_per_s, 0.5 + (pressure - 90e3) / 20e3, 1e-4);
  EXPECT_LT(states[2].taken_m3_per_s, states[0].taken_m3_per_s);
}

// Hand: rho L/A (0.5 Q)/0.3 s.
TEST(SupplyParts, TipInSagIsTheColumnsInertia) {
  const PointState state = solved(build(row_of({line("feed", 9.5, 3.0)}, 180.0)));
  EXPECT_NEAR(state.inlet_tip_in_sag_Pa, 3.534033e7 * 0.5 * 180.0 * litre_per_hour / 0.3, 1.0);
}

// A selector draws from the chosen tank and leaves the other alone.
TEST(SupplyParts, ASelectorChoosesTheTank) {
  const auto port = [](const char* id) {
    Part part = named(id, PartKind::selector);
    part.medium = Medium{
        .clean_drop_Pa = fixed(3e3), .at_flow_m3_per_s = fixed(150 * litre_per_hour), .quadratic_share = fixed(0.5)};
    return part;
  };
  LineSheet sheet = row_of({line("feed", 9.5, 1.0)});
  Tank far = sheet.tanks.front();
  far.id = "far";
  far.level = fixed(0.9);
  sheet.tanks.push_back(far);
  sheet.legs = {
      Leg{.id = "a", .from = "tank", .to = "common", .parts = {line("near-line", 9.5, 1.0), port("near-port")}},
      Leg{.id = "b", .from = "far", .to = "common", .parts = {line("far-line", 9.5, 1.0), port("far-port")}},
      Leg{.id = "c", .from = "common", .to = "engine", .parts = {line("feed", 9.5, 1.0)}}};
  for (const char* chosen : {"tank", "far"}) {
    sheet.selector.feed = chosen;
    const SupplyModel model = build(sheet);
    const PointState state = solved(model);
    const auto flow = [&](const char* part) {
      return state.place_flow_m3_per_s.at(model.place_of(part).value()) / litre_per_hour;
    };
    const bool near = std::string_view(chosen) == "tank";
    EXPECT_NEAR(flow("near-line"), near ? 60.0 : 0.0, 1e-3);
    EXPECT_NEAR(flow("far-line"), near ? 0.0 : 60.0, 1e-3);
  }
}

TEST(SupplyParts, SharesAreDrawnWithinWhatIsPhysical) {
  Part filter = named("filter", PartKind::filter);
  Stated share;
  share.value = 0.5;
  share.spread = {.kind = SpreadKind::lognormal, .factor = 2.0};
  filter.medium =
      Medium{.clean_drop_Pa = fixed(5e3), .at_flow_m3_per_s = fixed(150 * litre_per_hour), .quadratic_share = share};
  const SupplyModel model = build(row_of({line("feed", 9.5, 1.0), filter}));
  const auto at = std::ranges::find(model.inputs(), "filter.quadratic_share", &Stated::id) - model.inputs().begin();
  const auto i = static_cast<std::size_t>(at);
  std::uint32_t beyond = 0;
  std::vector<double> seen;
  for (std::uint32_t sample = 0; sample < 2000; ++sample) {
    if (numerics::draw(model.inputs()[i], 1, sample) > 0.999) ++beyond;
    seen.push_back(model.drawn(1, sample).at(i));
    ASSERT_LE(seen.back(), 0.999);
  }
  EXPECT_GT(beyond, 10U);  // the untruncated spread does reach beyond
  // No heap at the bound: cutting is not clamping.
  EXPECT_LT(std::ranges::count_if(seen, [](double value) { return value > 0.995; }), 40);
  LineSheet wrong = model.sheet();
  wrong.legs[0].parts[1].medium->quadratic_share = fixed(1.4);
  const auto refused = SupplyModel::build(wrong, {}, default_laws());
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().front().where.field, "filter.quadratic_share");
}

// Property over random sheets: what leaves the tanks is what the engine burns plus what comes back; pressure falls
// along a line without a pump by its own losses only (no part gains energy).
TEST(SupplyParts, MassAndEnergyBalanceOnRandomSheets) {
  for (std::uint32_t sample = 0; sample < 300; ++sample) {
    const auto random = [&](const char* what, double low, double high) {
      return low + (high - low) * numerics::uniform(7, numerics::key_of(what), numerics::Purpose::synthetic, sample);
    };
    LineSheet sheet = row_of({line("draw", random("d1", 6, 13), random("l1", 0.2, 4)), curve_pump(),
                              line("push", random("d2", 6, 13), random("l2", 0.2, 4))},
                             random("q", 10, 200));
    sheet.engine.leakoff_share = fixed(0.2);
    sheet.engine.displacement_m3 = fixed(6e-3);
    sheet.engine.rated_power_W = fixed(random("power", 5e4, 2e5));
    sheet.engine.torque_peak_power_W = fixed(4e4);
    sheet.legs.push_back(
        Leg{.id = "second", .from = "tank", .to = "engine", .parts = {line("other", random("d3", 4, 8), 3.0)}});
    sheet.legs.push_back(
        Leg{.id = "back", .from = "engine-return", .to = "tank", .parts = {line("return", random("d4", 6, 10), 2.0)}});
    const SupplyModel model = build(sheet);
    const PointState state = solved(model);
    const auto flow = [&](const char* part) { return state.place_flow_m3_per_s.at(model.place_of(part).value()); };
    const double scale = std::abs(flow("draw")) + std::abs(flow("other")) + state.taken_m3_per_s;
    EXPECT_NEAR(flow("draw"), flow("push"), 1e-7 * scale) << sample;
    EXPECT_NEAR(flow("push") + flow("other"), state.demand_m3_per_s, 1e-7 * scale) << sample;
    EXPECT_NEAR(flow("return"), state.return_m3_per_s, 1e-7 * scale) << sample;
    EXPECT_NEAR(state.taken_m3_per_s, state.burned_m3_per_s + state.return_m3_per_s, 1e-12) << sample;
    // The second way has no pump: its flow runs down the pressure.
    double start = 0.0;
    for (std::size_t i = 0; i < model.places().size(); ++i) {
      if (model.places()[i].leg == "second" && model.places()[i].part_index == 0) {
        start = state.place_over_ambient_Pa[i] + 835.0 * 9.80665 * 0.025;
      }
    }
    const double end = state.inlet_over_ambient_Pa + 835.0 * 9.80665 * 0.2;
    EXPECT_GE((start - end) * flow("other"), 0.0) << sample;
  }
}

}  // namespace
}  // namespace fw::system
