// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "assess/kept_sections.hpp"
#include "assess/metal_way.hpp"
#include "assess/section.hpp"
#include "base/money.hpp"
#include "base/result.hpp"
#include "base/run.hpp"
#include "casefile/case.hpp"
#include "catalog/catalog.hpp"
#include "debris/cascade.hpp"
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
  SectionSet sections = quick_sections();
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

/// State and cause in sentences (diagnosis_section.hpp).
struct DiagnosisSentences {
  std::vector<std::string> state;
  std::string cause;
};

/// A look by name, where no tables are at hand.
struct LookTitle {
  std::string finding;  ///< id
  std::string title;
  std::string how;
};

/// How clean a system keeps fuel that just meets EN 590: 24 mg/kg of dirt, taken as ISO medium dust (A3).
struct Cleanliness {
  std::string system;  ///< "as found", "as rebuilt"
  std::vector<debris::CascadePoint> points;
  /// Particles from 14 um(c) that such fuel by itself brings to the pump inlet in 100 h.
  debris::Quantiles inlet_in_100_h;
  /// The same of an hour of fuel at 12/9/6 (upper bound of 6 at 14 um(c), 0.64/mL).
  double reference_hour = required;
};

/// How many times as many particles from 14 um(c) reach the pump inlet in one system as in another, on the same fuel:
/// its own dirt, no metal.
struct CleanlinessChange {
  std::string from, to;     ///< "as designed", "as found"
  debris::Quantiles ratio;  ///< under the same draws of what filters in service let through
  /// Nine in ten draws lie on one side of a factor of two, one ISO 4406 code; between both no effect is found.
  enum class Finding : std::uint8_t { more, fewer, none, not_determined } finding = Finding::not_determined;
};

/// Where metal lies and what must be replaced.
struct MetalAnswer {
  std::vector<WayFact> way;            ///< what the fuel's ways are, and what says so
  std::vector<std::string> way_notes;  ///< what of it counts for nothing or moves
  debris::DebrisMap map;
  std::vector<Cleanliness> cleanliness;      ///< of the ways as found and as rebuilt
  std::vector<CleanlinessChange> changes;    ///< from as designed to as found, from there to as rebuilt
  std::optional<extent::Decision> decision;  ///< where the extent is asked
  std::optional<Currency> currency;          ///< of the prices, where the case has any
  std::optional<Money> comeback_loss;        ///< what a comeback costs, middle of what was entered
};

/// Of the fuel's ways of a case. Errors: those of debris::cascade.
[[nodiscard]] Result<std::vector<Cleanliness>> cleanliness_of(const extent::DecisionInput& input);

/// From system to system in the order given. A pump inlet that nothing reaches is compared as one particle in a cubic
/// metre. Errors: those of debris::cascade.
[[nodiscard]] Result<std::vector<CleanlinessChange>> cleanliness_changes(const MetalInput& joined);

/// A section that was asked and could not be computed: the rest stands without it.
struct NotComputed {
  Section section = Section::supply;
  std::string sheet;  ///< name, of a section by sheet
  Errors why;
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
  std::vector<Comparison> comparisons;            ///< each sheet against the one before, where asked
  std::optional<diagnosis::Diagnosis> diagnosis;  ///< of a case with findings, where asked
  DiagnosisSentences said;                        ///< of the diagnosis
  std::vector<diagnosis::Explanation> why;        ///< of the most probable causes, in their order
  std::vector<std::string> not_to_do;             ///< as things stand, by the diagnosis
  std::optional<diagnosis::NextLooks> looks;      ///< of a case with findings, where asked
  std::vector<LookTitle> look_titles;             ///< of looks->looks, in its order
  std::optional<MetalAnswer> metal;               ///< of a case with a metal.toml, where asked
  std::vector<RailCapacity> rail;                 ///< by sheet, of those with a high-pressure side, where asked
  std::vector<FuelHeat> heat;                     ///< the same
  std::optional<WaterSection> water;              ///< of all sheets together, where asked
  std::vector<NotComputed> not_computed;          ///< of what was asked
};

/// Works out the sections asked for; the extent brings the debris map with it. Sheets are judged over the envelope of
/// the case's climate; the rail and the heat at usual_inlet_K and usual_air_K. Pure: same case, catalog and options
/// give the same Assessment, whatever the executor and whatever the store holds. A section whose inputs the store has
/// seen is taken from there (content_key.hpp), so an edit of one leg computes the sections of its sheet only.
///
/// Errors: those of supply::judge_sheet, by file, and of the diagnosis; cancelled. What goes wrong in debris, extent,
/// rail, heat and water stands in `not_computed`.
[[nodiscard]] Result<Assessment> assess(const casefile::Case& job, const catalog::Catalog& catalog,
                                        const Options& options, const Run& run, SectionStore& store);
/// Without a store.
[[nodiscard]] Result<Assessment> assess(const casefile::Case& job, const catalog::Catalog& catalog,
                                        const Options& options, const Run& run);

/// The warnings that stand on every paper about a fuel supply.
[[nodiscard]] std::vector<Caution> supply_cautions();

}  // namespace fw::assess
