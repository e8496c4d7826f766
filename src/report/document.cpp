// SPDX-License-Identifier: Apache-2.0
#include "report/document.hpp"

#include <algorithm>
#include <set>
#include <string_view>

#include <fmt/format.h>

#include "report/font.hpp"

namespace fw::report {
namespace {

bool plain_id(std::string_view id) {
  if (id.empty()) return false;
  return std::all_of(id.begin(), id.end(), [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-' || c == '_' ||
           c == '.';
  });
}

/// "2031-05-04T10:00:00Z": digits in their places and in their ranges.
bool plain_time(std::string_view text) {
  constexpr std::string_view form = "dddd-dd-ddTdd:dd:ddZ";
  if (text.size() != form.size()) return false;
  for (std::size_t i = 0; i < form.size(); ++i) {
    const bool digit = text[i] >= '0' && text[i] <= '9';
    if (form[i] == 'd' ? !digit : text[i] != form[i]) return false;
  }
  const auto two = [&](std::size_t at) { return (text[at] - '0') * 10 + (text[at + 1] - '0'); };
  return two(5) >= 1 && two(5) <= 12 && two(8) >= 1 && two(8) <= 31 && two(11) <= 23 && two(14) <= 59 && two(17) <= 59;
}

/// Letters of an address that cannot end the string of a PDF link.
bool plain_address(std::string_view link) {
  if (!link.starts_with("https://") || link.size() > 500) return false;
  return std::all_of(link.begin(), link.end(), [](char c) {
    return c > ' ' && c < 127 && c != '\'' && c != '"' && c != '\\' && c != '<' && c != '>' && c != '[' && c != ']';
  });
}

/// Gathers the faults of a document.
struct Gatherer {
  std::vector<Error> errors;
  std::set<std::string> ids;
  std::vector<std::pair<std::string, std::string>> links;  // field, "#id"
  std::string field;

