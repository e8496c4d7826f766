// SPDX-License-Identifier: Apache-2.0
#include "diagnosis/inference.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <limits>
#include <numeric>
#include <tuple>

#include <fmt/format.h>

#include "base/contract.hpp"

namespace fw::diagnosis {

namespace {

constexpr double impossible = -std::numeric_limits<double>::infinity();

/// A set of variables as bits.
class BitSet {
 public:
  explicit BitSet(std::size_t size) : words_((size + 63) / 64) {}
  void set(std::size_t at) { words_[at / 64] |= std::uint64_t{1} << (at % 64); }
  void clear(std::size_t at) { words_[at / 64] &= ~(std::uint64_t{1} << (at % 64)); }
  [[nodiscard]] std::size_t count() const {
    std::size_t sum = 0;
    for (const std::uint64_t word : words_) sum += static_cast<std::size_t>(std::popcount(word));
    return sum;
  }
  [[nodiscard]] std::size_t common(const BitSet& other) const {
    std::size_t sum = 0;
    for (std::size_t i = 0; i < words_.size(); ++i) {
      sum += static_cast<std::size_t>(std::popcount(words_[i] & other.words_[i]));
    }
    return sum;
  }
  void join(const BitSet& other) {
    for (std::size_t i = 0; i < words_.size(); ++i) words_[i] |= other.words_[i];
  }
  [[nodiscard]] std::vector<std::size_t> members() const {
    std::vector<std::size_t> all;
    for (std::size_t i = 0; i < words_.size(); ++i) {
      for (std::uint64_t word = words_[i]; word != 0; word &= word - 1) {
        all.push_back(64 * i + static_cast<std::size_t>(std::countr_zero(word)));
      }
    }
    return all;
  }

 private:
  std::vector<std::uint64_t> words_;
};

/// Values over variables, the last variable varying fastest.
struct Factor {
  std::vector<std::size_t> variables;
  std::vector<double> values;
};

constexpr std::size_t unseen = static_cast<std::size_t>(-1);
constexpr std::size_t widest_maximised = 16;
constexpr double infinite = std::numeric_limits<double>::infinity();
/// Numbers in all tables from which another order is looked for; as many again for each further one. Chosen by
/// measurement (docs/benchmarks.md): below it the search takes longer than what it saves.
constexpr double worth_a_search = 6e4;
constexpr std::uint64_t most_tries = 16;

bool plain_or(const NoisyOr& either) {
  const auto certain = [](double link) { return link == 0.0 || link == 1.0; };
  const auto none = [](double inhibitor) { return inhibitor == 0.0; };
  return certain(either.leak) && std::all_of(either.links.begin(), either.links.end(), certain) &&
         std::all_of(either.inhibitors.begin(), either.inhibitors.end(), none);
}

bool inhibited(const NoisyOr& either) {
  return std::any_of(either.inhibitors.begin(), either.inhibitors.end(), [](double value) { return value > 0.0; });
}

}  // namespace

/// Makes the factors, finds the order and lays out the buckets.
class TreeCutter {
 public:
  TreeCutter(const Network& network, const Evidence& evidence, CliqueTree::Purpose purpose, const CliqueTree* like)
      : network_(network), evidence_(evidence), purpose_(purpose), like_(like) {}

  Result<CliqueTree> cut(const std::vector<std::size_t>& wanted) {
    seen_.assign(network_.nodes.size(), unseen);
    for (const Observed& one : evidence_.observed) seen_[one.node] = one.state;
    find_relevant(wanted);
    cards_.reserve(2 * network_.nodes.size());
    for (const Node& node : network_.nodes) cards_.push_back(node.states.size());
    std::vector<std::size_t> wide;
    for (std::size_t at = 0; at < network_.nodes.size(); ++at) {
      if (!relevant_[at]) continue;
      if (auto fault = add_node(at, wide)) return fail(std::move(*fault));
    }
    for (const Likelihood& one : evidence_.likelihoods) {
      if (seen_[one.node] != unseen) {
        scale_by(one.weights[seen_[one.node]]);
      } else {
        factors_.push_back({{one.node}, one.weights});
      }
    }
    if (!wide.empty()) chain(wide);
    return lay_out();
  }

 private:
  void find_relevant(const std::vector<std::size_t>& wanted) {
    relevant_.assign(network_.nodes.size(), wanted.empty());
    for (const std::size_t node : wanted) relevant_[node] = true;
    for (const Observed& one : evidence_.observed) relevant_[one.node] = true;
    for (const Likelihood& one : evidence_.likelihoods) relevant_[one.node] = true;
    for (std::size_t at = network_.nodes.size(); at-- > 0;) {
      if (!relevant_[at]) continue;
      for (const std::size_t parent : network_.nodes[at].parents) relevant_[parent] = true;
    }
  }

