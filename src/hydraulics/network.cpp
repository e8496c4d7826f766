// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/network.hpp"

#include <algorithm>
#include <atomic>
#include <bit>
#include <cmath>
#include <cstdlib>
#include <limits>
#include <mutex>
#include <optional>
#include <set>
#include <utility>

#include <fmt/format.h>

#include "base/contract.hpp"
#include "hydraulics/kernel.hpp"

namespace fw::hydraulics {
namespace {

using kernel::none;

constexpr std::size_t chunk_points = kernel::most_points;
constexpr double cut_off_tolerance = 1e-9;  // drawn from a cut-off part over the largest flow [-]
constexpr std::size_t line_doubles = 8;     // one 64-byte line

std::uint32_t index(NodeId id) { return static_cast<std::uint32_t>(id); }
std::uint32_t index(ElementId id) { return static_cast<std::uint32_t>(id); }

struct LawLayout {
  std::uint32_t coefficients;
  const char* names[6];
  enum Bound : std::uint8_t { any, at_least_zero, above_zero, zero_or_one, below_one } bounds[6];
};

const LawLayout& layout(Law law) {
  using B = LawLayout::Bound;
  static constexpr LawLayout pipe{
      6,
      {"reynolds_per_flow_s_per_m3", "laminar_resistance_Pa_s_per_m3", "relative_roughness", "curvature",
       "linear_Pa_s_per_m3", "quadratic_Pa_s2_per_m6"},
      {B::above_zero, B::above_zero, B::below_one, B::below_one, B::at_least_zero, B::at_least_zero}};
  static constexpr LawLayout resistor{
      2, {"linear_Pa_s_per_m3", "quadratic_Pa_s2_per_m6"}, {B::above_zero, B::at_least_zero}};
  static constexpr LawLayout valve{4,
                                   {"crack_Pa", "linear_Pa_s_per_m3", "quadratic_Pa_s2_per_m6", "shut"},
                                   {B::any, B::above_zero, B::at_least_zero, B::zero_or_one}};
  static constexpr LawLayout source{2, {"free_flow_m3_per_s", "conductance_m3_per_s_Pa"}, {B::any, B::at_least_zero}};
  static constexpr LawLayout draw{1, {"flow_m3_per_s"}, {B::any}};
  static constexpr LawLayout guard{1, {"pressure_Pa"}, {B::any}};
  switch (law) {
    case Law::pipe: return pipe;
    case Law::resistor: return resistor;
    case Law::valve: return valve;
    case Law::source: return source;
    case Law::draw: return draw;
    case Law::vapour_guard: return guard;
  }
  return resistor;
}

const char* expected(LawLayout::Bound bound) {
  switch (bound) {
    case LawLayout::any: return "a finite number";
    case LawLayout::at_least_zero: return "a finite number, at least 0";
    case LawLayout::above_zero: return "a finite number above 0";
    case LawLayout::zero_or_one: return "0 or 1";
    case LawLayout::below_one: return "a number from 0 to below 1";
  }
  return "";
}

bool keeps(LawLayout::Bound bound, double value) {
  if (!std::isfinite(value)) return false;
  switch (bound) {
    case LawLayout::any: return true;
    case LawLayout::at_least_zero: return value >= 0.0;
    case LawLayout::above_zero: return value >= std::numeric_limits<double>::min();
    case LawLayout::zero_or_one: return value == 0.0 || value == 1.0;
    case LawLayout::below_one: return value >= 0.0 && value < 1.0;
  }
  return false;
}

/// Sets of nodes joined so far.
class Islands {
 public:
  explicit Islands(std::size_t count) : parent_(count) {
    for (std::size_t i = 0; i < count; ++i) parent_[i] = static_cast<std::uint32_t>(i);
  }
  std::uint32_t find(std::uint32_t node) {
    while (parent_[node] != node) node = parent_[node] = parent_[parent_[node]];
    return node;
  }
  void join(std::uint32_t a, std::uint32_t b) {
    a = find(a);
    b = find(b);
    if (a != b) parent_[std::max(a, b)] = std::min(a, b);
  }

 private:
  std::vector<std::uint32_t> parent_;
};

/// Memory on 64-byte lines.
class AlignedDoubles {
 public:
  explicit AlignedDoubles(std::size_t count)
      : data_(static_cast<double*>(::operator new(std::max<std::size_t>(count, 1) * sizeof(double), alignment))) {
    std::fill_n(data_, count, required);
  }
  AlignedDoubles(const AlignedDoubles&) = delete;
  AlignedDoubles& operator=(const AlignedDoubles&) = delete;
  ~AlignedDoubles() { ::operator delete(data_, alignment); }
  [[nodiscard]] double* data() { return data_; }
  [[nodiscard]] const double* data() const { return data_; }

 private:
  static constexpr std::align_val_t alignment{line_doubles * sizeof(double)};
  double* data_;
};

}  // namespace

NodeId NetworkDefinition::add_node(std::string node_name, NodeKind kind) {
  nodes.push_back({.name = std::move(node_name), .kind = kind});
  return static_cast<NodeId>(nodes.size() - 1);
}

ElementId NetworkDefinition::add_element(std::string element_name, Law law, NodeId from, NodeId to) {
  elements.push_back({.name = std::move(element_name), .law = law, .from = from, .to = to});
  return static_cast<ElementId>(elements.size() - 1);
}

struct Network::Compiled {
  NetworkDefinition definition;
  std::vector<std::uint32_t> node_slot;     // row place of a fixed node's pressure, `none` for free ones
  std::vector<std::uint32_t> element_slot;  // row place of an element's first coefficient
  std::uint32_t transition_slot = 0;
  std::vector<std::uint32_t>
      key_element;                    // engines, then the first pipe: their numbers tell points of like Reynolds number
  std::vector<std::uint32_t> key_of;  // by element, `none` for others
  std::size_t used_doubles = 0;
  std::size_t row_doubles = 0;          // padded to whole lines
  std::optional<AlignedDoubles> lower;  // bounds of a sound row, by place
  std::optional<AlignedDoubles> upper;

  std::vector<kernel::Edge> edges;
  std::vector<kernel::Chain> chains;
  std::vector<kernel::Part> parts;
  std::vector<kernel::Device> valves;
  std::vector<kernel::Device> sources;
  std::vector<kernel::Draw> draws;
  std::vector<kernel::Guard> guards;
  std::vector<kernel::Incident> incidents;
  std::vector<kernel::Pivot> pivots;
  std::vector<kernel::Neighbour> neighbours;
  std::vector<kernel::Pair> pairs;
  std::vector<std::uint32_t> kept_slot;
  std::vector<std::uint32_t> fixed_slot;
  std::vector<std::uint32_t> original_node;
  kernel::Program program{};

