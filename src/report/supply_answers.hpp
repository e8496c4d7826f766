// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "assess/kept_sections.hpp"
#include "report/papers.hpp"
#include "supply/gauge_book.hpp"
#include "supply/sizing.hpp"

/// Answers to single questions about a supply, as documents. They word results; they compute none.
namespace fw::report {

/// Readings by state and engine point, one table per kind of instrument.
[[nodiscard]] Document gauge_book_page(const supply::GaugeBook& book, const PaperOptions& options);

/// What each planted fault does: engine fed or not, the reading that shows it best, and what it cannot be told from.
[[nodiscard]] Document faults_page(const supply::GaugeBook& book, const PaperOptions& options);

/// What changed from one sheet to the next, in sentences with bands.
[[nodiscard]] Document comparison_page(const std::vector<assess::Comparison>& comparisons, std::size_t samples,
                                       const PaperOptions& options);

/// Power ceiling, and parts in every size where asked.
struct Sizes {
  std::string sheet;
  supply::PowerCeiling ceiling;
  std::vector<supply::Sizing> parts;  ///< best first
};
[[nodiscard]] Document sizes_page(const Sizes& sizes, const PaperOptions& options);

}  // namespace fw::report
