// SPDX-License-Identifier: Apache-2.0
#include "report/reading_words.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

namespace fw::report {

namespace {

using diagnosis::Fate;
using diagnosis::Measure;
using diagnosis::Reading;
using diagnosis::ReadingStanding;
using diagnosis::Score;
using diagnosis::WeighedReadings;

constexpr std::size_t most_sets = 4;

std::string place_of(const Reading& reading) {
  switch (reading.measure) {
    case Measure::pressure:
      return reading.at == "inlet" ? std::string("pressure at the pump inlet")
                                   : fmt::format("pressure at port {}", reading.at);
    case Measure::volts: return fmt::format("volts at {}", reading.at);
    case Measure::current: return fmt::format("current of {}", reading.at);
    case Measure::injector_return: return fmt::format("return of injector {}", reading.at);
    case Measure::return_flow: return "return flow";
    case Measure::rail_crank: return "rail pressure while cranking";
    case Measure::leak_down: return "time of leak-down";
    case Measure::relief_return: return "flow past the relief valve";
    case Measure::rail_at_rest: return "rail pressure shown at rest";
  }
  return "reading";
}

bool has_point(Measure measure) {
  return measure != Measure::rail_crank && measure != Measure::leak_down && measure != Measure::rail_at_rest;
}

std::string_view word_of(Fate fate) {
  switch (fate) {
    case Fate::counted: return "counted";
    case Fate::fits_nothing: return "fits nothing";
    case Fate::not_foretold: return "not foretold";
  }
  return "counted";
}

std::string_view word_of(ReadingStanding standing) {
  switch (standing) {
    case ReadingStanding::counted: return "counted";
    case ReadingStanding::fit_nothing: return "fit nothing together";
    case ReadingStanding::few_effective: return "not known";
    case ReadingStanding::none: return "none counted";
  }
  return "none counted";
}

std::string title_of(const std::string& target, const diagnosis::Tables& tables) {
  if (const auto* cause = tables.cause(target)) return cause->title;
  if (const auto* mechanism = tables.mechanism(target)) return mechanism->title;
  return target;
}

std::string set_words(const Score& score, const diagnosis::Tables& tables) {
  if (score.targets.empty()) return "nothing of it (a sound system)";
  std::string words;
  for (const std::string& target : score.targets) {
    words += fmt::format("{}{}{}", words.empty() ? "" : " and ", target.starts_with('C') ? target + " " : std::string(),
                         title_of(target, tables));
  }
  return words;
}

}  // namespace

std::vector<ReadingWords> reading_words(const std::vector<Reading>& readings,
                                        const std::vector<WeighedReadings>& weighed, const diagnosis::Tables& tables,
                                        units::System system) {
  std::vector<ReadingWords> all;
  for (const WeighedReadings& one : weighed) {
    const bool supply = one.side == diagnosis::Side::supply;
    ReadingWords words{.side = supply ? "Supply side" : "High-pressure side", .lines = {}};
    for (const diagnosis::ReadingFate& fate : one.readings) {
      const Reading& reading = readings[fate.reading];
      const units::Dimension dimension = diagnosis::dimension_of(reading.measure);
      std::string line = place_of(reading);
      if (has_point(reading.measure)) line += fmt::format(", {}", system::name(reading.engine));
      line += fmt::format(": {} ({})", units::print(reading.value, dimension, system), reading.instrument);
      switch (fate.fate) {
        case Fate::counted:
          line += fmt::format("; a sound one would show about {}", units::print(fate.foretold, dimension, system));
          break;
        case Fate::fits_nothing:
          line += fmt::format(
              "; fits nothing the sheet as found can do, sound ({}) or with faults: check the gauge, the port, the "
              "sheet. Not counted",
              units::print(fate.foretold, dimension, system));
          break;
        case Fate::not_foretold: line += "; the sheet as found says too little to foretell it. Not counted"; break;
      }
      words.lines.push_back(std::move(line));
    }
    switch (one.standing) {
      case ReadingStanding::counted: {
        std::string fits = "Fit best: ";
        std::size_t shown = 0;
        for (const Score& score : one.scores) {
          if (shown == most_sets || (shown > 0 && score.likelihood < 0.05)) break;
          fits += shown == 0 ? set_words(score, tables)
                             : fmt::format("; {:.2g} times as well: {}", score.likelihood, set_words(score, tables));
          ++shown;
        }
        words.lines.push_back(std::move(fits));
        words.lines.push_back(fmt::format("Rests on {:.0f} effective draws ({} or more count)", one.effective,
                                          diagnosis::not_known_below));
        break;
      }
      case ReadingStanding::fit_nothing:
        words.lines.emplace_back(
            "Together they fit nothing the sheet as found can do: check the gauge, the port, the sheet. Not counted");
        break;
      case ReadingStanding::few_effective:
        words.lines.push_back(
            fmt::format("Not known: only {:.0f} effective draws came near the readings, {} are asked for. Not counted",
                        one.effective, diagnosis::not_known_below));
        break;
      case ReadingStanding::none: words.lines.emplace_back("No reading of this side counts"); break;
    }
    if (!one.assumed.empty()) {
      words.lines.push_back(fmt::format("A generic set stands in for: {}", fmt::join(one.assumed, ", ")));
    }
    all.push_back(std::move(words));
  }
  return all;
}

Json reading_json(const std::vector<Reading>& readings, const std::vector<WeighedReadings>& weighed) {
  Json all = Json::array();
  for (const WeighedReadings& one : weighed) {
    Json side{{"side", std::string(name(one.side))},
              {"standing", std::string(word_of(one.standing))},
              {"effective_draws", number_json(one.effective)}};
    side["readings"] = Json::array();
    for (const diagnosis::ReadingFate& fate : one.readings) {
      const Reading& reading = readings[fate.reading];
      const units::Dimension dimension = diagnosis::dimension_of(reading.measure);
      side["readings"].push_back({{"what", std::string(diagnosis::name(reading.measure))},
                                  {"at", reading.at},
                                  {"engine", std::string(system::name(reading.engine))},
                                  {key_of("value", dimension), number_json(reading.value)},
                                  {key_of("foretold", dimension), number_json(fate.foretold)},
                                  {"typed", reading.typed},
                                  {"instrument", reading.instrument},
                                  {"fate", std::string(word_of(fate.fate))},
                                  {"nearest", number_json(fate.nearest)}});
    }
    side["sets"] = Json::array();
    for (const Score& score : one.scores) {
      side["sets"].push_back({{"targets", score.targets},
                              {"likelihood", number_json(score.likelihood)},
                              {"effective_draws", number_json(score.effective)},
                              {"draws", score.draws},
                              {"unsolved", score.unsolved}});
    }
    side["assumed"] = one.assumed;
    all.push_back(std::move(side));
  }
  return all;
}

}  // namespace fw::report
