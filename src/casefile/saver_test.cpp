// SPDX-License-Identifier: Apache-2.0
#include "casefile/saver.hpp"

#include <array>

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "casefile/case.hpp"
#include "catalog/document.hpp"

#include "project_file.hpp"

namespace fw::casefile {
namespace {

const std::string text = R"toml(# Kopf: häufige Fälle, 40 °C
format = 1   # a comment
id = '2031'
title = "für  später"   # zwei Blanks

[engine] # Maschine
rated_power = "175 kW"	# measured on the brake
displacement="5.6 L"
[[leg]]
id = "supply"
  [[leg.part]]
  id = "ö-1"
  bends = 2   # of r/d 4
  bypassed = false
  place = { where = "Rahmen", over_ground = "0.3 m" } # inline
story = """
two lines
"quoted" end"""
)toml";

const std::array<std::string, 10> paths{"format",
                                        "id",
                                        "title",
                                        "engine.rated_power",
                                        "engine.displacement",
                                        "leg[1].id",
                                        "leg[1].part[1].bends",
                                        "leg[1].part[1].bypassed",
                                        "leg[1].part[1].place.over_ground",
                                        "leg[1].part[1].story"};
/// The text of each value as it stands above.
const std::array<std::string, 10> as_typed{
    "1",          "'2031'", "\"für  später\"", "\"175 kW\"", "\"5.6 L\"",
    "\"supply\"", "2",      "false",           "\"0.3 m\"",  "\"\"\"\ntwo lines\n\"quoted\" end\"\"\""};

std::string fresh_text(std::size_t which, const std::string& value) {
  return which == 0 || which == 6 || which == 7 ? value : "\"" + value + "\"";
}

// Every byte outside the edited values stays, whatever is edited to whatever, with every line end and byte order mark.
RC_GTEST_PROP(Saver, ChangesNothingButTheValue, ()) {
  std::vector<Edit> edits;
  const bool windows = *rc::gen::arbitrary<bool>();
  const std::string before = *rc::gen::element<std::string>("", "\xEF\xBB\xBF");
  std::string expected = text;
  for (std::size_t i = 0; i < paths.size(); ++i) {
    if (!*rc::gen::arbitrary<bool>()) continue;
    std::string value;
    if (i == 0 || i == 6) {
      value = std::to_string(*rc::gen::inRange(0, 99));
    } else if (i == 7) {
      value = *rc::gen::element<std::string>("true", "false");
    } else {
      value = *rc::gen::container<std::string>(rc::gen::elementOf(std::string("abc 0123.%/#[]{}=',é")));
      // Cut in the middle of a letter it would be no text.
      std::erase_if(value, [](char c) { return static_cast<unsigned char>(c) >= 0x80; });
    }
    edits.push_back({paths.at(i), value});
    const std::size_t at = expected.find(as_typed.at(i), i == 0 ? expected.find("format = ") : 0);
    RC_ASSERT(at != std::string::npos);
    if (i == 6) {
      expected.replace(expected.find("bends = ") + 8, 1, value);
    } else {
      expected.replace(at, as_typed.at(i).size(), fresh_text(i, value));
    }
  }
  const auto ends = [&](const std::string& plain) {
    std::string all = before;
    for (const char c : plain) {
      if (windows && c == '\n') all += '\r';
      all += c;
    }
    return all;
  };
  const auto saved = save_in_place(ends(text), "case.toml", edits);
  RC_ASSERT(saved.has_value());
  RC_ASSERT(*saved == ends(expected));
}

// What is saved is read back, also when the text needs escapes.
RC_GTEST_PROP(Saver, WhatIsSavedIsReadBack, ()) {
  const auto value = *rc::gen::container<std::string>(rc::gen::inRange<char>(1, 127));
  const auto saved = save_in_place(text, "case.toml", {{"title", value}});
  RC_ASSERT(saved.has_value());
  auto document = catalog::Document::parse(*saved, "case.toml", {});
  RC_ASSERT(document.has_value());
  RC_ASSERT(document->root().text("title") == value);
}

TEST(Saver, TheDemoCaseSurvivesARoundTrip) {
  const std::string path = test::project_file("cases/alder-gap-tender/as-rebuilt.toml");
  const auto sheet = read_file(path);
  ASSERT_TRUE(sheet);
  const auto there = save_in_place(*sheet, path, {{"engine.rated_power", "180 kW"}});
  ASSERT_TRUE(there) << to_text(there.error());
  EXPECT_NE(*there, *sheet);
  const auto back = save_in_place(*there, path, {{"engine.rated_power", "175 kW"}});
  ASSERT_TRUE(back);
  EXPECT_EQ(*back, *sheet);
}

TEST(Saver, RefusesWhatItCannotDo) {
  const auto fault = [](const std::vector<Edit>& edits) {
    const auto saved = save_in_place(text, "case.toml", edits);
    EXPECT_FALSE(saved);
    return saved ? std::string() : std::string(name(saved.error().front().code)) + " " + saved.error().front().hint;
  };
  EXPECT_EQ(fault({{"engine.rated_pwer", "1 kW"}}), "not_found Write \"rated_power\"");
  EXPECT_EQ(fault({{"leg[2].id", "x"}}), "not_found Check the path");
  EXPECT_EQ(fault({{"leg[0].id", "x"}}), "not_found Check the path");
  EXPECT_EQ(fault({{"leg[x", "x"}}), "not_found Check the path");
  EXPECT_EQ(fault({{"engine", "x"}}), "invalid_input Give a value of the kind that stands there");
  EXPECT_EQ(fault({{"leg[1].part[1].bends", "two"}}), "invalid_input Give a value of the kind that stands there");
  EXPECT_EQ(fault({{"leg[1].part[1].bypassed", "1"}}), "invalid_input Give a value of the kind that stands there");
  EXPECT_EQ(fault({{"id", "a"}, {"id", "b"}}), "conflict Keep one of them");
}

}  // namespace
}  // namespace fw::casefile
