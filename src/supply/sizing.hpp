// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.hpp"
#include "base/run.hpp"
#include "supply/judge.hpp"

namespace fw::supply {

/// How far the fuel side carries more power. Air, exhaust temperature, driveline and emissions approval are not judged.
struct PowerCeiling {
  double rated_W = 0.0;          ///< as the sheet states it
  double ceiling_W = 0.0;        ///< highest power at which no computed check fails, most likely values
  bool at_rated = true;          ///< false: checks fail already at the stated power
  bool open = false;             ///< no check fails up to three times the stated power
  std::optional<Check> limited;  ///< the check that fails first beyond the ceiling, at its worst point
};

/// Power is scaled with its torque peak; consumption and speeds stay. Found to 0.5 % by halving; checks that fail for
/// reasons of their own at the stated power (return, viscosity, inlet too high) do not count.
/// Errors: those of judge_sheet.
[[nodiscard]] Result<PowerCeiling> power_ceiling(const system::LineSheet& sheet,
                                                 const std::vector<system::RunningPoint>& points, const Run& run);

/// What can be chosen by size.
enum class SizeKind : std::uint8_t { line, pump, filter };
[[nodiscard]] std::string_view name(SizeKind kind);

/// A part of the catalog that may stand in for one of the sheet.
struct Candidate {
  std::string id;      ///< of the catalog entry
  std::string title;   ///< "J30 R7 or R9 fuel hose, dash 8"
  std::string source;  ///< of its numbers
  bool shop = false;   ///< from the shop's own folder
  system::Part part;
};

/// One size.
struct SizeStep {
  std::string id, title, source;  ///< of the candidate
  bool shop = false;
  double measure =
      required;        ///< line: bore [m]; pump: free flow at 13.8 V [m3/s]; filter: its clean drop as stated [Pa]
  bool holds = false;  ///< none of the checks that size decides fails
  std::optional<double> inlet_low_Pa;  ///< worst inlet pressure over the envelope, over ambient; none: not known
  std::optional<double> gain_Pa;       ///< over the next smaller size
  std::optional<double> clean_share;   ///< filter: worst clean drop over its drop at the end of life [-]
  std::string failing;                 ///< title of the first failing check
};

/// A part in every size of the catalog, one at a time, all else as it is.
struct Sizing {
  std::string part, title;
  SizeKind kind = SizeKind::line;
  bool holds = false;  ///< as it is
  std::optional<double> inlet_low_Pa;
  std::string failing;
  std::vector<SizeStep> steps;          ///< smallest first
  std::optional<std::size_t> smallest;  ///< the first that holds
  std::optional<std::size_t> best;      ///< the one that holds, else the one with the highest worst inlet pressure
  /// Worst inlet pressure with the best step over the one as it is.
  [[nodiscard]] std::optional<double> gain_Pa() const;
};

/// Tubes and hoses, electric pumps, and separators, filters and strainers on the fuel's way, in its order.
[[nodiscard]] std::vector<std::string> parts_with_sizes(const system::LineSheet& sheet);

/// The part `id` of the sheet in every size among the candidates.
///
/// A line takes hoses, and a tube also tubes: bore and stems from the catalog (stems it does not state are scaled with
/// the bore), length, bends and number of joints as they are. An electric pump takes electric pumps of its place (in
/// the tank or outside): flow, motor and what it does at rest from the catalog; wire, watch, and, where the sheet
/// states a set pressure, its valve as they are. A filter takes its own kind with a rating that is not coarser: clean
/// drop from the catalog; its drop at the end of life, sensor and bypass as they are. Smallest first: by bore, free
/// flow, falling clean drop.
///
/// Checks that size decides: inlet low, delivery, vacuum at the pumps, flow through elements; for a pump also inlet
/// high, for a filter its clean drop. A step without its rated flow has no check of it.
/// Errors: not_found or invalid_input naming `part`; those of judge_sheet.
[[nodiscard]] Result<Sizing> size_part(const system::LineSheet& sheet, const std::string& part,
                                       const std::vector<Candidate>& candidates,
                                       const std::vector<system::RunningPoint>& points, const Run& run);

/// Sorts by what one change alone does: those after which the supply holds first, then by the pressure gained.
void rank(std::vector<Sizing>& sizings);

}  // namespace fw::supply
