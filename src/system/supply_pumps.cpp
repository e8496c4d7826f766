// SPDX-License-Identifier: Apache-2.0
#include "system/supply_build.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "hydraulics/turbine_pump.hpp"
#include "hydraulics/wire.hpp"

namespace fw::system {

std::function<double(const CaseContext&)> ModelBuild::harness_of(const Part& part) {
  const Pump& pump = *part.pump;
  std::optional<Slot> ground;
  if (part.condition.bad_ground_ohm) {
    ground = b.slot(*part.condition.bad_ground_ohm, part.id + ".bad_ground", part.origin);
  }
  const auto added = [ground](const CaseContext& c) { return ground ? c.at(*ground) : 0.0; };
  if (!pump.wiring) {
    if (pump.drive != Drive::electric) return added;
    if (!pump.displacement_m3) return added;
    const Slot whole = b.slot_or(pump.harness_resistance_ohm.value_or(Stated{}), 0.09, "typical",
                                 part.id + ".harness_resistance", part.origin);
    return [whole, added](const CaseContext& c) { return c.at(whole) + added(c); };
  }
  const Wiring& wiring = *pump.wiring;
  const Slot area = b.slot(wiring.area_m2, part.id + ".wire", part.origin);
  const Slot length = b.slot(wiring.length_m, part.id + ".wire_length", part.origin);
  const Slot heat =
      b.slot_or(wiring.temperature_K, 353.15, "80 C, typical", part.id + ".wire_temperature", part.origin);
  const Slot contact =
      b.slot_or(wiring.contact_ohm, 3e-3, "3 mOhm, typical", part.id + ".contact_resistance", part.origin);
  const Slot relay = b.slot_or(wiring.relay_ohm, 4e-3, "4 mOhm, typical", part.id + ".relay_resistance", part.origin);
  std::optional<Slot> fuse;
  if (wiring.fuse_A) fuse = b.slot(*wiring.fuse_A, part.id + ".fuse", part.origin);
  const int contacts = wiring.contacts;
  const std::string id = part.id;
  return [=](const CaseContext& c) {
    return c.take(hydraulics::harness_resistance_ohm({.wire = {.area_m2 = c.at(area)},
                                                      .length_m = c.at(length),
                                                      .temperature_K = c.at(heat),
                                                      .contact_count = static_cast<double>(contacts),
                                                      .contact_resistance_ohm = c.at(contact),
                                                      .relay_resistance_ohm = c.at(relay),
                                                      .ground_resistance_ohm = added(c),
                                                      .fuse_rating_A = fuse ? c.at(*fuse) : 0.0}),
                  0.1, id);
  };
}

hydraulics::SourceCoefficients ModelBuild::thinned(hydraulics::SourceCoefficients source, double gas) {
  source.free_flow_m3_per_s *= 1.0 - gas;
  source.conductance_m3_per_s_Pa *= 1.0 - gas;
  return source;
}

ElementId ModelBuild::pump(const Leg& leg, const Part& part, NodeId from, NodeId to, Height inlet_height,
                           Height outlet_height) {
  const Pump& pump = *part.pump;
  const std::size_t index = b.pump_titles.size();
  const std::string id = part.id;
  b.pump_index.emplace(part.id, index);
  b.pump_titles.push_back(part.title);
  const auto facts = b.branch.pumps.find(part.id);
  const Stopped stopped = pump.stopped != Stopped::unknown ? pump.stopped
                          : facts != b.branch.pumps.end()  ? facts->second.stopped
                                                           : Stopped::blocks;
  Surplus surplus = pump.surplus != Surplus::unknown ? pump.surplus
                    : facts != b.branch.pumps.end()  ? facts->second.surplus
                                                     : Surplus::to_own_inlet;

  PumpAt answer;
  answer.part = part.id;
  answer.inlet = from;
  answer.outlet = to;
  answer.inlet_height = inlet_height;
  answer.outlet_height = outlet_height;
  if (pump.current_A) answer.current = b.slot(*pump.current_A, part.id + ".current", part.origin);
  const auto harness = harness_of(part);
  answer.harness_ohm = harness;
  const std::optional<Slot> amperes = answer.current;
  // A pump known by its curve turns by the voltage at its own terminals; what its wire takes is found with the stated
  // current, which hardly follows the voltage (part data 1.3).
  const bool wired = pump.wiring || part.condition.bad_ground_ohm;
  const auto terminal_V = [=](const CaseContext& c) {
    if (!wired) return c.voltage_V;
    return std::max(0.0, c.voltage_V - (amperes ? c.at(*amperes) : ground_current_A) * harness(c));
  };

  // What it delivers: a displacement pump with its motor, a turbine, or a line through two stated points.
  ElementId through{};
  if (pump.dead_head_Pa && pump.turbine_free_flow_m3_per_s) {
    const Slot head = b.slot(*pump.dead_head_Pa, part.id + ".dead_head", part.origin);
    const Slot free = b.slot(*pump.turbine_free_flow_m3_per_s, part.id + ".turbine_free_flow", part.origin);
    const double rated_voltage = pump.rated_voltage_V;
    through = net.add_element(part.id, Law::valve, from, to);
    b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
      // Turbine: rise = dead head r^2 (1 - Q/(Q_free r)), r = speed ratio = voltage ratio (affinity).
      const bool still = (*c.stopped)[index];
      const double ratio = terminal_V(c) / rated_voltage;
      table.set(point, through,
                hydraulics::ValveCoefficients{.crack_Pa = still ? 0.0 : -c.at(head) * ratio * ratio,
                                              .linear_Pa_s_per_m3 = c.at(head) * ratio / c.at(free),
                                              .shut = still ? 1.0 : 0.0});
    });
  } else if (!pump.curve.empty()) {
    std::vector<std::pair<Slot, Slot>> points;
    for (std::size_t i = 0; i < pump.curve.size(); ++i) {
      const std::string field = fmt::format("{}.curve{}", part.id, i + 1);
      points.emplace_back(b.slot(pump.curve[i].flow_m3_per_s, field + ".flow", part.origin),
                          b.slot(pump.curve[i].rise_Pa, field + ".rise", part.origin));
    }
    const double rated_voltage = pump.rated_voltage_V;
    const Drive drive = pump.drive;
    through = net.add_element(part.id, Law::valve, from, to);
    b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
      // Affinity: flow with the speed, rise with its square; speed with the voltage (assumed) or the engine.
      const double ratio = drive == Drive::engine ? c.speed_share : terminal_V(c) / rated_voltage;
      hydraulics::ValveCoefficients law{.crack_Pa = 0.0, .linear_Pa_s_per_m3 = 1e9, .shut = 1.0};
      if (!(*c.stopped)[index] && ratio > 0.0) {
        std::vector<hydraulics::CurvePoint> drawn;
        for (const auto& [flow, rise] : points) drawn.push_back({.flow_m3_per_s = c.at(flow), .rise_Pa = c.at(rise)});
        const auto fit = hydraulics::curve_through(drawn);
        if (!fit) {
          if (!c.fault) c.fault = fit.error().in_field(id);
        } else {
          law = c.take(hydraulics::curve_pump_law(fit->curve, c.liquid, ratio), law, id);
        }
      }
      table.set(point, through, law);
    });
  } else if (pump.displacement_m3) {
    const Slot displacement = b.slot(*pump.displacement_m3, part.id + ".displacement", part.origin);
    const auto optional = [&](const std::optional<Stated>& stated, double otherwise, const char* why,
                              const char* field) {
      return b.slot_or(stated.value_or(Stated{}), otherwise, why, part.id + "." + field, part.origin);
    };
    const Slot slip = optional(pump.slip, 5e-8, "textbook gear pump", "slip");
    const Slot ratio = optional(pump.speed_ratio, 1.0, "assumed", "speed_ratio");
    const Slot drag = optional(pump.viscous_drag, 3e4, "typical", "viscous_drag");
    const Slot friction = optional(pump.friction_share, 0.2, "typical", "friction_share");
    const Slot torque = optional(pump.friction_torque_N_m, 0.12, "typical", "friction_torque");
    const Slot ke = optional(pump.motor_constant_V_s, 0.0285, "typical", "motor_constant");
    const Slot ra = optional(pump.motor_resistance_ohm, 0.45, "typical", "motor_resistance");
    const Drive drive = pump.drive;
    through = net.add_element(part.id, Law::source, from, to);
    answer.volumetric = true;
    const auto rotor_of = [=](const CaseContext& c) {
      return hydraulics::DisplacementPump{.displacement_m3 = c.at(displacement),
                                          .slip = c.at(slip),
                                          .viscous_drag = c.at(drag),
                                          .friction_share = c.at(friction),
                                          .friction_torque_N_m = c.at(torque)};
    };
    const auto motor_of = [=](const CaseContext& c) {
      return hydraulics::MotorDrive{.motor_constant_V_s = c.at(ke),
                                    .winding_resistance_ohm = c.at(ra),
                                    .harness_resistance_ohm = harness(c),
                                    .supply_V = c.voltage_V};
    };
    if (drive == Drive::electric) {
      answer.motor = [=](const CaseContext& c, double rise_Pa) -> std::optional<hydraulics::PumpState> {
        const auto state = hydraulics::electric_pump_state(rotor_of(c), motor_of(c), rise_Pa, c.liquid);
        return state ? std::optional(*state) : std::nullopt;
      };
    }
    b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
      const hydraulics::DisplacementPump rotor = rotor_of(c);
      const hydraulics::SourceCoefficients none{.free_flow_m3_per_s = 0.0, .conductance_m3_per_s_Pa = 0.0};
      if ((*c.stopped)[index]) {
        table.set(point, through, c.take(hydraulics::driven_pump_law(rotor, 0.0, c.liquid), none, id));
      } else if (drive == Drive::engine) {
        table.set(
            point, through,
            thinned(c.take(hydraulics::driven_pump_law(rotor, c.demand.speed_per_s * c.at(ratio), c.liquid), none, id),
                    c.pump_void[index]));
      } else {
        table.set(
            point, through,
            thinned(c.take(hydraulics::electric_pump_law(rotor, motor_of(c), c.liquid), none, id), c.pump_void[index]));
      }
    });
  } else {
    const Slot free = b.slot(pump.free_flow_m3_per_s.value_or(Stated{}), part.id + ".free_flow", part.origin);
    std::optional<Slot> less, rise;
    if (pump.flow_at_rise_m3_per_s && pump.at_rise_Pa) {
      less = b.slot(*pump.flow_at_rise_m3_per_s, part.id + ".flow_at_rise", part.origin);
      rise = b.slot(*pump.at_rise_Pa, part.id + ".at_rise", part.origin);
    }
    const double rated_voltage = pump.rated_voltage_V;
    const Drive drive = pump.drive;
    through = net.add_element(part.id, Law::source, from, to);
    b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
      const double scale = drive == Drive::engine ? c.speed_share : terminal_V(c) / rated_voltage;
      const bool still = (*c.stopped)[index];
      const double conductance = rise ? std::max(0.0, (c.at(free) - c.at(*less)) / c.at(*rise)) : 0.0;
      table.set(point, through,
                hydraulics::SourceCoefficients{.free_flow_m3_per_s = still ? 0.0 : c.at(free) * scale,
                                               .conductance_m3_per_s_Pa = 1e-12 + (still ? 0.0 : conductance)});
    });
  }

  // Its relief or built-in regulator.
  if (pump.set_Pa) {
    const Slot set = b.slot(*pump.set_Pa, part.id + ".set", part.origin);
    std::optional<Slot> slope;
    if (pump.set_slope_Pa_s_per_m3) slope = b.slot(*pump.set_slope_Pa_s_per_m3, part.id + ".set_slope", part.origin);
    const Spill valve = spill_of(part, set, slope);
    const std::string& drawn_from = pump.surplus_tank.empty() ? leg.from : pump.surplus_tank;
    const std::size_t tank = tank_index(drawn_from);
    const bool refers_to_tank = pump.relief_reference == ReliefReference::tank;
    const bool refers_to_inlet = pump.relief_reference == ReliefReference::own_inlet;
    const auto between = [=](const CaseContext& c) { return c.rho_g * (c.at(outlet_height) - c.at(inlet_height)); };
    if (surplus == Surplus::to_tank && refers_to_inlet) {
      // Crossed: opens at its own inlet plus the set, spills to the tank. Pass by pass against the inlet found.
      answer.crossed = true;
      spill(part.id + " spill", to, b.tank_nodes[tank], valve,
            [=](const CaseContext& c) { return c.crossed_Pa[index] + between(c) - c.tank_air_Pa[tank]; });
    } else if (surplus == Surplus::to_tank) {
      spill_to_tank(part.id, to, outlet_height, valve, tank);
    } else if (refers_to_tank) {
      // Crossed the other way: holds the set over ambient whatever comes in, and spills to its own inlet.
      answer.crossed = true;
      spill(part.id + " relief", to, from, valve,
            [=](const CaseContext& c) { return c.ambient_Pa + c.rho_g * c.at(outlet_height) - c.crossed_Pa[index]; });
    } else {
      // The spring feels p_out - p_in; the heights of both ends enter because the valve sits between the nodes.
      spill(part.id + " relief", to, from, valve, between);
    }
  }

  // What it lets through when it does not turn. A bypass check is there all the time; an open rotor only at rest.
  if (stopped == Stopped::passes || stopped == Stopped::bypass) {
    const Slot crack = b.slot_or(pump.stopped_crack_Pa.value_or(Stated{}), stopped == Stopped::bypass ? 7e3 : 0.0,
                                 "7 kPa, typical", part.id + ".stopped_crack", part.origin);
    const Slot drop = b.slot_or(pump.stopped_drop_Pa.value_or(Stated{}), 3e3, "3 kPa at 150 L/h, typical",
                                part.id + ".stopped_drop", part.origin);
    const ElementId bypass = net.add_element(part.id + " bypass", Law::valve, from, to);
    const bool only_at_rest = stopped == Stopped::passes;
    b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
      const double q = stated_check_flow_m3_per_s;
      table.set(point, bypass,
                hydraulics::ValveCoefficients{
                    .crack_Pa = c.at(crack),
                    .linear_Pa_s_per_m3 = smallest_valve_resistance_Pa_s_per_m3,
                    .quadratic_Pa_s2_per_m6 = c.at(drop) / (q * q) * (c.liquid.density_kg_per_m3 / 817.09),
                    .shut = only_at_rest && !(*c.stopped)[index] ? 1.0 : 0.0});
    });
  }
  guard(part.title, from, to, inlet_height);
  answer.through = through;
  answer.suction = column_to(leg, part.id);
  b.pumps.push_back(std::move(answer));
  return through;
}

