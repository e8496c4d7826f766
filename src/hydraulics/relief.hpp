// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>

#include "base/required.hpp"
#include "base/result.hpp"
#include "hydraulics/network.hpp"

/// Relief valves, overflow valves and regulators that hold a pressure by spilling: set, slope, hysteresis, and what
/// the set refers to. The slope belongs to the spring and is taken as independent of the liquid.
namespace fw::hydraulics {

struct Relief {
  double opening_Pa = required;         ///< set at rising pressure, over the reference
  double slope_Pa_s_per_m3 = required;  ///< rise of the held pressure per flow spilled
  double hysteresis_Pa = 0.0;           ///< it closes that much below opening
};

/// Typical slopes, from memory and judgement (part data 1.4): assist regulator 8 kPa per 100 L/h (4 to 20), in-tank
/// module 7 (3 to 12), overflow valve 15 (5 to 40), pump inlet regulator 20 (10 to 50).

/// Slope from a data sheet: (p_full - p_crack)/Q_rated [Pa s/m3].
struct OverridePoint {
  double crack_Pa = required;
  double full_Pa = required;
  double flow_m3_per_s = required;
};
/// Errors: invalid_input naming `override...`; full must lie above crack.
[[nodiscard]] Result<double> override_slope_Pa_s_per_m3(const OverridePoint& point);

/// Which of the two sets a steady answer takes: the last one reached. Compute both where the difference matters.
enum class ReliefSet : std::uint8_t {
  opening,  ///< pressure has risen to it
  closing,  ///< pressure has fallen to it: opening - hysteresis
};

/// What the pressure behind the valve does.
enum class BackPressure : std::uint8_t {
  adds,      ///< unbalanced: the poppet feels it, opening at set + back pressure
  balanced,  ///< the spring side is vented to the reference: opening at set, whatever stands behind
};

struct ReliefUse {
  ReliefSet set = ReliefSet::opening;
  BackPressure back_pressure = BackPressure::adds;
  /// Pressure behind the valve over its reference; only a balanced valve needs it here, because the solver's valve
  /// feels the drop across itself.
  double back_pressure_Pa = 0.0;
};

/// The valve for the solver, from the place it senses to the place it spills to: drop = crack + slope Q.
///   adds:     crack = set                                  balanced: crack = max(0, set - back pressure)
/// A balanced valve with more behind it than its set is open to any forward flow.
/// Errors: invalid_input naming `relief...` (set of 0 or below, slope not above 0, hysteresis not below the set) or
/// `use.back_pressure_Pa`.
[[nodiscard]] Result<ValveCoefficients> relief_law(const Relief& relief, const ReliefUse& use = {});

/// Pressure [Pa] at the sensed place when the valve starts to spill: reference + set (+ back pressure if it adds).
/// The reference is the pump's own inlet or the tank: the same valve then holds different pressures. Behind an assist
/// pump that gives 70 kPa, a set of 60 kPa over the own inlet holds 130 kPa; over the tank, 60 kPa.
/// Errors: as relief_law, `reference_Pa` not finite.
[[nodiscard]] Result<double> relief_opening_pressure_Pa(const Relief& relief, double reference_Pa,
                                                        const ReliefUse& use = {});

}  // namespace fw::hydraulics
