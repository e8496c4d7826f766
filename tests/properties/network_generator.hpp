// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "hydraulics/network.hpp"
#include "listed_points.hpp"

/// Random supply networks for property tests: the same seed gives the same network on every machine.
namespace fw::test {

/// What an element stands for; its coefficients are drawn accordingly at every point.
enum class PartKind : std::uint8_t {
  hose,
  fitting,     ///< resistor, mostly quadratic
  filter,      ///< resistor, mostly linear, clean to loaded
  check,       ///< one way, 0.5 to 30 kPa
  relief,      ///< one way, 30 to 700 kPa
  curve_pump,  ///< falling curve, no reverse flow; now and then blocked
  shut_off,    ///< one way with hardly any crack, now and then shut
  gear_pump,   ///< displacement pump with slip
  engine,      ///< draw
  guard,
};

/// A network as the generator makes it:
///
/// One to three tanks (fixed pressures). One to three trains leave a tank or a node that exists already; a train is
/// a run of stages: passive runs (1 to 5 hoses, fittings, filters in series), parallel pairs of such runs, checks,
/// shut-offs, gear pumps (mostly with a relief to the own inlet or a tank, often with a bypass check),
/// curve pumps (often with a bypass check), spills to a tank through a relief and a return hose, dead legs. Most
/// trains end in an engine that draws to a tank or into a return hose. Up to two cross connections (passive or one
/// way) close further loops. 5 to about 120 elements.
///
/// Every inlet that sucks a fixed flow has its vapour guard and every gear pump some slip, as the contract of the
/// solver asks, so that every point has a solution; except in a tenth of the networks, the careless ones, where
/// guards and slips are missing here and there and a point may have none.
struct RandomNetwork {
  hydraulics::NetworkDefinition definition;
  std::vector<PartKind> kinds;  ///< by element
  bool careless = false;
};

[[nodiscard]] RandomNetwork random_network(std::uint64_t seed);

/// Draws all coefficients of one running point: one fuel (780 to 870 kg/m3, 1.5 to 60 mm2/s) and one transition
/// for the point, sizes per element and seed of the network with a spread per point, states (loading, blocked, shut,
/// demand, voltage) per point.
void draw_point(const RandomNetwork& network, std::uint64_t seed, hydraulics::PointTable& table, std::size_t point);

/// The same numbers at another place of the table.
void draw_point_as(const RandomNetwork& network, std::uint64_t seed, std::size_t drawn_point,
                   hydraulics::PointTable& table, std::size_t point);

/// What draw_point sets: [element][coefficient], then the transition, then the fixed pressures in node order.
[[nodiscard]] std::vector<std::vector<double>> point_coefficients(const RandomNetwork& network, std::uint64_t seed,
                                                                  std::size_t point);
void set_point(const RandomNetwork& network, const std::vector<std::vector<double>>& coefficients,
               hydraulics::PointTable& table, std::size_t point);

/// How a solved point breaks the laws, or empty: every law of every element at the reported pressures and flows,
/// the balance of every free node, complementarity of valves and guards. Written apart from the solver, with the
/// standard library's functions.
[[nodiscard]] std::string broken_law(const RandomNetwork& network, const hydraulics::PointResults& results,
                                     const std::vector<std::vector<double>>& coefficients, std::size_t point,
                                     double flow_tolerance);

}  // namespace fw::test
