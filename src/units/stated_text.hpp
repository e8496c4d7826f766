// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>

#include "base/result.hpp"
#include "base/stated.hpp"
#include "units/dimension.hpp"

/// A number with its doubt and its source class, as text.
namespace fw::units {

/// Default doubt per source class: 90 % half-widths relative to the value, a factor for assumed numbers; lengths and
/// bores better than typical have their own. All assumed, no source; catalog/source-classes.toml carries the shop's.
struct SourceSpreads {
  double measured = 0.02;
  double datasheet = 0.10;
  double catalog = 0.15;
  double typical = 0.30;
  double assumed_factor = 2.0;  ///< times or divided by
  double length = 0.05;
  double bore = 0.03;
  /// Temperatures are points: a share of kelvins says nothing. 90 % half-widths; assumed, no source.
  double measured_K = 2.0;
  double datasheet_K = 3.0;
  double catalog_K = 5.0;
  double typical_K = 10.0;
  double assumed_K = 15.0;
};

struct StatedOptions {
  SourceClass source = SourceClass::measured;  ///< class of a number typed without a class word
  SourceSpreads spreads;
};

/// Spread of a number of this class when none is typed: normal, relative to the value; lognormal for assumed numbers
/// (a negative number keeps its sign); normal for assumed heights and angles (their zero is a datum) by the typical
/// share; normal in kelvin for temperatures. A value of 0, or a share of 0, gives an exact number: nothing to scale.
/// Precondition: value is finite.
[[nodiscard]] Spread default_spread(double value, SourceClass source, Dimension dimension,
                                    const SourceSpreads& spreads);

/// A number with its doubt.
///
///   "11 psi"                                       the default spread of its class
///   "exactly 11 psi"                               exact
///   "11 psi +/- 1 psi", "11 +/- 1 psi"             normal, 90 % half-width
///   "11 psi +/- 10 %"                              normal, a share of the value ("20 % +/- 2 %" of a ratio: points)
///   "10 to 12 psi"                                 uniform, value = middle
///   "11 psi (9 to 13)", "11 (9 to 13) psi"         triangular, low <= value <= high
///   "11 psi times/divided by 2"                    lognormal, 90 % factor
///   "log 0.02 to 1"                                log-uniform, value = median
///   "?"                                            unknown = true, no value, class assumed
///
/// A class word may stand before all of them: "measured", "datasheet", "catalog", "typical", "assumed". Several
/// vacuums are ordered as typed: "5 to 8 inHg vac".
///
/// The id is left empty. origin.as_typed is `text` byte for byte.
/// Errors: exactly one, invalid_input with found, expected and a hint that quotes a legal text of this dimension.
/// Check: "11 psi (9 to 13)" -> 75842.330, 62052.816, 89631.845 Pa.
[[nodiscard]] Result<Stated> parse_stated(std::string_view text, Dimension dimension,
                                          const StatedOptions& options = {});

}  // namespace fw::units