  void scale_by(double weight) {
    if (weight > 0.0) {
      tree_.log_constant_ += std::log(weight);
    } else {
      tree_.impossible_ = true;
    }
  }

  std::optional<Error> add_node(std::size_t at, std::vector<std::size_t>& wide) {
    const Node& node = network_.nodes[at];
    if (!node.noisy_or) {
      add_table(at, node.table);
      return std::nullopt;
    }
    const NoisyOr& either = *node.noisy_or;
    if (seen_[at] == 1 && !inhibited(either)) {
      add_absent(node, either);
      return std::nullopt;
    }
    std::size_t open = 0;
    for (const std::size_t parent : node.parents) open += seen_[parent] == unseen ? 1U : 0U;
    const bool maximum = purpose_ == CliqueTree::Purpose::maximum;
    if (node.parents.size() <= CliqueTree::widest_table || (open <= CliqueTree::widest_table && !maximum) ||
        inhibited(either) || (maximum && !plain_or(either))) {
      if (open > widest_maximised) {
        return Error{ErrorCode::outside_model,
                     {.field = node.name},
                     fmt::format("a noisy-or of {} open parents", open),
                     fmt::format("at most {} here", widest_maximised),
                     "Split it into nodes in between, or ask for marginals only."};
      }
      add_reduced(at, node, either);
      return std::nullopt;
    }
    wide.push_back(at);
    return std::nullopt;
  }

  /// The node's table with what was seen taken in.
  void add_table(std::size_t at, const std::vector<double>& table) {
    const Node& node = network_.nodes[at];
    std::vector<std::size_t> all = node.parents;
    all.push_back(at);
    Factor factor;
    std::vector<std::size_t> strides;
    std::vector<std::size_t> open_strides;
    std::size_t start = 0;
    std::size_t stride = table.size();
    std::size_t size = 1;
    for (const std::size_t variable : all) {
      stride /= cards_[variable];
      if (seen_[variable] != unseen) {
        start += stride * seen_[variable];
      } else {
        factor.variables.push_back(variable);
        open_strides.push_back(stride);
        size *= cards_[variable];
      }
    }
    factor.values.resize(size);
    std::vector<std::size_t> states(factor.variables.size(), 0);
    std::size_t from = start;
    for (double& value : factor.values) {
      value = table[from];
      for (std::size_t i = states.size(); i-- > 0;) {
        from += open_strides[i];
        if (++states[i] < cards_[factor.variables[i]]) break;
        from -= open_strides[i] * states[i];
        states[i] = 0;
      }
    }
    push(std::move(factor));
  }

  void push(Factor factor) {
    if (factor.variables.empty()) return scale_by(factor.values.front());
    factors_.push_back(std::move(factor));
  }

  /// P(absent | u) is a product over the parents.
  void add_absent(const Node& node, const NoisyOr& either) {
    scale_by(1.0 - either.leak);
    for (std::size_t i = 0; i < node.parents.size(); ++i) {
      const std::size_t parent = node.parents[i];
      const double none = 1.0 - either.links[i];
      if (seen_[parent] == 0) {
        scale_by(none);
      } else if (seen_[parent] == unseen) {
        factors_.push_back({{parent}, {none, 1.0}});
      }
    }
  }

  /// A table over the parents that are open.
  void add_reduced(std::size_t at, const Node& node, const NoisyOr& either) {
    Factor factor;
    std::vector<std::size_t> open;
    std::vector<bool> present(node.parents.size(), false);
    for (std::size_t i = 0; i < node.parents.size(); ++i) {
      if (seen_[node.parents[i]] == unseen) {
        open.push_back(i);
        factor.variables.push_back(node.parents[i]);
      } else {
        present[i] = seen_[node.parents[i]] == 0;
      }
    }
    const bool own = seen_[at] == unseen;
    if (own) factor.variables.push_back(at);
    const std::size_t rows = std::size_t{1} << open.size();
    for (std::size_t row = 0; row < rows; ++row) {
      for (std::size_t i = 0; i < open.size(); ++i) present[open[i]] = ((row >> (open.size() - 1 - i)) & 1U) == 0U;
      const double yes = present_probability(either, present);
      if (own || seen_[at] == 0) factor.values.push_back(yes);
      if (own || seen_[at] == 1) factor.values.push_back(1.0 - yes);
    }
    push(std::move(factor));
  }

