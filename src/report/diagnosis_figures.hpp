// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "diagnosis/diagnose.hpp"
#include "report/figure_data.hpp"

/// State and cause as data of figures, without what is held back.
namespace fw::report {

/// What happened, in the order of the tables, then the most probable causes. `causes`: how many at most.
[[nodiscard]] IntervalsData intervals_of(const diagnosis::Diagnosis& found, std::size_t causes, FigureSize size);

/// What speaks for and against a cause, findings that change its odds by a tenth or more, strongest first. Empty where
/// none does or the cause is held back.
[[nodiscard]] ForAgainstData for_against_of(const diagnosis::Explanation& why, FigureSize size);

}  // namespace fw::report
