// SPDX-License-Identifier: Apache-2.0
#include "debris/dirt.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <limits>
#include <numbers>
#include <string>

#include <fmt/format.h>

#include "base/contract.hpp"
#include "base/input_check.hpp"

namespace fw::debris {

namespace {

constexpr double um = 1e-6;
constexpr double hv_Pa = 9.80665e6;  // one Vickers unit, kgf/mm2

// Handbook values, from memory.
constexpr std::array<Material, 14> all_materials{{
    {"steel", 7850.0, 650.0 * hv_Pa, 850.0 * hv_Pa},
    {"iron", 7870.0, required, required},
    {"stainless", 7950.0, required, required},
    {"aluminium", 2700.0, 60.0 * hv_Pa, 130.0 * hv_Pa},
    {"alumina", 3950.0, 1800.0 * hv_Pa, 2200.0 * hv_Pa},
    {"quartz", 2650.0, 1000.0 * hv_Pa, 1200.0 * hv_Pa},
    {"haematite", 5250.0, 500.0 * hv_Pa, 1000.0 * hv_Pa},
    {"magnetite", 5170.0, 500.0 * hv_Pa, 1000.0 * hv_Pa},
    {"goethite", 4260.0, 500.0 * hv_Pa, 1000.0 * hv_Pa},
    {"brass", 8500.0, required, required},
    {"zinc", 7140.0, required, required},
    {"chromium", 7190.0, required, required},
    {"carbon-film", 2500.0, required, required},
    {"polymer", 1150.0, required, required},
}};

constexpr std::array<double, 13> edges_of_standard_bins{1e-6,  2e-6,  4e-6,  6e-6,   8e-6,   10e-6, 14e-6,
                                                        20e-6, 30e-6, 50e-6, 100e-6, 200e-6, 500e-6};

double cube(double x) { return x * x * x; }

// (b^n - a^n)/n with its limit ln(b/a) at n = 0; continuous across it.
double power_integral(double a, double b, double n) {
  const double z = n * std::log(b / a);
  if (std::abs(z) < 1e-9) return std::log(b / a) * std::pow(a, n);
  return std::pow(a, n) * std::expm1(z) / n;
}

double standard_upper(double z) { return 0.5 * std::erfc(z / std::numbers::sqrt2); }

// ln CMD and particles per kilogram.
struct LogNormalCounts {
  double log_count_median;
  double spread;  // L
  double number_per_kg;
};
LogNormalCounts counts_of_log_normal(const LogNormal& shape, double density) {
  const double spread = std::log(shape.geometric_sd);
  const double log_cmd = std::log(shape.mass_median_m) - 3.0 * spread * spread;
  return {.log_count_median = log_cmd,
          .spread = spread,
          .number_per_kg = 6.0 / (std::numbers::pi * density) * std::exp(-3.0 * log_cmd - 4.5 * spread * spread)};
}

// K of N(>= x) = K (x^-m - d2^-m) for one kilogram.
double power_law_constant(const PowerLaw& shape, double density) {
  return 1.0 / (std::numbers::pi / 6.0 * density * shape.exponent *
                power_integral(shape.smallest_m, shape.largest_m, 3.0 - shape.exponent));
}

// Sphere sizes, all inputs checked.
double number_above(const SizeShape& shape, double density, double x) {
  if (const auto* table = std::get_if<MassTable>(&shape)) {
    double number = 0.0;
    for (std::size_t i = 1; i < table->size_m.size(); ++i) {
      const double a = table->size_m[i - 1];
      const double b = table->size_m[i];
      if (x >= b) continue;
      const double mass = table->mass_share_below[i] - table->mass_share_below[i - 1];
      const double from = std::max(x, a);
      number += mass / std::log(b / a) * 2.0 / (std::numbers::pi * density) * (1.0 / cube(from) - 1.0 / cube(b));
    }
    return number;
  }
  if (const auto* log_normal = std::get_if<LogNormal>(&shape)) {
    const LogNormalCounts counts = counts_of_log_normal(*log_normal, density);
    if (x <= 0.0) return counts.number_per_kg;
    return counts.number_per_kg * standard_upper((std::log(x) - counts.log_count_median) / counts.spread);
  }
  const auto& law = std::get<PowerLaw>(shape);
  const double from = std::max(x, law.smallest_m);
  if (from >= law.largest_m) return 0.0;
  return power_law_constant(law, density) * (std::pow(from, -law.exponent) - std::pow(law.largest_m, -law.exponent));
}

double share_below(const SizeShape& shape, double x) {
  if (x <= 0.0) return 0.0;
  if (const auto* table = std::get_if<MassTable>(&shape)) {
    if (x <= table->size_m.front()) return 0.0;
    for (std::size_t i = 1; i < table->size_m.size(); ++i) {
      const double a = table->size_m[i - 1];
      const double b = table->size_m[i];
      if (x > b) continue;
      const double below = table->mass_share_below[i - 1];
      return below + (table->mass_share_below[i] - below) * std::log(x / a) / std::log(b / a);
    }
    return 1.0;
  }
  if (const auto* log_normal = std::get_if<LogNormal>(&shape)) {
    return standard_upper(-std::log(x / log_normal->mass_median_m) / std::log(log_normal->geometric_sd));
  }
  const auto& law = std::get<PowerLaw>(shape);
  if (x <= law.smallest_m) return 0.0;
  if (x >= law.largest_m) return 1.0;
  const double n = 3.0 - law.exponent;
  return power_integral(law.smallest_m, x, n) / power_integral(law.smallest_m, law.largest_m, n);
}

void check_dirt(InputCheck& check, const Dirt& dirt) {
  check.positive(dirt.density_kg_per_m3, "dirt.density_kg_per_m3")
      .within(dirt.optical_factor, {.low = 0.5, .high = 10.0}, "dirt.optical_factor");
  if (const auto* table = std::get_if<MassTable>(&dirt.shape)) {
    const std::size_t n = table->size_m.size();
    check.that(n >= 2 && table->mass_share_below.size() == n, "dirt.shape.size_m", fmt::format("{} sizes", n),
               "two sizes or more, each with its share of mass below");
    for (std::size_t i = 0; i < n && !check.failed(); ++i) {
      check.positive(table->size_m[i], "dirt.shape.size_m")
          .within(table->mass_share_below[i], {.low = 0.0, .high = 1.0}, "dirt.shape.mass_share_below");
      if (check.failed()) break;
      check
          .that(i == 0 || table->size_m[i] > table->size_m[i - 1], "dirt.shape.size_m",
                fmt::format("{:.6g} m after a larger size", table->size_m[i]), "rising sizes")
          .that(i == 0 || table->mass_share_below[i] >= table->mass_share_below[i - 1], "dirt.shape.mass_share_below",
                "a share below the one before", "rising shares");
    }
    if (check.failed()) return;
    check.that(table->mass_share_below.front() == 0.0 && table->mass_share_below.back() == 1.0,
               "dirt.shape.mass_share_below", "other ends", "shares from 0 to 1");
  } else if (const auto* log_normal = std::get_if<LogNormal>(&dirt.shape)) {
    check.positive(log_normal->mass_median_m, "dirt.shape.mass_median_m")
        .within(log_normal->geometric_sd, {.low = 1.0 + 1e-6, .high = 20.0}, "dirt.shape.geometric_sd");
  } else {
    const auto& law = std::get<PowerLaw>(dirt.shape);
    check.within(law.exponent, {.low = 0.1, .high = 10.0}, "dirt.shape.exponent")
        .positive(law.smallest_m, "dirt.shape.smallest_m")
        .positive(law.largest_m, "dirt.shape.largest_m");
    if (check.failed()) return;
    check.that(law.largest_m > law.smallest_m, "dirt.shape.largest_m", fmt::format("{:.6g} m", law.largest_m),
               "more than the smallest size");
  }
}

void check_weighing(InputCheck& check, const Weighing& weighing) {
  check.positive(weighing.density_kg_per_m3, "weighing.density_kg_per_m3")
      .positive(weighing.smallest_m, "weighing.smallest_m")
      .positive(weighing.largest_m, "weighing.largest_m")
      .within(weighing.optical_factor, {.low = 0.5, .high = 10.0}, "weighing.optical_factor");
  if (check.failed()) return;
  check.that(weighing.largest_m > weighing.smallest_m, "weighing.largest_m",
             fmt::format("{:.6g} m", weighing.largest_m), "more than the smallest size");
}

double mass_between(const CountLaw& law, double density, double from_m, double to_m) {
  const double k = law.number_per_m3 * std::pow(law.size_m, law.exponent);
  return std::numbers::pi / 6.0 * density * law.exponent * k * power_integral(from_m, to_m, 3.0 - law.exponent);
}

struct TripleLaws {
  CountLaw fine;
  CountLaw coarse;
};
Result<TripleLaws> laws_of(const CountTriple& triple) {
  InputCheck check;
  check.positive(triple.at_4_um_per_m3, "triple.at_4_um_per_m3")
      .positive(triple.at_6_um_per_m3, "triple.at_6_um_per_m3")
      .positive(triple.at_14_um_per_m3, "triple.at_14_um_per_m3");
  if (check.failed()) return check.fault();
  check
      .that(triple.at_4_um_per_m3 > triple.at_6_um_per_m3, "triple.at_6_um_per_m3", "no fewer than at 4 um",
            "counts that fall with size")
      .that(triple.at_6_um_per_m3 > triple.at_14_um_per_m3, "triple.at_14_um_per_m3", "no fewer than at 6 um",
            "counts that fall with size");
  if (check.failed()) return check.fault();
  return TripleLaws{.fine = *count_law({.size_m = 4.0 * um, .number_per_m3 = triple.at_4_um_per_m3},
                                       {.size_m = 6.0 * um, .number_per_m3 = triple.at_6_um_per_m3}),
                    .coarse = *count_law({.size_m = 6.0 * um, .number_per_m3 = triple.at_6_um_per_m3},
                                         {.size_m = 14.0 * um, .number_per_m3 = triple.at_14_um_per_m3})};
}

tl::unexpected<Errors> below_a_code(const char* field, double size_m) {
  return outside(field, fmt::format("{:.4g} um(c)", size_m / um), "4 um(c) or more: a code sees nothing smaller",
                 "Use a size distribution of the material instead");
}

}  // namespace

std::span<const Material> materials() { return all_materials; }

Result<Material> material(std::string_view id) {
  std::string known;
  for (const Material& m : all_materials) {
    if (m.id == id) return m;
    known += known.empty() ? "" : ", ";
    known += m.id;
  }
  return fail(Error{.code = ErrorCode::not_found,
                    .where = {.field = "material"},
                    .found = fmt::format("\"{}\"", id),
                    .expected = "one of " + known});
}

MassTable mass_table(TestDust dust) {
  switch (dust) {
    case TestDust::a1_ultrafine:
      return {.size_m = {0.5 * um, 0.97 * um, 1.38 * um, 2.75 * um, 5.5 * um, 11.0 * um, 22.0 * um},
              .mass_share_below = {0.0, 0.04, 0.085, 0.25, 0.67, 0.965, 1.0}};
    case TestDust::a2_fine:
      return {.size_m = {0.5 * um, 1.0 * um, 2.0 * um, 3.0 * um, 4.0 * um, 5.0 * um, 7.0 * um, 10.0 * um, 20.0 * um,
                         40.0 * um, 80.0 * um, 120.0 * um},
              .mass_share_below = {0.0, 0.03, 0.115, 0.2025, 0.275, 0.335, 0.435, 0.52, 0.72, 0.895, 0.9975, 1.0}};
    case TestDust::a3_medium: break;
  }
  return {.size_m = {0.5 * um, 1.0 * um, 2.0 * um, 3.0 * um, 4.0 * um, 5.0 * um, 7.0 * um, 10.0 * um, 20.0 * um,
                     40.0 * um, 80.0 * um, 120.0 * um},
          .mass_share_below = {0.0, 0.015, 0.0475, 0.085, 0.1175, 0.17, 0.305, 0.425, 0.67, 0.86, 0.995, 1.0}};
}

Result<double> number_per_kg(const Dirt& dirt, double size_m) {
  InputCheck check;
  check_dirt(check, dirt);
  check.non_negative(size_m, "size_m");
  if (check.failed()) return check.fault();
  return number_above(dirt.shape, dirt.density_kg_per_m3, size_m / dirt.optical_factor);
}

Result<double> mass_share_below(const Dirt& dirt, double size_m) {
  InputCheck check;
  check_dirt(check, dirt);
  check.non_negative(size_m, "size_m");
  if (check.failed()) return check.fault();
  return share_below(dirt.shape, size_m / dirt.optical_factor);
}

Result<CountMedian> count_median(const LogNormal& shape, double density_kg_per_m3) {
  InputCheck check;
  check_dirt(check, {.shape = shape, .density_kg_per_m3 = density_kg_per_m3});
  if (check.failed()) return check.fault();
  const LogNormalCounts counts = counts_of_log_normal(shape, density_kg_per_m3);
  return CountMedian{.diameter_m = std::exp(counts.log_count_median), .number_per_kg = counts.number_per_kg};
}

Result<CodeCounts> counts_of(const Dirt& dirt, double mass_kg_per_m3) {
  InputCheck check;
  check_dirt(check, dirt);
  check.non_negative(mass_kg_per_m3, "mass_kg_per_m3");
  if (check.failed()) return check.fault();
  CodeCounts counts;
  const auto at = sizes(CodeKind::counter);
  for (std::size_t i = 0; i < at.size(); ++i) {
    counts.at[i] = SizeCount{.number_per_m3 = mass_kg_per_m3 * number_above(dirt.shape, dirt.density_kg_per_m3,
                                                                            at[i]->diameter_m / dirt.optical_factor)};
  }
  return counts;
}

Result<std::vector<BinContent>> bin_contents(const Dirt& dirt, std::span<const double> edges_m) {
  InputCheck check;
  check_dirt(check, dirt);
  check.that(edges_m.size() >= 2, "edges_m", fmt::format("{} edges", edges_m.size()), "two edges or more");
  for (std::size_t i = 0; i < edges_m.size() && !check.failed(); ++i) {
    check.positive(edges_m[i], "edges_m");
    if (!check.failed()) {
      check.that(i == 0 || edges_m[i] > edges_m[i - 1], "edges_m", "an edge below the one before", "rising edges");
    }
  }
  if (check.failed()) return check.fault();
  std::vector<BinContent> out;
  double share = 0.0;
  double number = number_above(dirt.shape, dirt.density_kg_per_m3, 0.0);
  for (std::size_t i = 1; i < edges_m.size(); ++i) {
    const bool last = i + 1 == edges_m.size();
    const double x = edges_m[i] / dirt.optical_factor;
    const double share_here = last ? 1.0 : share_below(dirt.shape, x);
    const double number_here = last ? 0.0 : number_above(dirt.shape, dirt.density_kg_per_m3, x);
    out.push_back({.mass_share = share_here - share, .number_per_kg = number - number_here});
    share = share_here;
    number = number_here;
  }
  return out;
}

std::span<const double> standard_edges_m() { return edges_of_standard_bins; }

std::vector<double> middle_sizes_m(std::span<const double> edges_m) {
  FW_EXPECTS(edges_m.size() >= 2);
  std::vector<double> out;
  for (std::size_t i = 1; i < edges_m.size(); ++i) out.push_back(std::sqrt(edges_m[i - 1] * edges_m[i]));
  return out;
}

double CountLaw::number_at(double at_size_m) const { return number_per_m3 * std::pow(at_size_m / size_m, -exponent); }

Result<CountLaw> count_law(const CountAtSize& first, const CountAtSize& second) {
  InputCheck check;
  check.positive(first.size_m, "first.size_m")
      .positive(first.number_per_m3, "first.number_per_m3")
      .positive(second.size_m, "second.size_m")
      .positive(second.number_per_m3, "second.number_per_m3");
  if (check.failed()) return check.fault();
  check
      .that(second.size_m > first.size_m, "second.size_m", fmt::format("{:.6g} m", second.size_m),
            "a larger size than the first")
      .that(second.number_per_m3 < first.number_per_m3, "second.number_per_m3",
            fmt::format("{:.6g} per m3", second.number_per_m3), "fewer than at the first size");
  if (check.failed()) return check.fault();
  return CountLaw{
      .exponent = std::log(first.number_per_m3 / second.number_per_m3) / std::log(second.size_m / first.size_m),
      .size_m = first.size_m,
      .number_per_m3 = first.number_per_m3};
}

Result<double> mass_kg_per_m3(const CountLaw& law, const Weighing& weighing) {
  InputCheck check;
  check.positive(law.exponent, "law.exponent")
      .positive(law.size_m, "law.size_m")
      .non_negative(law.number_per_m3, "law.number_per_m3");
  check_weighing(check, weighing);
  if (check.failed()) return check.fault();
  return mass_between(law, weighing.density_kg_per_m3, weighing.smallest_m, weighing.largest_m) /
         cube(weighing.optical_factor);
}

Result<double> number_per_m3(const CountTriple& triple, double size_m) {
  const auto laws = laws_of(triple);
  if (!laws) return tl::unexpected<Errors>(laws.error());
  if (const auto checked = require_positive(size_m, "size_m"); !checked) {
    return tl::unexpected<Errors>(checked.error());
  }
  if (size_m < 4.0 * um * (1.0 - 1e-12)) return below_a_code("size_m", size_m);
  return size_m <= 6.0 * um ? laws->fine.number_at(size_m) : laws->coarse.number_at(size_m);
}

Result<double> mass_kg_per_m3(const CountTriple& triple, const Weighing& weighing) {
  const auto laws = laws_of(triple);
  if (!laws) return tl::unexpected<Errors>(laws.error());
  InputCheck check;
  check_weighing(check, weighing);
  if (check.failed()) return check.fault();
  if (weighing.smallest_m < 4.0 * um * (1.0 - 1e-12)) return below_a_code("weighing.smallest_m", weighing.smallest_m);
  const double joint_m = 6.0 * um;
  double mass = 0.0;
  if (weighing.smallest_m < joint_m) {
    mass += mass_between(laws->fine, weighing.density_kg_per_m3, weighing.smallest_m,
                         std::min(joint_m, weighing.largest_m));
  }
  if (weighing.largest_m > joint_m) {
    mass += mass_between(laws->coarse, weighing.density_kg_per_m3, std::max(joint_m, weighing.smallest_m),
                         weighing.largest_m);
  }
  return mass / cube(weighing.optical_factor);
}

Result<MassOfCode> mass_of_code(const IsoCode& code, const Weighing& weighing) {
  const auto refuse = [&](const char* expected) { return outside("code", to_text(code), expected); };
  if (code.kind != CodeKind::counter) return refuse("a code of a counter: microscope sizes have no conversion");
  for (const ScaleEntry& entry : code.entries) {
    if (entry.state != ScaleState::number || entry.number == 0) return refuse("three scale numbers from 1 to 28");
  }
  if (code.entries[0].number <= code.entries[1].number || code.entries[1].number <= code.entries[2].number) {
    return refuse("scale numbers that fall with size: equal numbers leave the law between them open");
  }
  const auto triple_at = [&](bool upper) {
    const auto at = [&](std::size_t i) {
      const ScaleBounds b = bounds(code.entries[i].number);
      return upper ? b.upper_per_m3 : b.lower_per_m3;
    };
    return CountTriple{.at_4_um_per_m3 = at(0), .at_6_um_per_m3 = at(1), .at_14_um_per_m3 = at(2)};
  };
  const auto low = mass_kg_per_m3(triple_at(false), weighing);
  if (!low) return tl::unexpected<Errors>(low.error());
  const auto high = mass_kg_per_m3(triple_at(true), weighing);
  if (!high) return tl::unexpected<Errors>(high.error());
  return MassOfCode{.low_kg_per_m3 = *low, .high_kg_per_m3 = *high};
}

Result<double> mass_per_volume_kg_per_m3(double mass_fraction, double fuel_density_kg_per_m3) {
  InputCheck check;
  check.within(mass_fraction, {.low = 0.0, .high = 1.0}, "mass_fraction")
      .positive(fuel_density_kg_per_m3, "fuel_density_kg_per_m3");
  if (check.failed()) return check.fault();
  return mass_fraction * fuel_density_kg_per_m3;
}

}  // namespace fw::debris
