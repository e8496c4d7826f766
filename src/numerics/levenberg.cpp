// SPDX-License-Identifier: Apache-2.0
#include "numerics/levenberg.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <utility>

#include "base/contract.hpp"

namespace fw::numerics {

namespace {

// Finite, and small enough that sums of squares stay finite.
bool moderate(std::span<const double> values) {
  return std::ranges::all_of(values, [](double value) { return std::isfinite(value) && std::abs(value) < 1e150; });
}

bool moderate(const Matrix& matrix) {
  for (std::size_t column = 0; column < matrix.columns(); ++column) {
    if (!moderate(matrix.column(column))) return false;
  }
  return true;
}

double dot(std::span<const double> a, std::span<const double> b) {
  return std::inner_product(a.begin(), a.end(), b.begin(), 0.0);
}

double norm(std::span<const double> values) { return std::sqrt(dot(values, values)); }

double scaled_norm(std::span<const double> scale, std::span<const double> values) {
  double sum = 0.0;
  for (std::size_t i = 0; i < values.size(); ++i) sum += scale[i] * values[i] * scale[i] * values[i];
  return std::sqrt(sum);
}

double largest_angle(const Matrix& jacobian, std::span<const double> residuals) {
  const double length = norm(residuals);
  if (!(length > 0.0)) return 0.0;
  double largest = 0.0;
  for (std::size_t column = 0; column < jacobian.columns(); ++column) {
    const double width = norm(jacobian.column(column));
    if (width > 0.0) largest = std::max(largest, std::abs(dot(jacobian.column(column), residuals)) / (width * length));
  }
  return largest;
}

/// The step of one Jacobian for any trust radius.
class Subproblem {
 public:
  Subproblem(const Matrix& jacobian, std::span<const double> residuals, std::span<const double> scale)
      : columns_(jacobian.columns()), scale_(scale), rotated_(residuals.begin(), residuals.end()), newton_(columns_) {
    qr_.factor(jacobian);
    qr_.apply_q_transposed(rotated_);
    for (double& value : rotated_) value = -value;
    qr_.solve(rotated_, newton_);
    for (std::size_t column = 0; column < columns_; ++column) {
      gradient_over_scale_ += std::pow(dot(jacobian.column(column), residuals) / scale[column], 2);
    }
    gradient_over_scale_ = std::sqrt(gradient_over_scale_);
  }

  [[nodiscard]] bool full_rank() const { return qr_.rank() == columns_; }
  [[nodiscard]] std::span<const double> newton() const { return newton_; }

  /// The step of at most 1.1 times the radius in the scaled norm, and the lambda that makes it.
  std::vector<double> step(double radius, double& lambda) {
    if (full_rank() && scaled_norm(scale_, newton_) <= 1.1 * radius) {
      lambda = 0.0;
      return newton_;
    }
    double low = 0.0;
    double high = gradient_over_scale_ / radius;
    if (!(lambda > 0.0)) lambda = 1e-3 * high;
    std::vector<double> step(columns_);
    for (int turn = 0; turn < 30; ++turn) {
      lambda = std::clamp(lambda, low, high);
      if (!(lambda > 0.0)) lambda = std::max(std::numeric_limits<double>::min(), 1e-3 * high);
      const double slope = solve_damped(lambda, step);
      const double length = scaled_norm(scale_, step);
      const double excess = length - radius;
      if (std::abs(excess) <= 0.1 * radius || (excess < 0.0 && lambda <= std::numeric_limits<double>::min())) break;
      if (excess > 0.0) low = std::max(low, lambda);
      if (excess < 0.0) high = std::min(high, lambda);
      // Newton on 1/radius - 1/length, which is nearly a straight line in lambda.
      const double next = slope > 0.0 ? lambda + length / radius * excess / slope : 0.5 * (low + high);
      lambda = next > low && next < high ? next : low + 0.5 * (high - low);
    }
    return step;
  }

 private:
  // Solves the least-squares problem with rows sqrt(lambda) D below R; returns -d|D p|/d(lambda).
  double solve_damped(double lambda, std::span<double> step) {
    Matrix augmented(2 * columns_, columns_);
    std::vector<double> right(2 * columns_, 0.0);
    const double root = std::sqrt(lambda);
    for (std::size_t place = 0; place < columns_; ++place) {
      for (std::size_t row = 0; row <= place; ++row) augmented(row, place) = qr_.r(row, place);
      augmented(columns_ + place, place) = root * scale_[qr_.column_at(place)];
      right[place] = rotated_[place];
    }
    damped_.factor(augmented);
    damped_.apply_q_transposed(right);
    std::vector<double> placed(columns_);
    damped_.solve(right, placed);
    for (std::size_t place = 0; place < columns_; ++place) step[qr_.column_at(place)] = placed[place];
    // With q = D^2 p / |D p|: d|D p|/d(lambda) = -|D p| |w|^2, R_lambda^T w = q.
    const double length = scaled_norm(scale_, step);
    if (!(length > 0.0) || damped_.rank() < columns_) return 0.0;
    std::vector<double> w(columns_);
    for (std::size_t row = 0; row < columns_; ++row) {
      const std::size_t place = damped_.column_at(row);
      const std::size_t column = qr_.column_at(place);
      double value = scale_[column] * scale_[column] * step[column] / length;
      for (std::size_t k = 0; k < row; ++k) value -= damped_.r(k, row) * w[k];
      w[row] = value / damped_.r(row, row);
    }
    return length * dot(w, w);
  }

