// SPDX-License-Identifier: Apache-2.0
#include "casefile/findings.hpp"

#include <gtest/gtest.h>

namespace fw::casefile {
namespace {

const catalog::Catalog& shelf() {
  static const catalog::Catalog catalog = catalog::built_in().value();
  return catalog;
}

// What is saved is read back, whatever the note holds.
TEST(Findings, ReadBackAsSaved) {
  diagnosis::Facts facts;
  facts.agreement = {.owner = true, .payer = false, .maker = true, .date = "2026-05-05"};
  facts.tools_away = {"borescope", "clamp meter"};
  facts.statements = {{.finding = "E39",
                       .seen = diagnosis::Seen::present,
                       .grade = "90 to 180 mL",
                       .person = "M",
                       .time = "10:20",
                       .photo = "photos/jar.jpg",
                       .clip = "",
                       .note = "two \"layers\"\n\tback\\slash, \x01"},
                      {.finding = "E46",
                       .seen = diagnosis::Seen::could_not_tell,
                       .grade = "",
                       .person = "",
                       .time = "",
                       .photo = "",
                       .clip = "clips/line.m4a",
                       .note = ""}};
  const auto again = read_findings(findings_text(facts), "findings.toml", shelf());
  ASSERT_TRUE(again.has_value()) << to_text(again.error());
  EXPECT_EQ(again->tools_away, facts.tools_away);
  EXPECT_TRUE(again->agreement.owner && !again->agreement.payer && again->agreement.maker);
  EXPECT_EQ(again->agreement.date, "2026-05-05");
  ASSERT_EQ(again->statements.size(), 2U);
  for (std::size_t i = 0; i < 2; ++i) {
    const auto& a = again->statements[i];
    const auto& b = facts.statements[i];
    EXPECT_EQ(a.finding, b.finding);
    EXPECT_EQ(a.seen, b.seen);
    EXPECT_EQ(a.grade, b.grade);
    EXPECT_EQ(a.person, b.person);
    EXPECT_EQ(a.time, b.time);
    EXPECT_EQ(a.photo, b.photo);
    EXPECT_EQ(a.clip, b.clip);
    EXPECT_EQ(a.note, b.note);
  }
}

std::string fault(const std::string& rest) {
  const auto facts = read_findings("format = 1\n[[finding]]\n" + rest, "findings.toml", shelf());
  if (facts || facts.error().size() != 1) return "not one fault";
  return to_text(facts.error().front());
}

TEST(Findings, SayWhatIsWrong) {
  EXPECT_NE(fault("id = \"E146\"\nseen = \"present\"\n").find("findings.toml:3"), std::string::npos);
  EXPECT_NE(fault("id = \"E46\"\n").find("present, absent, not looked or could not tell"), std::string::npos);
  EXPECT_NE(fault("id = \"E46\"\nseen = \"perhaps\"\n").find("perhaps"), std::string::npos);
  EXPECT_NE(fault("id = \"E39\"\nseen = \"present\"\n").find("no grade"), std::string::npos);
  EXPECT_NE(fault("id = \"E46\"\nseen = \"present\"\ngrade = \"much\"\n").find("no grade:"), std::string::npos);
  EXPECT_NE(fault("id = \"E46\"\nseen = \"present\"\nphoto = \"../x.jpg\"\n").find("inside the case"),
            std::string::npos);
  EXPECT_NE(fault("id = \"E46\"\nseen = \"present\"\n[[finding]]\nid = \"E46\"\nseen = \"absent\"\n").find("twice"),
            std::string::npos);
  EXPECT_NE(fault("id = \"E46\"\nseen = \"present\"\n[agreement_to_open_pump]\nowner = true\n").find("date"),
            std::string::npos);
}

}  // namespace
}  // namespace fw::casefile
