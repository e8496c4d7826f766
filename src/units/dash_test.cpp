// SPDX-License-Identifier: Apache-2.0
#include "units/dash.hpp"

#include <string>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "published_table.hpp"
#include "units/quantity.hpp"
#include "units_teaching.hpp"

namespace fw::units {
namespace {

// NOLINTBEGIN(modernize-use-designated-initializers): the rows are tables, their columns named above them

double bore_mm(std::string_view text) {
  const auto bore = parse_bore(text);
  EXPECT_TRUE(bore) << text << ": " << (bore ? "" : to_text(bore.error()));
  return bore ? bore->value * 1e3 : 0.0;
}

// Published (secondary prints) and computed: tests/published/units/dash_sizes.csv, as printed to 0.1 or 0.01 mm. The
// print gives 19.0 mm for the 3/4 in bore of -12 (19.05 mm), hence 0.051.
TEST(Dash, BoresAreThoseOfTheTable) {
  const test::PublishedTable table = test::published_table("units/dash_sizes.csv");
  EXPECT_EQ(table.rows.size(), 7U);
  for (std::size_t i = 0; i < table.rows.size(); ++i) {
    const std::string dash = "-" + table.text(i, "dash");
    for (const std::string_view hose : {"J30 hose", "J517", "J30 R9 hose", "J30"}) {
      EXPECT_NEAR(bore_mm(fmt::format("{} {}", dash, hose)), table.number(i, "j30_mm"), 0.051) << dash;
    }
    for (const std::string_view hose : {"100R5 hose", "100R14", "J1402 hose", "J517 100R5 hose"}) {
      EXPECT_NEAR(bore_mm(fmt::format("{} {}", dash, hose)), table.number(i, "r5_mm"), 0.051) << dash;
    }
    EXPECT_NEAR(bore_mm(dash + " tube 0.71 mm wall"), table.number(i, "bore_071_mm"), 0.0051) << dash;
    EXPECT_NEAR(bore_mm(dash + " tube 0.89 mm wall"), table.number(i, "bore_089_mm"), 0.0051) << dash;
    EXPECT_NEAR(bore_mm(dash + " tube 1.24 mm wall"), table.number(i, "bore_124_mm"), 0.0051) << dash;
  }
}

TEST(Dash, ReadsWhatPeopleWrite) {
  constexpr const char* unicode_minus = "\xE2\x88\x92\x38 J30 hose";  // the minus sign, then "8"
  const DashSize eight{.dash = 8, .kind = DashKind::j30_hose};
  for (const std::string_view text : {"-8 J30 hose", "-8 j30", "dash 8 J30 hose", "dash -8 J517", "8 J30 hose",
                                      "-8J30 hose", unicode_minus, "  -8  SAE J30  hose ", "-8 J30R7 hose"}) {
    EXPECT_EQ(parse_dash(text).value_or(DashSize{}), eight) << text;
    EXPECT_TRUE(looks_like_dash(text)) << text;
  }
  const DashSize tube{.dash = 8, .kind = DashKind::tube, .wall_m = 0.035 * 0.0254};
  for (const std::string_view text : {"-8 tube 0.035 in wall", "-8 tube, 0.035 in wall", "dash 8 tube wall 0.035 in"}) {
    EXPECT_DOUBLE_EQ(parse_dash(text).value_or(DashSize{}).wall_m, tube.wall_m) << text;
    EXPECT_EQ(parse_dash(text)->kind, DashKind::tube);
  }
}

TEST(Dash, IsToldFromALength) {
  for (const std::string_view text : {"-8", "dash 8", "-8 hose", "-8 100R5", "typical -8 J30 hose", "8 tube",
                                      "3/8 in tube 0.035 in wall", "8 mm tube 1 mm wall"}) {
    EXPECT_TRUE(looks_like_dash(text)) << text;
  }
  for (const std::string_view text : {"-8 mm", "-8 in", "8 mm", "5/16 in", "8", "?", "", "-", "-0.5 in", "-1/2 in",
                                      "-1 1/2 in", "10-12 mm", "-8-10 mm", "typical 8 mm"}) {
    EXPECT_FALSE(looks_like_dash(text)) << text;
  }
}

TEST(Dash, RefusesWithOneErrorAndALegalExample) {
  struct Row {
    std::string_view text;
    std::string_view says;
  };
  const Row rows[] = {
      {"-8",
       "a kind after the dash: J30 hose (bore 12.7 mm), 100R5 hose (bore 10.3 mm), or tube with its wall "
       "(outside 12.7 mm)"},
      {"-6 hose", "J30 hose (bore 9.5 mm), 100R5 hose (bore 7.9 mm)"},
      {"dash 8", "a kind after the dash"},
      {"-8 AN", "a kind after the dash"},
      {"-8 garden hose", "a kind after the dash"},
      {"-7 J30 hose", "one of the sizes"},
      {"-99999999999 J30", "one of the sizes"},
      {"dash", "a dash size with its kind"},
      {"-8 tube", "a tube with its wall"},
      {"-8 tube 0.89", "a wall thickness with its unit"},
      {"-8 tube 0.89 psi wall", "a wall thickness with its unit"},
      {"-8 tube -1 mm wall", "a wall thickness with its unit"},
      {"-4 tube 4 mm wall", "thinner than half the tube"},
  };
  const auto legal = [](std::string_view text) { return parse_dash(text).has_value(); };
  for (const Row& row : rows) {
    const auto parsed = parse_dash(row.text);
    ASSERT_FALSE(parsed) << row.text;
    test::expect_teaching(parsed.error(), row.text, row.says, legal);
    const auto bore = parse_bore(row.text);
    ASSERT_FALSE(bore) << row.text;
    test::expect_teaching(bore.error(), row.text, row.says, legal);
  }
  const auto legal_bore = [](std::string_view text) { return parse_bore(text).has_value(); };
  for (const Row& row : {Row{"8", "a bore with its unit, or a dash size"}, Row{"-8 mm", "above zero"},
                         Row{"8 mm tube", "a tube with its wall"}, Row{"8 mm tube 5 mm wall", "thinner than half"},
                         Row{"typical assumed -8 J30 hose", "one class word"}}) {
    const auto bore = parse_bore(row.text);
    ASSERT_FALSE(bore) << row.text;
    test::expect_teaching(bore.error(), row.text, row.says, legal_bore);
  }
}

TEST(Dash, BoreRefusesWhatTheTableHasNot) {
  EXPECT_EQ(bore_m({.dash = 7}).error().front().code, ErrorCode::not_found);
  EXPECT_EQ(bore_m({.dash = 8, .kind = DashKind::tube}).error().front().where.field, "wall_m");
  EXPECT_EQ(bore_m({.dash = 8, .kind = DashKind::tube, .wall_m = required}).error().front().where.field, "wall_m");
}

TEST(Bore, IsALengthADashOrATube) {
  EXPECT_NEAR(bore_mm("5/16 in"), 7.9375, 1e-12);
  EXPECT_NEAR(bore_mm("12.4 mm +/- 0.2 mm"), 12.4, 1e-12);
  EXPECT_NEAR(bore_mm("3/8 in tube 0.035 in wall"), 9.525 - 1.778, 1e-12);
  EXPECT_NEAR(bore_mm("8 mm tube 1 mm wall"), 6.0, 1e-12);
  EXPECT_NEAR(bore_mm("8 mm tube OD, 1 mm wall"), 6.0, 1e-12);
  EXPECT_TRUE(parse_bore("?")->unknown);

  const Stated nominal = parse_bore("-8 J30 hose").value();
  EXPECT_EQ(nominal.source, SourceClass::catalog);
  EXPECT_EQ(nominal.origin.as_typed, "-8 J30 hose");
  EXPECT_EQ(nominal.origin.source, bore_source(DashKind::j30_hose));
  EXPECT_DOUBLE_EQ(nominal.spread.half_width, 0.03 * nominal.value);
  EXPECT_EQ(parse_bore("typical -8 J30 hose")->source, SourceClass::typical);
  EXPECT_EQ(parse_bore("exactly -8 J30 hose")->spread, Spread{});
  EXPECT_EQ(parse_bore("8 mm tube 1 mm wall")->origin.source, bore_source(DashKind::tube));
  EXPECT_EQ(parse_bore("8 mm")->source, SourceClass::measured);
}

// NOLINTEND(modernize-use-designated-initializers)

}  // namespace
}  // namespace fw::units
