// SPDX-License-Identifier: Apache-2.0
#include "units/quantity.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <optional>

#include <fmt/format.h>

namespace fw::units {

namespace {

constexpr double psi_Pa = 6894.757293168;
constexpr double inhg_Pa = 3386.38864034;
constexpr double gallon_m3 = 0.003785411784;
constexpr double imperial_gallon_m3 = 0.00454609;
constexpr double inch_m = 0.0254;
constexpr double pound_kg = 0.45359237;
constexpr double hour_s = 3600.0;

struct Unit {
  std::string_view text;
  double factor;
  double offset = 0.0;
};

using Units = std::vector<Unit>;

const Units& pressure_units() {
  static const Units units{{"psi", psi_Pa},      {"bar", 1e5},     {"mbar", 100.0},   {"kPa", 1e3},
                           {"MPa", 1e6},         {"Pa", 1.0},      {"inHg", inhg_Pa}, {"mmHg", 133.322387415},
                           {"inH2O", 249.08891}, {"atm", 101325.0}};
  return units;
}

const Units& units_of(Dimension dimension) {
  static const Units flow{{"L/h", 1e-3 / hour_s},
                          {"l/h", 1e-3 / hour_s},
                          {"gph", gallon_m3 / hour_s},
                          {"US gph", gallon_m3 / hour_s},
                          {"imp gph", imperial_gallon_m3 / hour_s},
                          {"gpm", gallon_m3 / 60.0},
                          {"L/min", 1e-3 / 60.0},
                          {"l/min", 1e-3 / 60.0},
                          {"mL/min", 1e-6 / 60.0},
                          {"ml/min", 1e-6 / 60.0},
                          {"cc/min", 1e-6 / 60.0},
                          {"m3/h", 1.0 / hour_s},
                          {"m3/s", 1.0}};
  static const Units length{{"mm", 1e-3},   {"m", 1.0},     {"cm", 1e-2},   {"um", 1e-6},
                            {"in", inch_m}, {"ft", 0.3048}, {"\"", inch_m}, {"inch", inch_m}};
  static const Units distance{{"km", 1e3}, {"mi", 1609.344}, {"m", 1.0}};
  static const Units temperature{{"C", 1.0, 273.15}, {"F", 1.0 / 1.8, 459.67 / 1.8}, {"K", 1.0}};
  static const Units difference{{"K", 1.0}, {"C", 1.0}, {"F", 1.0 / 1.8}};
  static const Units volume{{"L", 1e-3},        {"l", 1e-3},           {"mL", 1e-6},
                            {"ml", 1e-6},       {"cm3", 1e-6},         {"cc", 1e-6},
                            {"gal", gallon_m3}, {"US gal", gallon_m3}, {"imp gal", imperial_gallon_m3},
                            {"m3", 1.0}};
  static const Units displacement{{"cm3/rev", 1e-6}, {"cc/rev", 1e-6}, {"cm3", 1e-6}, {"cc", 1e-6}, {"L", 1e-3}};
  static const Units dynamic{{"mPa s", 1e-3}, {"cP", 1e-3}, {"Pa s", 1.0}};
  static const Units kinematic{{"mm2/s", 1e-6}, {"cSt", 1e-6}, {"m2/s", 1.0}};
  static const Units power{
      {"kW", 1e3}, {"W", 1.0}, {"mech hp", 745.69987158227}, {"metric hp", 735.49875}, {"PS", 735.49875}};
  static const Units mass{{"kg", 1.0}, {"g", 1e-3}, {"mg", 1e-6}, {"lb", pound_kg}};
  static const Units density{{"kg/m3", 1.0}, {"kg/L", 1e3}, {"g/cm3", 1e3}};
  static const Units time{{"s", 1.0}, {"ms", 1e-3}, {"min", 60.0}, {"h", hour_s}, {"d", 86400.0}};
  static const Units voltage{{"V", 1.0}, {"mV", 1e-3}};
  static const Units current{{"A", 1.0}, {"mA", 1e-3}};
  static const Units resistance{{"Ohm", 1.0}, {"ohm", 1.0}, {"mOhm", 1e-3}};
  static const Units speed{{"rpm", 1.0 / 60.0}, {"1/min", 1.0 / 60.0}, {"1/s", 1.0}};
  static const Units velocity{{"m/s", 1.0}, {"ft/s", 0.3048}, {"km/h", 1.0 / 3.6}, {"mph", 0.44704}};
  static const Units consumption{{"g/kWh", 1e-3 / 3.6e6}, {"lb/hp h", pound_kg / (745.69987158227 * hour_s)}};
  static const Units torque{{"N m", 1.0}, {"Nm", 1.0}, {"lbf ft", 1.3558179483314}, {"lbf in", 0.1129848290276}};
  static const Units motor{{"V s", 1.0}};
  static const Units area{{"mm2", 1e-6}, {"cm2", 1e-4}, {"m2", 1.0}, {"in2", inch_m * inch_m}};
  static const Units ratio{{"", 1.0}, {"%", 0.01}, {"ppm", 1e-6}, {"in 100", 0.01}};
  switch (dimension) {
    case Dimension::gauge_pressure:
    case Dimension::absolute_pressure:
    case Dimension::pressure_drop: return pressure_units();
    case Dimension::volume_flow: return flow;
    case Dimension::length:
    case Dimension::bore:
    case Dimension::height: return length;
    case Dimension::distance: return distance;
    case Dimension::temperature: return temperature;
    case Dimension::temperature_difference: return difference;
    case Dimension::volume: return volume;
    case Dimension::displacement: return displacement;
    case Dimension::dynamic_viscosity: return dynamic;
    case Dimension::kinematic_viscosity: return kinematic;
    case Dimension::power: return power;
    case Dimension::mass: return mass;
    case Dimension::density: return density;
    case Dimension::time: return time;
    case Dimension::voltage: return voltage;
    case Dimension::current: return current;
    case Dimension::resistance: return resistance;
    case Dimension::rotational_speed: return speed;
    case Dimension::velocity: return velocity;
    case Dimension::specific_consumption: return consumption;
    case Dimension::torque: return torque;
    case Dimension::motor_constant: return motor;
    case Dimension::area: return area;
    case Dimension::ratio: return ratio;
  }
  return ratio;
}

struct Facts {
  std::string_view name;
  std::string_view example;
  bool may_be_negative;
};

Facts facts(Dimension dimension) {
  switch (dimension) {
    case Dimension::gauge_pressure: return {"a gauge pressure", "11 psi", true};
    case Dimension::absolute_pressure: return {"an absolute pressure", "26 psi abs", false};
    case Dimension::pressure_drop: return {"a pressure drop", "3 kPa", false};
    case Dimension::volume_flow: return {"a flow", "120 L/h", false};
    case Dimension::length: return {"a length", "3.8 m", false};
    case Dimension::bore: return {"a bore", "5/16 in", false};
    case Dimension::height: return {"a height", "0.75 m", true};
    case Dimension::distance: return {"a distance", "50 km", false};
    case Dimension::temperature: return {"a temperature", "40 C", true};
    case Dimension::temperature_difference: return {"a temperature difference", "5 K", true};
    case Dimension::volume: return {"a volume", "80 L", false};
    case Dimension::displacement: return {"a displacement", "1.6 cm3/rev", false};
    case Dimension::dynamic_viscosity: return {"a dynamic viscosity", "2.2 mPa s", false};
    case Dimension::kinematic_viscosity: return {"a kinematic viscosity", "2.7 mm2/s", false};
    case Dimension::power: return {"a power", "230 kW", false};
    case Dimension::mass: return {"a mass", "100 mg", false};
    case Dimension::density: return {"a density", "835 kg/m3", false};
    case Dimension::time: return {"a time", "20 min", false};
    case Dimension::voltage: return {"a voltage", "13.8 V", false};
    case Dimension::current: return {"a current", "5 A", false};
    case Dimension::resistance: return {"a resistance", "0.09 Ohm", false};
    case Dimension::rotational_speed: return {"a speed", "2400 rpm", false};
    case Dimension::velocity: return {"a velocity", "0.6 m/s", false};
    case Dimension::specific_consumption: return {"a specific consumption", "225 g/kWh", false};
    case Dimension::torque: return {"a torque", "0.12 N m", false};
    case Dimension::motor_constant: return {"a motor constant", "0.0285 V s", false};
    case Dimension::area: return {"an area", "1 cm2", false};
    case Dimension::ratio: return {"a share or factor", "20 %", true};
  }
  return {"a number", "1", true};
}

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && (text.front() == ' ' || text.front() == '\t')) text.remove_prefix(1);
  while (!text.empty() && (text.back() == ' ' || text.back() == '\t')) text.remove_suffix(1);
  return text;
}

