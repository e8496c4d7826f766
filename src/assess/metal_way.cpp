// SPDX-License-Identifier: Apache-2.0
#include "assess/metal_way.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include <fmt/format.h>

#include "assess/cruise.hpp"
#include "debris/dirt.hpp"
#include "debris/settling.hpp"
#include "supply/fuel_way.hpp"

namespace fw::assess {

namespace {

using debris::FuelWay;
using system::LineSheet;
using units::Dimension;

constexpr double usual_height_m = 0.25;  // inside height of a tank, typical
constexpr double noticed = 0.02;         // change of the feed that is worth a word
constexpr double steel_kg_per_m3 = 7850.0;
constexpr double fine_m = 10e-6;  // size that a filter is told by

/// Collects one way: each of its numbers once, with what says so.
class Join {
 public:
  Join(std::string system, MetalInput& out) : system_(std::move(system)), out_(&out) {}

  Result<FuelWay> way(const casefile::StatedWay& stated, const LineSheet* sheet, const FuelWay* else_, const Run& run) {
    FuelWay way = else_ != nullptr ? *else_ : FuelWay{};
    std::optional<CruiseFlows> flows;
    if (sheet != nullptr) {
      auto found = cruise_flows(*sheet, run);
      if (!found) return fail(found.error().in_file(sheet->file));
      flows = std::move(*found);
    }
    take_tank(way, stated, sheet);
    take_flows(way, stated, flows, else_ != nullptr);
    if (auto lacks = missing(way)) return fail(std::move(*lacks));
    take_filters(way, stated, sheet);
    const auto settling = debris::fall_velocities_m_per_s(
        steel_kg_per_m3,
        flows ? flows->liquid : fuel::Liquid{.density_kg_per_m3 = 835.0, .dynamic_viscosity_Pa_s = 3.34e-3});
    if (!settling) return fail(settling.error());
    way.settling_m_per_s = *settling;
    if (flows && std::abs(flows->spent_m3_per_s / flows->taken_m3_per_s - 1.0) > noticed) {
      out_->notes.push_back(
          fmt::format("{}: with all filters spent the engine is fed {:+.0f} % at cruise; what metal "
                      "does is worked out for clean ones.",
                      system_, 100.0 * (flows->spent_m3_per_s / flows->taken_m3_per_s - 1.0)));
    }
    return way;
  }

 private:
  /// What is told of a way, under its key.
  struct Told {
    const char* key;
    const char* what;
    Dimension dimension;
  };
  static constexpr Told tank{"tank_m3", "tank", Dimension::volume};
  static constexpr Told floor{"tank_floor_m2", "floor of the tank", Dimension::area};
  static constexpr Told feed{"feed_m3_per_s", "fuel to the engine", Dimension::volume_flow};
  static constexpr Told rail{"rail_share", "share that goes on to the rail", Dimension::ratio};
  static constexpr Told leak_off{"leak_off_share", "share of that which leaks off", Dimension::ratio};
  static constexpr Told primary{"primary_stops", "stopped at 10 um before the assist pump", Dimension::ratio};
  static constexpr Told last{"final_stops", "stopped at 10 um behind it", Dimension::ratio};

  void tell(const Told& told, double value, std::string from) {
    out_->facts.push_back({.system = system_,
                           .key = told.key,
                           .what = told.what,
                           .value = value,
                           .dimension = told.dimension,
                           .from = std::move(from)});
  }

  void take_tank(FuelWay& way, const casefile::StatedWay& stated, const LineSheet* sheet) {
    double height_m = usual_height_m;
    bool height_stated = false;
    if (sheet != nullptr) {
      const std::vector<const system::Leg*> legs = supply::supply_legs(*sheet);
      const system::Tank* from = legs.empty() ? nullptr : sheet->find_tank(legs.front()->from);
      if (from != nullptr && from->height_m.given()) {
        height_m = from->height_m.value;
        height_stated = true;
      }
      if (from != nullptr && from->volume_m3 && from->volume_m3->given() && !stated.tank_m3) {
        way.tank_m3 = from->volume_m3->value;
        tell(tank, way.tank_m3, sheet_words);
        if (!stated.tank_floor_m2) way.tank_floor_m2 = way.tank_m3 / height_m;
      }
    }
    if (stated.tank_m3) {
      way.tank_m3 = *stated.tank_m3;
      tell(tank, way.tank_m3, file_words);
    }
    if (stated.tank_floor_m2) {
      way.tank_floor_m2 = *stated.tank_floor_m2;
      tell(floor, way.tank_floor_m2, file_words);
    } else if (std::isfinite(way.tank_m3)) {
      if (!std::isfinite(way.tank_floor_m2) || stated.tank_m3) way.tank_floor_m2 = way.tank_m3 / height_m;
      tell(floor, way.tank_floor_m2, height_stated ? "volume/height of the sheet" : "volume/0.25 m, typical");
    }
  }