  /// Wide noisy-ors become chains whose links follow the order in which the rest would be eliminated, so that the
  /// chain adds little to the cliques.
  void chain(const std::vector<std::size_t>& wide) {
    std::vector<std::size_t> place(cards_.size(), unseen);
    const Graph rest = graph();
    if (like_ != nullptr) tree_.along_ = order_of(like_->along_, rest.remaining, cards_.size());
    if (tree_.along_.empty()) tree_.along_ = shortest(rest).sequence;
    for (std::size_t i = 0; i < tree_.along_.size(); ++i) place[tree_.along_[i]] = i;
    for (const std::size_t at : wide) {
      const Node& node = network_.nodes[at];
      const NoisyOr& either = *node.noisy_or;
      double leak_none = 1.0 - either.leak;
      std::vector<std::size_t> open;
      for (std::size_t i = 0; i < node.parents.size(); ++i) {
        if (seen_[node.parents[i]] == 0) leak_none *= 1.0 - either.links[i];
        if (seen_[node.parents[i]] == unseen) open.push_back(i);
      }
      std::sort(open.begin(), open.end(),
                [&](std::size_t a, std::size_t b) { return place[node.parents[a]] < place[node.parents[b]]; });
      std::size_t before = unseen;
      for (std::size_t i = 0; i < open.size(); ++i) {
        const bool last = i + 1 == open.size();
        const std::size_t parent = node.parents[open[i]];
        const double none = 1.0 - either.links[open[i]];
        // The end of the chain is the node itself, seen or open.
        const bool end_seen = last && seen_[at] != unseen;
        std::size_t here = at;
        if (!last) {
          here = cards_.size();
          cards_.push_back(2);
        }
        Factor factor;
        if (before != unseen) factor.variables.push_back(before);
        factor.variables.push_back(parent);
        if (!end_seen) factor.variables.push_back(here);
        for (std::size_t earlier = 0; earlier < (before == unseen ? 1U : 2U); ++earlier) {
          const double carried = before == unseen ? leak_none : (earlier == 0 ? 0.0 : 1.0);
          for (std::size_t cause = 0; cause < 2; ++cause) {
            const double absent = carried * (cause == 0 ? none : 1.0);
            if (!end_seen || seen_[at] == 0) factor.values.push_back(1.0 - absent);
            if (!end_seen || seen_[at] == 1) factor.values.push_back(absent);
          }
        }
        push(std::move(factor));
        before = here;
      }
    }
  }

  /// How an order is chosen: by the neighbours that would have to be joined, by the size of the table, or by both.
  enum class Rule : std::uint8_t { fill, size, fill_and_size };
  struct Order {
    std::vector<std::size_t> sequence;
    std::vector<std::vector<std::size_t>> scopes;  ///< neighbours at elimination
    double size = 0.0;                             ///< numbers in all tables; not complete where given up
    bool complete = true;
  };

  /// Whether these variables stand in the order `known`, and that order of them.
  static std::vector<std::size_t> order_of(const std::vector<std::size_t>& known,
                                           const std::vector<std::size_t>& variables, std::size_t count) {
    std::vector<bool> mine(count, false);
    for (const std::size_t v : variables) mine[v] = true;
    std::vector<std::size_t> sequence;
    for (const std::size_t v : known) {
      if (v < count && mine[v]) sequence.push_back(v);
    }
    if (sequence.size() != variables.size()) sequence.clear();
    return sequence;
  }

  /// Who shares a factor with whom, and who is left to eliminate.
  struct Graph {
    std::vector<BitSet> near;
    std::vector<std::size_t> remaining;
  };
  [[nodiscard]] Graph graph() const {
    const std::size_t count = cards_.size();
    Graph graph{.near = std::vector<BitSet>(count, BitSet(count)), .remaining = {}};
    BitSet left(count);
    for (std::size_t at = 0; at < network_.nodes.size(); ++at) {
      if (relevant_[at] && seen_[at] == unseen) left.set(at);
    }
    for (const Factor& factor : factors_) {
      for (const std::size_t a : factor.variables) {
        left.set(a);
        for (const std::size_t b : factor.variables) graph.near[a].set(b);
      }
    }
    graph.remaining = left.members();
    for (const std::size_t at : graph.remaining) graph.near[at].clear(at);
    return graph;
  }

  /// Eliminates along `known`.
  [[nodiscard]] Order along(Graph graph, const std::vector<std::size_t>& known) const {
    Order result;
    for (const std::size_t v : known) eliminate(graph, v, result);
    return result;
  }

  void eliminate(Graph& graph, std::size_t v, Order& result) const {
    std::vector<std::size_t> neighbours = graph.near[v].members();
    double size = static_cast<double>(cards_[v]);
    for (const std::size_t u : neighbours) size *= static_cast<double>(cards_[u]);
    result.size += size;
    result.sequence.push_back(v);
    for (const std::size_t u : neighbours) {
      graph.near[u].join(graph.near[v]);
      graph.near[u].clear(u);
      graph.near[u].clear(v);
    }
    result.scopes.push_back(std::move(neighbours));
  }

