// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "base/result.hpp"
#include "base/run.hpp"
#include "fuel/fuel.hpp"
#include "heat/loop.hpp"
#include "rail/capacity.hpp"
#include "system/line_sheet.hpp"
#include "system/rail_side.hpp"
#include "system/supply_model.hpp"

/// What the high-pressure side of a line sheet holds, and how warm its fuel gets.
namespace fw::assess {

/// Fuel at the pump inlet where nobody states it: hot return, assumed.
inline constexpr double usual_inlet_K = 333.15;
/// Air of a warm day where nobody states it, assumed.
inline constexpr double usual_air_K = 303.15;
/// Fuel at the healthy design point of the film on the cam, assumed.
inline constexpr double film_design_K = 313.15;

/// One state of wear, or another pump, at the engine's rated speed and over the engine's own line of power.
struct RailState {
  std::string title;
  rail::Ceiling ceiling{};
  std::vector<rail::CapacityPoint> line;  ///< along the operating line, same speeds for all states
};
struct RailCapacity {
  std::string sheet;
  std::vector<std::string> assumed;
  bool sized_to_engine = false;  ///< system::RailSide
  double rated_W = 0.0;
  double rated_rev_per_s = 0.0;
  double rated_Pa = 0.0;
  rail::PumpInlet inlet{};  ///< from the supply at rated power
  double inlet_K = 0.0;
  std::vector<double> line_W;     ///< power at the speeds of the line
  std::vector<RailState> states;  ///< the first is the sheet's own
  double swap_ratio = 1.0;        ///< fuel at the ceiling with 15 % more stroke over that without
  rail::Limit swap_limit = rail::Limit::none;
  double swap_inlet_ratio = 1.0;
  /// rail::cavitating_gain at the rated pressure, where its law holds; in no number above.
  std::optional<double> cavitating_gain;
};

struct HeatPoint {
  std::string title;
  system::TemperatureLoop loop;
};
/// Film between roller and cam at rated power, as the heat balance leaves the fuel, beside the healthy design point
/// (en590 at 40 C, assumed). Explains; enters no outcome and no owner's page.
struct WearState {
  std::string fuel;
  double inlet_K = 0.0;
  double relative = 1.0;  ///< film over the film of the design point
  double lambda = 0.0;    ///< film over roughness, Rq 0.05 um on both (typical); below 1 boundary
  bool bounding = false;  ///< nobody's fuel: the worst that could be
  Range range = Range::fitted;
};

struct FuelHeat {
  std::string sheet;
  std::vector<std::string> assumed;
  double air_K = 0.0;
  std::vector<HeatPoint> points;
  heat::Day day{};
  double limit_K = 0.0;
  double cooler_W_per_K = 0.0;  ///< that keeps the pump inlet at the limit at rated power
  std::string no_cooler;        ///< why there is no such cooler; empty: there is one
  std::vector<WearState> wear;  ///< none for an eccentric pump, which has no roller
};

/// A sheet as the models of its high-pressure side.
struct SheetSide {
  fuel::Fuel fuel;
  system::RailSide rail;
  system::SupplyModel model;  ///< of the first branch of what is unknown about its pumps
};
/// A constant fluid has no bulk modulus: en590 stands in for it and is named among the assumed. Errors: those of
/// rail_side, fuel_of_text and SupplyModel::build, in the sheet's file.
[[nodiscard]] Result<SheetSide> side_of(const system::LineSheet& sheet);

/// The fuel of charge and gaps and the state at the pump inlet, from the supply at rated power with fuel of `inlet_K`;
/// gaps are 20 K warmer than the charge (judged). Errors: those of rail_liquid; did_not_converge for the supply.
[[nodiscard]] Result<rail::CapacityFuel> fuel_at_inlet(const SheetSide& side, double inlet_K, const Run& run);

/// What the side holds as stated, with worn plungers, with leaking injectors, and with 15 % more stroke. Errors: those
/// of side_of, fuel_at_inlet and rail.
[[nodiscard]] Result<RailCapacity> rail_capacity(const system::LineSheet& sheet, double inlet_K, const Run& run);

/// Temperatures of a long run at rated power and at idle, of a work day (three hours at rated power, one at idle, three
/// more), the film on the cam of a roller pump with the sheet's fuel, other grades and blends, and the return cooler
/// that keeps the pump inlet at 66 C (published engine application data). Errors: those of side_of and the rooms heat
/// and system.
[[nodiscard]] Result<FuelHeat> fuel_heat(const system::LineSheet& sheet, double air_K, const Run& run);

}  // namespace fw::assess
