// SPDX-License-Identifier: Apache-2.0
#include "supply/limits.hpp"

#include <cmath>

namespace fw::supply {

namespace {
constexpr double kPa = 1e3;
}  // namespace

std::string_view name(Outcome outcome) {
  switch (outcome) {
    case Outcome::fails: return "fails";
    case Outcome::not_known: return "not known";
    case Outcome::narrow: return "narrow";
    case Outcome::holds: return "holds";
  }
  return "not known";
}

std::string_view words(LimitOrigin origin) {
  switch (origin) {
    case LimitOrigin::maker: return "maker's limit";
    case LimitOrigin::practice: return "against common practice; maker's limit not entered";
    case LimitOrigin::assumed: return "assumed limit; maker's limit not entered";
    case LimitOrigin::none: return "no limit known";
  }
  return "no limit known";
}

InletLimits inlet_limits(const system::Engine& engine) {
  InletLimits limits;
  const char* articles = "supply pressures of light-duty systems, trade articles";
  switch (engine.inlet) {
    case system::InletClass::sucks:
      limits.low = {.fails = -41 * kPa,
                    .narrow = -34 * kPa,
                    .origin = LimitOrigin::practice,
                    .source = "factory suction table of a suction-fed V8"};
      break;
    case system::InletClass::fed_low:
      limits.low = {.fails = 55 * kPa, .narrow = {}, .origin = LimitOrigin::practice, .source = articles};
      limits.high = {.fails = 103 * kPa, .narrow = {}, .origin = LimitOrigin::practice, .source = articles};
      break;
    case system::InletClass::fed_high:
      limits.low = {.fails = 310 * kPa, .narrow = {}, .origin = LimitOrigin::practice, .source = articles};
      limits.high = {.fails = 448 * kPa, .narrow = {}, .origin = LimitOrigin::practice, .source = articles};
      break;
    case system::InletClass::unknown: break;
  }
  if (engine.inlet_low_Pa) {
    limits.low = {.fails = engine.inlet_low_Pa->value,
                  .narrow = {},
                  .origin = LimitOrigin::maker,
                  .source = "maker's value as entered"};
  }
  if (engine.inlet_high_Pa) {
    limits.high = {.fails = engine.inlet_high_Pa->value,
                   .narrow = {},
                   .origin = LimitOrigin::maker,
                   .source = "maker's value as entered"};
  }
  return limits;
}

Outcome against(double value, const Limit& limit, bool low) {
  const bool bounded = std::isfinite(limit.fails);
  if (!std::isfinite(value) || (!bounded && !limit.narrow)) return Outcome::not_known;
  const auto beyond = [low, value](double bound) { return low ? value < bound : value > bound; };
  if (bounded && beyond(limit.fails)) return Outcome::fails;
  if (limit.narrow && beyond(*limit.narrow)) return Outcome::narrow;
  return Outcome::holds;
}

LimitOrigin origin_of(SourceClass source) {
  switch (source) {
    case SourceClass::measured:
    case SourceClass::datasheet: return LimitOrigin::maker;
    case SourceClass::catalog:
    case SourceClass::typical: return LimitOrigin::practice;
    case SourceClass::assumed: return LimitOrigin::assumed;
  }
  return LimitOrigin::assumed;
}

std::string ending(const Limit& limit) {
  switch (limit.origin) {
    case LimitOrigin::maker: return ".";
    case LimitOrigin::practice: return ", against common practice; maker's limit not entered.";
    case LimitOrigin::assumed: return ", against an assumed limit; maker's limit not entered.";
    case LimitOrigin::none: return std::isfinite(limit.fails) ? "." : "; no limit is known.";
  }
  return ".";
}

}  // namespace fw::supply
