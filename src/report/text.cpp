// SPDX-License-Identifier: Apache-2.0
#include "report/text.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "base/contract.hpp"
#include "report/text_block.hpp"

namespace fw::report {
namespace {

/// Bytes of the character that begins here.
std::size_t step(std::string_view text, std::size_t at) {
  std::size_t next = at + 1;
  while (next < text.size() && (static_cast<unsigned char>(text[next]) & 0xC0U) == 0x80U) ++next;
  return next - at;
}

std::string blanks(std::size_t count) { return std::string(count, ' '); }

std::string padded(const std::string& text, std::size_t width, bool right) {
  const std::size_t columns = text_columns(text);
  if (columns >= width) return text;
  return right ? blanks(width - columns) + text : text + blanks(width - columns);
}

/// The word of a mark in capitals where it fails: it must be seen without the rule under it.
std::string marked_text(const Span& span) {
  if (!span.mark) return span.text;
  std::string text = span.text.empty() ? std::string(word(*span.mark)) : span.text;
  if (*span.mark == Mark::fails && text.starts_with("fails")) text.replace(0, 5, "FAILS");
  return text;
}

std::string words_of(const Spans& spans) {
  std::string all;
  for (const Span& span : spans) all += marked_text(span);
  return all;
}

std::string words_of(const Cell& cell) {
  if (!cell.mark) return words_of(cell.spans);
  return marked_text({.text = text_of(cell.spans), .mark = cell.mark});
}

class Writer {
 public:
  explicit Writer(std::size_t width) : width_(width) {}

  std::string take() {
    while (out_.ends_with("\n\n")) out_.pop_back();
    return std::move(out_);
  }

  void title(const Document& document) {
    paragraph(document.title, "", "");
    if (!document.subtitle.empty()) paragraph(document.subtitle, "", "");
    line(std::string(width_, '='));
  }

  void operator()(const Heading& heading) {
    gap();
    const std::string words = heading.number.empty() ? heading.text : heading.number + "  " + heading.text;
    const std::size_t indent = heading.number.empty() ? 0 : text_columns(heading.number) + 2;
    std::size_t longest = 0;
    for (const std::string& part : wrapped(words, width_)) longest = std::max(longest, text_columns(part));
    paragraph(words, "", blanks(std::min(indent, width_ / 2)));
    if (heading.level == 1) line(std::string(std::min(longest, width_), '-'));
  }
  void operator()(const Lead& lead) {
    gap();
    paragraph(words_of(lead.spans), "", "");
  }
  void operator()(const Paragraph& text) {
    gap();
    paragraph(words_of(text.spans), "", "");
  }
  void operator()(const Bullets& bullets) {
    gap();
    for (const Spans& item : bullets.items) paragraph(words_of(item), "- ", "  ");
  }
  void operator()(const Step& step_block) {
    gap();
    const std::string number = step_block.number + ". ";
    paragraph(words_of(step_block.spans), number, blanks(text_columns(number)));
  }
  void operator()(const Table& table);
  void operator()(const FigureBlock& block) {
    gap();
    paragraph("Figure: " + block.figure.title, "", "  ");
    if (!block.figure.description.empty()) paragraph(block.figure.description, "  ", "  ");
    const std::string caption = text_of(block.caption);
    if (!caption.empty()) paragraph(caption, "  ", "  ");
  }
  void operator()(const Caution& caution) {
    gap();
    std::string head(word(caution.signal));
    if (!caution.title.empty()) head += ": " + caution.title;
    paragraph(head, "| ", "| ");
    paragraph(words_of(caution.spans), "| ", "| ");
  }
  void operator()(const KeyValues& list) {
    gap();
    std::size_t keys = 0;
    for (const KeyValue& pair : list.pairs) keys = std::max(keys, text_columns(pair.key));
    keys = std::min(keys, width_ / 3);
    for (const KeyValue& pair : list.pairs) {
      const auto left = wrapped(pair.key, keys);
      const auto right = wrapped(words_of(pair.value), width_ - keys - 2);
      for (std::size_t i = 0; i < std::max(left.size(), right.size()); ++i) {
        line(padded(i < left.size() ? left[i] : "", keys, false) + "  " + (i < right.size() ? right[i] : ""));
      }
    }
  }
  void operator()(const CheckBoxes& list) {
    gap();
    for (const CheckBox& box : list.boxes) paragraph(words_of(box.spans), box.ticked ? "[x] " : "[ ] ", "    ");
  }
  void operator()(const SignatureLines& lines) {
    gap();
    for (const std::string& label : lines.labels) {
      const std::size_t used = text_columns(label) + 1;
      line(used + 10 < width_ ? label + " " + std::string(width_ - used, '_') : label);
    }
  }
  void operator()(const MarginNote& note) {
    gap();
    paragraph(words_of(note.spans), "Note: ", "      ");
  }
  void operator()(const Contents&) {}  // a terminal has no pages
  void operator()(const PageBreak&) {}

 private:
  void line(std::string text) {
    while (!text.empty() && text.back() == ' ') text.pop_back();
    out_ += text + "\n";
  }
  void gap() {
    if (!out_.empty() && !out_.ends_with("\n\n")) out_ += "\n";
  }
  void paragraph(std::string_view text, const std::string& first, const std::string& then) {
    const std::size_t indent = std::max(text_columns(first), text_columns(then));
    FW_EXPECTS(indent < width_);
    bool begun = false;
    for (const std::string& part : wrapped(text, width_ - indent)) {
      line((begun ? then : first) + part);
      begun = true;
    }
  }

