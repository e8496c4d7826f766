// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>

#include "base/result.hpp"
#include "base/stated.hpp"
#include "numerics/philox.hpp"

/// Random numbers that are addressed instead of drawn in order: the number at (seed, input id, purpose, sample) is
/// always the same, so that neither the number of threads, nor an inserted part, nor a further input changes any
/// other draw, and compared sheets are paired.
///
/// Layout: Philox key = (seed low, seed high); counter = (sample, purpose, id hash low, id hash high).
/// The id hash is 64-bit FNV-1a (draw.hpp). Theory: docs/theory/numerics.md, Random numbers.
namespace fw::numerics {

/// Hash of a stable input id.
enum class InputKey : std::uint64_t {};

/// What a draw is for. Different purposes never share a draw, whatever the ids are.
enum class Purpose : std::uint32_t {
  input = 0,      ///< the value of a stated input
  scramble = 1,   ///< shift of a set of Sobol points
  resample = 2,   ///< choice among existing samples
  synthetic = 3,  ///< cases made by the program to test itself
};

[[nodiscard]] InputKey key_of(std::string_view id);

/// The four words at an address, for draws that need more than one number.
[[nodiscard]] PhiloxWords words(std::uint64_t seed, InputKey key, Purpose purpose, std::uint32_t sample);

/// Uniform in the open interval (0, 1), an odd multiple of 2^-53 [-].
[[nodiscard]] double uniform(std::uint64_t seed, InputKey key, Purpose purpose, std::uint32_t sample);

/// Value of a stated input in a sample, SI: its inverse distribution at uniform(seed, id, Purpose::input, sample).
/// An exact number is its value, without a draw. Precondition: given; an id unless exact.
[[nodiscard]] double draw(const Stated& stated, std::uint64_t seed, std::uint32_t sample);

/// Proves that the ids of one case have hashes of their own. The same id may stand there several times: that is one
/// input with one draw. Errors: conflict, one for each pair of different ids with equal hash, naming both.
[[nodiscard]] Result<void> check_distinct(std::span<const std::string> ids);

}  // namespace fw::numerics
