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

constexpr double switch_share = 0.1;               ///< of the most wrong valve: what is less wrong waits
constexpr double switch_span_Pa = 1e5;             ///< an island's absurd pressure tells its valves apart by no share
constexpr double valve_start_Pa_s_per_m3 = 2e9;    ///< resistance of a valve in the first linear network
constexpr double bypass_start_Pa_s_per_m3 = 1e12;  ///< of one that lies beside another way
constexpr double low_crack_Pa = 50e3;
constexpr double lowest_transition = 1000.0;  ///< Reynolds number of a drawn transition
constexpr double flow_floor_m3_per_s = 1e-9;  ///< scale of the tolerance in a network at rest
constexpr double balance_tolerance = 5e-10;   ///< largest imbalance of a node over the largest flow [-]
constexpr double pressure_noise = 8 * 2.220446049250313e-16;
constexpr double pivot_floor_m3_per_s_Pa = 1e-30;  ///< an iterate may cut a node off; keeps the division finite
constexpr double trusted_Pa = 1e11;                ///< longest step of a pressure

// Rescue: active-set iterations, then a barrier that holds every valve and guard off its corner, then active set.
constexpr int active_set_iterations = 12;    ///< before the first rescue
constexpr int polish_iterations = 10;        ///< after a barrier
constexpr int barrier_iterations = 40;       ///< at most, per rescue
constexpr double barrier_end = 1e-12;        ///< of the starting product of flow and pressure
constexpr double barrier_pressure_Pa = 1e5;  ///< start of the slack of valves and guards
constexpr double barrier_flow_m3_per_s = 1e-6;
constexpr int damped_iterations = 60;  ///< at the first try: 34 until damping_end, then the undamped network
constexpr int slowest_try = 7;
/// Part of Newton's step from the third try on, every second one. Where a pipe's friction turns, drop over flow has a
/// slope up to some five times that beside it; whole steps then may cycle about the turn, these can not.
constexpr double short_step = 0.3;
constexpr double shorter_step = 0.05;   ///< at the fifth try
constexpr double shortest_step = 0.02;  ///< from the seventh on
constexpr int iteration_caps = 24;      ///< a point is given up after so many times the cap, anchored since the first
constexpr double damping_begin = 1e-8;  ///< m3/s/Pa
constexpr double damping_fall = 0.5;    ///< per iteration at the first try; its root at each further one
constexpr double damping_end = 1e-18;   ///< m3/s/Pa
constexpr double anchor_begin_m3_per_s_Pa = 1e-14;
constexpr double anchor_end_m3_per_s_Pa = 1e-20;
constexpr double absurd_pressure_Pa = 1e8;  ///< with the first trace; 1000 bar in a low-pressure network
constexpr std::size_t rows_ahead = 16;      ///< fetched before their turn
constexpr int lines_at_once = 12;           ///< of 64 bytes; what a core can wait for beside its work
constexpr double barrier_keep = 0.95;       ///< part of the way to the boundary that a step may go

/// Arrays of lanes cut from one piece of memory.
template <class N>
struct Work {
  N* pressure;     // [nodes]
  N* drawn;        // [nodes] flow that the draws bring into the node
  N* imbalance;    // [nodes]
  N* correction;   // [nodes] 0 at fixed nodes
  N* loss;         // [nodes] conductance to fixed nodes
  N* entry;        // [slots]
  N* reciprocal;   // [free nodes]
  N* multiplier;   // [most_neighbours]
  N* flow;         // [edges] network flow
  N* law_flow;     // [edges] law linearised at the last state, taken at the last pressures
  N* conductance;  // [edges]
  N* coefficient;  // [kept]
  N* pipe_drop;    // [pipes] drop of phi r Q
  N* chain_a;      // [chains]
  N* chain_b;
  N* valve_open;    // [valves] 1 or 0
  N* guard_flow;    // [guards]
  N* guard_active;  // 1 or 0
  N* slack_change;  // [valves + guards]
  N* guard_change;  // [guards]
  N* valve_flow;    // [valves] barrier only: flow without the leak
  N* valve_change;  // [valves]
  N* valve_slack;   // [valves] barrier only: crack + a Q + b Q^2 - drop
  N* guard_slack;   // [guards] barrier only: pressure above the guard's
  N* guard_law;     // [guards] barrier only: flow at the last pressures
  N* guard_g;       // [guards] barrier only: minus its slope in the pressure
  N* barrier;       // [1] product of flow and slack aimed at; 0: active set
  N* barrier_fall;  // [1] aim over the largest product after a full step
  N* damping;       // [1] conductance added at every free node; 0: none
  N* anchor;        // [1] conductance from every free node to the first fixed pressure; 0: none
  N* step;          // [1] part of the active set's step that is taken
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
  cut(w.coefficient, p.kept);
  cut(w.pipe_drop, p.pipes);
  cut(w.chain_a, p.chains);
  cut(w.chain_b, p.chains);
  cut(w.valve_open, p.valves);
  cut(w.guard_flow, p.guards);
  cut(w.guard_active, p.guards);
  cut(w.slack_change, p.valves + p.guards);
  cut(w.guard_change, p.guards);
  cut(w.valve_flow, p.valves);
  cut(w.valve_change, p.valves);
  cut(w.valve_slack, p.valves);
  cut(w.guard_slack, p.guards);
  cut(w.guard_law, p.guards);
  cut(w.guard_g, p.guards);
  cut(w.barrier, 1);
  cut(w.barrier_fall, 1);
  cut(w.damping, 1);
  cut(w.anchor, 1);
  cut(w.step, 1);
  return total;
}

