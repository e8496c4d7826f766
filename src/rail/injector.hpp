// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "rail/liquid.hpp"

/// The injector as a quantity map: rated flow, delays and ramps, leakage.
namespace fw::rail {

/// Cd A [m2] of a nozzle from its hydraulic rating: HF [m3/s] at 100 bar with test fluid of 825 kg/m3,
/// Cd A = HF/sqrt(2 1e7/825). Errors: invalid_input. Check: 400 cm3/30 s -> 0.08563 mm2.
inline constexpr double rating_pressure_Pa = 1e7;
inline constexpr double rating_density_kg_per_m3 = 825.0;
[[nodiscard]] Result<double> nozzle_area_m2(double rated_flow_m3_per_s);

/// Discharge of a cavitating sharp hole by Nurick: Cd = Cc sqrt(K), K = (p_i - p_v)/(p_i - p_b), Cc 0.62.
/// Errors: invalid_input for K outside [1, 2.6], where Cd would pass 1. Source: Nurick (1976), from memory.
/// Check: K 1.1 -> 0.650, 1.4 -> 0.734.
[[nodiscard]] Result<double> cavitating_discharge(double cavitation_number);
/// What holes that cavitate would pass at a rail pressure, over what their rating at 100 bar says [-]: a bound, not
/// counted in any flow; conical holes do not cavitate. Vapour pressure neglected, rating into 1 bar.
/// Errors: invalid_input `rail_Pa` not above `cylinder_Pa`, and those of cavitating_discharge.
[[nodiscard]] Result<double> cavitating_gain(double rail_Pa, double cylinder_Pa);

/// Rate shape: td from current to flow, tr ramp up, tc from the end of the current to the start of the fall, tf ramp
/// down. Typical values, no source; a delay of 0.3 to 0.4 ms is published (Applied Energy 230 (2018), abstract).
struct RateShape {
  double opening_delay_s = 0.30e-3;
  double rise_s = 0.25e-3;
  double closing_delay_s = 0.25e-3;
  double fall_s = 0.25e-3;
};

struct Injector {
  double nozzle_m2 = required;  ///< Cd A, rail density convention
  RateShape shape{};
  double control_m3 = required;       ///< switching volume per shot at `reference_Pa`, free, ~ sqrt(p)
  double static_m3_per_s = required;  ///< leak at `reference_Pa`, free, ~ p^static_exponent
  double static_exponent = 1.0;       ///< 1 to 1.8, widened by pressure
  double reference_Pa = 180e6;
};
void check_injector(InputCheck& check, const Injector& injector);

/// What one shot shares of the full rate over time.
struct ShotShape {
  double start_s = 0.0;      ///< of flow, after the current
  double end_s = 0.0;        ///< of flow
  double peak = 0.0;         ///< 1 unless ballistic [-]
  double full_rate_s = 0.0;  ///< equivalent duration at full rate
  RateShape shape{};
  double fall_start_s = 0.0;

  /// Share of the full rate [-] at a time after the current began.
  [[nodiscard]] double at(double time_s) const;
  /// Integral of at() from the current to a time [s].
  [[nodiscard]] double until(double time_s) const;
};
/// f = (ET - td + tc)/tr: none for f <= 0, ballistic below 1, then a trapezoid. Precondition: ET >= 0, shape checked.
/// Check: areas 0.5 f^2 (tr + tf) and ET - td + tc - tr + (tr + tf)/2.
[[nodiscard]] ShotShape shot_shape(const RateShape& shape, double energised_s);

/// Full rate [kg/s] CdA sqrt(2 rho (p - p_cyl)) with the density at the rail; 0 if p <= p_cyl. Preconditions: finite.
/// Check: HF 400, 60 C, 180/15 MPa -> 46.15 g/s.
[[nodiscard]] double full_rate_kg_per_s(const Injector& injector, const RailLiquid& liquid, double rail_Pa,
                                        double cylinder_Pa);

/// Mass of one shot [kg]. Errors: invalid_input. Check: HF 440, 60 C, ET 1.0 ms, 100/10 MPa -> 35.07 mg.
struct Shot {
  double energised_s = required;
  double rail_Pa = required;
  double cylinder_Pa = required;
};
[[nodiscard]] Result<double> shot_kg(const Injector& injector, const RailLiquid& liquid, const Shot& shot);

/// Energising time [s] for an equivalent full-rate duration [s]; 0 for none. Exact inverse of shot_shape.
[[nodiscard]] double energised_for_s(const RateShape& shape, double full_rate_s);

/// Free return of one injector: control volume per shot [m3] ~ sqrt(p), static leak [m3/s] ~ p^exponent.
/// Preconditions: p >= 0.
[[nodiscard]] double control_m3_at(const Injector& injector, double rail_Pa);
[[nodiscard]] double static_m3_per_s_at(const Injector& injector, double rail_Pa);

}  // namespace fw::rail
