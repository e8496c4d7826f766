// SPDX-License-Identifier: Apache-2.0
#include "debris/cascade.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "debris/beta.hpp"

namespace fw::debris {

namespace {

/// First bins whose lower edge is a size of ISO 4406.
constexpr std::array<std::size_t, 3> first_bin{2, 3, 6};
constexpr std::array<double, 3> shares{0.05, 0.5, 0.95};

std::array<double, 3> from_size(const Bins& number) {
  std::array<double, 3> sums{};
  for (std::size_t size = 0; size < sums.size(); ++size) {
    for (std::size_t bin = first_bin[size]; bin < bin_count; ++bin) sums[size] += number[bin];
  }
  return sums;
}

Result<CascadePoint> point_of(Place place, const std::array<Bins, 3>& by_share) {
  CascadePoint point{.place = place, .number_per_m3 = {}, .code = {}};
  std::array<std::array<double, 3>, 3> counts{};
  for (std::size_t share = 0; share < shares.size(); ++share) counts[share] = from_size(by_share[share]);
  CodeCounts coded;
  for (std::size_t size = 0; size < 3; ++size) {
    point.number_per_m3[size] = {.low = counts[0][size], .median = counts[1][size], .high = counts[2][size]};
    coded.at[size] = SizeCount{.number_per_m3 = counts[1][size]};
  }
  const auto code = code_of(coded);
  if (!code) return fail(code.error());
  point.code = *code;
  return point;
}

/// Particles by bin in a cubic metre.
Result<Bins> numbers_of(const Dirt& dirt, double mass_kg_per_m3) {
  if (!std::isfinite(mass_kg_per_m3) || mass_kg_per_m3 <= 0.0) {
    return invalid("mass_kg_per_m3", fmt::format("{} kg/m3", mass_kg_per_m3), "a number above 0");
  }
  const auto contents = bin_contents(dirt, standard_edges_m());
  if (!contents) return fail(contents.error());
  Bins number{};
  for (std::size_t bin = 0; bin < bin_count; ++bin) number[bin] = mass_kg_per_m3 * (*contents)[bin].number_per_kg;
  return number;
}

}  // namespace

Bins behind_filter(const Bins& number, std::span<const FilterElement> elements, double derating) {
  Bins behind{};
  for (std::size_t bin = 0; bin < bin_count; ++bin) behind[bin] = number[bin] * passes(elements, bin, derating);
  return behind;
}

Result<double> coarse_at_inlet_per_m3(const FuelWay& way, const Dirt& dirt, double mass_kg_per_m3, double derating) {
  const auto number = numbers_of(dirt, mass_kg_per_m3);
  if (!number) return fail(number.error());
  const Bins behind = behind_filter(behind_filter(*number, way.primary_filter, derating), way.final_filter, derating);
  return from_size(behind).back();
}

Result<std::vector<CascadePoint>> cascade(const FuelWay& way, const Dirt& dirt, double mass_kg_per_m3) {
  const auto fed = numbers_of(dirt, mass_kg_per_m3);
  if (!fed) return fail(fed.error());
  std::array<Bins, 3> number{};
  number.fill(*fed);
  std::vector<CascadePoint> points;
  const auto tell = [&](Place place) -> Result<void> {
    auto point = point_of(place, number);
    if (!point) return fail(point.error());
    points.push_back(std::move(*point));
    return {};
  };
  const auto filter = [&](std::span<const FilterElement> elements) {
    for (std::size_t share = 0; share < shares.size(); ++share) {
      number[share] = behind_filter(number[share], elements, derating_at_probability(shares[share]));
    }
  };
  if (auto ok = tell(Place::tank); !ok) return fail(ok.error());
  if (!way.primary_filter.empty()) {
    filter(way.primary_filter);
    if (auto ok = tell(Place::primary_filter); !ok) return fail(ok.error());
  }
  if (!way.final_filter.empty()) {
    filter(way.final_filter);
    if (auto ok = tell(Place::final_filter); !ok) return fail(ok.error());
  }
  for (const Place place : {Place::pump_inlet_screen, Place::injectors, Place::return_line}) {
    if (auto ok = tell(place); !ok) return fail(ok.error());
  }
  return points;
}

}  // namespace fw::debris
