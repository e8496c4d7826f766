// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstdint>

namespace fw::numerics {

using PhiloxWords = std::array<std::uint32_t, 4>;
using PhiloxKey = std::array<std::uint32_t, 2>;

/// Ten is the safe standard; seven is the fewest that pass the test batteries named in the paper.
enum class PhiloxRounds : std::uint8_t { seven = 7, ten = 10 };

/// Philox4x32: four random words from a counter and a key, without any state.
///
///   (hi0, lo0) = 0xD2511F53 c0     (hi1, lo1) = 0xCD9E8D57 c2
///   c <- (hi1 ^ c1 ^ k0, lo1, hi0 ^ c3 ^ k1, lo0)
///   before every round but the first: k0 += 0x9E3779B9, k1 += 0xBB67AE85
///
/// Source: J. K. Salmon, M. A. Moraes, R. O. Dror, D. E. Shaw, Parallel random numbers: as easy as 1, 2, 3, SC'11.
/// Check: the known answers of Random123, tests/published/numerics/stat_rng_kat.csv; counter 0 and key 0 with ten
/// rounds give 6627e8d5 e169c58d bc57ac4c 9b00dbd8. Theory: docs/theory/numerics.md, Random numbers.
[[nodiscard]] PhiloxWords philox4x32(PhiloxWords counter, PhiloxKey key, PhiloxRounds rounds = PhiloxRounds::ten);

/// Uniform in the open interval (0, 1) from one word: (w + 0.5) / 2^32. Never 0, never 1, symmetric about 0.5.
[[nodiscard]] double open_unit(std::uint32_t word);

/// Uniform in [0, 1) with 53 bits from two words: floor((w0 2^32 + w1) / 2^11) / 2^53.
[[nodiscard]] double half_open_unit(std::uint32_t high, std::uint32_t low);

/// Uniform in the open interval (0, 1) from two words: (k + 0.5) / 2^52 with k their upper 52 bits.
///
/// All 53 bits of the significand are used: the values are the odd multiples of 2^-53, so each is exact, neither 0
/// nor 1 nor 0.5 occurs, and 1 - u is again such a value. (k + 0.5) / 2^53 would round to 1.
[[nodiscard]] double open_unit(std::uint32_t high, std::uint32_t low);

}  // namespace fw::numerics
