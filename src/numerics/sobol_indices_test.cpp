// SPDX-License-Identifier: Apache-2.0
#include "numerics/sobol_indices.hpp"

#include <cmath>
#include <numbers>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "base/contract.hpp"
#include "numerics/sobol_points.hpp"
#include "published_table.hpp"

namespace fw::numerics {
namespace {

class Alone {
 public:
  Run run() { return {.executor = executor_, .progress = progress_, .stop = {}}; }

 private:
  InlineExecutor executor_;
  SilentProgress progress_;
};

double ishigami(std::span<const double> u) {
  const auto angle = [&](std::size_t i) { return std::numbers::pi * (2.0 * u[i] - 1.0); };
  const double s = std::sin(angle(1));
  const double x = angle(2);
  return std::sin(angle(0)) + 7.0 * s * s + 0.1 * x * x * x * x * std::sin(angle(0));
}

constexpr auto model = [](std::span<const double> u) { return ishigami(u); };

double table_value(const test::PublishedTable& table, const std::string& name, const std::string& quantity) {
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    if (table.text(row, "case") == name && table.text(row, "quantity").starts_with(quantity)) {
      return table.number(row, "value");
    }
  }
  throw std::runtime_error("no row " + name + ", " + quantity);
}

// Closed form (Ishigami and Homma 1990; Sobol and Levitan 1999): within 4 standard errors of the shifts, and those
// below 0.5 %.
TEST(SobolIndices, MatchTheClosedFormOfIshigami) {
  const auto table = test::published_table("numerics/stat_sobol_indices.csv");
  const auto found = sobol_indices(model, 3, {.points = 4096, .shifts = 8, .seed = 1}, Alone().run());
  ASSERT_TRUE(found.has_value());
  EXPECT_EQ(found->calls, 4096U * 8U * 5U);
  EXPECT_NEAR(found->mean, 3.5, 1e-3);
  EXPECT_NEAR(found->variance, 13.8445879407, 1e-2);
  for (std::size_t i = 0; i < 3; ++i) {
    const SobolIndex& index = found->inputs[i];
    const std::string name = "ishigami a=7 b=.1";
    EXPECT_NEAR(index.first, table_value(table, name, "S" + std::to_string(i + 1)), 4.0 * index.first_error);
    EXPECT_NEAR(index.total, table_value(table, name, "ST" + std::to_string(i + 1)), 4.0 * index.total_error);
    EXPECT_LT(index.first_error, 5e-3);
    EXPECT_LT(index.total_error, 5e-3);
  }
}

// The g-function of Sobol with a = (0, 1, 4.5, 9, 99 x 4), closed form.
TEST(SobolIndices, MatchTheClosedFormOfTheGFunction) {
  const auto table = test::published_table("numerics/stat_sobol_indices.csv");
  const auto g = [](std::span<const double> u) {
    constexpr double a[8] = {0.0, 1.0, 4.5, 9.0, 99.0, 99.0, 99.0, 99.0};
    double product = 1.0;
    for (std::size_t i = 0; i < 8; ++i) product *= (std::abs(4.0 * u[i] - 2.0) + a[i]) / (1.0 + a[i]);
    return product;
  };
  const auto found = sobol_indices(g, 8, {.points = 2048, .shifts = 8, .seed = 2}, Alone().run());
  ASSERT_TRUE(found.has_value());
  for (std::size_t i = 0; i < 8; ++i) {
    const SobolIndex& index = found->inputs[i];
    EXPECT_NEAR(index.first, table_value(table, "sobol_g", "S" + std::to_string(i + 1)), 4.0 * index.first_error) << i;
    EXPECT_NEAR(index.total, table_value(table, "sobol_g", "ST" + std::to_string(i + 1)), 4.0 * index.total_error) << i;
  }
}

// Deterministic values of an independent program on the unshifted points 0..N-1, 12 digits. Its first-order estimator
// does not take the mean off; m mean(f(AB) - f(A))/V, added here, is the difference.
TEST(SobolIndices, EstimatorsMatchAnIndependentProgram) {
  const auto table = test::published_table("numerics/stat_sobol_indices.csv");
  for (const std::uint32_t points : {256U, 4096U}) {
    const std::string name = "ishigami Sobol N=" + std::to_string(points);
    std::vector<std::vector<double>> values(5);
    for (std::uint32_t index = 0; index < points; ++index) {
      std::vector<double> a(3);
      std::vector<double> b(3);
      for (std::size_t i = 0; i < 3; ++i) {
        a[i] = sobol_word(index, i) * 0x1p-32;
        b[i] = sobol_word(index, 3 + i) * 0x1p-32;
      }
      values[0].push_back(ishigami(a));
      values[1].push_back(ishigami(b));
      for (std::size_t i = 0; i < 3; ++i) {
        std::vector<double> ab = a;
        ab[i] = b[i];
        values[2 + i].push_back(ishigami(ab));
      }
    }
    const double mean = table_value(table, name, "mean");
    const double variance = table_value(table, name, "variance");
    for (std::size_t i = 0; i < 3; ++i) {
      const SobolShares shares = sobol_shares(values[0], values[1], values[2 + i]);
      double change = 0.0;
      for (std::size_t k = 0; k < points; ++k) change += (values[2 + i][k] - values[0][k]) / points;
      EXPECT_NEAR(shares.first + mean * change / variance, table_value(table, name, "S" + std::to_string(i + 1)),
                  1e-10);
      EXPECT_NEAR(shares.total, table_value(table, name, "ST" + std::to_string(i + 1)), 1e-10);
    }
  }
}

// A sum has no interactions: first order and total agree, and shares are known; a large mean does no harm.
TEST(SobolIndices, ASumSharesItsVarianceByCoefficient) {
  const auto sum = [](std::span<const double> u) { return 1e4 + 3.0 * u[0] + 4.0 * u[1]; };
  const auto found = sobol_indices(sum, 2, {.points = 1024, .shifts = 4, .seed = 3}, Alone().run());
  ASSERT_TRUE(found.has_value());
  EXPECT_NEAR(found->inputs[0].first, 9.0 / 25.0, 2e-3);
  EXPECT_NEAR(found->inputs[1].first, 16.0 / 25.0, 2e-3);
  EXPECT_NEAR(found->inputs[0].total, 9.0 / 25.0, 2e-3);
}

TEST(SobolIndices, SeedsDifferAndRepeat) {
  const SobolOptions options{.points = 64, .shifts = 2, .seed = 1};
  const auto first = sobol_indices(model, 3, options, Alone().run());
  const auto again = sobol_indices(model, 3, options, Alone().run());
  const auto other = sobol_indices(model, 3, {.points = 64, .shifts = 2, .seed = 2}, Alone().run());
  EXPECT_EQ(first->inputs[0].first, again->inputs[0].first);
  EXPECT_NE(first->inputs[0].first, other->inputs[0].first);
}

TEST(SobolIndices, AConstantHasNone) {
  const auto found = sobol_indices([](std::span<const double>) { return 5.0; }, 2, {.points = 16}, Alone().run());
  ASSERT_TRUE(found.has_value());
  EXPECT_EQ(found->variance, 0.0);
  EXPECT_EQ(found->inputs[0].first, 0.0);
  EXPECT_EQ(found->inputs[1].total, 0.0);
}

TEST(SobolIndices, SayWhatWentWrong) {
  const auto hole = [](std::span<const double> u) { return u[0] > 0.5 ? required : 1.0; };
  const auto found = sobol_indices(hole, 1, {.points = 16}, Alone().run());
  ASSERT_FALSE(found.has_value());
  EXPECT_EQ(found.error().front().code, ErrorCode::outside_model);

  std::stop_source stop;
  stop.request_stop();
  InlineExecutor executor;
  SilentProgress progress;
  const auto stopped =
      sobol_indices(model, 3, {}, {.executor = executor, .progress = progress, .stop = stop.get_token()});
  ASSERT_FALSE(stopped.has_value());
  EXPECT_EQ(stopped.error().front().code, ErrorCode::cancelled);

  EXPECT_THROW(static_cast<void>(sobol_indices(model, 0, {}, Alone().run())), ContractViolation);
  EXPECT_THROW(static_cast<void>(sobol_indices(model, 3, {.points = 1000}, Alone().run())), ContractViolation);
  EXPECT_THROW(static_cast<void>(sobol_indices(model, sobol_inputs + 1, {}, Alone().run())), ContractViolation);
}

}  // namespace
}  // namespace fw::numerics
