// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <cmath>
#include <functional>
#include <optional>

#include <fmt/format.h>

#include "base/contract.hpp"
#include "fuel/fuel_text.hpp"
#include "hydraulics/annular.hpp"
#include "hydraulics/banjo.hpp"
#include "hydraulics/demand.hpp"
#include "hydraulics/displacement_pump.hpp"
#include "hydraulics/filter.hpp"
#include "hydraulics/fittings.hpp"
#include "hydraulics/orifice.hpp"
#include "hydraulics/pipe.hpp"
#include "hydraulics/quick_connector.hpp"
#include "hydraulics/resistor.hpp"
#include "hydraulics/size_change.hpp"
#include "hydraulics/turbine_pump.hpp"
#include "hydraulics/wire.hpp"
#include "numerics/stream.hpp"
#include "system/supply_body.hpp"

namespace fw::system {

namespace {

constexpr double smallest_valve_resistance_Pa_s_per_m3 = 1e5;   // 3 Pa at 100 L/h
constexpr double least_slip_m3_per_s_Pa = 1e-12;                // 0.4 L/h at 100 kPa: no pump is tighter
constexpr double stated_check_flow_m3_per_s = 150e-3 / 3600.0;  // flow at which check drops are stated

double slope_of_set(double drop_Pa, double flow_m3_per_s) {
  return std::max(drop_Pa / flow_m3_per_s, smallest_valve_resistance_Pa_s_per_m3);
}

}  // namespace

// The build is one long walk along the sheet; it is split by what it walks over.
struct ModelBuild {
  SupplyModel::Body& b;
  hydraulics::NetworkDefinition net;
  std::map<std::string, Node, std::less<>> ends;

  Slot fixed_height(double metres, const std::string& id) {
    Stated stated;
    stated.value = metres;
    stated.source = SourceClass::assumed;
    stated.id = id;
    return b.slot(stated, id, {});
  }

