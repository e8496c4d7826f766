// SPDX-License-Identifier: Apache-2.0
#include "system/supply_model.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <optional>

#include <fmt/format.h>

#include "base/contract.hpp"
#include "fuel/fuel_text.hpp"
#include "hydraulics/demand.hpp"
#include "hydraulics/displacement_pump.hpp"
#include "hydraulics/filter.hpp"
#include "hydraulics/fittings.hpp"
#include "hydraulics/orifice.hpp"
#include "hydraulics/pipe.hpp"
#include "hydraulics/resistor.hpp"
#include "numerics/stream.hpp"
#include "system/joint_loss.hpp"

namespace fw::system {

namespace {

using hydraulics::ElementId;
using hydraulics::Law;
using hydraulics::NodeId;
using hydraulics::NodeKind;

constexpr double gravity_m_per_s2 = 9.80665;
constexpr double smallest_valve_resistance_Pa_s_per_m3 = 1e5;   // 3 Pa at 100 L/h
constexpr double least_slip_m3_per_s_Pa = 1e-12;                // 0.4 L/h at 100 kPa: no pump is tighter
constexpr double stated_check_flow_m3_per_s = 150e-3 / 3600.0;  // flow at which check drops are stated

double slope_of_set(double drop_Pa, double flow_m3_per_s) {
  return std::max(drop_Pa / flow_m3_per_s, smallest_valve_resistance_Pa_s_per_m3);
}

/// Atmosphere of ISO 2533: 101325 (1 - 2.25577e-5 z)^5.25588 Pa, z up to 11,000 m.
double atmosphere_Pa(double altitude_m) { return 101325.0 * std::pow(1.0 - 2.25577e-5 * altitude_m, 5.25588); }

struct Slot {
  std::size_t index = 0;
};

struct Node {
  NodeId id{};
  Slot height;
};

/// Everything a filler needs to know of one case.
constexpr hydraulics::ResistorCoefficients open_passage{.linear_Pa_s_per_m3 = 1e5};  // 3 Pa at 100 L/h
constexpr hydraulics::PipeCoefficients open_pipe{.reynolds_per_flow_s_per_m3 = 1e7,
                                                 .laminar_resistance_Pa_s_per_m3 = 1e5};
constexpr std::string_view bend_id = "bend-90-r4";  // 90 degrees, r/d 4

struct CaseContext {
  const SupplyModel::Case* running = nullptr;
  const double* slots = nullptr;
  fuel::Liquid liquid;
  double ambient_Pa = 0.0;
  double rho_g = 0.0;
  double loading = 0.0;
  double speed_share = 0.0;  ///< engine speed over rated
  hydraulics::EngineDemand demand;
  double fitting_factor = 1.0;
  std::vector<double> tank_pressure_Pa;        ///< P of each tank's surface
  const std::vector<bool>* stopped = nullptr;  ///< by pump index

  mutable std::optional<Errors> fault;  ///< first law that refused its draw

  [[nodiscard]] double at(Slot slot) const { return slots[slot.index]; }

  /// The value of a law, or `otherwise` with the fault kept: a case with a fault is not solved.
  template <class T>
  [[nodiscard]] T take(Result<T> result, T otherwise, const std::string& part) const {
    if (result) return *std::move(result);
    if (!fault) fault = result.error().in_field(part);
    return otherwise;
  }

  [[nodiscard]] hydraulics::ResistorCoefficients fitting(const hydraulics::Fitting& law, double bore_m,
                                                         const std::string& part) const {
    return take(hydraulics::fitting_law(law, {.bore_m = bore_m}, liquid), hydraulics::ResistorLaw{open_passage}, part)
        .coefficients;
  }

