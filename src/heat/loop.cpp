// SPDX-License-Identifier: Apache-2.0
#include "heat/loop.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "base/input_check.hpp"
#include "fuel/thermal.hpp"
#include "numerics/roots.hpp"

namespace fw::heat {

namespace {

constexpr double day_tolerance_K = 0.01;
constexpr double largest_cooler_W_per_K = 1000.0;

Result<void> check_loop(const FuelLoop& loop) {
  InputCheck check;
  check.positive(loop.tank.volume_m3, "loop.tank.volume_m3")
      .non_negative(loop.tank.dead_volume_m3, "loop.tank.dead_volume_m3")
      .non_negative(loop.tank.conductance_W_per_K, "loop.tank.conductance_W_per_K");
  if (check.failed()) return check.fault();
  check.that(loop.tank.dead_volume_m3 < loop.tank.volume_m3, "loop.tank.dead_volume_m3",
             fmt::format("{:.6g} m3", loop.tank.dead_volume_m3), "less than the fuel in the tank");
  if (check.failed()) return check.fault();
  return {};
}

Result<double> heat_capacity(const fuel::Fuel& fuel, double temperature_K) {
  const auto capacity = fuel::heat_capacity_J_per_kg_K(fuel, temperature_K);
  if (!capacity) return fail(capacity.error());
  return capacity->value;
}

}  // namespace

Result<LoopState> loop_state(const FuelLoop& loop, const fuel::Fuel& fuel, double tank_K, double air_K,
                             EngineHeatLaw engine) {
  if (const auto good = check_loop(loop); !good) return fail(good.error());
  InputCheck check;
  check.within(tank_K, {.low = fuel::lowest_temperature_K, .high = fuel::highest_temperature_K}, "tank_K")
      .positive(air_K, "air_K");
  if (check.failed()) return check.fault();
  const auto capacity = heat_capacity(fuel, tank_K);
  if (!capacity) return fail(capacity.error());
  LoopState state{.tank_K = tank_K};
  // The supply line's loss depends on what the engine takes, which depends on the inlet temperature but weakly: two
  // rounds.
  state.inlet_K = tank_K;
  for (int round = 0; round < 2; ++round) {
    const auto heat = engine(state.inlet_K);
    if (!heat) return fail(heat.error());
    state.engine = *heat;
    InputCheck law;
    law.positive(heat->taken_kg_per_s, "engine.taken_kg_per_s")
        .within(heat->returned_kg_per_s, {.low = 0.0, .high = heat->taken_kg_per_s}, "engine.returned_kg_per_s")
        .positive(heat->return_K, "engine.return_K");
    if (law.failed()) return law.fault();
    const auto inlet = line_end_K(
        loop.supply, {.mass_kg_per_s = heat->taken_kg_per_s, .heat_capacity_J_per_kg_K = *capacity}, tank_K, air_K);
    if (!inlet) return fail(inlet.error().in_field("loop.supply"));
    state.inlet_K = *inlet;
  }
  const auto heat = engine(state.inlet_K);
  if (!heat) return fail(heat.error());
  state.engine = *heat;
  state.engine_return_K = heat->return_K;
  state.tank_return_K = heat->return_K;
  if (heat->returned_kg_per_s > 0.0) {
    const FuelStream stream{.mass_kg_per_s = heat->returned_kg_per_s, .heat_capacity_J_per_kg_K = *capacity};
    const auto cooled = cooler_W(loop.cooler, stream, state.engine_return_K, air_K);
    if (!cooled) return fail(cooled.error().in_field("loop"));
    state.cooler_W = *cooled;
    const double after = state.engine_return_K - *cooled / (stream.mass_kg_per_s * *capacity);
    const auto end = line_end_K(loop.back, stream, after, air_K);
    if (!end) return fail(end.error().in_field("loop.back"));
    state.tank_return_K = *end;
  }
  state.heat_W = heat->returned_kg_per_s * *capacity * (state.tank_return_K - tank_K);
  const auto viscosity = fuel::kinematic_viscosity_m2_per_s(fuel, state.inlet_K);
  if (!viscosity) return fail(viscosity.error());
  state.inlet_viscosity_m2_per_s = viscosity->value;
  state.range = viscosity->range;
  return state;
}

Result<SteadyLoop> steady_loop(const FuelLoop& loop, const fuel::Fuel& fuel, double air_K, EngineHeatLaw engine) {
  if (const auto good = check_loop(loop); !good) return fail(good.error());
  InputCheck check;
  check.within(air_K, {.low = fuel::lowest_temperature_K, .high = fuel::highest_temperature_K - 50.0}, "air_K");
  if (check.failed()) return check.fault();
  std::optional<Errors> fault;
  const auto balance = [&](double tank_K) {
    if (fault) return 0.0;
    const auto state = loop_state(loop, fuel, tank_K, air_K, engine);
    if (!state) {
      fault = state.error();
      return 0.0;
    }
    return state->heat_W - loop.tank.conductance_W_per_K * (tank_K - air_K);
  };
  // Walks up from the air until the balance turns: a law may have no answer far above, where it would not be needed.
  double low = air_K;
  double high = air_K;
  double above = balance(low);
  if (fault) return fail(*fault);
  const double step_K = above >= 0.0 ? 10.0 : -10.0;
  const double sign = above >= 0.0 ? 1.0 : -1.0;
  while (above * sign > 0.0) {
    low = high;
    high += step_K;
    if (high > fuel::highest_temperature_K || high < fuel::lowest_temperature_K) {
      return outside("loop", "a loop that finds no balance below 200 C", "more cooling or less heat",
                     "Enter a cooler or a larger tank");
    }
    above = balance(high);
    if (fault) return fail(*fault);
  }
  SteadyLoop steady;
  if (low != high) {
    const auto root =
        numerics::brent(balance, {.low = std::min(low, high), .high = std::max(low, high)}, {.x_tolerance = 1e-6});
    if (fault) return fail(*fault);
    high = root.x;
    steady.iterations = root.iterations;
  }
  const auto state = loop_state(loop, fuel, high, air_K, engine);
  if (!state) return fail(state.error());
  steady.state = *state;
  steady.residual_W = state->heat_W - loop.tank.conductance_W_per_K * (high - air_K);
  return steady;
}

Result<Day> work_day(const FuelLoop& loop, const fuel::Fuel& fuel, double start_K, const std::vector<DayPart>& parts,
                     const std::vector<EngineHeatLaw>& engines, double step_s) {
  if (const auto good = check_loop(loop); !good) return fail(good.error());
  InputCheck check;
  check.that(!parts.empty(), "parts", "none", "at least one part of a day").positive(step_s, "step_s");
  for (std::size_t i = 0; i < parts.size() && !check.failed(); ++i) {
    const std::string name = fmt::format("parts[{}].", i);
    check.positive(parts[i].duration_s, name + "duration_s")
        .positive(parts[i].air_K, name + "air_K")
        .that(parts[i].engine_point < engines.size(), name + "engine_point", fmt::format("{}", parts[i].engine_point),
              fmt::format("below {}", engines.size()));
    if (parts[i].tank_W_per_K) check.non_negative(*parts[i].tank_W_per_K, name + "tank_W_per_K");
    check.that(check.failed() || parts[i].duration_s <= 1e6, name + "duration_s", "more than eleven days", "a day");
  }
  if (check.failed()) return check.fault();
  const auto density = fuel::density_kg_per_m3(fuel, start_K);
  if (!density) return fail(density.error());

  struct Slope {
    double tank_K_per_s, mass_kg_per_s;
  };
  std::optional<Errors> fault;
  const auto slope = [&](const DayPart& part, double tank_K, double mass_kg) {
    Slope s{};
    const auto state = loop_state(loop, fuel, tank_K, part.air_K, engines[part.engine_point]);
    const auto capacity = heat_capacity(fuel, tank_K);
    if (!state || !capacity) {
      fault = state ? capacity.error() : state.error();
      return s;
    }
    const double given_W = part.tank_W_per_K.value_or(loop.tank.conductance_W_per_K) * (tank_K - part.air_K);
    s.tank_K_per_s = (state->heat_W - given_W) / (mass_kg * *capacity);
    s.mass_kg_per_s = state->engine.returned_kg_per_s - state->engine.taken_kg_per_s;
    return s;
  };

  Day day;
  double time_s = 0.0;
  double tank_K = start_K;
  double mass_kg = density->value * loop.tank.volume_m3;
  const double dead_kg = density->value * loop.tank.dead_volume_m3;
  const auto keep = [&](std::size_t part) {
    const auto state = loop_state(loop, fuel, tank_K, parts[part].air_K, engines[parts[part].engine_point]);
    if (!state) {
      fault = state.error();
      return;
    }
    day.samples.push_back({.time_s = time_s, .fuel_kg = mass_kg, .state = *state, .part = part});
    if (day.samples.size() == 1 || state->inlet_K > day.hottest.state.inlet_K) day.hottest = day.samples.back();
  };
  const auto stepped = [&](const DayPart& part, double from_K, double from_kg, double h) {
    const Slope a = slope(part, from_K, from_kg);
    const Slope b = slope(part, from_K + 0.5 * h * a.tank_K_per_s, from_kg + 0.5 * h * a.mass_kg_per_s);
    const Slope c = slope(part, from_K + 0.5 * h * b.tank_K_per_s, from_kg + 0.5 * h * b.mass_kg_per_s);
    const Slope d = slope(part, from_K + h * c.tank_K_per_s, from_kg + h * c.mass_kg_per_s);
    const double k = h / 6.0;
    return std::pair{from_K + k * (a.tank_K_per_s + 2 * b.tank_K_per_s + 2 * c.tank_K_per_s + d.tank_K_per_s),
                     from_kg + k * (a.mass_kg_per_s + 2 * b.mass_kg_per_s + 2 * c.mass_kg_per_s + d.mass_kg_per_s)};
  };
  keep(0);
  for (std::size_t p = 0; p < parts.size() && !fault && !day.ran_dry; ++p) {
    double left_s = parts[p].duration_s;
    double h = std::min(step_s, left_s);
    while (left_s > 1e-9 && !fault) {
      h = std::min(h, left_s);
      const Slope now = slope(parts[p], tank_K, mass_kg);
      if (fault) break;
      if (mass_kg + h * now.mass_kg_per_s <= dead_kg || mass_kg <= dead_kg) {
        day.ran_dry = true;
        break;
      }
      const auto once = stepped(parts[p], tank_K, mass_kg, h);
      const auto half = stepped(parts[p], tank_K, mass_kg, 0.5 * h);
      if (fault) break;
      const auto twice = stepped(parts[p], half.first, half.second, 0.5 * h);
      if (fault) break;
      if (std::abs(once.first - twice.first) > day_tolerance_K && h > 1.0) {
        h *= 0.5;
        continue;
      }
      day.largest_step_error_K = std::max(day.largest_step_error_K, std::abs(once.first - twice.first));
      tank_K = twice.first;
      mass_kg = twice.second;
      time_s += h;
      left_s -= h;
      keep(p);
      h = step_s;
    }
  }
  if (fault) return fail(*fault);
  return day;
}

Result<double> cooler_need_W_per_K(FuelLoop loop, const fuel::Fuel& fuel, double air_K, EngineHeatLaw engine,
                                   double highest_inlet_K) {
  InputCheck check;
  check.positive(highest_inlet_K, "highest_inlet_K");
  if (check.failed()) return check.fault();
  std::optional<Errors> fault;
  const auto over = [&](double conductance) {
    loop.cooler.conductance_W_per_K = conductance;
    const auto steady = steady_loop(loop, fuel, air_K, engine);
    if (!steady) {
      // No balance below 200 C counts as too hot, whatever is too hot by.
      if (steady.error().front().code == ErrorCode::outside_model) return fuel::highest_temperature_K;
      fault = steady.error();
      return 0.0;
    }
    return steady->state.inlet_K - highest_inlet_K;
  };
  if (over(0.0) <= 0.0 && !fault) return 0.0;
  if (fault) return fail(*fault);
  if (over(largest_cooler_W_per_K) > 0.0 && !fault) {
    return outside("highest_inlet_K", fmt::format("{:.4g} K", highest_inlet_K),
                   "a temperature that a cooler of 1,000 W/K in the return can hold", "Cool the supply or the tank");
  }
  if (fault) return fail(*fault);
  const auto root = numerics::brent(over, {.low = 0.0, .high = largest_cooler_W_per_K}, {.x_tolerance = 1e-3});
  if (fault) return fail(*fault);
  return root.x;
}

}  // namespace fw::heat
