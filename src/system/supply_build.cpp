// SPDX-License-Identifier: Apache-2.0
#include "system/supply_build.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "fuel/fuel_text.hpp"
#include "hydraulics/orifice.hpp"
#include "numerics/stream.hpp"

namespace fw::system {

void ModelBuild::tanks() {
  b.ground = net.add_node("outside", NodeKind::fixed);
  for (const Tank& tank : b.sheet.tanks) {
    const std::string field = tank.id;
    SupplyModel::Body::TankSlots slots;
    slots.height = b.slot(tank.height_m, field + ".height", tank.origin);
    slots.floor = b.slot_or(tank.floor_height_m, 0.0, "datum", field + ".floor_height", tank.origin);
    if (tank.vent) {
      slots.vented = true;
      slots.blocked = tank.vent->blocked;
      slots.vent_bore = b.slot_or(tank.vent->bore_m, 0.003, "3 mm, typical", field + ".vent.bore", tank.origin);
      slots.ullage = b.slot_or(tank.vent->ullage_m3, 0.020, "20 L, assumed", field + ".vent.ullage", tank.origin);
      slots.burned = b.slot_or(tank.vent->burned_m3, 0.005, "5 L, assumed", field + ".vent.burned", tank.origin);
    }
    if (tank.level) slots.level = b.slot(*tank.level, field + ".level", tank.origin);
    if (tank.along_m.given()) slots.along = b.slot(tank.along_m, field + ".along", tank.origin);
    b.tanks.push_back(slots);
    // Behind a working vent the surface follows the net withdrawal; a blocked or absent vent gives a fixed pressure.
    const bool breathes = tank.vent && !tank.vent->blocked;
    const NodeId node = net.add_node(tank.id, breathes ? NodeKind::free : NodeKind::fixed);
    if (breathes) {
      const NodeId air = net.add_node(tank.id + " air", NodeKind::fixed);
      const ElementId vent = net.add_element(tank.id + " vent", Law::resistor, air, node);
      const Slot bore = slots.vent_bore;
      b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
        table.set(point, vent, c.take(hydraulics::vent_law({.bore_m = c.at(bore)}), open_passage, field + ".vent"));
      });
      b.tank_air_nodes.push_back(air);
    } else {
      b.tank_air_nodes.push_back(node);
    }
    b.tank_nodes.push_back(node);
    Stated mouth = tank.pickup_height_m;
    const Slot pickup =
        b.slot_or(mouth, 0.025, "pickup 25 mm over the floor, typical", field + ".pickup_height", tank.origin);
    ends.emplace(tank.id, Node{node, Height{.above = pickup, .along = slots.along}});
  }
}

void ModelBuild::engine() {
  const Engine& engine = b.sheet.engine;
  auto& s = b.engine_slots;
  const auto need = [&](const Stated& stated, const char* field) {
    return b.slot(stated, std::string("engine.") + field, engine.origin);
  };
  s.displacement = need(engine.displacement_m3, "displacement");
  s.rated_power = need(engine.rated_power_W, "rated_power");
  s.rated_speed = need(engine.rated_speed_per_s, "rated_speed");
  s.peak_power = need(engine.torque_peak_power_W, "torque_peak_power");
  s.peak_speed = need(engine.torque_peak_speed_per_s, "torque_peak_speed");
  s.idle_speed = need(engine.idle_speed_per_s, "idle_speed");
  s.crank_speed = need(engine.crank_speed_per_s, "crank_speed");
  s.rated_consumption = need(engine.rated_consumption_kg_per_J, "rated_consumption");
  s.peak_consumption = need(engine.torque_peak_consumption_kg_per_J, "torque_peak_consumption");
  s.leakoff = need(engine.leakoff_share, "leakoff_share");
  s.housing = need(engine.housing_flow_m3_per_s, "housing_flow");
  s.height.above = need(engine.inlet_height_m, "inlet_height");
  if (engine.inlet_along_m.given()) s.height.along = need(engine.inlet_along_m, "inlet_along");
  b.engine = net.add_node("engine");
  b.engine_return = net.add_node("engine return");
  ends.emplace(std::string(engine_end), Node{b.engine, s.height});
  ends.emplace(std::string(engine_return_end), Node{b.engine_return, s.height});
}

