// SPDX-License-Identifier: Apache-2.0
#include "extent/frontier.hpp"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "numerics/stream.hpp"

namespace fw::extent {
namespace {

double unit(std::string_view name, std::uint32_t sample) {
  return numerics::uniform(11, numerics::key_of(name), numerics::Purpose::synthetic, sample);
}

/// `count` components with keep, clean, replace behind a tree of accesses.
FrontierProblem drawn(std::size_t count, std::uint32_t seed) {
  FrontierProblem problem{.accesses = {{.cost_minor = 12000},
                                       {.cost_minor = 30000, .parent = 0},
                                       {.cost_minor = 45000},
                                       {.cost_minor = 8000, .parent = 2}}};
  for (std::size_t i = 0; i < count; ++i) {
    const auto sample = static_cast<std::uint32_t>(100 * seed + i);
    const double lies = std::exp(12.0 * unit("lies", sample));
    problem.components.push_back(
        {.access = static_cast<std::ptrdiff_t>(i % 5) - 1,
         .actions = {{.cost_minor = 0, .dose = lies, .opens = false},
                     {.cost_minor = 2000 + static_cast<std::int64_t>(20000 * unit("clean", sample)),
                      .dose = 0.1 * lies * unit("left", sample)},
                     {.cost_minor = 5000 + static_cast<std::int64_t>(90000 * unit("new", sample)), .dose = 0.0}}});
  }
  return problem;
}

/// All sets, one by one.
std::vector<FrontierPoint> brute(const FrontierProblem& problem) {
  std::vector<FrontierPoint> all;
  std::vector<std::uint8_t> actions(problem.components.size(), 0);
  for (;;) {
    FrontierPoint point{.cost_minor = 0, .dose = 0.0, .actions = actions};
    std::vector<bool> open(problem.accesses.size(), false);
    for (std::size_t i = 0; i < actions.size(); ++i) {
      const ActionPrice& action = problem.components[i].actions[actions[i]];
      point.cost_minor += action.cost_minor;
      point.dose += action.dose;
      if (!action.opens) continue;
      for (auto at = problem.components[i].access; at >= 0;
           at = problem.accesses[static_cast<std::size_t>(at)].parent) {
        open[static_cast<std::size_t>(at)] = true;
      }
    }
    for (std::size_t i = 0; i < open.size(); ++i) {
      if (open[i]) point.cost_minor += problem.accesses[i].cost_minor;
    }
    all.push_back(point);
    std::size_t at = 0;
    while (at < actions.size() && ++actions[at] == problem.components[at].actions.size()) actions[at++] = 0;
    if (at == actions.size()) break;
  }
  std::ranges::sort(all, [](const auto& a, const auto& b) {
    return a.cost_minor != b.cost_minor ? a.cost_minor < b.cost_minor : a.dose < b.dose;
  });
  std::vector<FrontierPoint> kept;
  for (auto& point : all) {
    if (kept.empty() || point.dose < kept.back().dose * (1.0 - 1e-12)) kept.push_back(std::move(point));
  }
  return kept;
}

// Exact: the same costs and doses as all 3^12 sets tried one by one.
TEST(Frontier, IsThatOfAllSetsOfTwelveComponents) {
  for (const std::uint32_t seed : {1U, 2U}) {
    const FrontierProblem problem = drawn(12, seed);
    const auto exact = brute(problem);
    const auto ours = frontier(problem).value();
    ASSERT_GT(exact.size(), 20U);
    ASSERT_EQ(ours.size(), exact.size());
    for (std::size_t i = 0; i < ours.size(); ++i) {
      EXPECT_EQ(ours[i].cost_minor, exact[i].cost_minor) << i;
      EXPECT_NEAR(ours[i].dose, exact[i].dose, 1e-9 * exact[0].dose) << i;
      EXPECT_EQ(ours[i].actions, exact[i].actions) << i;
    }
  }
}

TEST(Frontier, RunsFromKeepingAllToLeavingNothing) {
  const FrontierProblem problem = drawn(25, 3);
  const auto points = frontier(problem).value();
  EXPECT_EQ(points.front().cost_minor, 0);
  EXPECT_EQ(points.back().dose, 0.0);
  for (std::size_t i = 1; i < points.size(); ++i) {
    EXPECT_GT(points[i].cost_minor, points[i - 1].cost_minor);
    EXPECT_LT(points[i].dose, points[i - 1].dose);
  }
}

// What lies behind an open access costs less: two parts behind one access are dearer apart than together.
TEST(Frontier, PaysAnAccessOnce) {
  const FrontierProblem problem{
      .accesses = {{.cost_minor = 100}},
      .components = {{.access = 0, .actions = {{.dose = 1.0, .opens = false}, {.cost_minor = 10, .dose = 0.0}}},
                     {.access = 0, .actions = {{.dose = 1.0, .opens = false}, {.cost_minor = 10, .dose = 0.0}}}}};
  const auto points = frontier(problem).value();
  ASSERT_EQ(points.size(), 3U);
  EXPECT_EQ(points[1].cost_minor, 110);
  EXPECT_EQ(points[2].cost_minor, 120);
}

TEST(Frontier, NamesTheBadField) {
  FrontierProblem problem = drawn(3, 1);
  problem.components[1].actions.clear();
  EXPECT_EQ(frontier(problem).error().front().where.field, "problem.components[1].actions");
  problem = drawn(3, 1);
  problem.components[2].actions[0].dose = -1.0;
  EXPECT_EQ(frontier(problem).error().front().where.field, "problem.components[2].actions.dose");
  problem = drawn(3, 1);
  problem.accesses[1].parent = 3;
  EXPECT_EQ(frontier(problem).error().front().where.field, "problem.accesses[1].parent");
}

}  // namespace
}  // namespace fw::extent
