// SPDX-License-Identifier: Apache-2.0
#include "report/change_words.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "report/check_words.hpp"

namespace fw::report {

namespace {

using supply::Check;
using supply::Difference;
using supply::Effect;
using supply::SheetJudgement;

bool is_counted(const Difference& line) { return line.id == "stages"; }
bool has_own_sentence(const Difference& line) { return is_counted(line) || line.id == "water-sensor"; }

std::string values_of(const Difference& line, units::System system) {
  const auto value = [&](double si) { return units::print(si, line.dimension, system); };
  if (!line.first || !line.second) return {};
  if (is_counted(line)) return fmt::format("{:.0f}, then {:.0f}", *line.first, *line.second);
  std::string text = value(*line.first) + ", then " + value(*line.second);
  if (line.band) {
    // Rounding leaves traces where two systems share all that counts.
    const auto end = [&](double si) { return value(std::abs(si) < 1e-6 * line.smallest ? 0.0 : si); };
    text += fmt::format("; difference in nine of ten draws {} to {}", end(line.band->low), end(line.band->high));
  }
  return text;
}

void add_title(std::string& list, const std::string& title) { list += (list.empty() ? "" : "; ") + lower_first(title); }

std::string with_outcomes(const SheetJudgement& sheet, const SheetJudgement& other) {
  std::string list;
  for (const Check& check : sheet.checks) {
    if (std::ranges::find(other.checks, check.id, &Check::id) != other.checks.end()) continue;
    add_title(list, fmt::format("{} ({})", check.title, supply::name(check.outcome)));
  }
  return list;
}

}  // namespace

ChangeWords change_words(const std::vector<Difference>& lines, units::System system) {
  ChangeWords words;
  std::string none;
  std::string open;
  std::string same;
  for (const Difference& line : lines) {
    const bool found = line.effect == Effect::better || line.effect == Effect::worse;
    const bool turned = line.outcome_first != line.outcome_second;
    if (found || turned) {
      std::string text = found || has_own_sentence(line) ? line.sentence : line.title + ":";
      if (const std::string values = values_of(line, system); !values.empty()) text += " " + values + ".";
      if (turned) {
        text += fmt::format(" The check went from {} to {}.", supply::name(line.outcome_first),
                            supply::name(line.outcome_second));
      }
      if (!line.branch.empty()) text += " Taken: " + line.branch + ".";
      if (line.assumptions_differ) {
        text += " Another assumption gives another effect.";
      } else if (!found && !has_own_sentence(line)) {
        text += fmt::format(" Effect {}.", supply::words(line.effect));
      }
      words.effects.push_back(std::move(text));
    } else if (has_own_sentence(line)) {
      same += " " + line.sentence;
    } else {
      add_title(line.effect == Effect::none_found ? none : open, line.title);
    }
  }
  if (!none.empty()) words.rest += "No effect found: " + none + ".";
  if (!open.empty()) words.rest += (words.rest.empty() ? "" : " ") + ("Not determined: " + open) + ".";
  words.rest += same;
  if (words.rest.starts_with(' ')) words.rest.erase(0, 1);
  return words;
}

std::vector<std::string> changed_checks(const SheetJudgement& first, const SheetJudgement& second) {
  std::vector<std::string> sentences;
  for (const Check& before : first.checks) {
    const auto after = std::ranges::find(second.checks, before.id, &Check::id);
    // What has a number, and the water sensor, is a line of supply::compare.
    if (after == second.checks.end() || (before.value && after->value) || before.id == "water-sensor") continue;
    if (before.outcome == after->outcome) continue;
    sentences.push_back(
        fmt::format("{}: from {} to {}.", before.title, supply::name(before.outcome), supply::name(after->outcome)));
  }
  if (const std::string fresh = with_outcomes(second, first); !fresh.empty()) {
    sentences.push_back(fmt::format("Only {}: {}.", second.name, fresh));
  }
  if (const std::string gone = with_outcomes(first, second); !gone.empty()) {
    sentences.push_back(fmt::format("Only {}: {}.", first.name, gone));
  }
  return sentences;
}

}  // namespace fw::report
