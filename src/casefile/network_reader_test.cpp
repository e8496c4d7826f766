// SPDX-License-Identifier: Apache-2.0
#include "casefile/network_reader.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <fstream>
#include <iterator>
#include <map>
#include <sstream>

#include <gtest/gtest.h>

#include "diagnosis/inference.hpp"
#include "project_file.hpp"
#include "published_table.hpp"

namespace fw::casefile {
namespace {

using diagnosis::Evidence;
using diagnosis::Network;

std::vector<std::string> split(const std::string& text, char at) {
  std::vector<std::string> parts;
  std::stringstream stream(text);
  for (std::string part; std::getline(stream, part, at);) parts.push_back(part);
  return parts;
}

std::vector<double> numbers(const std::string& text) {
  std::vector<double> all;
  for (const std::string& one : split(text, '|')) {
    double value = std::nan("");
    std::from_chars(one.data(), one.data() + one.size(), value);
    all.push_back(value);
  }
  return all;
}

std::size_t state_named(const Network& network, std::size_t node, const std::string& state) {
  const auto& states = network.nodes.at(node).states;
  return static_cast<std::size_t>(std::find(states.begin(), states.end(), state) - states.begin());
}

Evidence evidence_of(const Network& network, const std::string& observed, const std::string& likelihoods) {
  Evidence evidence;
  for (const std::string& one : split(observed, ';')) {
    const auto parts = split(one, '=');
    const std::size_t node = network.find(parts.at(0)).value();
    evidence.observed.push_back({node, state_named(network, node, parts.at(1))});
  }
  const std::string soft = "JEFFREY ";
  if (likelihoods.starts_with(soft)) {
    const auto arrow = likelihoods.find("->");
    evidence.soft.push_back({network.find(likelihoods.substr(soft.size(), arrow - soft.size())).value(),
                             numbers(likelihoods.substr(arrow + 2))});
    return evidence;
  }
  for (const std::string& one : split(likelihoods, ';')) {
    const auto parts = split(one, ':');
    evidence.likelihoods.push_back({network.find(parts.at(0)).value(), numbers(parts.at(1))});
  }
  return evidence;
}

std::string joined(const std::vector<std::string>& cells) {
  std::string text;
  for (const std::string& cell : cells) text += cell + ",";
  return text;
}

std::vector<Network> published_networks() {
  std::ifstream file(test::project_file("tests/published/diagnosis/bn_networks.json"));
  const std::string text((std::istreambuf_iterator<char>(file)), std::istreambuf_iterator<char>());
  return read_networks(text, "bn_networks.json").value();
}

// Every row of the oracle, computed by enumeration of all states. 1e-8 as the oracle prints ten digits.
TEST(Inference, MeetsEveryRowOfTheOracle) {
  std::map<std::string, Network> networks;
  for (Network& network : published_networks()) networks.emplace(network.name, network);
  ASSERT_EQ(networks.size(), 5U);
  const auto table = test::published_table("diagnosis/bn_oracle.csv");
  ASSERT_EQ(table.rows.size(), 438U);
  std::map<std::string, int> kinds;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const Network& network = networks.at(table.text(row, "network"));
    const Evidence evidence = evidence_of(network, table.text(row, "evidence"), table.text(row, "likelihood"));
    const std::string query = table.text(row, "query");
    const double value = table.number(row, "value");
    SCOPED_TRACE(joined(table.rows[row]));
    if (query == "P(e)") {
      const auto posterior = diagnosis::infer(network, evidence);
      ASSERT_TRUE(posterior.has_value());
      EXPECT_NEAR(std::exp(posterior->log_evidence), value, 1e-8);
      ++kinds["P(e)"];
    } else if (query == "MPE") {
      const auto best = diagnosis::most_probable(network, evidence);
      ASSERT_TRUE(best.has_value());
      EXPECT_NEAR(best->given_evidence, value, 1e-8);
      for (const std::string& one : split(table.text(row, "state"), ' ')) {
        const auto parts = split(one, '=');
        const std::size_t node = network.find(parts.at(0)).value();
        EXPECT_EQ(network.nodes[node].states[best->states[node]], parts.at(1)) << parts.at(0);
      }
      ++kinds["MPE"];
    } else if (query.starts_with("MI(")) {
      const auto parts = split(query.substr(3, query.size() - 4), ';');
      const auto bits = diagnosis::mutual_information_bits(network, evidence, network.find(parts.at(0)).value(),
                                                           network.find(parts.at(1)).value());
      ASSERT_TRUE(bits.has_value());
      EXPECT_NEAR(*bits, value, 1e-8);
      ++kinds["MI"];
    } else if (query.starts_with("H(")) {
      const std::size_t node = network.find(query.substr(2, query.size() - 3)).value();
      const auto posterior = diagnosis::infer(network, evidence, {node});
      ASSERT_TRUE(posterior.has_value());
      EXPECT_NEAR(diagnosis::entropy_bits(posterior->marginals[node]), value, 1e-8);
      ++kinds["H"];
    } else {
      const std::size_t node = network.find(query).value();
      const auto posterior = diagnosis::infer(network, evidence);
      ASSERT_TRUE(posterior.has_value());
      EXPECT_NEAR(posterior->marginals[node].at(state_named(network, node, table.text(row, "state"))), value, 1e-8);
      ++kinds["marginal"];
    }
  }
  EXPECT_GT(kinds["marginal"], 300);
  for (const char* kind : {"P(e)", "MPE", "MI", "H"}) EXPECT_GT(kinds[kind], 0) << kind;
}

std::string one_fault(const std::string& text) {
  const auto networks = read_networks(text, "net.json");
  if (networks || networks.error().size() != 1) return "not one fault";
  return to_text(networks.error().front());
}

TEST(NetworkReader, SaysEachFaultOnce) {
  const auto node = [](const std::string& rest) {
    return R"({"nodes": [{"name": "a", "states": ["yes", "no"], )" + rest + "}]}";
  };
  EXPECT_NE(one_fault("{").find("net.json:1"), std::string::npos);
  EXPECT_NE(one_fault("[]").find("no object"), std::string::npos);
  EXPECT_NE(one_fault("{}").find("no network"), std::string::npos);
  EXPECT_NE(one_fault(R"({"nodes": [], "nodes": []})").find("the key twice"), std::string::npos);
  EXPECT_NE(one_fault(R"({"nodes": []})").find("at least one node"), std::string::npos);
  EXPECT_NE(one_fault(R"({"nodes": [{}]})").find("nodes[0].name"), std::string::npos);
  EXPECT_NE(one_fault(node(R"("cpt": [[0.5]])")).find("a.cpt[0]"), std::string::npos);
  EXPECT_NE(one_fault(node(R"("cpt": [[0.5, 0.6]])")).find("a sum of 1.1"), std::string::npos);
  EXPECT_NE(one_fault(node(R"("cpt": [["x", 0.6]])")).find("something else than a number"), std::string::npos);
  EXPECT_NE(one_fault(node(R"("parents": ["b"], "cpt": [[0.5, 0.5]])")).find("stands before"), std::string::npos);
  EXPECT_NE(one_fault(node(R"("cpt": [[0.5, 0.5]], "noisy_or": {})")).find("one of the two"), std::string::npos);
  EXPECT_NE(one_fault(node(R"("noisy_or": {"leak": 2, "p": []})")).find("leak"), std::string::npos);
  EXPECT_NE(one_fault(node(R"("cpt": [[0.5, 0.5]], "stats": 1)")).find("states"), std::string::npos);
  EXPECT_NE(one_fault(std::string(40, '[')).find("deeper than 32"), std::string::npos);
  EXPECT_TRUE(read_networks(node(R"("_remark": "x", "cpt": [[0.5, 0.5]])"), "net.json").has_value());
}

}  // namespace
}  // namespace fw::casefile
