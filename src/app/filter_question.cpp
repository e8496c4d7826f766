// SPDX-License-Identifier: Apache-2.0
#include "app/filter_question.hpp"

#include <cmath>
#include <filesystem>
#include <limits>
#include <optional>
#include <utility>
#include <vector>

#include "app/catalog_answer.hpp"
#include "assess/filter_section.hpp"
#include "casefile/case.hpp"
#include "report/filter_answers.hpp"
#include "report/text.hpp"

namespace fw::app {

namespace {

using units::Dimension;

Money middle(const extent::PriceBand& band) {
  return {.minor = band.low.minor + (band.high.minor - band.low.minor) / 2, .currency = band.low.currency};
}

std::optional<assess::FilterPrices> prices_of(const casefile::Case& job) {
  if (!job.metal || !job.metal->input.prices) return std::nullopt;
  const extent::Prices& prices = *job.metal->input.prices;
  const auto element = [&](const char* id) -> std::optional<Money> {
    const auto& band = prices.parts[*extent::component_index(id)];
    return band ? std::optional(middle(*band)) : std::nullopt;
  };
  return assess::FilterPrices{.primary = element("primary-filter"),
                              .final = element("engine-filter"),
                              .labour_per_hour = prices.labour_per_hour};
}

/// One number as typed over that of the use.
Result<void> over(Stated& stated, const std::string& text, Dimension dimension, const char* option) {
  if (text.empty()) return {};
  const auto value = units::parse(text, dimension);
  if (!value) return fail(value.error().in_field(option));
  if (!(*value > 0.0)) return invalid(option, text, "more than 0");
  stated = {.value = *value};
  return {};
}

Result<void> take_interval(assess::FilterFacts& facts, const std::string& text) {
  if (text.empty()) return {};
  facts.interval_m = std::numeric_limits<double>::quiet_NaN();
  if (text == "none") return {};
  const auto distance = units::parse(text, Dimension::distance);
  const auto time = units::parse(text, Dimension::time);
  if (!distance && !time) {
    return invalid("--interval", text, "a distance, a running time, or none",
                   "Write for example \"15000 mi\" or \"500 h\"");
  }
  if (!(distance.value_or(1.0) > 0.0) || !(time.value_or(1.0) > 0.0)) return invalid("--interval", text, "more than 0");
  if (distance) {
    facts.interval_m = *distance;
  } else {
    facts.interval_h = *time / 3600.0;
  }
  return {};
}

}  // namespace

Result<SupplyAnswer> filters_answer(const FilterQuestion& question, const Request& request, const Run& run) {
  const auto catalog = open_catalog(request.catalog_folder);
  if (!catalog) return fail(catalog.error());
  casefile::Case job;
  std::error_code ignored;
  if (std::filesystem::is_directory(question.target, ignored)) {
    auto found = casefile::read_case(question.target, *catalog);
    if (!found) return fail(found.error());
    job = std::move(*found);
  } else {
    auto sheet = casefile::read_sheet_file(question.target, *catalog);
    if (!sheet) return fail(sheet.error());
    job.sheets.push_back(std::move(*sheet));
  }
  const assess::VehicleUse* use = assess::vehicle_use_of_id(question.use);
  if (use == nullptr) return invalid("--use", question.use, "private, parcel, towing, long-haul, tender or tractor");
  assess::FilterFacts facts{.use = *use, .prices = prices_of(job), .seed = request.seed};
  struct Typed {
    Stated& stated;
    const std::string& text;
    Dimension dimension;
    const char* option;
  };
  for (const Typed& one : {Typed{facts.use.run_s_a_year, question.hours, Dimension::time, "--hours"},
                           Typed{facts.use.distance_a_year_m, question.distance, Dimension::distance, "--distance"},
                           Typed{facts.use.burn_m3_per_s, question.burn, Dimension::volume_flow, "--burn"},
                           Typed{facts.use.dirt_kg_per_kg, question.dirt, Dimension::concentration_mass, "--dirt"}}) {
    if (auto good = over(one.stated, one.text, one.dimension, one.option); !good) return fail(good.error());
  }
  if (auto good = take_interval(facts, question.interval); !good) return fail(good.error());
  const auto section = assess::filter_section(job.sheets, facts, run);
  if (!section) return fail(section.error());
  auto text = report::render_text(
      report::filters_page(*section, {.system = request.system, .size = request.size, .created = request.created}),
      request.width);
  if (!text) return fail(text.error());
  return SupplyAnswer{.text = std::move(*text), .json = report::filters_json(*section)};
}

}  // namespace fw::app
