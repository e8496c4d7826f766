// SPDX-License-Identifier: Apache-2.0
#include "report/pdf_layout.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "base/contract.hpp"
#include "report/font.hpp"

namespace fw::report {
namespace {

constexpr std::size_t most_pages = 500;

constexpr double body_size = 9.5;
constexpr double small_size = 8.0;
constexpr double lead_size = 11.0;
constexpr double table_size = 8.5;
constexpr double note_gap = 20.0;

/// Something that no page break parts, unless a page cannot hold it.
struct Chunk {
  double space_before = 0.0;  ///< dropped at the head of a page
  double height = 0.0;
  bool keep_with_next = false;
  bool wide = false;      ///< reaches into the column of notes
  bool new_page = false;  ///< begins a page
  std::string container;  ///< structure element shared with its neighbours: "P", "Table", "L"
  std::size_t container_id = 0;
  std::vector<Piece> pieces;          ///< relative to its top left corner
  std::shared_ptr<const Chunk> head;  ///< repeated above it where it begins a page
  std::vector<Chunk> notes;
  std::vector<OutlineEntry> outline;
};

Piece begin(std::string name) { return TagPiece{.name = std::move(name), .begin = true}; }
Piece end(std::string name) { return TagPiece{.name = std::move(name), .begin = false}; }

std::shared_ptr<const TextBlock> set_text(const Spans& spans, const TextBlockStyle& style, double width) {
  return std::make_shared<const TextBlock>(spans, style, width);
}

TextPiece all_lines(std::shared_ptr<const TextBlock> block, Point at) {
  const std::size_t count = block->lines();
  return {.block = std::move(block), .first = 0, .count = count, .at = at};
}

/// Turns blocks into chunks.
class Cutter {
 public:
  explicit Cutter(const Document& document, double full_width) : document_(document), full_(full_width) {
    const bool notes = std::any_of(document.blocks.begin(), document.blocks.end(),
                                   [](const Block& block) { return std::holds_alternative<MarginNote>(block); });
    text_ = notes ? 0.72 * full_ : document.close_set ? 0.96 * full_ : 0.86 * full_;
    if (document.close_set) body_ = {.type = {.size = 9.2}, .line_height = 12.8};
    note_x_ = text_ + note_gap;
    note_width_ = full_ - note_x_;
  }

  std::vector<Chunk> cut() {
    title();
    for (const Block& block : document_.blocks) std::visit(*this, block);
    if (!notes_.empty()) {
      // A note after the last block stands beside nothing: it gets a line of its own.
      Chunk empty{.space_before = 4.0, .height = 1.0};
      add(std::move(empty));
    }
    return std::move(chunks_);
  }

  [[nodiscard]] double note_x() const { return note_x_; }

  void operator()(const Heading& heading) {
    const std::string tag = fmt::format("H{}", heading.level);
    const double size = heading.level == 1 ? 12.5 : heading.level == 2 ? 10.5 : 9.5;
    const double number_size = heading.level == 1 ? 19.0 : heading.level == 2 ? 13.5 : 9.5;
    double x = 0.0;
    const double space = heading.level == 1 ? 22.0 : heading.level == 2 ? 16.0 : 11.0;
    Chunk chunk{.space_before = document_.close_set ? 0.5 * space : space, .keep_with_next = true};
    chunk.pieces.push_back(begin(tag));
    const std::string id = heading.id.empty() ? fmt::format("part.{}", ++headings_) : heading.id;
    chunk.pieces.push_back(TargetPiece{.id = id});
    const double line = 1.3 * size;
    // Number and words stand on one baseline.
    const double ground = std::max(heading.number.empty() ? 0.0 : 0.92 * number_size, size * 1.02);
    if (!heading.number.empty()) {
      auto number = set_text({Span{.text = heading.number, .colour = Role::accent}},
                             {.type = {.size = number_size}, .line_height = 1.3 * number_size}, 0.0);
      x = number->natural_width() + 0.75 * size;
      const double up = number->baseline();
      chunk.pieces.push_back(all_lines(std::move(number), {0.0, ground - up}));
    }
    auto words = set_text(plain(heading.text), {.type = {.size = size, .bold = true}, .line_height = line}, text_ - x);
    chunk.height = ground - words->baseline() + words->height() + 3.5;
    const double up = words->baseline();
    chunk.pieces.push_back(all_lines(std::move(words), {x, ground - up}));
    chunk.pieces.push_back(end(tag));
    const std::string name = heading.number.empty() ? heading.text : heading.number + "  " + heading.text;
    chunk.outline.push_back({.level = heading.level, .text = name, .id = id});
    add(std::move(chunk));
  }

