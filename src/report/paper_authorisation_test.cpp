// SPDX-License-Identifier: Apache-2.0
#include <algorithm>
#include <map>
#include <string>
#include <variant>
#include <vector>

#include <gtest/gtest.h>

#include "report/debris_marks.hpp"
#include "report/metal_words.hpp"
#include "report/paper_parts.hpp"
#include "report/papers.hpp"
#include "report/supply_figures.hpp"
#include "report/text.hpp"

#include "judged_case.hpp"
#include "project_file.hpp"

namespace fw::report {
namespace {

constexpr const char* created = "2031-05-04T10:00:00Z";

using test::says;
using Judged = test::JudgedCase;

/// The supply at most likely values and the extent, once per case of this file.
const Judged& judged(const std::string& name) {
  static std::map<std::string, Judged> all;
  const auto known = all.find(name);
  if (known != all.end()) return known->second;
  return all
      .emplace(name, test::judge_case(test::project_file("cases/") + name,
                                      {.sections = {assess::Section::supply, assess::Section::extent}}))
      .first->second;
}

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

// The signal word is that of the worst caution, wherever it stands in the list.
TEST(Authorisation, WarnsByTheWorstOutcome) {
  const auto signal_of_warning = [](const assess::Assessment& assessment) {
    const Document paper = authorisation_paper(assessment, {.created = created}).value();
    for (const Block& block : paper.blocks) {
      if (const auto* caution = std::get_if<Caution>(&block)) return caution->signal;
    }
    return Signal::notice;
  };
  assess::Assessment assessment = judged("alder-gap-tender").assessment;
  ASSERT_GT(assessment.cautions.size(), 2U);
  EXPECT_EQ(signal_of_warning(assessment), Signal::warning);
  assessment.cautions[1].signal = assess::Signal::danger;
  EXPECT_EQ(signal_of_warning(assessment), Signal::danger);
  assessment.cautions[1].signal = assess::Signal::warning;
  assessment.cautions.front().signal = assess::Signal::notice;
  EXPECT_EQ(signal_of_warning(assessment), Signal::warning) << "a notice is not in the block";
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
  EXPECT_FALSE(says(permission, "Pump only: likely"));
  EXPECT_TRUE(says(permission, "Whole system: likely"));
  assess::Assessment without = job.assessment;
  without.metal->decision->options.front().policy.clear();
  without.metal->decision->options.front().standing = extent::Standing::eligible;
  const std::string free = authorisation(without);
  EXPECT_FALSE(says(free, "Not offered by this shop"));
  EXPECT_TRUE(says(free.substr(free.find("Permission to repair")), "Pump only: likely"));
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
      EXPECT_TRUE(std::ranges::any_of(paper.blocks,
                                      [](const Block& block) { return std::holds_alternative<FigureBlock>(block); }))
          << row.name << " has no drawing";
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

// Sections follow one another in every case, whatever it lacks: orchard-van has no prices.
TEST(TechnicalPaper, NumbersWithoutAGap) {
  for (const std::string& name : all_cases) {
    const Judged& job = judged(name);
    const Document paper =
        technical_paper(job.assessment, job.job.sheets, {.system = {}, .size = PageSize::a4, .created = created})
            .value();
    std::string chapter;
    int section = 0;
    for (const Block& block : paper.blocks) {
      const auto* heading = std::get_if<Heading>(&block);
      if (heading == nullptr || heading->number.empty()) continue;
      if (heading->level == 1) {
        chapter = heading->number;
        section = 0;
      } else {
        EXPECT_EQ(heading->number, chapter + "." + std::to_string(++section)) << name << ": " << heading->text;
      }
      EXPECT_FALSE(heading->text.empty());
      EXPECT_FALSE(heading->text[0] >= 'a' && heading->text[0] <= 'z') << name << ": " << heading->text;
    }
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
