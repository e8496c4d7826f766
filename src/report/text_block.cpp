// SPDX-License-Identifier: Apache-2.0
#include "report/text_block.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <vector>

#include <cairo-pdf.h>
#include <cairo.h>
#include <pango/pangocairo.h>

#include "base/contract.hpp"
#include "report/canvas_cairo.hpp"
#include "report/font.hpp"
#include "report/font_pango.hpp"

namespace fw::report {
namespace {

constexpr std::string_view placeholder = "\uFFFC";  // keeps the room of a drawn cross

double points(int pango) { return pango / static_cast<double>(PANGO_SCALE); }

std::string words_of(const Span& span) {
  return span.text.empty() && span.mark ? std::string(word(*span.mark)) : span.text;
}

bool is_digit(char c) { return c >= '0' && c <= '9'; }

bool is_unit(std::string_view word) {
  constexpr std::size_t short_word = 5;  // letters of the longest units: "kPa/s", "mm2/s", "um(c)"
  const auto letters = word.size() - static_cast<std::size_t>(std::ranges::count_if(word, [](char c) {
                         return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U;
                       }));
  if (word.empty() || letters > short_word) return false;
  // A second number is no unit.
  return !is_digit(word.front()) && word.front() != '-' && word.front() != '(' && !word.starts_with("\u2212");
}

}  // namespace

struct TextBlock::Impl {
  struct Part {
    std::size_t begin = 0;  // bytes of the whole text
    std::size_t end = 0;
    Span span;
    bool bold = false;
  };

  PangoLayout* layout = nullptr;
  std::string text;
  std::vector<Part> parts;
  TextBlockStyle style;
  double width = 0.0;

  Impl() = default;
  Impl(const Impl&) = delete;
  Impl& operator=(const Impl&) = delete;
  ~Impl() {
    if (layout != nullptr) g_object_unref(layout);
  }

