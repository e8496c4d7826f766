// SPDX-License-Identifier: Apache-2.0
#include "casefile/fuel_report.hpp"

#include <charconv>
#include <cmath>
#include <filesystem>

#include <fmt/format.h>

#include "casefile/case.hpp"

namespace fw::casefile {
namespace {

using catalog::Table;
using diagnosis::ReportTest;
using Dim = units::Dimension;

constexpr const char* file_name = "fuel-report.toml";

/// Colonies per m3 from "4000 CFU/L".
std::optional<Stated> colonies(Table& table, std::string_view key) {
  const auto typed = table.text(key);
  if (!typed) return std::nullopt;
  double value = 0.0;
  const char* end = typed->data() + typed->size();
  const auto [rest, fault] = std::from_chars(typed->data(), end, value);
  std::string_view unit(rest, static_cast<std::size_t>(end - rest));
  while (!unit.empty() && unit.front() == ' ') unit.remove_prefix(1);
  const double per = unit == "CFU/L" ? 1e3 : unit == "CFU/mL" ? 1e6 : 0.0;
  if (fault != std::errc{} || per == 0.0 || !(value >= 0.0) || !std::isfinite(value)) {
    table.fault(key, "\"" + *typed + "\"", "a count in CFU/L or CFU/mL", "Write for example \"4000 CFU/L\"");
    return std::nullopt;
  }
  return Stated{.value = value * per,
                .source = SourceClass::measured,
                .id = "fuel_report." + std::string(key),
                .origin = {.file = table.file_of(key), .line = table.line_of(key), .as_typed = *typed}};
}

/// A share of the volume: a bare number could mean either, so the text must say "%".
std::optional<Stated> share(Table& table, std::string_view key) {
  auto typed = table.text(key);
  if (!typed) return std::nullopt;
  if (typed->find('%') == std::string::npos) {
    table.fault(key, "\"" + *typed + "\"", "a share of the volume with its unit", "Write for example \"4.8 %\"");
    return std::nullopt;
  }
  return table.stated(key, Dim::ratio, "fuel_report." + std::string(key));
}

void read_results(Table& table, diagnosis::LabReport& report) {
  for (const diagnosis::ReportTestFacts& facts : diagnosis::report_tests()) {
    if (!table.has(facts.key)) continue;
    std::optional<Stated> value;
    if (facts.test == ReportTest::microbes) {
      value = colonies(table, facts.key);
    } else if (facts.dimension == Dim::ratio) {
      value = share(table, facts.key);
    } else {
      value = table.stated(facts.key, facts.dimension, "fuel_report." + std::string(facts.key));
    }
    if (!value) continue;
    if (value->given() && !value->unknown) {
      report.values.push_back({.test = facts.test, .value = std::move(*value)});
    }
  }
  if (const auto look = table.choice("appearance", {"clear-and-bright", "hazy", "layer"})) {
    report.appearance = static_cast<diagnosis::Appearance>(*look + 1);
  }
  report.haze = table.whole("haze", 1, 6);
  if (const auto code = table.text("particle_count")) {
    const auto parsed = debris::parse_code(*code);
    if (parsed) {
      report.particles = *parsed;
    } else {
      table.fault("particle_count", parsed.error());
    }
  }
}

void read_metals(Table& table, diagnosis::LabReport& report) {
  report.metals_method = table.text("method").value_or(std::string());
  for (const std::string& element : diagnosis::report_elements()) {
    if (!table.has(element)) continue;
    Stated value = table.stated(element, Dim::concentration_mass, "fuel_report." + element);
    if (value.given() && !value.unknown) {
      report.metals.push_back({.element = element, .value = std::move(value)});
    }
  }
}

void read_sample(Table& table, diagnosis::Provenance& sample) {
  if (const auto place =
          table.choice("place", {"tank-bottom", "tank-draw-off", "filter-bowl", "return-line", "dispenser", "drum"})) {
    sample.place = static_cast<diagnosis::SamplePlace>(*place + 1);
  }
  if (const auto in = table.choice("container", {"certified-bottle", "new-bottle", "clean-jar", "other"})) {
    sample.container = static_cast<diagnosis::Container>(*in + 1);
  }
  sample.taken = table.text("taken").value_or(std::string());
  sample.person = table.text("person").value_or(std::string());
  sample.seal = table.text("seal").value_or(std::string());
  sample.duplicate = table.truth("duplicate");
  sample.flushed = table.truth("flushed");
  sample.counted_within_s = table.number("counted_within", Dim::time);
  static_cast<void>(table.text("note"));
}

}  // namespace

Result<diagnosis::LabReport> read_fuel_report(std::string_view text, const std::string& path,
                                              const units::SourceSpreads& spreads) {
  auto document = catalog::Document::parse(text, path, spreads);
  if (!document) return fail(document.error());
  document->demand_format();
  Table root = document->root();
  diagnosis::LabReport report;
  report.origin = {.file = path, .line = 1};
  report.title = root.required_text("title", "laboratory, number and date");
  report.laboratory = root.text("laboratory").value_or(std::string());
  report.number = root.text("number").value_or(std::string());
  report.standard = root.required_text("standard", "the standard the fuel was sold under, e.g. \"en590\"");
  report.fuel = root.text("fuel").value_or(std::string());
  if (const auto at = root.number("sample_temperature", Dim::temperature)) report.sample_temperature_K = *at;
  static_cast<void>(root.text("note"));
  if (auto sample = root.table("sample")) read_sample(*sample, report.sample);
  if (auto results = root.table("results")) {
    read_results(*results, report);
  } else {
    root.fault("", "no [results]", "what the laboratory found", "Add [results] with water = \"120 mg/kg\"");
  }
  if (auto metals = root.table("metals")) read_metals(*metals, report);
  if (const auto good = document->finish(); !good) return fail(good.error());
  return report;
}

Result<diagnosis::LabReport> read_fuel_report_of(const std::string& case_or_file, const units::SourceSpreads& spreads) {
  std::error_code ignored;
  const std::string path = std::filesystem::is_directory(case_or_file, ignored)
                               ? (std::filesystem::path(case_or_file) / file_name).string()
                               : case_or_file;
  const auto text = read_file(path);
  if (!text) return fail(text.error());
  return read_fuel_report(*text, path, spreads);
}

bool has_fuel_report(const std::string& folder) {
  std::error_code ignored;
  return std::filesystem::is_regular_file(std::filesystem::path(folder) / file_name, ignored);
}

}  // namespace fw::casefile
