// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/required.hpp"
#include "base/result.hpp"
#include "fuel/liquid.hpp"
#include "hydraulics/network.hpp"

/// Arithmetic of the law drop = a Q + b Q|Q|, to which most parts reduce, and the loss coefficient K behind it.
namespace fw::hydraulics {

/// A part as a resistor, and how far its law stands from the data behind it.
struct ResistorLaw {
  ResistorCoefficients coefficients;
  Range range = Range::fitted;
};

/// No loss: the neutral element of `in_series`.
inline constexpr ResistorCoefficients no_loss{.linear_Pa_s_per_m3 = 0.0, .quadratic_Pa_s2_per_m6 = 0.0};

/// Cross-section [m2] of a round bore.
[[nodiscard]] double bore_area_m2(double bore_m);

/// Re = 4 Q/(pi d nu) [-], not negative. Bore and liquid are taken as valid.
[[nodiscard]] double bore_reynolds(double flow_m3_per_s, double bore_m, const fuel::Liquid& liquid);

/// Parts passed one after the other: coefficients add.
[[nodiscard]] ResistorCoefficients in_series(const ResistorCoefficients& first, const ResistorCoefficients& second);

/// `count` times the same loss (a count, or the one draw of a law shared by many parts).
[[nodiscard]] ResistorCoefficients times(const ResistorCoefficients& loss, double count);

/// The pipe with the loss added along it: still one element for the solver.
[[nodiscard]] PipeCoefficients with_loss(const PipeCoefficients& pipe, const ResistorCoefficients& loss);

/// drop = a Q + b Q|Q| [Pa], sign of the flow.
[[nodiscard]] double drop_Pa(const ResistorCoefficients& law, double flow_m3_per_s);

/// Flow [m3/s] that has the drop: the root 2|dp|/(a + sqrt(a^2 + 4 b |dp|)), stable for b -> 0 and a -> 0.
/// 0 for a drop of 0. Precondition: a or b above 0.
[[nodiscard]] double flow_at_drop_m3_per_s(const ResistorCoefficients& law, double drop_Pa);

/// Loss coefficient in two terms, K = k1/Re + k_infinity [-], referred to rho V^2/2 in the bore with Re = V d/nu.
struct LossCoefficient {
  double k1 = required;
  double k_infinity = required;
};

/// The resistor that equals K = k1/Re + k_infinity exactly, at every Reynolds number:
///
///   dp = K rho V^2/2, V = Q/A, Re = V d/nu
///   k1 part:   (k1 nu/(V d)) rho V^2/2 = k1 mu V/(2 d)   ->  a = k1 mu/(2 d A)
///   constant:  k_infinity rho V^2/2                      ->  b = k_infinity rho/(2 A^2)
///
/// Errors: invalid_input naming `bore_m`, `k1`, `k_infinity` (negative or not finite) or the liquid's field.
/// Check: k1 800, k_infinity 1.4667 in 9.525 mm at Re 1500 is K 2.0000 (hydraulics page, elbow by 2-K).
[[nodiscard]] Result<ResistorCoefficients> resistor_of(const LossCoefficient& loss, double bore_m,
                                                       const fuel::Liquid& liquid);

/// K [-] on the bore that a resistor has at one Reynolds number: the inverse of `resistor_of`, for papers and tests.
/// Arguments are taken as valid, Re above 0.
[[nodiscard]] double loss_coefficient_at(const ResistorCoefficients& law, double reynolds, double bore_m,
                                         const fuel::Liquid& liquid);

}  // namespace fw::hydraulics
