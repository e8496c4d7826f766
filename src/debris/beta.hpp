// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "base/required.hpp"
#include "base/result.hpp"
#include "debris/dirt.hpp"

/// What a filter stops, by size.
namespace fw::debris {

/// Test behind a rating.
enum class FilterTest : std::uint8_t {
  not_stated,    ///< a printed "x micron" without standard and beta: says nothing by itself
  iso_19438,     ///< multi-pass, diesel and petrol filters: the one to ask for
  iso_16889,     ///< hydraulic multi-pass, steady flow
  iso_23369,     ///< hydraulic multi-pass, cyclic flow
  iso_4548_12,   ///< lube-oil filters, for elements below 99 % at over 10 um: not a fuel-filter rating
  older_method,  ///< SAE J1985, SAE J905, ISO 4020 (from memory)
  typical,       ///< a typical value of the part data, no test behind it
};
[[nodiscard]] std::string_view name(FilterTest test);

/// One point of a rating: beta = N_up(>= d)/N_down(>= d).
struct BetaPoint {
  double size_m = required;  ///< um(c)
  double beta = required;    ///< [-], >= 1
};

/// Points of one rating, sizes rising, beta not falling.
struct BetaRating {
  std::vector<BetaPoint> points;
  FilterTest test = FilterTest::not_stated;
};

/// What a printed "x micron" without standard and beta is worth: the low end of typical new elements of that class.
///
///   to 5 um: beta 20 at 4, 75 at 6 um(c); below 10: 1.5 at 4, 20 at 10; from 10: 1.3 at 4, 2 at 10;
///   from 30: 1.3 at 10, 2 at 30; from 70, a sock: 2 at 70
///
/// From 30 um the low end at 10, which is 1, cannot stand beside 2 at 30 (what is stopped from 30 up counts at 10): the
/// typical 1.3 stands there.
/// Source: part data, new and steady, typical (the classes' bounds are ours). Errors: invalid_input `size_m`.
[[nodiscard]] Result<BetaRating> printed_rating(double size_m);

/// Efficiency E = 1 - 1/beta [-] and back. Check: 75 -> 0.986667, 1000 -> 0.999. Errors: invalid_input `beta`,
/// `efficiency` (1 has no beta).
[[nodiscard]] Result<double> efficiency(double beta);
[[nodiscard]] Result<double> beta_of_efficiency(double efficiency);

/// Where a beta between or beyond the rated sizes comes from.
enum class BetaOrigin : std::uint8_t {
  rated,         ///< at a rated size
  interpolated,  ///< ln(beta) linear in size between rated sizes (assumed)
  below_rating,  ///< beta 1 at 1 um joined log-linearly to the smallest rated size (assumed): no rating reaches there
  held,          ///< above the largest rated size: its beta holds (assumed, on the safe side)
};
struct BetaAt {
  double beta = required;
  BetaOrigin origin = BetaOrigin::rated;
};
/// Cumulative beta at a size. Errors: invalid_input `rating...` (no points, beta below 1, not rising, sizes below
/// 1 um, test not stated), `size_m`. Check: 75 at 4 um, 1000 at 6 um -> 273.86 at 5 um.
[[nodiscard]] Result<BetaAt> beta_at(const BetaRating& rating, double size_m);

/// Efficiency of one bin of sizes.
struct BinEfficiency {
  double efficiency = required;           ///< [-], of particles between the edges
  BetaOrigin origin = BetaOrigin::rated;  ///< the least sure of both edges
};
/// Efficiencies of the bins between edges, from a cumulative rating measured with a test dust.
///
///   E_i = 1 - [N_i/beta_i - N_(i+1)/beta_(i+1)]/(N_i - N_(i+1)),   N: counts of the test dust at the edges
///
/// Cumulative beta depends on what is fed, so the counts must be the test dust's, not the dirt's at hand. The last bin
/// is open to large sizes (its upper count is 0). Below the smallest rated size the joined beta is that of the size
/// alone (a cumulative 1 at 1 um would contradict what is stopped above it): E_i = 1 - 1/beta at the middle of the bin,
/// as in bins where the dust has no particles. An efficiency outside 0 to 1 beyond rounding (a rating that rises or
/// falls too steeply for the dust) is outside_model.
/// Errors: as beta_at and bin_contents. Check: A3, beta4 75, beta6 200 -> 4 to 6 um 0.98223, beta 56.28.
[[nodiscard]] Result<std::vector<BinEfficiency>> bin_efficiencies(const BetaRating& rating, const Dirt& test_dust,
                                                                  std::span<const double> edges_m);

/// Beta with a share of the flow past the medium (valve, seal, cracked pleat): 1/(f + (1 - f)/beta); never above 1/f.
/// Errors: invalid_input `beta`, `bypass_share` outside 0 to 1. Check: 1000, 1 % -> 90.992; 0.1 % -> 500.25; 75, 5 %
/// -> 15.96.
[[nodiscard]] Result<double> beta_with_bypass(double beta, double bypass_share);
/// The same for an efficiency: (1 - f) E.
[[nodiscard]] Result<double> efficiency_with_bypass(double efficiency, double bypass_share);

/// Efficiency in service from that of a steady test: E = 1 - delta (1 - E_test).
///
/// Vibration and cyclic flow let more through; no transferable factor is published. delta is a spread, log-uniform 1
/// to 10 (assumed). E below 0 is a filter that only releases: floored at 0 and said so.
struct ServiceEfficiency {
  double efficiency = required;
  bool floored = false;
};
/// Errors: invalid_input `efficiency` outside 0 to 1, `derating` below 1.
[[nodiscard]] Result<ServiceEfficiency> service_efficiency(double efficiency, double derating);
/// Derating at probability u of its log-uniform spread, 10^u. Precondition: 0 < u < 1.
[[nodiscard]] double derating_at_probability(double u);

/// Efficiency of filters in series in one bin: 1 - prod(1 - E_i). Valid only if nothing is shed between them.
/// Errors: invalid_input. Check: beta 10 and 1000 -> 1e4.
[[nodiscard]] Result<double> series_efficiency(std::span<const double> efficiencies);

/// Beta needed so that fuel of one concentration leaves at another, after the bypass correction is undone:
///   1/beta = (needed/fed - f)/(1 - f). Errors: invalid_input; outside_model when the bypass alone lets too much pass.
/// Check: 2500 -> 40/mL 62.5; 40000 -> 40 1000.
[[nodiscard]] Result<double> required_beta(double fed_per_m3, double needed_per_m3, double bypass_share = 0.0);

}  // namespace fw::debris
