// SPDX-License-Identifier: Apache-2.0
#include "report/pdf.hpp"

#include <algorithm>
#include <array>
#include <cstdio>
#include <fstream>
#include <sstream>

#include <gtest/gtest.h>

#include "report/figure_grade.hpp"
#include "report/pdf_layout.hpp"
#include "report/text.hpp"

namespace fw::report {
namespace {

/// What a program prints and its exit status. The programs are poppler-utils and qpdf, which tests need.
struct Outcome {
  int status = -1;
  std::string output;
};

Outcome run(const std::string& command) {
  Outcome outcome;
  FILE* pipe = ::popen((command + " 2>&1").c_str(), "r");
  if (pipe == nullptr) return outcome;
  std::array<char, 4096> buffer{};
  for (std::size_t got = 0; (got = std::fread(buffer.data(), 1, buffer.size(), pipe)) > 0;) {
    outcome.output.append(buffer.data(), got);
  }
  outcome.status = ::pclose(pipe);
  return outcome;
}

std::string saved(const std::string& name, const std::string& bytes) {
  const std::string path = ::testing::TempDir() + "fw_report_" + name;
  std::ofstream(path, std::ios::binary) << bytes;
  return path;
}

/// Every kind of block, over several pages.
Document sample(PageSize size = PageSize::a4) {
  Document document{.title = "Tender of the Alder Gap brigade",
                    .subtitle = "Case 2031 \u00B7 inline six, 5.6 L common rail \u00B7 141,200 km",
                    .subject = "Supply system, judged",
                    .created = "2031-05-04T10:00:00Z",
                    .header = "Tender of the Alder Gap brigade \u00B7 case 2031",
                    .footer = "This paper advises; it does not certify.",
                    .size = size};
  GradeLineData grade{.title = "Grade line as rebuilt", .unit = "kPa"};
  grade.points = {{.name = "tank", .value = 0.0, .band = ValueBand{.low = 0.0, .high = 0.0}},
                  {.name = "assist pump", .value = 78.0, .band = ValueBand{.low = 66.0, .high = 84.0}},
                  {.name = "pump inlet", .value = 48.6, .band = ValueBand{.low = 29.5, .high = 68.4}}};
  grade.end_value = "48.6";
  auto& blocks = document.blocks;
  blocks.push_back(Contents{.title = "What is in this paper"});
  blocks.push_back(Heading{.level = 1, .number = "6", .text = "System as rebuilt", .id = "rebuilt"});
  blocks.push_back(MarginNote{plain("Limits come from the maker's service information where entered.")});
  blocks.push_back(Lead{{{.text = "One check fails:", .wash = true}, {.text = " with the assist pump dead."}}});
  blocks.push_back(FigureBlock{.figure = grade_line_figure(grade).value(),
                               .caption = plain("Grade line, rated power, \u221210 \u00B0C.")});
  Table checks{.caption = "Checks over the envelope",
               .columns = {{.title = "Check"},
                           {.title = "worst value", .kind = ColumnKind::number},
                           {.title = "outcome", .kind = ColumnKind::outcome},
                           {.title = "what governs"}}};
  checks.rows = {{{.spans = plain("Assist pump dead: engine still fed")},
                  {.spans = plain("\u221231 kPa")},
                  {.spans = {}, .mark = Mark::fails},
                  {.spans = plain("two filters upstream")}},
                 {{.spans = plain("Fuel lubricity")},
                  {.spans = plain("no report")},
                  {.spans = {}, .mark = Mark::not_known},
                  {.spans = plain("sample not sent")}},
                 {{.spans = plain("Pump inlet pressure, low side"), .mark = {}, .detail = "limit 21 kPa"},
                  {.spans = plain("22.4 kPa")},
                  {.spans = plain("narrow, 8 in 100"), .mark = Mark::narrow},
                  {.spans = plain("engine filter at end of life")}},
                 {{.spans = plain("Vacuum at the assist pump")},
                  {.spans = plain("\u22125.2 kPa")},
                  {.spans = {}, .mark = Mark::holds},
                  {.spans = plain("low tank, nose up")}}};
  blocks.push_back(checks);
  blocks.push_back(Heading{.level = 2, .number = "6.2", .text = "Before any union is touched"});
  blocks.push_back(Caution{.signal = Signal::warning,
                           .title = "Injection injury",
                           .spans = plain("Diesel under pressure goes through skin.")});
  blocks.push_back(
      Step{.number = "1", .spans = plain("Read rail pressure; a zero reading is no proof of zero pressure.")});
  blocks.push_back(Caution{.signal = Signal::danger, .title = "Fire", .spans = plain("No flame, no hot work.")});
  blocks.push_back(Caution{
      .signal = Signal::caution, .title = "Hot fuel", .spans = plain("Lines can be 100 \u00B0C after shut-down.")});
  blocks.push_back(
      Caution{.signal = Signal::notice, .title = "", .spans = plain("Do not mix drained fuel with used oil.")});
  blocks.push_back(Step{.number = "2", .spans = plain("Drain the separator into a clear jar.")});
  blocks.push_back(PageBreak{});
  blocks.push_back(Heading{.level = 1, .number = "7", .text = "Facts and origins"});
  blocks.push_back(KeyValues{{{.key = "Engine", .value = plain("inline six, 230 kW")},
                              {.key = "Outcomes",
                               .value = {{.text = "This "},
                                         {.text = {}, .mark = Mark::fails},
                                         {.text = ", that "},
                                         {.text = {}, .mark = Mark::holds},
                                         {.text = "; reading "},
                                         {.text = "48.6 kPa", .mono = true},
                                         {.text = "; see "},
                                         {.text = "the system as rebuilt", .link = "#rebuilt"},
                                         {.text = " and "},
                                         {.text = "the rules", .link = "https://example.org/rules?a=1"},
                                         {.text = "."}}}}});
  blocks.push_back(Bullets{{plain("First bullet."), plain("Second bullet.")}});
  blocks.push_back(CheckBoxes{{{.spans = plain("I authorise the look."), .ticked = true},
                               {.spans = plain("I authorise the repair."), .ticked = false}}});
  blocks.push_back(SignatureLines{{"Name", "Date", "Signature"}});
  Table origins{.caption = "Where the numbers come from",
                .columns = {{.title = "input"}, {.title = "value", .kind = ColumnKind::number}, {.title = "origin"}}};
  for (int i = 0; i < 80; ++i) {
    origins.rows.push_back({{.spans = plain("hose-" + std::to_string(i) + ".length")},
                            {.spans = plain(std::to_string(i) + ".3 m")},
                            {.spans = plain("as-found.toml, line " + std::to_string(12 + i))}});
  }
  blocks.push_back(origins);
  blocks.push_back(Paragraph{.spans = plain("Origins are files of the case folder."), .small = true});
  return document;
}

TEST(Pdf, OutsideProgramsFindNothingWrong) {
  for (const PageSize size : {PageSize::a4, PageSize::letter}) {
    const auto bytes = render_pdf(sample(size));
    ASSERT_TRUE(bytes) << to_text(bytes.error());
    const std::string path = saved(size == PageSize::a4 ? "a4.pdf" : "letter.pdf", *bytes);
    const Outcome sound = run("qpdf --check " + path);
    EXPECT_EQ(sound.status, 0) << sound.output;
    EXPECT_EQ(sound.output.find("WARNING"), std::string::npos) << sound.output;

    const Outcome info = run("pdfinfo " + path);
    ASSERT_EQ(info.status, 0) << info.output;
    for (const char* line :
         {"Title:           Tender of the Alder Gap brigade", "Subject:         Supply system, judged",
          "Author:          Fuelwright", "Tagged:          yes", "JavaScript:      no", "Encrypted:       no"}) {
      EXPECT_NE(info.output.find(line), std::string::npos) << line << "\n" << info.output;
    }
    EXPECT_NE(info.output.find(size == PageSize::a4 ? "(A4)" : "(letter)"), std::string::npos) << info.output;

    const Outcome fonts = run("pdffonts " + path);
    ASSERT_EQ(fonts.status, 0);
    std::istringstream lines(fonts.output);
    std::string line;
    std::getline(lines, line);
    std::getline(lines, line);
    int count = 0;
    while (std::getline(lines, line)) {
      ++count;
      EXPECT_NE(line.find("+B612"), std::string::npos) << line;        // a subset of our fonts, nothing else
      EXPECT_NE(line.find("yes yes yes"), std::string::npos) << line;  // embedded, subset, searchable
    }
    EXPECT_GE(count, 3) << fonts.output;
  }
}

TEST(Pdf, EveryWordCanBeFound) {
  const auto bytes = render_pdf(sample());
  ASSERT_TRUE(bytes);
  const Outcome text = run("pdftotext -layout " + saved("words.pdf", *bytes) + " -");
  ASSERT_EQ(text.status, 0);
  for (const char* words : {"Tender of the Alder Gap brigade",
                            "System as rebuilt",
                            "One check fails: with the assist pump dead.",
                            "assist pump",
                            "48.6",
                            "\u221231 kPa",
                            "fails",
                            "not known",
                            "narrow, 8 in 100",
                            "holds",
                            "22.4 kPa",
                            "WARNING \u00B7 Injection injury",
                            "DANGER \u00B7 Fire",
                            "CAUTION \u00B7 Hot fuel",
                            "NOTICE",
                            "100 \u00B0C",
                            "I authorise the repair.",
                            "Signature",
                            "hose-79.length",
                            "as-found.toml, line 91",
                            "limit 21 kPa",
                            "Limits come from the"}) {
    EXPECT_NE(text.output.find(words), std::string::npos) << words;
  }
  // Replacement characters would be words that nobody finds.
  EXPECT_EQ(text.output.find("\uFFFD"), std::string::npos);
  EXPECT_EQ(text.output.find("\uFFFC"), std::string::npos);
}

TEST(Pdf, StructureIsATree) {
  const auto bytes = render_pdf(sample());
  ASSERT_TRUE(bytes);
  const Outcome tree = run("pdfinfo -struct " + saved("tree.pdf", *bytes));
  ASSERT_EQ(tree.status, 0);
  EXPECT_TRUE(tree.output.starts_with("Document")) << tree.output.substr(0, 200);
  for (const char* element :
       {"\n  H1", "\n  H2", "\n  P", "\n  Table", "\n    TR", "\n      TH", "\n      TD", "\n  Figure", "\n  L",
        "\n    LI", "Link", "\n  TOC", "\n    TOCI", "\n  Note", "Caption"}) {
    EXPECT_NE(tree.output.find(element), std::string::npos) << element;
  }
  EXPECT_EQ(tree.output.find("Syntax Error"), std::string::npos);
}

TEST(Pdf, OutlineAndLinksLeadSomewhere) {
  const auto bytes = render_pdf(sample());
  ASSERT_TRUE(bytes);
  const std::string path = saved("links.pdf", *bytes);
  const Outcome places = run("pdfinfo -dests " + path);
  EXPECT_NE(places.output.find("rebuilt"), std::string::npos) << places.output;
  const Outcome addresses = run("pdfinfo -url " + path);
  EXPECT_NE(addresses.output.find("https://example.org/rules?a=1"), std::string::npos) << addresses.output;
  const Outcome json = run("qpdf --json --json-key=outlines " + path);
  ASSERT_EQ(json.status, 0);
  EXPECT_NE(json.output.find("6  System as rebuilt"), std::string::npos) << json.output;
  EXPECT_NE(json.output.find("6.2  Before any union is touched"), std::string::npos);
}

TEST(Pdf, SameDocumentSameBytes) {
  const auto once = render_pdf(sample());
  const auto again = render_pdf(sample());
  ASSERT_TRUE(once && again);
  EXPECT_TRUE(*once == *again);
  Document other = sample();
  other.created = "2031-05-04T10:00:01Z";
  EXPECT_FALSE(*once == *render_pdf(other));
}

std::string page_text(const std::string& path, std::size_t page) {
  const std::string number = std::to_string(page);
  return run("pdftotext -layout -f " + number + " -l " + number + " " + path + " -").output;
}

TEST(Pages, NumbersHeadersAndTableHeadsAreRepeated) {
  const Document document = sample();
  const auto paged = lay_out_pages(document);
  ASSERT_TRUE(paged);
  const std::size_t count = paged->pages.size();
  ASSERT_GE(count, 4U);
  const std::string path = saved("pages.pdf", *render_pdf(document));
  for (std::size_t page = 1; page <= count; ++page) {
    const std::string text = page_text(path, page);
    EXPECT_NE(text.find(std::to_string(page) + " of " + std::to_string(count)), std::string::npos) << text;
    EXPECT_EQ(text.find("Tender of the Alder Gap brigade \u00B7 case 2031") != std::string::npos, page > 1);
    EXPECT_NE(text.find("it does not certify"), std::string::npos);
    // Wherever rows of the long table stand, its head stands above them.
    const std::size_t row = text.find("as-found.toml, line");
    if (row == std::string::npos) continue;
    const std::size_t head = text.find("origin\n");
    ASSERT_NE(head, std::string::npos) << text;
    EXPECT_LT(head, row);
  }
}

/// Page on which a text begins, or 0.
std::size_t page_with(const std::string& path, std::size_t pages, const std::string& words) {
  for (std::size_t page = 1; page <= pages; ++page) {
    if (page_text(path, page).find(words) != std::string::npos) return page;
  }
  return 0;
}

TEST(Pages, CautionsAndHeadingsStayWithWhatFollows) {
  // Whatever stands before, a caution shares its page with the step after it, and so does the heading above it.
  std::size_t breaks = 0;
  std::size_t before = 0;
  for (int lines = 24; lines <= 40; ++lines) {
    Document document{.title = "t", .created = "2031-05-04T10:00:00Z"};
    for (int i = 0; i < lines; ++i) document.blocks.push_back(KeyValues{{{.key = "row", .value = plain("value")}}});
    document.blocks.push_back(Heading{.level = 2, .text = "HEADING"});
    document.blocks.push_back(
        Caution{.signal = Signal::warning, .title = "CAUTIONED", .spans = plain("Words of the caution.")});
    document.blocks.push_back(
        Caution{.signal = Signal::notice, .title = "SECOND", .spans = plain("Words of the notice.")});
    document.blocks.push_back(Step{.number = "1", .spans = plain("THE STEP that follows it.")});
    for (int i = 0; i < 20; ++i) document.blocks.push_back(Paragraph{.spans = plain("after")});
    const std::string path = saved("caution.pdf", *render_pdf(document));
    const std::size_t pages = lay_out_pages(document)->pages.size();
    const std::size_t step = page_with(path, pages, "THE STEP");
    ASSERT_GT(step, 0U);
    EXPECT_EQ(page_with(path, pages, "CAUTIONED"), step) << lines;
    EXPECT_EQ(page_with(path, pages, "SECOND"), step) << lines;
    EXPECT_EQ(page_with(path, pages, "HEADING"), step) << lines;
    if (before != 0 && step != before) ++breaks;
    before = step;
  }
  EXPECT_EQ(breaks, 1U);  // the block did cross the foot of the page on the way
}

TEST(Pages, ParagraphsLeaveTwoLinesOnEitherSide) {
  std::string words;
  for (int i = 0; i < 90; ++i) words += "word" + std::to_string(i) + " and then ";
  bool split = false;
  for (int lines = 34; lines <= 52; ++lines) {
    Document document{.title = "t", .created = "2031-05-04T10:00:00Z"};
    for (int i = 0; i < lines; ++i) document.blocks.push_back(KeyValues{{{.key = "row", .value = plain("value")}}});
    document.blocks.push_back(Paragraph{.spans = plain(words)});
    const auto paged = lay_out_pages(document);
    ASSERT_TRUE(paged);
    // Lines of the paragraph per page: pieces of one block with many lines.
    std::vector<std::size_t> counts;
    for (const Page& page : paged->pages) {
      std::size_t here = 0;
      for (const PlacedPiece& placed : page.pieces) {
        const auto* text = std::get_if<TextPiece>(&placed.piece);
        if (text != nullptr && text->block->lines() > 5) ++here;
      }
      counts.push_back(here);
    }
    for (const std::size_t here : counts) EXPECT_NE(here, 1U) << lines;
    split = split || (counts.size() > 1 && counts[0] > 0 && counts[1] > 0);
  }
  EXPECT_TRUE(split);
}

TEST(Pages, TablesLeaveTwoRowsOnEitherSide) {
  bool split = false;
  for (int lines = 30; lines <= 50; ++lines) {
    Document document{.title = "t", .created = "2031-05-04T10:00:00Z"};
    for (int i = 0; i < lines; ++i) document.blocks.push_back(KeyValues{{{.key = "row", .value = plain("value")}}});
    Table table{.columns = {{.title = "only"}}};
    for (int i = 0; i < 8; ++i) table.rows.push_back({{.spans = plain("cell")}});
    document.blocks.emplace_back(table);
    const auto paged = lay_out_pages(document);
    ASSERT_TRUE(paged);
    std::vector<std::size_t> rows;
    for (const Page& page : paged->pages) {
      const auto is_row = [](const PlacedPiece& placed) {
        const auto* tag = std::get_if<TagPiece>(&placed.piece);
        return tag != nullptr && tag->begin && tag->name == "TD";
      };
      rows.push_back(static_cast<std::size_t>(std::ranges::count_if(page.pieces, is_row)));
    }
    for (const std::size_t here : rows) EXPECT_NE(here, 1U) << lines;
    split = split || (rows.size() > 1 && rows[0] > 0 && rows[1] > 0);
  }
  EXPECT_TRUE(split);
}

TEST(Pages, NothingStandsOverTheFootOrTheMargins) {
  for (const PageSize size : {PageSize::a4, PageSize::letter}) {
    const Document document = sample(size);
    const auto paged = lay_out_pages(document);
    ASSERT_TRUE(paged);
    for (const Page& page : paged->pages) {
      for (const PlacedPiece& placed : page.pieces) {
        const auto* text = std::get_if<TextPiece>(&placed.piece);
        if (text == nullptr) continue;
        const double bottom =
            placed.offset.y + text->at.y + static_cast<double>(text->count) * text->block->line_height();
        EXPECT_LE(bottom, paged->height - page_bottom + 3.0);
        EXPECT_LE(placed.offset.x + text->at.x + text->block->natural_width(), paged->width - page_margin_right + 0.5);
        EXPECT_GE(placed.offset.y + text->at.y, page_top_first - 3.0);
      }
    }
  }
}

TEST(Document, ReportsEveryFaultAtOnce) {
  Document document = sample();
  document.created = "yesterday";
  document.title.clear();
  document.blocks.push_back(Paragraph{.spans = plain("\u03C1 is not in the fonts")});
  document.blocks.push_back(Paragraph{.spans = {{.text = "x", .link = "#nowhere"}}});
  document.blocks.push_back(Paragraph{.spans = {{.text = "x", .link = "javascript:alert(1)"}}});
  document.blocks.push_back(Heading{.level = 4, .text = "deep"});
  document.blocks.push_back(Heading{.level = 1, .text = "again", .id = "rebuilt"});
  document.blocks.push_back(
      Table{.caption = "t", .columns = {{.title = "a"}, {.title = "b"}}, .rows = {{{.spans = plain("only one")}}}});
  document.blocks.push_back(Paragraph{.spans = {{.text = "fine", .mark = Mark::fails}}});
  document.blocks.push_back(Caution{.signal = Signal::warning, .title = "", .spans = {}});
  const auto bytes = render_pdf(document);
  ASSERT_FALSE(bytes);
  EXPECT_EQ(bytes.error().size(), 10U) << to_text(bytes.error());
  for (const Error& error : bytes.error()) EXPECT_EQ(error.code, ErrorCode::invalid_input);
  EXPECT_FALSE(render_text(document, 80));
}

// A made-up name in a script that the fonts lack never reaches paper as boxes, wherever it stands.
TEST(Document, MissingGlyphsAreFoundInEveryString) {
  const std::string bad = "\u6CB9";
  const std::vector<Block> blocks = {
      Heading{.level = 1, .text = bad},
      Heading{.level = 1, .number = bad, .text = "x"},
      Lead{plain(bad)},
      Paragraph{.spans = plain(bad)},
      Bullets{{plain(bad)}},
      Step{.number = "1", .spans = plain(bad)},
      Step{.number = bad, .spans = plain("x")},
      Table{.caption = bad, .columns = {{.title = "a"}}, .rows = {{{.spans = plain("x")}}}},
      Table{.columns = {{.title = bad}}, .rows = {{{.spans = plain("x")}}}},
      Table{.columns = {{.title = "a"}}, .rows = {{{.spans = plain(bad)}}}},
      Table{.columns = {{.title = "a"}}, .rows = {{{.spans = plain("x"), .mark = {}, .detail = bad}}}},
      FigureBlock{.figure = Figure{.width = 10.0, .height = 10.0, .title = "t", .primitives = {Text{.text = bad}}},
                  .caption = {}},
      FigureBlock{.figure = Figure{.width = 10.0, .height = 10.0, .title = "t"}, .caption = plain(bad)},
      Caution{.signal = Signal::notice, .title = bad, .spans = plain("x")},
      Caution{.signal = Signal::notice, .title = "x", .spans = plain(bad)},
      KeyValues{{{.key = bad, .value = plain("x")}}},
      KeyValues{{{.key = "x", .value = plain(bad)}}},
      CheckBoxes{{{.spans = plain(bad), .ticked = false}}},
      SignatureLines{{bad}},
      MarginNote{plain(bad)},
      Contents{.title = bad},
  };
  for (std::size_t i = 0; i < blocks.size(); ++i) {
    const Document document{.title = "t", .created = "2031-05-04T10:00:00Z", .blocks = {blocks[i]}};
    const auto bytes = render_pdf(document);
    ASSERT_FALSE(bytes) << i;
    EXPECT_NE(bytes.error().front().found.find("U+6CB9"), std::string::npos) << i;
  }
  for (std::string Document::* const field : {&Document::title, &Document::subtitle, &Document::subject,
                                              &Document::author, &Document::header, &Document::footer}) {
    Document document{.title = "t", .created = "2031-05-04T10:00:00Z"};
    document.*field = bad;
    EXPECT_FALSE(render_pdf(document));
  }
}

TEST(Pdf, HandlesWhatIsTooLargeForAPage) {
  Document document{.title = "t", .created = "2031-05-04T10:00:00Z"};
  std::string endless;
  for (int i = 0; i < 3000; ++i) endless += "word ";
  document.blocks.push_back(Table{.columns = {{.title = "a"}}, .rows = {{{.spans = plain(endless)}}}});
  document.blocks.push_back(Paragraph{.spans = plain(std::string(400, 'w'))});
  document.blocks.push_back(FigureBlock{.figure = Figure{.width = 2000.0, .height = 9000.0, .title = "huge"},
                                        .caption = plain("scaled to the page")});
  document.blocks.push_back(Caution{.signal = Signal::warning, .title = "Long", .spans = plain(endless)});
  document.blocks.push_back(Step{.number = "1", .spans = plain("step")});
  const auto bytes = render_pdf(document);
  ASSERT_TRUE(bytes) << to_text(bytes.error());
  EXPECT_EQ(run("qpdf --check " + saved("large.pdf", *bytes)).status, 0);
  // Empty things of every kind.
  Document empty{.title = "t", .created = "2031-05-04T10:00:00Z"};
  empty.blocks = {Lead{},
                  Paragraph{},
                  Bullets{},
                  KeyValues{},
                  CheckBoxes{},
                  PageBreak{},
                  PageBreak{},
                  MarginNote{},
                  Contents{},
                  Step{},
                  Table{.columns = {{.title = ""}}},
                  PageBreak{}};
  EXPECT_TRUE(render_pdf(empty));
  Document endless_pages{.title = "t", .created = "2031-05-04T10:00:00Z"};
  for (int i = 0; i < 600; ++i) {
    endless_pages.blocks.push_back(PageBreak{});
    endless_pages.blocks.push_back(Paragraph{.spans = plain("x")});
  }
  EXPECT_EQ(render_pdf(endless_pages).error().front().code, ErrorCode::too_large);
}

TEST(RenderText, ReadsWithoutColour) {
  for (const int width : {40, 60, 80, 132}) {
    const auto text = render_text(sample(), width);
    ASSERT_TRUE(text) << to_text(text.error());
    std::istringstream lines(*text);
    for (std::string line; std::getline(lines, line);) {
      EXPECT_LE(text_columns(line), static_cast<std::size_t>(width)) << line;
      EXPECT_FALSE(line.ends_with(' ')) << line;
    }
    for (const char* words : {"FAILS", "holds", "WARNING: Injection injury", "[x] I", "[ ] I"}) {
      EXPECT_NE(text->find(words), std::string::npos) << words << " at " << width;
    }
  }
  EXPECT_FALSE(render_text(sample(), 20));
  // A number keeps its unit on the line.
  const auto lines = wrapped("the engine pump sees 48.6 kPa here", 26);
  ASSERT_GE(lines.size(), 2U);
  EXPECT_EQ(lines[0], "the engine pump sees");
  EXPECT_EQ(wrapped("it may fall below it 8 in 100 times", 22)[0], "it may fall below it");
  EXPECT_EQ(wrapped("abcdefghij", 4), (std::vector<std::string>{"abcd", "efgh", "ij"}));
  EXPECT_EQ(text_columns("\u221220 \u00B0C"), 6U);
}

TEST(RenderText, AlignsReadings) {
  Document document{.title = "t", .created = "2031-05-04T10:00:00Z"};
  document.blocks.push_back(Table{.columns = {{.title = "part"}, {.title = "kPa", .kind = ColumnKind::number}},
                                  .rows = {{{.spans = plain("filter")}, {.spans = plain("\u22125.2")}},
                                           {{.spans = plain("pump")}, {.spans = plain("122.4")}}}});
  const auto text = render_text(document, 60);
  ASSERT_TRUE(text);
  EXPECT_NE(text->find("filter   \u22125.2\npump    122.4\n"), std::string::npos) << *text;
}

}  // namespace
}  // namespace fw::report
