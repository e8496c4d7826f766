// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "diagnosis/diagnose.hpp"
#include "report/json_parts.hpp"
#include "units/print.hpp"

/// What the readings of a case amount to, in sentences. They word diagnosis::weigh_readings; they compute nothing.
namespace fw::report {

/// One reading, or one side, in a sentence.
struct ReadingWords {
  std::string side;                ///< "Supply side", "High-pressure side"
  std::vector<std::string> lines;  ///< the readings, then what fits, then what the answer rests on
};
/// In the order of Diagnosis::weighed.
[[nodiscard]] std::vector<ReadingWords> reading_words(const std::vector<diagnosis::Reading>& readings,
                                                      const std::vector<diagnosis::WeighedReadings>& weighed,
                                                      const diagnosis::Tables& tables, units::System system);

/// The same as values: [{side, standing, effective, readings, scores}].
[[nodiscard]] Json reading_json(const std::vector<diagnosis::Reading>& readings,
                                const std::vector<diagnosis::WeighedReadings>& weighed);

}  // namespace fw::report
