// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/required.hpp"
#include "base/stated.hpp"
#include "numerics/draw.hpp"
#include "system/running_point.hpp"
#include "units/dimension.hpp"

namespace fw::supply {

/// Outcome of a check; words of the design. Order: worst first.
enum class Outcome : std::uint8_t { fails, not_known, narrow, holds };
[[nodiscard]] std::string_view name(Outcome outcome);

/// Whose limit it is. Only a maker's limit can speak of fault.
enum class LimitOrigin : std::uint8_t { maker, practice, assumed, none };
/// "maker's limit", "against common practice; maker's limit not entered", "assumed limit".
[[nodiscard]] std::string_view words(LimitOrigin origin);

/// Bounds in the SI unit of the check's dimension.
struct Limit {
  double fails = required;       ///< NaN: none
  std::optional<double> narrow;  ///< beyond it the check is narrow
  LimitOrigin origin = LimitOrigin::none;
  std::string source;  ///< "supply pressures of light-duty systems, trade articles"
};

/// An input whose doubt the answer hangs on, and what measuring it would do.
struct Hinge {
  std::string input;                 ///< id of the stated number
  double share = required;           ///< of the value's variance that it alone explains [-]
  double direction = required;       ///< > 0: the value rises with it
  double width_if_known = required;  ///< of the 90 % band, were it known; unit of the check
};

/// What sampling adds to a check.
struct Sampled {
  std::size_t samples = 0;   ///< solved
  std::size_t unsolved = 0;  ///< samples in which a governing running point had no solution
  std::size_t failing = 0;   ///< samples beyond the limit
  numerics::Band band;       ///< 5 % and 95 % of the worst value
  double median = required;
  double chance_at_most = required;  ///< 95 % sure: the chance of failing is lower [-]
  bool coarse = false;               ///< between 1 and 19 failing draws: the share is a rough one
  std::vector<Hinge> hinges;         ///< at most three, the strongest first

  [[nodiscard]] double chance() const {
    return samples == 0 ? 0.0 : static_cast<double>(failing) / static_cast<double>(samples);
  }
};

/// What one assumption about unknown pump facts makes of a check.
struct WayOutcome {
  std::string way;
  Outcome outcome = Outcome::not_known;
  std::optional<double> value;  ///< worst value under it
};

/// One criterion over the whole envelope, at its worst point.
struct Check {
  std::string id;     ///< "inlet-low"
  std::string title;  ///< "Pump inlet pressure, low side"
  Outcome outcome = Outcome::not_known;
  units::Dimension dimension = units::Dimension::gauge_pressure;  ///< of value, limit and margin
  std::optional<double> value;  ///< worst value, SI; not given: judged by what stands in the sheet
  Limit limit;
  bool low = false;                ///< the value must not fall below the limit; else it must not exceed it
  std::optional<double> margin;    ///< distance to the limit, positive inside
  std::optional<double> bound;     ///< the value under the least kind assumption, where one decides (gas)
  std::optional<double> proposed;  ///< what is proposed instead (set point of an alarm), where one is
  std::string place;               ///< title of the place
  std::string place_part;          ///< id of the part before the place, "engine" at the inlet
  std::optional<system::RunningPoint> point;
  std::string sentence;          ///< one sentence for people, SI left to the printer: no numbers in it
  std::string branch;            ///< the assumption about an unknown pump fact it holds under
  std::vector<WayOutcome> ways;  ///< every assumption, worst outcome first, where their outcomes differ
  std::optional<Sampled> sampled;
};

}  // namespace fw::supply
