// SPDX-License-Identifier: Apache-2.0
#ifdef FW_HAS_KINSOL
#include "kinsol_case.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

#include <kinsol/kinsol.h>
#include <nvector/nvector_serial.h>
#include <sunlinsol/sunlinsol_klu.h>
#include <sunmatrix/sunmatrix_sparse.h>

#include "hydraulics/lanes_friction.hpp"

namespace fw::bench {

using hydraulics::Law;
using hydraulics::NodeKind;

namespace {

constexpr double pressure_unit_Pa = 1e5;
constexpr double flow_unit_m3_per_s = 5e-5;
constexpr double closed_g = 1e-16;
constexpr double rho = 1e10;  // Pa s/m3, of the valve state
constexpr double state_flow = flow_unit_m3_per_s / pressure_unit_Pa;
constexpr int absent = -1;

struct Chain {
  int from;
  int to;
  std::vector<std::uint32_t> parts;
};

struct Device {
  std::uint32_t element;
  int from;
  int to;
};

}  // namespace

struct KinsolNetwork::Data {
  std::vector<int> place;          // unknown of a node, `absent` for fixed and inner ones
  std::vector<std::size_t> fixed;  // by node: which of the fixed ones it is, or comes next
  std::vector<bool> inner;
  std::vector<Law> law;
  std::vector<Chain> chains;  // ends are nodes of the definition
  std::vector<Device> valves, sources, draws, guards;
  int nodes = 0;
  int unknowns = 0;
  const CasePoint* point = nullptr;
  std::vector<std::map<int, std::size_t>> column;  // row -> entry, by column
  std::size_t entries = 0;
  long iterations = 0;
  long cold = 0;
  bool warm = false;
  SUNContext context = nullptr;
  N_Vector u = nullptr, one = nullptr;
  SUNMatrix jacobian = nullptr;
  SUNLinearSolver linear = nullptr;
  void* memory = nullptr;

  [[nodiscard]] int chain_row(std::size_t i) const { return nodes + static_cast<int>(i); }
  [[nodiscard]] int valve_row(std::size_t i) const { return chain_row(chains.size()) + static_cast<int>(i); }
  [[nodiscard]] int guard_row(std::size_t i) const { return valve_row(valves.size()) + static_cast<int>(i); }
  [[nodiscard]] double pressure(const double* x, int node) const {
    const int k = place[static_cast<std::size_t>(node)];
    return k == absent ? point->fixed_Pa[fixed[static_cast<std::size_t>(node)]] : x[k] * pressure_unit_Pa;
  }

