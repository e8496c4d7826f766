// SPDX-License-Identifier: Apache-2.0
#include "report/assessment_json.hpp"

#include <nlohmann/json.hpp>

#include "report/diagnosis_answers.hpp"
#include "report/json_parts.hpp"
#include "report/metal_answers.hpp"
#include "report/rail_answers.hpp"
#include "report/supply_answers_json.hpp"
#include "report/water_answers.hpp"
#include "report/way_answers.hpp"

namespace fw::report {

namespace {

Json sampled_json(const supply::Sampled& sampled, units::Dimension dimension) {
  Json hinges = Json::array();
  for (const supply::Hinge& hinge : sampled.hinges) {
    hinges.push_back({{"input", hinge.input},
                      {"share", number_json(hinge.share)},
                      {"direction", number_json(hinge.direction)},
                      {key_of("width_if_known", dimension), number_json(hinge.width_if_known)}});
  }
  return {{"samples", sampled.samples},
          {"unsolved", sampled.unsolved},
          {"failing", sampled.failing},
          {key_of("low", dimension), number_json(sampled.band.low)},
          {key_of("median", dimension), number_json(sampled.median)},
          {key_of("high", dimension), number_json(sampled.band.high)},
          {"chance_at_most", number_json(sampled.chance_at_most)},
          {"coarse", sampled.coarse},
          {"hinges", hinges}};
}

Json check_json(const supply::Check& check) {
  Json json{{"id", check.id},
            {"title", check.title},
            {"outcome", std::string(supply::name(check.outcome))},
            {key_of("value", check.dimension), number_json(check.value)},
            {key_of("limit", check.dimension), number_json(check.limit.fails)},
            {key_of("narrow_limit", check.dimension), number_json(check.limit.narrow)},
            {key_of("margin", check.dimension), number_json(check.margin)},
            {"limit_origin", std::string(supply::words(check.limit.origin))},
            {"limit_source", check.limit.source},
            {"place", check.place},
            {"part", check.place_part},
            {"sentence", check.sentence},
            {"taken", check.branch}};
  if (!check.ways.empty()) {
    Json ways = Json::array();
    for (const supply::WayOutcome& way : check.ways) {
      ways.push_back({{"taken", way.way},
                      {"outcome", std::string(supply::name(way.outcome))},
                      {key_of("value", check.dimension), number_json(way.value)}});
    }
    json["ways"] = ways;
  }
  if (check.bound) json[key_of("bound", check.dimension)] = number_json(*check.bound);
  if (check.proposed) json[key_of("proposed", check.dimension)] = number_json(*check.proposed);
  if (check.sampled) json["sampled"] = sampled_json(*check.sampled, check.dimension);
  json["running_point"] = check.point ? point_json(*check.point) : Json(nullptr);
  return json;
}

Json line_json(const supply::GradeLine& line) {
  Json places = Json::array();
  for (std::size_t i = 0; i < line.places.size(); ++i) {
    const system::PlaceAt& place = line.places[i];
    places.push_back({{"leg", place.leg},
                      {"part", place.part},
                      {"title", place.title},
                      {"port", place.port},
                      {"over_ambient_Pa", number_json(line.over_ambient_Pa[i])}});
  }
  return {{"running_point", point_json(line.point)}, {"places", places}};
}

Json input_json(const Stated& input) {
  return {{"id", input.id},
          {"value", number_json(input.value)},
          {"source_class", std::string(name(input.source))},
          {"spread", std::string(name(input.spread.kind))},
          {"not_known", input.unknown},
          {"as_typed", input.origin.as_typed},
          {"file", input.origin.file},
          {"line", input.origin.line},
          {"source", input.origin.source}};
}

Json sheet_json(const supply::SheetJudgement& sheet) {
  Json checks = Json::array();
  for (const supply::Check& check : sheet.checks) checks.push_back(check_json(check));
  Json dead = Json::array();
  for (const supply::DeadPump& pump : sheet.dead_pumps) {
    dead.push_back({{"pump", pump.pump},
                    {"assumption", pump.assumption},
                    {"running_points", pump.points},
                    {"fed_points", pump.fed_points},
                    {"wax_points", pump.wax_points},
                    {"not_fed_at", pump.not_fed_at},
                    {"engine_fed_at_idle", pump.engine_fed_at_idle},
                    {"engine_fed_at_rated", pump.engine_fed_at_rated},
                    {"inlet_at_idle_Pa", number_json(pump.inlet_at_idle_Pa)},
                    {"inlet_at_rated_Pa", number_json(pump.inlet_at_rated_Pa)},
                    {"inlet_limit_Pa", pump.inlet_limit_Pa ? Json(*pump.inlet_limit_Pa) : Json()}});
  }
  Json inputs = Json::array();
  for (const Stated& input : sheet.inputs) inputs.push_back(input_json(input));
  Json json{{"name", sheet.name}, {"file", sheet.file}, {"running_points", sheet.points}, {"unsolved", sheet.unsolved}};
  json["demand_rated_m3_per_s"] = sheet.demand_rated_m3_per_s;
  json["burned_rated_m3_per_s"] = sheet.burned_rated_m3_per_s;
  json["inlet_tip_in_sag_Pa"] = sheet.tip_in_sag_Pa;
  json["checks"] = checks;
  json["grade_line"] = line_json(sheet.line);
  json["worst_grade_line"] = line_json(sheet.worst_line);
  json["dead_pumps"] = dead;
  if (sheet.coupled) {
    json["coupled"] = {{"passes", sheet.coupled->passes},
                       {"residual_K", sheet.coupled->residual_K},
                       {"hottest_return_K", sheet.coupled->hottest_return_K},
                       {"hottest_inlet_K", sheet.coupled->hottest_inlet_K}};
  }
  json["fuel"] = sheet.fuel;
  json["notes"] = sheet.notes;
  json["inputs"] = inputs;
  return json;
}

Json beliefs_json(const std::vector<diagnosis::Belief>& beliefs) {
  Json json = Json::array();
  for (const diagnosis::Belief& one : beliefs) json.push_back(belief_json(one));
  return json;
}

Json diagnosis_part(const assess::Assessment& assessment) {
  const diagnosis::Diagnosis& found = *assessment.diagnosis;
  Json discounted = Json::array();
  for (const diagnosis::Discounted& one : found.discounted) {
    discounted.push_back({{"finding", one.finding}, {"why", one.why}});
  }
  return {{"draws", found.draws},
          {"counted", found.counted},
          {"state", beliefs_json(found.state)},
          {"mechanisms", beliefs_json(found.mechanisms)},
          {"causes", beliefs_json(found.causes)},
          {"determined", found.determined},
          {"why_not", found.why_not},
          {"sentence", released_sentence(found, assessment.said.cause)},
          {"conflict_bits", number_json(found.conflict_bits)},
          {"discounted", std::move(discounted)},
          {"not_to_do", assessment.not_to_do}};
}

Json looks_part(const assess::Assessment& assessment) {
  Json looks = Json::array();
  for (std::size_t i = 0; i < assessment.looks->looks.size(); ++i) {
    const diagnosis::Look& look = assessment.looks->looks[i];
    const assess::LookTitle& title = assessment.look_titles[i];
    looks.push_back({{"finding", title.finding},
                     {"title", title.title},
                     {"how", title.how},
                     {"time_s", number_json(look.minutes_s)},
                     {"value_s", number_json(look.value_s)},
                     {"blocked", look.blocked}});
  }
  return {{"expected_loss_s", number_json(assessment.looks->expected_loss_s)},
          {"stop", assessment.looks->stop},
          {"losses_from", std::string(diagnosis::name(assessment.looks->losses_from))},
          {"losses_why", assessment.looks->losses_why},
          {"looks", std::move(looks)}};
}

/// The sections that were asked for, each under its name; what was not asked has no key.
void add_sections(Json& json, const assess::Assessment& assessment) {
  if (!assessment.comparisons.empty()) json["comparisons"] = comparisons_part(assessment.comparisons);
  if (assessment.diagnosis) json["diagnosis"] = diagnosis_part(assessment);
  if (assessment.looks) json["looks"] = looks_part(assessment);
  if (assessment.metal) {
    json["way"] = way_json(assessment.metal->way);
    json["way_notes"] = assessment.metal->way_notes;
    json["debris"] = map_json(assessment.metal->map);
    json["cleanliness"] = cleanliness_json(assessment.metal->cleanliness);
    json["cleanliness_changes"] = changes_json(assessment.metal->changes);
    if (assessment.metal->decision) {
      json["extent"] = decision_json(*assessment.metal->decision, assessment.metal->currency);
    }
  }
  if (!assessment.rail.empty()) json["rail"] = Json::array();
  for (const assess::RailCapacity& rail : assessment.rail) json["rail"].push_back(rail_capacity_part(rail));
  if (!assessment.heat.empty()) json["heat"] = Json::array();
  for (const assess::FuelHeat& heat : assessment.heat) json["heat"].push_back(heat_part(heat));
  if (assessment.water) json["water"] = water_part(*assessment.water);
  if (!assessment.not_computed.empty()) json["not_computed"] = Json::array();
  for (const assess::NotComputed& missing : assessment.not_computed) {
    json["not_computed"].push_back({{"section", std::string(assess::name(missing.section))},
                                    {"sheet", missing.sheet},
                                    {"why", to_text(missing.why)}});
  }
}

std::string_view word(assess::Signal signal) {
  switch (signal) {
    case assess::Signal::danger: return "DANGER";
    case assess::Signal::warning: return "WARNING";
    case assess::Signal::caution: return "CAUTION";
    case assess::Signal::notice: return "NOTICE";
  }
  return "WARNING";
}

}  // namespace

std::string assessment_json(const assess::Assessment& assessment) {
  Json sheets = Json::array();
  for (const supply::SheetJudgement& sheet : assessment.sheets) sheets.push_back(sheet_json(sheet));
  Json cautions = Json::array();
  for (const assess::Caution& caution : assessment.cautions) {
    cautions.push_back(
        {{"signal", std::string(word(caution.signal))}, {"title", caution.title}, {"text", caution.text}});
  }
  Json json{{"schema", "fuelwright.assessment/2.2"},
            {"case", assessment.case_id},
            {"title", assessment.title},
            {"vehicle", assessment.vehicle},
            {"odometer", assessment.odometer},
            {"opened", assessment.opened},
            {"climate", std::string(supply::name(assessment.climate))},
            {"depth", std::string(assess::name(assessment.depth))},
            {"seed", assessment.seed}};
  json["sheets"] = sheets;
  json["cautions"] = cautions;
  add_sections(json, assessment);
  return json.dump(2) + "\n";
}

}  // namespace fw::report
