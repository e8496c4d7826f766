// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

#include "base/required.hpp"
#include "base/result.hpp"

/// All action sets that nothing beats in both cost and dose. Theory: docs/theory/extent.md, section Frontier.
namespace fw::extent {

/// What one action of a component costs and leaves.
struct ActionPrice {
  std::int64_t cost_minor = 0;  ///< minor units of one currency, access not included
  double dose = required;       ///< particles it lets through, >= 0
  bool opens = true;            ///< needs the access of its component
};

/// An access: a cost paid once when anything behind it is opened. Its parent must be open first.
struct AccessPrice {
  std::int64_t cost_minor = 0;
  std::ptrdiff_t parent = -1;  ///< index of an earlier access, -1 none
};

struct FrontierComponent {
  std::ptrdiff_t access = -1;  ///< -1: lies open
  std::vector<ActionPrice> actions;
};

struct FrontierProblem {
  std::vector<AccessPrice> accesses;
  std::vector<FrontierComponent> components;
};

struct FrontierPoint {
  std::int64_t cost_minor = 0;
  double dose = required;
  std::vector<std::uint8_t> actions;  ///< chosen action of each component
};

/// Every undominated cost and dose, cost rising and dose falling, exact.
///
/// Dose is additive for a fixed supply (the transport is linear), cost is additive but for shared access, which forms a
/// tree: for each access the sets behind it are built without it being paid (nothing opened) and with it; partial sets
/// that another set beats in both are dropped, which loses no undominated whole set because both objectives only add.
/// Source: G. L. Nemhauser, Z. Ullmann, Manage. Sci. 15 (1969) 494-505 (from memory). Of equal sets the first in the
/// order of the actions stays. Errors: invalid_input `problem...`: no action, a negative cost or dose, an access whose
/// parent does not stand before it, costs adding up beyond 4e18; too_large: more than four million partial sets.
/// Check: brute force over all sets of 12 components.
[[nodiscard]] Result<std::vector<FrontierPoint>> frontier(const FrontierProblem& problem);

}  // namespace fw::extent