  /// Greedy order by `rule`; ties fall to the fewest neighbours, then to the lowest number `salt` gives, then the
  /// lowest id. Given up once it is not smaller than `beat`.
  [[nodiscard]] Order greedy(Graph graph, Rule rule, std::uint64_t salt, double beat) const {
    const auto shuffled = [salt](std::size_t v) {
      if (salt == 0) return std::uint64_t{0};
      std::uint64_t x = (v + 1) * 0x9e3779b97f4a7c15ULL + salt * 0xbf58476d1ce4e5b9ULL;
      x = (x ^ (x >> 30U)) * 0x94d049bb133111ebULL;
      return x ^ (x >> 31U);
    };
    std::vector<double> cost(cards_.size(), 0.0);
    std::vector<std::size_t> degree(cards_.size(), 0);
    std::vector<bool> stale(cards_.size(), true);
    Order result;
    while (!graph.remaining.empty()) {
      std::size_t best = 0;
      for (std::size_t i = 0; i < graph.remaining.size(); ++i) {
        const std::size_t v = graph.remaining[i];
        if (stale[v]) {
          const std::vector<std::size_t> around = graph.near[v].members();
          degree[v] = around.size();
          std::size_t missing = 0;
          double size = static_cast<double>(cards_[v]);
          for (const std::size_t u : around) {
            missing += degree[v] - 1 - graph.near[v].common(graph.near[u]);
            size *= static_cast<double>(cards_[u]);
          }
          const auto fill = static_cast<double>(missing / 2);
          cost[v] = rule == Rule::fill ? fill : rule == Rule::size ? size : fill * size;
          stale[v] = false;
        }
        const std::size_t chosen = graph.remaining[best];
        if (i > 0 &&
            std::tuple(cost[v], degree[v], shuffled(v)) < std::tuple(cost[chosen], degree[chosen], shuffled(chosen))) {
          best = i;
        }
      }
      const std::size_t v = graph.remaining[best];
      graph.remaining.erase(graph.remaining.begin() + static_cast<std::ptrdiff_t>(best));
      eliminate(graph, v, result);
      if (result.size >= beat) {
        result.complete = false;
        return result;
      }
      for (const std::size_t u : result.scopes.back()) {
        stale[u] = true;
        for (const std::size_t w : graph.near[u].members()) stale[w] = true;
      }
    }
    return result;
  }

  /// The smallest of a few greedy orders. Least fill alone is often enough; where its tables are large, other rules and
  /// other ties are tried, more of them the larger the tables are.
  [[nodiscard]] Order shortest(const Graph& graph) const {
    Order best = greedy(graph, Rule::fill, 0, infinite);
    std::uint64_t tried = 0;
    for (const Rule rule : {Rule::fill_and_size, Rule::size}) {
      if (best.size < worth_a_search) return best;
      Order other = greedy(graph, rule, 0, best.size);
      if (other.complete) best = std::move(other);
    }
    while (tried < most_tries && best.size >= worth_a_search * static_cast<double>(1 + tried)) {
      ++tried;
      Order other = greedy(graph, tried % 2 == 0 ? Rule::fill : Rule::fill_and_size, tried, best.size);
      if (other.complete) best = std::move(other);
    }
    return best;
  }

  Result<CliqueTree> lay_out() {
    const Graph whole = graph();
    std::vector<std::size_t> known;
    if (like_ != nullptr) known = order_of(like_->variables_, whole.remaining, cards_.size());
    const Order order = known.empty() ? shortest(whole) : along(whole, known);
    const std::vector<std::vector<std::size_t>>& scopes = order.scopes;
    const std::vector<std::size_t>& sequence = order.sequence;
    std::vector<std::size_t> place(cards_.size(), unseen);
    for (std::size_t i = 0; i < sequence.size(); ++i) place[sequence[i]] = i;
    tree_.bucket_of_ = place;
    tree_.variables_ = sequence;
    tree_.buckets_.resize(sequence.size());
    for (std::size_t k = 0; k < sequence.size(); ++k) {
      CliqueTree::Bucket& bucket = tree_.buckets_[k];
      bucket.variable = sequence[k];
      bucket.cardinality = cards_[sequence[k]];
      bucket.scope = scopes[k];
      std::sort(bucket.scope.begin(), bucket.scope.end(),
                [&](std::size_t a, std::size_t b) { return place[a] < place[b]; });
      if (!bucket.scope.empty()) bucket.parent = place[bucket.scope.front()];
      bucket.scope.insert(bucket.scope.begin(), sequence[k]);
      double size = 1.0;
      for (const std::size_t variable : bucket.scope) size *= static_cast<double>(cards_[variable]);
      if (size + static_cast<double>(tree_.size_) > static_cast<double>(CliqueTree::largest_size)) {
        return fail({ErrorCode::too_large,
                     {.field = "network"},
                     fmt::format("cliques of over {} numbers", CliqueTree::largest_size),
                     "smaller cliques",
                     "Give fewer nodes the same effects, or split wide nodes by nodes in between."});
      }
      bucket.offset = tree_.size_;
      bucket.size = static_cast<std::size_t>(size);
      bucket.message_offset = tree_.message_size_;
      bucket.message_size = bucket.size / bucket.cardinality;
      tree_.size_ += bucket.size;
      tree_.message_size_ += bucket.message_size;
    }
    for (CliqueTree::Bucket& bucket : tree_.buckets_) {
      if (bucket.parent == CliqueTree::no_parent) continue;
      const CliqueTree::Bucket& parent = tree_.buckets_[bucket.parent];
      const std::vector<std::size_t> message(bucket.scope.begin() + 1, bucket.scope.end());
      bucket.to_message = places(parent, message, FirstFastest::yes);
    }
    tree_.base_.assign(tree_.size_, 1.0);
    for (const Factor& factor : factors_) {
      std::size_t home = unseen;
      for (const std::size_t variable : factor.variables) home = std::min(home, place[variable]);
      const CliqueTree::Bucket& bucket = tree_.buckets_[home];
      const std::vector<std::uint32_t> map = places(bucket, factor.variables, FirstFastest::no);
      for (std::size_t i = 0; i < bucket.size; ++i) tree_.base_[bucket.offset + i] *= factor.values[map[i]];
    }
    for (const CliqueTree::Bucket& bucket : tree_.buckets_) {
      const auto begin = tree_.base_.begin() + static_cast<std::ptrdiff_t>(bucket.offset);
      const auto end = begin + static_cast<std::ptrdiff_t>(bucket.size);
      const double highest = *std::max_element(begin, end);
      if (highest <= 0.0) {
        tree_.impossible_ = true;
        continue;
      }
      std::transform(begin, end, begin, [highest](double value) { return value / highest; });
      tree_.log_constant_ += std::log(highest);
    }
    return std::move(tree_);
  }