  [[nodiscard]] const Part& part_at(std::size_t byte) const {
    for (const Part& part : parts) {
      if (byte < part.end) return part;
    }
    return parts.back();
  }
};

TextBlock::TextBlock(const Spans& spans, const TextBlockStyle& style, double width) : impl_(std::make_unique<Impl>()) {
  Impl& me = *impl_;
  me.style = style;
  if (me.style.line_height <= 0.0) me.style.line_height = 1.42 * style.type.size;
  me.width = width;
  me.layout = pango_layout_new(thread_context());
  PangoFontDescription* base = new_description(style.type);
  pango_layout_set_font_description(me.layout, base);
  pango_font_description_free(base);

  PangoAttrList* attributes = pango_attr_list_new();
  const auto attach = [&](PangoAttribute* attribute, std::size_t begin, std::size_t end) {
    attribute->start_index = static_cast<guint>(begin);
    attribute->end_index = static_cast<guint>(end);
    pango_attr_list_insert(attributes, attribute);
  };
  for (const Span& span : spans) {
    const std::string words = words_of(span);
    if (words.empty()) continue;
    Impl::Part part{.begin = me.text.size(), .end = 0, .span = span, .bold = span.bold || span.mark == Mark::fails};
    if (span.mark == Mark::fails) {
      const double size = style.type.size;
      PangoRectangle const box{.x = 0,
                               .y = static_cast<int>(-size * PANGO_SCALE * 0.7),
                               .width = static_cast<int>(mark_cross_advance(size) * PANGO_SCALE),
                               .height = static_cast<int>(size * PANGO_SCALE * 0.7)};
      const std::size_t at = me.text.size();
      me.text += placeholder;
      attach(pango_attr_shape_new(&box, &box), at, at + placeholder.size());
      // No break between the cross and its word.
      attach(pango_attr_allow_breaks_new(FALSE), at, at + placeholder.size() + 1);
    }
    me.text += words;
    part.end = me.text.size();
    // Part numbers as colours: runs never cross from one part into the next. The colours themselves are not used.
    const auto number = static_cast<guint16>(me.parts.size() + 1);
    attach(pango_attr_foreground_new(number, number, number), part.begin, part.end);
    if (part.bold && !style.type.bold) attach(pango_attr_weight_new(PANGO_WEIGHT_BOLD), part.begin, part.end);
    const bool mono = span.mono || style.type.mono;
    if (mono && !style.type.mono) attach(pango_attr_family_new("B612 Mono"), part.begin, part.end);
    // B612 and B612 Mono have digits of one width. Points, blanks and units come from B612: at the width of a digit
    // they would tear the reading apart, and columns align without.
    for (std::size_t i = part.begin; mono && i < part.end;) {
      std::size_t next = i;
      while (next < part.end && !is_digit(me.text[next])) ++next;
      // The sign before a number stays with it.
      std::size_t words_end = next;
      if (next < part.end && next > i && (me.text[next - 1] == '-' || me.text[next - 1] == '+')) --words_end;
      if (next < part.end && next >= i + 3 && std::string_view(me.text).substr(next - 3, 3) == "\u2212") words_end -= 3;
      if (words_end > i) attach(pango_attr_family_new("B612"), i, words_end);
      while (next < part.end && is_digit(me.text[next])) ++next;
      i = next;
    }
    me.parts.push_back(std::move(part));
  }
  if (me.parts.empty()) me.parts.push_back({.begin = 0, .end = 0, .span = {}, .bold = false});
  for (const auto& [begin, end] : unbreakable_pieces(me.text)) {
    // Single words keep their own places to break, such as hyphens.
    if (me.text.find(' ', begin) < end) attach(pango_attr_allow_breaks_new(FALSE), begin, end);
  }
  pango_layout_set_text(me.layout, me.text.data(), static_cast<int>(me.text.size()));
  pango_layout_set_attributes(me.layout, attributes);
  pango_attr_list_unref(attributes);
  if (width > 0.0) {
    // Half a unit of Pango more: a width measured and given back must not wrap.
    pango_layout_set_width(me.layout, static_cast<int>(std::ceil(width * PANGO_SCALE)) + 1);
    pango_layout_set_wrap(me.layout, PANGO_WRAP_WORD_CHAR);
  }
}

TextBlock::~TextBlock() = default;
TextBlock::TextBlock(TextBlock&&) noexcept = default;
TextBlock& TextBlock::operator=(TextBlock&&) noexcept = default;

std::size_t TextBlock::lines() const { return static_cast<std::size_t>(pango_layout_get_line_count(impl_->layout)); }

double TextBlock::line_height() const { return impl_->style.line_height; }

double TextBlock::baseline() const { return impl_->style.line_height * 0.5 + impl_->style.type.size * 0.36; }

double TextBlock::natural_width() const {
  PangoRectangle logical{};
  pango_layout_get_extents(impl_->layout, nullptr, &logical);
  return points(logical.width);
}

void TextBlock::draw(cairo_t* cairo, std::size_t line_number, Point at, bool tagged) const {
  const Impl& me = *impl_;
  const double size = me.style.type.size;
  PangoLayoutLine* line = pango_layout_get_line_readonly(me.layout, static_cast<int>(line_number));
  FW_EXPECTS(line != nullptr);
  PangoRectangle logical{};
  pango_layout_line_get_extents(line, nullptr, &logical);
  double x = at.x;
  if (me.width > 0.0 && me.style.align != Anchor::start) {
    const double room = me.width - points(logical.width);
    x += me.style.align == Anchor::end ? room : room / 2.0;
  }
  const double y = at.y + baseline();

  // Where each part begins and ends on this line: for grounds, rules and links.
  struct Stretch {
    const Impl::Part* part = nullptr;
    double from = 0.0;
    double to = 0.0;
    std::vector<std::pair<PangoLayoutRun*, double>> runs;
    double cross_at = -1.0;
  };
  std::vector<Stretch> stretches;
  for (GSList* next = line->runs; next != nullptr; next = next->next) {
    auto* run = static_cast<PangoLayoutRun*>(next->data);
    const auto byte = static_cast<std::size_t>(run->item->offset);
    const Impl::Part& part = me.part_at(byte);
    double advance = points(pango_glyph_string_get_width(run->glyphs));
    if (stretches.empty() || stretches.back().part != &part) stretches.push_back({.part = &part, .from = x});
    Stretch& stretch = stretches.back();
    const bool shape = std::string_view(me.text).substr(byte).starts_with(placeholder);
    if (shape) {
      stretch.cross_at = x;
    } else {
      stretch.runs.emplace_back(run, x);
    }
    x += advance;
    // The blank at which the line is broken is not underlined.
    const std::size_t end = byte + static_cast<std::size_t>(run->item->length);
    if (next->next == nullptr && end > 0 && me.text[end - 1] == ' ' && run->glyphs->num_glyphs > 0) {
      advance = points(run->glyphs->glyphs[run->glyphs->num_glyphs - 1].geometry.width);
      stretch.to = x - advance;
    } else {
      stretch.to = x;
    }
  }
  for (const Stretch& stretch : stretches) {
    const Span& span = stretch.part->span;
    const bool link = tagged && !span.link.empty();
    if (link) {
      const std::string attribute =
          span.link.front() == '#' ? "dest='" + span.link.substr(1) + "'" : "uri='" + span.link + "'";
      cairo_tag_begin(cairo, CAIRO_TAG_LINK, attribute.c_str());
    }
    if (span.wash) {
      set_colour(cairo, Role::wash);
      cairo_rectangle(cairo, stretch.from, y - size * 0.36, stretch.to - stretch.from, size * 0.55);
      cairo_fill(cairo);
    }
    Role colour = span.colour == Role::ink ? me.style.colour : span.colour;
    if (span.mark == Mark::not_known) colour = Role::soft;
    set_colour(cairo, colour);
    for (const auto& [run, run_x] : stretch.runs) {
      cairo_move_to(cairo, run_x, y);
      pango_cairo_show_glyph_item(cairo, me.text.c_str(), run);
    }
    cairo_new_path(cairo);
    if (span.mark) {
      for (const Primitive& rule : mark_rules(*span.mark, {stretch.from, y}, stretch.to, size)) paint(cairo, rule);
    }
    if (stretch.cross_at >= 0.0) {
      for (const Primitive& arm : mark_cross({stretch.cross_at, y}, size)) paint(cairo, arm);
    }
    if (link) {
      const double below = y + size * 0.22;
      paint(cairo, Primitive(Line{.from = {stretch.from, below},
                                  .to = {stretch.to, below},
                                  .stroke = {.colour = Role::accent, .width = size * 0.05}}));
      cairo_tag_end(cairo, CAIRO_TAG_LINK);
    }
  }
}

std::vector<std::pair<std::size_t, std::size_t>> unbreakable_pieces(std::string_view text) {
  std::vector<std::pair<std::size_t, std::size_t>> pieces;
  std::string_view before;  // the two words before this one
  std::string_view last;
  for (std::size_t at = 0; at < text.size();) {
    std::size_t end = text.find(' ', at);
    if (end == std::string_view::npos) end = text.size();
    if (end == at) {
      ++at;
      continue;
    }
    const std::string_view word = text.substr(at, end - at);
    const bool unit = !last.empty() && is_digit(last.back()) && is_unit(word);
    const bool joins = last == "in" || last == "of" || last == "to";
    const bool share = joins && !before.empty() && is_digit(before.back()) && is_digit(word.front());
    if (unit || share) {
      pieces.back().second = end;
    } else {
      pieces.emplace_back(at, end);
    }
    before = last;
    last = word;
    at = end + 1;
  }
  return pieces;
}

double widest_word(const Spans& spans, const TextStyle& style) {
  double widest = 0.0;
  for (const Span& span : spans) {
    const std::string words = words_of(span);
    const TextStyle set{.size = style.size,
                        .bold = style.bold || span.bold || span.mark == Mark::fails,
                        .mono = style.mono || span.mono,
                        .italic = style.italic};
    const double cross = span.mark == Mark::fails ? mark_cross_advance(style.size) : 0.0;
    for (const auto& [begin, end] : unbreakable_pieces(words)) {
      widest = std::max(widest, cross + measure(std::string_view(words).substr(begin, end - begin), set).width);
    }
  }
  return widest;
}

}  // namespace fw::report
