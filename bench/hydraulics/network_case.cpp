// SPDX-License-Identifier: Apache-2.0
#include "network_case.hpp"

#include <cmath>
#include <numbers>
#include <utility>

#include "listed_points.hpp"

namespace fw::bench {

using hydraulics::Law;
using hydraulics::NodeId;
using hydraulics::NodeKind;

namespace {

constexpr double lph = 1e-3 / 3600.0;

enum class Kind : std::uint8_t { hose, fitting, filter, valve, curve, gear, engine, guard };

struct Part {
  Kind kind;
  double size[4];  // hose: bore, length, roughness, K; fitting: bore, K1, K; filter: a, b; valve: crack, a, b; ...
};

class Builder {
 public:
  Case built;
  std::vector<Part> parts;

  NodeId node() { return built.definition.add_node("n"); }
  void add(Kind kind, Law law, NodeId from, NodeId to, double a = 0, double b = 0, double c = 0, double d = 0) {
    built.definition.add_element("e", law, from, to);
    parts.push_back({.kind = kind, .size = {a, b, c, d}});
  }
  NodeId hose(NodeId from, double bore_m, double length_m) {
    const NodeId to = node();
    hose_to(from, to, bore_m, length_m);
    return to;
  }
  void hose_to(NodeId from, NodeId to, double bore_m, double length_m) {
    add(Kind::hose, Law::pipe, from, to, bore_m, length_m, 3e-5, 1.0);
  }
  NodeId fitting(NodeId from, double bore_m) {
    const NodeId to = node();
    fitting_to(from, to, bore_m);
    return to;
  }
  void fitting_to(NodeId from, NodeId to, double bore_m) {
    add(Kind::fitting, Law::resistor, from, to, bore_m, 800.0, 0.8);
  }

  /// One system from `in`; returns the node of its return manifold.
  NodeId system(NodeId in, NodeId tank) {
    const NodeId a = hose(in, 0.012, 0.6);
    const NodeId b = fitting(a, 0.011);
    const NodeId c = hose(b, 0.0127, 2.0);
    const NodeId d = node();
    add(Kind::filter, Law::resistor, c, d, 1e8, 1e11);
    add(Kind::valve, Law::valve, c, d, 30e3, 2e8, 4e12);
    const NodeId e = node();
    add(Kind::gear, Law::source, d, e, 260 * lph, 4e-12);
    add(Kind::valve, Law::valve, e, d, 80e3, 5e8, 1e12);
    add(Kind::valve, Law::valve, d, e, 3e3, 2e8, 4e12);
    add(Kind::guard, Law::vapour_guard, d, e);
    const NodeId f = hose(e, 0.0095, 1.2);
    const NodeId g = fitting(f, 0.008);
    const NodeId h = hose(g, 0.0095, 0.5);
    const NodeId i = node();
    add(Kind::filter, Law::resistor, h, i, 4e8, 5e11);
    const NodeId j = hose(i, 0.0095, 0.5);
    const NodeId k = hose(g, 0.006, 1.0);
    fitting_to(k, j, 0.005);
    const NodeId l = node();
    add(Kind::curve, Law::valve, j, l, -300e3, 1.5e9, 1.2e13);
    add(Kind::valve, Law::valve, j, l, 3e3, 2e8, 4e12);
    const NodeId m = hose(l, 0.0079, 1.2);
    const NodeId n = fitting(m, 0.007);
    const NodeId o1 = hose(n, 0.0079, 0.8);
    const NodeId o = fitting(o1, 0.0075);
    const NodeId v = hose(n, 0.006, 0.8);
    fitting_to(v, o, 0.0055);
    const NodeId p = node();
    add(Kind::engine, Law::draw, o, p);
    add(Kind::guard, Law::vapour_guard, o, p);
    const NodeId q = node();
    add(Kind::valve, Law::valve, o, q, 350e3, 1.2e9, 0.0);
    hose_to(q, p, 0.0063, 0.5);
    const NodeId s = hose(p, 0.0079, 2.5);
    const NodeId t = fitting(s, 0.007);
    hose_to(t, tank, 0.0079, 0.6);
    const NodeId u = hose(p, 0.0063, 3.0);
    fitting_to(u, tank, 0.006);
    return p;
  }

