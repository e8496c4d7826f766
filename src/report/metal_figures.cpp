// SPDX-License-Identifier: Apache-2.0
#include "report/metal_figures.hpp"

#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "base/chance_words.hpp"
#include "report/metal_words.hpp"

namespace fw::report {

namespace {

using extent::OptionKind;
using extent::OptionResult;

/// Below this a count is drawn at the foot of its axis.
constexpr double least_drawn = 1.0;

double in_units(const Money& money) {
  return static_cast<double>(money.minor) / static_cast<double>(money.currency.minor_per_unit());
}

std::string station(debris::Place place) {
  switch (place) {
    case debris::Place::tank: return "tank";
    case debris::Place::primary_filter: return "behind primary filter";
    case debris::Place::final_filter: return "behind final filter";
    case debris::Place::pump_inlet_screen: return "pump inlet";
    case debris::Place::return_line: return "return";
    default: return std::string(debris::name(place));
  }
}

/// Lines of options, told apart without colour.
CurveLine line_of(OptionKind kind) {
  switch (kind) {
    case OptionKind::whole_system: return CurveLine::heavy;
    case OptionKind::pump_only: return CurveLine::dashed;
    case OptionKind::supply_side:
    case OptionKind::pump_and_high_side: return CurveLine::dash_dot;
    case OptionKind::verified_partial: return CurveLine::thin;
    case OptionKind::whole_and_upgrade: break;
  }
  return CurveLine::faint;
}

Error no_prices() {
  return {.code = ErrorCode::not_found,
          .where = {.field = "prices"},
          .found = "a case without prices for every part",
          .expected = "prices of what may be replaced, and what a comeback costs",
          .hint = "Enter [prices] in its metal.toml"};
}

}  // namespace

CurvesData cascade_of(const std::vector<assess::Cleanliness>& systems, const FigureSize& size) {
  CurvesData data{.title = "How clean the fuel is along its way",
                  .unit = "particles in 1 mL",
                  .x_axis = "along the fuel's way",
                  .size = size,
                  .y_scale = AxisScale::decades};
  // Systems share the places; where one has no such filter its line stays level.
  std::vector<debris::Place> places;
  for (const debris::Place place :
       {debris::Place::tank, debris::Place::primary_filter, debris::Place::final_filter,
        debris::Place::pump_inlet_screen, debris::Place::injectors, debris::Place::return_line}) {
    const bool there = std::ranges::any_of(systems, [&](const assess::Cleanliness& system) {
      return std::ranges::find(system.points, place, &debris::CascadePoint::place) != system.points.end();
    });
    if (there) places.push_back(place);
  }
  for (const debris::Place place : places) data.stations.push_back(station(place));
  constexpr std::array<std::size_t, 2> sizes{0, 2};
  for (std::size_t s = 0; s < systems.size(); ++s) {
    const bool last = s + 1 == systems.size();
    for (const std::size_t which : sizes) {
      const CurveLine line =
          which == 0 ? (last ? CurveLine::heavy : CurveLine::dash_dot) : (last ? CurveLine::thin : CurveLine::dashed);
      Curve curve{.line = line};
      double value = 0.0;
      int number = 0;
      for (std::size_t i = 0; i < places.size(); ++i) {
        const auto point = std::ranges::find(systems[s].points, places[i], &debris::CascadePoint::place);
        if (point != systems[s].points.end()) {
          value = point->number_per_m3[which].median;
          number = point->code.entries[which].number;
        }
        curve.x.push_back(static_cast<double>(i));
        curve.y.push_back(std::max(0.01, 1e-6 * value));
      }
      curve.words = fmt::format("{}, from {} um: {}", systems[s].system, which == 0 ? 4 : 14, number);
      curve.dots = last && which == 0;
      data.curves.push_back(std::move(curve));
    }
  }
  data.notes = {
      "Fuel that just meets EN 590 (24 mg/kg), its dirt taken as ISO medium dust; nothing sheds. The number at a "
      "line's end is its ISO 4406 scale number. Filters in service let through more than in their test: the middle of "
      "1 to 10 times (assumed)."};
  return data;
}

CurvesData dose_of(const extent::Decision& decision, const FigureSize& size) {
  CurvesData data{.title = "Metal of this failure that reaches the new parts",
                  .unit = "particles",
                  .x_axis = "hours after the repair",
                  .size = size,
                  .x_scale = AxisScale::decades,
                  .y_scale = AxisScale::decades};
  for (const OptionResult& option : decision.options) {
    Curve curve{.words = std::string(extent::name(option.kind)), .line = line_of(option.kind), .dots = true};
    for (std::size_t mark = 0; mark < extent::dose_hours.size(); ++mark) {
      curve.x.push_back(extent::dose_hours[mark]);
      curve.y.push_back(std::max(least_drawn, option.reached[mark].median));
    }
    data.curves.push_back(std::move(curve));
  }
  data.notes = {
      "Particles from 14 um(c) that reach pump, metering valve or injectors, none counted twice; medians. Less than "
      "one is drawn as one. Amount, size and lodging of the metal are assumed, the transport is computed."};
  return data;
}

Result<CurvesData> frontier_of(const assess::MetalAnswer& metal, const FigureSize& size) {
  if (!metal.decision || metal.decision->frontier.size() < 2 || !metal.currency) return fail(no_prices());
  const extent::Decision& decision = *metal.decision;
  CurvesData data{.title = "What the next part buys",
                  .unit = "particles",
                  .x_axis = fmt::format("likely cost, {}", metal.currency->code()),
                  .size = size,
                  .y_scale = AxisScale::decades};
  Curve frontier{.words = "cheapest for its dose", .line = CurveLine::heavy};
  const auto point = [&](const extent::FrontierPoint& at) {
    frontier.x.push_back(in_units(Money{.minor = at.cost_minor, .currency = *metal.currency}));
    frontier.y.push_back(std::max(least_drawn, at.dose));
  };
  // A step: between two sets nothing can be bought.
  for (std::size_t i = 0; i < decision.frontier.size(); ++i) {
    if (i > 0) {
      frontier.x.push_back(in_units(Money{.minor = decision.frontier[i].cost_minor, .currency = *metal.currency}));
      frontier.y.push_back(frontier.y.back());
    }
    point(decision.frontier[i]);
  }
  data.curves.push_back(std::move(frontier));
  for (const OptionResult& option : decision.options) {
    if (!option.likely_cost || option.kind == OptionKind::whole_and_upgrade) continue;
    const double cost = in_units(*option.likely_cost);
    const double dose = std::max(least_drawn, option.mean_reached);
    data.curves.push_back({.words = std::string(extent::name(option.kind)),
                           .line = line_of(option.kind),
                           .x = {cost, cost},
                           .y = {dose, dose},
                           .dots = true});
  }
  data.notes = {
      "Particles from 14 um(c) that reach the parts in 100 h (means), over every set of actions that none beats in "
      "cost and dose. A ring: an option; what it does beyond the line (seals, sensors, parts that hold no metal) is "
      "not in the dose."};
  return data;
}

Result<CurvesData> break_even_of(const assess::MetalAnswer& metal, const FigureSize& size) {
  if (!metal.decision || !metal.comeback_loss) return fail(no_prices());
  const OptionResult& small = smallest_repair(*metal.decision);
  const OptionResult& whole = *option_of(*metal.decision, OptionKind::whole_system);
  if (!small.likely_cost || !whole.likely_cost) return fail(no_prices());
  const double loss = in_units(*metal.comeback_loss);
  CurvesData data{.title = "Where the smallest repair stops being the cheaper one",
                  .unit = std::string(metal.comeback_loss->currency.code()),
                  .x_axis = "comebacks within a year, in 100",
                  .size = size};
  const double small_cost = in_units(*small.likely_cost);
  const double whole_total = in_units(*whole.likely_cost) + whole.mean_comeback * loss;
  data.curves.push_back({.words = std::string(extent::name(small.kind)),
                         .line = CurveLine::heavy,
                         .x = {0.0, 100.0},
                         .y = {small_cost, small_cost + loss}});
  const double here = 100.0 * small.mean_comeback;
  const double here_cost = small_cost + small.mean_comeback * loss;
  data.curves.push_back(
      {.words = "", .line = CurveLine::thin, .x = {here, here}, .y = {here_cost, here_cost}, .dots = true});
  data.levels.push_back({.value = whole_total, .words = "whole system, its own comebacks in"});
  const double low = 100.0 * small.comeback.low;
  const double high = 100.0 * small.comeback.high;
  data.spans.push_back({.from = low, .to = high, .words = "nine in ten of the assumptions"});
  std::string even = break_even_words(small);
  data.notes = {
      fmt::format("Cost of the repair and of its comebacks. The ring: the likely chance of this case, {}. {} "
                  "The chance of a comeback is assumed; the costs are as entered.",
                  in_100(small.mean_comeback), even)};
  return data;
}

}  // namespace fw::report
