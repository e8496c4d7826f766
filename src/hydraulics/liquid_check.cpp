// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/liquid_check.hpp"

namespace fw::hydraulics {

void check_liquid(InputCheck& check, const fuel::Liquid& liquid) {
  check.positive(liquid.density_kg_per_m3, "liquid.density_kg_per_m3")
      .positive(liquid.dynamic_viscosity_Pa_s, "liquid.dynamic_viscosity_Pa_s");
}

}  // namespace fw::hydraulics
