// SPDX-License-Identifier: Apache-2.0
#include "supply/judge.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

#include "fuel/fuel_text.hpp"

namespace fw::supply {

namespace {

using system::EnginePoint;
using system::PointState;
using system::RunningPoint;
using system::SupplyModel;

constexpr double kPa = 1e3;
constexpr double electric_suction_narrow_Pa = -10 * kPa;  // assumed
constexpr double electric_suction_fails_Pa = -17 * kPa;   // assumed

constexpr std::array<std::string_view, 5> climate_names{"arctic", "cold", "temperate", "hot", "tropical"};
struct Temperatures {
  double coldest_C, hottest_C;
};
// Ambient range by climate word; hot fuel = hottest ambient + 25 (layouts, typical).
constexpr std::array<Temperatures, 5> climates{{{-40, 45}, {-25, 55}, {-10, 60}, {5, 70}, {15, 70}}};

/// Outcome of a value against a limit that must not be undercut (`low`) or exceeded.
Outcome against(double value_Pa, const Limit& limit, bool low) {
  if (!std::isfinite(limit.fails_Pa)) return Outcome::not_known;
  const auto beyond = [low, value_Pa](double bound) { return low ? value_Pa < bound : value_Pa > bound; };
  if (beyond(limit.fails_Pa)) return Outcome::fails;
  if (limit.narrow_Pa && beyond(*limit.narrow_Pa)) return Outcome::narrow;
  return Outcome::holds;
}

struct Solved {
  std::vector<PointState> states;
  const SupplyModel* model = nullptr;
  const system::Branch* branch = nullptr;
};

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

/// The worst value of one place over all points: lowest for low checks, highest for high ones.
struct Worst {
  std::optional<double> value_Pa;
  std::size_t at = 0;
};

Worst worst_of(const Solved& solved, std::size_t place, bool low, const std::vector<RunningPoint>& points,
               const auto& counts) {
  Worst worst;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const PointState& state = solved.states[i];
    if (state.status != hydraulics::SolveStatus::converged || !counts(points[i])) continue;
    const double value = state.place_over_ambient_Pa[place];
    if (!worst.value_Pa || (low ? value < *worst.value_Pa : value > *worst.value_Pa)) worst = {value, i};
  }
  return worst;
}

bool worse(const Check& a, const Check& b) {
  if (a.outcome != b.outcome) return a.outcome < b.outcome;
  return a.margin_Pa.value_or(0.0) < b.margin_Pa.value_or(0.0);
}

Check place_check(const Solved& solved, const std::vector<RunningPoint>& points, std::size_t place, bool low,
                  const Limit& limit, const auto& counts) {
  Check check;
  const Worst worst = worst_of(solved, place, low, points, counts);
  check.limit = limit;
  check.branch = solved.branch->title;
  if (!worst.value_Pa) {
    check.sentence = "No running point of this check could be solved.";
    return check;
  }
  check.value_Pa = worst.value_Pa;
  check.point = points[worst.at];
  check.outcome = against(*worst.value_Pa, limit, low);
  if (std::isfinite(limit.fails_Pa)) {
    check.margin_Pa = low ? *worst.value_Pa - limit.fails_Pa : limit.fails_Pa - *worst.value_Pa;
  }
  return check;
}

std::string ending(const Limit& limit) {
  switch (limit.origin) {
    case LimitOrigin::maker: return ".";
    case LimitOrigin::practice: return ", against common practice; maker's limit not entered.";
    case LimitOrigin::assumed: return ", against an assumed limit; maker's limit not entered.";
    case LimitOrigin::none: return "; no limit is known.";
  }
  return ".";
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

std::vector<Check> checks_of(const Solved& solved, const system::LineSheet& sheet,
                             const std::vector<RunningPoint>& points) {
  std::vector<Check> checks;
  const SupplyModel& model = *solved.model;
  const InletLimits limits = inlet_limits(sheet.engine);
  const fuel::Cold cold = coldest(sheet, points);
  const std::size_t inlet = model.place_of(system::engine_end).value();
  const auto running = [](const RunningPoint& point) {
    return point.engine != EnginePoint::stopped && point.engine != EnginePoint::crank;
  };
  const auto always = [](const RunningPoint&) { return true; };

  Check low = place_check(solved, points, inlet, true, limits.low, running);
  low.id = "inlet-low";
  low.title = "Pump inlet pressure, low side";
  low.place = "pump inlet";
  low.place_part = system::engine_end;
  if (low.sentence.empty()) {
    low.sentence = (low.outcome == Outcome::fails    ? "The high-pressure pump is not fed enough"
                    : low.outcome == Outcome::narrow ? "The high-pressure pump is fed with little to spare"
                    : low.outcome == Outcome::holds  ? "The high-pressure pump is fed"
                                                     : "The inlet class of the high-pressure pump is not stated") +
                   ending(limits.low);
  }
  apply_wax(low, cold);
  checks.push_back(low);

  Check high = place_check(solved, points, inlet, false, limits.high, always);
  high.id = "inlet-high";
  high.title = "Pump inlet pressure, high side";
  high.place = "pump inlet";
  high.place_part = system::engine_end;
  if (high.sentence.empty()) {
    high.sentence = (high.outcome == Outcome::fails   ? "The inlet is pressed harder than it should be"
                     : high.outcome == Outcome::holds ? "The inlet is not pressed too hard"
                                                      : "How much the inlet may be pressed is not stated") +
                    ending(limits.high);
  }
  checks.push_back(high);

  // Vacuum at the inlet of every electric pump.
  const Limit suction{.fails_Pa = electric_suction_fails_Pa,
                      .narrow_Pa = electric_suction_narrow_Pa,
                      .origin = LimitOrigin::assumed,
                      .source = "electric pump on suction: narrow beyond 10, fails beyond 17 kPa, assumed"};
  for (const system::Leg& leg : sheet.legs) {
    for (const system::Part& part : leg.parts) {
      if (!part.pump || part.bypassed || part.pump->drive != system::Drive::electric) continue;
      const std::size_t after = model.place_of(part.id).value();
      Check vacuum = place_check(solved, points, after - 1, true, suction, always);
      vacuum.id = "suction-" + part.id;
      vacuum.title = "Vacuum at the " + part.title;
      vacuum.place = "inlet of the " + part.title;
      vacuum.place_part = part.id;
      if (vacuum.sentence.empty()) {
        vacuum.sentence = (vacuum.outcome == Outcome::fails    ? "The pump sucks too hard: air comes out and it wears"
                           : vacuum.outcome == Outcome::narrow ? "The pump sucks with little to spare"
                                                               : "The pump is not starved on its suction side") +
                          ending(suction);
      }
      apply_wax(vacuum, cold);
      checks.push_back(std::move(vacuum));
    }
  }

  // Delivery: a state, not a pressure.
  Check delivery;
  delivery.id = "delivery";
  delivery.title = "Fuel asked for is delivered";
  delivery.place = "pump inlet";
  delivery.place_part = system::engine_end;
  delivery.branch = solved.branch->title;
  delivery.outcome = Outcome::holds;
  delivery.sentence = "The engine gets what it asks for at every running point.";
  std::size_t unsolved = 0;
  double most_missing = 0.0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const PointState& state = solved.states[i];
    if (state.status != hydraulics::SolveStatus::converged) {
      ++unsolved;
      continue;
    }
    const double missing = state.demand_m3_per_s - state.taken_m3_per_s;
    if (state.starved && missing >= most_missing) {
      most_missing = missing;
      delivery.outcome = Outcome::fails;
      delivery.point = points[i];
      delivery.place = state.starved_at;
      delivery.sentence = "The suction reaches the fuel's vapour pressure: fuel is missing downstream.";
    }
  }
  if (delivery.outcome == Outcome::holds && unsolved * 100 > points.size()) {
    delivery.outcome = Outcome::not_known;
    delivery.sentence = "Some running points could not be solved.";
  }
  apply_wax(delivery, cold);
  checks.push_back(std::move(delivery));
  return checks;
}

GradeLine grade_line(const SupplyModel& model, const PointState& state, const RunningPoint& point) {
  GradeLine line{.point = point, .places = {}, .over_ambient_Pa = {}};
  // The way of the fuel: legs that lead to the engine, in the order of the sheet.
  for (std::size_t i = 0; i < model.places().size(); ++i) {
    const system::PlaceAt& place = model.places()[i];
    const system::Leg* leg = model.sheet().find_leg(place.leg);
    if (leg == nullptr || leg->from == system::engine_return_end) continue;
    if (place.part.empty() && place.part_index != 0 && leg->to != system::engine_end) continue;
    line.places.push_back(place);
    line.over_ambient_Pa.push_back(state.place_over_ambient_Pa[i]);
  }
  return line;
}

}  // namespace

