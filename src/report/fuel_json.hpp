// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "fuel/fuel.hpp"

namespace fw::report {

/// Properties of a fuel at one temperature as JSON text, schema "fuelwright.fuel/1.0"; SI with the unit in the key.
[[nodiscard]] std::string fuel_json(const fuel::Fuel& fuel, const fuel::Liquid& liquid, double temperature_K,
                                    fuel::Cold cold);

}  // namespace fw::report
