// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <span>
#include <string_view>
#include <variant>
#include <vector>

#include "base/required.hpp"
#include "base/result.hpp"
#include "debris/iso_code.hpp"

/// Populations of particles by size: counts from mass and mass from counts.
///
/// Sizes of these functions are on the scale um(c) [m]; other scales are converted first (size_scale.hpp).
namespace fw::debris {

/// What particles are made of. Handbook values, from memory; hardness for the hard-particle doses.
struct Material {
  std::string_view id;
  double density_kg_per_m3 = required;
  double hardness_low_Pa = required;   ///< Vickers, smallest usual value
  double hardness_high_Pa = required;  ///< largest usual value; NaN: not stated
};
/// steel 7850, iron 7870, stainless 7950, aluminium 2700, alumina 3950, quartz 2650, haematite 5250, magnetite 5170,
/// goethite 4260, brass 8500, zinc 7140, chromium 7190, carbon-film 2500, polymer 1150 kg/m3.
[[nodiscard]] std::span<const Material> materials();
/// Errors: not_found `material` with the ids.
[[nodiscard]] Result<Material> material(std::string_view id);

/// Cumulative mass by size, uniform in ln d within each bin. What lies below the first size has no mass.
struct MassTable {
  std::vector<double> size_m;            ///< rising
  std::vector<double> mass_share_below;  ///< [-] at each size, from 0 to 1
};

/// Log-normal by mass.
struct LogNormal {
  double mass_median_m = required;
  double geometric_sd = required;  ///< > 1 [-]
};

/// N(>= x) proportional to x^-m between two sizes, nothing outside.
struct PowerLaw {
  double exponent = required;  ///< m [-], > 0
  double smallest_m = required;
  double largest_m = required;
};

using SizeShape = std::variant<MassTable, LogNormal, PowerLaw>;

enum class TestDust : std::uint8_t {
  a1_ultrafine,  ///< ISO 12103-1:2016, laser sizes (secondary literature)
  a2_fine,       ///< table of 1997 (from memory)
  a3_medium,     ///< table of 1997 (from memory); "ISO medium dust"
};
/// Middle of the standard's bands; the first bin starts at 0.5 um (assumed). Density of the dusts: 2650 kg/m3.
[[nodiscard]] MassTable mass_table(TestDust dust);
inline constexpr double test_dust_density_kg_per_m3 = 2650.0;

/// Particles of one material and one size shape, without an amount.
struct Dirt {
  SizeShape shape;
  double density_kg_per_m3 = required;
  /// Optical (projected-area) size over volume-equivalent size [-]: 1 sphere, 1.1 to 1.2 crushed mineral (assumed),
  /// above 2 for flakes.
  double optical_factor = 1.0;
};

/// Particles of one kilogram of dirt that are at least `size_m` large [1/kg].
///
///   sphere: one particle of size d weighs pi/6 rho d^3
///   table:  N in [x, b] of a bin [a, b] = dM/ln(b/a) 2/(pi rho) (x^-3 - b^-3)
///   log-normal: L = ln s, CMD = MMD exp(-3 L^2), N = 6/(pi rho CMD^3 exp(4.5 L^2)) erfc(ln(x/CMD)/(sqrt2 L))/2
///   power law: K (x^-m - d2^-m), K from the mass pi/6 rho m K (d2^(3-m) - d1^(3-m))/(3-m)
///   optical factor psi: all at x/psi
///
/// Range: any size >= 0; below the data of a shape nothing more is counted. Errors: invalid_input `dirt...`, `size_m`.
/// Source: T. Hatch, S. P. Choate, J. Franklin Inst. 207 (1929) 369; W. C. Hinds, Aerosol Technology, 2nd ed. (from
/// memory). Check: steel, MMD 20 um, s 2.5, 20.04 mg/L: 4278.05, 2016.58, 243.808/mL at 4, 6, 14 um; A3 dust, 10 mg/L:
/// 11580.2, 4021.9, 281.77/mL.
[[nodiscard]] Result<double> number_per_kg(const Dirt& dirt, double size_m);

/// Share of the mass in particles smaller than `size_m` [-]. Errors as number_per_kg.
[[nodiscard]] Result<double> mass_share_below(const Dirt& dirt, double size_m);

/// Count median diameter [m] and number per kilogram of a log-normal. Errors: invalid_input.
struct CountMedian {
  double diameter_m = required;
  double number_per_kg = required;
};
[[nodiscard]] Result<CountMedian> count_median(const LogNormal& shape, double density_kg_per_m3);

/// Counts at the sizes of ISO 4406 of a concentration of dirt [kg/m3]; code_of makes the code. Errors: invalid_input.
[[nodiscard]] Result<CodeCounts> counts_of(const Dirt& dirt, double mass_kg_per_m3);

/// One bin of sizes.
struct BinContent {
  double mass_share = required;     ///< of all mass [-]
  double number_per_kg = required;  ///< particles in the bin per kilogram of all mass
};
/// Content of the bins between edges; the first bin takes all that is smaller, the last all that is larger, so that
/// the shares add up to 1. Errors: invalid_input `edges_m` (fewer than 2, not rising) or as number_per_kg.
[[nodiscard]] Result<std::vector<BinContent>> bin_contents(const Dirt& dirt, std::span<const double> edges_m);

/// Edges [m] of the twelve bins the transport uses: 1, 2, 4, 6, 8, 10, 14, 20, 30, 50, 100, 200, 500 um(c).
[[nodiscard]] std::span<const double> standard_edges_m();
/// Size that stands for a bin: geometric mean of its edges [m].
[[nodiscard]] std::vector<double> middle_sizes_m(std::span<const double> edges_m);

/// A power law through two cumulative counts, N(>= x) = N1 (x/x1)^-m.
struct CountLaw {
  double exponent = required;       ///< m
  double size_m = required;         ///< x1
  double number_per_m3 = required;  ///< N1

