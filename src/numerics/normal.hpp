// SPDX-License-Identifier: Apache-2.0
#pragma once

namespace fw::numerics {

/// Quantile of the standard normal distribution [-] at probability u in (0, 1).
///
/// Rational approximation PPND16 of M. J. Wichura, Algorithm AS 241, Appl. Statist. 37 (1988) 477-484, about
/// 1e-16 relative. Precondition: 0 < u < 1. Check (paper): u 0.25 -> -0.6744897501960817,
/// u 0.001 -> -3.090232306167814, u 1e-20 -> -9.262340089798408.
[[nodiscard]] double standard_normal_quantile(double u);

/// 0.95 quantile of the standard normal [-]: turns a 90 % half-width into a standard deviation.
inline constexpr double normal_95 = 1.6448536269514722;

}  // namespace fw::numerics
