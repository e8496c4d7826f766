// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <memory>
#include <string_view>
#include <utility>
#include <vector>

#include "report/document.hpp"
#include "report/figure.hpp"

struct _cairo;  // NOLINT(bugprone-reserved-identifier): Cairo's own name

namespace fw::report {

/// How a block of text is set.
struct TextBlockStyle {
  TextStyle type;
  double line_height = 0.0;  ///< points; 0: 1.42 of the size
  Anchor align = Anchor::start;
  Role colour = Role::ink;  ///< of spans in ink
};

/// Spans broken into lines of a width, ready to be drawn line by line. For one thread.
///
/// A number and the short word after it (its unit) are not parted by a line break. Outcome marks are drawn as
/// marked_word() draws them.
class TextBlock {
 public:
  /// `width` in points, or 0 for one line however long. Precondition: load_fonts() succeeded.
  TextBlock(const Spans& spans, const TextBlockStyle& style, double width);
  ~TextBlock();
  TextBlock(TextBlock&&) noexcept;
  TextBlock& operator=(TextBlock&&) noexcept;

  [[nodiscard]] std::size_t lines() const;
  [[nodiscard]] double line_height() const;
  [[nodiscard]] double height() const { return static_cast<double>(lines()) * line_height(); }
  /// From the top of a line to its baseline.
  [[nodiscard]] double baseline() const;
  /// Advance of the longest line.
  [[nodiscard]] double natural_width() const;

  /// Draws one line with its top left corner at a point; links become PDF links if `tagged`.
  void draw(::_cairo* cairo, std::size_t line, Point at, bool tagged) const;

 private:
  struct Impl;
  std::unique_ptr<Impl> impl_;
};

/// The pieces of a text that no line break may part, as ranges of bytes in order, blanks between them left out: words;
/// a number with the short word after it, its unit ("48.6 kPa"); and "8 in 100", "5 to 9", "2 of 5".
[[nodiscard]] std::vector<std::pair<std::size_t, std::size_t>> unbreakable_pieces(std::string_view text);

/// Advance of the widest piece that no line break may part.
[[nodiscard]] double widest_word(const Spans& spans, const TextStyle& style);

}  // namespace fw::report
