// SPDX-License-Identifier: Apache-2.0
#include "supply/judge.hpp"

#include <algorithm>

#include <gtest/gtest.h>

#include "small_supply.hpp"

namespace fw::supply {
namespace {

using test::litre_per_hour;
using test::small_sheet;

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
    if (!check.margin) continue;
    EXPECT_EQ(*check.margin < 0.0, check.outcome == Outcome::fails) << check.id;
  }
  EXPECT_EQ(judgement.unsolved, 0U);
}

// A stated pump takes what its plungers can fill with: a thin suction costs delivery before the fuel boils. Without its
// displacement the engine draws what it asks for.
TEST(Judge, AStatedPumpIsFedOnlyAsFarAsItFills) {
  const auto with = [](double bore_m, bool stated) {
    system::LineSheet sheet = small_sheet(bore_m, false, system::InletClass::fed_low);
    sheet.high_side.cylinders = 6;
    sheet.high_side.plungers = 2;
    if (stated) sheet.high_side.displacement_m3 = exactly(0.5e-6);
    return judge(sheet);
  };
  const SheetJudgement wide = with(0.0127, true);
  ASSERT_TRUE(wide.coupled);
  EXPECT_LE(wide.coupled->residual_K, 0.05);
  EXPECT_EQ(check_of(wide, "delivery").outcome, Outcome::holds);
  const SheetJudgement thin = with(0.0058, true);
  EXPECT_EQ(check_of(thin, "delivery").outcome, Outcome::fails);
  EXPECT_NE(check_of(thin, "delivery").sentence.find("plungers"), std::string::npos);
  const SheetJudgement open = with(0.0058, false);
  EXPECT_FALSE(open.coupled);
  EXPECT_EQ(check_of(open, "delivery").outcome, Outcome::holds);
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

// Where the ways of an unknown pump fact differ in outcome the check names them all, each as with that fact entered.
TEST(Judge, WaysThatDifferInOutcomeAreAllNamed) {
  system::Part filter;
  filter.id = "prefilter";
  filter.kind = system::PartKind::separator;
  filter.medium = system::Medium{.clean_drop_Pa = exactly(4e3),
                                 .at_flow_m3_per_s = exactly(150 * litre_per_hour),
                                 .quadratic_share = exactly(0.5)};
  const auto with = [&](system::Surplus surplus) {
    system::LineSheet sheet = small_sheet(0.0127, true, system::InletClass::fed_low);
    sheet.legs[0].parts.insert(sheet.legs[0].parts.begin(), filter);
    sheet.legs[0].parts[1].pump->surplus = surplus;
    return judge(sheet);
  };
  const SheetJudgement open = with(system::Surplus::unknown);
  const SheetJudgement to_tank = with(system::Surplus::to_tank);
  const SheetJudgement to_inlet = with(system::Surplus::to_own_inlet);
  std::size_t differing = 0;
  for (const Check& check : open.checks) {
    const auto tank = std::ranges::find(to_tank.checks, check.id, &Check::id);
    const auto inlet = std::ranges::find(to_inlet.checks, check.id, &Check::id);
    ASSERT_NE(tank, to_tank.checks.end()) << check.id;
    if (check.branch.empty() || tank->outcome == inlet->outcome) {
      EXPECT_TRUE(check.ways.empty()) << check.id;
      continue;
    }
    ++differing;
    ASSERT_EQ(check.ways.size(), 2U) << check.id;
    EXPECT_EQ(check.ways.front().outcome, check.outcome);
    EXPECT_EQ(check.ways.front().way, check.branch);
    for (const WayOutcome& way : check.ways) {
      const Check& entered = way.way.find("to the tank") != std::string::npos ? *tank : *inlet;
      EXPECT_EQ(way.outcome, entered.outcome) << check.id << " " << way.way;
      EXPECT_EQ(way.value, entered.value) << check.id << " " << way.way;
    }
  }
  EXPECT_GE(differing, 1U);
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
    return check_of(*judge_sheet(sheet, {point}, {}, run), "inlet-low").outcome;
  };
  EXPECT_EQ(outcome_at(-11.0), Outcome::holds);
  EXPECT_EQ(outcome_at(-20.0), Outcome::not_known);
  EXPECT_EQ(outcome_at(-43.0), Outcome::fails);
  sheet.fuel = "d975_2d + 50 petrol";
  EXPECT_EQ(judge_sheet(sheet, {point}, {}, run).error().front().where.field, "fuel.blend");
}

