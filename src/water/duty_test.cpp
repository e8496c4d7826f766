// SPDX-License-Identifier: Apache-2.0
#include "water/duty.hpp"

#include <cmath>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "fuel/fuel_text.hpp"
#include "fuel/water_solubility.hpp"
#include "water/liquid_water.hpp"
#include "water/warning.hpp"

namespace fw::water {
namespace {

constexpr double celsius(double t) { return t + 273.15; }
constexpr double litre_per_hour = 1e-3 / 3600.0;

fuel::Fuel diesel() { return fuel::fuel_of_text("d975_2d").value(); }

Stage separator(Sensor sensor = Sensor::none) {
  return {.id = "separator",
          .kind = StageKind::separator,
          .separator = {.coarse = 0.95, .fine = 0.6},
          .bowl_m3 = 200e-6,
          .probe_m3 = 40e-6,
          .sensor = sensor};
}
Stage pump() { return {.id = "pump", .kind = StageKind::pump, .dissipation_W_per_kg = 1e5}; }

Way way_of(std::vector<Stage> stages, double pickup_height_m = 0.02) {
  Way way{.tank = {.volume_m3 = 0.125, .floor_area_m2 = 0.55, .pickup_height_m = pickup_height_m},
          .stages = std::move(stages)};
  Path path;
  for (std::size_t i = 0; i < way.stages.size(); ++i) path.stages.push_back(i);
  way.paths = {path};
  return way;
}

Duty month() {
  return {.days = 30,
          .run_s = 4 * 3600.0,
          .feed_m3_per_s = 100 * litre_per_hour,
          .burn_m3_per_s = 10 * litre_per_hour,
          .night_K = celsius(8),
          .warm_K = celsius(30),
          .day_air = {.temperature_K = celsius(22), .humidity = 0.7}};
}

WaterIn water(double slug_kg = 0.3) { return {.fuel_total = 120e-6, .slug_kg = slug_kg, .conductivity_S_per_m = 0.05}; }

DutyResult run(const Way& way, const Duty& duty, const WaterIn& in, double step_share = 0.05) {
  return run_days(way, diesel(), duty, in, {.step_share = step_share}).value();
}

// Whatever comes in lies somewhere: fuel, floor, bowls, drained, or gone with the burned fuel.
TEST(WaterDays, MassCloses) {
  for (const double height : {0.0, 0.01, 0.05}) {
    for (const double slug : {0.0, 0.05, 2.0}) {
      for (const int night : {-15, 8, 25}) {
        Duty duty = month();
        duty.night_K = celsius(night);
        duty.drain_every_s = 20 * 3600.0;
        const DutyResult result = run(way_of({separator(), pump(), separator()}, height), duty, water(slug));
        EXPECT_LT(std::abs(result.balance_error), 1e-12) << height << " " << slug << " " << night;
        EXPECT_GE(result.layer_kg, 0.0);
        EXPECT_GE(result.in_fuel_kg, 0.0);
        EXPECT_GE(result.free_through_inlet_kg, 0.0);
      }
    }
  }
}

// Analytic: without burn, at one temperature and with a bowl that never fills, the undissolved water of a mixed tank
// falls as exp(-Q E t/V). The scheme is of first order: half the step, half the error.
TEST(WaterDays, MeetsTheClosedFormInFirstOrder) {
  Way way = way_of({separator()});
  way.stages[0].bowl_m3 = 1.0;
  Duty duty = month();
  duty.days = 1;
  duty.run_s = 2 * 3600.0;
  duty.burn_m3_per_s = 0.0;
  duty.night_K = duty.warm_K = celsius(10);
  WaterIn in = water(0.0);
  in.fuel_total = 200e-6;
  const double saturation = fuel::water_solubility(diesel(), celsius(10)).value().value;
  const double volume = 0.7 * 0.125;
  const double density = fuel::density_kg_per_m3(diesel(), celsius(10)).value().value;
  const double left =
      (in.fuel_total - saturation) * volume * density * std::exp(-duty.feed_m3_per_s * 0.6 * duty.run_s / volume);
  const auto error = [&](double share) {
    const DutyResult result = run(way, duty, in, share);
    return (result.in_fuel_kg - saturation * volume * density) / left - 1.0;
  };
  const double coarse = error(0.1);
  const double fine = error(0.05);
  EXPECT_NEAR(coarse / fine, 2.0, 0.2);
  EXPECT_LT(std::abs(fine), 0.02);
}

// A sump gives the water on the floor at once; a mouth over the floor only what stands above it.
TEST(WaterDays, SumpFeedsTheFloorFirst) {
  const DutyResult sump = run(way_of({}, 0.0), month(), water(0.3));
  const DutyResult raised = run(way_of({}, 0.02), month(), water(0.3));
  EXPECT_NEAR(water_under_pickup_m3({.volume_m3 = 0.1, .floor_area_m2 = 0.55, .pickup_height_m = 0.02}).value(), 11e-3,
              1e-12);
  EXPECT_EQ(sump.first_draw_s, 0.0);
  EXPECT_GT(sump.slug_through_inlet_kg, 0.29);
  EXPECT_FALSE(raised.first_draw_s.has_value());
  EXPECT_EQ(raised.slug_through_inlet_kg, 0.0);
  EXPECT_LT(raised.free_through_inlet_kg, sump.free_through_inlet_kg);
}

// The place of the separator decides: the same element before the pump stops more than behind it.
TEST(WaterDays, SeparatorBelongsBeforeThePump) {
  Duty day = month();
  day.days = 1;
  const DutyResult before = run(way_of({separator(), pump()}, 0.0), day, water(0.15));
  const DutyResult behind = run(way_of({pump(), separator()}, 0.0), day, water(0.15));
  EXPECT_LT(before.slug_through_inlet_kg, 0.1 * behind.slug_through_inlet_kg);
  const DutyResult none = run(way_of({pump()}, 0.0), day, water(0.15));
  EXPECT_LT(behind.free_through_inlet_kg, none.free_through_inlet_kg);
}

// A full bowl passes everything; a share that goes around it is never separated.
TEST(WaterDays, FullBowlAndWayAround) {
  const DutyResult full = run(way_of({separator()}, 0.0), month(), water(1.0));
  ASSERT_TRUE(full.bowls.at(0).full_s.has_value());
  EXPECT_NEAR(full.bowls.at(0).held_kg, 200e-6 * water_density_kg_per_m3, 1e-9);
  EXPECT_GT(full.slug_through_inlet_kg, 0.7);
  Way way = way_of({separator()}, 0.0);
  way.paths = {{.share = 0.25, .stages = {0}}, {.share = 0.75, .stages = {}}};
  Duty day = month();
  day.days = 1;
  const DutyResult around = run(way, day, water(0.15));
  EXPECT_NEAR(around.slug_through_inlet_kg, 0.75 * 0.15, 0.01 * 0.15);
}

TEST(WaterDays, WhatASensorSees) {
  const DutyResult sees = run(way_of({separator(Sensor::working)}, 0.0), month(), water());
  EXPECT_EQ(sees.blindness, Blindness::sees);
  EXPECT_TRUE(sees.warned_s.has_value());
  EXPECT_EQ(run(way_of({separator()}, 0.0), month(), water()).blindness, Blindness::none_fitted);
  EXPECT_EQ(run(way_of({separator(Sensor::dead)}, 0.0), month(), water()).blindness, Blindness::disconnected);
  WaterIn pure = water();
  pure.conductivity_S_per_m = 5.5e-6;
  EXPECT_EQ(run(way_of({separator(Sensor::working)}, 0.0), month(), pure).blindness, Blindness::too_pure);
  WaterIn little = water(0.0);
  little.fuel_total = 60e-6;
  EXPECT_EQ(run(way_of({separator(Sensor::working)}, 0.02), month(), little).blindness, Blindness::below_probe);
  Way fine = way_of({pump(), separator(Sensor::working)}, 0.0);
  fine.stages[1].separator = {.coarse = 0.9, .fine = 0.001};
  EXPECT_EQ(run(fine, month(), water(0.2)).blindness, Blindness::dispersed);
}

// Ice: a cold night with water at the mouth counts, a warm one does not.
TEST(WaterDays, FrozenStarts) {
  Duty cold = month();
  cold.night_K = celsius(-10);
  EXPECT_EQ(run(way_of({separator()}, 0.0), cold, water()).frozen_starts, cold.days - 1);
  EXPECT_EQ(run(way_of({separator()}, 0.0), month(), water()).frozen_starts, 0);
}

// More water never harms less, a higher mouth never draws more, a second separator never lets more pass.
TEST(WaterDays, Monotone) {
  double before = -1.0;
  for (const double slug : {0.0, 0.02, 0.1, 0.5, 2.0}) {
    const double through = run(way_of({separator(), pump()}, 0.001), month(), water(slug)).free_through_inlet_kg;
    EXPECT_GE(through, before);
    before = through;
  }
  EXPECT_LE(run(way_of({separator(), separator()}, 0.0), month(), water()).free_through_inlet_kg,
            run(way_of({separator()}, 0.0), month(), water()).free_through_inlet_kg);
}

// Damage is an amount within an hour: water poured in once does it on the first day, the same shared among ten days
// not.
TEST(WaterDays, DamageIsAnAmountWithinAnHour) {
  Duty duty = month();
  WaterIn once = water(0.2);
  once.fuel_total = 20e-6;
  once.damaging_kg = 0.1;
  const Way bare = way_of({pump()}, 0.0);
  const DutyResult first = run(bare, duty, once);
  ASSERT_TRUE(first.damaged_s.has_value());
  EXPECT_LE(*first.damaged_s, 3600.0);
  WaterIn shared = once;
  shared.slug_kg = 0.02;
  shared.slug_every_days = 3;
  const DutyResult often = run(bare, duty, shared);
  EXPECT_FALSE(often.damaged_s.has_value());
  EXPECT_NEAR(often.in_kg - first.in_kg, 0.0, 1e-6);  // ten times 0.02 kg, the same fuel
  // A bowl that holds one of them: the lamp comes days before the bowl runs over.
  WaterIn again = once;
  again.slug_kg = 0.12;
  again.slug_every_days = 2;
  again.damaging_kg = 0.03;
  const DutyResult warned = run(way_of({separator(Sensor::working), pump()}, 0.0), duty, again);
  ASSERT_TRUE(warned.warned_s && warned.damaged_s);
  EXPECT_LT(*warned.warned_s, 3600.0);
  EXPECT_GT(*warned.damaged_s, 2 * duty.run_s - 1.0);
}

template <class T>
std::string field(const Result<T>& result) {
  return result ? "no error" : result.error().front().where.field;
}

TEST(WaterDays, NamesTheBadField) {
  const Way good = way_of({separator(), pump()});
  const auto with_way = [&](auto change) {
    Way way = good;
    change(way);
    return field(run_days(way, diesel(), month(), water()));
  };
  EXPECT_EQ(with_way([](Way& w) { w.tank.pickup_height_m = required; }), "tank.pickup_height_m");
  EXPECT_EQ(with_way([](Way& w) { w.paths.clear(); }), "way.paths");
  EXPECT_EQ(with_way([](Way& w) { w.paths[0].share = 0.5; }), "path.share");
  EXPECT_EQ(with_way([](Way& w) { w.paths[0].stages = {7}; }), "path.stages");
  EXPECT_EQ(with_way([](Way& w) { w.stages[0].bowl_m3 = required; }), "separator.bowl_m3");
  EXPECT_EQ(with_way([](Way& w) { w.stages[1].dissipation_W_per_kg = 0.0; }), "pump.dissipation_W_per_kg");
  const auto with_duty = [&](auto change) {
    Duty duty = month();
    change(duty);
    return field(run_days(good, diesel(), duty, water()));
  };
  EXPECT_EQ(with_duty([](Duty& d) { d.days = 0; }), "duty.days");
  EXPECT_EQ(with_duty([](Duty& d) { d.burn_m3_per_s = 1.0; }), "duty.burn_m3_per_s");
  EXPECT_EQ(with_duty([](Duty& d) { d.warm_K = 270.0; }), "duty.warm_K");
  EXPECT_EQ(with_duty([](Duty& d) { d.day_air.humidity = 2.0; }), "cooling.air.humidity");
  WaterIn bad = water();
  bad.damaging_kg = 0.0;
  EXPECT_EQ(field(run_days(good, diesel(), month(), bad)), "in.damaging_kg");
  WaterIn never = water();
  never.slug_every_days = 0;
  EXPECT_EQ(field(run_days(good, diesel(), month(), never)), "in.slug_every_days");
  Duty endless = month();
  endless.days = 3660;
  EXPECT_EQ(run_days(good, diesel(), endless, water(), {.step_share = 1e-4}).error().front().code,
            ErrorCode::too_large);
}

// Counted by hand: of each set's damaging runs, those in which the lamp and the hand came first.
TEST(Warning, CountsOnlyDamagingRuns) {
  const WarningRun first{.warned_s = 100.0, .damaged_s = 5000.0, .reaction_s = 600.0};
  const WarningRun late{.warned_s = 4900.0, .damaged_s = 5000.0, .reaction_s = 600.0};
  const WarningRun silent{.warned_s = {}, .damaged_s = 5000.0, .reaction_s = 600.0};
  const WarningRun harmless{.warned_s = 100.0, .damaged_s = {}, .reaction_s = 600.0};
  const std::vector<std::vector<WarningRun>> alike(20, {first, first, first, late, silent, harmless});
  const auto chance = chance_of_warning_first(alike).value();
  EXPECT_EQ(chance.damaging, 100U);
  ASSERT_TRUE(chance.chance && chance.band);
  EXPECT_NEAR(*chance.chance, 0.6, 1e-12);
  EXPECT_NEAR(chance.band->low, 0.6, 1e-12);
  // The assumptions decide: half the sets say always, half say never.
  std::vector<std::vector<WarningRun>> split(20, std::vector<WarningRun>(6, first));
  for (std::size_t i = 0; i < 10; ++i) split[i].assign(6, silent);
  const auto undecided = chance_of_warning_first(split).value();
  EXPECT_FALSE(undecided.chance.has_value());
  EXPECT_TRUE(undecided.band.has_value());
  // Too little damage to count.
  const std::vector<std::vector<WarningRun>> quiet(20, {harmless, harmless, first});
  EXPECT_FALSE(chance_of_warning_first(quiet)->band.has_value());
  EXPECT_EQ(field(chance_of_warning_first(std::vector<std::vector<WarningRun>>{{{.reaction_s = -1.0}}})), "reaction_s");
}

}  // namespace
}  // namespace fw::water
