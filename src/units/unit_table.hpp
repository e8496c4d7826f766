// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>

#include "units/dimension.hpp"

/// Inside the room units: the units of each dimension and their exact factors.
///
/// Source of the factors: B. N. Taylor, A. Thompson, Guide for the Use of the SI, NIST SP 811 (2008), appendix B;
/// BIPM SI brochure. Check: tests/published/units/unit_factors.csv.
namespace fw::units {

/// Whether capitals matter. They do wherever another prefix differs by them only: mPa s, MPa.
enum class Letters : std::uint8_t { any_case, as_written };

/// value in SI = number * factor + offset.
struct Unit {
  std::string_view text;
  double factor = 1.0;
  double offset = 0.0;
  Letters letters = Letters::any_case;
  bool listed = true;  ///< named in error messages; other spellings of a listed unit are not
};

[[nodiscard]] std::span<const Unit> units_of(Dimension dimension);

/// One spelling for blanks, "per", "*" and powers: "L per  h" -> "L/h", "N*m" -> "N m", "mm^2 / s" -> "mm2/s".
[[nodiscard]] std::string unit_key(std::string_view unit);

/// The unit of `dimension` written `key`, else nullptr. Capitals as in the table, or any where no other unit differs
/// by them only.
[[nodiscard]] const Unit* find_unit(std::string_view key, Dimension dimension);
/// A unit of `dimension` that differs from `key` by capitals only, else nullptr.
[[nodiscard]] const Unit* find_unit_of_other_case(std::string_view key, Dimension dimension);
/// A dimension other than `dimension` that has the unit `key`, as written; `dimension` itself where none has.
[[nodiscard]] Dimension other_dimension_with(std::string_view key, Dimension dimension);

/// Lower case of the letters A to Z; everything else stays.
[[nodiscard]] std::string lower(std::string_view text);

/// SAE and US customary constants, exact by definition.
inline constexpr double inch_m = 0.0254;
inline constexpr double foot_m = 0.3048;

}  // namespace fw::units
