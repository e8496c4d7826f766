// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/required.hpp"
#include "numerics/value_and_slope.hpp"

namespace fw::numerics {

/// One end of a cubic piece.
struct HermiteEnd {
  double x = required;
  double value = required;
  double slope = required;
};

/// The cubic that has the given value and slope at both ends, and its slope.
///
///   s = (x - a)/h,  y = (1 + 2s)(1 - s)^2 ya + s (1 - s)^2 h ma + s^2 (3 - 2s) yb - s^2 (1 - s) h mb
///
/// Joins two laws with a continuous slope. Exact for cubics, so of order 4 in h for smooth functions. Beyond the ends
/// the cubic goes on. Preconditions: finite, a.x < b.x.
[[nodiscard]] ValueAndSlope hermite(const HermiteEnd& a, const HermiteEnd& b, double x);

/// Whether the slope of that cubic keeps one sign (or 0) between the ends: exact, by the extremum of its slope. The set
/// of such slopes is that of F. N. Fritsch, R. E. Carlson, SIAM J. Numer. Anal. 17 (1980) 238-246.
[[nodiscard]] bool hermite_is_monotone(const HermiteEnd& a, const HermiteEnd& b);

}  // namespace fw::numerics
