// SPDX-License-Identifier: Apache-2.0
#include "cli/terminal.hpp"

#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <charconv>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <ctime>

#include <fmt/format.h>

#include "cli/commands.hpp"

namespace fw::cli {

int report_errors(const Errors& errors) {
  int status = bad_input;
  for (const Error& error : errors) {
    fmt::print(stderr, "{}\n", to_text(error));
    if (error.code == ErrorCode::did_not_converge || error.code == ErrorCode::cancelled ||
        error.code == ErrorCode::io) {
      status = could_not_compute;
    }
  }
  return status;
}

int terminal_columns() {
  winsize size{};
  if (isatty(STDOUT_FILENO) != 0 && ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col > 0) {
    return std::clamp<int>(size.ws_col, 60, 100);
  }
  return 80;
}

std::string creation_time() {
  std::time_t now = std::time(nullptr);
  if (const char* fixed = std::getenv("SOURCE_DATE_EPOCH"); fixed != nullptr) {
    long long seconds = 0;
    const auto [end, error] = std::from_chars(fixed, fixed + std::strlen(fixed), seconds);
    if (error == std::errc{} && *end == '\0') now = static_cast<std::time_t>(seconds);
  }
  std::tm utc{};
  gmtime_r(&now, &utc);
  return fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}Z", utc.tm_year + 1900, utc.tm_mon + 1, utc.tm_mday,
                     utc.tm_hour, utc.tm_min, utc.tm_sec);
}

void print(const std::string& text) { std::fwrite(text.data(), 1, text.size(), stdout); }

}  // namespace fw::cli
