// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "assess/assess.hpp"
#include "debris/debris_map.hpp"
#include "extent/decision.hpp"

/// Metal and the extent of a repair in words, shared by screen and papers.
namespace fw::report {

/// "0.42 mg", "18 mg", "1.3 g": two figures, in a unit that fits.
[[nodiscard]] std::string mass_words(double kg);
/// "under 1", "420", "3.1 thousand", "12 million".
[[nodiscard]] std::string count_words(double number);
/// "9,840 USD": ten of the currency at the next, from a thousand up.
[[nodiscard]] std::string money_words(const Money& money);
/// The same, or "not known".
[[nodiscard]] std::string cost_words(const std::optional<Money>& money);

/// Working days of eight hours, whole, from low to high hours: "2 to 4 days", "under a day".
[[nodiscard]] std::string days_words(const extent::Hours& labour);

/// Names of the places in a state, in the fuel's order, as a technician says them.
[[nodiscard]] std::vector<std::string> places_in(const debris::DebrisMap& map, debris::PlaceState state);
/// "a", "a and b", "a, b and c"; empty for none.
[[nodiscard]] std::string listed(const std::vector<std::string>& items);
/// A place as an owner says it: "the screen before the high-pressure pump".
[[nodiscard]] std::string owner_place(debris::Place place);

/// The option of a decision; nothing where it is not told.
[[nodiscard]] const extent::OptionResult* option_of(const extent::Decision& decision, extent::OptionKind kind);
/// The smallest repair told: the supply side for metal of the assist pump, else the pump alone.
[[nodiscard]] const extent::OptionResult& smallest_repair(const extent::Decision& decision);

/// What the decision comes to, in one or two sentences.
[[nodiscard]] std::string verdict_words(const extent::Decision& decision);
/// Why an option may not stand first, a sentence each: evidence first, then "Not offered by this shop, because ...".
/// Policy is worded as policy, never as a result.
[[nodiscard]] std::vector<std::string> standing_words(const extent::OptionResult& option);
/// What stays of this failure, in words: particles that reach the new parts, and the chance that the vehicle is back.
[[nodiscard]] std::string residual_words(const extent::OptionResult& option);
/// Chance of a comeback at which an option costs what the whole system does; empty without prices.
[[nodiscard]] std::string break_even_words(const extent::OptionResult& option);
/// Where money alone would choose the smallest repair and something else bars it: says so, and what bars it. Else
/// empty.
[[nodiscard]] std::string beyond_money_words(const extent::Decision& decision);
/// An assumption and the value at which it alone turns the order, all others at their medians.
[[nodiscard]] std::vector<std::string> flip_words(const extent::Decision& decision);

/// The answer to "can you just change the pump?" for its owner: no, yes or not yet; where metal was seen; what a new
/// pump alone would leave, how many such jobs come back; what this shop's policy says.
[[nodiscard]] std::string pump_question(const debris::DebrisMap& map, const extent::Decision& decision);
/// What the pump alone and the option that stands first (the whole system where none does) cost, and at how many
/// comebacks both cost the same. Empty without prices.
[[nodiscard]] std::string pump_question_sums(const extent::Decision& decision);

/// What a change of the supply did to the particles that fuel brings to the pump inlet, one sentence with its band.
[[nodiscard]] std::string cleanliness_words(const assess::CleanlinessChange& change);

/// One number that stands behind map and options and that nobody measured here.
struct AssumptionRow {
  std::string what;
  std::string value;
  std::string source;  ///< "assumed", "common practice, no source", "published procedure"
};
[[nodiscard]] std::vector<AssumptionRow> metal_assumptions();

}  // namespace fw::report
