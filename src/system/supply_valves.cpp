// SPDX-License-Identifier: Apache-2.0
#include "system/supply_build.hpp"

#include <algorithm>

#include "hydraulics/check_valve.hpp"
#include "hydraulics/orifice.hpp"
#include "hydraulics/relief.hpp"

namespace fw::system {

namespace {

constexpr double stuck_gap_m = 0.004;  // of a relief held open whose gap is not stated; assumed

}  // namespace

double slope_of_set(double drop_Pa, double flow_m3_per_s) {
  return std::max(drop_Pa / flow_m3_per_s, smallest_valve_resistance_Pa_s_per_m3);
}

std::function<hydraulics::ValveCoefficients(const CaseContext&)> ModelBuild::check_law(const Part& part) {
  const Valve& valve = *part.valve;
  const std::string id = part.id;
  const auto slot = [&](const Stated& stated, const char* field) {
    return b.slot(stated, part.id + "." + field, part.origin);
  };
  constexpr hydraulics::ValveCoefficients open{.crack_Pa = 0.0,
                                               .linear_Pa_s_per_m3 = smallest_valve_resistance_Pa_s_per_m3};
  if (valve.spring) {
    const Slot seat = slot(valve.spring->seat_m, "seat");
    const Slot angle = slot(valve.spring->cone_half_angle_rad, "cone_half_angle");
    const Slot preload = slot(valve.spring->preload_N, "preload");
    const Slot rate = slot(valve.spring->rate_N_per_m, "rate");
    const Slot lift = slot(valve.spring->lift_m, "lift");
    return [=](const CaseContext& c) {
      return c.take(hydraulics::poppet_law({.seat_bore_m = c.at(seat),
                                            .cone_half_angle_rad = c.at(angle),
                                            .preload_N = c.at(preload),
                                            .rate_N_per_m = c.at(rate),
                                            .lift_stop_m = c.at(lift)},
                                           c.liquid),
                    open, id);
    };
  }
  const Slot crack = slot(valve.crack_Pa, "crack");
  if (valve.open_bore_m) {
    const Slot bore = slot(*valve.open_bore_m, "open_bore");
    return [=](const CaseContext& c) {
      return c.take(hydraulics::valve_from_orifice({.crack_Pa = c.at(crack), .bore_m = c.at(bore)}, c.liquid), open,
                    id);
    };
  }
  const Slot drop = b.slot_or(valve.drop_Pa, 3e3, "3 kPa at 150 L/h, typical", part.id + ".drop", part.origin);
  const Slot flow =
      b.slot_or(valve.at_flow_m3_per_s, stated_check_flow_m3_per_s, "as stated", part.id + ".at_flow", part.origin);
  return [=](const CaseContext& c) {
    return c.take(
        hydraulics::valve_from_drop(
            {.crack_Pa = c.at(crack), .drop_over_crack_Pa = c.at(drop), .flow_m3_per_s = c.at(flow)}, c.liquid),
        open, id);
  };
}

std::optional<std::function<double(const CaseContext&)>> ModelBuild::slope_of(const Part& part) {
  if (!part.valve->drop_Pa.given()) return std::nullopt;
  const Slot drop = b.slot(part.valve->drop_Pa, part.id + ".drop", part.origin);
  const Slot flow = b.slot_or(part.valve->at_flow_m3_per_s, stated_check_flow_m3_per_s, "as stated",
                              part.id + ".at_flow", part.origin);
  return [=](const CaseContext& c) { return slope_of_set(c.at(drop), c.at(flow)); };
}

ElementId ModelBuild::valve(const Part& part, NodeId from, NodeId to, Height outlet_height) {
  const std::string id = part.id;
  const bool relief = part.kind == PartKind::relief;
  if (part.condition.stuck == Stuck::open) {
    // Held off its seat: by the gap that is stated, else as far as it opens, both ways.
    std::optional<Slot> gap;
    if (part.condition.gap_m) gap = b.slot(*part.condition.gap_m, part.id + ".gap", part.origin);
    const auto open_law =
        gap || relief ? std::function<hydraulics::ValveCoefficients(const CaseContext&)>() : check_law(part);
    const ElementId open = net.add_element(part.id, Law::resistor, from, to);
    b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
      if (open_law) {
        const hydraulics::ValveCoefficients law = open_law(c);
        table.set(point, open,
                  hydraulics::ResistorCoefficients{.linear_Pa_s_per_m3 = law.linear_Pa_s_per_m3,
                                                   .quadratic_Pa_s2_per_m6 = law.quadratic_Pa_s2_per_m6});
        return;
      }
      const double bore_m = gap ? c.at(*gap) : stuck_gap_m;
      table.set(point, open, c.take(hydraulics::orifice_law({.bore_m = bore_m}, c.liquid), open_passage, id));
    });
    return open;
  }
  const double shut = part.condition.stuck == Stuck::shut ? 1.0 : 0.0;
  const ElementId element = net.add_element(part.id, Law::valve, from, to);
  if (!relief) {
    const auto law_of = check_law(part);
    std::optional<Slot> factor;
    if (part.condition.set_factor) factor = b.slot(*part.condition.set_factor, part.id + ".set_factor", part.origin);
    b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
      hydraulics::ValveCoefficients law = law_of(c);
      law.crack_Pa *= factor ? c.at(*factor) : 1.0;
      law.shut = shut;
      table.set(point, element, law);
    });
    return element;
  }
  // A relief in the leg: from the place it senses to the place behind it.
  const Spill spring = spill_of(part, b.slot(part.valve->crack_Pa, part.id + ".set", part.origin));
  std::optional<std::size_t> behind;
  if (part.valve->balanced) {
    behind = b.balanced.size();
    b.balanced.push_back({part.id, to, outlet_height});
  }
  b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
    hydraulics::ValveCoefficients law = spill_law(c, spring, id);
    if (behind) law.crack_Pa = std::max(0.0, law.crack_Pa - c.back_Pa[*behind]);
    law.shut = shut;
    table.set(point, element, law);
  });
  return element;
}

