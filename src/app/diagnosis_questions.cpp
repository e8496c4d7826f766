// SPDX-License-Identifier: Apache-2.0
#include "app/diagnosis_questions.hpp"

#include <optional>

#include "app/catalog_answer.hpp"
#include "assess/diagnosis_section.hpp"
#include "assess/extent_losses.hpp"
#include "assess/layouts.hpp"
#include "diagnosis/next_look.hpp"
#include "report/diagnosis_answers.hpp"
#include "report/opening_sheet.hpp"

namespace fw::app {

namespace {

struct Known {
  catalog::Catalog catalog;
  diagnosis::Facts facts;
  std::string title;
  std::vector<diagnosis::WaterSensor> sensors;  ///< what the layouts say where none was told and a lamp was; else empty
  std::optional<casefile::Case> job;
};

/// What wrong decisions cost in this case.
Result<diagnosis::Losses> losses_of(const Known& known, const Request& request, const Run& run) {
  if (!known.job) {
    return assess::losses_of_table(known.catalog.losses, request.seed, "six facts tell no prices");
  }
  assess::NoStore nowhere;
  return assess::losses_of_case(*known.job, known.catalog.losses, request.seed, run,
                                request.store == nullptr ? nowhere : *request.store);
}

Result<Known> known(const DiagnosisQuestion& question, const Request& request, const Run& run) {
  auto catalog = open_catalog(request.catalog_folder);
  if (!catalog) return fail(catalog.error());
  if (question.folder.empty()) {
    auto facts = casefile::findings_from_facts(question.facts, *catalog);
    if (!facts) return fail(facts.error());
    const casefile::SixFacts told = casefile::only_told(question.facts);
    std::vector<diagnosis::WaterSensor> sensors;
    if (told.layout.empty() && !told.lamp.empty()) {
      auto all = casefile::sensors_of_layouts(told, *catalog);
      if (!all) return fail(all.error());
      if (all->size() > 1) sensors = std::move(*all);
    }
    return Known{std::move(*catalog), std::move(*facts), "six facts", std::move(sensors), {}};
  }
  auto job = casefile::read_case(question.folder, *catalog);
  if (!job) return fail(job.error());
  if (!job->findings) {
    return fail(Error{ErrorCode::not_found,
                      {.file = question.folder + "/case.toml", .field = "findings"},
                      "a case without findings",
                      "findings = \"findings.toml\"",
                      "Write what was found (docs/reference/findings.md), or tell six facts: diagnose --help"});
  }
  auto facts = assess::facts_of_case(*job, *catalog, request.seed, run);
  if (!facts) return fail(facts.error());
  std::string title = job->title;
  return Known{std::move(*catalog), std::move(*facts), std::move(title), {}, std::move(*job)};
}

}  // namespace

Result<TextAndJson> diagnosis_text(const DiagnosisQuestion& question, const Request& request, const Run& run) {
  const auto facts = known(question, request, run);
  if (!facts) return fail(facts.error());
  const diagnosis::Tables& tables = facts->catalog.diagnosis;
  const auto losses = losses_of(*facts, request, run);
  if (!losses) return fail(losses.error());
  assess::NoStore nowhere;
  auto found = assess::diagnosis_over(facts->sensors, tables, facts->facts,
                                      {.seed = request.seed, .count = assess::table_draws(request.depth)}, run,
                                      request.store == nullptr ? nowhere : *request.store);
  if (!found) return fail(found.error());
  auto next = diagnosis::next_looks(tables, facts->facts, *losses, {}, run);
  if (!next) return fail(next.error());
  const report::DiagnosisPage page{.title = facts->title,
                                   .seed = request.seed,
                                   .found = *found,
                                   .next = std::move(*next),
                                   .said = assess::sentences(*found, tables),
                                   .not_to_do = assess::not_to_do(*found, facts->facts, tables),
                                   .layout_not_known = !facts->sensors.empty()};
  return TextAndJson{.text = report::diagnosis_text(page, *losses, tables, request.width, request.system),
                     .json = report::diagnosis_json(page, *losses, tables)};
}

Result<TextAndJson> explanation_text(const DiagnosisQuestion& question, const Request& request, const Run& run) {
  const auto facts = known(question, request, run);
  if (!facts) return fail(facts.error());
  const auto why = diagnosis::explain(facts->catalog.diagnosis, facts->facts, question.cause,
                                      {.seed = request.seed, .count = assess::table_draws(request.depth)}, run);
  if (!why) return fail(why.error());
  return TextAndJson{.text = report::explanation_text(*why, request.width), .json = report::explanation_json(*why)};
}

Result<TextAndJson> next_text(const DiagnosisQuestion& question, const Request& request, const Run& run) {
  const auto facts = known(question, request, run);
  if (!facts) return fail(facts.error());
  const diagnosis::Tables& tables = facts->catalog.diagnosis;
  if (question.opening) {
    return TextAndJson{.text = report::opening_sheet(facts->title, facts->facts, tables, request.width),
                       .json = report::opening_json(facts->title, facts->facts, tables)};
  }
  const auto losses = losses_of(*facts, request, run);
  if (!losses) return fail(losses.error());
  const auto next = diagnosis::next_looks(tables, facts->facts, *losses,
                                          {.firsts = question.two_steps ? std::size_t{6} : std::size_t{0}}, run);
  if (!next) return fail(next.error());
  return TextAndJson{.text = report::looks_text(facts->title, *next, tables, request.width),
                     .json = report::looks_json(facts->title, *next, *losses, tables)};
}

}  // namespace fw::app
