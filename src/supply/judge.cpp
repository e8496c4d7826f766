// SPDX-License-Identifier: Apache-2.0
#include "supply/judge.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include <fmt/format.h>

#include "numerics/quantile.hpp"
#include "supply/criteria.hpp"
#include "supply/electric.hpp"
#include "supply/fuel_way.hpp"
#include "supply/limits.hpp"
#include "supply/long_run.hpp"
#include "supply/sampling.hpp"
#include "system/engine_loop.hpp"

namespace fw::supply {

namespace {

using system::EnginePoint;
using system::PointState;
using system::RunningPoint;
using system::SupplyModel;

constexpr double chance_that_is_narrow = 0.05;
constexpr double unsolved_that_counts = 0.01;
constexpr double warm_K = 293.15;
const RunningPoint plain_rated{};
const RunningPoint plain_idle{.engine = EnginePoint::idle};
constexpr const char* unfilled_pump =
    "The plungers of the high-pressure pump do not fill: the engine does not get all that it asks for";

/// Wax decides before any number: at or below CFPP the check fails, at or below the cloud point, or where none is
/// stated and there may be wax, it is not known.
fuel::Cold coldest(const fuel::Fuel& fuel, const std::vector<RunningPoint>& points) {
  fuel::Cold worst = fuel::Cold::liquid;
  for (const RunningPoint& point : points) {
    const fuel::Cold cold = fuel::cold_state(fuel, point.fuel_temperature_K);
    if (cold == fuel::Cold::below_cfpp) return cold;
    if (cold == fuel::Cold::below_cloud_point || (cold == fuel::Cold::not_stated && worst == fuel::Cold::liquid)) {
      worst = cold;
    }
  }
  return worst;
}

/// The engine loop where there is one; without it cases stay as they are.
struct Coupling {
  std::optional<system::EngineLoop> loop;
  void couple(SupplyModel::Case& one, std::size_t i) const {
    if (loop) loop->couple(one, i);
  }
};

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
    // Wax decides, not the value: it says nothing there.
    check.value.reset();
    check.margin.reset();
    check.sampled.reset();
    check.outcome = Outcome::fails;
    check.sentence = "The envelope goes to or below the fuel's filter plugging point: no filter passes fuel there.";
  } else if (cold == fuel::Cold::below_cloud_point && check.outcome != Outcome::fails) {
    check.outcome = Outcome::not_known;
    check.sentence = "The envelope goes to or below the fuel's cloud point: wax on the filters is not modelled.";
  } else if (cold == fuel::Cold::not_stated && check.outcome != Outcome::fails) {
    check.outcome = Outcome::not_known;
    check.sentence =
        "The fuel's cloud point is not stated and the envelope goes where such fuel may be waxy: enter it from the "
        "fuel "
        "report.";
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
  const bool dry = check.id == "delivery" && check.outcome == Outcome::fails && states[worst].unfilled;
  check.sentence =
      (dry && !states[worst].starved ? std::string(unfilled_pump) : sentence_of(criterion, check.outcome)) +
      ending(check.limit);
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

/// Closes the loop between supply and high-pressure side where the sheet states what its plungers take; else the engine
/// takes what it asks for, with fuel of one temperature. Points: the envelope, then rated power and idle at the plain
/// state.
Coupling coupling_of(const SupplyModel& model, const fuel::Fuel& fuel, std::vector<RunningPoint> points, const Run& run,
                     SheetJudgement& judgement) {
  const system::LineSheet& sheet = model.sheet();
  if (sheet.high_side.cylinders <= 0 || sheet.fuel == "constant") return {};
  const auto side = system::rail_side(sheet);
  if (!side) {
    judgement.notes.push_back(fmt::format(
        "The high-pressure side does not make sense as stated ({}: {}, expected {}): the engine is taken to draw what "
        "it asks for whatever its inlet is.",
        side.error().front().where.field, side.error().front().found, side.error().front().expected));
    return {};
  }
  if (!side->filling_stated) return {};
  points.push_back(plain_rated);
  points.push_back(plain_idle);
  auto loop = system::close_engine_loop(model, *side, fuel, points, run);
  if (!loop || !loop->converged) {
    judgement.notes.push_back(
        loop ? fmt::format("Supply and high-pressure side do not agree better than {:.1f} K: the engine is taken to "
                           "draw what it asks for whatever its inlet is.",
                           loop->residual_K)
             : fmt::format("The high-pressure side could not be coupled ({}, expected {}): the engine is taken to draw "
                           "what it asks for whatever its inlet is.",
                           loop.error().front().found, loop.error().front().expected));
    return {};
  }
  Coupled coupled{.passes = loop->passes, .residual_K = loop->residual_K};
  for (const system::LoopPoint& point : loop->points) {
    coupled.hottest_return_K = std::max(coupled.hottest_return_K, point.return_K);
    coupled.hottest_inlet_K = std::max(coupled.hottest_inlet_K, point.inlet_K);
  }
  judgement.coupled = coupled;
  judgement.notes.push_back(fmt::format(
      "The high-pressure pump is stated: it takes what its plungers can fill with, and return lines carry "
      "fuel as warm as it makes it, up to {:.0f} C ({:.0f} F). After {} passes supply and high-pressure side agree {}.",
      coupled.hottest_return_K - 273.15, 1.8 * coupled.hottest_return_K - 459.67, coupled.passes,
      coupled.residual_K < 1e-3 ? std::string("better than 0.001 K")
                                : fmt::format("within {:.3f} K", coupled.residual_K)));
  return {.loop = std::move(*loop)};
}

/// One pump off, over the whole envelope and at the plain points.
Result<DeadPump> without_pump(const SupplyModel& model, const system::Part& part,
                              const std::vector<RunningPoint>& points, const Coupling& coupling, const fuel::Fuel& fuel,
                              const Run& run) {
  const std::vector<std::string> dead{part.id};
  const std::vector<double> slots = model.nominal();
  std::vector<SupplyModel::Case> cases{{.point = plain_idle, .slots = slots, .stopped_pumps = &dead},
                                       {.point = plain_rated, .slots = slots, .stopped_pumps = &dead}};
  coupling.couple(cases[0], points.size() + 1);
  coupling.couple(cases[1], points.size());
  for (std::size_t i = 0; i < points.size(); ++i) {
    cases.push_back({.point = points[i], .slots = slots, .stopped_pumps = &dead});
    coupling.couple(cases.back(), i);
  }
  const auto without = model.solve(cases, run);
  if (!without) return fail(without.error());
  const auto fed = [](const PointState& state) { return converged(state) && !state.starved && !state.unfilled; };
  DeadPump answer{.pump = title_of(part),
                  .assumption = {},
                  .engine_fed_at_idle = fed((*without)[0]),
                  .engine_fed_at_rated = fed((*without)[1]),
                  .inlet_at_idle_Pa = (*without)[0].inlet_over_ambient_Pa,
                  .inlet_at_rated_Pa = (*without)[1].inlet_over_ambient_Pa,
                  .not_fed_at = {}};
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (fuel::cold_state(fuel, points[i].fuel_temperature_K) != fuel::Cold::liquid) {
      ++answer.wax_points;
      continue;
    }
    ++answer.points;
    if (fed((*without)[i + 2])) {
      ++answer.fed_points;
    } else if (answer.not_fed_at.empty()) {
      answer.not_fed_at = describe(points[i]);
    }
  }
  return answer;
}

bool feeds_less(const DeadPump& a, const DeadPump& b) {
  if (a.fed_points != b.fed_points) return a.fed_points < b.fed_points;
  return a.inlet_at_rated_Pa < b.inlet_at_rated_Pa;
}

/// Every pump off in turn, each way that what is not stated of it and of the others leaves open.
Result<std::vector<DeadPump>> without_each_pump(const system::LineSheet& sheet, const std::vector<system::Branch>& ways,
                                                const std::vector<RunningPoint>& points, const Coupling& coupling,
                                                const fuel::Fuel& fuel, const Run& run) {
  struct Rest {
    system::Stopped stopped;
    const char* words;
  };
  constexpr std::array<Rest, 2> open{Rest{system::Stopped::blocks, "blocking at rest"},
                                     Rest{system::Stopped::passes, "passing at rest"}};
  const Limit low = inlet_limits(sheet.engine).low;
  std::vector<DeadPump> dead_pumps;
  for (const system::Leg& leg : sheet.legs) {
    for (const system::Part& part : leg.parts) {
      if (!part.pump || part.bypassed || part.pump->drive == system::Drive::hand) continue;
      const bool stated = part.pump->stopped != system::Stopped::unknown;
      for (std::size_t rest = 0; rest < (stated ? 1U : open.size()); ++rest) {
        std::optional<DeadPump> least;
        for (system::Branch way : ways) {
          if (!stated) way.pumps[part.id].stopped = open.at(rest).stopped;
          const auto model = SupplyModel::build(sheet, way, system::default_laws());
          if (!model) return fail(model.error());
          auto answer = without_pump(*model, part, points, coupling, fuel, run);
          if (!answer) return fail(answer.error());
          if (!stated) answer->assumption = open.at(rest).words;
          if (std::isfinite(low.fails)) answer->inlet_limit_Pa = low.fails;
          if (!least || feeds_less(*answer, *least)) least = std::move(*answer);
        }
        dead_pumps.push_back(std::move(*least));
      }
    }
  }
  return dead_pumps;
}

/// How each electric pump is seen while the engine turns on warm fuel.
std::vector<Watched> watched_pumps(const SupplyModel& model, const std::vector<RunningPoint>& points,
                                   const std::vector<PointState>& states) {
  std::vector<Watched> all;
  for (const WayPart& at : supply_way(model.sheet())) {
    const system::Part& part = *at.part;
    if (!turns(part) || part.pump->drive != system::Drive::electric) continue;
    Watched watched{.part = part.id, .title = title_of(part), .watch = part.pump->watch, .lowest_outlet_Pa = {}};
    const std::size_t outlet = model.place_of(part.id).value();
    for (std::size_t i = 0; i < points.size(); ++i) {
      const RunningPoint& point = points[i];
      const bool counts = point.engine != EnginePoint::stopped && point.engine != EnginePoint::crank &&
                          point.fuel_temperature_K >= warm_K && converged(states[i]);
      if (!counts) continue;
      const double here_Pa = states[i].place_over_ambient_Pa[outlet];
      watched.lowest_outlet_Pa = std::min(watched.lowest_outlet_Pa.value_or(here_Pa), here_Pa);
    }
    all.push_back(std::move(watched));
  }
  return all;
}

/// What stands behind density and viscosity over the envelope, wax left out: it has its own words.
void note_the_fuel(const system::LineSheet& sheet, const fuel::Fuel& fuel, const std::vector<PointState>& states,
                   SheetJudgement& judgement) {
  judgement.fuel = fuel.title.empty() ? sheet.fuel : fuel.title;
  if (sheet.fuel_report) {
    judgement.fuel +=
        sheet.fuel_report->title.empty() ? ", by its fuel report" : ", by the fuel report " + sheet.fuel_report->title;
  }
  judgement.notes.push_back("Fuel: " + judgement.fuel + ".");
  constexpr std::array flow_doubts{fuel::Doubt::density_temperature,   fuel::Doubt::density_hot,
                                   fuel::Doubt::viscosity_temperature, fuel::Doubt::viscosity_pressure,
                                   fuel::Doubt::viscosity_blend,       fuel::Doubt::viscosity_stand_in};
  fuel::Doubts found;
  std::size_t extrapolated = 0;
  for (const PointState& state : states) {
    bool here = false;
    for (const fuel::Doubt doubt : flow_doubts) {
      if (!state.liquid.doubts.has(doubt)) continue;
      found.add(doubt);
      here = true;
    }
    extrapolated += here ? 1U : 0U;
  }
  if (extrapolated == 0) return;
  judgement.notes.push_back(
      fmt::format("Density or viscosity of the fuel is extrapolated at {} of {} running points: {}", extrapolated,
                  states.size(), fuel::to_text(found)));
}

/// One branch: most likely values over the whole envelope, then draws.
struct BranchAnswer {
  std::vector<Check> checks;
  std::vector<PointState> states;  ///< by running point, the plain point last
  Draws draws;
};

Result<BranchAnswer> judge_branch(const SupplyModel& model, const std::vector<Criterion>& all,
                                  const std::vector<RunningPoint>& points, const Coupling& coupling, fuel::Cold cold,
                                  const Sampling& sampling, const Run& run) {
  BranchAnswer answer;
  const std::vector<double> slots = model.nominal();
  std::vector<SupplyModel::Case> cases;
  for (const RunningPoint& point : points) cases.push_back({.point = point, .slots = slots});
  cases.push_back({.point = plain_rated, .slots = slots});
  for (std::size_t i = 0; i < cases.size(); ++i) coupling.couple(cases[i], i);
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
    auto draws =
        sample(model, all, points, governing, plain_rated, sampling, coupling.loop ? &*coupling.loop : nullptr, run);
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

std::string fed_where(const DeadPump& dead) {
  std::string words;
  if (dead.points > 0) {
    words = dead.fed_points == dead.points
                ? fmt::format("at all {} running points", dead.points)
                : fmt::format("at {} of {} running points, not at {}", dead.fed_points, dead.points, dead.not_fed_at);
  }
  if (dead.wax_points > 0) {
    words += words.empty() ? "" : "; ";
    words += fmt::format("not known at the {} where the fuel may be waxy", dead.wax_points);
  }
  return words;
}

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
  std::vector<Watched> watches;
  std::vector<std::vector<WayOutcome>> by_way;
  const auto chosen = system::fuel_of_sheet(sheet);
  if (!chosen) return fail(chosen.error());
  const fuel::Cold cold = coldest(*chosen, points);
  Coupling coupling;
  for (std::size_t b = 0; b < ways.size(); ++b) {
    run.progress.at("ways", b, ways.size());
    const auto model = SupplyModel::build(sheet, ways[b], laws);
    if (!model) return fail(model.error());
    // What pumps do with their surplus moves no heat worth mentioning: the most usual way stands for all.
    if (b == 0) coupling = coupling_of(*model, *chosen, points, run, judgement);
    const std::vector<Criterion> all = criteria(*model);
    auto answer = judge_branch(*model, all, points, coupling, cold, sampling, run);
    if (!answer) return fail(answer.error());
    judgement.solved_draws += answer->draws.solved_points;
    judgement.branches.push_back(
        values_of(*model, answer->checks, answer->states.back().inlet_over_ambient_Pa, answer->draws));
    by_way.resize(answer->checks.size());
    for (std::size_t i = 0; i < answer->checks.size(); ++i) {
      const Check& check = answer->checks[i];
      by_way[i].push_back({.way = ways[b].title, .outcome = check.outcome, .value = check.value});
    }
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
    judgement.line = grade_line(*model, at_plain, plain_rated);
    judgement.demand_rated_m3_per_s = at_plain.demand_m3_per_s;
    judgement.burned_rated_m3_per_s = at_plain.burned_m3_per_s;
    judgement.tip_in_sag_Pa = at_plain.inlet_tip_in_sag_Pa;
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
    answer->states.pop_back();
    watches = watched_pumps(*model, points, answer->states);
    note_the_fuel(sheet, *chosen, answer->states, judgement);
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
  for (std::size_t i = 0; i < by_way.size(); ++i) {
    std::ranges::stable_sort(by_way[i], {}, &WayOutcome::outcome);
    if (by_way[i].front().outcome != by_way[i].back().outcome) judgement.checks[i].ways = std::move(by_way[i]);
  }
  auto dead = without_each_pump(sheet, ways, points, coupling, *chosen, run);
  if (!dead) return fail(dead.error());
  judgement.dead_pumps = std::move(*dead);
  if (sampling.long_run && !points.empty()) {
    LongRun warm = long_run(sheet, hottest_air_K(points), run);
    for (Check& check : warm.checks) judgement.checks.push_back(std::move(check));
    if (!warm.note.empty()) judgement.notes.push_back(std::move(warm.note));
  }
  for (Check& check : arrangement_checks(sheet)) judgement.checks.push_back(std::move(check));
  for (Watched& watched : watches) {
    // Felt only if the engine starves under every assumption about the dead pump.
    bool any = false;
    bool fed = false;
    for (const DeadPump& answer : judgement.dead_pumps) {
      if (answer.pump != watched.title) continue;
      any = true;
      fed = fed || answer.engine_fed_at_rated;
    }
    watched.engine_stops = any && !fed;
    judgement.checks.push_back(watch_check(watched));
  }
  judgement.stages = stages(sheet);
  std::ranges::stable_sort(judgement.checks, {}, &Check::outcome);
  return judgement;
}

}  // namespace fw::supply