  void operator()(const Lead& lead) {
    const std::size_t first = chunks_.size();
    running(lead.spans, {.type = {.size = lead_size}, .line_height = 16.2}, 5.0);
    // A lead leads to something: it does not stay behind alone, nor is it parted.
    for (std::size_t i = first; i < chunks_.size(); ++i) chunks_[i].keep_with_next = true;
  }

  void operator()(const Paragraph& paragraph) {
    const std::size_t first = chunks_.size();
    if (paragraph.small) {
      running(paragraph.spans, {.type = {.size = small_size}, .line_height = 11.4, .colour = Role::soft}, 4.0);
    } else {
      running(paragraph.spans, body_, 5.0);
    }
    if (!paragraph.with_next) return;
    for (std::size_t i = first; i < chunks_.size(); ++i) chunks_[i].keep_with_next = true;
  }

  void operator()(const Bullets& bullets) {
    const std::size_t list = ++containers_;
    bool first = true;
    for (const Spans& item : bullets.items) {
      const double indent = 12.0;
      auto block = set_text(item, body_, text_ - indent);
      std::vector<Piece> mark;
      const double middle = block->baseline() - body_.type.size * 0.27;
      mark.push_back(DrawnPiece{
          .primitives = {
              Line{.from = {1.0, middle}, .to = {6.0, middle}, .stroke = {.colour = Role::accent, .width = 1.1}}}});
      lines(block, {.indent = indent, .space = first ? 5.0 : 2.5, .id = list}, std::move(mark));
      first = false;
    }
  }

  void operator()(const Step& step) {
    const double indent = 20.0;
    auto block = set_text(step.spans, body_, text_ - indent);
    auto number = set_text({Span{.text = step.number, .bold = true, .colour = Role::accent}}, body_, 0.0);
    std::vector<Piece> mark;
    mark.push_back(all_lines(std::move(number), {0.0, 0.0}));
    lines(block, {.indent = indent, .space = 5.5, .id = ++containers_}, std::move(mark));
  }

  void operator()(const Table& table);
  void operator()(const FigureBlock& block);
  void operator()(const Caution& caution);
  void operator()(const KeyValues& list);
  void operator()(const CheckBoxes& list);
  void operator()(const SignatureLines& lines);
  void operator()(const Contents& contents);

  void operator()(const MarginNote& note) {
    auto block = set_text(note.spans, {.type = {.size = 7.6}, .line_height = 10.6, .colour = Role::soft}, note_width_);
    Chunk chunk{.height = block->height() + 6.0};
    chunk.pieces.push_back(begin("Note"));
    chunk.pieces.push_back(all_lines(std::move(block), {note_x_, 0.0}));
    chunk.pieces.push_back(end("Note"));
    notes_.push_back(std::move(chunk));
  }

  void operator()(const PageBreak&) { break_ = true; }

 private:
  void add(Chunk chunk) {
    if (break_) chunk.new_page = true;
    break_ = false;
    for (Chunk& note : notes_) chunk.notes.push_back(std::move(note));
    notes_.clear();
    chunks_.push_back(std::move(chunk));
  }

  void title() {
    Chunk chunk{.wide = true};
    auto words = set_text(plain(document_.title), {.type = {.size = 17.0, .bold = true}, .line_height = 21.0}, full_);
    double y = words->height();
    chunk.pieces.push_back(begin("H"));
    chunk.pieces.push_back(all_lines(std::move(words), {0.0, 0.0}));
    chunk.pieces.push_back(end("H"));
    if (!document_.subtitle.empty()) {
      auto under = set_text(plain(document_.subtitle),
                            {.type = {.size = 9.0}, .line_height = 12.6, .colour = Role::soft}, full_);
      y += 2.0;
      const double top = y;
      y += under->height();
      chunk.pieces.push_back(begin("P"));
      chunk.pieces.push_back(all_lines(std::move(under), {0.0, top}));
      chunk.pieces.push_back(end("P"));
    }
    y += 7.0;
    chunk.pieces.push_back(DrawnPiece{
        .primitives = {Line{.from = {0.0, y}, .to = {full_, y}, .stroke = {.colour = Role::ink, .width = 1.3}}}});
    chunk.height = y + 5.0;
    add(std::move(chunk));
  }

  /// A paragraph: one chunk per line, two lines at least on either side of a break.
  void running(const Spans& spans, const TextBlockStyle& style, double space) {
    const auto block = set_text(spans, style, text_);
    lines(block, {.space = space, .container = "P", .id = ++containers_, .item_tag = {}}, {});
  }