TEST(Judge, SaysWhatIsLeftWhenAPumpDies) {
  system::LineSheet sheet = small_sheet(0.0127, true, system::InletClass::fed_low);
  const SheetJudgement passing = judge(sheet);
  ASSERT_EQ(passing.dead_pumps.size(), 1U);
  EXPECT_TRUE(passing.dead_pumps[0].engine_fed_at_rated);
  EXPECT_EQ(passing.dead_pumps[0].points, passing.points);
  EXPECT_EQ(passing.dead_pumps[0].fed_points, passing.points);
  EXPECT_EQ(passing.dead_pumps[0].named(), "assist pump");
  for (const double above_Pa : {-500.0, 500.0}) {
    system::LineSheet stated = sheet;
    stated.engine.inlet_low_Pa = exactly(passing.dead_pumps[0].inlet_at_rated_Pa + above_Pa);
    EXPECT_EQ(judge(stated).dead_pumps.at(0).low_at_rated(), above_Pa > 0.0);
  }
  system::LineSheet open = sheet;
  open.engine.inlet = system::InletClass::unknown;
  EXPECT_FALSE(judge(open).dead_pumps.at(0).inlet_limit_Pa.has_value());
  sheet.legs[0].parts[0].pump->stopped = system::Stopped::blocks;
  const SheetJudgement blocking = judge(sheet);
  EXPECT_FALSE(blocking.dead_pumps.at(0).engine_fed_at_idle);
  EXPECT_EQ(blocking.dead_pumps.at(0).fed_points, 0U);
}

// What a turning pump does at rest decides only when it dies: both ways are answered, for every pump.
TEST(Judge, ADeadPumpOfUnknownHabitIsAnsweredBothWays) {
  system::LineSheet sheet = small_sheet(0.0127, true, system::InletClass::fed_low);
  system::Part second = sheet.legs[0].parts[0];
  second.id = "booster";
  second.title = "booster";
  sheet.legs[0].parts.push_back(second);
  for (const std::size_t part : {std::size_t{0}, std::size_t{2}}) {
    sheet.legs[0].parts[part].pump->stopped = system::Stopped::unknown;
  }
  const SheetJudgement judgement = judge(sheet);
  ASSERT_EQ(judgement.dead_pumps.size(), 4U);
  for (std::size_t pump = 0; pump < 4; pump += 2) {
    EXPECT_NE(judgement.dead_pumps[pump].named().find("blocking"), std::string::npos);
    EXPECT_FALSE(judgement.dead_pumps[pump].engine_fed_at_idle);
    EXPECT_NE(judgement.dead_pumps[pump + 1].named().find("passing"), std::string::npos);
    EXPECT_TRUE(judgement.dead_pumps[pump + 1].engine_fed_at_idle);
  }
}

// Fed at 20 C is not fed everywhere: the points are counted, the first that is not fed is named, wax is not known.
TEST(Judge, StillFedSaysForWhichPoints) {
  const system::LineSheet sheet = small_sheet(0.0045, true, system::InletClass::fed_low);
  InlineExecutor executor;
  SilentProgress progress;
  const fw::Run run{executor, progress, {}};
  const std::vector<system::RunningPoint> points{{.engine = system::EnginePoint::idle},
                                                 {.engine = system::EnginePoint::rated},
                                                 {.engine = system::EnginePoint::rated, .fuel_temperature_K = 263.15},
                                                 {.engine = system::EnginePoint::idle, .fuel_temperature_K = 258.15}};
  const auto judgement = judge_sheet(sheet, points, {}, run);
  ASSERT_TRUE(judgement);
  const DeadPump& dead = judgement->dead_pumps.at(0);
  EXPECT_EQ(dead.points, 3U);
  EXPECT_EQ(dead.wax_points, 1U);
  EXPECT_GT(dead.fed_points, 0U);
  EXPECT_LT(dead.fed_points, 3U);
  EXPECT_NE(dead.not_fed_at.find("rated power"), std::string::npos);
  EXPECT_NE(fed_where(dead).find("not at rated power"), std::string::npos);
  EXPECT_NE(fed_where(dead).find("not known at the 1"), std::string::npos);
}

