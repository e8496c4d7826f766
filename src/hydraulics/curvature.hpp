// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/required.hpp"
#include "base/result.hpp"

/// Friction of a hose laid in an arc, fully developed, against the straight one at the same Reynolds number.
/// For arcs over about 90 degrees; a short elbow is a fitting (common practice, no source).
namespace fw::hydraulics {

/// A dimensionless answer and how far it stands from the data behind it.
struct CurvatureNumber {
  double value = 0.0;
  Range range = Range::fitted;
};

/// Dean number De = Re sqrt(d/Dc) [-], Dc = twice the bend radius; `curvature` = sqrt(d/Dc).
/// Check: 9.5 mm, radius 100 mm, 180 L/h, 4.5e-6 m2/s: 324.55687.
[[nodiscard]] double dean_number(double reynolds, double curvature);

/// f_curved/f_straight [-] of laminar flow, {1 - [1 - (11.6/De)^0.45]^(1/0.45)}^-1, 1 up to De 11.6.
/// Range: De <= 2000, above extrapolated. Errors: invalid_input `dean`.
/// Source: C. M. White, Proc. R. Soc. A 123 (1929) 645. Check: De 324.55687 -> 2.3271464.
[[nodiscard]] Result<CurvatureNumber> white_factor(double dean);

/// f_curved/f_straight [-] of laminar flow, 1 + 0.033 (log10 De)^4, 1 up to De 1.
/// Range: De <= 3000, above extrapolated. Errors: invalid_input `dean`.
/// Source: Mishra & Gupta, Ind. Eng. Chem. Proc. Des. Dev. 18 (1979) 130. Check: De 324.55687 -> 2.3125080.
[[nodiscard]] Result<CurvatureNumber> mishra_gupta_factor(double dean);

/// Darcy factor [-] of turbulent flow in an arc, f_straight + 0.03 sqrt(d/Dc).
/// Range: 4500 < Re < 1e5, elsewhere extrapolated. Errors: invalid_input `reynolds`, `curvature` (0 to 0.7072),
/// `straight_friction_factor`. Source: Mishra & Gupta (1979), with Blasius 0.316 Re^-0.25 for the straight pipe.
struct ArcFlow {
  double reynolds = required;
  double curvature = required;  ///< sqrt(d/Dc) [-]
  double straight_friction_factor = required;
};
[[nodiscard]] Result<CurvatureNumber> mishra_gupta_turbulent_friction(const ArcFlow& flow);

/// Reynolds number [-] at which flow in an arc turns turbulent, by three authors, who differ by 12 % at
/// d/Dc 0.005, 1 % at 0.02 and 12 % at 0.2.
struct CriticalReynolds {
  double ito = 0.0;             ///< 2e4 (d/Dc)^0.32; Ito, J. Basic Eng. 81 (1959) 123; d/Dc 1/860 to 1/15
  double srinivasan = 0.0;      ///< 2100 (1 + 12 sqrt(d/Dc)); Srinivasan et al.
  double schmidt = 0.0;         ///< 2300 (1 + 8.6 (d/Dc)^0.45); Schmidt (1967)
  Range range = Range::fitted;  ///< extrapolated when outside Ito's d/Dc
};

/// Errors: invalid_input `curvature` (sqrt(d/Dc), above 0, at most 0.7072).
[[nodiscard]] Result<CriticalReynolds> critical_reynolds(double curvature);

}  // namespace fw::hydraulics
