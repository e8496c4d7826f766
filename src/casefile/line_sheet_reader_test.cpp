// SPDX-License-Identifier: Apache-2.0
#include "casefile/line_sheet_reader.hpp"

#include <string>

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "casefile/case.hpp"
#include "catalog/catalog.hpp"
#include "catalog/document.hpp"

#include "project_file.hpp"

namespace fw::casefile {
namespace {

const std::string head = R"(format = 1
name = "test"
[tank]
height = "0.4 m"
[engine]
displacement = "5.6 L"
rated_power = "175 kW"
rated_speed = "2500 rpm"
inlet = "fed low"
)";

std::string leg(const std::string& parts) {
  return "[[leg]]\nid = \"supply\"\nfrom = \"tank\"\nto = \"engine\"\n" + parts;
}

const std::string one_hose = "[[leg.part]]\nid = \"hose\"\nkind = \"hose\"\nbore = \"-8 J30 hose\"\nlength = \"2 m\"\n";

TEST(LineSheet, ReadsNumbersWithTheirOrigin) {
  const auto sheet = read_line_sheet(head + leg(one_hose), "a.toml");
  ASSERT_TRUE(sheet) << to_text(sheet.error());
  const system::Part& part = sheet->legs.at(0).parts.at(0);
  EXPECT_NEAR(part.line->bore_m.value, 0.0127, 1e-12);
  EXPECT_EQ(part.line->bore_m.origin.as_typed, "-8 J30 hose");
  EXPECT_EQ(part.line->length_m.origin.line, 18U);
  EXPECT_EQ(part.line->length_m.origin.file, "a.toml");
  EXPECT_EQ(part.line->length_m.id, "hose.length");
  EXPECT_EQ(part.line->hose_kind, "-8 J30 hose");
  EXPECT_NEAR(sheet->engine.rated_power_W.value, 175e3, 1e-9);
  EXPECT_EQ(sheet->engine.inlet, system::InletClass::fed_low);
}

TEST(LineSheet, AQuestionMarkTakesTheUsualRange) {
  const auto sheet =
      read_line_sheet(head + leg("[[leg.part]]\nid = \"f\"\nkind = \"filter\"\nclean_drop = \"?\"\n"), "a.toml");
  ASSERT_TRUE(sheet) << to_text(sheet.error());
  const Stated& drop = sheet->legs[0].parts[0].medium->clean_drop_Pa;
  EXPECT_TRUE(drop.unknown);
  EXPECT_NEAR(drop.value, 5e3, 1e-9);
  EXPECT_EQ(drop.spread.kind, SpreadKind::triangular);
  EXPECT_EQ(drop.source, SourceClass::typical);
}

// What a filter states must be able to be: each fault with its field and its line.
TEST(LineSheet, RefusesAFilterThatCannotBe) {
  for (const char* bad :
       {"bypass_leak_drop = \"0 kPa\"", "capacity = \"0 g\"", "rating = \"0.01 um\"", "rating = \"1 m\""}) {
    const std::string key = std::string(bad).substr(0, std::string(bad).find(' '));
    const auto sheet = read_line_sheet(
        head + leg("[[leg.part]]\nid = \"f\"\nkind = \"filter\"\nclean_drop = \"5 kPa\"\n" + std::string(bad) + "\n"),
        "a.toml");
    ASSERT_FALSE(sheet) << bad;
    EXPECT_EQ(sheet.error().size(), 1U) << to_text(sheet.error());
    EXPECT_NE(to_text(sheet.error()).find(key), std::string::npos) << to_text(sheet.error());
    EXPECT_GT(sheet.error().front().where.line, 0U);
  }
}

TEST(LineSheet, WindowsLineEndsAndByteOrderMarkAreAccepted) {
  std::string text = "\xEF\xBB\xBF" + head + leg(one_hose);
  std::string windows;
  for (const char c : text) windows += c == '\n' ? "\r\n" : std::string(1, c);
  EXPECT_TRUE(read_line_sheet(windows, "a.toml"));
}

TEST(LineSheet, ReadsTeesValvesShortTubesAndTheFuelReport) {
  const std::string report =
      "[fuel_report]\ntitle = \"sample 3\"\ndensity = \"838 kg/m3\"\nviscosity = \"2.9 mm2/s\"\n"
      "cloud_point = \"-7 C\"\ncfpp = \"-18 C\"\n";
  const std::string junction =
      "[[junction]]\nid = \"tee\"\ntee = \"long radius\"\nbranch = \"side\"\nrun_bore = \"9.5 mm\"\n";
  const auto part = [](const std::string& text) { return "[[leg.part]]\n" + text; };
  const std::string parts =
      one_hose +
      part(
          "id = \"spring\"\nkind = \"check\"\n[leg.part.spring]\nseat = \"8 mm\"\ncone_half_angle = \"45 deg\"\n"
          "preload = \"0.25 N\"\nrate = \"200 N/m\"\nlift = \"2 mm\"\n") +
      part("id = \"open\"\nkind = \"check\"\ncrack = \"3 kPa\"\nopen_bore = \"6 mm\"\n") +
      part(
          "id = \"relief\"\nkind = \"relief\"\nset = \"60 kPa\"\ndrop = \"10 kPa\"\nhysteresis = \"5 kPa\"\n"
          "balanced = true\n") +
      part("id = \"regulator\"\nkind = \"regulator\"\nset = \"11 psi\"\ndrop = \"?\"\n") +
      part("id = \"plain\"\nkind = \"regulator\"\nset = \"11 psi\"\n") +
      part("id = \"tube\"\nkind = \"short-tube\"\nbore = \"2 mm\"\nlength = \"6 mm\"\n");
  const auto one = [](const char* id, const char* from, const char* to, const std::string& text) {
    return std::string("[[leg]]\nid = \"") + id + "\"\nfrom = \"" + from + "\"\nto = \"" + to + "\"\n" + text;
  };
  const std::string side = "[[leg.part]]\nid = \"side-hose\"\nkind = \"hose\"\nbore = \"6 mm\"\nlength = \"1 m\"\n";
  const std::string feed = "[[leg.part]]\nid = \"feed-hose\"\nkind = \"hose\"\nbore = \"8 mm\"\nlength = \"1 m\"\n";
  const std::string text = head + report + junction + one("draw", "tank", "tee", parts) +
                           one("side", "tank", "tee", side) + one("feed", "tee", "engine", feed);
  const auto sheet = read_line_sheet(text, "a.toml");
  ASSERT_TRUE(sheet) << to_text(sheet.error());
  EXPECT_NEAR(sheet->fuel_report->density_15C_kg_per_m3->value, 838.0, 1e-9);
  EXPECT_NEAR(sheet->fuel_report->viscosity_40C_m2_per_s->value, 2.9e-6, 1e-15);
  EXPECT_NEAR(sheet->fuel_report->cloud_point_K->value, 266.15, 1e-9);
  EXPECT_NEAR(sheet->fuel_report->cfpp_K->value, 255.15, 1e-9);
  const system::TeeFitting& tee = *sheet->junctions.at(0).tee;
  EXPECT_EQ(tee.build, hydraulics::TeeBuild::long_radius);
  EXPECT_EQ(tee.branch, "side");
  EXPECT_NEAR(tee.run_bore_m.value, 9.5e-3, 1e-12);
  EXPECT_FALSE(tee.branch_bore_m.given());
  const auto& valve = [&](const char* id) -> const system::Valve& { return *sheet->find_part(id)->valve; };
  EXPECT_NEAR(valve("spring").spring->cone_half_angle_rad.value, 0.785398, 1e-5);
  EXPECT_NEAR(valve("spring").spring->rate_N_per_m.value, 200.0, 1e-9);
  EXPECT_NEAR(valve("open").open_bore_m->value, 6e-3, 1e-12);
  EXPECT_TRUE(valve("relief").balanced);
  EXPECT_NEAR(valve("relief").hysteresis_Pa.value, 5e3, 1e-9);
  EXPECT_NEAR(valve("regulator").drop_Pa.value, 8e3, 1e-9);
  EXPECT_NEAR(valve("regulator").at_flow_m3_per_s.value, 100e-3 / 3600.0, 1e-15);
  EXPECT_FALSE(valve("plain").drop_Pa.given());
  EXPECT_NEAR(sheet->find_part("tube")->short_tube->length_m.value, 6e-3, 1e-12);

  // A report that contradicts itself is one error, at its line; so is a tee whose branch is no leg of it.
  std::string wrong = text;
  wrong.replace(wrong.find("\"-18 C\""), 7, "\"-2 C\"");
  const auto refused = read_line_sheet(wrong, "a.toml");
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().size(), 1U);
  EXPECT_EQ(refused.error().front().where.field, "fuel_report.cfpp");
  wrong = text;
  wrong.replace(wrong.find("branch = \"side\""), 15, "branch = \"nope\"");
  ASSERT_FALSE(read_line_sheet(wrong, "a.toml"));
  EXPECT_EQ(read_line_sheet(wrong, "a.toml").error().front().where.field, "junction.tee.branch");
}

