// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/required.hpp"
#include "base/result.hpp"
#include "system/line_sheet.hpp"

/// Faults that are put into a sheet on purpose, to see what gauges would show and whether the engine is still fed.
///
/// A fault is an edit of the sheet (`apply`); pairs are applied one after the other. Two kinds need no new model, with
/// the same answer (test): dead_pump is SupplyModel::Case::stopped_pumps, low_voltage the voltage of the running point.
/// An as-found sheet may state the same things as facts (docs/reference/line-sheet.md, "What is wrong with a part").
namespace fw::system {

enum class FaultKind : std::uint8_t {
  spent_filter,       ///< medium with a terminal drop: loaded to it
  plugged_filter,     ///< medium: amount = drop over its clean drop, same flow and liquid [-]
  collapsed_filter,   ///< medium: folded or torn, the pores are short-circuited; amount = share of them left [-]
  dead_pump,          ///< pump: does not turn; what then passes is its `stopped` fact
  relief_stuck_open,  ///< relief, regulator, or the relief of a pump: held open; amount = bore of the gap [m]
  relief_stuck_shut,  ///< the same: never opens
  cracked_pickup,     ///< line that leaves a tank: lets air in; amount = bore of the equivalent hole [m]
  loose_joint,        ///< any other line, joint or connector: lets air in under vacuum; amount as above
  kinked_hose,        ///< tube or hose: amount = share of the bore left at the kink [-]
  blocked_vent,       ///< tank: amount = fuel burned since it closed [m3]
  low_voltage,        ///< whole vehicle, no part: amount = volts below the running point's voltage [V]
  bad_ground,         ///< electric pump: amount = resistance added to its return [Ohm]
  check_stuck_open,   ///< check valve or primer: passes both ways
  check_stuck_shut,   ///< check valve or primer: passes nothing
  blocked_return,     ///< line of a leg that leads back: amount = share of the bore left [-]
  wrong_set,          ///< relief, regulator, or a pump with a set: amount = factor on the set [-]
  shut_off_shut,      ///< shut-off: left closed
};

/// What stands at every kind. The usual amounts are typical or assumed, no source; each is a place to start from.
struct FaultFacts {
  FaultKind kind = FaultKind::dead_pump;
  std::string_view id;           ///< stable name in files and JSON, e.g. "plugged-filter"
  std::string_view title;        ///< for people: "plugged filter"
  std::string_view amount;       ///< what the amount means, "" where the kind has none
  double usual = required;       ///< taken where the amount is not given; NaN where the kind has none
  double least = required;       ///< an amount below is refused
  double most = required;        ///< an amount above is refused
  bool without_rebuild = false;  ///< can be said by the case: dead_pump, low_voltage
};

/// All kinds in the order of the enumeration.
[[nodiscard]] std::span<const FaultFacts> fault_kinds();
[[nodiscard]] const FaultFacts& facts(FaultKind kind);
[[nodiscard]] std::optional<FaultKind> fault_kind_named(std::string_view id);

/// One fault at one part. `amount` NaN: the usual amount of its kind.
struct Fault {
  FaultKind kind = FaultKind::dead_pump;
  std::string part;          ///< id of the part; of the tank for blocked_vent; "" for low_voltage
  double amount = required;  ///< in the unit of the kind; NaN: usual

  friend bool operator==(const Fault& a, const Fault& b) {
    return a.kind == b.kind && a.part == b.part &&
           (a.amount == b.amount || (a.amount != a.amount && b.amount != b.amount));
  }
};

/// The amount of a fault, or the usual one of its kind; NaN where the kind has none.
[[nodiscard]] double amount_of(const Fault& fault);

/// Whether the sheet has a place for it. Errors: not_found `fault.part`; invalid_input naming `fault.part` (a part the
/// kind does not fit, a bypassed one) or `fault.amount` (outside least to most).
[[nodiscard]] Result<void> check_fault(const Fault& fault, const LineSheet& sheet);

/// The sheet with the fault in it: all else, ids included, is as before, so that draws stay paired.
/// Errors: those of check_fault.
[[nodiscard]] Result<LineSheet> apply(const Fault& fault, LineSheet sheet);

/// Every single fault that the sheet has a place for, at its usual amount, in the order of the sheet; wrong_set twice,
/// low (0.6) and high (1.5). Bypassed parts and faults that are there already are left out.
[[nodiscard]] std::vector<Fault> faults_possible(const LineSheet& sheet);

/// "engine filter: plugged filter, 20 times its clean drop"; the part by its title.
[[nodiscard]] std::string describe(const Fault& fault, const LineSheet& sheet);

}  // namespace fw::system