  /// How the lines of a text go into chunks.
  struct Run {
    double indent = 0.0;
    double space = 0.0;           ///< before the first line
    std::string container = "L";  ///< structure element round all of them
    std::size_t id = 0;           ///< of the container
    std::string item_tag = "LI";  ///< structure element round each; empty: none
  };

  void lines(const std::shared_ptr<const TextBlock>& block, const Run& run, std::vector<Piece> before_first) {
    const std::size_t count = block->lines();
    for (std::size_t i = 0; i < count; ++i) {
      Chunk chunk{.space_before = i == 0 ? run.space : 0.0, .height = block->line_height()};
      chunk.keep_with_next = count > 1 && (i == 0 || i + 2 == count);
      chunk.container = run.container;
      chunk.container_id = run.id;
      if (!run.item_tag.empty()) chunk.pieces.push_back(begin(run.item_tag));
      if (i == 0) {
        for (Piece& piece : before_first) chunk.pieces.push_back(std::move(piece));
      }
      chunk.pieces.push_back(TextPiece{.block = block, .first = i, .count = 1, .at = {run.indent, 0.0}});
      if (!run.item_tag.empty()) chunk.pieces.push_back(end(run.item_tag));
      add(std::move(chunk));
    }
  }

  TextBlockStyle body_{.type = {.size = body_size}, .line_height = 13.8};  ///< of running text
  const Document& document_;
  double full_ = 0.0;
  double text_ = 0.0;
  double note_x_ = 0.0;
  double note_width_ = 0.0;
  std::vector<Chunk> chunks_;
  std::vector<Chunk> notes_;
  std::size_t containers_ = 0;
  std::size_t headings_ = 0;
  bool break_ = false;
};

/// Widths of a table's columns.
struct Widths {
  double size = table_size;
  std::vector<double> columns;
  double gap = 11.0;
};

/// Readings in mono; words in a column of readings ("no report") as words.
TextStyle cell_style(const Table& table, const Cell& cell, std::size_t column, double size) {
  const std::string text = text_of(cell.spans);
  const bool digits = text.find_first_of("0123456789") != std::string::npos;
  return {.size = size, .mono = table.columns[column].kind == ColumnKind::number && digits};
}

Spans cell_spans(const Cell& cell) {
  if (!cell.mark) return cell.spans;
  Span const span{.text = text_of(cell.spans), .mark = cell.mark};
  return {span};
}

/// Least widths and what the cells hold, for the search of level().
struct Columns {
  std::vector<double> least;
  std::vector<double> words;   ///< [row * columns + column] width of the text on one line
  std::vector<double> detail;  ///< of the second text, 0 without
};

/// Height of the table at these widths, in lines of its text, breaks taken as even.
double height_in_lines(const Columns& columns, const std::vector<double>& widths) {
  constexpr double uneven = 1.05;  // a line is seldom filled to its end
  constexpr double detail_line = 0.85;
  const std::size_t count = widths.size();
  double height = 0.0;
  for (std::size_t row = 0; row * count < columns.words.size(); ++row) {
    double deepest = 1.0;
    for (std::size_t k = 0; k < count; ++k) {
      const auto lines = [&](double text) {
        if (text <= 0.0) return 0.0;
        return text <= widths[k] ? 1.0 : std::ceil(uneven * text / widths[k]);
      };
      const std::size_t at = row * count + k;
      deepest = std::max(deepest, lines(columns.words[at]) + detail_line * lines(columns.detail[at]));
    }
    height += deepest;
  }
  return height;
}

/// Moves width from column to column as long as that makes the table lower.
void level(const Columns& columns, std::vector<double>& widths) {
  constexpr int most_moves = 200;
  double height = height_in_lines(columns, widths);
  for (int move = 0; move < most_moves; ++move) {
    std::vector<double> best;
    for (std::size_t from = 0; from < widths.size(); ++from) {
      for (std::size_t to = 0; to < widths.size(); ++to) {
        for (const double share : {4.0, 12.0, 30.0, 60.0}) {
          if (from == to || widths[from] - share < columns.least[from]) continue;
          std::vector<double> tried = widths;
          tried[from] -= share;
          tried[to] += share;
          const double lower = height_in_lines(columns, tried);
          if (lower >= height) continue;
          height = lower;
          best = std::move(tried);
        }
      }
    }
    if (best.empty()) return;
    widths = std::move(best);
  }
}

Widths share_out(const Table& table, double full) {
  Widths widths;
  const std::size_t count = table.columns.size();
  for (const double size : {table_size, 7.8, 7.1}) {
    widths.size = size;
    std::vector<double> natural(count, 0.0);
    std::vector<double> least(count, 0.0);
    Columns columns{.least = {},
                    .words = std::vector<double>(count * table.rows.size(), 0.0),
                    .detail = std::vector<double>(count * table.rows.size(), 0.0)};
    for (std::size_t k = 0; k < count; ++k) {
      const TextStyle head{.size = size * 0.94};
      natural[k] = measure(table.columns[k].title, head).width;
      least[k] = widest_word(plain(table.columns[k].title), head);
      for (std::size_t r = 0; r < table.rows.size(); ++r) {
        const Row& row = table.rows[r];
        const TextStyle style = cell_style(table, row[k], k, size);
        const Spans spans = cell_spans(row[k]);
        const double words = set_text(spans, {.type = style}, 0.0)->natural_width();
        columns.words[r * count + k] = words;
        natural[k] = std::max(natural[k], words);
        least[k] = std::max(least[k], widest_word(spans, style));
        if (!row[k].detail.empty()) {
          const TextStyle small{.size = size * 0.88};
          columns.detail[r * count + k] = measure(row[k].detail, small).width;
          natural[k] = std::max(natural[k], columns.detail[r * count + k]);
          least[k] = std::max(least[k], widest_word(plain(row[k].detail), small));
        }
      }
      // Readings and outcomes are not broken if it can be helped.
      if (table.columns[k].kind != ColumnKind::text) least[k] = std::max(least[k], std::min(natural[k], full * 0.2));
      // Rounding of the line breaker.
      natural[k] += 0.05;
      least[k] = std::min(least[k] + 0.05, natural[k]);
    }
    const double room = full - widths.gap * static_cast<double>(count - 1);
    double natural_sum = 0.0;
    double least_sum = 0.0;
    double text_sum = 0.0;
    for (std::size_t k = 0; k < count; ++k) {
      natural_sum += natural[k];
      least_sum += least[k];
      if (table.columns[k].kind == ColumnKind::text) text_sum += natural[k];
    }
    widths.columns = natural;
    if (natural_sum <= room) {
      // What is left goes to the text columns, but never so much that the eye loses the row.
      double spare = std::min(room - natural_sum, 0.6 * natural_sum);
      // A table that nearly fills the page fills it: its rules end where the others do.
      if (room - natural_sum - spare < 0.2 * full) spare = room - natural_sum;
      for (std::size_t k = 0; k < count && text_sum > 0.0; ++k) {
        if (table.columns[k].kind == ColumnKind::text) widths.columns[k] += spare * natural[k] / text_sum;
      }
      return widths;
    }
    if (least_sum <= room) {
      // A common cap on the natural widths, found by halving, that fills the room.
      double low = 0.0;
      double high = natural_sum;
      for (int i = 0; i < 60; ++i) {
        const double cap = 0.5 * (low + high);
        double sum = 0.0;
        for (std::size_t k = 0; k < count; ++k) sum += std::max(least[k], std::min(natural[k], cap));
        (sum > room ? high : low) = cap;
      }
      for (std::size_t k = 0; k < count; ++k) widths.columns[k] = std::max(least[k], std::min(natural[k], low));
      columns.least = least;
      level(columns, widths.columns);
      return widths;
    }
    // Too wide even at the least type: words are broken.
    for (std::size_t k = 0; k < count; ++k) widths.columns[k] = room * least[k] / least_sum;
  }
  return widths;
}

void Cutter::operator()(const Table& table) {
  const Widths widths = share_out(table, full_);
  const double size = widths.size;
  const double line = 1.38 * size;
  const std::size_t id = ++containers_;
  double total = widths.gap * static_cast<double>(widths.columns.size() - 1);
  for (const double width : widths.columns) total += width;

  if (!table.caption.empty()) {
    auto words = set_text(plain(table.caption), {.type = {.size = 9.0, .bold = true}, .line_height = 12.6}, full_);
    Chunk chunk{.space_before = 12.0, .height = words->height() + 1.0, .keep_with_next = true, .wide = true};
    chunk.pieces.push_back(begin("Caption"));
    chunk.pieces.push_back(all_lines(std::move(words), {0.0, 0.0}));
    chunk.pieces.push_back(end("Caption"));
    add(std::move(chunk));
  }

  auto head = std::make_shared<Chunk>();
  head->space_before = table.caption.empty() ? 10.0 : 1.0;
  head->keep_with_next = true;
  head->wide = true;
  head->container = "Table";
  head->container_id = id;
  head->pieces.push_back(begin("TR"));
  double x = 0.0;
  double deepest = 0.0;
  std::vector<std::shared_ptr<const TextBlock>> titles;
  for (std::size_t k = 0; k < table.columns.size(); ++k) {
    const bool right = table.columns[k].kind == ColumnKind::number;
    titles.push_back(set_text(plain(table.columns[k].title),
                              {.type = {.size = size * 0.94},
                               .line_height = 1.3 * size,
                               .align = right ? Anchor::end : Anchor::start,
                               .colour = Role::soft},
                              widths.columns[k]));
    deepest = std::max(deepest, titles.back()->height());
  }
  for (std::size_t k = 0; k < table.columns.size(); ++k) {
    // Titles of several lines stand on the rule.
    const double top = deepest - titles[k]->height();
    head->pieces.push_back(begin("TH"));
    head->pieces.push_back(all_lines(titles[k], {x, top}));
    head->pieces.push_back(end("TH"));
    x += widths.columns[k] + widths.gap;
  }
  head->height = deepest + 4.0;
  head->pieces.push_back(end("TR"));
  head->pieces.push_back(DrawnPiece{
      .primitives = {Line{
          .from = {0.0, deepest + 2.0}, .to = {total, deepest + 2.0}, .stroke = {.colour = Role::ink, .width = 0.6}}}});
  add(*head);

  for (std::size_t r = 0; r < table.rows.size(); ++r) {
    Chunk chunk{.wide = true, .container = "Table", .container_id = id, .head = head};
    chunk.keep_with_next = table.rows.size() > 2 && r + 2 == table.rows.size();
    chunk.pieces.push_back(begin("TR"));
    const double pad = 3.4;
    double bottom = 0.0;
    x = 0.0;
    for (std::size_t k = 0; k < table.columns.size(); ++k) {
      const Cell& cell = table.rows[r][k];
      const bool right = table.columns[k].kind == ColumnKind::number;
      const Anchor align = right ? Anchor::end : Anchor::start;
      auto block =
          set_text(cell_spans(cell), {.type = cell_style(table, cell, k, size), .line_height = line, .align = align},
                   widths.columns[k]);
      // The rules under an outcome need room above a second line.
      double y = pad + block->height() + (cell.mark && !cell.detail.empty() ? 0.45 * size : 0.0);
      chunk.pieces.push_back(begin("TD"));
      chunk.pieces.push_back(all_lines(std::move(block), {x, pad}));
      if (!cell.detail.empty()) {
        auto detail = set_text(
            plain(cell.detail),
            {.type = {.size = size * 0.88}, .line_height = 1.34 * size * 0.88, .align = align, .colour = Role::soft},
            widths.columns[k]);
        const double top = y;
        y += detail->height();
        chunk.pieces.push_back(all_lines(std::move(detail), {x, top}));
      }
      chunk.pieces.push_back(end("TD"));
      bottom = std::max(bottom, y + (cell.mark ? 1.4 : 0.0));
      x += widths.columns[k] + widths.gap;
    }
    chunk.pieces.push_back(end("TR"));
    chunk.height = bottom + pad;
    // Two rows at least on either side of a break.
    chunk.keep_with_next = table.rows.size() > 1 && (r == 0 || r + 2 == table.rows.size());
    chunk.pieces.push_back(DrawnPiece{.primitives = {Line{.from = {0.0, chunk.height},
                                                          .to = {total, chunk.height},
                                                          .stroke = {.colour = Role::hairline, .width = 0.6}}}});
    add(std::move(chunk));
  }
}

void Cutter::operator()(const FigureBlock& block) {
  const double pad = 9.0;
  const double page = (document_.size == PageSize::a4 ? 841.89 : 792.0) - page_top - page_bottom;
  auto caption =
      set_text(block.caption, {.type = {.size = 8.0}, .line_height = 11.2, .colour = Role::soft}, full_ - 2.0 * pad);
  const bool captioned = !text_of(block.caption).empty();
  const double below = captioned ? caption->height() + 6.0 : 0.0;
  const double wide = (full_ - 2.0 * pad) / block.figure.width;
  const double tall = (page - below - 2.0 * pad - 30.0) / block.figure.height;
  double scale = std::min({1.0, wide, tall});
  // A figure that fills the page leaves room for its heading, unless it would lose too much.
  double above = 0.0;
  for (auto chunk = chunks_.rbegin(); chunk != chunks_.rend() && chunk->keep_with_next; ++chunk) {
    above += chunk->height + chunk->space_before;
  }
  constexpr double least_share = 0.75;
  const double beside = tall - above / block.figure.height;
  if (beside >= least_share * scale) scale = std::min(scale, beside);
  const double height = block.figure.height * scale;
  Chunk chunk{.space_before = 10.0, .height = pad + height + pad + below, .wide = true};
  const double left = pad + (full_ - 2.0 * pad - block.figure.width * scale) / 2.0;
  chunk.pieces.push_back(DrawnPiece{.primitives = {Rectangle{.corner = {0.0, 0.0},
                                                             .width = full_,
                                                             .height = chunk.height,
                                                             .stroke = {.colour = Role::hairline, .width = 0.6}}}});
  chunk.pieces.push_back(begin("Figure"));
  chunk.pieces.push_back(FigurePiece{.figure = &block.figure, .at = {left, pad}, .scale = scale});
  chunk.pieces.push_back(end("Figure"));
  if (captioned) {
    chunk.pieces.push_back(begin("Caption"));
    chunk.pieces.push_back(all_lines(std::move(caption), {pad, pad + height + 6.0}));
    chunk.pieces.push_back(end("Caption"));
  }
  add(std::move(chunk));
}

Role colour_of(Signal signal) {
  switch (signal) {
    case Signal::danger: return Role::danger;
    case Signal::warning: return Role::warning;
    case Signal::caution: return Role::caution;
    case Signal::notice: return Role::notice;
  }
  return Role::notice;
}

/// The safety alert symbol: a triangle with an exclamation mark, drawn. NOTICE has none (ANSI Z535.4).
std::vector<Primitive> alert_symbol(Signal signal, Point corner, double size) {
  const double height = size * 0.88;
  const double x = corner.x + size / 2.0;
  const double top = corner.y;
  // Light on the dark colours, so that the sign also stands in grey print.
  const Role sign = signal == Signal::caution ? Role::ink : Role::sheet;
  return {Polyline{.points = {{corner.x, top + height}, {x, top}, {corner.x + size, top + height}},
                   .closed = true,
                   .stroke = {.colour = Role::ink, .width = size * 0.085},
                   .fill = colour_of(signal)},
          Line{.from = {x, top + height * 0.36},
               .to = {x, top + height * 0.68},
               .stroke = {.colour = sign, .width = size * 0.12}},
          Circle{.centre = {x, top + height * 0.83}, .radius = size * 0.07, .stroke = {}, .fill = sign}};
}

void Cutter::operator()(const Caution& caution) {
  const double indent = 13.0;
  const double symbol = caution.signal == Signal::notice ? 0.0 : 11.0;
  std::string head(word(caution.signal));
  if (!caution.title.empty()) head += " \u00B7 " + caution.title;
  const double head_x = indent + (symbol > 0.0 ? symbol + 5.0 : 0.0);
  auto title =
      set_text({Span{.text = head, .bold = true}}, {.type = {.size = 8.6}, .line_height = 12.4}, text_ - head_x);
  auto words = set_text(caution.spans, {.type = {.size = 9.0}, .line_height = 12.8}, text_ - indent);
  Chunk chunk{.space_before = 10.0, .keep_with_next = true};
  const double pad = 2.0;
  const double body = pad + title->height() + 1.5;
  chunk.height = body + words->height() + pad;
  std::vector<Primitive> drawn;
  drawn.emplace_back(Rectangle{
      .corner = {0.0, 0.0}, .width = 4.5, .height = chunk.height, .stroke = {}, .fill = colour_of(caution.signal)});
  if (symbol > 0.0) {
    for (Primitive& primitive : alert_symbol(caution.signal, {indent, pad + 0.8}, symbol)) {
      drawn.push_back(std::move(primitive));
    }
  }
  chunk.pieces.push_back(DrawnPiece{.primitives = std::move(drawn)});
  chunk.pieces.push_back(begin("P"));
  chunk.pieces.push_back(all_lines(std::move(title), {head_x, pad}));
  chunk.pieces.push_back(all_lines(std::move(words), {indent, body}));
  chunk.pieces.push_back(end("P"));
  add(std::move(chunk));
}

void Cutter::operator()(const KeyValues& list) {
  double keys = 0.0;
  for (const KeyValue& pair : list.pairs) keys = std::max(keys, measure(pair.key, {.size = 9.0}).width);
  keys = std::min(keys, 0.30 * text_) + 12.0;
  const std::size_t id = ++containers_;
  bool first = true;
  constexpr std::size_t kept_together = 10;  // a longer list may be parted
  for (const KeyValue& pair : list.pairs) {
    auto key =
        set_text(plain(pair.key), {.type = {.size = 9.0}, .line_height = 13.0, .colour = Role::soft}, keys - 11.5);
    auto value = set_text(pair.value, {.type = {.size = 9.0}, .line_height = 13.0}, text_ - keys);
    Chunk chunk{.space_before = first ? 6.0 : 1.2,
                .height = std::max(key->height(), value->height()),
                .keep_with_next = list.pairs.size() <= kept_together && &pair != &list.pairs.back(),
                .container = "L",
                .container_id = id};
    chunk.pieces.push_back(begin("LI"));
    chunk.pieces.push_back(all_lines(std::move(key), {0.0, 0.0}));
    chunk.pieces.push_back(all_lines(std::move(value), {keys, 0.0}));
    chunk.pieces.push_back(end("LI"));
    add(std::move(chunk));
    first = false;
  }
}

void Cutter::operator()(const CheckBoxes& list) {
  const std::size_t id = ++containers_;
  bool first = true;
  for (const CheckBox& box : list.boxes) {
    const double indent = 16.0;
    const double side = 8.0;
    auto block = set_text(box.spans, body_, text_ - indent);
    const double top = block->baseline() - side * 0.90;
    std::vector<Primitive> drawn;
    drawn.emplace_back(
        Rectangle{.corner = {0.5, top}, .width = side, .height = side, .stroke = {.colour = Role::ink, .width = 0.7}});
    if (box.ticked) {
      drawn.emplace_back(Polyline{
          .points = {{2.0, top + 0.50 * side}, {0.42 * side + 0.5, top + 0.80 * side}, {side, top + 0.12 * side}},
          .stroke = {.colour = Role::ink, .width = 1.3}});
    }
    std::vector<Piece> mark;
    mark.push_back(DrawnPiece{.primitives = std::move(drawn)});
    lines(block, {.indent = indent, .space = first ? 6.0 : 4.0, .id = id}, std::move(mark));
    first = false;
  }
}

void Cutter::operator()(const SignatureLines& lines) {
  const double gap = 18.0;
  const auto count = static_cast<double>(lines.labels.size());
  const double width = (full_ - gap * (count - 1.0)) / count;
  Chunk chunk{.space_before = 10.0, .wide = true};
  const double rule = 26.0;
  double x = 0.0;
  std::vector<Primitive> drawn;
  chunk.pieces.push_back(begin("P"));
  for (const std::string& label : lines.labels) {
    drawn.emplace_back(Line{.from = {x, rule}, .to = {x + width, rule}, .stroke = {.colour = Role::ink, .width = 0.6}});
    auto words = set_text(plain(label), {.type = {.size = 7.6}, .line_height = 10.4, .colour = Role::soft}, width);
    chunk.height = std::max(chunk.height, rule + 2.0 + words->height());
    chunk.pieces.push_back(all_lines(std::move(words), {x, rule + 2.0}));
    x += width + gap;
  }
  chunk.pieces.push_back(end("P"));
  chunk.pieces.push_back(DrawnPiece{.primitives = std::move(drawn)});
  add(std::move(chunk));
}

void Cutter::operator()(const Contents& contents) {
  if (!contents.title.empty()) {
    auto words = set_text(plain(contents.title), {.type = {.size = 10.5, .bold = true}, .line_height = 14.0}, text_);
    Chunk chunk{.space_before = 14.0, .height = words->height() + 3.0, .keep_with_next = true};
    chunk.pieces.push_back(begin("P"));
    chunk.pieces.push_back(all_lines(std::move(words), {0.0, 0.0}));
    chunk.pieces.push_back(end("P"));
    add(std::move(chunk));
  }
  const std::size_t id = ++containers_;
  std::size_t unnamed = 0;
  for (const Block& block : document_.blocks) {
    const auto* heading = std::get_if<Heading>(&block);
    if (heading == nullptr) continue;
    const std::string target = heading->id.empty() ? fmt::format("part.{}", ++unnamed) : heading->id;
    if (heading->level > 2) continue;
    const bool top = heading->level == 1;
    const double indent = top ? 0.0 : 22.0;
    const double number_width = top ? 22.0 : 28.0;
    auto number = set_text({Span{.text = heading->number, .colour = Role::accent}},
                           {.type = {.size = 9.0}, .line_height = 13.4}, 0.0);
    auto words = set_text({Span{.text = heading->text, .link = "#" + target}},
                          {.type = {.size = 9.0}, .line_height = 13.4}, text_ - indent - number_width - 30.0);
    Chunk chunk{.space_before = top ? 2.0 : 0.0, .height = words->height(), .container = "TOC", .container_id = id};
    chunk.pieces.push_back(begin("TOCI"));
    const double last = words->height() - words->line_height() + words->baseline();
    chunk.pieces.push_back(all_lines(std::move(number), {indent, 0.0}));
    chunk.pieces.push_back(all_lines(std::move(words), {indent + number_width, 0.0}));
    chunk.pieces.push_back(PageNumberPiece{.id = target, .right = {text_, last}, .size = 9.0});
    chunk.pieces.push_back(end("TOCI"));
    add(std::move(chunk));
  }
}

/// Puts chunks on pages.
class Pager {
 public:
  Pager(double width, double height) {
    paged_.width = width;
    paged_.height = height;
    new_page();
  }

