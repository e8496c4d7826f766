// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>

#include "base/required.hpp"
#include "hydraulics/demand.hpp"

/// What the engine takes from its supply as a law of the state at its inlet: a high-pressure model later stands in here
/// without a change of the solver.
namespace fw::system {

/// State of the fuel where the engine draws.
struct EngineInlet {
  double pressure_Pa = required;    ///< absolute
  double void_fraction = required;  ///< free gas by volume [-]
  double temperature_K = required;
  double speed_per_s = required;  ///< crank
};

/// Liquid flows and how they follow the inlet's pressure.
struct EngineTake {
  double taken_m3_per_s = required;
  double returned_m3_per_s = required;
  double taken_slope_m3_per_s_Pa = 0.0;     ///< d(taken)/d(pressure), not negative
  double returned_slope_m3_per_s_Pa = 0.0;  ///< d(returned)/d(pressure)
  /// What it would take from an inlet of good pressure without gas; not given: all that is asked for.
  std::optional<double> well_fed_m3_per_s;
};

class EngineLaw {
 public:
  EngineLaw() = default;
  EngineLaw(const EngineLaw&) = delete;
  EngineLaw& operator=(const EngineLaw&) = delete;
  virtual ~EngineLaw() = default;
  /// `demand` is what the engine point asks for without any want at the inlet. 0 <= returned <= taken.
  [[nodiscard]] virtual EngineTake take(const hydraulics::EngineDemand& demand, const EngineInlet& inlet) const = 0;
};

/// Takes what it asks for whatever the inlet is; the vapour guard of the network limits it when the suction starves.
class ConstantDemand final : public EngineLaw {
 public:
  [[nodiscard]] EngineTake take(const hydraulics::EngineDemand& demand, const EngineInlet& inlet) const override;
};

}  // namespace fw::system