  enum class FirstFastest : std::uint8_t { no, yes };

  /// For each entry of the bucket's table its place in a table over `variables`, a part of the bucket's scope.
  [[nodiscard]] std::vector<std::uint32_t> places(const CliqueTree::Bucket& bucket,
                                                  const std::vector<std::size_t>& variables,
                                                  FirstFastest layout) const {
    std::vector<std::size_t> strides(bucket.scope.size(), 0);
    std::size_t stride = 1;
    for (std::size_t j = 0; j < variables.size(); ++j) {
      const std::size_t variable = layout == FirstFastest::yes ? variables[j] : variables[variables.size() - 1 - j];
      const auto found = std::find(bucket.scope.begin(), bucket.scope.end(), variable);
      strides[static_cast<std::size_t>(found - bucket.scope.begin())] = stride;
      stride *= cards_[variable];
    }
    std::vector<std::uint32_t> map(bucket.size);
    std::vector<std::size_t> states(bucket.scope.size(), 0);
    std::size_t at = 0;
    for (std::uint32_t& place : map) {
      place = static_cast<std::uint32_t>(at);
      for (std::size_t i = 0; i < states.size(); ++i) {
        at += strides[i];
        if (++states[i] < cards_[bucket.scope[i]]) break;
        at -= strides[i] * states[i];
        states[i] = 0;
      }
    }
    return map;
  }

