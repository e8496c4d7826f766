// SPDX-License-Identifier: Apache-2.0
#include "supply/judge.hpp"

#include <algorithm>

#include <gtest/gtest.h>

namespace fw::supply {
namespace {

constexpr double litre_per_hour = 1e-3 / 3600.0;

/// Suction-fed or fed supply with one hose and, if wanted, an electric pump in front of it.
system::LineSheet small_sheet(double hose_bore_m, bool pump, system::InletClass inlet) {
  system::LineSheet sheet;
  sheet.name = "small";
  sheet.fuel = "d975_2d";
  system::Tank tank;
  tank.height_m = exactly(0.4);
  tank.floor_height_m = exactly(0.0);
  tank.pickup_height_m = exactly(0.025);
  sheet.tanks.push_back(tank);
  system::Engine& e = sheet.engine;
  e.displacement_m3 = exactly(5.6e-3);
  e.rated_power_W = exactly(175e3);
  e.rated_speed_per_s = exactly(2500.0 / 60);
  e.torque_peak_power_W = exactly(128e3);
  e.torque_peak_speed_per_s = exactly(25.0);
  e.idle_speed_per_s = exactly(700.0 / 60);
  e.crank_speed_per_s = exactly(200.0 / 60);
  e.rated_consumption_kg_per_J = exactly(62.5e-9);
  e.torque_peak_consumption_kg_per_J = exactly(57e-9);
  e.leakoff_share = exactly(0.2);
  e.housing_flow_m3_per_s = exactly(90 * litre_per_hour);
  e.inlet_height_m = exactly(0.5);
  e.inlet = inlet;
  system::Leg leg{.id = "supply", .from = "tank", .to = "engine"};
  if (pump) {
    system::Part part;
    part.id = "assist";
    part.title = "assist pump";
    part.kind = system::PartKind::pump;
    part.pump = system::Pump{.free_flow_m3_per_s = exactly(320 * litre_per_hour),
                             .flow_at_rise_m3_per_s = exactly(300 * litre_per_hour),
                             .at_rise_Pa = exactly(80e3),
                             .set_Pa = exactly(76e3),
                             .surplus = system::Surplus::to_own_inlet,
                             .stopped = system::Stopped::bypass};
    leg.parts.push_back(part);
  }
  system::Part hose;
  hose.id = "hose";
  hose.title = "hose";
  hose.kind = system::PartKind::hose;
  hose.line = system::Line{.bore_m = exactly(hose_bore_m), .length_m = exactly(4.0)};
  leg.parts.push_back(hose);
  sheet.legs.push_back(leg);
  return sheet;
}

SheetJudgement judge(const system::LineSheet& sheet) {
  InlineExecutor executor;
  SilentProgress progress;
  auto judgement = judge_sheet(sheet, envelope(Climate::temperate), {}, {executor, progress, {}});
  if (!judgement) throw std::runtime_error(to_text(judgement.error()));
  return *std::move(judgement);
}

const Check& check_of(const SheetJudgement& judgement, std::string_view id) {
  return *std::ranges::find(judgement.checks, id, &Check::id);
}

TEST(Judge, AWideHoseHoldsAndAThinOneFails) {
  EXPECT_EQ(check_of(judge(small_sheet(0.0127, false, system::InletClass::sucks)), "inlet-low").outcome,
            Outcome::holds);
  const SheetJudgement thin = judge(small_sheet(0.004, false, system::InletClass::sucks));
  EXPECT_EQ(check_of(thin, "inlet-low").outcome, Outcome::fails);
  EXPECT_EQ(check_of(thin, "delivery").outcome, Outcome::fails);
}

TEST(Judge, ChecksStandWorstFirstWithTheirMargin) {
  const SheetJudgement judgement = judge(small_sheet(0.006, true, system::InletClass::fed_low));
  EXPECT_TRUE(std::ranges::is_sorted(judgement.checks, {}, &Check::outcome));
  for (const Check& check : judgement.checks) {
    EXPECT_FALSE(check.sentence.empty()) << check.id;
    EXPECT_FALSE(check.place.empty()) << check.id;
    if (check.margin) EXPECT_EQ(*check.margin < 0.0, check.outcome == Outcome::fails) << check.id;
  }
  EXPECT_EQ(judgement.unsolved, 0U);
}

TEST(Judge, ALimitThatIsNotTheMakersSaysSo) {
  system::LineSheet sheet = small_sheet(0.0095, true, system::InletClass::fed_low);
  EXPECT_EQ(check_of(judge(sheet), "inlet-low").limit.origin, LimitOrigin::practice);
  EXPECT_NE(check_of(judge(sheet), "inlet-low").sentence.find("against common practice"), std::string::npos);
  sheet.engine.inlet_low_Pa = exactly(20e3);
  const SheetJudgement entered = judge(sheet);
  EXPECT_EQ(check_of(entered, "inlet-low").limit.origin, LimitOrigin::maker);
  EXPECT_EQ(check_of(entered, "inlet-low").outcome, Outcome::holds);
  EXPECT_EQ(check_of(entered, "inlet-low").sentence.find("practice"), std::string::npos);
}

TEST(Judge, AnUnknownInletClassIsNotKnown) {
  const SheetJudgement judgement = judge(small_sheet(0.0095, true, system::InletClass::unknown));
  EXPECT_EQ(check_of(judgement, "inlet-low").outcome, Outcome::not_known);
  EXPECT_EQ(check_of(judgement, "inlet-high").outcome, Outcome::not_known);
}

// Rule of the reference page on cold flow: at or below the cloud point not known, at or below CFPP fails.
TEST(Judge, WaxDecidesBeforeAnyNumber) {
  system::LineSheet sheet = small_sheet(0.0127, true, system::InletClass::fed_low);
  InlineExecutor executor;
  SilentProgress progress;
  const fw::Run run{executor, progress, {}};
  system::RunningPoint point;
  point.fuel_temperature_K = 273.15 - 13.0;  // cloud point -12 C, CFPP -15 C
  EXPECT_EQ(check_of(*judge_sheet(sheet, {point}, {}, run), "inlet-low").outcome, Outcome::not_known);
  point.fuel_temperature_K = 273.15 - 16.0;
  EXPECT_EQ(check_of(*judge_sheet(sheet, {point}, {}, run), "inlet-low").outcome, Outcome::fails);
}

// A blend is judged by the same rule: wax may be there from the highest cloud point of its parts down, and CFPP fails
// it only where every part has plugged.
TEST(Judge, WaxOfABlendIsNotGuessedAway) {
  system::LineSheet sheet = small_sheet(0.0127, true, system::InletClass::fed_low);
  sheet.fuel = "d975_2d + 50 % d975_1d";  // cloud points -12 and -40 C, CFPP -15 and -42 C
  InlineExecutor executor;
  SilentProgress progress;
  const fw::Run run{executor, progress, {}};
  system::RunningPoint point;
  const auto outcome_at = [&](double celsius) {
    point.fuel_temperature_K = 273.15 + celsius;
    return check_of(*judge_sheet(sheet, {point}, run), "inlet-low").outcome;
  };
  EXPECT_EQ(outcome_at(-11.0), Outcome::holds);
  EXPECT_EQ(outcome_at(-20.0), Outcome::not_known);
  EXPECT_EQ(outcome_at(-43.0), Outcome::fails);
  sheet.fuel = "d975_2d + 50 petrol";
  EXPECT_EQ(judge_sheet(sheet, {point}, run).error().front().where.field, "fuel.blend");
}

TEST(Judge, SaysWhatIsLeftWhenAPumpDies) {
  system::LineSheet sheet = small_sheet(0.0127, true, system::InletClass::fed_low);
  EXPECT_TRUE(judge(sheet).dead_pumps.at(0).engine_fed_at_rated);
  sheet.legs[0].parts[0].pump->stopped = system::Stopped::blocks;
  EXPECT_FALSE(judge(sheet).dead_pumps.at(0).engine_fed_at_idle);
}

// More restriction never raises the inlet pressure.
TEST(Judge, InletPressureFallsAsTheHoseNarrows) {
  double last = 1e9;
  for (const double bore : {0.016, 0.0127, 0.0095, 0.008, 0.007, 0.006}) {
    const double value = *check_of(judge(small_sheet(bore, true, system::InletClass::fed_low)), "inlet-low").value;
    EXPECT_LT(value, last) << bore;
    last = value;
  }
}

TEST(Envelope, EveryClimateHasWarmAndColdPoints) {
  for (int i = 0; i <= static_cast<int>(Climate::tropical); ++i) {
    const auto points = envelope(static_cast<Climate>(i));
    EXPECT_EQ(points.size(), 50U) << name(static_cast<Climate>(i));
    EXPECT_EQ(climate_named(name(static_cast<Climate>(i))), static_cast<Climate>(i));
  }
}

}  // namespace
}  // namespace fw::supply
