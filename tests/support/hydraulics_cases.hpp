// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <stdexcept>
#include <string>
#include <string_view>

#include "fuel/liquid.hpp"
#include "published_table.hpp"

/// Fluids, units and the worked rows that the tests of room hydraulics share.
namespace fw::test {

inline constexpr double litre_per_hour = 1e-3 / 3600.0;  ///< m3/s
inline constexpr double gravity_m_per_s2 = 9.80665;

/// D20 of the hydraulics page: round constants, no property model.
inline constexpr fuel::Liquid d20{.density_kg_per_m3 = 835.0, .dynamic_viscosity_Pa_s = 3.7575e-3};
/// W and K of the part data: about 40 C, and a cold start.
inline constexpr fuel::Liquid fluid_w{.density_kg_per_m3 = 820.0, .dynamic_viscosity_Pa_s = 2.214e-3};
inline constexpr fuel::Liquid fluid_k{.density_kg_per_m3 = 850.0, .dynamic_viscosity_Pa_s = 1.275e-2};

/// Value of one row of tests/published/hydraulics/hyd_worked.csv. "same..." rows belong to the last row above them
/// with other inputs, so a row is named by its case, its inputs and how many rows with these inputs come before it.
[[nodiscard]] inline double worked(std::string_view name, std::string_view inputs, int nth = 0) {
  static const PublishedTable table = published_table("hydraulics/hyd_worked.csv");
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    if (table.text(row, "name") != name || table.text(row, "inputs") != inputs) continue;
    if (nth-- == 0) return table.number(row, "value");
  }
  throw std::runtime_error("no worked row " + std::string(name) + ": " + std::string(inputs));
}

/// Tolerance of a worked row: 1e-6 relative.
#define FW_EXPECT_WORKED(value, ...) EXPECT_NEAR((value) / fw::test::worked(__VA_ARGS__), 1.0, 1e-6) << "worked row"

}  // namespace fw::test
