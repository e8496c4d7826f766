// SPDX-License-Identifier: Apache-2.0
#include "report/typeset.hpp"

#include <gtest/gtest.h>

namespace fw::report {
namespace {

TEST(Typeset, SetsUnitsBehindNumbersOnly) {
  EXPECT_EQ(typeset("fuel 20 C, clean"), "fuel 20 \u00B0C, clean");
  EXPECT_EQ(typeset("\u221210 F"), "\u221210 \u00B0F");
  EXPECT_EQ(typeset("10 um and 4 um"), "10 \u00B5m and 4 \u00B5m");
  EXPECT_EQ(typeset("1.40 mm2/s, 3.31 mm2"), "1.40 mm\u00B2/s, 3.31 mm\u00B2");
  EXPECT_EQ(typeset("5 mg/cm2; 1.80 cm3/rev (0.110 in3/rev)"), "5 mg/cm\u00B2; 1.80 cm\u00B3/rev (0.110 in\u00B3/rev)");
  EXPECT_EQ(typeset("difference -145 mL, start -10 C"), "difference \u2212145 mL, start \u221210 \u00B0C");
  for (const char* same :
       {"C", "layout C", "annex 2 Checks", "5 C-clips", "12 Fuses", "2 umbrellas", "7 mm24", "um", "W/C"}) {
    EXPECT_EQ(typeset(same), same);
  }
}

TEST(Typeset, ReachesEveryWordOfAPaper) {
  Document paper;
  paper.title = "20 C";
  paper.blocks.emplace_back(Paragraph{.spans = plain("20 C")});
  Table table;
  table.columns = {{.title = "at 20 C"}};
  table.rows = {{{.spans = plain("20 C"), .mark = {}, .detail = "20 C"}}};
  paper.blocks.emplace_back(table);
  Figure figure{.width = 10.0, .height = 10.0, .title = "20 C", .description = "20 C", .primitives = {}};
  figure.primitives.emplace_back(Text{.at = {1.0, 1.0}, .text = "20 C", .style = {}});
  paper.blocks.emplace_back(FigureBlock{.figure = figure, .caption = plain("20 C")});
  const Document set = typeset(paper);
  const std::string wanted = "20 \u00B0C";
  EXPECT_EQ(set.title, wanted);
  EXPECT_EQ(text_of(std::get<Paragraph>(set.blocks[0]).spans), wanted);
  const Table& rows = std::get<Table>(set.blocks[1]);
  EXPECT_EQ(rows.columns[0].title, "at " + wanted);
  EXPECT_EQ(text_of(rows.rows[0][0].spans), wanted);
  EXPECT_EQ(rows.rows[0][0].detail, wanted);
  const FigureBlock& block = std::get<FigureBlock>(set.blocks[2]);
  EXPECT_EQ(text_of(block.caption), wanted);
  EXPECT_EQ(std::get<Text>(block.figure.primitives[0]).text, wanted);
  EXPECT_EQ(block.figure.description, wanted);
}

TEST(Typeset, GroupsThousands) {
  EXPECT_EQ(grouped(7), "7");
  EXPECT_EQ(grouped(256), "256");
  EXPECT_EQ(grouped(2000), "2,000");
  EXPECT_EQ(grouped(1234567), "1,234,567");
}

}  // namespace
}  // namespace fw::report
