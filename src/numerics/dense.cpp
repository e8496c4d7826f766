// SPDX-License-Identifier: Apache-2.0
#include "numerics/dense.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <utility>

#include "base/contract.hpp"

namespace fw::numerics {

namespace {

constexpr double epsilon = std::numeric_limits<double>::epsilon();

double dot(std::span<const double> a, std::span<const double> b) {
  return std::inner_product(a.begin(), a.end(), b.begin(), 0.0);
}

// Norm without overflow or underflow of the squares.
double norm(std::span<const double> values) {
  double largest = 0.0;
  for (const double value : values) largest = std::max(largest, std::abs(value));
  if (!(largest > 0.0)) return 0.0;
  double sum = 0.0;
  for (const double value : values) sum += (value / largest) * (value / largest);
  return largest * std::sqrt(sum);
}

bool all_finite(const Matrix& matrix) {
  for (std::size_t column = 0; column < matrix.columns(); ++column) {
    if (!std::ranges::all_of(matrix.column(column), [](double value) { return std::isfinite(value); })) return false;
  }
  return true;
}

}  // namespace

Factored Lu::factor(const Matrix& matrix) {
  FW_EXPECTS(matrix.rows() == matrix.columns());
  ready_ = false;
  if (!all_finite(matrix)) return Factored::singular;
  const std::size_t n = matrix.rows();
  factors_ = matrix;
  pivot_.resize(n);
  for (std::size_t k = 0; k < n; ++k) {
    std::size_t best = k;
    for (std::size_t row = k + 1; row < n; ++row) {
      if (std::abs(factors_(row, k)) > std::abs(factors_(best, k))) best = row;
    }
    pivot_[k] = best;
    const double pivot = factors_(best, k);
    if (pivot == 0.0) return Factored::singular;
    if (best != k) {
      for (std::size_t column = 0; column < n; ++column) std::swap(factors_(k, column), factors_(best, column));
    }
    for (std::size_t row = k + 1; row < n; ++row) factors_(row, k) /= pivot;
    for (std::size_t column = k + 1; column < n; ++column) {
      const double factor = factors_(k, column);
      if (factor == 0.0) continue;
      for (std::size_t row = k + 1; row < n; ++row) factors_(row, column) -= factors_(row, k) * factor;
    }
  }
  ready_ = true;
  return Factored::yes;
}

void Lu::solve(std::span<double> right_side) const {
  const std::size_t n = factors_.rows();
  FW_EXPECTS(ready_ && right_side.size() == n);
  for (std::size_t k = 0; k < n; ++k) std::swap(right_side[k], right_side[pivot_[k]]);
  for (std::size_t column = 0; column < n; ++column) {
    const double value = right_side[column];
    if (value == 0.0) continue;
    for (std::size_t row = column + 1; row < n; ++row) right_side[row] -= factors_(row, column) * value;
  }
  for (std::size_t column = n; column-- > 0;) {
    right_side[column] /= factors_(column, column);
    const double value = right_side[column];
    for (std::size_t row = 0; row < column; ++row) right_side[row] -= factors_(row, column) * value;
  }
}

Factored Cholesky::factor(const Matrix& matrix) {
  FW_EXPECTS(matrix.rows() == matrix.columns());
  ready_ = false;
  if (!all_finite(matrix)) return Factored::singular;
  const std::size_t n = matrix.rows();
  lower_ = matrix;
  for (std::size_t column = 0; column < n; ++column) {
    for (std::size_t row = 0; row < column; ++row) lower_(row, column) = 0.0;
    double diagonal = lower_(column, column);
    for (std::size_t k = 0; k < column; ++k) diagonal -= lower_(column, k) * lower_(column, k);
    if (!(diagonal > 0.0)) return Factored::indefinite;
    const double root = std::sqrt(diagonal);
    lower_(column, column) = root;
    for (std::size_t row = column + 1; row < n; ++row) {
      double value = lower_(row, column);
      for (std::size_t k = 0; k < column; ++k) value -= lower_(row, k) * lower_(column, k);
      lower_(row, column) = value / root;
    }
  }
  ready_ = true;
  return Factored::yes;
}

void Cholesky::solve(std::span<double> right_side) const {
  const std::size_t n = lower_.rows();
  FW_EXPECTS(ready_ && right_side.size() == n);
  for (std::size_t row = 0; row < n; ++row) {
    for (std::size_t k = 0; k < row; ++k) right_side[row] -= lower_(row, k) * right_side[k];
    right_side[row] /= lower_(row, row);
  }
  for (std::size_t row = n; row-- > 0;) {
    for (std::size_t k = row + 1; k < n; ++k) right_side[row] -= lower_(k, row) * right_side[k];
    right_side[row] /= lower_(row, row);
  }
}

const Matrix& Cholesky::lower() const {
  FW_EXPECTS(ready_);
  return lower_;
}

Factored Qr::factor(const Matrix& matrix) {
  const std::size_t rows = matrix.rows();
  const std::size_t columns = matrix.columns();
  FW_EXPECTS(rows >= columns && columns >= 1);
  rank_ = 0;
  factors_ = matrix;
  scale_.assign(columns, 0.0);
  norms_.resize(columns);
  order_.resize(columns);
  std::iota(order_.begin(), order_.end(), std::size_t{0});
  if (!all_finite(matrix)) {
    factors_.fill(0.0);
    return Factored::singular;
  }
  for (std::size_t k = 0; k < columns; ++k) {
    // The norms of what is left are computed afresh: exact, and cheap for the few columns of a fit.
    std::size_t best = k;
    for (std::size_t column = k; column < columns; ++column) {
      norms_[column] = norm(factors_.column(column).subspan(k));
      if (norms_[column] > norms_[best]) best = column;
    }
    if (best != k) {
      std::swap_ranges(factors_.column(k).begin(), factors_.column(k).end(), factors_.column(best).begin());
      std::swap(order_[k], order_[best]);
    }
    const auto head = factors_.column(k).subspan(k);
    const double length = norms_[best];
    if (!(length > 0.0)) break;
    // H = I - v v^T / v0, v scaled so that v0 = 1 + |x0|/length; R's diagonal is -sign(x0) length.
    const double signed_length = head[0] < 0.0 ? -length : length;
    for (double& value : head) value /= signed_length;
    head[0] += 1.0;
    scale_[k] = head[0];
    for (std::size_t column = k + 1; column < columns; ++column) {
      const auto other = factors_.column(column).subspan(k);
      const double factor = dot(head, other) / scale_[k];
      for (std::size_t i = 0; i < other.size(); ++i) other[i] -= factor * head[i];
    }
    head[0] = -signed_length;
  }
  const double least = static_cast<double>(rows) * epsilon * std::abs(factors_(0, 0));
  while (rank_ < columns && std::abs(factors_(rank_, rank_)) > least) ++rank_;
  return rank_ == columns ? Factored::yes : Factored::singular;
}

void Qr::apply_q_transposed(std::span<double> b) const {
  FW_EXPECTS(b.size() == factors_.rows());
  for (std::size_t k = 0; k < factors_.columns(); ++k) {
    if (scale_[k] == 0.0) continue;
    const auto tail = factors_.column(k).subspan(k + 1);
    const auto rest = b.subspan(k + 1);
    const double factor = (scale_[k] * b[k] + dot(tail, rest)) / scale_[k];
    b[k] -= factor * scale_[k];
    for (std::size_t i = 0; i < rest.size(); ++i) rest[i] -= factor * tail[i];
  }
}

void Qr::solve(std::span<const double> q_transposed_b, std::span<double> x) const {
  FW_EXPECTS(q_transposed_b.size() >= factors_.columns() && x.size() == factors_.columns());
  std::ranges::fill(x, 0.0);
  for (std::size_t row = rank_; row-- > 0;) {
    double value = q_transposed_b[row];
    for (std::size_t column = row + 1; column < rank_; ++column) value -= factors_(row, column) * x[order_[column]];
    x[order_[row]] = value / factors_(row, row);
  }
}

std::optional<std::vector<double>> solve_linear(const Matrix& a, std::span<const double> b) {
  FW_EXPECTS(b.size() == a.rows());
  Lu lu;
  if (lu.factor(a) != Factored::yes) return std::nullopt;
  std::vector<double> x(b.begin(), b.end());
  lu.solve(x);
  return x;
}

LeastSquares least_squares(const Matrix& a, std::span<const double> b) {
  FW_EXPECTS(b.size() == a.rows());
  Qr qr;
  qr.factor(a);
  std::vector<double> rotated(b.begin(), b.end());
  qr.apply_q_transposed(rotated);
  LeastSquares result{.x = std::vector<double>(a.columns()), .rank = qr.rank()};
  qr.solve(rotated, result.x);
  for (std::size_t row = qr.rank(); row < rotated.size(); ++row) result.residual_ss += rotated[row] * rotated[row];
  return result;
}

std::vector<double> singular_values(Matrix matrix) {
  const std::size_t columns = matrix.columns();
  FW_EXPECTS(matrix.rows() >= columns && columns >= 1 && all_finite(matrix));
  constexpr int most_sweeps = 60;
  for (int sweep = 0; sweep < most_sweeps; ++sweep) {
    bool rotated = false;
    for (std::size_t i = 0; i + 1 < columns; ++i) {
      for (std::size_t j = i + 1; j < columns; ++j) {
        const auto a = matrix.column(i);
        const auto b = matrix.column(j);
        const double aa = dot(a, a);
        const double bb = dot(b, b);
        const double ab = dot(a, b);
        if (std::abs(ab) <= epsilon * std::sqrt(aa) * std::sqrt(bb)) continue;
        rotated = true;
        const double zeta = (bb - aa) / (2.0 * ab);
        const double tangent = std::copysign(1.0, zeta) / (std::abs(zeta) + std::hypot(1.0, zeta));
        const double cosine = 1.0 / std::hypot(1.0, tangent);
        const double sine = cosine * tangent;
        for (std::size_t row = 0; row < a.size(); ++row) {
          const double value = a[row];
          a[row] = cosine * value - sine * b[row];
          b[row] = sine * value + cosine * b[row];
        }
      }
    }
    if (!rotated) break;
  }
  std::vector<double> values(columns);
  for (std::size_t column = 0; column < columns; ++column) values[column] = norm(matrix.column(column));
  std::ranges::sort(values, std::greater<>());
  return values;
}

}  // namespace fw::numerics
