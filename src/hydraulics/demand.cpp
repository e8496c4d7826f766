// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/demand.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "base/input_check.hpp"

namespace fw::hydraulics {

namespace {

constexpr double cruise_share = 0.30;           // of rated power, assumed
constexpr double no_load_per_s = 0.5 / 3600.0;  // 0.5 L/h per litre at idle, from memory
constexpr double held_speed_per_s = 2000.0 / 60.0;

void check_engine(InputCheck& check, const EngineFacts& engine) {
  check.positive(engine.displacement_m3, "engine.displacement_m3")
      .positive(engine.rated_power_W, "engine.rated_power_W")
      .positive(engine.rated_speed_per_s, "engine.rated_speed_per_s")
      .positive(engine.idle_speed_per_s, "engine.idle_speed_per_s")
      .positive(engine.crank_speed_per_s, "engine.crank_speed_per_s")
      .positive(engine.rated_consumption_kg_per_J, "engine.rated_consumption_kg_per_J")
      .positive(engine.torque_peak_consumption_kg_per_J, "engine.torque_peak_consumption_kg_per_J")
      .within(engine.leakoff_share, {.low = 0.0, .high = 1.0}, "engine.leakoff_share")
      .non_negative(engine.housing_flow_m3_per_s, "engine.housing_flow_m3_per_s");
  if (engine.torque_peak_power_W) check.positive(*engine.torque_peak_power_W, "engine.torque_peak_power_W");
  if (engine.torque_peak_speed_per_s) check.positive(*engine.torque_peak_speed_per_s, "engine.torque_peak_speed_per_s");
  if (check.failed()) return;
  check.that(engine.idle_speed_per_s <= engine.rated_speed_per_s, "engine.idle_speed_per_s", [&] {
    return Mismatch{.found = fmt::format("{:.6g} rpm", 60.0 * engine.idle_speed_per_s),
                    .expected = fmt::format("at most the rated speed, {:.6g} rpm", 60.0 * engine.rated_speed_per_s)};
  });
}

EngineDemand demand_of(const EngineFacts& engine, double injected_m3_per_s, double speed_per_s) {
  return {.injected_m3_per_s = injected_m3_per_s,
          .leakoff_m3_per_s = engine.leakoff_share * injected_m3_per_s,
          .housing_m3_per_s = engine.housing_flow_m3_per_s * speed_per_s / engine.rated_speed_per_s,
          .speed_per_s = speed_per_s};
}

}  // namespace

double raised_speed_per_s(double rated_speed_per_s) { return std::min(held_speed_per_s, rated_speed_per_s); }

Result<EngineDemand> no_load_demand(const EngineFacts& engine, double speed_per_s) {
  InputCheck check;
  check_engine(check, engine);
  check.non_negative(speed_per_s, "speed_per_s");
  if (check.failed()) return check.fault();
  return demand_of(engine, no_load_per_s * engine.displacement_m3 * speed_per_s / engine.idle_speed_per_s, speed_per_s);
}

Result<EngineDemand> load_demand(const EngineFacts& engine, const LoadPoint& load, double density_kg_per_m3) {
  InputCheck check;
  check_engine(check, engine);
  check.non_negative(load.power_W, "load.power_W")
      .positive(load.consumption_kg_per_J, "load.consumption_kg_per_J")
      .non_negative(load.speed_per_s, "load.speed_per_s")
      .positive(density_kg_per_m3, "density_kg_per_m3");
  if (check.failed()) return check.fault();
  return demand_of(engine, load.power_W * load.consumption_kg_per_J / density_kg_per_m3, load.speed_per_s);
}

Result<EngineDemand> engine_demand(const EngineFacts& engine, EnginePoint point, double density_kg_per_m3) {
  InputCheck check;
  check_engine(check, engine);
  check.positive(density_kg_per_m3, "density_kg_per_m3");
  if (check.failed()) return check.fault();
  switch (point) {
    case EnginePoint::stopped: return EngineDemand{};
    case EnginePoint::crank: return demand_of(engine, 0.0, engine.crank_speed_per_s);
    case EnginePoint::idle: return no_load_demand(engine, engine.idle_speed_per_s);
    case EnginePoint::raised: return no_load_demand(engine, raised_speed_per_s(engine.rated_speed_per_s));
    case EnginePoint::cruise:
      return load_demand(engine,
                         {.power_W = cruise_share * engine.rated_power_W,
                          .consumption_kg_per_J = engine.torque_peak_consumption_kg_per_J,
                          .speed_per_s = engine.torque_peak_speed_per_s.value_or(engine.rated_speed_per_s)},
                         density_kg_per_m3);
    case EnginePoint::torque_peak:
      if (!engine.torque_peak_power_W || !engine.torque_peak_speed_per_s) {
        return fail(Error{.code = ErrorCode::not_found,
                          .where = {.field = engine.torque_peak_power_W ? "engine.torque_peak_speed_per_s"
                                                                        : "engine.torque_peak_power_W"},
                          .found = "nothing",
                          .expected = "power and speed at the torque peak",
                          .hint = "Enter both, or leave this point out"});
      }
      return load_demand(engine,
                         {.power_W = *engine.torque_peak_power_W,
                          .consumption_kg_per_J = engine.torque_peak_consumption_kg_per_J,
                          .speed_per_s = *engine.torque_peak_speed_per_s},
                         density_kg_per_m3);
    case EnginePoint::rated:
      return load_demand(engine,
                         {.power_W = engine.rated_power_W,
                          .consumption_kg_per_J = engine.rated_consumption_kg_per_J,
                          .speed_per_s = engine.rated_speed_per_s},
                         density_kg_per_m3);
  }
  return invalid("point", "no engine point", "one of the named engine points");
}

}  // namespace fw::hydraulics