ModelBuild::Spill ModelBuild::spill_of(const Part& part, Slot set) {
  Spill spill{.set = set, .slope = {}, .factor = {}, .gap = {}, .hysteresis = {}, .stuck = part.condition.stuck};
  if (part.condition.set_factor)
    spill.factor = b.slot(*part.condition.set_factor, part.id + ".set_factor", part.origin);
  if (part.condition.gap_m) spill.gap = b.slot(*part.condition.gap_m, part.id + ".gap", part.origin);
  const Stated hysteresis = part.pump    ? part.pump->set_hysteresis_Pa.value_or(Stated{})
                            : part.valve ? part.valve->hysteresis_Pa
                                         : Stated{};
  if (hysteresis.given()) spill.hysteresis = b.slot(hysteresis, part.id + ".hysteresis", part.origin);
  if (part.pump && part.pump->set_slope_Pa_s_per_m3) {
    const Slot slope = b.slot(*part.pump->set_slope_Pa_s_per_m3, part.id + ".set_slope", part.origin);
    spill.slope = [slope](const CaseContext& c) { return c.at(slope); };
  } else if (part.valve) {
    if (const auto slope = slope_of(part)) spill.slope = *slope;
  }
  return spill;
}

hydraulics::ValveCoefficients ModelBuild::spill_law(const CaseContext& c, const Spill& spill, const std::string& id) {
  const double set_Pa = c.at(spill.set) * (spill.factor ? c.at(*spill.factor) : 1.0);
  return c.take(
      hydraulics::relief_law(
          {.opening_Pa = set_Pa,
           .slope_Pa_s_per_m3 = std::max(spill.slope ? spill.slope(c) : 0.0, smallest_valve_resistance_Pa_s_per_m3),
           .hysteresis_Pa = spill.hysteresis ? c.at(*spill.hysteresis) : 0.0},
          {.set = c.relief_set}),
      hydraulics::ValveCoefficients{.crack_Pa = set_Pa, .linear_Pa_s_per_m3 = smallest_valve_resistance_Pa_s_per_m3},
      id);
}

void ModelBuild::spill(const std::string& id, NodeId from, NodeId to, const Spill& spill,
                       std::function<double(const CaseContext&)> reference) {
  if (spill.stuck == Stuck::open) {
    const ElementId open = net.add_element(id, Law::resistor, from, to);
    b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
      const double bore_m = spill.gap ? c.at(*spill.gap) : stuck_gap_m;
      table.set(point, open, c.take(hydraulics::orifice_law({.bore_m = bore_m}, c.liquid), open_passage, id));
    });
    return;
  }
  const ElementId element = net.add_element(id, Law::valve, from, to);
  b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
    hydraulics::ValveCoefficients law = spill_law(c, spill, id);
    law.crack_Pa += reference(c);
    law.shut = spill.stuck == Stuck::shut ? 1.0 : 0.0;
    table.set(point, element, law);
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
