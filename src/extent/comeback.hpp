// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>

#include "base/required.hpp"
#include "base/result.hpp"

/// The chance that a repaired vehicle comes back because of what was left in it. Theory: docs/theory/extent.md.
namespace fw::extent {

/// Assumed, editable, updated by a shop's own comebacks: no published data ties debris left to a failure.
struct ComebackPrior {
  double base_a = 2.0;  ///< p0 is Beta(a, b)
  double base_b = 38.0;
  double scale_low = 1e4;  ///< N* is log-uniform between these particles
  double scale_high = 1e7;
  double exponent_low = 0.3;  ///< s is uniform between these
  double exponent_high = 1.0;
};
/// Errors: invalid_input `prior...`.
[[nodiscard]] Result<void> check_prior(const ComebackPrior& prior);

struct ComebackDraw {
  double base = required;      ///< p0 [-]
  double scale = required;     ///< N*
  double exponent = required;  ///< s [-]
};
/// At three probabilities in (0, 1). Precondition: check_prior holds.
[[nodiscard]] ComebackDraw draw_at(const ComebackPrior& prior, double u_base, double u_scale, double u_exponent);
/// Draw `sample`, addressed by seed and names.
[[nodiscard]] ComebackDraw draw_comeback(const ComebackPrior& prior, std::uint64_t seed, std::uint32_t sample);

/// Chance of a comeback within 12 months [-].
///
///   p = p0 + (1 - p0)(1 - exp(-(N14/N*)^s))
///
/// N14: hard particles of at least 14 um(c) left by this failure (as repaired less the same system clean) that reach
/// pump, valve or injectors in 100 h. The clean system has p0 alone. Source: assumed. Errors: invalid_input `n14`.
[[nodiscard]] Result<double> comeback(const ComebackDraw& draw, double n14);

/// An option as money and chance.
struct Stake {
  double cost = required;      ///< of the repair, in any one currency unit
  double comeback = required;  ///< p [-]
  double loss = required;      ///< K: rework, goodwill, downtime, tow
};
/// C + p K. Errors of all below: invalid_input naming the field.
[[nodiscard]] Result<double> expected_cost(const Stake& stake);
/// C + K p/(1 - p): each comeback may come back again.
[[nodiscard]] Result<double> recurring_cost(const Stake& stake);
/// R ln E exp(cost/R): what somebody who shuns risk on a scale R would pay instead.
[[nodiscard]] Result<double> certain_cost(const Stake& stake, double risk_scale);

/// p_A at which A costs what B is expected to cost: (C_B - C_A + p_B K_B)/K_A. Outside 0 to 1 nothing flips: below 0 B
/// is always cheaper, above 1 A is. Check: 2400, 6800, 9500, 0.03, 7200 -> 0.48589474.
[[nodiscard]] Result<double> break_even(const Stake& a, const Stake& b);
/// The same for certain costs. Check: R 20000 -> 0.43136424.
[[nodiscard]] Result<double> break_even(const Stake& a, const Stake& b, double risk_scale);

}  // namespace fw::extent