/// Signs and letters that people type in several ways, in one form.
std::string plain(std::string_view text) {
  std::string out;
  for (std::size_t i = 0; i < text.size();) {
    const std::string_view rest = text.substr(i);
    const auto replace = [&](std::string_view from, std::string_view to) {
      if (!rest.starts_with(from)) return false;
      out += to;
      i += from.size();
      return true;
    };
    if (replace("\xE2\x88\x92", "-") || replace("\xE2\x80\x93", "-") || replace("\xC2\xB5", "u") ||
        replace("\xCE\xBC", "u") || replace("\xC2\xB0", "") || replace("\xC2\xB1", "+/-") || replace("\xC2\xB2", "2") ||
        replace("\xC2\xB3", "3") || replace("^2", "2") || replace("^3", "3") || replace("\xCE\xA9", "Ohm") ||
        replace("\xE2\x84\xA6", "Ohm") || replace("\xC2\xA0", " ") || replace("deg C", "C") || replace("deg F", "F")) {
      continue;
    }
    out += text[i];
    ++i;
  }
  return out;
}

tl::unexpected<Errors> wrong(std::string_view typed, Dimension, std::string expected, std::string hint) {
  return invalid({}, "\"" + std::string(typed) + "\"", std::move(expected), std::move(hint));
}

