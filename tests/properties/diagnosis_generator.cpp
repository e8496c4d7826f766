// SPDX-License-Identifier: Apache-2.0
#include "diagnosis_generator.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

#include <fmt/format.h>

#include "diagnosis/inference.hpp"
#include "numerics/stream.hpp"

namespace fw::test {

namespace {

using diagnosis::Evidence;
using diagnosis::Model;
using diagnosis::Node;

/// Numbers in order from an addressed stream.
class Numbers {
 public:
  Numbers(std::uint64_t seed, const std::string& id) : seed_(seed), key_(numerics::key_of(id)) {}
  double next() { return numerics::uniform(seed_, key_, numerics::Purpose::synthetic, at_++); }

 private:
  std::uint64_t seed_;
  numerics::InputKey key_;
  std::uint32_t at_ = 0;
};

std::size_t drawn_state(const Model& model, const std::vector<std::size_t>& states, std::size_t at, double u) {
  const Node& node = model.network.nodes[at];
  if (node.noisy_or) {
    std::vector<bool> present;
    for (const std::size_t parent : node.parents) present.push_back(states[parent] == 0);
    return u < present_probability(*node.noisy_or, present) ? 0 : 1;
  }
  std::size_t row = 0;
  for (const std::size_t parent : node.parents) {
    row = row * model.network.nodes[parent].states.size() + states[parent];
  }
  double sum = 0.0;
  for (std::size_t k = 0; k + 1 < node.states.size(); ++k) {
    sum += node.table[row * node.states.size() + k];
    if (u < sum) return k;
  }
  return node.states.size() - 1;
}

}  // namespace

Model disturbed(const Model& model, double factor, std::uint64_t seed) {
  Model other = model;
  Numbers numbers(seed, "disturbed");
  const auto shift = [&](double p) {
    const double by = numbers.next() < 0.5 ? factor : 1.0 / factor;
    if (p <= 0.0 || p >= 1.0) return p;
    const double odds = p / (1.0 - p) * by;
    return odds / (1.0 + odds);
  };
  for (std::size_t at = 0; at < other.network.nodes.size(); ++at) {
    if (at == other.complaint) continue;
    Node& node = other.network.nodes[at];
    if (node.noisy_or) {
      node.noisy_or->leak = shift(node.noisy_or->leak);
      for (double& link : node.noisy_or->links) link = shift(link);
      for (double& inhibitor : node.noisy_or->inhibitors) inhibitor = shift(inhibitor);
    } else {
      // The last state takes the odds, the others keep their proportion.
      const std::size_t states = node.states.size();
      for (std::size_t row = 0; row * states < node.table.size(); ++row) {
        double& last = node.table[row * states + states - 1];
        const double moved = shift(last);
        for (std::size_t k = 0; k + 1 < states; ++k) node.table[row * states + k] *= (1.0 - moved) / (1.0 - last);
        last = moved;
      }
    }
  }
  return other;
}

Reliability reliability(const Model& truth, const Model& model, std::size_t cases, std::uint64_t seed) {
  constexpr double edges[] = {0.0, 0.02, 0.05, 0.1, 0.2, 0.4, 0.6, 0.8, 0.95, 1.0};
  Reliability result;
  for (std::size_t i = 0; i + 1 < std::size(edges); ++i) {
    Reliability::Bin bin;
    bin.low = edges[i];
    bin.high = edges[i + 1];
    result.bins.push_back(bin);
  }
  Numbers numbers(seed, "case");
  std::vector<std::size_t> states(truth.network.nodes.size(), 1);
  while (result.cases < cases) {
    for (std::size_t at = 0; at < states.size(); ++at) states[at] = drawn_state(truth, states, at, numbers.next());
    if (states[truth.complaint] != 0) continue;
    ++result.cases;
    Evidence evidence{.observed = {{model.complaint, 0}}, .likelihoods = {}, .soft = {}};
    for (const std::size_t finding : model.findings) {
      if (numbers.next() > 1.0 / 3.0) evidence.observed.push_back({finding, states[finding]});
    }
    const auto posterior = diagnosis::infer(model.network, evidence, model.causes);
    if (!posterior) throw std::runtime_error(fw::to_text(posterior.error()));
    std::vector<double> difference(result.bins.size(), 0.0);
    std::vector<double> sorted;
    std::size_t leader = 0;
    for (const std::size_t cause : model.causes) {
      const double p = posterior->marginals[cause][0];
      const bool so = states[cause] == 0;
      std::size_t b = 0;
      while (b + 1 < result.bins.size() && p >= result.bins[b].high) ++b;
      Reliability::Bin& bin = result.bins[b];
      ++bin.statements;
      bin.stated += p;
      bin.right += so ? 1.0 : 0.0;
      difference[b] += (so ? 1.0 : 0.0) - p;
      if (p >= 0.85 && p <= 0.95) {
        ++result.about_ninety;
        result.ninety_right += so ? 1U : 0U;
      }
      if (p > posterior->marginals[model.causes[leader]][0]) {
        leader =
            static_cast<std::size_t>(std::find(model.causes.begin(), model.causes.end(), cause) - model.causes.begin());
      }
      sorted.push_back(p);
    }
    for (std::size_t b = 0; b < difference.size(); ++b) result.bins[b].variance += difference[b] * difference[b];
    std::sort(sorted.rbegin(), sorted.rend());
    if (sorted[0] >= 0.5 && sorted[0] >= 3.0 * sorted[1]) {
      ++result.determined;
      result.wrong_part += states[model.causes[leader]] == 0 ? 0U : 1U;
    }
  }
  return result;
}

std::string to_text(const Reliability& result) {
  std::string text;
  for (const Reliability::Bin& bin : result.bins) {
    const double count = std::max(1.0, static_cast<double>(bin.statements));
    text += fmt::format("  stated {:.2f} to {:.2f}: {:6d} statements, mean {:.3f}, right {:.3f}\n", bin.low, bin.high,
                        bin.statements, bin.stated / count, bin.right / count);
  }
  text += fmt::format(
      "  {} cases, {} determined, {} of them with the wrong part; of {} statements of about 0.9, {} right\n",
      result.cases, result.determined, result.wrong_part, result.about_ninety, result.ninety_right);
  return text;
}

}  // namespace fw::test
