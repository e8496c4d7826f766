// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>

#include "report/figure.hpp"
#include "supply/judge.hpp"
#include "units/quantity.hpp"

/// A check in the words and units of papers. The only place that knows in which unit a check keeps its numbers.
namespace fw::report {

/// A number with what it measures.
struct Amount {
  double si = required;
  units::Dimension dimension = units::Dimension::gauge_pressure;
};

[[nodiscard]] std::optional<Amount> value_of(const supply::Check& check);
/// The limit beyond which the check fails; nothing if none is known.
[[nodiscard]] std::optional<Amount> limit_of(const supply::Check& check);
/// The limit beyond which it is narrow, where it has one.
[[nodiscard]] std::optional<Amount> narrow_limit_of(const supply::Check& check);
/// Distance to the limit, positive inside; a difference ("3.6 kPa", a temperature difference).
[[nodiscard]] std::optional<Amount> proposed_of(const supply::Check& check);
[[nodiscard]] std::optional<Amount> margin_of(const supply::Check& check);

/// "narrow", and where it was sampled "narrow, 8 in 100", "fails, about 3 in 100", "holds, under 0.15 %" (95 % sure
/// that the chance of failing is lower).
[[nodiscard]] std::string outcome_words(const supply::Check& check);
/// The 5 % and 95 % of the worst value: "29.5 kPa to 68.4 kPa"; "" where it was not sampled.
[[nodiscard]] std::string band_words(const supply::Check& check, units::System system);

/// What was taken of unknown pump facts: " Taken: chassis pump returns its surplus to the tank.", or, where the ways
/// differ in outcome, all of them: " Fails if the ... (-31.2 kPa); holds if the ... (57.0 kPa)."; "" if nothing is
/// open.
[[nodiscard]] std::string taken_words(const supply::Check& check, units::System system);

/// "79.3 kPa" with a true minus sign; "-" for nothing.
[[nodiscard]] std::string words_of(const std::optional<Amount>& amount, units::System system);
/// "79.3 kPa (11.5 psi)": for what is read on a gauge or ordered.
[[nodiscard]] std::string words_in_both(const std::optional<Amount>& amount, units::System system);

[[nodiscard]] Mark mark_of(supply::Outcome outcome);

/// A running point in a few words, for table cells: "rated, 20 C, spent filters, low tank".
[[nodiscard]] std::string short_point(const system::RunningPoint& point, units::System system);

/// system::describe() in the units of the reader: "rated power, fuel 20 C, filters at end of life, tank 10 % full".
[[nodiscard]] std::string point_words(const system::RunningPoint& point, units::System system);

/// The check's sentence without whose limit it is held against, for papers that say that once.
[[nodiscard]] std::string sentence_alone(const supply::Check& check);

/// The temperatures in a sentence ("fuel 20 C, clean filters") in the units of the reader.
[[nodiscard]] std::string with_temperatures(const std::string& text, units::System system);

/// "Check", as used in running text: first letter small unless the word is an abbreviation.
[[nodiscard]] std::string lower_first(std::string text);
/// "As found" of "as found": a name that begins a heading or a sentence.
[[nodiscard]] std::string upper_first(std::string text);

/// Two ends of a range; a unit that they share stands once, and two that say the same are one: "1.36 to 1.81 mm2/s",
/// "under 0.01 mg". "1.3 thousand to 10 thousand" keeps both: its words are part of the number.
[[nodiscard]] std::string from_to(const std::string& low, const std::string& high);

}  // namespace fw::report
