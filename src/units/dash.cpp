// SPDX-License-Identifier: Apache-2.0
#include "units/dash.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <limits>
#include <optional>
#include <string>
#include <system_error>

#include <fmt/format.h>

#include "base/required.hpp"
#include "units/class_word.hpp"
#include "units/quantity.hpp"
#include "units/reading.hpp"
#include "units/text.hpp"
#include "units/unit_table.hpp"

namespace fw::units {

namespace {

struct Row {
  int dash;
  double r5_bore_in;
};
/// Bores of SAE 100R5 types as printed by hose makers (secondary source).
constexpr std::array<Row, 7> table{{{.dash = 4, .r5_bore_in = 3.0 / 16.0},
                                    {.dash = 5, .r5_bore_in = 1.0 / 4.0},
                                    {.dash = 6, .r5_bore_in = 5.0 / 16.0},
                                    {.dash = 8, .r5_bore_in = 13.0 / 32.0},
                                    {.dash = 10, .r5_bore_in = 1.0 / 2.0},
                                    {.dash = 12, .r5_bore_in = 5.0 / 8.0},
                                    {.dash = 16, .r5_bore_in = 7.0 / 8.0}}};

constexpr std::string_view all_sizes = "one of the sizes -4, -5, -6, -8, -10, -12, -16";
constexpr std::string_view dash_example = "-8 J30 hose";
constexpr std::string_view tube_example = "-8 tube 0.89 mm wall";

const Row* row_of(int dash) {
  for (const Row& row : table) {
    if (row.dash == dash) return &row;
  }
  return nullptr;
}

double sixteenths_m(int dash) { return dash / 16.0 * inch_m; }

tl::unexpected<Errors> refuse_dash(std::string_view typed, std::string expected, std::string_view legal) {
  return invalid({}, quoted(typed), std::move(expected), fmt::format("Write \"{}\"", legal));
}

/// One blank between words, commas as blanks, small letters.
std::string words_of(std::string_view text) {
  std::string out;
  for (const char c : lower(plain(text))) {
    const bool blank = c == ' ' || c == ',' || c == '\t';
    if (!blank) {
      out += c;
    } else if (!out.empty() && out.back() != ' ') {
      out += ' ';
    }
  }
  return std::string(trimmed(out));
}

/// The number after "-", "dash" or "dash -", and what follows; the sign may be missing ("8 J30 hose").
struct Head {
  int dash = 0;
  bool marked = false;
  std::string_view rest;
};
std::optional<Head> read_head(std::string_view words) {
  Head head;
  if (words.starts_with("dash") && words.size() > 4 && (words[4] == ' ' || words[4] == '-')) {
    head.marked = true;
    words = trimmed(words.substr(4));
  }
  if (words.starts_with("-")) {
    head.marked = true;
    words.remove_prefix(1);
  }
  const auto [end, error] = std::from_chars(words.data(), words.data() + words.size(), head.dash);
  if (error == std::errc::result_out_of_range) {
    head.dash = std::numeric_limits<int>::max();  // digits all the same: no size of the table
  } else if (error != std::errc{} || head.dash < 0) {
    return std::nullopt;
  }
  head.rest = words.substr(static_cast<std::size_t>(end - words.data()));
  if (!head.rest.empty() && (head.rest.front() == '.' || head.rest.front() == '/')) return std::nullopt;
  head.rest = trimmed(head.rest);
  return head;
}

/// The kind named by `words`, "hose" taken off.
std::optional<DashKind> hose_kind(std::string_view words) {
  if (words == "hose") return std::nullopt;
  if (words.ends_with(" hose")) words = trimmed(words.substr(0, words.size() - 5));
  static constexpr std::array<std::string_view, 23> by_bore{
      "j30",     "j517",       "j30 r5",  "j30 r6",   "j30 r7",    "j30 r8",  "j30 r9",  "j30 r13",
      "j30 r14", "j30r5",      "j30r6",   "j30r7",    "j30r8",     "j30r9",   "j30r13",  "j30r14",
      "100r6",   "j517 100r6", "sae j30", "sae j517", "sae 100r6", "j30 efi", "j30/j517"};
  static constexpr std::array<std::string_view, 8> by_tube{"100r5",       "100r14",    "j1402",      "j517 100r5",
                                                           "j517 100r14", "sae 100r5", "sae 100r14", "sae j1402"};
  if (std::ranges::find(by_bore, words) != by_bore.end()) return DashKind::j30_hose;
  if (std::ranges::find(by_tube, words) != by_tube.end()) return DashKind::r5_hose;
  return std::nullopt;
}

/// What stands behind the word "tube": the wall.
struct TubeText {
  std::string_view typed;  ///< the whole text
  std::string_view legal;  ///< the example of a hint
};
Result<double> read_wall(std::string_view words, const TubeText& tube) {
  std::string_view wall = words;
  if (wall.starts_with("od")) wall = trimmed(wall.substr(2));
  if (wall.starts_with("wall")) {
    wall = trimmed(wall.substr(4));
  } else if (wall.ends_with("wall")) {
    wall = trimmed(wall.substr(0, wall.size() - 4));
  }
  if (wall.empty()) return refuse_dash(tube.typed, "a tube with its wall thickness", tube.legal);
  const auto parsed = parse(wall, Dimension::bore);
  if (!parsed) return refuse_dash(tube.typed, "a wall thickness with its unit behind \"tube\"", tube.legal);
  return *parsed;
}

tl::unexpected<Errors> refuse_kind(int dash, const Row& row, std::string_view typed) {
  return refuse_dash(
      typed,
      fmt::format("a kind after the dash: J30 hose (bore {:.1f} mm), 100R5 hose (bore {:.1f} mm), or tube "
                  "with its wall (outside {:.1f} mm)",
                  sixteenths_m(dash) * 1e3, row.r5_bore_in * inch_m * 1e3, sixteenths_m(dash) * 1e3),
      fmt::format("-{} J30 hose", dash));
}

/// "3/8 in tube 0.035 in wall": where the word "tube" stands, if a length stands before it.
std::optional<std::size_t> tube_by_length(std::string_view words) {
  const std::size_t at = words.find(" tube");
  if (at == std::string_view::npos || !parse(words.substr(0, at), Dimension::bore)) return std::nullopt;
  return at;
}

Result<double> bore_of_tube(std::string_view words, std::size_t at, std::string_view typed) {
  constexpr std::string_view legal = "3/8 in tube 0.035 in wall";
  const auto outside = parse(words.substr(0, at), Dimension::bore);
  if (!outside) return fail(outside.error());
  const auto wall = read_wall(trimmed(words.substr(at + 5)), {.typed = typed, .legal = legal});
  if (!wall) return fail(wall.error());
  const double bore = *outside - 2.0 * *wall;
  if (!(bore > 0.0)) return refuse_dash(typed, "a wall thinner than half the tube", legal);
  return bore;
}

}  // namespace

std::string_view name(DashKind kind) {
  switch (kind) {
    case DashKind::j30_hose: return "J30 hose";
    case DashKind::r5_hose: return "100R5 hose";
    case DashKind::tube: return "tube";
  }
  return "tube";
}

std::string_view bore_source(DashKind kind) {
  switch (kind) {
    case DashKind::j30_hose: return "SAE J30/J517 dash rule, dash/16 in, secondary print";
    case DashKind::r5_hose: return "SAE 100R5 dash table, secondary print; J1402 from memory";
    case DashKind::tube: return "computed: outside diameter less twice the wall";
  }
  return "";
}

bool looks_like_dash(std::string_view text) {
  const std::string words = words_of(take_class_words(text).rest);
  if (tube_by_length(words)) return true;
  const std::optional<Head> head = read_head(words);
  if (!head) return words == "dash" || words.starts_with("dash ") || words.starts_with("dash-");
  if (!head->marked) return hose_kind(head->rest).has_value() || head->rest.starts_with("tube");
  if (words.starts_with("dash")) return true;
  // "-8 mm" is a length with a minus (and is refused as negative), "-8-10 mm" is neither.
  if (head->rest.starts_with("-")) return false;
  const Number number = read_number(words);
  return number.fault != NumberFault::none || find_unit(unit_key(number.rest), Dimension::length) == nullptr;
}

Result<DashSize> parse_dash(std::string_view text) {
  const std::string words = words_of(text);
  const std::optional<Head> head = read_head(words);
  if (!head) return refuse_dash(text, "a dash size with its kind", dash_example);
  const Row* row = row_of(head->dash);
  if (row == nullptr) return refuse_dash(text, std::string(all_sizes), dash_example);

  DashSize size{.dash = head->dash};
  if (head->rest == "tube" || head->rest.starts_with("tube ")) {
    const auto wall = read_wall(trimmed(head->rest.substr(4)), {.typed = text, .legal = tube_example});
    if (!wall) return fail(wall.error());
    size.kind = DashKind::tube;
    size.wall_m = *wall;
    if (!bore_m(size)) return refuse_dash(text, "a wall thinner than half the tube", tube_example);
    return size;
  }
  const std::optional<DashKind> kind = hose_kind(head->rest);
  if (!kind) return refuse_kind(head->dash, *row, text);
  size.kind = *kind;
  return size;
}

Result<double> bore_m(const DashSize& size) {
  const Row* row = row_of(size.dash);
  if (row == nullptr) {
    return fail(Error{.code = ErrorCode::not_found,
                      .found = fmt::format("dash {}", size.dash),
                      .expected = std::string(all_sizes),
                      .hint = fmt::format("Write \"{}\"", dash_example)});
  }
  if (size.kind == DashKind::r5_hose) return row->r5_bore_in * inch_m;
  if (size.kind == DashKind::j30_hose) return sixteenths_m(size.dash);
  const auto wall_m = require_positive(size.wall_m, "wall_m");
  if (!wall_m) return fail(wall_m.error());
  const double bore = sixteenths_m(size.dash) - 2.0 * *wall_m;
  if (!(bore > 0.0)) {
    return invalid("wall_m", fmt::format("{:.4g} m", *wall_m), "a wall thinner than half the tube",
                   fmt::format("Write \"{}\"", tube_example));
  }
  return bore;
}

Result<Stated> parse_bore(std::string_view text, const StatedOptions& options) {
  if (!looks_like_dash(text)) return parse_stated(text, Dimension::bore, options);
  const ClassWords words = take_class_words(text);
  if (words.too_many) return refuse_dash(text, "one class word at most", "typical -8 J30 hose");

  Stated stated;
  stated.source = words.source.value_or(SourceClass::catalog);
  stated.origin.as_typed = text;
  const std::string clean = words_of(words.rest);
  if (const auto tube = tube_by_length(clean)) {
    const auto bore = bore_of_tube(clean, *tube, text);
    if (!bore) return fail(bore.error());
    stated.value = *bore;
    stated.origin.source = bore_source(DashKind::tube);
  } else {
    const auto size = parse_dash(words.rest);
    if (!size) {
      Error error = size.error().front();
      error.found = quoted(text);
      return fail(std::move(error));
    }
    const auto bore = bore_m(*size);
    if (!bore) return fail(bore.error());
    stated.value = *bore;
    stated.origin.source = bore_source(size->kind);
  }
  if (!words.exact) stated.spread = default_spread(stated.value, stated.source, Dimension::bore, options.spreads);
  return stated;
}

}  // namespace fw::units
