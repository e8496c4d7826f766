// SPDX-License-Identifier: Apache-2.0
#include "assess/filter_section.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "assess/assumed.hpp"
#include "assess/cruise.hpp"
#include "base/contract.hpp"
#include "debris/beta.hpp"
#include "debris/dirt.hpp"
#include "numerics/draw.hpp"
#include "numerics/quantile.hpp"
#include "numerics/stream.hpp"
#include "supply/fuel_way.hpp"
#include "system/supply_model.hpp"

namespace fw::assess {

namespace {

using system::LineSheet;

constexpr double hour_s = 3600.0;
constexpr double mg_per_kg = 1e-6;
constexpr double km = 1e3;
constexpr double L_per_h = 1e-3 / hour_s;
constexpr double usual_minutes = 15.0;                                     // of a change, assumed
constexpr double suction_terminal_Pa = 20e3, pressure_terminal_Pa = 70e3;  // part data 2, typical
constexpr double spilled = 1.02;  // flow over that of the engine that is worth a word
constexpr std::size_t quarters = 4;

/// Capacity of a class: part data 2, typical.
Stated usual_capacity(const system::Part& part) {
  const auto grams = [&](double low, double value, double high) {
    return typical_of(part.id + ".capacity", 1e-3 * low, 1e-3 * value, 1e-3 * high);
  };
  switch (debris::class_of(part.medium->rating_m->value)) {
    case debris::ElementClass::fine: return grams(12.0, 35.0, 100.0);
    case debris::ElementClass::secondary: return grams(10.0, 25.0, 80.0);
    case debris::ElementClass::primary_10: return grams(10.0, 25.0, 70.0);
    case debris::ElementClass::primary_30: return grams(10.0, 25.0, 60.0);
    case debris::ElementClass::sock: break;
  }
  return grams(1.0, 3.0, 5.0);
}

struct Stage {
  const FilterOfWay* filter;
  Stated capacity;
  bool capacity_stated = false;
};

/// What one draw takes the elements for.
struct ElementDraw {
  double beta = 0.5;      ///< place of each printed size between the ends of its class
  double derating = 1.0;  ///< delta
};

/// Share of the dirt as filled that ends in each stage.
std::vector<double> shares_of(const std::vector<Stage>& stages, const std::vector<debris::BinContent>& dirt,
                              double return_over_burn, const ElementDraw& draw) {
  std::vector<debris::FilterElement> elements;
  for (const Stage& stage : stages) {
    // Every class between its ends is a rating that its test dust can have (Beta tests).
    const auto rating = debris::printed_rating(stage.filter->part->medium->rating_m->value, draw.beta).value();
    elements.push_back({.stops = debris::efficiency_by_bin(rating).value(), .past = stage.filter->element->past});
  }
  std::vector<double> shares(stages.size(), 0.0);
  for (std::size_t bin = 0; bin < debris::bin_count; ++bin) {
    double arrives = 1.0;
    std::vector<double> caught;
    for (const debris::FilterElement& element : elements) {
      const double through = debris::passes(std::span(&element, 1), bin, draw.derating);
      caught.push_back(arrives * (1.0 - through));
      arrives *= through;
    }
    // What a tank with a return offers for each unit that comes with the fuel: C_T/C_fill x Q_f/Q_b.
    const debris::Catch steady = debris::steady_catch({.burn_m3_per_s = 1.0,
                                                       .return_m3_per_s = return_over_burn,
                                                       .fill_kg_per_m3 = 1.0,
                                                       .efficiency = std::clamp(1.0 - arrives, 0.0, 1.0)})
                                     .value();
    const double offered = (1.0 + return_over_burn) * steady.tank_kg_per_m3;
    for (std::size_t i = 0; i < stages.size(); ++i) shares[i] += dirt[bin].mass_share * offered * caught[i];
  }
  return shares;
}

Result<FilterHour> at_hours(const LineSheet& sheet, const std::vector<Stage>& stages,
                            const std::vector<double>& catch_kg_per_h, double hours, const Run& run) {
  FilterHour here{.hours = hours, .inlet_over_ambient_Pa = std::numeric_limits<double>::quiet_NaN(), .loaded = {}};
  LineSheet loaded = sheet;
  for (std::size_t i = 0; i < stages.size(); ++i) {
    const double capacity_kg = stages[i].capacity.value;
    const double held_kg = std::min(catch_kg_per_h[i] * hours, capacity_kg);
    here.loaded.push_back(held_kg / capacity_kg);
    for (system::Leg& leg : loaded.legs) {
      for (system::Part& part : leg.parts) {
        if (part.id != stages[i].filter->part->id) continue;
        part.condition.spent = false;  // a year begins with new elements
        part.condition.plugged.reset();
        const double clean_Pa = part.medium->clean_drop_Pa.value;
        const bool told = part.medium->terminal_drop_Pa && part.medium->terminal_drop_Pa->given();
        const double terminal_Pa = told                       ? part.medium->terminal_drop_Pa->value
                                   : stages[i].filter->pumped ? pressure_terminal_Pa
                                                              : suction_terminal_Pa;
        if (terminal_Pa <= clean_Pa) continue;
        const auto drop = debris::loaded_drop(
            {.clean_drop_Pa = clean_Pa, .terminal_drop_Pa = terminal_Pa, .capacity_kg = capacity_kg}, held_kg);
        if (!drop) return fail(drop.error());
        Stated over{.value = drop->drop_Pa / clean_Pa};
        over.id = part.id + ".plugged";
        part.condition.plugged = over;
      }
    }
  }
  const auto model = system::SupplyModel::build(loaded, system::branches(loaded).front(), system::default_laws());
  if (!model) return fail(model.error().in_file(sheet.file));
  const std::vector<double> slots = model->nominal();
  const system::SupplyModel::Case one{.point = {.engine = system::EnginePoint::rated}, .slots = slots};
  const auto states = model->solve(std::span(&one, 1), run);
  if (!states) return fail(states.error().in_file(sheet.file));
  const system::PointState& state = states->front();
  if (state.status != hydraulics::SolveStatus::converged) return here;
  here.inlet_over_ambient_Pa = state.inlet_over_ambient_Pa;
  here.unfed = state.starved || state.unfilled;
  return here;
}

/// Elements and minutes of a year in money.
Result<Money> cost_of(const FilterPrices& prices, const FilterStage& stage) {
  const std::optional<Money>& element = stage.pumped ? prices.final : prices.primary;
  const auto thousandths = [](double value) {
    return Fraction{.numerator = std::llround(1000.0 * value), .denominator = 1000};
  };
  auto parts = times(*element, thousandths(stage.year.elements));
  if (!parts) return parts;
  const auto wage = times(prices.labour_per_hour, thousandths(stage.year.minutes / 60.0));
  if (!wage) return fail(wage.error());
  return sum(*parts, *wage);
}

Result<FilterStage> stage_of(const Stage& stage, const FilterFacts& facts, double share,
                             std::vector<double> fills_per_h) {
  const system::Part& part = *stage.filter->part;
  const double hours_a_year = facts.use.run_s_a_year.value / hour_s;
  const bool moves = facts.use.distance_a_year_m.given();
  std::ranges::sort(fills_per_h);
  const auto life_h = [&](double probability) {
    const double fills = numerics::quantile_of_sorted(fills_per_h, 1.0 - probability);
    return fills > 0.0 ? 1.0 / fills : std::numeric_limits<double>::infinity();
  };
  FilterStage out{.id = part.id,
                  .title = supply::title_of(part),
                  .pumped = stage.filter->pumped,
                  .rating_m = part.medium->rating_m->value,
                  .capacity_stated = stage.capacity_stated,
                  .capacity_kg = stage.capacity.value,
                  .share = share,
                  .life_h = {.low = life_h(0.05), .high = life_h(0.95)},
                  .median_life_h = life_h(0.5),
                  .median_life_m = std::numeric_limits<double>::quiet_NaN()};
  if (moves) out.median_life_m = out.median_life_h * facts.use.distance_a_year_m.value / hours_a_year;
  const bool timed = part.place.service_s && part.place.service_s->given();
  auto year = debris::year_of_filter(
      {.hours_a_year = hours_a_year,
       .metres_a_year = moves ? facts.use.distance_a_year_m.value : std::numeric_limits<double>::quiet_NaN(),
       .life_by_dirt_h =
           std::isfinite(out.median_life_h) ? out.median_life_h : std::numeric_limits<double>::quiet_NaN(),
       .interval_h = facts.interval_h,
       .interval_m = moves ? facts.interval_m : std::numeric_limits<double>::quiet_NaN(),
       .minutes_per_change = timed ? part.place.service_s->value / 60.0 : usual_minutes});
  if (!year) return fail(year.error());
  out.year = *year;
  if (facts.prices && (stage.filter->pumped ? facts.prices->final : facts.prices->primary)) {
    auto cost = cost_of(*facts.prices, out);
    if (!cost) return fail(cost.error());
    out.cost = *cost;
  }
  return out;
}

Result<FilterSheet> of_sheet(const LineSheet& sheet, const FilterFacts& facts,
                             const std::vector<debris::BinContent>& dirt, const Run& run) {
  FilterSheet out{.name = sheet.name};
  auto flows = cruise_flows(sheet, run);
  if (!flows) return fail(flows.error().in_file(sheet.file));
  if (!*flows || !((*flows)->burned_m3_per_s > 0.0)) {
    return fail(Error{.code = ErrorCode::outside_model,
                      .where = {.file = sheet.file, .field = "leg"},
                      .found = "no flow to the engine at cruise",
                      .expected = "a supply that feeds it",
                      .hint = "Look at the answer of fuelwright supply first"});
  }
  const double return_over_burn = (*flows)->taken_m3_per_s / (*flows)->burned_m3_per_s - 1.0;
  const std::vector<FilterOfWay> filters = filters_of(sheet, &**flows);
  std::vector<Stage> stages;
  for (const FilterOfWay& filter : filters) {
    if (!filter.element) {
      out.notes.push_back(fmt::format("{} {}", supply::title_of(*filter.part), filter.why_none));
      continue;
    }
    const system::Condition& found = filter.part->condition;
    if (found.spent || found.plugged) {
      out.notes.push_back(
          fmt::format("{} is stated spent or plugged; a year begins with a new one.", supply::title_of(*filter.part)));
    }
    if (filter.flow_m3_per_s > spilled * (*flows)->taken_m3_per_s) {
      out.notes.push_back(
          fmt::format("{} passes more fuel than the engine takes: what is spilled behind it is not "
                      "counted, it may last shorter.",
                      supply::title_of(*filter.part)));
    }
    const std::optional<Stated>& said = filter.part->medium->capacity_kg;
    const bool stated = said && said->given();
    stages.push_back(
        {.filter = &filter, .capacity = stated ? *said : usual_capacity(*filter.part), .capacity_stated = stated});
  }
  if (stages.empty()) return out;

  const double density = (*flows)->liquid.density_kg_per_m3;
  const auto dirt_kg_per_h = [&](double burn_m3_per_s, double dirt_kg_per_kg) {
    return burn_m3_per_s * density * dirt_kg_per_kg * hour_s;
  };
  std::vector<std::vector<double>> fills_per_h(stages.size());  // of the capacity; 0: dirt never ends it
  for (std::size_t draw = 0; draw < facts.draws; ++draw) {
    const auto sample = static_cast<std::uint32_t>(draw);
    const auto drawn = [&](const Stated& stated) { return numerics::draw(stated, facts.seed, sample); };
    const auto unit = [&](const char* name) {
      return numerics::uniform(facts.seed, numerics::key_of(name), numerics::Purpose::input, sample);
    };
    const std::vector<double> shares = shares_of(
        stages, dirt, return_over_burn,
        {.beta = unit("filters.beta"), .derating = debris::derating_at_probability(unit("filters.derating"))});
    const double comes = dirt_kg_per_h(drawn(facts.use.burn_m3_per_s), drawn(facts.use.dirt_kg_per_kg));
    for (std::size_t i = 0; i < stages.size(); ++i) {
      fills_per_h[i].push_back(comes * shares[i] / drawn(stages[i].capacity));
    }
  }
  const std::vector<double> likely =
      shares_of(stages, dirt, return_over_burn, {.derating = debris::derating_at_probability(0.5)});
  const double comes = dirt_kg_per_h(facts.use.burn_m3_per_s.value, facts.use.dirt_kg_per_kg.value);
  std::vector<double> catch_kg_per_h;
  std::optional<Money> cost;
  bool priced = true;
  double first_h = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < stages.size(); ++i) {
    auto stage = stage_of(stages[i], facts, likely[i], std::move(fills_per_h[i]));
    if (!stage) return fail(stage.error());
    catch_kg_per_h.push_back(comes * likely[i]);
    out.changes_a_year += stage->year.changes;
    out.minutes_a_year += stage->year.minutes;
    if (stage->year.changes > 0.0)
      first_h = std::min(first_h, facts.use.run_s_a_year.value / hour_s / stage->year.changes);
    if (!stage->cost) {
      priced = false;
    } else if (priced) {
      const auto more = cost ? sum(*cost, *stage->cost) : Result<Money>(*stage->cost);
      if (!more) return fail(more.error());
      cost = *more;
    }
    out.stages.push_back(std::move(*stage));
  }
  if (priced) out.cost_a_year = cost;
  for (std::size_t quarter = 0; std::isfinite(first_h) && quarter <= quarters; ++quarter) {
    auto here = at_hours(sheet, stages, catch_kg_per_h,
                         first_h * static_cast<double>(quarter) / static_cast<double>(quarters), run);
    if (!here) return fail(here.error());
    out.hours.push_back(std::move(*here));
  }
  return out;
}

}  // namespace

