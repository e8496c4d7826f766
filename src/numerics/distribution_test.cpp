// SPDX-License-Identifier: Apache-2.0
#include "numerics/distribution.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "base/contract.hpp"
#include "base/required.hpp"

namespace fw::numerics {
namespace {

// Reference values of an independent library run (GSL-free R 4.2.2 agrees): the Boost.Math check values of the project.
TEST(Distribution, MatchesTheCheckValues) {
  EXPECT_NEAR(beta_quantile(0.95, {.a = 3.5, .b = 7.5}), 0.558126766485, 1e-12);
  EXPECT_NEAR(chi_squared_quantile(0.95, 8.0), 15.5073130559, 1e-10);
}

// Published: tables of the chi-squared and of Student's t in the NIST/SEMATECH e-Handbook, 1.3.6.7.2 and 1.3.6.7.4,
// three decimals, from memory.
TEST(Distribution, MatchesTheHandbookTables) {
  EXPECT_NEAR(chi_squared_quantile(0.95, 1.0), 3.841, 5e-4);
  EXPECT_NEAR(chi_squared_quantile(0.975, 10.0), 20.483, 5e-4);
  EXPECT_NEAR(student_t_quantile(0.975, 1.0), 12.706, 5e-4);
  EXPECT_NEAR(student_t_quantile(0.975, 10.0), 2.228, 5e-4);
  EXPECT_NEAR(student_t_quantile(0.95, 30.0), 1.697, 5e-4);
}

// Closed forms: Beta(1, n) has F = 1 - (1 - x)^n, Beta(n, 1) has F = x^n; chi-squared with 2 degrees of freedom is
// exponential; Student's t with 1 is Cauchy.
TEST(Distribution, MatchesClosedForms) {
  for (const double u : {0.01, 0.3, 0.95}) {
    EXPECT_NEAR(beta_quantile(u, {.a = 1.0, .b = 7.0}), 1.0 - std::pow(1.0 - u, 1.0 / 7.0), 1e-15);
    EXPECT_NEAR(beta_quantile(u, {.a = 7.0, .b = 1.0}), std::pow(u, 1.0 / 7.0), 1e-15);
    EXPECT_NEAR(beta_quantile(u, {}), u, 1e-15);
    EXPECT_NEAR(chi_squared_quantile(u, 2.0), -2.0 * std::log1p(-u), 1e-13);
    EXPECT_NEAR(student_t_quantile(u, 1.0), std::tan(std::numbers::pi * (u - 0.5)), 1e-11);
    EXPECT_NEAR(standard_normal_cdf(standard_normal_quantile(u)), u, 1e-15);
  }
}

TEST(Distribution, QuantilesInvertTheCumulative) {
  for (const double n : {1.0, 12.0, 2000.0, 1e6}) {
    for (const double share : {0.001, 0.1, 0.5, 0.9}) {
      const Beta beta{.a = 1.0 + share * n, .b = 1.0 + (1.0 - share) * n};
      for (const double u : {1e-6, 0.05, 0.5, 0.975}) {
        EXPECT_NEAR(beta_cdf(beta_quantile(u, beta), beta), u, 1e-10) << beta.a << " " << beta.b;
      }
    }
  }
}

TEST(Distribution, RefusesWhatIsNoDistribution) {
  EXPECT_THROW(static_cast<void>(beta_quantile(0.5, {.a = required, .b = 1.0})), ContractViolation);
  EXPECT_THROW(static_cast<void>(beta_quantile(1.0, {.a = 1.0, .b = 1.0})), ContractViolation);
  EXPECT_THROW(static_cast<void>(beta_cdf(1.5, {})), ContractViolation);
  EXPECT_THROW(static_cast<void>(chi_squared_quantile(0.5, 0.0)), ContractViolation);
  EXPECT_THROW(static_cast<void>(student_t_quantile(required, 5.0)), ContractViolation);
  EXPECT_THROW(static_cast<void>(standard_normal_cdf(required)), ContractViolation);
}

}  // namespace
}  // namespace fw::numerics
