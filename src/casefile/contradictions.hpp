// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "base/result.hpp"
#include "system/line_sheet.hpp"

namespace fw::casefile {

/// Numbers of a sheet that are each sound and cannot be true together, one error each at the line where the second one
/// was typed: a pickup over the top of its tank, a filter whose terminal drop is below its clean one, an idle above the
/// rated speed, an engine without power, one test port at two places. A number that was not typed contradicts nothing.
/// Check: contradictions_test.cpp.
[[nodiscard]] std::vector<Error> contradictions(const system::LineSheet& sheet);

}  // namespace fw::casefile
