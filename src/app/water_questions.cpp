// SPDX-License-Identifier: Apache-2.0
#include "app/water_questions.hpp"

#include <filesystem>

#include "app/catalog_answer.hpp"
#include "assess/water_section.hpp"
#include "casefile/case.hpp"
#include "report/text.hpp"
#include "report/water_answers.hpp"

namespace fw::app {

Result<SupplyAnswer> water_answer(const std::string& target, supply::Climate climate, const Request& request,
                                  const Run& run) {
  const auto catalog = open_catalog(request.catalog_folder);
  if (!catalog) return fail(catalog.error());
  std::vector<system::LineSheet> sheets;
  assess::WaterFacts facts{.climate = climate, .seed = request.seed};
  std::error_code ignored;
  if (std::filesystem::is_directory(target, ignored)) {
    auto job = casefile::read_case(target, *catalog);
    if (!job) return fail(job.error());
    sheets = std::move(job->sheets);
    facts.climate = job->climate;
  } else {
    auto sheet = casefile::read_sheet_file(target, *catalog);
    if (!sheet) return fail(sheet.error());
    sheets.push_back(std::move(*sheet));
  }
  const auto section = assess::water_section(sheets, facts, run);
  if (!section) return fail(section.error());
  auto text = report::render_text(
      report::water_page(*section, {.system = request.system, .size = request.size, .created = request.created}),
      request.width);
  if (!text) return fail(text.error());
  return SupplyAnswer{.text = std::move(*text), .json = report::water_json(*section)};
}

}  // namespace fw::app
