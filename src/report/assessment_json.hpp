// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "assess/assess.hpp"

namespace fw::report {

/// The assessment as JSON text, schema "fuelwright.assessment/2.2": SI numbers with the unit in the key, what a person
/// typed as text in keys without suffix. Two blanks of indent, keys in a fixed order, ends in a newline.
[[nodiscard]] std::string assessment_json(const assess::Assessment& assessment);

}  // namespace fw::report
