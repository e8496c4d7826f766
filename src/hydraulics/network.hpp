// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <utility>
#include <vector>

#include "base/required.hpp"
#include "base/result.hpp"
#include "base/run.hpp"

/// Steady flow in a network of one-dimensional elements, many running points per call.
///
/// The node variable is the hydraulic pressure P = p + rho g z [Pa] (absolute p, height z): whoever builds the
/// network (room system) adds and removes rho g z, the solver knows no heights. Flow of an element is positive
/// from `from` to `to` [m3/s, liquid at the point's temperature]. A network compiles once; a point is one set of
/// coefficients and fixed pressures.
namespace fw::hydraulics {

enum class NodeId : std::uint32_t {};
enum class ElementId : std::uint32_t {};

enum class NodeKind : std::uint8_t {
  free,   ///< pressure is solved
  fixed,  ///< pressure is given at every point
};

struct NodeDefinition {
  std::string name;
  NodeKind kind = NodeKind::free;
};

/// The laws the solver knows. Every part of a line sheet is one of them or a few in series or parallel.
/// All are strictly monotone in the flow: uniqueness of the solution rests on it.
enum class Law : std::uint8_t {
  /// Straight pipe: drop = phi(Re, eps/D) r Q + a Q + b Q|Q|, Re = c |Q|, phi = f Re/64.
  /// Coefficients: reynolds_per_flow c [s/m3], laminar_resistance r [Pa s/m3], relative_roughness [-],
  /// curvature [-] = sqrt(bore / bend diameter), 0 straight; a [Pa s/m3], b [Pa s2/m6].
  pipe,
  /// drop = a Q + b Q|Q|; a > 0. Filters, fittings, orifices in linear-plus-quadratic form, coolers.
  resistor,
  /// One way: closed (leak only) until from - to exceeds `crack` [Pa]; then drop = crack + a Q + b Q^2.
  /// crack may be negative: then it is a pump with the falling curve rise = -crack - a Q - b Q^2 and no reverse
  /// flow. Checks, reliefs, overflow valves, bypasses, regulators that spill, turbine pumps.
  valve,
  /// Displacement pump: Q = free_flow - conductance (P_to - P_from); conductance >= 0 [m3/s/Pa], free_flow [m3/s].
  /// Speed change of the motor under load is part of the conductance.
  source,
  /// Fixed flow `flow` [m3/s] from `from` to `to`, whatever the pressures.
  draw,
  /// Keeps `from` (a free node) at or above `pressure` [Pa] by letting vapour in, and takes the same volume out at
  /// `to`, where it condenses (or is missing from what was asked). Its flow w >= 0 is the flow that was asked but
  /// could not be had: w > 0 is the state "starved". Put it at every inlet that sucks a fixed flow.
  vapour_guard,
};

struct ElementDefinition {
  std::string name;
  Law law = Law::resistor;
  NodeId from{};
  NodeId to{};
};

struct NetworkDefinition {
  std::vector<NodeDefinition> nodes;
  std::vector<ElementDefinition> elements;

  NodeId add_node(std::string node_name, NodeKind kind = NodeKind::free);
  ElementId add_element(std::string element_name, Law law, NodeId from, NodeId to);
};

struct PipeCoefficients {
  double reynolds_per_flow_s_per_m3 = required;
  double laminar_resistance_Pa_s_per_m3 = required;
  double relative_roughness = 0.0;
  double curvature = 0.0;
  double linear_Pa_s_per_m3 = 0.0;
  double quadratic_Pa_s2_per_m6 = 0.0;
};

struct ResistorCoefficients {
  double linear_Pa_s_per_m3 = required;
  double quadratic_Pa_s2_per_m6 = 0.0;
};

struct ValveCoefficients {
  double crack_Pa = required;
  double linear_Pa_s_per_m3 = required;
  double quadratic_Pa_s2_per_m6 = 0.0;
  double shut = 0.0;  ///< 1: held shut at this point (a blocked pump, a closed shut-off); 0: free to open
};

struct SourceCoefficients {
  double free_flow_m3_per_s = required;
  double conductance_m3_per_s_Pa = required;
};

struct DrawCoefficients {
  double flow_m3_per_s = required;
};

struct GuardCoefficients {
  double pressure_Pa = required;  ///< node pressure P (with rho g z of that node) that is not undercut
};

class Network;

/// Fixed pressures and coefficients of many running points, stored by element and lane for the solver.
class PointTable {
 public:
  PointTable(const Network& network, std::size_t points);

