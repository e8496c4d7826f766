// SPDX-License-Identifier: Apache-2.0
#include "debris/fuel_way.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <string>

#include <fmt/format.h>

#include "base/contract.hpp"
#include "base/input_check.hpp"
#include "debris/dirt.hpp"
#include "numerics/normal.hpp"
#include "numerics/stream.hpp"

namespace fw::debris {
namespace {

constexpr std::array<Place, place_count> places{Place::pickup_screen,
                                                Place::suction_line,
                                                Place::primary_filter,
                                                Place::assist_pump,
                                                Place::pressure_line,
                                                Place::final_filter,
                                                Place::final_clean_side,
                                                Place::pump_inlet_screen,
                                                Place::pump_housing,
                                                Place::metering_valve,
                                                Place::plungers,
                                                Place::pipes,
                                                Place::rail,
                                                Place::injectors,
                                                Place::leak_off,
                                                Place::return_line,
                                                Place::cooler,
                                                Place::tank};

constexpr std::array<std::string_view, place_count> ids{"pickup-screen",
                                                        "suction-line",
                                                        "primary-filter",
                                                        "assist-pump",
                                                        "pressure-line",
                                                        "final-filter",
                                                        "final-clean-side",
                                                        "pump-inlet-screen",
                                                        "pump-housing",
                                                        "metering-valve",
                                                        "plungers",
                                                        "pipes",
                                                        "rail",
                                                        "injectors",
                                                        "leak-off",
                                                        "return-line",
                                                        "cooler",
                                                        "tank"};

constexpr std::array<std::string_view, place_count> names{"pickup and its screen",
                                                          "suction line",
                                                          "primary filter",
                                                          "assist pump",
                                                          "pressure line",
                                                          "final filter",
                                                          "clean side of the final filter",
                                                          "inlet screen of the high-pressure pump",
                                                          "housing of the high-pressure pump",
                                                          "bore of the metering valve",
                                                          "plungers of the high-pressure pump",
                                                          "high-pressure pipes",
                                                          "rail",
                                                          "injectors",
                                                          "leak-off lines",
                                                          "return line",
                                                          "fuel cooler",
                                                          "tank"};

/// Purpose and name address a draw; the seed and the sample come from the caller.
struct Drawer {
  std::uint64_t seed;
  std::uint32_t sample;
  [[nodiscard]] double unit(std::string_view name) const {
    return numerics::uniform(seed, numerics::key_of(name), numerics::Purpose::input, sample);
  }
  [[nodiscard]] double log_uniform(std::string_view name, double low, double high) const {
    return low * std::pow(high / low, unit(name));
  }
};

}  // namespace

std::string_view id(Place place) { return ids[static_cast<std::size_t>(place)]; }
std::string_view name(Place place) { return names[static_cast<std::size_t>(place)]; }
std::span<const Place> all_places() { return places; }

std::optional<Place> place_of_id(std::string_view text) {
  const auto* const found = std::ranges::find(ids, text);
  if (found == ids.end()) return std::nullopt;
  return static_cast<Place>(found - ids.begin());
}

std::string_view id(MetalOrigin origin) {
  switch (origin) {
    case MetalOrigin::high_pressure_pump: return "high-pressure-pump";
    case MetalOrigin::assist_pump: return "assist-pump";
    case MetalOrigin::tank: break;
  }
  return "tank";
}

std::optional<MetalOrigin> origin_of_id(std::string_view text) {
  for (const MetalOrigin origin : {MetalOrigin::high_pressure_pump, MetalOrigin::assist_pump, MetalOrigin::tank}) {
    if (id(origin) == text) return origin;
  }
  return std::nullopt;
}

std::optional<std::size_t> index_of(Place place) {
  if (place == Place::tank) return std::nullopt;
  return static_cast<std::size_t>(place);
}

double burn_m3_per_s(const FuelWay& way) { return way.feed_m3_per_s * way.rail_share * (1.0 - way.leak_off_share); }

double passes(std::span<const FilterElement> elements, std::size_t bin, double derating) {
  double through = 1.0;
  for (const FilterElement& element : elements) {
    through *= element.past + (1.0 - element.past) * std::min(1.0, derating * (1.0 - element.stops[bin]));
  }
  return through;
}

Result<Bins> efficiency_by_bin(const BetaRating& rating) {
  const Dirt dust{.shape = mass_table(TestDust::a3_medium), .density_kg_per_m3 = test_dust_density_kg_per_m3};
  const auto bins = bin_efficiencies(rating, dust, standard_edges_m());
  if (!bins) return fail(bins.error());
  Bins efficiency{};
  for (std::size_t bin = 0; bin < bin_count; ++bin) efficiency[bin] = (*bins)[bin].efficiency;
  return efficiency;
}

WayDraw draw_way(std::uint64_t seed, std::uint32_t sample) {
  const Drawer from{.seed = seed, .sample = sample};
  WayDraw draw{
      .shed_kg = 100e-6 * std::pow(10.0, numerics::standard_normal_quantile(from.unit("debris.shed"))),
      .mass_median_m = from.log_uniform("debris.size-median", 10e-6, 60e-6),
      .geometric_sd = 2.0 + from.unit("debris.size-spread"),
      .return_share = 0.3 + 0.65 * from.unit("debris.return-share"),
      .gallery_share = from.log_uniform("debris.gallery-share", 0.01, 0.2),
      .derating = derating_at_probability(from.unit("debris.filter-derating")),
      .stirred_at_start = from.log_uniform("debris.tank.stirred-at-start", 0.05, 1.0),
      .resuspension_per_s = from.log_uniform("debris.tank.resuspension", 1e-6, 1e-4),
  };
  for (std::size_t at = 0; at < place_count; ++at) {
    const std::string prefix = fmt::format("debris.{}.", ids[at]);
    draw.lodges[at] = from.log_uniform(prefix + "lodges", 0.02, 0.5);
    draw.release_per_m3[at] = from.log_uniform(prefix + "release", 10.0, 1000.0);
    draw.start_release[at] = from.log_uniform(prefix + "start", 0.001, 0.1);
  }
  return draw;
}

Result<TransportModel> transport_of(const FuelWay& way, const WayDraw& draw, const Shedding& shedding) {
  InputCheck check;
  check.positive(way.tank_m3, "way.tank_m3")
      .positive(way.tank_floor_m2, "way.tank_floor_m2")
      .positive(way.feed_m3_per_s, "way.feed_m3_per_s")
      .within(way.rail_share, {.low = 0.0, .high = 1.0}, "way.rail_share")
      .within(way.leak_off_share, {.low = 0.0, .high = 1.0}, "way.leak_off_share")
      .non_negative(shedding.rate_kg_per_s, "shedding.rate_kg_per_s");
  if (check.failed()) return check.fault();
  const double injected = way.rail_share * (1.0 - way.leak_off_share);

  const std::vector<double> sizes_m = middle_sizes_m(standard_edges_m());
  TransportModel model;
  model.tank = {.dead_volume_m3 = 0.03 * way.tank_m3,
                .capacity_m3 = way.tank_m3,
                .floor_m2 = way.tank_floor_m2,
                .settling_m_per_s = way.settling_m_per_s,
                .resuspension_per_s = draw.resuspension_per_s,
                .start_resuspension = draw.stirred_at_start};
  model.duties = {
      {.feed_m3_per_s = way.feed_m3_per_s, .burn_m3_per_s = burn_m3_per_s(way), .sheds = shedding.rate_kg_per_s > 0.0}};
  const auto next = [](Place place) { return static_cast<std::int32_t>(static_cast<std::size_t>(place)); };
  for (std::size_t at = 0; at + 1 < place_count; ++at) {
    const Place here = places[at];
    TransportPlace place{.id = std::string(ids[at]),
                         .flow_share = 1.0,
                         .release_per_m3 = draw.release_per_m3[at],
                         .start_release = draw.start_release[at]};
    for (std::size_t bin = 0; bin < bin_count; ++bin) {
      place.lodges[bin] = draw.lodges[at] * std::min(1.0, sizes_m[bin] / 50e-6);
    }
    const std::span<const FilterElement> elements = here == Place::primary_filter ? way.primary_filter
                                                    : here == Place::final_filter ? way.final_filter
                                                                                  : std::span<const FilterElement>{};
    if (!elements.empty()) {
      for (std::size_t bin = 0; bin < bin_count; ++bin) {
        place.lodges[bin] = 1.0 - passes(elements, bin, draw.derating);
      }
      place.release_per_m3 = 0.0;
      place.start_release = 0.0;
    }
    place.outlets = {{.to = static_cast<std::int32_t>(at + 1), .share = 1.0}};
    const bool high = here >= Place::metering_valve && here <= Place::injectors;
    if (high) place.flow_share = way.rail_share;
    if (here == Place::leak_off) place.flow_share = way.rail_share * way.leak_off_share;
    if (here == Place::return_line || here == Place::cooler) place.flow_share = 1.0 - injected;
    model.places.push_back(place);
  }
  const auto set = [&](Place place, std::vector<Outlet> outlets) {
    model.places[*index_of(place)].outlets = std::move(outlets);
  };
  const double onward = way.pump == PumpLayout::series ? 1.0 - draw.return_share : draw.gallery_share;
  set(Place::pump_housing,
      {{.to = next(Place::metering_valve), .share = onward}, {.to = next(Place::return_line), .share = 1.0 - onward}});
  if (way.pump == PumpLayout::parallel) {
    // The feed divides before the pump: the gallery's part does not pass the housing.
    set(Place::pump_inlet_screen, {{.to = next(Place::metering_valve), .share = way.rail_share},
                                   {.to = next(Place::pump_housing), .share = 1.0 - way.rail_share}});
    model.places[*index_of(Place::pump_housing)].flow_share = 1.0 - way.rail_share;
  }
  set(Place::injectors, {{.to = to_burnt, .share = 1.0 - way.leak_off_share},
                         {.to = next(Place::leak_off), .share = way.leak_off_share}});
  set(Place::leak_off, {{.to = next(Place::return_line), .share = 1.0}});
  set(Place::cooler, {{.to = to_tank, .share = 1.0}});

  if (shedding.rate_kg_per_s > 0.0) {
    const Place into = shedding.origin == MetalOrigin::assist_pump ? Place::assist_pump : Place::pump_housing;
    TransportSource source{.into = shedding.origin == MetalOrigin::tank ? to_tank : next(into)};
    for (std::size_t bin = 0; bin < bin_count; ++bin) {
      source.rate_per_s[bin] = shedding.rate_kg_per_s * shedding.mass_share[bin];
    }
    model.sources = {source};
  }
  if (const auto good = check_model(model); !good) return fail(good.error());
  return model;
}

}  // namespace fw::debris
