// SPDX-License-Identifier: Apache-2.0
#include "system/supply_model.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "numerics/draw.hpp"
#include "numerics/stream.hpp"
#include "system/supply_body.hpp"

namespace fw::system {

namespace {
constexpr std::size_t most_branches = 8;
}  // namespace

std::vector<Branch> branches(const LineSheet& sheet) {
  std::vector<Branch> all{Branch{}};
  for (const Leg& leg : sheet.legs) {
    for (const Part& part : leg.parts) {
      if (!part.pump || part.bypassed) continue;
      const std::string title = part.title.empty() ? part.id : part.title;
      const auto split = [&](const std::vector<std::pair<std::string, PumpFacts>>& ways) {
        if (all.size() * ways.size() > most_branches) return;
        std::vector<Branch> grown;
        for (const Branch& branch : all) {
          for (const auto& [words, facts] : ways) {
            Branch next = branch;
            PumpFacts merged = facts;
            if (const auto old = next.pumps.find(part.id); old != next.pumps.end()) {
              if (part.pump->surplus == Surplus::unknown) merged.surplus = old->second.surplus;
            }
            next.pumps[part.id] = merged;
            next.title += (next.title.empty() ? "" : "; ") + title + " " + words;
            grown.push_back(std::move(next));
          }
        }
        all = std::move(grown);
      };
      if (part.pump->set_Pa && part.pump->surplus == Surplus::unknown) {
        split({{"returns its surplus to its own inlet", {.surplus = Surplus::to_own_inlet}},
               {"returns its surplus to the tank", {.surplus = Surplus::to_tank}}});
      }
      if (part.pump->stopped == Stopped::unknown && !part.pump->running) {
        split({{"blocks at rest", {.stopped = Stopped::blocks}}, {"passes at rest", {.stopped = Stopped::passes}}});
      }
    }
  }
  const bool hysteresis = std::ranges::any_of(sheet.legs, [](const Leg& leg) {
    return std::ranges::any_of(leg.parts, [](const Part& part) {
      if (part.bypassed) return false;
      const Stated stated = part.pump    ? part.pump->set_hysteresis_Pa.value_or(Stated{})
                            : part.valve ? part.valve->hysteresis_Pa
                                         : Stated{};
      return stated.given() && stated.value > 0.0;
    });
  });
  if (hysteresis && 2 * all.size() <= most_branches) {
    std::vector<Branch> both;
    for (const Branch& branch : all) {
      for (const hydraulics::ReliefSet set : {hydraulics::ReliefSet::opening, hydraulics::ReliefSet::closing}) {
        Branch next = branch;
        next.relief_set = set;
        next.title += next.title.empty() ? "" : "; ";
        next.title += set == hydraulics::ReliefSet::opening ? "the pressure has risen to the sets of the reliefs"
                                                            : "the pressure has fallen to the sets of the reliefs";
        both.push_back(std::move(next));
      }
    }
    all = std::move(both);
  }
  return all;
}

Laws default_laws() {
  const auto law = [](double value, Spread spread, const char* id, const char* why) {
    Stated stated;
    stated.value = value;
    stated.spread = spread;
    stated.source = SourceClass::assumed;
    stated.id = id;
    stated.origin.source = why;
    return stated;
  };
  return {.fitting_loss = law(1.0, {.kind = SpreadKind::lognormal, .factor = 1.3}, "law.fitting-loss",
                              "common practice, no source: 30 % on fittings of small bore"),
          .density = law(1.0, {.kind = SpreadKind::normal, .half_width = 0.01}, "law.fuel-density",
                         "assumed: a grade's density differs within its standard"),
          .viscosity = law(1.0, {.kind = SpreadKind::normal, .half_width = 0.15}, "law.fuel-viscosity",
                           "assumed: a grade's viscosity differs within its standard"),
          .release = law(0.14, {.kind = SpreadKind::log_uniform, .low = 0.02, .high = 1.0}, "law.gas-release",
                         "assumed: no release rate is published")};
}

std::span<const Stated> SupplyModel::inputs() const { return body_->inputs; }
std::span<const PlaceAt> SupplyModel::places() const { return body_->places; }
const LineSheet& SupplyModel::sheet() const { return body_->sheet; }
const Branch& SupplyModel::branch() const { return body_->branch; }

std::vector<double> SupplyModel::nominal() const {
  std::vector<double> values;
  values.reserve(body_->inputs.size());
  for (const Stated& input : body_->inputs) values.push_back(input.value);
  return values;
}

SupplyModel::PhysicalRange SupplyModel::range_of(std::size_t input) const {
  const std::string& id = body_->inputs[input].id;
  const auto ends = [&](std::string_view with) { return id.ends_with(with); };
  constexpr double below_one = 0.999;
  if (ends(".quadratic_share")) return {.least = 0.0, .most = below_one};
  if (ends(".bore_left")) return {.least = 0.02, .most = 1.0};
  if (ends(".pores_left") || ends(".eccentricity") || ends(".level") || id == "law.leakoff-share" ||
      id == "engine.leakoff_share" || id == "law.gas-release") {
    return {.least = 0.0, .most = 1.0};
  }
  return {};
}

std::vector<double> SupplyModel::drawn(std::uint64_t seed, std::uint32_t sample) const {
  std::vector<double> values;
  values.reserve(body_->inputs.size());
  for (std::size_t i = 0; i < body_->inputs.size(); ++i) {
    const Stated& input = body_->inputs[i];
    const PhysicalRange range = range_of(i);
    const double plain = numerics::draw(input, seed, sample);
    if (input.spread.kind == SpreadKind::exact || !std::isfinite(range.least)) {
      values.push_back(plain);
      continue;
    }
    // Cumulative probability of a bound by halving: the inverse distribution rises.
    const auto probability_of = [&](double bound) {
      double low = 1e-12;
      double high = 1.0 - 1e-12;
      if (numerics::at_probability(input, low) >= bound) return low;
      if (numerics::at_probability(input, high) <= bound) return high;
      for (int step = 0; step < 60; ++step) {
        const double middle = 0.5 * (low + high);
        (numerics::at_probability(input, middle) < bound ? low : high) = middle;
      }
      return low;
    };
    const double from = probability_of(range.least);
    const double to = probability_of(range.most);
    const double u = numerics::uniform(seed, numerics::key_of(input.id), numerics::Purpose::input, sample);
    const bool uncut = from <= 1e-12 && to >= 1.0 - 1e-12;
    values.push_back(uncut ? plain : numerics::at_probability(input, from + u * (to - from)));
  }
  return values;
}

Result<std::size_t> SupplyModel::place_of(std::string_view part) const {
  if (part == engine_end) {
    for (std::size_t i = 0; i < body_->places.size(); ++i) {
      if (body_->place_nodes[i].node == body_->engine) return i;
    }
  }
  const auto found = body_->place_by_part.find(part);
  if (found == body_->place_by_part.end()) {
    return fail(Error{.code = ErrorCode::not_found,
                      .found = fmt::format("the part \"{}\"", part),
                      .expected = "a part of the sheet \"" + body_->sheet.name + "\""});
  }
  return found->second;
}

}  // namespace fw::system
