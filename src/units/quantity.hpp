// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.hpp"
#include "base/stated.hpp"

/// Reading and printing of quantities at every boundary: text with a unit outside, SI inside.
namespace fw::units {

/// What a field holds. The field decides whether a pressure text is a gauge reading, an absolute pressure or a drop.
enum class Dimension : std::uint8_t {
  gauge_pressure,          ///< Pa over ambient; "8 inHg vac" is negative
  absolute_pressure,       ///< Pa absolute; the text says "abs"
  pressure_drop,           ///< Pa, a difference
  volume_flow,             ///< m3/s
  length,                  ///< m
  bore,                    ///< m, a length with the tighter default spread of bores
  height,                  ///< m, a position: may be negative
  distance,                ///< m, road distance
  temperature,             ///< K, a point
  temperature_difference,  ///< K
  volume,                  ///< m3
  displacement,            ///< m3 per revolution
  dynamic_viscosity,       ///< Pa s
  kinematic_viscosity,     ///< m2/s
  power,                   ///< W
  mass,                    ///< kg
  density,                 ///< kg/m3
  time,                    ///< s
  voltage,                 ///< V
  current,                 ///< A
  resistance,              ///< ohm
  rotational_speed,        ///< revolutions per second
  velocity,                ///< m/s
  specific_consumption,    ///< kg/J
  torque,                  ///< N m
  motor_constant,          ///< V s
  area,                    ///< m2
  ratio,                   ///< pure number, "20 %" or "8 in 100"
};

/// Name of a dimension for messages, e.g. "a flow".
[[nodiscard]] std::string_view name(Dimension dimension);
/// A legal text of this dimension, for hints: "120 L/h".
[[nodiscard]] std::string_view example(Dimension dimension);

/// Exact SI value of `text`. Forms: "120 L/h", "5/16 in", "1 1/2 in", "8 inHg vac", "35 psi abs", "20 %". A bare number
/// is an error that teaches (except a ratio). Decimal point only; a decimal comma is an error that says so. Factors:
/// NIST SP 811 (exact definitions). Errors: invalid_input with found, expected and a legal example.
[[nodiscard]] Result<double> parse(std::string_view text, Dimension dimension);

/// Default doubt per source class as 90 % half-widths; design: measured 2 %, datasheet 10 %, catalog 15 %, typical 30
/// %, assumed times/divided by 2; lengths 5 %, bores 3 % whatever the class better than typical. All assumed, no
/// source.
struct SourceSpreads {
  double measured = 0.02;
  double datasheet = 0.10;
  double catalog = 0.15;
  double typical = 0.30;
  double assumed_factor = 2.0;
  double length = 0.05;
  double bore = 0.03;
};

struct StatedOptions {
  SourceClass source = SourceClass::measured;  ///< class of a number typed without a class word
  SourceSpreads spreads;
};

/// Spread of a number of this class when none is typed. Counts, heights and ratios of class measured are exact.
[[nodiscard]] Spread default_spread(double value, SourceClass source, Dimension dimension,
                                    const SourceSpreads& spreads);

/// A number with its doubt: "11 psi", "11 psi +/- 1 psi" or "11 psi +/- 10 %" (normal, 90 % half-width), "10 to 12 psi"
/// (uniform), "11 psi (9 to 13)" (triangular), "log 0.02 to 1" (log-uniform), each with an optional class word
/// "measured", "datasheet", "catalog", "typical", "assumed" or "exactly" before it; "?" gives unknown = true and no
/// value. The id is left empty; origin.as_typed is the text as typed.
[[nodiscard]] Result<Stated> parse_stated(std::string_view text, Dimension dimension,
                                          const StatedOptions& options = {});

/// Which units people are shown.
enum class System : std::uint8_t { us, metric, si };
[[nodiscard]] std::string_view name(System system);

/// Number with unit in three significant digits (pressures at least to 0.1 kPa or 0.1 psi), never "-0".
[[nodiscard]] std::string print(double si, Dimension dimension, System system);
/// Number alone in the unit of unit_name().
[[nodiscard]] std::string print_number(double si, Dimension dimension, System system);
[[nodiscard]] std::string unit_name(Dimension dimension, System system);
/// Factor and offset: value in unit_name() = si * factor + offset.
struct Scale {
  double factor = 1.0;
  double offset = 0.0;
};
[[nodiscard]] Scale scale(Dimension dimension, System system);
/// "57.3 kPa (8.3 psi)": the first system is `system`.
[[nodiscard]] std::string print_both(double si, Dimension dimension, System system);

// ---- dash sizes -------------------------------------------------------------------------------------------------

/// A dash size means nothing without its kind.
enum class DashKind : std::uint8_t {
  j30_hose,  ///< SAE J30 and J517 hose: bore = dash/16 in
  r5_hose,   ///< SAE 100R5, 100R14 and J1402 types: dash names the tube, bore is smaller
  tube,      ///< tube: outside diameter = dash/16 in, bore = OD - 2 wall
};
struct DashSize {
  int dash = 0;
  DashKind kind = DashKind::j30_hose;
  double wall_m = 0.0;  ///< tube only

  friend bool operator==(const DashSize&, const DashSize&) = default;
};
[[nodiscard]] bool looks_like_dash(std::string_view text);
/// "-8 J30 hose", "-8 J517", "-8 100R5 hose", "-8 tube 0.89 mm wall". Errors: a dash without kind (names the kinds and
/// what that dash would be in each), a size the table does not have.
[[nodiscard]] Result<DashSize> parse_dash(std::string_view text);
/// True bore [m]. J30/J517: n/16 in (SAE J30 section as printed by a hose maker); 100R5 types: 3/16, 1/4, 5/16, 13/32,
/// 1/2, 5/8, 7/8 in for -4 -5 -6 -8 -10 -12 -16 (secondary source). Errors: not_found outside the table.
[[nodiscard]] Result<double> bore_of(const DashSize& size);
/// A bore as a length text or a dash size.
[[nodiscard]] Result<Stated> parse_bore(std::string_view text, const StatedOptions& options = {});

}  // namespace fw::units
