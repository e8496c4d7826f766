// SPDX-License-Identifier: Apache-2.0
#include "numerics/sobol_points.hpp"

#include <cmath>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "base/contract.hpp"
#include "published_table.hpp"

namespace fw::numerics {
namespace {

// Points of an independent program, exact: 17 first points, 1000 and 4095, in 40 dimensions.
TEST(SobolPoints, MatchTheTable) {
  const auto table = test::published_table("numerics/stat_sobol_points.csv");
  ASSERT_EQ(table.rows.size(), 19U);
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const auto index = static_cast<std::uint32_t>(table.number(row, "index_graycode_order"));
    for (std::size_t dimension = 0; dimension < sobol_dimensions; ++dimension) {
      EXPECT_EQ(sobol_word(index, dimension) * 0x1p-32, table.number(row, "x" + std::to_string(dimension + 1)))
          << index << ", " << dimension;
    }
  }
}

// Published: first points printed beside the direction numbers by Joe and Kuo.
TEST(SobolPoints, MatchThePrintedFirstPoints) {
  const double printed[6][3] = {{0, 0, 0},       {.5, .5, .5},       {.75, .25, .25},
                                {.25, .75, .75}, {.375, .375, .625}, {.875, .875, .125}};
  for (std::uint32_t i = 0; i < 6; ++i) {
    for (std::size_t d = 0; d < 3; ++d) EXPECT_EQ(sobol_word(i, d) * 0x1p-32, printed[i][d]);
  }
}

// The net property, with and without a shift: each of 2^k slices of each axis holds one of 2^k aligned points.
TEST(SobolPoints, FillEachAxisEvenly) {
  const SobolShift shift = sobol_shift(3, 1);
  for (const std::uint32_t bits : {4U, 10U}) {
    const std::uint32_t count = 1U << bits;
    for (std::size_t dimension = 0; dimension < sobol_dimensions; ++dimension) {
      std::vector<int> plain(count);
      std::vector<int> shifted(count);
      for (std::uint32_t i = count; i < 2 * count; ++i) {
        ++plain[sobol_word(i, dimension) >> (32U - bits)];
        ++shifted[static_cast<std::size_t>(sobol_unit(i, dimension, shift) * count)];
      }
      EXPECT_EQ(plain, std::vector<int>(count, 1)) << dimension;
      EXPECT_EQ(shifted, std::vector<int>(count, 1)) << dimension;
    }
  }
}

double product_integral(std::uint32_t points, const SobolShift& shift) {
  double sum = 0.0;
  for (std::uint32_t i = 0; i < points; ++i) {
    double product = 1.0;
    for (std::size_t j = 0; j < 5; ++j) product *= 1.0 + (sobol_unit(i, j, shift) - 0.5) / static_cast<double>(j + 1);
    sum += product;
  }
  return sum / points;
}

// Deterministic values of an independent program for the integral of prod (1 + (x_j - 1/2)/j), exact value 1.
TEST(SobolPoints, IntegrateAsAnIndependentProgramDoes) {
  const auto table = test::published_table("numerics/stat_sobol_indices.csv");
  int compared = 0;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const std::string& name = table.text(row, "case");
    if (!name.starts_with("integral to ")) continue;
    const auto points = static_cast<std::uint32_t>(std::stoul(name.substr(12)) + 1);
    EXPECT_NEAR(product_integral(points, {}), table.number(row, "value"), 1e-12) << name;
    ++compared;
  }
  EXPECT_EQ(compared, 4);
}

// Rate: a Monte Carlo error falls by 2 from 256 to 1024 points; a shifted Sobol rule falls by about 4. The shifts agree
// with the exact value within 4 standard errors, and two seeds differ.
TEST(SobolPoints, ShiftsAreUnbiasedAndConvergeFasterThanMonteCarlo) {
  constexpr std::uint32_t shifts = 64;
  const auto error = [](std::uint32_t points, double& mean) {
    double squares = 0.0;
    mean = 0.0;
    for (std::uint32_t r = 0; r < shifts; ++r) {
      const double off = product_integral(points, sobol_shift(5, r)) - 1.0;
      mean += off / shifts;
      squares += off * off / shifts;
    }
    return std::sqrt(squares);
  };
  double mean = 0.0;
  const double coarse = error(256, mean);
  EXPECT_NEAR(mean, 0.0, 4.0 * coarse / std::sqrt(shifts));
  const double fine = error(1024, mean);
  EXPECT_NEAR(mean, 0.0, 4.0 * fine / std::sqrt(shifts));
  EXPECT_GT(coarse / fine, 3.0);
  // Standard deviation of the integrand: prod (1 + 1/(12 j^2)) - 1 = 0.1276, so 0.357 / sqrt(1024) by Monte Carlo.
  EXPECT_LT(fine, 0.25 * 0.357 / 32.0);
  EXPECT_NE(sobol_shift(5, 0), sobol_shift(6, 0));
  EXPECT_NE(sobol_shift(5, 0), sobol_shift(5, 1));
}

TEST(SobolPoints, HaveFortyDimensions) {
  EXPECT_THROW(static_cast<void>(sobol_word(1, sobol_dimensions)), ContractViolation);
}

}  // namespace
}  // namespace fw::numerics