void ModelBuild::junctions() {
  for (const Leg& leg : b.sheet.legs) {
    for (const std::string& name : {leg.from, leg.to}) {
      if (ends.contains(name)) continue;
      const auto stated = std::ranges::find(b.sheet.junctions, name, &Junction::id);
      Height height{};
      if (stated != b.sheet.junctions.end() && stated->height_m) {
        height.above = b.slot(*stated->height_m, name + ".height", leg.origin);
      } else {
        // The height at which the first leg that arrives here ends: its last stated height, else where it begins.
        std::optional<Stated> last;
        std::optional<Height> begin;
        for (const Leg& arriving : b.sheet.legs) {
          if (arriving.to != name) continue;
          for (const Part& part : arriving.parts) {
            if (part.end_height_m) last = part.end_height_m;
          }
          if (const auto from = ends.find(arriving.from); from != ends.end()) begin = from->second.height;
          break;
        }
        if (begin) height = *begin;
        if (last) {
          height.above = b.slot(*last, name + ".height", leg.origin);
        } else if (!begin) {
          height.above =
              b.slot_or(Stated{}, 0.0, "no height stated: that of the tank floor", name + ".height", leg.origin);
        }
      }
      // Its position along the vehicle: that of the last part, in any leg that arrives, that states one.
      for (const Leg& arriving : b.sheet.legs) {
        if (arriving.to != name) continue;
        for (const Part& part : arriving.parts) {
          if (part.end_along_m) height.along = b.slot(*part.end_along_m, part.id + ".end_along", part.origin);
        }
      }
      ends.emplace(name, Node{net.add_node(name), height});
    }
  }
}

void ModelBuild::add_place(const Leg& leg, std::size_t index, const Part* part, std::string title, NodeId node,
                           Height height, std::optional<ElementId> through) {
  PlaceAt place{.leg = leg.id,
                .part = part != nullptr ? part->id : std::string(),
                .title = std::move(title),
                .port = part != nullptr ? part->port : std::string(),
                .part_index = index};
  if (part != nullptr) b.place_by_part.emplace(part->id, b.places.size());
  b.places.push_back(std::move(place));
  b.place_nodes.push_back({node, height, through});
}

std::size_t ModelBuild::tank_index(const std::string& id) const {
  for (std::size_t i = 0; i < b.sheet.tanks.size(); ++i) {
    if (b.sheet.tanks[i].id == id) return i;
  }
  return 0;
}

