// SPDX-License-Identifier: Apache-2.0
#include "numerics/roots.hpp"

#include <cmath>
#include <limits>
#include <utility>

#include "base/contract.hpp"

namespace fw::numerics {

namespace {

constexpr double epsilon = std::numeric_limits<double>::epsilon();

void expect_sound(Bracket bracket, const RootOptions& options) {
  FW_EXPECTS(std::isfinite(bracket.low) && std::isfinite(bracket.high) && bracket.low < bracket.high);
  FW_EXPECTS(options.x_tolerance >= 0.0 && options.residual_tolerance >= 0.0 && options.iterations >= 2);
}

bool same_sign(double a, double b) { return (a > 0.0) == (b > 0.0); }

Bracket ordered(double a, double b) { return a < b ? Bracket{a, b} : Bracket{b, a}; }

}  // namespace

Root brent(FunctionRef<double(double)> function, Bracket bracket, const RootOptions& options) {
  expect_sound(bracket, options);
  // b is the best point, a the one before, c the end on the other side of the root.
  double a = bracket.low;
  double b = bracket.high;
  double fa = function(a);
  double fb = function(b);
  Root root{.x = b, .residual = fb, .iterations = 2, .bracket = bracket};
  if (!std::isfinite(fa) || !std::isfinite(fb)) {
    root.reason = RootReason::not_finite;
    return root;
  }
  if (fa == 0.0) return {.x = a, .residual = 0.0, .iterations = 2, .reason = RootReason::converged, .bracket = {a, a}};
  if (fb == 0.0) return {.x = b, .residual = 0.0, .iterations = 2, .reason = RootReason::converged, .bracket = {b, b}};
  if (same_sign(fa, fb)) {
    if (std::abs(fa) < std::abs(fb)) root = {.x = a, .residual = fa, .iterations = 2, .bracket = bracket};
    root.reason = RootReason::no_bracket;
    return root;
  }
  double c = a;
  double fc = fa;
  double step = b - a;
  double step_before = step;
  while (true) {
    if (same_sign(fb, fc)) {
      c = a;
      fc = fa;
      step = step_before = b - a;
    }
    if (std::abs(fc) < std::abs(fb)) {
      a = std::exchange(b, c);
      c = a;
      fa = std::exchange(fb, fc);
      fc = fa;
    }
    const double tolerance = 2.0 * epsilon * std::abs(b) + 0.5 * options.x_tolerance;
    const double half = 0.5 * (c - b);
    root.x = b;
    root.residual = fb;
    root.bracket = fb == 0.0 ? Bracket{b, b} : ordered(b, c);
    if (std::abs(half) <= tolerance || std::abs(fb) <= options.residual_tolerance) {
      root.reason = RootReason::converged;
      return root;
    }
    if (root.iterations >= options.iterations) return root;
    if (std::abs(step_before) >= tolerance && std::abs(fa) > std::abs(fb)) {
      const double s = fb / fa;
      double p = 0.0;
      double q = 0.0;
      if (a == c) {
        p = 2.0 * half * s;
        q = 1.0 - s;
      } else {
        const double r = fb / fc;
        const double t = fa / fc;
        p = s * (2.0 * half * t * (t - r) - (b - a) * (r - 1.0));
        q = (t - 1.0) * (r - 1.0) * (s - 1.0);
      }
      if (p > 0.0) {
        q = -q;
      } else {
        p = -p;
      }
      const double before = std::exchange(step_before, step);
      if (2.0 * p < 3.0 * half * q - std::abs(tolerance * q) && p < std::abs(0.5 * before * q)) {
        step = p / q;
      } else {
        step = step_before = half;
      }
    } else {
      step = step_before = half;
    }
    a = b;
    fa = fb;
    b += std::abs(step) > tolerance ? step : std::copysign(tolerance, half);
    fb = function(b);
    ++root.iterations;
    if (!std::isfinite(fb)) {
      root.reason = RootReason::not_finite;
      return root;
    }
  }
}

Root newton(FunctionRef<ValueAndSlope(double)> function, Bracket bracket, double start, const RootOptions& options) {
  expect_sound(bracket, options);
  FW_EXPECTS(std::isfinite(start) && start >= bracket.low && start <= bracket.high);
  const double at_low = function(bracket.low).value;
  const double at_high = function(bracket.high).value;
  Root root{.x = bracket.low, .residual = at_low, .iterations = 2, .bracket = bracket};
  if (!std::isfinite(at_low) || !std::isfinite(at_high)) {
    root.reason = RootReason::not_finite;
    return root;
  }
  if (at_low == 0.0 || at_high == 0.0) {
    const double end = at_low == 0.0 ? bracket.low : bracket.high;
    return {.x = end, .residual = 0.0, .iterations = 2, .reason = RootReason::converged, .bracket = {end, end}};
  }
  if (same_sign(at_low, at_high)) {
    if (std::abs(at_high) < std::abs(at_low)) {
      root.x = bracket.high;
      root.residual = at_high;
    }
    root.reason = RootReason::no_bracket;
    return root;
  }
  double x = start;
  double step = bracket.high - bracket.low;
  double step_before = step;
  while (root.iterations < options.iterations) {
    const auto [value, slope] = function(x);
    ++root.iterations;
    if (!std::isfinite(value)) {
      root.reason = RootReason::not_finite;
      return root;
    }
    root.x = x;
    root.residual = value;
    if (same_sign(value, at_low)) {
      root.bracket.low = x;
    } else {
      root.bracket.high = x;
    }
    const double tolerance = 4.0 * epsilon * std::abs(x) + options.x_tolerance;
    if (value == 0.0) root.bracket = {x, x};
    if (value == 0.0 || std::abs(value) <= options.residual_tolerance ||
        root.bracket.high - root.bracket.low <= tolerance) {
      root.reason = RootReason::converged;
      return root;
    }
    const bool slope_helps = std::isfinite(slope) && std::abs(slope) * (bracket.high - bracket.low) > std::abs(value);
    const double newton_step = slope_helps ? -value / slope : 0.0;
    const double target = x + newton_step;
    const bool inside = target > root.bracket.low && target < root.bracket.high;
    const double before = std::exchange(step_before, step);
    if (slope_helps && inside && std::abs(newton_step) <= 0.5 * std::abs(before)) {
      step = newton_step;
      if (std::abs(step) <= 0.5 * tolerance) {
        // The step is below the last digits asked for: the root lies within it.
        root.reason = RootReason::converged;
        return root;
      }
      x = target;
    } else {
      step = 0.5 * (root.bracket.high - root.bracket.low);
      x = root.bracket.low + step;
    }
  }
  return root;
}

}  // namespace fw::numerics
