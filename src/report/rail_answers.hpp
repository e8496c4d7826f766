// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "rail/transient.hpp"
#include "report/papers.hpp"
#include "system/rail_side.hpp"

/// Answers about the high-pressure side and the fuel's heat, as documents and as JSON. They word results; they compute
/// none. Schema of the JSON: "fuelwright.rail/1.0" (schema/rail.json).
namespace fw::report {

/// One state of wear, or another pump, at the engine's rated speed and over the engine's own line of power.
struct RailState {
  std::string title;
  rail::Ceiling ceiling{};
  std::vector<rail::CapacityPoint> line;  ///< along the operating line, same speeds for all states
};
struct RailCapacity {
  std::string sheet;
  std::vector<std::string> assumed;
  bool sized_to_engine = false;  ///< system::RailSide
  double rated_W = 0.0;
  double rated_rev_per_s = 0.0;
  double rated_Pa = 0.0;
  rail::PumpInlet inlet{};  ///< from the supply at rated power
  double inlet_K = 0.0;
  std::vector<double> line_W;     ///< power at the speeds of the line
  std::vector<RailState> states;  ///< the first is the sheet's own
  double swap_ratio = 1.0;        ///< fuel at the ceiling with 15 % more stroke over that without
  rail::Limit swap_limit = rail::Limit::none;
  double swap_inlet_ratio = 1.0;
};
[[nodiscard]] Document rail_capacity_page(const RailCapacity& answer, const PaperOptions& options);
[[nodiscard]] std::string rail_capacity_json(const RailCapacity& answer);

struct RailRun {
  std::string sheet;
  std::string profile;
  std::vector<std::string> assumed;
  bool lumped = false;
  double enable_Pa = 0.0;
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

struct HeatPoint {
  std::string title;
  system::TemperatureLoop loop;
};
struct HeatAnswer {
  std::string sheet;
  std::vector<std::string> assumed;
  double air_K = 0.0;
  std::vector<HeatPoint> points;
  heat::Day day{};
  double limit_K = 0.0;
  double cooler_W_per_K = 0.0;  ///< that keeps the pump inlet at the limit at rated power
  std::string no_cooler;        ///< why there is no such cooler; empty: there is one
};
[[nodiscard]] Document heat_page(const HeatAnswer& answer, const PaperOptions& options);
[[nodiscard]] std::string heat_json(const HeatAnswer& answer);

}  // namespace fw::report
