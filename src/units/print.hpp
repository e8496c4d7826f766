// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "units/dimension.hpp"

/// Printing of SI numbers in the units people read.
namespace fw::units {

enum class System : std::uint8_t {
  us,      ///< psi, gph, ft and in, F, gal, mech hp
  metric,  ///< kPa, L/h, m and mm, C, L, kW
  si,      ///< the SI unit of the dimension, no prefix
};
[[nodiscard]] std::string_view name(System system);

/// How pressures below ambient are shown in the us system; metric shows a negative gauge pressure.
enum class Vacuum : std::uint8_t { negative_gauge, inches_of_mercury };

struct PrintOptions {
  Vacuum vacuum = Vacuum::negative_gauge;
};

/// Number and unit: three significant digits, but whole numbers in full and no more decimals than the dimension
/// bears (pressures 1, temperatures 1, bores 2 in mm and 3 in in). Never "-0". parse() reads it back.
///
/// The unit follows the size: mm below 1 m, in below 1 ft, um below 0.1 mm, MPa from 10 MPa, mL, g and mg, min and h,
/// mV, mOhm. "57.3 kPa", "-0.5 kPa", "8.3 psi", "8.0 inHg vac", "750 mm", "3.80 m", "166 L/h".
/// A value that is not finite, or beyond 1e200, prints as "-".
[[nodiscard]] std::string print(double si, Dimension dimension, System system, const PrintOptions& options = {});

/// "57.3 kPa (8.3 psi)": `system` first, then us behind metric and SI, metric behind us; once where both are alike.
[[nodiscard]] std::string print_both(double si, Dimension dimension, System system, const PrintOptions& options = {});

/// The one unit of a column or an axis of this dimension, whatever the size of its numbers.
[[nodiscard]] std::string unit_name(Dimension dimension, System system);
/// Number alone, in the unit of unit_name(), digits as print().
[[nodiscard]] std::string print_number(double si, Dimension dimension, System system);
/// number in unit_name() = si * factor + offset.
struct Scale {
  double factor = 1.0;
  double offset = 0.0;
};
[[nodiscard]] Scale scale(Dimension dimension, System system);

}  // namespace fw::units
