// SPDX-License-Identifier: Apache-2.0
#include "supply/electric.hpp"

#include <algorithm>

#include <gtest/gtest.h>

#include "small_supply.hpp"
#include "supply/judge.hpp"
#include "units/wire.hpp"

namespace fw::supply {
namespace {

using test::small_sheet;

/// The small supply with a pump whose electric side is stated whole and sound: 5 A on 5 m of 12 AWG out and back.
system::LineSheet wired_sheet() {
  system::LineSheet sheet = small_sheet(0.0127, true, system::InletClass::fed_low);
  system::Pump& pump = *sheet.legs[0].parts[0].pump;
  pump.current_A = exactly(5.0);
  pump.wiring = system::Wiring{.area_m2 = exactly(units::parse_wire("12 AWG")->area_m2),
                               .length_m = exactly(5.0),
                               .temperature_K = exactly(353.15),
                               .contacts = 2,
                               .contact_ohm = exactly(3e-3),
                               .relay_ohm = exactly(4e-3),
                               .fuse_A = exactly(7.5),
                               .fuse_from_battery_m = exactly(0.15),
                               .engine_space = false};
  pump.cut_off = system::CutOff{.key = true, .stall = true, .crash = true};
  pump.watch = system::Watch::alarm;
  return sheet;
}

system::Pump& pump_of(system::LineSheet& sheet) { return *sheet.legs[0].parts[0].pump; }

Check judged(const system::LineSheet& sheet, std::string_view id) {
  InlineExecutor executor;
  SilentProgress progress;
  const auto judgement = judge_sheet(sheet, envelope(Climate::temperate), {}, {executor, progress, {}});
  if (!judgement) throw std::runtime_error(to_text(judgement.error()));
  const auto found = std::ranges::find(judgement->checks, id, &Check::id);
  if (found == judgement->checks.end()) throw std::runtime_error("no check " + std::string(id));
  return *found;
}

// ABYC E-11, from memory: the rows, the engine space, sections between two sizes, and what lies below the table.
TEST(Ampacity, FollowsTheTable) {
  const auto of = [](const char* wire, bool hot) { return ampacity_A(units::parse_wire(wire)->area_m2, hot); };
  EXPECT_DOUBLE_EQ(of("18 AWG", false).value(), 20.0);
  EXPECT_DOUBLE_EQ(of("12 AWG", false).value(), 45.0);
  EXPECT_DOUBLE_EQ(of("6 AWG", false).value(), 120.0);
  EXPECT_DOUBLE_EQ(of("10 AWG", true).value(), 51.0);
  EXPECT_DOUBLE_EQ(of("2.5 mm2", false).value(), 35.0);  // between 14 (2.08 mm2) and 12 AWG (3.31 mm2)
  EXPECT_FALSE(of("20 AWG", false));
}

TEST(ElectricChecks, AWholeAndSoundPumpHoldsThemAll) {
  for (const char* id : {"wire-drop-assist", "ampacity-assist", "fuse-load-assist", "fuse-wire-assist",
                         "fuse-place-assist", "cut-off-assist", "watch-assist"}) {
    EXPECT_EQ(judged(wired_sheet(), id).outcome, Outcome::holds) << id;
  }
}

// 10 A over 5 m out and 5 m back: 12 AWG at 80 C loses 0.644 V, 10 AWG at 20 C 0.328 V (worked example of the wire
// rule, copper of IEC 60028, no contacts).
TEST(ElectricChecks, WireDropIsCurrentTimesCopper) {
  system::LineSheet sheet = wired_sheet();
  system::Pump& pump = pump_of(sheet);
  pump.current_A = exactly(10.0);
  pump.wiring->length_m = exactly(10.0);
  pump.wiring->contacts = 0;
  pump.wiring->relay_ohm = exactly(0.0);
  pump.wiring->fuse_A.reset();
  const Check thin = judged(sheet, "wire-drop-assist");
  EXPECT_NEAR(thin.value.value(), 0.644, 0.0005);
  EXPECT_EQ(thin.outcome, Outcome::fails);
  pump.wiring->area_m2 = exactly(units::parse_wire("10 AWG")->area_m2);
  pump.wiring->temperature_K = exactly(293.15);
  const Check thick = judged(sheet, "wire-drop-assist");
  EXPECT_NEAR(thick.value.value(), 0.328, 0.0005);
  EXPECT_EQ(thick.outcome, Outcome::holds);
}

TEST(ElectricChecks, CurrentFuseAndWireAreHeldAgainstEachOther) {
  system::LineSheet sheet = wired_sheet();
  pump_of(sheet).wiring->fuse_A = exactly(60.0);  // over the 45 A of 12 AWG
  EXPECT_EQ(judged(sheet, "fuse-wire-assist").outcome, Outcome::fails);
  pump_of(sheet).wiring->fuse_A = exactly(4.0);  // below the 5 A that run
  EXPECT_EQ(judged(sheet, "fuse-load-assist").outcome, Outcome::fails);
  pump_of(sheet).wiring->fuse_A = exactly(6.0);  // 1.2 times
  EXPECT_EQ(judged(sheet, "fuse-load-assist").outcome, Outcome::narrow);
  pump_of(sheet).current_A = exactly(46.0);
  EXPECT_EQ(judged(sheet, "ampacity-assist").outcome, Outcome::fails);
  pump_of(sheet).wiring->fuse_from_battery_m = exactly(1.2);
  EXPECT_EQ(judged(sheet, "fuse-place-assist").outcome, Outcome::fails);
}

TEST(ElectricChecks, APumpThatGoesOnAfterACrashFails) {
  system::LineSheet sheet = wired_sheet();
  pump_of(sheet).cut_off = system::CutOff{.key = true};
  EXPECT_EQ(judged(sheet, "cut-off-assist").outcome, Outcome::fails);
  pump_of(sheet).cut_off = system::CutOff{.key = true, .stall = true};
  EXPECT_EQ(judged(sheet, "cut-off-assist").outcome, Outcome::narrow);
  pump_of(sheet).cut_off = system::CutOff{.stall = true, .crash = true};
  EXPECT_EQ(judged(sheet, "cut-off-assist").outcome, Outcome::fails);
}

TEST(ElectricChecks, WhatIsNotStatedIsNotKnown) {
  system::LineSheet sheet = wired_sheet();
  pump_of(sheet).cut_off.reset();
  EXPECT_EQ(judged(sheet, "cut-off-assist").outcome, Outcome::not_known);
  pump_of(sheet).wiring->fuse_from_battery_m.reset();
  EXPECT_EQ(judged(sheet, "fuse-place-assist").outcome, Outcome::not_known);
  pump_of(sheet).current_A.reset();
  EXPECT_EQ(judged(sheet, "wire-drop-assist").outcome, Outcome::not_known);
  pump_of(sheet).wiring.reset();
  EXPECT_EQ(judged(sheet, "fuse-wire-assist").outcome, Outcome::not_known);
}

// A pump that the engine sucks through when it is dead: felt by nobody unless a gauge or an alarm watches.
TEST(ElectricChecks, ADeadPumpThatNobodyNoticesFailsAndAnAlarmIsProposed) {
  system::LineSheet sheet = wired_sheet();
  sheet.legs[0].parts[0].pump->stopped = system::Stopped::passes;
  sheet.engine.inlet = system::InletClass::sucks;
  pump_of(sheet).watch = system::Watch::none;
  const Check silent = judged(sheet, "watch-assist");
  EXPECT_EQ(silent.outcome, Outcome::fails);
  ASSERT_TRUE(silent.proposed);
  EXPECT_GT(*silent.proposed, 0.0);
  EXPECT_LT(*silent.proposed, 76e3);  // its set
  pump_of(sheet).watch = system::Watch::gauge;
  EXPECT_EQ(judged(sheet, "watch-assist").outcome, Outcome::holds);
  pump_of(sheet).watch = system::Watch::not_stated;
  EXPECT_EQ(judged(sheet, "watch-assist").outcome, Outcome::not_known);
  // A pump that blocks when it stops is felt at once.
  pump_of(sheet).stopped = system::Stopped::blocks;
  EXPECT_EQ(judged(sheet, "watch-assist").outcome, Outcome::holds);
}

TEST(HoseVacuum, IsHeldAgainstTheRatingOfTheHose) {
  system::LineSheet sheet = small_sheet(0.008, false, system::InletClass::sucks);
  system::Line& hose = *sheet.legs[0].parts[0].line;
  EXPECT_EQ(judged(sheet, "hose-vacuum").outcome, Outcome::not_known);
  hose.vacuum_Pa = exactly(80e3);
  EXPECT_EQ(judged(sheet, "hose-vacuum").outcome, Outcome::holds);
  hose.vacuum_Pa = exactly(1e3);
  EXPECT_EQ(judged(sheet, "hose-vacuum").outcome, Outcome::fails);
}

TEST(ReturnPlace, BesideThePickupFails) {
  system::LineSheet sheet = small_sheet(0.0127, false, system::InletClass::sucks);
  system::Leg back{.id = "return", .from = "engine-return", .to = "tank"};
  system::Part tube = sheet.legs[0].parts[0];
  tube.id = "tube";
  back.parts.push_back(tube);
  sheet.legs.push_back(back);
  EXPECT_EQ(judged(sheet, "return-place").outcome, Outcome::not_known);
  for (const auto& [distance_m, outcome] :
       {std::pair{0.05, Outcome::fails}, std::pair{0.12, Outcome::narrow}, std::pair{0.3, Outcome::holds}}) {
    sheet.legs[1].from_pickup_m = exactly(distance_m);
    EXPECT_EQ(judged(sheet, "return-place").outcome, outcome) << distance_m;
  }
}

// 4 to 11 bar on the leak-off of piezo injectors with a hydraulic coupler (service data).
TEST(PiezoReturn, IsHeldBetweenItsBounds) {
  system::LineSheet sheet = small_sheet(0.0127, false, system::InletClass::sucks);
  sheet.high_side.injectors = "piezo";
  EXPECT_EQ(judged(sheet, "return-low").outcome, Outcome::not_known);
  for (const auto& [pressure_Pa, outcome] :
       {std::pair{200e3, Outcome::fails}, std::pair{700e3, Outcome::holds}, std::pair{1500e3, Outcome::fails}}) {
    sheet.high_side.leak_off_Pa = exactly(pressure_Pa);
    EXPECT_EQ(judged(sheet, "return-low").outcome, outcome) << pressure_Pa;
  }
  sheet.high_side.injectors = "solenoid";
  EXPECT_THROW(judged(sheet, "return-low"), std::runtime_error);
}

}  // namespace
}  // namespace fw::supply
