// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

/// Small full matrices: up to some hundred unknowns, no blocking, no sparsity. Theory: docs/theory/numerics.md, Small
/// linear systems.
///
/// Factors keep their memory, so that factoring again a matrix of the same size allocates nothing.
namespace fw::numerics {

/// A full matrix, stored column by column.
class Matrix {
 public:
  Matrix() = default;
  /// All elements 0.
  Matrix(std::size_t rows, std::size_t columns) : rows_(rows), columns_(columns), elements_(rows * columns) {}

  [[nodiscard]] std::size_t rows() const { return rows_; }
  [[nodiscard]] std::size_t columns() const { return columns_; }
  [[nodiscard]] double& operator()(std::size_t row, std::size_t column) { return elements_[column * rows_ + row]; }
  [[nodiscard]] double operator()(std::size_t row, std::size_t column) const { return elements_[column * rows_ + row]; }
  [[nodiscard]] std::span<double> column(std::size_t column) { return {&elements_[column * rows_], rows_}; }
  [[nodiscard]] std::span<const double> column(std::size_t column) const { return {&elements_[column * rows_], rows_}; }
  /// Sets every element.
  void fill(double value) { elements_.assign(elements_.size(), value); }

  friend bool operator==(const Matrix&, const Matrix&) = default;

 private:
  std::size_t rows_ = 0;
  std::size_t columns_ = 0;
  std::vector<double> elements_;
};

/// Whether a matrix could be factored.
enum class Factored : unsigned char {
  yes,
  singular,    ///< a pivot is 0 or not finite to working precision (QR: fewer independent columns than columns)
  indefinite,  ///< Cholesky only: not positive definite
};

/// L U = P A by elimination with row pivoting.
/// Source: G. H. Golub, C. F. Van Loan, Matrix Computations, 4th ed. (2013), algorithm 3.4.1.
/// Backward stable in practice: residual of a solve about n epsilon |A| |x|.
class Lu {
 public:
  /// Precondition: square. After `singular` no solve is allowed.
  [[nodiscard]] Factored factor(const Matrix& matrix);
  /// Replaces the right side by the solution. Preconditions: factored, of the same size.
  void solve(std::span<double> right_side) const;

 private:
  Matrix factors_;
  std::vector<std::size_t> pivot_;
  bool ready_ = false;
};

/// L L^T = A of a symmetric positive definite matrix, of which the lower triangle is read.
/// Source: Golub and Van Loan, algorithm 4.2.1.
class Cholesky {
 public:
  /// Precondition: square.
  [[nodiscard]] Factored factor(const Matrix& matrix);
  /// Replaces the right side by the solution. Preconditions: factored, of the same size.
  void solve(std::span<double> right_side) const;
  /// L, the upper triangle 0. Precondition: factored.
  [[nodiscard]] const Matrix& lower() const;

 private:
  Matrix lower_;
  bool ready_ = false;
};

/// Q R = A P by Householder reflections with column pivoting, rows >= columns.
/// Source: P. Businger, G. H. Golub, Numer. Math. 7 (1965) 269-276; Golub and Van Loan, algorithm 5.4.1.
class Qr {
 public:
  /// Precondition: rows >= columns >= 1. `singular`: rank() < columns.
  Factored factor(const Matrix& matrix);
  /// Columns whose diagonal of R exceeds rows x epsilon x the largest.
  [[nodiscard]] std::size_t rank() const { return rank_; }
  /// Replaces b by Q^T b. Precondition: factored, b has one element for each row.
  void apply_q_transposed(std::span<double> b) const;
  /// Element of R, 0 below the diagonal; columns in pivoted order.
  [[nodiscard]] double r(std::size_t row, std::size_t column) const {
    return row > column ? 0.0 : factors_(row, column);
  }
  /// Column of A that stands at this place of R.
  [[nodiscard]] std::size_t column_at(std::size_t place) const { return order_[place]; }
  /// Least-squares solution of A x = b from Q^T b; columns beyond the rank get 0.
  void solve(std::span<const double> q_transposed_b, std::span<double> x) const;

 private:
  Matrix factors_;
  std::vector<double> scale_;
  std::vector<double> norms_;
  std::vector<std::size_t> order_;
  std::size_t rank_ = 0;
};

/// Solution of A x = b. nullopt: singular. Preconditions: square, of the same size.
[[nodiscard]] std::optional<std::vector<double>> solve_linear(const Matrix& a, std::span<const double> b);

struct LeastSquares {
  std::vector<double> x;     ///< of those with the least residual; free columns are 0
  double residual_ss = 0.0;  ///< sum of squares of b - A x
  std::size_t rank = 0;      ///< below the number of columns: x is not the only one
};
/// x with the least |A x - b|, by QR with column pivoting. Preconditions: rows >= columns >= 1, sizes agree.
/// Check: NIST StRD linear regression, Longley: 6 certified parameters to 8 digits (dense_test.cpp).
[[nodiscard]] LeastSquares least_squares(const Matrix& a, std::span<const double> b);

/// Singular values, largest first, by one-sided Jacobi rotations: each to high relative accuracy.
/// Source: J. Demmel, K. Veselic, SIAM J. Matrix Anal. Appl. 13 (1992) 1204-1245. Precondition: rows >= columns >= 1.
[[nodiscard]] std::vector<double> singular_values(Matrix matrix);

}  // namespace fw::numerics
