// SPDX-License-Identifier: Apache-2.0
#include "rail/capacity.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "numerics/roots.hpp"

namespace fw::rail {

namespace {

constexpr double lowest_Pa = 1.0e6;
constexpr double search_Pa = 350e6;  // end of published diesel densities

Result<void> check_question(const HighPressureSet& set, const CapacityFuel& fuel) {
  if (auto good = check_set(set); !good) return good;
  InputCheck check;
  check_liquid(check, fuel.charge);
  check_liquid(check, fuel.gap);
  check.positive(fuel.inlet.pressure_Pa, "inlet.pressure_Pa")
      .within(fuel.inlet.gas_fraction, {.low = 0.0, .high = 1.0}, "inlet.gas_fraction");
  if (check.failed()) return check.fault();
  return {};
}

double returned_kg_per_s(const HighPressureSet& set, const CapacityFuel& fuel, double shots_per_s, double rail_Pa) {
  return fuel.charge.free_density_kg_per_m3 * (shots_per_s * control_m3_at(set.injector, rail_Pa) +
                                               set.injectors * static_m3_per_s_at(set.injector, rail_Pa));
}

PumpState pump_at(const HighPressureSet& set, const CapacityFuel& fuel, double crank_rev_per_s, double rail_Pa) {
  return pump_state_unchecked(
      set.pump, fuel.charge, fuel.gap,
      {.shaft_rev_per_s = crank_rev_per_s * set.pump.crank_ratio, .rail_Pa = rail_Pa, .inlet = fuel.inlet});
}

// Full charge less leak, negative where the leak wins.
double net_kg_per_s(const PumpState& state) { return state.full_kg_per_s - state.leak_kg_per_s; }

// Highest pressure up to `cap_Pa` at which `surplus` is not negative; surplus falls with pressure.
template <class Surplus>  // one call site type per question, nothing to keep out of this file
double highest_held_Pa(Surplus&& surplus, double cap_Pa) {
  if (surplus(cap_Pa) >= 0.0) return cap_Pa;
  if (surplus(lowest_Pa) < 0.0) return 0.0;
  return numerics::brent(surplus, {.low = lowest_Pa, .high = cap_Pa}, {.x_tolerance = 1.0}).x;
}

// Lowest pressure whose full rate over the window makes the shot.
double needed_Pa(const HighPressureSet& set, const RailLiquid& liquid, double shot_kg, double window_s) {
  const double rate = shot_kg / window_s;
  const auto short_by = [&](double p) { return full_rate_kg_per_s(set.injector, liquid, p, set.cylinder_Pa) - rate; };
  if (short_by(search_Pa) < 0.0) return search_Pa;
  return numerics::brent(short_by, {.low = set.cylinder_Pa, .high = search_Pa}, {.x_tolerance = 1.0}).x;
}

CapacityPoint point_unchecked(const HighPressureSet& set, const CapacityFuel& fuel, const CapacityQuestion& question) {
  CapacityPoint point;
  point.crank_rev_per_s = question.crank_rev_per_s;
  point.demand_kg_per_s = question.power_W * set.consumption_kg_per_J;
  const double shots = set.shots_per_s(question.crank_rev_per_s);
  const double window_s = set.window_rad / (2.0 * std::numbers::pi * question.crank_rev_per_s);
  point.needed_Pa = needed_Pa(set, fuel.charge, point.demand_kg_per_s / shots, window_s);
  const auto surplus = [&](double p) {
    return net_kg_per_s(pump_at(set, fuel, question.crank_rev_per_s, p)) - point.demand_kg_per_s -
           returned_kg_per_s(set, fuel, shots, p);
  };
  point.sustainable_Pa = highest_held_Pa(surplus, set.rated_Pa);
  const PumpState rated = pump_at(set, fuel, question.crank_rev_per_s, set.rated_Pa);
  const double rated_need = point.demand_kg_per_s + returned_kg_per_s(set, fuel, shots, set.rated_Pa);
  point.delivery_margin = net_kg_per_s(rated) / rated_need - 1.0;
  const double at_Pa = std::max(point.sustainable_Pa, lowest_Pa);
  const PumpState state = pump_at(set, fuel, question.crank_rev_per_s, at_Pa);
  point.delivered_kg_per_s = state.delivered_kg_per_s;
  point.returned_kg_per_s = returned_kg_per_s(set, fuel, shots, at_Pa);
  point.leak_share =
      state.full_kg_per_s > 0.0 ? (state.leak_kg_per_s + point.returned_kg_per_s) / state.full_kg_per_s : 1.0;
  const double taken =
      std::min(state.full_kg_per_s, point.demand_kg_per_s + point.returned_kg_per_s + state.leak_kg_per_s);
  const double shaft = question.crank_rev_per_s * set.pump.crank_ratio;
  const double geometric = fuel.charge.density_at(at_Pa) * set.pump.displacement_m3_per_rev() * shaft;
  point.shaft_torque_N_m = set.pump.displacement_m3_per_rev() * std::min(1.0, taken / geometric) * at_Pa /
                           (2.0 * std::numbers::pi * set.pump.mechanical_efficiency);
  point.inlet_m3_per_s = taken / fuel.charge.density_at(fuel.inlet.pressure_Pa) +
                         set.pump.housing_m3_per_s * shaft / set.pump.rated_rev_per_s;
  point.holds = point.sustainable_Pa >= point.needed_Pa;
  if (point.needed_Pa > set.rated_Pa) {
    point.limit = Limit::injector;
  } else if (point.sustainable_Pa < set.rated_Pa) {
    point.limit = state.filling.limited_by_inlet ? Limit::supply : Limit::pump;
  }
  return point;
}

}  // namespace

std::string_view name(Limit limit) {
  switch (limit) {
    case Limit::none: return "none";
    case Limit::supply: return "supply";
    case Limit::pump: return "pump";
    case Limit::injector: return "injector";
    case Limit::pressure: return "pressure";
  }
  return "none";
}

Result<CapacityPoint> capacity_point(const HighPressureSet& set, const CapacityFuel& fuel,
                                     const CapacityQuestion& question) {
  if (const auto good = check_question(set, fuel); !good) return fail(good.error());
  InputCheck check;
  check.positive(question.crank_rev_per_s, "crank_rev_per_s").positive(question.power_W, "power_W");
  if (check.failed()) return check.fault();
  return point_unchecked(set, fuel, question);
}

Result<Ceiling> fuel_ceiling(const HighPressureSet& set, const CapacityFuel& fuel, double crank_rev_per_s,
                             const Duration& duration) {
  if (const auto good = check_question(set, fuel); !good) return fail(good.error());
  InputCheck check;
  check.positive(crank_rev_per_s, "crank_rev_per_s");
  if (duration.kind == Duration::Kind::fixed) check.positive(duration.full_rate_s, "duration.full_rate_s");
  if (check.failed()) return check.fault();
  const double shots = set.shots_per_s(crank_rev_per_s);
  const double open_s = duration.kind == Duration::Kind::fixed
                            ? duration.full_rate_s
                            : set.window_rad / (2.0 * std::numbers::pi * crank_rev_per_s);
  const auto injected = [&](double p) {
    return shots * open_s * full_rate_kg_per_s(set.injector, fuel.charge, p, set.cylinder_Pa);
  };
  const auto surplus = [&](double p) {
    return net_kg_per_s(pump_at(set, fuel, crank_rev_per_s, p)) - injected(p) - returned_kg_per_s(set, fuel, shots, p);
  };
  Ceiling ceiling;
  ceiling.uncapped_Pa = highest_held_Pa(surplus, search_Pa);
  ceiling.rail_Pa = std::min(ceiling.uncapped_Pa, set.rated_Pa);
  ceiling.injected_kg_per_s = injected(ceiling.rail_Pa);
  ceiling.returned_kg_per_s = returned_kg_per_s(set, fuel, shots, ceiling.rail_Pa);
  ceiling.power_W = ceiling.injected_kg_per_s / set.consumption_kg_per_J;
  if (ceiling.uncapped_Pa < set.rated_Pa) {
    const PumpState state = pump_at(set, fuel, crank_rev_per_s, std::max(ceiling.rail_Pa, lowest_Pa));
    ceiling.limit = state.filling.limited_by_inlet ? Limit::supply : Limit::pump;
  } else {
    ceiling.limit = duration.kind == Duration::Kind::fixed ? Limit::pressure : Limit::injector;
  }
  return ceiling;
}

Result<CapacityMap> capacity_map(const HighPressureSet& set, const CapacityFuel& fuel, const MapGrid& grid) {
  if (const auto good = check_question(set, fuel); !good) return fail(good.error());
  InputCheck check;
  check.that(grid.speeds >= 1 && grid.speeds <= 1000, "grid.speeds", fmt::format("{}", grid.speeds), "1 to 1000")
      .that(grid.powers >= 1 && grid.powers <= 1000, "grid.powers", fmt::format("{}", grid.powers), "1 to 1000")
      .positive(grid.lowest_rev_per_s, "grid.lowest_rev_per_s")
      .positive(grid.highest_rev_per_s, "grid.highest_rev_per_s")
      .positive(grid.highest_W, "grid.highest_W");
  if (check.failed()) return check.fault();
  check.that(grid.highest_rev_per_s >= grid.lowest_rev_per_s, "grid.highest_rev_per_s",
             fmt::format("{:.6g} 1/s", grid.highest_rev_per_s), "not below the lowest speed");
  if (check.failed()) return check.fault();
  CapacityMap map;
  for (int i = 0; i < grid.speeds; ++i) {
    const double share = grid.speeds > 1 ? i / (grid.speeds - 1.0) : 1.0;
    map.crank_rev_per_s.push_back(grid.lowest_rev_per_s + share * (grid.highest_rev_per_s - grid.lowest_rev_per_s));
  }
  for (int i = 1; i <= grid.powers; ++i) map.power_W.push_back(grid.highest_W * i / grid.powers);
  map.points.reserve(map.crank_rev_per_s.size() * map.power_W.size());
  for (const double power_W : map.power_W) {
    for (const double speed : map.crank_rev_per_s) {
      map.points.push_back(point_unchecked(set, fuel, {.crank_rev_per_s = speed, .power_W = power_W}));
    }
  }
  return map;
}

Result<SwapEffect> swap_effect(const HighPressureSet& before, const HighPressureSet& after, const CapacityFuel& fuel,
                               double crank_rev_per_s, const Duration& duration) {
  const auto old_ceiling = fuel_ceiling(before, fuel, crank_rev_per_s, duration);
  if (!old_ceiling) return fail(old_ceiling.error().in_field("before"));
  const auto new_ceiling = fuel_ceiling(after, fuel, crank_rev_per_s, duration);
  if (!new_ceiling) return fail(new_ceiling.error().in_field("after"));
  const auto inlet = [&](const HighPressureSet& set, const Ceiling& ceiling) {
    const double rail_Pa = std::max(ceiling.rail_Pa, lowest_Pa);
    const double leak = pump_at(set, fuel, crank_rev_per_s, rail_Pa).leak_kg_per_s;
    return (ceiling.injected_kg_per_s + ceiling.returned_kg_per_s + leak) /
               fuel.charge.density_at(fuel.inlet.pressure_Pa) +
           set.pump.housing_m3_per_s * crank_rev_per_s * set.pump.crank_ratio / set.pump.rated_rev_per_s;
  };
  return SwapEffect{.before = *old_ceiling,
                    .after = *new_ceiling,
                    .ceiling_ratio = old_ceiling->injected_kg_per_s > 0.0
                                         ? new_ceiling->injected_kg_per_s / old_ceiling->injected_kg_per_s
                                         : 1.0,
                    .inlet_before_m3_per_s = inlet(before, *old_ceiling),
                    .inlet_after_m3_per_s = inlet(after, *new_ceiling)};
}

Result<WorkedDemand> worked_demand(const HighPressureSet& set, const RailLiquid& liquid,
                                   const CapacityQuestion& question, double margin) {
  if (const auto good = check_set(set); !good) return fail(good.error());
  InputCheck check;
  check_liquid(check, liquid);
  check.positive(question.crank_rev_per_s, "crank_rev_per_s")
      .positive(question.power_W, "power_W")
      .within(margin, {.low = 0.0, .high = 1.0}, "margin");
  if (check.failed()) return check.fault();
  const double shots = set.shots_per_s(question.crank_rev_per_s);
  const double mass = question.power_W * set.consumption_kg_per_J;
  const double volume = mass / liquid.free_density_kg_per_m3 + shots * control_m3_at(set.injector, set.rated_Pa) +
                        set.injectors * static_m3_per_s_at(set.injector, set.rated_Pa);
  return WorkedDemand{.shot_kg = mass / shots, .rail_m3_per_s = (1.0 + margin) * volume};
}

}  // namespace fw::rail
