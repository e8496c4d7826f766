// SPDX-License-Identifier: Apache-2.0
#include "numerics/philox.hpp"

#include <charconv>
#include <cmath>
#include <string>
#include <string_view>

#include <gtest/gtest.h>

#include "published_table.hpp"

namespace fw::numerics {
namespace {

template <std::size_t n>
std::array<std::uint32_t, n> hex_words(std::string_view text) {
  std::array<std::uint32_t, n> words{};
  for (std::size_t i = 0; i < n; ++i) std::from_chars(text.data() + 9 * i, text.data() + 9 * i + 8, words[i], 16);
  return words;
}

// Published: Random123 known answers; the rows marked computed come from an independent program.
TEST(Philox, GivesTheKnownAnswers) {
  const auto table = test::published_table("numerics/stat_rng_kat.csv");
  int compared = 0;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const std::string& generator = table.text(row, "generator");
    if (!generator.starts_with("philox")) continue;
    const auto rounds = generator.starts_with("philox4x32-7") ? PhiloxRounds::seven : PhiloxRounds::ten;
    EXPECT_EQ(
        philox4x32(hex_words<4>(table.text(row, "counter_or_seed")), hex_words<2>(table.text(row, "key")), rounds),
        hex_words<4>(table.text(row, "expected")))
        << generator;
    ++compared;
  }
  EXPECT_EQ(compared, 9);
  EXPECT_EQ(philox4x32({2499, 0, 0, 0}, {20111115, 0})[3], 1955073260U) << "C++26, 10 000th output of the default seed";
}

TEST(Philox, MakesUniformsOfTheTable) {
  const auto table = test::published_table("numerics/stat_rng_kat.csv");
  int compared = 0;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    const std::string& generator = table.text(row, "generator");
    if (!generator.starts_with("u01")) continue;
    const double expected = table.number(row, "expected");
    if (generator.starts_with("u01 open")) {
      EXPECT_EQ(open_unit(0x6627e8d5U), expected);
    } else {
      EXPECT_EQ(half_open_unit(0x6627e8d5U, 0xe169c58dU), expected);
    }
    ++compared;
  }
  EXPECT_EQ(compared, 2);
}

TEST(Philox, UniformsStayInTheirInterval) {
  constexpr std::uint32_t most = 0xffffffffU;
  EXPECT_GT(open_unit(0U), 0.0);
  EXPECT_LT(open_unit(most), 1.0);
  EXPECT_EQ(half_open_unit(0, 0), 0.0);
  EXPECT_LT(half_open_unit(most, most), 1.0);
  EXPECT_EQ(open_unit(0U, 0U), 0x1p-53);
  EXPECT_EQ(open_unit(most, most), 1.0 - 0x1p-53);
  for (const std::uint32_t word : {0U, 1U, 0x6627e8d5U, 0x80000000U, most}) {
    EXPECT_EQ(1.0 - open_unit(word, word), open_unit(~word, ~word)) << "symmetric and exact";
    EXPECT_NEAR(open_unit(word, word), half_open_unit(word, word), 0x1p-52);
  }
}

// Regression: mean and variance of the 10 000 words of key (20240611, 0), counters (i, 0, 7, 0), i < 2500, computed by
// an independent program.
TEST(Philox, MatchesTheMomentsOfAnIndependentProgram) {
  double sum = 0.0;
  double squares = 0.0;
  for (std::uint32_t i = 0; i < 2500; ++i) {
    for (const std::uint32_t word : philox4x32({i, 0, 7, 0}, {20240611, 0})) {
      const double u = open_unit(word) - 0.5;
      sum += u;
      squares += u * u;
    }
  }
  const double mean = sum / 10000.0;
  EXPECT_NEAR(mean + 0.5, 0.504599855494, 1e-12);
  EXPECT_NEAR((squares - 10000.0 * mean * mean) / 9999.0, 0.0838503830909, 1e-12);
}

}  // namespace
}  // namespace fw::numerics
