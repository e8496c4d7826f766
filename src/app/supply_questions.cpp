// SPDX-License-Identifier: Apache-2.0
#include "app/supply_questions.hpp"

#include <algorithm>

#include "app/catalog_answer.hpp"
#include "app/catalog_parts.hpp"
#include "assess/layouts.hpp"
#include "casefile/case.hpp"
#include "report/layout_answers.hpp"
#include "report/supply_answers.hpp"
#include "report/supply_answers_json.hpp"
#include "report/text.hpp"

namespace fw::app {

namespace {

report::PaperOptions paper_options(const Request& request) {
  return {.system = request.system, .size = request.size, .created = request.created};
}

supply::Sampling sampling_of(const Request& request) {
  return {.samples = assess::samples_of(request.depth), .seed = request.seed, .all_points = request.all_points};
}

Result<system::LineSheet> read_sheet(const std::string& path, const Request& request) {
  const auto catalog = open_catalog(request.catalog_folder);
  if (!catalog) return fail(catalog.error());
  return casefile::read_sheet_file(path, *catalog);
}

/// One fault as typed, "plugged-filter:engine-filter" or with an amount "kinked-hose:line:0.3".
Result<system::Fault> read_fault(const std::string& text) {
  const std::size_t colon = text.find(':');
  const std::string id = text.substr(0, colon);
  const auto kind = system::fault_kind_named(id);
  if (!kind) {
    std::string known;
    for (const system::FaultFacts& facts : system::fault_kinds())
      known += (known.empty() ? "" : ", ") + std::string(facts.id);
    return fail(Error{.code = ErrorCode::invalid_input,
                      .where = {.file = {}, .line = 0, .column = 0, .field = "--fault"},
                      .found = "\"" + text + "\"",
                      .expected = "KIND:PART with a kind of " + known,
                      .hint = "Write for example --fault plugged-filter:engine-filter"});
  }
  system::Fault fault{.kind = *kind, .part = colon == std::string::npos ? std::string() : text.substr(colon + 1)};
  return fault;
}

Result<std::vector<std::vector<system::Fault>>> read_faults(const std::vector<std::string>& texts) {
  std::vector<std::vector<system::Fault>> all;
  for (const std::string& text : texts) {
    std::vector<system::Fault> together;
    std::size_t from = 0;
    for (;;) {
      const std::size_t plus = text.find('+', from);
      auto fault = read_fault(text.substr(from, plus == std::string::npos ? plus : plus - from));
      if (!fault) return fail(fault.error());
      together.push_back(std::move(*fault));
      if (plus == std::string::npos) break;
      from = plus + 1;
    }
    all.push_back(std::move(together));
  }
  return all;
}

Result<supply::GaugeBook> book_of(const BookQuestion& question, const Request& request, const Run& run) {
  auto faults = read_faults(question.faults);
  if (!faults) return fail(faults.error());
  const auto sheet = read_sheet(question.sheet, request);
  if (!sheet) return fail(sheet.error());
  auto book = supply::gauge_book(*sheet, std::move(*faults), sampling_of(request), run);
  if (!book) return fail(book.error().in_file(question.sheet));
  return book;
}

report::BookSource source_of(const BookQuestion& question, const Request& request) {
  return {.file = question.sheet, .seed = request.seed};
}

}  // namespace

Result<SupplyAnswer> gauge_book_answer(const BookQuestion& question, const Request& request, const Run& run) {
  const auto book = book_of(question, request, run);
  if (!book) return fail(book.error());
  auto text = report::render_text(report::gauge_book_page(*book, paper_options(request)), request.width);
  if (!text) return fail(text.error());
  return SupplyAnswer{.text = std::move(*text), .json = report::gauge_book_json(*book, source_of(question, request))};
}

Result<SupplyAnswer> faults_answer(const BookQuestion& question, const Request& request, const Run& run) {
  const auto book = book_of(question, request, run);
  if (!book) return fail(book.error());
  auto text = report::render_text(report::faults_page(*book, paper_options(request)), request.width);
  if (!text) return fail(text.error());
  return SupplyAnswer{.text = std::move(*text), .json = report::faults_json(*book, source_of(question, request))};
}

Result<SupplyAnswer> comparison_answer(const std::string& folder, const Request& request, const Run& run) {
  const auto catalog = open_catalog(request.catalog_folder);
  if (!catalog) return fail(catalog.error());
  const auto job = casefile::read_case(folder, *catalog);
  if (!job) return fail(job.error());
  if (job->sheets.size() < 2) {
    return fail(Error{.code = ErrorCode::invalid_input,
                      .where = {.file = folder, .line = 0, .column = 0, .field = "sheets"},
                      .found = "one line sheet",
                      .expected = "at least two to compare",
                      .hint = "Add as-designed.toml, e.g. from = \"layout:c-low\""});
  }
  assess::NoStore nowhere;
  const auto judged = assess::assess(*job, *catalog,
                                     {.depth = request.depth,
                                      .seed = request.seed,
                                      .all_points = request.all_points,
                                      .sections = {assess::Section::supply, assess::Section::comparison}},
                                     run, request.store == nullptr ? nowhere : *request.store);
  if (!judged) return fail(judged.error());
  const std::size_t samples = assess::samples_of(request.depth);
  auto text =
      report::render_text(report::comparison_page(judged->comparisons, samples, paper_options(request)), request.width);
  if (!text) return fail(text.error());
  return SupplyAnswer{
      .text = std::move(*text),
      .json = report::comparison_json(
          judged->comparisons, {.case_id = job->id, .climate = job->climate, .samples = samples, .seed = request.seed}),
      .fails = any_check_fails(judged->sheets)};
}

Result<SupplyAnswer> sizes_answer(const SizeQuestion& question, const Request& request, const Run& run) {
  const auto catalog = open_catalog(request.catalog_folder);
  if (!catalog) return fail(catalog.error());
  const auto sheet = casefile::read_sheet_file(question.sheet, *catalog);
  if (!sheet) return fail(sheet.error());
  const std::vector<system::RunningPoint> points = supply::envelope(question.climate);
  report::Sizes sizes{.sheet = sheet->name, .ceiling = {}, .parts = {}};
  auto ceiling = supply::power_ceiling(*sheet, points, run);
  if (!ceiling) return fail(ceiling.error().in_file(question.sheet));
  sizes.ceiling = std::move(*ceiling);
  SupplyAnswer answer;
  answer.fails = !sizes.ceiling.at_rated;
  const std::vector<std::string> parts = question.all ? supply::parts_with_sizes(*sheet) : question.parts;
  if (!parts.empty()) {
    const auto candidates = catalog_parts(*catalog);
    if (!candidates) return fail(candidates.error());
    for (std::size_t i = 0; i < parts.size(); ++i) {
      run.progress.at("sizes", i, parts.size());
      auto sizing = supply::size_part(*sheet, parts[i], *candidates, points, run);
      if (!sizing) return fail(sizing.error());
      // Every part asked for must have a size that holds; of all parts one is enough.
      if (!question.all) answer.fails = answer.fails || !sizing->smallest;
      sizes.parts.push_back(std::move(*sizing));
    }
    run.progress.at("sizes", parts.size(), parts.size());
    supply::rank(sizes.parts);
  }
  auto text = report::render_text(report::sizes_page(sizes, paper_options(request)), request.width);
  if (!text) return fail(text.error());
  answer.text = std::move(*text);
  answer.json = report::sizes_json(sizes, {.file = question.sheet, .climate = question.climate});
  return answer;
}

Result<SupplyAnswer> layouts_answer(const casefile::SevenFacts& facts, const Request& request, const Run& run) {
  if (request.out) {
    return fail(Error{.code = ErrorCode::invalid_input,
                      .where = {.file = {}, .line = 0, .column = 0, .field = "--out"},
                      .found = "a paper about a supply whose layout is not known",
                      .expected = "the answer on the screen",
                      .hint = "Leave --out away, or find out the layout"});
  }
  const auto catalog = open_catalog(request.catalog_folder);
  if (!catalog) return fail(catalog.error());
  assess::NoStore nowhere;
  const auto answer = assess::judge_layouts(
      facts, *catalog, {.depth = request.depth, .seed = request.seed, .all_points = request.all_points}, run,
      request.store == nullptr ? nowhere : *request.store);
  if (!answer) return fail(answer.error());
  auto text = report::render_text(report::layouts_page(*answer, paper_options(request)), request.width);
  if (!text) return fail(text.error());
  const bool fails = std::ranges::any_of(answer->checks, [](const assess::CheckOverLayouts& check) {
    return !check.differs && std::ranges::find(check.outcome, supply::Outcome::fails) != check.outcome.end();
  });
  return SupplyAnswer{.text = std::move(*text), .json = report::layouts_json(*answer), .fails = fails};
}

}  // namespace fw::app
