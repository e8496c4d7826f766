// SPDX-License-Identifier: Apache-2.0
#include "diagnosis/troubleshooting.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include <fmt/format.h>

#include "base/contract.hpp"

namespace fw::diagnosis {

namespace {

constexpr double sum_tolerance = 1e-9;
constexpr std::size_t most_enumerated = 8;

double cost_of(const Suspect& suspect, Way way) { return way == Way::inspect ? suspect.inspection : suspect.repair; }

bool is_distribution(const std::vector<double>& shares) {
  double sum = 0.0;
  for (const double share : shares) {
    if (!std::isfinite(share) || share < 0.0) return false;
    sum += share;
  }
  return std::abs(sum - 1.0) <= sum_tolerance;
}

double expectation(const std::vector<double>& shares, const std::vector<double>& values) {
  return std::inner_product(shares.begin(), shares.end(), values.begin(), 0.0);
}

}  // namespace

double expected_cost(std::span<const Suspect> suspects, std::span<const std::size_t> order,
                     const OrderOptions& options) {
  double left = 1.0;
  double sum = 0.0;
  std::vector<std::size_t> open;
  for (std::size_t i = 0; i < order.size(); ++i) {
    FW_EXPECTS(order[i] < suspects.size());
    const Suspect& one = suspects[order[i]];
    const bool last = i + 1 == suspects.size();
    if (!(options.skip_last && last)) {
      sum += left * cost_of(one, options.way);
      if (one.behind != 0 && std::find(open.begin(), open.end(), one.behind) == open.end()) {
        sum += left * one.cover;
        open.push_back(one.behind);
      }
    }
    left -= one.probability;
  }
  if (options.service_call) sum += std::max(0.0, left) * *options.service_call;
  return sum;
}

std::vector<std::size_t> ratio_order(std::span<const Suspect> suspects, Way way) {
  std::vector<std::size_t> order(suspects.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return suspects[a].probability * cost_of(suspects[b], way) > suspects[b].probability * cost_of(suspects[a], way);
  });
  return order;
}

Result<OrderPlan> best_order(std::span<const Suspect> suspects, const OrderOptions& options) {
  if (suspects.size() > most_enumerated) {
    return fail(Error{ErrorCode::too_large,
                      {.field = "suspects"},
                      fmt::format("{} suspects", suspects.size()),
                      fmt::format("at most {}", most_enumerated),
                      "Leave out the least probable."});
  }
  std::vector<double> shares;
  for (const Suspect& one : suspects) {
    shares.push_back(one.probability);
    for (const double cost : {one.inspection, one.repair, one.cover}) {
      if (!std::isfinite(cost) || cost < 0.0) return invalid("suspects.cost", fmt::format("{}", cost), "0 or more");
    }
  }
  if (!is_distribution(shares)) return invalid("suspects.probability", "no distribution", "probabilities with sum 1");
  std::vector<std::size_t> order(suspects.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  OrderPlan best;
  bool first = true;
  do {
    const std::size_t shortest = options.service_call ? 0 : order.size();
    for (std::size_t length = shortest; length <= order.size(); ++length) {
      const double cost = expected_cost(suspects, std::span(order).first(length), options);
      if (first || cost < best.expected_cost) {
        best = {.order = {order.begin(), order.begin() + static_cast<std::ptrdiff_t>(length)}, .expected_cost = cost};
        first = false;
      }
    }
  } while (std::next_permutation(order.begin(), order.end()));
  return best;
}

Result<TestValue> test_value(const TestedDecision& decision) {
  const std::size_t states = decision.prior.size();
  if (decision.utility.empty() || decision.likelihood.empty() || !is_distribution(decision.prior)) {
    return invalid("decision", "no decision, no outcome or no distribution", "all three");
  }
  for (const auto* rows : {&decision.utility, &decision.likelihood}) {
    for (const std::vector<double>& row : *rows) {
      if (row.size() != states)
        return invalid("decision", fmt::format("a row of {}", row.size()), fmt::format("{}", states));
    }
  }
  for (std::size_t x = 0; x < states; ++x) {
    std::vector<double> column;
    for (const std::vector<double>& row : decision.likelihood) column.push_back(row[x]);
    if (!is_distribution(column)) return invalid("decision.likelihood", "a column that is no distribution", "sum 1");
  }
  const auto best = [&](const std::vector<double>& shares) {
    double highest = expectation(shares, decision.utility.front());
    for (const std::vector<double>& row : decision.utility) highest = std::max(highest, expectation(shares, row));
    return highest;
  };
  TestValue value;
  value.without_test = best(decision.prior);
  double known = 0.0;
  for (std::size_t x = 0; x < states; ++x) {
    double highest = decision.utility.front()[x];
    for (const std::vector<double>& row : decision.utility) highest = std::max(highest, row[x]);
    known += decision.prior[x] * highest;
  }
  value.perfect = known - value.without_test;
  for (const std::vector<double>& row : decision.likelihood) {
    const double chance = expectation(decision.prior, row);
    std::vector<double> posterior(states, 0.0);
    for (std::size_t x = 0; x < states && chance > 0.0; ++x) posterior[x] = decision.prior[x] * row[x] / chance;
    std::vector<double> utilities;
    for (const std::vector<double>& each : decision.utility) utilities.push_back(expectation(posterior, each));
    value.with_test += chance > 0.0 ? chance * best(posterior) : 0.0;
    value.chances.push_back(chance);
    value.posteriors.push_back(std::move(posterior));
    value.utilities.push_back(std::move(utilities));
  }
  value.worth = value.with_test - value.without_test;
  return value;
}

}  // namespace fw::diagnosis