  std::uint32_t lost_node = none;  // joined to no fixed pressure by any element that conducts
  bool sources_anchor = false;     // some node hangs on a fixed pressure through sources only
  bool may_be_cut_off = false;     // closed valves can cut off a node that something draws from

  void place_coefficients();
  void collapse();
  void order_elimination(const std::vector<std::uint32_t>& kept_free);
  void find_anchors();
  void find_links();
  void finish();

  /// Nodes that pipes and resistors join are one part, except at guards; between the parts lie links.
  struct Link {
    std::uint32_t from;
    std::uint32_t to;
    std::uint32_t element;
    Law law;
  };
  std::vector<Link> links;
  std::vector<Link> guard_links;
  std::vector<std::uint8_t> fixed_part;

  /// True where every node has an open way; `parts` is scratch of the caller.
  bool all_have_a_way(const double* row, const double* flow, std::vector<std::uint8_t>& parts_known) const;
  /// Node that no open way joins to a fixed pressure although flow is drawn from it, or `none`.
  std::uint32_t cut_off(const double* row, const double* flow, double tolerance) const;
  std::uint32_t unanchored(const double* row) const;
};

void Network::Compiled::place_coefficients() {
  std::uint32_t next = 0;
  node_slot.assign(definition.nodes.size(), none);
  for (std::size_t i = 0; i < definition.nodes.size(); ++i) {
    if (definition.nodes[i].kind == NodeKind::fixed) node_slot[i] = next++;
  }
  transition_slot = next++;
  for (const ElementDefinition& element : definition.elements) {
    element_slot.push_back(next);
    next += layout(element.law).coefficients;
  }
  used_doubles = next;
  key_of.assign(definition.elements.size(), none);
  const auto add_key = [&](std::size_t e) {
    key_of[e] = static_cast<std::uint32_t>(key_element.size());
    key_element.push_back(static_cast<std::uint32_t>(e));
  };
  for (std::size_t e = 0; e < definition.elements.size(); ++e) {
    if (definition.elements[e].law == Law::draw) add_key(e);
  }
  for (std::size_t e = 0; e < definition.elements.size(); ++e) {
    if (definition.elements[e].law != Law::pipe) continue;
    add_key(e);
    break;
  }
  row_doubles = (next + line_doubles - 1) / line_doubles * line_doubles;
  constexpr double most = std::numeric_limits<double>::max();
  lower.emplace(row_doubles);
  upper.emplace(row_doubles);
  std::fill_n(lower->data(), row_doubles, -most);
  std::fill_n(upper->data(), row_doubles, most);
  lower->data()[transition_slot] = 0.0;
  upper->data()[transition_slot] = 10000.0;
  for (std::size_t e = 0; e < definition.elements.size(); ++e) {
    const LawLayout& law = layout(definition.elements[e].law);
    for (std::uint32_t k = 0; k < law.coefficients; ++k) {
      double& low = lower->data()[element_slot[e] + k];
      double& high = upper->data()[element_slot[e] + k];
      switch (law.bounds[k]) {
        case LawLayout::any: break;
        case LawLayout::at_least_zero: low = 0.0; break;
        case LawLayout::above_zero: low = std::numeric_limits<double>::min(); break;
        case LawLayout::zero_or_one: low = 0.0, high = 1.0; break;
        case LawLayout::below_one: low = 0.0, high = std::nextafter(1.0, 0.0); break;
      }
    }
  }
}

/// Series pipes and resistors become chains: a free node with exactly two of them and nothing else disappears.
void Network::Compiled::collapse() {
  const std::size_t node_count = definition.nodes.size();
  std::vector<std::vector<std::uint32_t>> passive(node_count);
  std::vector<bool> inner(node_count);
  for (std::size_t i = 0; i < node_count; ++i) inner[i] = definition.nodes[i].kind == NodeKind::free;
  for (std::uint32_t e = 0; e < definition.elements.size(); ++e) {
    const ElementDefinition& element = definition.elements[e];
    const bool collapses = element.law == Law::pipe || element.law == Law::resistor;
    for (const NodeId id : {element.from, element.to}) {
      if (collapses) {
        passive[index(id)].push_back(e);
      } else {
        inner[index(id)] = false;
      }
    }
  }
  for (std::size_t i = 0; i < node_count; ++i) inner[i] = inner[i] && passive[i].size() == 2;

  std::vector<bool> used(definition.elements.size());
  std::uint32_t pipe_count = 0;
  const auto other_end = [&](std::uint32_t e, std::uint32_t node) {
    const ElementDefinition& element = definition.elements[e];
    return index(element.from) == node ? index(element.to) : index(element.from);
  };
  const auto walk = [&](std::uint32_t start, std::uint32_t first) {
    kernel::Chain chain{
        .part_begin = static_cast<std::uint32_t>(parts.size()), .part_end = 0, .pipe_begin = pipe_count, .pipe_end = 0};
    std::uint32_t here = start;
    std::uint32_t e = first;
    for (;;) {
      used[e] = true;
      const bool along = index(definition.elements[e].from) == here;
      here = other_end(e, here);
      const bool pipe = definition.elements[e].law == Law::pipe;
      for (std::uint32_t k = 0; pipe && k < 4; ++k) kept_slot.push_back(element_slot[e] + k);
      parts.push_back({.slot = element_slot[e],
                       .loss_slot = element_slot[e] + (pipe ? 4U : 0U),
                       .element = e,
                       .pipe = pipe ? pipe_count++ : none,
                       .node_after = here,
                       .sign = along ? 1.0 : -1.0});
      if (!inner[here]) break;
      const std::uint32_t next = passive[here][0] == e ? passive[here][1] : passive[here][0];
      // A loop that would return to its start keeps its last inner node: an edge needs two ends.
      if (other_end(next, here) == start) {
        inner[here] = false;
        break;
      }
      e = next;
    }
    parts.back().node_after = none;
    chain.part_end = static_cast<std::uint32_t>(parts.size());
    chain.pipe_end = pipe_count;
    chains.push_back(chain);
    edges.push_back({.from = start, .to = here, .out_slot = none, .in_slot = none});
  };
  const auto walk_from_ends = [&] {
    for (std::uint32_t node = 0; node < node_count; ++node) {
      if (inner[node]) continue;
      for (const std::uint32_t e : passive[node]) {
        if (!used[e]) walk(node, e);
      }
    }
  };
  // Walking may turn an inner node into an end; a ring of inner nodes alone needs one end made.
  for (;;) {
    const std::size_t before = edges.size();
    walk_from_ends();
    if (edges.size() != before) continue;
    std::uint32_t ring = none;
    for (std::uint32_t node = 0; node < node_count && ring == none; ++node) {
      if (inner[node] && !used[passive[node][0]]) ring = node;
    }
    if (ring == none) break;
    inner[ring] = false;
  }

  for (std::uint32_t e = 0; e < definition.elements.size(); ++e) {
    const ElementDefinition& element = definition.elements[e];
    if (element.law != Law::valve) continue;
    edges.push_back({.from = index(element.from), .to = index(element.to), .out_slot = none, .in_slot = none});
    valves.push_back({.slot = element_slot[e], .element = e, .bypass = false});
  }
  for (std::uint32_t e = 0; e < definition.elements.size(); ++e) {
    const ElementDefinition& element = definition.elements[e];
    if (element.law != Law::source) continue;
    edges.push_back({.from = index(element.from), .to = index(element.to), .out_slot = none, .in_slot = none});
    sources.push_back({.slot = element_slot[e], .element = e, .bypass = false});
  }
  for (std::uint32_t e = 0; e < definition.elements.size(); ++e) {
    const ElementDefinition& element = definition.elements[e];
    if (element.law == Law::draw) {
      draws.push_back({.slot = element_slot[e], .element = e, .from = index(element.from), .to = index(element.to)});
    } else if (element.law == Law::vapour_guard) {
      guards.push_back({.slot = element_slot[e],
                        .element = e,
                        .from = index(element.from),
                        .to = index(element.to),
                        .out_slot = none,
                        .incident_begin = 0,
                        .incident_end = 0});
    }
  }
  program.pipes = pipe_count;

  std::vector<std::uint32_t> kept_free;
  for (std::uint32_t node = 0; node < node_count; ++node) {
    if (definition.nodes[node].kind == NodeKind::free && !inner[node]) kept_free.push_back(node);
  }
  order_elimination(kept_free);
}

/// Minimum degree, ties by the node's number; then the places of all entries and the list of products.
void Network::Compiled::order_elimination(const std::vector<std::uint32_t>& kept_free) {
  const std::size_t node_count = definition.nodes.size();
  std::vector<std::set<std::uint32_t>> adjacent(node_count);
  const auto is_free = [&](std::uint32_t node) { return definition.nodes[node].kind == NodeKind::free; };
  const auto link = [&](std::uint32_t a, std::uint32_t b) {
    if (a == b || !is_free(a) || !is_free(b)) return;
    adjacent[a].insert(b);
    adjacent[b].insert(a);
  };
  for (const kernel::Edge& edge : edges) link(edge.from, edge.to);
  for (const kernel::Guard& guard : guards) link(guard.from, guard.to);

  std::vector<std::uint32_t> local(node_count, none);
  std::vector<std::uint32_t> guard_at(node_count, none);
  for (std::uint32_t i = 0; i < guards.size(); ++i) guard_at[guards[i].from] = i;

  std::vector<std::vector<std::uint32_t>> later;  // by position: original numbers of later neighbours
  std::vector<std::uint32_t> left = kept_free;
  while (!left.empty()) {
    // A held node hands its flow to the guard's `to`, which therefore comes later.
    const auto waits = [&](std::uint32_t node) {
      return std::ranges::any_of(
          guards, [&](const kernel::Guard& guard) { return guard.to == node && local[guard.from] == none; });
    };
    const auto best = std::ranges::min_element(
        left, {}, [&](std::uint32_t node) { return std::pair(waits(node), adjacent[node].size()); });
    const std::uint32_t node = *best;
    FW_EXPECTS(!waits(node));  // guards in a ring are refused before
    left.erase(best);
    local[node] = static_cast<std::uint32_t>(later.size());
    original_node.push_back(node);
    std::vector<std::uint32_t> neighbours_left(adjacent[node].begin(), adjacent[node].end());
    for (const std::uint32_t a : neighbours_left) {
      adjacent[a].erase(node);
      for (const std::uint32_t b : neighbours_left) link(a, b);
    }
    later.push_back(std::move(neighbours_left));
  }
  program.free_nodes = static_cast<std::uint32_t>(later.size());
  for (std::uint32_t node = 0; node < node_count; ++node) {
    if (is_free(node)) continue;
    local[node] = static_cast<std::uint32_t>(original_node.size());
    original_node.push_back(node);
    fixed_slot.push_back(node_slot[node]);
  }

  // Pair (earlier, later) -> places; asymmetric where a held node sends its flow one way.
  std::vector<std::vector<std::uint32_t>> neighbour_at(later.size());
  std::uint32_t next_slot = 0;
  struct Place {
    std::uint32_t out = none;
    std::uint32_t in = none;
    bool asymmetric = false;
  };
  std::vector<std::vector<Place>> places(later.size());
  for (std::uint32_t j = 0; j < later.size(); ++j) {
    for (const std::uint32_t node : later[j]) neighbour_at[j].push_back(local[node]);
    std::ranges::sort(neighbour_at[j]);
    places[j].resize(neighbour_at[j].size());
  }
  const auto place = [&](std::uint32_t a, std::uint32_t b) -> Place& {
    const std::uint32_t early = std::min(a, b);
    const auto found = std::ranges::lower_bound(neighbour_at[early], std::max(a, b));
    return places[early][static_cast<std::size_t>(found - neighbour_at[early].begin())];
  };
  for (const kernel::Guard& guard : guards) {
    if (is_free(guard.to)) place(local[guard.from], local[guard.to]).asymmetric = true;
  }
  for (std::uint32_t j = 0; j < later.size(); ++j) {
    for (std::size_t k = 0; k < neighbour_at[j].size(); ++k) {
      for (std::size_t m = k + 1; m < neighbour_at[j].size(); ++m) {
        if (!places[j][k].asymmetric && !places[j][m].asymmetric) continue;
        place(neighbour_at[j][k], neighbour_at[j][m]).asymmetric = true;
      }
    }
  }
  for (std::uint32_t j = 0; j < later.size(); ++j) {
    for (Place& entry : places[j]) {
      entry.out = next_slot++;
      entry.in = entry.asymmetric ? next_slot++ : entry.out;
    }
  }
  program.slots = next_slot;
  for (std::uint32_t j = 0; j < later.size(); ++j) {
    const std::uint32_t held = guard_at[original_node[j]];
    kernel::Pivot pivot{.neighbour_begin = static_cast<std::uint32_t>(neighbours.size()),
                        .neighbour_end = 0,
                        .pair_begin = static_cast<std::uint32_t>(pairs.size()),
                        .pair_end = 0,
                        .guard = held,
                        .guard_to = none};
    const std::vector<std::uint32_t>& at = neighbour_at[j];
    for (std::uint32_t k = 0; k < at.size(); ++k) {
      neighbours.push_back({.node = at[k], .out_slot = places[j][k].out, .in_slot = places[j][k].in});
      if (held != none && at[k] == local[guards[held].to]) pivot.guard_to = k;
    }
    for (std::uint32_t row = 0; row < at.size(); ++row) {
      for (std::uint32_t column = 0; column < at.size(); ++column) {
        if (row == column) continue;
        const Place& target = place(at[row], at[column]);
        const bool out = at[row] > at[column];  // later row: the "out" entry of the earlier node
        if (!target.asymmetric && !out) continue;
        pairs.push_back({.target = out ? target.out : target.in, .row = row, .column = column});
      }
    }
    pivot.neighbour_end = static_cast<std::uint32_t>(neighbours.size());
    pivot.pair_end = static_cast<std::uint32_t>(pairs.size());
    program.most_neighbours = std::max(program.most_neighbours, static_cast<std::uint32_t>(at.size()));
    pivots.push_back(pivot);
  }

  for (kernel::Edge& edge : edges) {
    edge.from = local[edge.from];
    edge.to = local[edge.to];
    if (edge.from < program.free_nodes && edge.to < program.free_nodes) {
      const Place& entry = place(edge.from, edge.to);
      edge.out_slot = entry.out;
      edge.in_slot = entry.in;
    }
  }
  for (std::uint32_t i = 0; i < valves.size(); ++i) {
    const kernel::Edge& own = edges[chains.size() + i];
    valves[i].bypass = std::ranges::count_if(edges, [&](const kernel::Edge& other) {
                         return std::minmax(other.from, other.to) == std::minmax(own.from, own.to);
                       }) > 1;
  }
  for (kernel::Draw& draw : draws) {
    draw.from = local[draw.from];
    draw.to = local[draw.to];
  }
  for (kernel::Guard& guard : guards) {
    guard.from = local[guard.from];
    guard.to = local[guard.to];
    if (guard.to < program.free_nodes) guard.out_slot = place(guard.from, guard.to).out;
    guard.incident_begin = static_cast<std::uint32_t>(incidents.size());
    for (std::uint32_t e = 0; e < edges.size(); ++e) {
      if (edges[e].from == guard.from) incidents.push_back({.edge = e, .sign = -1.0});
      if (edges[e].to == guard.from) incidents.push_back({.edge = e, .sign = 1.0});
    }
    guard.incident_end = static_cast<std::uint32_t>(incidents.size());
  }
  // In elimination order: a guard whose node another one draws on takes its flow after that one.
  std::ranges::sort(guards, {}, &kernel::Guard::from);
  for (kernel::Pivot& pivot : pivots) {
    if (pivot.guard == none) continue;
    const auto node = static_cast<std::uint32_t>(&pivot - pivots.data());
    pivot.guard = static_cast<std::uint32_t>(std::ranges::find(guards, node, &kernel::Guard::from) - guards.begin());
  }
}

void Network::Compiled::find_anchors() {
  const std::size_t count = definition.nodes.size();
  Islands without_sources(count);
  Islands with_sources(count);
  Islands passive(count);
  for (const ElementDefinition& element : definition.elements) {
    const std::uint32_t a = index(element.from);
    const std::uint32_t b = index(element.to);
    const bool pipe = element.law == Law::pipe || element.law == Law::resistor;
    if (pipe) passive.join(a, b);
    if (pipe || element.law == Law::valve) without_sources.join(a, b);
    if (pipe || element.law == Law::valve || element.law == Law::source) with_sources.join(a, b);
  }
  std::vector<bool> anchored_without(count);
  std::vector<bool> anchored_with(count);
  std::vector<bool> anchored_passive(count);
  for (std::uint32_t i = 0; i < count; ++i) {
    if (definition.nodes[i].kind != NodeKind::fixed) continue;
    anchored_without[without_sources.find(i)] = true;
    anchored_with[with_sources.find(i)] = true;
    anchored_passive[passive.find(i)] = true;
  }
  find_links();
  for (std::uint32_t i = 0; i < count; ++i) {
    if (!anchored_with[with_sources.find(i)] && lost_node == none) lost_node = i;
    if (!anchored_without[without_sources.find(i)]) sources_anchor = true;
    if (!anchored_passive[passive.find(i)]) may_be_cut_off = true;
  }
}

std::uint32_t Network::Compiled::unanchored(const double* row) const {
  if (lost_node != none || !sources_anchor) return lost_node;
  const std::size_t count = definition.nodes.size();
  Islands islands(count);
  for (std::size_t e = 0; e < definition.elements.size(); ++e) {
    const ElementDefinition& element = definition.elements[e];
    const bool joins = element.law == Law::pipe || element.law == Law::resistor || element.law == Law::valve ||
                       (element.law == Law::source && row[element_slot[e] + 1] > 0.0);
    if (joins) islands.join(index(element.from), index(element.to));
  }
  std::vector<bool> anchored(count);
  for (std::uint32_t i = 0; i < count; ++i) {
    if (definition.nodes[i].kind == NodeKind::fixed) anchored[islands.find(i)] = true;
  }
  for (std::uint32_t i = 0; i < count; ++i) {
    if (!anchored[islands.find(i)]) return i;
  }
  return none;
}

void Network::Compiled::find_links() {
  const std::size_t count = definition.nodes.size();
  std::vector<bool> guarded(count);
  for (const ElementDefinition& element : definition.elements) {
    if (element.law == Law::vapour_guard) guarded[index(element.from)] = true;
  }
  const auto conducts = [](Law law) { return law == Law::pipe || law == Law::resistor; };
  Islands islands(count);
  for (const ElementDefinition& element : definition.elements) {
    const bool free_to_join = !guarded[index(element.from)] && !guarded[index(element.to)];
    if (conducts(element.law) && free_to_join) islands.join(index(element.from), index(element.to));
  }
  std::vector<std::uint32_t> part(count, none);
  for (std::uint32_t i = 0; i < count; ++i) {
    std::uint32_t& number = part[islands.find(i)];
    if (number == none) {
      number = static_cast<std::uint32_t>(fixed_part.size());
      fixed_part.push_back(0);
    }
    if (definition.nodes[i].kind == NodeKind::fixed) fixed_part[number] = 1;
  }
  for (std::uint32_t e = 0; e < definition.elements.size(); ++e) {
    const ElementDefinition& element = definition.elements[e];
    const Link link{.from = part[islands.find(index(element.from))],
                    .to = part[islands.find(index(element.to))],
                    .element = e,
                    .law = element.law};
    if (element.law == Law::vapour_guard) guard_links.push_back(link);
    const bool may_join = conducts(element.law) || element.law == Law::valve || element.law == Law::source;
    if (may_join && link.from != link.to) links.push_back(link);
  }
}

bool Network::Compiled::all_have_a_way(const double* row, const double* flow,
                                       std::vector<std::uint8_t>& parts_known) const {
  constexpr std::uint8_t has_a_way = 1;
  constexpr std::uint8_t held = 2;
  parts_known.assign(fixed_part.begin(), fixed_part.end());
  std::size_t missing = 0;
  for (const std::uint8_t part : parts_known) missing += part == 0 ? 1 : 0;
  for (const Link& link : guard_links) {
    if (flow[link.element] > 0.0) parts_known[link.from] |= held;
  }
  const auto lean = [&](std::uint32_t part, std::uint32_t on) {
    if ((parts_known[part] & has_a_way) != 0 || (parts_known[on] & has_a_way) == 0) return false;
    parts_known[part] |= has_a_way;
    --missing;
    return true;
  };
  for (bool more = true; more && missing > 0;) {
    more = false;
    for (const Link& link : links) {
      const double* k = row + element_slot[link.element];
      const bool open = link.law == Law::valve    ? flow[link.element] > 0.0 && k[3] <= 0.0
                        : link.law == Law::source ? k[1] > 0.0
                                                  : true;
      if (!open) continue;
      if ((parts_known[link.from] & held) == 0) more |= lean(link.from, link.to);
      if ((parts_known[link.to] & held) == 0) more |= lean(link.to, link.from);
    }
    for (const Link& link : guard_links) {
      if ((parts_known[link.from] & held) != 0) more |= lean(link.from, link.to);
    }
  }
  return missing == 0;
}

std::uint32_t Network::Compiled::cut_off(const double* row, const double* flow, double tolerance) const {
  const std::size_t count = definition.nodes.size();
  // A held node has its pressure from its guard and hands what arrives on to the guard's `to`: it has a way where
  // that has one, and what lies beside it may lean on it, but it leans on nothing beside it.
  std::vector<std::uint32_t> held_to(count, none);
  for (const kernel::Guard& guard : guards) {
    if (flow[guard.element] > 0.0) held_to[original_node[guard.from]] = original_node[guard.to];
  }
  const auto is_open = [&](std::size_t e) {
    const double* k = row + element_slot[e];
    switch (definition.elements[e].law) {
      case Law::pipe:
      case Law::resistor: return true;
      case Law::valve: return flow[e] > 0.0 && k[3] <= 0.0;
      case Law::source: return k[1] > 0.0;
      case Law::draw:
      case Law::vapour_guard: break;
    }
    return false;
  };
  std::vector<bool> anchored(count);
  for (std::uint32_t i = 0; i < count; ++i) anchored[i] = definition.nodes[i].kind == NodeKind::fixed;
  for (bool more = true; more;) {
    more = false;
    const auto lean = [&](std::uint32_t node, std::uint32_t on) {
      if (anchored[node] || !anchored[on]) return;
      anchored[node] = true;
      more = true;
    };
    for (std::size_t e = 0; e < definition.elements.size(); ++e) {
      if (!is_open(e)) continue;
      const std::uint32_t a = index(definition.elements[e].from);
      const std::uint32_t b = index(definition.elements[e].to);
      if (held_to[a] == none) lean(a, b);
      if (held_to[b] == none) lean(b, a);
    }
    for (std::uint32_t i = 0; i < count; ++i) {
      if (held_to[i] != none) lean(i, held_to[i]);
    }
  }
  if (std::ranges::find(anchored, false) == anchored.end()) return none;
  Islands islands(count);
  for (std::size_t e = 0; e < definition.elements.size(); ++e) {
    const std::uint32_t a = index(definition.elements[e].from);
    const std::uint32_t b = index(definition.elements[e].to);
    if (is_open(e) && !anchored[a] && !anchored[b]) islands.join(a, b);
  }
  for (std::uint32_t i = 0; i < count; ++i) {
    if (held_to[i] != none && !anchored[i]) islands.join(i, held_to[i]);
  }
  // What enters an island, leaks apart, has to leave it.
  std::vector<double> drawn(count);
  double asked = 0.0;  // absurd pressures drive absurd flows: no scale
  double most_flow = 0.0;
  for (std::size_t e = 0; e < definition.elements.size(); ++e) {
    const Law law = definition.elements[e].law;
    if (law == Law::draw || law == Law::source) asked = std::max(asked, std::abs(row[element_slot[e]]));
    most_flow = std::max(most_flow, std::abs(flow[e]));
    const std::uint32_t a = islands.find(index(definition.elements[e].from));
    const std::uint32_t b = islands.find(index(definition.elements[e].to));
    if (a == b || (law == Law::valve && !is_open(e))) continue;
    const double q = law == Law::vapour_guard ? -flow[e] : flow[e];
    drawn[a] -= q;
    drawn[b] += q;
  }
  const double scale = asked > 0.0 ? asked : most_flow;
  for (std::uint32_t i = 0; i < count; ++i) {
    if (!anchored[i] && std::abs(drawn[islands.find(i)]) > tolerance * scale) return i;
  }
  return none;
}

void Network::Compiled::finish() {
  program.nodes = static_cast<std::uint32_t>(original_node.size());
  program.original_nodes = static_cast<std::uint32_t>(definition.nodes.size());
  program.elements = static_cast<std::uint32_t>(definition.elements.size());
  program.chains = static_cast<std::uint32_t>(chains.size());
  program.valves = static_cast<std::uint32_t>(valves.size());
  program.sources = static_cast<std::uint32_t>(sources.size());
  program.draws = static_cast<std::uint32_t>(draws.size());
  program.guards = static_cast<std::uint32_t>(guards.size());
  program.transition_slot = transition_slot;
  const auto keep = [&](const auto& devices, std::uint32_t coefficients) {
    for (const auto& device : devices) {
      for (std::uint32_t k = 0; k < coefficients; ++k) kept_slot.push_back(device.slot + k);
    }
  };
  keep(valves, 4);
  keep(sources, 2);
  keep(guards, 1);
  kept_slot.push_back(transition_slot);
  program.kept = static_cast<std::uint32_t>(kept_slot.size());
  program.edges = edges.data();
  program.chain = chains.data();
  program.part = parts.data();
  program.valve = valves.data();
  program.source = sources.data();
  program.draw = draws.data();
  program.guard = guards.data();
  program.incident = incidents.data();
  program.pivot = pivots.data();
  program.neighbour = neighbours.data();
  program.pair = pairs.data();
  program.kept_slot = kept_slot.data();
  program.fixed_slot = fixed_slot.data();
  program.original_node = original_node.data();
  program.lower = lower->data();
  program.upper = upper->data();
}

Result<Network> Network::compile(const NetworkDefinition& definition) {
  std::optional<Errors> errors;
  const auto report = [&](std::string field, std::string found, std::string what, std::string hint) {
    Error error{.code = ErrorCode::invalid_input,
                .where = {.field = std::move(field)},
                .found = std::move(found),
                .expected = std::move(what),
                .hint = std::move(hint)};
    if (errors) {
      errors->add(std::move(error));
    } else {
      errors.emplace(std::move(error));
    }
  };
  const std::size_t nodes = definition.nodes.size();
  std::vector<bool> touched(nodes);
  std::vector<std::uint32_t> guard_of(nodes, none);
  for (std::uint32_t e = 0; e < definition.elements.size(); ++e) {
    const ElementDefinition& element = definition.elements[e];
    const std::string field = fmt::format("elements[{}] \"{}\"", e, element.name);
    bool ends = true;
    for (const auto& [end, id] : {std::pair{"from", element.from}, std::pair{"to", element.to}}) {
      if (index(id) >= nodes) {
        report(fmt::format("{}.{}", field, end), fmt::format("node {}", index(id)),
               fmt::format("a node below {}", nodes), "Add the node before the element");
        ends = false;
      } else {
        touched[index(id)] = true;
      }
    }
    if (!ends) continue;
    if (element.from == element.to) {
      report(field, fmt::format("both ends at node \"{}\"", definition.nodes[index(element.from)].name),
             "two different nodes", "Join the element to another node");
    }
    if (element.law == Law::vapour_guard) {
      const NodeDefinition& node = definition.nodes[index(element.from)];
      if (node.kind == NodeKind::fixed) {
        report(fmt::format("{}.from", field), fmt::format("fixed node \"{}\"", node.name), "a free node",
               "A given pressure needs no guard");
      } else if (guard_of[index(element.from)] != none) {
        report(fmt::format("{}.from", field), fmt::format("a second guard at node \"{}\"", node.name),
               "one guard per node", "Keep one of the two");
      }
      guard_of[index(element.from)] = e;
    }
  }
  for (std::uint32_t e = 0; !errors && e < definition.elements.size(); ++e) {
    if (definition.elements[e].law != Law::vapour_guard) continue;
    std::uint32_t next = e;
    for (std::size_t steps = 0; next != none && steps <= nodes; ++steps) {
      next = guard_of[index(definition.elements[next].to)];
      if (next != e) continue;
      report(fmt::format("elements[{}] \"{}\"", e, definition.elements[e].name), "guards in a ring",
             "guards that end at a node without a guard behind it", "Take the missing flow out where it is drawn");
      break;
    }
    if (errors) break;
  }
  for (std::size_t i = 0; i < nodes; ++i) {
    if (!touched[i]) {
      report(fmt::format("nodes[{}] \"{}\"", i, definition.nodes[i].name), "no element", "at least one element",
             "Join the node or remove it");
    }
  }
  if (errors) return fail(std::move(*errors));

  auto compiled = std::make_shared<Compiled>();
  compiled->definition = definition;
  compiled->place_coefficients();
  compiled->collapse();
  compiled->find_anchors();
  compiled->finish();
  Network network;
  network.compiled_ = std::move(compiled);
  return network;
}

const NetworkDefinition& Network::definition() const { return compiled_->definition; }

struct PointTable::Data {
  std::shared_ptr<const Network::Compiled> compiled;
  std::size_t points;
  AlignedDoubles rows;
  std::vector<double> keys;  // [point][key] flow of the engines, Reynolds number per flow of the first pipe

