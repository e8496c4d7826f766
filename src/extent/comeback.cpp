// SPDX-License-Identifier: Apache-2.0
#include "extent/comeback.hpp"

#include <cmath>

#include <fmt/format.h>

#include "base/input_check.hpp"
#include "numerics/distribution.hpp"
#include "numerics/stream.hpp"

namespace fw::extent {
namespace {

InputCheck check_stake(const Stake& stake, const char* name) {
  InputCheck check;
  check.non_negative(stake.cost, fmt::format("{}.cost", name))
      .within(stake.comeback, {.low = 0.0, .high = 1.0}, fmt::format("{}.comeback", name))
      .non_negative(stake.loss, fmt::format("{}.loss", name));
  return check;
}

}  // namespace

Result<void> check_prior(const ComebackPrior& prior) {
  InputCheck check;
  check.positive(prior.base_a, "prior.base_a")
      .positive(prior.base_b, "prior.base_b")
      .positive(prior.scale_low, "prior.scale_low")
      .positive(prior.scale_high, "prior.scale_high")
      .positive(prior.exponent_low, "prior.exponent_low")
      .positive(prior.exponent_high, "prior.exponent_high");
  if (check.failed()) return check.fault();
  check
      .that(prior.scale_low <= prior.scale_high, "prior.scale_high", fmt::format("{}", prior.scale_high),
            "at least the low end")
      .that(prior.exponent_low <= prior.exponent_high, "prior.exponent_high", fmt::format("{}", prior.exponent_high),
            "at least the low end");
  if (check.failed()) return check.fault();
  return {};
}

ComebackDraw draw_at(const ComebackPrior& prior, double u_base, double u_scale, double u_exponent) {
  return {.base = numerics::beta_quantile(u_base, {.a = prior.base_a, .b = prior.base_b}),
          .scale = prior.scale_low * std::pow(prior.scale_high / prior.scale_low, u_scale),
          .exponent = prior.exponent_low + (prior.exponent_high - prior.exponent_low) * u_exponent};
}

ComebackDraw draw_comeback(const ComebackPrior& prior, std::uint64_t seed, std::uint32_t sample) {
  const auto unit = [&](std::string_view name) {
    return numerics::uniform(seed, numerics::key_of(name), numerics::Purpose::input, sample);
  };
  return draw_at(prior, unit("comeback.base"), unit("comeback.scale"), unit("comeback.exponent"));
}

Result<double> comeback(const ComebackDraw& draw, double n14) {
  InputCheck check;
  check.non_negative(n14, "n14");
  if (check.failed()) return check.fault();
  if (n14 <= 0.0) return draw.base;
  return draw.base - (1.0 - draw.base) * std::expm1(-std::pow(n14 / draw.scale, draw.exponent));
}

Result<double> expected_cost(const Stake& stake) {
  if (const InputCheck check = check_stake(stake, "stake"); check.failed()) return check.fault();
  return stake.cost + stake.comeback * stake.loss;
}

Result<double> recurring_cost(const Stake& stake) {
  InputCheck check = check_stake(stake, "stake");
  check.that(stake.comeback < 1.0, "stake.comeback", "1", "less than 1");
  if (check.failed()) return check.fault();
  return stake.cost + stake.loss * stake.comeback / (1.0 - stake.comeback);
}

Result<double> certain_cost(const Stake& stake, double risk_scale) {
  InputCheck check = check_stake(stake, "stake");
  check.positive(risk_scale, "risk_scale");
  if (!check.failed()) {
    check.that(stake.loss / risk_scale < 700.0, "risk_scale", fmt::format("{:.4g}", risk_scale),
               "at least a seven-hundredth of the loss");
  }
  if (check.failed()) return check.fault();
  return stake.cost + risk_scale * std::log1p(stake.comeback * std::expm1(stake.loss / risk_scale));
}

Result<double> break_even(const Stake& a, const Stake& b) {
  InputCheck check;
  check.non_negative(a.cost, "a.cost").positive(a.loss, "a.loss");
  if (check.failed()) return check.fault();
  const auto other = expected_cost(b);
  if (!other) return fail(other.error());
  return (*other - a.cost) / a.loss;
}

Result<double> break_even(const Stake& a, const Stake& b, double risk_scale) {
  InputCheck check;
  check.non_negative(a.cost, "a.cost").positive(a.loss, "a.loss");
  if (check.failed()) return check.fault();
  const auto other = certain_cost(b, risk_scale);
  if (!other) return fail(other.error());
  return std::expm1((*other - a.cost) / risk_scale) / std::expm1(a.loss / risk_scale);
}

}  // namespace fw::extent
