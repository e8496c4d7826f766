// SPDX-License-Identifier: Apache-2.0
#include "cli/terminal.hpp"

#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <charconv>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <ctime>

#include <fmt/format.h>

#include "cli/commands.hpp"

namespace fw::cli {

namespace {

struct Word {
  std::string_view word;    ///< begins a paragraph
  std::string_view colour;  ///< parameters of the escape sequence
};
/// Red, yellow, blue: the eight colours that every terminal has; bold where it must not be missed.
constexpr std::array<Word, 7> coloured_words{{{.word = "FAILS", .colour = "1;31"},
                                              {.word = "narrow", .colour = "33"},
                                              {.word = "not known", .colour = "34"},
                                              {.word = "| DANGER", .colour = "1;31"},
                                              {.word = "| WARNING", .colour = "1;31"},
                                              {.word = "| CAUTION", .colour = "1;33"},
                                              {.word = "| NOTICE", .colour = "1;34"}}};

std::size_t end_of_line(std::string_view text, std::size_t from) {
  return std::min(text.find('\n', from), text.size());
}

}  // namespace

int report_errors(const Errors& errors) {
  if (errors.front().code == ErrorCode::cancelled) {
    fmt::print(stderr, "fuelwright: stopped. Nothing was written.\n");
    return interrupted;
  }
  int status = bad_input;
  for (const Error& error : errors) {
    fmt::print(stderr, "{}\n", to_text(error));
    if (error.code == ErrorCode::did_not_converge || error.code == ErrorCode::io) status = could_not_compute;
  }
  return status;
}

int columns_of(int descriptor) {
  winsize size{};
  if (isatty(descriptor) != 0 && ioctl(descriptor, TIOCGWINSZ, &size) == 0 && size.ws_col > 0) return size.ws_col;
  return 80;
}

int terminal_columns() { return std::clamp(columns_of(STDOUT_FILENO), 60, 100); }

bool can_move_cursor(int descriptor) {
  const char* kind = std::getenv("TERM");
  return isatty(descriptor) != 0 && kind != nullptr && std::string_view(kind) != "dumb";
}

bool may_colour() {
  const char* no_colour = std::getenv("NO_COLOR");
  return can_move_cursor(STDOUT_FILENO) && (no_colour == nullptr || *no_colour == '\0');
}

std::string coloured(std::string_view brief) {
  std::string text;
  bool begins = true;  // the line before is blank
  for (std::size_t from = 0; from < brief.size();) {
    const std::size_t end = end_of_line(brief, from);
    std::string_view line = brief.substr(from, end - from);
    const auto* word =
        std::ranges::find_if(coloured_words, [&](const Word& one) { return begins && line.starts_with(one.word); });
    begins = line.empty();
    if (word != coloured_words.end()) {
      const std::size_t bar = word->word.find_first_not_of("| ");  // the bar of a caution keeps its colour
      text += fmt::format("{}\x1b[{}m{}\x1b[0m", word->word.substr(0, bar), word->colour, word->word.substr(bar));
      line.remove_prefix(word->word.size());
    }
    text += line;
    if (end < brief.size()) text += '\n';
    from = end + 1;
  }
  return text;
}

std::string wrapped_help(std::string_view help, int columns) {
  constexpr std::size_t description = 30;  // column in which the parser's library begins descriptions
  const auto width = static_cast<std::size_t>(std::max(columns, 60));
  std::string text;
  for (std::size_t from = 0; from < help.size();) {
    const std::size_t end = end_of_line(help, from);
    std::string_view line = help.substr(from, end - from);
    const std::size_t indent = line.starts_with("  ") ? description : 0;
    // A command to copy stays whole.
    std::size_t room = line.starts_with("Example: ") ? line.size() : width;
    while (line.size() > room) {
      const std::size_t cut = line.rfind(' ', room);
      if (cut == std::string_view::npos || line.find_first_not_of(' ') > cut) break;
      text += line.substr(0, cut);
      text += '\n';
      text.append(indent, ' ');
      line.remove_prefix(cut + 1);
      room = width - indent;
    }
    text += line;
    if (end < help.size()) text += '\n';
    from = end + 1;
  }
  return text;
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

void print_brief(const std::string& brief) { print(may_colour() ? coloured(brief) : brief); }

void print(const std::string& text) { std::fwrite(text.data(), 1, text.size(), stdout); }

}  // namespace fw::cli
