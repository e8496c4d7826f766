// SPDX-License-Identifier: Apache-2.0
#include "supply/compare.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/contract.hpp"
#include "numerics/quantile.hpp"

namespace fw::supply {

namespace {

using units::Dimension;

double smallest_effect(Dimension dimension) {
  switch (dimension) {
    case Dimension::gauge_pressure: return 5e3;
    case Dimension::velocity: return 0.1;
    case Dimension::kinematic_viscosity: return 0.1e-6;
    default: return 0.02;
  }
}

std::optional<numerics::Band> paired_band(const std::vector<double>& first, const std::vector<double>& second) {
  std::vector<double> differences;
  for (std::size_t s = 0; s < std::min(first.size(), second.size()); ++s) {
    if (std::isfinite(first[s]) && std::isfinite(second[s])) differences.push_back(second[s] - first[s]);
  }
  if (differences.size() < 20) return std::nullopt;
  return numerics::band_90_in_place(differences);
}

/// `rising_helps`: a larger value is the better one.
Effect effect_of(const std::optional<numerics::Band>& band, double smallest, bool rising_helps) {
  if (!band) return Effect::not_determined;
  if (band->low > -smallest && band->high < smallest) return Effect::none_found;
  if (band->low >= smallest) return rising_helps ? Effect::better : Effect::worse;
  if (band->high <= -smallest) return rising_helps ? Effect::worse : Effect::better;
  return Effect::not_determined;
}

std::string sentence_of(const std::string& title, Effect effect) {
  switch (effect) {
    case Effect::better: return title + ": the change helped.";
    case Effect::worse: return title + ": the change made it worse.";
    case Effect::none_found: return title + ": no effect found.";
    case Effect::not_determined: return title + ": not determined.";
  }
  return title + ": not determined.";
}

/// Branches of two sheets that are compared: those of the same assumption where both sheets have the same set, else
/// all.
std::vector<std::pair<const BranchValues*, const BranchValues*>> pairs_of(const SheetJudgement& first,
                                                                          const SheetJudgement& second) {
  const auto has = [](const SheetJudgement& sheet, const BranchValues& like) {
    return std::ranges::find(sheet.branches, like.branch, &BranchValues::branch) != sheet.branches.end();
  };
  bool same = first.branches.size() == second.branches.size();
  for (const BranchValues& branch : first.branches) same = same && has(second, branch);
  std::vector<std::pair<const BranchValues*, const BranchValues*>> pairs;
  for (const BranchValues& a : first.branches) {
    for (const BranchValues& b : second.branches) {
      if (!same || a.branch == b.branch) pairs.emplace_back(&a, &b);
    }
  }
  return pairs;
}

struct Compared {
  std::optional<double> first, second;
  std::optional<numerics::Band> band;
  Effect effect = Effect::not_determined;
  std::string branch;
};

/// Takes all pairs of one line together: shown is the one worst for the second sheet, then for the first; the effect
/// stands if all agree.
void take_together(Difference& line, const std::vector<Compared>& pairs, bool rising_helps) {
  const auto worse = [&](double a, double b) { return rising_helps ? a < b : a > b; };
  const Compared* shown = nullptr;
  for (const Compared& pair : pairs) {
    const bool take = shown == nullptr || worse(*pair.second, *shown->second) ||
                      (*pair.second == *shown->second && worse(*pair.first, *shown->first));
    if (take) shown = &pair;
  }
  if (shown == nullptr) return;
  line.first = shown->first;
  line.second = shown->second;
  line.band = shown->band;
  line.effect = shown->effect;
  if (pairs.size() > 1) line.branch = shown->branch;
  for (const Compared& pair : pairs) {
    if (pair.effect == shown->effect) continue;
    line.effect = Effect::not_determined;
    line.assumptions_differ = true;
  }
}

Difference stages_lost(const SheetJudgement& first, const SheetJudgement& second) {
  const auto in_flow = [](const SheetJudgement& judgement) {
    return static_cast<double>(std::ranges::count_if(
        judgement.stages, [](const Stage& s) { return s.in_flow && s.kind != system::PartKind::strainer; }));
  };
  Difference line{.id = "stages", .title = "Stages of cleaning in the flow", .dimension = Dimension::ratio};
  line.first = in_flow(first);
  line.second = in_flow(second);
  line.smallest = 1.0;
  line.outcome_first = line.outcome_second = Outcome::holds;
  line.effect = *line.second < *line.first   ? Effect::worse
                : *line.second > *line.first ? Effect::better
                                             : Effect::none_found;
  line.sentence = line.effect == Effect::worse    ? "A stage of cleaning was lost."
                  : line.effect == Effect::better ? "A stage of cleaning was gained."
                                                  : "The number of cleaning stages is the same.";
  return line;
}

}  // namespace

std::string_view words(Effect effect) {
  switch (effect) {
    case Effect::better: return "better";
    case Effect::worse: return "worse";
    case Effect::none_found: return "no effect found";
    case Effect::not_determined: return "not determined";
  }
  return "not determined";
}

std::vector<Difference> compare(const SheetJudgement& first, const SheetJudgement& second) {
  FW_EXPECTS(first.samples == second.samples && first.points == second.points);
  std::vector<Difference> lines;
  const auto pairs = pairs_of(first, second);
  Difference inlet{.id = "inlet-at-rated", .title = "Pump inlet at rated power, 20 C, clean filters"};
  inlet.smallest = smallest_effect(inlet.dimension);
  std::vector<Compared> compared;
  for (const auto& [a, b] : pairs) {
    compared.push_back({.first = a->line_inlet_Pa,
                        .second = b->line_inlet_Pa,
                        .band = paired_band(a->line_inlet_draws_Pa, b->line_inlet_draws_Pa),
                        .branch = b->branch.empty() ? a->branch : b->branch});
    compared.back().effect = effect_of(compared.back().band, inlet.smallest, true);
  }
  take_together(inlet, compared, true);
  inlet.sentence = sentence_of(inlet.title, inlet.effect);
  inlet.outcome_first = inlet.outcome_second = Outcome::holds;
  lines.push_back(std::move(inlet));

  for (const Check& check : first.checks) {
    const auto same = std::ranges::find(second.checks, check.id, &Check::id);
    if (same == second.checks.end() || !check.value || !same->value) continue;
    Difference line{.id = check.id, .title = check.title, .dimension = check.dimension};
    line.outcome_first = check.outcome;
    line.outcome_second = same->outcome;
    line.smallest = smallest_effect(check.dimension);
    compared.clear();
    for (const auto& [a, b] : pairs) {
      const auto of_a = std::ranges::find(a->checks, check.id, &CheckValues::id);
      const auto of_b = std::ranges::find(b->checks, check.id, &CheckValues::id);
      // What the sheet alone decides has a value but no branches.
      if (of_a == a->checks.end() || of_b == b->checks.end() || !of_a->value || !of_b->value) continue;
      compared.push_back({.first = of_a->value,
                          .second = of_b->value,
                          .band = paired_band(of_a->worst, of_b->worst),
                          .branch = b->branch.empty() ? a->branch : b->branch});
      compared.back().effect = effect_of(compared.back().band, line.smallest, check.low);
    }
    if (compared.empty() && first.samples > 0) continue;
    if (compared.empty()) {
      line.first = check.value;
      line.second = same->value;
    }
    take_together(line, compared, check.low);
    line.sentence = sentence_of(check.title, line.effect);
    lines.push_back(std::move(line));
  }
  lines.push_back(stages_lost(first, second));
  const auto sensor = [](const SheetJudgement& judgement) {
    const auto found = std::ranges::find(judgement.checks, "water-sensor", &Check::id);
    return found == judgement.checks.end() ? Outcome::not_known : found->outcome;
  };
  Difference water{.id = "water-sensor", .title = "Water sensing", .dimension = Dimension::ratio};
  water.outcome_first = sensor(first);
  water.outcome_second = sensor(second);
  const bool known = water.outcome_first != Outcome::not_known && water.outcome_second != Outcome::not_known;
  water.effect = !known                                       ? Effect::not_determined
                 : water.outcome_second < water.outcome_first ? Effect::worse
                 : water.outcome_second > water.outcome_first ? Effect::better
                                                              : Effect::none_found;
  water.sentence = water.effect == Effect::worse    ? "The water sensor was lost or blinded."
                   : water.effect == Effect::better ? "Water is sensed better than before."
                   : known                          ? "Water is sensed as before."
                                                    : "Whether water is sensed is not stated for both.";
  lines.push_back(std::move(water));
  return lines;
}

}  // namespace fw::supply
