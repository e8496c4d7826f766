// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "base/required.hpp"
#include "base/result.hpp"

/// In which order to inspect suspects, and what a test is worth. Theory: docs/theory/diagnosis.md, Order of suspects.
namespace fw::diagnosis {

/// One suspect of which exactly one is at fault. Costs in any one unit.
struct Suspect {
  double probability = required;  ///< [-]; all together 1
  double inspection = required;   ///< cost of finding out
  double repair = required;       ///< cost of mending it
  double cover = 0.0;             ///< cost of the access it shares with the others of its cover; paid once
  std::size_t behind = 0;         ///< which cover; 0: none
};

enum class Way : std::uint8_t {
  inspect,          ///< inspect each until the fault is found, then mend it
  replace_and_see,  ///< mend each until the trouble is gone
};

struct OrderOptions {
  Way way = Way::inspect;
  bool skip_last = false;              ///< the last one left needs no inspection
  std::optional<double> service_call;  ///< cost of a step that always works, after the listed ones
};

/// Expected cost of looking in this order, without the repairs (which do not depend on it) when inspecting:
///
///   ECR = SUM_i (1 - SUM_{j<i} p_j) C_i [+ (1 - SUM p) C_service]
///
/// With a service call `order` may list some suspects only. Preconditions: places within `suspects`, each once.
/// Source: D. Heckerman, J. Breese, K. Rommelse, CACM 38(3) (1995) 49; Kadane, Simon (1977); from memory.
/// Check: tests/published/diagnosis/decision_oracle.csv, rows tshoot4.
[[nodiscard]] double expected_cost(std::span<const Suspect> suspects, std::span<const std::size_t> order,
                                   const OrderOptions& options = {});

/// Falling probability over cost: optimal for inspection without covers, skipped last and service call; else a bound.
[[nodiscard]] std::vector<std::size_t> ratio_order(std::span<const Suspect> suspects, Way way = Way::inspect);

struct OrderPlan {
  std::vector<std::size_t> order;  ///< then the service call where one is offered and the order is not complete
  double expected_cost = 0.0;
};
/// The best order by going through all; the first found where several are equal.
/// Errors: invalid_input for probabilities that do not sum to 1 within 1e-9, or a cost below 0; too_large over 8.
[[nodiscard]] Result<OrderPlan> best_order(std::span<const Suspect> suspects, const OrderOptions& options = {});

/// A decision under uncertainty with a test before it.
struct TestedDecision {
  std::vector<double> prior;                    ///< P(x)
  std::vector<std::vector<double>> utility;     ///< per decision and x
  std::vector<std::vector<double>> likelihood;  ///< per outcome and x: P(outcome | x)
};
struct TestValue {
  double without_test = 0.0;                    ///< best expected utility
  double perfect = 0.0;                         ///< EVPI
  double with_test = 0.0;                       ///< best expected utility with the test for nothing
  double worth = 0.0;                           ///< EVSI = with_test - without_test
  std::vector<double> chances;                  ///< P(outcome)
  std::vector<std::vector<double>> posteriors;  ///< per outcome, P(x | outcome)
  std::vector<std::vector<double>> utilities;   ///< per outcome, of each decision
};
/// EVSI = SUM_t P(t) max_d E[U | t] - max_d E[U]. Errors: invalid_input for ragged or empty tables, for probabilities
/// that do not sum to 1 within 1e-9. Source: H. Raiffa, Decision Analysis (1968), from memory. Check: oil wildcatter.
[[nodiscard]] Result<TestValue> test_value(const TestedDecision& decision);

}  // namespace fw::diagnosis
