// SPDX-License-Identifier: Apache-2.0
#include "base/chance_words.hpp"

#include <cmath>

#include <fmt/format.h>

#include "base/contract.hpp"

namespace fw {

std::string hundredths(double chance) {
  FW_EXPECTS(std::isfinite(chance));
  if (chance < 0.01) return "under 1";
  if (chance > 0.99) return "over 99";
  return fmt::format("{:.0f}", 100.0 * chance);
}

std::string in_100(double chance) { return hundredths(chance) + " in 100"; }

std::string in_100(double low, double high) {
  const std::string from = hundredths(low);
  const std::string to = hundredths(high);
  return (from == to ? from : from + " to " + to) + " in 100";
}

}  // namespace fw
