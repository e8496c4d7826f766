// SPDX-License-Identifier: Apache-2.0
#pragma once

/// Liquid water near 20 C, handbook values. Fresh water: salt makes it up to 3 % denser.
namespace fw::water {

inline constexpr double water_density_kg_per_m3 = 998.2;
inline constexpr double water_viscosity_Pa_s = 1.002e-3;
inline constexpr double freezing_point_K = 273.15;  ///< of fresh water; salt, urea or alcohol lower it
inline constexpr double gravity_m_per_s2 = 9.80665;

}  // namespace fw::water
