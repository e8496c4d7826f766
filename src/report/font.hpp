// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "report/figure.hpp"

// The one place that measures text: screen and paper are laid out with the same numbers.
namespace fw::report {

struct TextSize {
  double width = 0.0;    ///< advance of the whole text, points
  double ascent = 0.0;   ///< of the font above the baseline
  double descent = 0.0;  ///< of the font below the baseline, positive
};

/// Loads B612 and B612 Mono (regular, bold, italic) from the folder compiled in, once per process; needs no system
/// font configuration. Every function of this room that draws or measures calls it.
///
/// Errors: not_found naming the missing file and the package that brings it.
[[nodiscard]] Result<void> load_fonts();

/// The same check for another folder, loading nothing.
[[nodiscard]] Result<void> check_font_folder(const std::string& folder);

/// Size of one line of text. Kerning included, no hinting: widths grow in proportion to the size of the type.
/// Precondition: load_fonts() succeeded (else ContractViolation). Safe to call from several threads.
[[nodiscard]] TextSize measure(std::string_view text, const TextStyle& style);

/// Corners of a text primitive: advance wide, from ascent to descent high, turned about its anchor.
[[nodiscard]] Corners text_corners(const Text& text);

/// A character that the font of this style cannot draw.
struct MissingGlyph {
  std::size_t byte = 0;  ///< where in the text
  char32_t code = 0;
};

/// Every character without a glyph; control characters count as missing. Malformed UTF-8 gives U+FFFD at its byte.
/// Precondition: load_fonts() succeeded.
[[nodiscard]] std::vector<MissingGlyph> missing_glyphs(std::string_view text, const TextStyle& style);

/// missing_glyphs as an error: paper never shows a box in place of a letter.
[[nodiscard]] Result<void> check_glyphs(std::string_view text, const TextStyle& style, const std::string& field);

}  // namespace fw::report
