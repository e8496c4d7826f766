// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "report/figure.hpp"

// A paper as values: what it says, in order. The renderers (pdf.hpp, text.hpp) decide how it looks.
namespace fw::report {

/// A run of text in one manner.
struct Span {
  std::string text;
  bool bold = false;
  bool mono = false;         ///< readings
  Role colour = Role::ink;   ///< ink, soft or accent
  bool wash = false;         ///< pale ground: the words that carry the sentence
  std::optional<Mark> mark;  ///< outcome mark; the text begins with its word, or is empty and means the word
  std::string link;          ///< "#id" of a heading of this document, or an https: address; empty: none
};
using Spans = std::vector<Span>;

/// One plain span.
[[nodiscard]] Spans plain(std::string text);
/// The text alone, marks as their words.
[[nodiscard]] std::string text_of(const Spans& spans);

struct Heading {
  int level = 1;       ///< 1 to 3
  std::string number;  ///< "6", "6.2"; may be empty
  std::string text;
  std::string id;  ///< target of links; empty: none
};

/// The sentence that comes first, in larger type.
struct Lead {
  Spans spans;
};

struct Paragraph {
  Spans spans;
  bool small = false;      ///< soft and smaller: remarks, origins
  bool with_next = false;  ///< introduces the block that follows: no page break between
};

struct Bullets {
  std::vector<Spans> items;
};

/// A numbered step of work.
struct Step {
  std::string number;
  Spans spans;
};

enum class ColumnKind : std::uint8_t {
  text,
  number,   ///< right-aligned mono
  outcome,  ///< cells carry a mark
};

struct Column {
  std::string title;
  ColumnKind kind = ColumnKind::text;
};

struct Cell {
  Spans spans;
  std::optional<Mark> mark;  ///< drawn under the text, which begins with its word or is empty and means it
  std::string detail;        ///< soft second line
};

using Row = std::vector<Cell>;

/// Rows stay whole; the head is repeated on every page.
struct Table {
  std::string caption;  ///< above; may be empty
  std::vector<Column> columns;
  std::vector<Row> rows;
};

struct FigureBlock {
  Figure figure;
  Spans caption;
};

/// Signal words of ANSI Z535: danger will, warning can kill or maim; caution injures slightly; notice is property.
enum class Signal : std::uint8_t { danger, warning, caution, notice };

/// "DANGER", "WARNING", "CAUTION", "NOTICE".
[[nodiscard]] std::string_view word(Signal signal);

/// Stands before the step it belongs to and is never parted from it by a page break.
struct Caution {
  Signal signal = Signal::warning;
  std::string title;  ///< e.g. "Stored pressure"
  Spans spans;
};

struct KeyValue {
  std::string key;
  Spans value;
};
struct KeyValues {
  std::vector<KeyValue> pairs;
};

/// Boxes to tick by hand, or ticked.
struct CheckBox {
  Spans spans;
  bool ticked = false;
};
struct CheckBoxes {
  std::vector<CheckBox> boxes;
};

/// Ruled lines to sign or fill in, side by side.
struct SignatureLines {
  std::vector<std::string> labels;
};

/// A remark beside the block that follows.
struct MarginNote {
  Spans spans;
};

/// Headings of levels 1 and 2 with their pages.
struct Contents {
  std::string title;
};

struct PageBreak {};

using Block = std::variant<Heading, Lead, Paragraph, Bullets, Step, Table, FigureBlock, Caution, KeyValues, CheckBoxes,
                           SignatureLines, MarginNote, Contents, PageBreak>;

enum class PageSize : std::uint8_t { a4, letter };

struct Document {
  std::string title;
  std::string subtitle;  ///< under the title, soft; may be empty
  std::string subject;   ///< metadata
  std::string author = "Fuelwright";
  std::string created;  ///< "2031-05-04T10:00:00Z"; the same text gives the same bytes
  std::string header;   ///< repeated at the head of every page but the first
  std::string footer;   ///< repeated at the foot, left of "2 of 5"
  PageSize size = PageSize::a4;
  bool close_set = false;  ///< less space round headings, longer lines: papers of one page
  std::vector<Block> blocks;
};

/// Faults that no renderer can mend: glyphs that the fonts lack, rows of the wrong length, figures that are unsound,
/// links to nowhere, marks without their words, ids used twice or not plain, a creation time in another form, no title,
/// an empty table. All faults at once; fields read "blocks.<number from 1>...".
///
/// Errors: invalid_input; not_found without fonts.
[[nodiscard]] Result<void> check(const Document& document);

}  // namespace fw::report
