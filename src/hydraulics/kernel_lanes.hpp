// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>

#include "hydraulics/kernel.hpp"
#include "hydraulics/lanes_friction.hpp"

/// The solver for any number of lanes; theory in docs/theory/network.md. A template on the number type, compiled
/// once per instruction set, internal linkage as in lanes.hpp.
namespace fw::hydraulics::kernel {
namespace {

/// The law of a pipe as the product has it. A test may pass another policy with the same function.
struct ProductPipe {
  template <class N>
  FW_LANES_INLINE static Friction<N> friction(N reynolds, N roughness, N curvature, N transition) {
    return pipe_friction(reynolds, roughness, curvature, transition);
  }
};

constexpr double valve_rho_Pa_s_per_m3 = 5e10;      ///< the answer does not depend on it
constexpr double start_resistance_Pa_s_per_m3 = 2e9;  ///< of a valve in the first linear network
constexpr double flow_floor_m3_per_s = 1e-9;        ///< scale of the tolerance in a network at rest
constexpr double pressure_noise = 8 * 2.220446049250313e-16;
constexpr double pivot_floor_m3_per_s_Pa = 1e-30;   ///< an iterate may cut a node off; keeps the division finite
constexpr int rescue_begin = 13;
constexpr int rescue_stride = 12;

/// Arrays of lanes cut from one piece of memory.
template <class N>
struct Work {
  N* pressure;      // [nodes]
  N* drawn;         // [nodes] flow that the draws bring into the node
  N* imbalance;     // [nodes]
  N* correction;    // [nodes] 0 at fixed nodes
  N* loss;          // [nodes] conductance to fixed nodes
  N* entry;         // [slots]
  N* reciprocal;    // [free nodes]
  N* multiplier;    // [most_neighbours]
  N* flow;          // [edges] network flow
  N* law_flow;      // [edges] law linearised at the last state, taken at the last pressures
  N* conductance;   // [edges]
  N* pipe_c;        // [pipes] ...
  N* pipe_r;
  N* pipe_roughness;
  N* pipe_curvature;
  N* pipe_drop;     // [pipes] |drop| of phi r Q
  N* chain_a;       // [chains]
  N* chain_b;
  N* valve_crack;   // [valves]
  N* valve_a;
  N* valve_b;
  N* valve_shut;
  N* source_flow;   // [sources]
  N* source_g;
  N* guard_pressure;  // [guards]
  N* guard_flow;
  N* guard_active;    // 1 or 0
  N* transition;    // [1]
  N* rho;           // [1]
  N* step;          // [1]
};

template <class N>
inline std::size_t lay_out(const Program& p, Work<N>* work, void* memory) {
  N* next = static_cast<N*>(memory);
  std::size_t total = 0;
  const auto cut = [&](N*& place, std::size_t count) {
    if (work != nullptr) place = next + total;
    total += count;
  };
  Work<N> scratch{};
  Work<N>& w = work != nullptr ? *work : scratch;
  cut(w.pressure, p.nodes);
  cut(w.drawn, p.nodes);
  cut(w.imbalance, p.nodes);
  cut(w.correction, p.nodes);
  cut(w.loss, p.nodes);
  cut(w.entry, p.slots);
  cut(w.reciprocal, p.free_nodes);
  cut(w.multiplier, p.most_neighbours);
  cut(w.flow, p.edge_count());
  cut(w.law_flow, p.edge_count());
  cut(w.conductance, p.edge_count());
  cut(w.pipe_c, p.pipes);
  cut(w.pipe_r, p.pipes);
  cut(w.pipe_roughness, p.pipes);
  cut(w.pipe_curvature, p.pipes);
  cut(w.pipe_drop, p.pipes);
  cut(w.chain_a, p.chains);
  cut(w.chain_b, p.chains);
  cut(w.valve_crack, p.valves);
  cut(w.valve_a, p.valves);
  cut(w.valve_b, p.valves);
  cut(w.valve_shut, p.valves);
  cut(w.source_flow, p.sources);
  cut(w.source_g, p.sources);
  cut(w.guard_pressure, p.guards);
  cut(w.guard_flow, p.guards);
  cut(w.guard_active, p.guards);
  cut(w.transition, 1);
  cut(w.rho, 1);
  cut(w.step, 1);
  return total;
}

template <class N>
FW_LANES_INLINE double* lane_of(N* array, std::size_t lane) {
  return reinterpret_cast<double*>(array) + lane;
}

template <class N, class PipeLaw>
class Solver {
 public:
  Solver(const Program& program, const Batch& batch, void* memory) : p_(program), batch_(batch) {
    lay_out<N>(p_, &w_, memory);
  }

