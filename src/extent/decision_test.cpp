// SPDX-License-Identifier: Apache-2.0
#include "extent/decision.hpp"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "debris/settling.hpp"

namespace fw::extent {
namespace {

using debris::Finding;
using debris::Grade;
using debris::Look;
using debris::MetalOrigin;
using debris::Place;
using debris::Reach;

debris::FuelWay way() {
  const fuel::Liquid liquid{.density_kg_per_m3 = 835.0, .dynamic_viscosity_Pa_s = 3.34e-3};
  const debris::BetaRating final_rating{.points = {{.size_m = 4e-6, .beta = 75.0}, {.size_m = 6e-6, .beta = 1000.0}},
                                        .test = debris::FilterTest::iso_19438};
  return {.tank_m3 = 0.12,
          .tank_floor_m2 = 0.55,
          .feed_m3_per_s = 100e-3 / 3600.0,
          .final_efficiency = debris::efficiency_by_bin(final_rating).value(),
          .settling_m_per_s = debris::fall_velocities_m_per_s(7850.0, liquid).value()};
}

Prices prices() {
  const Currency usd = *Currency::of("USD");
  const auto band = [&](std::int64_t low, std::int64_t high) {
    return PriceBand{.low = {.minor = 100 * low, .currency = usd}, .high = {.minor = 100 * high, .currency = usd}};
  };
  Prices out{.currency = usd,
             .labour_per_hour = {.minor = 15000, .currency = usd},
             .comeback_loss = band(6000, 12000),
             .supply_upgrade = band(900, 1500)};
  out.parts.assign(components().size(), band(20, 80));
  out.parts[*component_index("high-pressure-pump")] = band(1500, 2500);
  out.parts[*component_index("injectors")] = band(1800, 3600);
  out.parts[*component_index("rail")] = band(300, 700);
  return out;
}

struct Judged {
  debris::DebrisMap map;
  Decision decision;
};

Judged judged(const debris::Story& story, std::vector<Finding> findings, bool priced = true, std::uint64_t seed = 1) {
  InlineExecutor executor;
  SilentProgress progress;
  const fw::Run run{.executor = executor, .progress = progress, .stop = {}};
  Judged out{
      .map = debris::infer(way(), story, findings, {.samples = 2000, .histories = 60, .seed = seed}, run).value(),
      .decision = {}};
  DecisionInput input{.as_found = way(),
                      .story = story,
                      .findings = std::move(findings),
                      .shape = EngineShape::inline_six,
                      .policy = usual_policy(),
                      .seed = seed};
  if (priced) input.prices = prices();
  out.decision = decide(out.map, input, run).value();
  return out;
}

const OptionResult& option(const Decision& decision, OptionKind kind) {
  return *std::ranges::find(decision.options, kind, &OptionResult::kind);
}

const debris::Story fifty_miles{.reach = Reach::driven, .ran_s = 50.0 / 35.0 * 3600.0, .cranks = 4};
const std::vector<Finding> glitter{{.place = Place::metering_valve, .grade = Grade::few_specks}};

// Practice in nine of ten draws: pump only leaves debris that reaches the new parts. (Common practice, no source.)
TEST(Decision, PumpOnlyLeavesDebrisThatReachesTheNewParts) {
  const Judged job = judged(fifty_miles, glitter);
  const OptionResult& pump_only = option(job.decision, OptionKind::pump_only);
  // The 5 % point of what reaches pump, valve or injectors in 100 h is over a hundred coarse particles.
  EXPECT_GT(pump_only.reached[decision_mark].low, 100.0);
  EXPECT_GT(pump_only.reached[decision_mark].median, option(job.decision, OptionKind::whole_system).reached[2].high);
  EXPECT_EQ(pump_only.standing, Standing::not_offered);
  EXPECT_EQ(job.decision.first, OptionKind::whole_system);
  EXPECT_EQ(job.decision.verdict, Verdict::recommended);
  EXPECT_EQ(job.decision.look_next.size(), 4U);
}

TEST(Decision, DosesRiseWithHoursAndFallWithScope) {
  const Judged job = judged(fifty_miles, glitter);
  for (const OptionResult& each : job.decision.options) {
    for (std::size_t mark = 1; mark < dose_hours.size(); ++mark) {
      EXPECT_GE(each.reached[mark].median, each.reached[mark - 1].median);
    }
    EXPECT_GE(each.mean_comeback, 0.02);
  }
  const auto comeback_of = [&](OptionKind kind) { return option(job.decision, kind).mean_comeback; };
  EXPECT_GT(comeback_of(OptionKind::pump_only), comeback_of(OptionKind::pump_and_high_side));
  EXPECT_GT(comeback_of(OptionKind::pump_and_high_side), comeback_of(OptionKind::whole_system));
}

// Metal that lies in some places only: the doses of these places, as when all else is taken out of the histories.
TEST(Decision, DosesOfPlacesAddWhateverLiesElsewhere) {
  InlineExecutor executor;
  SilentProgress progress;
  const fw::Run run{.executor = executor, .progress = progress, .stop = {}};
  Judged job = judged(fifty_miles, glitter);
  const DecisionInput input{.as_found = way(),
                            .story = fifty_miles,
                            .findings = glitter,
                            .shape = EngineShape::inline_six,
                            .prices = prices(),
                            .policy = usual_policy(),
                            .seed = 1};
  const std::vector<Place> gone{Place::return_line, Place::cooler, Place::tank};
  for (debris::History& history : job.map.histories) {
    for (const Place place : gone) history.mass_kg[static_cast<std::size_t>(place)] = {};
  }
  const Decision left = decide(job.map, input, run).value();
  for (const OptionResult& each : left.options) {
    const OptionResult& all = option(job.decision, each.kind);
    double sum = 0.0;
    for (const auto& places : all.dose_by_place) {
      for (const Place place : debris::all_places()) {
        if (std::ranges::count(gone, place) == 0) sum += places[static_cast<std::size_t>(place)];
      }
    }
    const double mean = sum / static_cast<double>(all.dose_by_place.size());
    EXPECT_NEAR(each.mean_reached, mean, 1e-9 * (1.0 + mean)) << name(each.kind);
    EXPECT_EQ(each.cost_draws_minor, all.cost_draws_minor);
  }
  EXPECT_LT(option(left, OptionKind::pump_only).mean_reached, option(job.decision, OptionKind::pump_only).mean_reached);
}

// The honest partial case: metal of the assist pump, caught by the next filter, what lies behind verified clean.
std::vector<Finding> caught() {
  return {{.place = Place::final_filter, .by = Look::patch, .area_m2 = 0.6e-4},
          {.place = Place::final_clean_side, .by = Look::patch},
          {.place = Place::pump_inlet_screen, .by = Look::cloth},
          {.place = Place::metering_valve, .by = Look::cloth}};
}
TEST(Decision, APartialRepairIsHonestlyEnoughForTheAssistPump) {
  const debris::Story story{.origin = MetalOrigin::assist_pump, .reach = Reach::ran, .ran_s = 1800.0, .cranks = 2};
  const Judged job = judged(story, caught());
  EXPECT_EQ(option(job.decision, OptionKind::supply_side).standing, Standing::eligible);
  EXPECT_EQ(job.decision.first, OptionKind::supply_side);
  EXPECT_TRUE(job.decision.look_next.empty());
}
// The same patch from the high-pressure pump must not give that answer.
TEST(Decision, TheSamePatchFromTheHighPressurePumpIsNotEnough) {
  const debris::Story story{.reach = Reach::ran, .ran_s = 1800.0, .cranks = 2};
  const Judged job = judged(story, {caught()[0]});
  EXPECT_EQ(std::ranges::find(job.decision.options, OptionKind::supply_side, &OptionResult::kind),
            job.decision.options.end());
  EXPECT_EQ(job.decision.first, OptionKind::whole_system);
  // Nor does it with everything behind the filter tested: rail and injectors had the metal first.
  EXPECT_EQ(judged(story, caught()).decision.first, OptionKind::whole_system);
}

TEST(Decision, APartialNeedsFourPlacesVerifiedClean) {
  std::vector<Finding> findings{{.place = Place::pump_housing, .grade = Grade::few_specks}};
  const debris::Story story{.reach = Reach::cranked, .cranks = 3};
  for (const Place place : {Place::rail, Place::injectors, Place::return_line, Place::tank}) {
    const Judged before = judged(story, findings);
    EXPECT_EQ(option(before.decision, OptionKind::verified_partial).standing, Standing::not_on_this_evidence);
    EXPECT_FALSE(is_partial(*before.decision.first));
    findings.push_back({.place = place, .by = Look::patch});
  }
  EXPECT_EQ(option(judged(story, findings).decision, OptionKind::verified_partial).standing, Standing::eligible);
  // A clean magnet in place of the last patch is not a test.
  findings.back().by = Look::magnet;
  EXPECT_EQ(option(judged(story, findings).decision, OptionKind::verified_partial).standing,
            Standing::not_on_this_evidence);
}

TEST(Decision, SaysWhenThereIsTooLittleEvidence) {
  const Judged job = judged({.reach = Reach::cranked, .cranks = 3}, {});
  EXPECT_EQ(job.decision.verdict, Verdict::too_little_evidence);
  EXPECT_FALSE(job.decision.first.has_value());
  EXPECT_EQ(job.decision.look_next.size(), 4U);
}

TEST(Decision, MagnetOverOneSquareCentimetreLeavesTheWholeSystem) {
  std::vector<Finding> findings{{.place = Place::final_filter, .by = Look::magnet, .area_m2 = 1.2e-4}};
  for (const Place place : {Place::rail, Place::injectors, Place::return_line, Place::tank}) {
    findings.push_back({.place = place, .by = Look::patch});
  }
  const debris::Story story{.origin = MetalOrigin::tank, .reach = Reach::ran, .ran_s = 1800.0};
  const Judged job = judged(story, findings);
  EXPECT_TRUE(job.decision.whole_by_magnet);
  EXPECT_EQ(job.decision.first, OptionKind::whole_system);
  findings[0].area_m2 = 1.0e-4;
  EXPECT_FALSE(judged(story, findings).decision.whole_by_magnet);
}

// Dose is additive over components: the frontier's dearest set leaves least, its first set keeps everything.
TEST(Decision, FrontierRunsFromKeepingAll) {
  const Judged job = judged(fifty_miles, glitter);
  ASSERT_GT(job.decision.frontier.size(), 5U);
  EXPECT_EQ(job.decision.frontier.front().cost_minor, 0);
  for (std::size_t i = 0; i < components().size(); ++i) {
    EXPECT_EQ(job.decision.frontier.front().actions[i], 0);
    EXPECT_TRUE(allowed(components()[i], static_cast<Action>(job.decision.frontier.back().actions[i])));
  }
}

TEST(Decision, NeverWithoutBreakEvenAndHinge) {
  const Judged job = judged(fifty_miles, glitter);
  const OptionResult& pump_only = option(job.decision, OptionKind::pump_only);
  const OptionResult& whole = option(job.decision, OptionKind::whole_system);
  ASSERT_TRUE(pump_only.break_even.has_value());
  // By hand: (C_B - C_A + p_B K)/K with K the middle of 6,000 and 12,000.
  const double by_hand =
      (static_cast<double>(whole.likely_cost->minor - pump_only.likely_cost->minor) + whole.mean_comeback * 900000.0) /
      900000.0;
  EXPECT_NEAR(*pump_only.break_even, by_hand, 1e-12);
  ASSERT_EQ(job.decision.hinges.size(), 4U);
  double firsts = 0.0;
  for (const Hinge& hinge : job.decision.hinges) {
    EXPECT_GE(hinge.total, hinge.first - 0.05);
    firsts += hinge.first;
  }
  EXPECT_LT(firsts, 1.1);
  EXPECT_GT(pump_only.unlucky_cost->minor, pump_only.likely_cost->minor);
}

TEST(Decision, CostsOfAnAccessThatIsOpenAreNotCounted) {
  const Judged job = judged(fifty_miles, glitter);
  DecisionInput input{.as_found = way(), .story = fifty_miles, .findings = glitter, .prices = prices()};
  input.shape = EngineShape::inline_six;
  input.prices->open = {Access::pump_off};
  InlineExecutor executor;
  SilentProgress progress;
  const Decision open = decide(job.map, input, {.executor = executor, .progress = progress, .stop = {}}).value();
  // 3.5 h in the middle at 150.00 an hour.
  EXPECT_EQ(option(job.decision, OptionKind::pump_only).likely_cost->minor -
                option(open, OptionKind::pump_only).likely_cost->minor,
            52500);
}

TEST(Decision, NamesMissingPricesAndForeignMoney) {
  InlineExecutor executor;
  SilentProgress progress;
  const fw::Run run{.executor = executor, .progress = progress, .stop = {}};
  const Judged job = judged(fifty_miles, glitter, false);
  EXPECT_FALSE(option(job.decision, OptionKind::pump_only).likely_cost.has_value());
  EXPECT_EQ(job.decision.first, OptionKind::whole_system);
  DecisionInput input{.as_found = way(), .story = fifty_miles, .findings = glitter, .prices = prices()};
  input.prices->parts[*component_index("injectors")].reset();
  const Decision missing = decide(job.map, input, run).value();
  EXPECT_EQ(option(missing, OptionKind::whole_system).missing_prices, std::vector<std::string>{"injectors"});
  EXPECT_TRUE(missing.frontier.empty());
  input.prices->labour_per_hour.currency = *Currency::of("EUR");
  EXPECT_EQ(decide(job.map, input, run).error().front().where.field, "prices.labour_per_hour");
}

TEST(Components, RefuseAnUnknownOne) {
  EXPECT_EQ(component_index("flux-capacitor").error().front().code, ErrorCode::not_found);
  for (const Component& component : components()) {
    EXPECT_FALSE(component.practice.empty()) << component.id;
    for (std::size_t shape = 0; shape < shape_count; ++shape) {
      EXPECT_LE(component.replace_hours[shape].low, component.replace_hours[shape].high) << component.id;
    }
  }
}

}  // namespace
}  // namespace fw::extent
