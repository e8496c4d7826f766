// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "report/document.hpp"

namespace fw::report {

/// The document as a PDF file: searchable text in subset fonts, tagged, with outline, links, metadata and page numbers
/// ("2 of 5"). Same document, same bytes (on one machine with the same libraries).
///
/// Errors: those of check(Document); too_large over 500 pages.
[[nodiscard]] Result<std::string> render_pdf(const Document& document);

/// One figure on a page of its own size. Errors: those of check(Figure); invalid_input for a creation time in another
/// form.
[[nodiscard]] Result<std::string> render_pdf(const Figure& figure, const std::string& created);

}  // namespace fw::report
