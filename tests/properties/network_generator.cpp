// SPDX-License-Identifier: Apache-2.0
#include "network_generator.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

namespace fw::test {

using hydraulics::ElementId;
using hydraulics::Law;
using hydraulics::NodeId;
using hydraulics::NodeKind;

namespace {

Law law_of(PartKind kind) {
  switch (kind) {
    case PartKind::hose: return Law::pipe;
    case PartKind::fitting:
    case PartKind::filter: return Law::resistor;
    case PartKind::check:
    case PartKind::relief:
    case PartKind::curve_pump:
    case PartKind::shut_off: return Law::valve;
    case PartKind::gear_pump: return Law::source;
    case PartKind::engine: return Law::draw;
    case PartKind::guard: return Law::vapour_guard;
  }
  return Law::resistor;
}

class Builder {
 public:
  explicit Builder(std::uint64_t seed) : random_(seed) {}

  RandomNetwork build() {
    net_.careless = random_.chance(0.1);
    const int tanks = random_.chance(0.7) ? 1 : random_.whole(2, 3);
    for (int i = 0; i < tanks; ++i) {
      tanks_.push_back(net_.definition.add_node(fmt::format("tank {}", i), NodeKind::fixed));
    }
    const int trains = random_.chance(0.6) ? 1 : random_.whole(2, 3);
    for (int i = 0; i < trains; ++i) {
      const bool branch = i > 0 && random_.chance(0.5) && !open_.empty();
      train(branch ? pick(open_) : pick(tanks_));
    }
    const int cross = random_.chance(0.6) ? 0 : random_.whole(1, 2);
    for (int i = 0; i < cross && open_.size() >= 2; ++i) {
      const NodeId a = pick(open_);
      const NodeId b = pick(open_);
      if (a == b) continue;
      if (random_.chance(0.7)) {
        passive_run(a, b);
      } else {
        add(random_.chance(0.5) ? PartKind::check : PartKind::relief, a, b);
      }
    }
    for (const NodeId tank : tanks_) {
      const auto touches = [&](const hydraulics::ElementDefinition& e) { return e.from == tank || e.to == tank; };
      if (std::ranges::none_of(net_.definition.elements, touches)) passive_run(tank, pick(open_));
    }
    return std::move(net_);
  }

 private:
  template <class T>
  T pick(const std::vector<T>& from) {
    return from[static_cast<std::size_t>(random_.whole(0, static_cast<int>(from.size()) - 1))];
  }

  NodeId node() {
    const NodeId id = net_.definition.add_node(fmt::format("n{}", net_.definition.nodes.size()));
    open_.push_back(id);
    return id;
  }

  void add(PartKind kind, NodeId from, NodeId to) {
    if (kind == PartKind::guard) {
      if (std::ranges::find(guarded_, from) != guarded_.end()) return;
      guarded_.push_back(from);
    }
    net_.definition.add_element(fmt::format("e{}", net_.kinds.size()), law_of(kind), from, to);
    net_.kinds.push_back(kind);
  }

  /// Hoses, fittings and filters in series, some of them drawn against the flow.
  void passive_run(NodeId from, NodeId to) {
    const int parts = random_.whole(1, 5);
    NodeId here = from;
    for (int i = 0; i < parts; ++i) {
      const NodeId next = i + 1 == parts ? to : net_.definition.add_node(fmt::format("s{}", net_.kinds.size()));
      const double which = random_.uniform(0.0, 1.0);
      const PartKind kind = which < 0.5 ? PartKind::hose : which < 0.85 ? PartKind::fitting : PartKind::filter;
      if (random_.chance(0.2)) {
        add(kind, next, here);
      } else {
        add(kind, here, next);
      }
      here = next;
    }
  }

  NodeId passive(NodeId from) {
    const NodeId to = node();
    passive_run(from, to);
    if (random_.chance(0.15)) passive_run(from, to);
    return to;
  }

