// SPDX-License-Identifier: Apache-2.0
#include "numerics/hermite.hpp"

#include <cmath>

#include "base/contract.hpp"

namespace fw::numerics {

namespace {

void expect_sound(const HermiteEnd& a, const HermiteEnd& b) {
  FW_EXPECTS(std::isfinite(a.x) && std::isfinite(a.value) && std::isfinite(a.slope));
  FW_EXPECTS(std::isfinite(b.x) && std::isfinite(b.value) && std::isfinite(b.slope));
  FW_EXPECTS(a.x < b.x);
}

}  // namespace

ValueAndSlope hermite(const HermiteEnd& a, const HermiteEnd& b, double x) {
  expect_sound(a, b);
  const double h = b.x - a.x;
  const double s = (x - a.x) / h;
  const double r = 1.0 - s;
  return {
      .value = (1.0 + 2.0 * s) * r * r * a.value + s * r * r * h * a.slope + s * s * (3.0 - 2.0 * s) * b.value -
               s * s * r * h * b.slope,
      .slope = 6.0 * s * r * (b.value - a.value) / h + r * (1.0 - 3.0 * s) * a.slope + s * (3.0 * s - 2.0) * b.slope};
}

bool hermite_is_monotone(const HermiteEnd& a, const HermiteEnd& b) {
  expect_sound(a, b);
  // Slope over s: m(s) = ma + 2 (3 d - 2 ma - mb) s + 3 (ma + mb - 2 d) s^2, with d the slope of the chord.
  const double chord = (b.value - a.value) / (b.x - a.x);
  const double linear = 2.0 * (3.0 * chord - 2.0 * a.slope - b.slope);
  const double square = 3.0 * (a.slope + b.slope - 2.0 * chord);
  double low = std::fmin(a.slope, b.slope);
  double high = std::fmax(a.slope, b.slope);
  if (square != 0.0 && std::abs(linear) < 2.0 * std::abs(square)) {
    const double s = -linear / (2.0 * square);
    if (s > 0.0 && s < 1.0) {
      const double extremum = a.slope + 0.5 * linear * s;
      low = std::fmin(low, extremum);
      high = std::fmax(high, extremum);
    }
  }
  const double rounding = 1e-14 * (std::abs(a.slope) + std::abs(b.slope) + std::abs(chord));
  return low >= -rounding || high <= rounding;
}

}  // namespace fw::numerics
