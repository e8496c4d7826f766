// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>

#include "base/result.hpp"
#include "units/dash.hpp"         // IWYU pragma: export
#include "units/dimension.hpp"    // IWYU pragma: export
#include "units/print.hpp"        // IWYU pragma: export
#include "units/stated_text.hpp"  // IWYU pragma: export

/// Reading and printing of quantities at every boundary: text with a unit outside, SI inside.
///
/// All forms stand in docs/reference/units.md. One header for readers and printers: dimensions, one number (here), a
/// number with its doubt (stated_text.hpp), bores and dash sizes (dash.hpp), printing (print.hpp); wire.hpp apart.
namespace fw::units {

/// SI value of `text` in the SI unit named at the dimension.
///
/// Forms: "120 L/h", "-5 C", "1e-5 m2/s", "5/16 in", "1 1/2 in", "1-1/2 in", "5 ft 3 in", "8 inHg vac", "35 psi abs",
/// "20 %", "8 in 100". Decimal point only; a comma is an error that says so. Capitals matter only where another unit
/// differs by them alone (mPa s, MPa). A bare number is an error that teaches, except for a ratio.
///
/// Pressures: without a word a pressure is what the field holds, except that an absolute pressure always says "abs"
/// ("psi abs", "psia", "bar(a)"). "vac" is below ambient and legal in a gauge field only, "psig" there only.
///
/// Validity: |number| 0 or 1e-100 to 1e100; temperatures from absolute zero; gauge pressures over -110 kPa; sizes,
/// flows, masses and the like not negative, bores, densities and viscosities above zero (height, ratio, angle, gauge
/// pressure and temperature difference may be negative).
/// Errors: exactly one, invalid_input with found, expected and a hint that quotes a legal text of this dimension.
/// Source: exact factors of NIST SP 811 (2008), appendix B.
/// Check: tests/published/units/unit_factors.csv to 1e-11; "8 inHg vac" -> -27091.109 Pa.
[[nodiscard]] Result<double> parse(std::string_view text, Dimension dimension);

}  // namespace fw::units
