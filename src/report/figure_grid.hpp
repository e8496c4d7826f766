// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/figure.hpp"
#include "report/figure_data.hpp"

namespace fw::report {

/// The envelope map: a grid of running points, every one with its value and the word of its outcome, the governing one
/// framed. Comes out wider than `size.width` if its words need the room.
///
/// Errors: invalid_input naming the field: no rows or columns, a row of another length, a glyph missing; not_found
/// without fonts.
[[nodiscard]] Result<Figure> envelope_map_figure(const EnvelopeMapData& data);

/// The gauge book as a small table: readings that can be told from the healthy state stand bold on a wash.
///
/// Errors: as envelope_map_figure.
[[nodiscard]] Result<Figure> gauge_book_figure(const GaugeBookData& data);

}  // namespace fw::report
