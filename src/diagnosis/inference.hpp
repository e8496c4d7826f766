// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "base/result.hpp"
#include "diagnosis/network.hpp"

/// Exact inference in a discrete Bayesian network. Theory: docs/theory/diagnosis.md, Exact inference.
namespace fw::diagnosis {

/// Node `node` was seen in state `state`; places in Network::nodes and Node::states.
struct Observed {
  std::size_t node = 0;
  std::size_t state = 0;
  friend bool operator==(const Observed&, const Observed&) = default;
};

/// Virtual evidence: weights[k] is proportional to P(what was seen | node in state k). Any positive scale.
struct Likelihood {
  std::size_t node = 0;
  std::vector<double> weights;
  friend bool operator==(const Likelihood&, const Likelihood&) = default;
};

/// Soft evidence (Jeffrey): the posterior of the node shall be this distribution.
struct Soft {
  std::size_t node = 0;
  std::vector<double> probabilities;
  friend bool operator==(const Soft&, const Soft&) = default;
};

struct Evidence {
  std::vector<Observed> observed;
  std::vector<Likelihood> likelihoods;
  std::vector<Soft> soft;
  friend bool operator==(const Evidence&, const Evidence&) = default;
};

struct Posterior {
  /// P(state | evidence) per node of the network; empty where the node was not wanted.
  std::vector<std::vector<double>> marginals;
  /// ln P(observed), with virtual evidence ln of SUM P(x, observed) PROD weights; of soft evidence, after its weights.
  double log_evidence = 0.0;
};

/// The network with its evidence taken in, cut into cliques once and run as often as wanted with further weights.
///
/// Nodes without evidence below them and not wanted are left out (they sum to 1). A noisy-or node seen absent becomes
/// one weight per parent; one of more than `widest_table` parents becomes a chain of two-parent ors. The variables are
/// eliminated in the order of least fill; the buckets form a tree, and sums run up and down it with every message
/// scaled, so no product underflows.
///
/// Sources: S. Lauritzen, D. Spiegelhalter, J. R. Stat. Soc. B 50 (1988) 157-224; D. Koller, N. Friedman,
/// Probabilistic Graphical Models (2009), chapters 9 and 10; both from memory.
/// Check: tests/published/diagnosis/bn_oracle.csv, all rows to 1e-8.
class CliqueTree {
 public:
  /// Parents up to which a noisy-or becomes a table. Splitting above six parents is common practice, no source.
  static constexpr std::size_t widest_table = 6;
  /// Numbers in all tables together; 2^24 are 128 MiB.
  static constexpr std::size_t largest_size = std::size_t{1} << 24U;

  enum class Purpose : std::uint8_t { sums, maximum };

  /// `wanted` lists the nodes whose marginals are asked for; empty: all. Soft evidence is left to infer().
  /// `like`: a tree of the same nodes with the same or nearly the same evidence, whose order of elimination is taken
  /// over where it is one of this network; other orders give the same answers, only slower.
  /// Preconditions: the network passes check(); evidence passes check_evidence().
  /// Errors: too_large when the cliques need over `largest_size` numbers.
  [[nodiscard]] static Result<CliqueTree> cut(const Network& network, const Evidence& evidence,
                                              const std::vector<std::size_t>& wanted, Purpose purpose = Purpose::sums,
                                              const CliqueTree* like = nullptr);

  /// Numbers in all tables.
  [[nodiscard]] std::size_t size() const { return size_; }
  /// Whether the node is a variable of the tree (not observed, not left out).
  [[nodiscard]] bool has(std::size_t node) const;

  /// What a run gives: log_evidence is -infinity where the evidence is impossible, and no marginal is then filled.
  struct Run {
    bool possible = true;
    double log_evidence = 0.0;
    std::vector<std::vector<double>> marginals;  ///< per variable of the tree, in the order of variables()
  };
  /// Nodes that are variables; those at and above the number of network nodes are parts of chains.
  [[nodiscard]] const std::vector<std::size_t>& variables() const { return variables_; }