void ModelBuild::leg(const Leg& leg) {
  const Node start = ends.at(leg.from);
  const Node stop = ends.at(leg.to);
  const auto title_of_end = [&](const std::string& end) {
    if (end == engine_end) return std::string("pump inlet");
    if (end == engine_return_end) return std::string("engine return");
    const Tank* tank = b.sheet.find_tank(end);
    return tank != nullptr && !tank->title.empty() ? tank->title : end;
  };
  NodeId at = start.id;
  Height height = start.height;
  const bool from_tank = b.sheet.find_tank(leg.from) != nullptr;
  add_place(leg, 0, nullptr, title_of_end(leg.from), at, height, std::nullopt);
  if (leg.from == engine_return_end) b.returns_by_leg = true;

  // Entrance of the pickup: K 0.8 (re-entrant) on the first line's bore; exit into the tank: K 2 (laminar).
  std::size_t last_flowing = leg.parts.size();
  for (std::size_t i = 0; i < leg.parts.size(); ++i) {
    if (!leg.parts[i].bypassed) last_flowing = i;
  }
  const auto tank_loss = [&](double k, const Part& part, NodeId from, NodeId to, const char* what) {
    const Slot bore = b.slot(part.line->bore_m, part.id + ".bore", part.origin);
    const std::string id = part.id;
    const ElementId element = net.add_element(part.id + what, Law::resistor, from, to);
    b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
      hydraulics::ResistorCoefficients loss =
          c.take(hydraulics::resistor_of({.k1 = 0.0, .k_infinity = k * c.fitting_factor}, c.at(bore), c.liquid),
                 open_passage, id);
      loss.linear_Pa_s_per_m3 = std::max(loss.linear_Pa_s_per_m3, least_mouth_resistance_Pa_s_per_m3);
      table.set(point, element, loss);
    });
  };
  bool entered = !from_tank;
  const bool into_tank = b.sheet.find_tank(leg.to) != nullptr;
  const auto last_line = [&]() -> const Part* {
    for (std::size_t i = leg.parts.size(); i-- > 0;) {
      if (leg.parts[i].line && !leg.parts[i].bypassed) return &leg.parts[i];
    }
    return nullptr;
  }();

  std::optional<ElementId> last_element;
  for (std::size_t i = 0; i < leg.parts.size(); ++i) {
    const Part& part = leg.parts[i];
    const std::string title = part.title.empty() ? part.id : part.title;
    if (part.bypassed) continue;
    const Height before = height;
    if (part.end_height_m) height.above = b.slot(*part.end_height_m, part.id + ".end_height", part.origin);
    if (part.end_along_m) height.along = b.slot(*part.end_along_m, part.id + ".end_along", part.origin);
    if (part.kind == PartKind::regulator) {
      const Slot set = b.slot(part.valve->crack_Pa, part.id + ".set", part.origin);
      const std::string& tank = b.sheet.find_tank(leg.from) != nullptr ? leg.from : b.sheet.tanks.front().id;
      spill_to_tank(part.id, at, height, spill_of(part, set, {}), tank_index(tank));
      add_place(leg, i + 1, &part, title, at, height, last_element);
      continue;
    }
    const bool lossless = !part.line && !part.fitting && !part.joint && !part.medium && !part.valve && !part.orifice &&
                          !part.pump && !part.passage && !part.banjo && !part.gap;
    const bool closes = part.kind == PartKind::shut_off && part.condition.stuck == Stuck::shut;
    if (lossless && !closes && i != last_flowing) {
      add_place(leg, i + 1, &part, title, at, height, last_element);
      continue;
    }
    if (!entered && part.line) {
      const NodeId inside = net.add_node(part.id + " mouth");
      tank_loss(leg.mouth_loss, part, at, inside, " entrance");
      at = inside;
      entered = true;
    }
    const bool last = i == last_flowing;
    const bool exits = last && into_tank && last_line != nullptr;
    const NodeId next = last && !exits ? stop.id : net.add_node(part.id);
    ElementId through{};
    if (part.pump) {
      through = pump(leg, part, at, next, before, height);
    } else if (part.line) {
      through = line(leg, i, part, at, next);
    } else if (part.medium) {
      through = medium(leg, part, at, next);
    } else if (part.fitting) {
      through = fitting(part, at, next);
    } else if (part.joint) {
      through = joint(leg, i, part, at, next);
    } else if (part.orifice) {
      through = orifice(part, at, next);
    } else if (part.valve) {
      through = valve(part, at, next);
    } else if (part.passage) {
      through = stem(leg, i, part, at, next);
    } else if (part.banjo) {
      through = banjo(part, at, next);
    } else if (part.gap) {
      through = gap(part, at, next);
    } else if (closes) {
      through = passage(part.id, at, next, shut_passage);
    } else {
      through = passage(part.id, at, next);
    }
    if (part.condition.air_leak_m) {
      b.leaks.push_back(
          {part.id, b.places.size(), b.slot(*part.condition.air_leak_m, part.id + ".air_leak", part.origin)});
    }
    add_place(leg, i + 1, &part, title, next, height, through);
    last_element = through;
    at = next;
    if (exits) tank_loss(leg.exit_loss, *last_line, at, stop.id, " exit");
  }
  if (last_flowing == leg.parts.size()) last_element = passage(leg.id, start.id, stop.id);
  add_place(leg, leg.parts.size() + 1, nullptr, title_of_end(leg.to), stop.id, stop.height, last_element);
}