  void place(const std::vector<Chunk>& chunks) {
    for (std::size_t i = 0; i < chunks.size();) {
      std::size_t end = i + 1;
      while (end < chunks.size() && chunks[end - 1].keep_with_next && !chunks[end].new_page) ++end;
      if (chunks[i].new_page && !fresh_) new_page();
      // Together on this page, else together on the next, else wherever each one fits.
      const double room = bottom() - y_;
      if (!fresh_ && needed(chunks, i, end) > room) {
        const double fresh_room = bottom() - page_top;
        if (needed(chunks, i, end) <= fresh_room || chunks[i].height + chunks[i].space_before > room) new_page();
      }
      for (; i < end; ++i) put(chunks[i]);
    }
    close_container();
  }

  [[nodiscard]] PagedDocument take() { return std::move(paged_); }

 private:
  [[nodiscard]] double bottom() const { return paged_.height - page_bottom; }

  void new_page() {
    close_container();
    paged_.pages.emplace_back();
    y_ = paged_.pages.size() == 1 ? page_top_first : page_top;
    note_y_ = y_;
    fresh_ = true;
  }

  void close_container() {
    if (!open_.empty()) piece(end(open_), {});
    open_.clear();
  }

  void piece(const Piece& what, Point offset) {
    paged_.pages.back().pieces.push_back({.piece = what, .offset = offset});
  }

