// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/input_check.hpp"
#include "fuel/liquid.hpp"

namespace fw::hydraulics {

/// Density and viscosity finite and positive; fields "liquid.density_kg_per_m3", "liquid.dynamic_viscosity_Pa_s".
void check_liquid(InputCheck& check, const fuel::Liquid& liquid);

}  // namespace fw::hydraulics
