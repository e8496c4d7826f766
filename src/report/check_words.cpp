// SPDX-License-Identifier: Apache-2.0
#include "report/check_words.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>

#include <fmt/format.h>

#include "base/chance_words.hpp"
#include "report/input_words.hpp"

namespace fw::report {

namespace {

using units::Dimension;

std::optional<Amount> finite(double si, Dimension dimension) {
  if (!std::isfinite(si)) return std::nullopt;
  return Amount{.si = si, .dimension = dimension};
}

}  // namespace

std::optional<Amount> value_of(const supply::Check& check) {
  if (!check.value) return std::nullopt;
  return finite(*check.value, check.dimension);
}

std::optional<Amount> limit_of(const supply::Check& check) { return finite(check.limit.fails, check.dimension); }

std::optional<Amount> narrow_limit_of(const supply::Check& check) {
  if (!check.limit.narrow) return std::nullopt;
  return finite(*check.limit.narrow, check.dimension);
}

std::optional<Amount> proposed_of(const supply::Check& check) {
  if (!check.proposed) return std::nullopt;
  return finite(*check.proposed, check.dimension);
}

std::optional<Amount> margin_of(const supply::Check& check) {
  if (!check.margin) return std::nullopt;
  // A gauge pressure keeps its dimension: a margin may be negative, which a drop may not.
  return finite(*check.margin,
                check.dimension == Dimension::temperature ? Dimension::temperature_difference : check.dimension);
}

std::string outcome_words(const supply::Check& check) {
  std::string words(word(mark_of(check.outcome)));
  if (!check.sampled || check.sampled->samples == 0) return words;
  const supply::Sampled& sampled = *check.sampled;
  const double chance = sampled.failing == 0 ? sampled.chance_at_most : sampled.chance();
  if (chance < 0.01) return words;
  if (sampled.failing == 0) return fmt::format("{}, under {:.0f} in 100", words, std::ceil(100.0 * chance));
  return fmt::format("{}, {}{}", words, sampled.coarse ? "about " : "", in_100(chance));
}

std::string band_words(const supply::Check& check, units::System system) {
  if (!check.sampled || check.sampled->samples == 0) return {};
  const auto end = [&](double si) { return words_of(Amount{.si = si, .dimension = check.dimension}, system); };
  return from_to(end(check.sampled->band.low), end(check.sampled->band.high));
}

std::string taken_words(const supply::Check& check, units::System system) {
  if (check.ways.empty()) return check.branch.empty() ? std::string() : " Taken: " + check.branch + ".";
  std::string text;
  std::optional<supply::Outcome> before;
  for (const supply::WayOutcome& way : check.ways) {
    const bool same = before == way.outcome;
    std::string words = same ? "or" : std::string(supply::name(way.outcome));
    if (!same && before) words = "; " + words;
    if (same) words = ", " + words;
    text += words + " if the " + way.way;
    if (way.value && std::isfinite(*way.value)) {
      text += " (" + units::print(*way.value, check.dimension, system) + ")";
    }
    before = way.outcome;
  }
  text[0] = static_cast<char>(text[0] - 'a' + 'A');
  return " " + text + ".";
}

std::string words_of(const std::optional<Amount>& amount, units::System system) {
  if (!amount) return "-";
  // A small share stays one in hundred: a bare power of ten among percents reads as another kind of number.
  constexpr double bare_below = 1e-3;
  const bool small = amount->dimension == Dimension::ratio && amount->si != 0.0 && std::abs(amount->si) < bare_below;
  if (small && system != units::System::si) return with_minus(fmt::format("{:.2g} %", 100.0 * amount->si));
  return with_minus(units::print(amount->si, amount->dimension, system));
}

std::string words_in_both(const std::optional<Amount>& amount, units::System system) {
  return amount ? with_minus(units::print_both(amount->si, amount->dimension, system)) : std::string("-");
}

Mark mark_of(supply::Outcome outcome) {
  switch (outcome) {
    case supply::Outcome::fails: return Mark::fails;
    case supply::Outcome::not_known: return Mark::not_known;
    case supply::Outcome::narrow: return Mark::narrow;
    case supply::Outcome::holds: return Mark::holds;
  }
  return Mark::not_known;
}

std::string short_point(const system::RunningPoint& point, units::System system) {
  std::string text(point.engine == system::EnginePoint::rated ? "rated" : system::name(point.engine));
  text += ", " + with_minus(units::print(point.fuel_temperature_K, Dimension::temperature, system));
  if (point.filter_loading > 0.5) text += ", spent filters";
  if (point.tank_level < 0.3) text += ", low tank";
  return text;
}

std::string point_words(const system::RunningPoint& point, units::System system) {
  // The words stand in system::describe(); only the temperature, its second phrase, is printed again.
  const std::string words = system::describe(point);
  const std::size_t from = words.find(", fuel ");
  const std::size_t to = words.find(',', from + 1);
  return with_minus(words.substr(0, from) + ", fuel " +
                    units::print(point.fuel_temperature_K, Dimension::temperature, system) + words.substr(to));
}

std::string sentence_alone(const supply::Check& check) {
  std::string text = check.sentence;
  for (const std::string_view mark : {", against ", "; no limit is known"}) {
    if (const std::size_t at = text.rfind(mark); at != std::string::npos) text = text.substr(0, at) + ".";
  }
  return text;
}

std::string with_temperatures(const std::string& text, units::System system) {
  std::string out;
  for (std::size_t i = 0; i < text.size();) {
    // "-10 C" between blanks, brackets or commas.
    std::size_t end = i;
    if (text[end] == '-') ++end;
    const std::size_t digits = end;
    while (end < text.size() && text[end] >= '0' && text[end] <= '9') ++end;
    const bool starts = i == 0 || text[i - 1] == ' ' || text[i - 1] == '(';
    const bool degrees =
        end > digits && text.compare(end, 2, " C") == 0 &&
        (end + 2 == text.size() || std::string_view(" ,;:.)").find(text[end + 2]) != std::string_view::npos);
    if (starts && degrees) {
      const double celsius = std::stod(text.substr(i, end - i));
      out += units::print(celsius + 273.15, Dimension::temperature, system);
      i = end + 2;
    } else {
      out += text[i++];
    }
  }
  return out;
}

std::string lower_first(std::string text) {
  const bool word = text.size() > 1 && text[0] >= 'A' && text[0] <= 'Z' && !(text[1] >= 'A' && text[1] <= 'Z');
  if (word) text[0] = static_cast<char>(text[0] - 'A' + 'a');
  return text;
}

std::string upper_first(std::string text) {
  if (!text.empty() && text[0] >= 'a' && text[0] <= 'z') text[0] = static_cast<char>(text[0] - 'a' + 'A');
  return text;
}

std::string from_to(const std::string& low, const std::string& high) {
  if (low == high) return low;
  // The unit is all that stands behind the first word with a digit: "139 mech hp", "under 0.01 mg".
  const auto unit_at = [](const std::string& text) {
    return std::min(text.find(' ', text.find_first_of("0123456789")), text.size());
  };
  const std::string unit = low.substr(unit_at(low));
  const bool shared = !unit.empty() && unit != " thousand" && unit != " million" && unit == high.substr(unit_at(high));
  return (shared ? low.substr(0, unit_at(low)) : low) + " to " + high;
}

}  // namespace fw::report
