// SPDX-License-Identifier: Apache-2.0
// The large random study of the network solver, for `./test long`: 1e6 running points over 100,000 networks.
// network_long [NETWORKS [FIRST_SEED [POINTS]]]; exit 1 when a point stalls or breaks a law.
#include <atomic>
#include <cstdint>
#include <cstdlib>
#include <string>
#include <thread>
#include <vector>

#include <fmt/format.h>

#include "hydraulics/network.hpp"
#include "network_generator.hpp"

namespace {

struct Tally {
  std::uint64_t points = 0;
  std::uint64_t iterations = 0;
  std::uint64_t rescued = 0;  // more than 12 iterations
  std::uint64_t stalled = 0;
  std::uint64_t broken = 0;
  std::uint64_t no_anchor = 0;
  std::uint64_t no_anchor_careless = 0;
  std::vector<std::string> failures;
};

void study(std::uint64_t seed, std::size_t points, Tally& tally) {
  using namespace fw;
  const test::RandomNetwork random = test::random_network(seed);
  const hydraulics::Network network = hydraulics::Network::compile(random.definition).value();
  hydraulics::PointTable table(network, points);
  for (std::size_t point = 0; point < points; ++point) test::draw_point(random, seed, table, point);
  InlineExecutor executor;
  SilentProgress progress;
  const hydraulics::PointResults results =
      network.solve(table, {}, {.executor = executor, .progress = progress, .stop = {}}).value();
  for (std::size_t point = 0; point < points; ++point) {
    ++tally.points;
    switch (results.status[point]) {
      case hydraulics::SolveStatus::stalled:
        ++tally.stalled;
        tally.failures.push_back(
            fmt::format("seed {} point {}: stalled at element {}", seed, point, results.where[point]));
        break;
      case hydraulics::SolveStatus::no_anchor: ++(random.careless ? tally.no_anchor_careless : tally.no_anchor); break;
      case hydraulics::SolveStatus::converged: {
        tally.iterations += static_cast<std::uint64_t>(results.iterations[point]);
        if (results.iterations[point] > 12) ++tally.rescued;
        const std::string broken =
            test::broken_law(random, results, test::point_coefficients(random, seed, point), point, 1e-8);
        if (!broken.empty()) {
          ++tally.broken;
          tally.failures.push_back(fmt::format("seed {} point {}: {}", seed, point, broken));
        }
      }
    }
  }
}

std::uint64_t argument(int argc, char** argv, int place, std::uint64_t otherwise) {
  return argc > place ? std::strtoull(argv[place], nullptr, 10) : otherwise;
}

}  // namespace

int main(int argc, char** argv) {
  const std::uint64_t networks = argument(argc, argv, 1, 100000);
  const std::uint64_t first = argument(argc, argv, 2, 1000000);
  const auto points = static_cast<std::size_t>(argument(argc, argv, 3, 10));
  const unsigned threads = std::max(1U, std::min(2U, std::thread::hardware_concurrency()));
  std::atomic<std::uint64_t> next{0};
  std::vector<Tally> tallies(threads);
  std::vector<std::jthread> workers;
  for (unsigned t = 0; t < threads; ++t) {
    workers.emplace_back([&, t] {
      for (std::uint64_t i = next++; i < networks; i = next++) study(first + i, points, tallies[t]);
    });
  }
  workers.clear();
  Tally sum;
  for (const Tally& tally : tallies) {
    sum.points += tally.points;
    sum.iterations += tally.iterations;
    sum.rescued += tally.rescued;
    sum.stalled += tally.stalled;
    sum.broken += tally.broken;
    sum.no_anchor += tally.no_anchor;
    sum.no_anchor_careless += tally.no_anchor_careless;
    for (const std::string& failure : tally.failures) fmt::print("{}\n", failure);
  }
  const std::uint64_t converged = sum.points - sum.stalled - sum.no_anchor - sum.no_anchor_careless;
  fmt::print("{} points over {} networks: {} converged in {:.2f} iterations on average, {} of them rescued;\n",
             sum.points, networks, converged,
             static_cast<double>(sum.iterations) / static_cast<double>(std::max<std::uint64_t>(converged, 1)),
             sum.rescued);
  fmt::print("{} stalled, {} broke a law, {} without an anchor (careless networks: {})\n", sum.stalled, sum.broken,
             sum.no_anchor, sum.no_anchor_careless);
  return sum.stalled == 0 && sum.broken == 0 ? 0 : 1;
}
