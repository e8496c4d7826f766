// SPDX-License-Identifier: Apache-2.0
// Derivatives of a solved point by its coefficients: every law linearised at the solution, one factorisation, one
// substitution for each coefficient. Compiled for every machine; one lane.
#include "hydraulics/kernel_lanes.hpp"

namespace fw::hydraulics::kernel {
namespace {

constexpr double local_step = 1e-5;  ///< of the roughness and curvature of a pipe, whose slopes the law does not give
constexpr double least_step = 1e-8;

class Differentiator : public Solver<double, TableChurchill> {
 public:
  Differentiator(const Program& program, const Batch& batch, void* memory) : Solver(program, batch, memory) {}

  /// Laws at the solution, factorised.
  void prepare(const double* pressure_Pa, const double* flow_m3_per_s) {
    load(0, 0);
    for (std::uint32_t j = 0; j < p_.nodes; ++j) w_.pressure[j] = pressure_Pa[p_.original_node[j]];
    for (std::uint32_t i = 0; i < p_.chains; ++i) {
      const Part& first = p_.part[p_.chain[i].part_begin];
      w_.flow[i] = first.sign * flow_m3_per_s[first.element];
    }
    for (std::uint32_t i = 0; i < p_.valves; ++i) {
      const double q = flow_m3_per_s[p_.valve[i].element];
      w_.flow[p_.chains + i] = q;
      w_.valve_open[i] = q > 0.0 && may_open(i) ? 1.0 : 0.0;
    }
    for (std::uint32_t i = 0; i < p_.sources; ++i) {
      w_.flow[p_.chains + p_.valves + i] = flow_m3_per_s[p_.source[i].element];
    }
    for (std::uint32_t i = 0; i < p_.guards; ++i) {
      w_.guard_flow[i] = flow_m3_per_s[p_.guard[i].element];
      w_.guard_active[i] = w_.guard_flow[i] > 0.0 ? 1.0 : 0.0;
    }
    (void)evaluate();
    solve_linear();
  }

  /// By the coefficient at `slot` of the row.
  void by(std::uint32_t slot, double* pressure_change, double* flow_change) {
    std::uint32_t own_part = none;
    double own_drop = 0.0;  // d(drop of that part)/d(coefficient) at its flow
    std::uint32_t own_node = none;
    const Draw* own_draw = nullptr;
    for (std::uint32_t j = 0; j < p_.nodes; ++j) w_.drawn[j] = 0.0;
    for (std::uint32_t e = 0; e < p_.edge_count(); ++e) w_.law_flow[e] = 0.0;
    for (std::uint32_t i = 0; i < p_.nodes - p_.free_nodes; ++i) {
      if (p_.fixed_slot[i] == slot) own_node = p_.free_nodes + i;
    }
    for (std::uint32_t i = 0; i < p_.guards; ++i) {
      if (p_.guard[i].slot == slot && w_.guard_active[i] > 0.0) own_node = p_.guard[i].from;
    }
    for (std::uint32_t i = 0; i < p_.chains; ++i) {
      for (std::uint32_t k = p_.chain[i].part_begin; k < p_.chain[i].part_end; ++k) {
        const Part& part = p_.part[k];
        if (slot < part.slot || slot >= part.slot + (part.pipe == none ? 2U : 6U)) continue;
        own_part = k;
        own_drop = part_drop_by(part, slot, w_.flow[i]);
        w_.law_flow[i] = -own_drop * w_.conductance[i];
      }
    }
    for (std::uint32_t i = 0; i < p_.valves; ++i) {
      const std::uint32_t e = p_.chains + i;
      if (slot < p_.valve[i].slot || slot >= p_.valve[i].slot + 3 || !may_open(i)) continue;
      const std::uint32_t which = slot - p_.valve[i].slot;
      const double q = w_.valve_open[i] > 0.0 ? w_.flow[e] : 0.0;
      w_.law_flow[e] = -w_.conductance[e] * (which == 0 ? 1.0 : which == 1 ? q : q * q);
    }
    for (std::uint32_t i = 0; i < p_.sources; ++i) {
      const std::uint32_t e = p_.chains + p_.valves + i;
      if (slot == p_.source[i].slot) w_.law_flow[e] = 1.0;
      if (slot == p_.source[i].slot + 1) w_.law_flow[e] = drop_at(0, e);
    }
    for (std::uint32_t i = 0; i < p_.draws; ++i) {
      if (p_.draw[i].slot != slot) continue;
      own_draw = &p_.draw[i];
      w_.drawn[own_draw->from] -= 1.0;
      w_.drawn[own_draw->to] += 1.0;
    }
    if (own_node != none) {
      for (std::uint32_t e = 0; e < p_.edge_count(); ++e) {
        if (p_.edges[e].from == own_node) w_.law_flow[e] += w_.conductance[e];
        if (p_.edges[e].to == own_node) w_.law_flow[e] -= w_.conductance[e];
      }
    }
    substitute();
    for (std::uint32_t e = 0; e < p_.edge_count(); ++e) w_.law_flow[e] = full_flow(e);
    if (own_node != none) w_.correction[own_node] += 1.0;
    write(own_part, own_drop, pressure_change, flow_change);
    for (std::uint32_t i = 0; i < p_.draws; ++i) flow_change[p_.draw[i].element] = own_draw == &p_.draw[i] ? 1.0 : 0.0;
    for (std::uint32_t i = 0; i < p_.guards; ++i) {
      const Guard& guard = p_.guard[i];
      double arriving = w_.drawn[guard.from];
      for (std::uint32_t k = guard.incident_begin; k < guard.incident_end; ++k) {
        arriving += p_.incident[k].sign * w_.law_flow[p_.incident[k].edge];
      }
      for (std::uint32_t k = 0; k < i; ++k) {
        if (p_.guard[k].to == guard.from) arriving -= flow_change[p_.guard[k].element];
      }
      flow_change[guard.element] = w_.guard_active[i] > 0.0 ? -arriving : 0.0;
    }
    // Fixed nodes move only by their own pressure.
    for (std::uint32_t j = p_.free_nodes; j < p_.nodes; ++j) w_.correction[j] = 0.0;
  }

