// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/money.hpp"
#include "base/required.hpp"
#include "base/result.hpp"
#include "base/run.hpp"
#include "debris/debris_map.hpp"
#include "extent/comeback.hpp"
#include "extent/components.hpp"
#include "extent/frontier.hpp"
#include "numerics/sobol_indices.hpp"

/// What must be replaced, priced as risk. Theory: docs/theory/extent.md.
namespace fw::extent {

/// Hours after the repair at which doses are told.
inline constexpr std::array<double, 4> dose_hours{1.0, 10.0, 100.0, 500.0};
inline constexpr std::size_t decision_mark = 2;  ///< 100 h

/// Particles of at least 14 um(c) left by this failure that reach a part.
struct Reached {
  double pump = 0.0;
  double valve = 0.0;
  double injectors = 0.0;
  /// At least one of the three, no particle twice: what passes the pump's inlet, what lies in the pump or the
  /// injectors, and what goes from pipes and rail into the injectors.
  double any = 0.0;
};
/// By place where the particles lie at the time of the decision, by mark.
using ReachedByPlace = std::array<std::array<Reached, dose_hours.size()>, debris::place_count>;

/// Carries what lies at each place of each history through 500 h of the repaired system in clean fuel. The transport is
/// linear, so doses of places add up, whatever is replaced. Errors: those of transport_of; cancelled.
[[nodiscard]] Result<std::vector<ReachedByPlace>> reach_of(const debris::FuelWay& way,
                                                           std::span<const debris::History> histories,
                                                           std::uint64_t seed, const Run& run);

using ActionSet = std::vector<Action>;  ///< by components()

struct PriceBand {
  Money low;
  Money high;
};
struct Prices {
  Currency currency;
  Money labour_per_hour;
  /// By components(), of the new part; nothing: not entered. 0 where nothing is bought.
  std::vector<std::optional<PriceBand>> parts;
  std::vector<Access> open;  ///< already open: paid, not counted
  PriceBand comeback_loss;   ///< K: rework, goodwill, downtime, tow
  std::optional<PriceBand> supply_upgrade;
};

enum class OptionKind : std::uint8_t {
  supply_side,  ///< assist pump, its lines and the next filter: told for metal of the assist pump only
  pump_only,
  pump_and_high_side,
  verified_partial,
  whole_system,
  whole_and_upgrade,
};
inline constexpr std::size_t option_count = 6;
[[nodiscard]] std::string_view id(OptionKind kind);
[[nodiscard]] std::string_view name(OptionKind kind);
[[nodiscard]] bool is_partial(OptionKind kind);
[[nodiscard]] ActionSet actions_of(OptionKind kind);

/// Why an option may not stand first.
enum class Standing : std::uint8_t {
  eligible,
  not_on_this_evidence,  ///< a partial option whose places are not verified clean
  not_offered,           ///< barred by the shop's policy
};

/// A rule of the shop. Policy is shown as policy, never as a result.
struct PolicyRule {
  std::string id;
  OptionKind bars = OptionKind::pump_only;
  /// Bars only when metal was seen, or more likely than not lies, past the metering valve.
  bool when_past_the_valve = true;
  std::string reason;
};
/// "Metal past the metering valve: no pump-only repair."
[[nodiscard]] std::vector<PolicyRule> usual_policy();

struct OptionResult {
  OptionKind kind = OptionKind::whole_system;
  ActionSet actions;
  std::array<debris::Quantiles, dose_hours.size()> reached;  ///< any part, by mark
  double mean_reached = required;                            ///< any part, mean, in 100 h
  std::array<double, 3> to_parts{};                          ///< mean by pump, valve, injectors in 100 h
  debris::Quantiles comeback;                                ///< chance within 12 months over draws
  double mean_comeback = required;
  std::optional<Money> likely_cost;      ///< mean
  std::optional<Money> unlucky_cost;     ///< nine jobs in ten cost less
  Hours labour;                          ///< access included
  std::optional<double> expected_minor;  ///< cost and comeback together, minor units
  /// Chance of a comeback at which it costs what the whole system does; empty for the whole system or without prices.
  std::optional<double> break_even;
  Standing standing = Standing::eligible;
  std::vector<std::string> because;         ///< evidence that is missing
  std::vector<std::string> policy;          ///< reasons of the shop's rules that bar it
  std::vector<std::string> missing_prices;  ///< ids of components
  std::vector<std::string> not_covered;     ///< names of parts that are kept though metal lies or may lie there
  /// By draw, unsorted: what it costs [minor units]; empty without prices.
  std::vector<double> cost_draws_minor;
  /// By history and place: particles that what lies there brings to any part in 100 h after this option. Doses of
  /// places add, so metal that lies in some places only is the sum over those.
  std::vector<std::array<double, debris::place_count>> dose_by_place;
};

/// What one assumption alone does to the first two options.
struct Hinge {
  std::string_view assumption;
  double first = required;  ///< Sobol index of the cost difference [-]
  double total = required;
  std::optional<double> flips_at;  ///< value at which the order turns, all others at their medians
};

enum class Verdict : std::uint8_t { recommended, too_little_evidence };

struct Decision {
  Verdict verdict = Verdict::too_little_evidence;
  std::optional<OptionKind> first;  ///< of the eligible; empty: too little evidence, or no prices
  std::vector<OptionResult> options;
  std::vector<Hinge> hinges;             ///< pump only against whole system (or supply side)
  std::vector<FrontierPoint> frontier;   ///< empty without prices
  std::vector<debris::Place> look_next;  ///< whose test would let a partial option stand first
  bool whole_by_magnet = false;
};

struct DecisionInput {
  debris::FuelWay as_found;  ///< the way that the repaired system keeps without an upgrade
  std::optional<debris::FuelWay> as_rebuilt;
  debris::Story story;
  std::vector<debris::Finding> findings;
  EngineShape shape = EngineShape::inline_four;
  std::optional<Prices> prices;
  ComebackPrior prior;
  std::vector<PolicyRule> policy;
  std::uint64_t seed = 1;
};

/// Share of what lay there that three cleanings leave: r^3, r from Beta(1.5, 3.5) (assumed; no residual share is
/// published).
[[nodiscard]] double left_by_cleaning(std::uint64_t seed, std::uint32_t sample, std::size_t component);

/// Whether metal was seen or more likely than not lies past the metering valve.
[[nodiscard]] bool past_the_valve(const debris::DebrisMap& map);

/// The decision on one map.
///
/// A partial option may stand first only when rail, injectors, return line and tank are verified clean by test; the
/// supply side only for metal from before the high-pressure pump, with the next filter's clean side, the pump's inlet
/// screen and the metering bore verified clean. Metal over 1 cm2 on the magnet leaves the whole system only. Ranked by
/// cost and comeback together. Errors: those of reach_of; invalid_input `prices...`, `prior...`; conflict of
/// currencies.
[[nodiscard]] Result<Decision> decide(const debris::DebrisMap& map, const DecisionInput& input, const Run& run);

}  // namespace fw::extent
