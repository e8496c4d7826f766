// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/required.hpp"
#include "base/result.hpp"
#include "fuel/liquid.hpp"
#include "hydraulics/resistor.hpp"

/// Leakage through the gap round a plunger, spool or shaft.
namespace fw::hydraulics {

struct AnnularGap {
  double diameter_m = required;
  double clearance_m = required;  ///< radial, when centred
  double length_m = required;
  double eccentricity = 0.0;  ///< offset over clearance [-], 0 centred to 1 touching
};

/// drop = 12 mu L/(pi d c^3 (1 + 1.5 e^2)) Q: laminar flow between parallel walls, exact for c << d.
/// Validity: clearance up to a tenth of the diameter (common practice, no source), gap Reynolds number below about
/// 1000; no widening by pressure, no heating. Errors: invalid_input naming `gap...` or the liquid's field;
/// outside_model `gap.clearance_m`. Check: 10 mm, 10 um, 10 mm, 1 MPa, D20: 0.25082576 L/h centred, 0.6270644 touching.
[[nodiscard]] Result<ResistorCoefficients> annular_gap_law(const AnnularGap& gap, const fuel::Liquid& liquid);

}  // namespace fw::hydraulics
