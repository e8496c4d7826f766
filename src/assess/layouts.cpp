// SPDX-License-Identifier: Apache-2.0
#include "assess/layouts.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <map>
#include <utility>

#include "numerics/quantile.hpp"

namespace fw::assess {

namespace {

constexpr std::size_t most_named = 3;

void widen(OverLayouts& over, const std::string& layout, std::optional<double> value,
           const std::optional<numerics::Band>& band) {
  if (value && std::isfinite(*value)) {
    if (!over.low || *value < *over.low) {
      over.low = *value;
      over.lowest = layout;
    }
    if (!over.high || *value > *over.high) {
      over.high = *value;
      over.highest = layout;
    }
  }
  if (band && std::isfinite(band->low) && std::isfinite(band->high)) {
    if (!over.band) over.band = *band;
    over.band->low = std::min(over.band->low, band->low);
    over.band->high = std::max(over.band->high, band->high);
  }
}

std::vector<double> finite(const std::vector<double>& values) {
  std::vector<double> kept;
  std::ranges::copy_if(values, std::back_inserter(kept), [](double value) { return std::isfinite(value); });
  return kept;
}

std::optional<numerics::Band> band_of(std::vector<double> values) {
  if (values.size() < 2) return std::nullopt;
  return numerics::band_90_in_place(values);
}

/// Inlet pressure at rated power, under each assumption about what is unknown of the pumps.
void widen_inlet(OverLayouts& over, const LayoutJudged& layout) {
  for (const supply::BranchValues& branch : layout.judgement.branches) {
    widen(over, layout.id, branch.line_inlet_Pa, band_of(finite(branch.line_inlet_draws_Pa)));
  }
}

std::vector<CheckOverLayouts> over_checks(const std::vector<LayoutJudged>& layouts) {
  std::vector<CheckOverLayouts> all;
  for (std::size_t i = 0; i < layouts.size(); ++i) {
    for (const supply::Check& check : layouts[i].judgement.checks) {
      // A check of a part that another layout has not carries the part in its id.
      auto found = std::ranges::find(all, check.id, &CheckOverLayouts::id);
      if (found == all.end()) {
        all.push_back({.id = check.id,
                       .title = check.title,
                       .dimension = check.dimension,
                       .value = {},
                       .outcome = std::vector<std::optional<supply::Outcome>>(layouts.size()),
                       .differs = false});
        found = std::prev(all.end());
      }
      found->outcome[i] = check.outcome;
      widen(found->value, layouts[i].id, check.value,
            check.sampled ? std::optional(check.sampled->band) : std::nullopt);
    }
  }
  for (CheckOverLayouts& check : all) {
    std::optional<supply::Outcome> first;
    for (const auto& outcome : check.outcome) {
      if (!outcome) continue;
      if (!first) first = outcome;
      check.differs = check.differs || *outcome != *first;
    }
  }
  return all;
}

/// The draws of one layout behind its check of the low inlet pressure, under the assumption that the check reports.
struct InletDraws {
  const supply::Check* check = nullptr;
  std::vector<double> values;
};

InletDraws inlet_draws(const supply::SheetJudgement& judgement) {
  InletDraws draws;
  const auto check = std::ranges::find(judgement.checks, "inlet-low", &supply::Check::id);
  if (check == judgement.checks.end() || !check->sampled) return draws;
  draws.check = &*check;
  const supply::BranchValues* branch = &judgement.branches.front();
  for (const supply::BranchValues& one : judgement.branches) {
    if (one.branch == check->branch) branch = &one;
  }
  const auto values = std::ranges::find(branch->checks, "inlet-low", &supply::CheckValues::id);
  if (values != branch->checks.end()) draws.values = finite(values->worst);
  return draws;
}

double mean_of(const std::vector<double>& values) {
  double sum = 0.0;
  for (const double value : values) sum += value;
  return sum / static_cast<double>(values.size());
}

double variance_of(const std::vector<double>& values, double mean) {
  double sum = 0.0;
  for (const double value : values) sum += (value - mean) * (value - mean);
  return sum / static_cast<double>(values.size());
}

void widen(std::vector<diagnosis::Belief>& beliefs, const std::vector<diagnosis::Belief>& others) {
  for (diagnosis::Belief& one : beliefs) {
    const auto other = std::ranges::find(others, one.id, &diagnosis::Belief::id);
    if (other == others.end()) continue;
    one.low = std::min(one.low, other->low);
    one.high = std::max(one.high, other->high);
  }
}

void rank(LayoutsAnswer& answer) {
  std::vector<InletDraws> draws;
  for (const LayoutJudged& layout : answer.layouts) {
    InletDraws own = inlet_draws(layout.judgement);
    if (own.values.size() >= 2) draws.push_back(std::move(own));
  }
  if (draws.empty()) {
    if (answer.layouts.size() > 1) answer.first.push_back({.input = "layout", .share = std::nullopt});
    return;
  }
  const auto count = static_cast<double>(draws.size());
  std::vector<double> means;
  std::vector<double> together;
  double within = 0.0;
  double width = 0.0;
  for (const InletDraws& own : draws) {
    means.push_back(mean_of(own.values));
    within += variance_of(own.values, means.back()) / count;
    const auto band = band_of(own.values);
    width += (band->high - band->low) / count;
    together.insert(together.end(), own.values.begin(), own.values.end());
  }
  const double between = variance_of(means, mean_of(means));
  const double total = between + within;
  const auto band = band_of(std::move(together));
  answer.width_Pa = band->high - band->low;
  answer.width_layout_known_Pa = width;
  if (!(total > 0.0)) return;
  std::map<std::string, double> shares;
  if (draws.size() > 1) shares["layout"] = between / total;
  for (std::size_t i = 0; i < draws.size(); ++i) {
    const double own = variance_of(draws[i].values, means[i]) / count;
    for (const supply::Hinge& hinge : draws[i].check->sampled->hinges) {
      if (std::isfinite(hinge.share)) shares[hinge.input] += hinge.share * own / total;
    }
  }
  for (const auto& [input, share] : shares) answer.first.push_back({.input = input, .share = share});
  std::ranges::stable_sort(answer.first, [](const ToFindOut& a, const ToFindOut& b) { return *a.share > *b.share; });
  if (answer.first.size() > most_named) answer.first.resize(most_named);
}

}  // namespace

std::size_t layout_samples(Depth depth) { return depth == Depth::quick ? 96 : samples_of(depth); }

Result<LayoutsAnswer> judge_layouts(const casefile::SevenFacts& facts, const catalog::Catalog& catalog,
                                    const Options& options, const Run& run, SectionStore& store) {
  LayoutsAnswer answer;
  answer.seed = options.seed;
  answer.samples = layout_samples(options.depth);
  const std::vector<std::string> ids = catalog.ids(catalog::EntryKind::layout);
  std::size_t done = 0;
  for (const std::string& id : ids) {
    run.progress.at("layouts", done++, ids.size());
    if (run.stop.stop_requested()) {
      return fail(Error{.code = ErrorCode::cancelled, .found = "a stop", .expected = "the end of the judgement"});
    }
    casefile::SevenFacts own = facts;
    own.layout = id;
    std::string title = catalog.find(catalog::EntryKind::layout, id)->title;
    const auto made = casefile::sheet_from_facts(own, catalog);
    if (!made) {
      if (made.error().front().code != ErrorCode::conflict) return fail(made.error());
      answer.left_out.push_back({.id = id, .title = std::move(title), .why = made.error()});
      continue;
    }
    if (answer.layouts.empty()) {
      answer.climate = made->climate;
      answer.taken = made->taken;
    }
    auto judgement =
        kept_supply(made->sheet, supply::envelope(made->climate),
                    {.samples = answer.samples, .seed = options.seed, .all_points = options.all_points}, run, store);
    if (!judgement) return fail(judgement.error());
    answer.layouts.push_back({.id = id, .title = std::move(title), .judgement = std::move(*judgement)});
  }
  run.progress.at("layouts", ids.size(), ids.size());
  if (answer.layouts.empty()) return fail(answer.left_out.front().why);
  for (const LayoutJudged& layout : answer.layouts) widen_inlet(answer.inlet, layout);
  answer.checks = over_checks(answer.layouts);
  rank(answer);
  return answer;
}

Result<diagnosis::Diagnosis> diagnosis_over(const std::vector<diagnosis::WaterSensor>& sensors,
                                            const diagnosis::Tables& tables, const diagnosis::Facts& facts,
                                            const diagnosis::Draws& draws, const Run& run, SectionStore& store) {
  auto found = kept_diagnosis(tables, facts, draws, run, store);
  if (!found) return found;
  for (const diagnosis::WaterSensor sensor : sensors) {
    diagnosis::Facts under = facts;
    under.water_sensor = sensor;
    const auto other = kept_diagnosis(tables, under, draws, run, store);
    if (!other) return other;
    widen(found->causes, other->causes);
    widen(found->state, other->state);
    widen(found->mechanisms, other->mechanisms);
    const bool agrees = other->determined && other->causes.front().id == found->causes.front().id;
    if (found->determined && !agrees) {
      found->determined = false;
      found->why_not = "it hangs on the layout, which is not known: a silent water lamp speaks only with a sensor";
    }
  }
  return found;
}

}  // namespace fw::assess
