// SPDX-License-Identifier: Apache-2.0
#include "system/rail_side.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>
#include <utility>

#include <fmt/format.h>

namespace fw::system {

namespace {

constexpr double atmosphere_Pa = 101325.0;
constexpr double usual_use = 0.86;  // layouts, engine archetypes, typical
constexpr double loop_tolerance_K = 0.05;
constexpr int most_passes = 20;
constexpr double highest_Pa = 200e6;   // of the tables of compressed fuel
constexpr double gap_warmer_K = 40.0;  // of the gaps over the charge for the pressure held, assumed
constexpr double hottest_gap_K = 423.15;
constexpr double lowest_inlet_Pa = 1e3;  // absolute
constexpr double lowest_rail_Pa = 1e6;

// What a field of the set is called on the sheet.
constexpr std::array<std::pair<std::string_view, std::string_view>, 8> sheet_keys{
    {{"rail_volume_m3", "rail_volume"},
     {"injectors", "injector_count"},
     {"rated_Pa", "rated_pressure"},
     {"idle_Pa", "idle_pressure"},
     {"relief.open_Pa", "relief_pressure"},
     {"pump.drive.stroke_m", "plunger_stroke"},
     {"pump.plunger_bore_m", "plunger_bore"},
     {"pump.crank_ratio", "crank_ratio"}}};

}  // namespace

Result<RailSide> rail_side(const LineSheet& sheet) {
  const HighSide& high = sheet.high_side;
  const auto at = [&](Error error) {
    error.where.file = high.origin.file;
    error.where.line = high.origin.line;
    return fail(std::move(error));
  };
  if (high.cylinders <= 0) {
    return at({.code = ErrorCode::invalid_input,
               .where = {.field = "high_side.cylinders"},
               .found = "no number of cylinders",
               .expected = "a [high_side] table with cylinders",
               .hint = "Write [high_side] and cylinders = 8"});
  }
  const auto generic = rail::generic_set(high.plungers >= 3 ? "i4" : "v8");
  if (!generic) return fail(generic.error());
  const rail::HighPressureSet& base = *generic;
  RailSide side{.set = base};
  rail::HighPressureSet& set = side.set;
  const auto take = [&](const std::optional<Stated>& fact, double fallback, const char* words) {
    if (fact && fact->given()) return fact->value;
    side.assumed.emplace_back(words);
    return fallback;
  };
  const Engine& engine = sheet.engine;
  set.id = sheet.name;
  set.cylinders = high.cylinders;
  set.injectors = high.injector_count > 0 ? high.injector_count : high.cylinders;
  set.rails = std::clamp(high.rails, 1, 2);
  set.rated_W = engine.rated_power_W.value;
  set.rated_rev_per_s = engine.rated_speed_per_s.value;
  if (engine.idle_speed_per_s.given()) set.idle_rev_per_s = engine.idle_speed_per_s.value;
  if (engine.crank_speed_per_s.given()) set.cranking_rev_per_s = engine.crank_speed_per_s.value;
  if (engine.rated_consumption_kg_per_J.given()) set.consumption_kg_per_J = engine.rated_consumption_kg_per_J.value;
  if (engine.housing_flow_m3_per_s.given()) set.pump.housing_m3_per_s = engine.housing_flow_m3_per_s.value;

  rail::Pump& pump = set.pump;
  if (high.plungers > 0) {
    pump.drive.plungers = high.plungers;
  } else {
    side.assumed.emplace_back("number of plungers");
  }
  pump.crank_ratio = take(high.crank_ratio, pump.crank_ratio, "pump speed over crank speed");
  pump.rated_rev_per_s = set.rated_rev_per_s * pump.crank_ratio;
  pump.plunger_bore_m = take(high.plunger_bore_m, pump.plunger_bore_m, "plunger bore");
  pump.gap.bore_m = pump.plunger_bore_m;
  pump.gap.length_m *= pump.plunger_bore_m / base.pump.plunger_bore_m;
  pump.gap.clearance_m = take(high.plunger_clearance_m, pump.gap.clearance_m, "plunger clearance");
  const double per_rev = pump.drive.strokes_per_rev();
  if (high.plunger_stroke_m && high.plunger_stroke_m->given()) {
    pump.drive.stroke_m = high.plunger_stroke_m->value;
  } else {
    double displacement_m3 = 0.0;
    if (high.displacement_m3 && high.displacement_m3->given()) {
      displacement_m3 = high.displacement_m3->value;
    } else {
      side.assumed.emplace_back("pump displacement");
      side.sized_to_engine = true;
      // Fuel per turn, at the worse of rated power and torque peak.
      double per_turn_kg = set.rated_W * set.consumption_kg_per_J / set.rated_rev_per_s;
      if (engine.torque_peak_power_W.given() && engine.torque_peak_speed_per_s.given()) {
        const double consumption = engine.torque_peak_consumption_kg_per_J.given()
                                       ? engine.torque_peak_consumption_kg_per_J.value
                                       : set.consumption_kg_per_J;
        per_turn_kg = std::max(per_turn_kg,
                               engine.torque_peak_power_W.value * consumption / engine.torque_peak_speed_per_s.value);
      }
      displacement_m3 = 1.2 * per_turn_kg / (817.0 * 0.8 * usual_use * pump.crank_ratio);
    }
    pump.drive.stroke_m = displacement_m3 / (per_rev * pump.plunger_area_m2());
  }
  const auto stated = [](const std::optional<Stated>& fact) { return fact && fact->given() && !fact->unknown; };
  side.filling_stated = stated(high.displacement_m3) || (stated(high.plunger_bore_m) && stated(high.plunger_stroke_m));
  const double scale = pump.stroke_volume_m3() / base.pump.stroke_volume_m3();
  pump.dead_volume_m3 *= scale;
  const double swept = pump.displacement_m3_per_rev() * pump.rated_rev_per_s /
                       (base.pump.displacement_m3_per_rev() * base.pump.rated_rev_per_s);
  pump.inlet_valve_m2 *= std::max(1.0, scale * pump.rated_rev_per_s / base.pump.rated_rev_per_s);
  pump.metering.largest_m2 *= std::max(1.0, swept);

  // Nozzles so that the rated shot takes the same crank angle as in the generic set.
  const double rate_ratio = set.rated_W * set.consumption_kg_per_J / set.cylinders /
                            (base.rated_W * base.consumption_kg_per_J / base.cylinders);
  if (high.nozzle_flow_m3_per_s && high.nozzle_flow_m3_per_s->given()) {
    const auto area = rail::nozzle_area_m2(high.nozzle_flow_m3_per_s->value);
    if (!area) return fail(area.error().in_field("high_side"));
    set.injector.nozzle_m2 = *area;
  } else {
    side.assumed.emplace_back("nozzle flow");
    side.sized_to_engine = true;
    set.injector.nozzle_m2 *= rate_ratio;
  }
  set.rail_volume_m3 =
      take(high.rail_volume_m3, base.rail_volume_m3 * base.rails * set.cylinders / base.cylinders / set.rails,
           "rail volume");
  set.feed_pipe.length_m = take(high.feed_pipe_length_m, set.feed_pipe.length_m, "feed pipe length");
  const double bore_m = take(high.feed_pipe_bore_m, set.feed_pipe.bore_m, "feed pipe bore");
  set.feed_pipe.outer_m *= bore_m / set.feed_pipe.bore_m;
  set.feed_pipe.bore_m = bore_m;
  set.rated_Pa = take(high.rated_pressure_Pa, base.rated_Pa - atmosphere_Pa, "rated rail pressure") + atmosphere_Pa;
  set.idle_Pa = take(high.idle_pressure_Pa, base.idle_Pa - atmosphere_Pa, "idle rail pressure") + atmosphere_Pa;
  set.relief.open_Pa =
      take(high.relief_pressure_Pa, base.relief.open_Pa - atmosphere_Pa, "relief pressure") + atmosphere_Pa;
  if (high.metering.find("pressure valve") != std::string::npos) set.pressure_valve = rail::PressureValve{};
  if (engine.inlet == InletClass::sucks) pump.transfer.kind = rail::TransferStage::Kind::gear;
  if (const auto good = rail::check_set(set); !good) {
    Error error = good.error().front();
    for (const auto& [field, key] : sheet_keys) {
      if (error.where.field == field) error.where.field = key;
    }
    return fail(Errors(std::move(error)).in_field("high_side"));
  }
  return side;
}

RailDemand::RailDemand(rail::HighPressureSet set, const rail::RailLiquid& liquid)
    : set_(std::move(set)), liquid_(liquid) {}

EngineTake RailDemand::take(const hydraulics::EngineDemand& demand, const EngineInlet& inlet) const {
  struct Able {
    double m3_per_s, inlet_share;
  };
  const auto charge = [&](double pressure_Pa) {
    const rail::FullCharge full =
        rail::full_charge(set_.pump, liquid_,
                          {.shaft_rev_per_s = demand.speed_per_s * set_.pump.crank_ratio,
                           .rail_Pa = std::max(set_.idle_Pa, pressure_Pa),
                           .inlet = {.pressure_Pa = std::max(1.0, pressure_Pa),
                                     .gas_fraction = std::clamp(inlet.void_fraction, 0.0, 1.0)}});
    return Able{.m3_per_s = full.kg_per_s / liquid_.density_at(std::max(1.0, pressure_Pa)),
                .inlet_share = full.inlet_share};
  };
  const double wanted = demand.injected_m3_per_s + demand.leakoff_m3_per_s;
  const Able able = charge(inlet.pressure_Pa);
  if (wanted <= 0.0 || able.m3_per_s >= wanted) {
    return {.taken_m3_per_s = demand.inlet_m3_per_s(), .returned_m3_per_s = demand.return_m3_per_s()};
  }
  const double share = able.m3_per_s / wanted;
  const double slope = std::max(0.0, (charge(inlet.pressure_Pa + 100.0).m3_per_s - able.m3_per_s) / 100.0);
  const double leak_share = demand.leakoff_m3_per_s / wanted;
  // Plungers that fill wholly and still fall short are the pump's lack, not the supply's.
  const double filled = able.inlet_share > 0.0 ? std::min(wanted, able.m3_per_s / able.inlet_share) : wanted;
  return {.taken_m3_per_s = able.m3_per_s + demand.housing_m3_per_s,
          .returned_m3_per_s = share * demand.leakoff_m3_per_s + demand.housing_m3_per_s,
          .taken_slope_m3_per_s_Pa = slope,
          .returned_slope_m3_per_s_Pa = slope * leak_share,
          .well_fed_m3_per_s = filled + demand.housing_m3_per_s};
}

double power_of_burn_W(const rail::HighPressureSet& set, double burned_m3_per_s, double density_kg_per_m3) {
  return burned_m3_per_s * density_kg_per_m3 / set.consumption_kg_per_J;
}

rail::PumpInlet pump_inlet(const PointState& supply) {
  return {.pressure_Pa = std::max(lowest_inlet_Pa, supply.ambient_Pa + supply.inlet_over_ambient_Pa),
          .gas_fraction = std::clamp(supply.inlet_void, 0.0, 1.0)};
}

Result<EngineReturn> engine_return(const RailSide& side, const fuel::Fuel& fuel, EnginePoint engine,
                                   double crank_rev_per_s, double power_W, double inlet_K,
                                   const rail::PumpInlet& inlet) {
  const auto charge = rail::rail_liquid(fuel, inlet_K, highest_Pa);
  if (!charge) return fail(charge.error());
  const auto gap = rail::rail_liquid(fuel, std::min(inlet_K + gap_warmer_K, hottest_gap_K), highest_Pa);
  if (!gap) return fail(gap.error());
  const auto held = rail::capacity_point(side.set, {.charge = charge->liquid, .gap = gap->liquid, .inlet = inlet},
                                         {.crank_rev_per_s = crank_rev_per_s, .power_W = power_W});
  if (!held) return fail(held.error());
  const bool idle = engine == EnginePoint::idle;
  const double rail_Pa =
      std::max(idle ? std::min(side.set.idle_Pa, held->sustainable_Pa) : held->sustainable_Pa, lowest_rail_Pa);
  const auto heat = rail::return_heat(
      side.set, fuel,
      {.crank_rev_per_s = crank_rev_per_s, .power_W = power_W, .rail_Pa = rail_Pa, .inlet_K = inlet_K, .inlet = inlet});
  if (!heat) return fail(heat.error());
  return EngineReturn{.rail_Pa = rail_Pa, .heat = *heat};
}

Result<TemperatureLoop> close_temperature_loop(const SupplyModel& model, const RailSide& side, const fuel::Fuel& fuel,
                                               const TemperatureLoopFacts& facts, const Run& run) {
  InputCheck check;
  check.positive(facts.air_K, "air_K");
  if (check.failed()) return check.fault();
  const LineSheet& sheet = model.sheet();
  const std::vector<double> slots = model.nominal();
  std::vector<double> leg_K(sheet.legs.size(), facts.point.fuel_temperature_K);
  TemperatureLoop loop;
  double inlet_K = facts.point.fuel_temperature_K;
  for (loop.passes = 1; loop.passes <= most_passes; ++loop.passes) {
    const auto at_inlet = rail::rail_liquid(fuel, inlet_K, highest_Pa);
    if (!at_inlet) return fail(at_inlet.error());
    const RailDemand demand(side.set, at_inlet->liquid);
    const SupplyModel::Case one{
        .point = facts.point, .slots = slots, .leg_temperature_K = &leg_K, .engine_law = &demand};
    auto solved = model.solve(std::span(&one, 1), run);
    if (!solved) return fail(solved.error());
    loop.supply = std::move(solved->front());
    const PointState& supply = loop.supply;
    if (supply.status != hydraulics::SolveStatus::converged) {
      return fail(Error{.code = ErrorCode::did_not_converge, .found = supply.trouble, .expected = "a solved supply"});
    }
    const rail::PumpInlet inlet = pump_inlet(supply);
    const double speed = facts.point.engine == EnginePoint::rated  ? side.set.rated_rev_per_s
                         : facts.point.engine == EnginePoint::idle ? side.set.idle_rev_per_s
                                                                   : 0.0;
    if (speed <= 0.0) {
      return invalid("point.engine", std::string(name(facts.point.engine)), "rated power or idle",
                     "The temperature loop runs at these points");
    }
    const double power_W = power_of_burn_W(side.set, supply.burned_m3_per_s, supply.liquid.density_kg_per_m3);
    const auto engine = [&](double at_K) -> Result<heat::EngineHeat> {
      const auto back = engine_return(side, fuel, facts.point.engine, speed, power_W, at_K, inlet);
      if (!back) return fail(back.error());
      loop.rail_Pa = back->rail_Pa;
      loop.engine = back->heat;
      return heat::EngineHeat{.taken_kg_per_s = loop.engine.taken_kg_per_s,
                              .returned_kg_per_s = loop.engine.returned_kg_per_s,
                              .return_K = loop.engine.return_K};
    };
    const auto steady = heat::steady_loop(facts.loop, fuel, facts.air_K, engine);
    if (!steady) return fail(steady.error());
    loop.heat = steady->state;
    loop.heat_residual_W = steady->residual_W;
    loop.residual_K = std::abs(steady->state.inlet_K - inlet_K);
    inlet_K = steady->state.inlet_K;
    for (std::size_t i = 0; i < sheet.legs.size(); ++i) {
      const bool back = sheet.legs[i].from == engine_return_end || sheet.find_tank(sheet.legs[i].to) != nullptr;
      leg_K[i] = back ? 0.5 * (loop.heat.engine_return_K + loop.heat.tank_return_K)
                      : 0.5 * (loop.heat.tank_K + loop.heat.inlet_K);
    }
    if (loop.residual_K <= loop_tolerance_K && loop.passes > 1) {
      loop.converged = true;
      break;
    }
  }
  loop.passes = std::min(loop.passes, most_passes);
  return loop;
}

}  // namespace fw::system
