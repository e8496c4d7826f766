// SPDX-License-Identifier: Apache-2.0
#include "report/supply_figures.hpp"

#include <algorithm>

#include <gtest/gtest.h>

#include "report/figure_schematic.hpp"
#include "report/figure_strips.hpp"

namespace fw::report {
namespace {

system::Part part(std::string id, system::PartKind kind) {
  system::Part made;
  made.id = id;
  made.title = std::move(id);
  made.kind = kind;
  return made;
}

system::Part stage(std::string id, system::PartKind kind, std::optional<double> rating_m,
                   system::WaterSensor sensor = system::WaterSensor::not_stated) {
  system::Part made = part(std::move(id), kind);
  made.medium.emplace();
  if (rating_m) made.medium->rating_m = exactly(*rating_m);
  made.medium->sensor = sensor;
  return made;
}

system::Leg leg(std::string id, std::string from, std::string to, std::vector<system::Part> parts) {
  system::Leg made;
  made.id = std::move(id);
  made.from = std::move(from);
  made.to = std::move(to);
  made.parts = std::move(parts);
  return made;
}

/// Two tanks, a chassis unit with its return into the supply, a spill, a bypassed head.
system::LineSheet network() {
  using Kind = system::PartKind;
  system::LineSheet sheet;
  sheet.name = "network";
  system::Tank left;
  left.id = left.title = "left";
  system::Tank right;
  right.id = right.title = "right";
  sheet.tanks = {left, right};
  system::Part pump = part("pump", Kind::pump);
  pump.pump.emplace();
  pump.housing = "chassis unit";
  system::Part separator = stage("separator", Kind::separator, 30e-6, system::WaterSensor::wired);
  separator.housing = "chassis unit";
  system::Part head = part("head", Kind::resistance);
  head.bypassed = true;
  system::Part joint = part("joint", Kind::joint);
  sheet.legs = {leg("draw", "left", "tee", {part("sump", Kind::sump), part("cock", Kind::shut_off)}),
                leg("other", "right", "tee", {part("check", Kind::check)}),
                leg("unit", "tee", "engine", {separator, pump, head, joint, stage("fine", Kind::filter, 4e-6)}),
                leg("hot", "engine-return", "split", {part("cooler", Kind::cooler)}),
                leg("warm", "split", "tee", {part("thermostat", Kind::thermostat)}),
                leg("back", "split", "left", {}),
                leg("cross", "left", "right", {part("cross-cock", Kind::shut_off)})};
  sheet.high_side.cylinders = 8;
  sheet.high_side.rails = 2;
  sheet.high_side.metering = "metering valve and pressure valve";
  return sheet;
}

const SchematicLeg& leg_of(const SchematicData& data, const std::string& id) {
  return *std::ranges::find(data.legs, id, &SchematicLeg::id);
}

TEST(SchematicOf, FindsWhatEachLegCarries) {
  const SchematicData data = schematic_of(network(), nullptr, {});
  EXPECT_EQ(leg_of(data, "draw").role, LegRole::supply);
  EXPECT_EQ(leg_of(data, "unit").role, LegRole::supply);
  EXPECT_EQ(leg_of(data, "hot").role, LegRole::back);
  EXPECT_EQ(leg_of(data, "warm").role, LegRole::back);
  EXPECT_EQ(leg_of(data, "back").role, LegRole::back);
  EXPECT_EQ(leg_of(data, "cross").role, LegRole::transfer);
  EXPECT_EQ(data.high_side.injectors, 8);
  EXPECT_EQ(data.high_side.rails, 2);
  const auto figure = schematic_figure(data);
  ASSERT_TRUE(figure) << to_text(figure.error());
}

TEST(SchematicOf, ShowsWhatWasAddedLostAndHoused) {
  const system::LineSheet sheet = network();
  system::LineSheet base = sheet;
  base.legs[2].parts.pop_back();
  const SchematicData data = schematic_of(sheet, &base, {});
  const SchematicLeg& unit = leg_of(data, "unit");
  ASSERT_EQ(unit.parts.size(), 4U) << "the joint is a loss, not drawn";
  EXPECT_TRUE(unit.parts[3].added);
  EXPECT_FALSE(unit.parts[0].added);
  EXPECT_TRUE(unit.parts[0].electrode);
  EXPECT_TRUE(unit.parts[0].drain);
  EXPECT_EQ(unit.parts[0].symbol, Symbol::filter_separator);
  EXPECT_TRUE(unit.parts[2].bypassed);
  ASSERT_EQ(data.frames.size(), 1U);
  EXPECT_EQ(data.frames[0].label, "chassis unit");
  EXPECT_EQ(data.frames[0].parts, (std::vector<std::string>{"separator", "pump"}));
  EXPECT_EQ(leg_of(data, "draw").parts[0].symbol, Symbol::sump);
}

TEST(SchematicOf, EssentialDrawingHasNoPortsAndNoLines) {
  system::LineSheet sheet = network();
  system::Part tube = part("line", system::PartKind::tube);
  tube.port = "P2";
  sheet.legs[2].parts.push_back(tube);
  sheet.legs[2].parts[1].port = "P1";
  const SchematicData data = schematic_of(sheet, nullptr, {}, SchematicDetail::essential);
  for (const SchematicPart& drawn : leg_of(data, "unit").parts) {
    EXPECT_TRUE(drawn.port.empty());
    EXPECT_NE(drawn.symbol, Symbol::tube);
  }
}

TEST(SchematicOf, ASumpAlongTheWayIsNoSump) {
  system::LineSheet sheet = network();
  std::swap(sheet.legs[0].parts[0], sheet.legs[0].parts[1]);
  const auto figure = schematic_figure(schematic_of(sheet, nullptr, {}));
  EXPECT_TRUE(figure) << to_text(figure.error());
}

const CoverRow& row(const CoverageData& data, const std::string& name) {
  return *std::ranges::find(data.rows, name, &CoverRow::name);
}

TEST(CoverageOf, FollowsTheFinestStageAndTheSensors) {
  const CoverageData data = coverage_of(network(), {});
  const CoverRow& solids = row(data, "solids");
  ASSERT_EQ(solids.spans.size(), 3U);
  EXPECT_EQ(solids.spans[0].cover, Cover::none);
  EXPECT_EQ(solids.spans[1].words, "30 um");
  EXPECT_EQ(solids.spans[2].words, "4 um");
  EXPECT_EQ(row(data, "water separated").spans.back().cover, Cover::full);
  ASSERT_EQ(row(data, "water sensed").marks.size(), 1U);
  EXPECT_TRUE(row(data, "water sensed").marks[0].works);
  EXPECT_TRUE(coverage_figure(data));
}

TEST(CoverageOf, WhatIsBypassedUnpluggedOrBehindAPumpProtectsLess) {
  system::LineSheet sheet = network();
  std::vector<system::Part>& parts = sheet.legs[2].parts;
  std::swap(parts[0], parts[1]);  // separator behind the pump
  parts[1].medium->sensor = system::WaterSensor::unplugged;
  parts.back().bypassed = true;
  const CoverageData data = coverage_of(sheet, {});
  EXPECT_EQ(row(data, "water separated").spans.back().cover, Cover::partly);
  EXPECT_EQ(row(data, "water sensed").spans.back().cover, Cover::none);
  EXPECT_FALSE(row(data, "water sensed").marks.at(0).works);
  EXPECT_EQ(row(data, "solids").spans.back().words, "30 um");
}

TEST(EnvelopeOf, CellsShowTheWorseOfTwoTankLevels) {
  const system::RunningPoint half{};
  const system::RunningPoint low{.tank_level = 0.1};
  const std::vector<EnvelopeValue> values{
      {.point = low, .inlet_over_ambient_Pa = 56e3, .outcome = supply::Outcome::fails, .governs = true},
      {.point = half, .inlet_over_ambient_Pa = 58e3, .outcome = supply::Outcome::holds}};
  const EnvelopeMapData data = envelope_of("x", values, {});
  ASSERT_EQ(data.rows.size(), 1U);
  EXPECT_EQ(data.cells[0][0].value, "56.0");
  EXPECT_EQ(data.cells[0][0].mark, Mark::fails);
  EXPECT_TRUE(data.cells[0][0].governs);
}

TEST(GradeLineOf, CarriesLimitsMarksAndBands) {
  supply::SheetJudgement sheet;
  sheet.name = "x";
  sheet.line.places = {{.leg = "a", .part = "", .title = "tank"},
                       {.leg = "a", .part = "pump", .title = "pump"},
                       {.leg = "a", .part = "end", .title = "pump inlet", .port = "P3"}};
  sheet.line.over_ambient_Pa = {-20e3, 70e3, 50e3};
  supply::Check low;
  low.id = "inlet-low";
  low.limit.fails = 55e3;
  supply::Check suction;
  suction.id = "suction-pump";
  suction.place_part = "pump";
  suction.outcome = supply::Outcome::fails;
  sheet.checks = {low, suction};
  const std::vector<numerics::Band> bands{
      {.low = -25e3, .high = -15e3}, {.low = 60e3, .high = 80e3}, {.low = 40e3, .high = 61e3}};
  const GradeLineData data = grade_line_of(sheet, GradePointOf::plain, bands, {});
  ASSERT_EQ(data.limits.size(), 1U);
  EXPECT_DOUBLE_EQ(data.limits[0].value, 55.0);
  ASSERT_EQ(data.marks.size(), 1U);
  EXPECT_EQ(data.marks[0].at, 0U) << "the vacuum is read before the pump";
  ASSERT_TRUE(data.points[2].band);
  EXPECT_EQ(data.end_note, "40.0 to 61.0");
  EXPECT_EQ(ports_of(sheet.line).size(), 1U);
}

// Two tanks that feed one place by bare lines are one on the outline; a line from tank to tank keeps them two.
TEST(Schematic, JoinsTanksOnTheOutline) {
  system::LineSheet sheet = network();
  EXPECT_EQ(schematic_of(sheet, nullptr, {}, SchematicDetail::outline).tanks.size(), 2U) << "the cross line shows";
  std::erase_if(sheet.legs, [](const system::Leg& one) { return one.id == "cross"; });
  const SchematicData joined = schematic_of(sheet, nullptr, {}, SchematicDetail::outline);
  ASSERT_EQ(joined.tanks.size(), 1U);
  EXPECT_EQ(joined.tanks.front().label, "two tanks");
  EXPECT_EQ(joined.legs.size(), sheet.legs.size() - 1) << "the place also takes the warm return, so it stays";
  EXPECT_EQ(schematic_of(sheet, nullptr, {}, SchematicDetail::essential).tanks.size(), 2U);
  std::erase_if(sheet.legs, [](const system::Leg& one) { return one.id == "warm"; });
  const SchematicData plain_way = schematic_of(sheet, nullptr, {}, SchematicDetail::outline);
  EXPECT_EQ(plain_way.legs.size(), sheet.legs.size() - 2) << "one way from the tank to the engine";
  EXPECT_EQ(leg_of(plain_way, "draw").to, "engine");
  EXPECT_EQ(leg_of(plain_way, "draw").parts.size(), 4U) << "separator, pump, bypassed head, filter";
  EXPECT_TRUE(schematic_figure(plain_way));
  EXPECT_TRUE(schematic_figure(joined));
}

}  // namespace
}  // namespace fw::report
