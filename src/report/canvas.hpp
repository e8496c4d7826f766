// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "report/figure.hpp"

namespace fw::report {

/// The figure as a PNG file on the sheet's colour, `scale` pixels per point. Same figure, same bytes.
///
/// Errors: those of check(Figure); invalid_input for a scale outside 0.1 to 20; too_large over 100 million pixels.
[[nodiscard]] Result<std::string> png(const Figure& figure, double scale = 2.0);

/// The box that Cairo inks for each primitive, drawn alone by the same code as in png() and on paper; an empty box for
/// groups and for what leaves no ink. The outside check that both back ends draw the same.
[[nodiscard]] Result<std::vector<Box>> ink_boxes(const Figure& figure);

}  // namespace fw::report
