// SPDX-License-Identifier: Apache-2.0
#include "report/figure_schematic.hpp"

#include <algorithm>
#include <array>
#include <random>

#include <gtest/gtest.h>

#include "report/canvas.hpp"
#include "report/figure_label.hpp"
#include "report/figure_symbol.hpp"
#include "report/font.hpp"

namespace fw::report {
namespace {

struct Ends {
  std::string from;
  std::string to;
};

SchematicLeg leg(std::string id, Ends ends, LegRole role, std::vector<SchematicPart> parts) {
  return {.id = std::move(id),
          .from = std::move(ends.from),
          .to = std::move(ends.to),
          .role = role,
          .parts = std::move(parts)};
}

SchematicLeg plain_return() {
  return leg("return", {.from = "engine-return", .to = "tank"}, LegRole::back,
             {{.id = "cooler", .symbol = Symbol::cooler, .label = "return cooler", .port = {}}});
}

SchematicPart part(std::string id, Symbol symbol, std::string label, std::string port = {}) {
  return {.id = std::move(id), .symbol = symbol, .label = std::move(label), .port = std::move(port)};
}

/// Suction-fed, gear stage, fine filter behind it.
SchematicData suction_fed() {
  SchematicData data{.title = "Suction-fed with gear stage", .tanks = {{}}};
  data.legs = {
      leg("supply", {.from = "tank", .to = "engine"}, LegRole::supply,
          {part("strainer", Symbol::strainer, "strainer"), part("line", Symbol::tube, "plastic line 5 m", "V1"),
           part("separator", Symbol::filter_separator, "separator, heater", "W"),
           part("primer", Symbol::hand_pump, "hand primer"), part("hose", Symbol::hose, "hose 1 m", "V2"),
           part("gear", Symbol::gear_pump, "gear stage", "P1"), part("fine", Symbol::filter, "fine filter", "P3")}),
      plain_return()};
  data.legs[0].parts[2].drain = true;
  data.legs[0].parts[2].electrode = true;
  data.frames = {{.label = "filter head", .parts = {"separator", "primer"}}};
  return data;
}

/// Chassis unit with thermostat: a return into the supply.
SchematicData chassis_unit() {
  SchematicData data{.title = "Chassis pump with separator", .tanks = {{}}};
  data.legs = {
      leg("suction", {.from = "tank", .to = "unit"}, LegRole::supply,
          {part("strainer", Symbol::strainer, "strainer"), part("suction-hose", Symbol::hose, "suction hose")}),
      leg("push", {.from = "unit", .to = "engine"}, LegRole::supply,
          {part("separator", Symbol::filter_separator, "separator", "W"), part("heater", Symbol::heater, "heater"),
           part("pump", Symbol::motor_pump, "chassis pump", "P1"), part("line", Symbol::tube, "line 3.2 m", "P2"),
           part("filter", Symbol::filter, "engine filter"), part("hose", Symbol::hose, "hose", "P3")}),
      leg("hot", {.from = "engine-return", .to = "split"}, LegRole::back, {part("cooler", Symbol::cooler, "cooler")}),
      leg("cold", {.from = "split", .to = "unit"}, LegRole::back,
          {part("thermostat", Symbol::thermostat, "thermostat")}),
      leg("warm", {.from = "split", .to = "tank"}, LegRole::back, {})};
  data.frames = {{.label = "chassis unit", .parts = {"separator", "heater", "pump"}}};
  data.high_side.rails = 2;
  data.high_side.injectors = 8;
  return data;
}

/// Assist unit with sump, own return, parts left out of the flow.
SchematicData assisted() {
  SchematicData data{.title = "Assist unit in series", .tanks = {{.id = "tank", .label = "main tank, 120 L"}}};
  data.legs = {
      leg("lift", {.from = "tank", .to = "unit-out"}, LegRole::supply,
          {part("sump", Symbol::sump, "sump"), part("cock", Symbol::shut_off, "shut-off"),
           part("hose-10", Symbol::hose, "hose \u221210"),
           part("water", Symbol::filter_separator, "water separator", "VA"),
           part("assist", Symbol::motor_pump, "assist pump 9 psi", "PA"), part("fine", Symbol::filter, "fine filter")}),
      leg("push", {.from = "unit-out", .to = "t1"}, LegRole::supply,
          {part("push-hose", Symbol::hose, "push hose \u221210")}),
      leg("old", {.from = "t1", .to = "t2"}, LegRole::supply,
          {part("head", Symbol::filter_separator, "plain filter head")}),
      leg("kept", {.from = "t1", .to = "t2"}, LegRole::supply,
          {part("chassis", Symbol::motor_pump, "chassis pump", "P1")}),
      leg("up", {.from = "t2", .to = "engine"}, LegRole::supply,
          {part("hard", Symbol::tube, "hard line", "P2"), part("engine-filter", Symbol::filter, "engine filter"),
           part("last-hose", Symbol::hose, "hose", "P3")}),
      leg("spill", {.from = "unit-out", .to = "tank"}, LegRole::back,
          {part("regulator", Symbol::regulator, "regulator"),
           part("return-hose", Symbol::hose, "return hose \u22128")}),
      plain_return()};
  for (SchematicPart& added : data.legs[0].parts) added.added = true;
  data.legs[2].parts[0].bypassed = true;
  data.legs[3].parts[0].debris = DebrisMark::metal_seen;
  data.legs[4].parts[1].debris = DebrisMark::not_inspected;
  data.frames = {{.label = "assist unit", .parts = {"water", "assist", "fine"}}};
  return data;
}

/// Two tanks, tee and transfer pump.
SchematicData two_tanks() {
  SchematicData data{.title = "Two tanks",
                     .tanks = {{.id = "left", .label = "left tank"}, {.id = "right", .label = "right tank"}}};
  data.legs = {
      leg("a", {.from = "left", .to = "tee"}, LegRole::supply, {part("s1", Symbol::strainer, "strainer")}),
      leg("b", {.from = "right", .to = "tee"}, LegRole::supply,
          {part("s2", Symbol::strainer, "strainer"), part("check", Symbol::check_valve, "check valve")}),
      leg("main", {.from = "tee", .to = "engine"}, LegRole::supply,
          {part("selector", Symbol::selector, "selector"), part("filter", Symbol::filter, "filter", "V2"),
           part("orifice", Symbol::orifice, "orifice"), part("jet", Symbol::jet_pump, "jet pump"),
           part("relief", Symbol::relief_valve, "relief")}),
      leg("return", {.from = "engine-return", .to = "left"}, LegRole::back, {part("cooler", Symbol::cooler, "cooler")}),
      leg("back", {.from = "tee", .to = "right"}, LegRole::back, {part("check-2", Symbol::check_valve, "check")}),
      leg("x", {.from = "left", .to = "right"}, LegRole::transfer,
          {part("cock", Symbol::shut_off, "shut-off"), part("transfer", Symbol::motor_pump, "transfer pump")})};
  return data;
}

/// Systems drawn by lot: legs in series, branches in parallel, spills, one or two tanks, every symbol.
SchematicData drawn_by_lot(std::mt19937& lot) {
  const auto upto = [&](int most) { return static_cast<int>(lot() % static_cast<unsigned>(most + 1)); };
  const std::array<const char*, 8> names = {"filter",
                                            "water separator",
                                            "assist pump 9 psi",
                                            "hose \u221210, 1.9 m",
                                            "check",
                                            "high-flow fine filter element",
                                            "",
                                            "P"};
  SchematicData data{.title = "by lot"};
  int number = 0;
  const auto parts = [&](int most) {
    std::vector<SchematicPart> all;
    for (int i = upto(most); i > 0; --i) {
      auto symbol = static_cast<Symbol>(upto(static_cast<int>(Symbol::other)));
      if (symbol == Symbol::sump) symbol = Symbol::tube;
      SchematicPart one = part("p" + std::to_string(++number), symbol, names[static_cast<std::size_t>(upto(7))]);
      if (upto(3) == 0) one.port = "P" + std::to_string(number);
      one.drain = upto(5) == 0;
      one.debris = static_cast<DebrisMark>(upto(12) < 4 ? upto(4) : 0);
      all.push_back(std::move(one));
    }
    return all;
  };
  const int tanks = 1 + upto(1);
  for (int i = 0; i < tanks; ++i)
    data.tanks.push_back({.id = "tank" + std::to_string(i), .label = "tank " + std::to_string(i)});
  std::string at = "tee";
  for (int i = 0; i < tanks; ++i) {
    data.legs.push_back(
        leg("t" + std::to_string(i), {.from = "tank" + std::to_string(i), .to = "tee"}, LegRole::supply, parts(3)));
  }
  std::vector<std::string> junctions{"tee"};
  for (int stage = 0; stage < 1 + upto(3); ++stage) {
    const std::string next = "j" + std::to_string(stage);
    for (int branch = 0; branch <= (upto(2) == 0 ? 1 + upto(1) : 0); ++branch) {
      data.legs.push_back(leg("s" + std::to_string(stage) + "-" + std::to_string(branch), {.from = at, .to = next},
                              LegRole::supply, parts(4)));
    }
    junctions.push_back(next);
    at = next;
  }
  data.legs.push_back(leg("last", {.from = at, .to = "engine"}, LegRole::supply, parts(3)));
  data.legs.push_back(leg("return", {.from = "engine-return", .to = "tank0"}, LegRole::back, parts(3)));
  for (int i = upto(2); i > 0; --i) {
    const std::string& from = junctions[static_cast<std::size_t>(upto(static_cast<int>(junctions.size()) - 1))];
    data.legs.push_back(leg("spill" + std::to_string(i), {.from = from, .to = "tank" + std::to_string(tanks - 1)},
                            LegRole::back, parts(2)));
  }
  data.high_side.rails = 1 + upto(1);
  data.high_side.injectors = 2 + upto(6);
  data.high_side.metering_valve = upto(1) == 0;
  data.size.width = upto(1) == 0 ? 482.0 : 700.0;
  return data;
}

struct Segment {
  Point from;
  Point to;
};

/// Straight pieces of the drawing, dash-and-dot frames left out (a frame's line may pass a name's blank edge).
std::vector<Segment> segments(const Figure& figure) {
  std::vector<Segment> all;
  for (const Primitive& primitive : figure.primitives) {
    if (const auto* line = std::get_if<Line>(&primitive)) all.push_back({line->from, line->to});
    if (const auto* way = std::get_if<Polyline>(&primitive)) {
      for (std::size_t i = 1; i < way->points.size(); ++i) all.push_back({way->points[i - 1], way->points[i]});
    }
  }
  return all;
}

void expect_readable(const Figure& figure, const std::string& what) {
  std::vector<std::pair<std::string, Box>> labels;
  for (const Primitive& primitive : figure.primitives) {
    const auto* text = std::get_if<Text>(&primitive);
    // The letters M and ? stand inside their circles.
    if (text == nullptr || text->text == "M" || text->text == "?") continue;
    labels.emplace_back(text->text, around(text_corners(*text)));
  }
  ASSERT_GT(labels.size(), 5U);
  for (std::size_t i = 0; i < labels.size(); ++i) {
    const Box& box = labels[i].second;
    EXPECT_GE(box.left, -0.5) << what << ": " << labels[i].first;
    EXPECT_LE(box.right, figure.width + 0.5) << what << ": " << labels[i].first;
    EXPECT_GE(box.top, -3.0) << what << ": " << labels[i].first;
    EXPECT_LE(box.bottom, figure.height + 1.0) << what << ": " << labels[i].first;
    for (std::size_t k = 0; k < i; ++k) {
      EXPECT_FALSE(overlap(corners(box), corners(labels[k].second), 1.2))
          << what << ": " << labels[i].first << " on " << labels[k].first;
    }
    // Letters fill their box but for the room of accents and tails.
    const Box letters{
        .left = box.left + 0.5, .top = box.top + 2.0, .right = box.right - 0.5, .bottom = box.bottom - 2.0};
    for (const Segment& piece : segments(figure)) {
      EXPECT_FALSE(crosses(piece.from, piece.to, letters)) << what << ": a line through " << labels[i].first;
    }
  }
}

TEST(Schematic, ALongNameOfASumpStaysInside) {
  SchematicData data = assisted();
  data.legs[0].parts[0].label = "sump under the tank, welded";
  const auto figure = schematic_figure(data);
  ASSERT_TRUE(figure) << to_text(figure.error());
  std::string all;
  for (const Primitive& primitive : figure->primitives) {
    const auto* text = std::get_if<Text>(&primitive);
    if (text == nullptr) continue;
    all += text->text + " ";
    EXPECT_GE(around(text_corners(*text)).left, 0.0) << text->text;
  }
  EXPECT_NE(all.find("welded"), std::string::npos);
}

TEST(Schematic, NamesNeverCollide) {
  for (const auto& [name, data] : {std::pair{"suction fed", suction_fed()},
                                   {"chassis unit", chassis_unit()},
                                   {"assisted", assisted()},
                                   {"two tanks", two_tanks()}}) {
    for (const double width : {335.0, 482.0, 650.0, 1000.0}) {
      SchematicData sized = data;
      sized.size.width = width;
      const auto figure = schematic_figure(sized);
      ASSERT_TRUE(figure) << to_text(figure.error());
      expect_readable(*figure, name + std::string(" at ") + std::to_string(width));
    }
  }
}

TEST(Schematic, NamesNeverCollideByLot) {
  std::mt19937 lot(20310504U);
  for (int i = 0; i < 200; ++i) {
    const SchematicData data = drawn_by_lot(lot);
    const auto figure = schematic_figure(data);
    ASSERT_TRUE(figure) << i << to_text(figure.error());
    expect_readable(*figure, "lot " + std::to_string(i));
    if (HasFailure()) break;
  }
}

TEST(Schematic, DrawsEveryPartOnceInTheOrderOfTheFlow) {
  const SchematicData data = suction_fed();
  SchematicData wide = data;
  wide.size.width = 1200.0;
  const auto figure = schematic_figure(wide);
  ASSERT_TRUE(figure);
  // On one row, gauges stand from left to right in the order of their parts.
  double before = 0.0;
  for (const char* port : {"V1", "W", "V2", "P1", "P3"}) {
    int count = 0;
    for (const Primitive& primitive : figure->primitives) {
      const auto* text = std::get_if<Text>(&primitive);
      if (text == nullptr || text->text != port) continue;
      ++count;
      EXPECT_GT(text->at.x, before) << port;
      before = text->at.x;
    }
    EXPECT_EQ(count, 1) << port;
  }
  EXPECT_NE(figure->description.find("Supply from tank to engine: strainer, plastic line 5 m (port V1)"),
            std::string::npos)
      << figure->description;
}

TEST(Schematic, BypassedPartsAreThinAndCrossed) {
  const SchematicPart kept = part("a", Symbol::filter, "");
  SchematicPart left_out = kept;
  left_out.bypassed = true;
  const auto whole = draw_symbol(kept, {0.0, 0.0}, 8.0, Flow::rightward);
  const auto crossed = draw_symbol(left_out, {0.0, 0.0}, 8.0, Flow::rightward);
  EXPECT_EQ(crossed.size(), whole.size() + 2);
  const auto& thick = std::get<Line>(whole.front()).stroke;
  const auto& thin = std::get<Line>(crossed.front()).stroke;
  EXPECT_LT(thin.width, 0.6 * thick.width);
  EXPECT_EQ(thin.colour, Role::soft);
}

// The pump's triangle points with the flow (ISO 1219-1): its tip is the filled point furthest downstream.
TEST(Symbols, PointWithTheFlow) {
  const auto upward = draw_symbol(part("p", Symbol::gear_pump, ""), {0.0, 0.0}, 10.0, Flow::upward);
  EXPECT_TRUE(std::ranges::any_of(upward, [](const Primitive& primitive) {
    const auto* shape = std::get_if<Polyline>(&primitive);
    return shape != nullptr && shape->fill == Role::ink && std::abs(shape->points[0].y + 12.0) < 1e-9;
  }));
  for (const auto& [flow, side] : {std::pair{Flow::rightward, 1.0}, {Flow::leftward, -1.0}}) {
    for (const Primitive& primitive : draw_symbol(part("p", Symbol::gear_pump, ""), {0.0, 0.0}, 10.0, flow)) {
      const auto* shape = std::get_if<Polyline>(&primitive);
      if (shape == nullptr || shape->fill != Role::ink) continue;
      ASSERT_EQ(shape->points.size(), 3U);
      EXPECT_NEAR(shape->points[0].x, side * 12.0, 1e-9);
      EXPECT_LT(side * shape->points[1].x, side * shape->points[0].x);
    }
  }
}

// ISO 1219-1 size ratios from secondary lists: pump 1, gauge 3/4, check valve 1/3.
TEST(Symbols, KeepTheirRatios) {
  const auto radius = [](const std::vector<Primitive>& primitives) {
    double most = 0.0;
    for (const Primitive& primitive : primitives) {
      if (const auto* circle = std::get_if<Circle>(&primitive)) most = std::max(most, circle->radius);
    }
    return most;
  };
  const double pump = radius(draw_symbol(part("p", Symbol::hand_pump, ""), {0.0, 0.0}, 10.0, Flow::rightward));
  EXPECT_NEAR(radius(draw_gauge("P1", {0.0, 0.0}, 10.0)) / pump, 0.75, 0.15);
  const double ball = radius(draw_symbol(part("c", Symbol::check_valve, ""), {0.0, 0.0}, 10.0, Flow::rightward));
  EXPECT_NEAR(ball / pump, 1.0 / 3.0, 0.05);
}

TEST(Symbols, StayInsideTheirExtent) {
  for (int kind = 0; kind <= static_cast<int>(Symbol::other); ++kind) {
    for (const Flow flow : {Flow::rightward, Flow::leftward}) {
      SchematicPart one = part("p", static_cast<Symbol>(kind), "");
      one.drain = one.symbol == Symbol::separator;
      const SymbolExtent reach = extent(one);
      const double unit = 10.0;
      Figure figure{.width = 100.0, .height = 100.0, .title = "symbol"};
      figure.primitives = draw_symbol(one, {50.0, 50.0}, unit, flow);
      const auto boxes = ink_boxes(figure);
      ASSERT_TRUE(boxes);
      for (const Box& box : *boxes) {
        if (box.width() == 0.0 && box.height() == 0.0) continue;
        const double half_stroke = 1.0;
        EXPECT_GE(box.left, 50.0 - reach.half_width * unit - half_stroke) << kind;
        EXPECT_LE(box.right, 50.0 + reach.half_width * unit + half_stroke) << kind;
        EXPECT_GE(box.top, 50.0 - reach.above * unit - half_stroke) << kind;
        EXPECT_LE(box.bottom, 50.0 + reach.below * unit + half_stroke) << kind;
      }
    }
  }
}

/// Centre of the largest circle: the pump.
Point pump_in(const Figure& figure) {
  Point centre;
  double most = 0.0;
  for (const Primitive& primitive : figure.primitives) {
    const auto* circle = std::get_if<Circle>(&primitive);
    if (circle == nullptr || circle->radius <= most) continue;
    most = circle->radius;
    centre = circle->centre;
  }
  return centre;
}

TEST(Schematic, APumpInTheTankIsDrawnInIt) {
  SchematicPart pump = part("pump", Symbol::motor_pump, "module");
  pump.in_tank = true;
  pump.port = "P1";
  SchematicData data;
  data.title = "in the tank";
  data.tanks = {{.id = "tank", .label = "tank"}};
  data.legs = {leg("supply", {.from = "tank", .to = "engine"}, LegRole::supply,
                   {pump, part("filter", Symbol::filter, "fine filter")}),
               leg("return", {.from = "engine-return", .to = "tank"}, LegRole::back, {})};
  data.high_side.metering_valve = false;
  const auto figure = schematic_figure(data);
  ASSERT_TRUE(figure) << to_text(figure.error());
  // The walls: the open run of four points that stands left of all else of its kind.
  const Polyline* walls = nullptr;
  for (const Primitive& primitive : figure->primitives) {
    const auto* line = std::get_if<Polyline>(&primitive);
    if (line != nullptr && line->points.size() == 4 && !line->closed && walls == nullptr) walls = line;
  }
  ASSERT_NE(walls, nullptr);
  Figure inside = *figure;
  std::erase_if(inside.primitives, [&](const Primitive& primitive) {
    const auto* circle = std::get_if<Circle>(&primitive);
    return circle != nullptr && circle->centre.x > walls->points[2].x;
  });
  const Point at = pump_in(inside);
  EXPECT_GT(at.x, walls->points[0].x);
  EXPECT_LT(at.x, walls->points[2].x);
  EXPECT_GT(at.y, walls->points[0].y);
  EXPECT_LT(at.y, walls->points[1].y);
  // Where two legs leave the tank it stands on its line, and behind a part outside it is a fault.
  data.legs.push_back(
      leg("second", {.from = "tank", .to = "engine"}, LegRole::supply, {part("other", Symbol::filter, "other")}));
  EXPECT_TRUE(schematic_figure(data));
  data.legs.pop_back();
  std::swap(data.legs[0].parts[0], data.legs[0].parts[1]);
  const auto late = schematic_figure(data);
  ASSERT_FALSE(late);
  EXPECT_EQ(late.error().front().where.field, "legs.supply.parts.pump.in_tank");
}

TEST(Schematic, NamesTheBadField) {
  const auto field = [](const SchematicData& data) -> std::string {
    const auto figure = schematic_figure(data);
    return figure ? "accepted" : figure.error().front().where.field;
  };
  SchematicData data = suction_fed();
  data.tanks.clear();
  EXPECT_EQ(field(data), "tanks");
  data = suction_fed();
  data.legs[0].to = "nowhere";
  EXPECT_EQ(field(data), "legs");
  data = suction_fed();
  data.legs[0].parts[1].id = "strainer";
  EXPECT_EQ(field(data), "legs.supply.parts.2.id");
  data = suction_fed();
  data.frames[0].parts = {"separator", "gear"};
  EXPECT_EQ(field(data), "frames.1");
  data = suction_fed();
  data.frames.push_back({.label = "again", .parts = {"primer"}});
  EXPECT_EQ(field(data), "frames.2");
  data = suction_fed();
  data.legs[0].parts[0].label = "\u6CB9";
  EXPECT_EQ(field(data), "legs.supply.parts.1.label");
  data = suction_fed();
  data.legs[1].to = "engine";
  EXPECT_EQ(field(data), "legs.return");
  data = suction_fed();
  data.legs[0].parts[1].symbol = Symbol::sump;
  EXPECT_EQ(field(data), "legs.supply.parts.2.symbol");
  data = chassis_unit();
  data.legs.push_back(leg("loop-1", {.from = "unit", .to = "x"}, LegRole::supply, {}));
  data.legs.push_back(leg("loop-2", {.from = "x", .to = "unit"}, LegRole::supply, {}));
  EXPECT_EQ(field(data), "legs");
  data = suction_fed();
  data.high_side.injectors = 40;
  EXPECT_EQ(field(data), "high_side.injectors");
}

}  // namespace
}  // namespace fw::report
