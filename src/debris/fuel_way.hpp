// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "base/required.hpp"
#include "base/result.hpp"
#include "debris/beta.hpp"
#include "debris/transport.hpp"
#include "fuel/liquid.hpp"

/// The fuel's way as places where metal can lie, and one draw of everything about it that is not known.
namespace fw::debris {

/// Places of the debris map, in the fuel's order. The pump is split into housing, metering valve and plungers.
enum class Place : std::uint8_t {
  pickup_screen,
  suction_line,
  primary_filter,
  assist_pump,
  pressure_line,
  final_filter,
  final_clean_side,
  pump_inlet_screen,
  pump_housing,
  metering_valve,
  plungers,
  pipes,
  rail,
  injectors,
  leak_off,
  return_line,
  cooler,
  tank,
};
inline constexpr std::size_t place_count = 18;
[[nodiscard]] std::string_view id(Place place);    ///< "rail", "return-line"
[[nodiscard]] std::string_view name(Place place);  ///< as papers say it
[[nodiscard]] std::optional<Place> place_of_id(std::string_view text);
[[nodiscard]] std::span<const Place> all_places();

/// Whether the pump's housing stands before the metering valve in the fuel's way, or beside it.
enum class PumpLayout : std::uint8_t { series, parallel };

/// Where metal comes from.
enum class MetalOrigin : std::uint8_t { high_pressure_pump, assist_pump, tank };
[[nodiscard]] std::string_view id(MetalOrigin origin);
[[nodiscard]] std::optional<MetalOrigin> origin_of_id(std::string_view text);

/// One element of a filter.
struct FilterElement {
  Bins stops{};       ///< of what passes its medium, by bin [-]
  double past = 0.0;  ///< share of its flow that goes by the medium [-]

  friend bool operator==(const FilterElement&, const FilterElement&) = default;
};
/// What goes through elements in series in one bin, in service: prod(f + (1 - f) min(1, delta (1 - E))).
[[nodiscard]] double passes(std::span<const FilterElement> elements, std::size_t bin, double derating);

/// What is known of the fuel's way.
struct FuelWay {
  double tank_m3 = required;  ///< capacity
  double tank_floor_m2 = required;
  double feed_m3_per_s = required;
  /// Elements in series; none: the filter is not there and its place only holds fuel. The primary filter stands before
  /// the assist pump; what stands behind it is the final filter.
  std::vector<FilterElement> primary_filter;
  std::vector<FilterElement> final_filter;
  PumpLayout pump = PumpLayout::series;
  /// Share of the flow into the pump that goes on to the rail, the rest cools and returns [-].
  double rail_share = 0.4;
  /// Share of the flow to the injectors that leaks off and returns [-].
  double leak_off_share = 0.3;
  /// Speeds of settling in the fuel at hand, by bin.
  Bins settling_m_per_s{};
};

/// Fuel burnt [m3/s]: what the shares to rail and leak-off leave of the feed.
[[nodiscard]] double burn_m3_per_s(const FuelWay& way);

/// Bin efficiencies of a rating with ISO medium test dust. Errors: those of bin_efficiencies.
[[nodiscard]] Result<Bins> efficiency_by_bin(const BetaRating& rating);

/// One draw. Every band is assumed: no rate, spectrum or lodging of pump debris is published.
struct WayDraw {
  double shed_kg = required;                         ///< log-normal, median 100 mg, geometric sd 10
  double mass_median_m = required;                   ///< log-uniform 10 to 60 um
  double geometric_sd = required;                    ///< uniform 2 to 3
  double return_share = required;                    ///< of what leaves the housing, in series: uniform 0.3 to 0.95
  double gallery_share = required;                   ///< in parallel: log-uniform 0.01 to 0.2
  double derating = required;                        ///< of the filters, log-uniform 1 to 10
  std::array<double, place_count> lodges{};          ///< of coarse metal, log-uniform 0.02 to 0.5 [-]
  std::array<double, place_count> release_per_m3{};  ///< log-uniform 10 to 1000: half gone after 70 to 0.7 L
  std::array<double, place_count> start_release{};   ///< log-uniform 0.001 to 0.1 [-]
  double stirred_at_start = required;                ///< log-uniform 0.05 to 1 [-]
  double resuspension_per_s = required;              ///< log-uniform 1e-6 to 1e-4
};
/// Draw `sample`, addressed by (seed, name of the quantity, sample): a further quantity moves no other.
[[nodiscard]] WayDraw draw_way(std::uint64_t seed, std::uint32_t sample);

/// The transport of a draw, one duty (index 0; it sheds when `shed_kg_per_s` is above 0). Amounts are kilograms.
/// What lodges grows with size up to 50 um (assumed). Errors: those of check_model, invalid_input `way...`.
struct Shedding {
  MetalOrigin origin = MetalOrigin::high_pressure_pump;
  double rate_kg_per_s = 0.0;
  Bins mass_share{};  ///< by bin, sums to 1
};
[[nodiscard]] Result<TransportModel> transport_of(const FuelWay& way, const WayDraw& draw, const Shedding& shedding);

/// Index of a place in the model, or nothing for the tank.
[[nodiscard]] std::optional<std::size_t> index_of(Place place);

}  // namespace fw::debris