TEST(LineSheet, OneErrorEachWithItsLine) {
  struct Row {
    std::string text;
    std::uint32_t line;
    const char* found;
  };
  const std::string hose = "[[leg.part]]\nid = \"hose\"\nkind = \"hose\"\n";  // leg at 10 to 13, part at 14 to 16
  const std::vector<Row> rows{
      {head + leg(hose + "bore = 8\nlength = \"2 m\"\n"), 17, "\"8\""},
      {head + leg(hose + "bore = \"8 mm\"\nlength = \"2\"\n"), 18, "\"2\""},
      {head + leg(hose + "bore = \"-8\"\nlength = \"2 m\"\n"), 17, "\"-8\""},
      {head + leg(hose + "bore = \"8 mm\"\nlenght = \"2 m\"\nlength = \"2 m\"\n"), 18, "the key \"lenght\""},
      {head + leg(hose + "bore = \"8 mm\"\nlength = \"2,5 m\"\n"), 18, "\"2,5 m\""},
      {head + leg(hose + "bore = \"8 mm\"\nlength = \"2 m\"\nbends = \"four\"\n"), 19, "four"},
      {head + leg(hose + "bore = \"8 mm\"\nlength = \"2 m\"\njoints = 2\n"), 14, "joints without their bore"},
      {head + leg("[[leg.part]]\nid = \"x\"\nkind = \"hoze\"\n"), 16, "\"hoze\""},
      {head + leg("[[leg.part]]\nid = \"x\"\nkind = \"pump\"\nset = \"9 psi\"\n"), 14, "a pump without delivery"},
      {head + leg("[[leg.part]]\nid = \"x\"\nkind = \"pump\"\nfree_flow = \"100 L/h\"\nsurplus = \"tank\"\n"), 18,
       "\"tank\""},
      {"name = \"no format\"\n" + head.substr(25) + leg(one_hose), 1, "no format line"},
      {"format = 7" + head.substr(10) + leg(one_hose), 1, "format 7"},
      {head + "[[leg]]\nid = \"s\"\nfrom = \"tank\"\nto = \"motor\"\n", 10, "the end \"motor\""},
      {head + leg(one_hose + one_hose), 19, "the id \"hose\" twice"},
      {head + leg(one_hose) + "this is not toml\n", 19, ""},
      {head + leg("[[leg.part]]\nid = \"x\"\nkind = \"regulator\"\n"), 14, "a regulator without set"}};
  for (const Row& row : rows) {
    const auto sheet = read_line_sheet(row.text, "bad.toml");
    ASSERT_FALSE(sheet) << row.text;
    const Error& error = sheet.error().front();
    EXPECT_EQ(error.where.file, "bad.toml");
    EXPECT_EQ(error.where.line, row.line) << to_text(error);
    EXPECT_NE(error.found.find(row.found), std::string::npos) << to_text(error);
    EXPECT_FALSE(error.expected.empty());
    EXPECT_FALSE(error.hint.empty()) << to_text(error);
  }
}

