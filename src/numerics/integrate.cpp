// SPDX-License-Identifier: Apache-2.0
#include "numerics/integrate.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "base/contract.hpp"
#include "numerics/hermite.hpp"
#include "numerics/roots.hpp"

namespace fw::numerics {

namespace {

constexpr double epsilon = std::numeric_limits<double>::epsilon();

bool all_finite(std::span<const double> values) {
  return std::ranges::all_of(values, [](double value) { return std::isfinite(value); });
}

/// The problem as the methods see it: counts calls, and turns a slope that is not finite into a wish for a shorter
/// step.
class Problem {
 public:
  Problem(SlopeFunction slope, const IntegrationOptions& options, const IntegrationHooks& hooks, std::size_t size)
      : options_(options), hooks_(hooks), slope_(slope), size_(size) {}

  Verdict slope(double t, std::span<const double> y, std::span<double> out) {
    ++slope_calls;
    if (!all_finite(y)) return Verdict::retry_smaller_step;
    const Verdict verdict = slope_(t, y, out);
    if (verdict == Verdict::ok && !all_finite(out)) return Verdict::retry_smaller_step;
    return verdict;
  }

  [[nodiscard]] double absolute(std::size_t i) const {
    return options_.absolute_tolerance[options_.absolute_tolerance.size() == 1 ? 0 : i];
  }

  // Root mean square of error over tolerance.
  [[nodiscard]] double norm(std::span<const double> error, std::span<const double> before,
                            std::span<const double> after) const {
    double sum = 0.0;
    for (std::size_t i = 0; i < size_; ++i) {
      const double scale =
          absolute(i) + options_.relative_tolerance * std::max(std::abs(before[i]), std::abs(after[i]));
      // Beyond 1e100 the step is rejected whatever the number is, and its square must stay finite.
      const double ratio = std::min(std::abs(error[i]) / scale, 1e100);
      sum += ratio * ratio;
    }
    return std::sqrt(sum / static_cast<double>(size_));
  }

  [[nodiscard]] std::size_t size() const { return size_; }
  [[nodiscard]] const IntegrationOptions& options() const { return options_; }
  [[nodiscard]] const IntegrationHooks& hooks() const { return hooks_; }

  long slope_calls = 0;
  int jacobians = 0;

 private:
  const IntegrationOptions& options_;
  const IntegrationHooks& hooks_;
  SlopeFunction slope_;
  std::size_t size_;
};

struct Point {
  double t;
  std::vector<double> y;
  std::vector<double> slope;
};

/// A one-step method.
class Method {
 public:
  virtual ~Method() = default;
  /// Tries one step of length h: fills `after` (time, state and slope) and the scaled error.
  [[nodiscard]] virtual Verdict attempt(const Point& before, double h, Point& after, double& error) = 0;
  /// `before` has changed.
  virtual void moved() {}
  /// The error of a step falls as h to this power.
  [[nodiscard]] virtual double error_order() const = 0;
};

class DormandPrince final : public Method {
 public:
  explicit DormandPrince(Problem& problem) : problem_(problem), y_(problem.size()), error_(problem.size()) {
    for (auto& k : k_) k.resize(problem.size());
  }

  [[nodiscard]] double error_order() const override { return 5.0; }