  /// `count` joints in series: their own bore as a pipe, their contraction and expansion as a loss along it.
  [[nodiscard]] hydraulics::PipeCoefficients joint(double bore_m, double line_bore_m, double roughness_m, int count,
                                                   const std::string& part) const {
    const auto ends = take(joint_size_loss(bore_m, line_bore_m, liquid), hydraulics::no_loss, part);
    return take(hydraulics::pipe_law({.bore_m = bore_m, .length_m = count * joint_length_m, .roughness_m = roughness_m},
                                     liquid, hydraulics::times(ends, count * fitting_factor)),
                open_pipe, part);
  }
};

using Filler = std::function<void(const CaseContext&, hydraulics::PointTable&, std::size_t)>;

struct PlaceNode {
  NodeId node{};
  Slot height;
  std::optional<ElementId> through;
};

struct GuardAt {
  ElementId element{};
  std::string title;
};

}  // namespace

// The body is named by the build below; it is private to this file.
struct SupplyModel::Body {
  LineSheet sheet;
  Branch branch;
  std::vector<Stated> inputs;
  std::map<std::string, std::size_t, std::less<>> by_id;
  std::vector<PlaceAt> places;
  std::vector<PlaceNode> place_nodes;
  std::map<std::string, std::size_t, std::less<>> place_by_part;
  std::map<std::string, std::size_t, std::less<>> pump_index;
  std::vector<std::string> pump_titles;
  std::optional<hydraulics::Network> network;
  std::vector<Filler> fillers;
  std::vector<GuardAt> guards;
  std::vector<NodeId> tank_nodes;
  NodeId ground{};
  NodeId engine{};
  NodeId engine_return{};
  bool returns_by_leg = false;
  ElementId engine_guard{};
  ElementId injected{};
  ElementId returned{};
  fuel::Fuel fuel;

  struct TankSlots {
    Slot height, floor, vent_bore, ullage, burned;
    bool vented = false;
    bool blocked = false;
  };
  std::vector<TankSlots> tanks;
  struct EngineSlots {
    Slot displacement, rated_power, rated_speed, peak_power, peak_speed, idle_speed, crank_speed, rated_consumption,
        peak_consumption, leakoff, housing, height;
  } engine_slots;
  Slot fitting_loss, density, viscosity, release;

  // ---- slots ----
  std::vector<Error> faults;

  Slot slot(const Stated& stated, const std::string& field, const Origin& origin) {
    if (!stated.given()) {
      faults.push_back({.code = ErrorCode::invalid_input,
                        .where = {.file = origin.file, .line = origin.line, .column = 0, .field = field},
                        .found = "nothing",
                        .expected = "a number with its unit",
                        .hint = "Enter it, or write \"?\" so that a usual range stands in"});
      return {};
    }
    const std::string id = stated.id.empty() ? field : stated.id;
    if (const auto known = by_id.find(id); known != by_id.end()) return {known->second};
    Stated copy = stated;
    copy.id = id;
    inputs.push_back(std::move(copy));
    by_id.emplace(id, inputs.size() - 1);
    return {inputs.size() - 1};
  }

