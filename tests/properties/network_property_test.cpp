// SPDX-License-Identifier: Apache-2.0
// Properties of the network solver over random networks. Nothing here knows a right answer; every law of every
// element is recomputed apart from the solver, or two solutions are held against each other.
#include <algorithm>
#include <atomic>
#include <cmath>
#include <cstring>
#include <numeric>
#include <string>
#include <thread>
#include <vector>

#include <gtest/gtest.h>

#include "hydraulics/network.hpp"
#include "network_generator.hpp"

namespace fw::test {
namespace {

using hydraulics::ElementId;
using hydraulics::LanePath;
using hydraulics::Law;
using hydraulics::Network;
using hydraulics::NetworkDefinition;
using hydraulics::NodeId;
using hydraulics::NodeKind;
using hydraulics::PointResults;
using hydraulics::PointTable;
using hydraulics::SolveOptions;
using hydraulics::SolveStatus;

/// Two threads that take blocks as they come.
class TwoThreads final : public Executor {
 public:
  void for_each_block(std::size_t blocks, const std::function<void(std::size_t)>& work) override {
    std::atomic<std::size_t> next{0};
    const auto take = [&] {
      for (std::size_t block = next++; block < blocks; block = next++) work(block);
    };
    std::thread other(take);
    take();
    other.join();
  }
  [[nodiscard]] std::size_t threads() const override { return 2; }
};

PointResults solve(const Network& network, const PointTable& table, const SolveOptions& options = {},
                   Executor* executor = nullptr) {
  InlineExecutor inline_executor;
  SilentProgress progress;
  return network
      .solve(table, options,
             {.executor = executor == nullptr ? inline_executor : *executor, .progress = progress, .stop = {}})
      .value();
}

PointTable points_of(const RandomNetwork& random, const Network& network, std::uint64_t seed, std::size_t count) {
  PointTable table(network, count);
  for (std::size_t point = 0; point < count; ++point) draw_point(random, seed, table, point);
  return table;
}

bool same_point(const PointResults& a, std::size_t point_a, const PointResults& b, std::size_t point_b) {
  const auto bytes = [](const auto& values, std::size_t point, std::size_t count) {
    return values.data() + point * count;
  };
  return std::memcmp(bytes(a.pressure_Pa, point_a, a.nodes), bytes(b.pressure_Pa, point_b, b.nodes),
                     a.nodes * sizeof(double)) == 0 &&
         std::memcmp(bytes(a.flow_m3_per_s, point_a, a.elements), bytes(b.flow_m3_per_s, point_b, b.elements),
                     a.elements * sizeof(double)) == 0 &&
         a.iterations[point_a] == b.iterations[point_b] && a.status[point_a] == b.status[point_b] &&
         a.where[point_a] == b.where[point_b];
}

// 2,000 networks, 2 points each. Every point ends converged, with every law and balance met, or says which node has
// no anchor. A point without an answer is rare unless the network is careless.
TEST(NetworkProperty, EveryRandomNetworkConvergesAndMeetsItsLaws) {
  constexpr std::uint64_t networks = 2000;
  constexpr std::size_t points = 2;
  int converged = 0;
  int no_anchor = 0;
  for (std::uint64_t seed = 0; seed < networks; ++seed) {
    const RandomNetwork random = random_network(seed);
    const Network network = Network::compile(random.definition).value();
    const PointResults results = solve(network, points_of(random, network, seed, points));
    for (std::size_t point = 0; point < points; ++point) {
      ASSERT_NE(results.status[point], SolveStatus::stalled) << "seed " << seed << " point " << point;
      if (results.status[point] == SolveStatus::no_anchor) {
        ASSERT_LT(results.where[point], results.nodes);
        if (!random.careless) ++no_anchor;
        continue;
      }
      ++converged;
      ASSERT_EQ(broken_law(random, results, point_coefficients(random, seed, point), point, 1e-8), "")
          << "seed " << seed << " point " << point;
      ASSERT_LT(results.residual[point], 1e-9) << "seed " << seed << " point " << point;
    }
  }
  EXPECT_GT(converged, 3900);
  EXPECT_LT(no_anchor, 30);
}

struct HardPoint {
  std::uint64_t seed;
  std::size_t point;
};

// Points of the long study that cycled through every stage of the rescue: two guards and a valve in turn, or a hose
// whose friction turns between laminar and turbulent. At the last one a shut-off into a dead end closes on a trace of
// flow backwards while a shortened step still leaves pressure on it.
TEST(NetworkProperty, HardPointsConverge) {
  constexpr HardPoint points[] = {
      {.seed = 1002939, .point = 4}, {.seed = 1004642, .point = 8}, {.seed = 1005132, .point = 5},
      {.seed = 1014164, .point = 5}, {.seed = 1015410, .point = 1}, {.seed = 1023218, .point = 9},
      {.seed = 1025757, .point = 0}, {.seed = 1026810, .point = 9}, {.seed = 1042920, .point = 5},
      {.seed = 1044074, .point = 2}, {.seed = 1044575, .point = 4}, {.seed = 1047381, .point = 2},
      {.seed = 1047532, .point = 7}, {.seed = 1058399, .point = 5}, {.seed = 1065505, .point = 3},
      {.seed = 1065505, .point = 4}, {.seed = 1065505, .point = 7}, {.seed = 1065505, .point = 9},
      {.seed = 1068687, .point = 4}, {.seed = 1069925, .point = 3}, {.seed = 1070532, .point = 6},
      {.seed = 1091898, .point = 8}, {.seed = 2318299, .point = 9}, {.seed = 2359302, .point = 7},
      {.seed = 2561284, .point = 9}, {.seed = 2189659, .point = 1}};
  for (const auto& [seed, point] : points) {
    const RandomNetwork random = random_network(seed);
    const Network network = Network::compile(random.definition).value();
    PointTable table(network, 1);
    draw_point_as(random, seed, point, table, 0);
    const PointResults results = solve(network, table);
    ASSERT_EQ(results.status[0], SolveStatus::converged) << "seed " << seed << " point " << point;
    EXPECT_EQ(broken_law(random, results, point_coefficients(random, seed, point), 0, 1e-8), "")
        << "seed " << seed << " point " << point;
  }
}

// Points without a solution: only the leak of a closed valve, at absurd pressures, would balance what is drawn. The
// node named hangs on no open way.
TEST(NetworkProperty, PointsWithoutASolutionNameTheirNode) {
  constexpr HardPoint points[] = {{.seed = 1008963, .point = 0}, {.seed = 1015234, .point = 9},
                                  {.seed = 1026545, .point = 1}, {.seed = 1026545, .point = 5},
                                  {.seed = 1026545, .point = 6}, {.seed = 1026545, .point = 7},
                                  {.seed = 1048499, .point = 2}, {.seed = 1070601, .point = 1},
                                  {.seed = 1070601, .point = 4}, {.seed = 1070601, .point = 5}};
  for (const auto& [seed, point] : points) {
    const RandomNetwork random = random_network(seed);
    const Network network = Network::compile(random.definition).value();
    PointTable table(network, 1);
    draw_point_as(random, seed, point, table, 0);
    const PointResults results = solve(network, table);
    ASSERT_EQ(results.status[0], SolveStatus::no_anchor) << "seed " << seed << " point " << point;
    ASSERT_LT(results.where[0], results.nodes);
    EXPECT_EQ(random.definition.nodes[results.where[0]].kind, NodeKind::free);
    double most_Pa = 0.0;
    for (const double pressure_Pa : results.pressure_Pa) most_Pa = std::max(most_Pa, std::abs(pressure_Pa));
    EXPECT_GT(most_Pa, 1e8) << "seed " << seed << " point " << point;
  }
}

// Same bytes whatever the lanes, the position in the table, the neighbours and the number of threads.
TEST(NetworkProperty, BitsDoNotDependOnLaneOrderOrThreads) {
  constexpr std::size_t points = 61;
  TwoThreads two_threads;
  int compared = 0;
  for (std::uint64_t seed = 5000; seed < 5040; ++seed) {
    const RandomNetwork random = random_network(seed);
    const Network network = Network::compile(random.definition).value();
    const PointResults scalar = solve(network, points_of(random, network, seed, points), {.lanes = LanePath::scalar});
    for (const LanePath path : {LanePath::automatic, LanePath::baseline, LanePath::v3, LanePath::v4}) {
      if (!hydraulics::lane_path_available(path)) continue;
      const PointResults lanes = solve(network, points_of(random, network, seed, points), {.lanes = path});
      for (std::size_t point = 0; point < points; ++point) {
        ASSERT_TRUE(same_point(scalar, point, lanes, point))
            << "seed " << seed << " point " << point << " lanes " << hydraulics::lane_width(path);
        ++compared;
      }
    }
    // Backwards, each point twice, so that lanes, chunks and refills differ; many points, so that both threads work.
    constexpr std::size_t copies = 40;
    PointTable shuffled(network, points * copies);
    std::vector<std::size_t> origin(points * copies);
    CaseRandom order(seed);
    for (std::size_t i = 0; i < origin.size(); ++i) {
      origin[i] = static_cast<std::size_t>(order.whole(0, static_cast<int>(points) - 1));
    }
    for (std::size_t i = 0; i < origin.size(); ++i) draw_point_as(random, seed, origin[i], shuffled, i);
    const PointResults again = solve(network, shuffled, {}, &two_threads);
    for (std::size_t i = 0; i < origin.size(); ++i) {
      ASSERT_TRUE(same_point(scalar, origin[i], again, i)) << "seed " << seed << " copy " << i;
      ++compared;
    }
  }
  EXPECT_GT(compared, 90000);
}

// The friction law from tables and as published lead to the same points.
TEST(NetworkProperty, TableAndExactFrictionAgree) {
  int compared = 0;
  bool differ = false;
  for (std::uint64_t seed = 6000; seed < 6150; ++seed) {
    const RandomNetwork random = random_network(seed);
    const Network network = Network::compile(random.definition).value();
    const PointTable table = points_of(random, network, seed, 4);
    const PointResults from_tables = solve(network, table);
    const PointResults exact = solve(network, table, {.friction = hydraulics::FrictionForm::exact});
    for (std::size_t point = 0; point < 4; ++point) {
      ASSERT_EQ(from_tables.status[point], exact.status[point]) << "seed " << seed << " point " << point;
      if (exact.status[point] != SolveStatus::converged) continue;
      double most = 1e-9;
      for (std::uint32_t e = 0; e < exact.elements; ++e) {
        most = std::max(most, std::abs(exact.flow(point, static_cast<ElementId>(e))));
      }
      for (std::uint32_t e = 0; e < exact.elements; ++e) {
        const auto id = static_cast<ElementId>(e);
        ASSERT_NEAR(from_tables.flow(point, id), exact.flow(point, id), 1e-8 * most) << "seed " << seed;
      }
      differ = differ || !same_point(from_tables, point, exact, point);
      ++compared;
    }
  }
  EXPECT_GT(compared, 580);
  EXPECT_TRUE(differ);
}

// Renamed, reordered and with its passive elements turned round, a network has the same solution.
TEST(NetworkProperty, MirroredNetworksAgree) {
  int compared = 0;
  for (std::uint64_t seed = 7000; seed < 7150; ++seed) {
    const RandomNetwork random = random_network(seed);
    const auto node_count = static_cast<std::uint32_t>(random.definition.nodes.size());
    const auto mirrored_node = [&](NodeId id) {
      return static_cast<NodeId>(node_count - 1 - static_cast<std::uint32_t>(id));
    };
    RandomNetwork mirror;
    mirror.careless = random.careless;
    mirror.definition.nodes.assign(random.definition.nodes.rbegin(), random.definition.nodes.rend());
    for (std::size_t i = random.kinds.size(); i-- > 0;) {
      hydraulics::ElementDefinition element = random.definition.elements[i];
      element.from = mirrored_node(element.from);
      element.to = mirrored_node(element.to);
      if (element.law == Law::pipe || element.law == Law::resistor) std::swap(element.from, element.to);
      mirror.definition.elements.push_back(element);
      mirror.kinds.push_back(random.kinds[i]);
    }
    const Network network = Network::compile(random.definition).value();
    const Network other = Network::compile(mirror.definition).value();
    const PointResults a = solve(network, points_of(random, network, seed, 2));
    for (std::size_t point = 0; point < 2; ++point) {
      auto coefficients = point_coefficients(random, seed, point);
      const std::size_t elements = random.kinds.size();
      std::reverse(coefficients.begin(), coefficients.begin() + static_cast<std::ptrdiff_t>(elements));
      std::ranges::reverse(coefficients[elements + 1]);
      PointTable table(other, 1);
      set_point(mirror, coefficients, table, 0);
      const PointResults b = solve(other, table);
      ASSERT_EQ(a.status[point], b.status[0]) << "seed " << seed << " point " << point;
      if (a.status[point] != SolveStatus::converged) continue;
      double most_Pa = 1.0;
      double most_flow = 1e-9;
      for (std::size_t i = 0; i < a.nodes; ++i)
        most_Pa = std::max(most_Pa, std::abs(a.pressure_Pa[point * a.nodes + i]));
      for (std::size_t i = 0; i < a.elements; ++i) {
        most_flow = std::max(most_flow, std::abs(a.flow_m3_per_s[point * a.elements + i]));
      }
      for (std::uint32_t e = 0; e < elements; ++e) {
        const Law law = random.definition.elements[e].law;
        const double sign = law == Law::pipe || law == Law::resistor ? -1.0 : 1.0;
        const double there = b.flow(0, static_cast<ElementId>(elements - 1 - e));
        ASSERT_NEAR(a.flow(point, static_cast<ElementId>(e)), sign * there, 1e-8 * most_flow)
            << "seed " << seed << " point " << point << " element " << e;
      }
      ++compared;
    }
  }
  EXPECT_GT(compared, 280);
}

// Energy: what fixed nodes, draws and guards bring in is what the elements take out (Tellegen), and no passive
// element gives energy.
TEST(NetworkProperty, EnergyBalances) {
  int seen = 0;
  for (std::uint64_t seed = 9000; seed < 9300; ++seed) {
    const RandomNetwork random = random_network(seed);
    const Network network = Network::compile(random.definition).value();
    const PointResults results = solve(network, points_of(random, network, seed, 1));
    if (results.status[0] != SolveStatus::converged) continue;
    std::vector<double> leaves(results.nodes);
    double taken_W = 0.0;
    double scale_W = 1e-12;
    for (std::uint32_t e = 0; e < random.kinds.size(); ++e) {
      const auto& element = random.definition.elements[e];
      const double q = results.flow(0, static_cast<ElementId>(e)) * (element.law == Law::vapour_guard ? -1.0 : 1.0);
      const double drop = results.pressure(0, element.from) - results.pressure(0, element.to);
      leaves[static_cast<std::size_t>(element.from)] += q;
      leaves[static_cast<std::size_t>(element.to)] -= q;
      taken_W += q * drop;
      scale_W += std::abs(q) *
                 std::max(std::abs(results.pressure(0, element.from)), std::abs(results.pressure(0, element.to)));
      if (element.law == Law::pipe || element.law == Law::resistor) {
        EXPECT_GE(q * drop, -1e-12 * scale_W);
      }
    }
    double given_W = 0.0;
    for (std::uint32_t i = 0; i < results.nodes; ++i) {
      if (random.definition.nodes[i].kind == NodeKind::fixed) {
        given_W += results.pressure(0, static_cast<NodeId>(i)) * leaves[i];
      }
    }
    EXPECT_NEAR(taken_W, given_W, 1e-9 * scale_W) << "seed " << seed;
    ++seen;
  }
  EXPECT_GT(seen, 290);
}

// More restriction in one element never raises the flow through it (Rayleigh's principle for monotone laws). Guards
// break reciprocity, so only points where none is active before or after count.
TEST(NetworkProperty, MoreRestrictionNeverRaisesTheFlowThroughIt) {
  int compared = 0;
  for (std::uint64_t seed = 11000; seed < 11300; ++seed) {
    const RandomNetwork random = random_network(seed);
    const Network network = Network::compile(random.definition).value();
    const auto before = point_coefficients(random, seed, 0);
    std::vector<std::uint32_t> candidates;
    for (std::uint32_t e = 0; e < random.kinds.size(); ++e) {
      const Law law = random.definition.elements[e].law;
      if (law == Law::pipe || law == Law::resistor || law == Law::valve) candidates.push_back(e);
    }
    PointTable table(network, candidates.size() + 1);
    set_point(random, before, table, 0);
    for (std::size_t i = 0; i < candidates.size(); ++i) {
      auto after = before;
      std::vector<double>& k = after[candidates[i]];
      switch (random.definition.elements[candidates[i]].law) {
        case Law::pipe: k[1] *= 2.0; break;
        case Law::resistor: k[0] *= 2.0; break;
        default: k[1] *= 2.0; break;
      }
      set_point(random, after, table, i + 1);
    }
    const PointResults results = solve(network, table);
    const auto usable = [&](std::size_t point) {
      if (results.status[point] != SolveStatus::converged) return false;
      for (std::uint32_t e = 0; e < random.kinds.size(); ++e) {
        if (random.kinds[e] == PartKind::guard && results.flow(point, static_cast<ElementId>(e)) > 0.0) return false;
      }
      return true;
    };
    if (!usable(0)) continue;
    double most_flow = 1e-9;
    for (std::size_t i = 0; i < results.elements; ++i)
      most_flow = std::max(most_flow, std::abs(results.flow_m3_per_s[i]));
    for (std::size_t i = 0; i < candidates.size(); ++i) {
      if (!usable(i + 1)) continue;
      const auto id = static_cast<ElementId>(candidates[i]);
      EXPECT_LE(std::abs(results.flow(i + 1, id)), std::abs(results.flow(0, id)) + 1e-9 * most_flow)
          << "seed " << seed << " element " << candidates[i];
      ++compared;
    }
  }
  EXPECT_GT(compared, 1500);
}

// Laminar limit: with passive elements, no quadratic term and Re -> 0, flows scale as pressure over viscosity.
TEST(NetworkProperty, FlowScalesInTheLaminarLimit) {
  int compared = 0;
  for (std::uint64_t seed = 13000; seed < 13100; ++seed) {
    const RandomNetwork random = random_network(seed);
    RandomNetwork passive;
    passive.definition.nodes = random.definition.nodes;
    std::vector<std::size_t> from;
    for (std::size_t e = 0; e < random.kinds.size(); ++e) {
      const Law law = random.definition.elements[e].law;
      const bool draws = law == Law::draw || law == Law::vapour_guard;
      if (draws) continue;
      hydraulics::ElementDefinition element = random.definition.elements[e];
      if (law != Law::pipe) element.law = Law::resistor;
      passive.definition.elements.push_back(element);
      passive.kinds.push_back(law == Law::pipe ? PartKind::hose : PartKind::fitting);
      from.push_back(e);
    }
    const auto compiled = Network::compile(passive.definition);
    if (!compiled) continue;  // a node that only a draw touched
    const Network& network = *compiled;
    const auto all = point_coefficients(random, seed, 0);
    std::vector<std::vector<double>> k;
    for (const std::size_t e : from) {
      k.push_back(all[e]);
      k.back().resize(random.definition.elements[e].law == Law::pipe ? 6 : 2);
      if (random.definition.elements[e].law == Law::pipe) {
        k.back()[3] = 0.0;
        k.back()[5] = 0.0;
      } else {
        k.back() = {1e9 + 1e8 * static_cast<double>(e), 0.0};
      }
    }
    k.push_back({0.0});
    k.push_back({});
    CaseRandom head(seed);
    for (std::size_t i = 0; i < all.back().size(); ++i) k.back().push_back(head.uniform(0.0, 1.0));
    auto thicker = k;
    for (std::size_t e = 0; e < from.size(); ++e) {
      for (double& value : thicker[e]) value *= 3.0;
      if (passive.kinds[e] == PartKind::hose) {
        thicker[e][0] = k[e][0] / 3.0;
        thicker[e][2] = k[e][2];
      }
    }
    auto steeper = k;
    for (double& pressure_Pa : steeper.back()) pressure_Pa *= 5.0;
    PointTable table(network, 3);
    set_point(passive, k, table, 0);
    set_point(passive, thicker, table, 1);
    set_point(passive, steeper, table, 2);
    const PointResults results = solve(network, table);
    double most_flow = 0.0;
    for (std::size_t i = 0; i < results.elements; ++i)
      most_flow = std::max(most_flow, std::abs(results.flow_m3_per_s[i]));
    if (most_flow < 1e-20) continue;  // no two tanks are joined
    for (std::uint32_t e = 0; e < from.size(); ++e) {
      const auto id = static_cast<ElementId>(e);
      EXPECT_NEAR(3.0 * results.flow(1, id), results.flow(0, id), 1e-9 * most_flow) << "seed " << seed;
      EXPECT_NEAR(results.flow(2, id), 5.0 * results.flow(0, id), 1e-9 * 5.0 * most_flow) << "seed " << seed;
      ++compared;
    }
  }
  EXPECT_GT(compared, 800);
}

}  // namespace
}  // namespace fw::test