std::string write_hint(Dimension dimension) {
  return fmt::format("Write for example \"{}\"", facts(dimension).example);
}

struct Number {
  double value = 0.0;
  std::string_view rest;
};

/// A decimal number, a fraction "5/16" or a mixed number "1 1/2" / "1-1/2" at the head of `text`.
std::optional<Number> number_at(std::string_view text) {
  const auto whole_or_decimal = [](std::string_view from) -> std::optional<Number> {
    double sign = 1.0;
    if (!from.empty() && (from.front() == '-' || from.front() == '+')) {
      sign = from.front() == '-' ? -1.0 : 1.0;
      from.remove_prefix(1);
      if (!from.empty() && (from.front() == '-' || from.front() == '+')) return std::nullopt;
    }
    if (from.empty() || !((from.front() >= '0' && from.front() <= '9') || from.front() == '.')) return std::nullopt;
    double value = 0.0;
    const auto [end, error] = std::from_chars(from.data(), from.data() + from.size(), value);
    if (error != std::errc{} || !std::isfinite(value)) return std::nullopt;
    return Number{sign * value, from.substr(static_cast<std::size_t>(end - from.data()))};
  };
  std::optional<Number> first = whole_or_decimal(text);
  if (!first) return std::nullopt;
  const auto fraction = [&](std::string_view from, double numerator) -> std::optional<Number> {
    if (from.empty() || from.front() != '/') return std::nullopt;
    const std::optional<Number> below = whole_or_decimal(from.substr(1));
    if (!below || !(below->value > 0.0)) return std::nullopt;
    return Number{numerator / below->value, below->rest};
  };
  if (const auto simple = fraction(first->rest, first->value)) return simple;
  // Mixed: a whole number, then a blank or dash, then a fraction.
  if (first->rest.size() > 3 && (first->rest.front() == ' ' || first->rest.front() == '-')) {
    const std::optional<Number> top = whole_or_decimal(first->rest.substr(1));
    if (top && top->value >= 0.0) {
      if (const auto mixed = fraction(top->rest, top->value)) {
        const double sign = first->value < 0.0 ? -1.0 : 1.0;
        return Number{first->value + sign * mixed->value, mixed->rest};
      }
    }
  }
  return first;
}

struct Parsed {
  double si = 0.0;
  std::string_view unit;  ///< as typed, for reuse by a later number
};

/// Unit text without gauge, absolute or vacuum words.
struct PressureWords {
  std::string unit;
  bool gauge = false;
  bool absolute = false;
  bool vacuum = false;
};

PressureWords pressure_words(std::string_view unit) {
  PressureWords words;
  std::string rest(trimmed(unit));
  const auto strip = [&](std::string_view word) {
    if (rest.size() > word.size() && rest.ends_with(word) && rest[rest.size() - word.size() - 1] == ' ') {
      rest.resize(rest.size() - word.size());
      rest = std::string(trimmed(rest));
      return true;
    }
    return false;
  };
  if (strip("vacuum") || strip("vac")) words.vacuum = true;
  if (strip("gauge")) words.gauge = true;
  if (strip("absolute") || strip("abs")) words.absolute = true;
  if (rest == "psig") {
    rest = "psi";
    words.gauge = true;
  } else if (rest == "psia") {
    rest = "psi";
    words.absolute = true;
  }
  words.unit = rest;
  return words;
}

