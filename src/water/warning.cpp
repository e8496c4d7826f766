// SPDX-License-Identifier: Apache-2.0
#include "water/warning.hpp"

#include "numerics/quantile.hpp"

namespace fw::water {

namespace {

constexpr std::size_t fewest_runs = 5;
constexpr std::size_t fewest_sets = 10;
constexpr double widest_band = 0.5;

}  // namespace

Result<WarningChance> chance_of_warning_first(std::span<const std::vector<WarningRun>> sets) {
  InputCheck check;
  for (const auto& set : sets) {
    for (const WarningRun& run : set) {
      check.non_negative(run.reaction_s, "reaction_s");
      if (run.warned_s) check.non_negative(*run.warned_s, "warned_s");
      if (run.damaged_s) check.non_negative(*run.damaged_s, "damaged_s");
    }
  }
  if (check.failed()) return check.fault();
  WarningChance out;
  std::vector<double> shares;
  for (const auto& set : sets) {
    std::size_t damaging = 0;
    std::size_t warned = 0;
    for (const WarningRun& run : set) {
      if (!run.damaged_s) continue;
      ++damaging;
      if (run.warned_s && *run.warned_s + run.reaction_s < *run.damaged_s) ++warned;
    }
    out.damaging += damaging;
    if (damaging >= fewest_runs) shares.push_back(static_cast<double>(warned) / static_cast<double>(damaging));
  }
  if (shares.size() < fewest_sets) return out;
  double mean = 0.0;
  for (const double share : shares) mean += share / static_cast<double>(shares.size());
  const numerics::Band band = numerics::band_90_in_place(shares);
  out.band = Interval{.low = band.low, .high = band.high};
  if (band.high - band.low <= widest_band) out.chance = mean;
  return out;
}

}  // namespace fw::water
