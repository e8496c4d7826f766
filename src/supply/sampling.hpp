// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "base/result.hpp"
#include "base/run.hpp"
#include "supply/criteria.hpp"
#include "supply/judge.hpp"
#include "system/engine_loop.hpp"
#include "system/supply_model.hpp"

/// Draws of a model's inputs and what they make of its criteria.
namespace fw::supply {

/// Slots of one sample, and its transition of the friction law, uniform 2000 to 4000 (assumed) for the whole sheet.
struct Draw {
  std::vector<double> slots;
  double transition_reynolds = 0.0;
};
/// The transition at a cumulative probability [-].
[[nodiscard]] double transition_at(double probability);
[[nodiscard]] Draw draw_of(const system::SupplyModel& model, std::uint64_t seed, std::uint32_t sample);

/// Fewest draws that are solved at every running point to find those that govern.
inline constexpr std::size_t pilot_samples = 32;

/// Worst values of every criterion by sample, and the inlet pressure at one further running point.
struct Draws {
  std::vector<std::vector<double>> worst;    ///< [criterion][sample], NaN: nothing solved
  std::vector<std::vector<std::size_t>> at;  ///< [criterion][sample] index of the point it was at
  std::vector<std::vector<bool>> unsolved;   ///< [criterion][sample] a point it counts had no solution
  std::vector<std::vector<double>> line_Pa;  ///< [place][sample] at `line_point`
  std::vector<std::vector<double>> inputs;   ///< [input][sample]
  std::vector<double> inlet_Pa;              ///< [sample] at `line_point`
  std::size_t solved_points = 0;
};

/// `governing` of every criterion: indices of points that are worst at the most likely values; widened by the pilot.
/// `loop`: nothing, or closed over `points` and then `line_point`.
[[nodiscard]] Result<Draws> sample(const system::SupplyModel& model, const std::vector<Criterion>& criteria,
                                   const std::vector<system::RunningPoint>& points,
                                   const std::vector<std::size_t>& governing, const system::RunningPoint& line_point,
                                   const Sampling& sampling, const system::EngineLoop* loop, const Run& run);

/// What the draws of one criterion say.
[[nodiscard]] Sampled summary(const Criterion& criterion, const Draws& draws, std::size_t index,
                              const system::SupplyModel& model);

}  // namespace fw::supply
