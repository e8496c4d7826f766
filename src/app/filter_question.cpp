// SPDX-License-Identifier: Apache-2.0
#include "app/filter_question.hpp"

#include <cmath>
#include <limits>
#include <optional>
#include <utility>
#include <vector>

#include "app/catalog_answer.hpp"
#include "app/open_case.hpp"
#include "assess/filter_section.hpp"
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

/// One number as typed over that of the use: above `low`, at most `high`.
Result<void> over(Stated& stated, const std::string& text, Dimension dimension, const char* option, double low,
                  double high, const char* expected) {
  if (text.empty()) return {};
  const auto value = units::parse(text, dimension);
  if (!value) return fail(value.error().in_field(option));
  if (!(*value > low && *value <= high)) return invalid(option, "\"" + text + "\"", expected);
  stated = {.value = *value};
  return {};
}

Result<void> take_interval(assess::FilterFacts& facts, const std::string& text) {
  if (text.empty()) return {};
  facts.interval_m = std::numeric_limits<double>::quiet_NaN();
  if (text == "none") return {};
  const std::string quoted = "\"" + text + "\"";
  if (const auto distance = units::parse(text, Dimension::distance)) {
    if (!(*distance >= 1e3)) return invalid("--interval", quoted, "a distance of 1 km or more");
    if (!facts.use.distance_a_year_m.given()) {
      return invalid("--interval", quoted, "a running time: this use has no distance",
                     "Write hours, or add --distance of a year");
    }
    facts.interval_m = *distance;
    return {};
  }
  const auto time = units::parse(text, Dimension::time);
  if (!time) {
    return invalid("--interval", quoted, "a distance, a running time, or none",
                   "Write for example \"15000 mi\" or \"500 h\"");
  }
  if (!(*time >= 3600.0)) return invalid("--interval", quoted, "a running time of 1 h or more");
  facts.interval_h = *time / 3600.0;
  return {};
}

}  // namespace

Result<SupplyAnswer> filters_answer(const FilterQuestion& question, const Request& request, const Run& run) {
  const auto catalog = open_catalog(request.catalog_folder);
  if (!catalog) return fail(catalog.error());
  const auto job = open_case_or_sheet(question.target, *catalog);
  if (!job) return fail(job.error());
  const assess::VehicleUse* use = assess::vehicle_use_of_id(question.use);
  if (use == nullptr) return invalid("--use", question.use, "private, parcel, towing, long-haul, tender or tractor");
  assess::FilterFacts facts{.use = *use, .prices = prices_of(*job), .seed = request.seed};
  struct Typed {
    Stated& stated;
    const std::string& text;
    Dimension dimension;
    const char* option;
    double low, high;
    const char* expected;
  };
  constexpr double year_s = 8766.0 * 3600.0;
  for (const Typed& one : {Typed{facts.use.run_s_a_year, question.hours, Dimension::time, "--hours", 0.0, year_s,
                                 "running time of a year, at most 8766 h"},
                           Typed{facts.use.distance_a_year_m, question.distance, Dimension::distance, "--distance", 0.0,
                                 1e9, "a distance of a year, at most 1000000 km"},
                           Typed{facts.use.burn_m3_per_s, question.burn, Dimension::volume_flow, "--burn", 0.0, 1e-3,
                                 "a mean burn, at most 3600 L/h"},
                           Typed{facts.use.dirt_kg_per_kg, question.dirt, Dimension::concentration_mass, "--dirt", 0.0,
                                 1e-3, "dirt in fuel, at most 1000 mg/kg"}}) {
    auto good = over(one.stated, one.text, one.dimension, one.option, one.low, one.high, one.expected);
    if (!good) return fail(good.error());
  }
  if (auto good = take_interval(facts, question.interval); !good) return fail(good.error());
  const auto section = assess::filter_section(job->sheets, facts, run);
  if (!section) return fail(section.error());
  auto text = report::render_text(
      report::filters_page(*section, {.system = request.system, .size = request.size, .created = request.created}),
      request.width);
  if (!text) return fail(text.error());
  return SupplyAnswer{.text = std::move(*text), .json = report::filters_json(*section)};
}

}  // namespace fw::app
