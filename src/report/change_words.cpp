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

/// Titles under one heading each, in the order in which the headings come up.
class Grouped {
 public:
  void add(std::string heading, const std::string& title) {
    auto found = std::ranges::find(groups_, heading, &std::pair<std::string, std::string>::first);
    if (found == groups_.end()) found = groups_.insert(found, {std::move(heading), std::string()});
    add_title(found->second, title);
  }
  [[nodiscard]] std::vector<std::string> sentences() const {
    std::vector<std::string> all;
    all.reserve(groups_.size());
    for (const auto& [heading, titles] : groups_) all.push_back(heading + ": " + titles + ".");
    return all;
  }

 private:
  std::vector<std::pair<std::string, std::string>> groups_;
};

void add_alone(Grouped& grouped, const SheetJudgement& sheet, const SheetJudgement& other) {
  for (const Check& check : sheet.checks) {
    if (std::ranges::find(other.checks, check.id, &Check::id) != other.checks.end()) continue;
    grouped.add(fmt::format("Only {}, {}", sheet.name, supply::name(check.outcome)), check.title);
  }
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
  Grouped grouped;
  for (const Check& before : first.checks) {
    const auto after = std::ranges::find(second.checks, before.id, &Check::id);
    // What has a number, and the water sensor, is a line of supply::compare.
    if (after == second.checks.end() || (before.value && after->value) || before.id == "water-sensor") continue;
    if (before.outcome == after->outcome) continue;
    grouped.add(fmt::format("From {} to {}", supply::name(before.outcome), supply::name(after->outcome)), before.title);
  }
  add_alone(grouped, second, first);
  add_alone(grouped, first, second);
  return grouped.sentences();
}

}  // namespace fw::report
