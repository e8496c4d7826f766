// SPDX-License-Identifier: Apache-2.0
#include "casefile/seven_facts.hpp"

#include <gtest/gtest.h>

#include "casefile/line_sheet_reader.hpp"
#include "casefile/sheet_sources.hpp"

namespace fw::casefile {
namespace {

const catalog::Catalog& book() {
  static const catalog::Catalog catalog = *catalog::built_in();
  return catalog;
}

std::vector<std::string> ids(const system::LineSheet& sheet, std::string_view leg) {
  std::vector<std::string> all;
  for (const system::Part& part : sheet.find_leg(leg)->parts) all.push_back(part.id);
  return all;
}

TEST(SevenFacts, EveryLayoutStandsAloneAndSaysWhatItTook) {
  for (const std::string& id : book().ids(catalog::EntryKind::layout)) {
    const auto made = sheet_from_facts({.layout = id}, book());
    ASSERT_TRUE(made) << id << ": " << to_text(made.error());
    EXPECT_EQ(made->taken.size(), 6U) << id;
    EXPECT_TRUE(made->sheet.engine.rated_power_W.unknown);
    EXPECT_EQ(made->sheet.engine.rated_power_W.spread.kind, SpreadKind::uniform);
  }
}

TEST(SevenFacts, EveryNumberOfEveryLayoutHasClassRangeAndSource) {
  const auto sound = [](const Stated& number, const std::string& where) {
    if (!number.given()) return;
    EXPECT_FALSE(number.origin.source.empty()) << where << " " << number.id;
    EXPECT_NE(number.source, SourceClass::measured) << where << " " << number.id << " " << number.origin.as_typed;
  };
  for (const std::string& id : book().ids(catalog::EntryKind::layout)) {
    const auto made = sheet_from_facts({.layout = id}, book());
    ASSERT_TRUE(made);
    sound(made->sheet.engine.displacement_m3, id);
    sound(made->sheet.engine.idle_speed_per_s, id);
    sound(made->sheet.engine.housing_flow_m3_per_s, id);
    for (const system::Leg& leg : made->sheet.legs) {
      for (const system::Part& part : leg.parts) {
        if (part.line) {
          sound(part.line->bore_m, id);
          sound(part.line->length_m, id);
          EXPECT_NE(part.line->length_m.spread.kind, SpreadKind::exact) << id << " " << part.id;
        }
        if (part.medium) {
          sound(part.medium->clean_drop_Pa, id);
          EXPECT_EQ(part.medium->clean_drop_Pa.spread.kind, SpreadKind::triangular) << id << " " << part.id;
        }
        if (part.pump && part.pump->set_Pa) sound(*part.pump->set_Pa, id);
      }
    }
  }
}

// Every part of the catalog that can stand in a leg does: what it does not say is length, and a bore for a joint's
// line.
TEST(CatalogParts, EachReadsInASheet) {
  int read = 0;
  for (const catalog::Entry& entry : book().entries) {
    if (entry.kind != catalog::EntryKind::part || entry.text.find("\nkind = ") == std::string::npos) continue;
    const bool line = entry.text.find("kind = \"hose\"") != std::string::npos ||
                      entry.text.find("kind = \"tube\"") != std::string::npos;
    const std::string text =
        "format = 1\nname = \"x\"\nfrom = \"layout:c-low\"\n[[change]]\ninsert = \"new\"\nbefore = \"engine-hose\"\n"
        "catalog = \"" +
        entry.id + "\"\n" + (line ? "length = \"1 m\"\n" : "");
    const auto sheet = read_line_sheet(text, "x.toml", book().spreads, sheet_sources(book()));
    ASSERT_TRUE(sheet) << entry.id << ": " << to_text(sheet.error());
    ASSERT_NE(sheet->find_part("new"), nullptr) << entry.id;
    ++read;
  }
  EXPECT_GE(read, 35);
}

TEST(SevenFacts, PutsEveryFactIn) {
  const auto made = sheet_from_facts({.layout = "c-low",
                                      .engine = "v8",
                                      .rated_power = "230 kW",
                                      .assist = "g1",
                                      .assist_set = "11 psi",
                                      .filters = {"coarse", "separator", "pump", "fine", "pump", "fine"},
                                      .main_hose = "-8 J30 hose",
                                      .bypassed = {"sensor"},
                                      .climate = "cold"},
                                     book());
  ASSERT_TRUE(made) << to_text(made.error());
  const system::LineSheet& sheet = made->sheet;
  EXPECT_TRUE(made->taken.empty());
  EXPECT_EQ(made->climate, supply::Climate::cold);
  EXPECT_EQ(sheet.fuel, "en590_arctic2");
  EXPECT_NEAR(sheet.engine.rated_power_W.value, 230e3, 1e-6);
  EXPECT_EQ(sheet.engine.rated_power_W.origin.as_typed, "230 kW");
  // 230 kW at 43 kW per litre (archetype v8).
  EXPECT_NEAR(sheet.engine.displacement_m3.value, 230.0 / 43.0 * 1e-3, 1e-5);
  EXPECT_EQ(sheet.high_side.cylinders, 8);
  EXPECT_NEAR(sheet.find_part("assist-regulator")->valve->crack_Pa.value, 75842.33, 0.01);
  EXPECT_NEAR(sheet.find_part("push-hose")->line->bore_m.value, 0.0127, 1e-9);
  const std::vector<std::string> expected{"sump",         "assist-hose",      "told-1-coarse", "separator",
                                          "assist-pump",  "assist-regulator", "push-hose",     "engine-filter",
                                          "chassis-pump", "pressure-line",    "told-4-fine",   "engine-hose"};
  EXPECT_EQ(ids(sheet, "supply"), expected);
  EXPECT_EQ(sheet.find_part("separator")->medium->sensor, system::WaterSensor::unplugged);
}

TEST(SevenFacts, EveryArchetypeStandsOnEveryLayout) {
  for (const std::string& engine : book().ids(catalog::EntryKind::engine)) {
    for (const std::string& layout : book().ids(catalog::EntryKind::layout)) {
      for (const char* power : {"", "200 kW", "?"}) {
        const auto made = sheet_from_facts({.layout = layout, .engine = engine, .rated_power = power}, book());
        ASSERT_TRUE(made) << engine << " on " << layout << ": " << to_text(made.error());
        EXPECT_EQ(made->sheet.engine.rated_power_W.unknown, std::string_view(power) != "200 kW");
      }
    }
  }
}

TEST(SevenFacts, AnUnknownSetIsTheWholeHabitAlike) {
  const auto made = sheet_from_facts({.layout = "b", .assist = "g1"}, book());
  ASSERT_TRUE(made) << to_text(made.error());
  const Stated& set = made->sheet.find_part("assist-regulator")->valve->crack_Pa;
  EXPECT_TRUE(set.unknown);
  EXPECT_EQ(set.spread.kind, SpreadKind::uniform);
  EXPECT_NEAR(set.spread.low, 55e3, 1e-9);
  EXPECT_NEAR(set.spread.high, 103e3, 1e-9);
}

TEST(SevenFacts, TheTextReadsAsTheSameSheet) {
  const auto made = sheet_from_facts({.layout = "d", .rated_power = "160 mech hp", .climate = "hot"}, book());
  ASSERT_TRUE(made);
  EXPECT_NE(made->text.find("from = \"layout:d\""), std::string::npos);
  EXPECT_NE(made->text.find("rated_power = \"160 mech hp\""), std::string::npos);
}

TEST(SevenFacts, TeachesWhatDoesNotFit) {
  const auto code = [](const SevenFacts& facts) {
    const auto made = sheet_from_facts(facts, book());
    EXPECT_FALSE(made);
    return made ? std::string() : made.error().front().where.field + " " + std::string(name(made.error().front().code));
  };
  EXPECT_EQ(code({}), "layout not_found");
  EXPECT_EQ(code({.layout = "z"}), "layout not_found");
  EXPECT_EQ(code({.layout = "b", .engine = "v9"}), "engine not_found");
  EXPECT_EQ(code({.layout = "b", .rated_power = "230"}), "rated_power invalid_input");
  EXPECT_EQ(code({.layout = "b", .rated_power = "2\"\n[x]"}), "rated_power invalid_input");
  EXPECT_EQ(code({.layout = "b", .assist = "g2"}), "assist conflict");
  EXPECT_EQ(code({.layout = "b", .assist = "none", .assist_set = "11 psi"}), "assist_set conflict");
  EXPECT_EQ(code({.layout = "c-low", .filters = {"separator", "fine"}}), "filters conflict");
  EXPECT_EQ(code({.layout = "c-low", .filters = {"sieve", "pump"}}), "filters invalid_input");
  EXPECT_EQ(code({.layout = "c-low", .main_hose = "-8"}), "main_hose invalid_input");
  EXPECT_EQ(code({.layout = "b", .bypassed = {"chassis pump"}}), "bypassed conflict");
  EXPECT_EQ(code({.layout = "b", .bypassed = {"cap"}}), "bypassed invalid_input");
  EXPECT_EQ(code({.layout = "b", .climate = "warm"}), "climate invalid_input");
}

}  // namespace
}  // namespace fw::casefile