  void tanks() {
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

  void engine() {
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

  void junctions() {
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

  void add_place(const Leg& leg, std::size_t index, const Part* part, std::string title, NodeId node, Height height,
                 std::optional<ElementId> through) {
    PlaceAt place{.leg = leg.id,
                  .part = part != nullptr ? part->id : std::string(),
                  .title = std::move(title),
                  .port = part != nullptr ? part->port : std::string(),
                  .part_index = index};
    if (part != nullptr) b.place_by_part.emplace(part->id, b.places.size());
    b.places.push_back(std::move(place));
    b.place_nodes.push_back({node, height, through});
  }

  /// The line that ends where this one begins, with nothing between them; joints at its end stand between.
  static const Part* adjacent_line(const Leg& leg, std::size_t index) {
    for (std::size_t i = index; i-- > 0;) {
      if (leg.parts[i].bypassed) continue;
      return leg.parts[i].line && leg.parts[i].line->joints == 0 ? &leg.parts[i] : nullptr;
    }
    return nullptr;
  }

  /// Bore of the nearest line in the leg, looking back first: what a joint or fitting sits in.
  static const Stated* neighbour_bore(const Leg& leg, std::size_t index) {
    for (std::size_t i = index; i-- > 0;) {
      if (leg.parts[i].line && !leg.parts[i].bypassed) return &leg.parts[i].line->bore_m;
    }
    for (std::size_t i = index + 1; i < leg.parts.size(); ++i) {
      if (leg.parts[i].line && !leg.parts[i].bypassed) return &leg.parts[i].line->bore_m;
    }
    return nullptr;
  }

  ElementId line(const Leg& leg, std::size_t place, const Part& part, NodeId from, NodeId to) {
    const Line& line = *part.line;
    const bool hose = part.kind == PartKind::hose;
    const Slot bore = b.slot(line.bore_m, part.id + ".bore", part.origin);
    const Slot length = b.slot(line.length_m, part.id + ".length", part.origin);
    const Slot roughness = line.roughness_m.given()
                               ? b.slot(line.roughness_m, part.id + ".roughness", part.origin)
                               : b.slot_or(Stated{}, hose ? 0.03e-3 : 0.0015e-3, "common practice, no source",
                                           hose ? "law.roughness-hose" : "law.roughness-tube", part.origin);
    std::optional<Slot> arc;
    if (line.bend_diameter_m) arc = b.slot(*line.bend_diameter_m, part.id + ".bend_diameter", part.origin);
    const int bends = line.bends;
    const int joints = line.joints;
    std::optional<Slot> joint_bore;
    if (joints > 0) joint_bore = b.slot(line.joint_bore_m, part.id + ".joint_bore", part.origin);

    std::optional<Slot> kink;
    if (part.condition.bore_left) kink = b.slot(*part.condition.bore_left, part.id + ".bore_left", part.origin);
    // A line that meets another without a joint, fitting or housing between: a square shoulder.
    std::optional<Slot> wider;
    if (const Part* before = adjacent_line(leg, place)) {
      wider = b.slot(before->line->bore_m, before->id + ".bore", before->origin);
    }
    const std::string id = part.id;
    const hydraulics::Fitting bend = hydraulics::fitting_named(bend_id).value();
    const NodeId middle = joints > 0 ? net.add_node(part.id + " joints") : to;
    const ElementId pipe = net.add_element(part.id, Law::pipe, from, middle);
    std::optional<ElementId> stems;
    if (joints > 0) stems = net.add_element(part.id + " joints", Law::pipe, middle, to);
    b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
      hydraulics::ResistorCoefficients along = hydraulics::no_loss;
      if (bends > 0) along = hydraulics::times(c.fitting(bend, c.at(bore), id), bends * c.fitting_factor);
      if (wider && c.at(*wider) != c.at(bore)) {
        along = hydraulics::in_series(
            along,
            hydraulics::times(c.take(hydraulics::size_change_law(
                                         {.upstream_bore_m = c.at(*wider), .downstream_bore_m = c.at(bore)}, c.liquid),
                                     hydraulics::no_loss, id),
                              c.fitting_factor));
      }
      if (kink) {
        along = hydraulics::in_series(
            along, c.take(hydraulics::orifice_law({.bore_m = c.at(bore) * c.at(*kink)}, c.liquid), open_passage, id));
      }
      table.set(point, pipe,
                c.take(hydraulics::pipe_law({.bore_m = c.at(bore),
                                             .length_m = c.at(length),
                                             .roughness_m = c.at(roughness),
                                             .bend_diameter_m = arc ? c.at(*arc) : 0.0},
                                            c.liquid, along),
                       open_pipe, id));
      if (stems) table.set(point, *stems, c.joint(c.at(*joint_bore), c.at(bore), c.at(roughness), joints, id));
    });
    return pipe;
  }

  ElementId joint(const Leg& leg, std::size_t index, const Part& part, NodeId from, NodeId to) {
    const Joint& joint = *part.joint;
    const Slot bore = b.slot(joint.bore_m, part.id + ".bore", part.origin);
    const Stated* neighbour = joint.line_bore_m.given() ? &joint.line_bore_m : neighbour_bore(leg, index);
    std::optional<Slot> wide;
    if (neighbour != nullptr) wide = b.slot(*neighbour, part.id + ".line_bore", part.origin);
    const int count = joint.count;
    const std::string id = part.id;
    const ElementId pipe = net.add_element(part.id, Law::pipe, from, to);
    b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
      table.set(point, pipe,
                c.joint(c.at(bore), wide ? c.at(*wide) : c.at(bore), hydraulics::tube_roughness_m, count, id));
    });
    return pipe;
  }

