// SPDX-License-Identifier: Apache-2.0
#include "report/pdf.hpp"

#include <map>

#include <cairo-pdf.h>
#include <cairo.h>
#include <fmt/format.h>

#include "base/contract.hpp"
#include "report/canvas_cairo.hpp"
#include "report/font.hpp"
#include "report/pdf_layout.hpp"

namespace fw::report {
namespace {

cairo_status_t append(void* to, const unsigned char* bytes, unsigned int count) {
  static_cast<std::string*>(to)->append(reinterpret_cast<const char*>(bytes), count);
  return CAIRO_STATUS_SUCCESS;
}

/// Paints the pieces of one page.
struct PiecePainter {
  cairo_t* cairo = nullptr;
  Point offset;
  const std::map<std::string, std::size_t>& page_of;

  void operator()(const TextPiece& text) const {
    for (std::size_t i = 0; i < text.count; ++i) {
      const Point at{offset.x + text.at.x, offset.y + text.at.y + static_cast<double>(i) * text.block->line_height()};
      text.block->draw(cairo, text.first + i, at, true);
    }
  }
  void operator()(const DrawnPiece& drawn) const {
    cairo_save(cairo);
    cairo_translate(cairo, offset.x, offset.y);
    for (const Primitive& primitive : drawn.primitives) paint(cairo, primitive);
    cairo_restore(cairo);
  }
  void operator()(const FigurePiece& figure) const {
    cairo_save(cairo);
    cairo_translate(cairo, offset.x + figure.at.x, offset.y + figure.at.y);
    cairo_scale(cairo, figure.scale, figure.scale);
    paint(cairo, *figure.figure);
    cairo_restore(cairo);
  }
  void operator()(const TagPiece& tag) const {
    if (tag.begin) {
      cairo_tag_begin(cairo, tag.name.c_str(), nullptr);
    } else {
      cairo_tag_end(cairo, tag.name.c_str());
    }
  }
  void operator()(const TargetPiece& target) const {
    const std::string attributes = fmt::format("name='{}' x={:.2f} y={:.2f}", target.id, offset.x, offset.y - 8.0);
    cairo_tag_begin(cairo, CAIRO_TAG_DEST, attributes.c_str());
    cairo_tag_end(cairo, CAIRO_TAG_DEST);
  }
  void operator()(const PageNumberPiece& number) const {
    const auto found = page_of.find(number.id);
    FW_EXPECTS(found != page_of.end());
    paint(cairo, Primitive(Text{.at = {offset.x + number.right.x, offset.y + number.right.y},
                                .text = fmt::format("{}", found->second + 1),
                                .style = {.size = number.size},
                                .colour = Role::ink,
                                .anchor = Anchor::end}));
  }
};

/// The words, shortened by an ellipsis at a letter's edge until they fit.
std::string fitted(const std::string& words, const TextStyle& style, double width) {
  if (measure(words, style).width <= width) return words;
  std::string shorter = words;
  while (!shorter.empty()) {
    // Whole UTF-8 characters: continuation bytes go with their first byte.
    while (!shorter.empty() && (static_cast<unsigned char>(shorter.back()) & 0xC0U) == 0x80U) shorter.pop_back();
    if (!shorter.empty()) shorter.pop_back();
    if (measure(shorter + "\u2026", style).width <= width) return shorter + "\u2026";
  }
  return shorter;
}

/// Header and footer of a page.
void paint_frame(cairo_t* cairo, const Document& document, const PagedDocument& paged, std::size_t page) {
  const double right = paged.width - page_margin_right;
  const TextStyle style{.size = 7.6};
  const auto line = [&](double y) {
    paint(cairo,
          Primitive(Line{
              .from = {page_margin_left, y}, .to = {right, y}, .stroke = {.colour = Role::hairline, .width = 0.6}}));
  };
  const auto text = [&](const std::string& words, double y, Anchor anchor) {
    paint(cairo, Primitive(Text{.at = {anchor == Anchor::end ? right : page_margin_left, y},
                                .text = words,
                                .style = style,
                                .colour = Role::soft,
                                .anchor = anchor}));
  };
  if (page > 0 && !document.header.empty()) {
    text(fitted(document.header, style, right - page_margin_left), 40.0, Anchor::start);
    line(46.0);
  }
  const double foot = paged.height - 34.0;
  line(foot - 11.5);
  text(fitted(document.footer, style, right - page_margin_left - 60.0), foot, Anchor::start);
  text(fmt::format("{} of {}", page + 1, paged.pages.size()), foot, Anchor::end);
}

void add_outline(cairo_surface_t* surface, const PagedDocument& paged) {
  std::vector<int> parents{CAIRO_PDF_OUTLINE_ROOT};
  std::vector<int> levels{0};
  for (const OutlineEntry& entry : paged.outline) {
    while (levels.back() >= entry.level) {
      levels.pop_back();
      parents.pop_back();
    }
    const std::string attributes = fmt::format("dest='{}'", entry.id);
    const int id = cairo_pdf_surface_add_outline(surface, parents.back(), entry.text.c_str(), attributes.c_str(),
                                                 CAIRO_PDF_OUTLINE_FLAG_OPEN);
    parents.push_back(id);
    levels.push_back(entry.level);
  }
}

/// A PDF surface that appends to `bytes`, with the document's metadata.
cairo_surface_t* new_surface(std::string& bytes, double width, double height, const Document& document) {
  cairo_surface_t* surface = cairo_pdf_surface_create_for_stream(append, &bytes, width, height);
  cairo_pdf_surface_restrict_to_version(surface, CAIRO_PDF_VERSION_1_5);
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, document.title.c_str());
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_AUTHOR, document.author.c_str());
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_SUBJECT, document.subject.c_str());
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATOR, "Fuelwright");
  cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE, document.created.c_str());
  return surface;
}

