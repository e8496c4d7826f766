// SPDX-License-Identifier: Apache-2.0
#include "app/section_cache.hpp"

#include <fstream>
#include <iterator>
#include <string>

#include <gtest/gtest.h>

#include "assess/assess.hpp"
#include "casefile/case.hpp"
#include "casefile/line_sheet_reader.hpp"
#include "casefile/sheet_sources.hpp"
#include "report/assessment_json.hpp"

#include "project_file.hpp"

namespace fw::app {
namespace {

using assess::Section;

const catalog::Catalog& book() {
  static const catalog::Catalog catalog = catalog::built_in().value();
  return catalog;
}

casefile::Case tender() { return casefile::read_case(test::project_file("cases/alder-gap-tender"), book()).value(); }

assess::Assessment judged(const casefile::Case& job, const assess::Options& options, assess::SectionStore& store) {
  InlineExecutor executor;
  SilentProgress progress;
  return assess::assess(job, book(), options, {executor, progress, {}}, store).value();
}

/// The first line of a sheet, longer by a tenth.
void lengthen(system::LineSheet& sheet) {
  for (system::Leg& leg : sheet.legs) {
    for (system::Part& part : leg.parts) {
      if (!part.line) continue;
      part.line->length_m.value *= 1.1;
      return;
    }
  }
  FAIL() << "no line in " << sheet.name;
}

// The promise of the design: live edits recompute only the sections that depend on them.
TEST(SectionCache, AnEditOfOneLegComputesTheSectionsOfItsSheetAlone) {
  casefile::Case job = tender();
  ASSERT_EQ(job.sheets.size(), 3U);
  SectionCache cache;
  const assess::Options options{.depth = assess::Depth::quick};
  const auto counts = [&] {
    std::vector<std::size_t> list;
    for (const Section section : assess::all_sections()) list.push_back(cache.computed(section));
    return list;
  };
  using Counts = std::vector<std::size_t>;  // supply, comparison, diagnosis, looks, debris, extent, rail, heat, water

  const std::string first = report::assessment_json(judged(job, options, cache));
  EXPECT_EQ(counts(), (Counts{3, 2, 1, 1, 0, 0, 3, 0, 0}));

  EXPECT_EQ(report::assessment_json(judged(job, options, cache)), first);
  EXPECT_EQ(counts(), (Counts{3, 2, 1, 1, 0, 0, 3, 0, 0})) << "nothing changed, nothing is computed";

  lengthen(job.sheets[1]);
  const std::string edited = report::assessment_json(judged(job, options, cache));
  EXPECT_EQ(counts(), (Counts{4, 4, 1, 1, 0, 0, 4, 0, 0})) << "the middle sheet and both comparisons with it";
  EXPECT_NE(edited, first);

  lengthen(job.sheets[2]);
  const std::string last = report::assessment_json(judged(job, options, cache));
  EXPECT_EQ(counts(), (Counts{5, 5, 1, 1, 0, 0, 5, 0, 0})) << "the last sheet and the one comparison with it";

  assess::NoStore nothing;
  EXPECT_EQ(report::assessment_json(judged(job, options, nothing)), last) << "as if nothing had been kept";

  ASSERT_TRUE(job.findings);
  job.findings->statements.front().seen = diagnosis::Seen::not_looked;
  EXPECT_NE(judged(job, options, cache).diagnosis->counted, 0U);
  EXPECT_EQ(counts(), (Counts{5, 5, 2, 2, 0, 0, 5, 0, 0})) << "a finding moves no pressure";

  (void)judged(job, {.depth = assess::Depth::nominal}, cache);
  EXPECT_EQ(counts(), (Counts{8, 7, 2, 2, 0, 0, 5, 0, 0})) << "another depth is another answer of the supply alone";
}

TEST(SectionCache, APriceMovesTheExtentAndNoMetal) {
  casefile::Case job = tender();
  ASSERT_TRUE(job.metal && job.metal->input.prices);
  // One way only, told by the file alone.
  job.sheets.clear();
  job.as_found.reset();
  job.metal->as_rebuilt.reset();
  job.metal->as_found.tank_m3 = 0.2;
  job.metal->as_found.feed_m3_per_s = 3e-5;
  SectionCache cache;
  const assess::Options options{.sections = {Section::debris, Section::extent}};
  const assess::Assessment before = judged(job, options, cache);
  ASSERT_TRUE(before.metal && before.metal->decision);
  EXPECT_TRUE(before.sheets.empty());
  job.metal->input.prices->labour_per_hour.minor *= 2;
  const assess::Assessment after = judged(job, options, cache);
  EXPECT_EQ(cache.computed(Section::debris), 1U);
  EXPECT_EQ(cache.found(Section::debris), 1U);
  EXPECT_EQ(cache.computed(Section::extent), 2U);
  EXPECT_EQ(after.metal->map.shed_kg.median, before.metal->map.shed_kg.median);
  EXPECT_GT(after.metal->decision->options.front().likely_cost->minor,
            before.metal->decision->options.front().likely_cost->minor);
}

TEST(SectionCache, WaterHangsOnEverySheetAndOnTheFuelReport) {
  casefile::Case job = tender();
  job.sheets.resize(1);
  SectionCache cache;
  const assess::Options options{.sections = {Section::water}};
  const assess::Assessment first = judged(job, options, cache);
  ASSERT_TRUE(first.water);
  (void)judged(job, options, cache);
  EXPECT_EQ(cache.computed(Section::water), 1U) << "nothing changed";
  job.fuel_water = exactly(500e-6);
  const assess::Assessment wet = judged(job, options, cache);
  EXPECT_EQ(cache.computed(Section::water), 2U);
  EXPECT_GT(wet.water->sheets.front().ordinary.free_kg.median, first.water->sheets.front().ordinary.free_kg.median);
  lengthen(job.sheets.front());
  (void)judged(job, options, cache);
  EXPECT_EQ(cache.computed(Section::water), 3U);
  EXPECT_EQ(cache.computed(Section::supply), 0U);
}

// A comment moves lines. The judgement is the kept one, and the numbers in it point to the lines where they stand.
TEST(SectionCache, AResultThatWasKeptPointsToTheLinesOfTheSheetAtHand) {
  const std::string path = test::project_file("cases/quarry-vee/as-found.toml");
  std::ifstream file(path);
  const std::string text{std::istreambuf_iterator<char>(file), {}};
  const auto read = [&](const std::string& sheet) {
    return casefile::read_line_sheet(sheet, path, book().spreads, casefile::sheet_sources(book())).value();
  };
  casefile::Case job;
  job.sheets = {read(text)};
  SectionCache cache;
  const assess::Options options{.sections = {Section::supply}};
  const std::string before = report::assessment_json(judged(job, options, cache));
  job.sheets = {read("# a note\n\n" + text)};
  const std::string after = report::assessment_json(judged(job, options, cache));
  EXPECT_EQ(cache.computed(Section::supply), 1U);
  EXPECT_NE(after, before) << "lines moved by two";
  assess::NoStore nothing;
  EXPECT_EQ(after, report::assessment_json(judged(job, options, nothing)));
}

TEST(SectionCache, KeepsTheLastUsed) {
  SectionCache cache(2);
  const auto value = std::make_shared<const assess::SectionValue>(assess::RailCapacity{});
  cache.keep(Section::rail, {.hex = "a"}, value);
  cache.keep(Section::rail, {.hex = "b"}, value);
  EXPECT_EQ(cache.find(Section::rail, {.hex = "a"}), value);
  cache.keep(Section::rail, {.hex = "c"}, value);
  EXPECT_EQ(cache.size(), 2U);
  EXPECT_EQ(cache.find(Section::rail, {.hex = "b"}), nullptr) << "used longest ago";
  EXPECT_EQ(cache.find(Section::rail, {.hex = "a"}), value);
  EXPECT_EQ(cache.computed(Section::rail), 3U);
  EXPECT_EQ(cache.found(Section::rail), 2U);
}

}  // namespace
}  // namespace fw::app
