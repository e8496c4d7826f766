// SPDX-License-Identifier: Apache-2.0
#include "app/metal_questions.hpp"

#include "app/catalog_answer.hpp"
#include "assess/kept_sections.hpp"
#include "casefile/metal.hpp"
#include "report/metal_answers.hpp"

namespace fw::app {

namespace {

Result<extent::DecisionInput> input_of(const std::string& folder, const Request& request) {
  const auto catalog = open_catalog(request.catalog_folder);
  if (!catalog) return fail(catalog.error());
  auto metal = casefile::read_metal_of(folder, catalog->spreads);
  if (!metal) return fail(metal.error());
  return std::move(metal->input);
}

}  // namespace

Result<TextAndJson> debris_text(const std::string& folder, const Request& request, const Run& run) {
  const auto input = input_of(folder, request);
  if (!input) return fail(input.error());
  assess::NoStore nowhere;
  const auto map = assess::kept_debris(*input, request.seed, run, request.store == nullptr ? nowhere : *request.store);
  if (!map) return fail(map.error().in_file(folder + "/metal.toml"));
  return TextAndJson{.text = report::debris_text(*map), .json = report::debris_json(*map, request.seed)};
}

Result<TextAndJson> extent_text(const std::string& folder, const Request& request, const Run& run) {
  const auto input = input_of(folder, request);
  if (!input) return fail(input.error());
  assess::NoStore nowhere;
  assess::SectionStore& store = request.store == nullptr ? nowhere : *request.store;
  const auto map = assess::kept_debris(*input, request.seed, run, store);
  if (!map) return fail(map.error().in_file(folder + "/metal.toml"));
  const auto decision = assess::kept_extent(*map, *input, request.seed, run, store);
  if (!decision) return fail(decision.error().in_file(folder + "/metal.toml"));
  std::optional<Currency> currency;
  if (input->prices) currency = input->prices->currency;
  return TextAndJson{.text = report::extent_text(*map, *decision, currency),
                     .json = report::extent_json(*map, *decision, currency, request.seed)};
}

}  // namespace fw::app
