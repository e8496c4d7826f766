// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/stated.hpp"
#include "system/running_point.hpp"

namespace fw::supply {

/// Outcome of a check; words of the design. Order: worst first.
enum class Outcome : std::uint8_t { fails, not_known, narrow, holds };
[[nodiscard]] std::string_view name(Outcome outcome);

/// Whose limit it is. Only a maker's limit can speak of fault.
enum class LimitOrigin : std::uint8_t { maker, practice, assumed, none };
/// "maker's limit", "against common practice; maker's limit not entered", "assumed limit".
[[nodiscard]] std::string_view words(LimitOrigin origin);

struct Limit {
  double fails_Pa = required;       ///< over ambient; NaN: no limit known
  std::optional<double> narrow_Pa;  ///< beyond it the check is narrow
  LimitOrigin origin = LimitOrigin::none;
  std::string source;  ///< "supply pressures of light-duty systems, trade articles"
};

/// One criterion over the whole envelope, at its worst point.
struct Check {
  std::string id;     ///< "inlet-low"
  std::string title;  ///< "Pump inlet pressure, low side"
  Outcome outcome = Outcome::not_known;
  std::optional<double> value_Pa;  ///< worst value, over ambient
  Limit limit;
  std::optional<double> margin_Pa;  ///< distance to the limit, positive inside
  std::string place;                ///< title of the place
  std::string place_part;           ///< id of the part before the place, "engine" at the inlet
  std::optional<system::RunningPoint> point;
  std::string sentence;  ///< one sentence for people, SI left to the printer: no numbers in it
  std::string branch;    ///< the assumption about an unknown pump fact it holds under
};

}  // namespace fw::supply