std::span<const VehicleUse> vehicle_uses() {
  const auto only = [](double value) { return Stated{.value = value}; };
  const auto burn = [](double low, double value, double high) {
    return typical_of("filters.burn", L_per_h * low, L_per_h * value, L_per_h * high);
  };
  const auto dirt = [](double low, double value, double high) {
    return typical_of("filters.dirt", mg_per_kg * low, mg_per_kg * value, mg_per_kg * high);
  };
  static const std::array<VehicleUse, 6> uses{{
      {"private", "private car or pickup", only(350 * hour_s), only(18600 * km), burn(3, 5, 8), dirt(0.5, 3, 15)},
      {"parcel", "parcel van", only(1300 * hour_s), only(20000 * km), burn(3.5, 5, 7), dirt(0.5, 3, 15)},
      {"towing", "towing, heavy pickup", only(650 * hour_s), only(45000 * km), burn(14, 20, 29), dirt(0.5, 3, 15)},
      {"long-haul", "long haul", only(2200 * hour_s), only(101000 * km), burn(12, 18, 30), dirt(0.5, 3, 15)},
      {"tender", "stand-by tender", only(120 * hour_s), only(4000 * km), burn(5, 8, 15), dirt(1, 5, 20)},
      {"tractor", "farm tractor", only(500 * hour_s), Stated{}, burn(6, 12, 30), dirt(2, 10, 24)},
  }};
  return uses;
}

