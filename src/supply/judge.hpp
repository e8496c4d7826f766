// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "base/result.hpp"
#include "base/run.hpp"
#include "supply/arrangement.hpp"
#include "supply/check.hpp"
#include "supply/envelope.hpp"
#include "supply/limits.hpp"
#include "system/supply_model.hpp"

namespace fw::supply {

/// A grade line worth showing: pressures over ambient at every place of the supply, at one running point.
struct GradeLine {
  system::RunningPoint point;
  std::vector<system::PlaceAt> places;
  std::vector<double> over_ambient_Pa;
  std::vector<numerics::Band> band_Pa;  ///< 5 % and 95 % by place, where sampled
};

/// A pump that stopped, and what is left of the supply. Where it is not stated what it does at rest there is one for
/// each way; of the ways in which other pumps may work, the one that feeds the engine at the fewest points.
struct DeadPump {
  std::string pump;                 ///< title
  std::string assumption;           ///< "blocking at rest", "passing at rest"; "" where it is stated
  bool engine_fed_at_idle = false;  ///< demand met without starving: 20 C, clean, half tank
  bool engine_fed_at_rated = false;
  double inlet_at_idle_Pa = 0.0;  ///< over ambient, same points
  double inlet_at_rated_Pa = 0.0;
  std::optional<double> inlet_limit_Pa;  ///< lowest the pump's inlet may see, over ambient; none: not known
  std::size_t points = 0;                ///< of the envelope, those on fuel that is liquid
  std::size_t fed_points = 0;            ///< of those, demand met without starving
  std::size_t wax_points = 0;  ///< of the envelope, at or below the cloud point or where none is stated: not known
  std::string not_fed_at;      ///< describe() of the first of the others, in the order of the envelope
  [[nodiscard]] std::string named() const { return assumption.empty() ? pump : pump + ", " + assumption; }
  /// Fuel arrives, but under less pressure than the pump may see: it may stall, not start or wear.
  [[nodiscard]] bool low_at_rated() const { return inlet_limit_Pa && inlet_at_rated_Pa < *inlet_limit_Pa; }
  [[nodiscard]] bool low_at_idle() const { return inlet_limit_Pa && inlet_at_idle_Pa < *inlet_limit_Pa; }
};
/// Where the engine is fed, in words that follow "fed": "at all 40 running points", "at 31 of 40 running points, not at
/// rated power, -10 C"; with "on fuel below its cloud point not known" where that belongs there.
[[nodiscard]] std::string fed_where(const DeadPump& dead);

/// How many draws, from which seed.
struct Sampling {
  std::size_t samples = 0;  ///< 0: most likely values only
  std::uint64_t seed = 1;
  bool all_points = false;  ///< sample every running point, not only those that can govern a check
  bool long_run = true;     ///< how warm the fuel gets (long_run.hpp) is judged too
};

/// Worst values of one computed check.
struct CheckValues {
  std::string id;
  std::optional<double> value;  ///< at the most likely values; none: not solved
  std::vector<double> worst;    ///< by sample; NaN: unsolved; empty where nothing was drawn
};

/// What one assumption about unknown pump facts gives: kept so that sheets can be compared in pairs.
struct BranchValues {
  std::string branch;                       ///< the assumption; empty where nothing is unknown
  double line_inlet_Pa = 0.0;               ///< inlet over ambient of `line`
  std::vector<double> line_inlet_draws_Pa;  ///< the same by sample
  std::vector<CheckValues> checks;
};

/// How well supply and high-pressure side agree where they are judged together (system::close_engine_loop).
struct Coupled {
  int passes = 0;
  double residual_K = 0.0;  ///< largest change of an inlet or return temperature in the last pass
  double hottest_return_K = 0.0;
  double hottest_inlet_K = 0.0;
};

struct SheetJudgement {
  std::string name;  ///< "as found"
  std::string file;
  std::vector<Check> checks;  ///< worst first
  std::vector<Stage> stages;  ///< of cleaning, in the order of the flow
  GradeLine line;             ///< rated power, 20 C, clean, half tank
  GradeLine worst_line;       ///< at the running point with the lowest inlet pressure
  double demand_rated_m3_per_s = 0.0;
  double burned_rated_m3_per_s = 0.0;
  double tip_in_sag_Pa = 0.0;  ///< of the inlet at that point, by the inertia of the fuel (system::PointState)
  std::vector<DeadPump> dead_pumps;
  std::vector<Stated> inputs;      ///< every number the model used
  std::string fuel;                ///< title, with its report if there is one
  std::vector<std::string> notes;  ///< the fuel, what is extrapolated, "both ways were computed", ...
  std::size_t points = 0;
  std::size_t unsolved = 0;
  std::size_t samples = 0;             ///< draws behind every sampled check, 0: most likely values only
  std::size_t solved_draws = 0;        ///< running points solved for them
  std::optional<Coupled> coupled;      ///< with the high-pressure side; none: the engine draws what it asks for
  std::vector<BranchValues> branches;  ///< the one of `line` first
};

/// Judges one sheet over the envelope: most likely values at every running point and, where asked, draws of all stated
/// numbers at the points that can govern a check (those that are worst for it at the most likely values or in any of
/// the first 32 draws, which are solved at every point). The same seed and input id give the same draw in every sheet.
/// Where a pump fact is unknown every branch is computed and the worst is reported with its assumption; where the
/// outcomes of the branches differ the check names them all.
///
/// Outcome with draws: beyond the limit at the most likely values fails; within it but beyond the narrow limit, or with
/// a chance of failing over 5 %, narrow; more than 1 % of draws unsolved, not known. Gas: where the full release would
/// fail and the likely one does not, not known.
/// Where the sheet states what the high-pressure pump's plungers take (RailSide::filling_stated), the engine draws by
/// RailDemand and every leg has its own fuel temperature, those of the most likely values and of the first branch in
/// all draws and branches; else it draws what it asks for, on fuel of one temperature.
/// The long run is judged in the hottest air of the envelope, hottest_air_K.
/// Errors: those of SupplyModel::build and solve; cancelled.
[[nodiscard]] Result<SheetJudgement> judge_sheet(const system::LineSheet& sheet,
                                                 const std::vector<system::RunningPoint>& points,
                                                 const Sampling& sampling, const Run& run);

}  // namespace fw::supply