void ModelBuild::demand() {
  b.injected = net.add_element("injected", Law::draw, b.engine, b.ground);
  b.returned = net.add_element("returned", Law::draw, b.engine, b.engine_return);
  if (!b.returns_by_leg) {
    // No return drawn: it goes straight back outside the model.
    const SelectorPosition& position = b.sheet.selector;
    const std::string& tank = position.back.empty() ? position.feed : position.back;
    passage("return not drawn", b.engine_return, b.tank_nodes[tank_index(tank)]);
  }
  SupplyModel::Body* body = &b;
  const ElementId injected = b.injected;
  const ElementId returned = b.returned;
  b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
    table.set(point, injected, hydraulics::DrawCoefficients{.flow_m3_per_s = c.demand.injected_m3_per_s});
    table.set(point, returned, hydraulics::DrawCoefficients{.flow_m3_per_s = c.demand.return_m3_per_s()});
  });
  guard("pump inlet", b.engine, b.engine_return, b.engine_slots.height);
  b.engine_guard = body->guards.back().element;
  for (const Leg& leg : b.sheet.legs) {
    if (leg.to == engine_end) {
      b.engine_suction = column_to(leg, "");
      break;
    }
  }
}

Result<SupplyModel> SupplyModel::build(const LineSheet& sheet, const Branch& branch, const Laws& laws) {
  if (const auto sound = validate(sheet); !sound) return fail(sound.error());
  auto body = std::make_shared<Body>();
  body->sheet = sheet;
  body->branch = branch;
  const auto chosen = sheet.fuel == "constant" ? fuel::constant_fluid(sheet.constant_density_kg_per_m3.value,
                                                                      sheet.constant_kinematic_viscosity_m2_per_s.value)
                                               : fuel::fuel_of_text(sheet.fuel);
  if (!chosen) return fail(chosen.error().in_field("fuel").in_file(sheet.file));
  body->fuel = *chosen;
  body->fitting_loss = body->slot(laws.fitting_loss, "law.fitting-loss", {});
  body->density = body->slot(laws.density, "law.fuel-density", {});
  body->viscosity = body->slot(laws.viscosity, "law.fuel-viscosity", {});
  body->release = body->slot(laws.release, "law.gas-release", {});

  if (sheet.voltage_loss_V) body->voltage_loss = body->slot(*sheet.voltage_loss_V, "fault.voltage_loss", {});

  ModelBuild build{.b = *body, .net = {}, .ends = {}};
  build.tanks();
  build.engine();
  build.junctions();
  for (std::size_t l = 0; l < sheet.legs.size(); ++l) {
    const std::size_t first = body->fillers.size();
    build.leg(sheet.legs[l]);
    for (std::size_t f = first; f < body->fillers.size(); ++f) body->fillers[f].leg = l;
  }
  build.demand();
  if (!body->faults.empty()) return fail(Errors(std::move(body->faults)));
  std::vector<std::string> ids;
  for (const Stated& input : body->inputs) ids.push_back(input.id);
  SupplyModel ranged;
  ranged.body_ = body;
  for (std::size_t i = 0; i < body->inputs.size(); ++i) {
    const PhysicalRange range = ranged.range_of(i);
    const Stated& input = body->inputs[i];
    if (input.value >= range.least && input.value <= range.most) continue;
    return fail(Error{.code = ErrorCode::invalid_input,
                      .where = {.file = input.origin.file, .line = input.origin.line, .column = 0, .field = input.id},
                      .found = input.origin.as_typed.empty() ? fmt::format("{}", input.value) : input.origin.as_typed,
                      .expected = fmt::format("{} to {}", range.least, range.most)});
  }
  if (const auto distinct = numerics::check_distinct(ids); !distinct) return fail(distinct.error().in_file(sheet.file));
  const auto network = hydraulics::Network::compile(build.net);
  if (!network) return fail(network.error().in_file(sheet.file));
  body->network = *network;

  SupplyModel model;
  model.body_ = std::move(body);
  return model;
}

}  // namespace fw::system
