// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "report/document.hpp"

namespace fw::report {

/// The document as plain UTF-8 text for a terminal, `width` columns wide at most: tables in columns, outcomes as words
/// (FAILS in capitals), cautions with their signal word and a bar, figures as their description. Nothing is said by
/// colour. Lines end in "\n" without trailing blanks.
///
/// Errors: those of check(Document); invalid_input for a width below 40 or above 400.
[[nodiscard]] Result<std::string> render_text(const Document& document, int width = 80);

/// Columns that a text takes on a terminal: one per character, none for a combining accent.
[[nodiscard]] std::size_t text_columns(std::string_view text);

/// Words broken into lines of at most `width` columns; a longer word is cut. A number and the short word after it stay
/// together as on paper.
[[nodiscard]] std::vector<std::string> wrapped(std::string_view text, std::size_t width);

/// The same as one text: each line after the first on a line of its own behind `indent` blanks. `first` columns stand
/// before the first line; no line is broken narrower than 20 columns.
[[nodiscard]] std::string hung(std::string_view text, int width, int first, int indent);

}  // namespace fw::report