  Slot slot_or(const Stated& stated, double otherwise, const char* why, const std::string& id, const Origin& origin) {
    if (stated.given()) return slot(stated, id, origin);
    Stated fallback;
    fallback.value = otherwise;
    fallback.source = SourceClass::assumed;
    fallback.id = id;
    fallback.origin.source = why;
    return slot(fallback, id, origin);
  }
};

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
      b.tanks.push_back(slots);
      const NodeId node = net.add_node(tank.id, NodeKind::fixed);
      b.tank_nodes.push_back(node);
      Stated mouth = tank.pickup_height_m;
      ends.emplace(tank.id, Node{node, b.slot_or(mouth, 0.025, "pickup 25 mm over the floor, typical",
                                                 field + ".pickup_height", tank.origin)});
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
    s.height = need(engine.inlet_height_m, "inlet_height");
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
        Slot height{};
        if (stated != b.sheet.junctions.end() && stated->height_m) {
          height = b.slot(*stated->height_m, name + ".height", leg.origin);
        } else {
          // The height at which the first leg that arrives here ends: its last stated height, else where it begins.
          std::optional<Stated> last;
          std::optional<Slot> begin;
          for (const Leg& arriving : b.sheet.legs) {
            if (arriving.to != name) continue;
            for (const Part& part : arriving.parts) {
              if (part.end_height_m) last = part.end_height_m;
            }
            if (const auto from = ends.find(arriving.from); from != ends.end()) begin = from->second.height;
            break;
          }
          height = last    ? b.slot(*last, name + ".height", leg.origin)
                   : begin ? *begin
                           : b.slot_or(Stated{}, 0.0, "no height stated: that of the tank floor", name + ".height",
                                       leg.origin);
        }
        ends.emplace(name, Node{net.add_node(name), height});
      }
    }
  }

  void add_place(const Leg& leg, std::size_t index, const Part* part, std::string title, NodeId node, Slot height,
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

  ElementId line(const Part& part, NodeId from, NodeId to) {
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

    const std::string id = part.id;
    const hydraulics::Fitting bend = hydraulics::fitting_named(bend_id).value();
    const NodeId middle = joints > 0 ? net.add_node(part.id + " joints") : to;
    const ElementId pipe = net.add_element(part.id, Law::pipe, from, middle);
    std::optional<ElementId> stems;
    if (joints > 0) stems = net.add_element(part.id + " joints", Law::pipe, middle, to);
    b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
      hydraulics::ResistorCoefficients along = hydraulics::no_loss;
      if (bends > 0) along = hydraulics::times(c.fitting(bend, c.at(bore), id), bends * c.fitting_factor);
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

  ElementId medium(const Part& part, NodeId from, NodeId to) {
    const Medium& medium = *part.medium;
    const Slot drop = b.slot(medium.clean_drop_Pa, part.id + ".clean_drop", part.origin);
    const Slot flow = b.slot(medium.at_flow_m3_per_s, part.id + ".at_flow", part.origin);
    const Slot share = b.slot_or(medium.quadratic_share, 0.5, "typical", part.id + ".quadratic_share", part.origin);
    std::optional<Slot> terminal;
    if (medium.terminal_drop_Pa) terminal = b.slot(*medium.terminal_drop_Pa, part.id + ".terminal_drop", part.origin);
    const std::string id = part.id;
    const double viscosity = medium.at_kinematic_viscosity_m2_per_s;
    const double density = medium.at_density_kg_per_m3;
    const ElementId element = net.add_element(part.id, Law::resistor, from, to);
    std::optional<ElementId> bypass;
    std::optional<Slot> crack;
    if (medium.bypass_crack_Pa) {
      crack = b.slot(*medium.bypass_crack_Pa, part.id + ".bypass_crack", part.origin);
      bypass = net.add_element(part.id + " bypass", Law::valve, from, to);
    }
    b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
      hydraulics::StatedDrop stated{.clean_drop_Pa = c.at(drop),
                                    .flow_m3_per_s = c.at(flow),
                                    .quadratic_share = std::clamp(c.at(share), 0.0, 0.999),
                                    .dynamic_viscosity_Pa_s = viscosity * density,
                                    .density_kg_per_m3 = density};
      // A terminal drop drawn below the clean drop means an element that is as good as spent when new.
      if (terminal) stated.terminal_drop_Pa = std::max(c.at(*terminal), c.at(drop));
      const auto drawn = c.take(hydraulics::medium_from_drop(stated),
                                hydraulics::Medium{.darcy_per_m3 = 1e9, .inertial_per_m4 = 0.0}, id);
      hydraulics::ResistorCoefficients loss =
          c.take(hydraulics::medium_law(drawn, c.liquid, c.loading), hydraulics::ResistorLaw{open_passage}, id)
              .coefficients;
      loss.linear_Pa_s_per_m3 = std::max(loss.linear_Pa_s_per_m3, open_passage.linear_Pa_s_per_m3);
      table.set(point, element, loss);
      if (bypass) {
        table.set(point, *bypass,
                  hydraulics::ValveCoefficients{.crack_Pa = c.at(*crack),
                                                .linear_Pa_s_per_m3 = slope_of_set(c.at(*crack), c.at(flow))});
      }
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
    const ElementId element = net.add_element(part.id, Law::valve, from, to);
    b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
      table.set(point, element,
                hydraulics::ValveCoefficients{.crack_Pa = c.at(crack),
                                              .linear_Pa_s_per_m3 = slope_of_set(c.at(drop), c.at(flow))});
    });
    return element;
  }

  /// Spills from `node` to the first tank so that the pressure over ambient at the node is held at the set.
  void spill_to_tank(const std::string& id, NodeId node, Slot height, Slot set, std::optional<Slot> slope) {
    const ElementId element = net.add_element(id + " spill", Law::valve, node, b.tank_nodes.front());
    b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
      const double crack = c.at(set) + c.ambient_Pa + c.rho_g * c.at(height) - c.tank_pressure_Pa.front();
      table.set(point, element,
                hydraulics::ValveCoefficients{
                    .crack_Pa = crack,
                    .linear_Pa_s_per_m3 = std::max(slope ? c.at(*slope) : 0.0, smallest_valve_resistance_Pa_s_per_m3)});
    });
  }

  void guard(const std::string& title, NodeId node, NodeId to, Slot height) {
    // A pump that stands in its tank has the tank's pressure at its inlet.
    if (std::ranges::find(b.tank_nodes, node) != b.tank_nodes.end()) return;
    const ElementId element = net.add_element(title + " vapour limit", Law::vapour_guard, node, to);
    b.guards.push_back({element, title});
    b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
      table.set(point, element,
                hydraulics::GuardCoefficients{.pressure_Pa = c.liquid.vapour_pressure_Pa + c.rho_g * c.at(height)});
    });
  }

  ElementId pump(const Part& part, NodeId from, NodeId to, Slot inlet_height, Slot outlet_height) {
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
        const double ratio = c.running->point.voltage_V / rated_voltage;
        table.set(point, through,
                  hydraulics::ValveCoefficients{.crack_Pa = still ? 0.0 : -c.at(head) * ratio * ratio,
                                                .linear_Pa_s_per_m3 = c.at(head) * ratio / c.at(free),
                                                .shut = still ? 1.0 : 0.0});
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
      const Slot rh = optional(pump.harness_resistance_ohm, 0.09, "typical", "harness_resistance");
      const Drive drive = pump.drive;
      through = net.add_element(part.id, Law::source, from, to);
      b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
        const hydraulics::DisplacementPump rotor{.displacement_m3 = c.at(displacement),
                                                 .slip = c.at(slip),
                                                 .viscous_drag = c.at(drag),
                                                 .friction_share = c.at(friction),
                                                 .friction_torque_N_m = c.at(torque)};
        const hydraulics::SourceCoefficients none{.free_flow_m3_per_s = 0.0, .conductance_m3_per_s_Pa = 0.0};
        if ((*c.stopped)[index]) {
          table.set(point, through, c.take(hydraulics::driven_pump_law(rotor, 0.0, c.liquid), none, id));
        } else if (drive == Drive::engine) {
          table.set(point, through,
                    c.take(hydraulics::driven_pump_law(rotor, c.demand.speed_per_s * c.at(ratio), c.liquid), none, id));
        } else {
          const hydraulics::MotorDrive motor{.motor_constant_V_s = c.at(ke),
                                             .winding_resistance_ohm = c.at(ra),
                                             .harness_resistance_ohm = c.at(rh),
                                             .supply_V = c.running->point.voltage_V};
          table.set(point, through, c.take(hydraulics::electric_pump_law(rotor, motor, c.liquid), none, id));
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
        const double scale = drive == Drive::engine ? c.speed_share : c.running->point.voltage_V / rated_voltage;
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
      if (surplus == Surplus::to_tank) {
        spill_to_tank(part.id, to, outlet_height, set, slope);
      } else {
        const ElementId relief = net.add_element(part.id + " relief", Law::valve, to, from);
        b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
          // The spring feels p_out - p_in; the heights of both ends enter because the valve sits between the nodes.
          const double crack = c.at(set) + c.rho_g * (c.at(outlet_height) - c.at(inlet_height));
          table.set(
              point, relief,
              hydraulics::ValveCoefficients{
                  .crack_Pa = crack,
                  .linear_Pa_s_per_m3 = std::max(slope ? c.at(*slope) : 0.0, smallest_valve_resistance_Pa_s_per_m3)});
        });
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
    return through;
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
    Slot height = start.height;
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
        loss.linear_Pa_s_per_m3 = std::max(loss.linear_Pa_s_per_m3, open_passage.linear_Pa_s_per_m3);
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
      const Slot before = height;
      if (part.end_height_m) height = b.slot(*part.end_height_m, part.id + ".end_height", part.origin);
      if (part.kind == PartKind::regulator) {
        const Slot set = b.slot(part.valve->crack_Pa, part.id + ".set", part.origin);
        std::optional<Slot> slope;
        spill_to_tank(part.id, at, height, set, slope);
        add_place(leg, i + 1, &part, title, at, height, last_element);
        continue;
      }
      const bool lossless =
          !part.line && !part.fitting && !part.joint && !part.medium && !part.valve && !part.orifice && !part.pump;
      if (lossless && i != last_flowing) {
        add_place(leg, i + 1, &part, title, at, height, last_element);
        continue;
      }
      if (!entered && part.line) {
        const NodeId inside = net.add_node(part.id + " mouth");
        tank_loss(0.8, part, at, inside, " entrance");
        at = inside;
        entered = true;
      }
      const bool last = i == last_flowing;
      const bool exits = last && into_tank && last_line != nullptr;
      const NodeId next = last && !exits ? stop.id : net.add_node(part.id);
      ElementId through{};
      if (part.pump) {
        through = pump(part, at, next, before, height);
      } else if (part.line) {
        through = line(part, at, next);
      } else if (part.medium) {
        through = medium(part, at, next);
      } else if (part.fitting) {
        through = fitting(part, at, next);
      } else if (part.joint) {
        through = joint(leg, i, part, at, next);
      } else if (part.orifice) {
        through = orifice(part, at, next);
      } else if (part.valve) {
        through = valve(part, at, next);
      } else {
        through = passage(part.id, at, next);
      }
      add_place(leg, i + 1, &part, title, next, height, through);
      last_element = through;
      at = next;
      if (exits) tank_loss(2.0, *last_line, at, stop.id, " exit");
    }
    if (last_flowing == leg.parts.size()) last_element = passage(leg.id, start.id, stop.id);
    add_place(leg, leg.parts.size() + 1, nullptr, title_of_end(leg.to), stop.id, stop.height, last_element);
  }

  ElementId passage(const std::string& id, NodeId from, NodeId to) {
    const ElementId element = net.add_element(id, Law::resistor, from, to);
    b.fillers.push_back([=](const CaseContext&, hydraulics::PointTable& table, std::size_t point) {
      table.set(point, element, open_passage);
    });
    return element;
  }

  void demand() {
    b.injected = net.add_element("injected", Law::draw, b.engine, b.ground);
    b.returned = net.add_element("returned", Law::draw, b.engine, b.engine_return);
    if (!b.returns_by_leg) {
      // No return drawn: it goes straight back outside the model.
      passage("return not drawn", b.engine_return, b.tank_nodes.front());
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
  }
};

