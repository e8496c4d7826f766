// SPDX-License-Identifier: Apache-2.0
// Diagnosis and next look on the tables of the catalog.
#include "diagnosis/next_look.hpp"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "catalog/catalog.hpp"

namespace fw::catalog {
namespace {

using diagnosis::Facts;
using diagnosis::Seen;
using diagnosis::Statement;

const Catalog& shelf() {
  static const Catalog catalog = built_in().value();
  return catalog;
}

Facts facts_of(const std::vector<std::pair<const char*, Seen>>& seen) {
  Facts facts;
  for (const auto& [id, how] : seen) {
    Statement one;
    one.finding = id;
    one.seen = how;
    facts.statements.push_back(one);
  }
  return facts;
}

struct Quiet {
  InlineExecutor executor;
  SilentProgress progress;
  Run run{executor, progress, {}};
};

// The one-run outcomes of a look agree with inference from the start, for plain, inhibited and graded findings.
TEST(Outlook, AgreesWithInference) {
  const auto& tables = shelf().diagnosis;
  const auto model = diagnosis::build_model(tables).value();
  const auto counted =
      diagnosis::counted_evidence(tables, model, facts_of({{"E19", Seen::present}, {"E13", Seen::present}})).value();
  const auto outlook = diagnosis::Outlook::of(model, counted.evidence).value();
  const double before = diagnosis::infer(model.network, counted.evidence, {0}).value().log_evidence;
  // What is compared; the findings that nobody asks for need no marginals.
  std::vector<std::size_t> wanted = model.causes;
  wanted.insert(wanted.end(), model.mechanisms.begin(), model.mechanisms.end());
  for (const char* id : {"E46", "E03", "E39", "E62", "E58"}) {
    const auto row = static_cast<std::size_t>(tables.finding(id) - tables.findings.data());
    const auto outcomes = outlook.outcomes(row).value();
    double sum = 0.0;
    for (const auto& one : outcomes) {
      auto with = counted.evidence;
      with.observed.push_back({model.findings[row], one.state});
      const auto truth = diagnosis::infer(model.network, with, wanted).value();
      EXPECT_NEAR(one.chance, std::exp(truth.log_evidence - before), 1e-10) << id;
      for (std::size_t i = 0; i < model.causes.size(); ++i) {
        EXPECT_NEAR(one.causes[i], truth.marginals[model.causes[i]][0], 1e-9) << id << " " << tables.causes[i].id;
      }
      for (std::size_t i = 0; i < model.mechanisms.size(); ++i) {
        EXPECT_NEAR(one.mechanisms[i], truth.marginals[model.mechanisms[i]][0], 1e-9) << id;
      }
      sum += one.chance;
    }
    EXPECT_NEAR(sum, 1.0, 1e-10) << id;
  }
}

// EVSI is never negative, never above what knowing everything would save; one answered is not asked again.
TEST(NextLook, ValuesAreBoundedAndDoneLooksAreGone) {
  Quiet quiet;
  const Facts facts = facts_of({{"E19", Seen::present}, {"E46", Seen::could_not_tell}, {"E60", Seen::not_looked}});
  const auto next = diagnosis::next_looks(shelf().diagnosis, facts, shelf().losses, {}, quiet.run).value();
  EXPECT_EQ(next.looks.size(), shelf().diagnosis.findings.size() - 2);
  for (const auto& look : next.looks) {
    const std::string& id = shelf().diagnosis.findings[look.finding].id;
    EXPECT_NE(id, "E19");
    EXPECT_NE(id, "E46");
    EXPECT_GE(look.value_s, 0.0) << id;
    EXPECT_LT(look.value_s, next.expected_loss_s) << id;
  }
}

const diagnosis::Look& look_for(const diagnosis::NextLooks& next, const char* id) {
  return *std::find_if(next.looks.begin(), next.looks.end(),
                       [&](const auto& look) { return shelf().diagnosis.findings[look.finding].id == id; });
}

std::string why_not(const diagnosis::NextLooks& next, const char* id) {
  std::string all;
  for (const std::string& one : look_for(next, id).blocked) all += one + "\n";
  return all;
}

// The order of work of the evidence catalogue.
TEST(NextLook, KeepsTheOrderOfWork) {
  Quiet quiet;
  const auto next = [&](const Facts& facts) {
    return diagnosis::next_looks(shelf().diagnosis, facts, shelf().losses, {}, quiet.run).value();
  };
  const auto nothing = next({});
  EXPECT_NE(why_not(nothing, "E62").find("before any crank: jar, magnet"), std::string::npos);
  EXPECT_NE(why_not(nothing, "E20").find("clean-side sample"), std::string::npos);
  EXPECT_NE(why_not(nothing, "E23").find("before the tank"), std::string::npos);
  EXPECT_NE(why_not(nothing, "E27").find("agreement of owner, payer, maker"), std::string::npos);
  EXPECT_NE(why_not(nothing, "E19").find("ask and look before opening"), std::string::npos);
  EXPECT_EQ(why_not(nothing, "E39"), "");
  EXPECT_NE(why_not(nothing, "E54-silent").find("sampled before"), std::string::npos);

  const auto petrol = next(facts_of({{"E43", Seen::present}, {"E02", Seen::present}}));
  EXPECT_NE(why_not(petrol, "E54-silent").find("wrong fluid"), std::string::npos);
  const auto sampled = next(facts_of({{"E43", Seen::present}, {"E02", Seen::present}, {"E40", Seen::absent}}));
  EXPECT_EQ(why_not(sampled, "E54-silent"), "");

  const auto metal =
      next(facts_of({{"E19", Seen::present}, {"E22", Seen::present}, {"E39", Seen::absent}, {"E43", Seen::absent}}));
  EXPECT_NE(why_not(metal, "E46").find("metal is likely"), std::string::npos);
  EXPECT_NE(why_not(metal, "E21").find("supply pump alone"), std::string::npos);
  EXPECT_EQ(why_not(metal, "E62"), "");

  Facts agreed = facts_of({});
  for (const auto& row : shelf().diagnosis.findings) {
    if (row.step != diagnosis::Step::ask) continue;
    Statement one;
    one.finding = row.id;
    one.seen = Seen::could_not_tell;
    agreed.statements.push_back(one);
  }
  agreed.agreement = {.owner = true, .payer = true, .maker = true, .date = "2026-05-04"};
  EXPECT_EQ(why_not(next(agreed), "E27"), "");
  agreed.tools_away = {"dye"};
  EXPECT_NE(why_not(next(agreed), "E30").find("dye is not at hand"), std::string::npos);
}

// A second step is worth something, and so no first look is worth less with it, per minute of both, than the second
// alone would allow: the value of both together is at least that of the first.
TEST(NextLook, LooksTwoStepsAhead) {
  Quiet quiet;
  const Facts facts = facts_of({{"E13", Seen::present}, {"E17", Seen::present}});
  const auto two = diagnosis::next_looks(shelf().diagnosis, facts, shelf().losses, {.firsts = 2}, quiet.run).value();
  const auto ahead = std::count_if(two.looks.begin(), two.looks.end(), [](const auto& look) {
    return look.two_step_per_minute > 0.0 && !look.opens_way_to;
  });
  EXPECT_LE(ahead, 2);
  // A look that opens the way is credited with less per minute than the barred one would give alone, and only it.
  std::size_t openers = 0;
  for (const auto& look : two.looks) {
    if (!look.opens_way_to) continue;
    ++openers;
    EXPECT_TRUE(look.blocked.empty() || shelf().diagnosis.findings[look.finding].step == diagnosis::Step::ask);
    const auto barred = std::find_if(two.looks.begin(), two.looks.end(),
                                     [&](const auto& one) { return one.finding == *look.opens_way_to; });
    ASSERT_NE(barred, two.looks.end());
    EXPECT_FALSE(barred->blocked.empty());
    EXPECT_GT(look.two_step_per_minute, look.per_minute);
    EXPECT_LT(look.two_step_per_minute, barred->per_minute);
  }
  EXPECT_GT(openers, 0U);
}

// A look that is worth nothing by itself but opens the way to one that is stands by its credit in the plain order too.
TEST(NextLook, CreditsWhatOpensTheWay) {
  Quiet quiet;
  const Facts facts = facts_of({{"E13", Seen::present}, {"E17", Seen::present}});
  const auto plain = diagnosis::next_looks(shelf().diagnosis, facts, shelf().losses, {}, quiet.run).value();
  const auto opener = std::ranges::find_if(plain.looks, [](const auto& look) { return look.opens_way_to.has_value(); });
  ASSERT_NE(opener, plain.looks.end());
  EXPECT_TRUE(opener->blocked.empty());
  EXPECT_GT(opener->two_step_per_minute, opener->per_minute);
  EXPECT_FALSE(look_for(plain, shelf().diagnosis.findings[*opener->opens_way_to].id.c_str()).blocked.empty());
}

// Nothing is worth a minute where every decision is settled: losses that no finding can move.
TEST(NextLook, StopsWhereNothingPays) {
  Quiet quiet;
  const diagnosis::Losses settled{
      .decisions = {{.id = "d",
                     .title = "t",
                     .options = {{.id = "a", .title = "a", .cost_s = 0.0, .miss_s = {{"shed", 60.0}}},
                                 {.id = "b", .title = "b", .cost_s = 36000.0, .miss_s = {}}}}}};
  const auto next = diagnosis::next_looks(shelf().diagnosis, {}, settled, {}, quiet.run).value();
  EXPECT_TRUE(next.stop);
  for (const auto& look : next.looks) EXPECT_NEAR(look.value_s, 0.0, 1e-9);
  EXPECT_FALSE(diagnosis::next_looks(shelf().diagnosis, {}, shelf().losses, {}, quiet.run).value().stop);
}

// The table's losses drawn from their spreads: medians and 5 to 95 % points where the table puts them, one draw for
// what is one number, and values of looks with a band about them.
TEST(NextLook, BandsFollowTheSpreadsOfTheLosses) {
  Quiet quiet;
  const diagnosis::Losses drawn = diagnosis::with_draws(shelf().losses, 1, 400);
  ASSERT_EQ(drawn.draws.size(), 400U);
  std::size_t at = 0;
  std::size_t checked = 0;
  std::vector<std::size_t> missed;  // of the causes that are treated or left
  for (const auto& decision : drawn.decisions) {
    for (const auto& option : decision.options) {
      ++at;
      for (std::size_t i = 0; i < option.miss_s.size(); ++i, ++at) {
        if (decision.from_treatment) missed.push_back(at);
        const Spread& spread = option.miss_spreads.at(i);
        if (spread.kind != SpreadKind::lognormal) continue;
        const auto share = [&](double limit) {
          return static_cast<double>(std::ranges::count_if(
                     drawn.draws, [&](const std::vector<double>& draw) { return draw[at] < limit; })) /
                 400.0;
        };
        // 4 standard errors of a share over 400 draws.
        EXPECT_NEAR(share(option.miss_s[i].second), 0.5, 4.0 * std::sqrt(0.25 / 400.0));
        EXPECT_NEAR(share(option.miss_s[i].second * spread.factor), 0.95, 4.0 * std::sqrt(0.0475 / 400.0));
        ++checked;
      }
    }
  }
  EXPECT_GT(checked, 10U);
  EXPECT_EQ(at, drawn.draws[0].size());
  ASSERT_GT(missed.size(), 20U);
  for (const std::size_t one : missed) EXPECT_EQ(drawn.draws[7][one], drawn.draws[7][missed.front()]);
  EXPECT_NE(drawn.draws[7][missed.front()], drawn.draws[8][missed.front()]);

  const Facts facts = facts_of({{"E19", Seen::present}});
  const auto plain = diagnosis::next_looks(shelf().diagnosis, facts, shelf().losses, {}, quiet.run).value();
  const auto banded = diagnosis::next_looks(shelf().diagnosis, facts, drawn, {}, quiet.run).value();
  EXPECT_EQ(plain.draws, 0U);
  EXPECT_EQ(banded.draws, 400U);
  std::size_t wide = 0;
  ASSERT_EQ(plain.looks.size(), banded.looks.size());
  for (std::size_t i = 0; i < plain.looks.size(); ++i) {
    EXPECT_EQ(plain.looks[i].finding, banded.looks[i].finding) << "draws change no order";
    EXPECT_EQ(plain.looks[i].value_s, banded.looks[i].value_s);
    EXPECT_EQ(plain.looks[i].value_low_s, plain.looks[i].value_s);
    EXPECT_LE(banded.looks[i].value_low_s, banded.looks[i].value_high_s);
    if (banded.looks[i].value_low_s < banded.looks[i].value_s &&
        banded.looks[i].value_s < banded.looks[i].value_high_s) {
      ++wide;
    }
  }
  EXPECT_GT(wide, 10U);
  diagnosis::Losses short_of_one = drawn;
  short_of_one.draws.front().pop_back();
  EXPECT_EQ(diagnosis::check(short_of_one, shelf().diagnosis).error().front().code, ErrorCode::invalid_input);
}

// A fee counts with the minutes: the look saves what it saved, and is worth less per minute.
TEST(NextLook, AFeeCountsWithTheMinutes) {
  Quiet quiet;
  const Facts facts = facts_of({{"E19", Seen::present}});
  auto tables = shelf().diagnosis;
  const auto row = static_cast<std::size_t>(tables.finding("E73-water") - tables.findings.data());
  const auto free = look_for(diagnosis::next_looks(tables, facts, shelf().losses, {}, quiet.run).value(), "E73-water");
  tables.findings[row].fee_s = exactly(free.minutes_s);
  const auto dear = look_for(diagnosis::next_looks(tables, facts, shelf().losses, {}, quiet.run).value(), "E73-water");
  ASSERT_GT(free.value_s, 0.0);
  EXPECT_EQ(dear.value_s, free.value_s);
  EXPECT_EQ(dear.minutes_s, free.minutes_s);
  EXPECT_EQ(dear.cost_s, 2.0 * free.minutes_s);
  EXPECT_DOUBLE_EQ(dear.per_minute, 0.5 * free.per_minute);
}

TEST(Diagnose, SilentLampSaysNothingWithoutASensor) {
  Quiet quiet;
  const auto water = [&](const Facts& facts) {
    const auto found = diagnosis::diagnose(shelf().diagnosis, facts, {.seed = 1, .count = 5}, quiet.run).value();
    return *std::find_if(found.causes.begin(), found.causes.end(), [](const auto& one) { return one.id == "C01"; });
  };
  Facts silent = facts_of({{"E04", Seen::absent}});
  const double nothing = water({}).probability;
  EXPECT_LT(water(silent).probability, nothing);
  silent.water_sensor = diagnosis::WaterSensor::none;
  EXPECT_DOUBLE_EQ(water(silent).probability, nothing);
  const Facts missing = facts_of({{"E04", Seen::absent}, {"E14", Seen::present}});
  EXPECT_DOUBLE_EQ(water(missing).probability, water(facts_of({{"E14", Seen::present}})).probability);
  EXPECT_DOUBLE_EQ(water(facts_of({{"E40", Seen::could_not_tell}})).probability, nothing);
}

TEST(Diagnose, SaysNotDeterminedAndWhy) {
  Quiet quiet;
  const auto nothing = diagnosis::diagnose(shelf().diagnosis, {}, {.seed = 1, .count = 5}, quiet.run).value();
  EXPECT_FALSE(nothing.determined);
  EXPECT_NE(nothing.why_not.find("as low as"), std::string::npos);
  const Facts petrol =
      facts_of({{"E01", Seen::present}, {"E43", Seen::present}, {"E44", Seen::present}, {"E73-flash", Seen::present}});
  const auto found = diagnosis::diagnose(shelf().diagnosis, petrol, {.seed = 1, .count = 20}, quiet.run).value();
  EXPECT_TRUE(found.determined) << found.why_not;
  EXPECT_EQ(found.causes.front().id, "C03");
}

TEST(Diagnose, NamesTheBadStatement) {
  Quiet quiet;
  const auto code = [&](const Facts& facts) {
    return diagnosis::diagnose(shelf().diagnosis, facts, {.seed = 1, .count = 1}, quiet.run).error().front().code;
  };
  EXPECT_EQ(code(facts_of({{"E99", Seen::present}})), ErrorCode::invalid_input);
  EXPECT_EQ(code(facts_of({{"E46", Seen::present}, {"E46", Seen::absent}})), ErrorCode::conflict);
  EXPECT_EQ(code(facts_of({{"E39", Seen::present}})), ErrorCode::invalid_input);
  EXPECT_EQ(diagnosis::explain(shelf().diagnosis, {}, "C99", {}, quiet.run).error().front().code, ErrorCode::not_found);
}

// A weight is the ln odds that the finding adds: odds with all over odds without it.
TEST(Explain, WeightsAreOddsLeftOut) {
  Quiet quiet;
  const auto odds = [&](const Facts& facts) {
    const auto found = diagnosis::diagnose(shelf().diagnosis, facts, {.seed = 1, .count = 1}, quiet.run).value();
    for (const auto& one : found.causes) {
      if (one.id == "C08") return one.probability / (1.0 - one.probability);
    }
    return std::nan("");
  };
  const Facts both = facts_of({{"E05", Seen::present}, {"E60", Seen::present}});
  const auto why = diagnosis::explain(shelf().diagnosis, both, "C08", {.seed = 1, .count = 1}, quiet.run).value();
  ASSERT_EQ(why.weights.size(), 2U);
  for (const auto& weight : why.weights) {
    const Facts without = facts_of({{weight.finding == "E05" ? "E60" : "E05", Seen::present}});
    EXPECT_NEAR(weight.log_odds, std::log(odds(both) / odds(without)), 1e-9) << weight.finding;
    EXPECT_EQ(weight.log_odds > 0.0, weight.finding == "E05");
  }
  // The overturning results put it in front, which it is not as things stand.
  ASSERT_FALSE(why.overturns.empty());
  for (const auto& one : why.overturns) EXPECT_EQ(one.new_leader, "C08") << one.finding;
}

// Two causes explained at once say what each says alone.
TEST(Explain, SeveralAtOnceAreEachAlone) {
  Quiet quiet;
  const Facts facts = facts_of({{"E05", Seen::present}, {"E60", Seen::present}, {"E19", Seen::absent}});
  const diagnosis::Draws draws{.seed = 1, .count = 3};
  const auto found = diagnosis::diagnose(shelf().diagnosis, facts, draws, quiet.run).value();
  const std::vector<std::string> causes{"C08", "C14"};
  const auto both = diagnosis::explain(shelf().diagnosis, facts, found, causes, quiet.run).value();
  ASSERT_EQ(both.size(), 2U);
  for (std::size_t i = 0; i < causes.size(); ++i) {
    const auto alone = diagnosis::explain(shelf().diagnosis, facts, causes[i], draws, quiet.run).value();
    EXPECT_EQ(both[i].cause.id, causes[i]);
    EXPECT_EQ(both[i].cause.probability, alone.cause.probability);
    EXPECT_EQ(both[i].cause.low, alone.cause.low);
    ASSERT_EQ(both[i].weights.size(), alone.weights.size());
    for (std::size_t w = 0; w < alone.weights.size(); ++w) {
      EXPECT_EQ(both[i].weights[w].finding, alone.weights[w].finding);
      EXPECT_EQ(both[i].weights[w].log_odds, alone.weights[w].log_odds);
    }
    ASSERT_EQ(both[i].overturns.size(), alone.overturns.size());
    for (std::size_t o = 0; o < alone.overturns.size(); ++o) {
      EXPECT_EQ(both[i].overturns[o].finding, alone.overturns[o].finding);
      EXPECT_EQ(both[i].overturns[o].new_leader, alone.overturns[o].new_leader);
    }
  }
  const std::vector<std::string> wrong{"C99"};
  EXPECT_EQ(diagnosis::explain(shelf().diagnosis, facts, found, wrong, quiet.run).error().front().code,
            ErrorCode::not_found);
}

}  // namespace
}  // namespace fw::catalog
