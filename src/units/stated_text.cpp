// SPDX-License-Identifier: Apache-2.0
#include "units/stated_text.hpp"

#include <cmath>
#include <optional>
#include <string>

#include <fmt/format.h>

#include "base/contract.hpp"
#include "units/class_word.hpp"
#include "units/dimension_facts.hpp"
#include "units/reading.hpp"
#include "units/text.hpp"
#include "units/unit_table.hpp"

namespace fw::units {

namespace {

constexpr std::string_view to_word = " to ";
constexpr std::string_view plus_minus = "+/-";

bool is_percent(std::string_view unit) {
  const std::string key = lower(unit_key(unit));
  return key == "%" || key == "percent" || key == "per cent";
}

bool is_vacuum(const Quantity& quantity, const Field& field) {
  return field.dimension == Dimension::gauge_pressure && pressure_unit(quantity.unit).vacuum;
}

/// The value, its spread, nothing else.
struct Doubted {
  double value = 0.0;
  Spread spread;
};

/// Low and high in SI, rising. Both vacuums: the deeper one is typed last and is the lower pressure.
struct Bounds {
  double low = 0.0;
  double high = 0.0;
};
Result<Bounds> read_bounds(const Quantity& low, const Quantity& high, const Field& field) {
  const auto from = in_si(low, field);
  if (!from) return fail(from.error());
  const auto upto = in_si(high, field);
  if (!upto) return fail(upto.error());
  if (is_vacuum(low, field) && is_vacuum(high, field)) return Bounds{.low = *upto, .high = *from};
  return Bounds{.low = *from, .high = *upto};
}

/// "LOW to HIGH" split at the word; the missing unit of one is that of the other.
struct Ends {
  Quantity low;
  Quantity high;
};
Result<Ends> read_ends(std::string_view range, const Field& field) {
  const std::size_t to = range.find(to_word);
  const auto low = read_quantity(range.substr(0, to), field);
  if (!low) return fail(low.error());
  const auto high = read_quantity(range.substr(to + to_word.size()), field);
  if (!high) return fail(high.error());
  Ends ends{.low = *low, .high = *high};
  if (ends.low.unit.empty()) ends.low.unit = ends.high.unit;
  if (ends.high.unit.empty()) ends.high.unit = ends.low.unit;
  return ends;
}

Result<Doubted> read_range(std::string_view text, bool logarithmic, const Field& field) {
  const auto ends = read_ends(text, field);
  if (!ends) return fail(ends.error());
  const auto bounds = read_bounds(ends->low, ends->high, field);
  if (!bounds) return fail(bounds.error());
  const std::string legal = logarithmic ? example_of_log_range(field.dimension) : example_of_range(field.dimension);
  if (!(bounds->low < bounds->high)) {
    return refuse(field, "two different numbers, the smaller one first", fmt::format("Write \"{}\"", legal));
  }
  if (!logarithmic) {
    return Doubted{.value = 0.5 * (bounds->low + bounds->high),
                   .spread = {.kind = SpreadKind::uniform, .low = bounds->low, .high = bounds->high}};
  }
  if (!(bounds->low > 0.0))
    return refuse(field, "numbers above zero after \"log\"", fmt::format("Write \"{}\"", legal));
  return Doubted{.value = std::sqrt(bounds->low) * std::sqrt(bounds->high),
                 .spread = {.kind = SpreadKind::log_uniform, .low = bounds->low, .high = bounds->high}};
}

/// Where a range in brackets stands: '(' and its ')' around " to ".
struct Brackets {
  std::size_t open = 0;
  std::optional<std::size_t> close;  ///< nothing: never closed
};
std::optional<Brackets> range_brackets(std::string_view text) {
  const std::size_t to = text.find(to_word);
  const std::size_t before = to == std::string_view::npos ? text.size() : to;
  const std::size_t open = text.substr(0, before).rfind('(');
  if (open == std::string_view::npos) return std::nullopt;
  // "kPa/(100 L/h)" is a unit; "(9 - 13)" is meant as a range.
  const bool unit_bracket = trimmed(text.substr(0, open)).ends_with('/');
  const std::string_view inside = trimmed(text.substr(open + 1));
  const bool number_inside = read_number(inside).fault != NumberFault::missing;
  if (unit_bracket || !number_inside) return std::nullopt;
  int depth = 0;
  for (std::size_t i = open; i < text.size(); ++i) {
    if (text[i] == '(') ++depth;
    if (text[i] == ')' && --depth == 0) return Brackets{.open = open, .close = i};
  }
  return Brackets{.open = open, .close = std::nullopt};
}

Result<Doubted> read_mode(std::string_view text, const Brackets& brackets, const Field& field) {
  const std::string hint = fmt::format("Write \"{}\"", example_of_mode(field.dimension));
  if (!brackets.close) return refuse(field, "a closing bracket after the range", hint);
  const std::string_view inside = text.substr(brackets.open + 1, *brackets.close - brackets.open - 1);
  const std::string_view tail = trimmed(text.substr(*brackets.close + 1));
  if (inside.find(to_word) == std::string_view::npos) {
    return refuse(field, "\"low to high\" in the brackets", hint);
  }
  auto mode = read_quantity(text.substr(0, brackets.open), field);
  if (!mode) return fail(mode.error());
  auto ends = read_ends(inside, field);
  if (!ends) return fail(ends.error());
  if (!tail.empty()) {
    if (!mode->unit.empty() || !ends->low.unit.empty()) {
      return refuse(field, "nothing behind the closing bracket: the unit stands once", hint);
    }
    mode->unit = tail;
  }
  if (mode->unit.empty()) mode->unit = ends->low.unit;
  if (ends->low.unit.empty()) ends->low.unit = ends->high.unit = mode->unit;
  const auto value = in_si(*mode, field);
  if (!value) return fail(value.error());
  const auto bounds = read_bounds(ends->low, ends->high, field);
  if (!bounds) return fail(bounds.error());
  if (!(bounds->low <= *value && *value <= bounds->high && bounds->low < bounds->high)) {
    return refuse(field, "the most likely value inside its range, the smaller bound first", hint);
  }
  return Doubted{.value = *value, .spread = {.kind = SpreadKind::triangular, .low = bounds->low, .high = bounds->high}};
}

Result<Doubted> read_half_width(std::string_view text, std::size_t sign, const Field& field) {
  const std::string hint = fmt::format("Write \"{}\"", example_of_doubt(field.dimension));
  auto value = read_quantity(text.substr(0, sign), field);
  if (!value) return fail(value.error());
  auto half = read_quantity(text.substr(sign + plus_minus.size()), field);
  if (!half) return fail(half.error());
  if (!(half->number > 0.0)) {
    return refuse(field, "a doubt above zero after +/-",
                  fmt::format("Write \"exactly {}\" where there is none", example(field.dimension)));
  }

  const bool points = field.dimension == Dimension::ratio && is_percent(value->unit);
  const bool share = is_percent(half->unit) && !points;
  if (share && field.dimension == Dimension::temperature) {
    return refuse(field, "a doubt in kelvin: a share of a temperature says nothing", hint);
  }
  if (value->unit.empty() && !share) {
    if (field.dimension == Dimension::temperature && lower(half->unit) == "k") {
      return refuse(field, "a temperature with its own unit before +/-", hint);
    }
    value->unit = half->unit;
  }
  const auto si = in_si(*value, field);
  if (!si) return fail(si.error());

  double half_width = 0.0;
  if (share) {
    half_width = std::abs(*si) * half->number / 100.0;
    if (!(half_width > 0.0)) return refuse(field, "a doubt with its unit: a share of 0 is 0", hint);
  } else {
    if (half->unit.empty()) half->unit = value->unit;
    if (is_pressure(field.dimension)) half->unit = pressure_unit(half->unit).unit;
    const Field width{.typed = field.typed, .dimension = difference_of(field.dimension), .form = field.form};
    const auto read = in_si(*half, width);
    if (!read) return refuse(field, "a doubt after +/- in a unit of the value, or in %", hint);
    half_width = *read;
  }
  return Doubted{.value = *si, .spread = {.kind = SpreadKind::normal, .half_width = half_width}};
}

Result<Doubted> read_factor(std::string_view before, std::string_view after, const Field& field) {
  const std::string hint = fmt::format("Write \"{} times/divided by 2\"", example(field.dimension));
  const auto value = read_quantity(before, field);
  if (!value) return fail(value.error());
  const auto si = in_si(*value, field);
  if (!si) return fail(si.error());
  const Number factor = read_number(after);
  constexpr double largest_factor = 1e6;  // keeps every draw finite
  if (factor.fault != NumberFault::none || !factor.rest.empty() || !(factor.value > 1.0) ||
      factor.value > largest_factor) {
    return refuse(field, "a plain factor above 1 (at most 1e6) after \"times/divided by\"", hint);
  }
  if (*si == 0.0) return refuse(field, "a number other than 0 before \"times/divided by\"", hint);
  if (field.dimension == Dimension::temperature) {
    return refuse(field, "a doubt in kelvin: a share of a temperature says nothing",
                  fmt::format("Write \"{}\"", example_of_doubt(field.dimension)));
  }
  return Doubted{.value = *si, .spread = {.kind = SpreadKind::lognormal, .factor = factor.value}};
}

/// The doubt that is typed, nothing where none is.
Result<std::optional<Doubted>> read_doubt(std::string_view text, const Field& field) {
  const auto some = [](Result<Doubted> read) -> Result<std::optional<Doubted>> {
    if (!read) return fail(read.error());
    return std::optional<Doubted>(*read);
  };
  if (lower(text.substr(0, 4)) == "log ") {
    const std::string_view range = trimmed(text.substr(4));
    if (range.find(to_word) == std::string_view::npos) {
      return refuse(field, "\"log low to high\"", fmt::format("Write \"{}\"", example_of_log_range(field.dimension)));
    }
    return some(read_range(range, true, field));
  }
  for (const std::string_view words : {"times/divided by", "times or divided by", "*/"}) {
    const std::size_t at = text.find(words);
    if (at != std::string_view::npos)
      return some(read_factor(text.substr(0, at), text.substr(at + words.size()), field));
  }
  if (const std::size_t sign = text.find(plus_minus); sign != std::string_view::npos) {
    return some(read_half_width(text, sign, field));
  }
  if (const auto brackets = range_brackets(text)) return some(read_mode(text, *brackets, field));
  if (text.find(to_word) != std::string_view::npos) return some(read_range(text, false, field));
  return std::optional<Doubted>{};
}

Spread relative(double value, double share) {
  if (!(share > 0.0) || value == 0.0) return {};
  return {.kind = SpreadKind::normal, .half_width = share * std::abs(value)};
}

Spread in_kelvin(double half_width_K) {
  if (!(half_width_K > 0.0)) return {};
  return {.kind = SpreadKind::normal, .half_width = half_width_K};
}

}  // namespace

Spread default_spread(double value, SourceClass source, Dimension dimension, const SourceSpreads& spreads) {
  FW_EXPECTS(std::isfinite(value));
  if (dimension == Dimension::temperature) {
    switch (source) {
      case SourceClass::measured: return in_kelvin(spreads.measured_K);
      case SourceClass::datasheet: return in_kelvin(spreads.datasheet_K);
      case SourceClass::catalog: return in_kelvin(spreads.catalog_K);
      case SourceClass::typical: return in_kelvin(spreads.typical_K);
      case SourceClass::assumed: return in_kelvin(spreads.assumed_K);
    }
  }
  const bool datum = dimension == Dimension::height || dimension == Dimension::angle;
  if (source == SourceClass::assumed && !datum) {
    if (value == 0.0 || !(spreads.assumed_factor > 1.0)) return {};
    return {.kind = SpreadKind::lognormal, .factor = spreads.assumed_factor};
  }
  if (source == SourceClass::assumed || source == SourceClass::typical) return relative(value, spreads.typical);
  if (dimension == Dimension::bore) return relative(value, spreads.bore);
  if (is_length(dimension)) return relative(value, spreads.length);
  if (source == SourceClass::measured) return relative(value, spreads.measured);
  return relative(value, source == SourceClass::datasheet ? spreads.datasheet : spreads.catalog);
}

Result<Stated> parse_stated(std::string_view text, Dimension dimension, const StatedOptions& options) {
  const Field field{.typed = text, .dimension = dimension, .form = Form::stated};
  const std::string clean = plain(text);
  const ClassWords words = take_class_words(clean);
  if (words.too_many) {
    return refuse(field, "one class word at most", fmt::format("Write \"typical {}\"", example(dimension)));
  }

  Stated stated;
  stated.source = words.source.value_or(options.source);
  stated.origin.as_typed = text;
  if (words.rest == "?") {
    if (words.exact || words.source) {
      return refuse(field, "\"?\" alone, or a number", fmt::format("Write \"?\" or \"{}\"", example(dimension)));
    }
    stated.unknown = true;
    stated.source = SourceClass::assumed;
    return stated;
  }

  const auto doubt = read_doubt(words.rest, field);
  if (!doubt) return fail(doubt.error());
  if (*doubt) {
    if (words.exact) {
      return refuse(field, "one number after \"exactly\"", fmt::format("Write \"exactly {}\"", example(dimension)));
    }
    stated.value = (*doubt)->value;
    stated.spread = (*doubt)->spread;
    return stated;
  }

  const auto quantity = read_quantity(words.rest, field);
  if (!quantity) return fail(quantity.error());
  const auto value = in_si(*quantity, field);
  if (!value) return fail(value.error());
  stated.value = *value;
  if (!words.exact) stated.spread = default_spread(*value, stated.source, dimension, options.spreads);
  return stated;
}

}  // namespace fw::units
