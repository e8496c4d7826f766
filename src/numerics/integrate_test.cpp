// SPDX-License-Identifier: Apache-2.0
#include "numerics/integrate.hpp"

#include <cmath>
#include <functional>
#include <numbers>
#include <vector>

#include <gtest/gtest.h>

#include "base/contract.hpp"
#include "base/required.hpp"

namespace fw::numerics {
namespace {

using State = std::vector<double>;
using Slope = std::function<Verdict(double, std::span<const double>, std::span<double>)>;
using Integrate = Integration (*)(SlopeFunction, double, double, std::span<const double>, const IntegrationOptions&,
                                  const IntegrationHooks&);

struct Named {
  const char* name;
  Integrate integrate;
  double order;
};
const Named methods[] = {{"dormand_prince", dormand_prince, 5.0}, {"rodas", rodas, 4.0}};

// Nonlinear and driven: y0' = y0 cos t, y1' = -2 t y1^2; y0 = exp(sin t), y1 = 1/(1 + t^2).
Verdict driven(double t, std::span<const double> y, std::span<double> slope) {
  slope[0] = y[0] * std::cos(t);
  slope[1] = -2.0 * t * y[1] * y[1];
  return Verdict::ok;
}
const Slope driven_slope = driven;

double error_of_driven(const Integration& found) {
  const double t = found.time;
  return std::max(std::abs(found.state[0] - std::exp(std::sin(t))), std::abs(found.state[1] - 1.0 / (1.0 + t * t)));
}

// Order of convergence: half the step, 2^p less error within 10 %. Of y0; y1 is still on its way to that ratio (36 for
// 32) when it meets rounding.
TEST(Integrate, HasItsOrder) {
  for (const Named& method : methods) {
    const auto error = [&](double step) {
      const Integration found = method.integrate(driven_slope, 0.0, 2.0, State{1.0, 1.0},
                                                 {.absolute_tolerance = {1e-9}, .fixed_step = step}, {});
      EXPECT_TRUE(found.reached_end());
      EXPECT_EQ(found.time, 2.0);
      EXPECT_EQ(found.steps, static_cast<int>(std::lround(2.0 / step)));
      return std::abs(found.state[0] - std::exp(std::sin(2.0)));
    };
    const double step = method.order > 4.5 ? 0.025 : 0.0125;
    EXPECT_NEAR(error(step) / error(0.5 * step) / std::pow(2.0, method.order), 1.0, 0.1) << method.name;
  }
}

// The error of the whole run stays below ten times the tolerance of a step.
TEST(Integrate, ErrorFollowsTheTolerance) {
  for (const Named& method : methods) {
    const auto error = [&](double tolerance) {
      return error_of_driven(method.integrate(driven_slope, 0.0, 5.0, State{1.0, 1.0},
                                              {.relative_tolerance = tolerance, .absolute_tolerance = {tolerance}},
                                              {}));
    };
    EXPECT_LT(error(1e-4), 1e-3) << method.name;
    EXPECT_LT(error(1e-7), 1e-6) << method.name;
    EXPECT_LT(error(1e-10), 1e-9) << method.name;
  }
}

// Published: Arenstorf orbit (E. Hairer, S. P. Norsett, G. Wanner, Solving ODEs I, II.0, eq. 0.1 and 0.2), from memory:
// a satellite between earth and moon comes back to its start after 17.0652165601579625588917206249.
TEST(DormandPrince, ClosesTheArenstorfOrbit) {
  const auto orbit = [](double, std::span<const double> y, std::span<double> slope) {
    constexpr double mu = 0.012277471;
    constexpr double rest = 1.0 - mu;
    const double d1 = std::pow((y[0] + mu) * (y[0] + mu) + y[1] * y[1], 1.5);
    const double d2 = std::pow((y[0] - rest) * (y[0] - rest) + y[1] * y[1], 1.5);
    slope[0] = y[2];
    slope[1] = y[3];
    slope[2] = y[0] + 2.0 * y[3] - rest * (y[0] + mu) / d1 - mu * (y[0] - rest) / d2;
    slope[3] = y[1] - 2.0 * y[2] - rest * y[1] / d1 - mu * y[1] / d2;
    return Verdict::ok;
  };
  const State start = {0.994, 0.0, 0.0, -2.00158510637908252240537862224};
  const Integration found = dormand_prince(orbit, 0.0, 17.0652165601579625588917206249, start,
                                           {.relative_tolerance = 1e-11, .absolute_tolerance = {1e-11}});
  ASSERT_TRUE(found.reached_end());
  EXPECT_NEAR(found.state[0], 0.994, 1e-5);
  EXPECT_NEAR(found.state[1], 0.0, 1e-4);
}

Verdict robertson(double, std::span<const double> y, std::span<double> slope) {
  slope[0] = -0.04 * y[0] + 1e4 * y[1] * y[2];
  slope[2] = 3e7 * y[1] * y[1];
  slope[1] = -slope[0] - slope[2];
  return Verdict::ok;
}

Verdict robertson_jacobian(double, std::span<const double> y, Matrix& j) {
  j(0, 0) = -0.04;
  j(0, 1) = 1e4 * y[2];
  j(0, 2) = 1e4 * y[1];
  j(2, 0) = 0.0;
  j(2, 1) = 6e7 * y[1];
  j(2, 2) = 0.0;
  for (std::size_t column = 0; column < 3; ++column) j(1, column) = -j(0, column) - j(2, column);
  return Verdict::ok;
}

// Reference library (IDAS with KLU, relative 1e-8, absolute 1e-12): y1 reaches 1e-4 at 2.0795e7; at 4e10 y1
// = 5.2085e-8, y2 = 2.0834e-13, relative 1e-3. With the exact and with the numerical Jacobian; the sum of the three
// stays 1.
TEST(Rodas, SolvesRobertson) {
  const Slope slope = robertson;
  const IntegrationOptions options{
      .relative_tolerance = 1e-8, .absolute_tolerance = {1e-12, 1e-16, 1e-12}, .time = TimeDependence::autonomous};
  for (const bool exact : {true, false}) {
    IntegrationHooks hooks;
    if (exact) hooks.jacobian = robertson_jacobian;
    const Integration found = rodas(slope, 0.0, 4e10, State{1.0, 0.0, 0.0}, options, hooks);
    ASSERT_TRUE(found.reached_end());
    EXPECT_NEAR(found.state[0] / 5.2085e-8, 1.0, 1e-3);
    EXPECT_NEAR(found.state[1] / 2.0834e-13, 1.0, 1e-3);
    EXPECT_NEAR(found.state[0] + found.state[1] + found.state[2], 1.0, 1e-12);
    EXPECT_LT(found.steps, 3000);

    hooks.event = {.function = [](double, std::span<const double> y) { return y[0] - 1e-4; }};
    const Integration at_event = rodas(slope, 0.0, 4e10, State{1.0, 0.0, 0.0}, options, hooks);
    EXPECT_EQ(at_event.reason, IntegrationReason::event);
    EXPECT_NEAR(at_event.time / 2.0795e7, 1.0, 1e-3);
    EXPECT_NEAR(at_event.state[0] / 1e-4, 1.0, 1e-6);
  }
}

// Published: van der Pol with eps 1e-6 (Test Set for IVP Solvers, problem vdpol, reference solution at 2), from memory:
// 1.706167732170483, -0.8928097010247975.
TEST(Rodas, SolvesVanDerPol) {
  const auto slope = [](double, std::span<const double> y, std::span<double> out) {
    out[0] = y[1];
    out[1] = ((1.0 - y[0] * y[0]) * y[1] - y[0]) / 1e-6;
    return Verdict::ok;
  };
  const Integration found =
      rodas(slope, 0.0, 2.0, State{2.0, 0.0},
            {.relative_tolerance = 1e-8, .absolute_tolerance = {1e-8}, .time = TimeDependence::autonomous});
  ASSERT_TRUE(found.reached_end());
  EXPECT_NEAR(found.state[0], 1.706167732170483, 1e-6);
  EXPECT_NEAR(found.state[1], -0.8928097010247975, 1e-6);
}

// Stiff and driven (Prothero and Robinson): y' = -1e6 (y - cos t) - sin t, y = cos t. The explicit pair needs about a
// third of a million steps for one second; rodas few.
TEST(Rodas, TakesLongStepsWhereTheExplicitPairCannot) {
  const auto slope = [](double t, std::span<const double> y, std::span<double> out) {
    out[0] = -1e6 * (y[0] - std::cos(t)) - std::sin(t);
    return Verdict::ok;
  };
  const IntegrationOptions options{.absolute_tolerance = {1e-6}, .steps = 5000};
  const Integration stiff = rodas(slope, 0.0, 1.0, State{1.0}, options);
  ASSERT_TRUE(stiff.reached_end());
  EXPECT_NEAR(stiff.state[0], std::cos(1.0), 1e-5);
  EXPECT_LT(stiff.steps, 100);
  const Integration explicit_pair = dormand_prince(slope, 0.0, 1.0, State{1.0}, options);
  EXPECT_EQ(explicit_pair.reason, IntegrationReason::out_of_budget);
  EXPECT_EQ(explicit_pair.steps + explicit_pair.rejected, 5000);
  EXPECT_NEAR(explicit_pair.state[0], std::cos(explicit_pair.time), 1e-5) << "where it got is still right";
}

// A ball thrown up at 20 m/s falls back after 2 v/g; the state at the event has the accuracy of the method.
TEST(Integrate, EndsAtTheEvent) {
  for (const Named& method : methods) {
    const Slope slope = [](double, std::span<const double> y, std::span<double> out) {
      out[0] = y[1];
      out[1] = -9.80665;
      return Verdict::ok;
    };
    IntegrationHooks hooks;
    hooks.event =
        Event{.function = [](double, std::span<const double> y) { return y[0]; }, .sense = EventSense::falling};
    const Integration found =
        method.integrate(slope, 0.0, 100.0, State{0.0, 20.0}, {.absolute_tolerance = {1e-9}}, hooks);
    EXPECT_EQ(found.reason, IntegrationReason::event) << method.name;
    EXPECT_NEAR(found.time, 40.0 / 9.80665, 1e-9) << method.name;
    EXPECT_NEAR(found.state[1], -20.0, 1e-8) << method.name;
    hooks.event.sense = EventSense::rising;
    EXPECT_TRUE(
        method.integrate(slope, 0.0, 10.0, State{1.0, 20.0}, {.absolute_tolerance = {1e-9}}, hooks).reached_end());
  }
}

// Torricelli: h' = -sqrt(h), h = (1 - t/2)^2 until 2; the law has no value below 0. The slope asks for shorter steps
// there and the integration ends at the singular point, not beyond it.
TEST(Integrate, ShortensTheStepWhereThereIsNoValue) {
  for (const Named& method : methods) {
    int refused = 0;
    const Slope slope = [&](double, std::span<const double> y, std::span<double> out) {
      if (y[0] < 0.0) {
        ++refused;
        return Verdict::retry_smaller_step;
      }
      out[0] = -std::sqrt(y[0]);
      return Verdict::ok;
    };
    const Integration found =
        method.integrate(slope, 0.0, 1.9, State{1.0}, {.absolute_tolerance = {1e-8}, .first_step = 1.9}, {});
    EXPECT_TRUE(found.reached_end()) << method.name;
    EXPECT_NEAR(found.state[0], 0.0025, 1e-5) << method.name;
    EXPECT_GT(refused, 0) << method.name;
    EXPECT_GT(found.rejected, 0) << method.name;
    const Integration beyond = method.integrate(slope, 0.0, 3.0, State{1.0}, {.absolute_tolerance = {1e-8}}, {});
    EXPECT_GE(beyond.state[0], 0.0) << method.name;
    EXPECT_NEAR(beyond.state[0], 0.0, 1e-5) << method.name;
  }
}

// y' = 1 + y^2 runs to infinity at pi/2.
TEST(Integrate, SaysThatAStepBecameTooSmall) {
  for (const Named& method : methods) {
    const Slope slope = [](double, std::span<const double> y, std::span<double> out) {
      if (std::abs(y[0]) > 1e100) return Verdict::retry_smaller_step;
      out[0] = 1.0 + y[0] * y[0];
      return Verdict::ok;
    };
    const Integration found = method.integrate(slope, 0.0, 2.0, State{0.0}, {.absolute_tolerance = {1e-6}}, {});
    EXPECT_EQ(found.reason, IntegrationReason::step_too_small) << method.name;
    EXPECT_NEAR(found.time, 0.5 * std::numbers::pi, 1e-5) << method.name;
  }
}

TEST(Integrate, TheWatcherDecides) {
  for (const Named& method : methods) {
    double last = 0.0;
    double largest_error = 0.0;
    int retried = 0;
    IntegrationHooks hooks;
    hooks.watch = [&](const StepView& step) {
      if (step.from < 1.0 && step.to > 1.01) {
        ++retried;
        return Verdict::retry_smaller_step;
      }
      EXPECT_EQ(step.from, last) << "steps join";
      last = step.to;
      const double middle = 0.5 * (step.from + step.to);
      largest_error = std::max(largest_error, std::abs(step.at(middle, 0) - std::exp(std::sin(middle))));
      return step.to >= 1.5 ? Verdict::stop : Verdict::ok;
    };
    const Integration found = method.integrate(driven_slope, 0.0, 2.0, State{1.0, 1.0},
                                               {.relative_tolerance = 1e-9, .absolute_tolerance = {1e-9}}, hooks);
    EXPECT_EQ(found.reason, IntegrationReason::stopped) << method.name;
    EXPECT_EQ(found.time, last) << method.name;
    EXPECT_GE(found.time, 1.5) << method.name;
    EXPECT_LT(largest_error, 1e-4) << method.name;
    EXPECT_GE(found.rejected, retried) << method.name;
    EXPECT_LT(error_of_driven(found), 1e-7) << method.name;
  }
}

TEST(Integrate, TheSlopeMayStop) {
  for (const Named& method : methods) {
    const Slope slope = [](double t, std::span<const double> y, std::span<double> out) {
      if (t > 0.7) return Verdict::stop;
      out[0] = -y[0];
      return Verdict::ok;
    };
    const Integration found = method.integrate(slope, 0.0, 2.0, State{1.0}, {.absolute_tolerance = {1e-6}}, {});
    EXPECT_EQ(found.reason, IntegrationReason::stopped) << method.name;
    EXPECT_LE(found.time, 0.7) << method.name;
    EXPECT_NEAR(found.state[0], std::exp(-found.time), 1e-5) << "the last good state";
  }
}

// Going on with next_step gives what one call gives, and the same call the same bytes.
TEST(Integrate, GoesOnAndRepeats) {
  for (const Named& method : methods) {
    const IntegrationOptions options{.relative_tolerance = 1e-8, .absolute_tolerance = {1e-8}};
    const Integration whole = method.integrate(driven_slope, 0.0, 4.0, State{1.0, 1.0}, options, {});
    EXPECT_EQ(whole.state, method.integrate(driven_slope, 0.0, 4.0, State{1.0, 1.0}, options, {}).state);
    const Integration half = method.integrate(driven_slope, 0.0, 2.0, State{1.0, 1.0}, options, {});
    IntegrationOptions further = options;
    further.first_step = half.next_step;
    const Integration rest = method.integrate(driven_slope, 2.0, 4.0, half.state, further, {});
    EXPECT_NEAR(rest.state[0], whole.state[0], 1e-6) << method.name;
    EXPECT_LT(half.steps + rest.steps, whole.steps + 12) << method.name;
  }
}

TEST(Integrate, RefusesWhatHasNoMeaning) {
  const Slope slope = driven;
  const State start = {1.0, 1.0};
  EXPECT_THROW(static_cast<void>(dormand_prince(slope, 0.0, 1.0, start, {})), ContractViolation) << "no tolerance";
  EXPECT_THROW(static_cast<void>(rodas(slope, 1.0, 1.0, start, {.absolute_tolerance = {1e-6}})), ContractViolation);
  EXPECT_THROW(static_cast<void>(rodas(slope, 0.0, 1.0, State{1.0, required}, {.absolute_tolerance = {1e-6}})),
               ContractViolation);
  EXPECT_THROW(static_cast<void>(rodas(slope, 0.0, 1.0, start, {.absolute_tolerance = {required}})), ContractViolation);
}

}  // namespace
}  // namespace fw::numerics
