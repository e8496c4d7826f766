// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "rail/closed_forms.hpp"
#include "rail/injector.hpp"
#include "rail/pump.hpp"

/// A high-pressure side as a whole.
namespace fw::rail {

/// Pressure-control valve on the rail: spills what exceeds its set pressure.
struct PressureValve {
  double slope_m3_per_s_Pa = 2e-12;  ///< spilled per excess; rated pump flow per 10 MPa, typical, no source
  double lag_s = 0.008;              ///< typical 5 to 10 ms
  double rest_Pa = 8e6;              ///< set pressure without current; 60 to 100 bar, from memory
};

/// Relief valve: opens at `open_Pa` and holds the rail near `held_Pa` until pressure falls below `close_Pa`.
struct ReliefValve {
  double open_Pa = required;
  double close_Pa = 40e6;   ///< 30 to 50 MPa, component training data
  double open_m2 = 1.0e-6;  ///< Cd A once open; typical, no source
};

struct HighPressureSet {
  std::string id;
  Pump pump{};
  Injector injector{};
  int cylinders = 0;
  int injectors = 0;
  int rails = 1;
  double rail_volume_m3 = required;       ///< of one rail
  double pump_pipe_volume_m3 = required;  ///< pump pipes and crossover
  double pump_pipe_bore_m = 3.0e-3;
  FeedPipe feed_pipe{};                ///< one per injector
  double injector_bore_m3 = required;  ///< volume at the end of a feed pipe
  double rail_throttle_m2 = 0.0;       ///< Cd A at each outlet; 0: none
  ReliefValve relief{};
  std::optional<PressureValve> pressure_valve;
  double idle_Pa = required;
  double rated_Pa = required;   ///< highest set pressure
  double enable_Pa = required;  ///< injection starts
  double cranking_rev_per_s = required;
  double idle_rev_per_s = required;
  double rated_rev_per_s = required;
  double rated_W = required;
  double consumption_kg_per_J = required;
  double cylinder_Pa = 15e6;         ///< at injection; typical, no source
  double window_rad = 0.6283185307;  ///< longest full-rate injection, crank angle: 36 degrees, assumed, no source

  /// All fuel under rail pressure [m3].
  [[nodiscard]] double pressed_volume_m3() const;
  [[nodiscard]] double shots_per_s(double crank_rev_per_s) const { return 0.5 * cylinders * crank_rev_per_s; }
};

/// Everything finite and physical; rail volume positive, one injector per cylinder, rated pressure below relief.
/// Errors: invalid_input or conflict naming the field.
[[nodiscard]] Result<void> check_set(const HighPressureSet& set);

/// Ready sets of typical values, no source but where the theory page says so: "v8" (7.0 L, two plungers, two rails) and
/// "i4" (2.0 L, eccentric with three plungers). Errors: not_found.
[[nodiscard]] Result<HighPressureSet> generic_set(std::string_view id);

/// How worn a set is.
struct Wear {
  double clearance_m = 0.0;       ///< added to the plunger's radial gap
  double delivery_leak_m2 = 0.0;  ///< Cd A of each shut delivery valve
  double static_factor = 1.0;     ///< on the injectors' static leak
  double control_factor = 1.0;    ///< on the switching volume
};
/// Errors: invalid_input for a negative number or a factor below 1.
[[nodiscard]] Result<HighPressureSet> worn(HighPressureSet set, const Wear& wear);

}  // namespace fw::rail
