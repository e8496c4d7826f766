// SPDX-License-Identifier: Apache-2.0
#include "casefile/contradictions.hpp"

#include <gtest/gtest.h>

#include <string>

#include "casefile/line_sheet_reader.hpp"

namespace fw::casefile {
namespace {

/// A small sheet with one text put in the place of another.
std::string sheet_with(const std::string& from, const std::string& to) {
  std::string text = R"(format = 1
name = "small"
[tank]
height = "0.40 m"
pickup_height = "25 mm"
[engine]
displacement = "5.6 L"
rated_power = "175 kW"
rated_speed = "2500 rpm"
idle_speed = "700 rpm"
[[leg]]
id = "supply"
from = "tank"
to = "engine"
[[leg.part]]
id = "filter"
kind = "filter"
clean_drop = "5 kPa"
terminal_drop = "20 kPa"
port = "P1"
[[leg.part]]
id = "hose"
kind = "hose"
bore = "8 mm"
length = "2 m"
port = "P2"
)";
  if (from.empty()) return text;
  const std::size_t at = text.find(from);
  EXPECT_NE(at, std::string::npos) << from;
  return text.replace(at, from.size(), to);
}

TEST(Contradictions, AreOneErrorAtTheLineOfTheSecondNumber) {
  ASSERT_TRUE(read_line_sheet(sheet_with("", ""), "s.toml", {}));
  struct Row {
    const char* from;
    const char* to;
    std::uint32_t line;
    const char* field;
    const char* expected;
  };
  for (const Row& row : {
           Row{.from = "25 mm",
               .to = "0.40 m",
               .line = 5,
               .field = "tank.pickup_height",
               .expected = "\"0.40 m\" high"},
           Row{.from = "20 kPa",
               .to = "4 kPa",
               .line = 19,
               .field = "leg.supply.filter.terminal_drop",
               .expected = "at least the clean drop, \"5 kPa\""},
           Row{.from = "700 rpm",
               .to = "2600 rpm",
               .line = 10,
               .field = "engine.idle_speed",
               .expected = "at most the rated speed, \"2500 rpm\""},
           Row{.from = "175 kW", .to = "0 kW", .line = 8, .field = "engine.rated_power", .expected = "above zero"},
           Row{.from = "\"P2\"",
               .to = "\"P1\"",
               .line = 21,
               .field = "leg.supply.hose.port",
               .expected = "\"filter\" has this one"},
       }) {
    const auto read = read_line_sheet(sheet_with(row.from, row.to), "s.toml", {});
    ASSERT_FALSE(read) << row.to;
    ASSERT_EQ(read.error().size(), 1U) << row.to;
    const Error& error = read.error().front();
    EXPECT_EQ(error.where.file, "s.toml");
    EXPECT_EQ(error.where.line, row.line) << row.field;
    EXPECT_EQ(error.where.field, row.field);
    EXPECT_NE(error.expected.find(row.expected), std::string::npos) << error.expected;
    EXPECT_FALSE(error.hint.empty());
  }
}

TEST(Contradictions, NeedTwoNumbersThatSomebodyTyped) {
  EXPECT_TRUE(read_line_sheet(sheet_with("\"20 kPa\"", "\"?\""), "s.toml", {}));
  EXPECT_TRUE(read_line_sheet(sheet_with("\"5 kPa\"", "\"20 kPa\""), "s.toml", {}));  // equal: does not load
  EXPECT_TRUE(read_line_sheet(sheet_with("id = \"hose\"", "id = \"hose\"\nbypassed = true"), "s.toml", {}));
}

}  // namespace
}  // namespace fw::casefile
