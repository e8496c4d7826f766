// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <span>
#include <string_view>
#include <vector>

#include "assess/assess.hpp"
#include "diagnosis/next_look.hpp"
#include "extent/decision.hpp"

/// What a wrong extent and a missed cause cost in this case. Theory: docs/theory/diagnosis.md, Losses of the extent.
namespace fw::assess {

/// A statement of the diagnosis on how far metal got, and the places of the debris map it speaks of.
struct Stretch {
  std::string_view mechanism;  ///< id
  std::vector<debris::Place> places;
};
/// Places of no stretch hold what the map says whatever the diagnosis: with metal of the high-pressure pump the pump
/// itself, with metal from before it the supply line too.
[[nodiscard]] std::vector<Stretch> stretches(debris::MetalOrigin origin);

/// Shares a loss that depends on which of m statements are true among them. `by_truth` has 2^m losses, bit i of the
/// place tells whether statement i is true. Shapley value:
///
///   s_i = SUM_S (|S|! (m - |S| - 1)! / m!) [f(S + i) - f(S)]
///
/// so that f(none) + SUM s_i = f(all), exactly, and between as near as equal shares of what two share allow.
/// Source: L. S. Shapley (1953), from memory. Precondition: a power of two of at most 2^10 finite losses.
/// Check: f(none, 1, 2, both) = 1, 4, 6, 11 -> 4 and 6.
[[nodiscard]] std::vector<double> shared_among(std::span<const double> by_truth);

struct ExtentLosses {
  diagnosis::Losses losses;
  /// Largest difference between a loss of a truth and the sum that stands in for it, over options and truths.
  double misfit_s = 0.0;
};

/// Losses of the decision "extent" and of every cause left, from the options of a case:
///
///   f(o, S) = C_o + K p_o(S)                 options with a pump
///   f(o, S) = C_o + K p_o(none)              without one, where nothing is true
///             C_o + K + min_o' f(o', S)      without one, where one had shed: the repair is done again
///
/// C cost, K what a comeback costs, p_o(S) the chance of one with metal only in the stretches S: the doses of the other
/// places are taken as 0, which is exact because doses of places add. Divided by the shop's rate they are time. A cause
/// of the table's option that makes it wrong costs K, and a pump where none was fitted; a cause left costs the chance
/// that it strikes again times the first option and K. Every number is the mean of the draws of cost, K, histories and
/// comeback; the draws stand beside it. Options that the shop's policy bars are no options; with one option left there
/// is no decision, and nothing to lose.
///
/// `decision` of extent::decide on `input` with `seed`. Where the case cannot say (no finding of metal, no prices, no
/// labour rate, a price missing) the table's losses come back with the reason.
/// Precondition: the table passes diagnosis::check().
[[nodiscard]] ExtentLosses losses_of_extent(const extent::Decision& decision, const extent::DecisionInput& input,
                                            const diagnosis::Losses& table, std::uint64_t seed);

/// Draws behind the bands of a table's losses.
inline constexpr std::uint32_t loss_draws = 200;

/// Losses that `next` uses for a case: its own where it has them, else the table's with the reason. The debris map and
/// the extent are taken from the store. Errors: cancelled.
[[nodiscard]] Result<diagnosis::Losses> losses_of_case(const casefile::Case& job, const diagnosis::Losses& table,
                                                       std::uint64_t seed, const Run& run, SectionStore& store);

/// The table's losses with their bands, and why they stand in.
[[nodiscard]] diagnosis::Losses losses_of_table(const diagnosis::Losses& table, std::uint64_t seed, std::string why);

}  // namespace fw::assess