  void two_tanks(NodeId left, NodeId right) {
    hose_to(left, right, 0.016, 2.5);  // crossover
    const NodeId a = hose(left, 0.0127, 1.5);
    const NodeId b = fitting(right, 0.011);
    hose_to(b, a, 0.0127, 2.5);
    const NodeId c = hose(a, 0.0127, 1.0);
    const NodeId d = node();
    add(Kind::filter, Law::resistor, c, d, 2e8, 2e11);
    add(Kind::valve, Law::valve, c, d, 25e3, 2e8, 4e12);
    const NodeId e = node();
    add(Kind::gear, Law::source, d, e, 240 * lph, 4e-12);
    add(Kind::valve, Law::valve, e, d, 300e3, 5e8, 1e12);
    add(Kind::valve, Law::valve, d, e, 3e3, 2e8, 4e12);
    add(Kind::guard, Law::vapour_guard, d, e);
    const NodeId f = hose(e, 0.0095, 1.5);
    const NodeId g = node();
    add(Kind::filter, Law::resistor, f, g, 5e8, 5e11);
    const NodeId h = hose(g, 0.0079, 1.0);
    const NodeId i = node();
    add(Kind::engine, Law::draw, h, i);
    add(Kind::guard, Law::vapour_guard, h, i);
    const NodeId j = node();
    add(Kind::valve, Law::valve, h, j, 150e3, 1.2e9, 0.0);
    hose_to(j, i, 0.0063, 0.5);
    const NodeId k = hose(i, 0.0079, 2.0);
    fitting_to(k, left, 0.007);
    const NodeId l = hose(i, 0.0079, 3.0);
    fitting_to(l, right, 0.007);
  }
};

Case with_points(Builder builder, std::size_t tanks, std::size_t points, Friction friction) {
  Case out = std::move(builder.built);
  for (std::size_t point = 0; point < points; ++point) {
    test::CaseRandom random(977 * (point + 1));
    const double nu = 1.8e-6 * std::pow(10.0, random.uniform(0.0, 1.15));
    const double rho = random.uniform(810.0, 850.0);
    const double mu = nu * rho;
    const double speed = random.uniform(0.75, 1.05);
    const double demand = random.uniform(0.1, 1.0);
    CasePoint values;
    values.fixed_Pa.push_back(random.uniform(75e3, 103e3));
    values.transition_reynolds = friction == Friction::drawn ? random.uniform(2000.0, 4000.0) : 0.0;
    for (const Part& part : builder.parts) {
      const double spread = random.uniform(0.95, 1.05);
      const double loading = random.uniform(1.0, 6.0);
      const double* x = part.size;
      const double bore = x[0] * spread;
      const double area = std::numbers::pi * bore * bore / 4.0;
      std::vector<double> k;
      switch (part.kind) {
        case Kind::hose:
          k = {4.0 / (std::numbers::pi * bore * nu),
               128.0 * mu * x[1] / (std::numbers::pi * bore * bore * bore * bore),
               x[2] / bore,
               0.0,
               0.0,
               x[3] * rho / (2.0 * area * area)};
          break;
        case Kind::fitting: k = {x[1] * mu / (2.0 * bore * area), x[2] * rho / (2.0 * area * area)}; break;
        case Kind::filter: k = {x[0] * (mu / 3e-3) * loading, x[1]}; break;
        case Kind::valve: k = {x[0] * spread, x[1], x[2], 0.0}; break;
        case Kind::curve: k = {x[0] * speed * speed, x[1] * speed, x[2], 0.0}; break;
        case Kind::gear: k = {x[0] * speed, x[1] * 3e-3 / mu}; break;
        case Kind::engine: k = {180 * lph * demand}; break;
        case Kind::guard: k = {1e3}; break;
      }
      values.coefficients.push_back(std::move(k));
    }
    out.points.push_back(std::move(values));
  }
  // What the other tanks differ by is drawn last: a second tank changes no other draw.
  for (std::size_t point = 0; tanks > 1 && point < points; ++point) {
    test::CaseRandom random(1009 * (point + 1));
    std::vector<double>& fixed_Pa = out.points[point].fixed_Pa;
    while (fixed_Pa.size() < tanks) fixed_Pa.push_back(fixed_Pa[0] + random.uniform(-4e3, 4e3));
  }
  return out;
}

}  // namespace

Case supply_case(std::size_t blocks, std::size_t points, Friction friction) {
  Builder builder;
  const NodeId tank = builder.built.definition.add_node("tank", NodeKind::fixed);
  NodeId in = tank;
  for (std::size_t block = 0; block < blocks; ++block) in = builder.system(in, tank);
  return with_points(std::move(builder), 1, points, friction);
}

Case two_tank_case(std::size_t points) {
  Builder builder;
  const NodeId left = builder.built.definition.add_node("left", NodeKind::fixed);
  const NodeId right = builder.built.definition.add_node("right", NodeKind::fixed);
  builder.two_tanks(left, right);
  return with_points(std::move(builder), 2, points, Friction::churchill);
}

hydraulics::PointTable table_of(const hydraulics::Network& network, const Case& bench_case) {
  hydraulics::PointTable table(network, bench_case.points.size());
  for (std::size_t point = 0; point < bench_case.points.size(); ++point) {
    const CasePoint& values = bench_case.points[point];
    table.set_transition(point, values.transition_reynolds);
    test::set_listed(table, point, bench_case.definition, values.coefficients, values.fixed_Pa);
  }
  return table;
}

}  // namespace fw::bench
