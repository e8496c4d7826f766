// SPDX-License-Identifier: Apache-2.0
#include "app/use_cases.hpp"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <system_error>

#include <fmt/format.h>

#include "app/catalog_answer.hpp"
#include "casefile/case.hpp"
#include "casefile/evidence_log.hpp"
#include "catalog/catalog.hpp"
#include "fuel/fuel_text.hpp"
#include "fuel/property_sheet.hpp"
#include "report/assessment_json.hpp"
#include "report/fuel_json.hpp"
#include "report/fuel_page.hpp"
#include "report/pdf.hpp"
#include "report/text.hpp"

namespace fw::app {

namespace {

Error io_error(const std::string& path, std::string found) {
  return {.code = ErrorCode::io,
          .where = {.file = path, .line = 0, .column = 0, .field = {}},
          .found = std::move(found),
          .expected = "a place that can be written to",
          .hint = "Name another file with --out"};
}

/// A folder takes the paper under the name of the case; a name without an extension gets one.
std::string paper_path(const std::optional<std::string>& out, const std::string& name) {
  if (!out) return "out/" + name + ".pdf";
  std::error_code ignored;
  if (out->ends_with('/') || std::filesystem::is_directory(*out, ignored)) {
    return (std::filesystem::path(*out) / (name + ".pdf")).string();
  }
  return std::filesystem::path(*out).has_extension() ? *out : *out + ".pdf";
}

/// "out/case.pdf" -> "out/case-owner.pdf"
std::string beside(const std::string& path, const char* word) {
  const bool pdf = path.ends_with(".pdf");
  return path.substr(0, path.size() - (pdf ? 4 : 0)) + "-" + word + (pdf ? ".pdf" : "");
}

Result<std::vector<std::string>> write_papers(const assess::Assessment& assessment,
                                              const std::vector<system::LineSheet>& sheets, Papers papers,
                                              const report::PaperOptions& options, const std::string& path,
                                              const std::stop_token& stop) {
  struct Paper {
    Papers which;
    const char* word;
  };
  std::vector<std::string> written;
  std::vector<std::string> drawn;
  for (const Paper& paper :
       {Paper{.which = Papers::page, .word = "page"}, Paper{.which = Papers::owner, .word = "owner"},
        Paper{.which = Papers::technical, .word = "technical"},
        Paper{.which = Papers::authorisation, .word = "authorisation"}}) {
    if (papers != paper.which && papers != Papers::all) continue;
    const bool priced = assessment.metal && assessment.metal->decision;
    if (paper.which == Papers::authorisation && papers == Papers::all && !priced) continue;
    const auto document = paper.which == Papers::page        ? report::supply_page(assessment, options)
                          : paper.which == Papers::owner     ? report::owner_paper(assessment, sheets, options)
                          : paper.which == Papers::technical ? report::technical_paper(assessment, sheets, options)
                                                             : report::authorisation_paper(assessment, options);
    if (!document) return fail(document.error());
    auto bytes = report::render_pdf(*document);
    if (!bytes) return fail(bytes.error());
    written.push_back(papers == Papers::all ? beside(path, paper.word) : path);
    drawn.push_back(std::move(*bytes));
    if (stop.stop_requested()) {
      return fail(Error{.code = ErrorCode::cancelled, .found = "a stop", .expected = "the end of the papers"});
    }
  }
  for (std::size_t i = 0; i < drawn.size(); ++i) {
    if (const auto done = write_file(written[i], drawn[i]); !done) return fail(done.error());
  }
  return written;
}

Result<Answer> answer(const casefile::Case& job, const catalog::Catalog& catalog, const Request& request,
                      assess::SectionSet sections, const std::optional<std::string>& paper, const Run& run) {
  assess::NoStore nowhere;
  sections = request.sections.value_or(sections);
  // What is handed over tells what must be replaced.
  if (paper && request.papers != Papers::page && job.metal) sections.add(assess::Section::extent);
  if (paper && (request.papers == Papers::technical || request.papers == Papers::all) && !job.folder.empty()) {
    sections.add(assess::Section::water);
  }
  auto assessment = assess::assess(
      job, catalog,
      {.depth = request.depth, .seed = request.seed, .all_points = request.all_points, .sections = sections}, run,
      request.store == nullptr ? nowhere : *request.store);
  if (!assessment) return fail(assessment.error());
  report::PaperOptions options{
      .system = request.system, .size = request.size, .created = request.created, .evidence = {}};
  if (paper && !job.folder.empty()) {
    auto evidence = casefile::read_evidence(job.folder);
    if (!evidence) return fail(evidence.error());
    options.evidence = std::move(*evidence);
  }
  const auto brief = report::brief(*assessment, options);
  if (!brief) return fail(brief.error());
  const auto text = report::render_text(*brief, request.width);
  if (!text) return fail(text.error());
  Answer result;
  result.brief = *text;
  result.json = report::assessment_json(*assessment);
  if (paper) {
    const auto written = write_papers(*assessment, job.sheets, request.papers, options, *paper, run.stop);
    if (!written) return fail(written.error());
    result.papers = *written;
    result.paper = result.papers.front();
  }
  result.assessment = std::move(*assessment);
  return result;
}

}  // namespace

bool any_check_fails(const std::vector<supply::SheetJudgement>& sheets) {
  return std::ranges::any_of(sheets, [](const supply::SheetJudgement& sheet) {
    return std::ranges::any_of(sheet.checks,
                               [](const supply::Check& check) { return check.outcome == supply::Outcome::fails; });
  });
}

Result<void> write_file(const std::string& path, const std::string& bytes) {
  const std::filesystem::path target(path);
  std::error_code error;
  if (target.has_parent_path()) {
    std::filesystem::create_directories(target.parent_path(), error);
    if (error) return fail(io_error(path, "a folder that cannot be made (" + error.message() + ")"));
  }
  const std::filesystem::path fresh(path + ".new");
  {
    std::ofstream file(fresh, std::ios::binary | std::ios::trunc);
    file.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    file.close();
    if (!file) {
      std::filesystem::remove(fresh, error);
      return fail(io_error(path, "a file that cannot be written"));
    }
  }
  std::filesystem::rename(fresh, target, error);
  if (error) {
    const std::string why = error.message();
    std::filesystem::remove(fresh, error);
    return fail(io_error(path, "a file that cannot be replaced (" + why + ")"));
  }
  return {};
}

Result<Answer> judge_case(const std::string& folder, const Request& request, const Run& run) {
  const auto catalog = open_catalog(request.catalog_folder);
  if (!catalog) return fail(catalog.error());
  const auto job = casefile::read_case(folder, *catalog);
  if (!job) return fail(job.error());
  std::string name = std::filesystem::path(folder).lexically_normal().filename().string();
  if (name.empty()) name = std::filesystem::path(folder).lexically_normal().parent_path().filename().string();
  if (name.empty() || name == ".") name = "case";
  return answer(*job, *catalog, request, assess::quick_sections(), paper_path(request.out, name), run);
}

Result<Answer> judge_sheet(const std::string& path, supply::Climate climate, const Request& request, const Run& run) {
  const auto catalog = open_catalog(request.catalog_folder);
  if (!catalog) return fail(catalog.error());
  auto sheet = casefile::read_sheet_file(path, *catalog);
  if (!sheet) return fail(sheet.error());
  casefile::Case job;
  job.id = std::filesystem::path(path).stem().string();
  job.title = "Line sheet " + sheet->name;
  job.climate = climate;
  job.sheets.push_back(std::move(*sheet));
  return answer(job, *catalog, request, {assess::Section::supply},
                request.out ? std::optional(paper_path(request.out, job.id)) : std::nullopt, run);
}

Result<Answer> judge_facts(const casefile::SevenFacts& facts, const Request& request, const Run& run) {
  const auto catalog = open_catalog(request.catalog_folder);
  if (!catalog) return fail(catalog.error());
  auto made = casefile::sheet_from_facts(facts, *catalog);
  if (!made) return fail(made.error());
  casefile::Case job;
  job.id = facts.layout;
  job.title = "Supply from what was told";
  job.climate = made->climate;
  job.sheets.push_back(std::move(made->sheet));
  auto judged = answer(job, *catalog, request, {assess::Section::supply},
                       request.out ? std::optional(paper_path(request.out, job.id)) : std::nullopt, run);
  if (!judged) return judged;
  if (!made->taken.empty()) {
    report::Document notes;
    notes.title = "What stands in for facts not told";
    notes.created = request.created;
    report::Bullets bullets;
    for (const std::string& sentence : made->taken) bullets.items.push_back({{.text = sentence}});
    notes.blocks.emplace_back(std::move(bullets));
    const auto text = report::render_text(notes, request.width);
    if (!text) return fail(text.error());
    judged->brief += "\n" + *text;
  }
  return judged;
}

Result<FuelAnswer> fuel_properties(const FuelQuestion& question) {
  const auto chosen = fuel::fuel_of_text(question.fuel);
  if (!chosen) return fail(chosen.error());
  constexpr std::size_t most_states = 48;
  const std::size_t count = question.temperatures_K.size() * question.pressures_Pa.size();
  if (count > most_states) {
    return fail(Error{.code = ErrorCode::too_large,
                      .where = {},
                      .found = fmt::format("{} temperatures at {} pressures", question.temperatures_K.size(),
                                           question.pressures_Pa.size()),
                      .expected = fmt::format("at most {} states", most_states),
                      .hint = "Ask for fewer"});
  }
  std::vector<fuel::FuelState> states;
  for (const double pressure_Pa : question.pressures_Pa) {
    for (const double temperature_K : question.temperatures_K) {
      states.push_back({.temperature_K = temperature_K, .pressure_Pa = pressure_Pa});
    }
  }
  const auto sheet = fuel::property_sheet(*chosen, states);
  if (!sheet) return fail(sheet.error());
  const report::PaperOptions options{
      .system = question.system, .size = report::PageSize::a4, .created = question.created};
  auto text = report::render_text(report::fuel_page(*sheet, options), question.width);
  if (!text) return fail(text.error());
  return FuelAnswer{.text = std::move(*text), .json = report::fuel_json(*sheet)};
}

}  // namespace fw::app
