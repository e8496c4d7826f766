// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "base/required.hpp"
#include "base/result.hpp"

namespace fw::fuel {

/// Where a default value of a grade comes from.
enum class Mark : std::uint8_t {
  published,    ///< as in the cited source
  derived,      ///< calculated by a law of this room
  estimate,     ///< judged between known neighbours
  from_memory,  ///< the source could not be seen; check before it is used as a limit
};

[[nodiscard]] std::string_view name(Mark mark);

/// One default value of a grade.
struct GradeFact {
  std::string_view quantity;  ///< name of the member of Fuel, e.g. "cloud_point_K"
  double value = required;    ///< SI; NaN: not stated
  Mark mark = Mark::from_memory;
  std::string_view source;
};

/// All default values of a grade with mark and source, in the order of the members of Fuel. A blended grade (b20)
/// lists what is stated for the blend itself. Errors: not_found with the nearest id.
[[nodiscard]] Result<std::vector<GradeFact>> grade_facts(std::string_view id);

/// The error for an id that is no grade: lists all ids and names the one that is meant, by the words of the trade
/// ("kerosene", "gasoline", "B7"), else the nearest by spelling.
[[nodiscard]] Error unknown_grade(std::string_view id);

/// What was typed, in quotation marks: at most 60 characters, whatever is not printable ASCII as "?".
[[nodiscard]] std::string quoted(std::string_view typed);

}  // namespace fw::fuel
