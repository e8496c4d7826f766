// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/figure.hpp"
#include "report/figure_data.hpp"

namespace fw::report {

/// The fuel system as a drawing in the manner of ISO 1219-1, laid out by rule (docs/theory/figures.md): supply legs on
/// lanes from left to right, the way with the most working parts on the first; folded into rows under each other where
/// it is longer than the figure is wide; return below from right to left. Bypassed parts are thin and crossed, added
/// ones in accent colour, parts of one housing in a dash-and-dot frame. Names stand at their parts and never touch.
///
/// Where nothing can be folded the figure comes out wider than `size.width`.
///
/// Errors: invalid_input naming the field: no tank, no supply leg to "engine", legs in a circle, an id used twice, a
/// frame whose parts are not neighbours in one leg, a glyph missing; not_found without fonts.
[[nodiscard]] Result<Figure> schematic_figure(const SchematicData& data);

}  // namespace fw::report