Result<double> with_unit(double value, std::string_view unit_text, Dimension dimension, std::string_view typed) {
  std::string unit(trimmed(unit_text));
  const bool pressure = dimension == Dimension::gauge_pressure || dimension == Dimension::absolute_pressure ||
                        dimension == Dimension::pressure_drop;
  double sign = 1.0;
  if (pressure) {
    const PressureWords words = pressure_words(unit);
    unit = words.unit;
    if (dimension == Dimension::gauge_pressure) {
      if (words.absolute) {
        return wrong(typed, dimension, "a gauge pressure (over ambient) in this field",
                     "Subtract the ambient pressure, for example \"11 psi\"");
      }
      if (words.vacuum) sign = -1.0;
    } else if (dimension == Dimension::absolute_pressure) {
      if (words.gauge || words.vacuum || !words.absolute) {
        return wrong(typed, dimension, "an absolute pressure in this field",
                     "Write \"abs\" after the unit: \"26 psi abs\"");
      }
    } else if (words.gauge || words.absolute || words.vacuum) {
      return wrong(typed, dimension, "a difference of two pressures in this field", write_hint(dimension));
    }
  }
  if (unit.empty() && dimension != Dimension::ratio) {
    return wrong(typed, dimension, fmt::format("{} with its unit", facts(dimension).name), write_hint(dimension));
  }
  if (dimension == Dimension::power && (unit == "hp" || unit == "HP")) {
    return wrong(typed, dimension, "\"mech hp\" (745.7 W) or \"metric hp\" (735.5 W)",
                 "Two horsepowers exist: write for example \"300 mech hp\"");
  }
  for (const Unit& known : units_of(dimension)) {
    if (known.text != unit) continue;
    const double si = sign * (value * known.factor + known.offset);
    if (!std::isfinite(si)) break;
    if (si < 0.0 && !facts(dimension).may_be_negative) {
      return wrong(typed, dimension, fmt::format("{} of zero or more", facts(dimension).name), write_hint(dimension));
    }
    if (dimension == Dimension::temperature && si < 0.0) {
      return wrong(typed, dimension, "a temperature above absolute zero", write_hint(dimension));
    }
    return si;
  }
  std::string legal;
  for (const Unit& known : units_of(dimension)) {
    if (!known.text.empty() && known.text != "\"") legal += (legal.empty() ? "" : ", ") + std::string(known.text);
  }
  return wrong(typed, dimension, fmt::format("{} in one of the units {}", facts(dimension).name, legal),
               write_hint(dimension));
}

bool decimal_comma(std::string_view text) {
  for (std::size_t i = 1; i + 1 < text.size(); ++i) {
    const auto digit = [](char c) { return c >= '0' && c <= '9'; };
    if (text[i] == ',' && digit(text[i - 1]) && digit(text[i + 1])) return true;
  }
  return false;
}

/// Number and unit text of one quantity; the unit may be missing.
struct Split {
  double value = 0.0;
  std::string unit;
};

Result<Split> split(std::string_view text, Dimension dimension, std::string_view typed) {
  text = trimmed(text);
  if (decimal_comma(text)) {
    return wrong(typed, dimension, "a decimal point", "Write a point instead of the comma, for example \"1.5\"");
  }
  const std::optional<Number> number = number_at(text);
  if (!number) {
    return wrong(typed, dimension, fmt::format("{} with its unit", facts(dimension).name), write_hint(dimension));
  }
  return Split{number->value, std::string(trimmed(number->rest))};
}

}  // namespace

std::string_view name(Dimension dimension) { return facts(dimension).name; }
std::string_view example(Dimension dimension) { return facts(dimension).example; }

Result<double> parse(std::string_view text, Dimension dimension) {
  const std::string clean = plain(text);
  const auto parts = split(clean, dimension, text);
  if (!parts) return fail(parts.error());
  return with_unit(parts->value, parts->unit, dimension, text);
}

