// SPDX-License-Identifier: Apache-2.0
#include "assess/layouts.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>

#include <gtest/gtest.h>

#include "casefile/six_facts.hpp"
#include "catalog/catalog.hpp"

namespace fw::assess {
namespace {

const catalog::Catalog& book() {
  static const catalog::Catalog catalog = catalog::built_in().value();
  return catalog;
}

Result<LayoutsAnswer> over_layouts(const casefile::SevenFacts& facts, Depth depth = Depth::nominal) {
  InlineExecutor executor;
  SilentProgress progress;
  NoStore nothing;
  return judge_layouts(facts, book(), {.depth = depth}, {executor, progress, {}}, nothing);
}

// The layout not known: the answer holds what each layout would have answered, judged alone.
TEST(Layouts, TheAnswerHoldsTheBandOfEveryLayout) {
  const auto answer = over_layouts({}, Depth::quick).value();
  const auto ids = book().ids(catalog::EntryKind::layout);
  ASSERT_EQ(answer.layouts.size(), ids.size());
  ASSERT_TRUE(answer.inlet.band);
  InlineExecutor executor;
  SilentProgress progress;
  for (const std::string& id : ids) {
    const auto alone = casefile::sheet_from_facts({.layout = id}, book()).value();
    const auto judged =
        supply::judge_sheet(alone.sheet, supply::envelope(alone.climate),
                            {.samples = layout_samples(Depth::quick), .seed = 1}, {executor, progress, {}})
            .value();
    for (const supply::BranchValues& branch : judged.branches) {
      EXPECT_GE(branch.line_inlet_Pa, *answer.inlet.low) << id;
      EXPECT_LE(branch.line_inlet_Pa, *answer.inlet.high) << id;
      std::vector<double> draws;
      std::ranges::copy_if(branch.line_inlet_draws_Pa, std::back_inserter(draws),
                           [](double value) { return std::isfinite(value); });
      std::ranges::sort(draws);
      ASSERT_GE(draws.size(), 20U) << id;
      // Nine of ten draws of this layout: none of the middle of its own draws lies outside.
      EXPECT_GE(draws[draws.size() / 20 + 1], answer.inlet.band->low) << id;
      EXPECT_LE(draws[draws.size() - draws.size() / 20 - 2], answer.inlet.band->high) << id;
    }
    for (const supply::Check& check : judged.checks) {
      const auto over = std::ranges::find(answer.checks, check.id, &CheckOverLayouts::id);
      ASSERT_NE(over, answer.checks.end()) << id << " " << check.id;
      if (check.value) {
        EXPECT_GE(*check.value, *over->value.low) << id << " " << check.id;
        EXPECT_LE(*check.value, *over->value.high) << id << " " << check.id;
      }
      if (check.sampled && std::isfinite(check.sampled->band.low)) {
        ASSERT_TRUE(over->value.band) << id << " " << check.id;
        EXPECT_GE(check.sampled->band.low, over->value.band->low) << id << " " << check.id;
        EXPECT_LE(check.sampled->band.high, over->value.band->high) << id << " " << check.id;
      }
    }
  }
}

TEST(Layouts, TheLayoutIsFoundOutFirst) {
  const auto answer = over_layouts({}, Depth::quick).value();
  ASSERT_EQ(answer.first.size(), 3U);
  EXPECT_EQ(answer.first.front().input, "layout");
  double left = 1.0;
  for (std::size_t i = 0; i < answer.first.size(); ++i) {
    ASSERT_TRUE(answer.first[i].share);
    EXPECT_GT(*answer.first[i].share, 0.0);
    EXPECT_LE(*answer.first[i].share, left);
    left = *answer.first[i].share;
  }
  ASSERT_TRUE(answer.width_Pa && answer.width_layout_known_Pa);
  EXPECT_LT(*answer.width_layout_known_Pa, *answer.width_Pa);
  const auto inlet = std::ranges::find(answer.checks, "inlet-low", &CheckOverLayouts::id);
  ASSERT_NE(inlet, answer.checks.end());
  EXPECT_TRUE(inlet->differs) << "some layouts feed the pump and some let it suck";
  EXPECT_TRUE(std::ranges::any_of(answer.checks, [](const auto& check) { return !check.differs; }));

  const auto nominal = over_layouts({}).value();
  ASSERT_EQ(nominal.first.size(), 1U);
  EXPECT_FALSE(nominal.first.front().share) << "nothing was drawn";
  EXPECT_FALSE(nominal.width_Pa);
}

TEST(Layouts, WhatWasToldLeavesLayoutsOut) {
  const auto any = over_layouts({.rated_power = "150 kW"}).value();
  EXPECT_TRUE(any.left_out.empty());
  const auto some = over_layouts({.filters = {"strainer", "pump", "separator", "fine"}}).value();
  EXPECT_FALSE(some.left_out.empty());
  EXPECT_FALSE(some.layouts.empty());
  EXPECT_EQ(some.layouts.size() + some.left_out.size(), any.layouts.size());
  for (const LayoutLeftOut& out : some.left_out) {
    EXPECT_EQ(out.why.front().code, ErrorCode::conflict) << out.id;
    EXPECT_EQ(out.why.front().where.field, "filters") << out.id;
  }
  const auto none = over_layouts({.filters = {"pump", "pump", "pump", "pump", "pump", "pump"}});
  ASSERT_FALSE(none);
  EXPECT_EQ(none.error().front().code, ErrorCode::conflict);
  const auto broken = over_layouts({.rated_power = "150 bananas"});
  ASSERT_FALSE(broken);
  EXPECT_EQ(broken.error().front().where.field, "rated_power");
}

TEST(Layouts, AQuestionMarkIsAFactNotTold) {
  const auto silent = casefile::sheet_from_facts({.layout = "c-low"}, book()).value();
  const auto asked = casefile::sheet_from_facts({.layout = "c-low",
                                                 .engine = "?",
                                                 .rated_power = "?",
                                                 .assist = "?",
                                                 .assist_set = "?",
                                                 .filters = {"?"},
                                                 .main_hose = "?",
                                                 .bypassed = {"?"},
                                                 .climate = "?"},
                                                book())
                         .value();
  EXPECT_EQ(asked.text, silent.text);
  EXPECT_EQ(asked.taken, silent.taken);
  EXPECT_FALSE(casefile::sheet_from_facts({.layout = "?"}, book())) << "one sheet needs one layout";
}

// A lamp that stayed off is a finding with a sensor in the flow and none without: with no layout told, the bands hold
// both answers.
TEST(Layouts, ASilentLampIsJudgedWithAndWithoutASensor) {
  InlineExecutor executor;
  SilentProgress progress;
  const Run run{executor, progress, {}};
  NoStore nothing;
  const casefile::SixFacts six{.layout = "?", .stopped = "suddenly", .metal = {"magnet"}, .lamp = "off"};
  const auto sensors = casefile::sensors_of_layouts(six, book()).value();
  ASSERT_GT(sensors.size(), 1U) << "some layouts have a sensor and some have none";
  auto facts = casefile::findings_from_facts(six, book()).value();
  EXPECT_EQ(facts.water_sensor, diagnosis::WaterSensor::not_known);
  const diagnosis::Draws draws{.seed = 1, .count = 20};
  const auto any = diagnosis_over(sensors, book().diagnosis, facts, draws, run, nothing).value();
  bool moved = false;
  for (const diagnosis::WaterSensor sensor : sensors) {
    facts.water_sensor = sensor;
    const auto under = diagnosis::diagnose(book().diagnosis, facts, draws, run).value();
    for (const diagnosis::Belief& one : under.causes) {
      const auto over = std::ranges::find(any.causes, one.id, &diagnosis::Belief::id);
      ASSERT_NE(over, any.causes.end());
      EXPECT_LE(over->low, one.low) << one.id;
      EXPECT_GE(over->high, one.high) << one.id;
      moved = moved || over->low < one.low;
    }
  }
  EXPECT_TRUE(moved) << "the sensor decides something";
}

}  // namespace
}  // namespace fw::assess