  Data(std::shared_ptr<const Network::Compiled> network, std::size_t count)
      : compiled(std::move(network)),
        points(count),
        rows(count * compiled->row_doubles),
        keys(count * compiled->key_element.size()) {
    // What pads a row to whole lines is sound; every place with a meaning waits for its value.
    const std::size_t used = compiled->used_doubles;
    for (std::size_t point = 0; point < count; ++point) {
      double* padding = rows.data() + point * compiled->row_doubles + used;
      std::fill_n(padding, compiled->row_doubles - used, 0.0);
    }
  }

  double* row(std::size_t point) {
    FW_EXPECTS(point < points);
    return rows.data() + point * compiled->row_doubles;
  }
  void set_key(std::size_t point, ElementId element, double value) {
    const std::uint32_t key = compiled->key_of[index(element)];
    if (key != none) keys[point * compiled->key_element.size() + key] = value;
  }
  double* place(std::size_t point, ElementId element, Law law) {
    FW_EXPECTS(index(element) < compiled->definition.elements.size());
    FW_EXPECTS(compiled->definition.elements[index(element)].law == law);
    return row(point) + compiled->element_slot[index(element)];
  }
};

PointTable::PointTable(const Network& network, std::size_t points)
    : data_(std::make_shared<Data>(network.compiled_, points)) {
  for (std::size_t point = 0; point < points; ++point) set_transition(point, 0.0);
}

std::size_t PointTable::points() const { return data_->points; }

void PointTable::set_pressure(std::size_t point, NodeId fixed_node, double pressure_Pa) {
  FW_EXPECTS(index(fixed_node) < data_->compiled->node_slot.size());
  const std::uint32_t slot = data_->compiled->node_slot[index(fixed_node)];
  FW_EXPECTS(slot != none);
  data_->row(point)[slot] = pressure_Pa;
}

void PointTable::set(std::size_t point, ElementId element, const PipeCoefficients& k) {
  double* place = data_->place(point, element, Law::pipe);
  data_->set_key(point, element, k.reynolds_per_flow_s_per_m3);
  place[0] = k.reynolds_per_flow_s_per_m3;
  place[1] = k.laminar_resistance_Pa_s_per_m3;
  place[2] = k.relative_roughness;
  place[3] = k.curvature;
  place[4] = k.linear_Pa_s_per_m3;
  place[5] = k.quadratic_Pa_s2_per_m6;
}

void PointTable::set(std::size_t point, ElementId element, const ResistorCoefficients& k) {
  double* place = data_->place(point, element, Law::resistor);
  place[0] = k.linear_Pa_s_per_m3;
  place[1] = k.quadratic_Pa_s2_per_m6;
}

void PointTable::set(std::size_t point, ElementId element, const ValveCoefficients& k) {
  double* place = data_->place(point, element, Law::valve);
  place[0] = k.crack_Pa;
  place[1] = k.linear_Pa_s_per_m3;
  place[2] = k.quadratic_Pa_s2_per_m6;
  place[3] = k.shut;
}

void PointTable::set(std::size_t point, ElementId element, const SourceCoefficients& k) {
  double* place = data_->place(point, element, Law::source);
  place[0] = k.free_flow_m3_per_s;
  place[1] = k.conductance_m3_per_s_Pa;
}

void PointTable::set(std::size_t point, ElementId element, const DrawCoefficients& k) {
  data_->place(point, element, Law::draw)[0] = k.flow_m3_per_s;
  data_->set_key(point, element, k.flow_m3_per_s);
}

void PointTable::set(std::size_t point, ElementId element, const GuardCoefficients& k) {
  data_->place(point, element, Law::vapour_guard)[0] = k.pressure_Pa;
}

void PointTable::set_transition(std::size_t point, double transition_reynolds) {
  data_->row(point)[data_->compiled->transition_slot] = transition_reynolds;
}

namespace {

/// First coefficient of the point that breaks its law's condition.
std::optional<Error> first_fault(const NetworkDefinition& definition, const std::vector<std::uint32_t>& node_slot,
                                 const std::vector<std::uint32_t>& element_slot, std::uint32_t transition_slot,
                                 const double* row, std::size_t point) {
  const auto fault = [&](std::string field, double found, const char* what) {
    return Error{.code = ErrorCode::invalid_input,
                 .where = {.field = fmt::format("point {}: {}", point, field)},
                 .found = std::isnan(found) ? std::string("no value") : fmt::format("{}", found),
                 .expected = what,
                 .hint = "Set it before solving"};
  };
  for (std::size_t i = 0; i < definition.nodes.size(); ++i) {
    if (node_slot[i] != none && !std::isfinite(row[node_slot[i]])) {
      return fault(fmt::format("node \"{}\".pressure_Pa", definition.nodes[i].name), row[node_slot[i]],
                   "a finite pressure in Pa");
    }
  }
  const double transition = row[transition_slot];
  if (!std::isfinite(transition) || (transition != 0.0 && (transition < 1000.0 || transition > 10000.0))) {
    return fault("transition_reynolds", transition, "0, or a number from 1000 to 10000");
  }
  for (std::size_t e = 0; e < definition.elements.size(); ++e) {
    const LawLayout& law = layout(definition.elements[e].law);
    for (std::uint32_t k = 0; k < law.coefficients; ++k) {
      const double value = row[element_slot[e] + k];
      if (!keeps(law.bounds[k], value)) {
        return fault(fmt::format("element \"{}\".{}", definition.elements[e].name, law.names[k]), value,
                     expected(law.bounds[k]));
      }
    }
  }
  return std::nullopt;
}

/// Puts points of like Reynolds number together: where all lanes are laminar the friction law is not asked. The order
/// changes no point's bits. Keys: the flows of engines, then the Reynolds number per flow of a pipe where there is one.
void put_in_order(const double* keys, std::size_t engines, bool pipe, std::size_t points, std::uint16_t* order) {
  constexpr std::size_t buckets = 64;  // four per octave from 16
  std::uint8_t bucket_of[chunk_points];
  std::uint16_t begin[buckets + 1]{};
  const std::size_t count = engines + (pipe ? 1 : 0);
  for (std::size_t i = 0; i < points; ++i) {
    const double* key = keys + i * count;
    double flow = 1e-12;
    for (std::size_t k = 0; k < engines; ++k) {
      if (std::isfinite(key[k])) flow = std::max(flow, std::abs(key[k]));
    }
    const double per_flow = pipe && std::isfinite(key[engines]) ? key[engines] : 1.0;
    const double kept = std::clamp(std::min(per_flow, 1e15) * std::min(flow, 1e9), 16.0, 1e6);
    const std::uint64_t place = (std::bit_cast<std::uint64_t>(kept) - std::bit_cast<std::uint64_t>(16.0)) >> 50;
    bucket_of[i] = static_cast<std::uint8_t>(place);
    ++begin[place + 1];
  }
  for (std::size_t i = 0; i < buckets; ++i) begin[i + 1] = static_cast<std::uint16_t>(begin[i + 1] + begin[i]);
  for (std::size_t i = 0; i < points; ++i) order[begin[bucket_of[i]]++] = static_cast<std::uint16_t>(i);
}

using SolveLanes = void (*)(const kernel::Program&, const kernel::Batch&, void*);

/// The last few states; a network visits few of them often.
class SeenStates {
 public:
  [[nodiscard]] bool has(std::uint64_t states) const {
    for (std::size_t i = 0; i < count_; ++i) {
      if (seen_[i] == states) return true;
    }
    return false;
  }
  void add(std::uint64_t states) {
    seen_[next_++ % std::size(seen_)] = states;
    count_ = std::min(count_ + 1, std::size(seen_));
  }