  [[nodiscard]] Verdict attempt(const Point& before, double h, Point& after, double& error) override {
    static constexpr std::array<double, 6> c = {0.2, 0.3, 0.8, 8.0 / 9.0, 1.0, 1.0};
    static constexpr double a[6][6] = {
        {1.0 / 5.0},
        {3.0 / 40.0, 9.0 / 40.0},
        {44.0 / 45.0, -56.0 / 15.0, 32.0 / 9.0},
        {19372.0 / 6561.0, -25360.0 / 2187.0, 64448.0 / 6561.0, -212.0 / 729.0},
        {9017.0 / 3168.0, -355.0 / 33.0, 46732.0 / 5247.0, 49.0 / 176.0, -5103.0 / 18656.0},
        {35.0 / 384.0, 0.0, 500.0 / 1113.0, 125.0 / 192.0, -2187.0 / 6784.0, 11.0 / 84.0}};
    static constexpr std::array<double, 7> e = {71.0 / 57600.0,      0.0,          -71.0 / 16695.0, 71.0 / 1920.0,
                                                -17253.0 / 339200.0, 22.0 / 525.0, -1.0 / 40.0};
    const std::size_t n = problem_.size();
    k_[0] = before.slope;
    for (std::size_t stage = 0; stage < 6; ++stage) {
      for (std::size_t i = 0; i < n; ++i) {
        double sum = 0.0;
        for (std::size_t j = 0; j <= stage; ++j) sum += a[stage][j] * k_[j][i];
        y_[i] = before.y[i] + h * sum;
      }
      const Verdict verdict = problem_.slope(before.t + c[stage] * h, y_, k_[stage + 1]);
      if (verdict != Verdict::ok) return verdict;
    }
    after.y = y_;
    after.slope = k_[6];
    for (std::size_t i = 0; i < n; ++i) {
      double sum = 0.0;
      for (std::size_t j = 0; j < 7; ++j) sum += e[j] * k_[j][i];
      error_[i] = h * sum;
    }
    error = problem_.norm(error_, before.y, after.y);
    return Verdict::ok;
  }

 private:
  Problem& problem_;
  std::array<std::vector<double>, 7> k_;
  std::vector<double> y_;
  std::vector<double> error_;
};

class Rodas final : public Method {
 public:
  explicit Rodas(Problem& problem)
      : problem_(problem),
        jacobian_(problem.size(), problem.size()),
        matrix_(problem.size(), problem.size()),
        in_time_(problem.size()),
        y_(problem.size()),
        slope_(problem.size()),
        other_(problem.size()) {
    for (auto& u : u_) u.resize(problem.size());
  }

  [[nodiscard]] double error_order() const override { return 4.0; }
  void moved() override { derivatives_known_ = false; }

  [[nodiscard]] Verdict attempt(const Point& before, double h, Point& after, double& error) override {
    static constexpr double gamma = 0.25;
    static constexpr std::array<double, 4> c = {0.0, 0.386, 0.21, 0.63};
    static constexpr std::array<double, 4> d = {0.25, -0.1043, 0.1035, -0.03620000000000023};
    static constexpr double a[5][4] = {{},
                                       {1.544},
                                       {0.9466785280815826, 0.2557011698983284},
                                       {3.314825187068521, 2.896124015972201, 0.9986419139977817},
                                       {1.221224509226641, 6.019134481288629, 12.53708332932087, -0.6878860361058950}};
    static constexpr double g[6][5] = {
        {},
        {-5.6688},
        {-2.430093356833875, -0.2063599157091915},
        {-0.1073529058151375, -9.594562251023355, -20.47028614809616},
        {7.496443313967647, -10.24680431464352, -33.99990352819905, 11.70890893206160},
        {8.083246795921522, -7.981132988064893, -31.52159432874371, 16.31930543123136, -6.058818238834054}};
    const std::size_t n = problem_.size();
    if (!derivatives_known_) {
      const Verdict verdict = differentiate(before, h);
      if (verdict != Verdict::ok) return verdict;
      derivatives_known_ = true;
    }
    for (std::size_t column = 0; column < n; ++column) {
      for (std::size_t row = 0; row < n; ++row) {
        matrix_(row, column) = (row == column ? 1.0 / (h * gamma) : 0.0) - jacobian_(row, column);
      }
    }
    if (lu_.factor(matrix_) != Factored::yes) return Verdict::retry_smaller_step;
    for (std::size_t stage = 0; stage < 6; ++stage) {
      for (std::size_t i = 0; i < n; ++i) {
        double sum = before.y[i];
        if (stage < 5) {
          for (std::size_t j = 0; j < std::min<std::size_t>(stage, 4); ++j) sum += a[stage][j] * u_[j][i];
        } else {
          sum = y_[i] + u_[4][i];
        }
        y_[i] = sum;
      }
      if (stage == 0) {
        slope_ = before.slope;
      } else {
        const Verdict verdict = problem_.slope(before.t + (stage < 4 ? c[stage] : 1.0) * h, y_, slope_);
        if (verdict != Verdict::ok) return verdict;
      }
      for (std::size_t i = 0; i < n; ++i) {
        double sum = 0.0;
        for (std::size_t j = 0; j < stage; ++j) sum += g[stage][j] * u_[j][i];
        u_[stage][i] = slope_[i] + sum / h + (stage < 4 ? h * d[stage] * in_time_[i] : 0.0);
      }
      lu_.solve(u_[stage]);
    }
    for (std::size_t i = 0; i < n; ++i) after.y[i] = y_[i] + u_[5][i];
    error = problem_.norm(u_[5], before.y, after.y);
    return problem_.slope(after.t, after.y, after.slope);
  }

