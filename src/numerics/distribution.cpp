// SPDX-License-Identifier: Apache-2.0
#include "numerics/distribution.hpp"

#include <cmath>
#include <numbers>

#include <boost/math/distributions/beta.hpp>
#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/students_t.hpp>

#include "base/contract.hpp"

namespace fw::numerics {

namespace {

// In double, not long double: the same result wherever long double is another type.
using Policy = boost::math::policies::policy<boost::math::policies::promote_double<false>>;
using BoostBeta = boost::math::beta_distribution<double, Policy>;

bool is_positive(double value) { return std::isfinite(value) && value > 0.0; }
bool is_inside_unit(double u) { return std::isfinite(u) && u > 0.0 && u < 1.0; }

}  // namespace

double standard_normal_cdf(double z) {
  FW_EXPECTS(std::isfinite(z));
  return 0.5 * std::erfc(-z / std::numbers::sqrt2);
}

double beta_cdf(double x, const Beta& beta) {
  FW_EXPECTS(is_positive(beta.a) && is_positive(beta.b));
  FW_EXPECTS(std::isfinite(x) && x >= 0.0 && x <= 1.0);
  return boost::math::cdf(BoostBeta(beta.a, beta.b), x);
}

double beta_quantile(double u, const Beta& beta) {
  FW_EXPECTS(is_positive(beta.a) && is_positive(beta.b) && is_inside_unit(u));
  return boost::math::quantile(BoostBeta(beta.a, beta.b), u);
}

double chi_squared_quantile(double u, double freedom) {
  FW_EXPECTS(is_positive(freedom) && is_inside_unit(u));
  return boost::math::quantile(boost::math::chi_squared_distribution<double, Policy>(freedom), u);
}

double student_t_quantile(double u, double freedom) {
  FW_EXPECTS(is_positive(freedom) && is_inside_unit(u));
  return boost::math::quantile(boost::math::students_t_distribution<double, Policy>(freedom), u);
}

}  // namespace fw::numerics
