// SPDX-License-Identifier: Apache-2.0
#include "assess/content_key.hpp"

#include <functional>
#include <limits>
#include <set>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "assess/metal_way.hpp"
#include "casefile/case.hpp"
#include "casefile/line_sheet_reader.hpp"
#include "casefile/sheet_sources.hpp"

#include "project_file.hpp"
#include "quiet_run.hpp"

namespace fw::assess {
namespace {

const catalog::Catalog& book() {
  static const catalog::Catalog catalog = catalog::built_in().value();
  return catalog;
}

system::LineSheet sheet_of(const std::string& text, const std::string& file = "sheet.toml") {
  return casefile::read_line_sheet(text, file, book().spreads, casefile::sheet_sources(book())).value();
}

const std::string small = "format = 1\nname = \"x\"\nfrom = \"layout:f2\"\n";

system::Part& first_with(system::LineSheet& sheet, const std::function<bool(const system::Part&)>& holds) {
  for (system::Leg& leg : sheet.legs) {
    for (system::Part& part : leg.parts) {
      if (holds(part)) return part;
    }
  }
  throw std::runtime_error("no such part");
}

TEST(ContentKey, CommentsOrderOfKeysAndFilesChangeNothing) {
  const ContentKey key = sheet_key(sheet_of(small));
  EXPECT_EQ(key.hex.size(), 64U);
  EXPECT_EQ(sheet_key(sheet_of(small)), key);
  EXPECT_EQ(sheet_key(sheet_of("# note\n\n" + small + "# end\n")), key);
  EXPECT_EQ(sheet_key(sheet_of("format = 1\nfrom = \"layout:f2\"\nname = \"x\"\n")), key);
  EXPECT_EQ(sheet_key(sheet_of(small, "another.toml")), key);
}

// One input at a time: every key differs from the first and from all others.
TEST(ContentKey, EveryInputOfASheetCounts) {
  using Sheet = system::LineSheet;
  using Part = system::Part;
  const std::vector<std::function<void(Sheet&)>> edits{
      [](Sheet&) {},
      [](Sheet& s) { s.name = "y"; },
      [](Sheet& s) { s.fuel = "en590"; },
      [](Sheet& s) { s.tanks.front().pickup_height_m.value += 1e-9; },
      [](Sheet& s) { s.tanks.front().level = exactly(0.5); },
      [](Sheet& s) { s.tanks.front().level = exactly(0.0); },
      [](Sheet& s) { s.engine.rated_power_W.spread.half_width += 1.0; },
      [](Sheet& s) { s.engine.rated_power_W.source = SourceClass::measured; },
      [](Sheet& s) { s.engine.rated_power_W.unknown = true; },
      [](Sheet& s) { s.engine.rated_power_W.id += "2"; },
      [](Sheet& s) { s.engine.rated_power_W.origin.as_typed += " "; },
      [](Sheet& s) { s.engine.inlet_low_Pa = exactly(1e4); },
      [](Sheet& s) { s.engine.inlet_high_Pa = exactly(1e4); },
      [](Sheet& s) { s.high_side.cylinders += 1; },
      [](Sheet& s) { s.selector.feed = "tank-2"; },
      [](Sheet& s) { s.voltage_loss_V = exactly(1.0); },
      [](Sheet& s) { s.fuel_report.emplace(); },
      [](Sheet& s) { s.legs.front().mouth_loss += 0.1; },
      [](Sheet& s) { std::swap(s.legs[0], s.legs[1]); },
      [](Sheet& s) { s.legs.front().parts.pop_back(); },
      [](Sheet& s) { s.legs.front().parts.front().bypassed = true; },
      [](Sheet& s) { s.legs.front().parts.front().port = "V9"; },
      [](Sheet& s) { s.legs.front().parts.front().place.shield = false; },
      [](Sheet& s) { s.legs.front().parts.front().place.shield = true; },
      [](Sheet& s) { s.legs.front().parts.front().condition.spent = true; },
      [](Sheet& s) { first_with(s, [](const Part& p) { return p.line.has_value(); }).line->length_m.value *= 1.01; },
      [](Sheet& s) { first_with(s, [](const Part& p) { return p.line.has_value(); }).line->bends += 1; },
      [](Sheet& s) {
        first_with(s, [](const Part& p) { return p.medium.has_value(); }).medium->sensor = system::WaterSensor::none;
      },
      [](Sheet& s) {
        first_with(s, [](const Part& p) { return p.medium.has_value(); }).medium->bowl_m3 = exactly(2e-4);
      },
      [](Sheet& s) {
        first_with(s, [](const Part& p) { return p.medium.has_value(); }).medium->sensor_at_m3 = exactly(2e-4);
      },
      [](Sheet& s) {
        first_with(s, [](const Part& p) { return p.pump.has_value(); }).pump->watch = system::Watch::alarm;
      },
  };
  std::set<std::string> keys;
  for (const auto& edit : edits) {
    system::LineSheet sheet = sheet_of(small);
    edit(sheet);
    EXPECT_TRUE(keys.insert(sheet_key(sheet).hex).second) << "edit " << keys.size();
  }
}

TEST(ContentKey, ANumberThatIsNotGivenIsOneNumber) {
  system::LineSheet a = sheet_of(small);
  system::LineSheet b = a;
  a.legs.front().exit_loss = std::numeric_limits<double>::quiet_NaN();
  b.legs.front().exit_loss = -std::numeric_limits<double>::quiet_NaN();
  EXPECT_EQ(sheet_key(a), sheet_key(b));
  a.legs.front().exit_loss = 0.0;
  EXPECT_NE(sheet_key(a), sheet_key(b));
  b.legs.front().exit_loss = -0.0;
  EXPECT_EQ(sheet_key(a), sheet_key(b));
}

TEST(ContentKey, ASupplyHangsOnEnvelopeAndDraws) {
  const ContentKey sheet = sheet_key(sheet_of(small));
  const auto cold = supply::envelope(supply::Climate::cold);
  const auto hot = supply::envelope(supply::Climate::hot);
  const std::set<std::string> keys{supply_key(sheet, cold, {}).hex,
                                   supply_key(sheet, hot, {}).hex,
                                   supply_key(sheet, cold, {.samples = 256}).hex,
                                   supply_key(sheet, cold, {.samples = 256, .seed = 2}).hex,
                                   supply_key(sheet, cold, {.samples = 256, .all_points = true}).hex,
                                   rail_key(sheet, 333.15).hex,
                                   rail_key(sheet, 334.15).hex,
                                   heat_key(sheet, 333.15).hex,
                                   comparison_key(sheet, {.hex = "b"}).hex,
                                   comparison_key({.hex = "b"}, sheet).hex};
  EXPECT_EQ(keys.size(), 10U);
}

TEST(ContentKey, EveryFactOfTheWaterCounts) {
  const std::vector<ContentKey> sheets{sheet_key(sheet_of(small)), {.hex = "b"}};
  const std::vector<ContentKey> turned{sheets[1], sheets[0]};
  const std::set<std::string> keys{water_key(sheets, {}).hex,
                                   water_key(turned, {}).hex,
                                   water_key(std::span(sheets).first(1), {}).hex,
                                   water_key(sheets, {.climate = supply::Climate::cold}).hex,
                                   water_key(sheets, {.fuel_water = exactly(1e-4)}).hex,
                                   water_key(sheets, {.seed = 2}).hex,
                                   water_key(sheets, {.sets = 47}).hex,
                                   water_key(sheets, {.stories = 23}).hex,
                                   water_key(sheets, {.days = 31}).hex};
  EXPECT_EQ(keys.size(), 9U);
}

TEST(ContentKey, WhoFoundItAndWhenChangesNoDiagnosis) {
  const casefile::Case job = casefile::read_case(test::project_file("cases/alder-gap-tender"), book()).value();
  ASSERT_TRUE(job.findings);
  diagnosis::Facts facts = *job.findings;
  const auto diagnosed = [&] { return diagnosis_key(book().diagnosis, facts, {.seed = 1, .count = 100}); };
  const auto looked = [&] { return looks_key(book().diagnosis, book().losses, facts, {}); };
  const ContentKey first = diagnosed();
  const ContentKey first_looks = looked();
  facts.statements.front().person = "somebody else";
  facts.statements.front().note = "a note";
  facts.agreement.date = "2031-01-01";
  EXPECT_EQ(diagnosed(), first);
  EXPECT_EQ(looked(), first_looks);
  facts.others_work_released = "the owner, 2026-05-06";
  const ContentKey released = diagnosed();
  EXPECT_NE(released, first) << "what may be said of a cause is part of the answer";
  facts.others_work_released = "another owner, 2031-01-01";
  EXPECT_EQ(diagnosed(), released);
  facts.others_work_released.clear();
  facts.agreement.owner = !facts.agreement.owner;
  EXPECT_EQ(diagnosed(), first) << "an agreement is no finding";
  EXPECT_NE(looked(), first_looks) << "but it lets the pump be opened";
  facts.water_sensor = facts.water_sensor == diagnosis::WaterSensor::none ? diagnosis::WaterSensor::in_flow
                                                                          : diagnosis::WaterSensor::none;
  const ContentKey without_sensor = diagnosed();
  EXPECT_NE(without_sensor, first);
  facts.statements.pop_back();
  EXPECT_NE(diagnosed(), without_sensor);
  const ContentKey without_reading = diagnosed();
  facts.readings.push_back({.at = "V1", .value = 1e3});
  const ContentKey with_reading = diagnosed();
  EXPECT_NE(with_reading, without_reading);
  facts.readings.front().person = "somebody else";
  EXPECT_EQ(diagnosed(), with_reading);
  facts.weighed.push_back({.weights = {1.0}});
  EXPECT_NE(diagnosed(), with_reading);
  diagnosis::Tables tables = book().diagnosis;
  tables.planted.front().share.value *= 0.5;
  EXPECT_NE(diagnosis_key(tables, facts, {.seed = 1, .count = 100}), diagnosed());
  tables = book().diagnosis;
  tables.numbers.leading.value = 0.6;
  EXPECT_NE(diagnosis_key(tables, facts, {.seed = 1, .count = 100}), diagnosed());
}

TEST(ContentKey, AMapHangsOnNoPrice) {
  const casefile::Case job = casefile::read_case(test::project_file("cases/alder-gap-tender"), book()).value();
  ASSERT_TRUE(job.metal && job.metal->input.prices);
  test::QuietRun quiet;
  extent::DecisionInput input = metal_input(*job.metal, job.sheets, job.as_found, quiet.run()).value().input;
  const ContentKey map = debris_key(input, 1);
  const ContentKey decision = extent_key(input, 1);
  input.prices->comeback_loss.high.minor += 1;
  input.seed = 7;  // the seed of the options counts
  EXPECT_EQ(debris_key(input, 1), map);
  EXPECT_NE(extent_key(input, 1), decision);
  EXPECT_NE(debris_key(input, 2), map);
  input.findings.pop_back();
  EXPECT_NE(debris_key(input, 1), map);
}

}  // namespace
}  // namespace fw::assess
