// SPDX-License-Identifier: Apache-2.0
#include "casefile/case.hpp"

#include <filesystem>
#include <fstream>
#include <sstream>

#include <fmt/format.h>

#include "casefile/findings.hpp"
#include "casefile/fuel_report.hpp"
#include "casefile/line_sheet_reader.hpp"
#include "casefile/sheet_sources.hpp"
#include "casefile/six_facts.hpp"
#include "catalog/document.hpp"

namespace fw::casefile {

namespace {

Error file_error(ErrorCode code, const std::string& path, std::string found, std::string expected, std::string hint) {
  return {.code = code,
          .where = {.file = path, .line = 0, .column = 0, .field = {}},
          .found = std::move(found),
          .expected = std::move(expected),
          .hint = std::move(hint)};
}

}  // namespace

Result<std::string> read_file(const std::string& path) {
  std::error_code error;
  const auto status = std::filesystem::status(path, error);
  if (error || !std::filesystem::exists(status)) {
    return fail(file_error(ErrorCode::not_found, path, "no such file", "a file that exists", "Check the name"));
  }
  if (!std::filesystem::is_regular_file(status)) {
    return fail(file_error(ErrorCode::invalid_input, path, "a folder or device", "a file", "Name the file itself"));
  }
  const auto size = std::filesystem::file_size(path, error);
  if (!error && size > catalog::largest_document_bytes) {
    return fail(file_error(ErrorCode::too_large, path, fmt::format("{} bytes", size),
                           fmt::format("at most {} bytes", catalog::largest_document_bytes), "Is it the right file?"));
  }
  if (!error && size == 0) {
    return fail(file_error(ErrorCode::invalid_input, path, "an empty file", "a file with text in it",
                           "Copy an example, or name another file"));
  }
  std::ifstream file(path, std::ios::binary);
  std::ostringstream text;
  text << file.rdbuf();
  if (!file || !text) {
    return fail(
        file_error(ErrorCode::io, path, "a file that cannot be read", "a readable file", "Check its permissions"));
  }
  return text.str();
}

Result<system::LineSheet> read_sheet_file(const std::string& path, const catalog::Catalog& catalog) {
  const auto text = read_file(path);
  if (!text) return fail(text.error());
  return read_line_sheet(*text, path, catalog.spreads, sheet_sources(catalog));
}

Result<Case> read_case(const std::string& folder, const catalog::Catalog& catalog) {
  std::error_code error;
  if (!std::filesystem::is_directory(folder, error)) {
    return fail(file_error(ErrorCode::not_found, folder,
                           std::filesystem::exists(folder, error) ? "a file" : "no such folder",
                           "a case folder with a case.toml",
                           "Name the folder of the case; a single line sheet is judged by \"supply SHEET\""));
  }
  const std::string path = (std::filesystem::path(folder) / "case.toml").string();
  const auto text = read_file(path);
  if (!text) return fail(text.error());
  return read_case_text(*text, path, folder, catalog);
}

Result<Case> read_case_text(std::string_view text, const std::string& path, const std::string& folder,
                            const catalog::Catalog& catalog) {
  auto document = catalog::Document::parse(text, path, catalog.spreads);
  if (!document) return fail(document.error());
  document->demand_format();
  catalog::Table top = document->root();
  Case job;
  job.folder = folder;
  job.id = top.required_text("id", "the case's number or name");
  job.title = top.required_text("title", "what the case is called");
  job.vehicle = top.text("vehicle").value_or(std::string());
  job.odometer = top.text("odometer").value_or(std::string());
  job.opened = top.text("opened").value_or(std::string());
  job.story = top.text("story").value_or(std::string());
  std::vector<std::string> climates;
  for (int i = 0; i <= static_cast<int>(supply::Climate::tropical); ++i) {
    climates.emplace_back(supply::name(static_cast<supply::Climate>(i)));
  }
  if (const auto climate = top.choice("climate", climates)) job.climate = static_cast<supply::Climate>(*climate);

  if (auto intake = top.table("intake")) job.intake = read_intake(*intake);

  std::vector<Error> faults;
  if (const auto name = top.text("findings")) {
    if (name->starts_with("/") || name->find("..") != std::string::npos) {
      top.fault("findings", "\"" + *name + "\"", "a file inside the case folder", "Copy it into the folder");
    } else {
      const std::string findings_path = (std::filesystem::path(folder) / *name).string();
      const auto findings_file = read_file(findings_path);
      auto findings = findings_file ? read_findings(*findings_file, findings_path, catalog)
                                    : Result<diagnosis::Facts>(tl::unexpect, findings_file.error());
      if (findings) {
        job.findings = std::move(*findings);
      } else {
        for (const Error& one : findings.error()) faults.push_back(one);
      }
    }
  }
  std::error_code no_metal;
  if (std::filesystem::exists(std::filesystem::path(folder) / "metal.toml", no_metal)) {
    auto metal = read_metal_of(folder, catalog.spreads);
    if (metal) {
      job.metal = std::move(*metal);
    } else {
      for (const Error& one : metal.error()) faults.push_back(one);
    }
  }
  if (has_fuel_report(folder)) {
    const auto report = read_fuel_report_of(folder, catalog.spreads);
    if (!report) {
      for (const Error& one : report.error()) faults.push_back(one);
    } else if (const Stated* water = diagnosis::value_of(*report, diagnosis::ReportTest::water)) {
      job.fuel_water = *water;
    }
  }
  if (auto sheets = top.table("sheets")) {
    bool any = false;
    for (const char* key : {"as_designed", "as_found", "as_rebuilt"}) {
      const auto name = sheets->text(key);
      if (!name) continue;
      any = true;
      const std::filesystem::path relative(*name);
      if (relative.is_absolute() || name->find("..") != std::string::npos) {
        sheets->fault(key, "\"" + *name + "\"", "a file inside the case folder", "Copy the sheet into the folder");
        continue;
      }
      auto sheet = read_sheet_file((std::filesystem::path(folder) / relative).string(), catalog);
      if (!sheet) {
        for (const Error& one : sheet.error()) faults.push_back(one);
        continue;
      }
      if (std::string_view(key) == "as_found" && job.findings) job.findings->water_sensor = water_sensor(*sheet);
      if (std::string_view(key) == "as_found") job.as_found = job.sheets.size();
      job.sheets.push_back(std::move(*sheet));
    }
    if (!any) {
      sheets->fault("", "no sheet", "as_designed, as_found or as_rebuilt", "Name at least one line sheet");
    }
  } else if (!top.has("sheets")) {
    top.fault("", "no [sheets] table", "the line sheets of the case", "Add [sheets] with as_found = \"as-found.toml\"");
  }
  if (const auto sound = document->finish(); !sound) {
    faults.insert(faults.begin(), sound.error().begin(), sound.error().end());
  }
  if (!faults.empty()) return fail(Errors(std::move(faults)));
  return job;
}

}  // namespace fw::casefile
