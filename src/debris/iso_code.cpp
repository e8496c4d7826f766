// SPDX-License-Identifier: Apache-2.0
#include "debris/iso_code.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstddef>
#include <vector>

#include <fmt/format.h>

#include "base/contract.hpp"
#include "base/input_check.hpp"
#include "numerics/distribution.hpp"

namespace fw::debris {

namespace {

constexpr double per_mL = 1e6;

// Upper bounds of the scale numbers, particles per mL.
constexpr std::array<double, last_scale_number + 1> upper_per_mL{
    0.01,    0.02,    0.04,    0.08,    0.16,     0.32,     0.64,     1.3,       2.5,      5.0,
    10.0,    20.0,    40.0,    80.0,    160.0,    320.0,    640.0,    1300.0,    2500.0,   5000.0,
    10000.0, 20000.0, 40000.0, 80000.0, 160000.0, 320000.0, 640000.0, 1300000.0, 2500000.0};

tl::unexpected<Errors> bad_code(std::string_view text, const std::string& expected, const std::string& hint = {}) {
  return invalid("code", fmt::format("\"{}\"", text), expected, hint);
}

Result<ScaleEntry> parse_entry(std::string_view entry, std::string_view whole) {
  if (entry == "*") return ScaleEntry{.state = ScaleState::too_many};
  if (entry == "-") return ScaleEntry{.state = ScaleState::not_counted};
  if (entry == ">28") return ScaleEntry{.state = ScaleState::above_table};
  ScaleEntry out{.state = ScaleState::number};
  if (entry.starts_with(">=")) {
    out.low_count = true;
    entry.remove_prefix(2);
  }
  const auto [end, fault] = std::from_chars(entry.data(), entry.data() + entry.size(), out.number);
  const bool digits = !entry.empty() && entry.front() >= '0' && entry.front() <= '9' && entry.size() <= 2;
  if (fault != std::errc{} || end != entry.data() + entry.size() || !digits) {
    return bad_code(whole, "three entries, each a number, \">=\" and a number, \">28\", \"*\" or \"-\"",
                    "Write the code as on the report, e.g. 18/16/13");
  }
  if (out.number > last_scale_number) {
    return bad_code(whole, "scale numbers from 0 to 28", "Write >28 for what lies above the table");
  }
  return out;
}

// Rank for the order of entries; empty where nothing is known of the count.
std::optional<int> rank(const ScaleEntry& entry) {
  switch (entry.state) {
    case ScaleState::number: return entry.number;
    case ScaleState::above_table: return last_scale_number + 1;
    case ScaleState::too_many:
    case ScaleState::not_counted: break;
  }
  return std::nullopt;
}

}  // namespace

ScaleBounds bounds(int scale_number) {
  FW_EXPECTS(scale_number >= 0 && scale_number <= last_scale_number);
  const auto i = static_cast<std::size_t>(scale_number);
  return {.lower_per_m3 = i == 0 ? 0.0 : upper_per_mL[i - 1] * per_mL, .upper_per_m3 = upper_per_mL[i] * per_mL};
}

Result<int> scale_number(double number_per_m3) {
  if (const auto checked = require_non_negative(number_per_m3, "number_per_m3"); !checked) {
    return tl::unexpected<Errors>(checked.error());
  }
  const double per_mL_with_slack = number_per_m3 / per_mL * (1.0 - 1e-12);
  const auto* const at = std::lower_bound(upper_per_mL.begin(), upper_per_mL.end(), per_mL_with_slack);
  return static_cast<int>(at - upper_per_mL.begin());
}

std::array<std::optional<ParticleSize>, 3> sizes(CodeKind kind) {
  if (kind == CodeKind::microscope) {
    return {std::nullopt, ParticleSize{.diameter_m = 5e-6, .scale = SizeScale::microscope},
            ParticleSize{.diameter_m = 15e-6, .scale = SizeScale::microscope}};
  }
  return {ParticleSize{.diameter_m = 4e-6}, ParticleSize{.diameter_m = 6e-6}, ParticleSize{.diameter_m = 14e-6}};
}

Result<IsoCode> code_of(const CodeCounts& counts) {
  IsoCode code{.kind = counts.kind};
  if (counts.kind == CodeKind::microscope && counts.at[0]) {
    return invalid("counts.at[0]", "a microscope count at the first size", "nothing: microscope codes begin at 5 um");
  }
  std::optional<double> before;
  bool any = false;
  for (std::size_t i = 0; i < 3; ++i) {
    if (!counts.at[i]) continue;
    const std::string field = fmt::format("counts.at[{}]", i);
    const SizeCount& count = *counts.at[i];
    InputCheck check;
    check.non_negative(count.number_per_m3, field + ".number_per_m3");
    if (count.raw_count) check.non_negative(*count.raw_count, field + ".raw_count");
    if (check.failed()) return check.fault();
    check.that(!before || count.number_per_m3 <= *before, field + ".number_per_m3",
               fmt::format("{:.6g} per mL, more than at the smaller size", count.number_per_m3 / per_mL),
               "cumulative counts, which fall with size", "Add the counts of the larger sizes to each smaller one");
    if (check.failed()) return check.fault();
    before = count.number_per_m3;
    any = true;
    const int number = *scale_number(count.number_per_m3);
    code.entries[i] = number > last_scale_number
                          ? ScaleEntry{.state = ScaleState::above_table}
                          : ScaleEntry{.state = ScaleState::number,
                                       .number = number,
                                       .low_count = count.raw_count.has_value() && *count.raw_count < 20.0};
  }
  if (!any) return invalid("counts.at", "no count", "a count at one size at least");
  return code;
}

Result<IsoCode> parse_code(std::string_view text, CodeKind kind) {
  std::vector<std::string_view> parts;
  std::string_view rest = text;
  while (parts.size() < 4) {
    const auto slash = rest.find('/');
    parts.push_back(rest.substr(0, slash));
    if (slash == std::string_view::npos) break;
    rest.remove_prefix(slash + 1);
  }
  if (parts.size() == 2) {
    return bad_code(text, "three entries", "Write a code of two numbers (5 and 15 um) as -/x/y");
  }
  if (parts.size() != 3) return bad_code(text, "three entries divided by slashes, e.g. 18/16/13");
  IsoCode code{.kind = kind};
  for (std::size_t i = 0; i < 3; ++i) {
    auto entry = parse_entry(parts[i], text);
    if (!entry) return tl::unexpected<Errors>(entry.error());
    code.entries[i] = *entry;
  }
  if (kind == CodeKind::microscope && code.entries[0].state != ScaleState::not_counted) {
    return bad_code(text, "a microscope code, written -/x/y", "Microscope counts have no entry at 4 um");
  }
  std::optional<int> before;
  bool any = false;
  for (const ScaleEntry& entry : code.entries) {
    any = any || entry.state != ScaleState::not_counted;
    const auto here = rank(entry);
    if (!here) continue;
    if (before && *here > *before) {
      return bad_code(text, "scale numbers that do not rise from left to right",
                      "There cannot be more particles above a larger size");
    }
    before = here;
  }
  // "*" says more than any number: nothing to its right may be known to be more, but a number to its left is too few.
  for (std::size_t i = 1; i < 3; ++i) {
    if (code.entries[i].state != ScaleState::too_many) continue;
    for (std::size_t j = 0; j < i; ++j) {
      if (code.entries[j].state == ScaleState::number) {
        return bad_code(text, "\"*\" at every smaller size too", "Too many at a size means too many at smaller ones");
      }
    }
  }
  if (!any) return bad_code(text, "a number at one size at least");
  return code;
}

std::string to_text(const IsoCode& code) {
  std::string out;
  for (std::size_t i = 0; i < 3; ++i) {
    if (i > 0) out += '/';
    const ScaleEntry& entry = code.entries[i];
    switch (entry.state) {
      case ScaleState::number: out += fmt::format("{}{}", entry.low_count ? ">=" : "", entry.number); break;
      case ScaleState::above_table: out += ">28"; break;
      case ScaleState::too_many: out += '*'; break;
      case ScaleState::not_counted: out += '-'; break;
    }
  }
  return out;
}

std::string_view water_note(Wetness wetness) {
  switch (wetness) {
    case Wetness::dry: return "";
    case Wetness::wet: return "Wet fuel: drops are counted as particles, the code is an upper bound on solids.";
    case Wetness::not_stated:
      return "No water result beside the code: if the fuel was wet, drops were counted as particles.";
  }
  return "";
}

std::optional<bool> differs(const IsoCode& a, const IsoCode& b) {
  if (a.kind != b.kind) return std::nullopt;
  std::optional<bool> out;
  for (std::size_t i = 0; i < 3; ++i) {
    const auto left = rank(a.entries[i]);
    const auto right = rank(b.entries[i]);
    if (!left || !right) continue;
    out = out.value_or(false) || std::abs(*left - *right) > 1;
  }
  return out;
}

CountInterval poisson_interval(double raw_count, double confidence) {
  FW_EXPECTS(std::isfinite(raw_count) && raw_count >= 0.0 && raw_count == std::floor(raw_count));
  FW_EXPECTS(confidence > 0.0 && confidence < 1.0);
  const double tail = 0.5 * (1.0 - confidence);
  return {.low = raw_count > 0.0 ? 0.5 * numerics::chi_squared_quantile(tail, 2.0 * raw_count) : 0.0,
          .high = 0.5 * numerics::chi_squared_quantile(1.0 - tail, 2.0 * raw_count + 2.0)};
}

Result<double> sample_volume_m3(double number_per_m3, double raw_count) {
  InputCheck check;
  check.positive(number_per_m3, "number_per_m3").positive(raw_count, "raw_count");
  if (check.failed()) return check.fault();
  return raw_count / number_per_m3;
}

Result<ApproximateCode> code_of_nas_class(int nas_class) {
  if (nas_class < 0 || nas_class > 12) {
    return invalid("class", fmt::format("{}", nas_class), "a class from 0 to 12",
                   "Class 00 has too few particles for a sum");
  }
  constexpr double per_100_mL = 1e4;
  const double factor = std::ldexp(1.0, nas_class - 6) * per_100_mL;
  const double above_14 = (2850.0 + 506.0 + 90.0 + 16.0) * factor;
  const double above_6 = 16000.0 * factor + above_14;
  auto code =
      code_of({.at = {std::nullopt, SizeCount{.number_per_m3 = above_6}, SizeCount{.number_per_m3 = above_14}}});
  FW_EXPECTS(code.has_value());
  return ApproximateCode{.code = *code, .at_6_um_per_m3 = above_6, .at_14_um_per_m3 = above_14};
}

}  // namespace fw::debris
