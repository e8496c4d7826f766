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

struct SupplyAnswer {
  std::string text;    ///< for a terminal
  std::string json;    ///< schema named at each function
  bool fails = false;  ///< a check fails; always false where no check is asked
};

/// Readings by fault, schema fuelwright.gauge_book/1.0. Errors: those of the reader and of supply::gauge_book; a fault
/// that is no fault.
[[nodiscard]] Result<SupplyAnswer> gauge_book_answer(const BookQuestion& question, const Request& request,
                                                     const Run& run);
/// What each fault does, schema fuelwright.faults/1.0. Errors: as above.
[[nodiscard]] Result<SupplyAnswer> faults_answer(const BookQuestion& question, const Request& request, const Run& run);

/// Each sheet of a case against the one before, schema fuelwright.comparison/1.0; fails if a check of any sheet does.
/// Errors: those of read_case; invalid_input for one sheet only.
[[nodiscard]] Result<SupplyAnswer> comparison_answer(const std::string& folder, const Request& request, const Run& run);

struct SizeQuestion {
  std::string sheet;               ///< path
  std::vector<std::string> parts;  ///< ids of lines, electric pumps or filters; none: only the power ceiling
  bool all = false;                ///< every part that has sizes, instead
  supply::Climate climate = supply::Climate::temperate;
};
/// Power ceiling of a sheet and parts of it in every size of the catalog, best first, schema fuelwright.sizes/2.0;
/// fails if the supply does not carry the rated power, or no size of a part asked for makes it.
/// Errors: those of the reader and of supply::size_part.
[[nodiscard]] Result<SupplyAnswer> sizes_answer(const SizeQuestion& question, const Request& request, const Run& run);

/// A supply judged from what a customer can tell who does not know the layout: over every layout of the catalog that
/// fits, schema fuelwright.layouts/1.0; fails if some check fails whatever the layout. Errors: those of
/// assess::judge_layouts; invalid_input for a paper, which one layout has and a dozen have not.
[[nodiscard]] Result<SupplyAnswer> layouts_answer(const casefile::SevenFacts& facts, const Request& request,
                                                  const Run& run);

}  // namespace fw::app
