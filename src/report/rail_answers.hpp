// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "assess/rail_section.hpp"
#include "rail/transient.hpp"
#include "report/json_parts.hpp"
#include "report/papers.hpp"

/// Answers about the high-pressure side and the fuel's heat, as documents and as JSON. They word results; they compute
/// none. Schema of the JSON: "fuelwright.rail/1.0" (schema/rail.json).
namespace fw::report {

[[nodiscard]] Document rail_capacity_page(const assess::RailCapacity& answer, const PaperOptions& options);
[[nodiscard]] std::string rail_capacity_json(const assess::RailCapacity& answer);
/// The same as part of another document.
[[nodiscard]] Json rail_capacity_part(const assess::RailCapacity& answer);

struct RailRun {
  std::string sheet;
  std::string profile;
  std::vector<std::string> assumed;
  bool lumped = false;
  double enable_Pa = 0.0;
  double vapour_Pa = 0.0;  ///< absolute; where it is reached, fuel in a pipe turns to vapour
  rail::TransientRun run;
  std::vector<rail::InjectorDeviation> deviations;  ///< main injections of the second half
};
[[nodiscard]] Document rail_run_page(const RailRun& answer, const PaperOptions& options);
[[nodiscard]] std::string rail_run_json(const RailRun& answer);

struct LeakDownRow {
  std::string title;
  std::vector<double> pressure_Pa;  ///< at the times of the answer
};
struct LeakDown {
  std::string sheet;
  std::vector<std::string> assumed;
  double start_Pa = 0.0;
  std::vector<double> time_s;
  std::vector<LeakDownRow> rows;
};
[[nodiscard]] Document leak_down_page(const LeakDown& answer, const PaperOptions& options);
[[nodiscard]] std::string leak_down_json(const LeakDown& answer);

[[nodiscard]] Document heat_page(const assess::FuelHeat& answer, const PaperOptions& options);
[[nodiscard]] std::string heat_json(const assess::FuelHeat& answer);
/// The same as part of another document.
[[nodiscard]] Json heat_part(const assess::FuelHeat& answer);

}  // namespace fw::report