  void take(const Result<void>& result) {
    if (!result) errors.insert(errors.end(), result.error().begin(), result.error().end());
  }
  void text(std::string_view value, const TextStyle& style, const std::string& where) {
    take(check_glyphs(value, style, where));
  }
  void spans(const Spans& all, const std::string& where) {
    for (std::size_t i = 0; i < all.size(); ++i) {
      const Span& span = all[i];
      const bool bold = span.bold || span.mark == Mark::fails;
      text(span.text, {.bold = bold, .mono = span.mono}, where);
      if (span.colour != Role::ink && span.colour != Role::soft && span.colour != Role::accent) {
        take(invalid(where, fmt::format("text in the colour {}", name(span.colour)), "ink, soft or accent"));
      }
      mark(span.mark, span.text, where);
      if (span.link.empty()) continue;
      if (span.link.front() == '#') {
        links.emplace_back(where, span.link.substr(1));
      } else if (!plain_address(span.link)) {
        take(invalid(where, fmt::format("link \"{}\"", span.link), "\"#id\" or a plain https address"));
      }
    }
  }
  /// The word always stands: the rule under it only repeats it.
  void mark(const std::optional<Mark>& mark, std::string_view words, const std::string& where) {
    if (!mark || words.empty() || words.starts_with(word(*mark))) return;
    take(invalid(where, fmt::format("\"{}\" marked as {}", words, word(*mark)),
                 fmt::format("words that begin with \"{}\"", word(*mark))));
  }
  void operator()(const Heading& heading) {
    if (heading.level < 1 || heading.level > 3) {
      take(invalid(field + ".level", fmt::format("{}", heading.level), "1 to 3"));
    }
    text(heading.number, {}, field + ".number");
    text(heading.text, {.bold = true}, field + ".text");
    if (heading.text.empty()) take(invalid(field + ".text", "nothing", "the words of the heading"));
    if (heading.id.empty()) return;
    if (!plain_id(heading.id))
      take(invalid(field + ".id", fmt::format("\"{}\"", heading.id), "letters, digits, -, _ and ."));
    if (!ids.insert(heading.id).second)
      take(invalid(field + ".id", fmt::format("\"{}\" twice", heading.id), "ids used once"));
  }
  void operator()(const Lead& lead) { spans(lead.spans, field); }
  void operator()(const Paragraph& paragraph) { spans(paragraph.spans, field); }
  void operator()(const Bullets& bullets) {
    for (const Spans& item : bullets.items) spans(item, field + ".items");
  }
  void operator()(const Step& step) {
    text(step.number, {.bold = true}, field + ".number");
    spans(step.spans, field);
  }
  void operator()(const Table& table) {
    text(table.caption, {.bold = true}, field + ".caption");
    if (table.columns.empty() || table.columns.size() > 12) {
      take(invalid(field + ".columns", fmt::format("{} columns", table.columns.size()), "1 to 12 columns"));
    }
    for (const Column& column : table.columns) text(column.title, {}, field + ".columns");
    for (std::size_t i = 0; i < table.rows.size(); ++i) {
      const std::string where = fmt::format("{}.rows.{}", field, i + 1);
      if (table.rows[i].size() != table.columns.size()) {
        take(invalid(where, fmt::format("{} cells", table.rows[i].size()), fmt::format("{}", table.columns.size())));
        continue;
      }
      for (std::size_t k = 0; k < table.rows[i].size(); ++k) {
        const Cell& cell = table.rows[i][k];
        spans(cell.spans, where);
        // The renderer sets these spans in mono or bold, so the glyphs of those fonts count too.
        const TextStyle set{.bold = cell.mark == Mark::fails, .mono = table.columns[k].kind == ColumnKind::number};
        text(text_of(cell.spans), set, where);
        mark(cell.mark, text_of(cell.spans), where);
        text(cell.detail, {}, where + ".detail");
      }
    }
  }
  void operator()(const FigureBlock& block) {
    if (auto ok = check(block.figure); !ok) errors.insert(errors.end(), ok.error().begin(), ok.error().end());
    spans(block.caption, field + ".caption");
  }
  void operator()(const Caution& caution) {
    text(caution.title, {.bold = true}, field + ".title");
    spans(caution.spans, field);
    if (caution.spans.empty()) take(invalid(field, "a caution without words", "what can happen and how to avoid it"));
  }
  void operator()(const KeyValues& list) {
    for (const KeyValue& pair : list.pairs) {
      text(pair.key, {}, field + ".key");
      spans(pair.value, field + ".value");
    }
  }
  void operator()(const CheckBoxes& list) {
    for (const CheckBox& box : list.boxes) spans(box.spans, field);
  }
  void operator()(const SignatureLines& lines) {
    for (const std::string& label : lines.labels) text(label, {}, field + ".labels");
    if (lines.labels.empty() || lines.labels.size() > 4) {
      take(invalid(field + ".labels", fmt::format("{} lines", lines.labels.size()), "1 to 4"));
    }
  }
  void operator()(const MarginNote& note) { spans(note.spans, field); }
  void operator()(const Contents& contents) { text(contents.title, {.bold = true}, field + ".title"); }
  void operator()(const PageBreak&) {}
};

}  // namespace

Spans plain(std::string text) { return {Span{.text = std::move(text)}}; }

std::string text_of(const Spans& spans) {
  std::string all;
  for (const Span& span : spans) all += span.text.empty() && span.mark ? std::string(word(*span.mark)) : span.text;
  return all;
}

std::string_view word(Signal signal) {
  switch (signal) {
    case Signal::danger: return "DANGER";
    case Signal::warning: return "WARNING";
    case Signal::caution: return "CAUTION";
    case Signal::notice: return "NOTICE";
  }
  return "NOTICE";
}

Result<void> check(const Document& document) {
  if (auto fonts = load_fonts(); !fonts) return fonts;
  Gatherer all;
  if (document.title.empty()) all.take(invalid("title", "nothing", "the title of the paper"));
  all.text(document.title, {.bold = true}, "title");
  all.text(document.subtitle, {}, "subtitle");
  all.text(document.subject, {}, "subject");
  all.text(document.author, {}, "author");
  all.text(document.header, {}, "header");
  all.text(document.footer, {}, "footer");
  if (!plain_time(document.created)) {
    all.take(invalid("created", fmt::format("\"{}\"", document.created), "a time such as 2031-05-04T10:00:00Z"));
  }
  for (std::size_t i = 0; i < document.blocks.size(); ++i) {
    all.field = fmt::format("blocks.{}", i + 1);
    std::visit([&](const auto& block) { all(block); }, document.blocks[i]);
  }
  for (const auto& [where, id] : all.links) {
    if (!all.ids.contains(id))
      all.take(invalid(where, fmt::format("link \"#{}\"", id), "the id of a heading of this paper"));
  }
  if (!all.errors.empty()) return fail(Errors(std::move(all.errors)));
  return {};
}

}  // namespace fw::report