  std::size_t width_ = 80;
  std::string out_;
};

/// Widths of columns: natural where they fit, else the widest text columns give way first.
std::vector<std::size_t> share_out(const Table& table, std::size_t width) {
  const std::size_t count = table.columns.size();
  const std::size_t gaps = 2 * (count - 1);
  std::vector<std::size_t> natural(count, 1);
  for (std::size_t k = 0; k < count; ++k) {
    natural[k] = std::max(natural[k], text_columns(table.columns[k].title));
    for (const Row& row : table.rows) {
      natural[k] = std::max({natural[k], text_columns(words_of(row[k])), text_columns(row[k].detail)});
    }
  }
  const std::size_t room = width > gaps + count ? width - gaps : count;
  const auto total = [&] {
    std::size_t sum = 0;
    for (const std::size_t columns : natural) sum += columns;
    return sum;
  };
  while (total() > room) {
    // Readings shrink only after every text column has come down to twelve.
    std::size_t widest = count;
    for (std::size_t k = 0; k < count; ++k) {
      if (table.columns[k].kind != ColumnKind::text || natural[k] <= 12) continue;
      if (widest == count || natural[k] > natural[widest]) widest = k;
    }
    if (widest == count) {
      widest = static_cast<std::size_t>(std::max_element(natural.begin(), natural.end()) - natural.begin());
    }
    if (natural[widest] <= 1) break;
    --natural[widest];
  }
  return natural;
}

void Writer::operator()(const Table& table) {
  gap();
  if (!table.caption.empty()) paragraph(table.caption, "", "");
  const auto widths = share_out(table, width_);
  const auto row_lines = [&](const std::vector<std::vector<std::string>>& cells) {
    std::size_t deepest = 0;
    for (const auto& cell : cells) deepest = std::max(deepest, cell.size());
    for (std::size_t i = 0; i < deepest; ++i) {
      std::string text;
      for (std::size_t k = 0; k < cells.size(); ++k) {
        if (k > 0) text += "  ";
        text += padded(i < cells[k].size() ? cells[k][i] : "", widths[k], table.columns[k].kind == ColumnKind::number);
      }
      line(text);
    }
  };
  std::vector<std::vector<std::string>> head;
  std::size_t total = 2 * (widths.size() - 1);
  for (std::size_t k = 0; k < widths.size(); ++k) {
    head.push_back(wrapped(table.columns[k].title, widths[k]));
    total += widths[k];
  }
  row_lines(head);
  line(std::string(std::min(total, width_), '-'));
  for (const Row& row : table.rows) {
    std::vector<std::vector<std::string>> cells;
    for (std::size_t k = 0; k < row.size(); ++k) {
      cells.push_back(wrapped(words_of(row[k]), widths[k]));
      if (row[k].detail.empty()) continue;
      for (std::string& part : wrapped(row[k].detail, widths[k])) cells.back().push_back(std::move(part));
    }
    row_lines(cells);
  }
}

}  // namespace

std::size_t text_columns(std::string_view text) {
  std::size_t columns = 0;
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t bytes = step(text, at);
    // Combining accents U+0300 to U+036F are CC 80 to CD AF.
    const auto first = static_cast<unsigned char>(text[at]);
    const auto second = bytes > 1 ? static_cast<unsigned char>(text[at + 1]) : 0U;
    const bool combining = first == 0xCCU || (first == 0xCDU && second <= 0xAFU);
    if (!combining) ++columns;
    at += bytes;
  }
  return columns;
}

std::vector<std::string> wrapped(std::string_view text, std::size_t width) {
  FW_EXPECTS(width > 0);
  std::vector<std::string> pieces;
  for (const auto& [begin, end] : unbreakable_pieces(text)) {
    const std::string piece(text.substr(begin, end - begin));
    if (text_columns(piece) <= width) {
      pieces.push_back(piece);
      continue;
    }
    // Too long for any line: its words one by one.
    for (std::size_t at = 0; at < piece.size();) {
      const std::size_t blank = std::min(piece.find(' ', at), piece.size());
      if (blank > at) pieces.push_back(piece.substr(at, blank - at));
      at = blank + 1;
    }
  }
  std::vector<std::string> lines;
  std::string line;
  for (std::string piece : pieces) {
    if (!line.empty() && text_columns(line) + 1 + text_columns(piece) <= width) {
      line += " " + piece;
      continue;
    }
    if (!line.empty()) lines.push_back(std::move(line));
    line.clear();
    while (text_columns(piece) > width) {
      std::size_t cut = 0;
      for (std::size_t columns = 0; columns < width; ++columns) cut += step(piece, cut);
      lines.push_back(piece.substr(0, cut));
      piece.erase(0, cut);
    }
    line = std::move(piece);
  }
  if (!line.empty()) lines.push_back(std::move(line));
  return lines;
}

std::string hung(std::string_view text, int width, int first, int indent) {
  constexpr int least = 20;
  const auto columns = static_cast<std::size_t>(std::max(least, width - std::max(first, indent)));
  std::string out;
  for (const std::string& line : wrapped(text, columns)) {
    out += out.empty() ? line : "\n" + std::string(static_cast<std::size_t>(indent), ' ') + line;
  }
  return out;
}

Result<std::string> render_text(const Document& document, int width) {
  if (auto ok = check(document); !ok) return tl::unexpected(ok.error());
  if (width < 40 || width > 400) return invalid("width", fmt::format("{} columns", width), "40 to 400 columns");
  Writer writer(static_cast<std::size_t>(width));
  writer.title(document);
  for (const Block& block : document.blocks) std::visit(writer, block);
  return writer.take();
}

}  // namespace fw::report