/// Writes what is left and frees both. Errors: io naming Cairo's status.
Result<void> finish(cairo_t* cairo, cairo_surface_t* surface) {
  const cairo_status_t drawn = cairo_status(cairo);
  cairo_destroy(cairo);
  cairo_surface_finish(surface);
  const cairo_status_t written = cairo_surface_status(surface);
  cairo_surface_destroy(surface);
  if (drawn == CAIRO_STATUS_SUCCESS && written == CAIRO_STATUS_SUCCESS) return {};
  const cairo_status_t status = drawn != CAIRO_STATUS_SUCCESS ? drawn : written;
  return fail(Error{.code = ErrorCode::io,
                    .where = {.field = "pdf"},
                    .found = cairo_status_to_string(status),
                    .expected = "a PDF",
                    .hint = "Report this paper as a fault of the program"});
}

}  // namespace

Result<std::string> render_pdf(const Document& document) {
  if (auto ok = check(document); !ok) return tl::unexpected(ok.error());
  auto laid = lay_out_pages(document);
  if (!laid) return tl::unexpected(laid.error());
  const PagedDocument& paged = *laid;
  std::map<std::string, std::size_t> page_of;
  for (const OutlineEntry& entry : paged.outline) page_of.emplace(entry.id, entry.page);

  std::string bytes;
  cairo_surface_t* surface = new_surface(bytes, paged.width, paged.height, document);
  cairo_t* cairo = cairo_create(surface);
  // One root from before the first page to after the last makes the tree well-formed.
  cairo_tag_begin(cairo, "Document", nullptr);
  for (std::size_t page = 0; page < paged.pages.size(); ++page) {
    paint_frame(cairo, document, paged, page);
    for (const PlacedPiece& placed : paged.pages[page].pieces) {
      std::visit(PiecePainter{.cairo = cairo, .offset = placed.offset, .page_of = page_of}, placed.piece);
    }
    cairo_show_page(cairo);
  }
  cairo_tag_end(cairo, "Document");
  add_outline(surface, paged);
  if (const auto done = finish(cairo, surface); !done) return fail(done.error());
  return bytes;
}

Result<std::string> render_pdf(const Figure& figure, const std::string& created) {
  if (auto ok = check(figure); !ok) return fail(ok.error());
  // The page is the figure with a small border; a document's rules for the time of creation hold.
  const Document form{.title = figure.title, .subject = "figure", .created = created};
  if (auto ok = check(form); !ok) return fail(ok.error());
  constexpr double border = 12.0;
  std::string bytes;
  cairo_surface_t* surface = new_surface(bytes, figure.width + 2.0 * border, figure.height + 2.0 * border, form);
  cairo_t* cairo = cairo_create(surface);
  cairo_tag_begin(cairo, "Document", nullptr);
  cairo_tag_begin(cairo, "Figure", nullptr);
  cairo_translate(cairo, border, border);
  paint(cairo, figure);
  cairo_tag_end(cairo, "Figure");
  cairo_show_page(cairo);
  cairo_tag_end(cairo, "Document");
  if (const auto done = finish(cairo, surface); !done) return fail(done.error());
  return bytes;
}

}  // namespace fw::report