std::string_view name(Outcome outcome) {
  switch (outcome) {
    case Outcome::fails: return "fails";
    case Outcome::not_known: return "not known";
    case Outcome::narrow: return "narrow";
    case Outcome::holds: return "holds";
  }
  return "not known";
}

std::string_view words(LimitOrigin origin) {
  switch (origin) {
    case LimitOrigin::maker: return "maker's limit";
    case LimitOrigin::practice: return "against common practice; maker's limit not entered";
    case LimitOrigin::assumed: return "assumed limit; maker's limit not entered";
    case LimitOrigin::none: return "no limit known";
  }
  return "no limit known";
}

std::string_view name(Climate climate) { return climate_names.at(static_cast<std::size_t>(climate)); }

std::optional<Climate> climate_named(std::string_view text) {
  for (std::size_t i = 0; i < climate_names.size(); ++i) {
    if (climate_names[i] == text) return static_cast<Climate>(i);
  }
  return std::nullopt;
}

std::vector<RunningPoint> envelope(Climate climate) {
  const Temperatures range = climates.at(static_cast<std::size_t>(climate));
  std::vector<RunningPoint> points;
  for (const EnginePoint engine :
       {EnginePoint::crank, EnginePoint::idle, EnginePoint::cruise, EnginePoint::torque_peak, EnginePoint::rated}) {
    for (const double celsius : {range.coldest_C, 20.0, range.hottest_C}) {
      for (const double loading : {0.0, 1.0}) {
        // A spent element is changed before winter: end of life is judged on warm fuel only.
        if (loading > 0.0 && celsius < 20.0) continue;
        for (const double level : {0.5, 0.1}) {
          points.push_back({.engine = engine,
                            .fuel_temperature_K = celsius + 273.15,
                            .voltage_V = engine == EnginePoint::crank ? 9.5 : 13.8,
                            .tank_level = level,
                            .filter_loading = loading});
        }
      }
    }
  }
  return points;
}

