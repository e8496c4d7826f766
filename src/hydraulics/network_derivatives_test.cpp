// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include <gtest/gtest.h>

#include "base/contract.hpp"
#include "hydraulics/network.hpp"
#include "listed_points.hpp"

namespace fw::hydraulics {
namespace {

constexpr double lph = 1e-3 / 3600.0;

/// A supply with every law: hose, filter beside a bypass, gear pump with relief and guard, curve pump, engine and
/// its guard, overflow valve, two tanks with a crossover.
struct Supply {
  NetworkDefinition definition;
  std::vector<std::vector<double>> coefficients;  // [element][coefficient]
  std::vector<NodeId> tanks;
  std::vector<double> pressures_Pa{95e3, 97e3};

  ElementId add(Law law, NodeId from, NodeId to, std::vector<double> k) {
    coefficients.push_back(std::move(k));
    return definition.add_element("e" + std::to_string(coefficients.size()), law, from, to);
  }

  explicit Supply(double demand) {
    const auto node = [&] { return definition.add_node("n" + std::to_string(definition.nodes.size())); };
    const NodeId left = definition.add_node("left tank", NodeKind::fixed);
    const NodeId right = definition.add_node("right tank", NodeKind::fixed);
    tanks = {left, right};
    const NodeId a = node(), b = node(), c = node(), d = node(), e = node(), f = node(), g = node(), h = node();
    const NodeId inner = node();
    add(Law::pipe, left, inner, {9e7, 1.5e7, 3e-3, 0.0, 1e5, 3e10});
    add(Law::pipe, a, inner, {4e7, 1.2e7, 2e-3, 0.25, 0.0, 1e10});
    add(Law::pipe, right, a, {5e7, 9e6, 3e-3, 0.0, 0.0, 2e10});
    add(Law::resistor, a, b, {1.5e8, 1e11});
    add(Law::valve, a, b, {30e3, 2e8, 4e12, 0.0});
    add(Law::source, b, c, {220 * lph, 4e-12});
    add(Law::valve, c, b, {140e3, 5e8, 1e12, 0.0});
    add(Law::vapour_guard, b, c, {3e3});
    add(Law::pipe, c, d, {6e7, 2e7, 4e-3, 0.1, 0.0, 2e10});
    add(Law::valve, d, e, {-250e3, 1.5e9, 1.2e13, 0.0});
    add(Law::pipe, e, f, {5e7, 1e7, 3e-3, 0.0, 0.0, 4e10});
    add(Law::draw, f, g, {demand});
    add(Law::vapour_guard, f, g, {2e3});
    add(Law::valve, f, h, {320e3, 1.2e9, 0.0, 0.0});
    add(Law::pipe, h, g, {7e7, 2e7, 3e-3, 0.0, 0.0, 1e10});
    add(Law::pipe, g, left, {8e7, 3e7, 5e-3, 0.0, 0.0, 2e10});
    add(Law::pipe, g, right, {8e7, 5e7, 5e-3, 0.0, 0.0, 2e10});
  }
};

PointResults solve(const Network& network, const PointTable& table) {
  InlineExecutor executor;
  SilentProgress progress;
  return network.solve(table, {.flow_tolerance = 1e-12}, {.executor = executor, .progress = progress, .stop = {}})
      .value();
}

/// Holds every derivative of the point against central differences of whole solutions; returns how many were not 0.
int compare(const Supply& supply) {
  const Network network = Network::compile(supply.definition).value();
  std::vector<Parameter> parameters;
  for (const NodeId tank : supply.tanks) parameters.push_back({.fixed_node = tank, .element = {}});
  for (std::uint32_t e = 0; e < supply.coefficients.size(); ++e) {
    const bool valve = supply.definition.elements[e].law == Law::valve;
    for (std::uint32_t k = 0; k < supply.coefficients[e].size() - (valve ? 1 : 0); ++k) {
      parameters.push_back({.fixed_node = std::nullopt, .element = static_cast<ElementId>(e), .coefficient = k});
    }
  }
  PointTable table(network, 1 + 2 * parameters.size());
  test::set_listed(table, 0, supply.definition, supply.coefficients, supply.pressures_Pa);
  std::vector<double> spans;
  for (std::size_t i = 0; i < parameters.size(); ++i) {
    double span = 0.0;
    for (int side = 0; side < 2; ++side) {
      auto k = supply.coefficients;
      auto tank_Pa = supply.pressures_Pa;
      double& value = parameters[i].fixed_node
                          ? tank_Pa[*parameters[i].fixed_node == supply.tanks[0] ? 0 : 1]
                          : k[static_cast<std::size_t>(parameters[i].element)][parameters[i].coefficient];
      const double before = value;
      // A coefficient that is 0 may only rise: one side.
      const double step = before == 0.0 ? 1e-5 : 1e-5 * std::abs(before);
      value = side == 0 ? before + step : before == 0.0 ? 0.0 : before - step;
      span += side == 0 ? value : -value;
      test::set_listed(table, 1 + 2 * i + static_cast<std::size_t>(side), supply.definition, k, tank_Pa);
    }
    spans.push_back(span);
  }
  const PointResults results = solve(network, table);
  for (const SolveStatus status : results.status) EXPECT_EQ(status, SolveStatus::converged);
  const PointDerivatives found = network.derivatives(table, results, 0, parameters);
  int counted = 0;
  for (std::size_t i = 0; i < parameters.size(); ++i) {
    const std::size_t up = 1 + 2 * i;
    double most_Pa = 0.0;
    double most_flow = 0.0;
    std::vector<double> pressure(results.nodes);
    std::vector<double> flow(results.elements);
    for (std::size_t n = 0; n < results.nodes; ++n) {
      pressure[n] =
          (results.pressure_Pa[up * results.nodes + n] - results.pressure_Pa[(up + 1) * results.nodes + n]) / spans[i];
      most_Pa = std::max(most_Pa, std::abs(pressure[n]));
    }
    for (std::size_t e = 0; e < results.elements; ++e) {
      flow[e] =
          (results.flow_m3_per_s[up * results.elements + e] - results.flow_m3_per_s[(up + 1) * results.elements + e]) /
          spans[i];
      most_flow = std::max(most_flow, std::abs(flow[e]));
    }
    // Differences of solutions carry the solver's tolerance over the step: 1e-7 Pa and 1e-16 m3/s.
    const double noise_Pa = 1e-7 / std::abs(spans[i]);
    const double noise_flow = 1e-16 / std::abs(spans[i]);
    const std::string what = "parameter " + std::to_string(i);
    for (std::size_t n = 0; n < results.nodes; ++n) {
      EXPECT_NEAR(found.pressure[i * results.nodes + n], pressure[n], 1e-5 * most_Pa + noise_Pa)
          << what << " node " << n;
    }
    for (std::size_t e = 0; e < results.elements; ++e) {
      EXPECT_NEAR(found.flow[i * results.elements + e], flow[e], 1e-5 * most_flow + noise_flow)
          << what << " element " << e;
    }
    if (most_Pa > 100.0 * noise_Pa) ++counted;
  }
  return counted;
}

// Central differences: all laws, healthy supply (relief closed or open as it comes out).
TEST(NetworkDerivatives, AgreeWithDifferencesOfSolutions) { EXPECT_GT(compare(Supply(120 * lph)), 30); }

// More is drawn than comes: a guard holds its node, and its flow has derivatives too.
TEST(NetworkDerivatives, AgreeWhereAGuardHolds) {
  Supply starved(120 * lph);
  starved.coefficients[3] = {5e9, 1e12};              // filter all but plugged
  starved.coefficients[4] = {400e3, 2e8, 4e12, 0.0};  // bypass that does not open
  EXPECT_GT(compare(starved), 15);
  const Network network = Network::compile(starved.definition).value();
  PointTable table(network, 1);
  test::set_listed(table, 0, starved.definition, starved.coefficients, starved.pressures_Pa);
  EXPECT_GT(solve(network, table).flow(0, static_cast<ElementId>(7)), 0.0);
}

// Linear network by hand: two resistors in series between fixed pressures; P = (R2 P1 + R1 P2)/(R1 + R2).
TEST(NetworkDerivatives, MeetTheDividerByHand) {
  NetworkDefinition net;
  const NodeId in = net.add_node("in", NodeKind::fixed);
  const NodeId out = net.add_node("out", NodeKind::fixed);
  const NodeId middle = net.add_node("middle");
  const ElementId first = net.add_element("first", Law::resistor, in, middle);
  const ElementId second = net.add_element("second", Law::resistor, middle, out);
  const Network network = Network::compile(net).value();
  PointTable table(network, 1);
  table.set_pressure(0, in, 3e5);
  table.set_pressure(0, out, 1e5);
  table.set(0, first, ResistorCoefficients{.linear_Pa_s_per_m3 = 1e9});
  table.set(0, second, ResistorCoefficients{.linear_Pa_s_per_m3 = 3e9});
  const PointResults results = solve(network, table);
  const Parameter by[] = {{.fixed_node = in, .element = {}}, {.fixed_node = std::nullopt, .element = first}};
  const PointDerivatives found = network.derivatives(table, results, 0, by);
  const auto node = static_cast<std::size_t>(middle);
  EXPECT_NEAR(found.pressure[node], 0.75, 1e-12);
  EXPECT_NEAR(found.flow[0], 1.0 / 4e9, 1e-21);
  // dQ/dR1 = -(P1 - P2)/(R1 + R2)^2, dP/dR1 = R2 dQ/dR1.
  EXPECT_NEAR(found.flow[1 * 2 + 0], -2e5 / 16e18, 1e-26);
  EXPECT_NEAR(found.pressure[1 * 3 + node], 3e9 * -2e5 / 16e18, 1e-16);
}

TEST(NetworkDerivatives, RefuseWhatIsNoParameter) {
  const Supply supply(120 * lph);
  const Network network = Network::compile(supply.definition).value();
  PointTable table(network, 1);
  test::set_listed(table, 0, supply.definition, supply.coefficients, supply.pressures_Pa);
  const PointResults results = solve(network, table);
  const Parameter shut[] = {{.fixed_node = std::nullopt, .element = static_cast<ElementId>(4), .coefficient = 3}};
  EXPECT_THROW((void)network.derivatives(table, results, 0, shut), ContractViolation);
  const Parameter free_node[] = {{.fixed_node = static_cast<NodeId>(3), .element = {}}};
  EXPECT_THROW((void)network.derivatives(table, results, 0, free_node), ContractViolation);
}

}  // namespace
}  // namespace fw::hydraulics
