// SPDX-License-Identifier: Apache-2.0
#include "numerics/draw.hpp"

#include <cmath>

#include "base/contract.hpp"
#include "numerics/normal.hpp"

namespace fw::numerics {

double at_probability(const Stated& stated, double u) {
  FW_EXPECTS(stated.given());
  FW_EXPECTS(u > 0.0 && u < 1.0);
  const Spread& spread = stated.spread;
  switch (spread.kind) {
    case SpreadKind::exact: return stated.value;
    case SpreadKind::normal: {
      const double drawn = stated.value + spread.half_width / normal_95 * standard_normal_quantile(u);
      if (stated.value > 0.0 && drawn < 0.0) return 0.0;
      if (stated.value < 0.0 && drawn > 0.0) return 0.0;
      return drawn;
    }
    case SpreadKind::lognormal:
      return stated.value * std::exp(std::log(spread.factor) / normal_95 * standard_normal_quantile(u));
    case SpreadKind::uniform: return spread.low + (spread.high - spread.low) * u;
    case SpreadKind::log_uniform: return spread.low * std::exp(std::log(spread.high / spread.low) * u);
    case SpreadKind::triangular: {
      const double width = spread.high - spread.low;
      if (!(width > 0.0)) return stated.value;
      const double at_mode = (stated.value - spread.low) / width;
      return u < at_mode ? spread.low + std::sqrt(u * width * (stated.value - spread.low))
                         : spread.high - std::sqrt((1.0 - u) * width * (spread.high - stated.value));
    }
  }
  return stated.value;
}

Band band_90(const Stated& stated) {
  return {.low = at_probability(stated, 0.05), .high = at_probability(stated, 0.95)};
}

std::uint64_t fnv1a_64(std::string_view text) {
  std::uint64_t hash = 0xcbf29ce484222325ULL;
  for (const char c : text) {
    hash ^= static_cast<std::uint8_t>(c);
    hash *= 0x100000001b3ULL;
  }
  return hash;
}

}  // namespace fw::numerics
