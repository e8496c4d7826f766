// SPDX-License-Identifier: Apache-2.0
#include "report/papers.hpp"

#include <algorithm>
#include <array>
#include <cstdio>
#include <filesystem>
#include <fstream>

#include <gtest/gtest.h>

#include "report/assessment_json.hpp"
#include "report/check_words.hpp"
#include "report/input_words.hpp"
#include "report/line_sheet_tables.hpp"
#include "report/owner_words.hpp"
#include "report/paper_parts.hpp"
#include "report/pdf.hpp"
#include "report/pdf_layout.hpp"
#include "report/text.hpp"
#include "report/typeset.hpp"

#include "judged_case.hpp"
#include "project_file.hpp"

namespace fw::report {
namespace {

constexpr const char* created = "2031-05-04T10:00:00Z";

using test::says;
using Judged = test::JudgedCase;

Judged judged(const std::string& folder) { return test::judge_case(folder); }

std::string demo_folder() { return test::project_file("cases/alder-gap-tender"); }

/// Every case of the project.
std::vector<std::string> case_folders() {
  std::vector<std::string> folders;
  for (const auto& entry : std::filesystem::directory_iterator(test::project_file("cases"))) {
    if (std::filesystem::exists(entry.path() / "case.toml")) folders.push_back(entry.path().string());
  }
  std::ranges::sort(folders);
  return folders;
}

std::string output_of(const std::string& command) {
  std::string output;
  FILE* pipe = ::popen((command + " 2>&1").c_str(), "r");
  if (pipe == nullptr) return "no pipe";
  std::array<char, 4096> buffer{};
  for (std::size_t got = 0; (got = std::fread(buffer.data(), 1, buffer.size(), pipe)) > 0;) {
    output.append(buffer.data(), got);
  }
  if (::pclose(pipe) != 0) output += "\nexit status not 0";
  return output;
}

std::string saved(const std::string& name, const std::string& bytes) {
  const std::string path = ::testing::TempDir() + "fw_papers_" + name;
  std::ofstream(path, std::ios::binary) << bytes;
  return path;
}

std::string text_of_paper(const Document& document) { return render_text(document, 400).value(); }

TEST(CheckWords, SayARangeWithItsUnitOnce) {
  EXPECT_EQ(from_to("1.36 mm2/s", "1.81 mm2/s"), "1.36 to 1.81 mm2/s");
  EXPECT_EQ(from_to("0 %", "0 %"), "0 %");
  EXPECT_EQ(from_to("under 0.01 mg", "3.5 mg"), "under 0.01 to 3.5 mg");
  EXPECT_EQ(from_to("139 mech hp", "183 mech hp"), "139 to 183 mech hp");
  EXPECT_EQ(from_to("2.38 psi/(100 gph)", "5.76 psi/(100 gph)"), "2.38 to 5.76 psi/(100 gph)");
  EXPECT_EQ(from_to("low", "high"), "low to high");
  EXPECT_EQ(from_to("39.5 mV", "0.20 V"), "39.5 mV to 0.20 V");
  EXPECT_EQ(from_to("347", "2.8 thousand"), "347 to 2.8 thousand");
  EXPECT_EQ(from_to("1.3 thousand", "10 thousand"), "1.3 thousand to 10 thousand") << "1.3 is another number";
  EXPECT_EQ(upper_first("as found"), "As found");
  EXPECT_EQ(upper_first("5 bar"), "5 bar");
}

// A small share keeps its unit among percents.
TEST(CheckWords, PrintNoBareShare) {
  const auto words = [](double si) {
    return words_of(Amount{.si = si, .dimension = units::Dimension::ratio}, units::System::metric);
  };
  EXPECT_EQ(words(3.84e-4), "0.038 %");
  EXPECT_EQ(words(-3.84e-4), "\u22120.038 %");
  EXPECT_EQ(words(0.0173), "1.73 %");
}

TEST(OwnerPaper, IsOnePageForEveryCase) {
  ASSERT_FALSE(case_folders().empty());
  for (const std::string& folder : case_folders()) {
    const Judged demo = judged(folder);
    for (const PageSize size : {PageSize::a4, PageSize::letter}) {
      for (const units::System system : {units::System::metric, units::System::us}) {
        const auto paper =
            owner_paper(demo.assessment, demo.job.sheets, {.system = system, .size = size, .created = created});
        ASSERT_TRUE(paper) << folder << to_text(paper.error());
        EXPECT_TRUE(is_one_page(*paper)) << folder;
        const auto page = supply_page(demo.assessment, {.system = system, .size = size, .created = created});
        ASSERT_TRUE(page) << folder << to_text(page.error());
        EXPECT_TRUE(is_one_page(*page)) << folder;
      }
    }
  }
}

// Zones stand by their names, and no entry has an empty first line.
TEST(TechnicalPaper, PrintsTheEvidenceLog) {
  const Judged demo = judged(demo_folder());
  const std::string hash(64, 'a');
  PaperOptions options{.system = {}, .size = PageSize::a4, .created = created};
  options.evidence = {{.number = 1,
                       .title = "Filter cut open",
                       .zone = "final-filter",
                       .time = "2031-05-05 10:02",
                       .person = "R",
                       .file = "photos/filter.jpg",
                       .seal = "0815",
                       .sha256 = hash},
                      {.number = 2,
                       .title = "Pressure at P3",
                       .time = "2031-05-05 11:30",
                       .person = "R",
                       .instrument = "gauge 7",
                       .value = "-12 kPa",
                       .sha256 = hash}};
  const Document paper = technical_paper(demo.assessment, demo.job.sheets, options).value();
  const std::string text = text_of_paper(paper);
  EXPECT_TRUE(says(text, "zone final filter")) << text.substr(text.find("Evidence log"));
  EXPECT_FALSE(says(text, "final-filter"));
  EXPECT_TRUE(says(text, "no. 1: filter.jpg"));
  EXPECT_TRUE(says(text, "\u221212 kPa; by gauge 7"));
  const Table* log = nullptr;
  for (const Block& block : paper.blocks) {
    const auto* table = std::get_if<Table>(&block);
    if (table != nullptr && table->columns.front().title == "no.") log = table;
  }
  ASSERT_NE(log, nullptr);
  for (const Row& row : log->rows) {
    for (const Cell& cell : row) EXPECT_FALSE(text_of(cell.spans).empty());
  }
  EXPECT_EQ(text_of(log->rows[0].back().spans), "file photos/filter.jpg");
  EXPECT_EQ(log->rows[0].back().detail, "seal 0815");
}

// Codes of findings and causes stay in the shop: a paper names them.
TEST(TechnicalPaper, NamesFindingsAndCausesWithoutTheirCodes) {
  const Judged demo = judged(demo_folder());
  ASSERT_TRUE(demo.assessment.diagnosis);
  ASSERT_FALSE(demo.assessment.diagnosis->discounted.empty()) << "one finding of the demo case is not counted";
  const std::string text = text_of_paper(
      technical_paper(demo.assessment, demo.job.sheets, {.system = {}, .size = PageSize::a4, .created = created})
          .value());
  for (const diagnosis::Discounted& one : demo.assessment.diagnosis->discounted) {
    EXPECT_TRUE(says(text, lower_first(one.title))) << one.title;
    EXPECT_FALSE(says(text, one.finding)) << one.finding;
  }
  for (const diagnosis::Belief& cause : demo.assessment.diagnosis->causes) {
    EXPECT_FALSE(says(text, cause.id + " ")) << cause.id;
  }
}

const FigureBlock* drawing_of(const Document& paper) {
  for (const Block& block : paper.blocks) {
    if (const auto* figure = std::get_if<FigureBlock>(&block)) return figure;
  }
  return nullptr;
}

TEST(OwnerPaper, ShowsWhereTheFuelGoesInEveryCase) {
  for (const std::string& folder : case_folders()) {
    const Judged demo = judged(folder);
    for (const PageSize size : {PageSize::a4, PageSize::letter}) {
      const Document paper =
          owner_paper(demo.assessment, demo.job.sheets, {.system = {}, .size = size, .created = created}).value();
      const FigureBlock* drawing = drawing_of(paper);
      ASSERT_NE(drawing, nullptr) << folder;
      // Every tank, pump, filter and separator of what stands now is in it; two tanks that feed one place may be one.
      const auto& tanks = demo.job.sheets.back().tanks;
      const bool joined =
          tanks.size() == 2 && std::ranges::any_of(drawing->figure.primitives, [](const Primitive& one) {
            const auto* label = std::get_if<Text>(&one);
            return label != nullptr && label->text == "two tanks";
          });
      for (const system::Tank& tank : tanks) {
        EXPECT_TRUE(joined || says(drawing->figure.description, tank.id)) << folder << ": " << tank.id;
      }
      for (const system::Leg& leg : demo.job.sheets.back().legs) {
        for (const system::Part& part : leg.parts) {
          const bool wanted = part.kind == system::PartKind::pump || part.kind == system::PartKind::filter ||
                              part.kind == system::PartKind::separator;
          if (wanted) {
            EXPECT_TRUE(says(drawing->figure.description, with_minus(part.title))) << part.title;
          }
        }
      }
    }
  }
}

TEST(OwnerPaper, UsesNoWordOfTheTrade) {
  for (const std::string& folder : case_folders()) {
    const Judged demo = judged(folder);
    const std::string text = text_of_paper(
        owner_paper(demo.assessment, demo.job.sheets, {.system = {}, .size = {}, .created = created}).value());
    for (const char* word : {"inlet", "viscosity", "mm2", "nominal", "envelope", "draws", "low side", "grade line",
                             "at rest stops", "maker's limit not entered", "leak-off"}) {
      EXPECT_FALSE(says(text, word)) << folder << ": " << word << "\n" << text;
    }
  }
}

TEST(OwnerPaper, TellsTheBandWhereItWasDrawn) {
  Judged demo = judged(demo_folder());
  const PaperOptions options{.system = units::System::metric, .size = PageSize::a4, .created = created};
  EXPECT_FALSE(says(text_of_paper(owner_paper(demo.assessment, demo.job.sheets, options).value()), "nine jobs in ten"));
  supply::SheetJudgement& last = demo.assessment.sheets.back();
  last.samples = 2000;
  last.line.band_Pa.assign(last.line.over_ambient_Pa.size(), {.low = 40e3, .high = 60e3});
  const std::string text = text_of_paper(owner_paper(demo.assessment, demo.job.sheets, options).value());
  EXPECT_TRUE(says(text, "in nine jobs in ten it lies between 40.0 kPa and 60.0 kPa")) << text;
  EXPECT_TRUE(says(text, "Computed 2,000 times over")) << text;
}

TEST(OwnerWords, TellBothEndsWhereAPumpAtRestIsNotKnown) {
  const supply::DeadPump blocking{.pump = "lift pump", .assumption = "blocking at rest"};
  const supply::DeadPump passing{.pump = "lift pump",
                                 .assumption = "passing at rest",
                                 .engine_fed_at_idle = true,
                                 .engine_fed_at_rated = true,
                                 .points = 40,
                                 .fed_points = 40};
  EXPECT_EQ(
      owner_losses({blocking, passing}),
      "If the lift pump stops, the engine likely stops, or keeps running, with less pressure than it should have; "
      "which of the two is not known.");
  EXPECT_EQ(owner_losses({blocking}), "If the lift pump stops, the engine likely stops.");
  EXPECT_EQ(owner_losses({}), "");
}

TEST(OwnerPaper, SpeaksPlainlyAndWarnsBeforeTheSteps) {
  const Judged demo = judged(demo_folder());
  const Document paper =
      owner_paper(demo.assessment, demo.job.sheets, {.system = {}, .size = {}, .created = created}).value();
  const std::string text = text_of_paper(paper);
  EXPECT_TRUE(says(text, "likely")) << text;
  EXPECT_TRUE(says(text, "psi") || says(text, "kPa"));
  EXPECT_TRUE(says(text, "never fault"));
  for (const char* cryptic : {"P50", "inlet-low", "nominal", "SupplyModel"})
    EXPECT_FALSE(says(text, cryptic)) << cryptic;
  const auto first_step =
      std::ranges::find_if(paper.blocks, [](const Block& block) { return std::holds_alternative<Step>(block); });
  const auto caution =
      std::ranges::find_if(paper.blocks, [](const Block& block) { return std::holds_alternative<Caution>(block); });
  ASSERT_NE(first_step, paper.blocks.end());
  ASSERT_NE(caution, paper.blocks.end());
  EXPECT_LT(caution - paper.blocks.begin(), first_step - paper.blocks.begin());
}

TEST(OwnerPaper, SaysWhatStillFailsInThePresentTense) {
  Judged demo = judged(demo_folder());
  supply::SheetJudgement& last = demo.assessment.sheets.back();
  supply::Check& check = *std::ranges::find(last.checks, "inlet-low", &supply::Check::id);
  check.outcome = supply::Outcome::fails;
  check.value = 20e3;
  check.limit.fails = 55e3;
  check.margin = -35e3;
  const PaperOptions options{.system = units::System::metric, .size = PageSize::a4, .created = created};
  std::string text = text_of_paper(owner_paper(demo.assessment, demo.job.sheets, options).value());
  EXPECT_TRUE(says(text, "The high-pressure pump is likely fed too little: at the worst 20.0 kPa (2.9 psi)")) << text;
  // Inside its limit and failing all the same: the check's own sentence says why.
  check.margin = 5e3;
  check.sentence = "Wax on every filter.";
  text = text_of_paper(owner_paper(demo.assessment, demo.job.sheets, options).value());
  EXPECT_TRUE(says(text, "Wax on every filter.")) << text;
}

TEST(OnePage, HoldsHoweverManyChecksFail) {
  Judged demo = judged(demo_folder());
  const supply::Check worst =
      *std::ranges::find(demo.assessment.sheets.front().checks, "inlet-low", &supply::Check::id);
  for (supply::SheetJudgement& sheet : demo.assessment.sheets) {
    for (int i = 0; i < 40; ++i) {
      sheet.checks.push_back(worst);
      sheet.checks.back().id = "extra-" + std::to_string(i);
      sheet.checks.back().title = "Check of some length, number " + std::to_string(i);
      sheet.checks.back().outcome = supply::Outcome::fails;
    }
  }
  for (const PageSize size : {PageSize::a4, PageSize::letter}) {
    const PaperOptions options{.system = units::System::metric, .size = size, .created = created};
    const auto owner = owner_paper(demo.assessment, demo.job.sheets, options);
    ASSERT_TRUE(owner) << to_text(owner.error());
    EXPECT_TRUE(is_one_page(*owner));
    EXPECT_TRUE(says(text_of_paper(*owner), "the technical report lists them"));
    const auto page = supply_page(demo.assessment, options);
    ASSERT_TRUE(page) << to_text(page.error());
    EXPECT_TRUE(is_one_page(*page));
    EXPECT_TRUE(says(text_of_paper(*page), "stand in the technical report"));
  }
}

TEST(TechnicalPaper, LeavesNothingOut) {
  const Judged demo = judged(demo_folder());
  const Document paper =
      technical_paper(demo.assessment, demo.job.sheets, {.system = {}, .size = {}, .created = created}).value();
  const std::string text = text_of_paper(paper);
  for (std::size_t s = 0; s < demo.assessment.sheets.size(); ++s) {
    const supply::SheetJudgement& sheet = demo.assessment.sheets[s];
    for (const supply::Check& check : sheet.checks) {
      EXPECT_TRUE(says(text, with_minus(check.title))) << check.title;
      if (check.outcome != supply::Outcome::holds) {
        EXPECT_TRUE(says(text, check.sentence)) << check.sentence;
      }
      if (value_of(check)) {
        EXPECT_TRUE(says(text, typeset(words_of(value_of(check), units::System::us)))) << check.title;
      }
    }
    for (const Stated& input : sheet.inputs) {
      const std::string words = input_words(input.id, &demo.job.sheets[s]);
      const std::size_t colon = words.find(": ");
      EXPECT_TRUE(says(text, colon == std::string::npos ? words : words.substr(colon + 2))) << words;
    }
    for (const system::Leg& leg : demo.job.sheets[s].legs) {
      for (const system::Part& part : leg.parts) EXPECT_TRUE(says(text, with_minus(part.title))) << part.title;
    }
  }
  for (const assess::Caution& caution : demo.assessment.cautions) EXPECT_TRUE(says(text, caution.text.substr(0, 40)));
}

// A limit entered for one system alone stands with that system.
TEST(TechnicalPaper, TellsTheLimitOfEachSystemWhereTheyDiffer) {
  Judged demo = judged(demo_folder());
  const PaperOptions options{.system = {}, .size = {}, .created = created};
  EXPECT_FALSE(says(text_of_paper(technical_paper(demo.assessment, demo.job.sheets, options).value()), "by system"));
  std::vector<supply::Check>& checks = demo.assessment.sheets.front().checks;
  const auto low = std::ranges::find(checks, "inlet-low", &supply::Check::id);
  ASSERT_NE(low, checks.end());
  low->limit.fails = 61e3;
  const std::string text = text_of_paper(technical_paper(demo.assessment, demo.job.sheets, options).value());
  EXPECT_TRUE(says(text, "by system"));
  EXPECT_TRUE(says(text, "limit " + typeset(words_of(Amount{.si = 61e3, .dimension = units::Dimension::gauge_pressure},
                                                     options.system))));
}

TEST(TechnicalPaper, SaysOfTheCauseNoMoreThanTheFindings) {
  Judged demo = judged(demo_folder());
  const PaperOptions options{.system = {}, .size = {}, .created = created};
  diagnosis::Diagnosis found;
  found.causes = {{.id = "a", .title = "Water in the fuel", .group = {}, .probability = 0.41, .low = 0.3, .high = 0.5},
                  {.id = "b", .title = "Wear of age", .group = {}, .probability = 0.33, .low = 0.2, .high = 0.4}};
  found.why_not = "the two first lie close together";
  found.counted = 4;
  found.draws = 100;
  demo.assessment.diagnosis = found;
  std::string text = text_of_paper(technical_paper(demo.assessment, demo.job.sheets, options).value());
  EXPECT_TRUE(says(text, "the cause is not determined: the two first lie close together")) << text;
  EXPECT_FALSE(says(text, "most probable cause is"));
  EXPECT_TRUE(says(text, "41 in 100"));
  EXPECT_TRUE(says(text, "30 to 50"));
  demo.assessment.diagnosis->determined = true;
  text = text_of_paper(technical_paper(demo.assessment, demo.job.sheets, options).value());
  EXPECT_TRUE(says(text, "the most probable cause is: water in the fuel, 41 in 100 (30 to 50)")) << text;
  demo.assessment.diagnosis->causes.front().held_back = true;
  text = text_of_paper(technical_paper(demo.assessment, demo.job.sheets, options).value());
  EXPECT_FALSE(says(text, "ater in the fuel, 41")) << text;
  EXPECT_FALSE(says(text, "41 in 100"));
  EXPECT_TRUE(says(text, "until the shop's owner releases"));
  demo.assessment.diagnosis.reset();
  text = text_of_paper(technical_paper(demo.assessment, demo.job.sheets, options).value());
  EXPECT_FALSE(says(text, "State and cause"));
}

// Sentences on another shop's work leave the house only when somebody of this shop releases them
// ([release_others_work]).
TEST(TechnicalPaper, NamesEarlierWorkOnlyWhenReleased) {
  const auto catalog = catalog::built_in().value();
  casefile::Case job = casefile::read_case(demo_folder(), catalog).value();
  job.findings->statements = {{.finding = "E06", .seen = diagnosis::Seen::present},
                              {.finding = "E29", .seen = diagnosis::Seen::present}};
  const diagnosis::CauseRow& drive = *catalog.diagnosis.cause("C16");
  InlineExecutor executor;
  SilentProgress progress;
  for (const bool released : {false, true}) {
    job.findings->others_work_released = released ? "the owner, 2026-05-06" : "";
    const auto assessment = assess::assess(job, catalog, {}, {executor, progress, {}}).value();
    ASSERT_EQ(assessment.diagnosis->causes.front().id, "C16");
    const std::string paper =
        text_of_paper(technical_paper(assessment, job.sheets, {.system = {}, .size = {}, .created = created}).value());
    EXPECT_EQ(says(paper, drive.title), released) << paper;
    EXPECT_NE(says(paper, "until the shop's owner releases"), released);
    EXPECT_EQ(says(assessment_json(assessment), drive.title), released);
  }
}

TEST(TechnicalPaper, WarnsBeforeTheReadings) {
  const Judged demo = judged(demo_folder());
  const Document paper =
      technical_paper(demo.assessment, demo.job.sheets, {.system = {}, .size = {}, .created = created}).value();
  const auto at_heading = std::ranges::find_if(paper.blocks, [](const Block& block) {
    const auto* heading = std::get_if<Heading>(&block);
    return heading != nullptr && heading->id == "ports";
  });
  ASSERT_NE(at_heading, paper.blocks.end());
  const auto table = std::find_if(at_heading, paper.blocks.end(),
                                  [](const Block& block) { return std::holds_alternative<Table>(block); });
  ASSERT_NE(table, paper.blocks.end());
  EXPECT_EQ(std::count_if(at_heading, table, [](const Block& block) { return std::holds_alternative<Caution>(block); }),
            static_cast<std::ptrdiff_t>(demo.assessment.cautions.size()));
}

TEST(Papers, OutsideProgramsFindNothingWrong) {
  const Judged demo = judged(demo_folder());
  for (const PageSize size : {PageSize::a4, PageSize::letter}) {
    const PaperOptions options{.system = units::System::us, .size = size, .created = created};
    const std::string name = size == PageSize::a4 ? "a4" : "letter";
    const std::vector<std::pair<std::string, Document>> papers{
        {"owner", owner_paper(demo.assessment, demo.job.sheets, options).value()},
        {"technical", technical_paper(demo.assessment, demo.job.sheets, options).value()},
        {"page", supply_page(demo.assessment, options).value()}};
    for (const auto& [kind, document] : papers) {
      const std::string path = saved(name + "_" + kind + ".pdf", render_pdf(document).value());
      EXPECT_TRUE(says(output_of("qpdf --check " + path), "No syntax or stream encoding errors found")) << path;
      const std::string info = output_of("pdfinfo " + path);
      EXPECT_TRUE(says(info, "Tagged:          yes")) << info;
      EXPECT_TRUE(says(info, size == PageSize::a4 ? "(A4)" : "(letter)")) << info;
      EXPECT_TRUE(says(info, "Title:           " + document.title)) << info;
      // Name, type, encoding, then embedded, subset, Unicode map: yes three times in every line.
      const std::string fonts = output_of("pdffonts " + path + " | tail -n +3");
      EXPECT_FALSE(fonts.empty());
      std::size_t begin = 0;
      for (std::size_t end = 0; (end = fonts.find('\n', begin)) != std::string::npos; begin = end + 1) {
        const std::string line = fonts.substr(begin, end - begin);
        EXPECT_TRUE(says(line, "B612")) << line;
        EXPECT_TRUE(says(line, "yes yes yes")) << line;
      }
      const std::string text = output_of("pdftotext " + path + " -");
      EXPECT_FALSE(says(text, "\xEF\xBF\xBD")) << "a character that no reader can find in " << path;
      EXPECT_TRUE(says(text, "Injection injury")) << path;
    }
  }
}

TEST(Papers, SameCaseSameBytesWhereverItLies) {
  const std::string copy = ::testing::TempDir() + "fw_papers_copy";
  std::filesystem::remove_all(copy);
  std::filesystem::copy(demo_folder(), copy, std::filesystem::copy_options::recursive);
  const Judged here = judged(demo_folder());
  const Judged there = judged(copy);
  const PaperOptions options{.system = units::System::metric, .size = PageSize::a4, .created = created};
  const auto bytes = [&](const Judged& demo) {
    return render_pdf(technical_paper(demo.assessment, demo.job.sheets, options).value()).value() +
           render_pdf(owner_paper(demo.assessment, demo.job.sheets, options).value()).value() +
           render_pdf(supply_page(demo.assessment, options).value()).value();
  };
  EXPECT_EQ(bytes(here), bytes(there));
}

TEST(Papers, AMissingGlyphIsAnError) {
  Judged demo = judged(demo_folder());
  demo.assessment.title = "Tender \u6CB9";
  const PaperOptions options{.system = units::System::metric, .size = PageSize::a4, .created = created};
  const auto owner = owner_paper(demo.assessment, demo.job.sheets, options);
  ASSERT_FALSE(owner);
  EXPECT_TRUE(says(to_text(owner.error()), "title")) << to_text(owner.error());
  EXPECT_FALSE(technical_paper(demo.assessment, demo.job.sheets, options));
}

TEST(Papers, AskForTheSheetsOfTheAssessment) {
  Judged demo = judged(demo_folder());
  demo.job.sheets.pop_back();
  const PaperOptions options{.system = units::System::metric, .size = PageSize::a4, .created = created};
  for (const auto& paper : {owner_paper(demo.assessment, demo.job.sheets, options),
                            technical_paper(demo.assessment, demo.job.sheets, options)}) {
    ASSERT_FALSE(paper);
    EXPECT_EQ(paper.error().front().where.field, "sheets");
  }
}

TEST(InputWords, NameEveryInputOfTheDemo) {
  const Judged demo = judged(demo_folder());
  for (std::size_t s = 0; s < demo.assessment.sheets.size(); ++s) {
    for (const Stated& input : demo.assessment.sheets[s].inputs) {
      EXPECT_TRUE(dimension_of_input(input.id)) << input.id;
      EXPECT_EQ(input_words(input.id, &demo.job.sheets[s]).find_first_of("_."), std::string::npos) << input.id;
    }
  }
  EXPECT_EQ(input_words("law.fitting-loss", nullptr), "fitting losses, factor");
  EXPECT_EQ(input_words("tank.vent.bore", nullptr), "tank: vent, bore");
  EXPECT_EQ(input_words("push-hose.bore", &demo.job.sheets.back()), "push hose \u22128: bore");
  EXPECT_EQ(dimension_of_input("engine.displacement"), units::Dimension::volume);
  EXPECT_EQ(dimension_of_input("assist-pump.displacement"), units::Dimension::displacement);
}

TEST(InputWords, HyphensBecomeMinusOnlyBeforeNumbers) {
  EXPECT_EQ(with_minus("-13.4 kPa"), "\u221213.4 kPa");
  EXPECT_EQ(with_minus("two-plunger pump, 2026-05-04, hose -8"), "two-plunger pump, 2026-05-04, hose \u22128");
}

TEST(CheckWords, SayNothingWhereNothingIsKnown) {
  supply::Check check;
  EXPECT_FALSE(value_of(check));
  EXPECT_FALSE(limit_of(check));
  EXPECT_EQ(words_of(value_of(check), units::System::metric), "-");
  check.value = -13400.0;
  check.limit.fails = 55000.0;
  EXPECT_EQ(words_of(value_of(check), units::System::metric), "\u221213.4 kPa");
  EXPECT_EQ(words_in_both(limit_of(check), units::System::us), "8.0 psi (55.0 kPa)");
  EXPECT_EQ(lower_first("Pump inlet"), "pump inlet");
  EXPECT_EQ(lower_first("ISO code"), "ISO code");
  EXPECT_EQ(point_words({.fuel_temperature_K = 263.15, .filter_loading = 1.0}, units::System::us),
            "rated power, fuel 14 F, filters at end of life");
}

TEST(CheckWords, SpeakTheDimensionAndTheChance) {
  supply::Check check;
  check.dimension = units::Dimension::temperature;
  check.value = 350.15;
  check.limit.fails = 339.15;
  check.margin = -11.0;
  check.outcome = supply::Outcome::narrow;
  EXPECT_EQ(words_of(value_of(check), units::System::metric), "77 C");
  EXPECT_EQ(words_of(margin_of(check), units::System::metric), "\u221211.0 K");
  check.sampled = supply::Sampled{.samples = 2000, .failing = 160, .band = {.low = 340.15, .high = 360.15}};
  EXPECT_EQ(outcome_words(check), "narrow, 8 in 100");
  EXPECT_EQ(band_words(check, units::System::metric), "67 to 87 C");
  check.sampled->failing = 0;
  check.sampled->chance_at_most = 0.0015;
  EXPECT_EQ(outcome_words(check), "narrow");
  check.sampled->chance_at_most = 0.0117;
  EXPECT_EQ(outcome_words(check), "narrow, under 2 in 100");
}

TEST(CheckWords, TurnTheTemperaturesOfASentence) {
  EXPECT_EQ(with_temperatures("fed at 20 C, not at rated power, -10 C", units::System::us),
            "fed at 68 F, not at rated power, 14 F");
  for (const char* same : {"20 C", "CO2 20 Cases", "v20 C", "C", "- C"}) {
    EXPECT_EQ(with_temperatures(same, units::System::metric), same);
  }
}

TEST(LineSheetTables, SayWhatIsOrderedInBothUnits) {
  const Judged demo = judged(demo_folder());
  const system::LineSheet& rebuilt = demo.job.sheets.back();
  const std::string hose = part_words(*rebuilt.find_part("push-hose"), units::System::metric);
  for (const char* words : {"12.7 mm (0.500 in)", "\u22128 J30 hose", "1.00 m (3.28 ft)", "2 joints of 9.90 mm"}) {
    EXPECT_TRUE(says(hose, words)) << hose;
  }
  EXPECT_TRUE(says(part_words(*rebuilt.find_part("assist-regulator"), units::System::us), "9.0 psi (62.1 kPa)"));
  EXPECT_TRUE(says(part_words(*rebuilt.find_part("prefilter"), units::System::metric), "water sensor wired"));
}

}  // namespace
}  // namespace fw::report