std::vector<Branch> branches(const LineSheet& sheet) {
  std::vector<Branch> all{Branch{}};
  for (const Leg& leg : sheet.legs) {
    for (const Part& part : leg.parts) {
      if (!part.pump || part.bypassed) continue;
      const std::string title = part.title.empty() ? part.id : part.title;
      const auto split = [&](const std::vector<std::pair<std::string, PumpFacts>>& ways) {
        if (all.size() * ways.size() > 8) return;
        std::vector<Branch> grown;
        for (const Branch& branch : all) {
          for (const auto& [words, facts] : ways) {
            Branch next = branch;
            PumpFacts merged = facts;
            if (const auto old = next.pumps.find(part.id); old != next.pumps.end()) {
              if (part.pump->surplus == Surplus::unknown) merged.surplus = old->second.surplus;
            }
            next.pumps[part.id] = merged;
            next.title += (next.title.empty() ? "" : "; ") + title + " " + words;
            grown.push_back(std::move(next));
          }
        }
        all = std::move(grown);
      };
      if (part.pump->set_Pa && part.pump->surplus == Surplus::unknown) {
        split({{"returns its surplus to its own inlet", {.surplus = Surplus::to_own_inlet}},
               {"returns its surplus to the tank", {.surplus = Surplus::to_tank}}});
      }
      if (part.pump->stopped == Stopped::unknown && !part.pump->running) {
        split({{"blocks at rest", {.stopped = Stopped::blocks}}, {"passes at rest", {.stopped = Stopped::passes}}});
      }
    }
  }
  return all;
}

