// SPDX-License-Identifier: Apache-2.0
// Networks with loops against values found by other ways.
#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

#include <gtest/gtest.h>

#include "hydraulics/network.hpp"

namespace fw::hydraulics {
namespace {

constexpr double pi = std::numbers::pi;
constexpr double lph = 1e-3 / 3600.0;

PointResults solve_one(const Network& network, const PointTable& table) {
  InlineExecutor executor;
  SilentProgress progress;
  PointResults results = network.solve(table, {}, {.executor = executor, .progress = progress, .stop = {}}).value();
  EXPECT_EQ(results.status[0], SolveStatus::converged);
  return results;
}

// E. Todini, L. A. Rossman, J. Hydraul. Eng. 139(5) (2013) 511, example (through a secondary source): head loss
// r Q |Q|^0.852, flows and heads exact to 1e-5. The element lives here: a Q + b Q^2 with the law's value and slope at
// the last flow, from 50 everywhere, solved again until it stands still.
TEST(NetworkLoops, MeetTodiniAndRossman) {
  const double r[] = {0.000298867, 0.007789731, 0.014060475, 0.002157818, 0.011684596, 0.02812095, 0.014060475};
  const int ends[][2] = {{0, 1}, {0, 2}, {1, 2}, {1, 3}, {1, 4}, {2, 4}, {3, 4}};
  const double expected_flow[] = {80, 20, 10, 40, 20, 10, 10};
  NetworkDefinition net;
  NodeId nodes[5];
  nodes[0] = net.add_node("0", NodeKind::fixed);
  for (int i = 1; i < 5; ++i) nodes[i] = net.add_node(std::to_string(i));
  ElementId links[7];
  for (int i = 0; i < 7; ++i) links[i] = net.add_element("link", Law::resistor, nodes[ends[i][0]], nodes[ends[i][1]]);
  ElementId demands[5];
  for (int i = 1; i < 5; ++i) demands[i] = net.add_element("demand", Law::draw, nodes[i], nodes[0]);
  const Network network = Network::compile(net).value();
  PointTable table(network, 1);
  table.set_pressure(0, nodes[0], 100.0);
  for (int i = 1; i < 5; ++i) table.set(0, demands[i], DrawCoefficients{.flow_m3_per_s = 10.0 * i});
  double flow[7];
  for (double& q : flow) q = 50.0;
  int rounds = 0;
  for (double change = 1.0; change > 1e-9 && rounds < 30; ++rounds) {
    for (int i = 0; i < 7; ++i) {
      const double size = std::abs(flow[i]);
      table.set(0, links[i],
                ResistorCoefficients{.linear_Pa_s_per_m3 = 0.148 * r[i] * std::pow(size, 0.852),
                                     .quadratic_Pa_s2_per_m6 = 0.852 * r[i] * std::pow(size, -0.148)});
    }
    const PointResults results = solve_one(network, table);
    change = 0.0;
    for (int i = 0; i < 7; ++i) {
      change = std::max(change, std::abs(results.flow(0, links[i]) - flow[i]));
      flow[i] = results.flow(0, links[i]);
    }
    for (int i = 1; i < 5 && change <= 1e-9; ++i) EXPECT_NEAR(results.pressure(0, nodes[i]), 100.0 - i, 1e-5);
  }
  EXPECT_LT(rounds, 10);
  for (int i = 0; i < 7; ++i) EXPECT_NEAR(flow[i], expected_flow[i], 1e-4) << "link " << i;
}

// A network of two loops, by hand: a feed, five hoses, one bridge of linear loss, three draws. Independent calculation:
// Newton on the two loop flows, friction in Churchill's printed form with the standard library, slopes by
// differences.
TEST(NetworkLoops, TwoLoopsAgreeWithLoopFlows) {
  struct Hose {
    double bore_m, length_m;
  };
  const Hose hoses[] = {{9.5e-3, 1.0}, {7.9e-3, 1.5}, {6.3e-3, 0.8}, {6.3e-3, 1.2}, {7.9e-3, 2.0}};
  const double rho = 835.0;
  const double nu = 2.2e-6;  // warm: Re 900 to 5000, so laminar and turbulent hoses in one loop
  const double roughness_m = 3e-5;
  const double bridge = 4e7;  // Pa s/m3
  const double draws[] = {40 * lph, 60 * lph, 130 * lph};
  const auto per_flow = [&](const Hose& hose) { return 4.0 / (pi * hose.bore_m * nu); };
  const auto laminar = [&](const Hose& hose) {
    return 128.0 * rho * nu * hose.length_m / (pi * std::pow(hose.bore_m, 4));
  };

  NetworkDefinition net;
  const NodeId tank = net.add_node("tank", NodeKind::fixed);
  const NodeId a = net.add_node("a");
  const NodeId b = net.add_node("b");
  const NodeId c = net.add_node("c");
  const NodeId d = net.add_node("d");
  const NodeId ends[][2] = {{tank, a}, {a, b}, {a, c}, {b, d}, {c, d}};
  ElementId pipes[5];
  for (int i = 0; i < 5; ++i) pipes[i] = net.add_element("hose", Law::pipe, ends[i][0], ends[i][1]);
  const ElementId bridge_id = net.add_element("bridge", Law::resistor, b, c);
  const NodeId drawn_at[] = {b, c, d};
  ElementId draw_ids[3];
  for (int i = 0; i < 3; ++i) draw_ids[i] = net.add_element("draw", Law::draw, drawn_at[i], tank);
  const Network network = Network::compile(net).value();
  PointTable table(network, 1);
  table.set_pressure(0, tank, 3e5);
  for (int i = 0; i < 5; ++i) {
    table.set(0, pipes[i],
              PipeCoefficients{.reynolds_per_flow_s_per_m3 = per_flow(hoses[i]),
                               .laminar_resistance_Pa_s_per_m3 = laminar(hoses[i]),
                               .relative_roughness = roughness_m / hoses[i].bore_m});
  }
  table.set(0, bridge_id, ResistorCoefficients{.linear_Pa_s_per_m3 = bridge});
  for (int i = 0; i < 3; ++i) table.set(0, draw_ids[i], DrawCoefficients{.flow_m3_per_s = draws[i]});
  const PointResults results = solve_one(network, table);

  const auto drop = [&](int i, double q) {
    const double re = std::max(std::abs(q) * per_flow(hoses[i]), 1.0);
    const double e = roughness_m / hoses[i].bore_m;
    const double big_a = std::pow(2.457 * std::log(1.0 / (std::pow(7.0 / re, 0.9) + 0.27 * e)), 16);
    const double big_b = std::pow(37530.0 / re, 16);
    const double f = 8.0 * std::pow(std::pow(8.0 / re, 12) + std::pow(big_a + big_b, -1.5), 1.0 / 12.0);
    return f * re / 64.0 * laminar(hoses[i]) * q;
  };
  const double total = draws[0] + draws[1] + draws[2];
  const auto loops = [&](double x, double y, double* out) {  // x: a to b, y: b to d
    const double over_bridge = bridge * (x - draws[0] - y);
    out[0] = drop(1, x) + over_bridge - drop(2, total - x);
    out[1] = drop(3, y) - drop(4, draws[2] - y) - over_bridge;
  };
  double x = 0.5 * total;
  double y = 0.5 * draws[2];
  double f[2];
  for (int i = 0; i < 200; ++i) {
    loops(x, y, f);
    const double h = 1e-6 * total;
    double px[2], mx[2], py[2], my[2];
    loops(x + h, y, px);
    loops(x - h, y, mx);
    loops(x, y + h, py);
    loops(x, y - h, my);
    const double xx = (px[0] - mx[0]) / (2 * h);
    const double yx = (px[1] - mx[1]) / (2 * h);
    const double xy = (py[0] - my[0]) / (2 * h);
    const double yy = (py[1] - my[1]) / (2 * h);
    const double det = xx * yy - xy * yx;
    x -= 0.5 * (yy * f[0] - xy * f[1]) / det;
    y -= 0.5 * (xx * f[1] - yx * f[0]) / det;
  }
  loops(x, y, f);
  ASSERT_LT(std::abs(f[0]) + std::abs(f[1]), 1e-7);
  EXPECT_NEAR(results.flow(0, pipes[1]) / x, 1.0, 1e-6);
  EXPECT_NEAR(results.flow(0, pipes[2]) / (total - x), 1.0, 1e-6);
  EXPECT_NEAR(results.flow(0, pipes[3]) / y, 1.0, 1e-6);
  EXPECT_NEAR(results.flow(0, pipes[4]) / (draws[2] - y), 1.0, 1e-6);
  EXPECT_NEAR(results.flow(0, bridge_id), x - draws[0] - y, 1e-6 * total);
  const double d_Pa = 3e5 - drop(0, total) - drop(1, x) - drop(3, y);
  EXPECT_NEAR((3e5 - results.pressure(0, d)) / (3e5 - d_Pa), 1.0, 1e-6);
}

}  // namespace
}  // namespace fw::hydraulics