Spread default_spread(double value, SourceClass source, Dimension dimension, const SourceSpreads& spreads) {
  const auto relative = [&](double share) {
    return share > 0.0 && value != 0.0 ? Spread{.kind = SpreadKind::normal, .half_width = share * std::abs(value)}
                                       : Spread{};
  };
  switch (source) {
    case SourceClass::assumed:
      if (dimension == Dimension::ratio || dimension == Dimension::height || !(value > 0.0))
        return relative(spreads.typical);
      return {.kind = SpreadKind::lognormal, .factor = spreads.assumed_factor};
    case SourceClass::typical: return relative(spreads.typical);
    case SourceClass::measured:
    case SourceClass::datasheet:
    case SourceClass::catalog: break;
  }
  if (dimension == Dimension::bore) return relative(spreads.bore);
  if (dimension == Dimension::length || dimension == Dimension::height) return relative(spreads.length);
  if (source == SourceClass::measured) return relative(spreads.measured);
  return relative(source == SourceClass::datasheet ? spreads.datasheet : spreads.catalog);
}

Result<Stated> parse_stated(std::string_view text, Dimension dimension, const StatedOptions& options) {
  Stated stated;
  stated.source = options.source;
  stated.origin.as_typed = text;
  std::string clean = plain(text);
  std::string_view rest = trimmed(clean);
  bool exact = false;
  bool class_word = false;
  const std::size_t blank = rest.find(' ');
  if (blank != std::string_view::npos) {
    const std::string_view word = rest.substr(0, blank);
    if (const auto source = source_class_named(word)) {
      stated.source = *source;
      class_word = true;
      rest = trimmed(rest.substr(blank));
    } else if (word == "exactly") {
      exact = true;
      rest = trimmed(rest.substr(blank));
    }
  }
  if (rest == "?") {
    if (exact || class_word) {
      return wrong(text, dimension, "\"?\" alone or a number", "Write \"?\" when the value is not known");
    }
    stated.unknown = true;
    stated.source = SourceClass::assumed;
    return stated;
  }

  const auto quantity = [&](std::string_view part, std::string_view unit_otherwise) -> Result<double> {
    const auto parts = split(part, dimension, text);
    if (!parts) return fail(parts.error());
    return with_unit(parts->value, parts->unit.empty() ? unit_otherwise : std::string_view(parts->unit), dimension,
                     text);
  };
  const auto unit_of = [&](std::string_view part) -> std::string {
    const auto parts = split(part, dimension, text);
    return parts ? parts->unit : std::string();
  };
  const auto order = [&](double low, double high) -> Result<void> {
    if (low < high) return {};
    return wrong(text, dimension, "the smaller number first", write_hint(dimension));
  };

  bool log_uniform = false;
  if (rest.starts_with("log ")) {
    log_uniform = true;
    rest = trimmed(rest.substr(4));
  }

  // "11 psi (9 to 13)"
  if (const std::size_t open = rest.find('('); open != std::string_view::npos) {
    const std::size_t close = rest.rfind(')');
    if (log_uniform || close == std::string_view::npos || close != rest.size() - 1 || close < open) {
      return wrong(text, dimension, "a range in brackets after the number", "Write for example \"11 psi (9 to 13)\"");
    }
    const std::string_view mode_text = trimmed(rest.substr(0, open));
    const std::string_view range = rest.substr(open + 1, close - open - 1);
    const std::size_t to = range.find(" to ");
    if (to == std::string_view::npos) {
      return wrong(text, dimension, "\"low to high\" in the brackets", "Write for example \"11 psi (9 to 13)\"");
    }
    const std::string unit = unit_of(mode_text);
    const auto mode = quantity(mode_text, "");
    if (!mode) return fail(mode.error());
    const auto low = quantity(range.substr(0, to), unit);
    if (!low) return fail(low.error());
    const auto high = quantity(range.substr(to + 4), unit);
    if (!high) return fail(high.error());
    if (!(*low <= *mode && *mode <= *high && *low < *high)) {
      return wrong(text, dimension, "low, most likely and high in rising order",
                   "Write for example \"11 psi (9 to 13)\"");
    }
    stated.value = *mode;
    stated.spread = {.kind = SpreadKind::triangular, .low = *low, .high = *high};
    return stated;
  }

  // "11 psi +/- 1 psi"
  if (const std::size_t sign = rest.find("+/-"); sign != std::string_view::npos) {
    const std::string_view left = trimmed(rest.substr(0, sign));
    const std::string_view right = trimmed(rest.substr(sign + 3));
    const auto half = split(right, dimension, text);
    if (!half) return fail(half.error());
    const std::string unit = unit_of(left).empty() ? half->unit : unit_of(left);
    const auto value = quantity(left, half->unit == "%" && dimension != Dimension::ratio ? std::string_view("") : unit);
    if (!value) return fail(value.error());
    double half_width = 0.0;
    if (half->unit == "%" && (dimension != Dimension::ratio || unit_of(left) != "%")) {
      half_width = std::abs(*value) * half->value / 100.0;
    } else {
      Dimension of_half = dimension;
      if (dimension == Dimension::temperature) of_half = Dimension::temperature_difference;
      if (dimension == Dimension::gauge_pressure || dimension == Dimension::absolute_pressure) {
        of_half = Dimension::pressure_drop;
      }
      const std::string_view half_unit = half->unit.empty() ? std::string_view(unit) : std::string_view(half->unit);
      std::string bare(half_unit);
      if (of_half == Dimension::pressure_drop) bare = pressure_words(half_unit).unit;
      const auto width = with_unit(half->value, bare, of_half, text);
      if (!width) return fail(width.error());
      half_width = *width;
    }
    if (!(half_width > 0.0)) {
      return wrong(text, dimension, "a doubt above zero after +/-", "Write \"exactly ...\" when there is no doubt");
    }
    stated.value = *value;
    stated.spread = {.kind = SpreadKind::normal, .half_width = half_width};
    return stated;
  }

  // "10 to 12 psi"
  if (const std::size_t to = rest.find(" to "); to != std::string_view::npos) {
    const std::string_view right = rest.substr(to + 4);
    const std::string unit = unit_of(right);
    const auto high = quantity(right, "");
    if (!high) return fail(high.error());
    const auto low = quantity(rest.substr(0, to), unit);
    if (!low) return fail(low.error());
    if (const auto sorted = order(*low, *high); !sorted) return fail(sorted.error());
    if (log_uniform) {
      if (!(*low > 0.0))
        return wrong(text, dimension, "numbers above zero after \"log\"", "Write for example \"log 0.02 to 1\"");
      stated.value = std::sqrt(*low * *high);
      stated.spread = {.kind = SpreadKind::log_uniform, .low = *low, .high = *high};
    } else {
      stated.value = 0.5 * (*low + *high);
      stated.spread = {.kind = SpreadKind::uniform, .low = *low, .high = *high};
    }
    return stated;
  }
  if (log_uniform) return wrong(text, dimension, "\"log low to high\"", "Write for example \"log 0.02 to 1\"");

  const auto value = quantity(rest, "");
  if (!value) return fail(value.error());
  stated.value = *value;
  if (!exact) stated.spread = default_spread(*value, stated.source, dimension, options.spreads);
  return stated;
}

