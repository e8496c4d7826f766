// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <vector>

#include "report/figure.hpp"
#include "report/figure_data.hpp"

// Drawn symbols of a fuel system, after the families and size ratios of ISO 1219-1 as secondary lists show them (pump
// 1, gauge 3/4, check valve 1/3; the standard itself not seen).
namespace fw::report {

/// How far a symbol reaches from its centre on the line; in units of the text size.
struct SymbolExtent {
  double half_width = 1.0;
  double above = 1.0;
  double below = 1.0;
};
[[nodiscard]] SymbolExtent extent(const SchematicPart& part);

enum class Flow : std::uint8_t { rightward, leftward, downward, upward };

/// The symbol with the line through it, from one side of its extent to the other.
[[nodiscard]] std::vector<Primitive> draw_symbol(const SchematicPart& part, Point centre, double unit, Flow flow);

/// A gauge on a stub below a line, its name under it. `depth` is what it takes below the line.
inline constexpr double gauge_depth = 4.2;
[[nodiscard]] std::vector<Primitive> draw_gauge(const std::string& name, Point on_line, double unit);

/// The mark under a part for what is known of metal there; centred, one unit across.
[[nodiscard]] std::vector<Primitive> draw_debris_mark(DebrisMark mark, Point centre, double unit);

/// Stroke of working lines and of parts.
[[nodiscard]] Stroke line_stroke(double unit, bool thin, bool added);

/// A small filled arrow head pointing with the flow.
[[nodiscard]] Primitive arrow_head(Point tip, double unit, double turn_deg, Role colour);

}  // namespace fw::report
