// SPDX-License-Identifier: Apache-2.0
#include "report/fuel_report_answers.hpp"

#include <array>
#include <cmath>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "report/json_parts.hpp"

namespace fw::report {

namespace {

using diagnosis::FuelVerdict;
using diagnosis::LabReport;
using diagnosis::ReportLimit;
using diagnosis::ReportLine;
using diagnosis::ReportOutcome;
using units::Dimension;

/// A value of a test: laboratories write um, mm2/s, mg/kg, % and hours whatever the house units are, only temperatures
/// follow the reader.
std::string shown(const ReportLine& line, double value, units::System system) {
  if (line.key == "microbes") return fmt::format("{:.0f} CFU/L", 1e-3 * value);
  if (line.key == "lubricity") return fmt::format("{:.0f} um", 1e6 * value);
  if (line.dimension == Dimension::ratio) return fmt::format("{:.3g} %", 100.0 * value);
  if (line.dimension == Dimension::concentration_mass) return fmt::format("{:.3g} mg/kg", 1e6 * value);
  if (line.dimension == Dimension::concentration_volume) return fmt::format("{:.3g} g/m3", 1e3 * value);
  if (line.dimension == Dimension::time) return fmt::format("{:.3g} h", value / 3600.0);
  if (line.dimension == Dimension::kinematic_viscosity) return fmt::format("{:.2f} mm2/s", 1e6 * value);
  if (line.dimension == Dimension::density) return fmt::format("{:.1f} kg/m3", value);
  return units::print(value, line.dimension, system);
}

std::string limit_words(const ReportLine& line, const ReportLimit& limit, units::System system) {
  std::string text = limit.standard;
  if (limit.min && limit.max) {
    text += fmt::format(" {} to {}", shown(line, *limit.min, system), shown(line, *limit.max, system));
  } else if (limit.min) {
    text += " at least " + shown(line, *limit.min, system);
  } else if (limit.max) {
    text += " at most " + shown(line, *limit.max, system);
  }
  return fmt::format("{} ({})", text, limit.source);
}

const char* outcome_words(ReportOutcome outcome) {
  switch (outcome) {
    case ReportOutcome::inside: return "inside";
    case ReportOutcome::beyond: return "BEYOND";
    case ReportOutcome::no_limit: break;
  }
  return "not limited";
}

constexpr std::array<const char*, 7> places{
    "not stated", "tank bottom", "draw-off of the tank", "filter bowl", "return line", "dispenser", "drum"};
constexpr std::array<const char*, 5> containers{"not stated", "certified bottle", "new bottle", "clean jar", "other"};

const char* yes_no(const std::optional<bool>& truth) { return !truth ? "not stated" : *truth ? "yes" : "no"; }

void add(Document& document, std::string text, bool small = false) {
  document.blocks.emplace_back(Paragraph{.spans = plain(std::move(text)), .small = small});
}

void add_list(Document& document, int& number, const char* title, const std::vector<std::string>& items) {
  if (items.empty()) return;
  document.blocks.emplace_back(Heading{.level = 1, .number = fmt::format("{}", number++), .text = title});
  Bullets bullets;
  for (const std::string& item : items) bullets.items.push_back(plain(item));
  document.blocks.emplace_back(std::move(bullets));
}

}  // namespace

Document fuel_report_page(const LabReport& report, const FuelVerdict& verdict, const PaperOptions& options) {
  Document document;
  document.title = "Fuel report: " + report.title;
  document.created = options.created;
  document.size = options.size;
  const diagnosis::Provenance& sample = report.sample;
  add(document, fmt::format("Sample from the {}, taken {} by {}, container: {}, duplicate kept sealed: {}, seal {}.",
                            places.at(static_cast<std::size_t>(sample.place)),
                            sample.taken.empty() ? "at a time not stated" : sample.taken,
                            sample.person.empty() ? "a person not stated" : sample.person,
                            containers.at(static_cast<std::size_t>(sample.container)), yes_no(sample.duplicate),
                            sample.seal.empty() ? "not stated" : sample.seal));
  if (verdict.saturation) {
    add(document,
        fmt::format("At {} this fuel holds {:.0f} mg/kg of water in solution (within about half); what is above "
                    "that is free.",
                    units::print(report.sample_temperature_K, Dimension::temperature, options.system),
                    1e6 * *verdict.saturation));
  }
  int number = 1;
  document.blocks.emplace_back(Heading{.level = 1, .number = fmt::format("{}", number++), .text = "Tests"});
  for (const ReportLine& line : verdict.lines) {
    std::string text =
        fmt::format("{}: {}; {}", line.title, line.value ? shown(line, *line.value, options.system) : line.text,
                    outcome_words(line.outcome));
    for (const ReportLimit& limit : line.limits) text += "; " + limit_words(line, limit, options.system);
    text += ". " + line.method + ".";
    if (!line.points_to.empty()) text += " Points to: " + line.points_to + ".";
    add(document, std::move(text));
  }
  document.blocks.emplace_back(Heading{.level = 1, .number = fmt::format("{}", number++), .text = "Together"});
  if (verdict.readings.empty()) add(document, "Nothing in these tests points anywhere. That excludes no cause.");
  for (const diagnosis::ReportReading& reading : verdict.readings) {
    add(document, fmt::format("{}: {} ({}). Speaks for {}; proves none.", reading.title, reading.because,
                              reading.strength, fmt::join(reading.causes, ", ")));
  }
  add_list(document, number, "What they do not say", verdict.notes);
  add_list(document, number, "Tests worth asking for", verdict.missing);
  add_list(document, number, "Gaps of the sample as evidence", verdict.gaps);
  const system::FuelReport sheet = diagnosis::for_line_sheet(report);
  std::string block;
  const auto put = [&](const char* key, const std::optional<Stated>& value) {
    if (value) block += fmt::format("{}{} = \"{}\"", block.empty() ? "" : ", ", key, value->origin.as_typed);
  };
  put("density", sheet.density_15C_kg_per_m3);
  put("viscosity", sheet.viscosity_40C_m2_per_s);
  put("cloud_point", sheet.cloud_point_K);
  put("cfpp", sheet.cfpp_K);
  if (!block.empty()) add(document, "For a line sheet: [fuel_report] with " + block + ".", true);
  add(document,
      "What deviations and metals point to is largely common practice, no source. The Worldwide Fuel Charter speaks of "
      "fuel as supplied, before the vehicle's filters.",
      true);
  return document;
}

std::string fuel_report_json(const LabReport& report, const FuelVerdict& verdict) {
  Json lines = Json::array();
  for (const ReportLine& line : verdict.lines) {
    const std::string unit = line.key == "microbes" ? "per_m3" : unit_in_key(line.dimension);
    const std::string suffix = unit.empty() ? "" : "_" + unit;
    Json limits = Json::array();
    for (const ReportLimit& limit : line.limits) {
      limits.push_back({{"standard", limit.standard},
                        {"min", number_json(limit.min)},
                        {"max", number_json(limit.max)},
                        {"source", limit.source}});
    }
    lines.push_back({{"test", line.key},
                     {"title", line.title},
                     {"method", line.method},
                     {"unit", line.value ? unit : std::string()},
                     {"value", number_json(line.value)},
                     {"text", line.text},
                     {"limits", std::move(limits)},
                     {"outcome", line.outcome == ReportOutcome::inside   ? "inside"
                                 : line.outcome == ReportOutcome::beyond ? "beyond"
                                                                         : "no_limit"},
                     {"points_to", line.points_to}});
  }
  Json readings = Json::array();
  for (const diagnosis::ReportReading& reading : verdict.readings) {
    readings.push_back({{"title", reading.title},
                        {"because", reading.because},
                        {"strength", reading.strength},
                        {"causes", reading.causes}});
  }
  const diagnosis::Provenance& sample = report.sample;
  Json provenance{{"place", places.at(static_cast<std::size_t>(sample.place))},
                  {"taken", sample.taken},
                  {"person", sample.person},
                  {"container", containers.at(static_cast<std::size_t>(sample.container))},
                  {"duplicate", sample.duplicate ? Json(*sample.duplicate) : Json(nullptr)},
                  {"seal", sample.seal}};
  const Json json{{"schema", "fuelwright.fuel_report/1.0"},
                  {"title", report.title},
                  {"standard", report.standard},
                  {"sample_temperature_K", number_json(report.sample_temperature_K)},
                  {"saturation_kg_per_kg", number_json(verdict.saturation)},
                  {"sample", std::move(provenance)},
                  {"tests", std::move(lines)},
                  {"readings", std::move(readings)},
                  {"notes", verdict.notes},
                  {"missing", verdict.missing},
                  {"gaps", verdict.gaps}};
  return json.dump(2) + "\n";
}

}  // namespace fw::report
