// SPDX-License-Identifier: Apache-2.0
#include "fuel/fuel_text.hpp"

#include <array>
#include <string>
#include <vector>

#include <gtest/gtest.h>
#include <rapidcheck.h>
#include <rapidcheck/gtest.h>

#include "fuel/grades.hpp"
#include "fuel_cases.hpp"

namespace fw::fuel {
namespace {

using test::celsius;
using test::mixed;

Error error_of(std::string_view text) {
  const auto fuel = fuel_of_text(text);
  EXPECT_FALSE(fuel.has_value()) << text;
  if (fuel) return {};
  EXPECT_EQ(fuel.error().size(), 1U) << text;
  return fuel.error().front();
}

TEST(FuelText, NamesEveryGrade) {
  for (const std::string& id : grade_ids()) {
    const Fuel fuel = fuel_of_text("  " + id + "\t").value();
    EXPECT_EQ(fuel.id, id);
    EXPECT_EQ(fuel.density_15C_kg_per_m3, grade(id)->density_15C_kg_per_m3);
  }
}

// Closed form: 95 % of 845 and 5 % of 747.5 kg/m3 (section 7 of the reference: density by volume).
TEST(FuelText, ReadsAContaminatedDiesel) {
  const Fuel fuel = fuel_of_text("d975_2d + 5 % petrol").value();
  EXPECT_NEAR(fuel.density_15C_kg_per_m3, 840.125, 1e-9);
  EXPECT_EQ(fuel.id, "d975_2d + 5 % petrol");
  ASSERT_EQ(fuel.shares.size(), 2U);
  EXPECT_EQ(fuel.shares[1].fuel.id, "petrol");
  EXPECT_NEAR(fuel.shares[1].volume_fraction, 0.05, 1e-15);
}

// All spellings of one blend are one fuel: that of the blending rules.
TEST(FuelText, SpellingDoesNotMatter) {
  const Fuel expected = mixed(grade("en590").value(), grade("jp8").value(), 0.2);
  for (const char* text : {"en590 + 20 % jp8", "en590+20%jp8", "20 % jp8 + en590", "80 % en590 + 20 % jp8",
                           "\ten590  +  2e1 % jp8 ", "80.0% en590 + 20.00% jp8"}) {
    const Fuel fuel = fuel_of_text(text).value();
    const Liquid a = liquid_at(expected, celsius(25), 4e5).value();
    const Liquid b = liquid_at(fuel, celsius(25), 4e5).value();
    EXPECT_NEAR(a.density_kg_per_m3 / b.density_kg_per_m3, 1.0, 1e-14) << text;
    EXPECT_NEAR(a.dynamic_viscosity_Pa_s / b.dynamic_viscosity_Pa_s, 1.0, 1e-13) << text;
    EXPECT_NEAR(a.vapour_pressure_Pa / b.vapour_pressure_Pa, 1.0, 1e-13) << text;
  }
  EXPECT_EQ(fuel_of_text("100 % hvo")->id, "hvo");
  EXPECT_EQ(fuel_of_text("d975_2d + 30 % d975_1d + 5 % fame_b100")->shares.size(), 3U);
  EXPECT_EQ(fuel_of_text("b20 + 10 % petrol")->shares.size(), 3U);
}

TEST(FuelText, EveryFaultTeaches) {
  struct Row {
    const char *text, *found, *hint;
    ErrorCode code;
  };
  const auto invalid = ErrorCode::invalid_input;
  for (const Row row : {Row{"", "no fuel", "Name the fuel", invalid},
                        Row{" \t", "no fuel", "Name the fuel", invalid},
                        Row{"en590 +", "\"+\"", "missing fuel", invalid},
                        Row{"+ en590", "\"+\"", "missing fuel", invalid},
                        Row{"en590 + + 5 % petrol", "\"+\"", "missing fuel", invalid},
                        Row{"en590 + 5 petrol", "without \"%\"", "Write \"%\"", invalid},
                        Row{"en590 + 5", "without \"%\"", "Write \"%\"", invalid},
                        Row{"en590 + 2,5 % petrol", "decimal comma", "point", invalid},
                        Row{"en590 + 5 %", "without a grade", "Name the grade", invalid},
                        Row{"en590 + petrol 5 %", "behind its grade", "before the grade", invalid},
                        Row{"en590 + -5 % petrol", "-5 %", "Correct the share", invalid},
                        Row{"en590 + 0 % petrol", "0 %", "Correct the share", invalid},
                        Row{"en590 + 120 % petrol", "120 %", "Correct the share", invalid},
                        Row{"en590 + 1e999 % petrol", "1e999", "Write the share", invalid},
                        Row{"en590 + - % petrol", "\"- % petrol\"", "Write the share", invalid},
                        Row{"en590 + 100 % petrol", "leave nothing for \"en590\"", "Correct one", invalid},
                        Row{"en590 + 60 % jp8 + 60 % petrol", "120 %", "Correct one", invalid},
                        Row{"90 % en590 + 5 % petrol", "make 95 %", "take the rest", invalid},
                        Row{"90 % en590", "make 90 %", "take the rest", invalid},
                        Row{"en590 + petrol", "\"en590\" and \"petrol\"", "en590 + 5 % petrol", invalid},
                        Row{"en590 + 5 % en590", "\"en590\" twice", "together", invalid},
                        Row{"constant + 5 % petrol", "constant", "blend", invalid},
                        Row{"en590 + 5 % jp-8", "\"jp-8\"", "\"jp8\"", ErrorCode::not_found},
                        Row{"EN590", "\"EN590\"", "\"en590\"", ErrorCode::not_found}}) {
    const Error error = error_of(row.text);
    EXPECT_EQ(error.code, row.code) << row.text;
    EXPECT_NE(error.found.find(row.found), std::string::npos) << row.text << ": " << to_text(error);
    EXPECT_NE(error.hint.find(row.hint), std::string::npos) << row.text << ": " << to_text(error);
    EXPECT_FALSE(error.expected.empty()) << row.text;
  }
  EXPECT_EQ(error_of(std::string(201, 'x')).code, ErrorCode::too_large);
  const std::string nine =
      "d975_2d + 1 % d975_1d + 1 % en590 + 1 % en590_arctic2 + 1 % fame_b100 + 1 % hvo + 1 % jp8 + 1 % iso4113 + 1 % "
      "petrol";
  EXPECT_EQ(error_of(nine).code, ErrorCode::too_large);
}

// Words of the trade lead to the grade that is meant; what is not printable never reaches a terminal.
TEST(FuelText, KnowsTheWordsOfTheTrade) {
  struct Row {
    const char *typed, *meant;
  };
  for (const Row row : {Row{"diesel", "\"d975_2d\""}, Row{"Diesel", "\"en590\""}, Row{"kerosene", "\"jp8\""},
                        Row{"gasoline", "\"petrol\""}, Row{"#1", "\"d975_1d\""}, Row{"biodiesel", "\"fame_b100\""},
                        Row{"B7", "\"en590 + 7 % fame_b100\""}, Row{"b99", "99 % fame_b100"}}) {
    EXPECT_NE(error_of(row.typed).hint.find(row.meant), std::string::npos) << row.typed << error_of(row.typed).hint;
  }
  const Error odd = error_of("en590\x1b[31m\xff");
  for (const char c : odd.found) EXPECT_TRUE(c >= ' ' && c <= '~');
  // Every text that a hint of B1 to B99 proposes is a fuel.
  for (const int percent : {1, 7, 50, 99}) {
    EXPECT_TRUE(fuel_of_text("d975_2d + " + std::to_string(percent) + " % fame_b100").has_value()) << percent;
  }
}

// Property: the id of any blend names the same fuel again, and its shares make one.
RC_GTEST_PROP(FuelText, PlainFormNamesTheSameFuel, ()) {
  const std::vector<std::string> ids = grade_ids();
  const std::string base = *rc::gen::elementOf(ids);
  std::string text = base;
  std::vector<std::string> used{base};
  int left = 100'000;
  for (int part = *rc::gen::inRange(0, 4); part > 0; --part) {
    const std::string id = *rc::gen::elementOf(ids);
    if (std::find(used.begin(), used.end(), id) != used.end()) continue;
    const int milli = *rc::gen::inRange(1, left / 2);
    left -= milli;
    used.push_back(id);
    text += " + " + std::to_string(milli / 1000) + "." + std::to_string(1000 + milli % 1000).substr(1) + "%" + id;
  }
  const Fuel fuel = fuel_of_text(text).value();
  const Fuel again = fuel_of_text(fuel.id).value();
  RC_ASSERT(again.id == fuel.id);
  RC_ASSERT(again.title == fuel.title);
  RC_ASSERT(again.density_15C_kg_per_m3 == fuel.density_15C_kg_per_m3);
  double sum = fuel.shares.empty() ? 1.0 : 0.0;
  for (const Share& share : fuel.shares) sum += share.volume_fraction;
  RC_ASSERT(std::abs(sum - 1.0) < 1e-12);
}

}  // namespace
}  // namespace fw::fuel