  void run() {
    std::size_t next = batch_.begin;
    if (next >= batch_.end) return;
    unsigned busy = 0;
    for (std::size_t lane = 0; lane < width; ++lane) {
      const bool real = next < batch_.end;
      load(lane, real ? next : batch_.begin);
      point_[lane] = real ? next : batch_.begin;
      if (real) {
        busy |= 1U << lane;
        ++next;
      }
    }
    while (busy != 0U) {
      solve_linear();
      update();
      unsigned done = evaluate() & busy;
      unsigned over = 0;
      for (std::size_t lane = 0; lane < width; ++lane) {
        ++iterations_[lane];
        if (iterations_[lane] >= rescue_begin) rescue(lane);
        if (iterations_[lane] >= batch_.settings.iteration_cap) over |= 1U << lane;
      }
      unsigned leave = (done | over) & busy;
      while (leave != 0U) {
        const auto lane = static_cast<std::size_t>(__builtin_ctz(leave));
        leave &= leave - 1;
        store(lane, (done >> lane & 1U) != 0U ? Outcome::converged : Outcome::stalled);
        if (next < batch_.end) {
          point_[lane] = next++;
          load(lane, point_[lane]);
        } else {
          busy &= ~(1U << lane);
          load(lane, point_[lane]);  // an idle lane repeats its point: finite numbers, result not stored
        }
      }
    }
  }

 private:
  static constexpr std::size_t width = LanesOf<N>::width;

  static double& at(N* array, std::size_t index, std::size_t lane) {
    return lane_of(array, lane)[index * width];
  }