  std::size_t columns_;
  std::span<const double> scale_;
  Qr qr_;
  Qr damped_;
  std::vector<double> rotated_;
  std::vector<double> newton_;
  double gradient_over_scale_ = 0.0;
};

struct Workspace {
  std::vector<double>& r;
  std::vector<double>& trial_r;
  Matrix& j;
  std::vector<double>& scale;
};

// Near the minimum the sum of squares no longer tells a better point from a worse one (its digits are half of those of
// the parameters), but the angle does: Gauss-Newton steps are taken as long as it falls.
void polish(ResidualFunction residual, JacobianFunction jacobian, Workspace work, Fit& fit) {
  constexpr int most_steps = 10;
  constexpr double rounding = 1e-12;
  for (int turn = 0; turn < most_steps && fit.angle > 0.0; ++turn) {
    Subproblem subproblem(work.j, work.r, work.scale);
    if (!subproblem.full_rank()) return;
    std::vector<double> trial = fit.parameters;
    for (std::size_t i = 0; i < trial.size(); ++i) trial[i] += subproblem.newton()[i];
    if (trial == fit.parameters || !moderate(trial)) return;
    Matrix trial_j(work.j.rows(), work.j.columns());
    ++fit.evaluations;
    if (residual(trial, work.trial_r) != Verdict::ok || !moderate(work.trial_r)) return;
    if (jacobian(trial, trial_j) != Verdict::ok || !moderate(trial_j)) return;
    const double trial_ss = dot(work.trial_r, work.trial_r);
    const double angle = largest_angle(trial_j, work.trial_r);
    if (!(angle < fit.angle) || trial_ss > fit.residual_ss * (1.0 + rounding)) return;
    fit.parameters = std::move(trial);
    fit.residual_ss = trial_ss;
    fit.angle = angle;
    std::swap(work.r, work.trial_r);
    work.j = std::move(trial_j);
  }
}

// Condition of the scaled Jacobian from which on a parameter is not determined: a numerical Jacobian has about 10 good
// digits, so beyond it its rounding would be read as information. A judgement, no source.
constexpr double undetermined = 1e10;

// (J^T J)^-1 = (R P^T)^-1 (R P^T)^-T, and the condition of J with columns of length 1.
void describe(const Matrix& jacobian, Fit& fit) {
  const std::size_t n = jacobian.columns();
  Matrix unit = jacobian;
  std::vector<double> width(n);
  for (std::size_t column = 0; column < n; ++column) {
    width[column] = norm(jacobian.column(column));
    if (!(width[column] > 0.0)) return;
    for (double& value : unit.column(column)) value /= width[column];
  }
  Qr qr;
  if (qr.factor(unit) != Factored::yes) return;
  Matrix inverse(n, n);
  for (std::size_t column = 0; column < n; ++column) {
    std::vector<double> right(n, 0.0);
    right[column] = 1.0;
    qr.solve(right, inverse.column(column));
  }
  Matrix covariance(n, n);
  for (std::size_t i = 0; i < n; ++i) {
    for (std::size_t j = 0; j < n; ++j) {
      double sum = 0.0;
      for (std::size_t k = 0; k < n; ++k) sum += inverse(i, k) * inverse(j, k);
      covariance(i, j) = sum / width[i] / width[j];
    }
  }
  const std::vector<double> values = singular_values(std::move(unit));
  if (values.front() > undetermined * values.back()) return;
  fit.unscaled_covariance = std::move(covariance);
  fit.condition = values.front() / values.back();
}

}  // namespace

std::optional<double> Fit::standard_deviation(std::size_t parameter) const {
  FW_EXPECTS(parameter < parameters.size());
  if (!unscaled_covariance || freedom == 0) return std::nullopt;
  return std::sqrt((*unscaled_covariance)(parameter, parameter) * residual_ss / static_cast<double>(freedom));
}

Fit levenberg(ResidualFunction residual, JacobianFunction jacobian, std::span<const double> start,
              std::size_t residuals, const FitOptions& options) {
  const std::size_t n = start.size();
  FW_EXPECTS(n >= 1 && residuals >= n && moderate(start));
  FW_EXPECTS(options.step_tolerance > 0.0 && options.angle_tolerance > 0.0 && options.first_radius > 0.0);
  Fit fit;
  fit.parameters.assign(start.begin(), start.end());
  fit.freedom = residuals - n;
  std::vector<double> r(residuals);
  std::vector<double> trial_r(residuals);
  std::vector<double> trial(n);
  Matrix j(residuals, n);
  std::vector<double> scale(n, 0.0);

  const auto verdict_at_start = residual(fit.parameters, r);
  fit.evaluations = 1;
  if (verdict_at_start != Verdict::ok || !moderate(r)) {
    fit.reason = verdict_at_start == Verdict::stop ? FitReason::stopped : FitReason::not_finite;
    return fit;
  }
  fit.residual_ss = dot(r, r);
  double radius = 0.0;
  double lambda = 0.0;
  bool done = false;
  while (!done) {
    const Verdict slope_verdict = jacobian(fit.parameters, j);
    if (slope_verdict != Verdict::ok || !moderate(j)) {
      fit.reason = slope_verdict == Verdict::stop ? FitReason::stopped : FitReason::not_finite;
      return fit;
    }
    for (std::size_t column = 0; column < n; ++column) {
      const double width = norm(j.column(column));
      scale[column] = std::max(scale[column], width);
      if (scale[column] == 0.0) scale[column] = 1.0;
    }
    fit.angle = largest_angle(j, r);
    if (fit.angle == 0.0) {
      fit.reason = FitReason::converged;
      break;
    }
    const double length = scaled_norm(scale, fit.parameters);
    if (radius == 0.0) radius = options.first_radius * (length > 0.0 ? length : 1.0);
    Subproblem subproblem(j, r, scale);
    bool accepted = false;
    while (!accepted && !done) {
      if (fit.evaluations >= options.evaluations) {
        fit.reason = FitReason::out_of_budget;
        done = true;
        break;
      }
      const std::vector<double> step = subproblem.step(radius, lambda);
      const double step_length = scaled_norm(scale, step);
      for (std::size_t i = 0; i < n; ++i) trial[i] = fit.parameters[i] + step[i];
      const Verdict verdict = moderate(trial) ? residual(trial, trial_r) : Verdict::retry_smaller_step;
      ++fit.evaluations;
      if (verdict == Verdict::stop) {
        fit.reason = FitReason::stopped;
        done = true;
        break;
      }
      const bool usable = verdict == Verdict::ok && moderate(trial_r);
      const double trial_ss = usable ? dot(trial_r, trial_r) : 0.0;
      // Predicted fall of the sum of squares: |J p|^2 + 2 lambda |D p|^2.
      double linear = 0.0;
      for (std::size_t row = 0; row < residuals; ++row) {
        double sum = 0.0;
        for (std::size_t column = 0; column < n; ++column) sum += j(row, column) * step[column];
        linear += sum * sum;
      }
      const double predicted = linear + 2.0 * lambda * step_length * step_length;
      const double actual = usable ? fit.residual_ss - trial_ss : -1.0;
      const double ratio = usable && predicted > 0.0 ? actual / predicted : 0.0;
      if (!usable || ratio <= 0.25) {
        radius = (usable && ratio >= 1e-4 ? 0.5 : 0.25) * std::min(radius, step_length);
      } else if (ratio >= 0.75 || lambda == 0.0) {
        radius = 2.0 * step_length;
        lambda *= 0.5;
      }
      if (usable && ratio >= 1e-4) {
        fit.parameters = trial;
        std::swap(r, trial_r);
        fit.residual_ss = trial_ss;
        accepted = true;
      }
      const double reach = scaled_norm(scale, fit.parameters);
      if (step_length <= options.step_tolerance * reach) {
        if (accepted) {
          if (jacobian(fit.parameters, j) != Verdict::ok || !moderate(j)) {
            fit.reason = FitReason::stalled;
            return fit;
          }
          fit.angle = largest_angle(j, r);
        }
        fit.reason = fit.angle <= options.angle_tolerance ? FitReason::converged : FitReason::stalled;
        done = true;
      }
    }
  }
  if (fit.converged()) polish(residual, jacobian, {.r = r, .trial_r = trial_r, .j = j, .scale = scale}, fit);
  describe(j, fit);
  return fit;
}

Fit levenberg(ResidualFunction residual, std::span<const double> start, std::size_t residuals,
              const FitOptions& options) {
  std::vector<double> moved(start.size());
  std::vector<double> above(residuals);
  std::vector<double> below(residuals);
  const auto jacobian = [&](std::span<const double> parameters, Matrix& j) {
    constexpr double relative_step = 6e-6;  // cube root of epsilon: truncation and rounding alike
    std::ranges::copy(parameters, moved.begin());
    for (std::size_t column = 0; column < parameters.size(); ++column) {
      const double step = relative_step * (parameters[column] != 0.0 ? std::abs(parameters[column]) : 1.0);
      moved[column] = parameters[column] + step;
      const double upper = moved[column];
      if (const Verdict verdict = residual(moved, above); verdict != Verdict::ok) return verdict;
      moved[column] = parameters[column] - step;
      const double lower = moved[column];
      if (const Verdict verdict = residual(moved, below); verdict != Verdict::ok) return verdict;
      moved[column] = parameters[column];
      for (std::size_t row = 0; row < residuals; ++row) j(row, column) = (above[row] - below[row]) / (upper - lower);
    }
    return Verdict::ok;
  };
  return levenberg(residual, jacobian, start, residuals, options);
}

}  // namespace fw::numerics
