// SPDX-License-Identifier: Apache-2.0
#include "system/engine_law.hpp"

namespace fw::system {

EngineTake ConstantDemand::take(const hydraulics::EngineDemand& demand, const EngineInlet& /*inlet*/) const {
  return {.taken_m3_per_s = demand.inlet_m3_per_s(), .returned_m3_per_s = demand.return_m3_per_s()};
}

}  // namespace fw::system
