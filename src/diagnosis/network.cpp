// SPDX-License-Identifier: Apache-2.0
#include "diagnosis/network.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>

#include "base/contract.hpp"

namespace fw::diagnosis {

namespace {

bool is_probability(double value) { return std::isfinite(value) && value >= 0.0 && value <= 1.0; }

class Checker {
 public:
  explicit Checker(const Network& network) : network_(network) {}

  std::vector<Error> run() {
    if (network_.nodes.empty()) add("nodes", "none", "at least one node", "Write a node with name, states and table.");
    std::set<std::string> names;
    for (std::size_t at = 0; at < network_.nodes.size(); ++at) {
      const Node& node = network_.nodes[at];
      if (node.name.empty()) {
        add(fmt::format("nodes[{}].name", at), "no name", "a name", "Give the node a name.");
        continue;
      }
      if (!names.insert(node.name).second) {
        add(node.name, "the name twice", "a name for each node", "Rename one of them.");
        continue;
      }
      check_node(node, at);
    }
    return std::move(faults_);
  }

 private:
  void add(std::string field, std::string found, std::string expected, std::string hint) {
    faults_.push_back(
        invalid(std::move(field), std::move(found), std::move(expected), std::move(hint)).value().front());
  }

  void check_node(const Node& node, std::size_t at) {
    if (node.states.size() < 2) {
      return add(node.name + ".states", fmt::format("{} states", node.states.size()), "at least two", "Name them.");
    }
    const std::set<std::string> states(node.states.begin(), node.states.end());
    if (states.size() != node.states.size() || states.contains("")) {
      return add(node.name + ".states", "a name empty or twice", "a name of its own for each state", "Rename it.");
    }
    std::size_t rows = 1;
    std::set<std::size_t> parents;
    for (const std::size_t parent : node.parents) {
      if (parent >= at) {
        return add(node.name + ".parents", "a parent that does not stand before it", "parents before their children",
                   "Put the nodes in the order of cause before effect.");
      }
      if (!parents.insert(parent).second) {
        return add(node.name + ".parents", network_.nodes[parent].name + " twice", "each parent once", "Strike one.");
      }
      if (!node.noisy_or) rows *= network_.nodes[parent].states.size();
      if (rows > (std::size_t{1} << 24U)) {
        return add(node.name + ".parents", "a table of over 2^24 rows", "a smaller table", "Use a noisy-or.");
      }
    }
    if (node.noisy_or) return check_noisy_or(node);
    check_table(node, rows);
  }

  void check_table(const Node& node, std::size_t rows) {
    const std::size_t states = node.states.size();
    if (node.table.size() != rows * states) {
      return add(node.name + ".cpt", fmt::format("{} numbers", node.table.size()),
                 fmt::format("{} rows of {}", rows, states), "One row for each combination of the parents' states.");
    }
    for (std::size_t row = 0; row < rows; ++row) {
      double sum = 0.0;
      for (std::size_t k = 0; k < states; ++k) {
        const double value = node.table[row * states + k];
        if (!is_probability(value)) {
          return add(fmt::format("{}.cpt[{}][{}]", node.name, row, k), fmt::format("{}", value), "0 to 1",
                     "A probability.");
        }
        sum += value;
      }
      if (std::abs(sum - 1.0) > row_sum_tolerance) {
        return add(fmt::format("{}.cpt[{}]", node.name, row), fmt::format("a sum of {}", sum), "a sum of 1",
                   "The probabilities of a row belong to all states.");
      }
    }
  }

  void check_noisy_or(const Node& node) {
    const std::string field = node.name + ".noisy_or";
    if (node.states.size() != 2) return add(field, "more than two states", "two states", "Write a table.");
    for (const std::size_t parent : node.parents) {
      if (network_.nodes[parent].states.size() != 2) {
        return add(field, network_.nodes[parent].name + " with more than two states", "parents with two states",
                   "Write a table.");
      }
    }
    if (!node.table.empty()) return add(field, "a table beside it", "one of the two", "Strike one.");
    const NoisyOr& either = *node.noisy_or;
    if (either.links.size() != node.parents.size()) {
      return add(field + ".p", fmt::format("{} numbers", either.links.size()),
                 fmt::format("{}, one per parent", node.parents.size()), "One link for each parent.");
    }
    if (!either.inhibitors.empty() && either.inhibitors.size() != node.parents.size()) {
      return add(field + ".inhibitors", fmt::format("{} numbers", either.inhibitors.size()),
                 fmt::format("{}, one per parent, or none", node.parents.size()), "One for each parent.");
    }
    const auto bad = [](double value) { return !is_probability(value); };
    if (bad(either.leak)) return add(field + ".leak", fmt::format("{}", either.leak), "0 to 1", "A probability.");
    if (std::any_of(either.links.begin(), either.links.end(), bad)) {
      return add(field + ".p", "a number outside", "0 to 1", "A probability.");
    }
    if (std::any_of(either.inhibitors.begin(), either.inhibitors.end(), bad)) {
      return add(field + ".inhibitors", "a number outside", "0 to 1", "A probability.");
    }
  }

  const Network& network_;
  std::vector<Error> faults_;
};

}  // namespace

std::optional<std::size_t> Network::find(std::string_view node) const {
  for (std::size_t at = 0; at < nodes.size(); ++at) {
    if (nodes[at].name == node) return at;
  }
  return std::nullopt;
}

Result<void> check(const Network& network) {
  std::vector<Error> faults = Checker(network).run();
  if (!faults.empty()) return fail(Errors(std::move(faults)));
  return {};
}

double present_probability(const NoisyOr& noisy_or, const std::vector<bool>& present_parents) {
  FW_EXPECTS(present_parents.size() == noisy_or.links.size());
  double none = 1.0 - noisy_or.leak;
  double open = 1.0;
  for (std::size_t i = 0; i < noisy_or.links.size(); ++i) {
    if (!present_parents[i]) continue;
    none *= 1.0 - noisy_or.links[i];
    if (!noisy_or.inhibitors.empty()) open *= 1.0 - noisy_or.inhibitors[i];
  }
  return (1.0 - none) * open;
}

std::vector<double> expanded(const NoisyOr& noisy_or) {
  const std::size_t parents = noisy_or.links.size();
  FW_EXPECTS(parents <= 20);
  const std::size_t rows = std::size_t{1} << parents;
  std::vector<double> table(2 * rows);
  std::vector<bool> present(parents);
  for (std::size_t row = 0; row < rows; ++row) {
    for (std::size_t i = 0; i < parents; ++i) present[i] = ((row >> (parents - 1 - i)) & 1U) == 0U;
    const double yes = present_probability(noisy_or, present);
    table[2 * row] = yes;
    table[2 * row + 1] = 1.0 - yes;
  }
  return table;
}

}  // namespace fw::diagnosis
