// SPDX-License-Identifier: Apache-2.0
#include "units/text.hpp"

#include <charconv>
#include <cmath>
#include <cstddef>
#include <optional>
#include <system_error>

namespace fw::units {

namespace {

bool is_blank(char c) { return c == ' ' || c == '\t'; }
bool is_digit(char c) { return c >= '0' && c <= '9'; }

struct Shape {
  std::string_view from;
  std::string_view to;
};

// NOLINTBEGIN(modernize-use-designated-initializers): a table of from and to
constexpr Shape shapes[] = {
    {"\t", " "},                  //
    {"\xE2\x88\x92", "-"},        // minus
    {"\xE2\x80\x90", "-"},        // hyphen
    {"\xE2\x80\x91", "-"},        // non-breaking hyphen
    {"\xE2\x80\x93", "-"},        // en dash
    {"\xC2\xB5", "u"},            // micro sign
    {"\xCE\xBC", "u"},            // Greek mu
    {"\xC2\xB0", " deg "},        // degree
    {"\xC2\xB1", "+/-"},          // plus-minus
    {"+-", "+/-"},                //
    {"\xC2\xB2", "2"},            // superscript two
    {"\xC2\xB3", "3"},            // superscript three
    {"\xE2\x81\xB4", "4"},        // superscript four
    {"\xE2\x81\xB6", "6"},        // superscript six
    {"\xCE\xA9", "Ohm"},          // Greek Omega
    {"\xE2\x84\xA6", "Ohm"},      // Ohm sign
    {"\xC2\xB7", " "},            // middle dot between units
    {"\xE2\x8B\x85", " "},        // dot operator
    {"\xC3\x97/\xC3\xB7", "*/"},  // times/divided by
    {"x/\xC3\xB7", "*/"},         // times/divided by
    {"\xC2\xA0", " "},            // no-break space
    {"\xE2\x80\x89", " "},        // thin space
    {"\xE2\x80\xAF", " "},        // narrow no-break space
    {"\xE2\x80\xB2", "'"},        // prime
    {"\xE2\x80\x99", "'"},        // right single quote
    {"\xE2\x80\xB3", "\""},       // double prime
    {"\xE2\x80\x9D", "\""},       // right double quote
    {"\xE2\x81\x84", "/"},        // fraction slash
    {"\xC2\xBC", " 1/4"},         // vulgar fractions
    {"\xC2\xBD", " 1/2"},         //
    {"\xC2\xBE", " 3/4"},         //
    {"\xE2\x85\x9B", " 1/8"},     //
    {"\xE2\x85\x9C", " 3/8"},     //
    {"\xE2\x85\x9D", " 5/8"},     //
    {"\xE2\x85\x9E", " 7/8"},     //
};
// NOLINTEND(modernize-use-designated-initializers)

/// Bytes of the valid UTF-8 character at the head of `text`, 0 if there is none.
std::size_t utf8_length(std::string_view text) {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  const auto tail = [&](std::size_t i) { return i < text.size() && byte(i) >= 0x80 && byte(i) < 0xC0; };
  if (byte(0) < 0x80) return 1;
  if (byte(0) >= 0xC2 && byte(0) < 0xE0) return tail(1) ? 2 : 0;
  if (byte(0) >= 0xE0 && byte(0) < 0xF0) {
    if (!tail(1) || !tail(2)) return 0;
    const bool overlong = byte(0) == 0xE0 && byte(1) < 0xA0;
    const bool surrogate = byte(0) == 0xED && byte(1) >= 0xA0;
    return overlong || surrogate ? 0 : 3;
  }
  if (byte(0) >= 0xF0 && byte(0) < 0xF5) {
    if (!tail(1) || !tail(2) || !tail(3)) return 0;
    const bool overlong = byte(0) == 0xF0 && byte(1) < 0x90;
    const bool beyond = byte(0) == 0xF4 && byte(1) >= 0x90;
    return overlong || beyond ? 0 : 4;
  }
  return 0;
}

/// A whole number of at most six digits at the head of `text`; removed from it.
std::optional<double> take_whole(std::string_view& text) {
  constexpr std::size_t most_digits = 6;  // no dimension of a part needs more in a fraction
  std::size_t digits = 0;
  double value = 0.0;
  while (digits < text.size() && is_digit(text[digits])) {
    value = 10.0 * value + (text[digits] - '0');
    if (++digits > most_digits) return std::nullopt;
  }
  if (digits == 0) return std::nullopt;
  text.remove_prefix(digits);
  return value;
}

/// A fraction "5/16" at the head of `text`, else nullopt and `text` untouched.
struct Fraction {
  double above = 0.0;
  double below = 0.0;
};
std::optional<Fraction> take_fraction(std::string_view& text) {
  std::string_view rest = text;
  const std::optional<double> above = take_whole(rest);
  if (!above) return std::nullopt;
  while (!rest.empty() && is_blank(rest.front())) rest.remove_prefix(1);
  if (rest.empty() || rest.front() != '/') return std::nullopt;
  rest.remove_prefix(1);
  while (!rest.empty() && is_blank(rest.front())) rest.remove_prefix(1);
  const std::optional<double> below = take_whole(rest);
  if (!below) return std::nullopt;
  text = rest;
  return Fraction{.above = *above, .below = *below};
}

Number faulty(NumberFault fault) { return {.value = 0.0, .rest = {}, .fault = fault}; }

/// What may not follow a number.
NumberFault fault_of_rest(std::string_view rest) {
  const auto digit_at = [&](std::size_t i) { return i < rest.size() && is_digit(rest[i]); };
  if (rest.empty()) return NumberFault::none;
  if (rest.front() == ',' && digit_at(1)) return NumberFault::comma;
  // "2400 1/min" goes on with a unit, "1 000" does not.
  const bool reciprocal_unit = rest.size() > 2 && rest.starts_with("1/") && !is_digit(rest[2]) && rest[2] != '.';
  if (rest.front() == '.' || (is_digit(rest.front()) && !reciprocal_unit)) return NumberFault::malformed;
  if (rest.front() == '/' && (digit_at(1) || (rest.size() > 1 && rest[1] == '.'))) return NumberFault::malformed;
  if (rest.front() == '-') {
    const std::string_view after = trimmed(rest.substr(1));
    if (!after.empty() && (is_digit(after.front()) || after.front() == '.')) return NumberFault::dash_range;
  }
  return NumberFault::none;
}

}  // namespace

std::string_view trimmed(std::string_view text) {
  while (!text.empty() && is_blank(text.front())) text.remove_prefix(1);
  while (!text.empty() && is_blank(text.back())) text.remove_suffix(1);
  return text;
}

std::string plain(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  for (std::size_t i = 0; i < text.size();) {
    const std::string_view rest = text.substr(i);
    bool replaced = false;
    for (const Shape& shape : shapes) {
      if (!rest.starts_with(shape.from)) continue;
      out += shape.to;
      i += shape.from.size();
      replaced = true;
      break;
    }
    if (!replaced) out += text[i++];
  }
  return out;
}

std::string quoted(std::string_view text) {
  constexpr std::size_t longest = 60;  // a quantity is shorter; the rest tells nothing
  std::string out = "\"";
  for (std::size_t i = 0; i < text.size();) {
    if (out.size() > longest) {
      out += "...";
      break;
    }
    const std::size_t length = utf8_length(text.substr(i));
    const bool control = length == 1 && (static_cast<unsigned char>(text[i]) < 0x20 || text[i] == 0x7F);
    if (length == 0 || control) {
      out += '?';
      ++i;
    } else {
      out += text.substr(i, length);
      i += length;
    }
  }
  return out + "\"";
}

Number read_number(std::string_view text) {
  text = trimmed(text);
  double sign = 1.0;
  if (!text.empty() && (text.front() == '-' || text.front() == '+')) {
    sign = text.front() == '-' ? -1.0 : 1.0;
    text.remove_prefix(1);
  }
  if (text.size() > 1 && text.front() == ',' && is_digit(text[1])) return faulty(NumberFault::comma);
  const bool digits =
      !text.empty() && (is_digit(text.front()) || (text.front() == '.' && text.size() > 1 && is_digit(text[1])));
  if (!digits) return faulty(NumberFault::missing);

  std::string_view rest = text;
  double value = 0.0;
  if (const std::optional<Fraction> plain_fraction = take_fraction(rest)) {
    if (!(plain_fraction->below > 0.0)) return faulty(NumberFault::denominator);
    value = plain_fraction->above / plain_fraction->below;
  } else {
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc{}) return faulty(NumberFault::out_of_range);
    rest = text.substr(static_cast<std::size_t>(end - text.data()));
    // Mixed: a whole number, a blank or a dash, a fraction below one.
    std::string_view whole_rest = text;
    const bool whole = take_whole(whole_rest) && whole_rest.size() == rest.size();
    if (whole && rest.size() > 1 && (is_blank(rest.front()) || (rest.front() == '-' && is_digit(rest[1])))) {
      std::string_view after = trimmed(rest.substr(1));
      if (const std::optional<Fraction> part = take_fraction(after)) {
        if (!(part->below > 0.0)) return faulty(NumberFault::denominator);
        if (part->above >= part->below) return faulty(NumberFault::improper);
        value += part->above / part->below;
        rest = after;
      }
    }
  }
  constexpr double largest = 1e100;  // leaves room for every factor without overflow
  if (value != 0.0 && (value > largest || value < 1.0 / largest)) return faulty(NumberFault::out_of_range);
  rest = trimmed(rest);
  const NumberFault fault = fault_of_rest(rest);
  if (fault != NumberFault::none) return faulty(fault);
  return {.value = sign * value, .rest = rest, .fault = NumberFault::none};
}

}  // namespace fw::units
