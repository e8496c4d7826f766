// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "app/use_cases.hpp"

/// Single questions about a supply; the same room functions as the judge's.
namespace fw::app {

/// A fault as typed: "plugged-filter:engine-filter", "low-voltage", "dead-pump:assist"; several joined by "+" are
/// planted together. Empty list: every single fault.
struct BookQuestion {
  std::string sheet;  ///< path
  std::vector<std::string> faults;
};
/// Readings by fault, as text. Errors: those of the reader and of supply::gauge_book; a fault that is no fault.
[[nodiscard]] Result<std::string> gauge_book_text(const BookQuestion& question, const Request& request, const Run& run);
/// What each fault does, as text.
[[nodiscard]] Result<std::string> faults_text(const BookQuestion& question, const Request& request, const Run& run);

/// Each sheet of a case against the one before, as text. Errors: those of read_case; invalid_input for one sheet only.
[[nodiscard]] Result<std::string> comparison_text(const std::string& folder, const Request& request, const Run& run);

/// Power ceiling of a sheet and, where `line` is not empty, sizes of that line, as text.
[[nodiscard]] Result<std::string> sizes_text(const std::string& sheet, const std::string& line, supply::Climate climate,
                                             const Request& request, const Run& run);

}  // namespace fw::app