  /// Coefficients of a point into a lane, and the first linear network.
  void load(std::size_t lane, std::size_t point) {
    const double* row = batch_.rows + point * batch_.row_stride;
    const std::uint32_t fixed = p_.nodes - p_.free_nodes;
    const double start_Pa = fixed > 0 ? row[p_.fixed_slot[0]] : 0.0;
    for (std::uint32_t j = 0; j < p_.free_nodes; ++j) at(w_.pressure, j, lane) = start_Pa;
    for (std::uint32_t j = 0; j < fixed; ++j) at(w_.pressure, p_.free_nodes + j, lane) = row[p_.fixed_slot[j]];
    for (std::uint32_t j = 0; j < p_.nodes; ++j) {
      at(w_.drawn, j, lane) = 0.0;
      at(w_.correction, j, lane) = 0.0;
    }
    double scale = 0.0;
    for (std::uint32_t i = 0; i < p_.draws; ++i) {
      const Draw& d = p_.draw[i];
      const double q = row[d.slot];
      at(w_.drawn, d.from, lane) -= q;
      at(w_.drawn, d.to, lane) += q;
      scale = larger(scale, magnitude(q));
    }
    at(w_.transition, 0, lane) = row[p_.transition_slot];
    at(w_.rho, 0, lane) = valve_rho_Pa_s_per_m3;
    at(w_.step, 0, lane) = 1.0;
    for (std::uint32_t i = 0; i < p_.sources; ++i) {
      const double* k = row + p_.source[i].slot;
      const std::uint32_t e = p_.chains + p_.valves + i;
      at(w_.source_flow, i, lane) = k[0];
      at(w_.source_g, i, lane) = k[1];
      start_edge(lane, e, k[1], k[0] + k[1] * drop_at(lane, e));
      scale = larger(scale, magnitude(k[0]));
    }
    for (std::uint32_t i = 0; i < p_.chains; ++i) {
      double a = 0.0;
      double b = 0.0;
      double laminar = 0.0;
      const Chain& chain = p_.chain[i];
      for (std::uint32_t j = chain.part_begin; j < chain.part_end; ++j) {
        const Part& part = p_.part[j];
        const double* k = row + part.slot;
        if (part.pipe == none) {
          a += k[0];
          b += k[1];
        } else {
          at(w_.pipe_c, part.pipe, lane) = k[0];
          at(w_.pipe_r, part.pipe, lane) = k[1];
          at(w_.pipe_roughness, part.pipe, lane) = k[2];
          at(w_.pipe_curvature, part.pipe, lane) = k[3];
          laminar += k[1];
          a += k[4];
          b += k[5];
        }
      }
      at(w_.chain_a, i, lane) = a;
      at(w_.chain_b, i, lane) = b;
      const double g = 1.0 / (laminar + a + b * scale);
      start_edge(lane, i, g, g * drop_at(lane, i));
    }
    for (std::uint32_t i = 0; i < p_.valves; ++i) {
      const double* k = row + p_.valve[i].slot;
      const std::uint32_t e = p_.chains + i;
      at(w_.valve_crack, i, lane) = k[0];
      at(w_.valve_a, i, lane) = k[1];
      at(w_.valve_b, i, lane) = k[2];
      at(w_.valve_shut, i, lane) = k[3];
      const bool shut = k[3] > 0.0;
      const double g =
          shut ? 1.0 / batch_.settings.closed_resistance_Pa_s_per_m3
               : 1.0 / (k[1] + k[2] * scale + start_resistance_Pa_s_per_m3);
      start_edge(lane, e, g, g * (drop_at(lane, e) - (shut ? 0.0 : k[0])));
    }
    for (std::uint32_t i = 0; i < p_.guards; ++i) {
      at(w_.guard_pressure, i, lane) = row[p_.guard[i].slot];
      at(w_.guard_flow, i, lane) = 0.0;
      at(w_.guard_active, i, lane) = 0.0;
    }
    iterations_[lane] = 0;
  }

  double drop_at(std::size_t lane, std::uint32_t edge) const {
    return at(w_.pressure, p_.edges[edge].from, lane) - at(w_.pressure, p_.edges[edge].to, lane);
  }

  void start_edge(std::size_t lane, std::uint32_t edge, double conductance, double law_flow) {
    at(w_.flow, edge, lane) = 0.0;
    at(w_.conductance, edge, lane) = conductance;
    at(w_.law_flow, edge, lane) = law_flow;
  }

