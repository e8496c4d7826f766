// SPDX-License-Identifier: Apache-2.0
#include "casefile/six_facts.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "casefile/seven_facts.hpp"
#include "units/quantity.hpp"

namespace fw::casefile {

namespace {

using diagnosis::Seen;
using diagnosis::WaterSensor;

/// The place of `word` among `words`, or one fault.
Result<std::size_t> one_of(const std::string& fact, const std::string& word, const std::vector<std::string>& words) {
  const auto found = std::find(words.begin(), words.end(), word);
  if (found == words.end()) {
    return invalid(fact, "\"" + word + "\"", fmt::format("one of {}", fmt::join(words, ", ")),
                   "Leave it out where it is not known.");
  }
  return static_cast<std::size_t>(found - words.begin());
}

}  // namespace

diagnosis::WaterSensor water_sensor(const system::LineSheet& sheet) {
  bool unsaid = false;
  for (const system::Leg& leg : sheet.legs) {
    for (const system::Part& part : leg.parts) {
      if (!part.medium || part.bypassed) continue;
      if (part.medium->sensor == system::WaterSensor::wired) return diagnosis::WaterSensor::in_flow;
      unsaid = unsaid ||
               (part.kind == system::PartKind::separator && part.medium->sensor == system::WaterSensor::not_stated);
    }
  }
  return unsaid ? diagnosis::WaterSensor::not_known : diagnosis::WaterSensor::none;
}

SixFacts only_told(SixFacts facts) {
  for (std::string* text : {&facts.layout, &facts.rated_power, &facts.life, &facts.stopped, &facts.fill, &facts.lamp}) {
    if (*text == not_known) text->clear();
  }
  if (facts.metal.size() == 1 && facts.metal.front() == not_known) facts.metal.clear();
  return facts;
}

Result<std::vector<WaterSensor>> sensors_of_layouts(const SixFacts& facts, const catalog::Catalog& catalog) {
  std::vector<WaterSensor> found;
  for (const std::string& id : catalog.ids(catalog::EntryKind::layout)) {
    const auto sheet = sheet_from_facts({.layout = id, .rated_power = only_told(facts).rated_power}, catalog);
    if (!sheet) return fail(sheet.error());
    const WaterSensor sensor = water_sensor(sheet->sheet);
    if (std::find(found.begin(), found.end(), sensor) == found.end()) found.push_back(sensor);
  }
  return found;
}

Result<diagnosis::Facts> findings_from_facts(const SixFacts& told, const catalog::Catalog& catalog) {
  const SixFacts facts = only_told(told);
  diagnosis::Facts findings;
  const auto say = [&](const char* id, Seen seen) {
    diagnosis::Statement statement;
    statement.finding = id;
    statement.seen = seen;
    findings.statements.push_back(std::move(statement));
  };
  if (!facts.layout.empty()) {
    const auto sheet = sheet_from_facts({.layout = facts.layout, .rated_power = facts.rated_power}, catalog);
    if (!sheet) return fail(sheet.error());
    findings.water_sensor = water_sensor(sheet->sheet);
  } else {
    if (!facts.rated_power.empty()) {
      if (const auto power = units::parse(facts.rated_power, units::Dimension::power); !power) {
        return fail(power.error().in_field("power"));
      }
    }
    const auto sensors = sensors_of_layouts(facts, catalog);
    if (!sensors) return fail(sensors.error());
    if (sensors->size() == 1) findings.water_sensor = sensors->front();
  }
  if (!facts.life.empty()) {
    const auto distance_m = units::parse(facts.life, units::Dimension::distance);
    if (distance_m) {
      constexpr double young_m = 48e6;
      constexpr double old_m = 240e6;
      say("E08", *distance_m < young_m ? Seen::present : Seen::absent);
      say("E09", *distance_m > old_m ? Seen::present : Seen::absent);
    } else if (!units::parse(facts.life, units::Dimension::time)) {
      return invalid("life", "\"" + facts.life + "\"", "a distance or hours, e.g. \"140000 km\", \"3310 h\"",
                     "Write the number with its unit.");
    }
  }
  if (!facts.stopped.empty()) {
    const auto how = one_of("stopped", facts.stopped, {"suddenly", "fading", "out of fuel", "runs"});
    if (!how) return fail(how.error());
    if (*how != 2) say("E17", *how == 0 ? Seen::present : Seen::absent);
    if (*how != 2) say("E16", *how == 1 ? Seen::present : Seen::absent);
    if (*how == 2) say("E15", Seen::present);
  }
  const std::vector<std::string> places{"none", "metering-valve", "filter", "magnet", "return", "tank"};
  constexpr const char* ids[] = {"", "E19", "E20", "E22", "E21", "E23"};
  for (const std::string& word : facts.metal) {
    const auto place = one_of("metal", word, places);
    if (!place) return fail(place.error());
    if (*place == 0 && facts.metal.size() > 1) {
      return fail(Error{ErrorCode::conflict,
                        {.field = "metal"},
                        "none together with a place",
                        "one of them",
                        "Say where it was seen, or none."});
    }
    if (*place == 0) {
      say("E19", Seen::absent);
    } else {
      say(ids[*place], Seen::present);
    }
  }
  if (!facts.fill.empty()) {
    const auto fill = one_of("fill", facts.fill, {"just before", "long before"});
    if (!fill) return fail(fill.error());
    say("E01", *fill == 0 ? Seen::present : Seen::absent);
  }
  if (!facts.lamp.empty()) {
    const auto lamp = one_of("lamp", facts.lamp, {"on", "off"});
    if (!lamp) return fail(lamp.error());
    say("E04", *lamp == 0 ? Seen::present : Seen::absent);
  }
  return findings;
}

}  // namespace fw::casefile
