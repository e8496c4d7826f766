// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "debris/debris_map.hpp"
#include "report/figure_data.hpp"
#include "system/line_sheet.hpp"

/// The debris map on the drawing of a system.
namespace fw::report {

enum class MarkedPlaces : std::uint8_t {
  every,      ///< seen, verified clean, inferred, not inspected
  looked_at,  ///< seen and verified clean only: for those who do not work on it
};

/// Marks what is known of metal at the parts of a drawing that schematic_of made of the sheet. A place of the map is
/// the first part of its kind on the fuel's way: filters before the first pump that turns are the primary filter, those
/// behind it the final one. Where a block stands for several places (the pump: housing, inlet screen, plungers) the
/// strongest state counts: metal seen before inferred before not inspected before clean. Bypassed parts carry no mark.
void mark_metal(SchematicData& drawing, const system::LineSheet& sheet, const debris::DebrisMap& map,
                MarkedPlaces which);

}  // namespace fw::report
