// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string_view>

#include "base/required.hpp"
#include "base/result.hpp"

/// What "10 um" means: sizes of different calibrations are kept apart and never compared without a conversion.
namespace fw::debris {

enum class SizeScale : std::uint8_t {
  counter_c,                 ///< um(c): automatic counter calibrated by ISO 11171 (circle of equal projected area)
  counter_b,                 ///< um(b): counter calibrated with the shifted batch SRM 2806b, allowed by ISO 11171:2016
  counter_air_cleaner_dust,  ///< counter calibrated by ISO 4402 with ACFTD (longest chord), before 1999
  microscope,                ///< longest dimension under a microscope, ISO 4407; no conversion is known
};

/// As written behind a number: "um(c)", "um(b)", "um ACFTD", "um microscope".
[[nodiscard]] std::string_view name(SizeScale scale);

struct ParticleSize {
  double diameter_m = required;
  SizeScale scale = SizeScale::counter_c;

  friend bool operator==(const ParticleSize&, const ParticleSize&) = default;
};

/// Size on the scale um(c) [m].
///
///   um(b): d(c) = 0.898 d(b)                        (ISO 11171:2016, from memory)
///   ACFTD: linear between the points of the table below, 0.8 to 50 um, no extrapolation (two copies agree)
///   microscope: outside_model, there is no conversion
///
/// Errors: invalid_input `size.diameter_m`; outside_model `size.scale` or `size.diameter_m`.
/// Check: ACFTD 15 -> 13.6, 6 -> 7.05 um(c).
[[nodiscard]] Result<double> counter_c_diameter_m(const ParticleSize& size);

}  // namespace fw::debris