  [[nodiscard]] double number_at(double at_size_m) const;
};
struct CountAtSize {
  double size_m = required;
  double number_per_m3 = required;
};
/// Errors: invalid_input `first...`, `second...`: not positive, sizes not rising, counts not falling.
/// Check: 2500/mL at 4, 80 at 14 um -> m 2.74754, K 112752 (x in um, per mL).
[[nodiscard]] Result<CountLaw> count_law(const CountAtSize& first, const CountAtSize& second);

/// What weighing a count needs to assume.
struct Weighing {
  double density_kg_per_m3 = required;
  double smallest_m = 4e-6;
  /// The mass lies in the coarse end that a code does not see (m < 3): it must be stated.
  double largest_m = required;
  double optical_factor = 1.0;
};
/// Mass [kg/m3] between two sizes of a count law: pi/6 rho m K (d2^(3-m) - d1^(3-m))/(3-m), over psi^3.
/// Check: the law above, quartz, 4 to 50 um -> 2.1552 mg/L. Errors: invalid_input `weighing...`.
[[nodiscard]] Result<double> mass_kg_per_m3(const CountLaw& law, const Weighing& weighing);

/// Counts at 4, 6 and 14 um(c): power laws between the sizes, the upper one goes on above 14 um.
struct CountTriple {
  double at_4_um_per_m3 = required;
  double at_6_um_per_m3 = required;
  double at_14_um_per_m3 = required;
};
/// Count at a size [1/m3]. Errors: invalid_input `triple...`; outside_model below 4 um(c): a code sees nothing there.
[[nodiscard]] Result<double> number_per_m3(const CountTriple& triple, double size_m);
/// Mass [kg/m3] from 4 um or above to the largest size. Errors: as above and `weighing...`.
[[nodiscard]] Result<double> mass_kg_per_m3(const CountTriple& triple, const Weighing& weighing);

/// Mass that a code can stand for: with all counts at their lower and at their upper bounds.
struct MassOfCode {
  double low_kg_per_m3 = required;
  double high_kg_per_m3 = required;
  /// Beyond the bounds a mass from a code is good to this factor at best, by comparison with published pairs.
  double factor = 3.0;
};
/// Errors: outside_model `code`: an entry that is no number (or 0, which has no lower bound), a microscope code;
/// `weighing...`. Check: 18/16/13 upper bounds.
[[nodiscard]] Result<MassOfCode> mass_of_code(const IsoCode& code, const Weighing& weighing);

/// Concentrations [kg/m3] from mg/kg of fuel: C rho_f. Check: 24 mg/kg at 835 kg/m3 -> 20.04 mg/L.
/// Errors: invalid_input naming the field.
[[nodiscard]] Result<double> mass_per_volume_kg_per_m3(double mass_fraction, double fuel_density_kg_per_m3);

}  // namespace fw::debris