  [[nodiscard]] double needed(const std::vector<Chunk>& chunks, std::size_t first, std::size_t last) const {
    double height = 0.0;
    double notes = 0.0;
    for (std::size_t i = first; i < last; ++i) {
      const bool at_head = fresh_ && i == first;
      height += chunks[i].height + (at_head ? 0.0 : chunks[i].space_before);
      for (const Chunk& note : chunks[i].notes) notes += note.height;
      if (chunks[i].wide && notes == 0.0 && i == first && note_y_ > y_) height += note_y_ - y_;
    }
    return std::max(height, notes);
  }

  void put(const Chunk& chunk) {
    if (!fresh_ && y_ + chunk.space_before + chunk.height > bottom() + 0.01) new_page();
    if (fresh_ && chunk.head != nullptr) put(*chunk.head);
    if (!fresh_) y_ += chunk.space_before;
    if (chunk.wide && note_y_ > y_) y_ = note_y_;
    if (chunk.container != open_ || chunk.container_id != open_id_) {
      close_container();
      if (!chunk.container.empty()) piece(begin(chunk.container), {});
      open_ = chunk.container;
      open_id_ = chunk.container_id;
    }
    const Point at{page_margin_left, y_};
    for (const Piece& what : chunk.pieces) piece(what, at);
    for (OutlineEntry entry : chunk.outline) {
      entry.page = paged_.pages.size() - 1;
      paged_.outline.push_back(std::move(entry));
    }
    if (!chunk.notes.empty()) {
      close_container();
      note_y_ = std::max(note_y_, y_);
      double height = 0.0;
      for (const Chunk& note : chunk.notes) height += note.height;
      // Rather higher than its block than over the foot of the page.
      const double top = std::max(std::min(note_y_, bottom() - height), note_y_ > y_ ? note_y_ : page_top_first);
      note_y_ = top;
      for (const Chunk& note : chunk.notes) {
        for (const Piece& what : note.pieces) piece(what, {page_margin_left, note_y_});
        note_y_ += note.height;
      }
    }
    y_ += chunk.height;
    fresh_ = false;
  }

  PagedDocument paged_;
  double y_ = 0.0;
  double note_y_ = 0.0;
  bool fresh_ = true;
  std::string open_;
  std::size_t open_id_ = 0;
};

}  // namespace

Result<PagedDocument> lay_out_pages(const Document& document) {
  const double width = document.size == PageSize::a4 ? 595.276 : 612.0;
  const double height = document.size == PageSize::a4 ? 841.89 : 792.0;
  Cutter cutter(document, width - page_margin_left - page_margin_right);
  const std::vector<Chunk> chunks = cutter.cut();
  Pager pager(width, height);
  pager.place(chunks);
  PagedDocument paged = pager.take();
  if (paged.pages.size() > most_pages) {
    return fail(Error{.code = ErrorCode::too_large,
                      .where = {.field = "document"},
                      .found = fmt::format("{} pages", paged.pages.size()),
                      .expected = fmt::format("at most {}", most_pages),
                      .hint = "Split the paper"});
  }
  return paged;
}

}  // namespace fw::report
