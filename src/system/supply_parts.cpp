// SPDX-License-Identifier: Apache-2.0
#include "system/supply_build.hpp"

#include <algorithm>

#include "hydraulics/annular.hpp"
#include "hydraulics/banjo.hpp"
#include "hydraulics/filter.hpp"
#include "hydraulics/orifice.hpp"
#include "hydraulics/quick_connector.hpp"
#include "hydraulics/size_change.hpp"

namespace fw::system {

const Part* ModelBuild::adjacent_line(const Leg& leg, std::size_t index) {
  for (std::size_t i = index; i-- > 0;) {
    if (leg.parts[i].bypassed) continue;
    return leg.parts[i].line && leg.parts[i].line->joints == 0 ? &leg.parts[i] : nullptr;
  }
  return nullptr;
}

const Stated* ModelBuild::neighbour_bore(const Leg& leg, std::size_t index) {
  for (std::size_t i = index; i-- > 0;) {
    if (leg.parts[i].line && !leg.parts[i].bypassed) return &leg.parts[i].line->bore_m;
  }
  for (std::size_t i = index + 1; i < leg.parts.size(); ++i) {
    if (leg.parts[i].line && !leg.parts[i].bypassed) return &leg.parts[i].line->bore_m;
  }
  return nullptr;
}

ElementId ModelBuild::line(const Leg& leg, std::size_t place, const Part& part, NodeId from, NodeId to) {
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

ElementId ModelBuild::joint(const Leg& leg, std::size_t index, const Part& part, NodeId from, NodeId to) {
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

ElementId ModelBuild::medium(const Leg& leg, const Part& part, NodeId from, NodeId to) {
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

ElementId ModelBuild::stem(const Leg& leg, std::size_t index, const Part& part, NodeId from, NodeId to) {
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
    hydraulics::PipeCoefficients law = c.take(
        connector
            ? hydraulics::quick_connector_law({.upstream_bore_m = upstream,
                                               .bore_m = d,
                                               .length_m = c.at(length),
                                               .downstream_bore_m = downstream,
                                               .form = form},
                                              c.liquid)
            : hydraulics::stem_law(
                  {.upstream_bore_m = upstream, .bore_m = d, .length_m = c.at(length), .downstream_bore_m = downstream},
                  c.liquid),
        open_pipe, id);
    law.linear_Pa_s_per_m3 *= c.fitting_factor;
    law.quadratic_Pa_s2_per_m6 *= c.fitting_factor;
    table.set(point, pipe, law);
  });
  return pipe;
}

ElementId ModelBuild::banjo(const Part& part, NodeId from, NodeId to) {
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

ElementId ModelBuild::gap(const Part& part, NodeId from, NodeId to) {
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

ElementId ModelBuild::fitting(const Part& part, NodeId from, NodeId to) {
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

ElementId ModelBuild::orifice(const Part& part, NodeId from, NodeId to) {
  const Slot bore = b.slot(part.orifice->diameter_m, part.id + ".diameter", part.origin);
  const std::string id = part.id;
  const ElementId element = net.add_element(part.id, Law::resistor, from, to);
  b.fillers.push_back([=](const CaseContext& c, hydraulics::PointTable& table, std::size_t point) {
    table.set(point, element, c.take(hydraulics::orifice_law({.bore_m = c.at(bore)}, c.liquid), open_passage, id));
  });
  return element;
}

bool ModelBuild::shut_by_selector(const Leg& leg, const Part& part) const {
  if (part.kind != PartKind::selector) return false;
  const SelectorPosition& position = b.sheet.selector;
  const std::string feed = position.feed.empty() ? b.sheet.tanks.front().id : position.feed;
  const std::string back = position.back.empty() ? feed : position.back;
  if (b.sheet.find_tank(leg.from) != nullptr) return leg.from != feed;
  if (b.sheet.find_tank(leg.to) != nullptr) return leg.to != back;
  return false;
}

ElementId ModelBuild::passage(const std::string& id, NodeId from, NodeId to,
                              const hydraulics::ResistorCoefficients& loss) {
  const ElementId element = net.add_element(id, Law::resistor, from, to);
  b.fillers.push_back(
      [=](const CaseContext&, hydraulics::PointTable& table, std::size_t point) { table.set(point, element, loss); });
  return element;
}

}  // namespace fw::system
