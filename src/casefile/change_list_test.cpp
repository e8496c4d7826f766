// SPDX-License-Identifier: Apache-2.0
#include "catalog/change_list.hpp"

#include <map>

#include <gtest/gtest.h>

#include "casefile/line_sheet_reader.hpp"
#include "casefile/sheet_sources.hpp"

namespace fw::casefile {
namespace {

const std::string base = R"toml(format = 1
name = "below"
[tank]
height = "0.4 m"
[engine]
displacement = "5.6 L"
rated_power = "175 kW"
rated_speed = "2500 rpm"
[[leg]]
id = "supply"
from = "tank"
to = "engine"
[[leg.part]]
id = "line"
kind = "tube"
bore = "9 mm (8 to 10)"
length = "3 m"
end_height = "0.5 m"
port = "V1"
[[leg.part]]
id = "filter"
kind = "filter"
clean_drop = "datasheet 5 kPa"
bypass_crack = "50 kPa"
[[leg.part]]
id = "hose"
kind = "hose"
bore = "-6 J30 hose"
length = "1 m"
)toml";

/// Reads `text` where "below.toml" is the sheet above and the other files are those given.
Result<system::LineSheet> read(const std::string& text, std::map<std::string, std::string> files = {}) {
  files.emplace("below.toml", base);
  const catalog::SheetSources sources{
      .sheet = [files](const std::string& name, const std::string&) -> Result<catalog::SheetSource> {
        const auto found = files.find(name);
        if (found == files.end()) return invalid("", name, "a file of this test");
        return catalog::SheetSource{.file = name, .text = found->second};
      },
      .build = [files](const std::string& name) -> Result<catalog::SheetSource> {
        const auto found = files.find(name);
        if (found == files.end()) return invalid("", name, "a build of this test");
        return catalog::SheetSource{.file = name, .text = found->second};
      },
      .part = [](const std::string&) -> Result<catalog::SheetSource> {
        return catalog::SheetSource{.file = "parts.toml",
                                    .text =
                                        "\n\n[part]\nid = \"p\"\ntitle = \"from the book\"\nsource = \"book 3\"\n"
                                        "kind = \"filter\"\nclean_drop = \"typical 2 kPa (1 to 4)\"\n"
                                        "rating = \"typical 10 um\"\n  [part.facts]\n  capacity = \"typical 9 g\"\n"};
      }};
  return read_line_sheet(text, "top.toml", {}, sources);
}

std::string order(const system::LineSheet& sheet) {
  std::string all;
  for (const system::Part& part : sheet.legs.at(0).parts) all += part.id + " ";
  return all;
}

const std::string top = "format = 1\nname = \"as rebuilt\"\nfrom = \"below.toml\"\n";

TEST(ChangeList, SheetBelowComesThroughAndItsHeadIsReplaced) {
  const auto sheet = read(top + "[engine]\nrated_power = \"200 kW\"\n");
  ASSERT_TRUE(sheet) << to_text(sheet.error());
  EXPECT_EQ(sheet->name, "as rebuilt");
  EXPECT_EQ(sheet->file, "top.toml");
  EXPECT_NEAR(sheet->engine.rated_power_W.value, 200e3, 1e-9);
  EXPECT_EQ(sheet->engine.rated_power_W.origin.file, "top.toml");
  EXPECT_EQ(sheet->engine.rated_power_W.origin.line, 5U);
  EXPECT_EQ(sheet->engine.displacement_m3.origin.file, "below.toml");
  EXPECT_EQ(sheet->legs[0].parts[0].origin.file, "below.toml");
  EXPECT_EQ(sheet->legs[0].parts[0].origin.line, 13U);
}

TEST(ChangeList, EveryVerbDoesWhatItSays) {
  const auto sheet = read(top + R"toml([[change]]
at = "filter"
clean_drop = "6 kPa"
without = ["bypass_crack"]
[[change]]
insert = "check"
after = "line"
kind = "check"
[[change]]
insert = "sump"
start_of = "supply"
kind = "sump"
[[change]]
move = "filter"
before = "check"
port = "P2"
[[change]]
replace = "line"
kind = "hose"
bore = "-8 J30 hose"
length = "2 m"
[[change]]
remove = "hose"
[[change]]
insert = "last"
end_of = "supply"
kind = "heater"
)toml");
  ASSERT_TRUE(sheet) << to_text(sheet.error());
  EXPECT_EQ(order(*sheet), "sump line filter check last ");
  const system::Part& filter = *sheet->find_part("filter");
  EXPECT_NEAR(filter.medium->clean_drop_Pa.value, 6e3, 1e-9);
  EXPECT_EQ(filter.medium->clean_drop_Pa.origin.line, 6U);
  EXPECT_EQ(filter.medium->clean_drop_Pa.origin.file, "top.toml");
  EXPECT_FALSE(filter.medium->bypass_crack_Pa);
  EXPECT_EQ(filter.port, "P2");
  // A part that takes another's place hangs where that one hung.
  const system::Part& line = *sheet->find_part("line");
  EXPECT_EQ(line.port, "V1");
  EXPECT_NEAR(line.end_height_m->value, 0.5, 1e-12);
  EXPECT_NEAR(line.line->length_m.value, 2.0, 1e-12);
  EXPECT_EQ(line.origin.file, "top.toml");
}

TEST(ChangeList, AQuestionMarkKeepsTheValueBelowAsAssumed) {
  const auto sheet = read(top +
                          "[[change]]\nat = \"line\"\nbore = \"?\"\nlength = \"?\"\n[[change]]\nat = \"filter\"\n"
                          "clean_drop = \"?\"\n[[change]]\nat = \"hose\"\nbore = \"?\"\n");
  ASSERT_TRUE(sheet) << to_text(sheet.error());
  const Stated& bore = sheet->find_part("line")->line->bore_m;
  EXPECT_TRUE(bore.unknown);
  EXPECT_EQ(bore.source, SourceClass::assumed);
  EXPECT_NEAR(bore.value, 0.009, 1e-12);
  EXPECT_NEAR(bore.spread.low, 0.008, 1e-12);
  EXPECT_EQ(bore.origin.as_typed, "?");
  EXPECT_NE(bore.origin.source.find("below.toml:16"), std::string::npos);
  // The doubt of a data sheet does not stay on a number that is only assumed.
  const Stated& drop = sheet->find_part("filter")->medium->clean_drop_Pa;
  EXPECT_EQ(drop.spread.kind, SpreadKind::lognormal);
  EXPECT_NEAR(drop.value, 5e3, 1e-9);
  EXPECT_NEAR(sheet->find_part("hose")->line->bore_m.value, 0.375 * 0.0254, 1e-9);
}

TEST(ChangeList, ABuildIsOneStepAndSaysWhatDoesNotFit) {
  const std::string build = "format = 1\n[[change]]\nremove = \"hose\"\n[[change]]\nremove = \"booster\"\n";
  const auto sheet = read(top + "[[change]]\nbuild = \"b\"\n", {{"b", build}});
  ASSERT_FALSE(sheet);
  EXPECT_EQ(sheet.error().size(), 1U);
  const Error& error = sheet.error().front();
  EXPECT_EQ(error.code, ErrorCode::conflict);
  EXPECT_EQ(error.where.file, "top.toml");
  EXPECT_EQ(error.where.line, 5U);
  EXPECT_EQ(error.found, "the build \"b\" does not fit: at line 5 of it \"booster\", which is not on the sheet");
  const auto fits =
      read(top + "[[change]]\nbuild = \"b\"\n",
           {{"b", "format = 1\n[[change]]\nremove = \"hose\"\n[[change]]\nremove = \"x\"\nif_there = true\n"}});
  ASSERT_TRUE(fits) << to_text(fits.error());
  EXPECT_EQ(order(*fits), "line filter ");
}

TEST(ChangeList, ABuildMayBringTablesOfItsOwn) {
  const auto sheet = read(top + "[[change]]\nbuild = \"b\"\n[[change]]\nat = \"high_side\"\nrails = 2\n",
                          {{"b", "format = 1\n[engine]\nidle_speed = \"820 rpm\"\n[high_side]\ncylinders = 8\n"}});
  ASSERT_TRUE(sheet) << to_text(sheet.error());
  EXPECT_NEAR(sheet->engine.idle_speed_per_s.value, 820.0 / 60.0, 1e-9);
  EXPECT_EQ(sheet->engine.idle_speed_per_s.origin.file, "b");
  EXPECT_NEAR(sheet->engine.rated_power_W.value, 175e3, 1e-9);
  EXPECT_EQ(sheet->high_side.cylinders, 8);
  EXPECT_EQ(sheet->high_side.rails, 2);
}

TEST(ChangeList, APartTakesWhatItDoesNotSayFromTheCatalog) {
  const auto sheet = read(top + "[[change]]\nat = \"filter\"\ncatalog = \"p\"\nclean_drop = \"?\"\n");
  ASSERT_TRUE(sheet) << to_text(sheet.error());
  const system::Part& filter = *sheet->find_part("filter");
  ASSERT_TRUE(filter.medium->rating_m);
  EXPECT_NEAR(filter.medium->rating_m->value, 10e-6, 1e-12);
  EXPECT_EQ(filter.medium->rating_m->origin.catalog_id, "p");
  EXPECT_EQ(filter.medium->rating_m->origin.source, "book 3");
  EXPECT_NEAR(filter.medium->clean_drop_Pa.value, 2e3, 1e-9);
  EXPECT_TRUE(filter.medium->clean_drop_Pa.unknown);
}

TEST(ChangeList, TeachesEveryMistake) {
  struct Row {
    std::string text;
    std::uint32_t line;
    std::string words;
  };
  const std::vector<Row> rows{
      {top + "[[change]]\nat = \"filtr\"\n", 5, "Write \"filter\""},
      {top + "[[change]]\nremove = \"valve\"\n", 5, "which is not on the sheet"},
      {top + "[[change]]\ndelete = \"filter\"\n", 4, "a change that does nothing"},
      {top + "[[change]]\nremove = \"hose\"\nat = \"line\"\n", 5, "one thing done per [[change]]"},
      {top + "[[change]]\ninsert = \"x\"\nkind = \"sump\"\n", 4, "no place"},
      {top + "[[change]]\ninsert = \"hose\"\nafter = \"line\"\nkind = \"sump\"\n", 5, "has already"},
      {top + "[[change]]\ninsert = \"x\"\nafter = \"lin\"\nkind = \"sump\"\n", 6, "Write \"line\""},
      {top + "[[change]]\ninsert = \"x\"\nafter = \"line\"\nbefore = \"hose\"\nkind = \"sump\"\n", 6, "a second place"},
      {top + "[[change]]\nremove = \"hose\"\nbore = \"3 mm\"\n", 6, "nothing beside remove"},
      {top + "[[change]]\nat = \"filter\"\nclean_dorp = \"3 kPa\"\n", 6, "Write \"clean_drop\""},
      {top + "[[change]]\nat = \"filter\"\nclean_drop = \"3\"\n", 6, "clean_drop"},
      {top + "[[change]]\nat = \"filter\"\nwithout = [\"terminal\"]\n", 6, "has not"},
      {top + "[[change]]\nat = 3\n", 5, "an id in quotes"},
      {top + "[[leg]]\nid = \"supply\"\nfrom = \"tank\"\nto = \"engine\"\n", 4, "the leg \"supply\" again"},
      {"format = 1\nname = \"x\"\n[[change]]\nremove = \"hose\"\n", 3, "changes without a sheet"},
      {"format = 1\nname = \"x\"\nfrom = \"nowhere.toml\"\n", 3, "nowhere.toml"},
      {"format = 1\nname = \"x\"\nfrom = \"top.toml\"\n", 3, "starts from itself"},
      {"format = 1\nname = \"x\"\nfrom = 3\n", 3, "a layout or a file in quotes"},
  };
  for (const Row& row : rows) {
    const auto sheet = read(row.text, {{"top.toml", row.text}});
    ASSERT_FALSE(sheet) << row.text;
    EXPECT_EQ(sheet.error().size(), 1U) << to_text(sheet.error());
    EXPECT_EQ(sheet.error().front().where.line, row.line) << to_text(sheet.error());
    EXPECT_NE(to_text(sheet.error()).find(row.words), std::string::npos) << to_text(sheet.error());
  }
}

TEST(ChangeList, ALongWayRoundIsRefusedToo) {
  const auto sheet =
      read("format = 1\nname = \"x\"\nfrom = \"a\"\n",
           {{"a", "format = 1\nname = \"a\"\nfrom = \"b\"\n"}, {"b", "format = 1\nname = \"b\"\nfrom = \"a\"\n"}});
  ASSERT_FALSE(sheet);
  EXPECT_EQ(sheet.error().front().where.file, "b");
  EXPECT_EQ(sheet.error().front().found, "a sheet that starts from itself (top.toml -> a -> b -> a)");
}

}  // namespace
}  // namespace fw::casefile
