// SPDX-License-Identifier: Apache-2.0
// Readings as evidence, on sheets of the demo cases and on what their own models foretell.
#include "diagnosis/readings.hpp"

#include <algorithm>
#include <cmath>
#include <iostream>
#include <map>
#include <thread>

#include <gtest/gtest.h>

#include "casefile/case.hpp"
#include "casefile/findings.hpp"
#include "diagnosis/diagnose.hpp"
#include "diagnosis/next_look.hpp"
#include "numerics/normal.hpp"

#include "project_file.hpp"

namespace fw::casefile {
namespace {

using diagnosis::Facts;
using diagnosis::Fate;
using diagnosis::Measure;
using diagnosis::Reading;
using diagnosis::ReadingStanding;
using diagnosis::Seen;
using diagnosis::Tables;
using diagnosis::WeighedReadings;
using system::EnginePoint;

constexpr double MPa = 1e6;
constexpr double mL_per_min = 1e-6 / 60.0;

const catalog::Catalog& shelf() {
  static const catalog::Catalog catalog = catalog::built_in().value();
  return catalog;
}

const system::LineSheet& sheet_of(const std::string& name) {
  static std::map<std::string, system::LineSheet> sheets;
  auto at = sheets.find(name);
  if (at == sheets.end()) {
    at = sheets.emplace(name, read_sheet_file(test::project_file("cases/") + name, shelf()).value()).first;
  }
  return at->second;
}
const system::LineSheet& rebuilt() { return sheet_of("alder-gap-tender/as-rebuilt.toml"); }
const system::LineSheet& tender() { return sheet_of("alder-gap-tender/as-found.toml"); }

Reading pressure(const std::string& at, EnginePoint engine, double value, const std::string& instrument = "gauge") {
  Reading one;
  one.measure = Measure::pressure;
  one.at = at;
  one.engine = engine;
  one.value = value;
  one.instrument = instrument;
  return one;
}
Reading high(Measure measure, double value, const std::string& instrument) {
  Reading one;
  one.measure = measure;
  one.engine = measure == Measure::rail_crank ? EnginePoint::crank : EnginePoint::stopped;
  one.value = value;
  one.instrument = instrument;
  return one;
}

struct Quiet {
  InlineExecutor executor;
  SilentProgress progress;
  Run run{executor, progress, {}};
};

std::vector<WeighedReadings> weighed(const std::vector<Reading>& readings, const Tables& tables = shelf().diagnosis,
                                     std::uint64_t seed = 1, const system::LineSheet& sheet = tender()) {
  Quiet quiet;
  auto result = diagnosis::weigh_readings(tables, readings, sheet, seed, quiet.run);
  if (!result) throw std::runtime_error(to_text(result.error()));
  return *std::move(result);
}

diagnosis::Diagnosis judged(const Facts& facts) {
  Quiet quiet;
  return diagnosis::diagnose(shelf().diagnosis, facts, {.seed = 1, .count = 10}, quiet.run).value();
}

double belief(const diagnosis::Diagnosis& diagnosis, const std::string& id) {
  for (const auto* list : {&diagnosis.causes, &diagnosis.state, &diagnosis.mechanisms}) {
    for (const diagnosis::Belief& one : *list) {
      if (one.id == id) return one.probability;
    }
  }
  throw std::runtime_error(id);
}

/// Blocks from the last to the first, two at a time.
class BackwardsPair final : public Executor {
 public:
  void for_each_block(std::size_t blocks, const std::function<void(std::size_t)>& work) override {
    std::size_t left = blocks;
    while (left > 0) {
      const std::size_t one = --left;
      if (left == 0) return work(one);
      const std::size_t other = --left;
      std::thread second([&] { work(other); });
      work(one);
      second.join();
    }
  }
  [[nodiscard]] std::size_t threads() const override { return 2; }
};

// A reading replaces its row: the posterior is the same to the bit whether or not the row was ticked, either way.
TEST(Readings, ReplaceTheirRow) {
  Facts facts;
  facts.readings = {pressure("inlet", EnginePoint::idle, 80e3), pressure("inlet", EnginePoint::rated, 25e3)};
  facts.weighed = weighed(facts.readings);
  ASSERT_EQ(facts.weighed.front().standing, ReadingStanding::counted);
  facts.statements = {{.finding = "E05", .seen = Seen::present}};
  const auto without = judged(facts);
  EXPECT_EQ(without.counted, 1U);
  for (const char* row : {"E55", "E56", "E58", "E57"}) {
    for (const Seen seen : {Seen::present, Seen::absent}) {
      Facts ticked = facts;
      ticked.statements.push_back({.finding = row, .seen = seen});
      const auto with = judged(ticked);
      for (const diagnosis::Belief& one : without.causes) {
        EXPECT_EQ(belief(with, one.id), one.probability) << row << " " << one.id;
      }
      ASSERT_EQ(with.discounted.size(), 1U) << row;
      EXPECT_EQ(with.discounted.front().why, "replaced by reading");
    }
  }
  // An idle reading does not say how the inlet fares under load: E56 stands.
  Facts idle = facts;
  idle.readings.pop_back();
  idle.weighed = weighed(idle.readings);
  idle.statements.push_back({.finding = "E56", .seen = Seen::present});
  EXPECT_EQ(judged(idle).counted, 2U);
  // And a replaced row is not asked for again.
  Quiet quiet;
  const auto next = diagnosis::next_looks(shelf().diagnosis, facts, shelf().losses, {}, quiet.run).value();
  for (const diagnosis::Look& look : next.looks) {
    const std::string& id = shelf().diagnosis.findings[look.finding].id;
    EXPECT_TRUE(id != "E55" && id != "E56" && id != "E57" && id != "E58") << id;
  }
}

// Readings that nothing can explain are not counted, alone or together, and leave the posterior as it was.
TEST(Readings, SayWhatFitsNothing) {
  Facts facts;
  facts.statements = {{.finding = "E05", .seen = Seen::present}};
  const double before = belief(judged(facts), "C08");
  facts.readings = {pressure("inlet", EnginePoint::idle, 5e6)};
  facts.weighed = weighed(facts.readings);
  EXPECT_EQ(facts.weighed.front().readings.front().fate, Fate::fits_nothing);
  EXPECT_EQ(facts.weighed.front().standing, ReadingStanding::none);
  EXPECT_EQ(belief(judged(facts), "C08"), before);
  // Each may be, but not both: the inlet at idle twice, far apart.
  facts.readings = {pressure("inlet", EnginePoint::idle, 70e3),
                    pressure("inlet", EnginePoint::idle, -30e3, "vacuum gauge")};
  facts.weighed = weighed(facts.readings);
  EXPECT_EQ(facts.weighed.front().readings.front().fate, Fate::counted);
  EXPECT_EQ(facts.weighed.front().readings.back().fate, Fate::counted);
  EXPECT_EQ(facts.weighed.front().standing, ReadingStanding::fit_nothing);
  EXPECT_EQ(belief(judged(facts), "C08"), before);
  // One that fits nothing does not spoil one that does.
  facts.readings = {pressure("inlet", EnginePoint::idle, 70e3), pressure("P1", EnginePoint::idle, 5e6)};
  facts.weighed = weighed(facts.readings);
  EXPECT_EQ(facts.weighed.front().readings.back().fate, Fate::fits_nothing);
  EXPECT_EQ(facts.weighed.front().standing, ReadingStanding::counted);
}

/// Beliefs with the tables as drawn in one sample, readings as weighed.
std::map<std::string, double> beliefs_in_draw(const Facts& facts, std::uint32_t sample) {
  const Tables& tables = shelf().diagnosis;
  const auto model = diagnosis::case_model(tables, facts, diagnosis::TableDraw{.seed = 3, .sample = sample}).value();
  const auto counted = diagnosis::counted_evidence(tables, model, facts).value();
  const auto posterior = diagnosis::infer(model.network, counted.evidence, model.causes).value();
  std::map<std::string, double> beliefs;
  for (const std::size_t node : model.causes) beliefs[model.network.nodes[node].name] = posterior.marginals[node][0];
  return beliefs;
}

/// A story of practice with readings (common practice, no source): the cause leads, no wrong part is condemned, in nine
/// of ten draws of the tables.
void expect_story(const std::string& name, Facts facts, const std::string& cause,
                  const std::vector<std::string>& not_condemned, const system::LineSheet& sheet = tender()) {
  facts.weighed = weighed(facts.readings, shelf().diagnosis, 1, sheet);
  ASSERT_EQ(facts.weighed.front().standing, ReadingStanding::counted) << name << " " << facts.weighed.front().effective;
  EXPECT_GE(facts.weighed.front().effective, diagnosis::not_known_below) << name;
  EXPECT_EQ(judged(facts).causes.front().id, cause) << name;
  int kept = 0;
  for (std::uint32_t sample = 0; sample < 50; ++sample) {
    const auto beliefs = beliefs_in_draw(facts, sample);
    kept += std::ranges::all_of(not_condemned, [&](const std::string& other) {
      return beliefs.at(other) < 0.5 && beliefs.at(other) < beliefs.at(cause);
    });
  }
  EXPECT_GE(kept, 45) << name;
  std::cout << name << ": holds in " << kept << " of 50 draws of the tables, " << facts.weighed.front().effective
            << " effective draws\n";
}

/// The first of falling shares of a reading's departure from a sound system at which the cause no longer leads.
template <class Told>  // a template so that the maker of the facts may be a lambda
double flips_at(const Told& facts_at, const std::string& cause, const system::LineSheet& sheet = tender()) {
  for (const double share : {0.6, 0.3, 0.1, 0.0}) {
    Facts facts = facts_at(share);
    facts.weighed = weighed(facts.readings, shelf().diagnosis, 1, sheet);
    if (judged(facts).causes.front().id != cause) return share;
  }
  return -1.0;
}

/// Prints where the story flips. `unit`: what a whole share is.
template <class Told>
void expect_flip(const Told& facts_at, const std::string& cause, const std::string& unit,
                 const system::LineSheet& sheet = tender()) {
  const double flip = flips_at(facts_at, cause, sheet);
  std::cout << "  flips at " << flip << " of " << unit << "\n";
  EXPECT_GE(flip, 0.0) << "the reading decides nothing";
}

// An overdue filter, and gauges before and behind it under load.
TEST(ReadingStories, CloggedFilterMimicsAPump) {
  const auto told = [](double share) {
    Facts facts;
    facts.statements = {{.finding = "E05", .seen = Seen::present},
                        {.finding = "E62", .seen = Seen::present},
                        {.finding = "E19", .seen = Seen::absent}};
    // On this sheet a sound filter leaves about 50 kPa behind it at rated power.
    facts.readings = {pressure("P2", EnginePoint::rated, 58e3),
                      pressure("P3", EnginePoint::rated, 50e3 - 54e3 * share)};
    for (Reading& one : facts.readings) one.temperature_K = 298.15;
    return facts;
  };
  expect_story("clogged filter mimicking a pump", told(1.0), "C08", {"C13", "C15", "C17", "C18"});
  expect_flip(told, "C08", "54 kPa that P3 falls under load");
}

// Volts at the connector of an assist pump that barely turns, on a sheet that states its wire.
TEST(ReadingStories, WireDropMimicsADeadAssistPump) {
  const auto told = [](double share) {
    Facts facts;
    facts.statements = {{.finding = "E54-silent", .seen = Seen::present}, {.finding = "E19", .seen = Seen::absent}};
    Reading volts = pressure("assist-pump", EnginePoint::idle, 13.6 - 5.4 * share, "voltmeter");
    volts.measure = Measure::volts;
    facts.readings = {volts};
    return facts;
  };
  expect_story("wire drop mimicking a dead assist pump", told(1.0), "C14", {"C13", "C15", "C17", "C18"}, rebuilt());
  expect_flip(told, "C14", "5.4 V lost in the wire", rebuilt());
}

// The relief valve returns fuel while cranking: the rail stays low with a sound pump.
TEST(ReadingStories, WeepingReliefMimicsAWornPump) {
  const auto told = [](double share) {
    Facts facts;
    facts.statements = {{.finding = "E62", .seen = Seen::present}, {.finding = "E19", .seen = Seen::absent}};
    facts.readings = {high(Measure::rail_crank, 8.1 * MPa, "scan tool"),
                      high(Measure::relief_return, 130 * mL_per_min * share, "jar")};
    facts.readings.back().engine = EnginePoint::crank;
    return facts;
  };
  expect_story("weeping relief mimicking a worn pump", told(1.0), "C26", {"C15", "C17", "C18", "C19"});
  expect_flip(told, "C26", "130 mL/min that the valve returns");
}

// A dry relief valve, dry injectors, a rail that stays low and a sound inlet: the pump it is, and not the valve.
TEST(ReadingStories, WornPumpIsToldByDryJars) {
  Facts facts;
  facts.statements = {{.finding = "E09", .seen = Seen::present},
                      {.finding = "E19", .seen = Seen::absent},
                      {.finding = "E55", .seen = Seen::absent},
                      {.finding = "E58", .seen = Seen::absent}};
  facts.readings = {high(Measure::rail_crank, 12.75 * MPa, "scan tool"), high(Measure::relief_return, 0.0, "jar")};
  facts.readings.back().engine = EnginePoint::crank;
  expect_story("worn pump", facts, "C18", {"C26", "C13", "C08"});
}

// Too sharp an instrument for the number of draws: not known, and said so.
TEST(Readings, AreNotKnownOnTooFewDraws) {
  const double sound = weighed({pressure("inlet", EnginePoint::idle, 60e3)}).front().readings.front().foretold;
  Tables tables = shelf().diagnosis;
  tables.readings.discrepancy.value = 1e-6;
  for (diagnosis::InstrumentRow& one : tables.instruments) one = {.id = one.id, .of_reading = 1e-6};
  const auto sharp = weighed({pressure("inlet", EnginePoint::idle, sound)}, tables);
  ASSERT_EQ(sharp.front().readings.front().fate, Fate::fits_nothing);  // no draw within 3 standard deviations of it
  for (diagnosis::InstrumentRow& one : tables.instruments) one = {.id = one.id, .of_reading = 5e-4};
  const auto few = weighed({pressure("inlet", EnginePoint::idle, sound)}, tables);
  ASSERT_EQ(few.front().standing, ReadingStanding::few_effective);
  EXPECT_LT(few.front().effective, diagnosis::not_known_below);
  EXPECT_TRUE(few.front().weights.empty());
  // What mattered was drawn again.
  EXPECT_GT(few.front().scores.front().draws, 128U);
}

// A gauge that reads a tenth of what a sound supply shows: far from nearly all draws, and known all the same. What one
// seed says of a set of causes against another agrees with the next seed within 4 standard errors of their draws.
TEST(Readings, KnowAStrongReading) {
  const system::LineSheet& sheet = sheet_of("orchard-van/as-found.toml");
  const auto read = [&](double value, std::uint64_t seed) {
    return weighed({pressure("inlet", EnginePoint::idle, value)}, shelf().diagnosis, seed, sheet).front();
  };
  const double sound = read(400e3, 1).readings.front().foretold;
  ASSERT_GT(sound, 400e3);
  using Set = std::vector<std::string>;
  struct Ratio {
    double log_ratio;
    double variance;
  };
  std::map<Set, std::vector<Ratio>> ratios;
  for (const std::uint64_t seed : {1U, 2U, 3U}) {
    const WeighedReadings one = read(0.1 * sound, seed);
    EXPECT_EQ(one.standing, ReadingStanding::counted) << seed;
    EXPECT_GE(one.effective, diagnosis::not_known_below) << seed;
    const auto pump = std::ranges::find(one.scores, Set{"C13"}, &diagnosis::Score::targets);
    ASSERT_NE(pump, one.scores.end());
    for (const diagnosis::Score& other : one.scores) {
      if (other.effective < 5.0 || !(other.likelihood > 0.0)) continue;
      ratios[other.targets].push_back(
          {std::log(other.likelihood / pump->likelihood), 1.0 / other.effective + 1.0 / pump->effective});
    }
  }
  std::size_t compared = 0;
  for (const auto& [targets, list] : ratios) {
    for (std::size_t i = 1; i < list.size(); ++i) {
      EXPECT_NEAR(list[i].log_ratio, list[0].log_ratio, 4.0 * std::sqrt(list[i].variance + list[0].variance))
          << (targets.empty() ? "healthy" : targets.front());
      ++compared;
    }
  }
  EXPECT_GT(compared, 3U);
}

// Threads and the order of blocks change no byte; the seed does.
TEST(Readings, AreTheSameOnAnyThreads) {
  const std::vector<Reading> readings{pressure("inlet", EnginePoint::idle, 80e3),
                                      pressure("V2", EnginePoint::rated, -20e3, "vacuum gauge"),
                                      high(Measure::rail_crank, 12 * MPa, "scan tool")};
  const auto one = weighed(readings);
  BackwardsPair pair;
  SilentProgress progress;
  const auto two = diagnosis::weigh_readings(shelf().diagnosis, readings, tender(), 1, {pair, progress, {}}).value();
  ASSERT_EQ(one.size(), 2U);
  EXPECT_FALSE(one.front().weights.empty());
  ASSERT_EQ(two.size(), 2U);
  for (std::size_t side = 0; side < 2; ++side) {
    EXPECT_EQ(one[side].weights, two[side].weights);
    EXPECT_EQ(one[side].effective, two[side].effective);
  }
  EXPECT_NE(one.front().weights, weighed(readings, shelf().diagnosis, 2).front().weights);
}

// The mean over a hypothesis' draws, not its best draw: a sensor read at rest has one unknown, so the mean likelihood
// is an integral. N(z; a) over a log-uniform between 0.5 and 20 MPa, either sign, share 0.4, else N(z; 0).
TEST(Readings, ScoreTheMeanLikelihood) {
  for (const double z : {0.2 * MPa, 1.0 * MPa, 6.0 * MPa}) {
    const double sigma = (0.01 * z + 0.5 * MPa) / numerics::normal_95;
    const auto density = [&](double at) { return std::exp(-0.5 * (z - at) * (z - at) / (sigma * sigma)); };
    double integral = 0.0;
    constexpr int steps = 20000;
    for (int k = 0; k < steps; ++k) {
      const double a = 0.5 * MPa * std::exp((k + 0.5) / steps * std::log(40.0));
      integral += 0.5 * (density(a) + density(-a)) / steps;
    }
    const double offset = 0.4 * integral + 0.6 * density(0.0);
    const auto result = weighed({high(Measure::rail_at_rest, z, "scan tool")});
    ASSERT_EQ(result.front().standing, ReadingStanding::counted) << z;
    double healthy = 0.0, sensor = 0.0;
    for (const diagnosis::Score& one : result.front().scores) {
      if (one.targets.empty()) healthy = one.likelihood;
      if (one.targets == std::vector<std::string>{"C19"}) sensor = one.likelihood;
    }
    // 128 draws or more of a share between 0 and 1: a standard error of at most 0.5/sqrt(128) of the largest.
    const double tolerance = 4.0 * 0.5 / std::sqrt(128.0);
    if (healthy > 0.0) {
      const double scale = density(0.0) / healthy;
      EXPECT_NEAR(sensor * scale, offset, tolerance * std::max(offset, 0.05)) << z;
    } else {
      EXPECT_LT(density(0.0), 1e-30 * offset) << z;
    }
  }
}

// Errors name the reading's field and line.
TEST(Readings, NameTheBadPlace) {
  Quiet quiet;
  const auto fault = [&](Reading one) {
    one.line = 12;
    const auto result = diagnosis::weigh_readings(shelf().diagnosis, {one}, tender(), 1, quiet.run);
    return result ? std::string("no fault") : to_text(result.error().front());
  };
  EXPECT_NE(fault(pressure("P9", EnginePoint::idle, 1e3)).find("reading.at: found \"P9\""), std::string::npos);
  EXPECT_NE(fault(pressure("P9", EnginePoint::idle, 1e3)).find("P1"), std::string::npos);
  Reading volts = pressure("engine-filter", EnginePoint::idle, 12.0, "voltmeter");
  volts.measure = Measure::volts;
  EXPECT_NE(fault(volts).find("chassis-pump"), std::string::npos);
  Reading seventh = high(Measure::injector_return, 20 * mL_per_min, "jar");
  seventh.at = "7";
  EXPECT_NE(fault(seventh).find("1 to 6"), std::string::npos);
  Reading unknown = pressure("inlet", EnginePoint::idle, 1e3, "thumb");
  EXPECT_NE(fault(unknown).find("instrument"), std::string::npos);
}

}  // namespace
}  // namespace fw::casefile
