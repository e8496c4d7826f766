// SPDX-License-Identifier: Apache-2.0
#include "numerics/philox.hpp"

namespace fw::numerics {

namespace {

constexpr std::uint64_t joined(std::uint32_t high, std::uint32_t low) {
  return static_cast<std::uint64_t>(high) << 32U | low;
}

constexpr std::uint32_t high_word(std::uint64_t value) { return static_cast<std::uint32_t>(value >> 32U); }
constexpr std::uint32_t low_word(std::uint64_t value) { return static_cast<std::uint32_t>(value); }

}  // namespace

PhiloxWords philox4x32(PhiloxWords counter, PhiloxKey key, PhiloxRounds rounds) {
  for (int round = 0; round < static_cast<int>(rounds); ++round) {
    if (round > 0) {
      key[0] += 0x9E3779B9U;
      key[1] += 0xBB67AE85U;
    }
    const std::uint64_t first = std::uint64_t{0xD2511F53U} * counter[0];
    const std::uint64_t second = std::uint64_t{0xCD9E8D57U} * counter[2];
    counter = {high_word(second) ^ counter[1] ^ key[0], low_word(second), high_word(first) ^ counter[3] ^ key[1],
               low_word(first)};
  }
  return counter;
}

double open_unit(std::uint32_t word) { return (static_cast<double>(word) + 0.5) * 0x1p-32; }

double half_open_unit(std::uint32_t high, std::uint32_t low) {
  return static_cast<double>(joined(high, low) >> 11U) * 0x1p-53;
}

double open_unit(std::uint32_t high, std::uint32_t low) {
  return (static_cast<double>(joined(high, low) >> 12U) + 0.5) * 0x1p-52;
}

}  // namespace fw::numerics
