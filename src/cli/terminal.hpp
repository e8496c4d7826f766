// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>

#include "base/result.hpp"

namespace fw::cli {

/// Prints all errors to standard error, one line each, and returns the exit status they stand for. A stop by Ctrl-C is
/// one line that says so.
[[nodiscard]] int report_errors(const Errors& errors);

/// Columns of the terminal on standard output, from 60 to 100; 80 where there is none.
[[nodiscard]] int terminal_columns();

/// Columns of the terminal behind a file descriptor, 80 where there is none or it does not say.
[[nodiscard]] int columns_of(int descriptor);

/// A terminal that can go back to the start of its line and wipe it.
[[nodiscard]] bool can_move_cursor(int descriptor);

/// Standard output is a terminal that may be coloured: TERM is not "dumb" and NO_COLOR is not set or empty.
[[nodiscard]] bool may_colour();

/// The words of outcomes and cautions that begin a paragraph of a brief, coloured for a terminal. Nothing else changes:
/// without the escape sequences the text is the same.
[[nodiscard]] std::string coloured(std::string_view brief);

/// Help for a terminal `columns` wide: longer lines go on under their description.
[[nodiscard]] std::string wrapped_help(std::string_view help, int columns);

/// Prints a text for people: coloured where standard output may be.
void print_brief(const std::string& brief);

/// Now as "2026-05-04T10:00:00Z"; SOURCE_DATE_EPOCH overrides the clock so that papers can be made again byte for byte.
[[nodiscard]] std::string creation_time();

/// Writes text to standard output.
void print(const std::string& text);

}  // namespace fw::cli
