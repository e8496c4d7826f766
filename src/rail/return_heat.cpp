// SPDX-License-Identifier: Apache-2.0
#include "rail/return_heat.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "fuel/stiffness.hpp"
#include "fuel/thermal.hpp"

namespace fw::rail {

Result<double> throttled_W(const RailLiquid& liquid, double mass_kg_per_s, double rail_Pa) {
  InputCheck check;
  check_liquid(check, liquid);
  check.non_negative(mass_kg_per_s, "mass_kg_per_s").non_negative(rail_Pa, "rail_Pa");
  if (check.failed()) return check.fault();
  return mass_kg_per_s * liquid.pumping_J_per_kg(std::min(rail_Pa, fuel::standard_pressure_Pa), rail_Pa);
}

Result<ReturnHeat> return_heat(const HighPressureSet& set, const fuel::Fuel& fuel, const ReturnQuestion& question) {
  InputCheck check;
  check.positive(question.crank_rev_per_s, "question.crank_rev_per_s")
      .positive(question.power_W, "question.power_W")
      .within(question.rail_Pa, {.low = 1e6, .high = 250e6}, "question.rail_Pa")
      .positive(question.inlet_K, "question.inlet_K")
      .positive(question.inlet.pressure_Pa, "question.inlet.pressure_Pa")
      .within(question.inlet.gas_fraction, {.low = 0.0, .high = 1.0}, "question.inlet.gas_fraction");
  if (check.failed()) return check.fault();
  if (const auto good = check_set(set); !good) return fail(good.error());

  const auto charge = rail_liquid(fuel, question.inlet_K, 200e6);
  if (!charge) return fail(charge.error());
  const auto pressed = fuel::compressed(
      fuel, {.temperature_K = question.inlet_K, .from_Pa = question.inlet.pressure_Pa, .to_Pa = question.rail_Pa});
  if (!pressed) return fail(pressed.error());
  const auto throttled = fuel::throttled(
      fuel,
      {.temperature_K = pressed->temperature_K, .from_Pa = question.rail_Pa, .to_Pa = fuel::standard_pressure_Pa});
  if (!throttled) return fail(throttled.error());
  // In a plunger gap the fuel is about as warm as half way through its throttling.
  const double gap_K = 0.5 * (pressed->temperature_K + throttled->temperature_K);
  const auto gap = rail_liquid(fuel, gap_K, 200e6);
  if (!gap) return fail(gap.error());

  const double shaft = question.crank_rev_per_s * set.pump.crank_ratio;
  const PumpState pump =
      pump_state_unchecked(set.pump, charge->liquid, gap->liquid,
                           {.shaft_rev_per_s = shaft, .rail_Pa = question.rail_Pa, .inlet = question.inlet});
  const double shots = set.shots_per_s(question.crank_rev_per_s);
  ReturnHeat heat;
  heat.injected_kg_per_s = question.power_W * set.consumption_kg_per_J;
  const double through_rail =
      charge->liquid.free_density_kg_per_m3 * (shots * control_m3_at(set.injector, question.rail_Pa) +
                                               set.injectors * static_m3_per_s_at(set.injector, question.rail_Pa));
  const double leaked = through_rail + pump.leak_kg_per_s;
  const double inlet_density = charge->liquid.density_at(question.inlet.pressure_Pa);
  const double housing = inlet_density * set.pump.housing_m3_per_s * std::min(1.0, shaft / set.pump.rated_rev_per_s);
  heat.returned_kg_per_s = leaked + housing;
  heat.taken_kg_per_s = heat.injected_kg_per_s + heat.returned_kg_per_s;
  const double work = charge->liquid.pumping_J_per_kg(question.inlet.pressure_Pa, question.rail_Pa);
  const double hydraulic_W = (heat.injected_kg_per_s + leaked) * work;
  heat.pump_loss_W = hydraulic_W * (1.0 / set.pump.mechanical_efficiency - 1.0);
  heat.throttling_W = leaked * work;
  heat.throttled_K = throttled->temperature_K;
  const auto capacity = fuel::heat_capacity_J_per_kg_K(fuel, question.inlet_K);
  if (!capacity) return fail(capacity.error());
  if (housing <= 0.0) {
    heat.housing_K = question.inlet_K;
    heat.return_K = heat.throttled_K + heat.pump_loss_W / (leaked * capacity->value);
  } else {
    heat.housing_K = question.inlet_K + heat.pump_loss_W / (housing * capacity->value);
    heat.return_K = (leaked * heat.throttled_K + housing * heat.housing_K) / heat.returned_kg_per_s;
  }
  heat.range = widest(charge->range, gap->range);
  return heat;
}

}  // namespace fw::rail