Laws default_laws() {
  const auto law = [](double value, Spread spread, const char* id, const char* why) {
    Stated stated;
    stated.value = value;
    stated.spread = spread;
    stated.source = SourceClass::assumed;
    stated.id = id;
    stated.origin.source = why;
    return stated;
  };
  return {.fitting_loss = law(1.0, {.kind = SpreadKind::lognormal, .factor = 1.3}, "law.fitting-loss",
                              "common practice, no source: 30 % on fittings of small bore"),
          .density = law(1.0, {.kind = SpreadKind::normal, .half_width = 0.01}, "law.fuel-density",
                         "assumed: a grade's density differs within its standard"),
          .viscosity = law(1.0, {.kind = SpreadKind::normal, .half_width = 0.15}, "law.fuel-viscosity",
                           "assumed: a grade's viscosity differs within its standard"),
          .release = law(0.14, {.kind = SpreadKind::log_uniform, .low = 0.02, .high = 1.0}, "law.gas-release",
                         "assumed: no release rate is published")};
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

  ModelBuild build{.b = *body, .net = {}, .ends = {}};
  build.tanks();
  build.engine();
  build.junctions();
  for (const Leg& leg : sheet.legs) build.leg(leg);
  build.demand();
  if (!body->faults.empty()) return fail(Errors(std::move(body->faults)));
  std::vector<std::string> ids;
  for (const Stated& input : body->inputs) ids.push_back(input.id);
  if (const auto distinct = numerics::check_distinct(ids); !distinct) return fail(distinct.error().in_file(sheet.file));
  const auto network = hydraulics::Network::compile(build.net);
  if (!network) return fail(network.error().in_file(sheet.file));
  body->network = *network;

  SupplyModel model;
  model.body_ = std::move(body);
  return model;
}

