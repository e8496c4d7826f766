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

// Readings are read back as saved, each with what its measure needs.
TEST(Findings, ReadingsReadBackAsSaved) {
  const std::string text =
      "format = 1\n[[reading]]\nwhat = \"pressure\"\nat = \"V1\"\nengine = \"idle\"\nvalue = \"3 inHg vac\"\n"
      "instrument = \"vacuum gauge\"\nfuel_temperature = \"22 C\"\ntank_level = \"0.4\"\nperson = \"M\"\n"
      "[[reading]]\nwhat = \"leak-down\"\nfrom = \"30 MPa\"\nto = \"10 MPa\"\nvalue = \"4.2 s\"\n"
      "instrument = \"stopwatch\"\n"
      "[[reading]]\nwhat = \"injector return\"\nat = \"3\"\nengine = \"crank\"\nvalue = \"20 mL/min\"\n"
      "instrument = \"jar\"\nasked = \"30 MPa\"\n"
      "[[reading]]\nwhat = \"pressure\"\nat = \"P1\"\nengine = \"rated power\"\nvalue = \"10 psi\"\n"
      "instrument = \"gauge\"\nfull_scale = \"60 psi\"\n";
  const auto facts = read_findings(text, "findings.toml", shelf());
  ASSERT_TRUE(facts.has_value()) << to_text(facts.error());
  ASSERT_EQ(facts->readings.size(), 4U);
  EXPECT_NEAR(facts->readings[0].value, -3 * 3386.389, 1.0);
  EXPECT_NEAR(facts->readings[0].temperature_K.value(), 295.15, 1e-9);
  EXPECT_EQ(facts->readings[2].engine, system::EnginePoint::crank);
  const auto again = read_findings(findings_text(*facts), "findings.toml", shelf());
  ASSERT_TRUE(again.has_value()) << to_text(again.error());
  ASSERT_EQ(again->readings.size(), 4U);
  for (std::size_t i = 0; i < 4; ++i) {
    const diagnosis::Reading& a = facts->readings[i];
    const diagnosis::Reading& b = again->readings[i];
    EXPECT_EQ(a.measure, b.measure);
    EXPECT_EQ(a.at, b.at);
    EXPECT_EQ(a.engine, b.engine);
    EXPECT_EQ(a.value, b.value);
    EXPECT_EQ(a.instrument, b.instrument);
    EXPECT_EQ(a.from_Pa, b.from_Pa);
    EXPECT_EQ(a.to_Pa, b.to_Pa);
    EXPECT_EQ(a.asked_Pa, b.asked_Pa);
    EXPECT_EQ(a.tank_level, b.tank_level);
    EXPECT_EQ(a.temperature_K, b.temperature_K);
    EXPECT_EQ(a.person, b.person);
  }
  EXPECT_EQ(facts->readings[3].full_scale, again->readings[3].full_scale);
}

std::string reading_fault(const std::string& rest) {
  const auto facts = read_findings("format = 1\n[[reading]]\n" + rest, "findings.toml", shelf());
  if (facts || facts.error().size() != 1) return "not one fault";
  return to_text(facts.error().front());
}

TEST(Findings, SayWhatIsWrongWithAReading) {
  const std::string gauge = "instrument = \"gauge\"\n";
  EXPECT_NE(reading_fault("at = \"V1\"\n").find("what was read: pressure"), std::string::npos);
  EXPECT_NE(reading_fault("what = \"presure\"\n").find("pressure"), std::string::npos);
  EXPECT_NE(reading_fault("what = \"pressure\"\nengine = \"idle\"\nvalue = \"1 kPa\"\n" + gauge).find("test port"),
            std::string::npos);
  EXPECT_NE(reading_fault("what = \"pressure\"\nat = \"V1\"\nvalue = \"1 kPa\"\n" + gauge).find("no \"engine\""),
            std::string::npos);
  EXPECT_NE(reading_fault("what = \"pressure\"\nat = \"V1\"\nengine = \"idle\"\nvalue = \"12\"\n" + gauge).find("unit"),
            std::string::npos);
  EXPECT_NE(reading_fault("what = \"return flow\"\nengine = \"idle\"\nvalue = \"1 L/h\"\ninstrument = \"ear\"\n")
                .find("stopwatch"),
            std::string::npos);
  EXPECT_NE(reading_fault("what = \"leak-down\"\nvalue = \"1 s\"\ninstrument = \"stopwatch\"\n").find("fall"),
            std::string::npos);
}

}  // namespace
}  // namespace fw::casefile
