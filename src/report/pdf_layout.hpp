// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <string>
#include <variant>
#include <vector>

#include "report/document.hpp"
#include "report/text_block.hpp"

// A document laid out on pages: what stands where. pdf.cpp paints it.
namespace fw::report {

/// Lines of a text block, the first at `at`.
struct TextPiece {
  std::shared_ptr<const TextBlock> block;
  std::size_t first = 0;
  std::size_t count = 0;
  Point at;
};
struct DrawnPiece {
  std::vector<Primitive> primitives;
};
struct FigurePiece {
  const Figure* figure = nullptr;  ///< of the document, which outlives the layout
  Point at;
  double scale = 1.0;
};
struct TagPiece {
  std::string name;  ///< structure element: "P", "H1", "Table", ...
  bool begin = true;
};
/// A place that links lead to.
struct TargetPiece {
  std::string id;
};
/// The number of the page where a target stands, right-aligned.
struct PageNumberPiece {
  std::string id;
  Point right;  ///< end of the baseline
  double size = 9.0;
};
using Piece = std::variant<TextPiece, DrawnPiece, FigurePiece, TagPiece, TargetPiece, PageNumberPiece>;

struct PlacedPiece {
  Piece piece;
  Point offset;
};

struct OutlineEntry {
  int level = 1;
  std::string text;
  std::string id;
  std::size_t page = 0;  ///< from 0
};

struct Page {
  std::vector<PlacedPiece> pieces;
};

struct PagedDocument {
  double width = 0.0;
  double height = 0.0;
  std::vector<Page> pages;
  std::vector<OutlineEntry> outline;
};

/// Page geometry, points.
inline constexpr double page_margin_left = 54.0;
inline constexpr double page_margin_right = 54.0;
inline constexpr double page_top_first = 44.0;
inline constexpr double page_top = 62.0;
inline constexpr double page_bottom = 60.0;

/// Breaks a checked document into pages. Rules: a heading, a caution, the head of a table and a caption stay with what
/// follows; a paragraph leaves two lines at least on either side of a break; table rows, figures and cautions stay
/// whole where a page can hold them; a table's head is repeated. Precondition: check(document) succeeded.
///
/// Errors: too_large over 500 pages.
[[nodiscard]] Result<PagedDocument> lay_out_pages(const Document& document);

}  // namespace fw::report
