// SPDX-License-Identifier: Apache-2.0
#include <map>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "casefile/case.hpp"
#include "catalog/catalog.hpp"
#include "report/debris_marks.hpp"
#include "report/metal_words.hpp"
#include "report/paper_parts.hpp"
#include "report/papers.hpp"
#include "report/supply_figures.hpp"
#include "report/text.hpp"

#include "project_file.hpp"

namespace fw::report {
namespace {

constexpr const char* created = "2031-05-04T10:00:00Z";

struct Judged {
  casefile::Case job;
  assess::Assessment assessment;
};

const catalog::Catalog& book() {
  static const catalog::Catalog catalog = catalog::built_in().value();
  return catalog;
}

/// The supply at most likely values and the extent, once per case of this file.
const Judged& judged(const std::string& name) {
  static std::map<std::string, Judged> all;
  const auto known = all.find(name);
  if (known != all.end()) return known->second;
  Judged result{.job = casefile::read_case(test::project_file("cases/") + name, book()).value(), .assessment = {}};
  InlineExecutor executor;
  SilentProgress progress;
  result.assessment =
      assess::assess(result.job, book(), {.sections = {assess::Section::supply, assess::Section::extent}},
                     {.executor = executor, .progress = progress, .stop = {}})
          .value();
  return all.emplace(name, std::move(result)).first->second;
}

bool says(const std::string& text, const std::string& words) { return text.find(words) != std::string::npos; }

std::string authorisation(const assess::Assessment& assessment, PageSize size = PageSize::a4) {
  const auto paper = authorisation_paper(assessment, {.system = {}, .size = size, .created = created});
  EXPECT_TRUE(paper) << (paper ? "" : to_text(paper.error()));
  return paper ? render_text(*paper, 400).value() : std::string();
}

const std::vector<std::string> all_cases{"alder-gap-tender", "orchard-van", "quarry-vee"};

TEST(Authorisation, TellsEveryOptionOfEveryCase) {
  for (const std::string& name : all_cases) {
    const Judged& job = judged(name);
    for (const PageSize size : {PageSize::a4, PageSize::letter}) {
      const std::string text = authorisation(job.assessment, size);
      for (const extent::OptionResult& option : job.assessment.metal->decision->options) {
        EXPECT_TRUE(says(text, std::string(extent::name(option.kind)))) << name;
        for (const std::string& part : option.not_covered) EXPECT_TRUE(says(text, part)) << name << part;
      }
      EXPECT_TRUE(says(text, "Permission to take apart and look")) << name;
      EXPECT_TRUE(says(text, "Permission to repair")) << name;
      EXPECT_TRUE(says(text, "Not inspected is not clean")) << name;
      for (const AssumptionRow& row : metal_assumptions()) EXPECT_TRUE(says(text, row.what)) << row.what;
    }
  }
}

// Policy is worded as policy, keeps its result on paper, and cannot be ticked.
TEST(Authorisation, ABarredOptionIsToldAndCannotBeTicked) {
  const Judged& job = judged("alder-gap-tender");
  const extent::Decision& decision = *job.assessment.metal->decision;
  const extent::OptionResult& pump = *option_of(decision, extent::OptionKind::pump_only);
  ASSERT_EQ(pump.standing, extent::Standing::not_offered);
  const std::string text = authorisation(job.assessment);
  EXPECT_TRUE(says(text, "Not offered by this shop, because metal is past the metering valve."));
  EXPECT_TRUE(says(text, money_words(*pump.likely_cost)));
  const std::string permission = text.substr(text.find("Permission to repair"));
  EXPECT_FALSE(says(permission, "pump only: likely"));
  EXPECT_TRUE(says(permission, "whole system: likely"));
  assess::Assessment without = job.assessment;
  without.metal->decision->options.front().policy.clear();
  without.metal->decision->options.front().standing = extent::Standing::eligible;
  const std::string free = authorisation(without);
  EXPECT_FALSE(says(free, "Not offered by this shop"));
  EXPECT_TRUE(says(free.substr(free.find("Permission to repair")), "pump only: likely"));
}

TEST(Authorisation, NamesTheBreakEvenAndWhatTurnsIt) {
  const Judged& job = judged("alder-gap-tender");
  const extent::Decision& decision = *job.assessment.metal->decision;
  const extent::OptionResult& pump = smallest_repair(decision);
  ASSERT_TRUE(pump.break_even);
  const std::string text = authorisation(job.assessment);
  EXPECT_TRUE(says(text, break_even_words(pump))) << break_even_words(pump);
  for (const std::string& flip : flip_words(decision)) EXPECT_TRUE(says(text, flip)) << flip;
}

// It tells no law and claims no right.
TEST(Authorisation, MakesNoLegalClaim) {
  for (const std::string& name : all_cases) {
    const std::string text = authorisation(judged(name).assessment);
    for (const char* word : {"liable", "liability", "warrant that", "guarantee", "entitled", "legal"}) {
      EXPECT_FALSE(says(text, word)) << name << ": " << word;
    }
  }
}

TEST(Authorisation, RefusesACaseWithoutExtent) {
  assess::Assessment bare = judged("alder-gap-tender").assessment;
  bare.metal.reset();
  const auto paper = authorisation_paper(bare, {});
  ASSERT_FALSE(paper);
  EXPECT_EQ(paper.error().front().where.field, "extent");
  EXPECT_EQ(paper.error().front().code, ErrorCode::not_found);
  bare.not_computed.push_back(
      {.section = assess::Section::extent,
       .sheet = {},
       .why = Errors(Error{.code = ErrorCode::outside_model, .where = {.field = "findings"}, .found = "x"})});
  EXPECT_EQ(authorisation_paper(bare, {}).error().front().where.field, "findings") << "the reason itself";
}

TEST(OwnerPaper, AnswersTheQuestionOfThePump) {
  struct Row {
    const char* name;
    const char* answer;
  };
  for (const Row& row : {Row{.name = "alder-gap-tender", .answer = "No, not on this evidence."},
                         Row{.name = "orchard-van", .answer = "That cannot be said yet."},
                         Row{.name = "quarry-vee", .answer = "likely need not be changed at all"}}) {
    const Judged& job = judged(row.name);
    for (const PageSize size : {PageSize::a4, PageSize::letter}) {
      const Document paper =
          owner_paper(job.assessment, job.job.sheets, {.system = {}, .size = size, .created = created}).value();
      EXPECT_TRUE(is_one_page(paper)) << row.name;
      const std::string text = render_text(paper, 400).value();
      EXPECT_TRUE(says(text, "Can you just change the pump?")) << row.name;
      EXPECT_TRUE(says(text, row.answer)) << row.name << "\n" << text;
      for (const char* word : {"inlet", "N*", "um(c)", "leak-off", "Beta"}) {
        EXPECT_FALSE(says(text, word)) << row.name << ": " << word << "\n" << text;
      }
    }
  }
}

TEST(TechnicalPaper, TellsMetalCleanlinessAndOptions) {
  for (const std::string& name : all_cases) {
    const Judged& job = judged(name);
    const auto paper =
        technical_paper(job.assessment, job.job.sheets, {.system = {}, .size = PageSize::letter, .created = created});
    ASSERT_TRUE(paper) << to_text(paper.error());
    const std::string text = render_text(*paper, 400).value();
    for (const char* words : {"Where metal lies", "Cleanliness along the fuel's way", "The options side by side",
                              "What these numbers stand on"}) {
      EXPECT_TRUE(says(text, words)) << name << ": " << words;
    }
    for (const debris::PlaceOfMap& place : job.assessment.metal->map.places) {
      EXPECT_TRUE(says(text, std::string(debris::name(place.place)))) << name;
    }
    EXPECT_EQ(says(text, "What the next part buys"), !job.assessment.metal->decision->frontier.empty()) << name;
  }
}

TEST(DebrisMarks, StandAtTheirParts) {
  const Judged& job = judged("quarry-vee");
  const system::LineSheet& sheet = job.job.sheets.at(*job.job.as_found);
  SchematicData drawing = schematic_of(sheet, nullptr, {});
  mark_metal(drawing, sheet, job.assessment.metal->map, MarkedPlaces::every);
  std::size_t seen = 0;
  std::string id;
  for (const SchematicLeg& leg : drawing.legs) {
    for (const SchematicPart& part : leg.parts) {
      if (part.debris != DebrisMark::metal_seen) continue;
      ++seen;
      id = part.id;
    }
  }
  EXPECT_EQ(seen, 1U);
  EXPECT_TRUE(says(id, "filter")) << id;
  EXPECT_EQ(drawing.high_side.metering_debris, DebrisMark::clean);
  EXPECT_NE(drawing.high_side.rail_debris, DebrisMark::clean) << "nobody tested it";
  EXPECT_NE(drawing.high_side.rail_debris, DebrisMark::none);
  SchematicData quiet = schematic_of(sheet, nullptr, {});
  mark_metal(quiet, sheet, job.assessment.metal->map, MarkedPlaces::looked_at);
  EXPECT_EQ(quiet.high_side.rail_debris, DebrisMark::none);
  EXPECT_EQ(quiet.high_side.metering_debris, drawing.high_side.metering_debris);
}

}  // namespace
}  // namespace fw::report