  /// Residual into f, derivatives through entry(row, column, value) in scaled units.
  template <class Entry>
  void evaluate(const double* x, double* f, const Entry& entry) const {
    std::fill_n(f, unknowns, 0.0);
    // Adds flow [m3/s] from -> to, with d(flow)/d(unknown column) [scaled].
    const auto balance = [&](int from, int to, double flow) {
      const int a = place[static_cast<std::size_t>(from)];
      const int b = place[static_cast<std::size_t>(to)];
      if (a != absent) f[a] -= flow / flow_unit_m3_per_s;
      if (b != absent) f[b] += flow / flow_unit_m3_per_s;
    };
    const auto slope = [&](int from, int to, int by, double value) {
      const int a = place[static_cast<std::size_t>(from)];
      const int b = place[static_cast<std::size_t>(to)];
      if (by == absent) return;
      if (a != absent) entry(a, by, -value);
      if (b != absent) entry(b, by, value);
    };
    const auto drop_slope = [&](int row, int from, int to) {
      const int a = place[static_cast<std::size_t>(from)];
      const int b = place[static_cast<std::size_t>(to)];
      if (a != absent) entry(row, a, 1.0);
      if (b != absent) entry(row, b, -1.0);
    };
    const auto drop_of = [&](const auto& e) { return pressure(x, e.from) - pressure(x, e.to); };
    for (std::size_t i = 0; i < chains.size(); ++i) {
      const Chain& chain = chains[i];
      const int row = chain_row(i);
      const double q = x[row] * flow_unit_m3_per_s;
      const double size = std::abs(q);
      double secant = 0.0;
      double tangent = 0.0;
      for (const std::uint32_t e : chain.parts) {
        const std::vector<double>& k = point->coefficients[e];
        const bool pipe = law[e] == Law::pipe;
        const double a = pipe ? k[4] : k[0];
        const double b = pipe ? k[5] : k[1];
        secant += a + b * size;
        tangent += a + 2.0 * b * size;
        if (!pipe) continue;
        const auto friction =
            hydraulics::pipe_friction<hydraulics::TableChurchill>(k[0] * size, k[2], k[3], point->transition_reynolds);
        secant += k[1] * friction.phi;
        tangent += k[1] * (friction.phi + friction.slope);
      }
      f[row] = (drop_of(chain) - secant * q) / pressure_unit_Pa;
      drop_slope(row, chain.from, chain.to);
      entry(row, row, -tangent * state_flow);
      balance(chain.from, chain.to, q);
      slope(chain.from, chain.to, row, 1.0);
    }
    for (std::size_t i = 0; i < valves.size(); ++i) {
      const Device& valve = valves[i];
      const std::vector<double>& k = point->coefficients[valve.element];
      const int row = valve_row(i);
      const double s = x[row] * pressure_unit_Pa;
      double q = 0.0;
      double dq = 0.0;
      if (s > 0.0) {
        const double root = std::sqrt((k[1] + rho) * (k[1] + rho) + 4.0 * k[2] * s);
        q = 2.0 * s / (k[1] + rho + root);
        dq = 1.0 / root;
      }
      // Open: drop = crack + s - rho Q. Closed: flow = leak.
      f[row] = (drop_of(valve) - k[0] - s + rho * q) / pressure_unit_Pa;
      drop_slope(row, valve.from, valve.to);
      entry(row, row, -1.0 + rho * dq);
      const double leak = s > 0.0 ? 0.0 : s * closed_g;
      balance(valve.from, valve.to, q + leak);
      slope(valve.from, valve.to, row, (s > 0.0 ? dq : closed_g) / state_flow);
    }
    for (const Device& source : sources) {
      const std::vector<double>& k = point->coefficients[source.element];
      balance(source.from, source.to, k[0] + k[1] * drop_of(source));
      slope(source.from, source.to, place[static_cast<std::size_t>(source.from)], k[1] / state_flow);
      slope(source.from, source.to, place[static_cast<std::size_t>(source.to)], -k[1] / state_flow);
    }
    for (const Device& draw : draws) balance(draw.from, draw.to, point->coefficients[draw.element][0]);
    for (std::size_t i = 0; i < guards.size(); ++i) {
      const Device& guard = guards[i];
      const int row = guard_row(i);
      // State t: t > 0 its flow, t < 0 minus the pressure above the guard's.
      const double t = x[row];
      f[row] = (pressure(x, guard.from) - point->coefficients[guard.element][0]) / pressure_unit_Pa + std::min(t, 0.0);
      entry(row, place[static_cast<std::size_t>(guard.from)], 1.0);
      entry(row, row, t < 0.0 ? 1.0 : 0.0);
      balance(guard.to, guard.from, t > 0.0 ? t * flow_unit_m3_per_s : 0.0);
      slope(guard.to, guard.from, row, t > 0.0 ? 1.0 : 0.0);
    }
  }

