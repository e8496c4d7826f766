// SPDX-License-Identifier: Apache-2.0
// Time of the exact frontier of 25 components with three actions (docs/benchmarks.md). frontier_bench [REPEATS]; exit 1
// when a run takes over a second or a point is dominated.
#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdlib>

#include <fmt/format.h>

#include "extent/frontier.hpp"
#include "numerics/stream.hpp"

int main(int argc, char** argv) {
  using namespace fw;
  const int repeats = argc > 1 ? std::max(1, std::atoi(argv[1])) : 20;
  double worst_s = 0.0;
  std::size_t most = 0;
  for (int repeat = 0; repeat < repeats; ++repeat) {
    const auto unit = [&](const char* name, std::size_t i) {
      return numerics::uniform(static_cast<std::uint64_t>(repeat + 1), numerics::key_of(name),
                               numerics::Purpose::synthetic, static_cast<std::uint32_t>(i));
    };
    extent::FrontierProblem problem{.accesses = {{.cost_minor = 12000},
                                                 {.cost_minor = 30000, .parent = 0},
                                                 {.cost_minor = 45000},
                                                 {.cost_minor = 8000, .parent = 2}}};
    for (std::size_t i = 0; i < 25; ++i) {
      // Amounts of like size are the hard case: few sets beat others.
      const double lies = 1000.0 * (1.0 + unit("lies", i));
      problem.components.push_back(
          {.access = static_cast<std::ptrdiff_t>(i % 5) - 1,
           .actions = {{.cost_minor = 0, .dose = lies, .opens = false},
                       {.cost_minor = 100 * static_cast<std::int64_t>(50.0 + 50.0 * unit("clean", i)),
                        .dose = lies * 0.5 * unit("left", i)},
                       {.cost_minor = 100 * static_cast<std::int64_t>(150.0 + 100.0 * unit("new", i)), .dose = 0.0}}});
    }
    const auto begin = std::chrono::steady_clock::now();
    const auto points = extent::frontier(problem);
    const double used_s = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
    if (!points) {
      fmt::print("{}\n", to_text(points.error()));
      return 1;
    }
    for (std::size_t i = 1; i < points->size(); ++i) {
      if (!((*points)[i].dose < (*points)[i - 1].dose)) return 1;
    }
    worst_s = std::max(worst_s, used_s);
    most = std::max(most, points->size());
  }
  fmt::print("25 components, 3 actions, {} problems: slowest {:.4f} s, most undominated sets {}\n", repeats, worst_s,
             most);
  return worst_s < 1.0 ? 0 : 1;
}