  [[nodiscard]] std::size_t points() const;
  void set_pressure(std::size_t point, NodeId fixed_node, double pressure_Pa);
  void set(std::size_t point, ElementId element, const PipeCoefficients& coefficients);
  void set(std::size_t point, ElementId element, const ResistorCoefficients& coefficients);
  void set(std::size_t point, ElementId element, const ValveCoefficients& coefficients);
  void set(std::size_t point, ElementId element, const SourceCoefficients& coefficients);
  void set(std::size_t point, ElementId element, const DrawCoefficients& coefficients);
  void set(std::size_t point, ElementId element, const GuardCoefficients& coefficients);
  /// Transition Reynolds number [-] of all pipes at this point; 0 (default): Churchill, else the sampled
  /// transition law of issue 02 (64/Re below 0.9 Re_m, Colebrook above 1.1 Re_m, cubic in ln Re between).
  void set_transition(std::size_t point, double transition_reynolds);

 private:
  friend class Network;
  struct Data;
  std::shared_ptr<Data> data_;
};

enum class SolveStatus : std::uint8_t {
  converged,
  stalled,    ///< iteration cap reached; `where` names the element with the largest residual
  no_anchor,  ///< a node has no open way to a fixed pressure; `where` names the node
};

/// Which kernel solves. All give the same bits; a forced one is for tests and benchmarks.
enum class LanePath : std::uint8_t {
  automatic,  ///< the widest that this machine runs
  scalar,     ///< one lane
  baseline,   ///< two lanes on every x86-64
  v3,         ///< four lanes, x86-64-v3 (AVX2)
  v4,         ///< eight lanes, x86-64-v4 (AVX-512)
};

/// True where this machine and this build can run the path.
[[nodiscard]] bool lane_path_available(LanePath path);
/// Lanes of the path [-]; of the one that `automatic` picks.
[[nodiscard]] int lane_width(LanePath path);

/// How the solver computes Churchill's law.
enum class FrictionForm : std::uint8_t {
  table,  ///< by exponent and top mantissa bits; within 1e-11 of `exact` in phi
  exact,  ///< as published, to some 1e-14; for tests and benchmarks
};

struct SolveOptions {
  /// Largest |law flow - network flow| over the largest flow [-]. A law whose pressure agrees to 8 ulp of the
  /// largest pressure counts as met: a very wide element cannot be resolved further.
  double flow_tolerance = 1e-10;
  /// Linear solves before a point gets a trace of conductance to the first fixed pressure; given up after 24 times
  /// as many. Most points need 4 to 7, rescued ones up to some hundred, very few thousands.
  int iteration_cap = 400;
  /// Of a closed valve: drop = crack + this * flow. 1e16 leaks 1.4e-4 L/h at 4 bar; keeps every pressure defined.
  double closed_resistance_Pa_s_per_m3 = 1e16;
  LanePath lanes = LanePath::automatic;  ///< precondition: lane_path_available
  FrictionForm friction = FrictionForm::table;
};

/// Of numbers that are written before they are read: a vector of them does not begin as zeros.
template <class T>
struct Unset : std::allocator<T> {
  template <class U>
  struct rebind {
    using other = Unset<U>;
  };
  template <class U, class... Values>
  void construct(U* place, Values&&... values) {
    if constexpr (sizeof...(Values) == 0) {
      ::new (static_cast<void*>(place)) U;
    } else {
      ::new (static_cast<void*>(place)) U(std::forward<Values>(values)...);
    }
  }
};

/// Answers of all points, [point][node] and [point][element] through the accessors.
struct PointResults {
  std::size_t points = 0;
  std::size_t nodes = 0;
  std::size_t elements = 0;
  std::vector<double, Unset<double>> pressure_Pa;    ///< [point * nodes + node], P = p + rho g z, absolute
  std::vector<double, Unset<double>> flow_m3_per_s;  ///< [point * elements + element]
  std::vector<double> residual;                      ///< [point] largest node imbalance over the largest flow [-]
  std::vector<int> iterations;                       ///< [point]
  std::vector<SolveStatus> status;                   ///< [point]
  std::vector<std::uint32_t> where;                  ///< [point] element (stalled) or node (no_anchor) at fault

