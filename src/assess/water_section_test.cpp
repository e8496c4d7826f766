// SPDX-License-Identifier: Apache-2.0
#include "assess/water_section.hpp"

#include <algorithm>
#include <string>

#include <gtest/gtest.h>

#include "casefile/case.hpp"
#include "catalog/catalog.hpp"

#include "project_file.hpp"

namespace fw::assess {
namespace {

casefile::Case demo(const std::string& name) {
  static const catalog::Catalog book = catalog::built_in().value();
  return casefile::read_case(test::project_file("cases/") + name, book).value();
}

Result<WaterSection> section_of(const std::vector<system::LineSheet>& sheets, WaterFacts facts = {}) {
  InlineExecutor executor;
  SilentProgress progress;
  facts.sets = facts.sets == 48 ? 16 : facts.sets;
  facts.stories = 8;
  return water_section(sheets, facts, Run{.executor = executor, .progress = progress, .stop = {}});
}

// The booster beside the chassis unit takes most of the feed around the separator; the rebuilt system draws from a sump
// and has a separator before and one behind its pump.
TEST(WaterSection, PlacesOfTheQuarryTruck) {
  const casefile::Case job = demo("quarry-vee");
  const WaterSection section = section_of(job.sheets, {.climate = job.climate}).value();
  ASSERT_EQ(section.sheets.size(), 3U);
  const auto stage = [](const WaterSheet& sheet, std::string_view id) {
    for (const WaterStage& one : sheet.stages) {
      if (one.id == id) return one;
    }
    throw std::runtime_error("no stage " + std::string(id));
  };
  const WaterSheet& designed = section.sheets[0];
  const WaterSheet& found = section.sheets[1];
  const WaterSheet& rebuilt = section.sheets[2];
  EXPECT_NEAR(stage(designed, "separator").share, 1.0, 1e-9);
  EXPECT_GT(stage(found, "separator").share, 0.05);
  EXPECT_LT(stage(found, "separator").share, 0.6);
  EXPECT_NEAR(stage(found, "separator").share + stage(found, "booster").share, 1.0, 1e-9);
  EXPECT_FALSE(designed.sump);
  EXPECT_TRUE(rebuilt.sump);
  EXPECT_EQ(rebuilt.under_pickup_m3, 0.0);
  EXPECT_FALSE(stage(rebuilt, "assist-separator").behind_pump);
  EXPECT_TRUE(stage(rebuilt, "separator").behind_pump);
  EXPECT_LT(stage(rebuilt, "separator").efficiency->low, stage(rebuilt, "assist-separator").efficiency->low);
  EXPECT_EQ(rebuilt.slug.body_drawn, 1.0);
  EXPECT_FALSE(rebuilt.freezes);  // hot climate
}

// Without a separator more water reaches the inlet, draw by draw, and no sensor could stand in a bowl.
TEST(WaterSection, TheTenderAsFoundLostItsSeparator) {
  const casefile::Case job = demo("alder-gap-tender");
  const WaterSection section = section_of(job.sheets, {.climate = job.climate}).value();
  const WaterSheet& designed = section.sheets[0];
  const WaterSheet& found = section.sheets[1];
  EXPECT_TRUE(designed.bowl_in_flow);
  EXPECT_FALSE(found.bowl_in_flow);
  for (std::size_t i = 0; i < found.slug_free_kg.size(); ++i) {
    EXPECT_GE(found.slug_free_kg[i], designed.slug_free_kg[i]) << i;
  }
  EXPECT_FALSE(found.as_it_is.chance.value_or(0.0) > 0.0);
  EXPECT_EQ(found.silent.at(static_cast<std::size_t>(water::Blindness::sees)), 0U);
  EXPECT_TRUE(section.sentences.front().starts_with("as found lets more")) << section.sentences.front();
  std::size_t counted = 0;
  for (const std::size_t draws : designed.silent) counted += draws;
  EXPECT_EQ(counted, section.draws);
}

TEST(WaterSection, DrawsBelongToTheSeed) {
  const std::vector<system::LineSheet> one{demo("alder-gap-tender").sheets.front()};
  const WaterSection a = section_of(one).value();
  const WaterSection b = section_of(one).value();
  const WaterSection c = section_of(one, {.seed = 2}).value();
  EXPECT_EQ(a.sheets[0].slug_free_kg, b.sheets[0].slug_free_kg);
  EXPECT_NE(a.sheets[0].slug_free_kg, c.sheets[0].slug_free_kg);
}

// A fuel report with more water takes the place of the assumed one.
TEST(WaterSection, TakesTheWaterOfTheReport) {
  const std::vector<system::LineSheet> one{demo("alder-gap-tender").sheets.front()};
  const WaterSection dry = section_of(one, {.fuel_water = exactly(20e-6)}).value();
  const WaterSection wet = section_of(one, {.fuel_water = exactly(500e-6)}).value();
  EXPECT_EQ(dry.sheets[0].ordinary.worst.high, 0.0);
  EXPECT_GT(wet.sheets[0].ordinary.worst.low, 1e-6);
}

// The van's fuel as found is a mixture that only a laboratory can name: that sheet is not determined, the others are.
TEST(WaterSection, NamesTheSheetItCannotJudge) {
  casefile::Case job = demo("orchard-van");
  ASSERT_EQ(job.sheets.at(1).name, "as found");
  job.sheets[1].fuel = "constant";
  job.sheets[1].constant_density_kg_per_m3 = exactly(790.0);
  job.sheets[1].constant_kinematic_viscosity_m2_per_s = exactly(1.1e-6);
  const WaterSection section = section_of(job.sheets, {.climate = job.climate}).value();
  ASSERT_EQ(section.not_judged.size(), 1U);
  EXPECT_EQ(section.not_judged.front().name, "as found");
  EXPECT_EQ(section.sheets.size() + 1, job.sheets.size());
}

// A bowl that the sheet states takes the place of the typical one; a larger one fills later and a sensor that sits
// higher in it warns in fewer stories.
TEST(WaterSection, TakesTheBowlOfTheSheet) {
  const casefile::Case job = demo("alder-gap-tender");
  std::vector<system::LineSheet> one{job.sheets.front()};
  system::Part* separator = nullptr;
  for (system::Leg& leg : one.front().legs) {
    for (system::Part& part : leg.parts) {
      if (part.id == "separator") separator = &part;
    }
  }
  ASSERT_NE(separator, nullptr);
  separator->medium->sensor = system::WaterSensor::wired;
  const auto judged = [&](double bowl_m3, double sensor_at_m3) {
    separator->medium->bowl_m3 = exactly(bowl_m3);
    separator->medium->sensor_at_m3 = exactly(sensor_at_m3);
    return section_of(one).value().sheets.front();
  };
  separator->medium->bowl_m3.reset();
  separator->medium->sensor_at_m3.reset();
  const auto stage_of = [](const WaterSheet& sheet) {
    return *std::ranges::find(sheet.stages, std::string("separator"), &WaterStage::id);
  };
  const WaterSheet unknown = section_of(one).value().sheets.front();
  EXPECT_FALSE(stage_of(unknown).bowl_stated);
  EXPECT_FALSE(stage_of(unknown).probe_stated);
  const WaterSheet low = judged(300e-6, 10e-6);
  const WaterSheet high = judged(300e-6, 200e-6);
  const WaterSheet small = judged(50e-6, 10e-6);
  EXPECT_TRUE(stage_of(low).bowl_stated);
  EXPECT_TRUE(stage_of(low).probe_stated);
  const auto warned = [](const WaterSheet& sheet) {
    return sheet.silent.at(static_cast<std::size_t>(water::Blindness::sees));
  };
  EXPECT_GT(warned(low), warned(high));
  EXPECT_LT(low.slug.bowl_full, small.slug.bowl_full);
}

TEST(WaterSection, RefusesWhatItCannotJudge) {
  const auto field = [](const Result<WaterSection>& result) {
    return result ? std::string("no error") : result.error().front().where.field;
  };
  std::vector<system::LineSheet> one{demo("alder-gap-tender").sheets.front()};
  EXPECT_EQ(field(section_of({})), "sheets");
  EXPECT_EQ(field(section_of(one, {.sets = 0})), "facts.sets");
  EXPECT_EQ(field(section_of(one, {.days = 0})), "facts.days");
  EXPECT_EQ(field(section_of(one, {.fuel_water = exactly(0.5)})), "facts.fuel_water");
  one.front().fuel = "constant";
  one.front().constant_density_kg_per_m3 = exactly(835.0);
  one.front().constant_kinematic_viscosity_m2_per_s = exactly(4e-6);
  EXPECT_EQ(section_of(one).error().front().code, ErrorCode::outside_model);
}

}  // namespace
}  // namespace fw::assess