InletLimits inlet_limits(const system::Engine& engine) {
  InletLimits limits;
  const char* articles = "supply pressures of light-duty systems, trade articles";
  switch (engine.inlet) {
    case system::InletClass::sucks:
      limits.low = {.fails_Pa = -41 * kPa,
                    .narrow_Pa = -34 * kPa,
                    .origin = LimitOrigin::practice,
                    .source = "factory suction table of a suction-fed V8"};
      break;
    case system::InletClass::fed_low:
      limits.low = {.fails_Pa = 55 * kPa, .narrow_Pa = {}, .origin = LimitOrigin::practice, .source = articles};
      limits.high = {.fails_Pa = 103 * kPa, .narrow_Pa = {}, .origin = LimitOrigin::practice, .source = articles};
      break;
    case system::InletClass::fed_high:
      limits.low = {.fails_Pa = 310 * kPa, .narrow_Pa = {}, .origin = LimitOrigin::practice, .source = articles};
      limits.high = {.fails_Pa = 448 * kPa, .narrow_Pa = {}, .origin = LimitOrigin::practice, .source = articles};
      break;
    case system::InletClass::unknown: break;
  }
  if (engine.inlet_low_Pa) {
    limits.low = {.fails_Pa = engine.inlet_low_Pa->value,
                  .narrow_Pa = {},
                  .origin = LimitOrigin::maker,
                  .source = "maker's value as entered"};
  }
  if (engine.inlet_high_Pa) {
    limits.high = {.fails_Pa = engine.inlet_high_Pa->value,
                   .narrow_Pa = {},
                   .origin = LimitOrigin::maker,
                   .source = "maker's value as entered"};
  }
  return limits;
}

