// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include "hydraulics/orifice.hpp"
#include "hydraulics/tank.hpp"
#include "system/supply_body.hpp"

namespace fw::system {

namespace {

constexpr double least_flow_m3_per_s = 1e-8;  // 0.04 L/h, assumed: where less moves, air stays and rises instead
constexpr int most_sweeps = 200;
constexpr double settled_air = 1e-9;

/// A way that carries air with its fuel.
struct Stretch {
  std::size_t from = 0;
  std::size_t to = 0;
  double flow_m3_per_s = 0.0;
};

std::size_t number(NodeId node) { return static_cast<std::size_t>(node); }

/// The stretches between neighbouring places of the legs and through the tees, turned into the direction of the flow.
/// What goes round a rotor and back to its own inlet is left out: it carries its air round with it.
std::vector<Stretch> stretches(const SupplyModel::Body& b, const hydraulics::PointResults& solved, std::size_t row) {
  std::vector<Stretch> all;
  const auto add = [&](NodeId from, NodeId to, double flow) {
    if (from == to || flow == 0.0) return;
    all.push_back(flow > 0.0 ? Stretch{number(from), number(to), flow} : Stretch{number(to), number(from), -flow});
  };
  for (std::size_t i = 1; i < b.places.size(); ++i) {
    if (b.places[i].leg != b.places[i - 1].leg || b.places[i].part_index == 0) continue;
    if (!b.place_nodes[i].through) continue;
    double flow = solved.flow(row, *b.place_nodes[i].through);
    const bool rotor = b.pump_index.contains(b.places[i].part);
    if (rotor && b.places[i - 1].part_index > 0 && b.place_nodes[i - 1].through) {
      flow = solved.flow(row, *b.place_nodes[i - 1].through);
    }
    add(b.place_nodes[i - 1].node, b.place_nodes[i].node, flow);
  }
  for (const TeeAt& tee : b.tees) {
    for (const ElementId leg : tee.legs) {
      const auto& element = b.network->definition().elements[static_cast<std::size_t>(leg)];
      add(element.from, element.to, solved.flow(row, leg));
    }
  }
  return all;
}

}  // namespace

/// Air leaks of one point: in at vacuum by Q = Cd A sqrt(2 dp/rho_air), choked from dp = 0.47 ambient; out by the same
/// hole as a sharp orifice of fuel.
Result<std::vector<AirLeak>> SupplyModel::leaks_of(const CaseContext& c, const hydraulics::PointResults& solved,
                                                   std::size_t row) const {
  const Body& b = *body_;
  std::vector<AirLeak> leaks;
  for (const LeakAt& at : b.leaks) {
    const PlaceNode& place = b.place_nodes[at.place];
    const double over = solved.pressure(row, place.node) - c.rho_g * c.at(place.height) - c.ambient_Pa;
    AirLeak leak{.part = at.part};
    const double area = hydraulics::bore_area_m2(c.at(at.bore));
    if (over < 0.0) {
      const auto air = hydraulics::standard_atmosphere(c.running->point.altitude_m);
      if (!air) return fail(air.error());
      const double driving = std::min(-over, choked_share * c.ambient_Pa);
      leak.air_m3_per_s = hydraulics::sharp_discharge * area * std::sqrt(2.0 * driving / air->air_density_kg_per_m3);
    } else {
      leak.fuel_m3_per_s = hydraulics::sharp_discharge * area * std::sqrt(2.0 * over / c.liquid.density_kg_per_m3);
    }
    leaks.push_back(std::move(leak));
  }
  return leaks;
}

/// Air of the leaks [m3/s at ambient] per liquid that passes, by node. It goes where the fuel of its place goes, to
/// both sides if the fuel leaves it both ways; a junction shares it out as the flows; a tank or a spill takes its share
/// away.
std::vector<double> SupplyModel::carried_air(const hydraulics::PointResults& solved, std::size_t row,
                                             const std::vector<AirLeak>& leaks) const {
  const Body& b = *body_;
  std::vector<double> per_liquid(solved.nodes, 0.0);
  if (std::ranges::all_of(leaks, [](const AirLeak& leak) { return leak.air_m3_per_s == 0.0; })) return per_liquid;
  const std::vector<Stretch> ways = stretches(b, solved, row);
  std::vector<double> entering(solved.nodes, 0.0);
  std::vector<double> leaving(solved.nodes, 0.0);
  for (const Stretch& way : ways) {
    entering[way.to] += way.flow_m3_per_s;
    leaving[way.from] += way.flow_m3_per_s;
  }
  std::vector<double> leaked(solved.nodes, 0.0);
  for (std::size_t i = 0; i < leaks.size(); ++i) {
    leaked[number(b.place_nodes[b.leaks[i].place].node)] += leaks[i].air_m3_per_s;
  }
  std::vector<bool> absorbs(solved.nodes, false);
  for (const NodeId tank : b.tank_nodes) absorbs[number(tank)] = true;
  absorbs[number(b.engine)] = true;  // read there, not followed further

  // Sweep until nothing moves: once per part of the longest way, and a few times more where fuel goes round.
  std::vector<double> air = leaked;
  double most = 0.0;
  for (const double source : leaked) most += source;
  for (int sweep = 0; sweep < most_sweeps; ++sweep) {
    std::vector<double> next = leaked;
    for (const Stretch& way : ways) {
      if (absorbs[way.from]) continue;
      const double passing = std::max({entering[way.from], leaving[way.from], least_flow_m3_per_s});
      next[way.to] += air[way.from] * way.flow_m3_per_s / passing;
    }
    double change = 0.0;
    for (std::size_t node = 0; node < air.size(); ++node) change = std::max(change, std::abs(next[node] - air[node]));
    air = std::move(next);
    if (change <= settled_air * most) break;
  }
  for (std::size_t node = 0; node < air.size(); ++node) {
    per_liquid[node] = air[node] / std::max({entering[node], leaving[node], least_flow_m3_per_s});
  }
  for (const NodeId tank : b.tank_nodes) per_liquid[number(tank)] = 0.0;
  return per_liquid;
}

}  // namespace fw::system
