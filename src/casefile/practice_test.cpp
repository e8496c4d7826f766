// SPDX-License-Identifier: Apache-2.0
// Facts of the trade on small sheets of their own (tests/published/practice; common practice, no source). Each holds in
// nine of ten draws of the sheet's spreads, and tells the value at which it stops holding.
#include <algorithm>
#include <cmath>
#include <cstdio>

#include <gtest/gtest.h>

#include "casefile/case.hpp"
#include "catalog/catalog.hpp"
#include "numerics/draw.hpp"
#include "supply/compare.hpp"
#include "units/dash.hpp"

#include "project_file.hpp"

namespace fw::casefile {
namespace {

constexpr std::size_t draws = 400;

system::LineSheet practice_sheet(const char* name) {
  const auto catalog = catalog::built_in();
  if (!catalog) throw std::runtime_error(to_text(catalog.error()));
  auto sheet = read_sheet_file(test::project_file("tests/published/practice/") + name, *catalog);
  if (!sheet) throw std::runtime_error(to_text(sheet.error()));
  return *std::move(sheet);
}

supply::SheetJudgement judged(const system::LineSheet& sheet) {
  InlineExecutor executor;
  SilentProgress progress;
  auto judgement = supply::judge_sheet(sheet, supply::envelope(supply::Climate::temperate),
                                       {.samples = draws, .seed = 11}, {executor, progress, {}});
  if (!judgement) throw std::runtime_error(to_text(judgement.error()));
  return *std::move(judgement);
}

/// Share of draws in which the engine pump's inlet lies above the air at rated power, 20 C.
double share_above_air(const system::LineSheet& sheet, double filter_loading) {
  const auto branches = system::branches(sheet);
  const auto model = system::SupplyModel::build(sheet, branches.front(), system::default_laws());
  if (!model) throw std::runtime_error(to_text(model.error()));
  std::vector<std::vector<double>> slots;
  for (std::uint32_t s = 0; s < draws; ++s) slots.push_back(model->drawn(11, s));
  std::vector<system::SupplyModel::Case> cases;
  for (const std::vector<double>& one : slots) {
    cases.push_back({.point = {.filter_loading = filter_loading}, .slots = one});
  }
  InlineExecutor executor;
  SilentProgress progress;
  const auto states = model->solve(cases, {executor, progress, {}});
  if (!states) throw std::runtime_error(to_text(states.error()));
  std::size_t above = 0;
  for (const system::PointState& state : *states) {
    if (state.status == hydraulics::SolveStatus::converged && state.inlet_over_ambient_Pa > 0.0) ++above;
  }
  return static_cast<double>(above) / static_cast<double>(draws);
}

void scale_filters(system::LineSheet& sheet, double factor) {
  for (system::Part& part : sheet.legs[0].parts) {
    if (!part.medium || !part.medium->clean_drop_Pa.given()) continue;
    Stated& drop = part.medium->clean_drop_Pa;
    drop.value *= factor;
    drop.spread.half_width *= factor;
    drop.spread.low *= factor;
    drop.spread.high *= factor;
  }
}

TEST(Practice, DashEightOfFuelHoseIsHalfAnInch) {
  constexpr double half_inch_m = 0.0254 / 2.0;
  constexpr double sixteenth_m = 0.0254 / 16.0;
  const auto hose = units::parse_bore("-8 J30 hose");
  ASSERT_TRUE(hose);
  EXPECT_NEAR(hose->value, half_inch_m, 1e-9);
  const numerics::Band nine_in_ten = numerics::band_90(*hose);
  EXPECT_LT(std::abs(nine_in_ten.low - half_inch_m), sixteenth_m);
  EXPECT_LT(std::abs(nine_in_ten.high - half_inch_m), sixteenth_m);
  // The value at which it flips is the kind of hose: the same dash of another kind has another bore.
  const auto hydraulic = units::parse_bore("-8 100R5 hose");
  ASSERT_TRUE(hydraulic);
  EXPECT_GT(std::abs(hydraulic->value - half_inch_m), sixteenth_m);
}

TEST(Practice, AnAssistPumpKeepsTheInletAboveTheAirThroughFourCleanFilters) {
  const system::LineSheet sheet = practice_sheet("four-filters.toml");
  EXPECT_GE(share_above_air(sheet, 0.0), 0.9);
  std::printf("four filters at end of life: above the air in %.0f of 100 draws\n", 100.0 * share_above_air(sheet, 1.0));
  // Flip: by how much all four may be dirtier than new.
  double factor = 1.0;
  for (system::LineSheet dirty = sheet; factor < 64.0 && share_above_air(dirty, 0.0) >= 0.9; factor *= 1.25) {
    dirty = sheet;
    scale_filters(dirty, factor * 1.25);
  }
  std::printf("flips when the four filters drop %.1f times what they do clean\n", factor);
  EXPECT_GT(factor, 1.0);
  EXPECT_LT(factor, 64.0);  // it does flip: the check can fail
}

TEST(Practice, BypassingTheChassisUnitLosesAStageAndTheSensor) {
  const system::LineSheet whole = practice_sheet("chassis-unit.toml");
  system::LineSheet cut = whole;
  for (system::Part& part : cut.legs[0].parts) {
    if (part.id == "separator" || part.id == "chassis-pump") part.bypassed = true;
  }
  const supply::SheetJudgement before = judged(whole);
  const supply::SheetJudgement after = judged(cut);
  const auto lines = supply::compare(before, after);
  const auto of = [&](std::string_view id) { return *std::ranges::find(lines, id, &supply::Difference::id); };
  EXPECT_EQ(of("stages").effect, supply::Effect::worse);
  EXPECT_EQ(*of("stages").first - *of("stages").second, 1.0);
  EXPECT_EQ(of("water-sensor").effect, supply::Effect::worse);
  // Flip: a wired sensor at the stage that stays.
  for (system::Part& part : cut.legs[0].parts) {
    if (part.id == "engine-filter") part.medium->sensor = system::WaterSensor::wired;
  }
  const auto moved = supply::compare(before, judged(cut));
  EXPECT_NE(std::ranges::find(moved, "water-sensor", &supply::Difference::id)->effect, supply::Effect::worse);
}

TEST(Practice, AHousingBehindAWheelIsExposed) {
  system::LineSheet sheet = practice_sheet("chassis-unit.toml");
  const auto stone_throw = [](const system::LineSheet& of) {
    const auto checks = supply::arrangement_checks(of);
    return std::ranges::find(checks, "stone-throw", &supply::Check::id)->outcome;
  };
  EXPECT_EQ(stone_throw(sheet), supply::Outcome::fails);
  // Flips with a shield.
  sheet.legs[0].parts[0].place.shield = true;
  EXPECT_EQ(stone_throw(sheet), supply::Outcome::holds);
}

}  // namespace
}  // namespace fw::casefile
