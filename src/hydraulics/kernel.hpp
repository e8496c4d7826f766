// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>

/// What the compiled network hands to the solving kernels: plain pointers, so that objects compiled for a wider
/// instruction set share no library code with the rest of the program.
namespace fw::hydraulics::kernel {

inline constexpr std::uint32_t none = 0xffffffffU;

/// One part of a chain, in flow order from the chain's `from`.
struct Part {
  std::uint32_t slot;       ///< place of the first coefficient in the row of a point
  std::uint32_t loss_slot;  ///< place of the linear, then the quadratic coefficient
  std::uint32_t element;
  std::uint32_t pipe;        ///< number of the pipe, or `none` for a resistor
  std::uint32_t node_after;  ///< original number of the node behind the part, `none` behind the last
  double sign;               ///< +1: the element points along the chain, -1 against it
};

/// Edges are numbered chains first, then valves, then sources. Local nodes: free ones in elimination order, then
/// fixed ones.
struct Edge {
  std::uint32_t from;
  std::uint32_t to;
  std::uint32_t out_slot;  ///< both ends free: entry (later row, earlier column); `none` otherwise
  std::uint32_t in_slot;   ///< entry (earlier row, later column); the same place where the pair is symmetric
};

struct Chain {
  std::uint32_t part_begin;
  std::uint32_t part_end;
  std::uint32_t pipe_begin;
  std::uint32_t pipe_end;
};

struct Device {
  std::uint32_t slot;
  std::uint32_t element;
  bool bypass;  ///< of a valve: another edge joins the same two nodes
};

struct Guard {
  std::uint32_t slot;
  std::uint32_t element;
  std::uint32_t from;
  std::uint32_t to;
  std::uint32_t out_slot;  ///< entry (row of `to`, column of `from`), `none` where `to` is fixed
  std::uint32_t incident_begin;
  std::uint32_t incident_end;
};

struct Incident {
  std::uint32_t edge;
  double sign;  ///< +1: the edge's flow enters the node
};

struct Draw {
  std::uint32_t slot;
  std::uint32_t element;
  std::uint32_t from;
  std::uint32_t to;
};

/// Elimination of one free node: its later neighbours, then the pairs among them.
struct Pivot {
  std::uint32_t neighbour_begin;
  std::uint32_t neighbour_end;
  std::uint32_t pair_begin;
  std::uint32_t pair_end;
  std::uint32_t guard;     ///< guard that may hold this node, or `none`
  std::uint32_t guard_to;  ///< index among the neighbours of the guard's `to`; `none` if that is a fixed node
};

struct Neighbour {
  std::uint32_t node;
  std::uint32_t out_slot;
  std::uint32_t in_slot;
};

/// entry[target] += multiplier of neighbour `row` times in-entry of neighbour `column`.
struct Pair {
  std::uint32_t target;
  std::uint32_t row;
  std::uint32_t column;
};

struct Program {
  std::uint32_t free_nodes;
  std::uint32_t nodes;  ///< local nodes, free and fixed
  std::uint32_t original_nodes;
  std::uint32_t elements;
  std::uint32_t pipes;
  std::uint32_t chains;
  std::uint32_t valves;
  std::uint32_t sources;
  std::uint32_t draws;
  std::uint32_t guards;
  std::uint32_t slots;  ///< off-diagonal entries
  std::uint32_t most_neighbours;
  std::uint32_t transition_slot;
  std::uint32_t
      kept;  ///< coefficients that the lanes keep: 4 per pipe, 4 per valve, 2 per source, 1 per guard, transition
  const Edge* edges;
  const Chain* chain;
  const Part* part;
  const Device* valve;
  const Device* source;
  const Draw* draw;
  const Guard* guard;
  const Incident* incident;
  const Pivot* pivot;
  const Neighbour* neighbour;
  const Pair* pair;
  const std::uint32_t* kept_slot;      ///< [kept] place in the row
  const std::uint32_t* fixed_slot;     ///< [nodes - free_nodes] place of the given pressure in the row
  const std::uint32_t* original_node;  ///< [nodes] number of the local node in the definition
  const double* lower;                 ///< [row stride] bounds of a sound row
  const double* upper;

  [[nodiscard]] std::uint32_t edge_count() const { return chains + valves + sources; }
  [[nodiscard]] std::uint32_t kept_of_valves() const { return 4 * pipes; }
  [[nodiscard]] std::uint32_t kept_of_sources() const { return kept_of_valves() + 4 * valves; }
  [[nodiscard]] std::uint32_t kept_of_guards() const { return kept_of_sources() + 2 * sources; }
  [[nodiscard]] std::uint32_t kept_transition() const { return kept - 1; }
};

struct Settings {
  double flow_tolerance;
  double closed_resistance_Pa_s_per_m3;
  int iteration_cap;
  bool exact_friction;
};

enum class Outcome : std::uint8_t { converged, stalled, no_anchor };

/// At most so many points per batch.
inline constexpr std::size_t most_points = 1024;

/// One run over the points [begin, end) of a table.
struct Batch {
  const double* rows;
  std::size_t row_stride;
  const std::uint16_t* order;  ///< [end - begin] the points of the batch less `begin`, in the order of solving
  std::size_t begin;
  std::size_t end;
  Settings settings;
  double* pressure_Pa;
  double* flow_m3_per_s;
  double* residual;
  int* iterations;
  std::uint8_t* outcome;
  std::uint32_t* where;   ///< stalled: element; no_anchor: node; else `none`
  std::uint64_t* states;  ///< one bit for each open valve, held guard and source with conductance, in this order
  std::size_t* unsound;   ///< first point with a coefficient out of bounds, else `end`; such points are not solved
};

/// A solved point.
struct Solved {
  const double* row;
  Settings settings;
  const double* pressure_Pa;    ///< [original nodes]
  const double* flow_m3_per_s;  ///< [elements]
};

/// Derivatives of all pressures [count][original nodes] and flows [count][elements] by the row's places `slots`.
/// Workspace: of one lane.
void differentiate(const Program& program, const Solved& solved, const std::uint32_t* slots, std::size_t count,
                   double* pressure_change, double* flow_change, void* workspace);

/// Bytes of 64-byte-aligned working memory for `lanes` lanes.
[[nodiscard]] std::size_t workspace_bytes(const Program& program, int lanes);

/// Solves the points of the batch with 1, 2, 4 or 8 lanes; all give the same bits.
void solve_lanes_1(const Program& program, const Batch& batch, void* workspace);
#if defined(__x86_64__)
void solve_lanes_2(const Program& program, const Batch& batch, void* workspace);
void solve_lanes_4(const Program& program, const Batch& batch, void* workspace);  ///< needs x86-64-v3
void solve_lanes_8(const Program& program, const Batch& batch, void* workspace);  ///< needs x86-64-v4
#endif

}  // namespace fw::hydraulics::kernel
