// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/required.hpp"

namespace fw::fuel {

/// What the low-pressure physics needs to know of the fuel at one place: plain numbers, no model behind them.
struct Liquid {
  double density_kg_per_m3 = required;
  double dynamic_viscosity_Pa_s = required;
  double vapour_pressure_Pa = 0.0;  ///< absolute
  /// Ostwald coefficient of air [-]: gas volume at T and its own partial pressure per volume of liquid.
  double air_solubility = 0.0;
  Range range = Range::fitted;

  [[nodiscard]] double kinematic_viscosity_m2_per_s() const { return dynamic_viscosity_Pa_s / density_kg_per_m3; }
};

}  // namespace fw::fuel
