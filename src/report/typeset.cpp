// SPDX-License-Identifier: Apache-2.0
#include "report/typeset.hpp"

#include <array>
#include <utility>
#include <variant>

#include <fmt/format.h>

#include "report/input_words.hpp"

namespace fw::report {

namespace {

bool digit(char c) { return c >= '0' && c <= '9'; }
bool letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }

struct Unit {
  std::string_view typed;
  std::string_view set;
};
/// Longer ones before those they begin with.
constexpr std::array<Unit, 10> units_set{{{"C", "\u00B0C"},
                                          {"F", "\u00B0F"},
                                          {"um", "\u00B5m"},
                                          {"mm2", "mm\u00B2"},
                                          {"cm2", "cm\u00B2"},
                                          {"cm3", "cm\u00B3"},
                                          {"m2", "m\u00B2"},
                                          {"m3", "m\u00B3"},
                                          {"in2", "in\u00B2"},
                                          {"in3", "in\u00B3"}}};

struct Setter {
  static void set(std::string& text) { text = typeset(text); }
  static void set(Spans& spans) {
    for (Span& span : spans) set(span.text);
  }

  void operator()(Heading& heading) const { set(heading.text); }
  void operator()(Lead& lead) const { set(lead.spans); }
  void operator()(Paragraph& paragraph) const { set(paragraph.spans); }
  void operator()(Bullets& bullets) const {
    for (Spans& item : bullets.items) set(item);
  }
  void operator()(Step& step) const { set(step.spans); }
  void operator()(Table& table) const {
    set(table.caption);
    for (Column& column : table.columns) set(column.title);
    for (Row& row : table.rows) {
      for (Cell& cell : row) {
        set(cell.spans);
        set(cell.detail);
      }
    }
  }
  void operator()(FigureBlock& block) const {
    block.figure = typeset(std::move(block.figure));
    set(block.caption);
  }
  void operator()(Caution& caution) const {
    set(caution.title);
    set(caution.spans);
  }
  void operator()(KeyValues& list) const {
    for (KeyValue& pair : list.pairs) {
      set(pair.key);
      set(pair.value);
    }
  }
  void operator()(CheckBoxes& list) const {
    for (CheckBox& box : list.boxes) set(box.spans);
  }
  void operator()(SignatureLines& lines) const {
    for (std::string& label : lines.labels) set(label);
  }
  void operator()(MarginNote& note) const { set(note.spans); }
  void operator()(Contents& contents) const { set(contents.title); }
  void operator()(PageBreak&) const {}
};

}  // namespace

std::string typeset(std::string_view text) {
  std::string out;
  out.reserve(text.size() + 8);
  for (std::size_t i = 0; i < text.size();) {
    // A unit stands behind a number and a blank and ends where its letters end; a power also behind a stroke: "mg/cm2".
    const bool after_number = i >= 2 && text[i - 1] == ' ' && digit(text[i - 2]);
    const bool after_stroke = i >= 2 && text[i - 1] == '/' && letter(text[i - 2]);
    const Unit* found = nullptr;
    for (const Unit& unit : units_set) {
      const std::size_t end = i + unit.typed.size();
      if ((after_number || (after_stroke && digit(unit.typed.back()))) && text.substr(i).starts_with(unit.typed) &&
          (end == text.size() || (!letter(text[end]) && !digit(text[end]) && text[end] != '-'))) {
        found = &unit;
        break;
      }
    }
    if (found == nullptr) {
      out += text[i++];
    } else {
      out += found->set;
      i += found->typed.size();
    }
  }
  return with_minus(std::move(out));
}

Figure typeset(Figure figure) {
  figure.title = typeset(figure.title);
  figure.description = typeset(figure.description);
  for (Primitive& primitive : figure.primitives) {
    if (auto* text = std::get_if<Text>(&primitive)) text->text = typeset(text->text);
    if (auto* group = std::get_if<GroupBegin>(&primitive)) {
      group->title = typeset(group->title);
      group->description = typeset(group->description);
    }
  }
  return figure;
}

Document typeset(Document document) {
  document.title = typeset(document.title);
  document.subtitle = typeset(document.subtitle);
  document.header = typeset(document.header);
  document.footer = typeset(document.footer);
  for (Block& block : document.blocks) std::visit(Setter{}, block);
  return document;
}

std::string grouped(std::size_t number) {
  const std::string digits = fmt::format("{}", number);
  std::string text;
  for (std::size_t i = 0; i < digits.size(); ++i) {
    if (i > 0 && (digits.size() - i) % 3 == 0) text += ',';
    text += digits[i];
  }
  return text;
}

}  // namespace fw::report
