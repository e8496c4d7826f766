// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/turbine_pump.hpp"

#include <cmath>
#include <cstddef>
#include <string>
#include <vector>

#include <fmt/format.h>

#include "hydraulics/liquid_check.hpp"

namespace fw::hydraulics {

namespace {

constexpr double least_relative_slope = 1e-3;  // of dead head per largest flow

void check_curve(InputCheck& check, const PumpCurve& curve) {
  check.positive(curve.dead_head_Pa, "curve.dead_head_Pa")
      .positive(curve.linear_Pa_s_per_m3, "curve.linear_Pa_s_per_m3")
      .non_negative(curve.quadratic_Pa_s2_per_m6, "curve.quadratic_Pa_s2_per_m6");
  if (curve.density_kg_per_m3) check.positive(*curve.density_kg_per_m3, "curve.density_kg_per_m3");
}

/// c0, c1, c2 at a speed and density; rise = c0 - c1 Q - c2 Q^2.
PumpCurve at_speed(const PumpCurve& curve, double speed_ratio, const fuel::Liquid& liquid) {
  const double density_ratio = curve.density_kg_per_m3 ? liquid.density_kg_per_m3 / *curve.density_kg_per_m3 : 1.0;
  return {.dead_head_Pa = density_ratio * curve.dead_head_Pa * speed_ratio * speed_ratio,
          .linear_Pa_s_per_m3 = density_ratio * curve.linear_Pa_s_per_m3 * speed_ratio,
          .quadratic_Pa_s2_per_m6 = density_ratio * curve.quadratic_Pa_s2_per_m6};
}

double rise_of(const PumpCurve& curve, double flow_m3_per_s) {
  return curve.dead_head_Pa - (curve.linear_Pa_s_per_m3 + curve.quadratic_Pa_s2_per_m6 * flow_m3_per_s) * flow_m3_per_s;
}

/// Points with flow over the largest flow: sums stay near 1.
struct Scaled {
  double x = 0.0;
  double y = 0.0;
};

struct Line {
  double at_zero = 0.0;
  double slope = 0.0;
};

/// Least squares y = at_zero + slope f(x).
template <class F>  // reason: the two abscissas x and x^2
Line line_through(std::span<const Scaled> points, F f) {
  double mean_f = 0.0;
  double mean_y = 0.0;
  for (const Scaled& p : points) {
    mean_f += f(p.x);
    mean_y += p.y;
  }
  const double n = static_cast<double>(points.size());
  mean_f /= n;
  mean_y /= n;
  double ff = 0.0;
  double fy = 0.0;
  for (const Scaled& p : points) {
    ff += (f(p.x) - mean_f) * (f(p.x) - mean_f);
    fy += (f(p.x) - mean_f) * (p.y - mean_y);
  }
  const double slope = fy / ff;
  return {.at_zero = mean_y - slope * mean_f, .slope = slope};
}

struct Parabola {
  double c0 = 0.0, c1 = 0.0, c2 = 0.0;  // y = c0 - c1 x - c2 x^2
};

/// Least squares by polynomials orthogonal on the points: no ill-conditioned normal equations.
Parabola parabola_through(std::span<const Scaled> points) {
  const double n = static_cast<double>(points.size());
  double mean_x = 0.0;
  for (const Scaled& p : points) mean_x += p.x / n;
  double s2 = 0.0;
  double s3 = 0.0;
  for (const Scaled& p : points) {
    const double u = p.x - mean_x;
    s2 += u * u;
    s3 += u * u * u;
  }
  const double shift = s3 / s2;
  const double level = s2 / n;
  // Basis 1, u, q = u^2 - shift u - level.
  double y0 = 0.0;
  double y1 = 0.0;
  double y2 = 0.0;
  double qq = 0.0;
  for (const Scaled& p : points) {
    const double u = p.x - mean_x;
    const double q = u * u - shift * u - level;
    y0 += p.y / n;
    y1 += p.y * u / s2;
    y2 += p.y * q;
    qq += q * q;
  }
  y2 /= qq;
  // y = y0 + y1 u + y2 (u^2 - shift u - level), u = x - mean.
  const double linear = y1 - y2 * shift;
  return {.c0 = y0 - linear * mean_x + y2 * (mean_x * mean_x - level), .c1 = -(linear - 2.0 * y2 * mean_x), .c2 = -y2};
}

}  // namespace

Result<PumpCurve> turbine_curve(double dead_head_Pa, double free_flow_m3_per_s) {
  InputCheck check;
  check.positive(dead_head_Pa, "dead_head_Pa").positive(free_flow_m3_per_s, "free_flow_m3_per_s");
  if (check.failed()) return check.fault();
  return PumpCurve{.dead_head_Pa = dead_head_Pa, .linear_Pa_s_per_m3 = dead_head_Pa / free_flow_m3_per_s};
}

Result<CurveFit> curve_through(std::span<const CurvePoint> points) {
  if (points.size() < 2) {
    return invalid("points", fmt::format("{} point{}", points.size(), points.size() == 1 ? "" : "s"),
                   "two points of the curve or more", "Add the flow at one more rise");
  }
  for (std::size_t i = 0; i < points.size(); ++i) {
    const std::string flow_field = fmt::format("points[{}].flow_m3_per_s", i);
    const std::string rise_field = fmt::format("points[{}].rise_Pa", i);
    InputCheck check;
    check.non_negative(points[i].flow_m3_per_s, flow_field.c_str()).finite(points[i].rise_Pa, rise_field.c_str());
    if (!check.failed() && i > 0) {
      check
          .that(points[i].flow_m3_per_s > points[i - 1].flow_m3_per_s, flow_field.c_str(),
                {.found = fmt::format("{:.6g} m3/s", points[i].flow_m3_per_s),
                 .expected = fmt::format("more than the flow before, {:.6g} m3/s", points[i - 1].flow_m3_per_s),
                 .hint = "Enter the points in the order of their flow, each once"})
          .that(points[i].rise_Pa < points[i - 1].rise_Pa, rise_field.c_str(),
                {.found = fmt::format("{:.6g} Pa", points[i].rise_Pa),
                 .expected =
                     fmt::format("less than the rise before, {:.6g} Pa: the curve must fall", points[i - 1].rise_Pa),
                 .hint = "Leave out the points of the rising part"});
    }
    if (check.failed()) return check.fault();
  }
  const double largest = points.back().flow_m3_per_s;
  std::vector<Scaled> scaled;
  scaled.reserve(points.size());
  for (const CurvePoint& p : points) scaled.push_back({.x = p.flow_m3_per_s / largest, .y = p.rise_Pa});
  const auto itself = [](double x) { return x; };
  const auto square = [](double x) { return x * x; };
  Parabola fit;
  bool constrained = false;
  if (points.size() == 2) {
    const Line line = line_through(scaled, itself);
    fit = {.c0 = line.at_zero, .c1 = -line.slope, .c2 = 0.0};
  } else {
    fit = parabola_through(scaled);
    // Points on a straight line leave a c2 of rounding size.
    if (std::abs(fit.c2) < 1e-12 * std::abs(fit.c1)) fit.c2 = 0.0;
    if (fit.c2 < 0.0) {
      const Line line = line_through(scaled, itself);
      fit = {.c0 = line.at_zero, .c1 = -line.slope, .c2 = 0.0};
      constrained = true;
    } else if (fit.c1 < least_relative_slope * fit.c0) {
      const double slope = least_relative_slope * scaled.front().y;
      for (Scaled& p : scaled) p.y += slope * p.x;
      const Line line = line_through(scaled, square);
      fit = {.c0 = line.at_zero, .c1 = slope, .c2 = -line.slope};
      constrained = true;
    }
  }
  if (!(fit.c0 > 0.0) || !(fit.c1 > 0.0) || fit.c2 < 0.0) {
    return outside("points", fmt::format("a fit with {:.6g} Pa at no flow", fit.c0),
                   "points of a pump: a rise above 0 at no flow, falling with the flow",
                   "Check the units of the points");
  }
  CurveFit result{.curve = {.dead_head_Pa = fit.c0,
                            .linear_Pa_s_per_m3 = fit.c1 / largest,
                            .quadratic_Pa_s2_per_m6 = fit.c2 / (largest * largest)},
                  .constrained = constrained};
  for (const CurvePoint& p : points) {
    result.largest_deviation_Pa =
        std::fmax(result.largest_deviation_Pa, std::abs(rise_of(result.curve, p.flow_m3_per_s) - p.rise_Pa));
  }
  return result;
}

Result<double> curve_rise_Pa(const PumpCurve& curve, const CurveState& state, const fuel::Liquid& liquid) {
  InputCheck check;
  check_curve(check, curve);
  check.non_negative(state.flow_m3_per_s, "flow_m3_per_s").positive(state.speed_ratio, "speed_ratio");
  check_liquid(check, liquid);
  if (check.failed()) return check.fault();
  return rise_of(at_speed(curve, state.speed_ratio, liquid), state.flow_m3_per_s);
}

Result<double> curve_flow_m3_per_s(const PumpCurve& curve, double rise_Pa, double speed_ratio,
                                   const fuel::Liquid& liquid) {
  InputCheck check;
  check_curve(check, curve);
  check.finite(rise_Pa, "rise_Pa").positive(speed_ratio, "speed_ratio");
  check_liquid(check, liquid);
  if (check.failed()) return check.fault();
  const PumpCurve now = at_speed(curve, speed_ratio, liquid);
  const double excess_Pa = now.dead_head_Pa - rise_Pa;
  if (excess_Pa <= 0.0) return 0.0;
  const double c1 = now.linear_Pa_s_per_m3;
  return 2.0 * excess_Pa / (c1 + std::sqrt(c1 * c1 + 4.0 * now.quadratic_Pa_s2_per_m6 * excess_Pa));
}

Result<ValveCoefficients> curve_pump_law(const PumpCurve& curve, const fuel::Liquid& liquid, double speed_ratio) {
  InputCheck check;
  check_curve(check, curve);
  check.positive(speed_ratio, "speed_ratio");
  check_liquid(check, liquid);
  if (check.failed()) return check.fault();
  const PumpCurve now = at_speed(curve, speed_ratio, liquid);
  return ValveCoefficients{.crack_Pa = -now.dead_head_Pa,
                           .linear_Pa_s_per_m3 = now.linear_Pa_s_per_m3,
                           .quadratic_Pa_s2_per_m6 = now.quadratic_Pa_s2_per_m6};
}

}  // namespace fw::hydraulics