TEST(LineSheet, AllFaultsOfAFileAtOnce) {
  const auto sheet = read_line_sheet(head + leg("[[leg.part]]\nid = \"a\"\nkind = \"hose\"\nbore = 8\nlength = "
                                                "2\n[[leg.part]]\nid = \"b\"\nkind = \"filter\"\n"
                                                "clean_dorp = \"5 kPa\"\n"),
                                     "bad.toml");
  ASSERT_FALSE(sheet);
  EXPECT_EQ(sheet.error().size(), 3U) << to_text(sheet.error());
  EXPECT_NE(to_text(sheet.error()).find("clean_drop"), std::string::npos);
}

TEST(Document, RefusesWhatIsNoText) {
  EXPECT_FALSE(catalog::Document::parse(std::string("a = 1\0b", 7), "f", {}));
  EXPECT_FALSE(catalog::Document::parse("a = \"\xff\xfe\"", "f", {}));
  EXPECT_FALSE(catalog::Document::parse("a = " + std::string(5000, '['), "f", {}));
  EXPECT_EQ(
      catalog::Document::parse(std::string(catalog::largest_document_bytes + 1, ' '), "f", {}).error().front().code,
      ErrorCode::too_large);
  EXPECT_EQ(catalog::nearest("lenght", {"bore", "length", "bends"}), "length");
  EXPECT_EQ(catalog::nearest("zzzz", {"bore", "length"}), "");
}

// Any text gives a sheet or errors that all name the file; never a crash.
RC_GTEST_PROP(LineSheet, SurvivesAnyText, (const std::string& noise)) {
  for (const std::string& text :
       {noise, head + noise, head + leg(one_hose) + noise,
        head + leg("[[leg.part]]\nid = \"p\"\nkind = \"hose\"\nbore = \"" + noise + "\"\n")}) {
    const auto sheet = read_line_sheet(text, "f.toml");
    if (sheet) continue;
    for (const Error& error : sheet.error()) RC_ASSERT(error.where.file == "f.toml");
  }
}

TEST(Case, TheDemoCaseReads) {
  const auto catalog = catalog::built_in();
  ASSERT_TRUE(catalog) << to_text(catalog.error());
  const auto job = read_case(test::project_file("cases/alder-gap-tender"), *catalog);
  ASSERT_TRUE(job) << to_text(job.error());
  ASSERT_EQ(job->sheets.size(), 3U);
  EXPECT_EQ(job->sheets[1].name, "as found");
  EXPECT_EQ(system::high_pressure_places(job->sheets[1].high_side).front(), "high-pressure pump");
}

TEST(Case, AFolderWithoutACaseSaysWhatItNeeds) {
  const auto catalog = catalog::built_in().value();
  EXPECT_EQ(read_case("/nonexistent/folder", catalog).error().front().code, ErrorCode::not_found);
  EXPECT_EQ(read_case(test::project_file("src"), catalog).error().front().code, ErrorCode::not_found);
}

}  // namespace
}  // namespace fw::casefile
