// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <limits>
#include <optional>
#include <span>
#include <vector>

#include "numerics/dense.hpp"
#include "numerics/function_ref.hpp"
#include "numerics/verdict.hpp"

/// Initial-value problems y' = f(t, y). Theory: docs/theory/numerics.md, Integration in time.
namespace fw::numerics {

/// Writes dy/dt. retry_smaller_step: no value here (a negative absolute pressure, say), a shorter step may avoid it.
using SlopeFunction = FunctionRef<Verdict(double t, std::span<const double> y, std::span<double> slope)>;
/// Writes d(slope row)/d(y column).
using SlopeJacobian = std::function<Verdict(double t, std::span<const double> y, Matrix& jacobian)>;

/// One finished step, before it is accepted. Views are valid during the call only.
struct StepView {
  double from;
  double to;
  std::span<const double> before;
  std::span<const double> after;
  std::span<const double> slope_before;
  std::span<const double> slope_after;

  /// Component of the state within the step, by the cubic through both ends and slopes (order 4 in the step).
  [[nodiscard]] double at(double t, std::size_t component) const;
};

/// Looks at every step: ok accepts it, retry_smaller_step takes it back and halves it, stop accepts it and ends there.
using StepWatcher = std::function<Verdict(const StepView&)>;

enum class EventSense : std::uint8_t { either, rising, falling };

/// A function of time and state whose zero ends the integration, at the zero.
struct Event {
  std::function<double(double t, std::span<const double> y)> function;  ///< empty: no event
  EventSense sense = EventSense::either;
};

struct IntegrationHooks {
  StepWatcher watch;  ///< may be empty
  Event event;
  SlopeJacobian jacobian;  ///< rodas only; empty: by differences, one call of the slope for each component
};

/// Whether the slope depends on time itself. rodas needs to know: it spends two calls per step on df/dt, or none.
enum class TimeDependence : std::uint8_t { explicit_time, autonomous };

struct IntegrationOptions {
  double relative_tolerance = 1e-6;  ///< of each component, per step [-]; 0 < and < 1
  /// Absolute tolerance of each component, in its unit; one value stands for all. Required: a pressure and a mass
  /// fraction have no common one.
  std::vector<double> absolute_tolerance;
  std::optional<double> first_step;  ///< s; not given: from the first slopes
  std::optional<double> fixed_step;  ///< s; the error is then not controlled, the last step ends at the end
  double largest_step = std::numeric_limits<double>::infinity();  ///< s
  int steps = 100000;                                             ///< most attempts, rejected ones included
  TimeDependence time = TimeDependence::explicit_time;
};

enum class IntegrationReason : std::uint8_t {
  reached_end,
  event,           ///< at the zero of the event
  stopped,         ///< a callback said stop
  step_too_small,  ///< the step cannot be shortened further: a singularity, a jump, or no value here
  out_of_budget,   ///< `steps` did not suffice
};

/// Where the integration ended. Not reaching the end is data: time and state are the last accepted ones.
struct Integration {
  double time = 0.0;
  std::vector<double> state;
  IntegrationReason reason = IntegrationReason::out_of_budget;
  int steps = 0;     ///< accepted
  int rejected = 0;  ///< attempts taken back, for the error or by a callback
  long slope_calls = 0;
  int jacobians = 0;       ///< rodas only
  double next_step = 0.0;  ///< s; a good first step to go on with

  [[nodiscard]] bool reached_end() const { return reason == IntegrationReason::reached_end; }
};

/// Dormand and Prince's explicit pair of order 5(4), for problems that are not stiff: seven stages, the last of which
/// is the first of the next step.
///
/// Step control: the root mean square of error / (absolute + relative |y|) is kept below 1 per step by a
/// proportional-integral law. On stiff problems it takes steps of about 3.3 over the largest |eigenvalue|: use rodas.
/// A jump of the slope in time costs rejected steps: end there and start anew.
///
/// Source: J. R. Dormand, P. J. Prince, J. Comput. Appl. Math. 6 (1980) 19-26; step control as in E. Hairer, S. P.
/// Norsett, G. Wanner, Solving Ordinary Differential Equations I (1993), II.4 and II (1996), IV.2. Preconditions: to >
/// from, finite start, tolerances as commented. Allocates at the start only.
/// Check: order 5; Arenstorf orbit closed after its period (integrate_test.cpp).
[[nodiscard]] Integration dormand_prince(SlopeFunction slope, double from, double to, std::span<const double> start,
                                         const IntegrationOptions& options, const IntegrationHooks& hooks = {});

/// RODAS, a Rosenbrock method of order 4(3) with six stages, L-stable and stiffly accurate, for stiff problems: one
/// Jacobian and one factorisation per step, no iteration.
///
/// Loses order (to about 2) on problems driven by fast time-dependent terms. Dense Jacobian: up to some hundred
/// components. The rest as for dormand_prince.
///
/// Source: E. Hairer, G. Wanner, Solving Ordinary Differential Equations II (1996), IV.7, coefficients of their program
/// RODAS, method 1. Check: order 4; Robertson's problem at 4e10 s: 5.2085e-8, 2.0834e-13; van der Pol at 1e-6.
[[nodiscard]] Integration rodas(SlopeFunction slope, double from, double to, std::span<const double> start,
                                const IntegrationOptions& options, const IntegrationHooks& hooks = {});

}  // namespace fw::numerics
