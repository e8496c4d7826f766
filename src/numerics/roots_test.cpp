// SPDX-License-Identifier: Apache-2.0
#include "numerics/roots.hpp"

#include <cmath>
#include <functional>
#include <vector>

#include <gtest/gtest.h>

#include "base/contract.hpp"
#include "base/required.hpp"

namespace fw::numerics {
namespace {

// Colebrook at Re 1e5, eps/D 1e-4; reference: Boost.Math TOMS748, 12 digits (project check values).
TEST(Brent, SolvesColebrook) {
  const auto residual = [](double f) {
    const double x = 1.0 / std::sqrt(f);
    return x + 2.0 * std::log10(1e-4 / 3.7 + 2.51 * x / 1e5);
  };
  const Root root = brent(residual, {.low = 0.005, .high = 0.1});
  EXPECT_TRUE(root.converged());
  EXPECT_NEAR(root.x, 0.018513866077, 1e-12);
  EXPECT_LE(root.iterations, 15);
  EXPECT_LE(std::abs(root.bracket.high - root.bracket.low), 1e-14);
}

struct Problem {
  const char* name;
  std::function<ValueAndSlope(double)> f;
  Bracket bracket;
  double root;
  double tolerance;
};

// Closed forms, among them the ones that break Newton alone: flat ends, an inflection, a pole of the slope, a
// triple root and a jump.
std::vector<Problem> problems() {
  return {
      {"cubic",
       [](double x) { return ValueAndSlope{x * x * x - 2.0, 3.0 * x * x}; },
       {0.0, 5.0},
       std::cbrt(2.0),
       1e-15},
      {"falling",
       [](double x) { return ValueAndSlope{std::exp(-x) - 0.5, -std::exp(-x)}; },
       {-3.0, 20.0},
       std::log(2.0),
       1e-15},
      {"arctangent",
       [](double x) { return ValueAndSlope{std::atan(x - 1.0), 1.0 / (1.0 + (x - 1.0) * (x - 1.0))}; },
       {-100.0, 500.0},
       1.0,
       1e-14},
      {"cube root",
       [](double x) {
         const double y = std::cbrt(x - 0.3);
         return ValueAndSlope{y, y == 0.0 ? 0.0 : 1.0 / (3.0 * y * y)};
       },
       {-2.0, 1.0},
       0.3,
       1e-14},
      {"triple root",
       [](double x) {
         const double d = x - 0.7;
         return ValueAndSlope{d * d * d, 3.0 * d * d};
       },
       {-1.0, 2.0},
       0.7,
       1e-5},
      {"jump", [](double x) { return ValueAndSlope{x < 0.25 ? -1.0 : 2.0, 0.0}; }, {0.0, 1.0}, 0.25, 1e-15},
      {"large offset", [](double x) { return ValueAndSlope{x - 1e5, 1.0}; }, {0.0, 1e9}, 1e5, 1e-10},
      {"cycle of Newton",
       [](double x) { return ValueAndSlope{x * x * x - 2.0 * x + 2.0, 3.0 * x * x - 2.0}; },
       {-3.0, 1.0},
       -1.7692923542386314,
       1e-14},
  };
}

TEST(Roots, BothMethodsReachClosedForms) {
  for (const Problem& problem : problems()) {
    const Root by_brent = brent([&](double x) { return problem.f(x).value; }, problem.bracket);
    EXPECT_TRUE(by_brent.converged()) << problem.name;
    EXPECT_NEAR(by_brent.x, problem.root, problem.tolerance) << problem.name;
    for (const double start :
         {problem.bracket.low, 0.5 * (problem.bracket.low + problem.bracket.high), problem.bracket.high}) {
      const Root by_newton = newton(problem.f, problem.bracket, start);
      EXPECT_TRUE(by_newton.converged()) << problem.name << " from " << start;
      EXPECT_NEAR(by_newton.x, problem.root, problem.tolerance) << problem.name << " from " << start;
    }
  }
}

// Order of convergence: Newton squares the error, so six steps from 1 % reach the last digit.
TEST(Newton, IsFastNearASimpleRoot) {
  const auto f = [](double x) { return ValueAndSlope{x * x - 2.0, 2.0 * x}; };
  const Root root = newton(f, {.low = 1.0, .high = 2.0}, 1.43);
  EXPECT_TRUE(root.converged());
  EXPECT_NEAR(root.x, std::sqrt(2.0), 5e-16);
  EXPECT_LE(root.iterations, 9);
}

TEST(Roots, StopAtTheToleranceAskedFor) {
  const auto f = [](double x) { return ValueAndSlope{x * x * x - 2.0, 3.0 * x * x}; };
  const auto value = [&](double x) { return f(x).value; };
  const Root rough = brent(value, {.low = 0.0, .high = 2.0}, {.x_tolerance = 1e-3});
  EXPECT_TRUE(rough.converged());
  EXPECT_NEAR(rough.x, std::cbrt(2.0), 1e-3);
  const Root by_residual = newton(f, {.low = 0.0, .high = 2.0}, 1.0, {.residual_tolerance = 1e-2});
  EXPECT_TRUE(by_residual.converged());
  EXPECT_LE(std::abs(by_residual.residual), 1e-2);
  EXPECT_EQ(by_residual.residual, f(by_residual.x).value);
  EXPECT_LT(by_residual.iterations, newton(f, {.low = 0.0, .high = 2.0}, 1.0).iterations);
}

TEST(Roots, EndsOfTheBracketMayBeTheRoot) {
  const auto f = [](double x) { return ValueAndSlope{x - 1.0, 1.0}; };
  EXPECT_EQ(brent([](double x) { return x - 1.0; }, {.low = 1.0, .high = 2.0}).x, 1.0);
  EXPECT_EQ(newton(f, {.low = 0.0, .high = 1.0}, 0.5).x, 1.0);
}

TEST(Roots, NotConvergingIsData) {
  const auto f = [](double x) { return ValueAndSlope{x * x + 1.0, 2.0 * x}; };
  const Root none = newton(f, {.low = -1.0, .high = 2.0}, 0.0);
  EXPECT_EQ(none.reason, RootReason::no_bracket);
  EXPECT_EQ(none.x, -1.0) << "the better end";
  EXPECT_EQ(brent([](double x) { return x * x + 1.0; }, {.low = -2.0, .high = 1.0}).reason, RootReason::no_bracket);
  const Root short_of = brent([](double x) { return x * x * x - 2.0; }, {.low = 0.0, .high = 2.0}, {.iterations = 4});
  EXPECT_EQ(short_of.reason, RootReason::out_of_budget);
  EXPECT_EQ(short_of.iterations, 4);
  const auto hole = [](double x) { return x > 0.2 && x < 0.8 ? required : x - 0.5; };
  EXPECT_EQ(brent(hole, {.low = 0.0, .high = 1.0}).reason, RootReason::not_finite);
  EXPECT_EQ(newton([&](double x) { return ValueAndSlope{hole(x), 1.0}; }, {.low = 0.0, .high = 1.0}, 0.5).reason,
            RootReason::not_finite);
}

TEST(Roots, RefuseWhatIsNoBracket) {
  const auto f = [](double x) { return x; };
  EXPECT_THROW(static_cast<void>(brent(f, {.low = 1.0, .high = 1.0})), ContractViolation);
  EXPECT_THROW(static_cast<void>(brent(f, {.low = required, .high = 1.0})), ContractViolation);
  EXPECT_THROW(
      static_cast<void>(newton([](double x) { return ValueAndSlope{x, 1.0}; }, {.low = -1.0, .high = 1.0}, 3.0)),
      ContractViolation);
}

}  // namespace
}  // namespace fw::numerics
