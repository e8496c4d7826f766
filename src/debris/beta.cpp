// SPDX-License-Identifier: Apache-2.0
#include "debris/beta.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include <fmt/format.h>

#include "base/contract.hpp"
#include "base/input_check.hpp"

namespace fw::debris {

namespace {

constexpr double um = 1e-6;
constexpr double no_effect_m = 1.0 * um;  // size at which beta is taken to be 1

void check_rating(InputCheck& check, const BetaRating& rating) {
  check
      .that(!rating.points.empty(), "rating.points", "no point", "a size and its beta at least",
            "Ask for the ISO 19438 report: a printed micron number without standard and beta says nothing")
      .that(rating.test != FilterTest::not_stated, "rating.test", "no standard",
            "the standard that the beta was measured by", "Give the standard, or mark the value as typical");
  double size_before = 0.0;
  double beta_before = 1.0;
  for (std::size_t i = 0; i < rating.points.size() && !check.failed(); ++i) {
    const BetaPoint& point = rating.points[i];
    const std::string field = fmt::format("rating.points[{}]", i);
    check.positive(point.size_m, field + ".size_m").positive(point.beta, field + ".beta");
    if (check.failed()) return;
    check
        .that(point.size_m > no_effect_m, field + ".size_m", fmt::format("{:.4g} um", point.size_m / um),
              "a size above 1 um(c)", "No test rates a filter there")
        .that(point.beta >= 1.0, field + ".beta", fmt::format("{:.6g}", point.beta), "1 or more",
              "beta is the count before over the count after")
        .that(point.size_m > size_before, field + ".size_m", fmt::format("{:.4g} um", point.size_m / um),
              "rising sizes")
        .that(point.beta >= beta_before, field + ".beta", fmt::format("{:.6g}", point.beta),
              "no less than at the smaller size");
    size_before = point.size_m;
    beta_before = point.beta;
  }
}

BetaAt beta_checked(const BetaRating& rating, double size_m) {
  const auto& points = rating.points;
  const auto close = [size_m](double rated) { return std::abs(size_m - rated) <= 1e-12 * rated; };
  for (const BetaPoint& point : points) {
    if (close(point.size_m)) return {.beta = point.beta, .origin = BetaOrigin::rated};
  }
  if (size_m > points.back().size_m) return {.beta = points.back().beta, .origin = BetaOrigin::held};
  BetaPoint low{.size_m = no_effect_m, .beta = 1.0};
  BetaOrigin origin = BetaOrigin::below_rating;
  for (const BetaPoint& high : points) {
    if (size_m < high.size_m) {
      const double share = std::clamp((size_m - low.size_m) / (high.size_m - low.size_m), 0.0, 1.0);
      return {.beta = std::exp(std::log(low.beta) + share * (std::log(high.beta) - std::log(low.beta))),
              .origin = origin};
    }
    low = high;
    origin = BetaOrigin::interpolated;
  }
  return {.beta = low.beta, .origin = BetaOrigin::held};
}

// The least sure first.
int doubt(BetaOrigin origin) {
  switch (origin) {
    case BetaOrigin::rated: return 0;
    case BetaOrigin::held: return 1;
    case BetaOrigin::interpolated: return 2;
    case BetaOrigin::below_rating: return 3;
  }
  return 3;
}

}  // namespace

std::string_view name(FilterTest test) {
  switch (test) {
    case FilterTest::not_stated: return "not stated";
    case FilterTest::iso_19438: return "ISO 19438";
    case FilterTest::iso_16889: return "ISO 16889";
    case FilterTest::iso_23369: return "ISO 23369";
    case FilterTest::iso_4548_12: return "ISO 4548-12";
    case FilterTest::older_method: return "older method";
    case FilterTest::typical: return "typical";
  }
  return "";
}

Result<double> efficiency(double beta) {
  InputCheck check;
  check.finite(beta, "beta");
  if (check.failed()) return check.fault();
  check.that(beta >= 1.0, "beta", fmt::format("{:.6g}", beta), "1 or more",
             "beta is the count before over the count after");
  if (check.failed()) return check.fault();
  return 1.0 - 1.0 / beta;
}

Result<double> beta_of_efficiency(double efficiency) {
  InputCheck check;
  check.within(efficiency, {.low = 0.0, .high = 1.0}, "efficiency");
  if (check.failed()) return check.fault();
  check.that(efficiency < 1.0, "efficiency", "1", "below 1: no filter stops every particle");
  if (check.failed()) return check.fault();
  return 1.0 / (1.0 - efficiency);
}

Result<BetaRating> printed_rating(double size_m) {
  if (auto good = require_positive(size_m, "size_m"); !good) return fail(good.error());
  BetaRating rating{.points = {}, .test = FilterTest::typical};
  if (size_m <= 5.0 * um) {
    rating.points = {{.size_m = 4.0 * um, .beta = 20.0}, {.size_m = 6.0 * um, .beta = 75.0}};
  } else if (size_m < 10.0 * um) {
    rating.points = {{.size_m = 4.0 * um, .beta = 1.5}, {.size_m = 10.0 * um, .beta = 20.0}};
  } else if (size_m < 30.0 * um) {
    rating.points = {{.size_m = 4.0 * um, .beta = 1.3}, {.size_m = 10.0 * um, .beta = 2.0}};
  } else if (size_m < 70.0 * um) {
    rating.points = {{.size_m = 10.0 * um, .beta = 1.3}, {.size_m = 30.0 * um, .beta = 2.0}};
  } else {
    rating.points = {{.size_m = 70.0 * um, .beta = 2.0}};
  }
  return rating;
}

Result<BetaAt> beta_at(const BetaRating& rating, double size_m) {
  InputCheck check;
  check_rating(check, rating);
  check.positive(size_m, "size_m");
  if (check.failed()) return check.fault();
  return beta_checked(rating, size_m);
}

Result<std::vector<BinEfficiency>> bin_efficiencies(const BetaRating& rating, const Dirt& test_dust,
                                                    std::span<const double> edges_m) {
  InputCheck check;
  check_rating(check, rating);
  if (check.failed()) return check.fault();
  if (const auto bins = bin_contents(test_dust, edges_m); !bins) return tl::unexpected<Errors>(bins.error());
  std::vector<BinEfficiency> out;
  for (std::size_t i = 1; i < edges_m.size(); ++i) {
    const bool last = i + 1 == edges_m.size();
    const BetaAt low = beta_checked(rating, edges_m[i - 1]);
    const BetaAt high = beta_checked(rating, edges_m[i]);
    const double fed_low = *number_per_kg(test_dust, edges_m[i - 1]);
    const double fed_high = last ? 0.0 : *number_per_kg(test_dust, edges_m[i]);
    const double fed = fed_low - fed_high;
    const double middle_m = std::sqrt(edges_m[i - 1] * edges_m[i]);
    BinEfficiency bin{.efficiency = 1.0 - 1.0 / beta_checked(rating, middle_m).beta,
                      .origin = doubt(low.origin) >= doubt(high.origin) ? low.origin : high.origin};
    if (low.origin != BetaOrigin::below_rating && fed > 1e-9 * fed_low) {
      const double through = fed_low / low.beta - fed_high / high.beta;
      bin.efficiency = 1.0 - through / fed;
    }
    if (bin.efficiency < -1e-9 || bin.efficiency > 1.0 + 1e-9) {
      return outside("rating.points",
                     fmt::format("efficiency {:.4g} from {:.4g} to {:.4g} um", bin.efficiency, edges_m[i - 1] / um,
                                 edges_m[i] / um),
                     "a rating that the counts of its test dust can have",
                     "Check that the beta values are of one test and of this dust");
    }
    bin.efficiency = std::clamp(bin.efficiency, 0.0, 1.0);
    out.push_back(bin);
  }
  return out;
}

Result<double> beta_with_bypass(double beta, double bypass_share) {
  const auto e = efficiency(beta);
  if (!e) return e;
  InputCheck check;
  check.within(bypass_share, {.low = 0.0, .high = 1.0}, "bypass_share");
  if (check.failed()) return check.fault();
  return 1.0 / (bypass_share + (1.0 - bypass_share) / beta);
}

Result<double> efficiency_with_bypass(double efficiency, double bypass_share) {
  InputCheck check;
  check.within(efficiency, {.low = 0.0, .high = 1.0}, "efficiency")
      .within(bypass_share, {.low = 0.0, .high = 1.0}, "bypass_share");
  if (check.failed()) return check.fault();
  return (1.0 - bypass_share) * efficiency;
}

Result<ServiceEfficiency> service_efficiency(double efficiency, double derating) {
  InputCheck check;
  check.within(efficiency, {.low = 0.0, .high = 1.0}, "efficiency").finite(derating, "derating");
  if (check.failed()) return check.fault();
  check.that(derating >= 1.0, "derating", fmt::format("{:.6g}", derating), "1 (as in the test) or more");
  if (check.failed()) return check.fault();
  const double in_service = 1.0 - derating * (1.0 - efficiency);
  return ServiceEfficiency{.efficiency = std::max(in_service, 0.0), .floored = in_service < 0.0};
}

double derating_at_probability(double u) {
  FW_EXPECTS(u > 0.0 && u < 1.0);
  return std::pow(10.0, u);
}

Result<double> series_efficiency(std::span<const double> efficiencies) {
  double passes = 1.0;
  for (std::size_t i = 0; i < efficiencies.size(); ++i) {
    InputCheck check;
    check.within(efficiencies[i], {.low = 0.0, .high = 1.0}, fmt::format("efficiencies[{}]", i));
    if (check.failed()) return check.fault();
    passes *= 1.0 - efficiencies[i];
  }
  return 1.0 - passes;
}

Result<double> required_beta(double fed_per_m3, double needed_per_m3, double bypass_share) {
  InputCheck check;
  check.positive(fed_per_m3, "fed_per_m3")
      .positive(needed_per_m3, "needed_per_m3")
      .within(bypass_share, {.low = 0.0, .high = 1.0}, "bypass_share");
  if (check.failed()) return check.fault();
  if (needed_per_m3 >= fed_per_m3) return 1.0;
  const double passes = needed_per_m3 / fed_per_m3;
  if (passes <= bypass_share) {
    return outside("bypass_share", fmt::format("{:.4g} of the flow past the medium", bypass_share),
                   fmt::format("below {:.4g}: no medium can make up for the leak", passes));
  }
  return (1.0 - bypass_share) / (passes - bypass_share);
}

}  // namespace fw::debris