  [[nodiscard]] double pressure(std::size_t point, NodeId node) const {
    return pressure_Pa[point * nodes + static_cast<std::size_t>(node)];
  }
  [[nodiscard]] double flow(std::size_t point, ElementId element) const {
    return flow_m3_per_s[point * elements + static_cast<std::size_t>(element)];
  }
};

/// What a derivative is taken by: the pressure of a fixed node, or a coefficient of an element by its place in the
/// struct of its law (pipe: 0 reynolds_per_flow ... 5 quadratic; valve: 0 crack, 1 linear, 2 quadratic).
struct Parameter {
  std::optional<NodeId> fixed_node;
  ElementId element{};
  std::uint32_t coefficient = 0;
};

/// d(pressure)/d(parameter) and d(flow)/d(parameter), in SI units of both.
struct PointDerivatives {
  std::size_t nodes = 0;
  std::size_t elements = 0;
  std::vector<double> pressure;  ///< [parameter * nodes + node]
  std::vector<double> flow;      ///< [parameter * elements + element]
};

/// A compiled network: topology, collapsed chains and elimination order. Immutable, may be shared by threads.
class Network {
 public:
  /// Errors: invalid_input for an element that names no node, joins a node to itself or a guard whose `from` is
  /// fixed; a node that no element touches.
  [[nodiscard]] static Result<Network> compile(const NetworkDefinition& definition);

  /// Solves every point of the table. Points are independent: same bytes for any order, lane and thread count.
  /// Not converging is data (PointResults::status), not an error. Errors: cancelled; invalid_input naming element
  /// and point for a coefficient that is not finite or breaks monotony (a <= 0, b < 0, conductance < 0).
  /// `reused`: answers no longer needed, of any table, whose memory these take over.
  [[nodiscard]] Result<PointResults> solve(const PointTable& table, const SolveOptions& options, const Run& run,
                                           PointResults reused = {}) const;

  /// Derivatives of a converged point by some of its parameters, at fixed states of valves and guards.
  ///
  ///   A dP = sum over nodes of d(law flow)/d(parameter) at fixed pressures,  dQ = d(law flow) + g (dP_from - dP_to)
  ///
  /// A is the matrix of the last iteration, taken at the solution: one factorisation for the point, one substitution
  /// for each parameter. By the roughness and curvature of a pipe the law's own slope is a local difference (some
  /// 1e-8). At a corner (a valve just at its crack, a guard about to hold) it is the derivative of the state in which
  /// the point was solved. Preconditions (FW_EXPECTS): results of this table, `point` converged, a fixed node, a
  /// coefficient of the element; not `shut`, which is no number to vary.
  /// Check: central differences of whole solutions (network_derivatives_test.cpp). Theory: docs/theory/network.md 5.
  [[nodiscard]] PointDerivatives derivatives(const PointTable& table, const PointResults& results, std::size_t point,
                                             std::span<const Parameter> parameters) const;

  [[nodiscard]] const NetworkDefinition& definition() const;

 private:
  friend class PointTable;
  struct Compiled;
  std::shared_ptr<const Compiled> compiled_;
};

}  // namespace fw::hydraulics
