// SPDX-License-Identifier: Apache-2.0
#include "units/reading.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

#include <fmt/format.h>

#include "units/dimension_facts.hpp"
#include "units/unit_table.hpp"

namespace fw::units {

namespace {

/// Deeper than any ambient pressure on earth (108.4 kPa, the highest sea-level reading) with a margin for rounding.
constexpr double deepest_vacuum_Pa = -110e3;

std::string with_blank(std::string_view number, std::string_view unit) {
  return unit.empty() ? std::string(number) : fmt::format("{} {}", number, unit);
}

/// Names of the listed units, for "in one of the units ...".
std::string listed_units(Dimension dimension) {
  const std::string_view tail = dimension == Dimension::absolute_pressure ? " abs" : "";
  std::string names;
  for (const Unit& unit : units_of(dimension)) {
    if (!unit.listed || unit.text.empty()) continue;
    if (!names.empty()) names += ", ";
    names += unit.text;
    names += tail;
  }
  return names;
}

tl::unexpected<Errors> refuse_number(NumberFault fault, std::string_view part, const Field& field) {
  const std::string named = fmt::format("{} with its unit", name(field.dimension));
  switch (fault) {
    case NumberFault::comma: {
      // The comma may stand for the point or between thousands; the first reading is shown if it is legal.
      std::string pointed(part);
      std::ranges::replace(pointed, ',', '.');
      const Field other{.typed = pointed, .dimension = field.dimension};
      const auto again = read_quantity(pointed, other);
      const std::string legal =
          again && in_si(*again, other) ? std::string(trimmed(pointed)) : std::string(example(field.dimension));
      return refuse(field, "a decimal point, and no mark between thousands",
                    fmt::format("Write \"{}\" if the comma is the decimal mark; leave it out if it is not", legal));
    }
    case NumberFault::dash_range:
      if (field.form == Form::stated) {
        return refuse(field, "the word \"to\" between two numbers",
                      fmt::format("Write \"{}\" for a range", example_of_range(field.dimension)));
      }
      return refuse(field, fmt::format("one number: {}", named));
    case NumberFault::denominator: return refuse(field, "a fraction with a number above zero below the line");
    case NumberFault::improper: return refuse(field, "a mixed number whose fraction is below one");
    case NumberFault::out_of_range: return refuse(field, "a number between 1e-100 and 1e100, or 0");
    case NumberFault::malformed: return refuse(field, fmt::format("one number, then the unit: {}", named));
    case NumberFault::missing:
    case NumberFault::none: break;
  }
  return refuse(field, named);
}

/// Removes the last word of `text` if it is one of `words`, in any case.
template <std::size_t Count>  // lists of different length
bool take_last_word(std::string& text, const std::array<std::string_view, Count>& words) {
  const std::size_t blank = text.rfind(' ');
  if (blank == std::string::npos) return false;
  const std::string last = lower(std::string_view(text).substr(blank + 1));
  if (std::ranges::find(words, last) == words.end()) return false;
  text.resize(blank);
  text = std::string(trimmed(text));
  return true;
}

/// Removes an attached letter as in "psia", where what is left is a pressure unit.
bool take_last_letter(std::string& text, char letter) {
  if (text.size() < 2 || find_unit(text, Dimension::pressure_drop) != nullptr) return false;
  const char last = text.back();
  const char small = last >= 'A' && last <= 'Z' ? static_cast<char>(last - 'A' + 'a') : last;
  if (small != letter) return false;
  const std::string_view shorter = std::string_view(text).substr(0, text.size() - 1);
  if (find_unit(shorter, Dimension::pressure_drop) == nullptr) return false;
  text.pop_back();
  return true;
}

Result<double> pressure_sign(const PressureUnit& words, double number, const Field& field) {
  switch (field.dimension) {
    case Dimension::gauge_pressure:
      if (words.absolute) {
        return refuse(field, "a gauge pressure: what a gauge reads over ambient",
                      "Take the ambient pressure off and write \"11 psi\", or \"8 inHg vac\" below ambient");
      }
      if (words.difference) return refuse(field, "a gauge pressure: what a gauge reads over ambient");
      if (words.vacuum && number < 0.0) {
        return refuse(field, "a vacuum without a minus sign: it is below ambient by its name",
                      "Write \"8 inHg vac\" or \"-27 kPa\"");
      }
      return words.vacuum ? -1.0 : 1.0;
    case Dimension::absolute_pressure:
      if (words.absolute && !words.gauge && !words.vacuum) return 1.0;
      return refuse(field, "an absolute pressure, marked \"abs\"",
                    "Add the ambient pressure to a gauge reading and write \"26 psi abs\" or \"180 kPa abs\"");
    default:
      if (words.gauge || words.absolute || words.vacuum) {
        return refuse(field, "a pressure drop: a difference of two pressures, without abs, gauge or vac");
      }
      return 1.0;
  }
}

/// Feet and inches: the inches behind "ft", else nullopt where `unit` is no such text.
std::optional<Result<double>> inches_behind_feet(const Quantity& quantity, const Field& field) {
  const std::string small = lower(quantity.unit);
  std::string_view rest;
  for (const std::string_view foot : {"ft", "feet", "foot", "'"}) {
    if (small.size() > foot.size() && small.starts_with(foot))
      rest = std::string_view(quantity.unit).substr(foot.size());
  }
  const Number inches = read_number(rest);
  if (rest.empty() || inches.fault == NumberFault::missing) return std::nullopt;
  const std::string expected = "feet, then inches below 12";
  const std::string hint = "Write \"5 ft 3 in\"";
  const Unit* unit = find_unit(unit_key(inches.rest), Dimension::length);
  const bool sound = inches.fault == NumberFault::none && unit != nullptr && unit->factor == inch_m &&
                     inches.value >= 0.0 && inches.value < 12.0;
  if (!sound) return Result<double>(refuse(field, expected, hint));
  return Result<double>(inches.value * inch_m);
}

tl::unexpected<Errors> refuse_unit(const std::string& key, const Field& field) {
  const std::string_view named = name(field.dimension);
  const std::string small = lower(key);
  if (key.empty()) {
    if (field.dimension == Dimension::bore) {
      return refuse(field, "a bore with its unit, or a dash size with its kind",
                    "Write \"8 mm\", \"5/16 in\" or \"-8 J30 hose\"");
    }
    if (is_length(field.dimension)) {
      return refuse(field, fmt::format("{} with its unit", named), "Write \"8 mm\" or \"5/16 in\"");
    }
    return refuse(field, fmt::format("{} with its unit, one of {}", named, listed_units(field.dimension)));
  }
  if (field.dimension == Dimension::power && (small == "hp" || small == "bhp")) {
    return refuse(field, "\"mech hp\" (745.7 W) or \"metric hp\" (735.5 W): there are two horsepowers",
                  "Write \"300 mech hp\" or \"300 metric hp\"");
  }
  if (field.dimension == Dimension::concentration_mass && (small == "ppm" || small == "%")) {
    return refuse(field, fmt::format("{}: \"{}\" does not say by mass or by volume", named, key),
                  fmt::format("Write \"200 mg/kg\" or \"200 ppm mass\" for a share of the mass"));
  }
  if (const Unit* other_case = find_unit_of_other_case(key, field.dimension)) {
    return refuse(field, fmt::format("\"{}\" with these capitals: others mean another unit", other_case->text));
  }
  const Dimension other = other_dimension_with(key, field.dimension);
  if (other != field.dimension) {
    return refuse(field, fmt::format("{}; \"{}\" is a unit of {}", named, key, name(other)));
  }
  return refuse(field, fmt::format("{} in one of the units {}", named, listed_units(field.dimension)));
}

}  // namespace

tl::unexpected<Errors> refuse(const Field& field, std::string expected, std::string hint) {
  return invalid({}, quoted(field.typed), std::move(expected), hint.empty() ? write_example(field) : std::move(hint));
}

std::string write_example(const Field& field) { return fmt::format("Write \"{}\"", example(field.dimension)); }

std::string example_of_doubt(Dimension dimension) {
  const DimensionFacts f = facts(dimension);
  const std::string_view unit = facts(difference_of(dimension)).unit;
  // A half-width carries the unit of the value; of an absolute pressure without its word, of a temperature in K.
  if (dimension == Dimension::temperature) return fmt::format("{} +/- {} {}", f.example, f.half_width, unit);
  if (dimension == Dimension::absolute_pressure) return fmt::format("{} +/- {} psi", f.example, f.half_width);
  return fmt::format("{} +/- {}", f.example, with_blank(f.half_width, f.unit));
}

std::string example_of_range(Dimension dimension) {
  const DimensionFacts f = facts(dimension);
  return fmt::format("{} to {}", f.low, with_blank(f.high, f.unit));
}

std::string example_of_mode(Dimension dimension) {
  const DimensionFacts f = facts(dimension);
  return fmt::format("{} ({} to {})", f.example, f.low, f.high);
}

std::string example_of_log_range(Dimension dimension) { return "log " + example_of_range(dimension); }

PressureUnit pressure_unit(std::string_view unit_text) {
  PressureUnit words;
  std::string text(unit_text);
  std::ranges::replace(text, '(', ' ');
  std::ranges::replace(text, ')', ' ');
  text = unit_key(text);
  static constexpr std::array<std::string_view, 3> absolute{"abs", "absolute", "a"};
  static constexpr std::array<std::string_view, 3> gauge{"gauge", "gage", "g"};
  static constexpr std::array<std::string_view, 2> vacuum{"vac", "vacuum"};
  static constexpr std::array<std::string_view, 3> difference{"d", "diff", "differential"};
  if (take_last_word(text, absolute) || take_last_letter(text, 'a')) {
    words.absolute = true;
  } else if (take_last_word(text, gauge) || take_last_letter(text, 'g')) {
    words.gauge = true;
  } else if (take_last_word(text, vacuum)) {
    words.vacuum = true;
  } else if (take_last_word(text, difference) || take_last_letter(text, 'd')) {
    words.difference = true;
  }
  words.unit = text;
  return words;
}

Result<Quantity> read_quantity(std::string_view part, const Field& field) {
  const Number number = read_number(part);
  if (number.fault != NumberFault::none) return refuse_number(number.fault, part, field);
  return Quantity{.number = number.value, .unit = std::string(number.rest)};
}

Result<double> in_si(const Quantity& quantity, const Field& field) {
  const Dimension dimension = field.dimension;
  std::string key = unit_key(quantity.unit);
  double sign = 1.0;
  double extra = 0.0;
  if (is_pressure(dimension)) {
    const PressureUnit words = pressure_unit(quantity.unit);
    if (words.unit.empty() || find_unit(words.unit, dimension) == nullptr) return refuse_unit(words.unit, field);
    const auto sided = pressure_sign(words, quantity.number, field);
    if (!sided) return fail(sided.error());
    key = words.unit;
    sign = *sided;
  }
  if (is_length(dimension)) {
    if (const auto inches = inches_behind_feet(quantity, field)) {
      if (!*inches) return fail(inches->error());
      key = "ft";
      extra = quantity.number < 0.0 ? -**inches : **inches;
    }
  }
  const Unit* unit = find_unit(key, dimension);
  if (unit == nullptr) return refuse_unit(key, field);

  const double si = sign * (quantity.number * unit->factor + unit->offset) + extra;
  const Sign allowed = facts(dimension).sign;
  if (allowed == Sign::not_negative && si < 0.0) {
    return refuse(field, fmt::format("{} of zero or more", name(dimension)));
  }
  if (allowed == Sign::positive && !(si > 0.0)) return refuse(field, fmt::format("{} above zero", name(dimension)));
  if (dimension == Dimension::temperature && si < 0.0) {
    return refuse(field, "a temperature above absolute zero (-273.15 C, -459.67 F)");
  }
  if (dimension == Dimension::gauge_pressure && si < deepest_vacuum_Pa) {
    return refuse(field, "a gauge pressure; no vacuum is deeper than ambient, about 101 kPa or 29.9 inHg");
  }
  return si == 0.0 ? 0.0 : si;  // never -0
}

}  // namespace fw::units
