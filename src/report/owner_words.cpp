// SPDX-License-Identifier: Apache-2.0
#include "report/owner_words.hpp"

#include <algorithm>
#include <array>
#include <optional>
#include <string_view>
#include <utility>

#include <fmt/format.h>

#include "base/chance_words.hpp"
#include "report/check_words.hpp"
#include "report/input_words.hpp"

namespace fw::report {

namespace {

using supply::Check;
using supply::DeadPump;

/// "63.6 kPa (9.2 psi) of vacuum" for what lies below the pressure of the air.
std::string pressure_words(const std::optional<Amount>& amount, units::System system) {
  if (!amount || amount->dimension != units::Dimension::gauge_pressure || amount->si >= 0.0) {
    return words_in_both(amount, system);
  }
  return words_in_both(Amount{.si = -amount->si, .dimension = amount->dimension}, system) + " of vacuum";
}

/// Title of the part that a check of the kind `prefix` + id is about; nothing for another check.
std::optional<std::string> part_of(const Check& check, std::string_view prefix, const system::LineSheet& sheet) {
  if (!check.id.starts_with(prefix)) return std::nullopt;
  const std::string id = check.id.substr(prefix.size());
  const system::Part* part = sheet.find_part(id);
  return with_minus(part == nullptr || part->title.empty() ? id : part->title);
}

/// Whether the value itself lies beyond the limit: a check may fail for another reason, which its sentence tells.
bool beyond(const Check& check) {
  const auto margin = margin_of(check);
  return value_of(check) && limit_of(check) && margin && margin->si < 0.0;
}

std::string end_of(const DeadPump& pump) {
  if (pump.engine_fed_at_rated && pump.low_at_rated()) {
    return "fuel still comes, but with less pressure than the high-pressure pump needs: the engine may lose power or "
           "stall, or run on while the pump wears";
  }
  if (pump.engine_fed_at_rated) {
    return pump.fed_points == pump.points && pump.wax_points == 0
               ? "the engine likely keeps running, with less pressure than it should have"
               : "the engine likely keeps running in mild weather, but not in every state it must run in";
  }
  return pump.engine_fed_at_idle ? "the engine likely idles but runs short of fuel under load"
                                 : "the engine likely stops";
}

}  // namespace

std::string owner_failure(const Check& check, const system::LineSheet& sheet, units::System system, Tense tense,
                          bool explained) {
  if (!beyond(check)) return with_minus(sentence_alone(check));
  const bool past = tense == Tense::was;
  const char* was = past ? "was" : "is";
  const std::string value = pressure_words(value_of(check), system);
  const std::string limit = pressure_words(limit_of(check), system);
  if (check.id == "inlet-low") {
    return fmt::format(
        "The high-pressure pump {} likely fed too little: at the worst {}, where at least {} is asked for.", was, value,
        limit);
  }
  if (check.id == "inlet-high") {
    return fmt::format("The high-pressure pump {} likely fed too hard: at the worst {}, where at most {} is right.",
                       was, value, limit);
  }
  if (const auto pump = part_of(check, "suction-", sheet)) {
    return fmt::format("The {} likely {} to suck too hard: {}, where {} is as far as it should go.{}", *pump,
                       past ? "had" : "has", value, limit,
                       explained ? " Fuel sucked hard gives off air, and air does not lubricate." : "");
  }
  if (check.id == "gas") {
    return fmt::format("Air likely {} out of the fuel before the high-pressure pump.{}", past ? "came" : "comes",
                       explained ? " Foam does not lubricate." : "");
  }
  if (check.id == "delivery") {
    return fmt::format("The engine likely {} not get all the fuel it asks for.", past ? "did" : "does");
  }
  if (check.id == "viscosity") {
    return fmt::format("The hot fuel {} likely too thin to lubricate the high-pressure pump.", was);
  }
  if (check.id == "return-high") {
    return fmt::format("The return line likely {} back on pump and injectors: {}, where at most {} is usual.",
                       past ? "pressed" : "presses", value, limit);
  }
  if (const auto filter = part_of(check, "filter-flow-", sheet)) {
    return fmt::format("More fuel likely {} through the {} than it is made for, so it cleans worse.",
                       past ? "went" : "goes", *filter);
  }
  if (const auto filter = part_of(check, "filter-drop-", sheet)) {
    return fmt::format("The {} {} likely too small: even new it holds the fuel back as much as a full one may.",
                       *filter, was);
  }
  return with_minus(sentence_alone(check));
}

std::string owner_name(const Check& check, const system::LineSheet& sheet) {
  static constexpr std::array<std::pair<std::string_view, std::string_view>, 8> whole{{
      {"inlet-low", "the least pressure that feeds the high-pressure pump"},
      {"inlet-high", "the most pressure that feeds the high-pressure pump"},
      {"gas", "air that comes out of the fuel"},
      {"delivery", "the fuel that reaches the engine"},
      {"viscosity", "how thin the hot fuel is"},
      {"return-high", "the pressure in the return line"},
      {"velocity-suction", "the width of the suction lines"},
      {"velocity-return", "the width of the return lines"},
  }};
  const auto found = std::ranges::find(whole, check.id, &std::pair<std::string_view, std::string_view>::first);
  if (found != whole.end()) return std::string(found->second);
  static constexpr std::array<std::pair<std::string_view, std::string_view>, 7> of_part{{
      {"suction-", "how hard the {} sucks"},
      {"filter-flow-", "the flow through the {}"},
      {"filter-drop-", "the size of the {}"},
      {"regulating-", "the strength of the {}"},
      {"wire-drop-", "the wire of the {}"},
      {"ampacity-", "the wire of the {}"},
      {"fuse-load-", "the fuse of the {}"},
  }};
  for (const auto& [prefix, words] : of_part) {
    if (const auto part = part_of(check, prefix, sheet)) return fmt::format(fmt::runtime(words), *part);
  }
  return lower_first(with_minus(check.title));
}

std::string owner_narrow(const Check& check, const system::LineSheet& sheet) {
  std::string text = owner_name(check, sheet);
  if (!check.sampled || check.sampled->samples == 0) return text;
  const double chance = check.sampled->chance();
  if (chance >= 0.01) text += fmt::format(" (past its limit in {} jobs in 100)", hundredths(chance));
  return text;
}

std::string owner_losses(const std::vector<DeadPump>& pumps) {
  // What becomes of the engine, by pump: its two ways at rest are one pump.
  std::vector<std::pair<std::string, std::vector<std::string>>> ends;
  for (const DeadPump& pump : pumps) {
    auto same = std::ranges::find(ends, pump.pump, &std::pair<std::string, std::vector<std::string>>::first);
    if (same == ends.end()) same = ends.insert(ends.end(), {pump.pump, {}});
    const std::string end = end_of(pump);
    if (std::ranges::find(same->second, end) == same->second.end()) same->second.push_back(end);
  }
  std::vector<std::pair<std::string, std::string>> sentences;
  for (const auto& [pump, ways] : ends) {
    std::string end;
    for (const std::string& way : ways) {
      constexpr std::string_view engine = "the engine likely ";
      end += end.empty() ? way : ", or " + (way.starts_with(engine) ? way.substr(engine.size()) : way);
    }
    if (ways.size() > 1) end += "; which of the two is not known";
    const auto same = std::ranges::find(sentences, end, &std::pair<std::string, std::string>::second);
    if (same == sentences.end()) {
      sentences.emplace_back("the " + with_minus(pump), end);
    } else {
      same->first += " or the " + with_minus(pump);
    }
  }
  std::string text;
  for (const auto& [pump, end] : sentences)
    text += fmt::format("{}If {} stops, {}.", text.empty() ? "" : " ", pump, end);
  return text;
}

bool starves(const Check& check) {
  return check.id == "inlet-low" || check.id == "gas" || check.id == "delivery" || check.id.starts_with("suction-");
}

}  // namespace fw::report
