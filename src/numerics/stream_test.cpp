// SPDX-License-Identifier: Apache-2.0
#include "numerics/stream.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "base/contract.hpp"
#include "numerics/draw.hpp"

namespace fw::numerics {
namespace {

constexpr std::uint64_t seed = 20260504;

std::vector<double> uniforms(std::string_view id, std::uint32_t count, std::uint64_t with_seed = seed) {
  std::vector<double> drawn;
  for (std::uint32_t i = 0; i < count; ++i) drawn.push_back(uniform(with_seed, key_of(id), Purpose::input, i));
  return drawn;
}

double mean_of(const std::vector<double>& x) {
  double sum = 0.0;
  for (const double value : x) sum += value;
  return sum / static_cast<double>(x.size());
}

// Correlation of two uniform samples with the known moments 1/2 and 1/12; standard error 1/sqrt(n).
double correlation(const std::vector<double>& x, const std::vector<double>& y) {
  double sum = 0.0;
  for (std::size_t i = 0; i < x.size(); ++i) sum += (x[i] - 0.5) * (y[i] - 0.5);
  return 12.0 * sum / static_cast<double>(x.size());
}

// The layout is part of what a seed in a case file means: counter = (sample, purpose, hash low, hash high).
TEST(Stream, KeepsItsLayout) {
  const std::uint64_t hash = fnv1a_64("hose-2.length");
  const PhiloxWords expected = philox4x32({17, static_cast<std::uint32_t>(Purpose::input),
                                           static_cast<std::uint32_t>(hash), static_cast<std::uint32_t>(hash >> 32U)},
                                          {0x89abcdefU, 0x01234567U});
  EXPECT_EQ(words(0x0123456789abcdefULL, key_of("hose-2.length"), Purpose::input, 17), expected);
  EXPECT_EQ(uniform(0x0123456789abcdefULL, key_of("hose-2.length"), Purpose::input, 17),
            open_unit(expected[0], expected[1]));
}

// Published: standard error of the mean 1/sqrt(12 n) and of the variance of a uniform sqrt(1/180 n).
TEST(Stream, HasTheMomentsOfAUniform) {
  constexpr std::uint32_t n = 20000;
  const std::vector<double> u = uniforms("hose-2.length", n);
  double squares = 0.0;
  for (const double value : u) squares += (value - 0.5) * (value - 0.5);
  EXPECT_NEAR(mean_of(u), 0.5, 4.0 / std::sqrt(12.0 * n));
  EXPECT_NEAR(squares / n, 1.0 / 12.0, 4.0 / std::sqrt(180.0 * n));
}

// Kolmogorov-Smirnov: sqrt(n) D exceeds 1.628 in 1 of 100 (Kolmogorov 1933; table of Smirnov 1948).
TEST(Stream, IsUniformByKolmogorovAndSmirnov) {
  for (const char* id : {"tank.level", "hose-1.bore", "hose-2.bore", "filter.drop"}) {
    std::vector<double> u = uniforms(id, 10000);
    std::ranges::sort(u);
    const auto n = static_cast<double>(u.size());
    double distance = 0.0;
    for (std::size_t i = 0; i < u.size(); ++i) {
      const auto rank = static_cast<double>(i);
      distance = std::max({distance, (rank + 1.0) / n - u[i], u[i] - rank / n});
    }
    EXPECT_LT(std::sqrt(n) * distance, 1.628) << id;
  }
}

TEST(Stream, SeedsPurposesAndSamplesDiffer) {
  const auto first = uniforms("hose-1.bore", 4000, 1);
  const auto second = uniforms("hose-1.bore", 4000, 2);
  EXPECT_NE(first, second);
  EXPECT_LT(std::abs(correlation(first, second)), 4.0 / std::sqrt(4000.0));
  std::vector<double> shifted(first.begin() + 1, first.end());
  EXPECT_LT(std::abs(correlation(std::vector<double>(first.begin(), first.end() - 1), shifted)),
            4.0 / std::sqrt(3999.0));
  const InputKey key = key_of("hose-1.bore");
  EXPECT_NE(uniform(1, key, Purpose::input, 0), uniform(1, key, Purpose::synthetic, 0));
  EXPECT_NE(uniform(1, key, Purpose::input, 0), uniform(1ULL << 32U, key, Purpose::input, 0)) << "the upper seed word";
}

// Ids that differ in one character are as independent as any: 435 pairs, none beyond 4 standard errors, and the mean
// square of the standardised correlations is 1 within 4 of its standard errors sqrt(2/435).
TEST(Stream, NeighbouringIdsAreIndependent) {
  constexpr std::uint32_t n = 4000;
  std::vector<std::vector<double>> drawn;
  for (int i = 0; i < 30; ++i) drawn.push_back(uniforms("hose-" + std::to_string(i) + ".length", n));
  double squares = 0.0;
  int pairs = 0;
  for (std::size_t i = 0; i < drawn.size(); ++i) {
    for (std::size_t j = i + 1; j < drawn.size(); ++j) {
      const double z = correlation(drawn[i], drawn[j]) * std::sqrt(static_cast<double>(n));
      EXPECT_LT(std::abs(z), 4.0) << i << " and " << j;
      squares += z * z;
      ++pairs;
    }
  }
  EXPECT_EQ(pairs, 435);
  EXPECT_NEAR(squares / pairs, 1.0, 4.0 * std::sqrt(2.0 / pairs));
}

Stated lognormal(double value, const std::string& id) {
  Stated stated = exactly(value, id);
  stated.spread = {.kind = SpreadKind::lognormal, .factor = 1.5};
  return stated;
}

std::map<std::string, double> drawn_sheet(const std::vector<Stated>& sheet, std::uint32_t sample) {
  std::map<std::string, double> values;
  for (const Stated& stated : sheet) values[stated.id] = draw(stated, seed, sample);
  return values;
}

// An inserted part changes no other draw, wherever it is inserted.
TEST(Draw, InsertingAPartShiftsNothing) {
  std::vector<Stated> sheet = {lognormal(0.01, "hose-1.bore"), lognormal(3.0, "hose-1.length"),
                               lognormal(5e3, "filter.drop")};
  for (std::size_t at = 0; at <= sheet.size(); ++at) {
    std::vector<Stated> longer = sheet;
    longer.insert(longer.begin() + static_cast<std::ptrdiff_t>(at), lognormal(0.5, "added.length"));
    for (const std::uint32_t sample : {0U, 1U, 1999U}) {
      auto with = drawn_sheet(longer, sample);
      EXPECT_EQ(with.erase("added.length"), 1U);
      EXPECT_EQ(with, drawn_sheet(sheet, sample));
    }
  }
}

// The mean of ln x is ln of the median and its deviation ln(factor)/1.645, within 4 standard errors.
TEST(Draw, FollowsTheSpread) {
  const Stated stated = lognormal(5e3, "filter.drop");
  constexpr std::uint32_t n = 10000;
  std::vector<double> logs;
  for (std::uint32_t i = 0; i < n; ++i) logs.push_back(std::log(draw(stated, seed, i) / 5e3));
  const double sd = std::log(1.5) / 1.6448536269514722;
  EXPECT_NEAR(mean_of(logs), 0.0, 4.0 * sd / std::sqrt(n));
  double squares = 0.0;
  for (const double value : logs) squares += value * value;
  EXPECT_NEAR(squares / n / (sd * sd), 1.0, 4.0 * std::sqrt(2.0 / n));
}

TEST(Draw, TakesTheInverseDistributionAtTheUniform) {
  const Stated stated = lognormal(5e3, "filter.drop");
  EXPECT_EQ(draw(stated, seed, 5), at_probability(stated, uniform(seed, key_of("filter.drop"), Purpose::input, 5)));
  EXPECT_EQ(draw(exactly(2.0), seed, 5), 2.0) << "an exact number needs no id";
  EXPECT_THROW(static_cast<void>(draw(lognormal(1.0, ""), seed, 0)), ContractViolation);
  EXPECT_THROW(static_cast<void>(draw(Stated{}, seed, 0)), ContractViolation);
}

// Two texts with the same 64-bit FNV-1a hash, found by birthday search and passed on among programmers; the test
// proves that they are such a pair.
TEST(CheckDistinct, NamesTheTwoIds) {
  const std::vector<std::string> ids = {"hose-1.bore", "8yn0iYCKYHlIj4-BwPqk", "hose-2.bore", "GReLUrM4wMqfg9yzV3KQ"};
  ASSERT_EQ(fnv1a_64(ids[1]), fnv1a_64(ids[3]));
  const auto checked = check_distinct(ids);
  ASSERT_FALSE(checked.has_value());
  ASSERT_EQ(checked.error().size(), 1U);
  const Error& error = checked.error().front();
  EXPECT_EQ(error.code, ErrorCode::conflict);
  EXPECT_NE(error.found.find(ids[1]), std::string::npos);
  EXPECT_NE(error.found.find(ids[3]), std::string::npos);
}

TEST(CheckDistinct, SharedIdsAreOneInput) {
  EXPECT_TRUE(check_distinct(std::vector<std::string>{"law.friction", "a", "law.friction"}).has_value());
  EXPECT_TRUE(check_distinct({}).has_value());
}

}  // namespace
}  // namespace fw::numerics
