// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/font.hpp"

// For the .cpp files of this room that talk to Pango and Cairo; their headers stay in those files.
// NOLINTBEGIN(bugprone-reserved-identifier): Pango's own names
struct _PangoContext;
struct _PangoFontDescription;
// NOLINTEND(bugprone-reserved-identifier)

namespace fw::report {

/// Font description of a style; the caller frees it with pango_font_description_free.
[[nodiscard]] ::_PangoFontDescription* new_description(const TextStyle& style);

/// The calling thread's context over the private font map: 72 dots per inch, no hinting, exact glyph positions.
/// Precondition: load_fonts() succeeded. Owned by the thread.
[[nodiscard]] ::_PangoContext* thread_context();

}  // namespace fw::report