  /// Assembles and eliminates: entries only ever grow by products of positive numbers and the pivot is the sum of
  /// what leaves the node (Grassmann, Taksar, Heyman), so no digit cancels however stiff the network is.
  void solve_linear() {
    for (std::uint32_t j = 0; j < p_.nodes; ++j) {
      w_.imbalance[j] = w_.drawn[j];
      w_.loss[j] = N{};
    }
    for (std::uint32_t i = 0; i < p_.slots; ++i) w_.entry[i] = N{};
    const std::uint32_t edges = p_.edge_count();
    for (std::uint32_t e = 0; e < edges; ++e) {
      const Edge& edge = p_.edges[e];
      w_.imbalance[edge.from] -= w_.law_flow[e];
      w_.imbalance[edge.to] += w_.law_flow[e];
      if (edge.out_slot != none) {
        w_.entry[edge.out_slot] += w_.conductance[e];
        if (edge.in_slot != edge.out_slot) w_.entry[edge.in_slot] += w_.conductance[e];
      } else {
        w_.loss[edge.from] += w_.conductance[e];
        w_.loss[edge.to] += w_.conductance[e];
      }
    }
    for (std::uint32_t j = 0; j < p_.free_nodes; ++j) {
      const Pivot& pivot = p_.pivot[j];
      N leaves = w_.loss[j];
      for (std::uint32_t k = pivot.neighbour_begin; k < pivot.neighbour_end; ++k) {
        leaves += w_.entry[p_.neighbour[k].out_slot];
      }
      N reciprocal = 1.0 / larger(leaves, all<N>(pivot_floor_m3_per_s_Pa));
      N to_fixed = w_.loss[j] * reciprocal;
      const std::uint32_t count = pivot.neighbour_end - pivot.neighbour_begin;
      for (std::uint32_t k = 0; k < count; ++k) {
        w_.multiplier[k] = w_.entry[p_.neighbour[pivot.neighbour_begin + k].out_slot] * reciprocal;
      }
      if (pivot.guard != none) {
        // A held node keeps its pressure and passes every flow that arrives on to the guard's `to`.
        const auto held = w_.guard_active[pivot.guard] > 0.0;
        reciprocal = select(held, N{}, reciprocal);
        to_fixed = select(held, all<N>(pivot.guard_to == none ? 1.0 : 0.0), to_fixed);
        for (std::uint32_t k = 0; k < count; ++k) {
          w_.multiplier[k] = select(held, all<N>(k == pivot.guard_to ? 1.0 : 0.0), w_.multiplier[k]);
        }
      }
      w_.reciprocal[j] = reciprocal;
      for (std::uint32_t k = 0; k < count; ++k) {
        const Neighbour& neighbour = p_.neighbour[pivot.neighbour_begin + k];
        w_.imbalance[neighbour.node] += w_.multiplier[k] * w_.imbalance[j];
        w_.loss[neighbour.node] += to_fixed * w_.entry[neighbour.in_slot];
      }
      for (std::uint32_t k = pivot.pair_begin; k < pivot.pair_end; ++k) {
        const Pair& pair = p_.pair[k];
        w_.entry[pair.target] +=
            w_.multiplier[pair.row] * w_.entry[p_.neighbour[pivot.neighbour_begin + pair.column].in_slot];
      }
    }
    for (std::uint32_t j = p_.free_nodes; j-- > 0;) {
      const Pivot& pivot = p_.pivot[j];
      N sum = w_.imbalance[j];
      for (std::uint32_t k = pivot.neighbour_begin; k < pivot.neighbour_end; ++k) {
        const Neighbour& neighbour = p_.neighbour[k];
        sum += w_.entry[neighbour.in_slot] * w_.correction[neighbour.node];
      }
      w_.correction[j] = sum * w_.reciprocal[j];
    }
  }

  /// New network flows and pressures; guards take their flow from the balance of their node.
  void update() {
    const N step = w_.step[0];
    const bool damped = any(step < 1.0);
    const std::uint32_t edges = p_.edge_count();
    for (std::uint32_t e = 0; e < edges; ++e) {
      const Edge& edge = p_.edges[e];
      N flow = w_.law_flow[e] + w_.conductance[e] * (w_.correction[edge.from] - w_.correction[edge.to]);
      if (damped) flow = select(step < 1.0, w_.flow[e] + step * (flow - w_.flow[e]), flow);
      w_.flow[e] = flow;
    }
    N most = all<N>(flow_floor_m3_per_s);
    for (std::uint32_t e = 0; e < edges; ++e) most = larger(most, magnitude(w_.flow[e]));
    N most_Pa = all<N>(1.0);
    for (std::uint32_t j = 0; j < p_.free_nodes; ++j) {
      N correction = w_.correction[j];
      if (damped) correction = select(step < 1.0, step * correction, correction);
      w_.pressure[j] += correction;
      most_Pa = larger(most_Pa, magnitude(w_.pressure[j]));
      most = larger(most, magnitude(w_.drawn[j]));
    }
    for (std::uint32_t j = p_.free_nodes; j < p_.nodes; ++j) most_Pa = larger(most_Pa, magnitude(w_.pressure[j]));
    most_flow_ = most;
    noise_Pa_ = pressure_noise * most_Pa;
    for (std::uint32_t i = 0; i < p_.guards; ++i) {
      const Guard& guard = p_.guard[i];
      N arriving = w_.drawn[guard.from];
      for (std::uint32_t k = guard.incident_begin; k < guard.incident_end; ++k) {
        arriving += p_.incident[k].sign * w_.flow[p_.incident[k].edge];
      }
      const auto was = w_.guard_active[i] > 0.0;
      const N held_Pa = w_.guard_pressure[i];
      w_.guard_flow[i] = select(was, N{} - arriving, N{});
      const auto now = select(was, w_.guard_flow[i], held_Pa - w_.pressure[guard.from]) > 0.0;
      w_.guard_active[i] = select(now, all<N>(1.0), N{});
      w_.pressure[guard.from] = select(now, held_Pa, w_.pressure[guard.from]);
    }
  }

