// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "base/contract.hpp"
#include "hydraulics/tank.hpp"
#include "system/supply_body.hpp"

namespace fw::system {

namespace {

constexpr int most_passes = 40;
constexpr int most_law_passes = 240;  // where gas and valves settle anew for each flow that the engine's law tries
constexpr double settled_void = 1e-6;
// Of what the engine asks for: far below what a pump's charge is known to.
constexpr double settled_take = 1e-5;
constexpr double settled_pressure_Pa = 1.0;
constexpr double most_void = 0.999;
constexpr double settled_tee_Pa = 0.1;
constexpr double settled_tube = 1e-4;  // of its flow: the discharge coefficient follows far more weakly
constexpr double least_flow_m3_per_s = 1e-9;

/// Between these lies the void with which a pump's suction agrees: more void, less flow, less vacuum, less void.
struct VoidBracket {
  double low = 0.0;
  double high = most_void;
};

/// Next trial: what was found while that comes near quickly, then halving of the bracket.
double next_void(VoidBracket& bracket, double tried, double found, int pass) {
  constexpr int plain_passes = 4;
  (found > tried ? bracket.low : bracket.high) = tried;
  if (pass <= plain_passes) return found;
  return 0.5 * (bracket.low + bracket.high);
}

}  // namespace

/// Where the legs of a tee stand at given flows into it.
static Result<TeeState> tee_state(const TeeAt& tee, const CaseContext& c, const std::array<double, 3>& flow_m3_per_s) {
  const auto drops = hydraulics::tee_drops(
      {.build = tee.build, .run_bore_m = c.at(tee.run_bore), .branch_bore_m = c.at(tee.branch_bore)},
      {.first_run_m3_per_s = flow_m3_per_s[0],
       .second_run_m3_per_s = flow_m3_per_s[1],
       .branch_m3_per_s = flow_m3_per_s[2]},
      c.liquid);
  if (!drops) return fail(drops.error());
  const double factor = c.fitting_factor;
  TeeState state{.flow_m3_per_s = flow_m3_per_s,
                 .drop_Pa = {drops->first_run_Pa, drops->second_run_Pa, drops->branch_Pa},
                 .slope_Pa_s_per_m3 = {drops->first_run_slope_Pa_s_per_m3, drops->second_run_slope_Pa_s_per_m3,
                                       drops->branch_slope_Pa_s_per_m3}};
  for (std::size_t leg = 0; leg < state.drop_Pa.size(); ++leg) {
    state.drop_Pa.at(leg) *= factor;
    state.slope_Pa_s_per_m3.at(leg) *= factor;
  }
  return state;
}

/// What one case makes of the model, before any solving.
struct SupplyModel::Prepared {
  CaseContext context;
  std::vector<bool> stopped;
  std::vector<VoidBracket> bracket;
  int since = 0;  ///< pass in which the engine's law last changed the flow
};

Result<void> SupplyModel::prepare(const Case& one, Prepared& prepared) const {
  const Body& b = *body_;
  FW_EXPECTS(one.slots.size() == b.inputs.size());
  CaseContext& c = prepared.context;
  c.running = &one;
  c.slots = one.slots.data();
  const auto air = hydraulics::standard_atmosphere(one.point.altitude_m);
  if (!air) return fail(air.error().in_field("running point"));
  c.ambient_Pa = air->pressure_Pa;
  const auto liquid = fuel::liquid_at(b.fuel, one.point.fuel_temperature_K, c.ambient_Pa);
  if (!liquid) return fail(liquid.error().in_field("fuel"));
  c.liquid = *liquid;
  c.liquid.density_kg_per_m3 *= c.at(b.density);
  c.liquid.dynamic_viscosity_Pa_s *= c.at(b.density) * c.at(b.viscosity);
  c.rho_g = c.liquid.density_kg_per_m3 * gravity_m_per_s2;
  c.loading = one.point.filter_loading;
  c.fitting_factor = c.at(b.fitting_loss);
  c.voltage_V = std::max(0.0, one.point.voltage_V - (b.voltage_loss ? c.at(*b.voltage_loss) : 0.0));
  if (one.leg_temperature_K != nullptr) {
    FW_EXPECTS(one.leg_temperature_K->size() == b.sheet.legs.size());
    for (const double temperature_K : *one.leg_temperature_K) {
      auto there = fuel::liquid_at(b.fuel, temperature_K, c.ambient_Pa);
      if (!there) return fail(there.error().in_field("fuel"));
      there->density_kg_per_m3 *= c.at(b.density);
      there->dynamic_viscosity_Pa_s *= c.at(b.density) * c.at(b.viscosity);
      c.leg_liquid.push_back(*there);
    }
  }
  const auto& e = b.engine_slots;
  const hydraulics::EngineFacts engine{.displacement_m3 = c.at(e.displacement),
                                       .rated_power_W = c.at(e.rated_power),
                                       .rated_speed_per_s = c.at(e.rated_speed),
                                       .idle_speed_per_s = c.at(e.idle_speed),
                                       .crank_speed_per_s = c.at(e.crank_speed),
                                       .torque_peak_power_W = c.at(e.peak_power),
                                       .torque_peak_speed_per_s = c.at(e.peak_speed),
                                       .rated_consumption_kg_per_J = c.at(e.rated_consumption),
                                       .torque_peak_consumption_kg_per_J = c.at(e.peak_consumption),
                                       .leakoff_share = c.at(e.leakoff),
                                       .housing_flow_m3_per_s = c.at(e.housing)};
  const auto demand = hydraulics::engine_demand(engine, one.point.engine, c.liquid.density_kg_per_m3);
  if (!demand) return fail(demand.error().in_field("engine").in_file(b.sheet.file));
  c.asked = *demand;
  c.demand = *demand;
  c.speed_share = c.demand.speed_per_s / engine.rated_speed_per_s;

  prepared.stopped.assign(b.pumps.size(), false);
  for (std::size_t p = 0; p < b.pumps.size(); ++p) {
    const Part* part = b.sheet.find_part(b.pumps[p].part);
    const bool asked = one.stopped_pumps != nullptr && std::ranges::count(*one.stopped_pumps, part->id) > 0;
    prepared.stopped[p] = !part->pump->running || asked;
  }
  c.stopped = &prepared.stopped;
  c.pump_void.assign(b.pumps.size(), 0.0);
  prepared.bracket.assign(b.pumps.size(), {});
  c.crossed_Pa.assign(b.pumps.size(), c.ambient_Pa);
  const bool closing =
      one.relief_set == hydraulics::ReliefSet::closing || b.branch.relief_set == hydraulics::ReliefSet::closing;
  c.relief_set = closing ? hydraulics::ReliefSet::closing : hydraulics::ReliefSet::opening;
  c.tube_flow_m3_per_s.assign(b.tubes.size(), 0.0);
  c.back_Pa.assign(b.balanced.size(), 0.0);
  for (const TeeAt& tee : b.tees) {
    const auto at_rest = tee_state(tee, c, {});
    if (!at_rest) return fail(at_rest.error().in_field(tee.junction).in_file(b.sheet.file));
    c.tees.push_back(*at_rest);
  }
  for (const Body::TankSlots& tank : b.tanks) {
    double air_Pa = c.ambient_Pa;
    if (tank.vented && tank.blocked) {
      const auto trapped = hydraulics::blocked_vent_pressure_Pa(
          {.atmosphere_Pa = c.ambient_Pa, .ullage_m3 = c.at(tank.ullage), .burned_m3 = c.at(tank.burned)});
      if (!trapped) return fail(trapped.error().in_file(b.sheet.file));
      air_Pa = *trapped;
    }
    const double level = tank.level ? c.at(*tank.level) : one.point.tank_level;
    const double surface_m =
        c.at(tank.floor) + level * c.at(tank.height) + (tank.along ? one.point.slope * c.at(*tank.along) : 0.0);
    c.tank_air_Pa.push_back(air_Pa + c.rho_g * surface_m);
  }
  return {};
}

/// Void [-] that free gas makes at a pressure: released air (share x of the equilibrium from saturation at ambient) and
/// `leak` air volume at ambient pressure per liquid volume, r = x L (p0 - p)/p + leak p0/p, void = r/(1 + r).
static double void_at(const fuel::Liquid& liquid, double ambient_Pa, double pressure_Pa, double release, double leak) {
  const double p = std::max(pressure_Pa, 1.0);
  const double gas = release * liquid.air_solubility * std::max(0.0, ambient_Pa - p) / p + leak * ambient_Pa / p;
  return gas / (1.0 + gas);
}

double TakeBracket::next(double flow_m3_per_s, double law_less_flow, double resolution_m3_per_s) {
  // Gas and valves settle at the same time: where they have moved the answer out of the bracket it begins anew.
  if (low_m3_per_s && high_m3_per_s && *high_m3_per_s - *low_m3_per_s < resolution_m3_per_s) *this = {};
  if (law_less_flow > 0.0) {
    same_side = low_m3_per_s && same_side > 0 ? same_side + 1 : 1;
    low_m3_per_s = flow_m3_per_s;
    above_low = law_less_flow;
    if (same_side > 1) above_high *= 0.5;
  } else {
    same_side = high_m3_per_s && same_side < 0 ? same_side - 1 : -1;
    high_m3_per_s = flow_m3_per_s;
    above_high = law_less_flow;
    if (same_side < -1) above_low *= 0.5;
  }
  if (!low_m3_per_s || !high_m3_per_s || *low_m3_per_s >= *high_m3_per_s) return flow_m3_per_s + law_less_flow;
  const double share = above_low / (above_low - above_high);
  return *low_m3_per_s + share * (*high_m3_per_s - *low_m3_per_s);
}

Result<std::vector<PointState>> SupplyModel::solve(std::span<const Case> cases, const Run& run) const {
  const Body& b = *body_;
  std::vector<PointState> states(cases.size());
  std::vector<Prepared> prepared(cases.size());
  std::vector<std::size_t> open(cases.size());
  for (std::size_t i = 0; i < cases.size(); ++i) {
    open[i] = i;
    if (const auto sound = prepare(cases[i], prepared[i]); !sound) return fail(sound.error());
    const CaseContext& c = prepared[i].context;
    states[i].liquid = c.liquid;
    states[i].ambient_Pa = c.ambient_Pa;
    states[i].demand_m3_per_s = c.demand.inlet_m3_per_s();
    states[i].well_fed_m3_per_s = states[i].demand_m3_per_s;
    states[i].speed_per_s = c.asked.speed_per_s;
  }

  // Gas at the pumps and crossed reliefs depend on pressures that are only known after solving: pass by pass, with the
  // points that have not settled. A sheet without either needs one pass.
  for (int pass = 1; !open.empty() && pass <= most_law_passes; ++pass) {
    hydraulics::PointTable table(*b.network, open.size());
    for (std::size_t row = 0; row < open.size(); ++row) {
      CaseContext& c = prepared[open[row]].context;
      table.set_pressure(row, b.ground, c.ambient_Pa);
      for (std::size_t t = 0; t < b.tanks.size(); ++t) table.set_pressure(row, b.tank_air_nodes[t], c.tank_air_Pa[t]);
      for (const Filler& filler : b.fillers) {
        if (filler.leg == Filler::no_leg || c.leg_liquid.empty()) {
          filler.fill(c, table, row);
          continue;
        }
        std::swap(c.liquid, c.leg_liquid[filler.leg]);
        filler.fill(c, table, row);
        std::swap(c.liquid, c.leg_liquid[filler.leg]);
      }
      if (c.fault) return fail(c.fault->in_file(b.sheet.file));
      if (c.running->transition_reynolds > 0.0) table.set_transition(row, c.running->transition_reynolds);
    }
    const auto solved = b.network->solve(table, {.flow_tolerance = 1e-9}, run);
    if (!solved) return fail(solved.error());
    std::vector<std::size_t> unsettled;
    for (std::size_t row = 0; row < open.size(); ++row) {
      const std::size_t i = open[row];
      CaseContext& c = prepared[i].context;
      PointState& state = states[i];
      state.passes = pass;
      const auto answered = answer(c, *solved, row, state);
      if (!answered) return fail(answered.error());
      if (state.status != hydraulics::SolveStatus::converged) continue;
      bool settled = true;
      for (std::size_t p = 0; p < b.pumps.size(); ++p) {
        const PumpAt& pump = b.pumps[p];
        if (state.pumps[p].turning) {
          const double found = std::min(state.pumps[p].inlet_void, most_void);
          if (std::abs(found - c.pump_void[p]) > settled_void) settled = false;
          c.pump_void[p] = next_void(prepared[i].bracket[p], c.pump_void[p], found, pass - prepared[i].since);
        }
        if (pump.crossed) {
          const double inlet_Pa = solved->pressure(row, pump.inlet);
          if (std::abs(inlet_Pa - c.crossed_Pa[p]) > settled_pressure_Pa) settled = false;
          c.crossed_Pa[p] = inlet_Pa;
        }
      }
      for (std::size_t t = 0; t < b.tubes.size(); ++t) {
        const double found = std::abs(solved->flow(row, b.tubes[t].element));
        const double scale = std::max(found, least_flow_m3_per_s);
        if (std::abs(found - c.tube_flow_m3_per_s[t]) > settled_tube * scale) settled = false;
        c.tube_flow_m3_per_s[t] = found;
      }
      for (std::size_t r = 0; r < b.balanced.size(); ++r) {
        const BalancedAt& relief = b.balanced[r];
        const double found = solved->pressure(row, relief.behind) - c.rho_g * c.at(relief.height) - c.ambient_Pa;
        if (std::abs(found - c.back_Pa[r]) > settled_pressure_Pa) settled = false;
        c.back_Pa[r] = found;
      }
      for (std::size_t t = 0; t < b.tees.size(); ++t) {
        TeeState& tee = c.tees[t];
        std::array<double, 3> flow{};
        for (std::size_t leg = 0; leg < flow.size(); ++leg) flow.at(leg) = solved->flow(row, b.tees[t].legs.at(leg));
        auto found = tee_state(b.tees[t], c, flow);
        if (!found) return fail(found.error().in_field(b.tees[t].junction).in_file(b.sheet.file));
        for (std::size_t leg = 0; leg < flow.size(); ++leg) {
          // What the linear law of this pass made of the leg against what the tee asks at that flow.
          const double taken_Pa =
              tee.drop_Pa.at(leg) + tee.slope_Pa_s_per_m3.at(leg) * (flow.at(leg) - tee.flow_m3_per_s.at(leg));
          if (std::abs(taken_Pa - found->drop_Pa.at(leg)) > settled_tee_Pa) settled = false;
          // Where the law turns round between two flows whole steps can go to and fro.
          if (pass > 12) found->drop_Pa.at(leg) = 0.5 * (found->drop_Pa.at(leg) + taken_Pa);
        }
        tee = *found;
      }
      if (c.running->engine_law != nullptr) {
        const EngineTake take =
            c.running->engine_law->take(c.asked, {.pressure_Pa = state.inlet_over_ambient_Pa + state.ambient_Pa,
                                                  .void_fraction = state.inlet_void,
                                                  .temperature_K = c.running->point.fuel_temperature_K,
                                                  .speed_per_s = c.asked.speed_per_s});
        FW_EXPECTS(take.returned_m3_per_s >= 0.0 && take.taken_m3_per_s >= take.returned_m3_per_s);
        const double before = c.demand.inlet_m3_per_s();
        const double change = take.taken_m3_per_s - before;
        const double scale = std::max(c.asked.inlet_m3_per_s(), 1e-9);
        state.well_fed_m3_per_s = take.well_fed_m3_per_s.value_or(c.asked.inlet_m3_per_s());
        state.unfilled = state.well_fed_m3_per_s - take.taken_m3_per_s > settled_take * scale;
        if (std::abs(change) > settled_take * scale ||
            std::abs(take.returned_m3_per_s - c.demand.return_m3_per_s()) > settled_take * scale) {
          const bool others_settled = settled;
          settled = false;
          if (others_settled) {
            prepared[i].since = pass;
            prepared[i].bracket.assign(b.pumps.size(), {});
            const double taken =
                std::clamp(c.taking.next(before, change, settled_take * scale), 0.0, c.asked.inlet_m3_per_s());
            const double share = take.taken_m3_per_s > 0.0 ? take.returned_m3_per_s / take.taken_m3_per_s : 0.0;
            c.demand.injected_m3_per_s = taken * (1.0 - share);
            c.demand.leakoff_m3_per_s = 0.0;
            c.demand.housing_m3_per_s = taken * share;
          }
        }
      }
      if (settled) continue;
      if (pass < (c.running->engine_law != nullptr ? most_law_passes : most_passes)) {
        unsettled.push_back(i);
      } else {
        state.status = hydraulics::SolveStatus::stalled;
        state.trouble = "gas, a relief or a tee that depends on what is solved does not settle";
      }
    }
    open = std::move(unsettled);
  }
  return states;
}

Result<void> SupplyModel::answer(const CaseContext& c, const hydraulics::PointResults& solved, std::size_t row,
                                 PointState& state) const {
  const Body& b = *body_;
  state.burned_m3_per_s = c.demand.injected_m3_per_s;
  state.return_m3_per_s = c.demand.return_m3_per_s();
  state.status = solved.status[row];
  state.iterations = solved.iterations[row];
  if (state.status == hydraulics::SolveStatus::stalled) {
    state.trouble = b.network->definition().elements[solved.where[row]].name;
  } else if (state.status == hydraulics::SolveStatus::no_anchor) {
    state.trouble = b.network->definition().nodes[solved.where[row]].name;
  }
  state.starved = false;
  state.starved_at.clear();
  double missing = 0.0;
  for (const GuardAt& guard : b.guards) {
    const double vapour = solved.flow(row, guard.element);
    if (vapour > 1e-4 * std::max(state.demand_m3_per_s, 1e-9)) {
      state.starved = true;
      if (state.starved_at.empty()) state.starved_at = guard.title;
    }
    if (guard.element == b.engine_guard) missing = vapour;
  }
  state.taken_m3_per_s = c.demand.inlet_m3_per_s() - missing;
  // What is missing is missing from the return first, then from the injectors.
  const double from_return = std::min(missing, state.return_m3_per_s);
  state.return_m3_per_s -= from_return;
  state.burned_m3_per_s -= std::min(missing - from_return, state.burned_m3_per_s);

  state.place_over_ambient_Pa.clear();
  state.place_flow_m3_per_s.clear();
  for (const PlaceNode& place : b.place_nodes) {
    state.place_over_ambient_Pa.push_back(solved.pressure(row, place.node) - c.rho_g * c.at(place.height) -
                                          c.ambient_Pa);
    state.place_flow_m3_per_s.push_back(place.through ? solved.flow(row, *place.through) : 0.0);
  }
  const auto leaks = leaks_of(c, solved, row);
  if (!leaks) return fail(leaks.error());
  state.leaks = *leaks;
  const std::vector<double> carried = carried_air(solved, row, state.leaks);

  const double release = c.at(b.release);
  const double inlet_Pa = solved.pressure(row, b.engine) - c.rho_g * c.at(b.engine_slots.height);
  state.inlet_over_ambient_Pa = inlet_Pa - state.ambient_Pa;
  const double leak_share = carried[static_cast<std::size_t>(b.engine)];
  state.inlet_void = void_at(c.liquid, c.ambient_Pa, inlet_Pa, release, leak_share);
  state.inlet_void_equilibrium = void_at(c.liquid, c.ambient_Pa, inlet_Pa, 1.0, leak_share);
  state.delivered_liquid_m3_per_s = state.taken_m3_per_s * (1.0 - state.inlet_void);

  const auto sag_of = [&](const std::vector<Column>& columns) -> Result<double> {
    double inertance = 0.0;
    for (const Column& column : columns) {
      const auto one =
          hydraulics::inertance_kg_per_m4({.bore_m = c.at(column.bore), .length_m = c.at(column.length)}, c.liquid);
      if (!one) return fail(one.error());
      inertance += *one;
    }
    return hydraulics::tip_in_sag_Pa(inertance, {.full_draw_m3_per_s = std::max(0.0, state.taken_m3_per_s)});
  };
  const auto engine_sag = sag_of(b.engine_suction);
  if (!engine_sag) return fail(engine_sag.error());
  state.inlet_tip_in_sag_Pa = *engine_sag;

  state.media.clear();
  for (const MediumAt& medium : b.media) {
    MediumAnswer answer{.part = medium.part,
                        .flow_m3_per_s = solved.flow(row, medium.through),
                        .drop_Pa = solved.pressure(row, medium.inlet) - solved.pressure(row, medium.outlet)};
    double past = 0.0;
    for (const ElementId element : medium.past) past += solved.flow(row, element);
    answer.flow_m3_per_s += past;
    if (answer.flow_m3_per_s != 0.0) answer.unfiltered_share = past / answer.flow_m3_per_s;
    state.media.push_back(std::move(answer));
  }

  state.pumps.clear();
  for (std::size_t p = 0; p < b.pumps.size(); ++p) {
    const PumpAt& pump = b.pumps[p];
    PumpAnswer answer{.part = pump.part, .turning = !(*c.stopped)[p]};
    const double in = solved.pressure(row, pump.inlet) - c.rho_g * c.at(pump.inlet_height);
    const double out = solved.pressure(row, pump.outlet) - c.rho_g * c.at(pump.outlet_height);
    answer.inlet_over_ambient_Pa = in - c.ambient_Pa;
    answer.rise_Pa = out - in;
    answer.flow_m3_per_s = solved.flow(row, pump.through);
    answer.inlet_void = void_at(c.liquid, c.ambient_Pa, in, release, carried[static_cast<std::size_t>(pump.inlet)]);
    const Part* part = b.sheet.find_part(pump.part);
    if (part->pump->drive == Drive::electric) {
      answer.supply_V = c.voltage_V;
      answer.connector_V = c.voltage_V;
      if (answer.turning) {
        const auto state_of = pump.motor ? pump.motor(c, answer.rise_Pa) : std::nullopt;
        if (state_of) {
          answer.current_A = state_of->current_A;
          answer.connector_V = state_of->connector_V;
        } else {
          answer.current_A = pump.current ? c.at(*pump.current) : 0.0;
          answer.connector_V = std::max(0.0, c.voltage_V - answer.current_A * pump.harness_ohm(c));
        }
      }
    }
    const auto sag = sag_of(pump.suction);
    if (!sag) return fail(sag.error());
    answer.tip_in_sag_Pa = *sag;
    state.pumps.push_back(std::move(answer));
  }
  return {};
}

}  // namespace fw::system
