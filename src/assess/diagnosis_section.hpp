// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "assess/assess.hpp"
#include "diagnosis/diagnose.hpp"
#include "diagnosis/next_look.hpp"

namespace fw::assess {

/// Draws of the cause tables behind the bands: 100, and 400 on paper.
[[nodiscard]] std::size_t table_draws(Depth depth);

/// The findings of a case with its readings weighed against the sheet as found. Precondition: the case has findings.
/// Errors: those of diagnosis::weigh_readings; invalid_input for readings in a case without a sheet as found.
[[nodiscard]] Result<diagnosis::Facts> facts_of_case(const casefile::Case& job, const catalog::Catalog& catalog,
                                                     std::uint64_t seed, const Run& run);

/// What must not be done as things stand, each in one sentence; from the state and from what was sampled.
/// Source: head of the evidence catalogue, common practice, no source.
[[nodiscard]] std::vector<std::string> not_to_do(const diagnosis::Diagnosis& diagnosis, const diagnosis::Facts& facts,
                                                 const diagnosis::Tables& tables);

/// State and cause in sentences fit for an owner and an adjuster, never stronger than the numbers.
[[nodiscard]] DiagnosisSentences sentences(const diagnosis::Diagnosis& diagnosis, const diagnosis::Tables& tables);

}  // namespace fw::assess