 private:
  // Jacobian and df/dt at the point.
  [[nodiscard]] Verdict differentiate(const Point& before, double h) {
    ++problem_.jacobians;
    if (problem_.hooks().jacobian) {
      const Verdict verdict = problem_.hooks().jacobian(before.t, before.y, jacobian_);
      if (verdict != Verdict::ok) return verdict;
    } else {
      y_ = before.y;
      for (std::size_t column = 0; column < problem_.size(); ++column) {
        const Verdict verdict = difference(before, column);
        if (verdict != Verdict::ok) return verdict;
      }
    }
    std::ranges::fill(in_time_, 0.0);
    if (problem_.options().time == TimeDependence::autonomous) return Verdict::ok;
    // Second order from one side, so that nothing before this point is asked for; within the step, so that a slope
    // that changes as fast as the step is long is seen.
    const double later = before.t + std::max(1e-3 * h, 64.0 * epsilon * std::abs(before.t));
    const double step = later - before.t;
    Verdict verdict = problem_.slope(later, before.y, slope_);
    if (verdict != Verdict::ok) return verdict;
    verdict = problem_.slope(later + step, before.y, other_);
    if (verdict != Verdict::ok) return verdict;
    for (std::size_t i = 0; i < problem_.size(); ++i) {
      in_time_[i] = (4.0 * (slope_[i] - before.slope[i]) - (other_[i] - before.slope[i])) / (2.0 * step);
    }
    return Verdict::ok;
  }

  // One column of the Jacobian. The component moves the way the solution goes; where that has no value, the other way.
  [[nodiscard]] Verdict difference(const Point& before, std::size_t column) {
    const double least = problem_.absolute(column) / problem_.options().relative_tolerance;
    const double size = std::sqrt(epsilon) * std::max(std::abs(before.y[column]), least);
    double step = before.slope[column] < 0.0 ? -size : size;
    Verdict verdict = Verdict::ok;
    for (int side = 0; side < 2; ++side, step = -step) {
      y_[column] = before.y[column] + step;
      verdict = problem_.slope(before.t, y_, slope_);
      if (verdict != Verdict::retry_smaller_step) break;
    }
    const double moved_by = y_[column] - before.y[column];
    y_[column] = before.y[column];
    if (verdict != Verdict::ok) return verdict;
    if (moved_by == 0.0) return Verdict::retry_smaller_step;
    for (std::size_t row = 0; row < problem_.size(); ++row) {
      jacobian_(row, column) = (slope_[row] - before.slope[row]) / moved_by;
    }
    return Verdict::ok;
  }

  Problem& problem_;
  Matrix jacobian_;
  Matrix matrix_;
  Lu lu_;
  std::array<std::vector<double>, 6> u_;
  std::vector<double> in_time_;
  std::vector<double> y_;
  std::vector<double> slope_;
  std::vector<double> other_;
  bool derivatives_known_ = false;
};

// First step of Hairer, Norsett and Wanner I, II.4: from the sizes of the state, its slope and the change of its slope.
double first_step(Problem& problem, const Point& start, double span, double order) {
  const double size = problem.norm(start.y, start.y, start.y);
  const double speed = problem.norm(start.slope, start.y, start.y);
  double step = size < 1e-5 || speed < 1e-5 ? 1e-6 : 0.01 * size / speed;
  step = std::min(step, span);
  std::vector<double> moved = start.y;
  for (std::size_t i = 0; i < moved.size(); ++i) moved[i] += step * start.slope[i];
  std::vector<double> slope(moved.size());
  if (problem.slope(start.t + step, moved, slope) != Verdict::ok) return 0.01 * step;
  for (std::size_t i = 0; i < moved.size(); ++i) slope[i] -= start.slope[i];
  const double bend = problem.norm(slope, start.y, start.y) / step;
  const double most = std::max(speed, bend);
  const double refined = most <= 1e-15 ? std::max(1e-6, 1e-3 * step) : std::pow(0.01 / most, 1.0 / order);
  return std::min({100.0 * step, refined, span});
}

bool crosses(double before, double after, EventSense sense) {
  if (before < 0.0 && after >= 0.0) return sense != EventSense::falling;
  if (before > 0.0 && after <= 0.0) return sense != EventSense::rising;
  return false;
}

/// Takes steps until something ends the integration.
class Stepper {
 public:
  Stepper(Problem& problem, Method& method, double to, std::span<const double> start, double from)
      : problem_(problem),
        method_(method),
        to_(to),
        now_{.t = from, .y = {start.begin(), start.end()}, .slope = std::vector<double>(start.size())},
        next_(now_),
        within_(start.size()) {}