std::vector<Column> ModelBuild::column_to(const Leg& leg, const std::string& part) {
  std::vector<Column> column;
  const Leg* at = &leg;
  std::string until = part;
  for (std::size_t hops = 0; hops <= b.sheet.legs.size(); ++hops) {
    std::vector<Column> here;
    for (const Part& one : at->parts) {
      if (!until.empty() && one.id == until) break;
      if (one.bypassed) continue;
      if (one.pump) {
        here.clear();
        column.clear();
        if (one.pump->running) return column_after(*at, one.id, until);
      }
      if (one.line) {
        here.push_back({b.slot(one.line->bore_m, one.id + ".bore", one.origin),
                        b.slot(one.line->length_m, one.id + ".length", one.origin)});
      }
    }
    column.insert(column.end(), here.begin(), here.end());
    until.clear();
    if (b.sheet.find_tank(at->from) != nullptr) break;
    const std::string& junction = at->from;
    const auto before = std::ranges::find(b.sheet.legs, junction, &Leg::to);
    if (before == b.sheet.legs.end()) break;
    at = &*before;
  }
  return column;
}

std::vector<Column> ModelBuild::column_after(const Leg& leg, const std::string& pump, const std::string& until) {
  std::vector<Column> column;
  bool behind = false;
  for (const Part& one : leg.parts) {
    if (!until.empty() && one.id == until) break;
    if (behind && one.line && !one.bypassed) {
      column.push_back({b.slot(one.line->bore_m, one.id + ".bore", one.origin),
                        b.slot(one.line->length_m, one.id + ".length", one.origin)});
    }
    if (one.id == pump) behind = true;
  }
  return column;
}

}  // namespace fw::system
