// SPDX-License-Identifier: Apache-2.0
#include "supply/long_run.hpp"

#include <algorithm>

#include <gtest/gtest.h>

#include "system/supply_model.hpp"

#include "quiet_run.hpp"
#include "small_supply.hpp"

namespace fw::supply {
namespace {

using test::litre_per_hour;

/// With what the loop needs: tank volume, cylinders, a return.
system::LineSheet whole_sheet() {
  system::LineSheet sheet = test::small_sheet(0.0127, true, system::InletClass::fed_low);
  sheet.tanks[0].volume_m3 = exactly(0.120);
  sheet.high_side.cylinders = 6;
  sheet.high_side.plungers = 3;
  system::Part line;
  line.id = "return-line";
  line.kind = system::PartKind::tube;
  line.line = system::Line{.bore_m = exactly(0.008), .length_m = exactly(4.0)};
  system::Leg back{.id = "return", .from = "engine-return", .to = "tank"};
  back.parts.push_back(line);
  sheet.legs.push_back(back);
  return sheet;
}

const Check& inlet_of(const LongRun& answer) { return answer.checks.at(0); }

// Limit cases: hotter air is hotter fuel and thinner; a larger tank is cooler; the order along the way is that of heat.
TEST(LongRun, FollowsAirAndTank) {
  test::QuietRun quiet;
  const system::LineSheet sheet = whole_sheet();
  const LongRun mild = long_run(sheet, 293.15, quiet.run());
  const LongRun hot = long_run(sheet, 318.15, quiet.run());
  ASSERT_EQ(mild.checks.size(), 3U);
  ASSERT_TRUE(inlet_of(mild).value) << inlet_of(mild).sentence;
  EXPECT_GT(*inlet_of(mild).value, 293.15);
  EXPECT_GT(*inlet_of(hot).value, *inlet_of(mild).value + 15.0);
  EXPECT_LT(*hot.checks[1].value, *mild.checks[1].value);
  EXPECT_GT(*mild.checks[2].value, *inlet_of(mild).value);
  system::LineSheet large = sheet;
  large.tanks[0].volume_m3 = exactly(0.350);
  const LongRun cool = long_run(large, 293.15, quiet.run());
  EXPECT_LT(*inlet_of(cool).value, *inlet_of(mild).value);
  EXPECT_NE(mild.note.find("at the pump inlet"), std::string::npos);
}

// The outcome turns where the inlet passes 66 C, and is narrow before it.
TEST(LongRun, TurnsAtTheLimit) {
  test::QuietRun quiet;
  const system::LineSheet sheet = whole_sheet();
  const double over_K = *inlet_of(long_run(sheet, 313.15, quiet.run())).value - 313.15;
  const auto outcome_at = [&](double target_C) {
    const LongRun answer = long_run(sheet, 273.15 + target_C - over_K, quiet.run());
    const Check check = inlet_of(answer);
    EXPECT_NEAR(*check.value, 273.15 + target_C, 1.5);
    EXPECT_NEAR(*check.margin, 339.15 - *check.value, 1e-9);
    return check.outcome;
  };
  EXPECT_EQ(outcome_at(50.0), Outcome::holds);
  EXPECT_EQ(outcome_at(63.0), Outcome::narrow);
  EXPECT_EQ(outcome_at(69.0), Outcome::fails);
}

// A pump whose surplus is not stated is judged by the hotter of the two ways it may go.
TEST(LongRun, TheHottestWayOfAnUnknownPumpIsJudged) {
  test::QuietRun quiet;
  const auto inlet_K = [&](system::Surplus surplus) {
    system::LineSheet sheet = whole_sheet();
    int pumps = 0;
    for (system::Leg& leg : sheet.legs) {
      for (system::Part& part : leg.parts) {
        if (!part.pump) continue;
        part.pump->set_Pa = exactly(70e3);
        part.pump->surplus = surplus;
        ++pumps;
      }
    }
    EXPECT_GT(pumps, 0);
    EXPECT_EQ(system::branches(sheet).size(), surplus == system::Surplus::unknown ? 2U : 1U);
    return inlet_of(long_run(sheet, 303.15, quiet.run())).value.value();
  };
  EXPECT_EQ(inlet_K(system::Surplus::unknown),
            std::max(inlet_K(system::Surplus::to_own_inlet), inlet_K(system::Surplus::to_tank)));
}

TEST(LongRun, NamesTheFactThatIsMissing) {
  test::QuietRun quiet;
  const auto sentence = [&](auto&& change) {
    system::LineSheet sheet = whole_sheet();
    change(sheet);
    const LongRun answer = long_run(sheet, 303.15, quiet.run());
    for (const Check& check : answer.checks) EXPECT_EQ(check.outcome, Outcome::not_known);
    return inlet_of(answer).sentence;
  };
  EXPECT_NE(sentence([](auto& s) { s.high_side.cylinders = 0; }).find("cylinders"), std::string::npos);
  EXPECT_NE(sentence([](auto& s) { s.tanks[0].volume_m3.reset(); }).find("volume of the tank"), std::string::npos);
  EXPECT_NE(sentence([](auto& s) { s.legs.pop_back(); }).find("No return"), std::string::npos);
  EXPECT_NE(sentence([](auto& s) { s.high_side.injector_count = 99; }).find("could not be computed"),
            std::string::npos);
}

// A cooler of unknown size may save it.
TEST(LongRun, ACoolerLeavesAHotRunNotKnown) {
  test::QuietRun quiet;
  system::LineSheet sheet = whole_sheet();
  const double air_K = 339.15;
  ASSERT_EQ(inlet_of(long_run(sheet, air_K, quiet.run())).outcome, Outcome::fails);
  system::Part cooler;
  cooler.id = "cooler";
  cooler.kind = system::PartKind::cooler;
  cooler.medium = system::Medium{.clean_drop_Pa = exactly(5e3), .at_flow_m3_per_s = exactly(150 * litre_per_hour)};
  sheet.legs.back().parts.push_back(cooler);
  EXPECT_EQ(inlet_of(long_run(sheet, air_K, quiet.run())).outcome, Outcome::not_known);
}

// Rows of the table, part data 9.
TEST(LongRun, TankSurfaceIsTheTables) {
  EXPECT_NEAR(tank_surface_m2(0.060), 1.30, 1e-12);
  EXPECT_NEAR(tank_surface_m2(0.125), 1.90, 1e-12);
  EXPECT_NEAR(tank_surface_m2(0.350), 2.88, 1e-12);
  EXPECT_NEAR(tank_surface_m2(0.140), 1.90 + 0.2 * 0.48, 1e-12);
  EXPECT_NEAR(tank_surface_m2(2.8) / tank_surface_m2(0.350), 4.0, 1e-9);
}

}  // namespace
}  // namespace fw::supply