std::span<const Stated> SupplyModel::inputs() const { return body_->inputs; }
std::span<const PlaceAt> SupplyModel::places() const { return body_->places; }
const LineSheet& SupplyModel::sheet() const { return body_->sheet; }
const Branch& SupplyModel::branch() const { return body_->branch; }

std::vector<double> SupplyModel::nominal() const {
  std::vector<double> values;
  values.reserve(body_->inputs.size());
  for (const Stated& input : body_->inputs) values.push_back(input.value);
  return values;
}

Result<std::size_t> SupplyModel::place_of(std::string_view part) const {
  if (part == engine_end) {
    for (std::size_t i = 0; i < body_->places.size(); ++i) {
      if (body_->place_nodes[i].node == body_->engine) return i;
    }
  }
  const auto found = body_->place_by_part.find(part);
  if (found == body_->place_by_part.end()) {
    return fail(Error{.code = ErrorCode::not_found,
                      .found = fmt::format("the part \"{}\"", part),
                      .expected = "a part of the sheet \"" + body_->sheet.name + "\""});
  }
  return found->second;
}

Result<std::vector<PointState>> SupplyModel::solve(std::span<const Case> cases, const Run& run) const {
  const Body& b = *body_;
  hydraulics::PointTable table(*b.network, cases.size());
  std::vector<PointState> states(cases.size());
  std::vector<bool> stopped(b.pump_titles.size(), false);

  for (std::size_t i = 0; i < cases.size(); ++i) {
    const Case& one = cases[i];
    FW_EXPECTS(one.slots.size() == b.inputs.size());
    CaseContext c;
    c.running = &one;
    c.slots = one.slots.data();
    c.ambient_Pa = atmosphere_Pa(one.point.altitude_m);
    const auto liquid = fuel::liquid_at(b.fuel, one.point.fuel_temperature_K, c.ambient_Pa);
    if (!liquid) return fail(liquid.error().in_field("fuel"));
    c.liquid = *liquid;
    c.liquid.density_kg_per_m3 *= c.at(b.density);
    c.liquid.dynamic_viscosity_Pa_s *= c.at(b.density) * c.at(b.viscosity);
    c.rho_g = c.liquid.density_kg_per_m3 * gravity_m_per_s2;
    c.loading = one.point.filter_loading;
    c.fitting_factor = c.at(b.fitting_loss);
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
    c.demand = *demand;
    c.speed_share = c.demand.speed_per_s / engine.rated_speed_per_s;

    for (std::size_t p = 0; p < stopped.size(); ++p) stopped[p] = false;
    for (const Leg& leg : b.sheet.legs) {
      for (const Part& part : leg.parts) {
        if (!part.pump) continue;
        const auto known = b.pump_index.find(part.id);
        if (known == b.pump_index.end()) continue;
        const bool asked = one.stopped_pumps != nullptr && std::ranges::count(*one.stopped_pumps, part.id) > 0;
        if (!part.pump->running || asked) stopped[known->second] = true;
      }
    }
    c.stopped = &stopped;

    table.set_pressure(i, b.ground, c.ambient_Pa);
    for (std::size_t t = 0; t < b.tanks.size(); ++t) {
      const Body::TankSlots& tank = b.tanks[t];
      double air_Pa = c.ambient_Pa;
      if (tank.vented && tank.blocked) {
        air_Pa = c.ambient_Pa * c.at(tank.ullage) / (c.at(tank.ullage) + c.at(tank.burned));
      } else if (tank.vented) {
        const auto drop = hydraulics::vent_drop({.bore_m = c.at(tank.vent_bore)}, c.demand.injected_m3_per_s);
        if (!drop) return fail(drop.error().in_field(b.sheet.tanks[t].id + ".vent").in_file(b.sheet.file));
        air_Pa -= drop->vacuum_Pa;
      }
      const double surface_m = c.at(tank.floor) + one.point.tank_level * c.at(tank.height);
      const double pressure = air_Pa + c.rho_g * surface_m;
      c.tank_pressure_Pa.push_back(pressure);
      table.set_pressure(i, b.tank_nodes[t], pressure);
    }
    for (const Filler& fill : b.fillers) fill(c, table, i);
    if (c.fault) return fail(c.fault->in_file(b.sheet.file));
    if (one.transition_reynolds > 0.0) table.set_transition(i, one.transition_reynolds);

    PointState& state = states[i];
    state.liquid = c.liquid;
    state.ambient_Pa = c.ambient_Pa;
    state.demand_m3_per_s = c.demand.inlet_m3_per_s();
    state.burned_m3_per_s = c.demand.injected_m3_per_s;
    state.return_m3_per_s = c.demand.return_m3_per_s();
  }

  const auto solved = b.network->solve(table, {.flow_tolerance = 1e-9}, run);
  if (!solved) return fail(solved.error());

  for (std::size_t i = 0; i < cases.size(); ++i) {
    PointState& state = states[i];
    const double* slots = cases[i].slots.data();
    const double rho_g = state.liquid.density_kg_per_m3 * gravity_m_per_s2;
    state.status = solved->status[i];
    state.iterations = solved->iterations[i];
    if (state.status == hydraulics::SolveStatus::stalled) {
      state.trouble = b.network->definition().elements[solved->where[i]].name;
    } else if (state.status == hydraulics::SolveStatus::no_anchor) {
      state.trouble = b.network->definition().nodes[solved->where[i]].name;
    }
    double missing = 0.0;
    for (const GuardAt& guard : b.guards) {
      const double vapour = solved->flow(i, guard.element);
      if (vapour > 1e-4 * std::max(state.demand_m3_per_s, 1e-9)) {
        state.starved = true;
        if (state.starved_at.empty()) state.starved_at = guard.title;
      }
      if (guard.element == b.engine_guard) missing = vapour;
    }
    state.taken_m3_per_s = state.demand_m3_per_s - missing;
    // What is missing is missing from the return first, then from the injectors.
    const double from_return = std::min(missing, state.return_m3_per_s);
    state.return_m3_per_s -= from_return;
    state.burned_m3_per_s -= std::min(missing - from_return, state.burned_m3_per_s);

    state.place_over_ambient_Pa.reserve(b.place_nodes.size());
    for (const PlaceNode& place : b.place_nodes) {
      state.place_over_ambient_Pa.push_back(solved->pressure(i, place.node) - rho_g * slots[place.height.index] -
                                            state.ambient_Pa);
      state.place_flow_m3_per_s.push_back(place.through ? solved->flow(i, *place.through) : 0.0);
    }
    const double inlet_Pa = solved->pressure(i, b.engine) - rho_g * slots[b.engine_slots.height.index];
    state.inlet_over_ambient_Pa = inlet_Pa - state.ambient_Pa;
    // Free gas after release from saturation at ambient: r = x L (p0 - p)/p, void = r/(1 + r) (hydraulics, suction).
    const double shortfall = std::max(0.0, state.ambient_Pa - inlet_Pa) / std::max(inlet_Pa, 1.0);
    const double full = state.liquid.air_solubility * shortfall;
    const double part = slots[b.release.index] * full;
    state.inlet_void_equilibrium = full / (1.0 + full);
    state.inlet_void = part / (1.0 + part);
  }
  return states;
}

}  // namespace fw::system
