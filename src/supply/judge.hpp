// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "base/result.hpp"
#include "base/run.hpp"
#include "supply/check.hpp"
#include "system/supply_model.hpp"

namespace fw::supply {

/// Climate words with the fuel temperatures they bring (layouts, typical): coldest start, warm, hottest return.
enum class Climate : std::uint8_t { arctic, cold, temperate, hot, tropical };
[[nodiscard]] std::string_view name(Climate climate);
[[nodiscard]] std::optional<Climate> climate_named(std::string_view text);

/// All running points a supply must survive: engine points x fuel temperature x filter loading x tank level, at 13.8 V
/// (crank 9.5 V), sea level. Half and low tank; clean filters, and on fuel of 20 C and more also filters at
/// the end of their life (a cold envelope with spent filters is a planted fault, not a running point).
[[nodiscard]] std::vector<system::RunningPoint> envelope(Climate climate);

/// Limits of the high-pressure pump's inlet: the maker's where entered, else those of the inlet class
/// (sucks -34 narrow, -41 kPa fails: one factory table; fed low 55 to 103 kPa, fed high 310 to 448 kPa: trade
/// articles), else none.
struct InletLimits {
  Limit low;
  Limit high;
};
[[nodiscard]] InletLimits inlet_limits(const system::Engine& engine);

/// A grade line worth showing: pressures over ambient at every place of the supply, at one running point.
struct GradeLine {
  system::RunningPoint point;
  std::vector<system::PlaceAt> places;
  std::vector<double> over_ambient_Pa;
};

/// A pump that stopped, and what is left of the supply.
struct DeadPump {
  std::string pump;                 ///< title
  bool engine_fed_at_idle = false;  ///< demand met without starving
  bool engine_fed_at_rated = false;
  double inlet_at_idle_Pa = 0.0;  ///< over ambient, 20 C, clean
  double inlet_at_rated_Pa = 0.0;
};

struct SheetJudgement {
  std::string name;  ///< "as found"
  std::string file;
  std::vector<Check> checks;  ///< worst first
  GradeLine line;             ///< rated power, 20 C, clean, half tank
  GradeLine worst_line;       ///< at the running point with the lowest inlet pressure
  double demand_rated_m3_per_s = 0.0;
  double burned_rated_m3_per_s = 0.0;
  std::vector<DeadPump> dead_pumps;
  std::vector<Stated> inputs;      ///< every number the model used
  std::vector<std::string> notes;  ///< "surplus of the chassis pump is not known: both were computed", ...
  std::size_t points = 0;
  std::size_t unsolved = 0;
};

/// Judges one sheet at depth nominal over the envelope. Where a pump fact is unknown every branch is computed and the
/// worst is reported with its assumption. Errors: those of SupplyModel::build and solve.
[[nodiscard]] Result<SheetJudgement> judge_sheet(const system::LineSheet& sheet,
                                                 const std::vector<system::RunningPoint>& points, const Run& run);

}  // namespace fw::supply