 private:
  std::uint64_t seen_[16]{};
  std::size_t count_ = 0;
  std::size_t next_ = 0;
};

struct Path {
  int lanes;
  SolveLanes solve;
};

Path pick(LanePath path) {
#if defined(__x86_64__)
  if (path == LanePath::automatic) {
    path = lane_path_available(LanePath::v4)   ? LanePath::v4
           : lane_path_available(LanePath::v3) ? LanePath::v3
                                               : LanePath::baseline;
  }
  switch (path) {
    case LanePath::v4: return {.lanes = 8, .solve = kernel::solve_lanes_8};
    case LanePath::v3: return {.lanes = 4, .solve = kernel::solve_lanes_4};
    case LanePath::baseline: return {.lanes = 2, .solve = kernel::solve_lanes_2};
    case LanePath::automatic:
    case LanePath::scalar: break;
  }
#else
  (void)path;
#endif
  return {.lanes = 1, .solve = kernel::solve_lanes_1};
}

}  // namespace

bool lane_path_available(LanePath path) {
  switch (path) {
    case LanePath::automatic:
    case LanePath::scalar: return true;
#if defined(__x86_64__)
    case LanePath::baseline: return true;
    case LanePath::v3: return __builtin_cpu_supports("x86-64-v3") != 0;
    case LanePath::v4: return __builtin_cpu_supports("x86-64-v4") != 0;
#else
    case LanePath::baseline:
    case LanePath::v3:
    case LanePath::v4: break;
#endif
  }
  return false;
}

int lane_width(LanePath path) { return pick(path).lanes; }

Result<PointResults> Network::solve(const PointTable& table, const SolveOptions& options, const Run& run,
                                    PointResults reused) const {
  FW_EXPECTS(table.data_->compiled == compiled_);
  FW_EXPECTS(std::isfinite(options.flow_tolerance) && options.flow_tolerance > 0.0);
  FW_EXPECTS(std::isfinite(options.closed_resistance_Pa_s_per_m3) && options.closed_resistance_Pa_s_per_m3 > 0.0);
  FW_EXPECTS(options.iteration_cap > 0);
  FW_EXPECTS(lane_path_available(options.lanes));
  const Compiled& net = *compiled_;
  const std::size_t points = table.points();
  PointResults out = std::move(reused);
  out.points = points;
  out.nodes = net.definition.nodes.size();
  out.elements = net.definition.elements.size();
  out.pressure_Pa.resize(points * out.nodes);
  out.flow_m3_per_s.resize(points * out.elements);
  out.residual.resize(points);
  out.iterations.resize(points);
  out.status.assign(points, SolveStatus::converged);
  out.where.assign(points, 0);
  if (points == 0) return out;
  std::vector<std::uint8_t> outcome(points);

  const Path path = pick(options.lanes);
  const std::size_t chunks = (points + chunk_points - 1) / chunk_points;
  const std::size_t workers = std::min(chunks, std::max<std::size_t>(run.executor.threads(), 1));
  std::atomic<std::size_t> next_chunk{0};
  std::atomic<std::size_t> done{0};
  std::mutex fault_mutex;
  std::size_t fault_point = points;
  std::vector<std::uint64_t> states(points);
  const bool told_by_states = net.valves.size() + net.guards.size() + net.sources.size() <= 64;

  run.executor.for_each_block(workers, [&](std::size_t) {
    const std::size_t bytes = std::max<std::size_t>(kernel::workspace_bytes(net.program, path.lanes), 1);
    SeenStates connected;  // states in which every node has an open way
    std::vector<std::uint8_t> parts_known(net.fixed_part.size());
    AlignedDoubles workspace((bytes + sizeof(double) - 1) / sizeof(double));
    for (;;) {
      const std::size_t chunk = next_chunk.fetch_add(1);
      if (chunk >= chunks || run.stop.stop_requested()) return;
      const std::size_t begin = chunk * chunk_points;
      const std::size_t end = std::min(points, begin + chunk_points);
      std::size_t first = begin;
      const auto solve_range = [&](std::size_t from, std::size_t to) {
        if (from == to) return;
        std::size_t unsound = to;
        std::uint16_t order[chunk_points];
        put_in_order(table.data_->keys.data() + from * net.key_element.size(), net.draws.size(),
                     net.key_element.size() > net.draws.size(), to - from, order);
        path.solve(net.program,
                   {.rows = table.data_->rows.data(),
                    .row_stride = net.row_doubles,
                    .order = order,
                    .begin = from,
                    .end = to,
                    .settings = {.flow_tolerance = options.flow_tolerance,
                                 .closed_resistance_Pa_s_per_m3 = options.closed_resistance_Pa_s_per_m3,
                                 .iteration_cap = options.iteration_cap,
                                 .exact_friction = options.friction == FrictionForm::exact},
                    .pressure_Pa = out.pressure_Pa.data(),
                    .flow_m3_per_s = out.flow_m3_per_s.data(),
                    .residual = out.residual.data(),
                    .iterations = out.iterations.data(),
                    .outcome = outcome.data(),
                    .where = out.where.data(),
                    .states = states.data(),
                    .unsound = &unsound},
                   workspace.data());
        if (unsound == to) return;
        const std::lock_guard lock(fault_mutex);
        fault_point = std::min(fault_point, unsound);
      };
      if (net.lost_node != none || net.sources_anchor) {
        for (std::size_t point = begin; point < end; ++point) {
          const std::uint32_t lost = net.unanchored(table.data_->row(point));
          if (lost == none) continue;
          solve_range(first, point);
          first = point + 1;
          out.status[point] = SolveStatus::no_anchor;
          out.where[point] = lost;
          out.residual[point] = std::numeric_limits<double>::quiet_NaN();
          std::fill_n(out.pressure_Pa.begin() + static_cast<std::ptrdiff_t>(point * out.nodes), out.nodes,
                      std::numeric_limits<double>::quiet_NaN());
          std::fill_n(out.flow_m3_per_s.begin() + static_cast<std::ptrdiff_t>(point * out.elements), out.elements,
                      std::numeric_limits<double>::quiet_NaN());
        }
      }
      solve_range(first, end);
      for (std::size_t point = begin; point < end; ++point) {
        if (out.status[point] == SolveStatus::no_anchor) continue;
        const auto result = static_cast<kernel::Outcome>(outcome[point]);
        if (result == kernel::Outcome::no_anchor) {
          out.status[point] = SolveStatus::no_anchor;
        } else if (result == kernel::Outcome::stalled) {
          out.status[point] = SolveStatus::stalled;
        } else if (net.may_be_cut_off) {
          const double* flow = out.flow_m3_per_s.data() + point * out.elements;
          if (told_by_states && connected.has(states[point])) continue;
          if (net.all_have_a_way(table.data_->row(point), flow, parts_known)) {
            if (told_by_states) connected.add(states[point]);
            continue;
          }
          const std::uint32_t lost = net.cut_off(table.data_->row(point), flow, cut_off_tolerance);
          if (lost != none) {
            out.status[point] = SolveStatus::no_anchor;
            out.where[point] = lost;
          }
        }
      }
      run.progress.at("running points", done.fetch_add(end - begin) + (end - begin), points);
    }
  });
  if (fault_point < points) {
    std::optional<Error> fault = first_fault(net.definition, net.node_slot, net.element_slot, net.transition_slot,
                                             table.data_->row(fault_point), fault_point);
    FW_EXPECTS(fault.has_value());
    return fail(std::move(*fault));
  }
  if (run.stop.stop_requested()) {
    return fail({.code = ErrorCode::cancelled,
                 .where = {.field = "network"},
                 .found = fmt::format("{} of {} points solved", done.load(), points),
                 .expected = "a run to the end",
                 .hint = "Start it again"});
  }
  return out;
}

PointDerivatives Network::derivatives(const PointTable& table, const PointResults& results, std::size_t point,
                                      std::span<const Parameter> parameters) const {
  const Compiled& net = *compiled_;
  FW_EXPECTS(table.data_->compiled == compiled_);
  FW_EXPECTS(results.points == table.points() && results.nodes == net.definition.nodes.size() &&
             results.elements == net.definition.elements.size());
  FW_EXPECTS(point < results.points && results.status[point] == SolveStatus::converged);
  std::vector<std::uint32_t> slots;
  for (const Parameter& parameter : parameters) {
    if (parameter.fixed_node) {
      FW_EXPECTS(index(*parameter.fixed_node) < net.node_slot.size());
      FW_EXPECTS(net.node_slot[index(*parameter.fixed_node)] != none);
      slots.push_back(net.node_slot[index(*parameter.fixed_node)]);
      continue;
    }
    FW_EXPECTS(index(parameter.element) < net.definition.elements.size());
    const Law law = net.definition.elements[index(parameter.element)].law;
    FW_EXPECTS(parameter.coefficient < (law == Law::valve ? 3U : layout(law).coefficients));
    slots.push_back(net.element_slot[index(parameter.element)] + parameter.coefficient);
  }
  PointDerivatives out;
  out.nodes = results.nodes;
  out.elements = results.elements;
  out.pressure.resize(parameters.size() * out.nodes);
  out.flow.resize(parameters.size() * out.elements);
  const SolveOptions options;
  AlignedDoubles workspace((kernel::workspace_bytes(net.program, 1) + sizeof(double) - 1) / sizeof(double));
  kernel::differentiate(net.program,
                        {.row = table.data_->row(point),
                         .settings = {.flow_tolerance = options.flow_tolerance,
                                      .closed_resistance_Pa_s_per_m3 = options.closed_resistance_Pa_s_per_m3,
                                      .iteration_cap = options.iteration_cap,
                                      .exact_friction = false},
                         .pressure_Pa = results.pressure_Pa.data() + point * out.nodes,
                         .flow_m3_per_s = results.flow_m3_per_s.data() + point * out.elements},
                        slots.data(), slots.size(), out.pressure.data(), out.flow.data(), workspace.data());
  return out;
}

}  // namespace fw::hydraulics
