// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/required.hpp"
#include "fuel/doubt.hpp"

namespace fw::fuel {

/// How cold a fuel is against its own wax. No number is invented for wax: the caller judges.
enum class Cold : std::uint8_t {
  liquid,             ///< above the cloud point
  below_cloud_point,  ///< at or below, or a blend where it may be: the drop of a filter cannot be predicted
  below_cfpp,         ///< at or below the cold filter plugging point: no filter is taken to pass
  not_stated,         ///< no cloud point is known for this fuel, and it may be below it: judged as below
};

/// What the low-pressure physics needs to know of the fuel at one place: plain numbers, no model behind them.
struct Liquid {
  double density_kg_per_m3 = required;
  double dynamic_viscosity_Pa_s = required;
  double vapour_pressure_Pa = 0.0;  ///< absolute
  /// Ostwald coefficient of air [-]: gas volume at T and its own partial pressure per volume of liquid.
  double air_solubility = 0.0;
  Range range = Range::fitted;  ///< of density and viscosity; vapour and air speak through `doubts`
  Cold cold = Cold::liquid;
  Doubts doubts{};  ///< of all numbers above

  [[nodiscard]] double kinematic_viscosity_m2_per_s() const { return dynamic_viscosity_Pa_s / density_kg_per_m3; }
};

}  // namespace fw::fuel
