// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "system/line_sheet.hpp"

/// A supply of few exact numbers for the tests of the rooms above `system`.
namespace fw::test {

inline constexpr double litre_per_hour = 1e-3 / 3600.0;

/// Suction-fed or fed supply with one hose and, if wanted, an electric pump in front of it.
inline system::LineSheet small_sheet(double hose_bore_m, bool pump, system::InletClass inlet) {
  system::LineSheet sheet;
  sheet.name = "small";
  sheet.fuel = "d975_2d";
  system::Tank tank;
  tank.height_m = exactly(0.4);
  tank.floor_height_m = exactly(0.0);
  tank.pickup_height_m = exactly(0.025);
  sheet.tanks.push_back(tank);
  system::Engine& e = sheet.engine;
  e.displacement_m3 = exactly(5.6e-3);
  e.rated_power_W = exactly(175e3);
  e.rated_speed_per_s = exactly(2500.0 / 60);
  e.torque_peak_power_W = exactly(128e3);
  e.torque_peak_speed_per_s = exactly(25.0);
  e.idle_speed_per_s = exactly(700.0 / 60);
  e.crank_speed_per_s = exactly(200.0 / 60);
  e.rated_consumption_kg_per_J = exactly(62.5e-9);
  e.torque_peak_consumption_kg_per_J = exactly(57e-9);
  e.leakoff_share = exactly(0.2);
  e.housing_flow_m3_per_s = exactly(90 * litre_per_hour);
  e.inlet_height_m = exactly(0.5);
  e.inlet = inlet;
  system::Leg leg{.id = "supply", .from = "tank", .to = "engine"};
  if (pump) {
    system::Part part;
    part.id = "assist";
    part.title = "assist pump";
    part.kind = system::PartKind::pump;
    part.pump = system::Pump{.free_flow_m3_per_s = exactly(320 * litre_per_hour),
                             .flow_at_rise_m3_per_s = exactly(300 * litre_per_hour),
                             .at_rise_Pa = exactly(80e3),
                             .set_Pa = exactly(76e3),
                             .surplus = system::Surplus::to_own_inlet,
                             .stopped = system::Stopped::bypass};
    leg.parts.push_back(part);
  }
  system::Part hose;
  hose.id = "hose";
  hose.title = "hose";
  hose.kind = system::PartKind::hose;
  hose.line = system::Line{.bore_m = exactly(hose_bore_m), .length_m = exactly(4.0)};
  leg.parts.push_back(hose);
  sheet.legs.push_back(leg);
  return sheet;
}

}  // namespace fw::test
