// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <stdexcept>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <gtest/gtest.h>

#include "system/supply_model.hpp"

/// Supplies of few parts and exact numbers, on fuel D20 of the hydraulics page, for tests of single elements.
namespace fw::test {

inline constexpr double rig_litre_per_hour = 1e-3 / 3600.0;

/// Takes `flow` at every point but idle and crank, all of it housing flow.
inline system::Engine engine_of(double flow_L_per_h, double height_m = 0.2) {
  system::Engine e;
  e.displacement_m3 = exactly(1e-12);
  e.rated_power_W = exactly(1e-6);
  e.rated_speed_per_s = exactly(50.0);
  e.torque_peak_power_W = exactly(1e-6);
  e.torque_peak_speed_per_s = exactly(30.0);
  e.idle_speed_per_s = exactly(10.0);
  e.crank_speed_per_s = exactly(3.0);
  e.rated_consumption_kg_per_J = exactly(62.5e-9);
  e.torque_peak_consumption_kg_per_J = exactly(57e-9);
  e.leakoff_share = exactly(0.0);
  e.housing_flow_m3_per_s = exactly(flow_L_per_h * rig_litre_per_hour);
  e.inlet_height_m = exactly(height_m);
  return e;
}

inline system::Part named(std::string id, system::PartKind kind) {
  system::Part part;
  part.id = std::move(id);
  part.kind = kind;
  return part;
}

inline system::Part line(std::string id, double bore_mm, double length_m) {
  system::Part part = named(std::move(id), system::PartKind::tube);
  part.line =
      system::Line{.bore_m = exactly(bore_mm * 1e-3), .length_m = exactly(length_m), .roughness_m = exactly(0.0015e-3)};
  return part;
}

inline system::LineSheet sheet_of(std::vector<system::Leg> legs, double flow_L_per_h) {
  system::LineSheet sheet;
  sheet.name = "rig";
  sheet.fuel = "constant";
  sheet.constant_density_kg_per_m3 = exactly(835.0);
  sheet.constant_kinematic_viscosity_m2_per_s = exactly(4.5e-6);
  system::Tank tank;
  tank.height_m = exactly(0.40);
  tank.pickup_height_m = exactly(0.2);
  sheet.tanks.push_back(tank);
  sheet.engine = engine_of(flow_L_per_h);
  sheet.legs = std::move(legs);
  return sheet;
}

/// All parts in one leg from the tank to the engine.
inline system::LineSheet row_of(std::vector<system::Part> parts, double flow_L_per_h = 60.0) {
  return sheet_of({system::Leg{.id = "supply", .from = "tank", .to = "engine", .parts = std::move(parts)}},
                  flow_L_per_h);
}

/// Throws what the sheet's errors say.
inline system::SupplyModel build(const system::LineSheet& sheet, const system::Branch& branch = {},
                                 double release = 0.14) {
  system::Laws laws = system::default_laws();
  laws.release.value = release;
  auto model = system::SupplyModel::build(sheet, branch, laws);
  if (!model) throw std::runtime_error(to_text(model.error()));
  return *model;
}

/// The most likely values at one running point; the test fails where they do not converge.
inline system::PointState solved(const system::SupplyModel& model, const system::RunningPoint& point = {}) {
  InlineExecutor executor;
  SilentProgress progress;
  const std::vector<double> slots = model.nominal();
  const std::vector<system::SupplyModel::Case> cases{{.point = point, .slots = slots}};
  const auto states = model.solve(cases, {executor, progress, {}});
  if (!states) throw std::runtime_error(to_text(states.error()));
  EXPECT_EQ(states->front().status, hydraulics::SolveStatus::converged) << states->front().trouble;
  return states->front();
}

/// Pressure over ambient behind a part.
inline double over_Pa(const system::SupplyModel& model, const system::PointState& state, std::string_view part) {
  return state.place_over_ambient_Pa.at(model.place_of(part).value());
}

}  // namespace fw::test
