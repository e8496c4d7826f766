// SPDX-License-Identifier: Apache-2.0
#include "supply/judge.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "fuel/fuel_text.hpp"
#include "numerics/quantile.hpp"
#include "supply/criteria.hpp"
#include "supply/fuel_way.hpp"
#include "supply/sampling.hpp"

namespace fw::supply {

namespace {

using system::EnginePoint;
using system::PointState;
using system::RunningPoint;
using system::SupplyModel;

constexpr double chance_that_is_narrow = 0.05;
constexpr double unsolved_that_counts = 0.01;

/// Wax decides before any number: at or below CFPP the check fails, at or below the cloud point it is not known.
fuel::Cold coldest(const system::LineSheet& sheet, const std::vector<RunningPoint>& points) {
  fuel::Cold worst = fuel::Cold::liquid;
  const auto chosen = fuel::fuel_of_text(sheet.fuel);
  if (!chosen) return worst;
  for (const RunningPoint& point : points) {
    const fuel::Cold cold = fuel::cold_state(*chosen, point.fuel_temperature_K);
    if (cold == fuel::Cold::below_cfpp) return cold;
    if (cold == fuel::Cold::below_cloud_point) worst = cold;
  }
  return worst;
}

bool converged(const PointState& state) { return state.status == hydraulics::SolveStatus::converged; }

bool worse(const Check& a, const Check& b) {
  if (a.outcome != b.outcome) return a.outcome < b.outcome;
  if (a.margin && b.margin) return *a.margin < *b.margin;
  if (!a.value || !b.value) return false;
  return a.low ? *a.value < *b.value : *a.value > *b.value;
}

/// What the branch gives for every check, before the worst of all branches is taken.
BranchValues values_of(const SupplyModel& model, const std::vector<Check>& checks, double line_inlet_Pa, Draws& draws) {
  BranchValues values{.branch = model.branch().title,
                      .line_inlet_Pa = line_inlet_Pa,
                      .line_inlet_draws_Pa = std::move(draws.inlet_Pa),
                      .checks = {}};
  for (std::size_t c = 0; c < checks.size(); ++c) {
    values.checks.push_back({.id = checks[c].id, .value = checks[c].value, .worst = {}});
    if (!draws.worst.empty()) values.checks.back().worst = std::move(draws.worst[c]);
  }
  return values;
}

void apply_wax(Check& check, fuel::Cold cold) {
  if (cold == fuel::Cold::below_cfpp) {
    check.outcome = Outcome::fails;
    check.sentence = "The envelope goes to or below the fuel's filter plugging point: no filter passes fuel there.";
  } else if (cold == fuel::Cold::below_cloud_point && check.outcome != Outcome::fails) {
    check.outcome = Outcome::not_known;
    check.sentence = "The envelope goes to or below the fuel's cloud point: wax on the filters is not modelled.";
  }
}

const std::string& sentence_of(const Criterion& criterion, Outcome outcome) {
  switch (outcome) {
    case Outcome::fails: return criterion.when_fails;
    case Outcome::narrow: return criterion.when_narrow.empty() ? criterion.when_holds : criterion.when_narrow;
    case Outcome::holds: return criterion.when_holds;
    case Outcome::not_known: return criterion.when_not_known;
  }
  return criterion.when_not_known;
}

/// The criterion at its worst running point with the most likely values.
Check nominal_check(const Criterion& criterion, const std::vector<RunningPoint>& points,
                    const std::vector<PointState>& states, std::span<const double> slots) {
  Check check = criterion.check;
  std::size_t worst = points.size();
  std::size_t unsolved = 0;
  double value = 0.0;
  double bound = 0.0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (!criterion.counts(points[i])) continue;
    if (!converged(states[i])) {
      ++unsolved;
      continue;
    }
    const double here = criterion.value(points[i], states[i], slots);
    if (!std::isfinite(here)) continue;
    if (criterion.gas) bound = std::max(bound, states[i].inlet_void_equilibrium);
    if (worst == points.size() || (check.low ? here < value : here > value)) {
      worst = i;
      value = here;
    }
  }
  if (worst == points.size()) {
    check.outcome = Outcome::not_known;
    check.sentence = "No running point of this check could be solved.";
    return check;
  }
  check.value = value;
  check.point = points[worst];
  check.outcome = against(value, check.limit, check.low);
  if (criterion.where) check.place = criterion.where(states[worst], slots);
  if (std::isfinite(check.limit.fails))
    check.margin = check.low ? value - check.limit.fails : check.limit.fails - value;
  if (criterion.gas) {
    check.bound = bound;
    if (check.outcome != Outcome::fails && bound > check.limit.fails) check.outcome = Outcome::not_known;
  }
  if (states[worst].starved && check.id == "delivery") check.place = states[worst].starved_at;
  if (unsolved * 100 > points.size() && check.outcome != Outcome::fails) {
    check.outcome = Outcome::not_known;
    check.sentence = "Some running points could not be solved.";
    return check;
  }
  check.sentence = sentence_of(criterion, check.outcome) + ending(check.limit);
  return check;
}

/// What the draws make of an outcome (judge_sheet's rule).
void apply_draws(Check& check, const Criterion& criterion, Sampled sampled) {
  const bool open = static_cast<double>(sampled.unsolved) >
                    unsolved_that_counts * static_cast<double>(sampled.samples + sampled.unsolved);
  if (check.outcome != Outcome::fails && open) {
    check.outcome = Outcome::not_known;
    check.sentence = "More than one draw in a hundred could not be solved.";
  } else if (check.outcome == Outcome::holds && sampled.chance() > chance_that_is_narrow) {
    check.outcome = Outcome::narrow;
    check.sentence = sentence_of(criterion, Outcome::narrow) + ending(check.limit);
  }
  check.sampled = std::move(sampled);
}

GradeLine grade_line(const SupplyModel& model, const PointState& state, const RunningPoint& point) {
  GradeLine line{.point = point, .places = {}, .over_ambient_Pa = {}};
  for (const system::Leg* leg : supply_legs(model.sheet())) {
    for (std::size_t i = 0; i < model.places().size(); ++i) {
      const system::PlaceAt& place = model.places()[i];
      if (place.leg != leg->id) continue;
      if (place.part.empty() && place.part_index != 0 && leg->to != system::engine_end) continue;
      line.places.push_back(place);
      line.over_ambient_Pa.push_back(state.place_over_ambient_Pa[i]);
    }
  }
  return line;
}

/// Every pump off in turn: what is left at idle and at rated power.
Result<std::vector<DeadPump>> without_each_pump(const SupplyModel& model, std::span<const double> slots,
                                                const Run& run) {
  std::vector<DeadPump> dead_pumps;
  for (const system::Leg& leg : model.sheet().legs) {
    for (const system::Part& part : leg.parts) {
      if (!part.pump || part.bypassed || part.pump->drive == system::Drive::hand) continue;
      const std::vector<std::string> dead{part.id};
      const std::vector<SupplyModel::Case> two{
          {.point = {.engine = EnginePoint::idle}, .slots = slots, .stopped_pumps = &dead},
          {.point = {}, .slots = slots, .stopped_pumps = &dead}};
      const auto without = model.solve(two, run);
      if (!without) return fail(without.error());
      const auto fed = [](const PointState& state) { return converged(state) && !state.starved; };
      dead_pumps.push_back({.pump = title_of(part),
                            .engine_fed_at_idle = fed((*without)[0]),
                            .engine_fed_at_rated = fed((*without)[1]),
                            .inlet_at_idle_Pa = (*without)[0].inlet_over_ambient_Pa,
                            .inlet_at_rated_Pa = (*without)[1].inlet_over_ambient_Pa});
    }
  }
  return dead_pumps;
}

/// One branch: most likely values over the whole envelope, then draws.
struct BranchAnswer {
  std::vector<Check> checks;
  std::vector<PointState> states;  ///< by running point, the plain point last
  Draws draws;
};

Result<BranchAnswer> judge_branch(const SupplyModel& model, const std::vector<Criterion>& all,
                                  const std::vector<RunningPoint>& points, fuel::Cold cold, const Sampling& sampling,
                                  const Run& run) {
  BranchAnswer answer;
  const std::vector<double> slots = model.nominal();
  const RunningPoint plain{};
  std::vector<SupplyModel::Case> cases;
  for (const RunningPoint& point : points) cases.push_back({.point = point, .slots = slots});
  cases.push_back({.point = plain, .slots = slots});
  auto states = model.solve(cases, run);
  if (!states) return fail(states.error());
  answer.states = std::move(*states);

  std::vector<std::size_t> governing;
  for (const Criterion& criterion : all) {
    Check check = nominal_check(criterion, points, answer.states, slots);
    check.branch = model.branch().title;
    if (check.point) {
      const auto at = std::ranges::find(points, *check.point);
      governing.push_back(static_cast<std::size_t>(at - points.begin()));
    }
    answer.checks.push_back(std::move(check));
  }
  if (sampling.samples > 0) {
    auto draws = sample(model, all, points, governing, plain, sampling, run);
    if (!draws) return fail(draws.error());
    answer.draws = std::move(*draws);
    for (std::size_t c = 0; c < all.size(); ++c) {
      apply_draws(answer.checks[c], all[c], summary(all[c], answer.draws, c, model));
    }
  }
  for (std::size_t c = 0; c < all.size(); ++c) {
    if (all[c].wax) apply_wax(answer.checks[c], cold);
  }
  return answer;
}

}  // namespace

