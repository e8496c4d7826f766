// SPDX-License-Identifier: Apache-2.0
// The page docs/reference/units.md promises what the readers keep.
#include <cmath>
#include <fstream>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "units/quantity.hpp"
#include "units/text.hpp"
#include "units/unit_table.hpp"

#include "project_file.hpp"

namespace fw::units {
namespace {

/// Cells of the table rows under one "## Heading", header rows left out.
using Rows = std::vector<std::vector<std::string>>;

Rows rows_under(std::string_view heading) {
  std::ifstream file(test::project_file("docs/reference/units.md"));
  Rows rows;
  bool inside = false;
  std::string line;
  while (std::getline(file, line)) {
    if (line.starts_with("## ")) inside = std::string_view(line).substr(3) == heading;
    if (!inside || !line.starts_with("|")) continue;
    if (line.starts_with("| ---")) {
      rows.pop_back();  // the names of the columns stand above the rule
      continue;
    }
    std::vector<std::string> cells;
    for (std::size_t at = 1; at < line.size();) {
      const std::size_t bar = line.find('|', at);
      if (bar == std::string::npos) break;
      cells.emplace_back(trimmed(std::string_view(line).substr(at, bar - at)));
      at = bar + 1;
    }
    rows.push_back(std::move(cells));
  }
  return rows;
}

/// The texts between backticks.
std::vector<std::string> quoted_texts(std::string_view cell) {
  std::vector<std::string> texts;
  for (std::size_t open = cell.find('`'); open != std::string_view::npos;) {
    const std::size_t close = cell.find('`', open + 1);
    if (close == std::string_view::npos) break;
    texts.emplace_back(cell.substr(open + 1, close - open - 1));
    open = cell.find('`', close + 1);
  }
  return texts;
}

std::string without_article(std::string_view named) { return std::string(named.substr(named.find(' ') + 1)); }

TEST(Page, ListsEveryFieldWithItsUnits) {
  const Rows rows = rows_under("Units of each field");
  ASSERT_EQ(rows.size(), static_cast<std::size_t>(dimension_count));
  for (int i = 0; i < dimension_count; ++i) {
    const auto dimension = static_cast<Dimension>(i);
    std::string units;
    for (const Unit& unit : units_of(dimension)) {
      if (unit.listed && !unit.text.empty()) units += fmt::format("{}`{}`", units.empty() ? "" : ", ", unit.text);
    }
    const auto& row = rows[static_cast<std::size_t>(i)];
    EXPECT_EQ(row.at(0), without_article(name(dimension)));
    EXPECT_EQ(row.at(1), fmt::format("`{}`", example(dimension)));
    EXPECT_EQ(row.at(2), units);
  }
}

TEST(Page, ShowsPressuresAsTheyAreRead) {
  int texts = 0;
  for (const auto& row : rows_under("Pressures")) {
    for (const std::string& text : quoted_texts(row.at(1))) {
      int accepted = 0;
      for (const Dimension dimension :
           {Dimension::gauge_pressure, Dimension::absolute_pressure, Dimension::pressure_drop}) {
        if (without_article(name(dimension)) != row.at(0)) continue;
        EXPECT_TRUE(parse(text, dimension)) << text;
        ++accepted;
      }
      EXPECT_EQ(accepted, 1) << row.at(0);
      ++texts;
    }
  }
  EXPECT_GE(texts, 14);
}

TEST(Page, ShowsDoubtAsItIsRead) {
  int texts = 0;
  for (const auto& row : rows_under("A number with its doubt")) {
    for (const std::string& text : quoted_texts(row.at(0))) {
      const bool bare = text.starts_with("log");
      EXPECT_TRUE(parse_stated(text, bare ? Dimension::ratio : Dimension::gauge_pressure)) << text;
      ++texts;
    }
  }
  EXPECT_GE(texts, 12);
}

TEST(Page, ShowsBoresAsTheyAreRead) {
  int texts = 0;
  int dashes = 0;
  for (const auto& row : rows_under("Bores, dash sizes, tubes")) {
    for (const std::string& text : quoted_texts(row.at(0))) {
      EXPECT_TRUE(parse_bore(text)) << text;
      ++texts;
    }
    if (row.size() != 4) continue;
    const auto expect_mm = [&](const std::string& cell, std::string_view kind) {
      EXPECT_NEAR(read_number(cell).value, parse_bore(row.at(0) + std::string(kind)).value().value * 1e3, 0.0051);
    };
    expect_mm(row.at(1), " J30 hose");
    expect_mm(row.at(2), " 100R5 hose");
    EXPECT_EQ(row.at(3), row.at(1)) << "outside of the tube: dash/16 in";
    ++dashes;
  }
  EXPECT_GE(texts, 13);
  EXPECT_EQ(dashes, 7);
}

TEST(Page, ShowsNumbersAsTheyAreRead) {
  int texts = 0;
  for (const auto& row : rows_under("Numbers")) {
    const bool feet = row.at(0).starts_with("feet");
    for (const std::string& text : quoted_texts(row.at(1))) {
      EXPECT_TRUE(parse(feet ? text : text + " in", Dimension::height)) << text;
      ++texts;
    }
  }
  EXPECT_EQ(texts, 10);
}

}  // namespace
}  // namespace fw::units
