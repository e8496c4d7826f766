// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <concepts>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "hydraulics/demand.hpp"
#include "hydraulics/displacement_pump.hpp"
#include "hydraulics/fittings.hpp"
#include "hydraulics/network.hpp"
#include "hydraulics/pipe.hpp"
#include "hydraulics/relief.hpp"
#include "hydraulics/resistor.hpp"
#include "hydraulics/tee.hpp"
#include "system/joint_loss.hpp"
#include "system/supply_model.hpp"

/// What a compiled supply model is made of; for the files of SupplyModel only.
namespace fw::system {

using hydraulics::ElementId;
using hydraulics::Law;
using hydraulics::NodeId;
using hydraulics::NodeKind;

inline constexpr double gravity_m_per_s2 = 9.80665;

struct Slot {
  std::size_t index = 0;
};

/// A place in the vehicle: height over the datum and position along it.
struct Height {
  Slot above;
  std::optional<Slot> along;
};

struct Node {
  NodeId id{};
  Height height;
};

/// Everything a filler needs to know of one case.
inline constexpr hydraulics::ResistorCoefficients open_passage{.linear_Pa_s_per_m3 = 1e5};  // 3 Pa at 100 L/h
inline constexpr hydraulics::PipeCoefficients open_pipe{.reynolds_per_flow_s_per_m3 = 1e7,
                                                        .laminar_resistance_Pa_s_per_m3 = 1e5};
inline constexpr hydraulics::ResistorCoefficients shut_passage{.linear_Pa_s_per_m3 = 1e15};  // 3e-5 L/h at 10 kPa
inline constexpr double least_mouth_resistance_Pa_s_per_m3 = 1e3;  // 0.03 Pa at 100 L/h; lies in a chain with its line
inline constexpr double choked_share = 0.472;                      // 1 - 0.528, air
inline constexpr double ground_current_A = 5.0;            // of a pump whose current is not stated; typical, no source
inline constexpr std::string_view bend_id = "bend-90-r4";  // 90 degrees, r/d 4

/// Where the legs of a tee stood in the pass before: Q = Q* + (drop - drop*)/slope.
struct TeeState {
  std::array<double, 3> flow_m3_per_s{};  ///< into the tee: first run, second run, branch
  std::array<double, 3> drop_Pa{};
  std::array<double, 3> slope_Pa_s_per_m3{};
};

/// Two flows between which the engine takes what its law makes of the inlet that they leave, and by how much the law
/// differs from them. The take falls with the flow, as the inlet's pressure does.
struct TakeBracket {
  std::optional<double> low_m3_per_s, high_m3_per_s;
  double above_low = 0.0;   ///< law less flow there, positive
  double above_high = 0.0;  ///< negative
  int same_side = 0;        ///< passes that moved one end only
  /// The flow to try next, by regula falsi with the standing end's weight halved (Illinois).
  [[nodiscard]] double next(double flow_m3_per_s, double law_less_flow, double resolution_m3_per_s);
};

struct CaseContext {
  const SupplyModel::Case* running = nullptr;
  const double* slots = nullptr;
  fuel::Liquid liquid;
  double ambient_Pa = 0.0;
  double rho_g = 0.0;
  double loading = 0.0;
  double speed_share = 0.0;  ///< engine speed over rated
  hydraulics::EngineDemand demand;
  TakeBracket taking;
  double fitting_factor = 1.0;
  const std::vector<bool>* stopped = nullptr;  ///< by pump index

  mutable std::optional<Errors> fault;  ///< first law that refused its draw

  double voltage_V = 0.0;                ///< at the battery
  std::vector<double> tank_air_Pa;       ///< P of each tank's surface without its vent's drop
  std::vector<double> pump_void;         ///< free gas at the inlet, by pump index
  std::vector<fuel::Liquid> leg_liquid;  ///< by leg; empty: `liquid` everywhere
  hydraulics::EngineDemand asked;        ///< of the engine point; `demand` is what its law takes of it
  std::vector<double> crossed_Pa;        ///< by pump index: P of the inlet that a crossed relief goes by
  hydraulics::ReliefSet relief_set = hydraulics::ReliefSet::opening;
  std::vector<double> tube_flow_m3_per_s;  ///< by short tube: flow its discharge coefficient goes by
  std::vector<double> back_Pa;             ///< by balanced relief: pressure behind it over ambient
  std::vector<TeeState> tees;              ///< by tee

  [[nodiscard]] double at(Slot slot) const { return slots[slot.index]; }
  [[nodiscard]] double at(const Height& height) const {
    return at(height.above) + (height.along ? running->point.slope * at(*height.along) : 0.0);
  }

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

using FillerBody = std::function<void(const CaseContext&, hydraulics::PointTable&, std::size_t)>;

/// Sets the coefficients of a part, with the liquid of its leg.
struct Filler {
  FillerBody fill;
  std::size_t leg = no_leg;
  static constexpr std::size_t no_leg = static_cast<std::size_t>(-1);

  template <class F>
    requires std::invocable<const F&, const CaseContext&, hydraulics::PointTable&, std::size_t>
  Filler(F body) : fill(std::move(body)) {}  // NOLINT(google-explicit-constructor): a body is a filler of no leg
};

/// What a medium's answer is made of.
struct MediumAt {
  std::string part;
  NodeId inlet{};
  NodeId outlet{};
  ElementId through{};
  std::vector<ElementId> past;
};

struct PlaceNode {
  NodeId node{};
  Height height;
  std::optional<ElementId> through;
};

/// Bore and length of a line, for its inertia.
struct Column {
  Slot bore;
  Slot length;
};

/// What a pump's answer is made of.
struct PumpAt {
  std::string part;
  NodeId inlet{};
  NodeId outlet{};
  Height inlet_height;
  Height outlet_height;
  ElementId through{};
  bool crossed = false;  ///< its relief refers to a place it does not spill to
  std::vector<Column> suction;
  std::function<std::optional<hydraulics::PumpState>(const CaseContext&, double rise_Pa)> motor;
  std::function<double(const CaseContext&)> harness_ohm;
  std::optional<Slot> current;
};

struct LeakAt {
  std::string part;
  std::size_t place = 0;
  Slot bore;
};

/// A short tube whose discharge coefficient goes by its flow.
struct TubeAt {
  std::string part;
  ElementId element{};
};

/// A balanced relief and the place behind it.
struct BalancedAt {
  std::string part;
  NodeId behind{};
  Height height;
};

/// A tee: elements from the ends of its legs to its middle, in the order first run, second run, branch.
struct TeeAt {
  std::string junction;
  hydraulics::TeeBuild build = hydraulics::TeeBuild::threaded;
  std::array<ElementId, 3> legs{};
  Slot run_bore;
  Slot branch_bore;
};

struct GuardAt {
  ElementId element{};
  std::string title;
};

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
  std::vector<PumpAt> pumps;
  std::vector<MediumAt> media;
  std::vector<LeakAt> leaks;
  std::vector<TubeAt> tubes;
  std::vector<BalancedAt> balanced;
  std::vector<TeeAt> tees;
  std::vector<Column> engine_suction;
  std::vector<NodeId> tank_air_nodes;
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
    std::optional<Slot> level;
    std::optional<Slot> along;
    bool vented = false;
    bool blocked = false;
  };
  std::vector<TankSlots> tanks;
  struct EngineSlots {
    Slot displacement, rated_power, rated_speed, peak_power, peak_speed, idle_speed, crank_speed, rated_consumption,
        peak_consumption, leakoff, housing;
    Height height;
  } engine_slots;
  std::optional<Slot> voltage_loss;
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

}  // namespace fw::system
