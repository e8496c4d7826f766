// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "numerics/normal.hpp"

/// Cumulative distributions [-] and their inverses. The only place that includes Boost.Math.
///
/// The incomplete beta and gamma functions and their inverses are those of Boost.Math 1.74 (DiDonato, Morris, ACM
/// Trans. Math. Softw. 18 (1992) 360-373; Temme, 1992), in double precision. The cumulative probability of a quantile
/// returned here agrees with the one asked for to 1e-11 up to parameters of 1e6 (measured).
/// Theory: docs/theory/numerics.md, Distributions.
namespace fw::numerics {

/// Standard normal, erfc(-z / sqrt 2) / 2. Precondition: z is finite.
[[nodiscard]] double standard_normal_cdf(double z);

struct Beta {
  double a = 1.0;  ///< > 0; 1 and 1 is the uniform
  double b = 1.0;  ///< > 0
};
/// Probability of at most x. Preconditions: a, b > 0 and finite, 0 <= x <= 1.
[[nodiscard]] double beta_cdf(double x, const Beta& beta);
/// Preconditions: a, b > 0 and finite, 0 < u < 1. Check: u 0.95, a 3.5, b 7.5 -> 0.558126766485.
[[nodiscard]] double beta_quantile(double u, const Beta& beta);

/// Preconditions: freedom > 0 and finite, 0 < u < 1. Check: u 0.95, freedom 8 -> 15.5073130559.
[[nodiscard]] double chi_squared_quantile(double u, double freedom);

/// Preconditions: freedom > 0 and finite, 0 < u < 1. Check (tables of Student's t): u 0.975, freedom 10 -> 2.228.
[[nodiscard]] double student_t_quantile(double u, double freedom);

}  // namespace fw::numerics
