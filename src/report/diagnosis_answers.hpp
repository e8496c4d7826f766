// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "assess/assess.hpp"
#include "diagnosis/next_look.hpp"
#include "report/json_parts.hpp"
#include "units/quantity.hpp"

/// State and cause, what speaks for and against a cause, and the next looks, as text for a terminal and as JSON. They
/// word results; they compute none. Text stays in the shop and names every cause; JSON leaves the house, so a cause of
/// other people's work stands in it as held back until somebody of the shop releases it.
namespace fw::report {

/// What stands in a paper or JSON for a sentence on other people's work that nobody of this shop has released.
inline constexpr std::string_view held_back_words = "held back until released";

struct DiagnosisPage {
  std::string title;
  std::uint64_t seed = 1;
  diagnosis::Diagnosis found;
  diagnosis::NextLooks next;
  assess::DiagnosisSentences said;
  std::vector<std::string> not_to_do;
  bool layout_not_known = false;  ///< the bands hold layouts with and without a water sensor
};

/// State, causes, readings, what not to do, the next three looks, options.
[[nodiscard]] std::string diagnosis_text(const DiagnosisPage& page, const diagnosis::Losses& losses,
                                         const diagnosis::Tables& tables, int width, units::System system);
/// Schema fuelwright.diagnosis/2.1.
[[nodiscard]] std::string diagnosis_json(const DiagnosisPage& page, const diagnosis::Losses& losses,
                                         const diagnosis::Tables& tables);

/// For and against one cause, what single result would overturn it, how far the findings disagree, on how many draws
/// the readings rest.
[[nodiscard]] std::string explanation_text(const diagnosis::Explanation& why, int width);
/// Schema fuelwright.explanation/2.1.
[[nodiscard]] std::string explanation_json(const diagnosis::Explanation& why);

/// The inspection sheet: looks that may be done, with boxes; then those worth it that must wait.
[[nodiscard]] std::string looks_text(const std::string& title, const diagnosis::NextLooks& next,
                                     const diagnosis::Tables& tables, int width);
/// Schema fuelwright.looks/1.2.
[[nodiscard]] std::string looks_json(const std::string& title, const diagnosis::NextLooks& next,
                                     const diagnosis::Losses& losses, const diagnosis::Tables& tables);
/// "Losses of a wrong decision: from this case's metal and prices." or that the catalog's stand in, and why.
[[nodiscard]] std::string losses_words(const diagnosis::NextLooks& next);

/// "34 in 100 (20 to 50)"; without draws the chance alone.
[[nodiscard]] std::string in_hundred_words(const diagnosis::Belief& one, std::size_t draws);
/// "E70 present: return line of the relief valve hot".
[[nodiscard]] std::string weight_name(const diagnosis::Weight& one);
/// "odds times 4", "odds over 2".
[[nodiscard]] std::string odds_words(double log_odds);
[[nodiscard]] std::string conflict_words(double bits);
[[nodiscard]] std::string effective_words(double draws);

/// A belief as JSON; one that is held back by its id alone.
[[nodiscard]] Json belief_json(const diagnosis::Belief& one);
/// The sentence on the cause as it may leave the house.
[[nodiscard]] std::string released_sentence(const diagnosis::Diagnosis& found, const std::string& sentence);

}  // namespace fw::report
