// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <string>
#include <vector>

#include "base/run.hpp"
#include "heat/loop.hpp"
#include "supply/check.hpp"
#include "system/line_sheet.hpp"

namespace fw::supply {

/// How warm the fuel gets where a long run at rated power ends, leg by leg.
struct LongRun {
  std::vector<Check> checks;  ///< inlet temperature and viscosity, return temperature
  std::string note;           ///< the temperatures by leg, and what stands in; "" where nothing was computed
};

/// Checks of the fuel to pump and injectors after a long run at rated power in the hottest air of the envelope: the
/// outer temperature loop of supply, high-pressure side and heat (system::close_temperature_loop), most likely values.
/// Where what a pump does with its surplus is not stated, the way with the hottest inlet is judged.
///
/// Limits: at most 66 C and at least 1.4 mm2/s to the injectors (application data of an engine maker), narrow within
/// 10 K or a tenth (assumed); return at the engine at most 80 C (judgement, no source).
/// Needed of the sheet: the number of cylinders, a grade as fuel, the volume of the first tank on the fuel's way, a
/// return to a tank. A missing one makes the checks not known and is named. Standing in, typical: heat given off by the
/// tank, 25 W/m2K of a moving one on the surface of road tanks of its volume (part data); 15 W/m2K on lines of 2 mm
/// wall; a generic high-pressure side for what it does not state. Returns are adiabatic, which over-predicts; a cooler
/// that states no heat is not counted, so that beyond a limit the check is not known with one in the return.
/// A loop that cannot be closed is not known, with its reason.
[[nodiscard]] LongRun long_run(const system::LineSheet& sheet, double air_K, const Run& run);

/// Tank and lines of a sheet as room heat sees them; the engine is not in it.
struct WayRound {
  heat::FuelLoop loop{};
  double standing_W_per_K = 0.0;     ///< given off by the tank while the vehicle stands; the loop's is of a moving one
  bool cooler = false;               ///< one stands in the return; its heat is not stated and not counted
  std::vector<std::string> assumed;  ///< in words
};
/// Standing in for what is not stated: a tank of 120 L, a return of 5 m (typical).
[[nodiscard]] WayRound way_round(const system::LineSheet& sheet);

/// Surface [m2] of a road tank of a volume: 60 L 1.30, 80 L 1.53, 125 L 1.90, 200 L 2.38, 350 L 2.88 (part data, closed
/// boxes of typical proportions), linear between them, as volume^(2/3) outside.
[[nodiscard]] double tank_surface_m2(double volume_m3);

}  // namespace fw::supply