  NodeId gear_pump(NodeId from) {
    const NodeId inlet = passive(from);
    const NodeId outlet = node();
    add(PartKind::gear_pump, inlet, outlet);
    if (random_.chance(0.7)) add(PartKind::relief, outlet, random_.chance(0.6) ? inlet : pick(tanks_));
    if (random_.chance(0.5)) add(PartKind::check, inlet, outlet);
    if (!net_.careless || random_.chance(0.6)) add(PartKind::guard, inlet, outlet);
    return outlet;
  }

  NodeId curve_pump(NodeId from) {
    const NodeId inlet = passive(from);
    const NodeId outlet = node();
    add(PartKind::curve_pump, inlet, outlet);
    if (random_.chance(0.5)) add(PartKind::check, inlet, outlet);
    if (random_.chance(0.1)) add(PartKind::relief, outlet, inlet);
    return outlet;
  }

  void train(NodeId start) {
    NodeId here = passive(start);
    const int stages = random_.whole(1, 6);
    for (int i = 0; i < stages; ++i) {
      const double which = random_.uniform(0.0, 1.0);
      if (which < 0.3) {
        here = passive(here);
      } else if (which < 0.4) {
        const NodeId next = node();
        add(PartKind::check, here, next);
        here = next;
      } else if (which < 0.45) {
        const NodeId next = node();
        add(PartKind::shut_off, here, next);
        here = next;
      } else if (which < 0.65) {
        here = gear_pump(here);
      } else if (which < 0.8) {
        here = curve_pump(here);
      } else if (which < 0.95) {
        const NodeId spill = node();
        add(PartKind::relief, here, spill);
        passive_run(spill, pick(tanks_));
      } else {
        (void)passive(here);  // dead leg
      }
    }
    if (!random_.chance(0.9)) {
      passive_run(here, pick(tanks_));
      return;
    }
    NodeId sink = pick(tanks_);
    if (random_.chance(0.4)) {
      const NodeId back = node();
      passive_run(back, sink);
      sink = back;
    }
    if (sink == here) return;
    add(PartKind::engine, here, sink);
    if (!net_.careless || random_.chance(0.6)) add(PartKind::guard, here, sink);
  }

