// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <span>
#include <string_view>
#include <vector>

#include "base/required.hpp"
#include "base/result.hpp"
#include "debris/dirt.hpp"

/// What particles that reach a part mean for it: three doses side by side, never one, and the acute term.
///
/// The structure is published practice nowhere; the weights are assumptions. A dose is a comparison, not a life.
namespace fw::debris {

/// Particles of one material that reached a part, by bin.
struct Arrivals {
  std::vector<double> number;     ///< per bin
  std::vector<double> mass_kg;    ///< per bin
  double hardness_Pa = required;  ///< of the particles
};

struct DoseSettings {
  std::vector<double> edges_m;  ///< of the bins, um(c)
  double surface_hardness_Pa = required;
  double soft_weight = 0.1;  ///< H_m of soft particles (assumed)
  /// H_particle/H_surface above which a particle cuts (R. C. D. Richardson, Wear 11 (1968) 245; from memory).
  double hard_ratio = 1.2;
  double critical_size_m = 14e-6;  ///< of the acute term
};

struct Dose {
  double at_4_um = required;          ///< D_N4: particles >= 4 um(c), weight 1; the only one tied to laboratory codes
  double at_2_um = required;          ///< D_N2: particles >= 2 um(c), modelled
  double hard_mass_kg = required;     ///< D_M
  double acute_number = required;     ///< N_crit: expected particles at or above the critical size
  double acute_chance = required;     ///< 1 - exp(-N_crit)
  double hardness_weight = required;  ///< H_m that was used
};
/// Doses of arrivals. The edges must contain 2 and 4 um and the critical size, so that no bin is split.
/// Errors: invalid_input `arrivals...`, `settings...`. Check: 10 mg of steel, MMD 20 um, s 2.5 -> 2.13e6 at 4 um,
/// 1.22e5 at 14 um.
[[nodiscard]] Result<Dose> dose_of(const Arrivals& arrivals, const DoseSettings& settings);

/// Windowed dose of a clearance h: sum of n (d/h)^p for 0.5 h <= d <= 3 h, p 0, 2 or 3 (assumed). d: middle of a bin.
/// Errors: invalid_input `clearance_m`, `exponent`, sizes.
[[nodiscard]] Result<double> windowed_dose(std::span<const double> number, std::span<const double> edges_m,
                                           double clearance_m, double exponent);

/// Reference dose: fuel of code 12 at 4 um (upper bound, 40/mL) over a time.
/// Errors: invalid_input. Check: 0.1 m3/h, 10 h -> 4.0e7.
[[nodiscard]] Result<double> reference_dose(double flow_m3_per_s, double time_s);

/// (D_ref/D)^n, n from 1 to 1.7 (weak evidence, another machine). Errors: invalid_input.
[[nodiscard]] Result<double> life_index(double reference, double dose, double exponent);

}  // namespace fw::debris
