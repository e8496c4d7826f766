// SPDX-License-Identifier: Apache-2.0
#include "assess/extent_losses.hpp"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "project_file.hpp"

namespace fw::assess {
namespace {

using debris::Place;
using extent::OptionKind;

constexpr double hour_s = 3600.0;

const catalog::Catalog& shelf() {
  static const catalog::Catalog catalog = catalog::built_in().value();
  return catalog;
}

struct Quiet {
  InlineExecutor executor;
  SilentProgress progress;
  Run run{executor, progress, {}};
};

Money usd(std::int64_t whole) { return {.minor = 100 * whole, .currency = *Currency::of("USD")}; }

/// Two options and one draw: the pump alone for 2,000, the whole system for 6,000, 100 an hour, 10,000 a comeback.
struct Hand {
  extent::Decision decision;
  extent::DecisionInput input;
  diagnosis::Losses table;

  Hand() {
    input.findings = {{.place = Place::metering_valve, .grade = debris::Grade::few_specks}};
    input.prices = extent::Prices{.currency = *Currency::of("USD"),
                                  .labour_per_hour = usd(100),
                                  .parts = {},
                                  .open = {},
                                  .comeback_loss = {.low = usd(10000), .high = usd(10000)},
                                  .supply_upgrade = {}};
    decision.verdict = extent::Verdict::recommended;
    decision.first = OptionKind::whole_system;
    decision.options = {option(OptionKind::pump_only, 2000, 5.0), option(OptionKind::whole_system, 6000, 30.0)};
    table.decisions = {
        {.id = "extent",
         .title = "how much is replaced",
         .options = {{.id = "pump-only", .title = "t", .cost_s = 1.0, .miss_s = {{"debris-rail", 1.0}, {"C26", 1.0}}},
                     {.id = "whole-system", .title = "t", .cost_s = 2.0, .miss_s = {}}}},
        {.id = "treat-C01",
         .title = "water",
         .options = {{.id = "leave", .title = "t", .cost_s = 0.0, .miss_s = {{"C01", 7.0}}},
                     {.id = "treat", .title = "t", .cost_s = 2.0 * hour_s, .miss_s = {}}},
         .from_treatment = true}};
    table.again = exactly(0.5, "again");
    table.verify_s = exactly(3.0 * hour_s, "verify");
  }

