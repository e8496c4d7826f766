// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>

#include "supply/check.hpp"
#include "system/line_sheet.hpp"

namespace fw::supply {

/// Limits of the high-pressure pump's inlet: the maker's where entered, else those of the inlet class
/// (sucks -34 narrow, -41 kPa fails: one factory table; fed low 55 to 103 kPa, fed high 310 to 448 kPa: trade
/// articles), else none. Pa over ambient.
struct InletLimits {
  Limit low;
  Limit high;
};
[[nodiscard]] InletLimits inlet_limits(const system::Engine& engine);

/// Outcome of a value against a limit that must not be undercut (`low`) or exceeded. No limit at all, or a value that
/// is not finite: not known. A limit that is narrow only never fails.
[[nodiscard]] Outcome against(double value, const Limit& limit, bool low);

/// Whose limit a stated number is: measured and datasheet numbers are the maker's, catalog and typical ones practice.
[[nodiscard]] LimitOrigin origin_of(SourceClass source);

/// End of a check's sentence, by whose limit it is: "." or ", against common practice; ...".
[[nodiscard]] std::string ending(const Limit& limit);

}  // namespace fw::supply