template <class N>
FW_LANES_INLINE double* lane_of(N* array, std::size_t lane) {
  return reinterpret_cast<double*>(array) + lane;
}

/// Form: of Churchill's law, lanes_friction.hpp.
template <class N, class Form>
class Solver {
 public:
  Solver(const Program& program, const Batch& batch, void* memory)
      : p_(program),
        batch_(batch),
        closed_g_(1.0 / batch.settings.closed_resistance_Pa_s_per_m3),
        points_(batch.end - batch.begin) {
    lay_out<N>(p_, &w_, memory);
    for (std::uint32_t j = p_.free_nodes; j < p_.nodes; ++j) w_.correction[j] = N{};
    w_.barrier[0] = N{};
    for (std::size_t lane = 0; lane < width; ++lane) clear_barrier(lane);
  }

  void run() {
    *batch_.unsound = batch_.end;
    unsigned busy = 0;
    for (std::size_t lane = 0; lane < width && take(lane); ++lane) busy |= 1U << lane;
    if (busy == 0U) return;
    // Lanes without a point repeat the first one: finite numbers, result not stored.
    for (std::size_t lane = 0; lane < width; ++lane) {
      if ((busy >> lane & 1U) == 0U) load(lane, point_[lane] = point_[0]);
    }
    while (busy != 0U) {
      fetch_ahead();
      solve_linear();
      fetch_ahead();
      update();
      fetch_ahead();
      switch_valves();
      fetch_ahead();
      unsigned done = evaluate() & busy;
      ++round_;
      if (done != 0U) {
        residual_ = imbalance_over_flow();
        const auto anchored = w_.anchor[0] > 0.0;
        done &= mask_bits((residual_ <= balance_tolerance) | anchored);
      }
      const unsigned over = in_rescue_ != 0U || round_ >= next_event_ ? manage(busy, done) : 0U;
      unsigned leave = (done | over) & busy;
      while (leave != 0U) {
        const auto lane = static_cast<std::size_t>(__builtin_ctz(leave));
        leave &= leave - 1;
        store(lane, outcome_[lane]);
        if (!take(lane)) {
          busy &= ~(1U << lane);
          load(lane, point_[lane]);
        }
      }
    }
  }

 protected:
  static constexpr std::size_t width = LanesOf<N>::width;

  FW_LANES_INLINE N reference_Pa() const { return p_.nodes > p_.free_nodes ? w_.pressure[p_.free_nodes] : N{}; }

  static double& at(N* array, std::size_t index, std::size_t lane) { return lane_of(array, lane)[index * width]; }

  /// Lanes in rescue and lanes whose time is up. Takes lanes out of `done` that must go on; returns those given up.
  unsigned manage(unsigned busy, unsigned& done) {
    unsigned over = 0;
    bool changed = false;
    next_event_ = round_ + iteration_caps * batch_.settings.iteration_cap;
    for (std::size_t lane = 0; lane < width; ++lane) {
      const unsigned bit = 1U << lane;
      if ((done & bit) != 0U) {
        if (at(w_.anchor, 0, lane) <= 0.0 || settled_anchor(lane)) continue;
        done &= ~bit;
      }
      if ((busy & bit) == 0U) continue;
      const int iterations = round_ - start_[lane];
      if ((in_rescue_ & bit) != 0U) advance_damping(lane);
      if (iterations == batch_.settings.iteration_cap) {
        begin_anchor(lane);
        changed = true;
      } else if (iterations >= iteration_caps * batch_.settings.iteration_cap) {
        outcome_[lane] = Outcome::stalled;
        over |= bit;
      } else if (round_ >= stage_until_[lane] || barrier_ended(lane)) {
        change_stage(lane);
        changed = true;
      }
      next_event_ = stage_until_[lane] < next_event_ ? stage_until_[lane] : next_event_;
    }
    if (changed) (void)evaluate();
    return over;
  }

  const double* row_of(std::size_t point) const { return batch_.rows + point * batch_.row_stride; }

  /// Asks for some of the memory of the points to come: a few lines at a time, which arrive behind the arithmetic.
  FW_LANES_INLINE void fetch_ahead() {
    const std::size_t end = next_ + rows_ahead < points_ ? next_ + rows_ahead : points_;
    for (int i = 0; i < lines_at_once && fetched_ < end; ++i) {
      __builtin_prefetch(row_of(batch_.begin + batch_.order[fetched_]) + fetched_place_, 0, 2);
      fetched_place_ += 8;
      if (fetched_place_ < batch_.row_stride) continue;
      fetched_place_ = 0;
      ++fetched_;
    }
  }

  /// The next sound point into a lane; false when there is none left.
  bool take(std::size_t lane) {
    while (next_ < points_) {
      const std::size_t point = batch_.begin + batch_.order[next_++];
      if (sound(row_of(point))) {
        load(lane, point_[lane] = point);
        return true;
      }
      if (point < *batch_.unsound) *batch_.unsound = point;
    }
    return false;
  }