  void start(double* x) const {
    for (int i = 0; i < unknowns; ++i) x[i] = i < nodes ? point->fixed_Pa[0] / pressure_unit_Pa : 0.0;
    for (std::size_t i = 0; i < valves.size(); ++i) {
      x[valve_row(i)] = -point->coefficients[valves[i].element][0] / pressure_unit_Pa;
    }
    for (std::size_t i = 0; i < guards.size(); ++i) x[guard_row(i)] = -point->fixed_Pa[0] / pressure_unit_Pa;
  }
};

namespace {

void quiet(int, const char*, const char*, char*, void*) {}

}  // namespace

KinsolNetwork::KinsolNetwork(const hydraulics::NetworkDefinition& definition) : data_(std::make_unique<Data>()) {
  Data& d = *data_;
  const std::size_t count = definition.nodes.size();
  const std::size_t elements = definition.elements.size();
  const auto passive = [&](std::uint32_t e) { return d.law[e] == Law::pipe || d.law[e] == Law::resistor; };
  for (const auto& element : definition.elements) d.law.push_back(element.law);
  std::vector<std::vector<std::uint32_t>> touching(count);
  for (std::uint32_t e = 0; e < elements; ++e) {
    touching[static_cast<std::size_t>(definition.elements[e].from)].push_back(e);
    touching[static_cast<std::size_t>(definition.elements[e].to)].push_back(e);
  }
  std::size_t fixed_count = 0;
  for (std::size_t i = 0; i < count; ++i) {
    d.fixed.push_back(fixed_count);
    if (definition.nodes[i].kind == NodeKind::fixed) ++fixed_count;
    const bool free = definition.nodes[i].kind == NodeKind::free;
    d.inner.push_back(free && touching[i].size() == 2 && passive(touching[i][0]) && passive(touching[i][1]));
    d.place.push_back(free && !d.inner[i] ? d.nodes++ : absent);
  }
  std::vector<bool> used(elements);
  for (std::uint32_t first = 0; first < elements; ++first) {
    const Device device{.element = first,
                        .from = static_cast<int>(definition.elements[first].from),
                        .to = static_cast<int>(definition.elements[first].to)};
    switch (d.law[first]) {
      case Law::valve: d.valves.push_back(device); break;
      case Law::source: d.sources.push_back(device); break;
      case Law::draw: d.draws.push_back(device); break;
      case Law::vapour_guard: d.guards.push_back(device); break;
      case Law::pipe:
      case Law::resistor: {
        if (used[first] || d.inner[static_cast<std::size_t>(device.from)]) break;
        Chain chain{.from = device.from, .to = device.to, .parts = {first}};
        used[first] = true;
        while (d.inner[static_cast<std::size_t>(chain.to)]) {  // all parts of the case point along the flow
          const auto& pair = touching[static_cast<std::size_t>(chain.to)];
          const std::uint32_t next = pair[0] == chain.parts.back() ? pair[1] : pair[0];
          used[next] = true;
          chain.parts.push_back(next);
          chain.to = static_cast<int>(definition.elements[next].to);
        }
        d.chains.push_back(std::move(chain));
      }
    }
  }
  d.unknowns = d.guard_row(d.guards.size());
  d.column.resize(static_cast<std::size_t>(d.unknowns));
  // Pattern: every place that evaluate() may touch.
  CasePoint pattern{.coefficients = std::vector<std::vector<double>>(elements, std::vector<double>(6, 1.0)),
                    .fixed_Pa = std::vector<double>(count, 1e5),
                    .transition_reynolds = 0.0};
  d.point = &pattern;
  std::vector<double> x(static_cast<std::size_t>(d.unknowns), 0.5);
  std::vector<double> f(x.size());
  d.evaluate(x.data(), f.data(), [&](int row, int by, double) { d.column[static_cast<std::size_t>(by)][row] = 0; });
  for (auto& rows : d.column) {
    for (auto& [row, entry] : rows) entry = d.entries++;
  }
  SUNContext_Create(nullptr, &d.context);
  d.u = N_VNew_Serial(d.unknowns, d.context);
  d.one = N_VNew_Serial(d.unknowns, d.context);
  N_VConst(1.0, d.one);
  d.jacobian = SUNSparseMatrix(d.unknowns, d.unknowns, static_cast<sunindextype>(d.entries), CSC_MAT, d.context);
  d.linear = SUNLinSol_KLU(d.u, d.jacobian, d.context);
  d.memory = KINCreate(d.context);
  KINSetErrHandlerFn(d.memory, quiet, nullptr);
  KINInit(
      d.memory,
      [](N_Vector u, N_Vector f_vector, void* data) {
        static_cast<Data*>(data)->evaluate(N_VGetArrayPointer(u), N_VGetArrayPointer(f_vector),
                                           [](int, int, double) {});
        return 0;
      },
      d.u);
  KINSetUserData(d.memory, data_.get());
  KINSetFuncNormTol(d.memory, 1e-10);
  KINSetScaledStepTol(d.memory, 1e-14);
  KINSetMaxSetupCalls(d.memory, 1);
  KINSetNumMaxIters(d.memory, 400);
  KINSetMaxNewtonStep(d.memory, 1e6);
  KINSetLinearSolver(d.memory, d.linear, d.jacobian);
  KINSetJacFn(d.memory, [](N_Vector u, N_Vector, SUNMatrix matrix, void* data, N_Vector scratch, N_Vector) {
    Data& net = *static_cast<Data*>(data);
    double* value = SUNSparseMatrix_Data(matrix);
    sunindextype* row_of = SUNSparseMatrix_IndexValues(matrix);
    sunindextype* begin = SUNSparseMatrix_IndexPointers(matrix);
    std::fill_n(value, net.entries, 0.0);
    std::size_t next = 0;
    for (std::size_t c = 0; c < net.column.size(); ++c) {
      begin[c] = static_cast<sunindextype>(next);
      for (const auto& [row, entry] : net.column[c]) row_of[next++] = row;
    }
    begin[net.column.size()] = static_cast<sunindextype>(next);
    net.evaluate(N_VGetArrayPointer(u), N_VGetArrayPointer(scratch), [&](int row, int by, double slope) {
      value[net.column[static_cast<std::size_t>(by)].find(row)->second] += slope;
    });
    return 0;
  });
}

KinsolNetwork::~KinsolNetwork() {
  KINFree(&data_->memory);
  SUNLinSolFree(data_->linear);
  SUNMatDestroy(data_->jacobian);
  N_VDestroy(data_->u);
  N_VDestroy(data_->one);
  SUNContext_Free(&data_->context);
}

bool KinsolNetwork::solve(const CasePoint& point) {
  Data& d = *data_;
  d.point = &point;
  for (int attempt = d.warm ? 0 : 1; attempt < 2; ++attempt) {
    if (attempt == 1) {
      d.start(N_VGetArrayPointer(d.u));
      ++d.cold;
    }
    const int flag = KINSol(d.memory, d.u, KIN_LINESEARCH, d.one, d.one);
    long steps = 0;
    KINGetNumNonlinSolvIters(d.memory, &steps);
    d.iterations += steps;
    double norm = 1.0;
    KINGetFuncNorm(d.memory, &norm);
    d.warm = flag >= 0 && norm <= 1e-9;
    if (d.warm) return true;
  }
  return false;
}

std::size_t KinsolNetwork::unknowns() const { return static_cast<std::size_t>(data_->unknowns); }
long KinsolNetwork::iterations() const { return data_->iterations; }
long KinsolNetwork::cold_starts() const { return data_->cold; }

std::vector<double> KinsolNetwork::pressures_Pa() const {
  std::vector<double> out;
  const double* x = N_VGetArrayPointer(data_->u);
  for (std::size_t i = 0; i < data_->place.size(); ++i) {
    out.push_back(data_->inner[i] ? std::numeric_limits<double>::quiet_NaN() : data_->pressure(x, static_cast<int>(i)));
  }
  return out;
}

}  // namespace fw::bench
#endif
