// SPDX-License-Identifier: Apache-2.0
#include "numerics/proportion.hpp"

#include <cmath>
#include <string>

#include <gtest/gtest.h>

#include "base/contract.hpp"
#include "base/required.hpp"
#include "numerics/distribution.hpp"
#include "numerics/stream.hpp"
#include "published_table.hpp"

namespace fw::numerics {
namespace {

// R 4.2.2, tests/published/numerics/stat_proportions.csv, 10 digits.
TEST(Proportion, MatchesTheTable) {
  const auto table = test::published_table("numerics/stat_proportions.csv");
  int compared = 0;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const std::string& name = table.text(row, "case");
    if (!name.starts_with("proportion ")) continue;
    const std::size_t of = name.find(" of ");
    const Count count{.events = std::stoul(name.substr(11, of - 11)), .trials = std::stoul(name.substr(of + 4))};
    const std::string& quantity = table.text(row, "quantity");
    const double value = table.number(row, "value");
    const auto expect = [&](const char* what, double found) {
      if (quantity != what) return;
      EXPECT_NEAR(found, value, 1e-10) << name << ", " << what;
      ++compared;
    };
    const Band exact = clopper_pearson(count);
    const Band score = wilson(count);
    expect("Clopper-Pearson 95% lo", exact.low);
    expect("Clopper-Pearson 95% hi", exact.high);
    expect("Wilson 95% lo", score.low);
    expect("Wilson 95% hi", score.high);
    const auto k = static_cast<double>(count.events);
    const auto n = static_cast<double>(count.trials);
    expect("Beta(1;9) prior: 95% hi", beta_quantile(0.975, {.a = 1.0 + k, .b = 9.0 + n - k}));
  }
  EXPECT_GE(compared, 10);
}

// Published: E. L. Crow, Biometrika 43 (1956) and the common tables print 0.0000-0.3085 for 0 of 10 and 0.0253-0.5561
// for 2 of 10 (95 %, Clopper-Pearson); from memory.
TEST(Proportion, MatchesPrintedClopperPearsonIntervals) {
  EXPECT_NEAR(clopper_pearson({.events = 0, .trials = 10}).high, 0.3085, 5e-5);
  EXPECT_NEAR(clopper_pearson({.events = 2, .trials = 10}).low, 0.0252, 1e-4);
  EXPECT_NEAR(clopper_pearson({.events = 2, .trials = 10}).high, 0.5561, 5e-5);
}

// Closed form for no events.
TEST(Proportion, NoneOfNHasAClosedForm) {
  EXPECT_NEAR(upper_bound({.events = 0, .trials = 2000}), 0.0014967, 1e-7);
  for (const std::size_t n : {1U, 12U, 256U, 2000U, 1000000U}) {
    EXPECT_NEAR(upper_bound({.events = 0, .trials = n}) / -std::expm1(std::log(0.05) / static_cast<double>(n)), 1.0,
                1e-12);
    EXPECT_EQ(lower_bound({.events = 0, .trials = n}), 0.0);
    EXPECT_EQ(upper_bound({.events = n, .trials = n}), 1.0);
  }
}

// Definition: at the upper bound, at most k of n happen with probability 1 - confidence.
TEST(Proportion, BoundsSolveTheirDefinition) {
  constexpr std::size_t n = 60;
  for (std::size_t k = 0; k < n; ++k) {
    const double p = upper_bound({.events = k, .trials = n});
    double below = 0.0;
    for (std::size_t j = 0; j <= k; ++j) {
      const auto x = static_cast<double>(j);
      below += std::exp(std::lgamma(n + 1.0) - std::lgamma(x + 1.0) - std::lgamma(n - x + 1.0) + x * std::log(p) +
                        (n - x) * std::log1p(-p));
    }
    EXPECT_NEAR(below, 0.05, 1e-12) << k;
    EXPECT_NEAR(lower_bound({.events = n - k, .trials = n}), 1.0 - p, 1e-12) << "mirror image";
  }
}

// Law: the upper bound covers the truth in at least 95 of 100 studies; 2,000 studies of 50 trials, 4 standard errors.
// The studies miss when nothing happens (bound 0.0582), which is 1.5 % of them: some must miss, or the bound says
// nothing.
TEST(Proportion, CoversTheTruthAsOftenAsItSays) {
  constexpr double truth = 0.08;
  constexpr std::size_t trials = 50;
  constexpr std::uint32_t studies = 2000;
  const InputKey key = key_of("coverage");
  std::size_t covered = 0;
  for (std::uint32_t study = 0; study < studies; ++study) {
    std::size_t events = 0;
    for (std::uint32_t trial = 0; trial < trials; ++trial) {
      if (uniform(7, key, Purpose::synthetic, study * 64 + trial) < truth) ++events;
    }
    if (upper_bound({.events = events, .trials = trials}) >= truth) ++covered;
  }
  EXPECT_GE(static_cast<double>(covered), studies * 0.95 - 4.0 * std::sqrt(studies * 0.95 * 0.05));
  const double misses = studies * std::pow(1.0 - truth, trials);
  EXPECT_NEAR(static_cast<double>(studies - covered), misses, 4.0 * std::sqrt(misses));
}

TEST(Proportion, RefusesImpossibleCounts) {
  EXPECT_THROW(static_cast<void>(upper_bound({.events = 3, .trials = 2})), ContractViolation);
  EXPECT_THROW(static_cast<void>(wilson({.events = 0, .trials = 0})), ContractViolation);
  EXPECT_THROW(static_cast<void>(lower_bound({.events = 0, .trials = 1}, required)), ContractViolation);
}

}  // namespace
}  // namespace fw::numerics