  bool sound(const double* row) const {
    bool broken = false;
    for (std::size_t i = 0; i < batch_.row_stride; i += width) {
      broken |= any_outside(*reinterpret_cast<const N*>(row + i), *reinterpret_cast<const N*>(p_.lower + i),
                            *reinterpret_cast<const N*>(p_.upper + i));
    }
    if (broken) return false;
    const double transition = row[p_.transition_slot];
    if (transition != 0.0 && transition < lowest_transition) return false;
    for (std::uint32_t i = 0; i < p_.valves; ++i) {
      const double shut = row[p_.valve[i].slot + 3];
      if (shut != 0.0 && shut != 1.0) return false;
    }
    return true;
  }

  /// Coefficients of a point into a lane, and the first linear network.
  void load(std::size_t lane, std::size_t point) {
    const double* row = row_of(point);
    double* coefficient = lane_of(w_.coefficient, lane);
    for (std::size_t i = 0; i < p_.kept; ++i) coefficient[i * width] = row[p_.kept_slot[i]];
    const std::uint32_t fixed = p_.nodes - p_.free_nodes;
    const double start_Pa = fixed > 0 ? row[p_.fixed_slot[0]] : 0.0;
    double* pressure = lane_of(w_.pressure, lane);
    double* drawn = lane_of(w_.drawn, lane);
    for (std::uint32_t j = 0; j < p_.free_nodes; ++j) pressure[j * width] = start_Pa;
    for (std::uint32_t j = 0; j < fixed; ++j) pressure[(p_.free_nodes + j) * width] = row[p_.fixed_slot[j]];
    for (std::uint32_t j = 0; j < p_.nodes; ++j) drawn[j * width] = 0.0;
    double scale = 0.0;
    for (std::uint32_t i = 0; i < p_.draws; ++i) {
      const Draw& d = p_.draw[i];
      const double q = row[d.slot];
      drawn[d.from * width] -= q;
      drawn[d.to * width] += q;
      scale = larger(scale, magnitude(q));
    }
    if (at(w_.barrier, 0, lane) != 0.0) clear_barrier(lane);
    at(w_.damping, 0, lane) = 0.0;
    at(w_.anchor, 0, lane) = 0.0;
    at(w_.step, 0, lane) = 1.0;
    for (std::uint32_t i = 0; i < p_.sources; ++i) {
      const double* k = row + p_.source[i].slot;
      const std::uint32_t e = p_.chains + p_.valves + i;
      start_edge(lane, e, k[1], k[0] + k[1] * drop_at(lane, e));
      scale = larger(scale, magnitude(k[0]));
    }
    double* chain_a = lane_of(w_.chain_a, lane);
    double* chain_b = lane_of(w_.chain_b, lane);
    for (std::uint32_t i = 0; i < p_.chains; ++i) {
      double a = 0.0;
      double b = 0.0;
      double laminar = 0.0;
      const Chain& chain = p_.chain[i];
      for (std::uint32_t j = chain.part_begin; j < chain.part_end; ++j) {
        const Part& part = p_.part[j];
        const double* k = row + part.loss_slot;
        a += k[0];
        b += k[1];
        if (part.pipe != none) laminar += row[part.slot + 1];
      }
      chain_a[i * width] = a;
      chain_b[i * width] = b;
      const double g = 1.0 / (laminar + a + b * scale);
      start_edge(lane, i, g, g * drop_at(lane, i));
    }
    for (std::uint32_t i = 0; i < p_.valves; ++i) {
      const double* k = row + p_.valve[i].slot;
      const std::uint32_t e = p_.chains + i;
      at(w_.valve_open, i, lane) = k[3] <= 0.0 && k[0] < 0.0 ? 1.0 : 0.0;
      const bool shut = k[3] > 0.0;
      // A pump pushes from the start, a low valve beside another way is all but closed; the others are resistances
      // behind their crack pressure, both ways.
      const bool pump = k[0] < 0.0;
      const bool beside = p_.valve[i].bypass && k[0] < low_crack_Pa;
      const double start = pump ? 0.0 : beside ? bypass_start_Pa_s_per_m3 : valve_start_Pa_s_per_m3;
      const double g = shut ? closed_g_ : 1.0 / (k[1] + k[2] * scale + start);
      start_edge(lane, e, g, g * (drop_at(lane, e) - (shut ? 0.0 : k[0])));
    }
    for (std::uint32_t i = 0; i < p_.guards; ++i) {
      at(w_.guard_flow, i, lane) = 0.0;
      at(w_.guard_active, i, lane) = 0.0;
    }
    in_rescue_ &= ~(1U << lane);
    damping_fall_[lane] = damping_fall;
    short_steps_[lane] = false;
    outcome_[lane] = Outcome::converged;
    start_[lane] = round_;
    stage_[lane] = 0;
    stage_until_[lane] =
        round_ +
        (active_set_iterations < batch_.settings.iteration_cap ? active_set_iterations : batch_.settings.iteration_cap);
    next_event_ = stage_until_[lane] < next_event_ ? stage_until_[lane] : next_event_;
    flow_scale_[lane] = larger(scale, barrier_flow_m3_per_s);
  }

