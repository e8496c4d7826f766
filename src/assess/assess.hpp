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
#include "casefile/case.hpp"
#include "catalog/catalog.hpp"
#include "diagnosis/diagnose.hpp"
#include "supply/judge.hpp"

/// The one judge: every face takes its results from here.
namespace fw::assess {

/// How deep the answer goes: most likely values over the whole envelope, then 256 or 2,000 draws of every stated
/// number.
enum class Depth : std::uint8_t { nominal, quick, paper };
[[nodiscard]] std::string_view name(Depth depth);
[[nodiscard]] std::optional<Depth> depth_named(std::string_view text);
/// 0, 256, 2000.
[[nodiscard]] std::size_t samples_of(Depth depth);

struct Options {
  Depth depth = Depth::nominal;
  std::uint64_t seed = 1;   ///< of every draw; nominal draws nothing
  bool all_points = false;  ///< draws at every running point, not only where a check can be governed
};

/// Signal words of ANSI Z535.
enum class Signal : std::uint8_t { danger, warning, caution, notice };

/// Told before the work it belongs to. Defers to the maker's service information, local codes and licensed practice.
struct Caution {
  Signal signal = Signal::warning;
  std::string title;
  std::string text;
  std::string shortly;  ///< the same in one line, where several stand together
};

/// Everything that is known of a case after judging it.
struct Assessment {
  std::string case_id;
  std::string title;
  std::string vehicle;
  std::string odometer;
  std::string opened;
  std::string story;
  supply::Climate climate = supply::Climate::temperate;
  Depth depth = Depth::nominal;
  std::uint64_t seed = 1;
  std::vector<supply::SheetJudgement> sheets;
  std::vector<Caution> cautions;
  std::optional<diagnosis::Diagnosis> diagnosis;  ///< of a case with findings
};

/// Judges every line sheet of the case over the envelope of its climate. Pure: same case, catalog and options give the
/// same Assessment, whatever the executor. Errors: those of supply::judge_sheet, by file; cancelled.
[[nodiscard]] Result<Assessment> assess(const casefile::Case& job, const catalog::Catalog& catalog,
                                        const Options& options, const Run& run);

/// The warnings that stand on every paper about a fuel supply.
[[nodiscard]] std::vector<Caution> supply_cautions();

}  // namespace fw::assess
