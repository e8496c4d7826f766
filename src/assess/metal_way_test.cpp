// SPDX-License-Identifier: Apache-2.0
#include "assess/metal_way.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>

#include <gtest/gtest.h>

#include "assess/assess.hpp"
#include "casefile/case.hpp"
#include "catalog/catalog.hpp"
#include "project_file.hpp"
#include "quiet_run.hpp"

namespace fw::assess {
namespace {

const catalog::Catalog& book() {
  static const catalog::Catalog catalog = catalog::built_in().value();
  return catalog;
}

casefile::Case tender() { return casefile::read_case(test::project_file("cases/alder-gap-tender"), book()).value(); }

const WayFact& fact(const MetalInput& input, std::string_view system, std::string_view key) {
  const auto at =
      std::ranges::find_if(input.facts, [&](const WayFact& one) { return one.system == system && one.key == key; });
  EXPECT_NE(at, input.facts.end()) << system << " " << key;
  return *at;
}

// The flows of the engine's demand, by hand: at cruise 30 % of rated power at the torque peak's consumption and speed;
// a share of the burn leaks off; the housing flow goes with the speed (hydraulics/demand.hpp).
TEST(MetalWay, FlowsAreThoseOfTheSheetAtCruise) {
  test::QuietRun quiet;
  const casefile::Case job = tender();
  const auto input = metal_input(*job.metal, job.sheets, job.as_found, quiet.run());
  ASSERT_TRUE(input) << to_text(input.error());
  const system::Engine& engine = job.sheets[*job.as_found].engine;
  const double burn_kg_per_s = 0.3 * engine.rated_power_W.value * engine.torque_peak_consumption_kg_per_J.value;
  const double housing_m3_per_s =
      engine.housing_flow_m3_per_s.value * engine.torque_peak_speed_per_s.value / engine.rated_speed_per_s.value;
  const debris::FuelWay& way = input->input.as_found;
  EXPECT_NEAR(way.rail_share * way.feed_m3_per_s / (way.feed_m3_per_s - housing_m3_per_s), 1.0, 1e-9);
  EXPECT_NEAR(way.leak_off_share, engine.leakoff_share.value / (1.0 + engine.leakoff_share.value), 1e-9);
  const double density = burn_kg_per_s / debris::burn_m3_per_s(way);
  EXPECT_GT(density, 780.0);  // diesel at 20 C
  EXPECT_LT(density, 860.0);
  EXPECT_EQ(fact(*input, "as found", "feed_m3_per_s").from, "line sheet, cruise at 20 C");
  ASSERT_TRUE(input->input.as_rebuilt);
  EXPECT_EQ(fact(*input, "as rebuilt", "tank_m3").value, way.tank_m3);
}

TEST(MetalWay, WhatTheFileStatesCountsBeforeTheSheet) {
  test::QuietRun quiet;
  casefile::Case job = tender();
  job.metal->as_found.tank_m3 = 0.1;
  job.metal->as_found.feed_m3_per_s = 2e-5;
  job.metal->as_found.final_efficiency = debris::Bins{};
  job.metal->as_rebuilt = casefile::StatedWay{.rail_share = 0.5};
  const auto input = metal_input(*job.metal, job.sheets, job.as_found, quiet.run());
  ASSERT_TRUE(input);
  EXPECT_EQ(input->input.as_found.tank_m3, 0.1);
  EXPECT_EQ(input->input.as_found.feed_m3_per_s, 2e-5);
  EXPECT_EQ(input->input.as_found.final_filter, std::vector<debris::FilterElement>{{}});
  EXPECT_EQ(fact(*input, "as found", "feed_m3_per_s").from, "metal.toml");
  EXPECT_EQ(input->input.as_rebuilt->rail_share, 0.5);
  EXPECT_NE(input->input.as_rebuilt->feed_m3_per_s, 2e-5) << "the sheet as rebuilt says its own";
}

TEST(MetalWay, AFilterThatIsBypassedOrCollapsedStopsNothing) {
  test::QuietRun quiet;
  casefile::Case job = tender();
  job.metal->as_rebuilt.reset();
  const auto stops = [&] {
    const auto input = metal_input(*job.metal, job.sheets, job.as_found, quiet.run());
    return std::pair{fact(*input, "as rebuilt", "final_stops").value, input->notes.size()};
  };
  const auto before = stops();
  system::LineSheet& sheet = job.sheets[*job.as_found + 1];
  system::Part* finest = nullptr;
  for (system::Leg& leg : sheet.legs) {
    for (system::Part& part : leg.parts) {
      const bool rated =
          part.kind == system::PartKind::filter && part.medium && part.medium->rating_m && !part.bypassed;
      if (rated && (finest == nullptr || part.medium->rating_m->value < finest->medium->rating_m->value))
        finest = &part;
    }
  }
  ASSERT_NE(finest, nullptr);
  finest->bypassed = true;
  const auto bypassed = stops();
  EXPECT_LT(bypassed.first, before.first);
  EXPECT_EQ(bypassed.second, before.second + 1);
  finest->bypassed = false;
  finest->condition.pores_left = Stated{.value = 0.5};
  const auto collapsed = stops();
  EXPECT_EQ(collapsed.first, bypassed.first);
}

// The engine takes the same through spent filters unless its inlet starves.
TEST(MetalWay, SaysWhereSpentFiltersMoveTheFeed) {
  test::QuietRun quiet;
  const auto moves = [](const MetalInput& input) {
    return std::ranges::count_if(input.notes, [](const std::string& note) { return note.contains("filters spent"); });
  };
  for (const char* name : {"cases/alder-gap-tender", "cases/orchard-van", "cases/quarry-vee"}) {
    const casefile::Case job = casefile::read_case(test::project_file(name), book()).value();
    EXPECT_EQ(moves(metal_input(*job.metal, job.sheets, job.as_found, quiet.run()).value()), 0) << name;
  }
  casefile::Case job = tender();
  for (system::Leg& leg : job.sheets[*job.as_found].legs) {
    for (system::Part& part : leg.parts) {
      if (part.medium && part.medium->terminal_drop_Pa) part.medium->terminal_drop_Pa->value = 400e3;
    }
  }
  EXPECT_EQ(moves(metal_input(*job.metal, job.sheets, job.as_found, quiet.run()).value()), 1);
}

// The same system twice shows no effect; a final filter taken out lets more through, put back fewer, and the two
// answers are each other's inverse.
TEST(MetalWay, AChangeOfTheFiltersIsToldWithItsBand) {
  using Finding = CleanlinessChange::Finding;
  test::QuietRun quiet;
  casefile::Case job = tender();
  job.metal->as_rebuilt.reset();
  const system::LineSheet sound = job.sheets.front();
  system::LineSheet open = sound;
  for (system::Leg& leg : open.legs) {
    for (system::Part& part : leg.parts) {
      if (part.kind == system::PartKind::filter) part.bypassed = true;
    }
  }
  const auto changes = [&](const system::LineSheet& before, const system::LineSheet& after) {
    job.sheets = {before, after};
    job.as_found = 1;
    return cleanliness_changes(metal_input(*job.metal, job.sheets, job.as_found, quiet.run()).value()).value();
  };
  const auto same = changes(sound, sound);
  ASSERT_EQ(same.size(), 1U);
  EXPECT_EQ(same[0].finding, Finding::none);
  EXPECT_EQ(same[0].ratio.median, 1.0);
  const auto more = changes(sound, open);
  const auto fewer = changes(open, sound);
  EXPECT_EQ(more[0].finding, Finding::more);
  EXPECT_EQ(fewer[0].finding, Finding::fewer);
  EXPECT_NEAR(more[0].ratio.low * fewer[0].ratio.high, 1.0, 1e-3);  // quantiles between draws
  EXPECT_LT(more[0].ratio.low, more[0].ratio.median);
  EXPECT_LT(more[0].ratio.median, more[0].ratio.high);
}

// The ratio is formed draw by draw: one element of 1 - E 0.05 against two of 0.5. By hand, delta log-uniform 1 to 10:
// r = (min(1, delta/2))^2/(delta/20) rises as 5 delta to 10 at delta 2 and falls as 20/delta, so that
// P(r > x) = log10(100/x^2) for x from 5: 5.623 at 50 %, 9.441 at 5 %; P(r < x) = 1 - log10(20/x) below 5: 2.244 at 5
// %.
TEST(MetalWay, ABandHoldsItsMedianWhereTheRatioTurns) {
  debris::Bins nineteen, half;
  nineteen.fill(0.95);
  half.fill(0.5);
  MetalInput joined;
  joined.input.as_found = {.tank_m3 = 0.1,
                           .tank_floor_m2 = 0.4,
                           .feed_m3_per_s = 3e-5,
                           .primary_filter = {},
                           .final_filter = {{.stops = nineteen}}};
  joined.input.as_rebuilt = joined.input.as_found;
  joined.input.as_rebuilt->primary_filter = {{.stops = half}};
  joined.input.as_rebuilt->final_filter = {{.stops = half}};
  const CleanlinessChange change = cleanliness_changes(joined).value().front();
  EXPECT_LE(change.ratio.low, change.ratio.median);
  EXPECT_LE(change.ratio.median, change.ratio.high);
  EXPECT_NEAR(change.ratio.low, 2.244, 0.03);
  EXPECT_NEAR(change.ratio.median, 5.623, 0.06);
  EXPECT_NEAR(change.ratio.high, 9.441, 0.1);
  EXPECT_EQ(change.finding, CleanlinessChange::Finding::more);
  joined.bases = {{.system = "as found", .tested = true}, {.system = "as rebuilt"}};
  EXPECT_EQ(cleanliness_changes(joined).value().front().finding, CleanlinessChange::Finding::not_determined);
}

TEST(MetalWay, WithoutASheetTheFileHasToSayTankAndFlow) {
  test::QuietRun quiet;
  const casefile::Case job = tender();
  const auto none = metal_input(*job.metal, {}, std::nullopt, quiet.run());
  ASSERT_FALSE(none);
  EXPECT_EQ(none.error().front().where.field, "way.tank");
  casefile::Metal metal = *job.metal;
  metal.as_rebuilt.reset();
  metal.as_found = {.tank_m3 = 0.1};
  EXPECT_EQ(metal_input(metal, {}, std::nullopt, quiet.run()).error().front().where.field, "way.feed");
  metal.as_found.feed_m3_per_s = 3e-5;
  const auto alone = metal_input(metal, {}, std::nullopt, quiet.run());
  ASSERT_TRUE(alone);
  EXPECT_EQ(fact(*alone, "as found", "rail_share").from, "assumed");
  EXPECT_FALSE(alone->input.as_rebuilt);
}

}  // namespace
}  // namespace fw::assess
