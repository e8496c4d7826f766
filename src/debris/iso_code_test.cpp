// SPDX-License-Identifier: Apache-2.0
#include "debris/iso_code.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "published_table.hpp"

namespace fw::debris {
namespace {

constexpr double per_mL = 1e6;

int number_at(double count_per_mL) { return *scale_number(count_per_mL * per_mL); }

std::string code_text(double n4, double n6, double n14) {
  return to_text(*code_of({.at = {SizeCount{.number_per_m3 = n4 * per_mL}, SizeCount{.number_per_m3 = n6 * per_mL},
                                  SizeCount{.number_per_m3 = n14 * per_mL}}}));
}

// Every scale number: at its lower bound, just above it, inside, at its upper bound and just above.
TEST(IsoCode, EveryScaleNumberOfTheTable) {
  const auto table = test::published_table("debris/iso4406_scale_numbers.csv");
  ASSERT_EQ(table.rows.size(), 29u);
  for (int k = 0; k <= last_scale_number; ++k) {
    const auto row = static_cast<std::size_t>(k);
    ASSERT_EQ(table.number(row, "number"), k);
    const double lower = table.number(row, "lower_per_mL");
    const double upper = table.number(row, "upper_per_mL");
    EXPECT_EQ(bounds(k).lower_per_m3, lower * per_mL);
    EXPECT_EQ(bounds(k).upper_per_m3, upper * per_mL);
    EXPECT_EQ(number_at(upper), k);
    EXPECT_EQ(number_at(upper * (1.0 + 1e-9)), k + 1);
    EXPECT_EQ(number_at(0.5 * (lower + upper)), k);
    EXPECT_EQ(number_at(lower), k == 0 ? 0 : k - 1);
    EXPECT_EQ(number_at(lower + 1e-9 * upper), k);
  }
}

// Check rows 1 and 2. The formula ceil(log2(100 N)) differs at the rounded bounds: proof that it is not used.
TEST(IsoCode, TakesTheTableNotTheLogarithm) {
  struct Row {
    double count;
    int table, formula;
  };
  for (const Row row : {Row{1.29, 7, 8}, Row{2.52, 9, 8}, Row{5.1, 10, 9}}) {
    EXPECT_EQ(number_at(row.count), row.table);
    EXPECT_EQ(static_cast<int>(std::ceil(std::log2(100.0 * row.count))), row.formula);
  }
  EXPECT_EQ(number_at(0.0), 0);
  EXPECT_EQ(number_at(40.0), 12);
  EXPECT_EQ(number_at(40.1), 13);
  EXPECT_EQ(number_at(2500.0), 18);
  EXPECT_EQ(number_at(2500.1), 19);
  EXPECT_EQ(number_at(2.6e6), last_scale_number + 1);
  EXPECT_EQ(scale_number(-1.0).error().front().where.field, "number_per_m3");
  EXPECT_FALSE(scale_number(required).has_value());
}

// Check row 3, and the rules of counts.
TEST(IsoCode, WritesCodesOfCounts) {
  EXPECT_EQ(code_text(4278.1, 2016.6, 243.81), "19/18/15");
  EXPECT_EQ(code_text(2.6e6, 39.0, 0.0), ">28/12/0");
  const auto few = code_of({.at = {SizeCount{.number_per_m3 = 100 * per_mL}, SizeCount{.number_per_m3 = 30 * per_mL},
                                   SizeCount{.number_per_m3 = 1.0 * per_mL, .raw_count = 19}}});
  EXPECT_EQ(to_text(*few), "14/12/>=7");
  EXPECT_EQ(to_text(*code_of({.at = {std::nullopt, SizeCount{.number_per_m3 = 100 * per_mL, .raw_count = 20}, {}}})),
            "-/14/-");
  const auto rising =
      code_of({.at = {SizeCount{.number_per_m3 = 10.0}, SizeCount{.number_per_m3 = 11.0}, std::nullopt}});
  EXPECT_EQ(rising.error().front().where.field, "counts.at[1].number_per_m3");
  EXPECT_FALSE(code_of({}).has_value());
  EXPECT_FALSE(code_of({.at = {SizeCount{.number_per_m3 = 1.0}}, .kind = CodeKind::microscope}).has_value());
  EXPECT_EQ(code_of({.at = {SizeCount{}}}).error().front().where.field, "counts.at[0].number_per_m3");
}

// Check row 39.
TEST(IsoCode, ReadsTheWritingRules) {
  const auto many = parse_code("*/19/14").value();
  EXPECT_EQ(many.entries[0].state, ScaleState::too_many);
  const auto blank = parse_code("-/19/14").value();
  EXPECT_EQ(blank.entries[0].state, ScaleState::not_counted);
  const auto low = parse_code("14/12/>=7").value();
  EXPECT_EQ(low.entries[2].number, 7);
  EXPECT_TRUE(low.entries[2].low_count);
  EXPECT_FALSE(low.entries[1].low_count);
}

// What is written reads back: all combinations of states, all numbers.
TEST(IsoCode, ReadsBackWhatItWrites) {
  int read = 0;
  for (int a = 0; a <= 29; ++a) {
    for (int b = 0; b <= a; ++b) {
      for (int c = 0; c <= b; ++c) {
        const auto entry = [](int k) {
          return k == 29 ? ScaleEntry{.state = ScaleState::above_table}
                         : ScaleEntry{.state = ScaleState::number, .number = k, .low_count = k % 3 == 0};
        };
        const IsoCode code{.entries = {entry(a), entry(b), entry(c)}};
        const auto back = parse_code(to_text(code));
        ASSERT_TRUE(back.has_value()) << to_text(code);
        ASSERT_EQ(*back, code);
        ++read;
      }
    }
  }
  EXPECT_EQ(read, 30 * 31 * 32 / 6);
  for (const char* text : {"*/*/14", "*/19/14", "-/19/14", "-/-/9", "18/-/13", ">28/22/18"}) {
    EXPECT_EQ(to_text(*parse_code(text)), text);
  }
}

TEST(IsoCode, RefusesWhatIsNoCode) {
  for (const char* text :
       {"18/19/13", "18/16", "18/16/13/11", "", "//", "-/-/-", "29/20/10", "18/16/13 ", "018/16/13", "18/*/13",
        "+18/16/13", "-1/16/13", "18/16/x", "18/16/>=", "~18/16/13", ">29/1/1", "13/>28/1", "18-16-13", "1e1/9/8"}) {
    const auto code = parse_code(text);
    ASSERT_FALSE(code.has_value()) << text;
    EXPECT_EQ(code.error().size(), 1u);
    EXPECT_EQ(code.error().front().where.field, "code");
  }
  EXPECT_NE(parse_code("18/16").error().front().hint.find("-/x/y"), std::string::npos);
  EXPECT_TRUE(parse_code("-/16/13", CodeKind::microscope).has_value());
  EXPECT_FALSE(parse_code("18/16/13", CodeKind::microscope).has_value());
}

TEST(IsoCode, WarnsOfWater) {
  EXPECT_TRUE(water_note(Wetness::dry).empty());
  EXPECT_NE(water_note(Wetness::wet).find("upper bound"), std::string_view::npos);
  EXPECT_FALSE(water_note(Wetness::not_stated).empty());
}

TEST(IsoCode, TakesOneNumberForNoise) {
  const auto differ = [](const char* a, const char* b) { return differs(*parse_code(a), *parse_code(b)); };
  EXPECT_EQ(differ("18/16/13", "19/15/14"), false);
  EXPECT_EQ(differ("18/16/13", "18/16/11"), true);
  EXPECT_EQ(differ("-/16/13", "18/-/-"), std::nullopt);
  EXPECT_EQ(differ(">28/16/13", "27/16/13"), true);
  EXPECT_EQ(differs(*parse_code("-/16/13"), *parse_code("-/16/13", CodeKind::microscope)), std::nullopt);
}

// Check row 37; cleanliness page 1.1: 31 mL at 0.64/mL, 15.4 mL at 1.3/mL.
TEST(IsoCode, CountsAreUncertain) {
  const auto interval = poisson_interval(20.0);
  EXPECT_NEAR(interval.low / 12.217, 1.0, 1e-3);
  EXPECT_NEAR(interval.high / 30.888, 1.0, 1e-3);
  EXPECT_EQ(poisson_interval(0.0).low, 0.0);
  EXPECT_NEAR(poisson_interval(0.0).high, -std::log(0.025), 1e-9);  // closed form
  EXPECT_NEAR(sample_volume_m3(0.64 * per_mL).value() * 1e6, 31.25, 1e-9);
  EXPECT_NEAR(sample_volume_m3(1.3 * per_mL).value() * 1e6, 15.4, 0.02);
  EXPECT_FALSE(sample_volume_m3(0.0).has_value());
}

// Check row 4; "NAS n ~ -/(n+9)/(n+6)" for n = 0 to 12.
TEST(IsoCode, ApproximatesNasClasses) {
  const auto six = code_of_nas_class(6).value();
  EXPECT_NEAR(six.at_6_um_per_m3 / per_mL / 194.62, 1.0, 1e-4);
  EXPECT_NEAR(six.at_14_um_per_m3 / per_mL / 34.62, 1.0, 1e-4);
  EXPECT_EQ(to_text(six.code), "-/15/12");
  for (int n = 0; n <= 12; ++n) {
    EXPECT_EQ(to_text(code_of_nas_class(n)->code), "-/" + std::to_string(n + 9) + "/" + std::to_string(n + 6)) << n;
  }
  EXPECT_EQ(code_of_nas_class(13).error().front().where.field, "class");
  EXPECT_FALSE(code_of_nas_class(-1).has_value());
}

}  // namespace
}  // namespace fw::debris
