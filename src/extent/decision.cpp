// SPDX-License-Identifier: Apache-2.0
#include "extent/decision.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include <fmt/format.h>

#include "base/contract.hpp"
#include "base/input_check.hpp"
#include "numerics/distribution.hpp"
#include "numerics/normal.hpp"
#include "numerics/stream.hpp"

namespace fw::extent {
namespace {

using debris::Place;
using debris::PlaceState;

constexpr std::size_t coarse_bin = 6;  ///< first bin of 14 um(c) and above
constexpr std::uint32_t cost_draws = 1000;
constexpr double hour_s = 3600.0;

std::size_t at(Place place) { return static_cast<std::size_t>(place); }

/// 500 h with a start every few hours, refuelled before the tank is a quarter full, with a mark at each of dose_hours.
std::vector<debris::TransportEvent> horizon(const debris::FuelWay& way, double start_m3) {
  const double burn = debris::burn_m3_per_s(way);
  const double longest_s = burn > 0.0 ? std::min(5.0 * hour_s, 0.4 * way.tank_m3 / burn) : 5.0 * hour_s;
  std::vector<debris::TransportEvent> events;
  double volume_m3 = start_m3;
  double done_s = 0.0;
  for (const double mark_h : dose_hours) {
    const double span_s = mark_h * hour_s - done_s;
    const double pieces = std::ceil(span_s / longest_s - 1e-9);
    for (double i = 0.0; i < pieces; i += 1.0) {
      const double burnt_m3 = burn * span_s / pieces;
      if (volume_m3 - burnt_m3 < 0.25 * way.tank_m3) {
        events.push_back({.kind = debris::EventKind::refuel, .volume_m3 = 0.95 * way.tank_m3 - volume_m3});
        volume_m3 = 0.95 * way.tank_m3;
      }
      events.push_back({.kind = debris::EventKind::start});
      events.push_back({.kind = debris::EventKind::run, .duration_s = span_s / pieces});
      volume_m3 -= burnt_m3;
    }
    events.push_back({.kind = debris::EventKind::mark});
    done_s = mark_h * hour_s;
  }
  return events;
}

double coarse(const debris::Bins& kg, const debris::Bins& number_per_kg) {
  double sum = 0.0;
  for (std::size_t bin = coarse_bin; bin < debris::bin_count; ++bin) sum += kg[bin] * number_per_kg[bin];
  return sum;
}

debris::Quantiles quantiles_of(std::vector<double> values) {
  std::ranges::sort(values);
  const auto at_share = [&](double u) {
    return values[std::min(values.size() - 1, static_cast<std::size_t>(u * static_cast<double>(values.size())))];
  };
  return {.low = at_share(0.05), .median = at_share(0.5), .high = at_share(0.95)};
}

double mean(const std::vector<double>& values) {
  return std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}

double triangular(double low, double high, double u) {
  const double width = high - low;
  return u < 0.5 ? low + width * std::sqrt(u / 2.0) : high - width * std::sqrt((1.0 - u) / 2.0);
}

Money middle(const PriceBand& band) {
  return {.minor = band.low.minor + (band.high.minor - band.low.minor) / 2, .currency = band.low.currency};
}

/// Accesses that a set opens and that are not open yet.
std::array<bool, access_count> opened(const ActionSet& actions, std::span<const Access> open) {
  std::array<bool, access_count> paid{};
  for (std::size_t i = 0; i < actions.size(); ++i) {
    if (actions[i] == Action::keep) continue;
    for (Access access = components()[i].access; access != Access::none; access = parent(access)) {
      paid[static_cast<std::size_t>(access)] = true;
    }
  }
  for (const Access access : open) {
    for (Access each = access; each != Access::none; each = parent(each)) paid[static_cast<std::size_t>(each)] = false;
  }
  return paid;
}

/// Every row of work of a set.
std::vector<Hours> work_of(const ActionSet& actions, EngineShape shape, std::span<const Access> open) {
  const auto column = static_cast<std::size_t>(shape);
  std::vector<Hours> rows;
  const auto paid = opened(actions, open);
  for (std::size_t i = 1; i < access_count; ++i) {
    if (paid[i]) rows.push_back(hours(static_cast<Access>(i))[column]);
  }
  for (std::size_t i = 0; i < actions.size(); ++i) {
    if (actions[i] == Action::replace) rows.push_back(components()[i].replace_hours[column]);
    if (actions[i] == Action::clean_and_verify) rows.push_back(components()[i].clean_hours[column]);
  }
  return rows;
}

Result<Money> wage(const Money& per_hour, double hour) {
  return times(per_hour, {.numerator = std::llround(100.0 * hour), .denominator = 100});
}

Result<void> check_prices(const Prices& prices) {
  InputCheck check;
  const auto money = [&](const Money& amount, const std::string& field) {
    check.that(amount.currency == prices.currency, field, std::string(amount.currency.code()),
               fmt::format("{}, the currency of the case", prices.currency.code()));
    check.that(amount.minor >= 0, field, to_text(amount), "an amount of 0 or more");
  };
  const auto band = [&](const PriceBand& amounts, const std::string& field) {
    money(amounts.low, field);
    money(amounts.high, field);
    check.that(amounts.low.minor <= amounts.high.minor, field,
               fmt::format("{} to {}", to_text(amounts.low), to_text(amounts.high)), "the smaller amount first");
  };
  money(prices.labour_per_hour, "prices.labour_per_hour");
  check.that(prices.parts.size() == components().size(), "prices.parts", fmt::format("{} entries", prices.parts.size()),
             fmt::format("one for each of {} components", components().size()));
  for (std::size_t i = 0; i < prices.parts.size() && i < components().size(); ++i) {
    if (prices.parts[i]) band(*prices.parts[i], fmt::format("prices.{}", components()[i].id));
  }
  band(prices.comeback_loss, "prices.comeback_loss");
  if (prices.supply_upgrade) band(*prices.supply_upgrade, "prices.supply_upgrade");
  if (check.failed()) return check.fault();
  return {};
}

/// Likely and unlucky cost of a set; nothing where a price is missing.
Result<void> price(const Prices& prices, const DecisionInput& input, OptionResult& option) {
  Money likely{.minor = 0, .currency = prices.currency};
  std::vector<PriceBand> bands;
  for (std::size_t i = 0; i < option.actions.size(); ++i) {
    if (option.actions[i] != Action::replace) continue;
    if (!prices.parts[i]) {
      option.missing_prices.emplace_back(components()[i].id);
      continue;
    }
    bands.push_back(*prices.parts[i]);
  }
  if (option.kind == OptionKind::whole_and_upgrade) {
    if (prices.supply_upgrade) {
      bands.push_back(*prices.supply_upgrade);
    } else {
      option.missing_prices.emplace_back("supply-upgrade");
    }
  }
  if (!option.missing_prices.empty()) return {};
  const std::vector<Hours> work = work_of(option.actions, input.shape, prices.open);
  for (const Hours& row : work) {
    const auto cost = wage(prices.labour_per_hour, 0.5 * (row.low + row.high));
    if (!cost) return fail(cost.error());
    const auto more = sum(likely, *cost);
    if (!more) return fail(more.error());
    likely = *more;
  }
  for (const PriceBand& band : bands) {
    const auto more = sum(likely, middle(band));
    if (!more) return fail(more.error());
    likely = *more;
  }
  std::vector<double> draws;
  const double root = std::sqrt(0.5);  // rows of one job move together, correlation 0.5 (common practice, no source)
  for (std::uint32_t draw = 0; draw < cost_draws; ++draw) {
    const auto unit = [&](const std::string& name) {
      return numerics::uniform(input.seed, numerics::key_of(name), numerics::Purpose::input, draw);
    };
    const double together = numerics::standard_normal_quantile(unit("extent.labour"));
    double cost = 0.0;
    for (std::size_t i = 0; i < work.size(); ++i) {
      const double own = numerics::standard_normal_quantile(unit(fmt::format("extent.labour.{}", i)));
      const double u = numerics::standard_normal_cdf(root * (together + own));
      cost += static_cast<double>(prices.labour_per_hour.minor) * triangular(work[i].low, work[i].high, u);
    }
    for (std::size_t i = 0; i < bands.size(); ++i) {
      cost += triangular(static_cast<double>(bands[i].low.minor), static_cast<double>(bands[i].high.minor),
                         unit(fmt::format("extent.part.{}", i)));
    }
    draws.push_back(cost);
  }
  option.cost_draws_minor = draws;
  std::ranges::sort(draws);
  option.likely_cost = likely;
  option.unlucky_cost =
      Money{.minor = std::llround(draws[static_cast<std::size_t>(0.9 * cost_draws)]), .currency = prices.currency};
  return {};
}

bool verified(const debris::DebrisMap& map, Place place) {
  return map.places[at(place)].state == PlaceState::verified_clean;
}

void judge_standing(const debris::DebrisMap& map, const DecisionInput& input, bool by_magnet, OptionResult& option) {
  if (is_partial(option.kind)) {
    const auto demand = [&](std::initializer_list<Place> places) {
      for (const Place place : places) {
        if (verified(map, place)) continue;
        option.standing = Standing::not_on_this_evidence;
        option.because.push_back(fmt::format("not verified clean: {}", debris::name(place)));
      }
    };
    if (option.kind == OptionKind::supply_side) {
      demand({Place::final_clean_side, Place::pump_inlet_screen, Place::metering_valve});
    } else {
      demand({Place::rail, Place::injectors, Place::return_line, Place::tank});
    }
    if (by_magnet) {
      option.standing = Standing::not_on_this_evidence;
      option.because.emplace_back("over 1 cm2 of metal on the magnet: a published procedure asks for the whole system");
    }
  }
  for (const PolicyRule& rule : input.policy) {
    if (rule.bars != option.kind || (rule.when_past_the_valve && !past_the_valve(map))) continue;
    option.standing = Standing::not_offered;
    option.policy.push_back(rule.reason);
  }
}

double at_share(const std::vector<double>& sorted, double u) {
  const double index = u * static_cast<double>(sorted.size() - 1);
  const auto low = static_cast<std::size_t>(index);
  const std::size_t high = std::min(low + 1, sorted.size() - 1);
  return sorted[low] + (index - static_cast<double>(low)) * (sorted[high] - sorted[low]);
}

}  // namespace

std::string_view id(OptionKind kind) {
  constexpr std::array<std::string_view, option_count> ids{"supply-side",      "pump-only",    "pump-and-high-side",
                                                           "verified-partial", "whole-system", "whole-and-upgrade"};
  return ids[static_cast<std::size_t>(kind)];
}
std::string_view name(OptionKind kind) {
  constexpr std::array<std::string_view, option_count> names{
      "supply side only", "pump only",    "pump and high-pressure side",
      "verified partial", "whole system", "whole system with supply upgrade"};
  return names[static_cast<std::size_t>(kind)];
}
bool is_partial(OptionKind kind) { return kind < OptionKind::whole_system; }

ActionSet actions_of(OptionKind kind) {
  ActionSet actions(components().size(), Action::keep);
  const auto set = [&](std::initializer_list<std::string_view> ids, Action action) {
    for (const std::string_view each : ids) actions[component_index(each).value()] = action;
  };
  const auto replace = Action::replace;
  const auto clean = Action::clean_and_verify;
  if (kind == OptionKind::supply_side) {
    set({"assist-pump", "primary-filter", "engine-filter"}, replace);
    set({"suction-line", "pressure-line"}, clean);
    return actions;
  }
  set({"high-pressure-pump", "pump-inlet-screen", "metering-valve", "transfer-pump"}, replace);
  if (kind == OptionKind::pump_only) return actions;
  set({"pipes", "relief-valve", "injectors", "leak-off", "engine-filter"}, replace);
  if (kind == OptionKind::verified_partial) {
    set({"rail", "rail-sensor", "tank", "pickup-screen", "suction-line", "pressure-line", "return-line"}, clean);
    set({"primary-filter", "cooler"}, replace);
    return actions;
  }
  set({"rail", "rail-sensor"}, replace);
  if (kind == OptionKind::pump_and_high_side) return actions;
  set({"pickup-screen", "primary-filter", "assist-pump", "cooler", "thermal-valve", "return-line"}, replace);
  set({"tank", "suction-line", "pressure-line", "temperature-sensor", "filler-cap-vent"}, clean);
  return actions;
}

std::vector<PolicyRule> usual_policy() {
  return {{.id = "no-pump-only-past-the-valve",
           .bars = OptionKind::pump_only,
           .when_past_the_valve = true,
           .reason = "metal is past the metering valve"}};
}

Result<std::vector<ReachedByPlace>> reach_of(const debris::FuelWay& way, std::span<const debris::History> histories,
                                             std::uint64_t seed, const Run& run) {
  const double start_m3 = 0.5 * way.tank_m3;
  const auto events = horizon(way, start_m3);
  {
    const auto model = debris::transport_of(way, debris::draw_way(seed, 0), {});
    if (!model) return fail(model.error());
    if (const auto good = debris::check_events(*model, events, start_m3); !good) return fail(good.error());
  }
  std::vector<ReachedByPlace> out(histories.size());
  run.executor.for_each_block(histories.size(), [&](std::size_t index) {
    if (run.stop.stop_requested()) return;
    const debris::History& history = histories[index];
    const debris::TransportModel model = debris::transport_of(way, debris::draw_way(seed, history.sample), {}).value();
    debris::TransportWorkspace workspace;
    debris::TransportTally tally;
    tally.watched = {at(Place::pump_inlet_screen), at(Place::pump_housing), at(Place::metering_valve),
                     at(Place::injectors)};
    debris::TransportState state;
    for (const Place place : debris::all_places()) {
      const debris::Bins& lies = history.mass_kg[at(place)];
      if (std::ranges::all_of(lies, [](double kg) { return kg <= 0.0; })) continue;
      state = {.volume_m3 = start_m3};
      state.lodged.assign(model.places.size(), debris::Bins{});
      (place == Place::tank ? state.settled : state.lodged[at(place)]) = lies;
      debris::carry(model, events, {}, state, tally, workspace);
      const double here = coarse(lies, history.number_per_kg);
      for (std::size_t mark = 0; mark < dose_hours.size(); ++mark) {
        const auto arrived = [&](std::size_t watch) {
          return coarse(tally.at_marks[4 * mark + watch], history.number_per_kg);
        };
        Reached& reached = out[index][at(place)][mark];
        const bool in_pump = place == Place::pump_housing || place == Place::plungers;
        reached.pump = arrived(1) + (in_pump ? here : 0.0);
        reached.valve = arrived(2) + (place == Place::metering_valve ? here : 0.0);
        reached.injectors = arrived(3) + (place == Place::injectors ? here : 0.0);
        const bool in_part = in_pump || place == Place::metering_valve || place == Place::injectors;
        const bool high = place == Place::pipes || place == Place::rail;
        reached.any = in_part ? here : std::min(here, high ? arrived(3) : arrived(0));
      }
    }
  });
  if (run.stop.stop_requested()) return fail({.code = ErrorCode::cancelled, .found = "a stop", .expected = "the end"});
  return out;
}

double left_by_cleaning(std::uint64_t seed, std::uint32_t sample, std::size_t component) {
  const std::string name = fmt::format("extent.{}.left", components()[component].id);
  const double u = numerics::uniform(seed, numerics::key_of(name), numerics::Purpose::input, sample);
  const double ratio = numerics::beta_quantile(u, {.a = 1.5, .b = 3.5});
  return ratio * ratio * ratio;
}

bool past_the_valve(const debris::DebrisMap& map) {
  for (const Place place :
       {Place::metering_valve, Place::plungers, Place::pipes, Place::rail, Place::injectors, Place::leak_off}) {
    const debris::PlaceOfMap& here = map.places[at(place)];
    if (here.state == PlaceState::seen) return true;
    if (here.state != PlaceState::verified_clean && here.reached > 0.5) return true;
  }
  return false;
}

Result<Decision> decide(const debris::DebrisMap& map, const DecisionInput& input, const Run& run) {
  if (const auto good = check_prior(input.prior); !good) return fail(good.error());
  if (input.prices) {
    if (const auto good = check_prices(*input.prices); !good) return fail(good.error());
  }
  FW_EXPECTS(!map.histories.empty());
  const auto found = reach_of(input.as_found, map.histories, input.seed, run);
  if (!found) return fail(found.error());
  Result<std::vector<ReachedByPlace>> rebuilt = found;
  if (input.as_rebuilt) {
    rebuilt = reach_of(*input.as_rebuilt, map.histories, input.seed, run);
    if (!rebuilt) return fail(rebuilt.error());
  }

  const std::size_t histories = map.histories.size();
  const auto share_left = [&](std::size_t component, Action action, std::size_t history) {
    if (action == Action::keep) return 1.0;
    if (action == Action::replace) return 0.0;
    return left_by_cleaning(input.seed, map.histories[history].sample, component);
  };
  Decision decision{.whole_by_magnet = debris::whole_system_by_magnet(input.findings)};
  std::array<std::vector<double>, option_count> n14;
  for (std::size_t index = 0; index < option_count; ++index) {
    const auto kind = static_cast<OptionKind>(index);
    if (kind == OptionKind::supply_side && input.story.origin != debris::MetalOrigin::assist_pump) continue;
    OptionResult option{.kind = kind, .actions = actions_of(kind)};
    const auto& reach = kind == OptionKind::whole_and_upgrade ? *rebuilt : *found;
    std::array<std::vector<double>, dose_hours.size()> any;
    std::vector<double> comebacks;
    option.dose_by_place.assign(histories, {});
    for (std::size_t h = 0; h < histories; ++h) {
      std::array<double, dose_hours.size()> sums{};
      for (std::size_t i = 0; i < components().size(); ++i) {
        const Component& component = components()[i];
        if (component.place_count == 0) continue;
        const double left = share_left(i, option.actions[i], h);
        for (std::size_t p = 0; p < component.place_count; ++p) {
          const auto& marks = reach[h][at(component.places[p])];
          for (std::size_t mark = 0; mark < dose_hours.size(); ++mark) sums[mark] += left * marks[mark].any;
          const Reached& decisive = marks[decision_mark];
          option.dose_by_place[h][at(component.places[p])] += left * decisive.any;
          option.to_parts[0] += left * decisive.pump / static_cast<double>(histories);
          option.to_parts[1] += left * decisive.valve / static_cast<double>(histories);
          option.to_parts[2] += left * decisive.injectors / static_cast<double>(histories);
        }
      }
      for (std::size_t mark = 0; mark < dose_hours.size(); ++mark) any[mark].push_back(sums[mark]);
      const ComebackDraw draw = draw_comeback(input.prior, input.seed, static_cast<std::uint32_t>(h));
      comebacks.push_back(comeback(draw, sums[decision_mark]).value());
    }
    for (std::size_t mark = 0; mark < dose_hours.size(); ++mark) option.reached[mark] = quantiles_of(any[mark]);
    option.mean_reached = mean(any[decision_mark]);
    n14[index] = any[decision_mark];
    std::ranges::sort(n14[index]);
    option.comeback = quantiles_of(comebacks);
    option.mean_comeback = mean(comebacks);
    const std::vector<Access> none;
    for (const Hours& row : work_of(option.actions, input.shape, input.prices ? input.prices->open : none)) {
      option.labour.low += row.low;
      option.labour.high += row.high;
    }
    for (std::size_t i = 0; i < components().size(); ++i) {
      const Component& component = components()[i];
      if (option.actions[i] != Action::keep) continue;
      const bool open = std::ranges::any_of(std::span(component.places).first(component.place_count), [&](Place place) {
        const debris::PlaceOfMap& here = map.places[at(place)];
        return here.state == PlaceState::seen || (here.state == PlaceState::inferred && here.reached >= 0.5);
      });
      if (open) option.not_covered.emplace_back(component.name);
    }
    if (input.prices) {
      if (const auto priced = price(*input.prices, input, option); !priced) return fail(priced.error());
    }
    judge_standing(map, input, decision.whole_by_magnet, option);
    decision.options.push_back(std::move(option));
  }

  const auto option_of = [&](OptionKind kind) -> OptionResult& {
    return *std::ranges::find(decision.options, kind, &OptionResult::kind);
  };
  const OptionResult& whole = option_of(OptionKind::whole_system);
  if (input.prices) {
    const double loss = static_cast<double>(middle(input.prices->comeback_loss).minor);
    const auto stake = [&](const OptionResult& option) {
      return Stake{
          .cost = static_cast<double>(option.likely_cost->minor), .comeback = option.mean_comeback, .loss = loss};
    };
    for (OptionResult& option : decision.options) {
      if (!option.likely_cost) continue;
      option.expected_minor = expected_cost(stake(option)).value();
      if (option.kind != OptionKind::whole_system && whole.likely_cost && loss > 0.0) {
        option.break_even = break_even(stake(option), stake(whole)).value();
      }
    }
    const OptionKind small =
        input.story.origin == debris::MetalOrigin::assist_pump ? OptionKind::supply_side : OptionKind::pump_only;
    const OptionResult& partial = option_of(small);
    if (partial.likely_cost && whole.likely_cost) {
      const double cost_difference = static_cast<double>(partial.likely_cost->minor - whole.likely_cost->minor);
      const auto& n_small = n14[static_cast<std::size_t>(small)];
      const auto& n_whole = n14[static_cast<std::size_t>(OptionKind::whole_system)];
      const auto difference = [&](std::span<const double> u) {
        const ComebackDraw draw = draw_at(input.prior, u[0], u[1], u[2]);
        return cost_difference + loss * (comeback(draw, at_share(n_small, u[3])).value() -
                                         comeback(draw, at_share(n_whole, u[3])).value());
      };
      const auto indices =
          numerics::sobol_indices(difference, 4, {.points = 256, .shifts = 4, .seed = input.seed}, run);
      if (!indices) return fail(indices.error());
      constexpr std::array<std::string_view, 4> names{
          "chance of a comeback of the clean system", "particles that cause a comeback (N*)",
          "exponent of the comeback", "particles that reach the parts in 100 h"};
      for (std::size_t i = 0; i < 4; ++i) {
        Hinge hinge{.assumption = names[i], .first = indices->inputs[i].first, .total = indices->inputs[i].total};
        std::array<double, 4> u{0.5, 0.5, 0.5, 0.5};
        const auto value = [&](double share) {
          u[i] = share;
          return difference(u);
        };
        double low = 0.001;
        double high = 0.999;
        const bool rises = value(low) < 0.0;
        if (rises != (value(high) < 0.0)) {
          for (int step = 0; step < 50; ++step) {
            const double between = 0.5 * (low + high);
            (rises == (value(between) < 0.0) ? low : high) = between;
          }
          const ComebackDraw draw = draw_at(input.prior, i == 0 ? low : 0.5, i == 1 ? low : 0.5, i == 2 ? low : 0.5);
          const std::array<double, 4> values{draw.base, draw.scale, draw.exponent, at_share(n_small, low)};
          hinge.flips_at = values[i];
        }
        decision.hinges.push_back(hinge);
      }
    }
    const bool complete = std::ranges::all_of(components(), [&](const Component& component) {
      return component.place_count == 0 ||
             input.prices->parts[static_cast<std::size_t>(&component - components().data())];
    });
    if (complete) {
      FrontierProblem problem;
      std::vector<std::vector<Action>> meaning(components().size());
      std::array<std::ptrdiff_t, access_count> index_of_access{};
      index_of_access.fill(-1);
      for (std::size_t i = 1; i < access_count; ++i) {
        const auto access = static_cast<Access>(i);
        const Hours each = hours(access)[static_cast<std::size_t>(input.shape)];
        bool paid = true;
        for (const Access open : input.prices->open) {
          for (Access up = open; up != Access::none; up = parent(up)) paid = paid && up != access;
        }
        const auto cost = wage(input.prices->labour_per_hour, paid ? 0.5 * (each.low + each.high) : 0.0);
        if (!cost) return fail(cost.error());
        index_of_access[i] = static_cast<std::ptrdiff_t>(problem.accesses.size());
        const Access up = parent(access);
        problem.accesses.push_back({.cost_minor = cost->minor,
                                    .parent = up == Access::none ? -1 : index_of_access[static_cast<std::size_t>(up)]});
      }
      for (std::size_t i = 0; i < components().size(); ++i) {
        const Component& component = components()[i];
        FrontierComponent entry{.access = index_of_access[static_cast<std::size_t>(component.access)]};
        for (const Action action : {Action::keep, Action::clean_and_verify, Action::replace}) {
          // A part whose debris is not modelled is kept: replacing it buys no dose.
          if (!allowed(component, action) || (component.place_count == 0 && action != Action::keep)) continue;
          double dose = 0.0;
          for (std::size_t h = 0; h < histories; ++h) {
            const double left = share_left(i, action, h);
            for (std::size_t p = 0; p < component.place_count; ++p) {
              dose += left * (*found)[h][at(component.places[p])][decision_mark].any / static_cast<double>(histories);
            }
          }
          const auto column = static_cast<std::size_t>(input.shape);
          const Hours each = action == Action::replace            ? component.replace_hours[column]
                             : action == Action::clean_and_verify ? component.clean_hours[column]
                                                                  : Hours{};
          const auto work = wage(input.prices->labour_per_hour, 0.5 * (each.low + each.high));
          if (!work) return fail(work.error());
          const std::int64_t part = action == Action::replace ? middle(*input.prices->parts[i]).minor : 0;
          entry.actions.push_back({.cost_minor = work->minor + part, .dose = dose, .opens = action != Action::keep});
          meaning[i].push_back(action);
        }
        problem.components.push_back(std::move(entry));
      }
      auto points = frontier(problem);
      if (!points) return fail(points.error());
      decision.frontier = std::move(*points);
      for (FrontierPoint& point : decision.frontier) {
        for (std::size_t i = 0; i < meaning.size(); ++i) {
          point.actions[i] = static_cast<std::uint8_t>(meaning[i][point.actions[i]]);
        }
      }
    }
  }

  const bool seen =
      std::ranges::any_of(map.places, [](const debris::PlaceOfMap& place) { return place.state == PlaceState::seen; });
  const bool partial_eligible = std::ranges::any_of(decision.options, [](const OptionResult& option) {
    return is_partial(option.kind) && option.standing == Standing::eligible;
  });
  decision.verdict = seen || partial_eligible ? Verdict::recommended : Verdict::too_little_evidence;
  if (decision.verdict == Verdict::recommended) {
    const OptionResult* best = nullptr;
    bool priced = true;
    for (const OptionResult& option : decision.options) {
      if (option.standing != Standing::eligible || option.kind == OptionKind::whole_and_upgrade) continue;
      if (!option.expected_minor) priced = false;
      if (best == nullptr ||
          (option.expected_minor && best->expected_minor && *option.expected_minor < *best->expected_minor)) {
        best = &option;
      }
    }
    // Without prices only a choice of one can stand first.
    if (best != nullptr && (priced || !partial_eligible)) decision.first = best->kind;
  }
  for (const Place place : input.story.origin == debris::MetalOrigin::assist_pump
                               ? std::vector{Place::final_clean_side, Place::pump_inlet_screen, Place::metering_valve}
                               : std::vector{Place::rail, Place::injectors, Place::return_line, Place::tank}) {
    if (map.places[at(place)].state != PlaceState::verified_clean) decision.look_next.push_back(place);
  }
  return decision;
}

}  // namespace fw::extent
