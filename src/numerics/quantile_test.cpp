// SPDX-License-Identifier: Apache-2.0
#include "numerics/quantile.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "base/contract.hpp"
#include "base/required.hpp"
#include "numerics/normal.hpp"
#include "numerics/stream.hpp"
#include "published_table.hpp"

namespace fw::numerics {
namespace {

std::vector<double> normal_samples(std::string_view id, std::uint32_t n) {
  std::vector<double> samples;
  for (std::uint32_t i = 0; i < n; ++i) {
    samples.push_back(standard_normal_quantile(uniform(11, key_of(id), Purpose::synthetic, i)));
  }
  return samples;
}

// Published: type 7 of Hyndman and Fan, by hand.
TEST(Quantile, IsTypeSeven) {
  const std::vector<double> sorted = {1.0, 2.0, 4.0, 8.0};
  EXPECT_NEAR(quantile_of_sorted(sorted, 0.9), 6.8, 1e-14);
  EXPECT_EQ(quantile_of_sorted(sorted, 0.0), 1.0);
  EXPECT_EQ(quantile_of_sorted(sorted, 1.0), 8.0);
  EXPECT_EQ(quantile_of_sorted(sorted, 0.5), 3.0);
  EXPECT_EQ(quantile_of_sorted(std::vector<double>{5.0}, 0.3), 5.0);
}

TEST(Quantile, UnsortedSamplesGiveTheSame) {
  for (const std::uint32_t n : {1U, 2U, 3U, 20U, 2000U}) {
    const std::vector<double> samples = normal_samples("unsorted", n);
    std::vector<double> sorted = samples;
    std::ranges::sort(sorted);
    for (const double p : {0.0, 0.05, 0.31, 0.5, 0.95, 1.0}) {
      std::vector<double> scratch = samples;
      EXPECT_EQ(quantile_in_place(scratch, p), quantile_of_sorted(sorted, p)) << n << " at " << p;
    }
    std::vector<double> scratch = samples;
    const Band band = band_90_in_place(scratch);
    EXPECT_EQ(band.low, quantile_of_sorted(sorted, 0.05));
    EXPECT_EQ(band.high, quantile_of_sorted(sorted, 0.95));
  }
}

// Known distribution: +/-1.645 within 4 standard errors sqrt(p (1-p)/n)/phi(z), phi(1.645) = 0.10314.
TEST(Quantile, FindsTheBandOfANormal) {
  constexpr std::uint32_t n = 20000;
  std::vector<double> samples = normal_samples("normal", n);
  const Band band = band_90_in_place(samples);
  const double tolerance = 4.0 * std::sqrt(0.05 * 0.95 / n) / 0.10314;
  EXPECT_NEAR(band.low, -normal_95, tolerance);
  EXPECT_NEAR(band.high, normal_95, tolerance);
}

// R 4.2.2, tests/published/numerics/stat_proportions.csv.
TEST(QuantileRanks, MatchTheTable) {
  const auto table = test::published_table("numerics/stat_proportions.csv");
  int compared = 0;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    if (table.text(row, "case") != "quantile ranks 95%") continue;
    const std::string& quantity = table.text(row, "quantity");
    const std::size_t samples = std::stoul(quantity.substr(2));
    const double p = std::stod(quantity.substr(quantity.find("p=") + 2));
    const RankInterval found = quantile_ranks(samples, p);
    if (quantity.find("ranks") != std::string::npos) {
      EXPECT_EQ(std::to_string(found.low) + " " + std::to_string(found.high), table.text(row, "value")) << quantity;
    } else {
      EXPECT_NEAR(found.coverage, table.number(row, "value"), 1e-9) << quantity;
    }
    ++compared;
  }
  EXPECT_EQ(compared, 12);
}

TEST(QuantileRanks, SayWhenThereAreTooFewSamples) {
  const RankInterval few = quantile_ranks(10, 0.95);
  EXPECT_EQ(few.high, 11U) << "ten samples give no upper bound of the 95 % point";
  EXPECT_GE(few.coverage, 0.95);
  EXPECT_EQ(quantile_ranks(10, 0.05).low, 0U);
}

TEST(Quantile, RefusesWhatIsNotASample) {
  std::vector<double> none;
  std::vector<double> bad = {1.0, required};
  EXPECT_THROW(static_cast<void>(quantile_in_place(none, 0.5)), ContractViolation);
  EXPECT_THROW(static_cast<void>(quantile_in_place(bad, 0.5)), ContractViolation);
  EXPECT_THROW(static_cast<void>(quantile_of_sorted(std::vector<double>{2.0, 1.0}, 0.5)), ContractViolation);
  EXPECT_THROW(static_cast<void>(quantile_of_sorted(std::vector<double>{2.0}, required)), ContractViolation);
}

}  // namespace
}  // namespace fw::numerics
