// SPDX-License-Identifier: Apache-2.0
#include "diagnosis/troubleshooting.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include <gtest/gtest.h>

#include "diagnosis/inference.hpp"
#include "published_table.hpp"

namespace fw::diagnosis {
namespace {

/// Values by "case|quantity" of the published table.
class Oracle {
 public:
  Oracle() : table_(test::published_table("diagnosis/decision_oracle.csv")) {}
  double number(const std::string& name, const std::string& quantity) {
    ++used_;
    return table_.number(row(name, quantity), "value");
  }
  std::string text(const std::string& name, const std::string& quantity) {
    ++used_;
    return table_.text(row(name, quantity), "value");
  }
  [[nodiscard]] std::size_t rows() const { return table_.rows.size(); }
  [[nodiscard]] std::size_t used() const { return used_; }

 private:
  [[nodiscard]] std::size_t row(const std::string& name, const std::string& quantity) const {
    for (std::size_t i = 0; i < table_.rows.size(); ++i) {
      if (table_.text(i, "case") == name && table_.text(i, "quantity") == quantity) return i;
    }
    throw std::runtime_error("no row " + name + ", " + quantity);
  }
  test::PublishedTable table_;
  std::size_t used_ = 0;
};

std::string numbered(const std::vector<std::size_t>& order) {
  std::string text;
  for (const std::size_t one : order) text += (text.empty() ? "" : " ") + std::to_string(one + 1);
  return text;
}

// H. Raiffa, Decision Analysis (1968): the oil wildcatter, in thousands; values computed, tables seen.
TEST(TestValueOf, MeetsTheOilWildcatter) {
  Oracle oracle;
  const std::string wildcatter = "wildcatter";
  const TestedDecision drilling{.prior = {0.5, 0.3, 0.2},
                                .utility = {{-70.0, 50.0, 200.0}, {0.0, 0.0, 0.0}},
                                .likelihood = {{0.6, 0.3, 0.1}, {0.3, 0.4, 0.4}, {0.1, 0.3, 0.5}}};
  const TestValue value = test_value(drilling).value();
  EXPECT_NEAR(value.without_test, oracle.number(wildcatter, "EV(drill; no test)"), 1e-9);
  EXPECT_NEAR(value.perfect, oracle.number(wildcatter, "EVPI"), 1e-9);
  EXPECT_NEAR(value.with_test, oracle.number(wildcatter, "EV(with free test)"), 1e-9);
  EXPECT_NEAR(value.worth, oracle.number(wildcatter, "EVSI"), 1e-9);
  EXPECT_NEAR(value.worth - 10.0, oracle.number(wildcatter, "ENGS (EVSI-cost)"), 1e-9);
  EXPECT_NEAR(value.worth / value.perfect, oracle.number(wildcatter, "efficiency EVSI/EVPI"), 1e-9);
  const char* outcomes[] = {"none", "open", "closed"};
  const char* states[] = {"dry", "wet", "soak"};
  for (std::size_t t = 0; t < 3; ++t) {
    const std::string outcome = outcomes[t];
    EXPECT_NEAR(value.chances[t], oracle.number(wildcatter, "P(" + outcome + ")"), 1e-9);
    EXPECT_NEAR(value.utilities[t][0], oracle.number(wildcatter, "EV(drill|" + outcome + ")"), 1e-9);
    for (std::size_t x = 0; x < 3; ++x) {
      EXPECT_NEAR(value.posteriors[t][x],
                  oracle.number(wildcatter, std::string("P(") + states[x] + "|" + outcome + ")"), 1e-9);
    }
  }
  EXPECT_EQ(oracle.used(), 21U);
}

const std::vector<Suspect> four{{.probability = 0.45, .inspection = 90.0, .repair = 400.0},
                                {.probability = 0.25, .inspection = 20.0, .repair = 80.0},
                                {.probability = 0.20, .inspection = 60.0, .repair = 150.0},
                                {.probability = 0.10, .inspection = 35.0, .repair = 60.0}};

// Values by enumeration of all orders, independently of this code.
TEST(OrderOfSuspects, MeetsEveryTroubleshootingRow) {
  Oracle oracle;
  const auto ratio = ratio_order(four);
  const auto best = best_order(four).value();
  EXPECT_EQ(numbered(ratio), oracle.text("tshoot4", "order by p/c (1-based)"));
  EXPECT_EQ(numbered(best.order), oracle.text("tshoot4", "optimal order by enumeration"));
  EXPECT_NEAR(expected_cost(four, ratio), oracle.number("tshoot4", "ECR inspect; p/c order"), 1e-9);
  const std::vector<std::size_t> by_probability{0, 1, 2, 3};
  const std::vector<std::size_t> by_cost{1, 3, 2, 0};
  EXPECT_NEAR(expected_cost(four, by_probability), oracle.number("tshoot4", "ECR inspect; order by p"), 1e-9);
  EXPECT_NEAR(expected_cost(four, by_cost), oracle.number("tshoot4", "ECR inspect; order by cost"), 1e-9);
  std::vector<std::size_t> order = by_probability;
  double worst = 0.0;
  do {
    worst = std::max(worst, expected_cost(four, order));
  } while (std::next_permutation(order.begin(), order.end()));
  EXPECT_NEAR(worst, oracle.number("tshoot4", "worst ECR"), 1e-9);
  double repairs = 0.0;
  for (const Suspect& one : four) repairs += one.probability * one.repair;
  EXPECT_NEAR(repairs, oracle.number("tshoot4", "expected repair cost sum p_i*R_i"), 1e-9);
  EXPECT_NEAR(best.expected_cost + repairs, oracle.number("tshoot4", "ECR total (inspect+repair)"), 1e-9);

  const std::string skip = "tshoot4 skip last inspection";
  const auto skipped = best_order(four, {.skip_last = true}).value();
  EXPECT_EQ(numbered(skipped.order), oracle.text(skip, "optimal order"));
  EXPECT_NEAR(skipped.expected_cost, oracle.number(skip, "ECR"), 1e-9);
  EXPECT_NEAR(expected_cost(four, ratio, {.skip_last = true}), oracle.number(skip, "ECR of p/c order"), 1e-9);

  const auto replaced = best_order(four, {.way = Way::replace_and_see}).value();
  EXPECT_EQ(numbered(replaced.order), oracle.text("tshoot4 replace-and-see", "optimal order by enumeration"));
  EXPECT_NEAR(replaced.expected_cost, oracle.number("tshoot4 replace-and-see", "ECR"), 1e-9);
  EXPECT_EQ(numbered(ratio_order(four, Way::replace_and_see)), numbered(replaced.order));

  const auto dear = best_order(four, {.service_call = 300.0}).value();
  EXPECT_EQ(numbered(dear.order), oracle.text("tshoot4 with service call 300", "best prefix then call"));
  EXPECT_NEAR(dear.expected_cost, oracle.number("tshoot4 with service call 300", "ECR"), 1e-9);
  const auto cheap = best_order(four, {.service_call = 40.0}).value();
  EXPECT_TRUE(cheap.order.empty());
  EXPECT_EQ(oracle.text("tshoot4 with service call 40", "best prefix then call"), "(call at once)");
  EXPECT_NEAR(cheap.expected_cost, oracle.number("tshoot4 with service call 40", "ECR"), 1e-9);

  const std::string access = "tshoot4 access cover";
  std::vector<Suspect> covered = four;
  for (const std::size_t hidden : {2U, 3U}) {
    covered[hidden].cover = 50.0;
    covered[hidden].behind = 1;
  }
  const auto opened = best_order(covered).value();
  EXPECT_EQ(numbered(opened.order), "2 1 3 4");
  EXPECT_EQ(oracle.text(access, "optimal order"), "2 1 C 3 4");
  EXPECT_NEAR(opened.expected_cost, oracle.number(access, "ECR"), 1e-9);
  EXPECT_NEAR(covered[2].probability / (50.0 + covered[2].inspection),
              oracle.number(access, "merged block (C;3) ratio"), 1e-12);
  EXPECT_NEAR(
      (covered[2].probability + covered[3].probability) / (50.0 + covered[2].inspection + covered[3].inspection),
      oracle.number(access, "merged block (C;3;4) ratio"), 1e-12);

  const std::string first = "tshoot4 test first";
  const double likelihood[] = {0.95, 0.10, 0.20, 0.30};
  double after = 0.0;
  for (const bool positive : {true, false}) {
    const std::string outcome = positive ? "pos" : "neg";
    std::vector<Suspect> then = four;
    double chance = 0.0;
    for (std::size_t i = 0; i < 4; ++i) {
      then[i].probability *= positive ? likelihood[i] : 1.0 - likelihood[i];
      chance += then[i].probability;
    }
    for (Suspect& one : then) one.probability /= chance;
    const auto plan = best_order(then).value();
    EXPECT_NEAR(chance, oracle.number(first, "P(" + outcome + ")"), 1e-9);
    EXPECT_EQ(numbered(plan.order), oracle.text(first, "order|" + outcome));
    EXPECT_NEAR(plan.expected_cost, oracle.number(first, "ECR|" + outcome), 1e-8);
    after += chance * plan.expected_cost;
  }
  EXPECT_NEAR(after + 8.0, oracle.number(first, "E[ECR] after test + cost 8"), 1e-9);
  EXPECT_NEAR(best.expected_cost - after, oracle.number(first, "value of the test before cost"), 1e-9);
  EXPECT_EQ(oracle.used(), 29U);
}

// J. de Kleer, B. Williams (1987): information per cost chooses T2 although T1 tells more.
TEST(OrderOfSuspects, MeetsTheEntropyRows) {
  Oracle oracle;
  const std::vector<double> prior{0.4, 0.3, 0.2, 0.1};
  const Node fault{.name = "fault", .states = {"a", "b", "c", "d"}, .parents = {}, .table = prior, .noisy_or = {}};
  EXPECT_NEAR(entropy_bits(prior), oracle.number("entropy4", "H prior bits"), 1e-9);
  for (const auto& [name, likelihood, cost] : {std::tuple{"T1", std::vector<double>{0.9, 0.2, 0.1, 0.1}, 30.0},
                                               std::tuple{"T2", std::vector<double>{0.5, 0.5, 0.05, 0.05}, 10.0}}) {
    Node test{.name = name, .states = {"+", "-"}, .parents = {0}, .table = {}, .noisy_or = {}};
    for (const double p : likelihood) {
      test.table.push_back(p);
      test.table.push_back(1.0 - p);
    }
    const Network network{.name = "", .nodes = {fault, test}};
    const double bits = mutual_information_bits(network, {}, 1, 0).value();
    const std::string label = name;
    EXPECT_NEAR(bits, oracle.number("entropy4", "MI(" + label + ") bits"), 1e-9);
    EXPECT_NEAR(bits / cost, oracle.number("entropy4", "MI(" + label + ")/cost"), 1e-10);
    EXPECT_NEAR(entropy_bits(prior) - bits, oracle.number("entropy4", "E[H|" + label + "]"), 1e-9);
  }
  EXPECT_EQ(oracle.rows(), 21U + 29U + 7U);
}

TEST(OrderOfSuspects, NamesTheBadInput) {
  std::vector<Suspect> bad = four;
  bad[0].probability = 0.5;
  EXPECT_EQ(best_order(bad).error().front().code, ErrorCode::invalid_input);
  bad = four;
  bad[1].repair = -1.0;
  EXPECT_EQ(best_order(bad).error().front().code, ErrorCode::invalid_input);
  EXPECT_EQ(best_order(std::vector<Suspect>(9)).error().front().code, ErrorCode::too_large);
  EXPECT_EQ(test_value({.prior = {0.5, 0.6}, .utility = {{1, 2}}, .likelihood = {{1, 1}}}).error().front().code,
            ErrorCode::invalid_input);
  EXPECT_EQ(test_value({.prior = {0.5, 0.5}, .utility = {{1}}, .likelihood = {{1, 1}}}).error().front().code,
            ErrorCode::invalid_input);
}

}  // namespace
}  // namespace fw::diagnosis
