// SPDX-License-Identifier: Apache-2.0
#include "report/supply_answers_json.hpp"

#include <algorithm>

#include <nlohmann/json.hpp>

#include "report/json_parts.hpp"

namespace fw::report {

namespace {

Json faults_of(const supply::BookState& state) {
  Json faults = Json::array();
  for (const system::Fault& fault : state.faults) {
    faults.push_back({{"kind", std::string(system::facts(fault.kind).id)}, {"part", fault.part}});
  }
  return faults;
}

Json reading_json(const std::optional<supply::Reading>& reading, units::Dimension dimension, bool drawn) {
  if (!reading) return nullptr;
  Json json{{key_of("median", dimension), number_json(reading->median)}};
  if (drawn) {
    json[key_of("low", dimension)] = number_json(reading->band.low);
    json[key_of("high", dimension)] = number_json(reading->band.high);
  }
  json[key_of("instrument_error", dimension)] = number_json(reading->error);
  return json;
}

Json channel_json(const supply::Channel& channel) {
  return {{"title", channel.title}, {"port", channel.port}, {"unit", unit_in_key(channel.dimension)}};
}

Json head(const char* schema, const supply::GaugeBook& book, const BookSource& source) {
  return {{"schema", schema},
          {"sheet", book.sheet},
          {"file", source.file},
          {"samples", book.samples},
          {"seed", source.seed}};
}

const char* key_of_measure(supply::SizeKind kind) {
  switch (kind) {
    case supply::SizeKind::line: return "bore_m";
    case supply::SizeKind::pump: return "free_flow_m3_per_s";
    case supply::SizeKind::filter: return "clean_drop_Pa";
  }
  return "";
}

}  // namespace

std::string gauge_book_json(const supply::GaugeBook& book, const BookSource& source) {
  Json channels = Json::array();
  for (const supply::Channel& channel : book.channels) channels.push_back(channel_json(channel));
  Json states = Json::array();
  for (const supply::BookState& state : book.states) {
    Json points = Json::array();
    for (const supply::BookPoint& at : state.points) {
      Json readings = Json::array();
      for (std::size_t c = 0; c < at.readings.size(); ++c) {
        readings.push_back(reading_json(at.readings[c], book.channels[c].dimension, book.samples > 0));
      }
      points.push_back({{"running_point", point_json(at.point)},
                        {"speed_per_s", number_json(at.speed_per_s)},
                        {"engine_fed", at.fed},
                        {"readings", readings}});
    }
    states.push_back({{"title", state.title}, {"way", state.way}, {"faults", faults_of(state)}, {"points", points}});
  }
  Json apart = Json::array();
  for (const supply::WaysApart& ways : book.ways_apart) {
    const supply::BookState& first = book.states[ways.first];
    const supply::BookState& second = book.states[ways.second];
    Json shown = nullptr;
    if (ways.best.strength > 1.0) {
      const units::Dimension dimension = book.channels[ways.best.channel].dimension;
      const auto reading = [&](const supply::BookState& state) {
        return reading_json(state.points[ways.best.point].readings[ways.best.channel], dimension, book.samples > 0);
      };
      shown = channel_json(book.channels[ways.best.channel]);
      shown["running_point"] = point_json(first.points[ways.best.point].point);
      shown["strength"] = number_json(ways.best.strength);
      shown["first"] = reading(first);
      shown["second"] = reading(second);
    }
    apart.push_back({{"first", first.way}, {"second", second.way}, {"shown_best_by", shown}});
  }
  Json json = head("fuelwright.gauge_book/1.1", book, source);
  json["channels"] = channels;
  json["states"] = states;
  json["ways_apart"] = apart;
  return json.dump(2) + "\n";
}

std::string faults_json(const supply::GaugeBook& book, const BookSource& source) {
  Json faults = Json::array();
  for (std::size_t s = book.ways; s < book.states.size(); ++s) {
    const supply::BookState& state = book.states[s];
    Json fed = Json::array();
    for (const supply::BookPoint& at : state.points) {
      fed.push_back({{"running_point", point_json(at.point)}, {"engine_fed", at.fed}});
    }
    Json shown = nullptr;
    if (const supply::Separation& best = book.from_healthy[s]; best.strength > 1.0) {
      const units::Dimension dimension = book.channels[best.channel].dimension;
      const supply::BookPoint& at = state.points[best.point];
      const auto& healthy = book.states[state.healthy].points[best.point].readings[best.channel];
      shown = channel_json(book.channels[best.channel]);
      shown["running_point"] = point_json(at.point);
      shown["strength"] = number_json(best.strength);
      shown["with_fault"] = reading_json(at.readings[best.channel], dimension, book.samples > 0);
      shown["healthy"] = reading_json(healthy, dimension, book.samples > 0);
    }
    Json like = Json::array();
    for (const std::size_t other : book.like[s]) {
      const supply::BookState& one = book.states[other];
      like.push_back(one.way.empty() ? one.title : one.title + ", if the " + one.way);
    }
    faults.push_back({{"title", state.title},
                      {"way", state.way},
                      {"faults", faults_of(state)},
                      {"points", fed},
                      {"shown_best_by", shown},
                      {"not_told_from", like}});
  }
  Json json = head("fuelwright.faults/1.1", book, source);
  json["planted"] = faults;
  return json.dump(2) + "\n";
}

Json comparisons_part(const std::vector<assess::Comparison>& comparisons) {
  Json all = Json::array();
  for (const assess::Comparison& comparison : comparisons) {
    Json lines = Json::array();
    for (const supply::Difference& line : comparison.lines) {
      Json json{{"id", line.id},
                {"title", line.title},
                {"effect", std::string(supply::words(line.effect))},
                {key_of("first", line.dimension), number_json(line.first)},
                {key_of("second", line.dimension), number_json(line.second)},
                {key_of("smallest_effect", line.dimension), number_json(line.smallest)}};
      if (line.band) {
        json[key_of("difference_low", line.dimension)] = number_json(line.band->low);
        json[key_of("difference_high", line.dimension)] = number_json(line.band->high);
      }
      json["outcome_first"] = std::string(supply::name(line.outcome_first));
      json["outcome_second"] = std::string(supply::name(line.outcome_second));
      json["sentence"] = line.sentence;
      lines.push_back(std::move(json));
    }
    all.push_back({{"first", comparison.first}, {"second", comparison.second}, {"lines", lines}});
  }
  return all;
}

std::string comparison_json(const std::vector<assess::Comparison>& comparisons, const ComparisonSource& source) {
  const Json json{{"schema", "fuelwright.comparison/1.0"},
                  {"case", source.case_id},
                  {"climate", std::string(supply::name(source.climate))},
                  {"samples", source.samples},
                  {"seed", source.seed},
                  {"comparisons", comparisons_part(comparisons)}};
  return json.dump(2) + "\n";
}

std::string sizes_json(const Sizes& sizes, const SizesSource& source) {
  const supply::PowerCeiling& ceiling = sizes.ceiling;
  Json limited = nullptr;
  if (ceiling.limited) {
    limited = {{"id", ceiling.limited->id},
               {"title", ceiling.limited->title},
               {"place", ceiling.limited->place},
               {"part", ceiling.limited->place_part}};
  }
  Json parts = Json::array();
  for (const supply::Sizing& sizing : sizes.parts) {
    Json steps = Json::array();
    for (const supply::SizeStep& step : sizing.steps) {
      Json json{{"id", step.id},
                {"title", step.title},
                {"source", step.source},
                {"shop", step.shop},
                {key_of_measure(sizing.kind), number_json(step.measure)},
                {"holds", step.holds},
                {"inlet_low_Pa", number_json(step.inlet_low_Pa)},
                {"gain_Pa", number_json(step.gain_Pa)},
                {"failing", step.failing}};
      if (step.clean_share) json["clean_share"] = number_json(*step.clean_share);
      steps.push_back(std::move(json));
    }
    const auto id_at = [&](const std::optional<std::size_t>& at) {
      return at ? Json(sizing.steps[*at].id) : Json(nullptr);
    };
    parts.push_back({{"part", sizing.part},
                     {"title", sizing.title},
                     {"kind", std::string(supply::name(sizing.kind))},
                     {"holds", sizing.holds},
                     {"inlet_low_Pa", number_json(sizing.inlet_low_Pa)},
                     {"failing", sizing.failing},
                     {"smallest", id_at(sizing.smallest)},
                     {"best", id_at(sizing.best)},
                     {"gain_Pa", number_json(sizing.gain_Pa())},
                     {"steps", steps}});
  }
  const Json json{{"schema", "fuelwright.sizes/2.0"},
                  {"sheet", sizes.sheet},
                  {"file", source.file},
                  {"climate", std::string(supply::name(source.climate))},
                  {"rated_power_W", number_json(ceiling.rated_W)},
                  {"ceiling_W", number_json(ceiling.ceiling_W)},
                  {"carries_rated", ceiling.at_rated},
                  {"beyond_ceiling", ceiling.open},
                  {"limited_by", limited},
                  {"parts", parts},
                  {"not_judged", {"air", "exhaust temperature", "driveline", "emissions approval"}}};
  return json.dump(2) + "\n";
}

}  // namespace fw::report
