// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "fuel/property_sheet.hpp"

namespace fw::report {

/// A fuel's properties as JSON text, schema "fuelwright.fuel/2.0" (docs/reference/fuels.md): SI with the unit in the
/// key; every number is an object with its range ("fitted", "extrapolated", "refused" or "not known") and the reason.
[[nodiscard]] std::string fuel_json(const fuel::PropertySheet& sheet);

}  // namespace fw::report