  const Network& network_;
  const Evidence& evidence_;
  CliqueTree::Purpose purpose_;
  const CliqueTree* like_;
  std::vector<std::size_t> seen_;
  std::vector<bool> relevant_;
  std::vector<std::size_t> cards_;
  std::vector<Factor> factors_;
  CliqueTree tree_;
};

Result<CliqueTree> CliqueTree::cut(const Network& network, const Evidence& evidence,
                                   const std::vector<std::size_t>& wanted, Purpose purpose, const CliqueTree* like) {
  return TreeCutter(network, evidence, purpose, like).cut(wanted);
}

bool CliqueTree::has(std::size_t node) const { return node < bucket_of_.size() && bucket_of_[node] != no_parent; }

void CliqueTree::load(std::vector<double>& tables, std::span<const Likelihood> extra) const {
  tables = base_;
  for (const Likelihood& one : extra) {
    FW_EXPECTS(has(one.node));
    const Bucket& bucket = buckets_[bucket_of_[one.node]];
    FW_EXPECTS(one.weights.size() == bucket.cardinality);
    for (std::size_t i = 0; i < bucket.size; ++i) tables[bucket.offset + i] *= one.weights[i % bucket.cardinality];
  }
}

bool CliqueTree::sum_up(std::vector<double>& tables, std::vector<double>& messages, double& log_total) const {
  messages.resize(message_size_);
  log_total = log_constant_;
  for (const Bucket& bucket : buckets_) {
    const double* table = tables.data() + bucket.offset;
    double* message = messages.data() + bucket.message_offset;
    double highest = 0.0;
    for (std::size_t i = 0; i < bucket.message_size; ++i) {
      double sum = 0.0;
      for (std::size_t k = 0; k < bucket.cardinality; ++k) sum += table[i * bucket.cardinality + k];
      message[i] = sum;
      highest = std::max(highest, sum);
    }
    if (highest <= 0.0) return false;
    log_total += std::log(highest);
    if (bucket.parent == no_parent) continue;
    const Bucket& parent = buckets_[bucket.parent];
    double* above = tables.data() + parent.offset;
    const double scale = 1.0 / highest;
    for (std::size_t i = 0; i < parent.size; ++i) above[i] *= message[bucket.to_message[i]] * scale;
  }
  return true;
}

double CliqueTree::log_evidence(std::span<const Likelihood> extra) const {
  if (impossible_) return impossible;
  std::vector<double> tables;
  std::vector<double> messages;
  double log_total = 0.0;
  load(tables, extra);
  return sum_up(tables, messages, log_total) ? log_total : impossible;
}

CliqueTree::Run CliqueTree::run(std::span<const Likelihood> extra) const {
  Run result;
  std::vector<double> tables;
  std::vector<double> messages;
  load(tables, extra);
  if (impossible_ || !sum_up(tables, messages, result.log_evidence)) {
    result.possible = false;
    result.log_evidence = impossible;
    return result;
  }
  result.marginals.resize(buckets_.size());
  std::vector<double> from_above;
  for (std::size_t k = buckets_.size(); k-- > 0;) {
    const Bucket& bucket = buckets_[k];
    double* table = tables.data() + bucket.offset;
    const double* message = messages.data() + bucket.message_offset;
    from_above.assign(bucket.message_size, 0.0);
    if (bucket.parent == no_parent) {
      from_above[0] = 1.0;
    } else {
      const Bucket& parent = buckets_[bucket.parent];
      const double* above = tables.data() + parent.offset;
      for (std::size_t i = 0; i < parent.size; ++i) from_above[bucket.to_message[i]] += above[i];
    }
    std::vector<double>& marginal = result.marginals[k];
    marginal.assign(bucket.cardinality, 0.0);
    for (std::size_t i = 0; i < bucket.message_size; ++i) {
      const double ratio = message[i] > 0.0 ? from_above[i] / message[i] : 0.0;
      for (std::size_t s = 0; s < bucket.cardinality; ++s) {
        double& entry = table[i * bucket.cardinality + s];
        entry *= ratio;
        marginal[s] += entry;
      }
    }
  }
  return result;
}

CliqueTree::Best CliqueTree::best() const {
  Best result;
  result.log_joint = log_constant_;
  std::vector<double> tables;
  load(tables, {});
  result.possible = !impossible_;
  for (const Bucket& bucket : buckets_) {
    if (!result.possible) return result;
    const double* table = tables.data() + bucket.offset;
    const double highest = *std::max_element(table, table + bucket.size);
    if (highest <= 0.0) {
      result.possible = false;
      return result;
    }
    result.log_joint += std::log(highest);
    if (bucket.parent == no_parent) continue;
    const Bucket& parent = buckets_[bucket.parent];
    double* above = tables.data() + parent.offset;
    for (std::size_t i = 0; i < parent.size; ++i) {
      const double* first = table + bucket.to_message[i] * bucket.cardinality;
      above[i] *= *std::max_element(first, first + bucket.cardinality) / highest;
    }
  }
  std::vector<std::size_t> state_of(bucket_of_.size(), 0);
  result.states.resize(buckets_.size());
  for (std::size_t k = buckets_.size(); k-- > 0;) {
    const Bucket& bucket = buckets_[k];
    std::size_t row = 0;
    std::size_t stride = 1;
    for (std::size_t j = 1; j < bucket.scope.size(); ++j) {
      row += stride * state_of[bucket.scope[j]];
      stride *= buckets_[bucket_of_[bucket.scope[j]]].cardinality;
    }
    const double* first = tables.data() + bucket.offset + row * bucket.cardinality;
    const double* top = std::max_element(first, first + bucket.cardinality);
    state_of[bucket.variable] = static_cast<std::size_t>(top - first);
    result.states[k] = state_of[bucket.variable];
  }
  return result;
}

namespace {

Result<void> check_weights(const Network& network, std::size_t at, const std::vector<double>& weights) {
  if (at >= network.nodes.size()) {
    return invalid("evidence", fmt::format("node {}", at), fmt::format("below {}", network.nodes.size()));
  }
  const Node& node = network.nodes[at];
  if (weights.size() != node.states.size()) {
    return invalid(node.name, fmt::format("{} weights", weights.size()), fmt::format("{}", node.states.size()),
                   "One weight for each state, in their order.");
  }
  double sum = 0.0;
  for (const double weight : weights) {
    if (!std::isfinite(weight) || weight < 0.0) {
      return invalid(node.name, fmt::format("a weight of {}", weight), "a finite weight of 0 or more",
                     "A weight is a probability up to a common factor.");
    }
    sum += weight;
  }
  if (!std::isfinite(sum) || sum <= 0.0) {
    return invalid(node.name, fmt::format("weights with a sum of {}", sum), "at least one weight above 0",
                   "State which state the observation speaks for.");
  }
  return {};
}

bool possible(const Network& network, const Evidence& evidence) {
  // The evidence alone decides; one node is enough to be wanted.
  const Result<CliqueTree> tree = CliqueTree::cut(network, evidence, {0});
  return !tree || std::isfinite(tree->log_evidence());
}

/// Observations and weights that exclude each other; taking any one away makes the rest possible.
Error conflict_of(const Network& network, const Evidence& evidence) {
  Evidence left = evidence;
  left.soft.clear();
  const auto strike = [&](auto& list) {
    for (std::size_t i = 0; i < list.size();) {
      const auto one = list[i];
      list.erase(list.begin() + static_cast<std::ptrdiff_t>(i));
      if (possible(network, left)) {
        list.insert(list.begin() + static_cast<std::ptrdiff_t>(i), one);
        ++i;
      }
    }
  };
  strike(left.observed);
  strike(left.likelihoods);
  std::string names;
  for (const Observed& one : left.observed) {
    const Node& node = network.nodes[one.node];
    names += fmt::format("{}{} = {}", names.empty() ? "" : ", ", node.name, node.states[one.state]);
  }
  for (const Likelihood& one : left.likelihoods) {
    names += fmt::format("{}weights on {}", names.empty() ? "" : ", ", network.nodes[one.node].name);
  }
  return {ErrorCode::conflict,
          {.field = "evidence"},
          names + ", which the tables exclude",
          "observations that can occur together",
          "Look at them again; if they stand, a table that says never is wrong: put a small number in place of its 0."};
}

Posterior gather(const Network& network, const Evidence& evidence, const CliqueTree& tree, const CliqueTree::Run& run) {
  Posterior posterior;
  posterior.log_evidence = run.log_evidence;
  posterior.marginals.resize(network.nodes.size());
  for (std::size_t k = 0; k < tree.variables().size(); ++k) {
    const std::size_t variable = tree.variables()[k];
    if (variable < network.nodes.size()) posterior.marginals[variable] = run.marginals[k];
  }
  for (const Observed& one : evidence.observed) {
    std::vector<double>& marginal = posterior.marginals[one.node];
    marginal.assign(network.nodes[one.node].states.size(), 0.0);
    marginal[one.state] = 1.0;
  }
  return posterior;
}

}  // namespace

Result<void> check_evidence(const Network& network, const Evidence& evidence) {
  std::vector<std::size_t> seen(network.nodes.size(), unseen);
  for (const Observed& one : evidence.observed) {
    if (one.node >= network.nodes.size() || one.state >= network.nodes[one.node].states.size()) {
      return invalid("evidence", "a place outside the network", "a node and a state of it");
    }
    const Node& node = network.nodes[one.node];
    if (seen[one.node] != unseen && seen[one.node] != one.state) {
      return fail({ErrorCode::conflict,
                   {.field = node.name},
                   node.states[seen[one.node]] + " and " + node.states[one.state],
                   "one state",
                   "Strike one of them."});
    }
    seen[one.node] = one.state;
  }
  for (const Likelihood& one : evidence.likelihoods) {
    if (auto fault = check_weights(network, one.node, one.weights); !fault) return fault;
  }
  std::vector<bool> softened(network.nodes.size(), false);
  for (const Soft& one : evidence.soft) {
    if (auto fault = check_weights(network, one.node, one.probabilities); !fault) return fault;
    const Node& node = network.nodes[one.node];
    const double sum = std::accumulate(one.probabilities.begin(), one.probabilities.end(), 0.0);
    if (std::abs(sum - 1.0) > row_sum_tolerance) {
      return invalid(node.name, fmt::format("a sum of {}", sum), "a sum of 1", "Soft evidence is a distribution.");
    }
    if (softened[one.node] || seen[one.node] != unseen) {
      return fail({ErrorCode::conflict,
                   {.field = node.name},
                   "soft evidence beside other evidence of the node",
                   "one of them",
                   "Strike one of them."});
    }
    softened[one.node] = true;
  }
  return {};
}

Result<Posterior> infer(const Network& network, const Evidence& evidence, const std::vector<std::size_t>& wanted) {
  if (auto fault = check(network); !fault) return fail(fault.error());
  if (auto fault = check_evidence(network, evidence); !fault) return fail(fault.error());
  std::vector<std::size_t> needed = wanted;
  if (!needed.empty()) {
    for (const Soft& one : evidence.soft) needed.push_back(one.node);
  }
  const Result<CliqueTree> tree = CliqueTree::cut(network, evidence, needed);
  if (!tree) return fail(tree.error());
  CliqueTree::Run run = tree->run();
  if (!run.possible) return fail(conflict_of(network, evidence));
  if (evidence.soft.empty()) return gather(network, evidence, *tree, run);

  std::vector<Likelihood> weights;
  for (const Soft& one : evidence.soft)
    weights.push_back({one.node, std::vector<double>(one.probabilities.size(), 1.0)});
  constexpr int most_rounds = 1000;
  for (int round = 0; round < most_rounds; ++round) {
    double worst = 0.0;
    for (std::size_t s = 0; s < evidence.soft.size(); ++s) {
      const Posterior now = gather(network, evidence, *tree, run);
      const Soft& soft = evidence.soft[s];
      for (std::size_t k = 0; k < soft.probabilities.size(); ++k) {
        const double is = now.marginals[soft.node][k];
        const double shall = soft.probabilities[k];
        worst = std::max(worst, std::abs(is - shall));
        if (is > 0.0) weights[s].weights[k] *= shall / is;
      }
      const double highest = *std::max_element(weights[s].weights.begin(), weights[s].weights.end());
      for (double& weight : weights[s].weights) weight /= highest > 0.0 ? highest : 1.0;
      run = tree->run(weights);
      if (!run.possible) return fail(conflict_of(network, evidence));
    }
    if (worst < 1e-12) return gather(network, evidence, *tree, run);
  }
  return fail({ErrorCode::did_not_converge,
               {.field = network.nodes[evidence.soft.front().node].name},
               "soft evidence that the other evidence does not allow",
               "distributions that can hold together",
               "Give it as a likelihood instead."});
}

Result<MostProbable> most_probable(const Network& network, const Evidence& evidence) {
  if (auto fault = check(network); !fault) return fail(fault.error());
  if (auto fault = check_evidence(network, evidence); !fault) return fail(fault.error());
  if (!evidence.soft.empty()) {
    return outside("evidence", "soft evidence", "observations and likelihoods", "Give it as a likelihood instead.");
  }
  const Result<CliqueTree> sums = CliqueTree::cut(network, evidence, {0});
  if (!sums) return fail(sums.error());
  const double log_evidence = sums->log_evidence();
  if (!std::isfinite(log_evidence)) return fail(conflict_of(network, evidence));
  const Result<CliqueTree> tree = CliqueTree::cut(network, evidence, {}, CliqueTree::Purpose::maximum);
  if (!tree) return fail(tree.error());
  const CliqueTree::Best best = tree->best();
  MostProbable answer;
  answer.states.assign(network.nodes.size(), 0);
  for (const Observed& one : evidence.observed) answer.states[one.node] = one.state;
  for (std::size_t k = 0; k < tree->variables().size(); ++k) {
    if (tree->variables()[k] < network.nodes.size()) answer.states[tree->variables()[k]] = best.states[k];
  }
  answer.given_evidence = std::exp(std::min(0.0, best.log_joint - log_evidence));
  return answer;
}

double entropy_bits(std::span<const double> probabilities) {
  double bits = 0.0;
  for (const double p : probabilities) bits -= p > 0.0 ? p * std::log2(p) : 0.0;
  return bits;
}

Result<double> mutual_information_bits(const Network& network, const Evidence& evidence, std::size_t a, std::size_t b) {
  const Result<Posterior> all = infer(network, evidence, {a, b});
  if (!all) return fail(all.error());
  double conditional = 0.0;
  for (std::size_t k = 0; k < all->marginals[a].size(); ++k) {
    const double weight = all->marginals[a][k];
    if (weight <= 0.0) continue;
    std::vector<double> only(all->marginals[a].size(), 0.0);
    only[k] = 1.0;
    Evidence given = evidence;
    given.likelihoods.push_back({a, only});
    const Result<Posterior> one = infer(network, given, {b});
    if (!one) return fail(one.error());
    conditional += weight * entropy_bits(one->marginals[b]);
  }
  return std::max(0.0, entropy_bits(all->marginals[b]) - conditional);
}

Result<double> conflict_bits(const Network& network, const Evidence& evidence) {
  const Evidence observed{.observed = evidence.observed, .likelihoods = {}, .soft = {}};
  const Result<Posterior> together = infer(network, observed, {0});
  if (!together) return fail(together.error());
  double log_product = 0.0;
  for (const Observed& one : observed.observed) {
    // Checked with the others, and possible because they are together.
    const Result<CliqueTree> alone = CliqueTree::cut(network, {.observed = {one}, .likelihoods = {}, .soft = {}}, {0});
    if (!alone) return fail(alone.error());
    log_product += alone->log_evidence();
  }
  return (log_product - together->log_evidence) / std::log(2.0);
}

}  // namespace fw::diagnosis