// ---- printing ---------------------------------------------------------------------------------------------------

std::string_view name(System system) {
  switch (system) {
    case System::us: return "us";
    case System::metric: return "metric";
    case System::si: return "si";
  }
  return "metric";
}

namespace {

struct Shown {
  std::string_view unit;
  Scale scale;
  int decimals;  ///< fewest decimals; -1: three significant digits
};

Shown shown(Dimension dimension, System system) {
  const bool us = system == System::us;
  if (system == System::si) {
    switch (dimension) {
      case Dimension::gauge_pressure:
      case Dimension::absolute_pressure:
      case Dimension::pressure_drop: return {"Pa", {}, 0};
      case Dimension::volume_flow: return {"m3/s", {}, -1};
      case Dimension::temperature: return {"K", {}, 1};
      case Dimension::length:
      case Dimension::bore:
      case Dimension::height:
      case Dimension::distance: return {"m", {}, -1};
      case Dimension::volume:
      case Dimension::displacement: return {"m3", {}, -1};
      case Dimension::dynamic_viscosity: return {"Pa s", {}, -1};
      case Dimension::kinematic_viscosity: return {"m2/s", {}, -1};
      case Dimension::power: return {"W", {}, -1};
      case Dimension::rotational_speed: return {"1/s", {}, -1};
      default: break;
    }
  }
  switch (dimension) {
    case Dimension::gauge_pressure:
    case Dimension::absolute_pressure:
    case Dimension::pressure_drop: return us ? Shown{"psi", {1.0 / psi_Pa, 0.0}, 1} : Shown{"kPa", {1e-3, 0.0}, 1};
    case Dimension::volume_flow: return us ? Shown{"gph", {hour_s / gallon_m3, 0.0}, 1} : Shown{"L/h", {3.6e6, 0.0}, 1};
    case Dimension::bore: return us ? Shown{"in", {1.0 / inch_m, 0.0}, 3} : Shown{"mm", {1e3, 0.0}, 1};
    case Dimension::length:
    case Dimension::height: return us ? Shown{"ft", {1.0 / 0.3048, 0.0}, 2} : Shown{"m", {}, 2};
    case Dimension::distance: return us ? Shown{"mi", {1.0 / 1609.344, 0.0}, 0} : Shown{"km", {1e-3, 0.0}, 0};
    case Dimension::temperature: return us ? Shown{"F", {1.8, -459.67}, 0} : Shown{"C", {1.0, -273.15}, 0};
    case Dimension::temperature_difference: return us ? Shown{"F", {1.8, 0.0}, 0} : Shown{"K", {}, 0};
    case Dimension::volume: return us ? Shown{"gal", {1.0 / gallon_m3, 0.0}, 1} : Shown{"L", {1e3, 0.0}, 1};
    case Dimension::displacement: return {"cm3/rev", {1e6, 0.0}, -1};
    case Dimension::dynamic_viscosity: return {"mPa s", {1e3, 0.0}, -1};
    case Dimension::kinematic_viscosity: return {"mm2/s", {1e6, 0.0}, -1};
    case Dimension::power: return us ? Shown{"mech hp", {1.0 / 745.69987158227, 0.0}, 0} : Shown{"kW", {1e-3, 0.0}, 0};
    case Dimension::mass: return us ? Shown{"lb", {1.0 / pound_kg, 0.0}, -1} : Shown{"kg", {}, -1};
    case Dimension::density: return {"kg/m3", {}, 1};
    case Dimension::time: return {"s", {}, -1};
    case Dimension::voltage: return {"V", {}, 1};
    case Dimension::current: return {"A", {}, 1};
    case Dimension::resistance: return {"Ohm", {}, -1};
    case Dimension::rotational_speed: return {"rpm", {60.0, 0.0}, 0};
    case Dimension::velocity: return us ? Shown{"ft/s", {1.0 / 0.3048, 0.0}, -1} : Shown{"m/s", {}, -1};
    case Dimension::specific_consumption: return {"g/kWh", {3.6e9, 0.0}, 0};
    case Dimension::torque: return {"N m", {}, -1};
    case Dimension::motor_constant: return {"V s", {}, -1};
    case Dimension::area: return {"mm2", {1e6, 0.0}, -1};
    case Dimension::ratio: return {"%", {100.0, 0.0}, 1};
  }
  return {"", {}, -1};
}

}  // namespace

