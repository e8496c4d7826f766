// SPDX-License-Identifier: Apache-2.0
#include "extent/frontier.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "base/input_check.hpp"

namespace fw::extent {
namespace {

constexpr std::size_t most_sets = 4'000'000;

/// A partial set: chain of choices by index into `links`.
struct Set {
  std::int64_t cost_minor;
  double dose;
  std::uint32_t link;
};
/// A choice and the chains it joins.
struct Link {
  std::uint32_t first;
  std::uint32_t second;
  std::uint32_t component;
  std::uint8_t action;
};
constexpr std::uint32_t no_link = 0xffffffffU;
constexpr std::uint32_t joins = 0xffffffffU;

using Sets = std::vector<Set>;

class Builder {
 public:
  explicit Builder(const FrontierProblem& problem) : problem_(problem) {}

  /// Sets of everything behind `access`, which itself is open and not paid here. `-1`: the whole.
  Sets behind(std::ptrdiff_t access) {
    Sets sets{{.cost_minor = 0, .dose = 0.0, .link = no_link}};
    for (std::size_t i = 0; i < problem_.components.size(); ++i) {
      if (problem_.components[i].access == access) sets = times(sets, choices(i, false));
    }
    for (std::size_t i = 0; i < problem_.accesses.size(); ++i) {
      if (problem_.accesses[i].parent != access) continue;
      Sets opened = behind(static_cast<std::ptrdiff_t>(i));
      for (Set& set : opened) set.cost_minor += problem_.accesses[i].cost_minor;
      Sets both = closed(static_cast<std::ptrdiff_t>(i));
      both.insert(both.end(), opened.begin(), opened.end());
      sets = times(sets, pruned(std::move(both)));
    }
    return sets;
  }

  [[nodiscard]] bool too_large() const { return too_large_; }

  void write(std::uint32_t link, std::vector<std::uint8_t>& actions) const {
    std::vector<std::uint32_t> open{link};
    while (!open.empty()) {
      const std::uint32_t at = open.back();
      open.pop_back();
      if (at == no_link) continue;
      const Link& joint = links_[at];
      if (joint.component != joins) {
        actions[joint.component] = joint.action;
        continue;
      }
      open.push_back(joint.first);
      open.push_back(joint.second);
    }
  }

 private:
  /// Sets behind an access that stays shut.
  Sets closed(std::ptrdiff_t access) {
    Sets sets{{.cost_minor = 0, .dose = 0.0, .link = no_link}};
    for (std::size_t i = 0; i < problem_.components.size(); ++i) {
      if (problem_.components[i].access == access) sets = times(sets, choices(i, true));
    }
    for (std::size_t i = 0; i < problem_.accesses.size(); ++i) {
      if (problem_.accesses[i].parent == access) sets = times(sets, closed(static_cast<std::ptrdiff_t>(i)));
    }
    return sets;
  }

  Sets choices(std::size_t component, bool shut) {
    Sets sets;
    const auto& actions = problem_.components[component].actions;
    for (std::size_t action = 0; action < actions.size(); ++action) {
      if (shut && actions[action].opens) continue;
      links_.push_back({.first = no_link,
                        .second = no_link,
                        .component = static_cast<std::uint32_t>(component),
                        .action = static_cast<std::uint8_t>(action)});
      sets.push_back({.cost_minor = actions[action].cost_minor,
                      .dose = actions[action].dose,
                      .link = static_cast<std::uint32_t>(links_.size() - 1)});
    }
    return pruned(std::move(sets));
  }

  static Sets pruned(Sets sets) {
    std::ranges::stable_sort(sets, [](const Set& a, const Set& b) {
      return a.cost_minor != b.cost_minor ? a.cost_minor < b.cost_minor : a.dose < b.dose;
    });
    Sets kept;
    for (const Set& set : sets) {
      if (kept.empty() || set.dose < kept.back().dose) kept.push_back(set);
    }
    return kept;
  }