  /// Sums up and down with further weights on variables. Precondition: has(extra.node), sizes fit.
  [[nodiscard]] Run run(std::span<const Likelihood> extra = {}) const;
  /// Only ln P(evidence and extra); -infinity if impossible.
  [[nodiscard]] double log_evidence(std::span<const Likelihood> extra = {}) const;
  /// The most probable state of each variable, as variables(), and ln of its joint with the evidence.
  struct Best {
    bool possible = true;
    double log_joint = 0.0;
    std::vector<std::size_t> states;
  };
  [[nodiscard]] Best best() const;

 private:
  friend class TreeCutter;
  struct Bucket {
    std::size_t variable = 0;  ///< own variable, fastest in the table
    std::size_t cardinality = 0;
    std::vector<std::size_t> scope;  ///< own variable first, then in the order of elimination
    std::size_t offset = 0;          ///< of its table in a run's memory
    std::size_t size = 0;
    std::size_t message_offset = 0;         ///< of its message in a run's memory
    std::size_t message_size = 0;           ///< size / cardinality
    std::size_t parent = no_parent;         ///< place in buckets_
    std::vector<std::uint32_t> to_message;  ///< for each entry of the parent's table, its place in this message
  };
  static constexpr std::size_t no_parent = static_cast<std::size_t>(-1);

  void load(std::vector<double>& tables, std::span<const Likelihood> extra) const;
  bool sum_up(std::vector<double>& tables, std::vector<double>& messages, double& log_total) const;

  std::vector<Bucket> buckets_;         ///< in the order of elimination
  std::vector<std::size_t> variables_;  ///< own variable of each bucket
  std::vector<std::size_t> bucket_of_;  ///< per variable id, no_parent if none
  std::vector<std::size_t> along_;      ///< order that the chains of wide ors follow
  std::vector<double> base_;            ///< tables before any message
  std::size_t size_ = 0;
  std::size_t message_size_ = 0;
  double log_constant_ = 0.0;
  bool impossible_ = false;
};

/// Places within the network, weights finite and not negative with at least one positive, soft evidence summing to 1,
/// no node both observed and soft, none observed in two states. Errors: invalid_input or conflict, naming the node.
[[nodiscard]] Result<void> check_evidence(const Network& network, const Evidence& evidence);

/// Marginals of the wanted nodes (empty: all).
///
/// Several pieces of soft evidence are fitted in turn until all hold to 1e-12 (iterative proportional fitting).
/// Errors: those of check() and check_evidence(); conflict when the evidence has probability 0, naming a smallest set
/// of observations that exclude each other under the tables; did_not_converge for soft evidence that cannot hold.
[[nodiscard]] Result<Posterior> infer(const Network& network, const Evidence& evidence,
                                      const std::vector<std::size_t>& wanted = {});

/// The most probable explanation: one state for every node, observed ones included.
struct MostProbable {
  std::vector<std::size_t> states;
  double given_evidence = 0.0;  ///< its probability given the evidence [-]
};
/// It need not agree with the most probable state of each node. Errors: those of infer(); outside_model for a noisy-or
/// of more than 16 parents that is not a plain or, and for soft evidence.
[[nodiscard]] Result<MostProbable> most_probable(const Network& network, const Evidence& evidence);

/// - SUM p log2 p [bit]. Precondition: probabilities.
[[nodiscard]] double entropy_bits(std::span<const double> probabilities);

/// I(a; b | evidence) = SUM P(a, b) log2 P(a, b) / (P(a) P(b)) [bit]. Errors: those of infer().
[[nodiscard]] Result<double> mutual_information_bits(const Network& network, const Evidence& evidence, std::size_t a,
                                                     std::size_t b);

/// log2( PROD P(e_i) / P(e) ) [-]: above 0 the observations disagree more than the network expects, which hints at
/// something it does not know. Source: F. V. Jensen, conflict measure (1990), from memory. Counts observations only.
/// Errors: those of infer().
[[nodiscard]] Result<double> conflict_bits(const Network& network, const Evidence& evidence);

}  // namespace fw::diagnosis
