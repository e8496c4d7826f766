// SPDX-License-Identifier: Apache-2.0
#include "supply/compare.hpp"

#include <algorithm>
#include <cmath>

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

const CheckDraws* draws_of(const SheetJudgement& judgement, const std::string& id) {
  const auto found = std::ranges::find(judgement.draws, id, &CheckDraws::id);
  return found == judgement.draws.end() ? nullptr : &*found;
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
  Difference inlet{.id = "inlet-at-rated", .title = "Pump inlet at rated power, 20 C, clean filters"};
  inlet.first = first.line.over_ambient_Pa.empty() ? std::nullopt : std::optional(first.line.over_ambient_Pa.back());
  inlet.second = second.line.over_ambient_Pa.empty() ? std::nullopt : std::optional(second.line.over_ambient_Pa.back());
  inlet.smallest = smallest_effect(inlet.dimension);
  inlet.band = paired_band(first.line_inlet_draws_Pa, second.line_inlet_draws_Pa);
  inlet.effect = effect_of(inlet.band, inlet.smallest, true);
  inlet.sentence = sentence_of(inlet.title, inlet.effect);
  inlet.outcome_first = inlet.outcome_second = Outcome::holds;
  lines.push_back(std::move(inlet));

  for (const Check& check : first.checks) {
    const auto same = std::ranges::find(second.checks, check.id, &Check::id);
    if (same == second.checks.end() || !check.value || !same->value) continue;
    const CheckDraws* a = draws_of(first, check.id);
    const CheckDraws* b = draws_of(second, check.id);
    if (first.samples > 0 && (a == nullptr || b == nullptr)) continue;
    Difference line{.id = check.id, .title = check.title, .dimension = check.dimension};
    line.first = check.value;
    line.second = same->value;
    line.outcome_first = check.outcome;
    line.outcome_second = same->outcome;
    line.smallest = smallest_effect(check.dimension);
    if (a != nullptr && b != nullptr) line.band = paired_band(a->worst, b->worst);
    line.effect = effect_of(line.band, line.smallest, check.low);
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
