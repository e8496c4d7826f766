// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "system/supply_body.hpp"

/// How a line sheet becomes a network; for the files supply_*.cpp only.
namespace fw::system {

inline constexpr double smallest_valve_resistance_Pa_s_per_m3 = 1e5;   // 3 Pa at 100 L/h
inline constexpr double stated_check_flow_m3_per_s = 150e-3 / 3600.0;  // flow at which check drops are stated

/// A valve known by one drop over its crack: its slope.
[[nodiscard]] double slope_of_set(double drop_Pa, double flow_m3_per_s);

/// The build is one long walk along the sheet: the walk in supply_build.cpp, passive parts in supply_parts.cpp, valves
/// in supply_valves.cpp, pumps in supply_pumps.cpp.
struct ModelBuild {
  SupplyModel::Body& b;
  hydraulics::NetworkDefinition net;
  std::map<std::string, Node, std::less<>> ends;
  void tanks();
  void engine();
  void junctions();
  void add_place(const Leg& leg, std::size_t index, const Part* part, std::string title, NodeId node, Height height,
                 std::optional<ElementId> through);
  /// The line that ends where this one begins, with nothing between them; joints at its end stand between.
  static const Part* adjacent_line(const Leg& leg, std::size_t index);
  /// Bore of the nearest line in the leg, looking back first: what a joint or fitting sits in.
  static const Stated* neighbour_bore(const Leg& leg, std::size_t index);
  ElementId line(const Leg& leg, std::size_t place, const Part& part, NodeId from, NodeId to);
  ElementId joint(const Leg& leg, std::size_t index, const Part& part, NodeId from, NodeId to);
  ElementId medium(const Leg& leg, const Part& part, NodeId from, NodeId to);
  /// A stem or quick connector between the lines on its two sides; a side without a line has the bore of the other.
  ElementId stem(const Leg& leg, std::size_t index, const Part& part, NodeId from, NodeId to);
  ElementId banjo(const Part& part, NodeId from, NodeId to);
  ElementId gap(const Part& part, NodeId from, NodeId to);
  ElementId fitting(const Part& part, NodeId from, NodeId to);
  ElementId orifice(const Part& part, NodeId from, NodeId to);
  ElementId valve(const Part& part, NodeId from, NodeId to);
  /// A valve that holds a pressure by letting fuel go.
  struct Spill {
    Slot set;
    std::optional<Slot> slope;
    std::optional<Slot> factor;
    std::optional<Slot> gap;
    std::optional<Slot> hysteresis;
    Stuck stuck = Stuck::no;
  };
  Spill spill_of(const Part& part, Slot set, std::optional<Slot> slope);
  /// The valve from `from` to `to` that opens when P_from - P_to exceeds set x factor + `reference`; or what is stuck.
  void spill(const std::string& id, NodeId from, NodeId to, const Spill& spill,
             std::function<double(const CaseContext&)> reference);
  std::size_t tank_index(const std::string& id) const;
  /// A selector stands in legs of a tank; it is shut where its tank is not chosen.
  bool shut_by_selector(const Leg& leg, const Part& part) const;
  /// Spills from `node` to a tank so that the pressure over ambient at the node is held at the set.
  void spill_to_tank(const std::string& id, NodeId node, const Height& height, const Spill& valve, std::size_t tank);
  void guard(const std::string& title, NodeId node, NodeId to, const Height& height);
  /// Resistance [Ohm] between battery and motor: the wiring if described, else the stated or typical harness; and what
  /// a bad ground adds.
  std::function<double(const CaseContext&)> harness_of(const Part& part);
  /// A pump that swallows gas delivers that much less liquid.
  static hydraulics::SourceCoefficients thinned(hydraulics::SourceCoefficients source, double gas);
  ElementId pump(const Leg& leg, const Part& part, NodeId from, NodeId to, Height inlet_height, Height outlet_height);
  /// Lines between a part (or the end of a leg, part "") and the tank or the last pump before it, for their inertia.
  std::vector<Column> column_to(const Leg& leg, const std::string& part);
  std::vector<Column> column_after(const Leg& leg, const std::string& pump, const std::string& until);
  void leg(const Leg& leg);
  ElementId passage(const std::string& id, NodeId from, NodeId to,
                    const hydraulics::ResistorCoefficients& loss = open_passage);
  void demand();
};

}  // namespace fw::system
