// SPDX-License-Identifier: Apache-2.0
// What the diagnosis says about cases drawn from its own tables, from disturbed tables, and about the stories of
// practice.
// `./test long` runs the same with more cases (diagnosis_long.cpp).
#include <algorithm>
#include <cmath>
#include <functional>
#include <iostream>

#include <gtest/gtest.h>

#include "catalog/catalog.hpp"
#include "diagnosis/next_look.hpp"
#include "diagnosis_generator.hpp"

namespace fw::test {
namespace {

using diagnosis::Facts;
using diagnosis::Seen;
using diagnosis::Tables;

const catalog::Catalog& shelf() {
  static const catalog::Catalog catalog = catalog::built_in().value();
  return catalog;
}

// Drawn from the tables themselves, what is stated is as often right as stated: within 4 standard errors in every bin.
TEST(DiagnosisProperty, IsRightAsOftenAsItSays) {
  const auto model = diagnosis::build_model(shelf().diagnosis).value();
  const Reliability result = reliability(model, model, 300, 11);
  for (const auto& bin : result.bins) {
    if (bin.statements == 0) continue;
    // A bin with few statements has no scatter to speak of; the binomial is the least.
    const double mean = bin.stated / static_cast<double>(bin.statements);
    const double least = static_cast<double>(bin.statements) * mean * (1.0 - mean);
    EXPECT_NEAR(bin.right, bin.stated, 4.0 * std::sqrt(std::max(bin.variance, least))) << to_text(result);
  }
  EXPECT_GT(result.determined, 30U) << to_text(result);
}

// Tables wrong by a factor of 2 in odds everywhere: stated 90 % is still right 75 % of the time (issue, section 6).
TEST(DiagnosisProperty, StandsWrongTables) {
  const auto model = diagnosis::build_model(shelf().diagnosis).value();
  const Reliability result = reliability(disturbed(model, 2.0, 5), model, 1500, 12);
  std::cout << "tables times or divided by 2 in odds:\n" << to_text(result);
  ASSERT_GE(result.about_ninety, 20U);
  EXPECT_GE(static_cast<double>(result.ninety_right), 0.75 * static_cast<double>(result.about_ninety));
}

struct Told {
  const char* id;
  Seen seen;
};

Facts facts_of(const std::vector<Told>& told) {
  Facts facts;
  for (const Told& one : told) {
    diagnosis::Statement statement;
    statement.finding = one.id;
    statement.seen = one.seen;
    facts.statements.push_back(statement);
  }
  return facts;
}

/// P(present) by id of causes and mechanisms, with the tables as written or as drawn.
std::function<double(const std::string&)> beliefs(const Tables& tables, const Facts& facts,
                                                  const std::optional<diagnosis::TableDraw>& draw = {}) {
  const auto model = diagnosis::build_model(tables, draw).value();
  const auto counted = diagnosis::counted_evidence(tables, model, facts).value();
  std::vector<std::size_t> wanted = model.causes;
  wanted.insert(wanted.end(), model.mechanisms.begin(), model.mechanisms.end());
  const auto posterior = diagnosis::infer(model.network, counted.evidence, wanted).value();
  return [model, posterior](const std::string& id) { return posterior.marginals[model.network.find(id).value()][0]; };
}

using Holds = std::function<bool(const std::function<double(const std::string&)>&)>;

std::vector<std::pair<double, std::string>> ranked(const std::function<double(const std::string&)>& belief) {
  std::vector<std::pair<double, std::string>> list;
  for (const auto& row : shelf().diagnosis.causes) list.emplace_back(belief(row.id), row.id);
  std::sort(list.rbegin(), list.rend());
  return list;
}

/// In how many of 100 draws of the tables' spreads the story holds, and at which strong likelihood ratio it flips.
void expect_story(const std::string& name, const Facts& facts, const Holds& holds) {
  const Tables& tables = shelf().diagnosis;
  EXPECT_TRUE(holds(beliefs(tables, facts))) << name << ", tables as written";
  int kept = 0;
  for (std::uint32_t sample = 0; sample < 100; ++sample) {
    kept += holds(beliefs(tables, facts, diagnosis::TableDraw{.seed = 3, .sample = sample})) ? 1 : 0;
  }
  EXPECT_GE(kept, 90) << name;
  // All ratios less 1 times a common factor, downwards until the story no longer holds.
  double flips_at = 0.0;
  for (double factor = 1.0; factor > 0.01; factor *= 0.9) {
    Tables weaker = tables;
    for (Stated* ratio : {&weaker.numbers.weak, &weaker.numbers.moderate, &weaker.numbers.strong}) {
      ratio->value = 1.0 + (ratio->value - 1.0) * factor;
    }
    if (!holds(beliefs(weaker, facts))) {
      flips_at = weaker.numbers.strong.value;
      break;
    }
  }
  std::cout << name << ": holds in " << kept << " of 100 draws; ";
  if (flips_at > 0.0) {
    std::cout << "flips at a strong ratio of " << flips_at << " (others in proportion)\n";
  } else {
    std::cout << "does not flip down to a strong ratio of 1.1\n";
  }
}

constexpr Seen yes = Seen::present;
constexpr Seen no = Seen::absent;

// The five stories of the issue; common practice, no source.
// High mileage is E09 with E08 absent; a bypassed separator takes the water sensor out of the flow, E13 with E14.
TEST(DiagnosisStories, MetalInTheMeteringBore) {
  const Facts facts = facts_of({{"E19", yes}, {"E08", no}, {"E09", yes}, {"E13", yes}, {"E14", yes}});
  expect_story("metal in the metering bore", facts, [](const auto& belief) {
    const auto list = ranked(belief);
    const bool leading =
        (list[0].second == "C01" && list[1].second == "C18") || (list[0].second == "C18" && list[1].second == "C01");
    const bool determined = list[0].first >= 0.5 && list[0].first >= 3.0 * list[1].first;
    return leading && !determined;
  });
  // One mark of 3 is a likelihood ratio of 10 and leaves "near certain" (0.95) just out of reach; the magnet brings it
  // (docs/theory/diagnosis.md, Stories, deviation).
  Facts magnet = facts;
  magnet.statements.push_back(facts_of({{"E22", yes}}).statements.front());
  for (const char* state : {"shed", "debris-spread"}) {
    expect_story(std::string("metal in the metering bore: ") + state, facts,
                 [&](const auto& belief) { return belief(state) >= 0.8; });
    // "Not near certain" is the deviation that the theory states.
    const double stands = beliefs(shelf().diagnosis, facts)(state);
    std::cout << "metal in the metering bore: " << state << " stands at " << stands << "\n";
    EXPECT_LT(stands, shelf().diagnosis.numbers.near_certain.value);
    expect_story(std::string("with metal on the magnet: ") + state, magnet,
                 [&](const auto& belief) { return belief(state) >= shelf().diagnosis.numbers.near_certain.value; });
  }
  InlineExecutor executor;
  SilentProgress progress;
  const auto next =
      diagnosis::next_looks(shelf().diagnosis, facts, shelf().losses, {}, {executor, progress, {}}).value();
  const auto sample = std::find_if(next.looks.begin(), next.looks.end(), [](const auto& look) {
    return shelf().diagnosis.findings[look.finding].step == diagnosis::Step::sample;
  });
  ASSERT_NE(sample, next.looks.end());
  EXPECT_TRUE(sample->blocked.empty());
  EXPECT_GT(sample->per_minute, 1.0);
  EXPECT_LT(sample - next.looks.begin(), 5);
}

TEST(DiagnosisStories, PetrolSmellAfterARefuel) {
  expect_story("petrol smell after a refuel", facts_of({{"E01", yes}, {"E43", yes}}),
               [](const auto& belief) { return ranked(belief)[0].second == "C03"; });
}

/// No part of the pump is condemned: no cause of the pump's own is determined, and one of `expected` leads.
Holds leads_without_the_pump(const std::vector<std::string>& expected) {
  return [expected](const auto& belief) {
    const auto list = ranked(belief);
    return std::find(expected.begin(), expected.end(), list[0].second) != expected.end() && belief("C15") < 0.2 &&
           belief("C17") < 0.2 && belief("C18") < 0.2;
  };
}

TEST(DiagnosisStories, CloggedFilterMimicsAPump) {
  expect_story("clogged filter mimicking a pump",
               facts_of({{"E05", yes}, {"E16", yes}, {"E62", yes}, {"E58", yes}, {"E19", no}}),
               leads_without_the_pump({"C08"}));
}

TEST(DiagnosisStories, WireDropMimicsADeadAssistPump) {
  expect_story("wire drop mimicking a dead assist pump", facts_of({{"E54-silent", yes}, {"E60", yes}, {"E19", no}}),
               [](const auto& belief) { return ranked(belief)[0].second == "C14" && belief("C13") < 0.2; });
}

TEST(DiagnosisStories, WeepingReliefMimicsAWornPump) {
  expect_story("weeping relief mimicking a worn pump",
               facts_of({{"E62", yes}, {"E63", yes}, {"E70", yes}, {"E19", no}}), leads_without_the_pump({"C26"}));
}

}  // namespace
}  // namespace fw::test
