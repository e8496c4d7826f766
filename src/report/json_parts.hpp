// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>

#include <nlohmann/json_fwd.hpp>

#include "system/running_point.hpp"
#include "units/dimension.hpp"

/// What the JSON writers of this room share.
namespace fw::report {

using Json = nlohmann::ordered_json;

/// A number, or null where it is not finite or not given.
[[nodiscard]] Json number_json(double value);
[[nodiscard]] Json number_json(const std::optional<double>& value);

[[nodiscard]] Json point_json(const system::RunningPoint& point);

/// The SI unit as our names write units, "m3_per_s"; "" for a pure number.
[[nodiscard]] std::string unit_in_key(units::Dimension dimension);
/// "value" and a gauge pressure -> "value_Pa"; a pure number has no suffix.
[[nodiscard]] std::string key_of(const char* what, units::Dimension dimension);

}  // namespace fw::report
