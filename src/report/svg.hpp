// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "report/figure.hpp"

namespace fw::report {

enum class SvgColours : std::uint8_t {
  fixed,  ///< light colours written into every element: a file that stands alone
  page,   ///< classes only ("f-ink s-accent"); the page's style sheet gives light and dark
};

struct SvgOptions {
  SvgColours colours = SvgColours::fixed;
  std::string id = "figure";  ///< prefix of the ids of title and description; unique within a page
};

/// The figure as SVG text: real text elements (searchable), one element per primitive, title and description for
/// screen readers, numbers to a hundredth of a point without locale. Same figure, same bytes.
///
/// Errors: those of check(Figure); invalid_input for an id that is no plain name.
[[nodiscard]] Result<std::string> svg(const Figure& figure, const SvgOptions& options = {});

/// Style rules for SvgColours::page: the roles as CSS variables, the dark variant by `prefers-color-scheme` and under
/// [data-sheet="dark"], and the classes.
[[nodiscard]] std::string svg_style_sheet();

/// A number as it stands in our SVG: fixed, two decimals at most, trailing zeros dropped, no "-0".
[[nodiscard]] std::string svg_number(double value);

/// Text with <, >, &, " written as entities.
[[nodiscard]] std::string xml_escaped(std::string_view text);

}  // namespace fw::report