  /// Linearises every law at the new state; returns the lanes whose laws agree with the network.
  unsigned evaluate() {
    N worst = N{};
    const auto judge = [&](std::uint32_t e, N law_flow, N conductance) {
      w_.law_flow[e] = law_flow;
      w_.conductance[e] = conductance;
      worst = larger(worst, magnitude(law_flow - w_.flow[e]) - noise_Pa_ * conductance);
    };
    const N transition = w_.transition[0];
    for (std::uint32_t i = 0; i < p_.chains; ++i) {
      const Edge& edge = p_.edges[i];
      const N drop = w_.pressure[edge.from] - w_.pressure[edge.to];
      const N flow = w_.flow[i];
      const N size = magnitude(flow);
      N secant = w_.chain_a[i] + w_.chain_b[i] * size;
      N slope = secant + w_.chain_b[i] * size;
      for (std::uint32_t k = p_.chain[i].pipe_begin; k < p_.chain[i].pipe_end; ++k) {
        const Friction<N> law =
            PipeLaw::friction(w_.pipe_c[k] * size, w_.pipe_roughness[k], w_.pipe_curvature[k], transition);
        const N resistance = w_.pipe_r[k] * law.phi;
        w_.pipe_drop[k] = resistance * flow;
        secant += resistance;
        slope += resistance + w_.pipe_r[k] * law.slope;
      }
      const N conductance = 1.0 / slope;
      judge(i, flow + (drop - secant * flow) * conductance, conductance);
    }
    const double closed = batch_.settings.closed_resistance_Pa_s_per_m3;
    const double closed_g = 1.0 / closed;
    for (std::uint32_t i = 0; i < p_.valves; ++i) {
      const std::uint32_t e = p_.chains + i;
      const Edge& edge = p_.edges[e];
      const N drop = w_.pressure[edge.from] - w_.pressure[edge.to];
      const N rho = w_.rho[0];
      const auto shut = w_.valve_shut[i] > 0.0;
      const N over = drop - select(shut, N{}, w_.valve_crack[i]);
      const N state = over + rho * w_.flow[e];
      const auto open = (state > 0.0) & (w_.valve_shut[i] <= 0.0);
      const N s = select(open, state, N{});
      const N a = w_.valve_a[i];
      const N b = w_.valve_b[i];
      const N ar = a + rho;
      // An opening valve may see the pressure of a cut-off island: it opens to no more than the largest flow.
      const N flow = smaller(2.0 * s / (ar + square_root(ar * ar + 4.0 * b * s)), most_flow_);
      const N g = 1.0 / (a + 2.0 * b * flow);
      judge(e, select(open, flow + (over - (a + b * flow) * flow) * g, over * closed_g),
            select(open, g, all<N>(closed_g)));
    }
    for (std::uint32_t i = 0; i < p_.sources; ++i) {
      const std::uint32_t e = p_.chains + p_.valves + i;
      const Edge& edge = p_.edges[e];
      const N drop = w_.pressure[edge.from] - w_.pressure[edge.to];
      judge(e, w_.source_flow[i] + w_.source_g[i] * drop, w_.source_g[i]);
    }
    for (std::uint32_t i = 0; i < p_.guards; ++i) {
      worst = larger(worst, select(w_.guard_active[i] > 0.0, N{}, magnitude(w_.guard_flow[i])));
    }
    return mask_bits(worst <= batch_.settings.flow_tolerance * most_flow_);
  }