  Integration run() {
    const IntegrationOptions& options = problem_.options();
    const Verdict verdict = problem_.slope(now_.t, now_.y, now_.slope);
    if (verdict != Verdict::ok) {
      return ended(verdict == Verdict::stop ? IntegrationReason::stopped : IntegrationReason::step_too_small);
    }
    if (options.fixed_step) {
      step_ = *options.fixed_step;
    } else if (options.first_step) {
      step_ = *options.first_step;
    } else {
      step_ = first_step(problem_, now_, to_ - now_.t, method_.error_order());
    }
    step_ = std::min(step_, options.largest_step);
    if (problem_.hooks().event.function) event_now_ = problem_.hooks().event.function(now_.t, now_.y);
    while (now_.t < to_) {
      if (steps_ + rejected_ >= options.steps) return ended(IntegrationReason::out_of_budget);
      if (const auto reason = advance()) return ended(*reason);
    }
    return ended(IntegrationReason::reached_end);
  }

 private:
  // One attempt; a reason when it ends the integration.
  std::optional<IntegrationReason> advance() {
    const double left = to_ - now_.t;
    double h = step_;
    bool last = h >= left * (1.0 - 1e-9);
    if (last) {
      h = left;
    } else if (!problem_.options().fixed_step && h > 0.5 * left) {
      h = 0.5 * left;  // Two even steps instead of a long one and a stub.
    }
    double error = 0.0;
    Verdict verdict = attempt(h, last, error);
    if (verdict == Verdict::stop) return IntegrationReason::stopped;
    if (verdict != Verdict::ok) return shorten(0.25 * h);
    if (!problem_.options().fixed_step && error > 1.0) {
      return shorten(h * std::max(0.2, safety * std::pow(error, -1.0 / method_.error_order())));
    }
    bool at_event = false;
    if (problem_.hooks().event.function) {
      event_next_ = problem_.hooks().event.function(next_.t, next_.y);
      if (crosses(event_now_, event_next_, problem_.hooks().event.sense)) {
        at_event = true;
        const double to_event = event_time() - now_.t;
        if (to_event < h) {
          // The step is taken anew so that the state at the event has the accuracy of the method.
          last = false;
          verdict = attempt(std::max(to_event, 4.0 * epsilon * std::max(std::abs(now_.t), to_event)), last, error);
          if (verdict == Verdict::stop) return IntegrationReason::stopped;
          if (verdict != Verdict::ok) return shorten(0.25 * to_event);
          event_next_ = problem_.hooks().event.function(next_.t, next_.y);
        }
      }
    }
    if (problem_.hooks().watch) {
      verdict = problem_.hooks().watch({.from = now_.t,
                                        .to = next_.t,
                                        .before = now_.y,
                                        .after = next_.y,
                                        .slope_before = now_.slope,
                                        .slope_after = next_.slope});
      if (verdict == Verdict::retry_smaller_step) return shorten(0.5 * (next_.t - now_.t));
    }
    accept(h, error);
    if (verdict == Verdict::stop) return IntegrationReason::stopped;
    if (at_event) return IntegrationReason::event;
    return std::nullopt;
  }

  [[nodiscard]] Verdict attempt(double h, bool last, double& error) {
    next_.t = last ? to_ : now_.t + h;
    const Verdict verdict = method_.attempt(now_, h, next_, error);
    if (verdict == Verdict::ok && !all_finite(next_.y)) return Verdict::retry_smaller_step;
    return verdict;
  }

