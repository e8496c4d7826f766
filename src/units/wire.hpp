// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string_view>

#include "base/result.hpp"

/// Copper wire by gauge or section.
namespace fw::units {

struct Wire {
  double area_m2 = 0.0;  ///< of the conductor

  friend bool operator==(const Wire&, const Wire&) = default;
};

/// "12 AWG", "AWG 12", "2/0 AWG", "4 mm2".
///
///   d = 0.127 mm 92^((36 - n)/39), area = pi d^2/4; 1/0, 2/0, 3/0, 4/0 are n = 0, -1, -2, -3
///
/// Validity: 4/0 to 40 AWG (solid and, by area, stranded); sections 0.005 to 200 mm2.
/// Errors: invalid_input; a bare number is told both spellings.
/// Source: ASTM B258. Check: 12 AWG -> 3.309 mm2, 18 AWG -> 0.823 mm2.
[[nodiscard]] Result<Wire> parse_wire(std::string_view text);

/// Resistance of a copper conductor per metre of wire [Ohm/m]; a circuit has two ways.
///
///   R' = rho (1 + alpha (T - 293.15 K))/area, rho = 1.7241e-8 Ohm m, alpha = 0.00393 1/K
///
/// Stranded wire is 2 to 3 % higher (from memory). Validity: 213.15 to 473.15 K (-60 to 200 C, the range of wire
/// insulation; common practice, no source).
/// Errors: outside_model for another temperature, invalid_input for an area that is not above zero.
/// Source: IEC 60028. Check: 12 AWG at 20 C 5.211, at 80 C 6.439 mOhm/m.
[[nodiscard]] Result<double> copper_resistance_ohm_per_m(const Wire& wire, double temperature_K);

}  // namespace fw::units