Result<SheetJudgement> judge_sheet(const system::LineSheet& sheet, const std::vector<RunningPoint>& points,
                                   const Sampling& sampling, const Run& run) {
  SheetJudgement judgement;
  judgement.name = sheet.name;
  judgement.file = sheet.file;
  judgement.samples = sampling.samples;
  const system::Laws laws = system::default_laws();
  const std::vector<system::Branch> ways = system::branches(sheet);
  if (ways.size() > 1) {
    judgement.notes.push_back(fmt::format(
        "What a pump does with its surplus or at rest is not stated: {} ways were computed, the worst is shown.",
        ways.size()));
  }
  const fuel::Cold cold = coldest(sheet, points);
  const RunningPoint plain{};
  for (std::size_t b = 0; b < ways.size(); ++b) {
    run.progress.at("ways", b, ways.size());
    const auto model = SupplyModel::build(sheet, ways[b], laws);
    if (!model) return fail(model.error());
    const std::vector<Criterion> all = criteria(*model);
    auto answer = judge_branch(*model, all, points, cold, sampling, run);
    if (!answer) return fail(answer.error());
    judgement.solved_draws += answer->draws.solved_points;
    judgement.branches.push_back(
        values_of(*model, answer->checks, answer->states.back().inlet_over_ambient_Pa, answer->draws));
    if (b > 0) {
      for (std::size_t i = 0; i < answer->checks.size(); ++i) {
        if (worse(answer->checks[i], judgement.checks[i])) judgement.checks[i] = std::move(answer->checks[i]);
      }
      continue;
    }
    judgement.checks = std::move(answer->checks);
    judgement.points = points.size();
    judgement.inputs.assign(model->inputs().begin(), model->inputs().end());
    const PointState& at_plain = answer->states.back();
    judgement.line = grade_line(*model, at_plain, plain);
    judgement.demand_rated_m3_per_s = at_plain.demand_m3_per_s;
    judgement.burned_rated_m3_per_s = at_plain.burned_m3_per_s;
    std::optional<std::size_t> lowest;
    for (std::size_t i = 0; i < points.size(); ++i) {
      if (!converged(answer->states[i])) {
        ++judgement.unsolved;
        continue;
      }
      if (!lowest || answer->states[i].inlet_over_ambient_Pa < answer->states[*lowest].inlet_over_ambient_Pa)
        lowest = i;
    }
    if (lowest) judgement.worst_line = grade_line(*model, answer->states[*lowest], points[*lowest]);
    auto dead = without_each_pump(*model, model->nominal(), run);
    if (!dead) return fail(dead.error());
    judgement.dead_pumps = std::move(*dead);
    if (sampling.samples > 0) {
      for (const system::PlaceAt& place : judgement.line.places) {
        for (std::size_t i = 0; i < model->places().size(); ++i) {
          const system::PlaceAt& other = model->places()[i];
          if (other.leg != place.leg || other.part_index != place.part_index) continue;
          judgement.line.band_Pa.push_back(numerics::band_90_in_place(answer->draws.line_Pa[i]));
          break;
        }
      }
    }
  }
  for (Check& check : arrangement_checks(sheet)) judgement.checks.push_back(std::move(check));
  judgement.stages = stages(sheet);
  std::ranges::stable_sort(judgement.checks, {}, &Check::outcome);
  return judgement;
}

}  // namespace fw::supply
