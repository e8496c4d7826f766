// SPDX-License-Identifier: Apache-2.0
#include "supply/envelope.hpp"

#include <algorithm>
#include <array>

#include "base/contract.hpp"

namespace fw::supply {

namespace {

using system::EnginePoint;
using system::RunningPoint;

constexpr std::array<std::string_view, 5> climate_names{"arctic", "cold", "temperate", "hot", "tropical"};
constexpr double fuel_over_air_K = 25.0;
struct Temperatures {
  double coldest_C, hottest_C;
};
// Ambient range by climate word; hot fuel = hottest ambient + 25 (layouts, typical).
constexpr std::array<Temperatures, 5> climates{{{-40, 45}, {-25, 55}, {-10, 60}, {5, 70}, {15, 70}}};

}  // namespace

std::string_view name(Climate climate) { return climate_names.at(static_cast<std::size_t>(climate)); }

std::optional<Climate> climate_named(std::string_view text) {
  for (std::size_t i = 0; i < climate_names.size(); ++i) {
    if (climate_names[i] == text) return static_cast<Climate>(i);
  }
  return std::nullopt;
}

std::vector<RunningPoint> envelope(Climate climate) {
  const Temperatures range = climates.at(static_cast<std::size_t>(climate));
  std::vector<RunningPoint> points;
  for (const EnginePoint engine :
       {EnginePoint::crank, EnginePoint::idle, EnginePoint::cruise, EnginePoint::torque_peak, EnginePoint::rated}) {
    for (const double celsius : {range.coldest_C, 20.0, range.hottest_C}) {
      for (const double loading : {0.0, 1.0}) {
        // A spent element is changed before winter: end of life is judged on warm fuel only.
        if (loading > 0.0 && celsius < 20.0) continue;
        for (const double level : {0.5, 0.1}) {
          points.push_back({.engine = engine,
                            .fuel_temperature_K = celsius + 273.15,
                            .voltage_V = engine == EnginePoint::crank ? 9.5 : 13.8,
                            .tank_level = level,
                            .filter_loading = loading});
        }
      }
    }
  }
  return points;
}

double hottest_air_K(const std::vector<system::RunningPoint>& points) {
  FW_EXPECTS(!points.empty());
  const auto hottest = std::ranges::max_element(points, {}, &RunningPoint::fuel_temperature_K);
  return hottest->fuel_temperature_K - fuel_over_air_K;
}

}  // namespace fw::supply
