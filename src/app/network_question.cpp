// SPDX-License-Identifier: Apache-2.0
#include "app/network_question.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <optional>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "casefile/case.hpp"
#include "casefile/network_reader.hpp"
#include "catalog/document.hpp"
#include "diagnosis/inference.hpp"

namespace fw::app {

namespace {

std::string nearest_or_all(std::string_view word, const std::vector<std::string>& names) {
  const std::string near = catalog::nearest(word, names);
  return near.empty() ? fmt::format("one of {}", fmt::join(names, ", ")) : near;
}

/// "NODE=REST" as the node's place and the rest.
struct Named {
  std::size_t node = 0;
  std::string rest;
};
Result<Named> named(const diagnosis::Network& network, const std::string& option, const std::string& text) {
  const std::size_t sign = text.find('=');
  if (sign == std::string::npos) return invalid(option, "\"" + text + "\"", "NODE=...", "Write for example rain=yes.");
  const std::string name = text.substr(0, sign);
  const auto node = network.find(name);
  if (!node) {
    std::vector<std::string> names;
    for (const diagnosis::Node& one : network.nodes) names.push_back(one.name);
    return invalid(option, "\"" + name + "\"", nearest_or_all(name, names), "Name a node of the network.");
  }
  return Named{*node, text.substr(sign + 1)};
}

Result<std::vector<double>> numbers(const std::string& option, const std::string& text) {
  std::vector<double> all;
  const char* at = text.data();
  const char* const end = at + text.size();
  while (true) {
    double value = 0.0;
    const auto [next, fault] = std::from_chars(at, end, value);
    if (fault != std::errc{} || (next != end && *next != ',')) {
      return invalid(option, "\"" + text + "\"", "numbers with commas", "Write for example wet=0.8,0.2.");
    }
    all.push_back(value);
    if (next == end) return all;
    at = next + 1;
  }
}

Result<diagnosis::Evidence> evidence_of(const diagnosis::Network& network, const NetworkQuestion& question) {
  diagnosis::Evidence evidence;
  for (const std::string& text : question.given) {
    const auto part = named(network, "--given", text);
    if (!part) return fail(part.error());
    const diagnosis::Node& node = network.nodes[part->node];
    const auto found = std::find(node.states.begin(), node.states.end(), part->rest);
    if (found == node.states.end()) {
      return invalid("--given " + node.name, "\"" + part->rest + "\"", nearest_or_all(part->rest, node.states),
                     "Name a state of the node.");
    }
    evidence.observed.push_back({part->node, static_cast<std::size_t>(found - node.states.begin())});
  }
  for (const std::string& text : question.likelihoods) {
    const auto part = named(network, "--likelihood", text);
    if (!part) return fail(part.error());
    auto weights = numbers("--likelihood", part->rest);
    if (!weights) return fail(weights.error());
    evidence.likelihoods.push_back({part->node, std::move(*weights)});
  }
  for (const std::string& text : question.soft) {
    const auto part = named(network, "--soft", text);
    if (!part) return fail(part.error());
    auto shares = numbers("--soft", part->rest);
    if (!shares) return fail(shares.error());
    evidence.soft.push_back({part->node, std::move(*shares)});
  }
  return evidence;
}

Result<diagnosis::Network> chosen(std::vector<diagnosis::Network> networks, const NetworkQuestion& question) {
  if (question.network.empty() && networks.size() == 1) return std::move(networks.front());
  std::vector<std::string> names;
  for (diagnosis::Network& network : networks) {
    if (network.name == question.network && !question.network.empty()) return std::move(network);
    names.push_back(network.name);
  }
  if (question.network.empty()) {
    return invalid("--network", fmt::format("{} networks in {}", networks.size(), question.file),
                   fmt::format("one of {}", fmt::join(names, ", ")), "Say which with --network.");
  }
  return invalid("--network", "\"" + question.network + "\"", nearest_or_all(question.network, names),
                 "Name a network of the file.");
}

}  // namespace

Result<NetworkAnswer> ask_network(const NetworkQuestion& question) {
  const auto text = casefile::read_file(question.file);
  if (!text) return fail(text.error());
  auto networks = casefile::read_networks(*text, question.file);
  if (!networks) return fail(networks.error());
  const auto network = chosen(std::move(*networks), question);
  if (!network) return fail(network.error());
  const auto evidence = evidence_of(*network, question);
  if (!evidence) return fail(evidence.error());
  const auto posterior = diagnosis::infer(*network, *evidence);
  if (!posterior) return fail(posterior.error());
  std::optional<diagnosis::MostProbable> best;
  if (evidence->soft.empty()) {
    const auto found = diagnosis::most_probable(*network, *evidence);
    if (found) {
      best = *found;
    } else if (found.error().front().code != ErrorCode::outside_model) {
      return fail(found.error());
    }
  }

  NetworkAnswer answer;
  nlohmann::ordered_json json;
  json["schema"] = "fuelwright.network-answer/1.0";
  json["network"] = network->name;
  json["evidence_probability"] = std::exp(posterior->log_evidence);
  json["log_evidence"] = posterior->log_evidence;
  json["marginals"] = nlohmann::ordered_json::array();
  std::size_t width = 4;
  for (const diagnosis::Node& node : network->nodes) {
    for (const std::string& state : node.states) width = std::max(width, node.name.size() + state.size() + 1);
  }
  answer.text = fmt::format("Probability of what was given: {:.10g}\n\n", std::exp(posterior->log_evidence));
  for (std::size_t at = 0; at < network->nodes.size(); ++at) {
    const diagnosis::Node& node = network->nodes[at];
    nlohmann::ordered_json states = nlohmann::ordered_json::array();
    for (std::size_t k = 0; k < node.states.size(); ++k) {
      const double p = posterior->marginals[at][k];
      answer.text += fmt::format("{:<{}}  {:.10g}\n", node.name + "=" + node.states[k], width, p);
      states.push_back({{"state", node.states[k]}, {"probability", p}});
    }
    json["marginals"].push_back({{"node", node.name}, {"states", std::move(states)}});
  }
  if (best) {
    std::vector<std::string> pairs;
    nlohmann::ordered_json states = nlohmann::ordered_json::object();
    for (std::size_t at = 0; at < network->nodes.size(); ++at) {
      const diagnosis::Node& node = network->nodes[at];
      pairs.push_back(node.name + "=" + node.states[best->states[at]]);
      states[node.name] = node.states[best->states[at]];
    }
    answer.text += fmt::format("\nMost probable explanation ({:.10g} of what remains possible):\n  {}\n",
                               best->given_evidence, fmt::join(pairs, " "));
    json["most_probable"] = {{"probability", best->given_evidence}, {"states", std::move(states)}};
  }
  answer.json = json.dump(2) + "\n";
  return answer;
}

}  // namespace fw::app