  static extent::OptionResult option(OptionKind kind, std::int64_t cost, double hours) {
    extent::OptionResult one{.kind = kind, .actions = {}, .labour = {.low = hours, .high = hours}};
    one.likely_cost = usd(cost);
    one.cost_draws_minor = {100.0 * static_cast<double>(cost)};
    one.dose_by_place.resize(1);
    return one;
  }
  double& dose(OptionKind kind, Place place) {
    auto& one = *std::ranges::find(decision.options, kind, &extent::OptionResult::kind);
    return one.dose_by_place[0][static_cast<std::size_t>(place)];
  }
  [[nodiscard]] ExtentLosses losses() const { return losses_of_extent(decision, input, table, 1); }
};

const diagnosis::Option& option_of(const diagnosis::Losses& losses, std::string_view decision, std::string_view id) {
  const auto& rows = *std::ranges::find(losses.decisions, decision, &diagnosis::Decision::id);
  return *std::ranges::find(rows.options, id, &diagnosis::Option::id);
}
double miss(const diagnosis::Option& option, std::string_view id) {
  const auto found = std::ranges::find(option.miss_s, id, &std::pair<std::string, double>::first);
  return found == option.miss_s.end() ? std::nan("") : found->second;
}

// By hand: f(none) = 1, f(first) = 4, f(second) = 6, f(both) = 11. The first adds 3 before and 5 after the second.
TEST(SharedAmong, MeetsTheHandWorkedCase) {
  const std::vector<double> shares = shared_among(std::array{1.0, 4.0, 6.0, 11.0});
  ASSERT_EQ(shares.size(), 2U);
  EXPECT_DOUBLE_EQ(shares[0], 4.0);
  EXPECT_DOUBLE_EQ(shares[1], 6.0);
}
// A loss that adds is shared as it adds, and the shares of any loss add to the whole.
TEST(SharedAmong, AddsToTheWhole) {
  std::vector<double> adds(32, 0.0);
  std::vector<double> bends(32, 0.0);
  for (std::size_t set = 0; set < 32; ++set) {
    for (std::size_t i = 0; i < 5; ++i) adds[set] += ((set >> i) & 1U) != 0U ? static_cast<double>(i + 1) : 0.0;
    bends[set] = std::sqrt(adds[set]);
  }
  const std::vector<double> plain = shared_among(adds);
  const std::vector<double> bent = shared_among(bends);
  double sum = 0.0;
  for (std::size_t i = 0; i < 5; ++i) {
    EXPECT_NEAR(plain[i], static_cast<double>(i + 1), 1e-12);
    if (i > 0) {
      EXPECT_GT(bent[i], bent[i - 1]);
    }
    sum += bent[i];
  }
  EXPECT_NEAR(sum, std::sqrt(15.0), 1e-12);
}

// By hand, debris in the rail or not. Pump only costs 20 h of the rate, whole 60 h, a comeback 100 h; p0 and the chance
// by 5,000 particles from the prior's draw 0: pump only loses 100 h (1 - p0)(1 - exp(-(5000/N*)^s)) more where the rail
// holds debris, the whole system nothing. A leaking injector left makes pump only a comeback: 100 h. A cause left
// strikes again in half of the cases, and costs the whole system and the comeback: 80 h.
TEST(ExtentLosses, MeetTheHandWorkedCaseOfTwoStates) {
  Hand hand;
  hand.dose(OptionKind::pump_only, Place::rail) = 5000.0;
  const ExtentLosses got = hand.losses();
  const extent::ComebackDraw draw = extent::draw_comeback(hand.input.prior, 1, 0);
  const double more = (1.0 - draw.base) * (1.0 - std::exp(-std::pow(5000.0 / draw.scale, draw.exponent)));
  ASSERT_GT(more, 0.0);
  EXPECT_EQ(got.losses.source, diagnosis::LossSource::extent);
  EXPECT_EQ(got.losses.why, "");
  const diagnosis::Option& pump = option_of(got.losses, "extent", "pump-only");
  EXPECT_NEAR(pump.cost_s, (20.0 + 100.0 * draw.base) * hour_s, 1e-6);
  EXPECT_NEAR(miss(pump, "debris-rail"), 100.0 * more * hour_s, 1e-6);
  EXPECT_NEAR(miss(pump, "debris-tank"), 0.0, 1e-9);
  EXPECT_NEAR(miss(pump, "C26"), 100.0 * hour_s, 1e-6);
  EXPECT_EQ(pump.labour_s, 5.0 * hour_s);
  const diagnosis::Option& whole = option_of(got.losses, "extent", "whole-system");
  EXPECT_NEAR(whole.cost_s, (60.0 + 100.0 * draw.base) * hour_s, 1e-6);
  for (const auto& [id, loss_s] : whole.miss_s) EXPECT_NEAR(loss_s, 0.0, 1e-9) << id;
  EXPECT_NEAR(miss(option_of(got.losses, "treat-C01", "leave"), "C01"), 80.0 * hour_s, 1e-6);
  EXPECT_NEAR(option_of(got.losses, "treat-C01", "treat").cost_s, 2.0 * hour_s, 1e-9);
  EXPECT_NEAR(got.misfit_s, 0.0, 1e-6) << "one statement is no sharing";
  // The one draw is the mean.
  ASSERT_EQ(got.losses.draws.size(), 1U);
  std::size_t at = 0;
  for (const diagnosis::Decision& decision : got.losses.decisions) {
    for (const diagnosis::Option& option : decision.options) {
      EXPECT_NEAR(got.losses.draws[0].at(at++), option.cost_s, 1e-6);
      for (const auto& [id, loss_s] : option.miss_s) EXPECT_NEAR(got.losses.draws[0].at(at++), loss_s, 1e-6) << id;
    }
  }
  EXPECT_EQ(at, got.losses.draws[0].size());
}

TEST(ExtentLosses, ADearerWrongRepairLosesMore) {
  Hand hand;
  hand.dose(OptionKind::pump_only, Place::rail) = 5000.0;
  hand.dose(OptionKind::pump_only, Place::tank) = 800.0;
  const diagnosis::Losses before = hand.losses().losses;
  hand.input.prices->comeback_loss = {.low = usd(20000), .high = usd(20000)};
  const diagnosis::Losses dear = hand.losses().losses;
  for (const char* id : {"debris-rail", "debris-tank", "C26"}) {
    EXPECT_NEAR(miss(option_of(dear, "extent", "pump-only"), id),
                2.0 * miss(option_of(before, "extent", "pump-only"), id), 1e-6)
        << id;
  }
  // A dearer repair makes a cause left dearer too.
  hand.decision.options[1] = Hand::option(OptionKind::whole_system, 9000, 30.0);
  EXPECT_GT(miss(option_of(hand.losses().losses, "treat-C01", "leave"), "C01"),
            miss(option_of(dear, "treat-C01", "leave"), "C01"));
  // More debris in a place, more loss of leaving it.
  hand.dose(OptionKind::pump_only, Place::rail) = 50000.0;
  EXPECT_GT(miss(option_of(hand.losses().losses, "extent", "pump-only"), "debris-rail"),
            miss(option_of(dear, "extent", "pump-only"), "debris-rail"));
}

// Nothing is lost where nothing can be wrong: no debris that a repair leaves, or one option only.
TEST(ExtentLosses, AnExtentThatCannotBeWrongLosesNothing) {
  Hand hand;
  const diagnosis::Losses clean = hand.losses().losses;
  for (const auto& [id, loss_s] : option_of(clean, "extent", "pump-only").miss_s) {
    if (id != "C26") {
      EXPECT_EQ(loss_s, 0.0) << id;
    }
  }
  hand.dose(OptionKind::pump_only, Place::rail) = 5000.0;
  hand.decision.whole_by_magnet = true;
  const diagnosis::Losses settled = hand.losses().losses;
  EXPECT_EQ(std::ranges::count(settled.decisions, "extent", &diagnosis::Decision::id), 0);
  EXPECT_EQ(settled.decisions.size(), 1U);
  hand.decision.whole_by_magnet = false;
  hand.decision.options[0].standing = extent::Standing::not_offered;
  EXPECT_EQ(std::ranges::count(hand.losses().losses.decisions, "extent", &diagnosis::Decision::id), 0);
}

// A pump that shed and was not replaced: the vehicle comes back and the repair is done all the same.
TEST(ExtentLosses, WithoutAPumpTheRepairIsDoneAgain) {
  Hand hand;
  hand.table.decisions[0].options.insert(
      hand.table.decisions[0].options.begin(),
      {.id = "no-pump", .title = "t", .cost_s = 3.0 * hour_s, .miss_s = {{"shed", 1.0}, {"C17", 1.0}}});
  const extent::ComebackDraw draw = extent::draw_comeback(hand.input.prior, 1, 0);
  const diagnosis::Losses got = hand.losses().losses;
  const diagnosis::Option& none = option_of(got, "extent", "no-pump");
  EXPECT_NEAR(none.cost_s, (3.0 + 100.0 * draw.base) * hour_s, 1e-6);
  // Shed: 3 h, a comeback for certain, and pump only, which leaves nothing here.
  EXPECT_NEAR(none.cost_s + miss(none, "shed"), (3.0 + 100.0 + 20.0 + 100.0 * draw.base) * hour_s, 1e-6);
  EXPECT_NEAR(miss(none, "debris-rail"), 0.0, 1e-6);
  EXPECT_NEAR(miss(none, "C17"), (100.0 + 20.0 + 100.0 * draw.base) * hour_s, 1e-6);
}

// A partial repair whose places are not verified: 3 h of tests, then the pump alone where all are clean, else the whole
// system; four statements of equal rights share the 40 h between.
TEST(ExtentLosses, WhatIsNotVerifiedIsTestedFirst) {
  Hand hand;
  hand.dose(OptionKind::pump_only, Place::rail) = 5000.0;
  hand.decision.options[0].standing = extent::Standing::not_on_this_evidence;
  const extent::ComebackDraw draw = extent::draw_comeback(hand.input.prior, 1, 0);
  const ExtentLosses got = hand.losses();
  const diagnosis::Option& pump = option_of(got.losses, "extent", "pump-only");
  EXPECT_NEAR(pump.cost_s, (3.0 + 20.0 + 100.0 * draw.base) * hour_s, 1e-6);
  for (const char* id : {"debris-rail", "debris-injectors", "debris-return", "debris-tank"}) {
    EXPECT_NEAR(miss(pump, id), 10.0 * hour_s, 1e-6) << id;
  }
  EXPECT_EQ(pump.labour_s, 8.0 * hour_s);
  // One statement alone costs 40 h, of which the sum gives 10.
  EXPECT_NEAR(got.misfit_s, 30.0 * hour_s, 1e-6);
  hand.table.verify_s = {};
  EXPECT_EQ(hand.losses().losses.source, diagnosis::LossSource::catalog);
}

TEST(ExtentLosses, TheTableStandsInAndSaysWhy) {
  const auto why = [](const Hand& hand) {
    const diagnosis::Losses got = hand.losses().losses;
    EXPECT_EQ(got.source, diagnosis::LossSource::catalog);
    EXPECT_EQ(got.draws.size(), loss_draws);
    EXPECT_EQ(got.decisions[0].options[0].cost_s, 1.0) << "the table's own number";
    return got.why;
  };
  Hand hand;
  hand.input.findings.clear();
  EXPECT_NE(why(hand).find("looked for metal"), std::string::npos);
  hand = Hand();
  hand.input.prices.reset();
  EXPECT_NE(why(hand).find("no prices"), std::string::npos);
  hand = Hand();
  hand.input.prices->labour_per_hour.minor = 0;
  EXPECT_NE(why(hand).find("labour rate"), std::string::npos);
  hand = Hand();
  hand.decision.options[1].likely_cost.reset();
  hand.decision.options[1].missing_prices = {"rail"};
  EXPECT_NE(why(hand).find("no price of rail"), std::string::npos);
  hand = Hand();
  hand.decision.verdict = extent::Verdict::too_little_evidence;
  EXPECT_NE(why(hand).find("no metal"), std::string::npos);
  hand = Hand();
  for (auto& one : hand.decision.options) one.standing = extent::Standing::not_offered;
  EXPECT_NE(why(hand).find("policy"), std::string::npos);
}

// The demo's tender has metal and prices; the losses are its own, and a dearer part makes them larger.
TEST(ExtentLosses, OfTheTenderAreItsOwn) {
  Quiet quiet;
  NoStore nothing;
  casefile::Case job = casefile::read_case(test::project_file("cases/alder-gap-tender"), shelf()).value();
  const auto losses = [&] { return losses_of_case(job, shelf().losses, 1, quiet.run, nothing).value(); };
  const diagnosis::Losses before = losses();
  ASSERT_EQ(before.source, diagnosis::LossSource::extent) << before.why;
  EXPECT_TRUE(diagnosis::check(before, shelf().diagnosis));
  const auto next = diagnosis::next_looks(shelf().diagnosis, *job.findings, before, {}, quiet.run).value();
  EXPECT_EQ(next.losses_from, diagnosis::LossSource::extent);
  EXPECT_EQ(next.draws, before.draws.size());
  EXPECT_LT(next.expected_loss_low_s, next.expected_loss_s);
  EXPECT_GT(next.expected_loss_high_s, next.expected_loss_s);
  for (const diagnosis::Look& look : next.looks) {
    EXPECT_GE(look.value_low_s, 0.0);
    EXPECT_LE(look.value_low_s, look.value_high_s);
  }
  const diagnosis::Option& high = option_of(before, "extent", "pump-and-high-side");
  EXPECT_GT(miss(high, "debris-tank"), 0.0);
  // The extent may not leave what is not verified, and no more does the best decision here.
  EXPECT_EQ(std::ranges::count(next.best, std::pair<std::string, std::string>{"extent", "whole-system"}), 1);
  auto& part = job.metal->input.prices->parts[*extent::component_index("injectors")];
  part->low.minor *= 2;
  part->high.minor *= 2;
  const diagnosis::Losses dear = losses();
  for (const char* id : {"pump-and-high-side", "whole-system"}) {
    EXPECT_GT(option_of(dear, "extent", id).cost_s, option_of(before, "extent", id).cost_s) << id;
  }
  EXPECT_GT(miss(option_of(dear, "treat-C01", "leave"), "C01"), miss(option_of(before, "treat-C01", "leave"), "C01"));
  job.metal->input.prices.reset();
  EXPECT_EQ(losses().source, diagnosis::LossSource::catalog);
  job.metal.reset();
  EXPECT_EQ(losses().why, "the case has no metal.toml");
}

}  // namespace
}  // namespace fw::assess