  std::optional<IntegrationReason> shorten(double h) {
    ++rejected_;
    after_rejection_ = true;
    if (problem_.options().fixed_step || h < 16.0 * epsilon * std::abs(now_.t) ||
        h < std::numeric_limits<double>::min()) {
      return IntegrationReason::step_too_small;
    }
    step_ = h;
    return std::nullopt;
  }

  void accept(double h, double error) {
    ++steps_;
    std::swap(now_, next_);
    event_now_ = event_next_;
    method_.moved();
    if (problem_.options().fixed_step) return;
    // K. Gustafsson's proportional-integral law; no growth right after a rejection.
    const double order = method_.error_order();
    const double scaled = std::max(error, 1e-10);
    double factor = safety * std::pow(scaled, -0.7 / order) * std::pow(error_before_, 0.4 / order);
    factor = std::clamp(factor, 0.2, after_rejection_ ? 1.0 : 5.0);
    error_before_ = std::max(scaled, 1e-4);
    after_rejection_ = false;
    step_ = std::min(h * factor, problem_.options().largest_step);
  }

  // Zero of the event along the cubic of the step.
  double event_time() {
    const StepView view{.from = now_.t,
                        .to = next_.t,
                        .before = now_.y,
                        .after = next_.y,
                        .slope_before = now_.slope,
                        .slope_after = next_.slope};
    const auto along = [&](double t) {
      if (t == now_.t) return event_now_;
      if (t == next_.t) return event_next_;
      for (std::size_t i = 0; i < within_.size(); ++i) within_[i] = view.at(t, i);
      return problem_.hooks().event.function(t, within_);
    };
    const Root root = brent(along, {.low = now_.t, .high = next_.t});
    return root.converged() ? root.x : next_.t;
  }

  Integration ended(IntegrationReason reason) {
    return {.time = now_.t,
            .state = now_.y,
            .reason = reason,
            .steps = steps_,
            .rejected = rejected_,
            .slope_calls = problem_.slope_calls,
            .jacobians = problem_.jacobians,
            .next_step = step_};
  }

  static constexpr double safety = 0.9;

  Problem& problem_;
  Method& method_;
  double to_;
  Point now_;
  Point next_;
  std::vector<double> within_;
  double step_ = 0.0;
  double error_before_ = 1e-4;
  double event_now_ = 0.0;
  double event_next_ = 0.0;
  bool after_rejection_ = false;
  int steps_ = 0;
  int rejected_ = 0;
};

bool is_positive(double value) { return !std::isnan(value) && value > 0.0; }

void expect_sound(double from, double to, std::span<const double> start, const IntegrationOptions& options) {
  FW_EXPECTS(std::isfinite(from) && std::isfinite(to) && from < to);
  FW_EXPECTS(!start.empty() && all_finite(start));
  FW_EXPECTS(is_positive(options.relative_tolerance) && options.relative_tolerance < 1.0);
  FW_EXPECTS(options.absolute_tolerance.size() == 1 || options.absolute_tolerance.size() == start.size());
  FW_EXPECTS(std::ranges::all_of(options.absolute_tolerance, is_positive));
  FW_EXPECTS(!options.first_step || is_positive(*options.first_step));
  FW_EXPECTS(!options.fixed_step || is_positive(*options.fixed_step));
  FW_EXPECTS(is_positive(options.largest_step) && options.steps > 0);
}

}  // namespace

double StepView::at(double t, std::size_t component) const {
  return hermite({.x = from, .value = before[component], .slope = slope_before[component]},
                 {.x = to, .value = after[component], .slope = slope_after[component]}, t)
      .value;
}

Integration dormand_prince(SlopeFunction slope, double from, double to, std::span<const double> start,
                           const IntegrationOptions& options, const IntegrationHooks& hooks) {
  expect_sound(from, to, start, options);
  Problem problem(slope, options, hooks, start.size());
  DormandPrince method(problem);
  return Stepper(problem, method, to, start, from).run();
}

Integration rodas(SlopeFunction slope, double from, double to, std::span<const double> start,
                  const IntegrationOptions& options, const IntegrationHooks& hooks) {
  expect_sound(from, to, start, options);
  Problem problem(slope, options, hooks, start.size());
  Rodas method(problem);
  return Stepper(problem, method, to, start, from).run();
}

}  // namespace fw::numerics
