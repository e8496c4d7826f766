// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "base/result.hpp"

namespace fw::cli {

/// Prints all errors to standard error, one line each, and returns the exit status they stand for.
[[nodiscard]] int report_errors(const Errors& errors);

/// Columns of the terminal on standard output, 100 at most, 80 where there is none.
[[nodiscard]] int terminal_columns();

/// Now as "2026-05-04T10:00:00Z"; SOURCE_DATE_EPOCH overrides the clock so that papers can be made again byte for byte.
[[nodiscard]] std::string creation_time();

/// Writes text to standard output.
void print(const std::string& text);

}  // namespace fw::cli