  void take_flows(FuelWay& way, const casefile::StatedWay& stated, const std::optional<CruiseFlows>& flows,
                  bool has_else) {
    const auto one = [&](const Told& told, double& field, const std::optional<double>& said, double solved,
                         double otherwise) {
      if (said) {
        field = *said;
        tell(told, field, file_words);
      } else if (flows) {
        field = solved;
        tell(told, field, "line sheet, cruise at 20 C");
      } else if (!has_else) {
        field = otherwise;
        if (std::isfinite(field)) tell(told, field, "assumed");
      }
    };
    const double taken = flows ? flows->taken_m3_per_s : 1.0;
    const double inward = flows ? taken - flows->housing_m3_per_s : 1.0;
    const double leaks = flows && inward > 0.0 ? std::clamp(1.0 - flows->burned_m3_per_s / inward, 0.0, 1.0) : 0.0;
    one(feed, way.feed_m3_per_s, stated.feed_m3_per_s, taken, std::numeric_limits<double>::quiet_NaN());
    one(rail, way.rail_share, stated.rail_share, inward / taken, 0.4);
    one(leak_off, way.leak_off_share, stated.leak_off_share, leaks, 0.3);
    if (stated.pump) way.pump = *stated.pump;
  }

  void take_filters(FuelWay& way, const casefile::StatedWay& stated, const LineSheet* sheet) {
    if (sheet != nullptr) {
      way.primary_efficiency.reset();
      way.final_efficiency.reset();
      for (const FilterOfWay& filter : filters_of(*sheet, way.feed_m3_per_s)) {
        if (!filter.stops) {
          out_->notes.push_back(fmt::format("{}: {} {}", system_, supply::title_of(*filter.part), filter.why_none));
          continue;
        }
        std::optional<debris::Bins>& side = filter.pumped ? way.final_efficiency : way.primary_efficiency;
        debris::Bins together = *filter.stops;
        if (side) {
          for (std::size_t bin = 0; bin < debris::bin_count; ++bin) {
            together[bin] = 1.0 - (1.0 - (*side)[bin]) * (1.0 - together[bin]);
          }
        }
        side = together;
      }
    }
    if (stated.primary_efficiency) way.primary_efficiency = stated.primary_efficiency;
    if (stated.final_efficiency) way.final_efficiency = stated.final_efficiency;
    const auto stops = [&](const Told& told, const std::optional<debris::Bins>& side, bool said) {
      if (!side) return;
      tell(told, (*side)[bin_at(fine_m)], said ? file_words : "printed size, low end");
    };
    stops(primary, way.primary_efficiency, stated.primary_efficiency.has_value());
    stops(last, way.final_efficiency, stated.final_efficiency.has_value());
  }

  static std::size_t bin_at(double size_m) {
    const std::span<const double> edges = debris::standard_edges_m();
    return static_cast<std::size_t>(std::ranges::upper_bound(edges, size_m) - edges.begin()) - 1;
  }

  [[nodiscard]] static std::optional<Error> missing(const FuelWay& way) {
    const auto lack = [](const char* field, const char* what, const char* hint) {
      return Error{.code = ErrorCode::invalid_input,
                   .where = {.field = field},
                   .found = fmt::format("no {}", what),
                   .expected = fmt::format("{} in metal.toml or by the line sheet as found", what),
                   .hint = hint};
    };
    if (!std::isfinite(way.tank_m3)) return lack("way.tank", "tank volume", "Write [way] tank = \"150 L\"");
    if (!std::isfinite(way.feed_m3_per_s))
      return lack("way.feed", "flow to the engine", "Write [way] feed = \"90 L/h\"");
    return std::nullopt;
  }

  static constexpr const char* file_words = "metal.toml";
  static constexpr const char* sheet_words = "line sheet";
  std::string system_;
  MetalInput* out_;
};

}  // namespace

Result<MetalInput> metal_input(const casefile::Metal& metal, std::span<const LineSheet> sheets,
                               std::optional<std::size_t> as_found, const Run& run) {
  MetalInput out{.input = metal.input, .as_designed = {}, .facts = {}, .notes = {}};
  if (as_found && *as_found > 0) {
    MetalInput unsaid{.input = {}, .as_designed = {}, .facts = {}, .notes = {}};
    auto designed = Join("as designed", unsaid).way({}, &sheets[*as_found - 1], nullptr, run);
    if (designed) {
      out.as_designed = std::move(*designed);
    } else if (designed.error().front().code == ErrorCode::cancelled) {
      return fail(designed.error());
    }
  }
  const LineSheet* found = as_found ? &sheets[*as_found] : nullptr;
  const LineSheet* rebuilt = as_found && *as_found + 1 < sheets.size() ? &sheets[*as_found + 1] : nullptr;
  auto way = Join("as found", out).way(metal.as_found, found, nullptr, run);
  if (!way) return fail(way.error());
  out.input.as_found = std::move(*way);
  if (rebuilt != nullptr || metal.as_rebuilt) {
    auto other = Join("as rebuilt", out)
                     .way(metal.as_rebuilt.value_or(casefile::StatedWay{}), rebuilt, &out.input.as_found, run);
    if (!other) return fail(other.error());
    out.input.as_rebuilt = std::move(*other);
  }
  return out;
}

}  // namespace fw::assess