 private:
  [[nodiscard]] Friction<double> friction_of(const double* k, double size, double roughness, double curvature) const {
    return pipe_friction<TableChurchill>(k[0] * size, roughness, curvature, row_of(0)[p_.transition_slot]);
  }

  /// d(drop)/d(coefficient) of a part at the chain's flow.
  [[nodiscard]] double part_drop_by(const Part& part, std::uint32_t slot, double flow) const {
    const double size = magnitude(flow);
    if (slot == part.loss_slot) return flow;
    if (slot == part.loss_slot + 1) return flow * size;
    const double* k = row_of(0) + part.slot;
    switch (slot - part.slot) {
      case 0: return k[1] * flow * friction_of(k, size, k[2], k[3]).slope / k[0];
      case 1: return flow * friction_of(k, size, k[2], k[3]).phi;
      default: break;
    }
    const bool roughness = slot == part.slot + 2;
    const double value = roughness ? k[2] : k[3];
    const double step = larger(local_step * value, least_step);
    const double low = value > step ? value - step : value;  // at 0 from one side
    const double high = value + step;
    const double change = roughness ? friction_of(k, size, high, k[3]).phi - friction_of(k, size, low, k[3]).phi
                                    : friction_of(k, size, k[2], high).phi - friction_of(k, size, k[2], low).phi;
    return k[1] * flow * change / (high - low);
  }

  [[nodiscard]] double part_slope(const Part& part, double flow) const {
    const double size = magnitude(flow);
    const double* loss = row_of(0) + part.loss_slot;
    const double slope = loss[0] + 2.0 * loss[1] * size;
    if (part.pipe == none) return slope;
    const double* k = row_of(0) + part.slot;
    const Friction<double> law = friction_of(k, size, k[2], k[3]);
    return slope + k[1] * (law.phi + law.slope);
  }

  /// Substitution with the factors of the last solve.
  void substitute() {
    for (std::uint32_t j = 0; j < p_.nodes; ++j) w_.imbalance[j] = w_.drawn[j];
    for (std::uint32_t e = 0; e < p_.edge_count(); ++e) {
      w_.imbalance[p_.edges[e].from] -= w_.law_flow[e];
      w_.imbalance[p_.edges[e].to] += w_.law_flow[e];
    }
    for (std::uint32_t j = 0; j < p_.free_nodes; ++j) {
      const Pivot& pivot = p_.pivot[j];
      const bool held = pivot.guard != none && w_.guard_active[pivot.guard] > 0.5;
      for (std::uint32_t k = pivot.neighbour_begin; k < pivot.neighbour_end; ++k) {
        const Neighbour& neighbour = p_.neighbour[k];
        const double handed = k - pivot.neighbour_begin == pivot.guard_to ? 1.0 : 0.0;
        const double multiplier = held ? handed : w_.entry[neighbour.out_slot] * w_.reciprocal[j];
        w_.imbalance[neighbour.node] += multiplier * w_.imbalance[j];
      }
    }
    back_substitute();
  }

  void write(std::uint32_t own_part, double own_drop, double* pressure_change, double* flow_change) const {
    for (std::uint32_t j = 0; j < p_.nodes; ++j) pressure_change[p_.original_node[j]] = w_.correction[j];
    for (std::uint32_t i = 0; i < p_.chains; ++i) {
      double here = w_.correction[p_.edges[i].from];
      for (std::uint32_t k = p_.chain[i].part_begin; k < p_.chain[i].part_end; ++k) {
        const Part& part = p_.part[k];
        flow_change[part.element] = part.sign * w_.law_flow[i];
        if (part.node_after == none) continue;
        here -= part_slope(part, w_.flow[i]) * w_.law_flow[i] + (k == own_part ? own_drop : 0.0);
        pressure_change[part.node_after] = here;
      }
    }
    for (std::uint32_t i = 0; i < p_.valves; ++i) flow_change[p_.valve[i].element] = w_.law_flow[p_.chains + i];
    for (std::uint32_t i = 0; i < p_.sources; ++i) {
      flow_change[p_.source[i].element] = w_.law_flow[p_.chains + p_.valves + i];
    }
  }
};

}  // namespace

void differentiate(const Program& program, const Solved& solved, const std::uint32_t* slots, std::size_t count,
                   double* pressure_change, double* flow_change, void* workspace) {
  std::size_t unsound = 0;
  Batch batch{};
  batch.rows = solved.row;
  batch.end = 1;
  batch.settings = solved.settings;
  batch.unsound = &unsound;
  Differentiator at(program, batch, workspace);
  at.prepare(solved.pressure_Pa, solved.flow_m3_per_s);
  for (std::size_t i = 0; i < count; ++i) {
    at.by(slots[i], pressure_change + i * program.original_nodes, flow_change + i * program.elements);
  }
}

}  // namespace fw::hydraulics::kernel
