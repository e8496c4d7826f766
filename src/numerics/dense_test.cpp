// SPDX-License-Identifier: Apache-2.0
#include "numerics/dense.hpp"

#include <cmath>
#include <string>
#include <vector>

#include <gtest/gtest.h>

#include "base/contract.hpp"
#include "base/required.hpp"
#include "numerics/stream.hpp"
#include "published_table.hpp"

namespace fw::numerics {
namespace {

// Elements uniform in (-1, 1), the same for a name every time.
Matrix random_matrix(std::size_t rows, std::size_t columns, const std::string& name) {
  Matrix matrix(rows, columns);
  std::uint32_t draw = 0;
  for (std::size_t column = 0; column < columns; ++column) {
    for (double& value : matrix.column(column)) {
      value = 2.0 * uniform(1, key_of(name), Purpose::synthetic, draw++) - 1.0;
    }
  }
  return matrix;
}

std::vector<double> times(const Matrix& a, const std::vector<double>& x) {
  std::vector<double> b(a.rows());
  for (std::size_t column = 0; column < a.columns(); ++column) {
    for (std::size_t row = 0; row < a.rows(); ++row) b[row] += a(row, column) * x[column];
  }
  return b;
}

std::vector<double> counting(std::size_t n) {
  std::vector<double> x(n);
  for (std::size_t i = 0; i < n; ++i) x[i] = 1.0 + static_cast<double>(i);
  return x;
}

// Closed form: the inverse of the Hilbert matrix of order 5 has integer elements; its first column is 25, -300, 1050,
// -1400, 630 (R. Savage, E. Lukacs, NBS Appl. Math. Ser. 39 (1954) 105). Condition 4.8e5, so 10 digits are left.
TEST(Lu, InvertsTheHilbertMatrix) {
  Matrix hilbert(5, 5);
  for (std::size_t i = 0; i < 5; ++i) {
    for (std::size_t j = 0; j < 5; ++j) hilbert(i, j) = 1.0 / static_cast<double>(i + j + 1);
  }
  const auto x = solve_linear(hilbert, std::vector<double>{1, 0, 0, 0, 0});
  ASSERT_TRUE(x.has_value());
  const double exact[5] = {25, -300, 1050, -1400, 630};
  for (std::size_t i = 0; i < 5; ++i) EXPECT_NEAR((*x)[i] / exact[i], 1.0, 1e-10);
  Cholesky cholesky;
  ASSERT_EQ(cholesky.factor(hilbert), Factored::yes);
  std::vector<double> y = {1, 0, 0, 0, 0};
  cholesky.solve(y);
  for (std::size_t i = 0; i < 5; ++i) EXPECT_NEAR(y[i] / exact[i], 1.0, 1e-10);
  // Published: condition number in the 2-norm 4.766e5 (J. Todd, NBS Appl. Math. Ser. 39 (1954) 109), from memory.
  const auto values = singular_values(hilbert);
  EXPECT_NEAR(values.front() / values.back(), 4.766e5, 50.0);
}

TEST(Lu, SolvesWhatNeedsPivoting) {
  for (const std::size_t n : {1U, 2U, 7U, 40U}) {
    Matrix a = random_matrix(n, n, "lu-" + std::to_string(n));
    if (n > 1) a(0, 0) = 0.0;
    const std::vector<double> exact = counting(n);
    const auto x = solve_linear(a, times(a, exact));
    ASSERT_TRUE(x.has_value()) << n;
    const auto left = times(a, *x);
    const auto right = times(a, exact);
    for (std::size_t i = 0; i < n; ++i) EXPECT_NEAR(left[i], right[i], 1e-13 * static_cast<double>(n * n));
  }
}

TEST(Lu, SaysSingular) {
  Matrix a(2, 2);
  a(0, 0) = 1.0;
  a(0, 1) = 2.0;
  a(1, 0) = 2.0;
  a(1, 1) = 4.0;
  EXPECT_FALSE(solve_linear(a, std::vector<double>{1.0, 1.0}).has_value());
  a(1, 1) = required;
  Lu lu;
  EXPECT_EQ(lu.factor(a), Factored::singular);
  std::vector<double> b = {1.0, 1.0};
  EXPECT_THROW(lu.solve(b), ContractViolation);
}

TEST(Cholesky, FactorsGramMatricesAndRefusesOthers) {
  const Matrix a = random_matrix(9, 6, "cholesky");
  Matrix gram(6, 6);
  for (std::size_t i = 0; i < 6; ++i) {
    for (std::size_t j = 0; j < 6; ++j) {
      for (std::size_t k = 0; k < 9; ++k) gram(i, j) += a(k, i) * a(k, j);
    }
  }
  Cholesky cholesky;
  ASSERT_EQ(cholesky.factor(gram), Factored::yes);
  for (std::size_t i = 0; i < 6; ++i) {
    for (std::size_t j = 0; j < 6; ++j) {
      double product = 0.0;
      for (std::size_t k = 0; k < 6; ++k) product += cholesky.lower()(i, k) * cholesky.lower()(j, k);
      EXPECT_NEAR(product, gram(i, j), 1e-14 * 9);
    }
  }
  std::vector<double> b = times(gram, counting(6));
  cholesky.solve(b);
  for (std::size_t i = 0; i < 6; ++i) EXPECT_NEAR(b[i], counting(6)[i], 1e-11);
  gram(3, 3) = -1.0;
  EXPECT_EQ(cholesky.factor(gram), Factored::indefinite);
  EXPECT_THROW(static_cast<void>(cholesky.lower()), ContractViolation);
}

// Q^T keeps lengths, R^T R = (A P)^T (A P), and the diagonal of R falls.
TEST(Qr, KeepsTheGeometry) {
  const Matrix a = random_matrix(12, 5, "qr");
  Qr qr;
  ASSERT_EQ(qr.factor(a), Factored::yes);
  std::vector<double> b = counting(12);
  double before = 0.0;
  for (const double value : b) before += value * value;
  qr.apply_q_transposed(b);
  double after = 0.0;
  for (const double value : b) after += value * value;
  EXPECT_NEAR(after / before, 1.0, 1e-14);
  for (std::size_t i = 0; i < 5; ++i) {
    for (std::size_t j = 0; j < 5; ++j) {
      double left = 0.0;
      double right = 0.0;
      for (std::size_t k = 0; k < 5; ++k) left += qr.r(k, i) * qr.r(k, j);
      for (std::size_t k = 0; k < 12; ++k) right += a(k, qr.column_at(i)) * a(k, qr.column_at(j));
      EXPECT_NEAR(left, right, 1e-13);
    }
    if (i > 0) {
      EXPECT_LE(std::abs(qr.r(i, i)), std::abs(qr.r(i - 1, i - 1)) * (1.0 + 1e-14));
    }
  }
}

// Published: NIST StRD, Longley, certified to 15 digits. Condition 5e9: 8 digits are asked for.
TEST(LeastSquares, MeetsTheCertifiedValuesOfLongley) {
  const auto table = test::published_table("numerics/nist_longley.csv");
  Matrix a(table.rows.size(), 7);
  std::vector<double> y;
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    a(row, 0) = 1.0;
    for (std::size_t j = 1; j < 7; ++j) a(row, j) = table.number(row, "x" + std::to_string(j));
    y.push_back(table.number(row, "y"));
  }
  const LeastSquares fit = least_squares(a, y);
  const double certified[7] = {-3482258.63459582, 15.0618722713733,       -0.358191792925910E-01, -2.02022980381683,
                               -1.03322686717359, -0.511041056535807E-01, 1829.15146461355};
  EXPECT_EQ(fit.rank, 7U);
  for (std::size_t j = 0; j < 7; ++j) EXPECT_NEAR(fit.x[j] / certified[j], 1.0, 1e-8) << j;
  EXPECT_NEAR(fit.residual_ss / 836424.055505915, 1.0, 1e-9);
}

TEST(LeastSquares, FindsTheRank) {
  Matrix a = random_matrix(10, 4, "rank");
  for (std::size_t row = 0; row < 10; ++row) a(row, 2) = 3.0 * a(row, 0) - a(row, 1);
  const std::vector<double> b = times(a, {1.0, 2.0, 0.0, 4.0});
  const LeastSquares fit = least_squares(a, b);
  EXPECT_EQ(fit.rank, 3U);
  const auto reached = times(a, fit.x);
  for (std::size_t i = 0; i < 10; ++i) EXPECT_NEAR(reached[i], b[i], 1e-13);
  EXPECT_EQ(least_squares(Matrix(3, 2), std::vector<double>{1.0, 2.0, 2.0}).rank, 0U);
  EXPECT_DOUBLE_EQ(least_squares(Matrix(3, 2), std::vector<double>{1.0, 2.0, 2.0}).residual_ss, 9.0);
}

// Closed forms: a diagonal, and [[3, 0], [4, 5]] with singular values sqrt(45) and sqrt(5).
TEST(SingularValues, MatchClosedForms) {
  Matrix a(2, 2);
  a(0, 0) = 3.0;
  a(1, 0) = 4.0;
  a(1, 1) = 5.0;
  const auto values = singular_values(a);
  EXPECT_NEAR(values[0], std::sqrt(45.0), 1e-14);
  EXPECT_NEAR(values[1], std::sqrt(5.0), 1e-14);
  Matrix wide(3, 2);
  wide(0, 0) = 1e-8;
  wide(2, 1) = -1e8;
  EXPECT_DOUBLE_EQ(singular_values(wide)[0], 1e8);
  EXPECT_DOUBLE_EQ(singular_values(wide)[1], 1e-8);
}

TEST(Dense, RefusesWrongShapes) {
  Lu lu;
  Qr qr;
  EXPECT_THROW(static_cast<void>(lu.factor(Matrix(2, 3))), ContractViolation);
  EXPECT_THROW(qr.factor(Matrix(2, 3)), ContractViolation);
  EXPECT_THROW(static_cast<void>(least_squares(Matrix(3, 2), std::vector<double>{1.0})), ContractViolation);
}

}  // namespace
}  // namespace fw::numerics
