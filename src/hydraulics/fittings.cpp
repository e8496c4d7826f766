// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/fittings.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <string>

#include <fmt/format.h>

#include "base/input_check.hpp"

namespace fw::hydraulics {

namespace {

constexpr double smallest_fitted_bore_m = 0.0127;  // both laws: process pipe of half an inch and more
constexpr double inch_m = 0.0254;

constexpr std::optional<TwoK> no_two_k;
constexpr std::optional<ThreeK> no_three_k;

constexpr TwoK two(double k1, double k_infinity) { return {.k1 = k1, .k_infinity = k_infinity}; }
constexpr ThreeK three(double k1, double ki, double kd) { return {.k1 = k1, .ki = ki, .kd = kd}; }

constexpr Fitting entry(std::string_view id, std::string_view title, std::optional<TwoK> two_k,
                        std::optional<ThreeK> three_k) {
  return {.id = id, .title = title, .two_k = two_k, .three_k = three_k};
}

constexpr std::array table{
    entry("elbow-90-threaded", "elbow 90, threaded, r/d 1", two(800, 0.40), three(800, 0.14, 4.0)),
    entry("elbow-90-long", "elbow 90, long, r/d 1.5", two(800, 0.20), three(800, 0.071, 4.2)),
    entry("elbow-90-flanged", "bend 90, flanged or welded, r/d 1", two(800, 0.25), three(800, 0.091, 4.0)),
    entry("bend-90-r2", "bend 90, r/d 2", no_two_k, three(800, 0.056, 3.9)),
    entry("bend-90-r4", "bend 90, r/d 4", no_two_k, three(800, 0.066, 3.9)),
    entry("bend-90-r6", "bend 90, r/d 6", no_two_k, three(800, 0.075, 4.2)),
    entry("mitre-90", "mitre 90, one joint (corner of a drilled block)", two(1000, 1.15), three(1000, 0.27, 4.0)),
    entry("elbow-45-threaded", "elbow 45, threaded, r/d 1", two(500, 0.20), three(500, 0.071, 4.2)),
    entry("elbow-45-long", "elbow 45, long, r/d 1.5", two(500, 0.15), three(500, 0.052, 4.0)),
    entry("return-180-threaded", "return 180, threaded, r/d 1", two(1000, 0.70), three(1000, 0.23, 4.0)),
    entry("return-180-flanged", "return 180, flanged, r/d 1", two(1000, 0.35), three(1000, 0.12, 4.0)),
    entry("return-180-long", "return 180, r/d 1.5", two(1000, 0.30), three(1000, 0.10, 4.0)),
    entry("tee-branch-threaded", "tee as elbow, threaded", two(500, 0.70), three(500, 0.274, 4.0)),
    entry("tee-branch-long", "tee as elbow, long radius", two(800, 0.40), three(800, 0.14, 4.0)),
    entry("tee-branch-flanged", "tee as elbow, flanged or welded", two(800, 0.80), three(800, 0.28, 4.0)),
    entry("tee-branch-stub-in", "tee as elbow, stub-in", two(1000, 1.00), three(1000, 0.34, 4.0)),
    entry("tee-run-threaded", "tee run, threaded", two(200, 0.10), three(200, 0.091, 4.0)),
    entry("tee-run-flanged", "tee run, flanged or welded", two(150, 0.05), three(150, 0.05, 4.0)),
    entry("tee-run-stub-in", "tee run, stub-in", two(100, 0.0), three(100, 0.0, 0.0)),
    entry("ball-valve", "ball valve, full bore", two(300, 0.10), three(300, 0.017, 3.5)),
    entry("gate-valve", "gate valve, full bore", two(300, 0.10), three(300, 0.037, 3.9)),
    entry("plug-valve", "plug valve, straight", two(300, 0.10), three(300, 0.084, 3.9)),
    entry("plug-valve-branch", "plug valve, through its branch", no_two_k, three(500, 0.41, 4.0)),
    entry("valve-trim-0.9", "gate, ball or plug valve, reduced trim 0.9", two(500, 0.15), no_three_k),
    entry("valve-trim-0.8", "gate, ball or plug valve, reduced trim 0.8", two(1000, 0.25), no_three_k),
    entry("globe-valve", "globe valve", two(1500, 4.0), three(1500, 1.70, 3.6)),
    entry("angle-valve", "angle or Y valve", two(1000, 2.0), three(1000, 0.69, 4.0)),
    entry("diaphragm-valve", "diaphragm valve, dam type", two(1000, 2.0), three(1000, 0.69, 4.9)),
    entry("butterfly-valve", "butterfly valve", two(800, 0.25), no_three_k),
    entry("check-swing", "check valve, swing", two(1500, 1.5), three(1500, 0.46, 4.0)),
    entry("check-lift", "check valve, lift", two(2000, 10.0), three(2000, 2.85, 3.8)),
    entry("check-tilting-disc", "check valve, tilting disc", two(1000, 0.5), no_three_k),
};

}  // namespace

std::span<const Fitting> fittings() { return table; }

Result<Fitting> fitting_named(std::string_view id) {
  const auto found = std::find_if(table.begin(), table.end(), [&](const Fitting& f) { return f.id == id; });
  if (found != table.end()) return *found;
  std::string names;
  for (const Fitting& f : table) names += (names.empty() ? "" : ", ") + std::string(f.id);
  return fail(Error{.code = ErrorCode::not_found,
                    .where = {.field = "fitting.id"},
                    .found = fmt::format("\"{}\"", id),
                    .expected = "one of " + names,
                    .hint = "Take the nearest shape of the list"});
}

Result<LossCoefficient> fitting_loss_coefficient(const Fitting& fitting, const FittingUse& use) {
  InputCheck check;
  check.positive(use.bore_m, "fitting.bore_m");
  if (use.nominal_bore_m) check.positive(*use.nominal_bore_m, "fitting.nominal_bore_m");
  check.that(fitting.two_k || fitting.three_k, "fitting", {.found = "no law", .expected = "a 2-K or a 3-K law"});
  if (check.failed()) return check.fault();
  const bool by_three_k = use.method == FittingMethod::three_k ||
                          (use.method == FittingMethod::three_k_first && fitting.three_k.has_value());
  if (by_three_k ? !fitting.three_k.has_value() : !fitting.two_k.has_value()) {
    return outside("fitting.method", fmt::format("{} by the {} law", fitting.title, by_three_k ? "3-K" : "2-K"),
                   "a law that the tables have for this fitting", "Leave the method to the program");
  }
  if (by_three_k) {
    const double nominal_in = use.nominal_bore_m.value_or(use.bore_m) / inch_m;
    return LossCoefficient{.k1 = fitting.three_k->k1,
                           .k_infinity = fitting.three_k->ki * (1.0 + fitting.three_k->kd / std::pow(nominal_in, 0.3))};
  }
  return LossCoefficient{.k1 = fitting.two_k->k1,
                         .k_infinity = fitting.two_k->k_infinity * (1.0 + inch_m / use.bore_m)};
}

Result<ResistorLaw> fitting_law(const Fitting& fitting, const FittingUse& use, const fuel::Liquid& liquid) {
  const auto loss = fitting_loss_coefficient(fitting, use);
  if (!loss) return fail(loss.error());
  const auto resistor = resistor_of(*loss, use.bore_m, liquid);
  if (!resistor) return fail(resistor.error());
  return ResistorLaw{
      .coefficients = *resistor,
      .range = widest(liquid.range, use.bore_m < smallest_fitted_bore_m ? Range::extrapolated : Range::fitted)};
}

Result<double> entrance_loss_coefficient(const Entrance& entrance) {
  InputCheck check;
  check.positive(entrance.bore_m, "entrance.bore_m");
  if (entrance.kind == EntranceKind::rounded) check.positive(entrance.corner_radius_m, "entrance.corner_radius_m");
  if (entrance.wall_m) check.positive(*entrance.wall_m, "entrance.wall_m");
  if (check.failed()) return check.fault();
  switch (entrance.kind) {
    case EntranceKind::sharp: return 0.50;
    case EntranceKind::re_entrant: {
      if (!entrance.wall_m) return 0.80;
      const double t = *entrance.wall_m / entrance.bore_m;
      if (t > 0.05) return 0.57;
      return 1.12 + t * (-22.0 + t * (216.0 + t * 80.0));
    }
    case EntranceKind::rounded: {
      const double r = std::min(entrance.corner_radius_m / entrance.bore_m, 1.0);
      const double core = 1.0 - 0.30 * std::sqrt(r) - 0.70 * r;
      const double jet = 1.0 + 0.622 * core * core * core * core;
      return 0.0696 * (1.0 - 0.569 * r) * jet * jet + (jet - 1.0) * (jet - 1.0);
    }
  }
  return invalid("entrance.kind", "no kind", "sharp, re-entrant or rounded");
}

Result<double> laminar_entry_excess_at(const EntryRun& run) {
  InputCheck check;
  check.positive(run.reynolds, "reynolds").positive(run.bore_m, "bore_m").positive(run.length_m, "length_m");
  if (check.failed()) return check.fault();
  const double x = run.length_m / (run.bore_m * run.reynolds);
  const double root = 3.44 / std::sqrt(x);
  const double f_re = root + (laminar_entry_excess / (4.0 * x) + 16.0 - root) / (1.0 + 0.00021 / (x * x));
  return 4.0 * x * (f_re - 16.0);
}

}  // namespace fw::hydraulics
