// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string_view>

#include "base/stated.hpp"

namespace fw::numerics {

/// Value at cumulative probability `u` by the inverse distribution of the spread, SI.
///
/// A normal never changes sign: it is cut at 0 on the far side of the value (values are sizes and pressures; a
/// 30 % spread reaches 0 once in 5e7 draws). Precondition: stated.given(), 0 < u < 1.
[[nodiscard]] double at_probability(const Stated& stated, double u);

/// 5 % and 95 % points, SI.
struct Band {
  double low = required;
  double high = required;
  friend bool operator==(const Band&, const Band&) = default;
};
[[nodiscard]] Band band_90(const Stated& stated);

/// FNV-1a, 64 bit, of an input id. Source: Fowler, Noll, Vo; draft-eastlake-fnv (offset basis
/// 0xcbf29ce484222325, prime 0x100000001b3). Check: "" -> cbf29ce484222325, "a" -> af63dc4c8601ec8c.
[[nodiscard]] std::uint64_t fnv1a_64(std::string_view text);

}  // namespace fw::numerics
