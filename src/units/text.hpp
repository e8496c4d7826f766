// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

/// Inside the room units: characters and numbers as people type them.
namespace fw::units {

/// Without blanks and tabs at both ends.
[[nodiscard]] std::string_view trimmed(std::string_view text);

/// Signs and letters that exist in several shapes, in one ASCII form: minus and dashes, micro, degree, plus-minus,
/// superscript 2 and 3, Ohm, primes, vulgar fractions, narrow and fixed blanks. Other bytes stay as they are.
[[nodiscard]] std::string plain(std::string_view text);

/// `text` in quotes for Error::found: valid printable UTF-8, at most about 60 bytes.
[[nodiscard]] std::string quoted(std::string_view text);

enum class NumberFault : std::uint8_t {
  none,
  missing,       ///< no digit where the number should be
  comma,         ///< decimal comma or mark between thousands
  malformed,     ///< "1.2.3", "2.5/3", "1 000"
  dash_range,    ///< "10-12": a range is written with "to"
  denominator,   ///< zero below the line
  improper,      ///< a mixed number whose fraction is one or more
  out_of_range,  ///< not 0 and outside 1e-100 to 1e100
};

struct Number {
  double value = 0.0;
  std::string_view rest;  ///< what follows, trimmed
  NumberFault fault = NumberFault::none;
};

/// The decimal number ("-5", "1e-5", ".5"), fraction ("5/16") or mixed number ("1 1/2", "1-1/2") at the head of
/// `text`. Decimal point only; no locale.
[[nodiscard]] Number read_number(std::string_view text);

}  // namespace fw::units
