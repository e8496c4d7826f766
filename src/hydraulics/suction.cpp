// SPDX-License-Identifier: Apache-2.0
#include "hydraulics/suction.hpp"

#include <cmath>

#include <fmt/format.h>

#include "hydraulics/liquid_check.hpp"

namespace fw::hydraulics {

namespace {
constexpr double gravity_m_per_s2 = 9.80665;
}

Result<InletState> inlet_state(const SuctionLine& suction, const fuel::Liquid& liquid) {
  InputCheck check;
  check.positive(suction.atmosphere_Pa, "suction.atmosphere_Pa")
      .finite(suction.vent_drop_Pa, "suction.vent_drop_Pa")
      .finite(suction.lift_m, "suction.lift_m")
      .non_negative(suction.friction_drop_Pa, "suction.friction_drop_Pa")
      .finite(suction.acceleration_drop_Pa, "suction.acceleration_drop_Pa")
      .non_negative(suction.inlet_velocity_m_per_s, "suction.inlet_velocity_m_per_s")
      .non_negative(liquid.vapour_pressure_Pa, "liquid.vapour_pressure_Pa");
  check_liquid(check, liquid);
  if (check.failed()) return check.fault();
  const double weight = liquid.density_kg_per_m3 * gravity_m_per_s2;
  const double pressure_Pa = suction.atmosphere_Pa - suction.vent_drop_Pa - weight * suction.lift_m -
                             suction.friction_drop_Pa - suction.acceleration_drop_Pa;
  if (pressure_Pa <= liquid.vapour_pressure_Pa) {
    return InletState{.pressure_Pa = liquid.vapour_pressure_Pa,
                      .starved = true,
                      .missing_Pa = liquid.vapour_pressure_Pa - pressure_Pa};
  }
  const double velocity_head_m =
      suction.inlet_velocity_m_per_s * suction.inlet_velocity_m_per_s / (2.0 * gravity_m_per_s2);
  return InletState{.pressure_Pa = pressure_Pa,
                    .npsh_m = (pressure_Pa - liquid.vapour_pressure_Pa) / weight + velocity_head_m};
}

Result<FreeGas> free_gas(const GasState& gas, const fuel::Liquid& liquid) {
  InputCheck check;
  check.positive(gas.saturation_pressure_Pa, "gas.saturation_pressure_Pa")
      .positive(gas.pressure_Pa, "gas.pressure_Pa")
      .within(gas.release_share, {.low = 0.0, .high = 1.0}, "gas.release_share")
      .non_negative(liquid.air_solubility, "liquid.air_solubility");
  if (check.failed()) return check.fault();
  if (gas.pressure_Pa >= gas.saturation_pressure_Pa) return FreeGas{};
  const double r =
      gas.release_share * liquid.air_solubility * (gas.saturation_pressure_Pa - gas.pressure_Pa) / gas.pressure_Pa;
  return FreeGas{.per_liquid = r, .void_fraction = r / (1.0 + r)};
}

Result<double> mixture_sound_speed_m_per_s(const Mixture& mixture, const fuel::Liquid& liquid) {
  InputCheck check;
  check.within(mixture.void_fraction, {.low = 0.0, .high = 1.0}, "mixture.void_fraction")
      .positive(mixture.pressure_Pa, "mixture.pressure_Pa")
      .positive(mixture.bulk_modulus_Pa, "mixture.bulk_modulus_Pa")
      .positive(mixture.polytropic_exponent, "mixture.polytropic_exponent")
      .positive(liquid.density_kg_per_m3, "liquid.density_kg_per_m3");
  if (check.failed()) return check.fault();
  check.that(mixture.void_fraction < 1.0, "mixture.void_fraction",
             {.found = "1: no liquid left", .expected = "less than 1"});
  if (check.failed()) return check.fault();
  const double liquid_share = 1.0 - mixture.void_fraction;
  const double compliance_per_Pa = mixture.void_fraction / (mixture.polytropic_exponent * mixture.pressure_Pa) +
                                   liquid_share / mixture.bulk_modulus_Pa;
  return 1.0 / std::sqrt(liquid.density_kg_per_m3 * liquid_share * compliance_per_Pa);
}

}  // namespace fw::hydraulics
