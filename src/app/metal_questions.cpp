// SPDX-License-Identifier: Apache-2.0
#include "app/metal_questions.hpp"

#include <filesystem>
#include <utility>

#include "app/catalog_answer.hpp"
#include "assess/kept_sections.hpp"
#include "assess/metal_way.hpp"
#include "casefile/case.hpp"
#include "casefile/metal.hpp"
#include "report/metal_answers.hpp"
#include "report/way_answers.hpp"

namespace fw::app {

namespace {

/// The file beside a case.toml is joined with the line sheets of the case; alone it has to say all.
Result<assess::MetalInput> input_of(const std::string& folder, const Request& request, const Run& run) {
  const auto catalog = open_catalog(request.catalog_folder);
  if (!catalog) return fail(catalog.error());
  casefile::Case job;
  if (std::filesystem::exists(std::filesystem::path(folder) / "case.toml")) {
    auto found = casefile::read_case(folder, *catalog);
    if (!found) return fail(found.error());
    job = std::move(*found);
  }
  if (!job.metal) {
    auto metal = casefile::read_metal_of(folder, catalog->spreads);
    if (!metal) return fail(metal.error());
    job.metal = std::move(*metal);
  }
  auto input = assess::metal_input(*job.metal, job.sheets, job.as_found, run);
  if (!input) return fail(input.error().in_file(folder + "/metal.toml"));
  return input;
}

}  // namespace

Result<TextAndJson> debris_text(const std::string& folder, const Request& request, const Run& run) {
  const auto input = input_of(folder, request, run);
  if (!input) return fail(input.error());
  assess::NoStore nowhere;
  const auto map =
      assess::kept_debris(input->input, request.seed, run, request.store == nullptr ? nowhere : *request.store);
  if (!map) return fail(map.error().in_file(folder + "/metal.toml"));
  return TextAndJson{
      .text = report::debris_text(*map) + "\n" + report::way_text(input->facts, input->notes, request.system),
      .json = report::debris_json(*map, input->facts, input->notes, request.seed)};
}

Result<TextAndJson> extent_text(const std::string& folder, const Request& request, const Run& run) {
  const auto input = input_of(folder, request, run);
  if (!input) return fail(input.error());
  assess::NoStore nowhere;
  assess::SectionStore& store = request.store == nullptr ? nowhere : *request.store;
  const auto map = assess::kept_debris(input->input, request.seed, run, store);
  if (!map) return fail(map.error().in_file(folder + "/metal.toml"));
  const auto decision = assess::kept_extent(*map, input->input, request.seed, run, store);
  if (!decision) return fail(decision.error().in_file(folder + "/metal.toml"));
  std::optional<Currency> currency;
  if (input->input.prices) currency = input->input.prices->currency;
  return TextAndJson{.text = report::extent_text(*map, *decision, currency),
                     .json = report::extent_json(*map, *decision, currency, request.seed)};
}

}  // namespace fw::app
