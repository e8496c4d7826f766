// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "report/json_parts.hpp"
#include "report/supply_answers.hpp"
#include "supply/envelope.hpp"

/// The answers of supply_answers.hpp for other programs: SI numbers with the unit in the key, schemas under schema/.
namespace fw::report {

/// What a gauge book does not know of itself.
struct BookSource {
  std::string file;  ///< of the sheet, as asked for
  std::uint64_t seed = 1;
};
/// Schema fuelwright.gauge_book/1.1.
[[nodiscard]] std::string gauge_book_json(const supply::GaugeBook& book, const BookSource& source);
/// Schema fuelwright.faults/1.1.
[[nodiscard]] std::string faults_json(const supply::GaugeBook& book, const BookSource& source);

struct ComparisonSource {
  std::string case_id;
  supply::Climate climate = supply::Climate::temperate;
  std::size_t samples = 0;
  std::uint64_t seed = 1;
};
/// Schema fuelwright.comparison/1.0.
[[nodiscard]] std::string comparison_json(const std::vector<assess::Comparison>& comparisons,
                                          const ComparisonSource& source);
/// The same as part of another document.
[[nodiscard]] Json comparisons_part(const std::vector<assess::Comparison>& comparisons);

struct SizesSource {
  std::string file;
  supply::Climate climate = supply::Climate::temperate;
};
/// Schema fuelwright.sizes/2.0.
[[nodiscard]] std::string sizes_json(const Sizes& sizes, const SizesSource& source);

}  // namespace fw::report
