// SPDX-License-Identifier: Apache-2.0
#include "report/figure_schematic.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <numeric>
#include <optional>
#include <set>

#include <fmt/format.h>

#include "base/contract.hpp"
#include "report/figure_symbol.hpp"
#include "report/font.hpp"
#include "report/text_block.hpp"

namespace fw::report {
namespace {

constexpr std::string_view engine = "engine";
constexpr std::string_view engine_return = "engine-return";

// Lengths in units of the text size.
constexpr double line_pitch = 1.12;  // of the lines of a name
constexpr double leg_pad = 0.9;      // of free line at either end of a leg
constexpr double empty_leg = 2.4;
constexpr double gauge_room = 2.1;  // width that a test port adds to its part
constexpr double tank_height = 4.6;
constexpr double lane_gap = 0.8;

/// A name broken into at most three lines, as narrow as they allow.
struct BrokenName {
  std::vector<std::string> lines;
  double width = 0.0;  ///< points
};

BrokenName broken(const std::string& name, double size, double at_least) {
  BrokenName best;
  if (name.empty()) return best;
  const TextStyle style{.size = size};
  std::vector<std::string> words;
  for (const auto& [begin, end] : unbreakable_pieces(name)) words.push_back(name.substr(begin, end - begin));
  double cap = at_least;
  for (const std::string& next : words) cap = std::max(cap, measure(next, style).width);
  // The least cap that gives three lines at most; grows by a tenth of the size.
  for (;; cap += 0.1 * size) {
    best = {};
    std::string line;
    for (const std::string& next : words) {
      const std::string longer = line.empty() ? next : fmt::format("{} {}", line, next);
      if (!line.empty() && measure(longer, style).width > cap) {
        best.lines.push_back(line);
        line = next;
      } else {
        line = longer;
      }
    }
    best.lines.push_back(line);
    if (best.lines.size() <= 3) break;
  }
  for (const std::string& line : best.lines) best.width = std::max(best.width, measure(line, style).width);
  return best;
}

/// Room of one part along its leg.
struct Slot {
  const SchematicPart* part = nullptr;
  BrokenName name;
  SymbolExtent reach;   // units
  double symbol = 0.0;  // width of symbol and name
  double width = 0.0;   // with the port
  double left = 0.0;    // abstract, then on the page
  int frame = -1;

  [[nodiscard]] double centre() const { return left + symbol / 2.0; }
  [[nodiscard]] double right() const { return left + width; }
};

struct Leg {
  const SchematicLeg* in = nullptr;
  std::size_t from = 0;
  std::size_t to = 0;
  std::vector<Slot> slots;
  std::vector<Slot> inside;  // the tank, from its floor up
  double lead = 0.0;         // room on the line for the ports of those
  double length = 0.0;
  double x0 = 0.0;
  double x1 = 0.0;
  int lane = 0;
  bool main = false;
  bool from_sump = false;
};

struct Vertical {
  double x = 0.0;
  double top = 0.0;
  double bottom = 0.0;
};

class Layout {
 public:
  /// `extra` units of free line are added to every part.
  Layout(const SchematicData& data, double extra) : data_(data), u_(data.size.text_size), extra_(extra) {}

  /// Finds places; draw() comes after.
  Result<void> place();
  Figure draw();

  [[nodiscard]] std::size_t rows() const { return cuts_.size() + 1; }
  [[nodiscard]] double width() const { return width_; }

 private:
  Result<void> read();
  Result<void> order_supply();
  void assign_lanes();
  void measure_engine();
  void fold();
  [[nodiscard]] std::optional<std::vector<double>> cuts_within(double inset) const;
  void set_heights();
  [[nodiscard]] bool fits_beside_sump(const std::string& label) const;
  [[nodiscard]] BrokenName names_under_tank(std::size_t tank) const;
  [[nodiscard]] double tank_depth(std::size_t tank) const;
  [[nodiscard]] std::vector<std::string> names_beside_tank(const Leg& leg) const;
  [[nodiscard]] bool fits_beside_tank(const Leg& leg) const;
  void draw_tanks();
  double draw_inside(const Leg& leg, double x, double floor);
  void draw_supply();
  void draw_run(const Leg& leg, double from, double to, bool thin, bool added);
  void draw_engine();
  void draw_back();
  void draw_transfers();
  void draw_key();
  void draw_slot(const Slot& slot, double centre_x, double y, Flow flow);
  void draw_frames(const Leg& leg, double y, bool on_page);

  std::size_t node(const std::string& name);
  [[nodiscard]] Slot slot_of(const SchematicPart& part, double extra) const;
  static double length_of(const std::vector<Slot>& slots, double unit);
  void spread(Leg& leg) const;

  [[nodiscard]] int row_of(double x) const {
    return static_cast<int>(std::upper_bound(cuts_.begin(), cuts_.end(), x - 1e-9) - cuts_.begin());
  }
  [[nodiscard]] double page_x(double x, int row) const {
    const auto r = static_cast<std::size_t>(row);
    return row_left_.at(r) + x - (row == 0 ? 0.0 : cuts_[r - 1]);
  }
  [[nodiscard]] double page_x(double x) const { return page_x(x, row_of(x)); }
  [[nodiscard]] double lane_y(int row, int lane) const {
    return lanes_.at(static_cast<std::size_t>(row)).at(static_cast<std::size_t>(lane)).y;
  }

  void add(Primitive primitive) { figure_.primitives.push_back(std::move(primitive)); }
  void line(Point from, Point to, bool thin = false, bool added = false) {
    add(Line{.from = from, .to = to, .stroke = line_stroke(u_, thin, added)});
  }
  void dot(Point at) { add(Circle{.centre = at, .radius = 0.26 * u_, .stroke = {}, .fill = Role::ink}); }
  void text(const std::string& words, Point at, Anchor anchor, double size, Role colour = Role::ink,
            bool bold = false) {
    Text label{.at = at, .text = words, .style = {.size = size, .bold = bold}, .colour = colour, .anchor = anchor};
    block(around(text_corners(label)));
    add(std::move(label));
  }
  void block(const Box& box) { blocks_.push_back(box); }
  [[nodiscard]] bool strip_free(const Vertical& strip) const;
  [[nodiscard]] double free_channel(const Vertical& wish) const;
  /// A way from a point down to a height: straight, or aside in the gap under its row. Returns where it arrives.
  double descend(Point from, int row, double bottom, std::vector<Point>& way);
  double gap_y(int row) {
    Row& here = rows_.at(static_cast<std::size_t>(row));
    return here.bottom + (0.6 + 0.9 * here.jogs++) * u_;
  }

  struct Lane {
    double top = 0.6;     // above the line, units
    double bottom = 0.8;  // below
    double y = 0.0;
    bool used = false;
  };
  struct Row {
    double top = 0.0;
    double bottom = 0.0;
    int jogs = 0;
    double gap = 0.0;
  };

