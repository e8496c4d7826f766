// SPDX-License-Identifier: Apache-2.0
#include "supply/sampling.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "numerics/proportion.hpp"
#include "numerics/quantile.hpp"
#include "numerics/stream.hpp"
#include "numerics/what_matters.hpp"
#include "supply/limits.hpp"

namespace fw::supply {

namespace {

using system::PointState;
using system::RunningPoint;
using system::SupplyModel;

constexpr double transition_low = 2000.0, transition_high = 4000.0;
constexpr std::size_t batch_samples = 64;
constexpr std::size_t coarse_below = 20;

bool converged(const PointState& state) { return state.status == hydraulics::SolveStatus::converged; }

/// Takes the states of one sample into the worst values.
void take(Draws& draws, const std::vector<Criterion>& criteria, const std::vector<RunningPoint>& points,
          const std::vector<std::size_t>& chosen, std::span<const PointState> states, std::span<const double> slots,
          std::size_t sample) {
  for (std::size_t c = 0; c < criteria.size(); ++c) {
    const Criterion& criterion = criteria[c];
    double worst = std::numeric_limits<double>::quiet_NaN();
    for (std::size_t i = 0; i < chosen.size(); ++i) {
      const RunningPoint& point = points[chosen[i]];
      if (!criterion.counts(point)) continue;
      if (!converged(states[i])) {
        draws.unsolved[c][sample] = true;
        continue;
      }
      const double value = criterion.value(point, states[i], slots);
      if (!std::isfinite(value)) continue;
      if (!std::isfinite(worst) || (criterion.check.low ? value < worst : value > worst)) {
        worst = value;
        draws.at[c][sample] = chosen[i];
      }
    }
    draws.worst[c][sample] = worst;
  }
}

}  // namespace

double transition_at(double probability) { return transition_low + probability * (transition_high - transition_low); }

Draw draw_of(const SupplyModel& model, std::uint64_t seed, std::uint32_t sample) {
  Draw draw{.slots = model.drawn(seed, sample)};
  draw.transition_reynolds =
      transition_at(numerics::uniform(seed, numerics::key_of("law.transition"), numerics::Purpose::input, sample));
  return draw;
}

Result<Draws> sample(const SupplyModel& model, const std::vector<Criterion>& criteria,
                     const std::vector<RunningPoint>& points, const std::vector<std::size_t>& governing,
                     const RunningPoint& line_point, const Sampling& sampling, const system::EngineLoop* loop,
                     const Run& run) {
  const std::size_t samples = sampling.samples;
  Draws draws;
  draws.worst.assign(criteria.size(), std::vector<double>(samples, std::numeric_limits<double>::quiet_NaN()));
  draws.at.assign(criteria.size(), std::vector<std::size_t>(samples, 0));
  draws.unsolved.assign(criteria.size(), std::vector<bool>(samples, false));
  draws.line_Pa.assign(model.places().size(), std::vector<double>(samples, 0.0));
  draws.inlet_Pa.assign(samples, 0.0);
  draws.inputs.assign(model.inputs().size(), std::vector<double>(samples, 0.0));

  std::vector<std::size_t> every(points.size());
  for (std::size_t i = 0; i < every.size(); ++i) every[i] = i;
  std::vector<bool> chosen(points.size(), false);
  for (const std::size_t i : governing) chosen[i] = true;
  std::vector<std::size_t> some;

  for (std::size_t first = 0; first < samples;) {
    const bool pilot = sampling.all_points || first < pilot_samples;
    const std::size_t last = std::min(
        {samples, first + batch_samples, pilot && !sampling.all_points ? std::max(pilot_samples, first + 1) : samples});
    const std::vector<std::size_t>& at = pilot ? every : some;
    std::vector<Draw> drawn;
    for (std::size_t s = first; s < last; ++s)
      drawn.push_back(draw_of(model, sampling.seed, static_cast<std::uint32_t>(s)));
    std::vector<SupplyModel::Case> cases;
    for (const Draw& draw : drawn) {
      for (const std::size_t i : at) {
        cases.push_back({.point = points[i], .slots = draw.slots, .transition_reynolds = draw.transition_reynolds});
        if (loop != nullptr) loop->couple(cases.back(), i);
      }
      cases.push_back({.point = line_point, .slots = draw.slots, .transition_reynolds = draw.transition_reynolds});
      if (loop != nullptr) loop->couple(cases.back(), points.size());
    }
    const auto states = model.solve(cases, run);
    if (!states) return fail(states.error());
    const std::size_t stride = at.size() + 1;
    for (std::size_t s = first; s < last; ++s) {
      const std::vector<double>& slots = drawn[s - first].slots;
      const std::span<const PointState> mine(states->data() + (s - first) * stride, stride);
      take(draws, criteria, points, at, mine.first(at.size()), slots, s);
      for (std::size_t p = 0; p < draws.line_Pa.size(); ++p) draws.line_Pa[p][s] = mine.back().place_over_ambient_Pa[p];
      draws.inlet_Pa[s] = mine.back().inlet_over_ambient_Pa;
      for (std::size_t i = 0; i < slots.size(); ++i) draws.inputs[i][s] = slots[i];
    }
    draws.solved_points += cases.size();
    if (pilot) {
      for (std::size_t c = 0; c < criteria.size(); ++c) {
        for (std::size_t s = first; s < last; ++s) {
          if (std::isfinite(draws.worst[c][s])) chosen[draws.at[c][s]] = true;
        }
      }
      some.clear();
      for (std::size_t i = 0; i < chosen.size(); ++i) {
        if (chosen[i]) some.push_back(i);
      }
    }
    first = last;
    run.progress.at("draws", first, samples);
    if (run.stop.stop_requested()) {
      return fail(Error{.code = ErrorCode::cancelled, .found = "a stop", .expected = "the end of the draws"});
    }
  }
  return draws;
}

Sampled summary(const Criterion& criterion, const Draws& draws, std::size_t index, const SupplyModel& model) {
  Sampled result;
  std::vector<double> values;
  std::vector<std::size_t> solved;
  const std::vector<double>& worst = draws.worst[index];
  for (std::size_t s = 0; s < worst.size(); ++s) {
    if (draws.unsolved[index][s]) ++result.unsolved;
    if (!std::isfinite(worst[s])) continue;
    values.push_back(worst[s]);
    solved.push_back(s);
    if (against(worst[s], criterion.check.limit, criterion.check.low) == Outcome::fails) ++result.failing;
  }
  result.samples = values.size();
  if (values.empty()) return result;
  result.chance_at_most = numerics::upper_bound({.events = result.failing, .trials = values.size()});
  result.coarse = result.failing > 0 && result.failing < coarse_below;

  const auto [least, most] = std::ranges::minmax(values);
  if (values.size() >= numerics::fewest_samples_to_rank && most > least) {
    std::vector<std::vector<double>> kept;
    std::vector<std::size_t> which;
    for (std::size_t i = 0; i < model.inputs().size(); ++i) {
      if (model.inputs()[i].spread.kind == SpreadKind::exact) continue;
      std::vector<double> column;
      column.reserve(solved.size());
      for (const std::size_t s : solved) column.push_back(draws.inputs[i][s]);
      kept.push_back(std::move(column));
      which.push_back(i);
    }
    const std::vector<std::span<const double>> spans(kept.begin(), kept.end());
    const numerics::WhatMatters matters = numerics::what_matters(values, spans);
    for (const std::size_t i : matters.order) {
      const numerics::Influence& influence = matters.inputs[i];
      if (result.hinges.size() == 3 || !influence.matters()) break;
      result.hinges.push_back({.input = model.inputs()[which[i]].id,
                               .share = influence.first_order,
                               .direction = influence.direction,
                               .width_if_known = influence.width_if_known});
    }
  }
  std::ranges::sort(values);
  result.median = numerics::quantile_of_sorted(values, 0.5);
  result.band = {.low = numerics::quantile_of_sorted(values, 0.05), .high = numerics::quantile_of_sorted(values, 0.95)};
  return result;
}

}  // namespace fw::supply
