// SPDX-License-Identifier: Apache-2.0
#include "assess/cruise.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "debris/beta.hpp"
#include "debris/fuel_way.hpp"
#include "supply/fuel_way.hpp"
#include "system/supply_model.hpp"

namespace fw::assess {

namespace {

constexpr double judged_K = 293.15;

std::optional<debris::Bins> stops_of(const system::Medium& medium, double feed_m3_per_s) {
  const auto rating = debris::printed_rating(medium.rating_m->value);
  if (!rating) return std::nullopt;
  auto stops = debris::efficiency_by_bin(*rating);
  if (!stops) return std::nullopt;
  if (medium.bypass_leak_m3_per_s && medium.bypass_leak_m3_per_s->given() && medium.bypass_leak_drop_Pa.given()) {
    const double past =
        std::clamp(medium.bypass_leak_m3_per_s->value *
                       std::sqrt(medium.clean_drop_Pa.value / medium.bypass_leak_drop_Pa.value) / feed_m3_per_s,
                   0.0, 1.0);
    for (double& share : *stops) share *= 1.0 - past;
  }
  return *stops;
}

}  // namespace

Result<std::optional<CruiseFlows>> cruise_flows(const system::LineSheet& sheet, const Run& run) {
  const auto model = system::SupplyModel::build(sheet, system::branches(sheet).front(), system::default_laws());
  if (!model) return fail(model.error());
  const std::vector<double> slots = model->nominal();
  std::vector<system::SupplyModel::Case> cases(2);
  cases[0] = {.point = {.engine = system::EnginePoint::cruise, .fuel_temperature_K = judged_K}, .slots = slots};
  cases[1] = cases[0];
  cases[1].point.filter_loading = 1.0;
  const auto states = model->solve(cases, run);
  if (!states) return fail(states.error());
  const system::PointState& clean = states->front();
  const system::PointState& spent = states->back();
  if (clean.status != hydraulics::SolveStatus::converged || !(clean.taken_m3_per_s > 0.0)) return std::nullopt;
  CruiseFlows flows{.taken_m3_per_s = clean.taken_m3_per_s,
                    .burned_m3_per_s = std::min(clean.burned_m3_per_s, clean.taken_m3_per_s),
                    .housing_m3_per_s = 0.0,
                    .spent_m3_per_s = spent.status == hydraulics::SolveStatus::converged
                                          ? spent.taken_m3_per_s
                                          : std::numeric_limits<double>::quiet_NaN(),
                    .liquid = clean.liquid};
  const system::Engine& engine = sheet.engine;
  if (engine.housing_flow_m3_per_s.given()) {
    const double stated = engine.housing_flow_m3_per_s.value * clean.speed_per_s / engine.rated_speed_per_s.value;
    flows.housing_m3_per_s = std::min(stated, flows.taken_m3_per_s - flows.burned_m3_per_s);
  }
  return flows;
}

std::vector<FilterOfWay> filters_of(const system::LineSheet& sheet, double feed_m3_per_s) {
  std::vector<FilterOfWay> filters;
  for (const supply::WayPart& one : supply::supply_way(sheet)) {
    const system::Part& part = *one.part;
    if (part.kind != system::PartKind::filter && part.kind != system::PartKind::separator) continue;
    if (!part.medium) continue;
    FilterOfWay here{.part = &part, .pumped = one.pumped, .stops = {}, .why_none = {}};
    if (part.bypassed) {
      here.why_none = "is bypassed and stops nothing.";
    } else if (part.condition.pores_left) {
      here.why_none = "has collapsed and is taken to stop nothing.";
    } else if (!part.medium->rating_m || !part.medium->rating_m->given()) {
      here.why_none = "has no size stated and is taken to stop nothing.";
    } else {
      here.stops = stops_of(*part.medium, feed_m3_per_s);
      if (!here.stops) here.why_none = "has a size that no class of elements has, and is taken to stop nothing.";
    }
    filters.push_back(here);
  }
  return filters;
}

}  // namespace fw::assess