Scale scale(Dimension dimension, System system) { return shown(dimension, system).scale; }

std::string unit_name(Dimension dimension, System system) { return std::string(shown(dimension, system).unit); }

std::string print_number(double si, Dimension dimension, System system) {
  const Shown how = shown(dimension, system);
  const double value = si * how.scale.factor + how.scale.offset;
  if (!std::isfinite(value)) return "-";
  std::string text;
  if (how.decimals < 0) {
    text = fmt::format("{:.3g}", value);
  } else {
    const int decimals = std::abs(value) >= 99.95 && how.decimals > 0 ? how.decimals - 1 : how.decimals;
    text = fmt::format("{:.{}f}", value, decimals);
  }
  if (text.starts_with("-") && text.find_first_not_of("-0.") == std::string::npos) text.erase(0, 1);
  return text;
}

std::string print(double si, Dimension dimension, System system) {
  return print_number(si, dimension, system) + " " + unit_name(dimension, system);
}

std::string print_both(double si, Dimension dimension, System system) {
  const System other = system == System::us ? System::metric : System::us;
  return print(si, dimension, system) + " (" + print(si, dimension, other) + ")";
}

// ---- dash sizes -------------------------------------------------------------------------------------------------

namespace {

std::optional<double> bore_without_wall(int dash, DashKind kind) {
  static constexpr std::array<std::pair<int, double>, 7> r5{{{4, 3.0 / 16.0},
                                                             {5, 1.0 / 4.0},
                                                             {6, 5.0 / 16.0},
                                                             {8, 13.0 / 32.0},
                                                             {10, 1.0 / 2.0},
                                                             {12, 5.0 / 8.0},
                                                             {16, 7.0 / 8.0}}};
  for (const auto& [size, inches] : r5) {
    if (size != dash) continue;
    return kind == DashKind::r5_hose ? inches * inch_m : dash / 16.0 * inch_m;
  }
  return std::nullopt;
}

}  // namespace

