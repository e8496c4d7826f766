// SPDX-License-Identifier: Apache-2.0
#include "system/engine_loop.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <string>
#include <utility>

namespace fw::system {

namespace {

constexpr double tolerance_K = 0.05;
constexpr double alike_K = 0.01;
constexpr double settled_K = 1e-4;
constexpr int most_passes = 12;
constexpr int most_rounds = 200;
constexpr double highest_Pa = 200e6;
constexpr double least_flow_m3_per_s = 1e-12;

/// Flow of each leg in its own direction: that of a line, which is all of it; else of a part that is no pump, through
/// which its surplus goes round; else of what there is. A leg without parts counts as still.
std::vector<double> leg_flows(const SupplyModel& model, const PointState& state) {
  enum Worth { none, pump, part, line };
  const std::vector<Leg>& legs = model.sheet().legs;
  std::vector<double> flow(legs.size(), 0.0);
  std::vector<Worth> worth(legs.size(), none);
  for (std::size_t i = 0; i < model.places().size(); ++i) {
    const PlaceAt& place = model.places()[i];
    const auto leg = std::ranges::find(legs, place.leg, &Leg::id);
    const auto at = static_cast<std::size_t>(leg - legs.begin());
    if (leg == legs.end() || place.part_index == 0 || place.part_index > leg->parts.size()) continue;
    const Part& here = leg->parts[place.part_index - 1];
    if (here.bypassed) continue;
    const Worth mine = here.line ? line : here.pump ? pump : part;
    if (mine <= worth[at]) continue;
    worth[at] = mine;
    flow[at] = state.place_flow_m3_per_s[i];
  }
  return flow;
}

/// Temperatures where streams meet: tanks hold theirs, the return is warmer than the inlet by `rise_K`, the others mix
/// what flows in. Sweeps until nothing moves: what is burnt is replaced from a tank, so each round is nearer.
void mix(const LineSheet& sheet, const std::vector<double>& flow, double tank_K, double rise_K, LoopPoint& point) {
  std::map<std::string, double, std::less<>> node_K;
  for (const Leg& leg : sheet.legs) {
    node_K.emplace(leg.from, point.inlet_K);
    node_K.emplace(leg.to, point.inlet_K);
  }
  for (auto& [name, here_K] : node_K) {
    if (sheet.find_tank(name) != nullptr) here_K = tank_K;
  }
  const auto source = [&](std::size_t i) -> const std::string& {
    return flow[i] < 0.0 ? sheet.legs[i].to : sheet.legs[i].from;
  };
  const auto sink = [&](std::size_t i) -> const std::string& {
    return flow[i] < 0.0 ? sheet.legs[i].from : sheet.legs[i].to;
  };
  for (int round = 0; round < most_rounds; ++round) {
    double change_K = 0.0;
    for (auto& [name, here_K] : node_K) {
      if (sheet.find_tank(name) != nullptr) continue;
      if (name == engine_return_end) {
        const double return_K = node_K.at(std::string(engine_end)) + rise_K;
        change_K = std::max(change_K, std::abs(return_K - here_K));
        here_K = return_K;
        continue;
      }
      double in = 0.0;
      double carried = 0.0;
      for (std::size_t i = 0; i < flow.size(); ++i) {
        if (std::abs(flow[i]) < least_flow_m3_per_s || sink(i) != name) continue;
        in += std::abs(flow[i]);
        carried += std::abs(flow[i]) * node_K.at(source(i));
      }
      if (in <= 0.0) continue;
      change_K = std::max(change_K, std::abs(carried / in - here_K));
      here_K = carried / in;
    }
    if (change_K < settled_K) break;
  }
  for (std::size_t i = 0; i < flow.size(); ++i) point.leg_K[i] = node_K.at(source(i));
  point.inlet_K = node_K.at(std::string(engine_end));
  point.return_K = point.inlet_K + rise_K;
}

struct Rise {
  EnginePoint engine{};
  double inlet_K = required;
  double rise_K = required;
};

/// How much warmer the return leaves the engine than it came.
Result<double> rise_of(const RailSide& side, const fuel::Fuel& fuel, const RunningPoint& at, const PointState& supply,
                       double inlet_K) {
  const double power_W = power_of_burn_W(side.set, supply.burned_m3_per_s, supply.liquid.density_kg_per_m3);
  if (at.engine == EnginePoint::crank || at.engine == EnginePoint::stopped || power_W <= 0.0) return 0.0;
  const auto back = engine_return(side, fuel, at.engine, supply.speed_per_s, power_W, inlet_K, pump_inlet(supply));
  if (!back) return fail(back.error());
  return back->heat.return_K - inlet_K;
}

}  // namespace

Result<EngineLoop> close_engine_loop(const SupplyModel& model, const RailSide& side, const fuel::Fuel& fuel,
                                     std::span<const RunningPoint> points, const Run& run) {
  const LineSheet& sheet = model.sheet();
  const std::vector<double> slots = model.nominal();
  EngineLoop loop;
  for (const RunningPoint& at : points) {
    loop.points.push_back({.leg_K = std::vector<double>(sheet.legs.size(), at.fuel_temperature_K),
                           .inlet_K = at.fuel_temperature_K,
                           .return_K = at.fuel_temperature_K,
                           .demand = nullptr});
  }
  std::vector<std::pair<double, std::shared_ptr<const EngineLaw>>> laws;
  const auto law_at = [&](double inlet_K) -> Result<std::shared_ptr<const EngineLaw>> {
    for (const auto& [at_K, law] : laws) {
      if (std::abs(at_K - inlet_K) <= alike_K) return law;
    }
    const auto liquid = rail::rail_liquid(fuel, inlet_K, highest_Pa);
    if (!liquid) return fail(liquid.error());
    laws.emplace_back(inlet_K, std::make_shared<const RailDemand>(side.set, liquid->liquid));
    return laws.back().second;
  };
  for (loop.passes = 1; loop.passes <= most_passes; ++loop.passes) {
    std::vector<SupplyModel::Case> cases;
    for (std::size_t i = 0; i < points.size(); ++i) {
      auto law = law_at(loop.points[i].inlet_K);
      if (!law) return fail(law.error());
      loop.points[i].demand = std::move(*law);
      cases.push_back({.point = points[i], .slots = slots});
      loop.couple(cases.back(), i);
    }
    auto states = model.solve(cases, run);
    if (!states) return fail(states.error());
    loop.states = std::move(*states);
    loop.residual_K = 0.0;
    bool solved = false;
    std::vector<Rise> known;
    for (std::size_t i = 0; i < points.size(); ++i) {
      const PointState& supply = loop.states[i];
      if (supply.status != hydraulics::SolveStatus::converged) continue;
      solved = true;
      LoopPoint& point = loop.points[i];
      const LoopPoint before = point;
      const auto alike = std::ranges::find_if(known, [&](const Rise& one) {
        return one.engine == points[i].engine && std::abs(one.inlet_K - before.inlet_K) <= alike_K;
      });
      double rise_K = 0.0;
      if (alike != known.end()) {
        rise_K = alike->rise_K;
      } else {
        const auto found = rise_of(side, fuel, points[i], supply, before.inlet_K);
        if (!found) return fail(found.error());
        rise_K = *found;
        known.push_back({.engine = points[i].engine, .inlet_K = before.inlet_K, .rise_K = rise_K});
      }
      mix(sheet, leg_flows(model, supply), points[i].fuel_temperature_K, rise_K, point);
      loop.residual_K = std::max(
          {loop.residual_K, std::abs(point.return_K - before.return_K), std::abs(point.inlet_K - before.inlet_K)});
    }
    if (solved && loop.residual_K <= tolerance_K) {
      loop.converged = true;
      break;
    }
  }
  loop.passes = std::min(loop.passes, most_passes);
  return loop;
}

}  // namespace fw::system