// A fuel whose cloud point nobody stated is not taken as liquid where such fuel may be waxy; the report settles it.
TEST(Judge, AnUnstatedCloudPointIsNotLiquid) {
  system::LineSheet sheet = small_sheet(0.0127, true, system::InletClass::sucks);
  sheet.fuel = "iso4113";
  InlineExecutor executor;
  SilentProgress progress;
  const fw::Run run{executor, progress, {}};
  const std::vector<system::RunningPoint> cold{{.fuel_temperature_K = 278.15}};
  const auto unknown = judge_sheet(sheet, cold, {}, run).value();
  EXPECT_EQ(check_of(unknown, "inlet-low").outcome, Outcome::not_known);
  EXPECT_NE(check_of(unknown, "inlet-low").sentence.find("cloud point is not stated"), std::string::npos);
  const auto warm = judge_sheet(sheet, {{.fuel_temperature_K = 293.15}}, {}, run).value();
  EXPECT_EQ(check_of(warm, "inlet-low").outcome, Outcome::holds);
  sheet.fuel_report = system::FuelReport{.title = "sample 3", .cloud_point_K = exactly(268.15)};
  const auto reported = judge_sheet(sheet, cold, {}, run).value();
  EXPECT_EQ(check_of(reported, "inlet-low").outcome, Outcome::holds);
  EXPECT_NE(reported.fuel.find("sample 3"), std::string::npos);
}

TEST(Judge, ReportsTheTipInSag) {
  const SheetJudgement judgement = judge(small_sheet(0.0095, false, system::InletClass::sucks));
  // rho L/A (0.5 Q)/0.3 s of 4 m of 9.5 mm, No. 2 diesel at 20 C (841.458 kg/m3).
  const double inertance = 841.458 * 4.0 / (3.14159265358979 * 9.5e-3 * 9.5e-3 / 4.0);
  EXPECT_NEAR(judgement.tip_in_sag_Pa, inertance * 0.5 * judgement.demand_rated_m3_per_s / 0.3,
              1e-3 * judgement.tip_in_sag_Pa);
  EXPECT_GT(judgement.tip_in_sag_Pa, 1e3);
}

