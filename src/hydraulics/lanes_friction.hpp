// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "hydraulics/lanes.hpp"

/// Pipe friction as phi = f Re / 64, the factor on Poiseuille's drop: 1 in laminar flow, never falling with Re.
/// One text for every lane width (reason for the header: a template on the number type).
namespace fw::hydraulics {
namespace {

/// phi [-] and d(phi)/d(ln Re) [-].
template <class N>
struct Friction {
  N phi;
  N slope;
};

constexpr double friction_laminar_end = 800.0;  ///< below, phi - 1 of Churchill is under 1e-17
constexpr double friction_reynolds_end = 1e8;   ///< beyond, phi is held: only iterates come here

/// Straight pipe, Churchill. Valid: friction_laminar_end <= Re <= friction_reynolds_end.
///
///   f = 8 [(8/Re)^12 + (A + B)^-1.5]^(1/12),  A = (2.457 L)^16,  B = (37530/Re)^16,
///   L = -ln X,  X = (7/Re)^0.9 + 0.27 e
///
/// written with c = Re/37530, v = (Re/8) c^2, w = 1 + (2.457 L c)^16:  phi = (1 + T)^(1/12), T = v^12 w^-1.5.
/// Nothing overflows. S. W. Churchill, Chem. Eng. 84(24) (1977) 91-92.
template <class N>
FW_LANES_INLINE Friction<N> churchill(N reynolds, N roughness) {
  const N smooth = minus_nine_tenths_power(reynolds * (1.0 / 7.0));
  const N x = smooth + 0.27 * roughness;
  const N l = N{} - logarithm(x);
  const N c = reynolds * (1.0 / 37530.0);
  const N u = 2.457 * (l * c);
  const N u2 = u * u;
  const N u4 = u2 * u2;
  const N u8 = u4 * u4;
  const N u16 = u8 * u8;
  const N w = 1.0 + u16;
  const N root = square_root(w);
  const N xl = x * l;
  const N reciprocal = 1.0 / ((w * root) * xl);
  const N v = reynolds * 0.125 * (c * c);
  const N v2 = v * v;
  const N v4 = v2 * v2;
  const N t = ((v4 * v4) * v4) * (xl * reciprocal);
  const N sum = 1.0 + t;
  const N phi = twelfth_root(sum);
  // d(ln phi)/d(ln Re) = T/(1 + T) (3 - 2 (u16/w) d(ln u)/d(ln Re)),  d(ln u)/d(ln Re) = 1 + 0.9 (7/Re)^0.9/(X L)
  const N share = (u16 * root) * (reciprocal * (xl + 0.9 * smooth));
  return {phi, (phi * t) * (3.0 - 2.0 * share) / sum};
}

/// The same law from tables, for the solver. Valid: friction_laminar_end <= Re <= friction_reynolds_end.
///
///   s = (7/Re)^0.9,  X = s + 0.27 e,  L = -ln X,  w = 1 + (2.457 L c)^16,  h = w^(-1/8),  q = v h,  T = q^12,
///   p = (1 + T)^(-11/12):  phi = (1 + T) p,  d(phi)/d(ln Re) = T p (3 - 2 (1 - 1/w) (1 + 0.9 s/(X L)))
///
/// Each of the four powers and logarithms is a function of one number: exponent and top mantissa bits pick from
/// tables that stay in registers, a quintic or sextic in the rest of the mantissa follows. A table of phi itself would
/// need one per relative roughness, and every point has its own. One division, no root. Largest distance from
/// churchill() in phi below 1e-11 (test), so the steps where two pieces meet stay below the solver's tolerance.
template <class N>
FW_LANES_INLINE Friction<N> table_churchill(N reynolds, N roughness) {
  const N smooth = short_minus_nine_tenths_power(reynolds * (1.0 / 7.0));
  const N x = smooth + 0.27 * roughness;
  const N l = N{} - short_logarithm(x);
  const N growth = smooth / (x * l);
  const N c = reynolds * (1.0 / 37530.0);
  const N u = 2.457 * (l * c);
  const N u2 = u * u;
  const N u4 = u2 * u2;
  const N u8 = u4 * u4;
  const N u16 = u8 * u8;
  const N h = minus_eighth_power(1.0 + u16);
  const N h2 = h * h;
  const N h4 = h2 * h2;
  const N q = (reynolds * 0.125 * (c * c)) * h;
  const N q2 = q * q;
  const N q4 = q2 * q2;
  const N t = (q4 * q4) * q4;
  const N sum = 1.0 + t;
  const N p = minus_eleven_twelfths_power(sum);
  const N share = (u16 * (h4 * h4)) * (1.0 + 0.9 * growth);
  return {sum * p, (t * p) * (3.0 - 2.0 * share)};
}

/// Forms of Churchill's law: as published, and from tables.
struct ExactChurchill {
  template <class N>
  FW_LANES_INLINE static Friction<N> straight(N reynolds, N roughness) {
    return churchill(reynolds, roughness);
  }
};
struct TableChurchill {
  template <class N>
  FW_LANES_INLINE static Friction<N> straight(N reynolds, N roughness) {
    return table_churchill(reynolds, roughness);
  }
};

/// phi of Colebrook-White and its slope; 1/sqrt(f) = x = -2 log10(e/3.7 + 2.51 x/Re).
///
/// With h = ln(10)/2 and t = h e Re/(3.7 * 2.51) the unknown d = h x solves d + ln(t + d) = ln(h Re/2.51). One step
/// of the fourth-order iteration of F. N. Fritsch, R. E. Shafer, W. P. Crowley, Comm. ACM 16 (1973) 123-124, from
/// y - ln(y) y/(1 + y) leaves less than 1e-12 in f (test). Valid: Re >= 1000.
template <class N>
FW_LANES_INLINE Friction<N> colebrook(N reynolds, N roughness) {
  constexpr double h = 1.1512925464970228;
  const N t = (h / (3.7 * 2.51)) * roughness * reynolds;
  const N z = logarithm((h / 2.51) * reynolds);
  const N y = t + z;
  const N log_y = logarithm(y);
  const N start = y - log_y * y / (1.0 + y);
  const N rest = z - (start - t) - logarithm(start);
  const N one = 1.0 + start;
  const N k = 2.0 * one * (one + (2.0 / 3.0) * rest);
  const N d = (start - t) + start * (rest * (k - rest)) / (one * (k - 2.0 * rest));
  // f = (h/d)^2; d' = d(d)/d(ln Re) from d' + (t + d')/(t + d) = 1.
  const N sum = t + d;
  const N log_slope_d = (sum - t) / ((sum + 1.0) * d);
  const N root = h / d;
  const N phi = root * root * (reynolds * (1.0 / 64.0));
  return {phi, phi * (1.0 - 2.0 * log_slope_d)};
}

/// Straight pipe with a drawn transition Re_m: Poiseuille below 0.9 Re_m, Colebrook above 1.1 Re_m, between them
/// ln(phi) a cubic in ln(Re) that meets value and slope of both (issue 02; assumed, no source). Valid: Re > 0.9 Re_m.
template <class N>
FW_LANES_INLINE Friction<N> sampled_transition(N reynolds, N roughness, N transition) {
  constexpr double width = 0.20067069546215116;  // ln(1.1/0.9)
  const N end = 1.1 * transition;
  const N begin = 0.9 * transition;
  Friction<N> law = colebrook(larger(reynolds, end), roughness);
  const auto between = (reynolds > begin) & (reynolds < end);
  if (any(between)) {
    const N s = logarithm(select(between, reynolds / begin, all<N>(1.0))) * (1.0 / width);
    const N high = logarithm(law.phi);
    const N rise = width * law.slope / law.phi;
    const N s2 = s * s;
    const N phi = exponential(s2 * (high * (3.0 - 2.0 * s) + rise * (s - 1.0)));
    const N slope = phi * (s * (high * (6.0 - 6.0 * s) + rise * (3.0 * s - 2.0))) * (1.0 / width);
    law.phi = select(between, phi, law.phi);
    law.slope = select(between, slope, law.slope);
  }
  return law;
}

template <class N>
FW_LANES_INLINE N twelfth_power(N x) {
  const N x2 = x * x;
  const N x4 = x2 * x2;
  return x4 * x4 * x4;
}

/// Adds a bend to a straight law: phi^12 = phi_c^12 + (phi_s^12 - 1) (1 + 0.03 k Re / (64 phi_s))^12.
///
/// phi_c = 1 + 0.033 (log10 De)^4 for De = k Re > 1, else 1; k = sqrt(bore/bend diameter). In turbulent flow
/// phi_s dominates and f grows by 0.03 k. P. Mishra, S. N. Gupta, Ind. Eng. Chem. Process Des. Dev. 18 (1979)
/// 130-137 for both branches (1 < De < 3000; 4500 < Re < 1e5); the blend has Churchill's form and is assumed.
template <class N>
FW_LANES_INLINE Friction<N> bent(Friction<N> straight, N reynolds, N curvature) {
  constexpr double per_ln10 = 0.43429448190325182;
  const N lg = per_ln10 * logarithm(larger(curvature * reynolds, all<N>(1.0)));
  const N lg3 = lg * lg * lg;
  const N c = 1.0 + 0.033 * (lg3 * lg);
  const N c12 = twelfth_power(c);
  const N bend = (0.03 / 64.0) * curvature * reynolds / straight.phi;
  const N bend_slope = bend * (1.0 - straight.slope / straight.phi);
  const N growth = 1.0 + bend;
  const N growth12 = twelfth_power(growth);
  const N s12 = twelfth_power(straight.phi);
  const N turbulent = (s12 - 1.0) * growth12;
  // A twelfth of the slopes of both terms.
  const N c_slope = c12 * ((0.132 * per_ln10) * lg3) / c;
  const N turbulent_slope = growth12 * s12 * straight.slope / straight.phi + turbulent * bend_slope / growth;
  const N sum = c12 + turbulent;
  const N phi = twelfth_root(sum);
  return {phi, phi * (c_slope + turbulent_slope) / sum};
}

/// The product's pipe law: Churchill where transition == 0, else the drawn transition; bent where curvature > 0.
/// Safe for every finite reynolds >= 0. Lanes that share a call do not change each other's bits: a branch is
/// skipped only where its result would be thrown away. Form: ExactChurchill or TableChurchill.
template <class Form, class N>
FW_LANES_INLINE Friction<N> pipe_friction(N reynolds, N roughness, N curvature, N transition) {
  const N re = smaller(larger(reynolds, all<N>(1.0)), all<N>(friction_reynolds_end));
  const auto drawn = transition > 0.0;
  const auto not_laminar = re > select(drawn, 0.9 * transition, all<N>(friction_laminar_end));
  Friction<N> law{all<N>(1.0), all<N>(0.0)};
  if (any(not_laminar)) {
    Friction<N> found = law;
    if (any(not_laminar & (transition <= 0.0))) {
      found = Form::straight(larger(re, all<N>(friction_laminar_end)), roughness);
    }
    if (any(not_laminar & drawn)) {
      const Friction<N> other = sampled_transition(re, roughness, select(drawn, transition, all<N>(2000.0)));
      found.phi = select(drawn, other.phi, found.phi);
      found.slope = select(drawn, other.slope, found.slope);
    }
    law.phi = select(not_laminar, found.phi, law.phi);
    law.slope = select(not_laminar, found.slope, law.slope);
  }
  const auto curved = curvature > 0.0;
  if (any(curved)) {
    const Friction<N> with_bend = bent(law, re, curvature);
    law.phi = select(curved, with_bend.phi, law.phi);
    law.slope = select(curved, with_bend.slope, law.slope);
  }
  const auto held = reynolds > friction_reynolds_end;
  law.slope = select(held, all<N>(0.0), law.slope);
  return law;
}

}  // namespace
}  // namespace fw::hydraulics