  void rescue(std::size_t lane) {
    static constexpr double factor[] = {4.0, 0.25, 16.0};
    const int stage = (iterations_[lane] - rescue_begin) / rescue_stride;
    at(w_.rho, 0, lane) = valve_rho_Pa_s_per_m3 * (stage < 3 ? factor[stage] : 1.0);
    at(w_.step, 0, lane) = stage < 3 ? 1.0 : 0.5;
  }

  void store(std::size_t lane, Outcome outcome) {
    const std::size_t point = point_[lane];
    const double* row = batch_.rows + point * batch_.row_stride;
    double* pressure = batch_.pressure_Pa + point * p_.original_nodes;
    double* flow = batch_.flow_m3_per_s + point * p_.elements;
    for (std::uint32_t j = 0; j < p_.nodes; ++j) pressure[p_.original_node[j]] = at(w_.pressure, j, lane);
    double most = flow_floor_m3_per_s;
    double* balance = lane_of(w_.imbalance, lane);
    for (std::uint32_t j = 0; j < p_.nodes; ++j) balance[j * width] = at(w_.drawn, j, lane);
    for (std::uint32_t e = 0; e < p_.edge_count(); ++e) {
      const double q = at(w_.flow, e, lane);
      balance[p_.edges[e].from * width] -= q;
      balance[p_.edges[e].to * width] += q;
      most = larger(most, magnitude(q));
    }
    for (std::uint32_t i = 0; i < p_.chains; ++i) {
      const double q = at(w_.flow, i, lane);
      double here = at(w_.pressure, p_.edges[i].from, lane);
      for (std::uint32_t k = p_.chain[i].part_begin; k < p_.chain[i].part_end; ++k) {
        const Part& part = p_.part[k];
        flow[part.element] = part.sign * q;
        if (part.node_after == none) continue;
        const double* c = row + part.slot;
        here -= part.pipe == none ? (c[0] + c[1] * magnitude(q)) * q
                                  : at(w_.pipe_drop, part.pipe, lane) + (c[4] + c[5] * magnitude(q)) * q;
        pressure[part.node_after] = here;
      }
    }
    for (std::uint32_t i = 0; i < p_.valves; ++i) flow[p_.valve[i].element] = at(w_.flow, p_.chains + i, lane);
    for (std::uint32_t i = 0; i < p_.sources; ++i) {
      flow[p_.source[i].element] = at(w_.flow, p_.chains + p_.valves + i, lane);
    }
    for (std::uint32_t i = 0; i < p_.draws; ++i) {
      const double q = row[p_.draw[i].slot];
      flow[p_.draw[i].element] = q;
      most = larger(most, magnitude(q));
    }
    for (std::uint32_t i = 0; i < p_.guards; ++i) {
      const double q = at(w_.guard_flow, i, lane);
      flow[p_.guard[i].element] = q;
      balance[p_.guard[i].from * width] += q;
      balance[p_.guard[i].to * width] -= q;
    }
    double worst = 0.0;
    for (std::uint32_t j = 0; j < p_.free_nodes; ++j) worst = larger(worst, magnitude(balance[j * width]));
    batch_.residual[point] = worst / most;
    batch_.iterations[point] = iterations_[lane];
    batch_.outcome[point] = static_cast<std::uint8_t>(outcome);
    batch_.worst_element[point] = outcome == Outcome::converged ? none : worst_element(lane);
  }

  std::uint32_t worst_element(std::size_t lane) const {
    double most = -1.0;
    std::uint32_t found = 0;
    for (std::uint32_t e = 0; e < p_.edge_count(); ++e) {
      const double gap = magnitude(at(w_.law_flow, e, lane) - at(w_.flow, e, lane));
      if (gap > most) {
        most = gap;
        found = e < p_.chains               ? p_.part[p_.chain[e].part_begin].element
                : e < p_.chains + p_.valves ? p_.valve[e - p_.chains].element
                                            : p_.source[e - p_.chains - p_.valves].element;
      }
    }
    return found;
  }

  const Program& p_;
  const Batch& batch_;
  Work<N> w_{};
  N most_flow_{};
  N noise_Pa_{};
  std::size_t point_[width]{};
  int iterations_[width]{};
};

}  // namespace
}  // namespace fw::hydraulics::kernel
