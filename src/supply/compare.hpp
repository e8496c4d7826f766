// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "supply/judge.hpp"

namespace fw::supply {

/// What a change of the system did to one thing. "no effect found" only where the band of the difference excludes the
/// smallest effect named; without draws, or with a band that holds it, not determined.
enum class Effect : std::uint8_t { better, worse, none_found, not_determined };
[[nodiscard]] std::string_view words(Effect effect);

/// One line of a comparison. Differences are second less first, SI.
struct Difference {
  std::string id;     ///< of the check, or "inlet-at-rated", "stages", "water-sensor"
  std::string title;  ///< "Pump inlet pressure, low side"
  units::Dimension dimension = units::Dimension::gauge_pressure;
  std::optional<double> first, second;  ///< worst values, most likely, under the same assumption about pump facts
  std::optional<numerics::Band> band;   ///< of the difference, from paired draws
  double smallest = 0.0;                ///< smallest effect that counts (assumed: 5 kPa; 0.02 of a share; 0.1 m/s)
  Effect effect = Effect::not_determined;
  Outcome outcome_first = Outcome::not_known, outcome_second = Outcome::not_known;
  std::string branch;  ///< the assumption shown, where a pump fact is unknown: the one worst for the second sheet
  bool assumptions_differ = false;  ///< the effect is not the same under every assumption
  std::string sentence;             ///< no numbers
};

/// Two judged sheets side by side: pressures and vacuums under the same running points and draws, stages of cleaning
/// lost or gained, and the water sensor. Where a pump fact is unknown, the sheets are compared under the same
/// assumption, each in turn (all pairs where their unknown facts differ); what the assumptions do not agree on is not
/// determined. Preconditions: judged with the same points, samples and seed.
[[nodiscard]] std::vector<Difference> compare(const SheetJudgement& first, const SheetJudgement& second);

}  // namespace fw::supply
