// SPDX-License-Identifier: Apache-2.0
#include "diagnosis/inference.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "numerics/stream.hpp"

namespace fw::diagnosis {
namespace {

double chance(std::uint64_t seed, std::uint32_t& draw) {
  return numerics::uniform(seed, numerics::key_of("network"), numerics::Purpose::synthetic, draw++);
}

/// A network of `count` nodes with two or three states and up to four parents each, tables drawn.
Network drawn_network(std::uint64_t seed, std::size_t count) {
  std::uint32_t draw = 0;
  Network network{.name = "drawn", .nodes = {}};
  for (std::size_t at = 0; at < count; ++at) {
    Node node{.name = "n" + std::to_string(at), .states = {"yes", "no"}, .parents = {}, .table = {}, .noisy_or = {}};
    for (std::size_t parent = 0; parent < at && node.parents.size() < 4; ++parent) {
      if (chance(seed, draw) < 0.35) node.parents.push_back(parent);
    }
    bool binary = true;
    for (const std::size_t parent : node.parents) binary = binary && network.nodes[parent].states.size() == 2;
    if (binary && !node.parents.empty() && chance(seed, draw) < 0.5) {
      NoisyOr either{.leak = 0.2 * chance(seed, draw), .links = {}, .inhibitors = {}};
      for (std::size_t i = 0; i < node.parents.size(); ++i) either.links.push_back(chance(seed, draw));
      if (chance(seed, draw) < 0.3) {
        for (std::size_t i = 0; i < node.parents.size(); ++i) either.inhibitors.push_back(chance(seed, draw));
      }
      node.noisy_or = either;
    } else {
      if (chance(seed, draw) < 0.3) node.states.emplace_back("perhaps");
      std::size_t rows = 1;
      for (const std::size_t parent : node.parents) rows *= network.nodes[parent].states.size();
      for (std::size_t row = 0; row < rows; ++row) {
        std::vector<double> weights;
        double sum = 0.0;
        for (std::size_t k = 0; k < node.states.size(); ++k) {
          weights.push_back(chance(seed, draw));
          sum += weights.back();
        }
        for (const double weight : weights) node.table.push_back(weight / sum);
      }
    }
    network.nodes.push_back(node);
  }
  return network;
}

double joint(const Network& network, const std::vector<std::size_t>& states) {
  double product = 1.0;
  for (std::size_t at = 0; at < network.nodes.size(); ++at) {
    const Node& node = network.nodes[at];
    const std::vector<double> table = node.noisy_or ? expanded(*node.noisy_or) : node.table;
    std::size_t row = 0;
    for (const std::size_t parent : node.parents) row = row * network.nodes[parent].states.size() + states[parent];
    product *= table[row * node.states.size() + states[at]];
  }
  return product;
}

/// Marginals, evidence and best explanation by going through all states.
struct Enumerated {
  std::vector<std::vector<double>> marginals;
  double evidence = 0.0;
  double best = 0.0;
};
Enumerated enumerate(const Network& network, const Evidence& evidence) {
  Enumerated result;
  for (const Node& node : network.nodes) result.marginals.emplace_back(node.states.size(), 0.0);
  std::vector<std::size_t> states(network.nodes.size(), 0);
  while (true) {
    double weight = joint(network, states);
    for (const Observed& one : evidence.observed) weight *= states[one.node] == one.state ? 1.0 : 0.0;
    for (const Likelihood& one : evidence.likelihoods) weight *= one.weights[states[one.node]];
    result.evidence += weight;
    result.best = std::max(result.best, weight);
    for (std::size_t at = 0; at < states.size(); ++at) result.marginals[at][states[at]] += weight;
    std::size_t at = 0;
    while (at < states.size() && ++states[at] == network.nodes[at].states.size()) states[at++] = 0;
    if (at == states.size()) break;
  }
  for (auto& marginal : result.marginals) {
    for (double& value : marginal) value /= result.evidence;
  }
  return result;
}

// Against enumeration of all states, on drawn networks with tables, noisy-ors, inhibitors and virtual evidence.
TEST(Inference, AgreesWithEnumerationOnDrawnNetworks) {
  for (std::uint64_t seed = 1; seed <= 40; ++seed) {
    const Network network = drawn_network(seed, 10);
    ASSERT_TRUE(check(network).has_value()) << seed;
    std::uint32_t draw = 100000;
    Evidence evidence;
    for (std::size_t at = 0; at < network.nodes.size(); ++at) {
      const double u = chance(seed, draw);
      if (u < 0.25) evidence.observed.push_back({at, chance(seed, draw) < 0.5 ? 0U : 1U});
      if (u > 0.85) {
        std::vector<double> weights;
        for (std::size_t k = 0; k < network.nodes[at].states.size(); ++k) weights.push_back(chance(seed, draw));
        evidence.likelihoods.push_back({at, weights});
      }
    }
    const Enumerated truth = enumerate(network, evidence);
    const auto posterior = infer(network, evidence);
    ASSERT_TRUE(posterior.has_value()) << seed;
    EXPECT_NEAR(std::exp(posterior->log_evidence), truth.evidence, 1e-12 * truth.evidence) << seed;
    for (std::size_t at = 0; at < network.nodes.size(); ++at) {
      for (std::size_t k = 0; k < network.nodes[at].states.size(); ++k) {
        EXPECT_NEAR(posterior->marginals[at][k], truth.marginals[at][k], 1e-12) << seed << " " << at;
      }
    }
    const auto best = most_probable(network, evidence);
    ASSERT_TRUE(best.has_value()) << seed;
    EXPECT_NEAR(best->given_evidence, truth.best / truth.evidence, 1e-12) << seed;
    // Leaving out what was not asked for changes no answer.
    const auto part = infer(network, evidence, {2});
    ASSERT_TRUE(part.has_value());
    for (std::size_t k = 0; k < network.nodes[2].states.size(); ++k) {
      EXPECT_NEAR(part->marginals[2][k], truth.marginals[2][k], 1e-12) << seed;
    }
  }
}

/// `wide` causes with one common effect, and effects of pairs of causes.
Network wide_network(std::size_t wide) {
  Network network{.name = "wide", .nodes = {}};
  NoisyOr all{.leak = 0.03, .links = {}, .inhibitors = {}};
  std::vector<std::size_t> parents;
  for (std::size_t i = 0; i < wide; ++i) {
    const double prior = 0.02 + 0.01 * static_cast<double>(i);
    network.nodes.push_back({.name = "c" + std::to_string(i),
                             .states = {"yes", "no"},
                             .parents = {},
                             .table = {prior, 1.0 - prior},
                             .noisy_or = {}});
    parents.push_back(i);
    all.links.push_back(0.9 - 0.05 * static_cast<double>(i));
  }
  network.nodes.push_back(
      {.name = "effect", .states = {"yes", "no"}, .parents = parents, .table = {}, .noisy_or = all});
  for (std::size_t i = 0; i + 1 < wide; ++i) {
    network.nodes.push_back({.name = "f" + std::to_string(i),
                             .states = {"yes", "no"},
                             .parents = {i, i + 1},
                             .table = {},
                             .noisy_or = NoisyOr{.leak = 0.05, .links = {0.5, 0.3}, .inhibitors = {}}});
  }
  return network;
}

// A noisy-or too wide for a table becomes a chain; both must say the same. Seen present, absent, and not seen.
TEST(Inference, ChainsOfWideOrsAgreeWithTables) {
  constexpr std::size_t wide = 10;
  const Network chained = wide_network(wide);
  Network tabled = chained;
  tabled.nodes[wide].table = expanded(*tabled.nodes[wide].noisy_or);
  tabled.nodes[wide].noisy_or.reset();
  for (const std::vector<Observed>& seen :
       {std::vector<Observed>{{wide, 0}, {wide + 3, 0}, {wide + 5, 1}, {2, 0}},
        std::vector<Observed>{{wide, 1}, {wide + 4, 0}}, std::vector<Observed>{{wide + 1, 0}, {4, 1}}}) {
    const auto a = infer(chained, {.observed = seen, .likelihoods = {}, .soft = {}});
    const auto b = infer(tabled, {.observed = seen, .likelihoods = {}, .soft = {}});
    ASSERT_TRUE(a.has_value() && b.has_value());
    EXPECT_NEAR(a->log_evidence, b->log_evidence, 1e-12);
    for (std::size_t at = 0; at < chained.nodes.size(); ++at) {
      EXPECT_NEAR(a->marginals[at][0], b->marginals[at][0], 1e-12) << chained.nodes[at].name;
    }
  }
}

// Fever by cold, flu, malaria with inhibitions 0.6, 0.2, 0.1: S. Russell, P. Norvig, noisy-or example, from memory.
TEST(NoisyOrTable, MeetsTheTextbook) {
  const NoisyOr fever{.leak = 0.0, .links = {0.4, 0.8, 0.9}, .inhibitors = {}};
  EXPECT_NEAR(present_probability(fever, {true, false, false}), 0.4, 1e-15);
  EXPECT_NEAR(present_probability(fever, {true, true, false}), 0.88, 1e-15);
  EXPECT_NEAR(present_probability(fever, {true, false, true}), 0.94, 1e-15);
  EXPECT_NEAR(present_probability(fever, {false, true, true}), 0.98, 1e-15);
  EXPECT_NEAR(present_probability(fever, {true, true, true}), 0.988, 1e-15);
}

TEST(Inference, ExplainsImpossibleEvidence) {
  const Network network{.name = "",
                        .nodes = {{.name = "a", .states = {"yes", "no"}, .parents = {}, .table = {0.5, 0.5}},
                                  {.name = "b", .states = {"yes", "no"}, .parents = {}, .table = {0.5, 0.5}},
                                  {.name = "never", .states = {"yes", "no"}, .parents = {0}, .table = {1, 0, 0, 1}}}};
  const Evidence evidence{.observed = {{0, 0}, {1, 1}, {2, 1}}, .likelihoods = {}, .soft = {}};
  for (const auto& answer : {infer(network, evidence).error(), most_probable(network, evidence).error()}) {
    ASSERT_EQ(answer.size(), 1U);
    EXPECT_EQ(answer.front().code, ErrorCode::conflict);
    // b has nothing to do with it.
    EXPECT_EQ(answer.front().found, "a = yes, never = no, which the tables exclude");
  }
}

TEST(Inference, NamesTheBadEvidence) {
  const Network network{.name = "",
                        .nodes = {{.name = "a", .states = {"yes", "no"}, .parents = {}, .table = {0.5, 0.5}}}};
  const auto code = [&](const Evidence& evidence) { return infer(network, evidence).error().front().code; };
  EXPECT_EQ(code({.observed = {{0, 2}}, .likelihoods = {}, .soft = {}}), ErrorCode::invalid_input);
  EXPECT_EQ(code({.observed = {{0, 0}, {0, 1}}, .likelihoods = {}, .soft = {}}), ErrorCode::conflict);
  EXPECT_EQ(code({.observed = {}, .likelihoods = {{0, {0.0, 0.0}}}, .soft = {}}), ErrorCode::invalid_input);
  EXPECT_EQ(code({.observed = {}, .likelihoods = {{0, {1.0, NAN}}}, .soft = {}}), ErrorCode::invalid_input);
  EXPECT_EQ(code({.observed = {}, .likelihoods = {}, .soft = {{0, {0.5, 0.4}}}}), ErrorCode::invalid_input);
}

// Two pieces of soft evidence hold at once, whatever their order (each alone would shift the other).
TEST(Inference, FitsSeveralSoftPieces) {
  const Network network = wide_network(4);
  const Evidence one{.observed = {}, .likelihoods = {}, .soft = {{4, {0.7, 0.3}}, {5, {0.4, 0.6}}}};
  const Evidence other{.observed = {}, .likelihoods = {}, .soft = {{5, {0.4, 0.6}}, {4, {0.7, 0.3}}}};
  const auto a = infer(network, one).value();
  const auto b = infer(network, other).value();
  EXPECT_NEAR(a.marginals[4][0], 0.7, 1e-11);
  EXPECT_NEAR(a.marginals[5][0], 0.4, 1e-11);
  for (std::size_t at = 0; at < network.nodes.size(); ++at) EXPECT_NEAR(a.marginals[at][0], b.marginals[at][0], 1e-9);
}

// Independent findings of one cause never conflict; excluding findings do.
TEST(Inference, MeasuresConflict) {
  const Network network{
      .name = "",
      .nodes = {{.name = "c", .states = {"yes", "no"}, .parents = {}, .table = {0.5, 0.5}},
                {.name = "f", .states = {"yes", "no"}, .parents = {0}, .table = {0.9, 0.1, 0.1, 0.9}},
                {.name = "g", .states = {"yes", "no"}, .parents = {0}, .table = {0.9, 0.1, 0.1, 0.9}}}};
  // P(f) P(g) = 0.25; P(f, g) = 0.41; P(f, not g) = 0.09.
  EXPECT_NEAR(conflict_bits(network, {.observed = {{1, 0}, {2, 0}}, .likelihoods = {}, .soft = {}}).value(),
              std::log2(0.25 / 0.41), 1e-12);
  EXPECT_NEAR(conflict_bits(network, {.observed = {{1, 0}, {2, 1}}, .likelihoods = {}, .soft = {}}).value(),
              std::log2(0.25 / 0.09), 1e-12);
}

}  // namespace
}  // namespace fw::diagnosis
