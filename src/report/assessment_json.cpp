// SPDX-License-Identifier: Apache-2.0
#include "report/assessment_json.hpp"

#include <cmath>

#include <nlohmann/json.hpp>

namespace fw::report {

namespace {

using Json = nlohmann::ordered_json;

Json number(double value) { return std::isfinite(value) ? Json(value) : Json(nullptr); }

Json point_json(const system::RunningPoint& point) {
  return {{"engine", std::string(system::name(point.engine))},
          {"fuel_temperature_K", point.fuel_temperature_K},
          {"voltage_V", point.voltage_V},
          {"tank_level", point.tank_level},
          {"filter_loading", point.filter_loading},
          {"altitude_m", point.altitude_m},
          {"words", system::describe(point)}};
}

/// Unit of a check's numbers, as keys carry it.
std::string_view key_unit(units::Dimension dimension) {
  switch (dimension) {
    case units::Dimension::gauge_pressure: return "Pa";
    case units::Dimension::volume_flow: return "m3_per_s";
    case units::Dimension::kinematic_viscosity: return "m2_per_s";
    case units::Dimension::velocity: return "m_per_s";
    case units::Dimension::temperature: return "K";
    case units::Dimension::time: return "s";
    case units::Dimension::length:
    case units::Dimension::height: return "m";
    default: return "share";
  }
}

Json sampled_json(const supply::Sampled& sampled, const std::string& unit) {
  Json hinges = Json::array();
  for (const supply::Hinge& hinge : sampled.hinges) {
    hinges.push_back({{"input", hinge.input},
                      {"share_of_variance", number(hinge.share)},
                      {"rank_correlation", number(hinge.direction)},
                      {"band_width_if_known_" + unit, number(hinge.width_if_known)}});
  }
  return {{"samples", sampled.samples},
          {"unsolved", sampled.unsolved},
          {"failing", sampled.failing},
          {"chance_of_failing_at_most", number(sampled.chance_at_most)},
          {"coarse", sampled.coarse},
          {"low_5_" + unit, number(sampled.band.low)},
          {"median_" + unit, number(sampled.median)},
          {"high_95_" + unit, number(sampled.band.high)},
          {"hinges", hinges}};
}

Json check_json(const supply::Check& check) {
  const std::string unit(key_unit(check.dimension));
  Json json{{"id", check.id},
            {"title", check.title},
            {"outcome", std::string(supply::name(check.outcome))},
            {"value_" + unit, check.value ? number(*check.value) : Json(nullptr)},
            {"limit_" + unit, number(check.limit.fails)},
            {"narrow_limit_" + unit, check.limit.narrow ? number(*check.limit.narrow) : Json(nullptr)},
            {"margin_" + unit, check.margin ? number(*check.margin) : Json(nullptr)},
            {"limit_origin", std::string(supply::words(check.limit.origin))},
            {"limit_source", check.limit.source},
            {"place", check.place},
            {"part", check.place_part},
            {"sentence", check.sentence},
            {"taken", check.branch}};
  if (check.bound) json["bound_" + unit] = number(*check.bound);
  json["running_point"] = check.point ? point_json(*check.point) : Json(nullptr);
  json["sampled"] = check.sampled ? sampled_json(*check.sampled, unit) : Json(nullptr);
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
                      {"over_ambient_Pa", number(line.over_ambient_Pa[i])}});
  }
  return {{"running_point", point_json(line.point)}, {"places", places}};
}

Json input_json(const Stated& input) {
  return {{"id", input.id},
          {"value", number(input.value)},
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
                    {"engine_fed_at_idle", pump.engine_fed_at_idle},
                    {"engine_fed_at_rated", pump.engine_fed_at_rated},
                    {"inlet_at_idle_Pa", number(pump.inlet_at_idle_Pa)},
                    {"inlet_at_rated_Pa", number(pump.inlet_at_rated_Pa)}});
  }
  Json inputs = Json::array();
  for (const Stated& input : sheet.inputs) inputs.push_back(input_json(input));
  Json json{{"name", sheet.name}, {"file", sheet.file}, {"running_points", sheet.points}, {"unsolved", sheet.unsolved}};
  json["demand_rated_m3_per_s"] = sheet.demand_rated_m3_per_s;
  json["burned_rated_m3_per_s"] = sheet.burned_rated_m3_per_s;
  json["checks"] = checks;
  json["grade_line"] = line_json(sheet.line);
  json["worst_grade_line"] = line_json(sheet.worst_line);
  json["dead_pumps"] = dead;
  json["notes"] = sheet.notes;
  json["inputs"] = inputs;
  return json;
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
  Json json{{"schema", "fuelwright.assessment/1.0"},
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
  return json.dump(2) + "\n";
}

}  // namespace fw::report