// Ranges are enforced by saying so: hot beyond the density law, the judgement has a note that names the reason.
TEST(Judge, SaysWhereTheFuelIsExtrapolated) {
  const system::LineSheet sheet = small_sheet(0.0127, true, system::InletClass::sucks);
  InlineExecutor executor;
  SilentProgress progress;
  const fw::Run run{executor, progress, {}};
  const auto said = [&](double celsius) {
    const auto judgement = judge_sheet(sheet, {{.fuel_temperature_K = celsius + 273.15}}, {}, run).value();
    EXPECT_EQ(judgement.notes.at(0), "Fuel: No. 2 diesel.");
    return std::ranges::any_of(judgement.notes, [](const std::string& note) {
      return note.find("extrapolated at 1 of 1 running points: ") != std::string::npos;
    });
  };
  EXPECT_FALSE(said(40.0));
  EXPECT_TRUE(said(95.0));
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

/// A supply whose stated numbers are doubtful, so that draws differ.
system::LineSheet doubtful_sheet(double hose_bore_m) {
  system::LineSheet sheet = small_sheet(hose_bore_m, true, system::InletClass::fed_low);
  const auto doubt = [](Stated& stated, double factor, const char* id) {
    stated.spread = {.kind = SpreadKind::lognormal, .factor = factor};
    stated.source = SourceClass::typical;
    stated.id = id;
  };
  doubt(sheet.legs[0].parts[0].pump->set_Pa.value(), 1.1, "assist.set");
  doubt(sheet.legs[0].parts[1].line->bore_m, 1.1, "hose.bore");
  doubt(sheet.legs[0].parts[1].line->length_m, 1.5, "hose.length");
  return sheet;
}

SheetJudgement judge_drawn(const system::LineSheet& sheet, const Sampling& sampling) {
  InlineExecutor executor;
  SilentProgress progress;
  auto judgement = judge_sheet(sheet, envelope(Climate::temperate), sampling, {executor, progress, {}});
  if (!judgement) throw std::runtime_error(to_text(judgement.error()));
  return *std::move(judgement);
}

// Sampling only where a check can be governed finds the same worst values as sampling everywhere, in fewer solutions.
TEST(Sampled, PointsThatGovernAreEnough) {
  for (const double bore : {0.006, 0.0095, 0.0127}) {
    const system::LineSheet sheet = doubtful_sheet(bore);
    const SheetJudgement some = judge_drawn(sheet, {.samples = 400, .seed = 7});
    const SheetJudgement all = judge_drawn(sheet, {.samples = 400, .seed = 7, .all_points = true});
    ASSERT_EQ(some.branches.front().checks.size(), all.branches.front().checks.size());
    for (std::size_t c = 0; c < all.branches.front().checks.size(); ++c) {
      const CheckValues& here = some.branches.front().checks[c];
      const CheckValues& everywhere = all.branches.front().checks[c];
      ASSERT_EQ(everywhere.worst.size(), 400U);
      for (std::size_t s = 0; s < everywhere.worst.size(); ++s) {
        ASSERT_DOUBLE_EQ(here.worst[s], everywhere.worst[s]) << everywhere.id << " sample " << s;
      }
    }
    EXPECT_LT(some.solved_draws, all.solved_draws / 2);
  }
}

// The same seed and id give the same draw in both sheets, whatever stands between: compared sheets are paired.
TEST(Sampled, AnInsertedPartShiftsNoOtherDraw) {
  const system::LineSheet sheet = doubtful_sheet(0.0095);
  system::LineSheet longer = sheet;
  system::Part cooler;
  cooler.id = "more";
  cooler.title = "more hose";
  cooler.kind = system::PartKind::hose;
  cooler.line = system::Line{.bore_m = exactly(0.03), .length_m = exactly(0.01)};
  longer.legs[0].parts.insert(longer.legs[0].parts.begin() + 1, cooler);
  const SheetJudgement a = judge_drawn(sheet, {.samples = 64, .seed = 3});
  const SheetJudgement b = judge_drawn(longer, {.samples = 64, .seed = 3});
  for (std::size_t s = 0; s < 64; ++s) {
    EXPECT_NEAR(a.branches.front().line_inlet_draws_Pa[s], b.branches.front().line_inlet_draws_Pa[s], 300.0) << s;
  }
  const SheetJudgement other = judge_drawn(sheet, {.samples = 64, .seed = 4});
  EXPECT_NE(a.branches.front().line_inlet_draws_Pa, other.branches.front().line_inlet_draws_Pa);
}

TEST(Sampled, BandsEncloseTheMedianAndNarrowWhenAnInputIsMeasured) {
  system::LineSheet sheet = doubtful_sheet(0.006);
  const SheetJudgement wide = judge_drawn(sheet, {.samples = 800, .seed = 1});
  const Check& check = check_of(wide, "inlet-low");
  ASSERT_TRUE(check.sampled);
  EXPECT_LT(check.sampled->band.low, check.sampled->median);
  EXPECT_LT(check.sampled->median, check.sampled->band.high);
  ASSERT_FALSE(check.sampled->hinges.empty());
  const Hinge& first = check.sampled->hinges.front();
  const double width = check.sampled->band.high - check.sampled->band.low;
  EXPECT_LT(first.width_if_known, width);
  // What measuring it does is then seen.
  Stated& named = first.input == "hose.bore"    ? sheet.legs[0].parts[1].line->bore_m
                  : first.input == "assist.set" ? *sheet.legs[0].parts[0].pump->set_Pa
                                                : sheet.legs[0].parts[1].line->length_m;
  ASSERT_EQ(named.id, first.input);
  named.spread = {};
  const Check measured = check_of(judge_drawn(sheet, {.samples = 800, .seed = 1}), "inlet-low");
  EXPECT_LT(measured.sampled->band.high - measured.sampled->band.low, width);
}

// 0 of 2,000 is said as under 0.15 % (Clopper-Pearson, 95 % one-sided: 0.14968 %).
TEST(Sampled, NoneOfTwoThousandIsNotZero) {
  const SheetJudgement judgement =
      judge_drawn(small_sheet(0.0127, true, system::InletClass::fed_low), {.samples = 2000, .seed = 1});
  const Check& delivery = check_of(judgement, "delivery");
  ASSERT_TRUE(delivery.sampled);
  EXPECT_EQ(delivery.sampled->failing, 0U);
  EXPECT_NEAR(delivery.sampled->chance_at_most, 0.0014968, 1e-7);
}

// Chance of failing over 5 % makes a check that holds at the most likely values narrow.
TEST(Sampled, AChanceOfFailingOverOneInTwentyIsNarrow) {
  system::LineSheet sheet = doubtful_sheet(0.0095);
  const double nominal = *check_of(judge(sheet), "inlet-low").value;
  sheet.engine.inlet_low_Pa = exactly(nominal - 500.0);
  EXPECT_EQ(check_of(judge(sheet), "inlet-low").outcome, Outcome::holds);
  const Check drawn = check_of(judge_drawn(sheet, {.samples = 400, .seed = 5}), "inlet-low");
  EXPECT_GT(drawn.sampled->chance(), 0.05);
  EXPECT_EQ(drawn.outcome, Outcome::narrow);
}

TEST(Sampled, OneAndTwoThreadsGiveTheSameDraws) {
  class TwoBlocks final : public Executor {
   public:
    void for_each_block(std::size_t blocks, const std::function<void(std::size_t)>& work) override {
      for (std::size_t i = blocks; i-- > 0;) work(i);
    }
    [[nodiscard]] std::size_t threads() const override { return 2; }
  };
  TwoBlocks executor;
  SilentProgress progress;
  const system::LineSheet sheet = doubtful_sheet(0.0095);
  const auto two =
      judge_sheet(sheet, envelope(Climate::temperate), {.samples = 100, .seed = 2}, {executor, progress, {}});
  EXPECT_EQ(two->branches.front().line_inlet_draws_Pa,
            judge_drawn(sheet, {.samples = 100, .seed = 2}).branches.front().line_inlet_draws_Pa);
}

// The published suction table of a suction-fed V8 (34 to 41 kPa at full load) must never print fails on gas: full
// release would be over 5 %, the likely release is not.
TEST(Gas, DeepSuctionIsNotKnownNotFailing) {
  system::LineSheet sheet = small_sheet(0.0065, false, system::InletClass::sucks);
  const Check gas = check_of(judge(sheet), "gas");
  const double vacuum_Pa = -*check_of(judge(sheet), "inlet-low").value;
  ASSERT_GT(vacuum_Pa, 34e3);
  ASSERT_LT(vacuum_Pa, 60e3);
  EXPECT_EQ(gas.outcome, Outcome::not_known);
  EXPECT_GT(*gas.bound, 0.05);
  EXPECT_LT(*gas.value, 0.05);
}

// The order and place of parts, without physics.
class Arrangement : public ::testing::Test {
 protected:
  Arrangement() {
    separator.id = "separator";
    separator.title = "separator";
    separator.kind = system::PartKind::separator;
    separator.medium = system::Medium{.clean_drop_Pa = exactly(3e3),
                                      .at_flow_m3_per_s = exactly(150 * litre_per_hour),
                                      .quadratic_share = exactly(0.5),
                                      .sensor = system::WaterSensor::wired};
  }
  [[nodiscard]] SheetJudgement with_separator(std::size_t at) const {
    system::LineSheet sheet = small_sheet(0.0127, true, system::InletClass::fed_low);
    sheet.legs[0].parts.insert(sheet.legs[0].parts.begin() + static_cast<std::ptrdiff_t>(at), separator);
    return judge(sheet);
  }
  system::Part separator;
};

TEST_F(Arrangement, TheSensorOfTheFirstBowlCounts) {
  EXPECT_EQ(check_of(with_separator(0), "water-sensor").outcome, Outcome::holds);
  EXPECT_EQ(check_of(with_separator(1), "water-sensor").outcome, Outcome::narrow);  // behind the pump: nearly blind
  separator.medium->sensor = system::WaterSensor::unplugged;
  EXPECT_EQ(check_of(with_separator(0), "water-sensor").outcome, Outcome::fails);
  separator.medium->sensor = system::WaterSensor::not_stated;
  EXPECT_EQ(check_of(with_separator(0), "water-sensor").outcome, Outcome::not_known);
  separator.medium->sensor = system::WaterSensor::wired;
  separator.bypassed = true;
  EXPECT_EQ(check_of(with_separator(0), "water-sensor").outcome, Outcome::fails);
}

TEST_F(Arrangement, WaterIsSeparatedBeforeAPumpBreaksTheDrops) {
  EXPECT_EQ(check_of(with_separator(0), "water-stage").outcome, Outcome::holds);
  EXPECT_EQ(check_of(with_separator(1), "water-stage").outcome, Outcome::narrow);
  separator.kind = system::PartKind::filter;
  EXPECT_EQ(check_of(with_separator(0), "water-stage").outcome, Outcome::fails);
}

TEST_F(Arrangement, AFineElementOnTheSuctionSideIsNarrow) {
  separator.kind = system::PartKind::filter;
  EXPECT_EQ(check_of(with_separator(0), "fine-on-suction").outcome, Outcome::not_known);
  separator.medium->rating_m = exactly(5e-6);
  EXPECT_EQ(check_of(with_separator(0), "fine-on-suction").outcome, Outcome::narrow);
  EXPECT_EQ(check_of(with_separator(1), "fine-on-suction").outcome, Outcome::holds);
}

TEST_F(Arrangement, APlaceWithoutItsFactIsNotKnown) {
  EXPECT_EQ(check_of(with_separator(0), "stone-throw").outcome, Outcome::not_known);
  separator.place.wheel_throw = true;
  separator.place.shield = false;
  EXPECT_EQ(check_of(with_separator(0), "stone-throw").outcome, Outcome::fails);
}

// A pickup tube hangs in fuel: nobody is asked how far it is from the exhaust or how it is clamped.
TEST_F(Arrangement, APartInsideTheTankHasNoPlaceToCheck) {
  system::Part pickup;
  pickup.id = "pickup";
  pickup.kind = system::PartKind::tube;
  pickup.line = system::Line{.bore_m = exactly(0.0095), .length_m = exactly(0.55)};
  system::LineSheet sheet = test::small_sheet(0.0095, true, system::InletClass::fed_low);
  std::vector<system::Part>& parts = sheet.legs[0].parts;
  parts.insert(parts.begin(), pickup);
  for (system::Part& part : parts) {
    if (part.id == "pickup") continue;
    part.place.to_exhaust_m = exactly(0.3);
    part.place.clamp_spacing_m = exactly(0.4);
  }
  EXPECT_EQ(check_of(judge(sheet), "heat").outcome, Outcome::holds);
  EXPECT_EQ(check_of(judge(sheet), "clamps").outcome, Outcome::holds);
  // A tube too long to end at the rim leaves the tank.
  parts.front().line->length_m = exactly(2.1 * sheet.tanks.front().height_m.value);
  EXPECT_EQ(check_of(judge(sheet), "heat").place_part, "pickup");
  EXPECT_EQ(check_of(judge(sheet), "heat").outcome, Outcome::not_known);
  parts.front().place.where = "in the tank";
  EXPECT_EQ(check_of(judge(sheet), "heat").outcome, Outcome::holds);
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
