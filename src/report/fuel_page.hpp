// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "fuel/property_sheet.hpp"
#include "report/papers.hpp"

namespace fw::report {

/// A fuel's properties as tables for a technician. One state: its values in the system of the options first, in the
/// other system beside them, with how far they are good. Several states: a column each, four to a table, in that
/// system.
///
/// A number outside the data behind its law carries a mark "[1]" that leads to the reason; a number that a law refuses
/// is "-" with such a mark.
[[nodiscard]] Document fuel_page(const fuel::PropertySheet& sheet, const PaperOptions& options);

}  // namespace fw::report