  /// Undominated sums of a set from each side.
  Sets times(const Sets& a, const Sets& b) {
    if (too_large_ || a.empty() || b.empty()) return {};
    if (a.size() * b.size() > most_sets || links_.size() > 10 * most_sets) {
      too_large_ = true;
      return {};
    }
    struct Pair {
      std::int64_t cost_minor;
      double dose;
      std::uint32_t first, second;
    };
    std::vector<Pair> sums;
    sums.reserve(a.size() * b.size());
    for (const Set& x : a) {
      for (const Set& y : b) {
        sums.push_back(
            {.cost_minor = x.cost_minor + y.cost_minor, .dose = x.dose + y.dose, .first = x.link, .second = y.link});
      }
    }
    std::ranges::stable_sort(sums, [](const Pair& x, const Pair& y) {
      return x.cost_minor != y.cost_minor ? x.cost_minor < y.cost_minor : x.dose < y.dose;
    });
    Sets kept;
    for (const Pair& sum : sums) {
      if (!kept.empty() && !(sum.dose < kept.back().dose)) continue;
      links_.push_back({.first = sum.first, .second = sum.second, .component = joins, .action = 0});
      kept.push_back(
          {.cost_minor = sum.cost_minor, .dose = sum.dose, .link = static_cast<std::uint32_t>(links_.size() - 1)});
    }
    return kept;
  }

  const FrontierProblem& problem_;
  std::vector<Link> links_;
  bool too_large_ = false;
};

}  // namespace

Result<std::vector<FrontierPoint>> frontier(const FrontierProblem& problem) {
  InputCheck check;
  double sum = 0.0;
  for (std::size_t i = 0; i < problem.accesses.size(); ++i) {
    const AccessPrice& access = problem.accesses[i];
    const std::string field = fmt::format("problem.accesses[{}]", i);
    check.that(access.cost_minor >= 0, field + ".cost_minor", fmt::format("{}", access.cost_minor), "0 or more")
        .that(access.parent >= -1 && access.parent < static_cast<std::ptrdiff_t>(i), field + ".parent",
              fmt::format("{}", access.parent), "an earlier access, or -1");
    sum += static_cast<double>(access.cost_minor);
  }
  for (std::size_t i = 0; i < problem.components.size(); ++i) {
    const FrontierComponent& component = problem.components[i];
    const std::string field = fmt::format("problem.components[{}]", i);
    check
        .that(component.access >= -1 && component.access < static_cast<std::ptrdiff_t>(problem.accesses.size()),
              field + ".access", fmt::format("{}", component.access), "an access, or -1")
        .that(!component.actions.empty() && component.actions.size() <= 255, field + ".actions",
              fmt::format("{} actions", component.actions.size()), "1 to 255");
    std::int64_t most = 0;
    for (const ActionPrice& action : component.actions) {
      check
          .that(action.cost_minor >= 0, field + ".actions", fmt::format("a cost of {}", action.cost_minor), "0 or more")
          .non_negative(action.dose, field + ".actions.dose");
      most = std::max(most, action.cost_minor);
    }
    sum += static_cast<double>(most);
  }
  check.that(sum < 4e18, "problem", fmt::format("{:.3g} minor units", sum), "at most 4e18 in all");
  if (check.failed()) return check.fault();

  Builder builder(problem);
  const Sets sets = builder.behind(-1);
  if (builder.too_large()) {
    return fail({.code = ErrorCode::too_large,
                 .where = {.field = "problem"},
                 .found = "more than four million partial sets",
                 .expected = "fewer components, or costs in whole currency units"});
  }
  std::vector<FrontierPoint> points;
  for (const Set& set : sets) {
    FrontierPoint point{.cost_minor = set.cost_minor,
                        .dose = set.dose,
                        .actions = std::vector<std::uint8_t>(problem.components.size(), 0)};
    builder.write(set.link, point.actions);
    points.push_back(std::move(point));
  }
  return points;
}

}  // namespace fw::extent
