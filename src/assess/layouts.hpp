// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "assess/assess.hpp"
#include "base/result.hpp"
#include "base/run.hpp"
#include "casefile/seven_facts.hpp"
#include "catalog/catalog.hpp"
#include "supply/judge.hpp"

/// The answer when nobody knows the layout: every layout of the catalog judged with the other facts as told.
namespace fw::assess {

/// One layout that what was told fits.
struct LayoutJudged {
  std::string id;
  std::string title;
  supply::SheetJudgement judgement;
};

/// A layout that what was told cannot be, and why.
struct LayoutLeftOut {
  std::string id;
  std::string title;
  Errors why;
};

/// A number over all layouts: the range of the most likely values, and the band that holds the nine-in-ten band of each
/// layout.
struct OverLayouts {
  std::optional<double> low, high;     ///< of the most likely values; none: no layout has one
  std::optional<numerics::Band> band;  ///< where sampled
  std::string lowest, highest;         ///< ids of the layouts at the ends of the most likely values
};

/// One check over all layouts.
struct CheckOverLayouts {
  std::string id;
  std::string title;
  units::Dimension dimension = units::Dimension::gauge_pressure;
  OverLayouts value;                                    ///< of the worst values
  std::vector<std::optional<supply::Outcome>> outcome;  ///< by layout; none: it has no such check
  bool differs = false;                                 ///< not the same in all layouts that have it
};

/// Something to find out, by what it does to the pump inlet pressure (check inlet-low).
struct ToFindOut {
  std::string input;            ///< id of a stated number; "layout"
  std::optional<double> share;  ///< of the variance over all draws of all layouts [-]; none: not sampled
};

struct LayoutsAnswer {
  supply::Climate climate = supply::Climate::temperate;
  std::uint64_t seed = 1;
  std::size_t samples = 0;  ///< of each layout
  std::vector<LayoutJudged> layouts;
  std::vector<LayoutLeftOut> left_out;
  std::vector<std::string> taken;  ///< what stands in for facts not told, of the first layout
  OverLayouts inlet;               ///< pump inlet at rated power, 20 C, clean filters, half tank
  std::vector<CheckOverLayouts> checks;
  /// Width of the nine-in-ten band of the lowest inlet pressure over all draws of all layouts taken alike, and the mean
  /// of the widths of the layouts: what is left of it, on average, once the layout is known. None: not sampled.
  std::optional<double> width_Pa, width_layout_known_Pa;
  std::vector<ToFindOut> first;  ///< at most three, the strongest first
};

/// Draws of each layout: 0, 96, 2,000. Fewer than quick depth has for one sheet, because a dozen are judged and the
/// difference between layouts is many times the doubt of a band of 96.
[[nodiscard]] std::size_t layout_samples(Depth depth);

/// Judges every layout of the catalog with the facts; `facts.layout` is not read. The layouts count alike: how common
/// each is on the road is not known.
///
/// What to find out first: with Y the lowest inlet pressure in a draw of a layout taken alike, the layout's share is
/// Var(E[Y | layout]) / Var(Y); an input's is the mean over layouts of its own first-order share times the layout's
/// variance, over Var(Y), which is at least what knowing it without the layout would take away. The strongest inputs of
/// each layout count (supply::Hinge).
///
/// Errors: those of sheet_from_facts that no choice of layout mends; the first layout's where what was told fits none;
/// those of the judge; cancelled.
[[nodiscard]] Result<LayoutsAnswer> judge_layouts(const casefile::SevenFacts& facts, const catalog::Catalog& catalog,
                                                  const Options& options, const Run& run, SectionStore& store);

/// The diagnosis where it is not known which of these water sensors the system has: as judged with the facts as they
/// are, with bands that hold the bands under each; determined only where it is under each, with the same cause in
/// front. Errors: those of diagnosis::diagnose.
[[nodiscard]] Result<diagnosis::Diagnosis> diagnosis_over(const std::vector<diagnosis::WaterSensor>& sensors,
                                                          const diagnosis::Tables& tables,
                                                          const diagnosis::Facts& facts, const diagnosis::Draws& draws,
                                                          const Run& run, SectionStore& store);

}  // namespace fw::assess
