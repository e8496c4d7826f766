// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>

#include "base/required.hpp"
#include "base/result.hpp"

/// What a water separator stops, and what its sensor can see. Theory: docs/theory/water.md, sections Separator, Sensor.
namespace fw::water {

/// Drop sizes that an efficiency is stated at: coarse as SAE J1839 (mean 180 to 260 um), fine as a pump leaves them.
inline constexpr double coarse_drop_m = 200e-6;
inline constexpr double fine_drop_m = 10e-6;

/// Efficiency on undissolved water at two drop sizes, 0 < fine <= coarse < 1 [-].
struct Separator {
  double coarse = required;
  double fine = required;
};
/// Efficiency [-] at a drop size: logit(E) linear in ln d through the two stated points, beyond them too (assumed: no
/// curve by drop size is published for an element in service).
/// Errors: invalid_input `separator...`, `drop_m`. Check: at the two sizes, the two values; rises with the drop.
[[nodiscard]] Result<double> efficiency_at(const Separator& separator, double drop_m);

/// Efficiency of a test on undissolved water: 1 - (c_out - S)/(c_in - S).
struct SeparatorTest {
  double in = required;          ///< total water before [kg/kg]
  double out = required;         ///< behind
  double saturation = required;  ///< at the temperature of the test
};
/// Errors: invalid_input where `in` is not above saturation or `out` is above `in`. An `out` below saturation counts as
/// 1. Check: 200, 61.68, 54.4 mg/kg -> 0.95.
[[nodiscard]] Result<double> tested_efficiency(const SeparatorTest& test);

/// A bowl and how fast it fills.
struct Filling {
  double caught_kg_per_s = required;
  double passed_kg_per_s = required;
  double time_to_full_s = required;  ///< infinite when nothing is caught
};
/// Undissolved water [kg/kg] in a fuel flow [kg/s] met by one separator with a bowl.
/// Errors: invalid_input. Check: 145.6 mg/kg at 100 L/h of 835 kg/m3 is 12.16 g/h; 0.95 lets 7.28 mg/kg pass and fills
/// 200 mL in 17.3 h. 0.05 % water by volume at 10 L/h reaches a probe at 40 mL after 8 h.
struct Bowled {
  double undissolved = required;
  double fuel_kg_per_s = required;
  double efficiency = required;
  double volume_m3 = required;
};
[[nodiscard]] Result<Filling> fill_bowl(const Bowled& bowl);

/// Time [s] between drains so that a bowl is emptied before its water reaches a share of its volume.
/// Errors: those of fill_bowl; invalid_input `share`.
[[nodiscard]] Result<double> drain_interval_s(const Bowled& bowl, double share = 0.5);

/// A pair of electrodes in a bowl.
struct Probe {
  double cell_constant_per_m = 100.0;      ///< K of R = K/kappa, typical
  double threshold_ohm = 100e3;            ///< below: water; maker-specific (assumed)
  double conductivity_S_per_m = required;  ///< of what covers it
};
/// Resistance [Ohm] between the electrodes. Errors: invalid_input. Check, K 100 1/m: 0.05 S/m 2 kOhm, 0.005 S/m
/// 20 kOhm, condensate 5.5e-6 S/m 18.2 MOhm, fuel 50 pS/m 2 TOhm (conductivities from memory).
[[nodiscard]] Result<double> probe_resistance_ohm(const Probe& probe);

/// Why a sensor stays silent, worst first.
enum class Blindness : std::uint8_t {
  sees,          ///< it warns
  none_fitted,   ///< no sensor
  disconnected,  ///< unplugged, or its bowl is out of the flow
  below_probe,   ///< water stands below the electrodes
  dispersed,     ///< more passes in fine drops or another way than the bowl holds
  too_pure,      ///< condensate conducts too little
};
[[nodiscard]] const char* name(Blindness blindness);

}  // namespace fw::water
