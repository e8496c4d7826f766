// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/required.hpp"
#include "base/result.hpp"

/// A discrete Bayesian network as values. Theory: docs/theory/diagnosis.md, Networks.
namespace fw::diagnosis {

/// Leaky noisy-or with inhibitors, for a node and parents of two states each; the first state is "present".
///
///   P(present | u) = [1 - (1 - leak) PROD_i (1 - link_i)^u_i] * PROD_i (1 - inhibitor_i)^u_i
///
/// link_i is the probability that parent i alone, without the leak, brings the node about (Diez' convention).
/// inhibitor_i is the probability that parent i suppresses it; empty means none.
/// Source: F. J. Diez (1993); J. Pearl (1988) for the or; both from memory. Check: inhibitions 0.6, 0.2, 0.1 without
/// leak give 0.988 with all three (Russell, Norvig, noisy-or example, from memory).
struct NoisyOr {
  double leak = required;          ///< [-]
  std::vector<double> links;       ///< one per parent [-]
  std::vector<double> inhibitors;  ///< one per parent, or empty [-]

  friend bool operator==(const NoisyOr&, const NoisyOr&) = default;
};

/// One variable. Either a table or a noisy-or.
struct Node {
  std::string name;
  std::vector<std::string> states;
  std::vector<std::size_t> parents;  ///< places in Network::nodes, all before this one
  /// One row per combination of the parents' states, the last parent varying fastest; each row P(state | parents).
  std::vector<double> table;
  std::optional<NoisyOr> noisy_or;

  friend bool operator==(const Node&, const Node&) = default;
};

/// Nodes stand after their parents. Joint = PROD P(x_i | parents of x_i).
struct Network {
  std::string name;
  std::vector<Node> nodes;

  /// Place of the node, or std::nullopt.
  [[nodiscard]] std::optional<std::size_t> find(std::string_view node) const;
  friend bool operator==(const Network&, const Network&) = default;
};

/// Largest departure of a row's sum from 1 that is taken for rounding [-]. No source: ten printed digits.
inline constexpr double row_sum_tolerance = 1e-9;

/// Checks a network: names once and not empty, at least two states each with a name of its own, parents before the
/// node and once each, tables of the right size with probabilities in [0, 1] whose rows sum to 1, noisy-or with two
/// states, one link per parent. Errors: invalid_input, one per fault, all at once, naming NODE and what.
[[nodiscard]] Result<void> check(const Network& network);

/// Probability that a noisy-or node is present when the parents marked true are present. Precondition: one mark each.
[[nodiscard]] double present_probability(const NoisyOr& noisy_or, const std::vector<bool>& present_parents);

/// The table of a noisy-or node in the order of Node::table. Precondition: at most 20 parents.
[[nodiscard]] std::vector<double> expanded(const NoisyOr& noisy_or);

}  // namespace fw::diagnosis
