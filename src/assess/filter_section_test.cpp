// SPDX-License-Identifier: Apache-2.0
#include "assess/filter_section.hpp"

#include <cmath>
#include <string>

#include <gtest/gtest.h>

#include "casefile/case.hpp"
#include "catalog/catalog.hpp"

#include "project_file.hpp"
#include "quiet_run.hpp"

namespace fw::assess {
namespace {

const catalog::Catalog& book() {
  static const catalog::Catalog catalog = catalog::built_in().value();
  return catalog;
}

system::LineSheet rebuilt() {
  return casefile::read_case(test::project_file("cases/alder-gap-tender"), book()).value().sheets.back();
}

/// One element on the way, so fine that it stops nearly all, of 20 or 40 g; the others are bypassed.
system::LineSheet one_filter(double grams) {
  system::LineSheet sheet = rebuilt();
  bool kept = false;
  for (system::Leg& leg : sheet.legs) {
    for (system::Part& part : leg.parts) {
      if (part.kind != system::PartKind::filter && part.kind != system::PartKind::separator) continue;
      part.bypassed = kept || !part.medium || !part.medium->rating_m;
      if (part.bypassed) continue;
      kept = true;
      part.medium->rating_m->value = 3e-6;
      part.medium->capacity_kg = exactly(1e-3 * grams);
    }
  }
  EXPECT_TRUE(kept);
  return sheet;
}

FilterSection asked(const system::LineSheet& sheet, const VehicleUse& use, std::size_t draws = 64) {
  test::QuietRun quiet;
  auto section = filter_section(std::span(&sheet, 1), {.use = use, .draws = draws}, quiet.run());
  EXPECT_TRUE(section) << to_text(section.error());
  return std::move(*section);
}

// Hours of a 20 and a 40 g filter that stops all: the last column of the table of burn and duty by use (part data 10,
// computed there with 835 kg/m3 and a filter that lets nothing through). Ours holds the fuel of the sheet, and the low
// end of a 2 to 5 um element in service: what it lets by comes round again, so nearly all ends in it.
TEST(Filters, LifeFollowsTheBurnAsThePublishedTableHasIt) {
  struct Row {
    const char* use;
    double hours_20_g, hours_40_g;
  };
  for (const Row& row : {Row{"private", 1597, 3194}, Row{"parcel", 1597, 3194}, Row{"towing", 399, 798},
                         Row{"long-haul", 444, 887}, Row{"tender", 599, 1198}, Row{"tractor", 200, 399}}) {
    VehicleUse use = *vehicle_use_of_id(row.use);
    use.burn_m3_per_s = exactly(use.burn_m3_per_s.value);
    use.dirt_kg_per_kg = exactly(use.dirt_kg_per_kg.value);
    for (const auto& [grams, hours] : {std::pair{20.0, row.hours_20_g}, std::pair{40.0, row.hours_40_g}}) {
      const FilterSection section = asked(one_filter(grams), use);
      ASSERT_EQ(section.sheets[0].stages.size(), 1U);
      const FilterStage& stage = section.sheets[0].stages[0];
      EXPECT_GT(stage.share, 0.85) << row.use;
      EXPECT_LE(stage.share, 1.0 + 1e-12) << row.use;
      // What the element keeps is the share; the fuel of the sheet has the table's density within 0.1 %.
      EXPECT_NEAR(grams * 1e-3 / (stage.median_life_h * stage.share) / (grams * 1e-3 / hours), 1.0, 0.003) << row.use;
      EXPECT_TRUE(stage.capacity_stated);
    }
  }
}

// Limits and orders: no more is caught than comes; more dirt, shorter life; the sum of shares grows with each element;
// the pump inlet falls while the filters load.
TEST(Filters, KeepsTheBalanceAndTheOrder) {
  const VehicleUse& use = *vehicle_use_of_id("towing");
  const FilterSection section = asked(rebuilt(), use);
  const FilterSheet& sheet = section.sheets[0];
  ASSERT_GE(sheet.stages.size(), 2U);
  double all = 0.0;
  for (const FilterStage& stage : sheet.stages) {
    all += stage.share;
    EXPECT_GE(stage.share, 0.0);
    EXPECT_LT(stage.life_h.low, stage.median_life_h);
    EXPECT_LT(stage.median_life_h, stage.life_h.high);
  }
  EXPECT_LE(all, 1.0 + 1e-12);
  VehicleUse dirty = use;
  dirty.dirt_kg_per_kg = exactly(24e-6);
  const FilterSection worse = asked(rebuilt(), dirty);
  for (std::size_t i = 0; i < sheet.stages.size(); ++i) {
    if (sheet.stages[i].share > 0.0) {
      EXPECT_LT(worse.sheets[0].stages[i].median_life_h, sheet.stages[i].median_life_h);
    }
  }
  ASSERT_EQ(sheet.hours.size(), 5U);
  for (std::size_t i = 1; i < sheet.hours.size(); ++i) {
    EXPECT_GT(sheet.hours[i].hours, sheet.hours[i - 1].hours);
    EXPECT_LE(sheet.hours[i].inlet_over_ambient_Pa, sheet.hours[i - 1].inlet_over_ambient_Pa + 1e-6);
    for (const double loaded : sheet.hours[i].loaded) EXPECT_LE(loaded, 1.0);
  }
}

// A year by hand: 120 h, changed by age once a year, 15 min, 60.00 an element, 120.00 an hour: 90.00.
TEST(Filters, PricesAYear) {
  test::QuietRun quiet;
  const Currency usd = Currency::of("USD").value();
  system::LineSheet sheet = one_filter(1000.0);
  for (system::Leg& leg : sheet.legs) {
    for (system::Part& part : leg.parts) part.place.service_s.reset();
  }
  const Money element{.minor = 6000, .currency = usd};
  const FilterFacts facts{
      .use = *vehicle_use_of_id("tender"),
      .prices =
          FilterPrices{.primary = element, .final = element, .labour_per_hour = {.minor = 12000, .currency = usd}}};
  const FilterSection section = filter_section(std::span(&sheet, 1), facts, quiet.run()).value();
  const FilterStage& stage = section.sheets[0].stages[0];
  EXPECT_EQ(stage.year.by, debris::ChangedBy::age);
  EXPECT_EQ(stage.year.changes, 1.0);
  EXPECT_EQ(stage.year.minutes, 15.0);
  EXPECT_EQ(section.sheets[0].cost_a_year->minor, 9000);
}

TEST(Filters, TheSameSeedGivesTheSameBand) {
  const VehicleUse& use = *vehicle_use_of_id("towing");
  const FilterSection a = asked(rebuilt(), use);
  const FilterSection b = asked(rebuilt(), use);
  EXPECT_EQ(a.sheets[0].stages[0].life_h, b.sheets[0].stages[0].life_h);
}

}  // namespace
}  // namespace fw::assess