const VehicleUse* vehicle_use_of_id(std::string_view id) {
  const auto uses = vehicle_uses();
  const auto at = std::ranges::find(uses, id, &VehicleUse::id);
  return at == uses.end() ? nullptr : &*at;
}

Result<FilterSection> filter_section(std::span<const LineSheet> sheets, const FilterFacts& facts, const Run& run) {
  FW_EXPECTS(facts.draws > 0);
  const debris::Dirt dust{.shape = debris::mass_table(debris::TestDust::a3_medium),
                          .density_kg_per_m3 = debris::test_dust_density_kg_per_m3};
  const auto dirt = debris::bin_contents(dust, debris::standard_edges_m());
  if (!dirt) return fail(dirt.error());
  FilterSection section{.facts = facts, .sheets = {}, .assumptions = {}};
  for (const LineSheet& sheet : sheets) {
    run.progress.at("sheets", section.sheets.size(), sheets.size());
    if (run.stop.stop_requested()) {
      return fail(Error{.code = ErrorCode::cancelled, .found = "a stop", .expected = "the end of the filters"});
    }
    auto one = of_sheet(sheet, facts, *dirt, run);
    if (!one) return fail(one.error());
    section.sheets.push_back(std::move(*one));
  }
  section.assumptions = {
      "Dirt as filled taken as ISO medium dust (A3). Soft matter, wax and biomass plug filters long before and are not "
      "predicted.",
      "A printed size without a test may be anything typical of its class; in service filters let through 1 to 10 "
      "times "
      "what they do in their test. Strainers and the sock in the tank are not counted.",
      "Where the line sheet states no capacity, that of its class: 3 to 35 g, a third to three times that (typical).",
      "A change takes 15 min where the sheet states no service time. Age limit one year, common practice.",
      "A drop grows to the terminal drop of the sheet (else 20 kPa before, 70 kPa behind a pump, typical), faster the "
      "more the element holds.",
  };
  if (facts.prices) {
    section.assumptions.emplace_back(
        "Each element costs the middle of what metal.toml says of the primary filter before a pump, of the engine "
        "filter "
        "behind it.");
  }
  return section;
}

}  // namespace fw::assess