Result<SheetJudgement> judge_sheet(const system::LineSheet& sheet, const std::vector<RunningPoint>& points,
                                   const Run& run) {
  SheetJudgement judgement;
  judgement.name = sheet.name;
  judgement.file = sheet.file;
  const system::Laws laws = system::default_laws();
  const std::vector<system::Branch> all = system::branches(sheet);
  if (all.size() > 1) {
    judgement.notes.push_back(fmt::format(
        "What a pump does with its surplus or at rest is not stated: {} ways were computed, the worst is shown.",
        all.size()));
  }
  const RunningPoint plain{};
  const RunningPoint plain_idle{.engine = EnginePoint::idle};

  for (std::size_t b = 0; b < all.size(); ++b) {
    const auto model = SupplyModel::build(sheet, all[b], laws);
    if (!model) return fail(model.error());
    const std::vector<double> slots = model->nominal();
    std::vector<SupplyModel::Case> cases;
    for (const RunningPoint& point : points) cases.push_back({.point = point, .slots = slots});
    cases.push_back({.point = plain, .slots = slots});
    auto states = model->solve(cases, run);
    if (!states) return fail(states.error());
    const PointState at_plain = states->back();
    states->pop_back();

    const Solved solved{.states = std::move(*states), .model = &*model, .branch = &all[b]};
    std::vector<Check> checks = checks_of(solved, sheet, points);
    if (b == 0) {
      judgement.checks = std::move(checks);
      judgement.points = points.size();
      judgement.inputs.assign(model->inputs().begin(), model->inputs().end());
      judgement.line = grade_line(*model, at_plain, plain);
      judgement.demand_rated_m3_per_s = at_plain.demand_m3_per_s;
      judgement.burned_rated_m3_per_s = at_plain.burned_m3_per_s;
      std::optional<std::size_t> lowest;
      for (std::size_t i = 0; i < points.size(); ++i) {
        if (solved.states[i].status != hydraulics::SolveStatus::converged) {
          ++judgement.unsolved;
          continue;
        }
        if (!lowest || solved.states[i].inlet_over_ambient_Pa < solved.states[*lowest].inlet_over_ambient_Pa)
          lowest = i;
      }
      if (lowest) judgement.worst_line = grade_line(*model, solved.states[*lowest], points[*lowest]);

      for (const system::Leg& leg : sheet.legs) {
        for (const system::Part& part : leg.parts) {
          if (!part.pump || part.bypassed || part.pump->drive == system::Drive::hand) continue;
          const std::vector<std::string> dead{part.id};
          const std::vector<SupplyModel::Case> two{{.point = plain_idle, .slots = slots, .stopped_pumps = &dead},
                                                   {.point = plain, .slots = slots, .stopped_pumps = &dead}};
          const auto without = model->solve(two, run);
          if (!without) return fail(without.error());
          const auto fed = [](const PointState& state) {
            return state.status == hydraulics::SolveStatus::converged && !state.starved;
          };
          judgement.dead_pumps.push_back({.pump = part.title,
                                          .engine_fed_at_idle = fed((*without)[0]),
                                          .engine_fed_at_rated = fed((*without)[1]),
                                          .inlet_at_idle_Pa = (*without)[0].inlet_over_ambient_Pa,
                                          .inlet_at_rated_Pa = (*without)[1].inlet_over_ambient_Pa});
        }
      }
    } else {
      for (std::size_t i = 0; i < checks.size(); ++i) {
        if (worse(checks[i], judgement.checks[i])) judgement.checks[i] = std::move(checks[i]);
      }
    }
  }
  std::ranges::stable_sort(judgement.checks, {}, &Check::outcome);
  return judgement;
}

}  // namespace fw::supply
