// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <functional>
#include <span>
#include <string>
#include <vector>

#include "supply/check.hpp"
#include "system/supply_model.hpp"

namespace fw::supply {

/// A check that is computed: what is read off a solved running point, and which limit it meets.
/// The same criterion serves the most likely values and every draw.
struct Criterion {
  Check check;          ///< id, title, dimension, limit, side, place
  bool wax = false;     ///< a filter stands before the place: cloud point and CFPP decide first
  bool gas = false;     ///< the value is void at the nominal release, its bound that at equilibrium
  bool advice = false;  ///< says narrow at worst
  std::function<bool(const system::RunningPoint&)> counts;
  /// Value at a converged running point, SI; NaN: this state says nothing. `slots` as the model's inputs.
  std::function<double(const system::RunningPoint&, const system::PointState&, std::span<const double> slots)> value;
  /// The part that the value is of, where the criterion looks at several; empty: the check's own place.
  std::function<std::string(const system::PointState&, std::span<const double> slots)> where;
  std::string when_fails, when_narrow, when_holds, when_not_known;  ///< sentences without their ending
};

/// All criteria of a sheet that physics answers: inlet low and high, vacuum at each suction inlet, gas, filter flow and
/// clean drop, regulators still regulating, wire and fuse of electric pumps (electric.hpp), vacuum in rated hoses,
/// delivery, return back-pressure, viscosity, velocities.
///
/// Limits, with their origin and source, stand in the criteria: electric pump on suction narrow 10, fails 17 kPa
/// vacuum; gear stage 34 and 41 kPa (one factory table); gas narrow 2 %, fails 5 % by volume; return 50 kPa (one marine
/// family, cooler included); fuel 1.4 mm2/s at the injectors (application data); velocities suction 1.2, return 2,
/// pressure 4.5 m/s (advice, hydraulic practice); the rest assumed, and says so.
[[nodiscard]] std::vector<Criterion> criteria(const system::SupplyModel& model);

}  // namespace fw::supply
