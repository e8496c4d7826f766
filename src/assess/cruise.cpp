// SPDX-License-Identifier: Apache-2.0
#include "assess/cruise.hpp"

#include <algorithm>
#include <cmath>

#include "debris/beta.hpp"
#include "supply/fuel_way.hpp"

namespace fw::assess {

namespace {

constexpr double judged_K = 293.15;

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
                    .spent_m3_per_s = {},
                    .liquid = clean.liquid,
                    .media = clean.media};
  if (spent.status == hydraulics::SolveStatus::converged) flows.spent_m3_per_s = spent.taken_m3_per_s;
  const system::Engine& engine = sheet.engine;
  if (engine.housing_flow_m3_per_s.given()) {
    const double stated = engine.housing_flow_m3_per_s.value * clean.speed_per_s / engine.rated_speed_per_s.value;
    flows.housing_m3_per_s = std::min(stated, flows.taken_m3_per_s - flows.burned_m3_per_s);
  }
  return flows;
}

std::vector<FilterOfWay> filters_of(const system::LineSheet& sheet, const CruiseFlows* flows) {
  std::vector<FilterOfWay> filters;
  for (const supply::WayPart& one : supply::supply_way(sheet)) {
    const system::Part& part = *one.part;
    if (part.kind != system::PartKind::filter && part.kind != system::PartKind::separator) continue;
    if (!part.medium) continue;
    FilterOfWay here{.part = &part, .pumped = one.pumped, .element = {}, .why_none = {}};
    if (part.bypassed) {
      here.why_none = "is bypassed and stops nothing.";
    } else if (part.condition.pores_left) {
      here.why_none = "has collapsed and is taken to stop nothing.";
    } else if (!part.medium->rating_m || !part.medium->rating_m->given()) {
      here.why_none = "has no size stated and is taken to stop nothing.";
      here.no_size = true;
    } else {
      // The low end of every class is a rating that its test dust can have (Beta tests).
      const auto stops = debris::efficiency_by_bin(debris::printed_rating(part.medium->rating_m->value).value());
      here.element = debris::FilterElement{.stops = stops.value()};
      if (flows != nullptr) {
        const auto solved = std::ranges::find(flows->media, part.id, &system::MediumAnswer::part);
        if (solved != flows->media.end()) {
          here.element->past = std::clamp(solved->unfiltered_share, 0.0, 1.0);
          here.flow_m3_per_s = std::abs(solved->flow_m3_per_s);
        }
      }
    }
    filters.push_back(here);
  }
  return filters;
}

}  // namespace fw::assess