  CaseRandom random_;
  RandomNetwork net_;
  std::vector<NodeId> tanks_;
  std::vector<NodeId> open_;
  std::vector<NodeId> guarded_;
};

constexpr double lph = 1e-3 / 3600.0;

std::uint64_t mixed(std::uint64_t seed, std::uint64_t what) {
  return CaseRandom(seed ^ (what * 0xd1342543de82ef95ULL)).bits();
}

struct Fuel {
  double density_kg_per_m3;
  double kinematic_viscosity_m2_per_s;
};

}  // namespace

RandomNetwork random_network(std::uint64_t seed) { return Builder(seed).build(); }

std::vector<std::vector<double>> point_coefficients(const RandomNetwork& network, std::uint64_t seed,
                                                    std::size_t point) {
  CaseRandom state(mixed(seed, 0x10000 + point));
  const Fuel fuel{.density_kg_per_m3 = state.uniform(780.0, 870.0),
                  .kinematic_viscosity_m2_per_s = state.log_uniform(1.5e-6, 60e-6)};
  const double rho = fuel.density_kg_per_m3;
  const double mu = rho * fuel.kinematic_viscosity_m2_per_s;
  const double transition = state.chance(0.5) ? state.uniform(2000.0, 4000.0) : 0.0;
  const double voltage = state.chance(0.8) ? state.uniform(0.7, 1.1) : 0.0;
  const double demand = state.chance(0.15) ? 0.0 : state.uniform(0.05, 1.0);
  std::vector<std::vector<double>> all;
  for (std::size_t e = 0; e < network.kinds.size(); ++e) {
    CaseRandom size(mixed(seed, e));                // of the part
    const double spread = state.uniform(0.9, 1.1);  // of the point
    std::vector<double> k;
    const double bore = size.log_uniform(4e-3, 25e-3) * spread;
    const double area = std::numbers::pi * bore * bore / 4.0;
    const double head = rho / (2.0 * area * area);
    switch (network.kinds[e]) {
      case PartKind::hose: {
        const double length = size.log_uniform(0.1, 8.0);
        const double roughness = size.chance(0.3) ? 0.0 : size.log_uniform(1.5e-6, 1e-3);
        const double loss = size.chance(0.5) ? 0.0 : size.uniform(0.1, 6.0);
        const double bend = size.chance(0.7) ? 0.0 : std::sqrt(size.log_uniform(0.005, 0.2));
        k = {4.0 / (std::numbers::pi * bore * fuel.kinematic_viscosity_m2_per_s),
             128.0 * mu * length / (std::numbers::pi * std::pow(bore, 4)),
             roughness / bore,
             bend,
             loss * 500.0 * mu / (bore * area) / 2.0,
             loss * head};
        break;
      }
      case PartKind::fitting: {
        const double loss = size.log_uniform(0.1, 20.0) * spread;
        k = {size.log_uniform(100.0, 2000.0) * mu / (bore * area) / 2.0, loss * head};
        break;
      }
      case PartKind::filter:
        k = {size.log_uniform(2e7, 2e9) * (mu / 2.5e-3) * state.log_uniform(1.0, 10.0), size.log_uniform(1e11, 1e13)};
        break;
      case PartKind::check:
        k = {size.chance(0.1) ? 0.0 : size.log_uniform(500.0, 30e3) * spread, size.log_uniform(1e7, 2e9),
             size.chance(0.2) ? 0.0 : size.log_uniform(1e11, 1e13), 0.0};
        break;
      case PartKind::shut_off:
        k = {0.0, size.log_uniform(1e6, 1e8), size.log_uniform(1e10, 1e12), state.chance(0.1) ? 1.0 : 0.0};
        break;
      case PartKind::relief:
        k = {size.log_uniform(30e3, 700e3) * spread, size.log_uniform(1e7, 5e9),
             size.chance(0.5) ? 0.0 : size.log_uniform(1e11, 1e13), state.chance(0.03) ? 1.0 : 0.0};
        break;
      case PartKind::curve_pump: {
        const double rise = size.log_uniform(20e3, 800e3);
        const double most = size.log_uniform(60.0, 800.0) * lph;
        const double linear = size.uniform(0.05, 1.0);
        // Affinity: rise ~ n^2, flow ~ n; a stopped one is shut.
        const double speed = std::max(voltage * spread, 0.05);
        k = {-rise * speed * speed, linear * rise / most * speed, (1.0 - linear) * rise / (most * most),
             voltage > 0.0 && !state.chance(0.05) ? 0.0 : 1.0};
        break;
      }
      case PartKind::gear_pump: {
        const double flow = size.log_uniform(20.0, 500.0) * lph;
        const double slip = network.careless && size.chance(0.2) ? 0.0 : size.log_uniform(1e-13, 5e-11);
        k = {flow * voltage * spread, slip};
        break;
      }
      case PartKind::engine: k = {size.log_uniform(5.0, 400.0) * lph * demand}; break;
      case PartKind::guard: k = {size.log_uniform(100.0, 5e3)}; break;
    }
    all.push_back(std::move(k));
  }
  all.push_back({transition});
  std::vector<double> pressures;
  CaseRandom tank(mixed(seed, 0xffff));
  const double ambient = state.uniform(61e3, 102e3);
  for (const auto& node : network.definition.nodes) {
    if (node.kind == NodeKind::fixed) pressures.push_back(ambient + tank.uniform(-5e3, 10e3));
  }
  all.push_back(std::move(pressures));
  return all;
}

void draw_point(const RandomNetwork& network, std::uint64_t seed, hydraulics::PointTable& table, std::size_t point) {
  set_point(network, point_coefficients(network, seed, point), table, point);
}

void draw_point_as(const RandomNetwork& network, std::uint64_t seed, std::size_t drawn_point,
                   hydraulics::PointTable& table, std::size_t point) {
  set_point(network, point_coefficients(network, seed, drawn_point), table, point);
}

void set_point(const RandomNetwork& network, const std::vector<std::vector<double>>& all, hydraulics::PointTable& table,
               std::size_t point) {
  const std::size_t elements = network.kinds.size();
  table.set_transition(point, all[elements][0]);
  set_listed(table, point, network.definition, all, all[elements + 1]);
}

namespace {

double churchill_phi(double re, double e) {
  if (re < 1.0) return 1.0;
  const double a = std::pow(2.457 * std::log(1.0 / (std::pow(7.0 / re, 0.9) + 0.27 * e)), 16);
  const double b = std::pow(37530.0 / re, 16);
  return 8.0 * std::pow(std::pow(8.0 / re, 12) + std::pow(a + b, -1.5), 1.0 / 12.0) * re / 64.0;
}

double colebrook_factor(double re, double e) {
  double x = -1.8 * std::log10(std::pow(e / 3.7, 1.11) + 6.9 / re);
  for (int i = 0; i < 40; ++i) {
    const double u = e / 3.7 + 2.51 * x / re;
    x -= (x + 2.0 * std::log10(u)) / (1.0 + 2.0 * 2.51 / (re * u * std::log(10.0)));
  }
  return 1.0 / (x * x);
}

double drawn_phi(double re, double e, double transition) {
  const double low = 0.9 * transition;
  const double high = 1.1 * transition;
  if (re <= low) return 1.0;
  if (re >= high) return colebrook_factor(re, e) * re / 64.0;
  const double width = std::log(high / low);
  const double t = std::log(re / low) / width;
  const double end = std::log(colebrook_factor(high, e));
  const double h = 1e-5;
  const double slope = (std::log(colebrook_factor(high * (1 + h), e)) - std::log(colebrook_factor(high * (1 - h), e))) /
                       (std::log1p(h) - std::log1p(-h));
  const double begin = std::log(64.0 / low);
  const double ln_f = begin * (2 * t * t * t - 3 * t * t + 1) - width * (t * t * t - 2 * t * t + t) +
                      end * (3 * t * t - 2 * t * t * t) + width * slope * (t * t * t - t * t);
  return std::exp(ln_f) * re / 64.0;
}

double pipe_phi(double re, double e, double k, double transition) {
  const double straight = transition > 0.0 ? drawn_phi(re, e, transition) : churchill_phi(re, e);
  if (k <= 0.0) return straight;
  const double dean = k * re;
  const double laminar = dean > 1.0 ? 1.0 + 0.033 * std::pow(std::log10(dean), 4) : 1.0;
  const double turbulent =
      std::max(0.0, std::pow(straight, 12) - 1.0) * std::pow(1.0 + 0.03 * k * re / (64.0 * straight), 12);
  return std::pow(std::pow(laminar, 12) + turbulent, 1.0 / 12.0);
}

}  // namespace

std::string broken_law(const RandomNetwork& network, const hydraulics::PointResults& results,
                       const std::vector<std::vector<double>>& coefficients, std::size_t point, double flow_tolerance) {
  const std::size_t elements = network.kinds.size();
  const double transition = coefficients[elements][0];
  std::vector<double> balance(network.definition.nodes.size());
  double most_flow = 1e-9;
  double most_Pa = 1.0;
  for (std::uint32_t e = 0; e < elements; ++e) {
    most_flow = std::max(most_flow, std::abs(results.flow(point, static_cast<ElementId>(e))));
  }
  for (std::uint32_t i = 0; i < balance.size(); ++i) {
    most_Pa = std::max(most_Pa, std::abs(results.pressure(point, static_cast<NodeId>(i))));
  }
  const double flow_error = flow_tolerance * most_flow;
  // Passive elements in series are judged together: the last one carries what the whole chain leaves over.
  std::vector<std::uint32_t> first_at(balance.size(), 0xffffffffU);
  std::vector<int> touches(balance.size());
  std::vector<std::uint32_t> chain(elements);
  const auto is_passive = [&](std::uint32_t e) {
    const Law law = network.definition.elements[e].law;
    return law == Law::pipe || law == Law::resistor;
  };
  for (const auto& element : network.definition.elements) {
    const bool passive = element.law == Law::pipe || element.law == Law::resistor;
    for (const NodeId id : {element.from, element.to}) touches[static_cast<std::size_t>(id)] += passive ? 1 : 100;
  }
  for (std::uint32_t e = 0; e < elements; ++e) chain[e] = e;
  for (std::uint32_t e = 0; e < elements; ++e) {
    if (!is_passive(e)) continue;
    for (const NodeId id : {network.definition.elements[e].from, network.definition.elements[e].to}) {
      const auto node = static_cast<std::size_t>(id);
      if (touches[node] != 2 || network.definition.nodes[node].kind == NodeKind::fixed) continue;
      if (first_at[node] == 0xffffffffU) {
        first_at[node] = e;
      } else {
        const std::uint32_t old = chain[first_at[node]];
        for (std::uint32_t& c : chain) {
          if (c == old) c = chain[e];
        }
      }
    }
  }
  std::vector<double> error(elements);
  std::vector<double> allowed(elements);
  for (std::uint32_t e = 0; e < elements; ++e) {
    const auto& element = network.definition.elements[e];
    const std::vector<double>& k = coefficients[e];
    const double q = results.flow(point, static_cast<ElementId>(e));
    const double drop = results.pressure(point, element.from) - results.pressure(point, element.to);
    const double sign = element.law == Law::vapour_guard ? -1.0 : 1.0;
    balance[static_cast<std::size_t>(element.from)] -= sign * q;
    balance[static_cast<std::size_t>(element.to)] += sign * q;
    double law_drop = 0.0;
    double slope = 0.0;
    switch (element.law) {
      case Law::pipe: {
        const double re = k[0] * std::abs(q);
        const double phi = pipe_phi(re, k[2], k[3], transition);
        law_drop = phi * k[1] * q + k[4] * q + k[5] * q * std::abs(q);
        slope = 4.0 * phi * k[1] + k[4] + 2.0 * k[5] * std::abs(q);
        break;
      }
      case Law::resistor:
        law_drop = k[0] * q + k[1] * q * std::abs(q);
        slope = k[0] + 2.0 * k[1] * std::abs(q);
        break;
      case Law::valve:
        if (k[3] > 0.0) {
          law_drop = 1e16 * q;
          slope = 1e16;
        } else if (q > flow_error) {
          law_drop = k[0] + k[1] * q + k[2] * q * q;
          slope = k[1] + 2.0 * k[2] * q;
        } else if (drop > k[0]) {
          law_drop = k[0] + k[1] * q;
          slope = k[1];
        } else {
          law_drop = k[0] + 1e16 * q;
          slope = 1e16;
        }
        break;
      case Law::source:
        if (std::abs(q - (k[0] + k[1] * drop)) > flow_error) return fmt::format("element {}: source", e);
        continue;
      case Law::draw:
        if (q != k[0]) return fmt::format("element {}: draw", e);
        continue;
      case Law::vapour_guard: {
        const double above = results.pressure(point, element.from) - k[0];
        if (q < -flow_error || above < -1e-9 * most_Pa) return fmt::format("element {}: guard", e);
        if (q > flow_error && above > 1e-9 * most_Pa) return fmt::format("element {}: guard open but flooded", e);
        continue;
      }
    }
    // 1e-9 of the law's own drop: the friction law here and there are two programs.
    error[chain[e]] += std::abs(law_drop - drop);
    allowed[chain[e]] += slope * flow_error + 1e-9 * std::abs(law_drop) + 1e-12 * most_Pa;
  }
  for (std::uint32_t e = 0; e < elements; ++e) {
    if (error[e] > allowed[e]) {
      return fmt::format("elements in series with {}: laws and drops differ by {} Pa, allowed {}", e, error[e],
                         allowed[e]);
    }
  }
  for (std::size_t i = 0; i < balance.size(); ++i) {
    if (network.definition.nodes[i].kind == NodeKind::free && std::abs(balance[i]) > 1e-9 * most_flow + 1e-16) {
      return fmt::format("node {}: imbalance {} of {}", i, balance[i], most_flow);
    }
  }
  return {};
}

}  // namespace fw::test