  ElementId medium(const Leg& leg, const Part& part, NodeId from, NodeId to) {
    const Medium& medium = *part.medium;
    const Slot drop = b.slot(medium.clean_drop_Pa, part.id + ".clean_drop", part.origin);
    const Slot flow = b.slot(medium.at_flow_m3_per_s, part.id + ".at_flow", part.origin);
    const Slot share = b.slot_or(medium.quadratic_share, 0.5, "typical", part.id + ".quadratic_share", part.origin);
    std::optional<Slot> terminal;
    if (medium.terminal_drop_Pa) terminal = b.slot(*medium.terminal_drop_Pa, part.id + ".terminal_drop", part.origin);
    std::optional<Slot> plugged, pores;
    if (part.condition.plugged) plugged = b.slot(*part.condition.plugged, part.id + ".plugged", part.origin);
    if (part.condition.pores_left) pores = b.slot(*part.condition.pores_left, part.id + ".pores_left", part.origin);
    const bool spent = part.condition.spent;
    const bool shut = shut_by_selector(leg, part) || part.condition.stuck == Stuck::shut;
    std::optional<Slot> leak, leak_drop;
    if (medium.bypass_leak_m3_per_s) {
      leak = b.slot(*medium.bypass_leak_m3_per_s, part.id + ".bypass_leak", part.origin);
      leak_drop =
          b.slot_or(medium.bypass_leak_drop_Pa, 20e3, "stated at 20 kPa", part.id + ".bypass_leak_drop", part.origin);
    }
    const std::string id = part.id;
    const double viscosity = medium.at_kinematic_viscosity_m2_per_s;
    const double density = medium.at_density_kg_per_m3;
    const ElementId element = net.add_element(part.id, Law::resistor, from, to);
    std::optional<ElementId> seep;
    if (leak && !shut) seep = net.add_element(part.id + " leak", Law::resistor, from, to);
    std::optional<ElementId> bypass;
    std::optional<Slot> crack;
    if (medium.bypass_crack_Pa && !shut) {
      crack = b.slot(*medium.bypass_crack_Pa, part.id + ".bypass_crack", part.origin);
      bypass = net.add_element(part.id + " bypass", Law::valve, from, to);
    }
    MediumAt answer{.part = part.id, .inlet = from, .outlet = to, .through = element, .past = {}};
    if (seep) answer.past.push_back(*seep);
    if (bypass) answer.past.push_back(*bypass);
    b.media.push_back(std::move(answer));
    b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
      hydraulics::StatedDrop stated{.clean_drop_Pa = c.at(drop),
                                    .flow_m3_per_s = c.at(flow),
                                    .quadratic_share = c.at(share),
                                    .dynamic_viscosity_Pa_s = viscosity * density,
                                    .density_kg_per_m3 = density};
      // A terminal drop drawn below the clean drop means an element that is as good as spent when new.
      if (terminal) stated.terminal_drop_Pa = std::max(c.at(*terminal), c.at(drop));
      if (plugged) stated.terminal_drop_Pa = c.at(drop) * std::max(1.0, c.at(*plugged));
      const double loading = spent || plugged ? 1.0 : c.loading;
      const auto drawn = c.take(hydraulics::medium_from_drop(stated),
                                hydraulics::Medium{.darcy_per_m3 = 1e9, .inertial_per_m4 = 0.0}, id);
      hydraulics::ResistorCoefficients loss =
          c.take(hydraulics::medium_law(drawn, c.liquid, loading), hydraulics::ResistorLaw{open_passage}, id)
              .coefficients;
      if (pores) loss.linear_Pa_s_per_m3 *= c.at(*pores);
      loss.linear_Pa_s_per_m3 = std::max(loss.linear_Pa_s_per_m3, open_passage.linear_Pa_s_per_m3);
      if (shut) loss = shut_passage;
      table.set(point, element, loss);
      if (seep) {
        table.set(point, *seep,
                  c.take(hydraulics::bypass_leak_law(
                             {.flow_m3_per_s = c.at(*leak), .drop_Pa = c.at(*leak_drop), .density_kg_per_m3 = density},
                             c.liquid),
                         open_passage, id));
      }
      if (bypass) {
        table.set(point, *bypass,
                  hydraulics::ValveCoefficients{.crack_Pa = c.at(*crack),
                                                .linear_Pa_s_per_m3 = slope_of_set(c.at(*crack), c.at(flow))});
      }
    });
    return element;
  }

  /// A stem or quick connector between the lines on its two sides; a side without a line has the bore of the other.
  ElementId stem(const Leg& leg, std::size_t index, const Part& part, NodeId from, NodeId to) {
    const Passage& passage = *part.passage;
    const Slot bore = b.slot(passage.bore_m, part.id + ".bore", part.origin);
    const Slot length = b.slot_or(passage.length_m, 0.030, "30 mm, typical", part.id + ".length", part.origin);
    const auto side = [&](const Part* line) -> std::optional<Slot> {
      if (line == nullptr) return std::nullopt;
      return b.slot(line->line->bore_m, line->id + ".bore", line->origin);
    };
    const auto flowing_line = [](const Part& one) { return one.line && !one.bypassed; };
    const Part* before = nullptr;
    const Part* after = nullptr;
    for (std::size_t i = index; i-- > 0 && before == nullptr;)
      before = flowing_line(leg.parts[i]) ? &leg.parts[i] : nullptr;
    for (std::size_t i = index + 1; i < leg.parts.size() && after == nullptr; ++i) {
      after = flowing_line(leg.parts[i]) ? &leg.parts[i] : nullptr;
    }
    const std::optional<Slot> up = side(before != nullptr ? before : after);
    const std::optional<Slot> down = side(after != nullptr ? after : before);
    const bool connector = part.kind == PartKind::connector;
    const auto form = passage.angled ? hydraulics::ConnectorForm::elbow_90 : hydraulics::ConnectorForm::straight;
    const std::string id = part.id;
    const ElementId pipe = net.add_element(part.id, Law::pipe, from, to);
    b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
      const double d = c.at(bore);
      const double upstream = up ? c.at(*up) : d;
      const double downstream = down ? c.at(*down) : d;
      hydraulics::PipeCoefficients law =
          c.take(connector ? hydraulics::quick_connector_law({.upstream_bore_m = upstream,
                                                              .bore_m = d,
                                                              .length_m = c.at(length),
                                                              .downstream_bore_m = downstream,
                                                              .form = form},
                                                             c.liquid)
                           : hydraulics::stem_law({.upstream_bore_m = upstream,
                                                   .bore_m = d,
                                                   .length_m = c.at(length),
                                                   .downstream_bore_m = downstream},
                                                  c.liquid),
                 open_pipe, id);
      law.linear_Pa_s_per_m3 *= c.fitting_factor;
      law.quadratic_Pa_s2_per_m6 *= c.fitting_factor;
      table.set(point, pipe, law);
    });
    return pipe;
  }

  ElementId banjo(const Part& part, NodeId from, NodeId to) {
    const Slot bolt = b.slot(part.banjo->bolt_bore_m, part.id + ".bolt_bore", part.origin);
    const Slot hole = b.slot(part.banjo->hole_bore_m, part.id + ".hole_bore", part.origin);
    const double holes = part.banjo->holes;
    const std::string id = part.id;
    const ElementId pipe = net.add_element(part.id, Law::pipe, from, to);
    b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
      hydraulics::PipeCoefficients law = c.take(
          hydraulics::banjo_law({.bolt_bore_m = c.at(bolt), .hole_bore_m = c.at(hole), .hole_count = holes}, c.liquid),
          open_pipe, id);
      law.linear_Pa_s_per_m3 *= c.fitting_factor;
      law.quadratic_Pa_s2_per_m6 *= c.fitting_factor;
      table.set(point, pipe, law);
    });
    return pipe;
  }

  ElementId gap(const Part& part, NodeId from, NodeId to) {
    const Slot diameter = b.slot(part.gap->diameter_m, part.id + ".diameter", part.origin);
    const Slot clearance = b.slot(part.gap->clearance_m, part.id + ".clearance", part.origin);
    const Slot length = b.slot(part.gap->length_m, part.id + ".length", part.origin);
    const Slot offset = b.slot_or(part.gap->eccentricity, 0.5, "assumed", part.id + ".eccentricity", part.origin);
    const std::string id = part.id;
    const ElementId element = net.add_element(part.id, Law::resistor, from, to);
    b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
      table.set(point, element,
                c.take(hydraulics::annular_gap_law({.diameter_m = c.at(diameter),
                                                    .clearance_m = c.at(clearance),
                                                    .length_m = c.at(length),
                                                    .eccentricity = c.at(offset)},
                                                   c.liquid),
                       open_passage, id));
    });
    return element;
  }

  ElementId fitting(const Part& part, NodeId from, NodeId to) {
    const Slot bore = b.slot(part.fitting->bore_m, part.id + ".bore", part.origin);
    const int count = part.fitting->count;
    const std::string id = part.id;
    const auto known = hydraulics::fitting_named(part.fitting->law);
    if (!known) {
      for (Error error : known.error()) {
        error.where = {.file = part.origin.file, .line = part.origin.line, .column = 0, .field = id + ".law"};
        b.faults.push_back(std::move(error));
      }
      return passage(id, from, to);
    }
    const hydraulics::Fitting law = *known;
    const ElementId element = net.add_element(part.id, Law::resistor, from, to);
    b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
      table.set(point, element, hydraulics::times(c.fitting(law, c.at(bore), id), count * c.fitting_factor));
    });
    return element;
  }

  ElementId orifice(const Part& part, NodeId from, NodeId to) {
    const Slot bore = b.slot(part.orifice->diameter_m, part.id + ".diameter", part.origin);
    const std::string id = part.id;
    const ElementId element = net.add_element(part.id, Law::resistor, from, to);
    b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
      table.set(point, element, c.take(hydraulics::orifice_law({.bore_m = c.at(bore)}, c.liquid), open_passage, id));
    });
    return element;
  }

  ElementId valve(const Part& part, NodeId from, NodeId to) {
    const Slot crack = b.slot(part.valve->crack_Pa, part.id + ".crack", part.origin);
    const Slot drop = b.slot_or(part.valve->drop_Pa, 3e3, "3 kPa at 150 L/h, typical", part.id + ".drop", part.origin);
    const Slot flow = b.slot_or(part.valve->at_flow_m3_per_s, stated_check_flow_m3_per_s, "as stated",
                                part.id + ".at_flow", part.origin);
    const std::string id = part.id;
    if (part.condition.stuck == Stuck::open) {
      // Held off its seat: a relief by the gap that is stated, a check by its own drop, both ways.
      std::optional<Slot> gap;
      if (part.condition.gap_m) gap = b.slot(*part.condition.gap_m, part.id + ".gap", part.origin);
      const ElementId open = net.add_element(part.id, Law::resistor, from, to);
      b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
        table.set(point, open,
                  gap ? c.take(hydraulics::orifice_law({.bore_m = c.at(*gap)}, c.liquid), open_passage, id)
                      : hydraulics::ResistorCoefficients{.linear_Pa_s_per_m3 = slope_of_set(c.at(drop), c.at(flow))});
      });
      return open;
    }
    std::optional<Slot> factor;
    if (part.condition.set_factor) factor = b.slot(*part.condition.set_factor, part.id + ".set_factor", part.origin);
    const double shut = part.condition.stuck == Stuck::shut ? 1.0 : 0.0;
    const ElementId element = net.add_element(part.id, Law::valve, from, to);
    b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
      table.set(point, element,
                hydraulics::ValveCoefficients{.crack_Pa = c.at(crack) * (factor ? c.at(*factor) : 1.0),
                                              .linear_Pa_s_per_m3 = slope_of_set(c.at(drop), c.at(flow)),
                                              .shut = shut});
    });
    return element;
  }

  /// A valve that holds a pressure by letting fuel go.
  struct Spill {
    Slot set;
    std::optional<Slot> slope;
    std::optional<Slot> factor;
    std::optional<Slot> gap;
    std::optional<Slot> hysteresis;
    Stuck stuck = Stuck::no;
  };

  Spill spill_of(const Part& part, Slot set, std::optional<Slot> slope) {
    Spill spill{.set = set, .slope = slope, .factor = {}, .gap = {}, .hysteresis = {}, .stuck = part.condition.stuck};
    if (part.condition.set_factor)
      spill.factor = b.slot(*part.condition.set_factor, part.id + ".set_factor", part.origin);
    if (part.condition.gap_m) spill.gap = b.slot(*part.condition.gap_m, part.id + ".gap", part.origin);
    const Stated hysteresis = part.pump    ? part.pump->set_hysteresis_Pa.value_or(Stated{})
                              : part.valve ? part.valve->hysteresis_Pa
                                           : Stated{};
    if (hysteresis.given()) spill.hysteresis = b.slot(hysteresis, part.id + ".hysteresis", part.origin);
    return spill;
  }

  /// The valve from `from` to `to` that opens when P_from - P_to exceeds set x factor + `reference`; or what is stuck.
  void spill(const std::string& id, NodeId from, NodeId to, const Spill& spill,
             std::function<double(const CaseContext&)> reference) {
    if (spill.stuck == Stuck::open) {
      const ElementId open = net.add_element(id, Law::resistor, from, to);
      b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
        const double bore_m = spill.gap ? c.at(*spill.gap) : 0.004;
        table.set(point, open, c.take(hydraulics::orifice_law({.bore_m = bore_m}, c.liquid), open_passage, id));
      });
      return;
    }
    const ElementId element = net.add_element(id, Law::valve, from, to);
    b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
      const bool closing = c.running->relief_set == hydraulics::ReliefSet::closing;
      const double back = closing && spill.hysteresis ? c.at(*spill.hysteresis) : 0.0;
      const double set = c.at(spill.set) * (spill.factor ? c.at(*spill.factor) : 1.0) - back;
      table.set(point, element,
                hydraulics::ValveCoefficients{.crack_Pa = set + reference(c),
                                              .linear_Pa_s_per_m3 = std::max(spill.slope ? c.at(*spill.slope) : 0.0,
                                                                             smallest_valve_resistance_Pa_s_per_m3),
                                              .shut = spill.stuck == Stuck::shut ? 1.0 : 0.0});
    });
  }

  std::size_t tank_index(const std::string& id) const {
    for (std::size_t i = 0; i < b.sheet.tanks.size(); ++i) {
      if (b.sheet.tanks[i].id == id) return i;
    }
    return 0;
  }

  /// A selector stands in legs of a tank; it is shut where its tank is not chosen.
  bool shut_by_selector(const Leg& leg, const Part& part) const {
    if (part.kind != PartKind::selector) return false;
    const SelectorPosition& position = b.sheet.selector;
    const std::string feed = position.feed.empty() ? b.sheet.tanks.front().id : position.feed;
    const std::string back = position.back.empty() ? feed : position.back;
    if (b.sheet.find_tank(leg.from) != nullptr) return leg.from != feed;
    if (b.sheet.find_tank(leg.to) != nullptr) return leg.to != back;
    return false;
  }

  /// Spills from `node` to a tank so that the pressure over ambient at the node is held at the set.
  void spill_to_tank(const std::string& id, NodeId node, const Height& height, const Spill& valve, std::size_t tank) {
    spill(id + " spill", node, b.tank_nodes[tank], valve,
          [=](const CaseContext& c) { return c.ambient_Pa + c.rho_g * c.at(height) - c.tank_air_Pa[tank]; });
  }

  void guard(const std::string& title, NodeId node, NodeId to, const Height& height) {
    // A pump that stands in its tank has the tank's pressure at its inlet.
    if (std::ranges::find(b.tank_nodes, node) != b.tank_nodes.end()) return;
    const ElementId element = net.add_element(title + " vapour limit", Law::vapour_guard, node, to);
    b.guards.push_back({element, title});
    b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
      table.set(point, element,
                hydraulics::GuardCoefficients{.pressure_Pa = c.liquid.vapour_pressure_Pa + c.rho_g * c.at(height)});
    });
  }

  /// Resistance [Ohm] between battery and motor: the wiring if described, else the stated or typical harness; and what
  /// a bad ground adds.
  std::function<double(const CaseContext&)> harness_of(const Part& part) {
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

  /// A pump that swallows gas delivers that much less liquid.
  static hydraulics::SourceCoefficients thinned(hydraulics::SourceCoefficients source, double gas) {
    source.free_flow_m3_per_s *= 1.0 - gas;
    source.conductance_m3_per_s_Pa *= 1.0 - gas;
    return source;
  }

  ElementId pump(const Leg& leg, const Part& part, NodeId from, NodeId to, Height inlet_height, Height outlet_height) {
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
          table.set(point, through,
                    thinned(c.take(hydraulics::driven_pump_law(rotor, c.demand.speed_per_s * c.at(ratio), c.liquid),
                                   none, id),
                            c.pump_void[index]));
        } else {
          table.set(point, through,
                    thinned(c.take(hydraulics::electric_pump_law(rotor, motor_of(c), c.liquid), none, id),
                            c.pump_void[index]));
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

  /// Lines between a part (or the end of a leg, part "") and the tank or the last pump before it, for their inertia.
  std::vector<Column> column_to(const Leg& leg, const std::string& part) {
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

  std::vector<Column> column_after(const Leg& leg, const std::string& pump, const std::string& until) {
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

  void leg(const Leg& leg) {
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
      const bool lossless = !part.line && !part.fitting && !part.joint && !part.medium && !part.valve &&
                            !part.orifice && !part.pump && !part.passage && !part.banjo && !part.gap;
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

  ElementId passage(const std::string& id, NodeId from, NodeId to,
                    const hydraulics::ResistorCoefficients& loss = open_passage) {
    const ElementId element = net.add_element(id, Law::resistor, from, to);
    b.fillers.push_back(
        [=](const CaseContext&, hydraulics::PointTable& table, std::size_t point) { table.set(point, element, loss); });
    return element;
  }

  void demand() {
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
};

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