  /// A lane outside the barrier: finite numbers that divide.
  void clear_barrier(std::size_t lane) {
    at(w_.barrier, 0, lane) = 0.0;
    at(w_.barrier_fall, 0, lane) = 0.1;
    for (std::uint32_t i = 0; i < p_.valves; ++i) {
      at(w_.valve_slack, i, lane) = 1.0;
      at(w_.valve_flow, i, lane) = 1.0;
    }
    for (std::uint32_t i = 0; i < p_.guards; ++i) {
      at(w_.guard_slack, i, lane) = 1.0;
      at(w_.guard_law, i, lane) = 0.0;
      at(w_.guard_g, i, lane) = 0.0;
    }
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
      w_.loss[j] = w_.damping[0];
    }
    if (any(w_.anchor[0] > 0.0)) {
      for (std::uint32_t j = 0; j < p_.free_nodes; ++j) {
        w_.loss[j] += w_.anchor[0];
        w_.imbalance[j] += w_.anchor[0] * (reference_Pa() - w_.pressure[j]);
      }
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
    const bool barrier = any(w_.barrier[0] > 0.0);
    if (barrier) {
      for (std::uint32_t i = 0; i < p_.guards; ++i) {
        const Guard& guard = p_.guard[i];
        w_.imbalance[guard.from] += w_.guard_law[i];
        w_.imbalance[guard.to] -= w_.guard_law[i];
        N& place = guard.out_slot == none ? w_.loss[guard.from] : w_.entry[guard.out_slot];
        place += w_.guard_g[i];
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
        const auto held = w_.guard_active[pivot.guard] > 0.5;
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
    back_substitute();
  }

  void back_substitute() {
    overrun_ = N{};
    for (std::uint32_t j = p_.free_nodes; j-- > 0;) {
      const Pivot& pivot = p_.pivot[j];
      N sum = w_.imbalance[j];
      for (std::uint32_t k = pivot.neighbour_begin; k < pivot.neighbour_end; ++k) {
        const Neighbour& neighbour = p_.neighbour[k];
        sum += w_.entry[neighbour.in_slot] * w_.correction[neighbour.node];
      }
      w_.correction[j] = sum * w_.reciprocal[j];
      overrun_ = larger(overrun_, magnitude(w_.correction[j]));
    }
  }

  /// New network flows and pressures; guards take their flow from the balance of their node.
  void update() {
    const auto in_barrier = w_.barrier[0] > 0.0;
    const bool barrier = any(in_barrier);
    N step = w_.step[0];
    step = select(overrun_ > trusted_Pa, smaller(step, trusted_Pa / larger(overrun_, all<N>(1.0))), step);
    if (barrier) step = select(in_barrier, barrier_step(), step);
    const auto shortened = step < 1.0;
    const bool shorten = any(shortened);
    const std::uint32_t edges = p_.edge_count();
    N most = all<N>(flow_floor_m3_per_s);
    for (std::uint32_t e = 0; e < edges; ++e) {
      N flow = full_flow(e);
      if (shorten) flow = select(shortened, w_.flow[e] + step * (flow - w_.flow[e]), flow);
      w_.flow[e] = flow;
      most = larger(most, magnitude(flow));
    }
    N most_Pa = all<N>(1.0);
    for (std::uint32_t j = 0; j < p_.free_nodes; ++j) {
      N correction = w_.correction[j];
      if (shorten) correction = select(shortened, step * correction, correction);
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
      for (std::uint32_t k = 0; k < i; ++k) {
        if (p_.guard[k].to == guard.from) arriving -= w_.guard_flow[k];
      }
      const auto was = w_.guard_active[i] > 0.5;
      const N held_Pa = w_.coefficient[p_.kept_of_guards() + i];
      const N flow = select(was, N{} - arriving, N{});
      const N sign = select(was, flow, held_Pa - w_.pressure[guard.from]);
      const auto wants = (sign > 0.0) & (w_.barrier[0] <= 0.0);
      // One low pressure alone may be an iterate's: the second one in a row takes hold.
      const auto now = wants & (w_.guard_active[i] > 0.0);
      w_.guard_flow[i] = select(in_barrier, w_.guard_flow[i], flow);
      w_.guard_active[i] = select(now, all<N>(1.0), select(wants, all<N>(0.5), N{}));
      w_.pressure[guard.from] = select(now, held_Pa, w_.pressure[guard.from]);
    }
  }

  FW_LANES_INLINE N crack(std::uint32_t valve) const { return w_.coefficient[p_.kept_of_valves() + 4 * valve]; }
  FW_LANES_INLINE auto may_open(std::uint32_t valve) const {
    return w_.coefficient[p_.kept_of_valves() + 4 * valve + 3] <= 0.0;
  }

  FW_LANES_INLINE N full_flow(std::uint32_t e) const {
    const Edge& edge = p_.edges[e];
    return w_.law_flow[e] + w_.conductance[e] * (w_.correction[edge.from] - w_.correction[edge.to]);
  }

  /// Step of the barrier that keeps every flow and slack positive; moves slacks and guards, aims at a smaller product.
  N barrier_step() {
    const auto in_barrier = w_.barrier[0] > 0.0;
    const N aim = w_.barrier[0];
    N nearest = all<N>(barrier_keep);
    for (std::uint32_t i = 0; i < p_.valves; ++i) {
      const std::uint32_t e = p_.chains + i;
      const auto free = in_barrier & may_open(i);
      const Edge& edge = p_.edges[e];
      const N over =
          w_.pressure[edge.from] - w_.pressure[edge.to] + w_.correction[edge.from] - w_.correction[edge.to] - crack(i);
      const N flow = select(free, w_.valve_flow[i], all<N>(1.0));
      const N change = select(free, full_flow(e) - over * closed_g_ - flow, N{});
      const N slack = w_.valve_slack[i];
      const N slack_change = select(free, (aim - slack * change) / flow - slack, N{});
      nearest = larger(nearest, larger(N{} - change / flow, N{} - slack_change / slack));
      w_.slack_change[i] = slack_change;
      w_.valve_change[i] = change;
    }
    for (std::uint32_t i = 0; i < p_.guards; ++i) {
      const Guard& guard = p_.guard[i];
      const N flow = select(in_barrier, w_.guard_flow[i], all<N>(1.0));
      const N slack = w_.guard_slack[i];
      const N gap = w_.pressure[guard.from] - w_.coefficient[p_.kept_of_guards() + i] - slack;
      const N slack_change = select(in_barrier, w_.correction[guard.from] + gap, N{});
      const N change = select(in_barrier, w_.guard_law[i] - w_.guard_g[i] * w_.correction[guard.from] - flow, N{});
      nearest = larger(nearest, larger(N{} - change / flow, N{} - slack_change / slack));
      w_.slack_change[p_.valves + i] = slack_change;
      w_.guard_change[i] = change;
    }
    const N step = barrier_keep / nearest;
    N product = N{};
    for (std::uint32_t i = 0; i < p_.valves; ++i) {
      w_.valve_slack[i] += step * w_.slack_change[i];
      const auto free = in_barrier & may_open(i);
      w_.valve_flow[i] += step * w_.valve_change[i];
      product = larger(product, select(free, w_.valve_flow[i] * w_.valve_slack[i], N{}));
    }
    for (std::uint32_t i = 0; i < p_.guards; ++i) {
      w_.guard_slack[i] += step * w_.slack_change[p_.valves + i];
      w_.guard_flow[i] = select(in_barrier, w_.guard_flow[i] + step * w_.guard_change[i], w_.guard_flow[i]);
      product = larger(product, select(in_barrier, w_.guard_flow[i] * w_.guard_slack[i], N{}));
    }
    const N next = product * (w_.barrier_fall[0] + 0.7 * (1.0 - step));
    w_.barrier[0] = select(in_barrier, larger(next, all<N>(1e-300)), w_.barrier[0]);
    return step;
  }

  /// Drop above the crack pressure; a shut valve has none.
  FW_LANES_INLINE N over_crack(std::uint32_t i) const {
    const Edge& edge = p_.edges[p_.chains + i];
    return w_.pressure[edge.from] - w_.pressure[edge.to] - select(may_open(i), crack(i), N{});
  }

  /// Opens and closes valves. Which ones: the flow that runs backwards through open ones and the pressure on closed
  /// ones, each against the worst of its kind. What is less wrong waits: it may be the worst one's doing.
  void switch_valves() {
    N most_back = N{};
    N most_over_Pa = N{};
    for (std::uint32_t i = 0; i < p_.valves; ++i) {
      const auto open = w_.valve_open[i] > 0.0;
      most_back = larger(most_back, select(open, N{} - w_.flow[p_.chains + i], N{}));
      most_over_Pa = larger(most_over_Pa, select((!open) & may_open(i), over_crack(i), N{}));
    }
    N wrong = most_back;
    const N close_from = switch_share * most_back;
    const N open_from = most_over_Pa - (1.0 - switch_share) * smaller(most_over_Pa, all<N>(switch_span_Pa));
    for (std::uint32_t i = 0; i < p_.valves; ++i) {
      const std::uint32_t e = p_.chains + i;
      const N over = over_crack(i);
      const auto was_open = w_.valve_open[i] > 0.0;
      const N back = N{} - w_.flow[e];
      const auto closes = was_open & (back > 0.0) & (back >= close_from);
      const auto opens = (!was_open) & may_open(i) & (over > 0.0) & (over >= open_from);
      w_.valve_open[i] = select(closes, N{}, select(opens, all<N>(1.0), w_.valve_open[i]));
      // One that waits is not at rest: the point is not solved before it has opened or lost its pressure. Nor is one
      // that closes on a trace of flow backwards, under pressure that a shortened step has left.
      const auto unsettled = ((!was_open) & may_open(i) & (over < open_from)) | closes;
      const auto waits = unsettled & (over > noise_Pa_);
      const N a = w_.coefficient[p_.kept_of_valves() + 4 * i + 1];
      if (any(waits)) wrong = larger(wrong, select(waits, (over - noise_Pa_) / a, N{}));
    }
    wrong_flow_ = wrong;
  }

  /// Linearises every law at the new state; returns the lanes whose laws agree with the network.
  unsigned evaluate() {
    N worst = wrong_flow_;
    const auto judge = [&](std::uint32_t e, N law_flow, N conductance) {
      w_.law_flow[e] = law_flow;
      w_.conductance[e] = conductance;
      worst = larger(worst, magnitude(law_flow - w_.flow[e]) - noise_Pa_ * conductance);
    };
    const N transition = w_.coefficient[p_.kept_transition()];
    for (std::uint32_t i = 0; i < p_.chains; ++i) {
      const Edge& edge = p_.edges[i];
      const N drop = w_.pressure[edge.from] - w_.pressure[edge.to];
      const N flow = w_.flow[i];
      const N size = magnitude(flow);
      N secant = w_.chain_a[i] + w_.chain_b[i] * size;
      N slope = secant + w_.chain_b[i] * size;
      for (std::uint32_t k = p_.chain[i].pipe_begin; k < p_.chain[i].pipe_end; ++k) {
        const N* pipe = w_.coefficient + 4 * k;
        const Friction<N> law = pipe_friction<Form>(pipe[0] * size, pipe[2], pipe[3], transition);
        const N resistance = pipe[1] * law.phi;
        w_.pipe_drop[k] = resistance * flow;
        secant += resistance;
        slope += resistance + pipe[1] * law.slope;
      }
      const N conductance = 1.0 / slope;
      judge(i, flow + (drop - secant * flow) * conductance, conductance);
    }
    const auto in_barrier = w_.barrier[0] > 0.0;
    const bool barrier = any(in_barrier);
    for (std::uint32_t i = 0; i < p_.valves; ++i) {
      const std::uint32_t e = p_.chains + i;
      const N over = over_crack(i);
      const auto open = w_.valve_open[i] > 0.0;
      const N a = w_.coefficient[p_.kept_of_valves() + 4 * i + 1];
      const N b = w_.coefficient[p_.kept_of_valves() + 4 * i + 2];
      // An opening valve may see the pressure of a cut-off island: it opens to no more than the largest flow.
      const N flow = larger(select(open, w_.flow[e], N{}), N{});
      const N g = 1.0 / (a + 2.0 * b * flow);
      N law_flow = select(open, flow + (over - (a + b * flow) * flow) * g, over * closed_g_);
      N conductance = select(open, g, all<N>(closed_g_));
      if (barrier) {
        // over = a Q + b Q^2 - slack, Q slack = aim; the slack is eliminated.
        const auto free = in_barrier & may_open(i);
        const N q = select(free, w_.valve_flow[i], all<N>(1.0));
        const N barrier_g = 1.0 / (a + 2.0 * b * q + w_.valve_slack[i] / q);
        const N barrier_flow = q + (over - (a + b * q) * q + w_.barrier[0] / q) * barrier_g;
        law_flow = select(free, barrier_flow + over * closed_g_, law_flow);
        conductance = select(free, barrier_g + closed_g_, conductance);
      }
      judge(e, law_flow, conductance);
    }
    for (std::uint32_t i = 0; i < p_.sources; ++i) {
      const std::uint32_t e = p_.chains + p_.valves + i;
      const Edge& edge = p_.edges[e];
      const N drop = w_.pressure[edge.from] - w_.pressure[edge.to];
      const N* k = w_.coefficient + p_.kept_of_sources() + 2 * i;
      judge(e, k[0] + k[1] * drop, k[1]);
    }
    for (std::uint32_t i = 0; i < p_.guards; ++i) {
      const auto waits = (w_.guard_active[i] > 0.0) & (w_.guard_active[i] < 1.0);
      worst = larger(worst, select(waits, most_flow_, N{}));
      worst = larger(worst, select(w_.guard_active[i] > 0.5, N{}, magnitude(w_.guard_flow[i])));
      if (!barrier) continue;
      // pressure = guard's + slack, flow slack = aim; the slack is eliminated.
      const N slack = w_.guard_slack[i];
      const N g = w_.guard_flow[i] / slack;
      const N gap = w_.pressure[p_.guard[i].from] - w_.coefficient[p_.kept_of_guards() + i] - slack;
      w_.guard_g[i] = select(in_barrier, g, N{});
      w_.guard_law[i] = select(in_barrier, w_.barrier[0] / slack - g * gap, N{});
    }
    const auto bounded = overrun_ > trusted_Pa;
    const auto damped = w_.damping[0] > 0.0;
    return mask_bits((worst <= batch_.settings.flow_tolerance * most_flow_) & !bounded & !in_barrier & !damped);
  }

  void advance_damping(std::size_t lane) {
    double& damping = at(w_.damping, 0, lane);
    damping = damping > damping_end ? damping * damping_fall_[lane] : 0.0;
    // Every other step is halved late: it breaks cycles of two and leaves the last steps whole.
    const bool halved = stage_[lane] > 1 && (round_ - start_[lane]) % 2 == 1;
    const int attempt = stage_[lane] / 3;
    const double part = attempt < 5 ? short_step : attempt < 7 ? shorter_step : shortest_step;
    at(w_.step, 0, lane) = short_steps_[lane] ? part : halved ? 0.5 : 1.0;
  }

  /// Last resort: with a trace of conductance from every node to the first fixed pressure there is always a solution.
  /// Where it needs absurd pressures, the true network has none; else the trace is taken back in steps.
  void begin_anchor(std::size_t lane) {
    const int start = start_[lane];
    load(lane, point_[lane]);
    start_[lane] = start;
    stage_until_[lane] = round_ + active_set_iterations;
    in_rescue_ |= 1U << lane;
    at(w_.anchor, 0, lane) = anchor_begin_m3_per_s_Pa;
  }

  /// True when the point is finished: it has no solution. Otherwise the trace has become smaller.
  bool settled_anchor(std::size_t lane) {
    double most = 0.0;
    for (std::uint32_t j = 0; j < p_.free_nodes; ++j) {
      const double size = magnitude(at(w_.pressure, j, lane));
      if (size <= most) continue;
      most = size;
      lost_node_[lane] = p_.original_node[j];
    }
    double& anchor = at(w_.anchor, 0, lane);
    if (most > absurd_pressure_Pa) {
      outcome_[lane] = Outcome::no_anchor;
      return true;
    }
    anchor = anchor > anchor_end_m3_per_s_Pa ? 0.1 * anchor : 0.0;
    short_steps_[lane] = false;
    stage_until_[lane] = round_ + active_set_iterations;
    return false;
  }

  bool barrier_ended(std::size_t lane) const {
    const double aim = at(w_.barrier, 0, lane);
    return aim > 0.0 && aim < barrier_end * barrier_pressure_Pa * flow_scale_[lane];
  }

  /// Next stage of the rescue. The barrier starts from the network at rest with all valves and guards half open; the
  /// active set takes over which of flow and slack has won.
  void change_stage(std::size_t lane) {
    const int stage = stage_[lane] + 1;
    const int start = start_[lane];
    const double anchor = at(w_.anchor, 0, lane);
    if (at(w_.barrier, 0, lane) > 0.0) {
      leave_barrier(lane);
      stage_until_[lane] = round_ + polish_iterations;
    } else if (stage % 3 == 1) {
      load(lane, point_[lane]);
      enter_barrier(lane);
      const bool again = stage > 3;
      at(w_.barrier_fall, 0, lane) = again ? 0.3 : 0.1;
      at(w_.damping, 0, lane) = again ? damping_begin : 0.0;
      stage_until_[lane] = round_ + (again ? 2 * barrier_iterations : barrier_iterations);
    } else {
      load(lane, point_[lane]);
      at(w_.damping, 0, lane) = damping_begin;
      const int halvings = stage / 3 < slowest_try ? stage / 3 - 1 : slowest_try - 1;
      short_steps_[lane] = stage / 3 > 1 && stage / 3 % 2 == 1;
      double fall = damping_fall;
      for (int i = 0; i < halvings; ++i) fall = square_root(fall);
      damping_fall_[lane] = fall;
      stage_until_[lane] = round_ + (damped_iterations << halvings);
    }
    stage_[lane] = stage;
    start_[lane] = start;
    in_rescue_ |= 1U << lane;
    at(w_.anchor, 0, lane) = anchor;
  }

  bool shut(std::uint32_t valve, std::size_t lane) const {
    return at(w_.coefficient, p_.kept_of_valves() + 4 * valve + 3, lane) > 0.0;
  }

  void enter_barrier(std::size_t lane) {
    const double flow = flow_scale_[lane];
    at(w_.barrier, 0, lane) = flow * barrier_pressure_Pa;
    for (std::uint32_t i = 0; i < p_.valves; ++i) {
      if (shut(i, lane)) continue;
      at(w_.flow, p_.chains + i, lane) = flow;
      at(w_.valve_flow, i, lane) = flow;
      at(w_.valve_slack, i, lane) = barrier_pressure_Pa;
    }
    for (std::uint32_t i = 0; i < p_.guards; ++i) {
      at(w_.guard_flow, i, lane) = flow;
      at(w_.guard_slack, i, lane) = barrier_pressure_Pa;
    }
  }

  void leave_barrier(std::size_t lane) {
    const double flow_per_Pa = flow_scale_[lane] / barrier_pressure_Pa;
    for (std::uint32_t i = 0; i < p_.valves; ++i) {
      if (shut(i, lane)) continue;
      const double q = at(w_.valve_flow, i, lane);
      const bool open = q > flow_per_Pa * at(w_.valve_slack, i, lane);
      at(w_.valve_open, i, lane) = open ? 1.0 : 0.0;
      at(w_.flow, p_.chains + i, lane) = open ? q : 0.0;
    }
    for (std::uint32_t i = 0; i < p_.guards; ++i) {
      double& q = at(w_.guard_flow, i, lane);
      const bool active = q > flow_per_Pa * at(w_.guard_slack, i, lane);
      at(w_.guard_active, i, lane) = active ? 1.0 : 0.0;
      if (active) {
        at(w_.pressure, p_.guard[i].from, lane) = at(w_.coefficient, p_.kept_of_guards() + i, lane);
      } else {
        q = 0.0;
      }
    }
    clear_barrier(lane);
  }

  void store(std::size_t lane, Outcome outcome) {
    const std::size_t point = point_[lane];
    const double* row = row_of(point);
    double* pressure = batch_.pressure_Pa + point * p_.original_nodes;
    double* flow = batch_.flow_m3_per_s + point * p_.elements;
    for (std::uint32_t j = 0; j < p_.nodes; ++j) pressure[p_.original_node[j]] = at(w_.pressure, j, lane);
    for (std::uint32_t i = 0; i < p_.chains; ++i) {
      const double q = at(w_.flow, i, lane);
      double here = at(w_.pressure, p_.edges[i].from, lane);
      for (std::uint32_t k = p_.chain[i].part_begin; k < p_.chain[i].part_end; ++k) {
        const Part& part = p_.part[k];
        flow[part.element] = part.sign * q;
        if (part.node_after == none) continue;
        const double* c = row + part.loss_slot;
        here -= (c[0] + c[1] * magnitude(q)) * q;
        if (part.pipe != none) here -= at(w_.pipe_drop, part.pipe, lane);
        pressure[part.node_after] = here;
      }
    }
    for (std::uint32_t i = 0; i < p_.valves; ++i) flow[p_.valve[i].element] = at(w_.flow, p_.chains + i, lane);
    for (std::uint32_t i = 0; i < p_.sources; ++i) {
      flow[p_.source[i].element] = at(w_.flow, p_.chains + p_.valves + i, lane);
    }
    for (std::uint32_t i = 0; i < p_.draws; ++i) {
      flow[p_.draw[i].element] = row[p_.draw[i].slot];
    }
    for (std::uint32_t i = 0; i < p_.guards; ++i) flow[p_.guard[i].element] = at(w_.guard_flow, i, lane);
    std::uint64_t states = 0;
    std::uint32_t bit = 0;
    for (std::uint32_t i = 0; i < p_.valves; ++i) {
      const bool open = at(w_.flow, p_.chains + i, lane) > 0.0 && row[p_.valve[i].slot + 3] <= 0.0;
      states |= static_cast<std::uint64_t>(open) << (bit++ & 63U);
    }
    for (std::uint32_t i = 0; i < p_.guards; ++i) {
      states |= static_cast<std::uint64_t>(at(w_.guard_flow, i, lane) > 0.0) << (bit++ & 63U);
    }
    for (std::uint32_t i = 0; i < p_.sources; ++i) {
      states |= static_cast<std::uint64_t>(row[p_.source[i].slot + 1] > 0.0) << (bit++ & 63U);
    }
    batch_.states[point] = states;
    if (outcome != Outcome::converged) residual_ = imbalance_over_flow();
    batch_.residual[point] = lane_of(&residual_, lane)[0];
    batch_.iterations[point] = round_ - start_[lane];
    batch_.outcome[point] = static_cast<std::uint8_t>(outcome);
    batch_.where[point] = outcome == Outcome::converged   ? none
                          : outcome == Outcome::no_anchor ? lost_node_[lane]
                                                          : worst_element(lane);
  }

  /// Largest imbalance of a free node over the largest flow [-].
  N imbalance_over_flow() {
    for (std::uint32_t j = 0; j < p_.nodes; ++j) w_.imbalance[j] = w_.drawn[j];
    const std::uint32_t edges = p_.edge_count();
    for (std::uint32_t e = 0; e < edges; ++e) {
      w_.imbalance[p_.edges[e].from] -= w_.flow[e];
      w_.imbalance[p_.edges[e].to] += w_.flow[e];
    }
    for (std::uint32_t i = 0; i < p_.guards; ++i) {
      w_.imbalance[p_.guard[i].from] += w_.guard_flow[i];
      w_.imbalance[p_.guard[i].to] -= w_.guard_flow[i];
    }
    N worst = N{};
    for (std::uint32_t j = 0; j < p_.free_nodes; ++j) worst = larger(worst, magnitude(w_.imbalance[j]));
    return worst / most_flow_;
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
  double closed_g_;
  Work<N> w_{};
  N most_flow_{};
  N noise_Pa_{};
  N wrong_flow_{};        ///< largest flow backwards through an open valve
  N overrun_{};           ///< largest correction of the last solve
  std::size_t next_ = 0;  ///< place in the batch's order
  std::size_t points_;
  std::size_t fetched_ = 0;        ///< place in the batch's order of the row whose lines are being asked for
  std::size_t fetched_place_ = 0;  ///< first of its doubles not asked for yet
  std::size_t point_[width]{};
  int round_ = 0;  ///< linear solves of this run
  int next_event_ = 0;
  unsigned in_rescue_ = 0;  ///< one bit per lane
  int start_[width]{};
  int stage_[width]{};
  int stage_until_[width]{};
  double flow_scale_[width]{};
  double damping_fall_[width]{};
  bool short_steps_[width]{};
  N residual_{};  ///< of the lanes done in this round
  Outcome outcome_[width]{};
  std::uint32_t lost_node_[width]{};
};

template <class N>
inline void solve(const Program& program, const Batch& batch, void* workspace) {
  if (batch.settings.exact_friction) {
    Solver<N, ExactChurchill>(program, batch, workspace).run();
  } else {
    Solver<N, TableChurchill>(program, batch, workspace).run();
  }
}

}  // namespace
}  // namespace fw::hydraulics::kernel