  const SchematicData& data_;
  double u_;
  double extra_;
  std::map<std::string, std::size_t> node_of_;
  std::vector<std::string> node_names_;
  std::vector<double> node_x_;
  std::vector<int> node_lane_;
  std::vector<Leg> supply_;
  std::vector<Leg> back_;
  std::vector<Leg> transfers_;
  std::map<std::string, int> frame_of_;
  std::vector<double> cuts_;              // abstract x at which a row ends
  std::vector<std::vector<Lane>> lanes_;  // per row
  std::vector<Row> rows_;
  std::vector<Box> blocks_;
  std::vector<Vertical> verticals_;
  std::vector<std::optional<Point>> node_at_;
  std::vector<double> row_left_;  ///< page x where a row's lines begin
  double tank_left_ = 0.0;
  double riser_left_ = 0.0;
  double next_left_ = 0.0;  ///< where rows after the first begin
  double tank_width_ = 0.0;
  double margin_ = 0.0;
  double transfer_x_ = 0.0;
  double engine_x_ = 0.0;
  double engine_width_ = 0.0;
  double metering_width_ = 0.0;
  double pump_width_ = 0.0;
  double rail_length_ = 0.0;
  BrokenName metering_name_;
  BrokenName pump_name_;
  double engine_above_ = 0.0;
  double engine_below_ = 0.0;
  double width_ = 0.0;
  Figure figure_;
};

std::size_t Layout::node(const std::string& name) {
  const auto [found, fresh] = node_of_.try_emplace(name, node_names_.size());
  if (fresh) {
    node_names_.push_back(name);
    node_x_.push_back(0.0);
    node_lane_.push_back(0);
    node_at_.emplace_back();
  }
  return found->second;
}

Slot Layout::slot_of(const SchematicPart& part, double extra) const {
  Slot slot{.part = &part, .reach = extent(part)};
  const double symbol = 2.0 * slot.reach.half_width * u_;
  // A plain line has room for its name along it.
  slot.name = broken(part.label, u_, part.symbol == Symbol::tube ? 4.0 * u_ : symbol);
  slot.symbol = std::max(symbol, slot.name.width + 0.5 * u_) + (0.4 + extra) * u_;
  slot.width = slot.symbol + (part.port.empty() ? 0.0 : gauge_room * u_);
  const auto frame = frame_of_.find(part.id);
  if (frame != frame_of_.end()) slot.frame = frame->second;
  return slot;
}

double Layout::length_of(const std::vector<Slot>& slots, double unit) {
  if (slots.empty()) return empty_leg * unit;
  double length = 2.0 * leg_pad * unit;
  for (const Slot& slot : slots) length += slot.width;
  return length;
}

void Layout::spread(Leg& leg) const {
  const double spare = (leg.x1 - leg.x0 - leg.length) / static_cast<double>(leg.slots.size() + 1);
  double x = leg.x0 + leg.lead + leg_pad * u_;
  for (std::size_t i = 0; i < leg.slots.size(); ++i) {
    // Parts of one frame stay side by side.
    const bool joined = i > 0 && leg.slots[i].frame >= 0 && leg.slots[i].frame == leg.slots[i - 1].frame;
    if (!joined) x += spare;
    leg.slots[i].left = x;
    x += leg.slots[i].width;
  }
}

Result<void> Layout::read() {
  if (data_.tanks.empty()) return invalid("tanks", "none", "one tank or more");
  std::set<std::string> tanks;
  for (const SchematicTank& tank : data_.tanks) {
    if (!tanks.insert(tank.id).second) return invalid("tanks", fmt::format("\"{}\" twice", tank.id), "ids used once");
    if (tank.id == engine || tank.id == engine_return) return invalid("tanks", tank.id, "another id");
    if (auto ok = check_glyphs(tank.label, {}, "tanks." + tank.id); !ok) return ok;
  }
  const SchematicHighSide& high = data_.high_side;
  if (high.rails < 1 || high.rails > 2) return invalid("high_side.rails", fmt::format("{}", high.rails), "1 or 2");
  if (high.injectors < 1 || high.injectors > 16) {
    return invalid("high_side.injectors", fmt::format("{}", high.injectors), "1 to 16");
  }
  for (const std::string& label :
       {high.pump_label, high.metering_label, high.rail_label, high.injector_label, high.leak_off_label, data_.title}) {
    if (auto ok = check_glyphs(label, {}, "high_side"); !ok) return ok;
  }
  if (!std::isfinite(data_.size.width) || !std::isfinite(data_.size.text_size) || data_.size.text_size < 2.0 ||
      data_.size.width < 30.0 * data_.size.text_size) {
    return invalid("size", fmt::format("{} wide, text {}", data_.size.width, data_.size.text_size),
                   "text of 2 or more, a width of 30 times the text or more");
  }
  // Parts: ids once; frames of neighbours.
  std::map<std::string, std::pair<std::size_t, std::size_t>> place_of;
  for (std::size_t l = 0; l < data_.legs.size(); ++l) {
    const SchematicLeg& leg = data_.legs[l];
    for (std::size_t i = 0; i < leg.parts.size(); ++i) {
      const SchematicPart& part = leg.parts[i];
      const std::string field = fmt::format("legs.{}.parts.{}", leg.id, i + 1);
      if (part.id.empty() || !place_of.try_emplace(part.id, l, i).second) {
        return invalid(field + ".id", fmt::format("\"{}\"", part.id), "an id used once");
      }
      if (auto ok = check_glyphs(part.label, {}, field + ".label"); !ok) return ok;
      if (auto ok = check_glyphs(part.port, {.bold = true}, field + ".port"); !ok) return ok;
      if (part.symbol == Symbol::sump && (i > 0 || !tanks.contains(leg.from))) {
        return invalid(field + ".symbol", "a sump along the way", "a sump as the first part of a leg from a tank");
      }
    }
  }
  for (std::size_t f = 0; f < data_.frames.size(); ++f) {
    const SchematicFrame& frame = data_.frames[f];
    const std::string field = fmt::format("frames.{}", f + 1);
    if (auto ok = check_glyphs(frame.label, {}, field + ".label"); !ok) return ok;
    std::vector<std::pair<std::size_t, std::size_t>> places;
    for (const std::string& id : frame.parts) {
      const auto found = place_of.find(id);
      if (found == place_of.end()) return invalid(field, fmt::format("\"{}\"", id), "ids of parts");
      if (!frame_of_.try_emplace(id, static_cast<int>(f)).second) {
        return invalid(field, fmt::format("\"{}\" in two frames", id), "a part in one frame");
      }
      places.push_back(found->second);
    }
    std::sort(places.begin(), places.end());
    for (std::size_t i = 1; i < places.size(); ++i) {
      if (places[i].first != places[0].first || places[i].second != places[i - 1].second + 1) {
        return invalid(field, "parts apart from each other", "neighbours in one leg");
      }
    }
  }
  for (const SchematicTank& tank : data_.tanks) node(tank.id);
  std::set<std::string> legs;
  bool fed = false;
  for (const SchematicLeg& leg : data_.legs) {
    const std::string field = "legs." + leg.id;
    if (leg.id.empty() || !legs.insert(leg.id).second) return invalid(field, "an id empty or twice", "ids used once");
    if (leg.from.empty() || leg.to.empty() || leg.from == leg.to) {
      return invalid(field, fmt::format("from \"{}\" to \"{}\"", leg.from, leg.to), "two ends");
    }
    Leg mine{.in = &leg, .from = node(leg.from), .to = node(leg.to)};
    mine.from_sump = !leg.parts.empty() && leg.parts.front().symbol == Symbol::sump;
    const bool alone = leg.role == LegRole::supply && !mine.from_sump &&
                       std::ranges::count_if(data_.legs, [&](const SchematicLeg& other) {
                         return other.role == LegRole::supply && other.from == leg.from;
                       }) == 1;
    for (const SchematicPart& part : leg.parts) {
      if (part.symbol == Symbol::sump) continue;
      const bool first = mine.slots.empty() && leg.role == LegRole::supply && tanks.contains(leg.from);
      const bool first_there =
          first && std::all_of(leg.parts.data(), &part, [](const SchematicPart& before) { return before.in_tank; });
      if (part.in_tank && !first_there && alone) {
        return invalid(field + ".parts." + part.id + ".in_tank", "behind a part outside",
                       "the first parts of a leg from a tank");
      }
      Slot slot = slot_of(part, leg.role == LegRole::supply ? extra_ : 0.0);
      if (part.in_tank && alone && first_there) {
        if (!part.port.empty()) mine.lead += gauge_room * u_;
        mine.inside.push_back(std::move(slot));
      } else {
        mine.slots.push_back(std::move(slot));
      }
    }
    mine.length = length_of(mine.slots, u_) + mine.lead;
    switch (leg.role) {
      case LegRole::supply:
        if (leg.from == engine || leg.from == engine_return || leg.to == engine_return || tanks.contains(leg.to)) {
          return invalid(field, fmt::format("supply from \"{}\" to \"{}\"", leg.from, leg.to),
                         "supply from a tank or junction to a junction or \"engine\"");
        }
        fed = fed || leg.to == engine;
        supply_.push_back(std::move(mine));
        break;
      case LegRole::back:
        if (leg.to == engine || leg.to == engine_return || leg.from == engine || tanks.contains(leg.from)) {
          return invalid(field, fmt::format("return from \"{}\" to \"{}\"", leg.from, leg.to),
                         "return from \"engine-return\" or a junction to a tank or junction");
        }
        back_.push_back(std::move(mine));
        break;
      case LegRole::transfer:
        if (!tanks.contains(leg.from) || !tanks.contains(leg.to)) {
          return invalid(field, fmt::format("transfer from \"{}\" to \"{}\"", leg.from, leg.to), "two tanks");
        }
        transfers_.push_back(std::move(mine));
        break;
    }
  }
  if (!fed) return invalid("legs", "no supply leg to \"engine\"", "a way from a tank to the engine");
  return {};
}

Result<void> Layout::order_supply() {
  // Longest way to each node, in topological order.
  const std::size_t count = node_names_.size();
  std::vector<int> waiting(count, 0);
  for (const Leg& leg : supply_) ++waiting[leg.to];
  std::vector<std::size_t> ready;
  for (std::size_t i = 0; i < count; ++i) {
    if (waiting[i] == 0) ready.push_back(i);
  }
  std::vector<double> score(count, 0.0);
  std::vector<int> best(count, -1);
  std::size_t taken = 0;
  while (taken < ready.size()) {
    const std::size_t at = ready[taken++];
    for (std::size_t k = 0; k < supply_.size(); ++k) {
      const Leg& leg = supply_[k];
      if (leg.from != at) continue;
      node_x_[leg.to] = std::max(node_x_[leg.to], node_x_[at] + leg.length);
      double working = 0.01;
      for (const Slot& slot : leg.slots) working += slot.part->bypassed ? 0.0 : 1.0;
      if (best[leg.to] < 0 || score[at] + working > score[leg.to]) {
        score[leg.to] = score[at] + working;
        best[leg.to] = static_cast<int>(k);
      }
      if (--waiting[leg.to] == 0) ready.push_back(leg.to);
    }
  }
  if (taken < count) return invalid("legs", "supply legs in a circle", "supply that runs from the tank to the engine");
  for (int k = best[node_of_.at(std::string(engine))]; k >= 0;) {
    supply_[static_cast<std::size_t>(k)].main = true;
    k = best[supply_[static_cast<std::size_t>(k)].from];
  }
  for (Leg& leg : supply_) {
    leg.x0 = node_x_[leg.from];
    leg.x1 = node_x_[leg.to];
    spread(leg);
  }
  return {};
}

void Layout::assign_lanes() {
  std::map<std::size_t, int> tank_lane;
  for (std::size_t i = 0; i < data_.tanks.size(); ++i) {
    tank_lane[node_of_.at(data_.tanks[i].id)] = static_cast<int>(i);
  }
  std::vector<Leg*> placed;
  std::vector<Leg*> order;
  for (Leg& leg : supply_) {
    if (!leg.main) {
      order.push_back(&leg);
      continue;
    }
    leg.lane = tank_lane.contains(leg.from) ? tank_lane[leg.from] : 0;
    placed.push_back(&leg);
  }
  std::stable_sort(order.begin(), order.end(), [](const Leg* a, const Leg* b) { return a->x0 < b->x0; });
  for (Leg* leg : order) {
    leg->lane = tank_lane.contains(leg->from) ? tank_lane[leg->from] : 1;
    const auto clashes = [&] {
      return std::any_of(placed.begin(), placed.end(), [&](const Leg* other) {
        return other->lane == leg->lane && other->x0 < leg->x1 - 0.01 && leg->x0 < other->x1 - 0.01;
      });
    };
    while (clashes()) ++leg->lane;
    placed.push_back(leg);
  }
  // A junction stands on the first lane of its legs.
  std::vector<int> lowest(node_names_.size(), std::numeric_limits<int>::max());
  for (const Leg& leg : supply_) {
    for (const std::size_t end : {leg.from, leg.to}) lowest[end] = std::min(lowest[end], leg.lane);
  }
  for (std::size_t i = 0; i < lowest.size(); ++i) {
    node_lane_[i] = tank_lane.contains(i) ? tank_lane[i] : lowest[i] == std::numeric_limits<int>::max() ? 0 : lowest[i];
  }
}

void Layout::measure_engine() {
  const SchematicHighSide& high = data_.high_side;
  metering_name_ = broken(high.metering_label, u_, 4.4 * u_);
  pump_name_ = broken(high.pump_label, u_, 2.6 * u_);
  metering_width_ = high.metering_valve ? std::max(4.4 * u_, metering_name_.width) + 0.9 * u_ : 0.0;
  pump_width_ = std::max(2.6 * u_, pump_name_.width) + 1.0 * u_;
  const int per_rail = high.rails == 1 ? high.injectors : (high.injectors + 1) / 2;
  const std::string words = fmt::format("{} 1, {} {}", high.rail_label, high.injectors, high.injector_label);
  rail_length_ = std::max(1.75 * u_ * per_rail, measure(words, {.size = u_}).width + 0.6 * u_);
  engine_width_ = metering_width_ + pump_width_ + 1.6 * u_ + rail_length_ + (high.rails == 2 ? 3.7 : 0.6) * u_;
  const double names = static_cast<double>(std::max(metering_name_.lines.size(), pump_name_.lines.size()));
  engine_above_ = std::max(2.4 + 0.5 + names * line_pitch + 0.9, high.rails == 2 ? 8.0 : 2.4);
  engine_below_ = high.rails == 2 ? 9.2 : 6.6;
}

/// Greedy folding with every row shortened by `inset`; nothing if a row cannot be filled.
std::optional<std::vector<double>> Layout::cuts_within(double inset) const {
  std::vector<double> candidates;
  for (const Leg& leg : supply_) {
    if (!leg.main) continue;
    for (std::size_t i = 1; i < leg.slots.size(); ++i) {
      if (leg.slots[i].frame >= 0 && leg.slots[i].frame == leg.slots[i - 1].frame) continue;
      candidates.push_back(0.5 * (leg.slots[i - 1].right() + leg.slots[i].left));
    }
    if (!leg.slots.empty()) {
      candidates.push_back(0.5 * (leg.x0 + leg.slots.front().left));
      candidates.push_back(0.5 * (leg.x1 + leg.slots.back().right()));
    }
  }
  std::erase_if(candidates, [&](double x) {
    return x < 1.0 ||
           std::any_of(
               supply_.begin(), supply_.end(), [&](const Leg& leg) { return !leg.main && leg.x0 < x && x < leg.x1; });
  });
  std::sort(candidates.begin(), candidates.end());
  const double total = node_x_[node_of_.at(std::string(engine))];
  const double right = width_ - 1.6 * u_ - inset;
  std::vector<double> cuts;
  double start = 0.0;
  for (;;) {
    const double left = cuts.empty() ? tank_left_ + tank_width_ + 1.2 * u_ : next_left_;
    if (left + (total - start) + engine_width_ <= width_ - 0.2 * u_) return cuts;
    const double reach = start + right - left;
    const auto next = std::upper_bound(candidates.begin(), candidates.end(), reach);
    if (next == candidates.begin() || *(next - 1) <= start + 1e-6) return std::nullopt;
    start = *(next - 1);
    cuts.push_back(start);
  }
}

void Layout::fold() {
  std::map<std::size_t, int> into_tank;
  int risers = 0;
  for (const Leg& leg : back_) {
    for (const SchematicTank& tank : data_.tanks) {
      if (node_names_[leg.to] != tank.id) continue;
      ++into_tank[leg.to];
      ++risers;
    }
  }
  int most_in = 0;
  for (const auto& [tank, count] : into_tank) most_in = std::max(most_in, count);
  double labels = 0.0;
  for (const Leg& leg : transfers_) {
    for (const Slot& slot : leg.slots) labels = std::max(labels, slot.name.width + slot.reach.below * u_);
  }
  double tank_name = 0.0;
  for (const SchematicTank& tank : data_.tanks) tank_name = std::max(tank_name, broken(tank.label, u_, 5.0 * u_).width);
  margin_ = 0.3 * u_;
  transfer_x_ = margin_ + labels + 0.6 * u_;
  riser_left_ = transfers_.empty() ? margin_ : transfer_x_ + 4.2 * u_;
  riser_left_ += 0.5 * u_ + 1.0 * u_ * risers;
  // Returns that step aside come down left of the lower rows.
  const auto aside = std::count_if(back_.begin(), back_.end(), [&](const Leg& leg) {
    return node_names_[leg.from] != engine_return || leg.to >= data_.tanks.size();
  });
  next_left_ = riser_left_ + (2.0 + 1.0 * static_cast<double>(aside)) * u_;
  tank_left_ = riser_left_ + 0.5 * u_;
  double motor = 0.0;  // of a pump in the tank, left of its pipe
  for (const Leg& leg : supply_) {
    for (const Slot& slot : leg.inside) {
      tank_name = std::max(tank_name, slot.name.width);
      motor = std::max(motor, slot.reach.above + slot.reach.below + 0.8);
    }
  }
  tank_width_ = std::max({5.4 * u_, (2.4 + 0.9 * most_in + 1.1) * u_, (0.9 * most_in + motor) * u_, tank_name});
  width_ = data_.size.width;
  auto cuts = cuts_within(0.0);
  while (!cuts) {
    width_ *= 1.05;
    cuts = cuts_within(0.0);
  }
  // Rows of about one length: the greatest inset that needs no further row.
  for (int i = 1; i < 25; ++i) {
    const auto tighter = cuts_within(0.02 * i * width_);
    if (!tighter || tighter->size() != cuts->size()) break;
    cuts = tighter;
  }
  cuts_ = *cuts;
  const double total = node_x_[node_of_.at(std::string(engine))];
  for (std::size_t row = 0; row < rows(); ++row) {
    row_left_.push_back(row == 0 ? tank_left_ + tank_width_ + 1.2 * u_ : next_left_);
  }
  // The engine stands at the right end.
  const double start = cuts_.empty() ? 0.0 : cuts_.back();
  const double spare = width_ - 0.2 * u_ - engine_width_ - (total - start) - row_left_.back();
  if (rows() > 1) {
    row_left_.back() += spare;
  } else {
    width_ -= spare;
  }
  engine_x_ = row_left_.back() + total - start;
}

void Layout::set_heights() {
  lanes_.assign(rows(), {});
  rows_.assign(rows(), {});
  int most = static_cast<int>(data_.tanks.size());
  for (const Leg& leg : supply_) most = std::max(most, leg.lane + 1);
  for (auto& row : lanes_) row.resize(static_cast<std::size_t>(most));
  const auto lane = [&](int row, int number) -> Lane& {
    return lanes_.at(static_cast<std::size_t>(row)).at(static_cast<std::size_t>(number));
  };
  for (const Leg& leg : supply_) {
    for (int row = row_of(leg.x0); row <= row_of(leg.x1); ++row) lane(row, leg.lane).used = true;
    for (const Slot& slot : leg.slots) {
      Lane& here = lane(row_of(slot.centre()), leg.lane);
      const bool framed = slot.frame >= 0;
      const double names = static_cast<double>(slot.name.lines.size()) * line_pitch;
      here.top = std::max(here.top, slot.reach.above + 0.5 + names + (framed ? 0.8 : 0.0));
      double below = slot.reach.below + (slot.part->debris == DebrisMark::none ? 0.0 : 1.7);
      if (!slot.part->port.empty()) below = std::max(below, gauge_depth);
      if (framed) {
        const std::string& label = data_.frames[static_cast<std::size_t>(slot.frame)].label;
        below += label.empty() ? 0.7 : 2.0;
      }
      here.bottom = std::max(here.bottom, below);
    }
    if (leg.lead > 0.0) {
      Lane& here = lane(row_of(leg.x0), leg.lane);
      here.bottom = std::max(here.bottom, gauge_depth);
    }
  }
  for (std::size_t i = 0; i < data_.tanks.size(); ++i) {
    int incoming = 0;
    bool sump = false;
    for (const Leg& leg : back_) incoming += node_names_[leg.to] == data_.tanks[i].id ? 1 : 0;
    for (const Leg& leg : supply_) sump = sump || (node_names_[leg.from] == data_.tanks[i].id && leg.from_sump);
    Lane& here = lane(0, static_cast<int>(i));
    here.used = true;
    here.top = std::max(here.top, 1.0);
    const double names = static_cast<double>(names_under_tank(i).lines.size()) * line_pitch;
    const double depth = 1.0 + 0.55 * incoming + tank_depth(i) + (sump ? 1.6 : 0.0) + 0.6 + names;
    here.bottom = std::max(here.bottom, depth);
  }
  // A transfer between two tanks needs room for its parts one under another.
  for (const Leg& leg : transfers_) {
    double length = 1.5;
    for (const Slot& slot : leg.slots) length += 2.0 * slot.reach.half_width + 1.2;
    lane(0, 0).bottom = std::max(lane(0, 0).bottom, length + 2.0);
  }
  Lane& last = lane(static_cast<int>(rows()) - 1, node_lane_[node_of_.at(std::string(engine))]);
  last.used = true;
  last.top = std::max(last.top, engine_above_);
  last.bottom = std::max(last.bottom, engine_below_);
  double y = 0.3 * u_;
  for (std::size_t row = 0; row < rows(); ++row) {
    rows_[row].top = y;
    for (Lane& here : lanes_[row]) {
      if (!here.used) {
        here.y = y;
        continue;
      }
      here.y = y + here.top * u_;
      y = here.y + here.bottom * u_ + lane_gap * u_;
    }
    y -= lane_gap * u_;
    rows_[row].bottom = y;
    if (row + 1 == rows()) break;
    // Room under a row for the line that runs back to the left, and for returns that step aside.
    y += (1.4 + 0.9 * static_cast<double>(back_.size())) * u_;
  }
}

Result<void> Layout::place() {
  if (auto ok = read(); !ok) return ok;
  if (auto ok = order_supply(); !ok) return ok;
  assign_lanes();
  measure_engine();
  fold();
  set_heights();
  return {};
}

void Layout::draw_slot(const Slot& slot, double centre_x, double y, Flow flow) {
  const SchematicPart& part = *slot.part;
  for (Primitive& primitive : draw_symbol(part, {centre_x, y}, u_, flow)) add(std::move(primitive));
  block({.left = centre_x - slot.reach.half_width * u_,
         .top = y - slot.reach.above * u_,
         .right = centre_x + slot.reach.half_width * u_,
         .bottom = y + slot.reach.below * u_});
  const Role colour = part.bypassed ? Role::soft : Role::ink;
  const std::size_t count = slot.name.lines.size();
  for (std::size_t i = 0; i < count; ++i) {
    const double up = slot.reach.above + 0.62 + static_cast<double>(count - 1 - i) * line_pitch;
    text(slot.name.lines[i], {centre_x, y - up * u_}, Anchor::middle, u_, colour);
  }
  if (part.debris != DebrisMark::none) {
    const Point at{centre_x, y + (slot.reach.below + 0.95) * u_};
    for (Primitive& primitive : draw_debris_mark(part.debris, at, u_)) add(std::move(primitive));
    block({.left = at.x - 0.6 * u_, .top = at.y - 0.6 * u_, .right = at.x + 0.6 * u_, .bottom = at.y + 0.6 * u_});
  }
  if (!part.port.empty()) {
    const double side = flow == Flow::leftward ? -1.0 : 1.0;
    const Point at{centre_x + side * (slot.symbol / 2.0 + 0.5 * gauge_room * u_), y};
    for (Primitive& primitive : draw_gauge(part.port, at, u_)) add(std::move(primitive));
    block({.left = at.x - 1.0 * u_, .top = y, .right = at.x + 1.0 * u_, .bottom = y + gauge_depth * u_});
  }
}

/// Dash-and-dot boxes round the framed runs of a leg.
void Layout::draw_frames(const Leg& leg, double y, bool on_page) {
  for (std::size_t i = 0; i < leg.slots.size();) {
    const int frame = leg.slots[i].frame;
    std::size_t end = i + 1;
    if (frame < 0) {
      i = end;
      continue;
    }
    const int row = on_page ? 0 : row_of(leg.slots[i].centre());
    while (end < leg.slots.size() && leg.slots[end].frame == frame &&
           (on_page || row_of(leg.slots[end].centre()) == row)) {
      ++end;
    }
    double above = 0.0;
    double below = 0.0;
    double left = std::numeric_limits<double>::max();
    double right = 0.0;
    for (std::size_t k = i; k < end; ++k) {
      const Slot& slot = leg.slots[k];
      above = std::max(above, slot.reach.above + 0.5 + static_cast<double>(slot.name.lines.size()) * line_pitch);
      double depth = slot.reach.below + (slot.part->debris == DebrisMark::none ? 0.0 : 1.7);
      if (!slot.part->port.empty()) depth = std::max(depth, gauge_depth);
      below = std::max(below, depth);
      left = std::min(left, slot.left);
      right = std::max(right, slot.right());
    }
    const double base = on_page ? y : lane_y(row, leg.lane);
    const double page_left = on_page ? left : page_x(left, row);
    const std::string& label = data_.frames[static_cast<std::size_t>(frame)].label;
    const double bottom = below + (label.empty() ? 0.4 : 1.7);
    const double width = std::max(right - left, label.empty() ? 0.0 : measure(label, {.size = 0.92 * u_}).width + u_);
    add(Rectangle{
        .corner = {page_left, base - (above + 0.6) * u_},
        .width = width,
        .height = (above + 0.6 + bottom) * u_,
        .stroke = {.colour = Role::soft, .width = 0.075 * u_, .dash = {1.0 * u_, 0.3 * u_, 0.18 * u_, 0.3 * u_}}});
    if (!label.empty()) {
      text(label, {page_left + 0.5 * u_, base + (bottom - 0.5) * u_}, Anchor::start, 0.92 * u_, Role::soft);
    }
    i = end;
  }
}

/// A free stretch of a leg's line, over the end of a row if need be.
void Layout::draw_run(const Leg& leg, double from, double to, bool thin, bool added) {
  const int first = row_of(from);
  const int last = row_of(to);
  Point at{page_x(from, first), lane_y(first, leg.lane)};
  std::vector<Point> way{at};
  for (int row = first; row < last; ++row) {
    const double turn = page_x(cuts_[static_cast<std::size_t>(row)], row) + 0.7 * u_;
    const double between = gap_y(row);
    const double back = row_left_[static_cast<std::size_t>(row) + 1] - 0.9 * u_;
    const double next = lane_y(row + 1, leg.lane);
    way.push_back({turn, at.y});
    way.push_back({turn, between});
    way.push_back({back, between});
    way.push_back({back, next});
    add(arrow_head({0.5 * (turn + back), between}, u_, 180.0, Role::ink));
    verticals_.push_back({.x = turn, .top = at.y, .bottom = between});
    verticals_.push_back({.x = back, .top = between, .bottom = next});
    at.y = next;
  }
  way.push_back({page_x(to, last), at.y});
  add(Polyline{.points = way, .stroke = line_stroke(u_, thin, added)});
}

void Layout::draw_supply() {
  std::vector<int> touching(node_names_.size(), 0);
  for (const auto* legs : {&supply_, &back_}) {
    for (const Leg& leg : *legs) {
      ++touching[leg.from];
      ++touching[leg.to];
    }
  }
  const std::size_t tanks = data_.tanks.size();
  for (const Leg& leg : supply_) {
    add(GroupBegin{.title = "supply: " + leg.in->id, .description = {}});
    const bool thin = !leg.slots.empty() && std::all_of(leg.slots.begin(), leg.slots.end(),
                                                        [](const Slot& slot) { return slot.part->bypassed; });
    const bool added = !leg.slots.empty() && std::all_of(leg.slots.begin(), leg.slots.end(),
                                                         [](const Slot& slot) { return slot.part->added; });
    double at = leg.x0;
    // A line between two parts was added if both were; at the ends of a leg the one part decides.
    bool after_added = added || (!leg.inside.empty() ? leg.inside.back().part->added
                                                     : !leg.slots.empty() && leg.slots.front().part->added);
    for (const Slot& slot : leg.slots) {
      const double half = slot.reach.half_width * u_;
      const double centre = slot.left + slot.symbol / 2.0;
      draw_run(leg, at, centre - half, thin, added || (after_added && slot.part->added));
      at = centre + half;
      after_added = slot.part->added;
    }
    draw_run(leg, at, leg.x1, thin, after_added);
    for (const Slot& slot : leg.slots) {
      const double centre = slot.left + slot.symbol / 2.0;
      const int row = row_of(slot.centre());
      draw_slot(slot, page_x(centre, row), lane_y(row, leg.lane), Flow::rightward);
    }
    draw_frames(leg, 0.0, false);
    for (const std::size_t end : {leg.from, leg.to}) {
      if (end < tanks || node_lane_[end] == leg.lane) continue;
      const int row = row_of(node_x_[end]);
      const double x = page_x(node_x_[end], row);
      const double a = lane_y(row, node_lane_[end]);
      const double b = lane_y(row, leg.lane);
      line({x, a}, {x, b}, thin, added);
      verticals_.push_back({.x = x, .top = std::min(a, b), .bottom = std::max(a, b)});
    }
    add(GroupEnd{});
  }
  for (std::size_t i = tanks; i < node_names_.size(); ++i) {
    bool supplied = false;
    for (const Leg& leg : supply_) supplied = supplied || leg.from == i || leg.to == i;
    if (!supplied) continue;
    const int row = row_of(node_x_[i]);
    node_at_[i] = Point{page_x(node_x_[i], row), lane_y(row, node_lane_[i])};
    if (touching[i] > 2 && node_names_[i] != engine) dot(*node_at_[i]);
    // A return may run on where the line between two lanes ends.
    const bool returned =
        std::any_of(back_.begin(), back_.end(), [&](const Leg& leg) { return leg.from == i || leg.to == i; });
    for (const Leg& leg : supply_) {
      const bool ends_here = leg.from == i || leg.to == i;
      if (returned && ends_here && leg.lane != node_lane_[i]) dot({node_at_[i]->x, lane_y(row, leg.lane)});
    }
  }
}

/// Whether the name of a sump stands left of its box, under the tank.
bool Layout::fits_beside_sump(const std::string& label) const {
  return measure(label, {.size = u_}).width <= tank_width_ - 3.2 * u_;
}

/// The names of what hangs in a tank, one after another.
std::vector<std::string> Layout::names_beside_tank(const Leg& leg) const {
  std::vector<std::string> lines;
  for (const Slot& slot : leg.inside) lines.insert(lines.end(), slot.name.lines.begin(), slot.name.lines.end());
  return lines;
}

/// Whether they stand right of its wall, under their line and its gauges.
bool Layout::fits_beside_tank(const Leg& leg) const {
  double width = 0.0;
  for (const Slot& slot : leg.inside) width = std::max(width, slot.name.width);
  return width + 2.4 * u_ <= leg.length && names_beside_tank(leg).size() <= 4;
}

/// The tank's name, and under it those of its sumps that have no room beside them.
BrokenName Layout::names_under_tank(std::size_t tank) const {
  BrokenName all = broken(data_.tanks[tank].label, u_, tank_width_);
  const auto stand_under = [&](const std::string& label) {
    all.lines.emplace_back();
    for (std::string& line : broken(label, u_, tank_width_).lines) all.lines.push_back(std::move(line));
  };
  for (const Leg& leg : supply_) {
    if (leg.from != tank || fits_beside_tank(leg)) continue;
    for (const Slot& slot : leg.inside) stand_under(slot.part->label);
  }
  for (const Leg& leg : supply_) {
    if (leg.from != tank || !leg.from_sump || fits_beside_sump(leg.in->parts.front().label)) continue;
    stand_under(leg.in->parts.front().label);
  }
  return all;
}

/// Height of a tank's walls, units: its level mark stands over what hangs in it.
double Layout::tank_depth(std::size_t tank) const {
  double depth = tank_height;
  for (const Leg& leg : supply_) {
    if (leg.from != tank || leg.inside.empty()) continue;
    double parts = 3.4;
    for (const Slot& slot : leg.inside) parts += 2.0 * slot.reach.half_width + 0.4;
    depth = std::max(depth, parts);
  }
  return depth;
}

/// The parts that hang in a tank, one over another on the pipe; returns where the pipe goes on up.
double Layout::draw_inside(const Leg& leg, double x, double floor) {
  double y = floor - 0.6 * u_;
  for (const Slot& slot : leg.inside) {
    const double half = slot.reach.half_width * u_;
    const double centre = y - 0.4 * u_ - half;
    line({x, y}, {x, centre + half}, slot.part->bypassed, slot.part->added);
    for (Primitive& primitive : draw_symbol(*slot.part, {x, centre}, u_, Flow::upward)) add(std::move(primitive));
    if (slot.part->debris != DebrisMark::none) {
      const Point at{x - (slot.reach.above + 0.8) * u_, centre};
      for (Primitive& primitive : draw_debris_mark(slot.part->debris, at, u_)) add(std::move(primitive));
    }
    y = centre - half;
  }
  if (fits_beside_tank(leg)) {
    const std::vector<std::string> lines = names_beside_tank(leg);
    const double right = tank_left_ + tank_width_ + 0.5 * u_;
    for (std::size_t i = 0; i < lines.size(); ++i) {
      const double up = static_cast<double>(lines.size() - 1 - i) * line_pitch;
      text(lines[i], {right, floor + (0.9 - up) * u_}, Anchor::start, u_);
    }
  }
  double port = row_left_[0] + 0.5 * gauge_room * u_;
  for (const Slot& slot : leg.inside) {
    if (slot.part->port.empty()) continue;
    const Point at{port, lane_y(0, leg.lane)};
    for (Primitive& primitive : draw_gauge(slot.part->port, at, u_)) add(std::move(primitive));
    block({.left = at.x - 1.0 * u_, .top = at.y, .right = at.x + 1.0 * u_, .bottom = at.y + gauge_depth * u_});
    port += gauge_room * u_;
  }
  return y;
}

void Layout::draw_tanks() {
  for (std::size_t i = 0; i < data_.tanks.size(); ++i) {
    const double y = lane_y(0, static_cast<int>(i));
    int incoming = 0;
    for (const Leg& leg : back_) incoming += leg.to == i ? 1 : 0;
    const double top = y + (1.0 + 0.55 * incoming) * u_;
    const double bottom = top + tank_depth(i) * u_;
    const double right = tank_left_ + tank_width_;
    add(GroupBegin{.title = data_.tanks[i].label, .description = {}});
    add(Polyline{.points = {{tank_left_, top}, {tank_left_, bottom}, {right, bottom}, {right, top}},
                 .stroke = {.colour = Role::ink, .width = 0.14 * u_}});
    // Level mark: a triangle on the surface with two strokes under it.
    const double level = top + 1.7 * u_;
    const double middle = tank_left_ + 0.45 * tank_width_;
    add(Line{.from = {tank_left_ + 0.3 * u_, level},
             .to = {right - 0.3 * u_, level},
             .stroke = {.colour = Role::soft, .width = 0.06 * u_}});
    add(Polyline{
        .points = {{middle - 0.45 * u_, level - 0.75 * u_}, {middle + 0.45 * u_, level - 0.75 * u_}, {middle, level}},
        .closed = true,
        .stroke = {.colour = Role::soft, .width = 0.06 * u_},
        .fill = Role::sheet});
    add(Line{.from = {middle - 0.45 * u_, level + 0.35 * u_},
             .to = {middle + 0.45 * u_, level + 0.35 * u_},
             .stroke = {.colour = Role::soft, .width = 0.06 * u_}});
    add(Line{.from = {middle - 0.22 * u_, level + 0.65 * u_},
             .to = {middle + 0.22 * u_, level + 0.65 * u_},
             .stroke = {.colour = Role::soft, .width = 0.06 * u_}});
    for (Primitive& primitive :
         draw_debris_mark(data_.tanks[i].debris, {tank_left_ + 0.85 * u_, bottom - 0.8 * u_}, u_)) {
      add(std::move(primitive));
    }
    block({.left = tank_left_, .top = top, .right = right, .bottom = bottom});
    const double begins = row_left_[0];
    double under = bottom;
    // The line of a sump rises first; those from the wall keep clear of it.
    int walls =
        std::any_of(supply_.begin(), supply_.end(), [i](const Leg& leg) { return leg.from == i && leg.from_sump; }) ? 2
                                                                                                                    : 0;
    int pipes = 0;
    for (const Leg& leg : supply_) {
      if (leg.from != i) continue;
      const bool thin = !leg.slots.empty() && std::all_of(leg.slots.begin(), leg.slots.end(),
                                                          [](const Slot& slot) { return slot.part->bypassed; });
      const bool added =
          !leg.inside.empty() ? leg.inside.back().part->added : !leg.slots.empty() && leg.slots.front().part->added;
      const double lane = lane_y(0, leg.lane);
      std::vector<Point> way;
      if (leg.from_sump) {
        const SchematicPart& sump = leg.in->parts.front();
        const double left = right - 2.9 * u_;
        const double drop = bottom + 1.3 * u_;
        add(Rectangle{.corner = {left, bottom},
                      .width = 2.2 * u_,
                      .height = 1.3 * u_,
                      .stroke = line_stroke(u_, sump.bypassed, sump.added),
                      .fill = Role::sheet});
        if (fits_beside_sump(sump.label)) text(sump.label, {left - 0.3 * u_, bottom + 1.05 * u_}, Anchor::end, u_);
        const double turn = right + 0.5 * u_;
        way = {{left + 2.2 * u_, bottom + 0.65 * u_}, {turn, bottom + 0.65 * u_}, {turn, lane}, {begins, lane}};
        under = std::max(under, drop + 0.2 * u_);
      } else if (leg.lane == static_cast<int>(i)) {
        double reach = 0.9;
        for (const Slot& slot : leg.inside) reach = std::max(reach, slot.reach.below + 0.4);
        const double x = right - (reach + 1.1 * pipes++) * u_;
        const double from = leg.inside.empty() ? bottom - 0.6 * u_ : draw_inside(leg, x, bottom);
        way = {{x, from}, {x, lane}, {begins, lane}};
      } else {
        const double from = bottom - (0.8 + 0.8 * walls) * u_;
        const double turn = right + (0.4 + 0.35 * walls++) * u_;
        way = {{right, from}, {turn, from}, {turn, lane}, {begins, lane}};
      }
      add(Polyline{.points = way, .stroke = line_stroke(u_, thin, added)});
    }
    const BrokenName label = names_under_tank(i);
    for (std::size_t k = 0; k < label.lines.size(); ++k) {
      if (label.lines[k].empty()) continue;
      text(label.lines[k], {tank_left_ + tank_width_ / 2.0, under + (1.1 + static_cast<double>(k) * line_pitch) * u_},
           Anchor::middle, u_);
    }
    add(GroupEnd{});
  }
}

void Layout::draw_engine() {
  const SchematicHighSide& high = data_.high_side;
  const int row = static_cast<int>(rows()) - 1;
  const double y = lane_y(row, node_lane_[node_of_.at(std::string(engine))]);
  double x = engine_x_;
  add(GroupBegin{.title = "High-pressure side", .description = {}});
  const auto name_over = [&](const BrokenName& name, double centre, double reach) {
    for (std::size_t i = 0; i < name.lines.size(); ++i) {
      const double up = reach + 0.62 + static_cast<double>(name.lines.size() - 1 - i) * line_pitch;
      text(name.lines[i], {centre, y - up * u_}, Anchor::middle, u_);
    }
  };
  const auto mark = [&](DebrisMark debris, Point centre) {
    for (Primitive& primitive : draw_debris_mark(debris, centre, u_)) add(std::move(primitive));
  };
  add(arrow_head({x + 0.35 * u_, y}, u_, 0.0, Role::ink));
  const double frame_left = x + 0.35 * u_;
  if (high.metering_valve) {
    const SchematicPart valve{.id = {}, .symbol = Symbol::metering_valve, .label = {}, .port = {}};
    const double centre = x + metering_width_ / 2.0 + 0.2 * u_;
    const double half = extent(valve).half_width * u_;
    line({x, y}, {centre - half, y});
    for (Primitive& primitive : draw_symbol(valve, {centre, y}, u_, Flow::rightward)) add(std::move(primitive));
    mark(high.metering_debris, {centre, y + (extent(valve).below + 0.7) * u_});
    name_over(metering_name_, centre, 2.4);
    line({centre + half, y}, {x + metering_width_, y});
    x += metering_width_;
  }
  const SchematicPart pump{.id = {}, .symbol = Symbol::gear_pump, .label = {}, .port = {}};
  const double pump_x = x + pump_width_ / 2.0;
  line({x, y}, {pump_x - 1.2 * u_, y});
  for (Primitive& primitive : draw_symbol(pump, {pump_x, y}, u_, Flow::rightward)) add(std::move(primitive));
  mark(high.pump_debris, {pump_x + 0.95 * u_, y + 1.8 * u_});
  name_over(pump_name_, pump_x, 2.4);
  x += pump_width_;
  const double frame_top =
      y -
      (engine_above_ -
       (high.rails == 2
            ? 8.0 - (2.4 + 1.4 +
                     line_pitch * static_cast<double>(std::max(metering_name_.lines.size(), pump_name_.lines.size())))
            : 0.0) -
       0.1) *
          u_;
  if (high.metering_valve)
    add(Rectangle{
        .corner = {frame_left, frame_top},
        .width = x - frame_left,
        .height = y + 2.0 * u_ - frame_top,
        .stroke = {.colour = Role::soft, .width = 0.075 * u_, .dash = {1.0 * u_, 0.3 * u_, 0.18 * u_, 0.3 * u_}}});
  const double rail_x = x + 1.6 * u_;
  const double rail_end = rail_x + rail_length_;
  const double collect = (high.rails == 2 ? 7.6 : 5.2) * u_;  // leak-off collector from the line
  const Stroke dashed{.colour = Role::ink, .width = 0.09 * u_, .dash = {0.28 * u_, 0.2 * u_}};
  // Where the leak-off of an injector comes down.
  const auto drop = [&](int injectors, int number) {
    return rail_x + rail_length_ / injectors * (number + 0.5) + 0.5 * u_;
  };
  const auto rail = [&](int injectors, Point lies) {
    // `lies`: where the rail lies and on which side of it the injectors stand.
    const double centre = lies.x;
    const double side = lies.y;
    add(Rectangle{.corner = {rail_x, centre - 0.45 * u_},
                  .width = rail_length_,
                  .height = 0.9 * u_,
                  .stroke = line_stroke(u_, false, false),
                  .fill = Role::sheet});
    add(Rectangle{.corner = {rail_x + 0.18 * u_, centre - 0.27 * u_},
                  .width = rail_length_ - 0.36 * u_,
                  .height = 0.54 * u_,
                  .stroke = {.colour = Role::ink, .width = 0.06 * u_}});
    mark(high.rail_debris, {rail_x + 1.0 * u_, centre});
    const double pitch = rail_length_ / injectors;
    mark(high.injector_debris, {rail_x + 0.5 * pitch - 0.2 * u_, centre + side * 4.45 * u_});
    for (int i = 0; i < injectors; ++i) {
      const double at = rail_x + pitch * (i + 0.5) - 0.2 * u_;
      const auto from = [&](double down) { return centre + side * down * u_; };
      line({at, from(0.45)}, {at, from(1.5)});
      const double body = std::min(from(1.5), from(2.9));
      add(Rectangle{.corner = {at - 0.36 * u_, body},
                    .width = 0.72 * u_,
                    .height = 1.4 * u_,
                    .stroke = line_stroke(u_, false, false),
                    .fill = Role::sheet});
      add(Polyline{.points = {{at - 0.36 * u_, from(2.9)}, {at + 0.36 * u_, from(2.9)}, {at, from(3.8)}},
                   .closed = true,
                   .stroke = {},
                   .fill = Role::ink});
      add(Polyline{.points = {{at + 0.36 * u_, from(2.2)},
                              {drop(injectors, i), from(2.2)},
                              {drop(injectors, i), y + side * collect}},
                   .stroke = dashed});
    }
  };
  const double joint_y = y + collect;
  if (high.rails == 1) {
    line({pump_x + 1.2 * u_, y}, {rail_x, y});
    rail(high.injectors, {y, 1.0});
    text(fmt::format("{}, {} {}", high.rail_label, high.injectors, high.injector_label), {rail_x, y - 0.95 * u_},
         Anchor::start, u_);
    add(Line{.from = {drop(high.injectors, high.injectors - 1), joint_y}, .to = {pump_x, joint_y}, .stroke = dashed});
  } else {
    const double split = x + 0.7 * u_;
    const int first = (high.injectors + 1) / 2;
    line({pump_x + 1.2 * u_, y}, {split, y});
    for (const double side : {-1.0, 1.0}) {
      add(Polyline{.points = {{split, y}, {split, y + side * 2.6 * u_}, {rail_x, y + side * 2.6 * u_}},
                   .stroke = line_stroke(u_, false, false)});
      rail(side < 0.0 ? first : high.injectors - first, {y + side * 2.6 * u_, side});
    }
    dot({split, y});
    // The crossover as a bow at the far end.
    add(Arc{.centre = {rail_end, y},
            .radius = 2.6 * u_,
            .from_deg = -90.0,
            .to_deg = 90.0,
            .stroke = line_stroke(u_, false, false)});
    text(fmt::format("{} 1, {} {}", high.rail_label, first, high.injector_label), {rail_x, y - 1.1 * u_}, Anchor::start,
         u_);
    text(fmt::format("{} 2, {} {}", high.rail_label, high.injectors - first, high.injector_label),
         {rail_x, y + 1.75 * u_}, Anchor::start, u_);
    const double far = rail_end + 3.2 * u_;
    add(Polyline{.points = {{drop(first, 0), y - collect}, {far, y - collect}, {far, joint_y}, {pump_x, joint_y}},
                 .stroke = dashed});
  }
  text(high.leak_off_label, {rail_x, joint_y + 1.1 * u_}, Anchor::start, u_, Role::soft);
  line({pump_x, y + 1.2 * u_}, {pump_x, joint_y});
  block({.left = engine_x_ - 0.5 * u_, .top = y - engine_above_ * u_, .right = width_, .bottom = joint_y - 0.1 * u_});
  const auto found = node_of_.find(std::string(engine_return));
  if (found != node_of_.end()) {
    node_at_[found->second] = Point{pump_x, joint_y};
    dot({pump_x, joint_y});
  }
  add(GroupEnd{});
}

bool Layout::strip_free(const Vertical& strip) const {
  const double half = 0.45 * u_;
  const double top = strip.top + 0.05 * u_;
  const double bottom = strip.bottom - 0.05 * u_;
  const bool blocked = std::any_of(blocks_.begin(), blocks_.end(), [&](const Box& box) {
    return box.left < strip.x + half && box.right > strip.x - half && box.top < bottom && box.bottom > top;
  });
  const bool beside = std::any_of(verticals_.begin(), verticals_.end(), [&](const Vertical& line) {
    return std::abs(line.x - strip.x) < 0.7 * u_ && line.top < bottom && line.bottom > top;
  });
  return !blocked && !beside;
}

double Layout::free_channel(const Vertical& wish) const {
  const double low = riser_left_ + 0.6 * u_;
  const double step = 0.2 * u_;
  const auto steps = static_cast<int>(width_ / step);
  for (int i = 0; i <= steps; ++i) {
    for (const double side : {1.0, -1.0}) {
      const double x = wish.x + side * i * step;
      if (x < low || x > width_ - 0.5 * u_) continue;
      if (strip_free({.x = x, .top = wish.top, .bottom = wish.bottom})) return x;
    }
  }
  return wish.x;
}

double Layout::descend(Point from, int row, double bottom, std::vector<Point>& way) {
  way.push_back(from);
  if (strip_free({.x = from.x, .top = from.y + 0.3 * u_, .bottom = bottom})) {
    verticals_.push_back({.x = from.x, .top = from.y, .bottom = bottom});
    return from.x;
  }
  const double aside = gap_y(row);
  // A second line from the same junction runs with the first as far as that one's corner.
  for (const Vertical& line : verticals_) {
    const bool same = std::abs(line.x - from.x) < 1e-6 && std::abs(line.top - from.y) < 1e-6;
    if (same && line.bottom < aside) dot({from.x, line.bottom});
  }
  const double x = free_channel({.x = from.x, .top = aside, .bottom = bottom});
  way.push_back({from.x, aside});
  way.push_back({x, aside});
  verticals_.push_back({.x = from.x, .top = from.y, .bottom = aside});
  verticals_.push_back({.x = x, .top = aside, .bottom = bottom});
  return x;
}

void Layout::draw_back() {
  const std::size_t tanks = data_.tanks.size();
  // Legs in an order in which the beginning of each is known.
  std::vector<Leg*> order;
  std::vector<bool> known(node_names_.size(), false);
  for (std::size_t i = 0; i < known.size(); ++i) known[i] = node_at_[i].has_value();
  std::vector<bool> taken(back_.size(), false);
  for (bool more = true; more;) {
    more = false;
    for (std::size_t k = 0; k < back_.size(); ++k) {
      if (taken[k] || !known[back_[k].from]) continue;
      taken[k] = true;
      known[back_[k].to] = true;
      order.push_back(&back_[k]);
      more = true;
    }
  }
  // Returns of nowhere begin at the right edge.
  for (std::size_t k = 0; k < back_.size(); ++k) {
    if (!taken[k]) order.push_back(&back_[k]);
  }
  // Room under the last row for returns that step aside there.
  const int last_row = static_cast<int>(rows()) - 1;
  const auto aside = std::count_if(back_.begin(), back_.end(), [&](const Leg& leg) {
    const auto here = [&](std::size_t end) {
      return node_at_[end].has_value() && node_names_[end] != engine_return && row_of(node_x_[end]) == last_row;
    };
    return here(leg.from) || here(leg.to);
  });
  double y = rows_.back().bottom + (0.9 + 0.9 * static_cast<double>(aside)) * u_;
  int riser = 0;
  std::map<std::size_t, int> entered;
  for (Leg* leg : order) {
    const double names = std::accumulate(leg->slots.begin(), leg->slots.end(), 0.0, [](double most, const Slot& slot) {
      return std::max(most, slot.reach.above + 0.5 + static_cast<double>(slot.name.lines.size()) * line_pitch +
                                (slot.frame >= 0 ? 0.8 : 0.0));
    });
    const double below = std::accumulate(leg->slots.begin(), leg->slots.end(), 0.3, [&](double most, const Slot& slot) {
      double depth = slot.reach.below + (slot.part->debris == DebrisMark::none ? 0.0 : 1.7);
      if (!slot.part->port.empty()) depth = std::max(depth, gauge_depth);
      if (slot.frame >= 0) depth += data_.frames[static_cast<std::size_t>(slot.frame)].label.empty() ? 0.7 : 2.0;
      return std::max(most, depth);
    });
    add(GroupBegin{.title = "return: " + leg->in->id, .description = {}});
    y += std::max(names, 0.6) * u_;
    const bool thin = !leg->slots.empty() && std::all_of(leg->slots.begin(), leg->slots.end(),
                                                         [](const Slot& slot) { return slot.part->bypassed; });
    const bool added = !leg->slots.empty() && std::all_of(leg->slots.begin(), leg->slots.end(),
                                                          [](const Slot& slot) { return slot.part->added; });
    const Stroke stroke = line_stroke(u_, thin, added);
    // From its beginning down to the lane.
    std::vector<Point> way;
    double right = width_ - u_;
    if (node_at_[leg->from]) {
      const Point from = *node_at_[leg->from];
      const bool supplied = node_names_[leg->from] != engine_return && from.y < rows_.back().bottom;
      if (supplied) {
        right = descend(from, row_of(node_x_[leg->from]), y, way);
      } else {
        way.push_back(from);
        right = from.x;
        verticals_.push_back({.x = right, .top = from.y, .bottom = y});
      }
    }
    way.push_back({right, y});
    // Its end.
    double left = 0.0;
    std::vector<Point> rest;
    if (leg->to < tanks) {
      left = riser_left_ - (0.5 + 1.0 * riser++) * u_;
      const int number = entered[leg->to]++;
      int incoming = 0;
      for (const Leg& other : back_) incoming += other.to == leg->to ? 1 : 0;
      const double lane = lane_y(0, static_cast<int>(leg->to));
      const double top = lane + (1.0 + 0.55 * incoming) * u_;
      const double hook = lane + (0.75 + 0.55 * number) * u_;
      const double in = tank_left_ + (0.9 + 0.9 * number) * u_;
      rest = {{left, y}, {left, hook}, {in, hook}, {in, top + 1.1 * u_}};
      verticals_.push_back({.x = left, .top = hook, .bottom = y});
    } else if (node_at_[leg->to]) {
      // Up to a junction of the supply: a descent read backwards.
      std::vector<Point> down;
      left = descend(*node_at_[leg->to], row_of(node_x_[leg->to]), y, down);
      rest.push_back({left, y});
      for (std::size_t i = down.size(); i-- > 0;) rest.push_back(down[i]);
    } else {
      left = std::max(right - leg->length - 1.5 * u_, riser_left_ + 2.0 * u_);
      rest.push_back({left, y});
      node_at_[leg->to] = Point{left, y};
      int touching = 0;
      for (const Leg& other : back_) touching += (other.from == leg->to ? 1 : 0) + (other.to == leg->to ? 1 : 0);
      if (touching > 2) dot({left, y});
    }
    // Its parts, right to left, clear of the lines that cross the lane. Where the way is too short for them it begins
    // with a detour to the right.
    const bool leftward = right >= left;
    const double begun = right;
    const auto clear = [&](double a, double b) {
      return std::none_of(verticals_.begin(), verticals_.end(), [&](const Vertical& line) {
        return line.x > a - 0.3 * u_ && line.x < b + 0.3 * u_ && line.top < y + below * u_ &&
               line.bottom > y - names * u_ && std::abs(line.x - begun) > 0.1 && std::abs(line.x - left) > 0.1;
      });
    };
    const auto put_parts = [&](double from, double spare) {
      double at = leftward ? from - leg_pad * u_ : from + leg_pad * u_;
      for (std::size_t i = 0; i < leg->slots.size(); ++i) {
        Slot& slot = leg->slots[i];
        const bool joined = i > 0 && slot.frame >= 0 && slot.frame == leg->slots[i - 1].frame;
        double shift = joined ? 0.0 : spare;
        for (int tries = 0; tries < 400; ++tries) {
          const double a = leftward ? at - shift - slot.width : at + shift;
          if (clear(a, a + slot.width)) break;
          shift += 0.25 * u_;
        }
        slot.left = leftward ? at - shift - slot.width : at + shift;
        at = leftward ? slot.left : slot.right();
      }
      return at;
    };
    const double free = (std::abs(right - left) - leg->length) / static_cast<double>(leg->slots.size() + 1);
    double reached = put_parts(right, std::clamp(free, 0.0, 6.0 * u_));
    if (leftward && !leg->slots.empty()) {
      if (reached < left + 0.3 * u_) reached = put_parts(right, 0.0);
      for (; reached < left + 0.3 * u_ && right < width_ - 1.5 * u_; right += 0.5 * u_) reached = put_parts(right, 0.0);
      if (right > begun + 0.1) {
        const double above = y - (std::max(names, 0.6) + 0.2) * u_;
        way.back().y = above;
        way.push_back({right, above});
        way.push_back({right, y});
      }
    }
    // The line in pieces between the parts.
    for (const Slot& slot : leg->slots) {
      const double centre = leftward ? slot.right() - slot.symbol / 2.0 : slot.left + slot.symbol / 2.0;
      const double half = slot.reach.half_width * u_;
      way.push_back({leftward ? centre + half : centre - half, y});
      add(Polyline{.points = way, .stroke = stroke});
      way = {{leftward ? centre - half : centre + half, y}};
    }
    const Point line_begin = way.back();
    for (const Point& point : rest) way.push_back(point);
    if (way.size() < 2) way.push_back(way.back());
    add(Polyline{.points = way, .stroke = stroke});
    for (const Slot& slot : leg->slots) {
      const double centre = leftward ? slot.right() - slot.symbol / 2.0 : slot.left + slot.symbol / 2.0;
      draw_slot(slot, centre, y, leftward ? Flow::leftward : Flow::rightward);
    }
    draw_frames(*leg, y, true);
    if (std::abs(line_begin.x - left) > 2.5 * u_) {
      add(arrow_head({0.5 * (line_begin.x + left), y}, u_, leftward ? 180.0 : 0.0, stroke.colour));
    }
    if (leg->to >= tanks && rest.size() > 1) {
      const Point tip{rest.back().x, rest.back().y + 0.3 * u_};
      add(arrow_head(tip, 0.9 * u_, -90.0, stroke.colour));
    }
    add(GroupEnd{});
    y += (below + 0.5) * u_;
  }
  figure_.height = back_.empty() ? rows_.back().bottom : y;
}

void Layout::draw_transfers() {
  for (const Leg& leg : transfers_) {
    const auto wall = [&](std::size_t tank) {
      int incoming = 0;
      for (const Leg& back : back_) incoming += back.to == tank ? 1 : 0;
      return lane_y(0, static_cast<int>(tank)) + (1.0 + 0.55 * incoming + tank_depth(tank) - 0.7) * u_;
    };
    const double from = wall(leg.from);
    const double to = wall(leg.to);
    const bool down = to > from;
    add(GroupBegin{.title = "transfer: " + leg.in->id, .description = {}});
    line({tank_left_, from}, {transfer_x_, from});
    double at = std::min(from, to);
    const double end = std::max(from, to);
    double length = 0.0;
    for (const Slot& slot : leg.slots) length += 2.0 * slot.reach.half_width * u_;
    const double spare = (end - at - length) / static_cast<double>(leg.slots.size() + 1);
    std::vector<const Slot*> slots;
    slots.reserve(leg.slots.size());
    for (const Slot& slot : leg.slots) slots.push_back(&slot);
    if (!down) std::reverse(slots.begin(), slots.end());
    for (const Slot* slot : slots) {
      const double half = slot->reach.half_width * u_;
      const double centre = at + spare + half;
      line({transfer_x_, at}, {transfer_x_, centre - half});
      for (Primitive& primitive : draw_symbol(*slot->part, {transfer_x_, centre}, u_, Flow::downward)) {
        add(std::move(primitive));
      }
      const auto count = static_cast<double>(slot->name.lines.size());
      for (std::size_t i = 0; i < slot->name.lines.size(); ++i) {
        const double down_lines = static_cast<double>(i) - (count - 1.0) / 2.0;
        text(slot->name.lines[i],
             {transfer_x_ - (slot->reach.below + 0.4) * u_, centre + (0.36 + down_lines * line_pitch) * u_},
             Anchor::end, u_);
      }
      at = centre + half;
    }
    line({transfer_x_, at}, {transfer_x_, end});
    line({transfer_x_, to}, {tank_left_, to});
    add(arrow_head({tank_left_, to}, 0.9 * u_, 0.0, Role::ink));
    add(GroupEnd{});
  }
}

/// What our own marks mean, where the figure uses them.
void Layout::draw_key() {
  std::set<DebrisMark> used;
  bool electrode = false;
  bool crossed = false;
  bool added = false;
  for (const SchematicLeg& leg : data_.legs) {
    for (const SchematicPart& part : leg.parts) {
      used.insert(part.debris);
      electrode = electrode || part.electrode;
      crossed = crossed || part.bypassed;
      added = added || part.added;
    }
  }
  for (const SchematicTank& tank : data_.tanks) used.insert(tank.debris);
  const SchematicHighSide& high = data_.high_side;
  if (high.metering_valve) used.insert(high.metering_debris);
  for (const DebrisMark debris : {high.pump_debris, high.rail_debris, high.injector_debris}) used.insert(debris);
  used.erase(DebrisMark::none);
  struct Entry {
    std::vector<Primitive> mark;
    std::string words;
  };
  std::vector<Entry> entries;
  const auto words_of = [](DebrisMark mark) {
    switch (mark) {
      case DebrisMark::metal_seen: return "metal seen";
      case DebrisMark::clean: return "seen clean";
      case DebrisMark::inferred: return "metal inferred";
      case DebrisMark::not_inspected: return "not inspected";
      case DebrisMark::none: break;
    }
    return "";
  };
  entries.reserve(used.size() + 3);
  for (const DebrisMark mark : used) {
    entries.push_back({.mark = draw_debris_mark(mark, {0.9 * u_, -0.32 * u_}, u_), .words = words_of(mark)});
  }
  if (electrode) {
    const Stroke stroke = line_stroke(u_, false, false);
    entries.push_back({.mark = {Line{.from = {0.6 * u_, -0.6 * u_}, .to = {0.6 * u_, -0.05 * u_}, .stroke = stroke},
                                Line{.from = {1.16 * u_, -0.6 * u_}, .to = {1.16 * u_, -0.05 * u_}, .stroke = stroke}},
                       .words = "water sensor"});
  }
  if (crossed) {
    const Stroke stroke = line_stroke(u_, true, false);
    entries.push_back({.mark = {Line{.from = {0.4 * u_, -0.8 * u_}, .to = {1.4 * u_, 0.2 * u_}, .stroke = stroke},
                                Line{.from = {0.4 * u_, 0.2 * u_}, .to = {1.4 * u_, -0.8 * u_}, .stroke = stroke}},
                       .words = "still there, not in the flow"});
  }
  if (added) {
    entries.push_back(
        {.mark = {Line{
             .from = {0.1 * u_, -0.32 * u_}, .to = {1.6 * u_, -0.32 * u_}, .stroke = line_stroke(u_, false, true)}},
         .words = "added"});
  }
  if (entries.empty()) return;
  double x = margin_;
  double y = figure_.height + 1.6 * u_;
  add(GroupBegin{.title = "Marks", .description = {}});
  for (Entry& entry : entries) {
    const double width = 2.1 * u_ + measure(entry.words, {.size = u_}).width + 1.6 * u_;
    if (x > margin_ && x + width > width_) {
      x = margin_;
      y += 1.5 * u_;
    }
    Figure mark{.width = 1.0, .height = 1.0, .title = {}, .description = {}, .primitives = std::move(entry.mark)};
    for (Primitive& primitive : moved(std::move(mark), x, y).primitives) add(std::move(primitive));
    text(entry.words, {x + 2.1 * u_, y}, Anchor::start, u_, Role::soft);
    x += width;
  }
  add(GroupEnd{});
  figure_.height = y + 0.5 * u_;
}

std::string describe(const SchematicData& data) {
  std::string words;
  for (const LegRole role : {LegRole::supply, LegRole::transfer, LegRole::back}) {
    for (const SchematicLeg& leg : data.legs) {
      if (leg.role != role) continue;
      words += fmt::format("{}{} from {} to {}", words.empty() ? "" : " ",
                           role == LegRole::supply ? "Supply"
                           : role == LegRole::back ? "Return"
                                                   : "Transfer",
                           leg.from, leg.to);
      for (std::size_t i = 0; i < leg.parts.size(); ++i) {
        const SchematicPart& part = leg.parts[i];
        words += fmt::format("{} {}{}{}", i == 0 ? ":" : ",", part.label.empty() ? part.id : part.label,
                             part.port.empty() ? std::string() : " (port " + part.port + ")",
                             part.bypassed ? " (not in the flow)"
                             : part.added  ? " (added)"
                                           : "");
      }
      words += ".";
    }
  }
  const SchematicHighSide& high = data.high_side;
  return words + fmt::format(" High side: {}, {} {}, {} {}.", high.pump_label, high.rails, high.rail_label,
                             high.injectors, high.injector_label);
}

Figure Layout::draw() {
  draw_tanks();
  draw_supply();
  draw_engine();
  draw_transfers();
  draw_back();
  draw_key();
  figure_.width = width_;
  figure_.height += 0.4 * u_;
  figure_.title = data_.title;
  figure_.description = describe(data_);
  return std::move(figure_);
}

}  // namespace

Result<Figure> schematic_figure(const SchematicData& data) {
  if (auto fonts = load_fonts(); !fonts) return tl::unexpected(fonts.error());
  Layout tight(data, 0.0);
  if (auto ok = tight.place(); !ok) return tl::unexpected(ok.error());
  // As much air between the parts as the same number of rows allows.
  for (int i = 8; i > 0; --i) {
    Layout airy(data, 0.3 * i);
    if (auto ok = airy.place(); !ok) return tl::unexpected(ok.error());
    if (airy.rows() == tight.rows() && airy.width() <= std::max(tight.width(), data.size.width)) return airy.draw();
  }
  return tight.draw();
}

}  // namespace fw::report
