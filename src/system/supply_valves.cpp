// SPDX-License-Identifier: Apache-2.0
#include "system/supply_build.hpp"

#include <algorithm>

#include "hydraulics/check_valve.hpp"
#include "hydraulics/orifice.hpp"
#include "hydraulics/relief.hpp"

namespace fw::system {

double slope_of_set(double drop_Pa, double flow_m3_per_s) {
  return std::max(drop_Pa / flow_m3_per_s, smallest_valve_resistance_Pa_s_per_m3);
}

ElementId ModelBuild::valve(const Part& part, NodeId from, NodeId to) {
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

ModelBuild::Spill ModelBuild::spill_of(const Part& part, Slot set, std::optional<Slot> slope) {
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

void ModelBuild::spill(const std::string& id, NodeId from, NodeId to, const Spill& spill,
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

void ModelBuild::spill_to_tank(const std::string& id, NodeId node, const Height& height, const Spill& valve,
                               std::size_t tank) {
  spill(id + " spill", node, b.tank_nodes[tank], valve,
        [=](const CaseContext& c) { return c.ambient_Pa + c.rho_g * c.at(height) - c.tank_air_Pa[tank]; });
}

void ModelBuild::guard(const std::string& title, NodeId node, NodeId to, const Height& height) {
  // A pump that stands in its tank has the tank's pressure at its inlet.
  if (std::ranges::find(b.tank_nodes, node) != b.tank_nodes.end()) return;
  const ElementId element = net.add_element(title + " vapour limit", Law::vapour_guard, node, to);
  b.guards.push_back({element, title});
  b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
    table.set(point, element,
              hydraulics::GuardCoefficients{.pressure_Pa = c.liquid.vapour_pressure_Pa + c.rho_g * c.at(height)});
  });
}

}  // namespace fw::system