bool looks_like_dash(std::string_view text) {
  text = trimmed(text);
  if (text.starts_with("dash ")) return true;
  if (text.size() < 2 || text.front() != '-' || text[1] < '0' || text[1] > '9') return false;
  std::size_t i = 1;
  while (i < text.size() && text[i] >= '0' && text[i] <= '9') ++i;
  if (i < text.size() && (text[i] == '.' || text[i] == '/')) return false;
  const std::string_view rest = trimmed(text.substr(i));
  // "-8 mm" is a length (and will be refused as negative), not a dash size.
  for (const Unit& unit : units_of(Dimension::length)) {
    if (rest == unit.text) return false;
  }
  return true;
}

Result<DashSize> parse_dash(std::string_view text) {
  std::string_view rest = trimmed(text);
  if (rest.starts_with("dash ")) rest = trimmed(rest.substr(5));
  if (rest.starts_with("-")) rest.remove_prefix(1);
  int dash = 0;
  const auto [end, error] = std::from_chars(rest.data(), rest.data() + rest.size(), dash);
  const std::string found = "\"" + std::string(text) + "\"";
  if (error != std::errc{}) {
    return invalid({}, found, "a dash size with its kind", "Write for example \"-8 J30 hose\"");
  }
  rest = trimmed(rest.substr(static_cast<std::size_t>(end - rest.data())));
  DashSize size{.dash = dash};
  if (!bore_without_wall(dash, DashKind::j30_hose)) {
    return invalid({}, found, "one of the sizes -4, -5, -6, -8, -10, -12, -16", "Write for example \"-8 J30 hose\"");
  }
  const auto is = [&](std::initializer_list<std::string_view> words) {
    return std::ranges::find(words, rest) != words.end();
  };
  if (is({"J30", "J30 hose", "J517", "J517 hose"})) {
    size.kind = DashKind::j30_hose;
  } else if (is({"100R5", "100R5 hose", "100R14", "100R14 hose", "J1402", "J1402 hose"})) {
    size.kind = DashKind::r5_hose;
  } else if (rest.starts_with("tube ") && rest.ends_with(" wall")) {
    const auto wall = parse(trimmed(rest.substr(5, rest.size() - 10)), Dimension::length);
    if (!wall) return fail(wall.error());
    size.kind = DashKind::tube;
    size.wall_m = *wall;
    if (!(2.0 * *wall < dash / 16.0 * inch_m)) {
      return invalid({}, found, "a wall thinner than half the tube", "Write for example \"-8 tube 0.89 mm wall\"");
    }
  } else {
    return invalid(
        {}, found,
        fmt::format("a kind after the dash: J30 hose (bore {:.1f} mm), 100R5 hose (bore {:.1f} mm), or tube with "
                    "its wall (outside {:.1f} mm)",
                    *bore_without_wall(dash, DashKind::j30_hose) * 1e3,
                    *bore_without_wall(dash, DashKind::r5_hose) * 1e3, dash / 16.0 * 25.4),
        fmt::format("Write for example \"-{} J30 hose\"", dash));
  }
  return size;
}

Result<double> bore_of(const DashSize& size) {
  const std::optional<double> bore = bore_without_wall(size.dash, size.kind);
  if (!bore) {
    return fail(Error{.code = ErrorCode::not_found,
                      .found = fmt::format("dash {}", size.dash),
                      .expected = "one of the sizes -4, -5, -6, -8, -10, -12, -16"});
  }
  return size.kind == DashKind::tube ? *bore - 2.0 * size.wall_m : *bore;
}

Result<Stated> parse_bore(std::string_view text, const StatedOptions& options) {
  if (!looks_like_dash(text)) return parse_stated(text, Dimension::bore, options);
  const auto size = parse_dash(text);
  if (!size) return fail(size.error());
  const auto bore = bore_of(*size);
  if (!bore) return fail(bore.error());
  Stated stated;
  stated.value = *bore;
  stated.source = options.source;
  stated.spread = default_spread(*bore, options.source, Dimension::bore, options.spreads);
  stated.origin.as_typed = text;
  return stated;
}

}  // namespace fw::units
