// SPDX-License-Identifier: Apache-2.0
#include "report/way_answers.hpp"

#include <algorithm>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

namespace fw::report {

std::string way_value(const assess::WayFact& fact, units::System system) {
  if (fact.dimension == units::Dimension::ratio) {
    const bool nearly_all = fact.value > 0.994 && fact.value < 1.0;
    return fmt::format("{:.{}f} %", std::min(100.0 * fact.value, nearly_all ? 99.99 : 100.0), nearly_all ? 2 : 0);
  }
  return units::print(fact.value, fact.dimension, system);
}

std::string way_text(const std::vector<assess::WayFact>& facts, const std::vector<std::string>& notes,
                     units::System system) {
  std::string text;
  std::string at;
  for (const assess::WayFact& fact : facts) {
    if (fact.system != at) text += fmt::format("{}The fuel's way, {}\n", at.empty() ? "" : "\n", fact.system);
    at = fact.system;
    text += fmt::format("  {:<38}{:>10}  {}\n", fact.what, way_value(fact, system), fact.from);
  }
  if (!notes.empty()) text += "\n";
  for (const std::string& note : notes) text += note + "\n";
  return text;
}

Json way_json(const std::vector<assess::WayFact>& facts) {
  Json list = Json::array();
  for (const assess::WayFact& fact : facts) {
    list.push_back({{"system", fact.system}, {"key", fact.key}, {"value", fact.value}, {"from", fact.from}});
  }
  return list;
}

}  // namespace fw::report
