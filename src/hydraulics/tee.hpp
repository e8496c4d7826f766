// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>

#include "base/required.hpp"
#include "base/result.hpp"
#include "fuel/liquid.hpp"
#include "hydraulics/fittings.hpp"
#include "hydraulics/resistor.hpp"

/// Tees: one 2-K/3-K loss per leg for laminar flow, and the turbulent coefficients of a flow split.
namespace fw::hydraulics {

enum class TeeBuild : std::uint8_t { threaded, long_radius, flanged, stub_in };
enum class TeeLeg : std::uint8_t { run, branch };

/// Loss of one leg of a tee on that leg's own bore (fittings tee-run-... and tee-branch-...): strictly rising, for the
/// solver. A long-radius tee has no run entry in the tables: its run takes the flanged one.
/// Validity: laminar to moderate Re, one leg at a time; the exchange of momentum between the legs is left out.
/// Errors: as fitting_law.
[[nodiscard]] Result<ResistorLaw> tee_leg_law(TeeBuild build, TeeLeg leg, const FittingUse& use,
                                              const fuel::Liquid& liquid);

/// How a 90 degree sharp tee splits or joins its flows.
struct TeeSplit {
  double branch_share = required;  ///< Q_branch/Q_combined [-], 0 to 1
  double bore_ratio = required;    ///< d_branch/d_run [-], above 0 to 1
};

/// Turbulent loss coefficients [-] on the velocity head of the combined leg. Negative: the other stream drives it.
struct TeeCoefficients {
  double branch_converging = 0.0;
  double run_converging = 0.0;
  double branch_diverging = 0.0;
  double run_diverging = 0.0;
};

/// With s the branch share, b the bore ratio, v = s/b^2 the branch's velocity over the combined one:
///
///   joining, branch:   C (1 + v^2 - 2 (1 - s)^2),  C = 1 for b^2 <= 0.35, else 0.9 (1 - s) to s 0.4, 0.55 above;
///                      the source jumps there from 0.54, here a straight line joins them from s 0.4 to 0.42
///   joining, run:      1.55 s - s^2
///   splitting, branch: 1 + v^2 for b <= 2/3, else 1 + 0.3 v^2; x (1 + 0.3 s^2) for equal bores
///   splitting, run:    M s^2,  M = 0.4 for b^2 <= 0.4, else 2 (2 s - 1) to s 0.5, 0.3 (2 s - 1) above
///
/// The source gives the factor 1 + 0.3 s^2 for b = 1; it is used from b 0.99 on. Turbulent, and not monotone.
/// Errors: invalid_input naming `tee.branch_share`, `tee.bore_ratio`.
/// Source: Technical Paper 410, Flow of Fluids (2009), chapter 2. Check: tests/published/hydraulics/hyd_tee_split.csv.
[[nodiscard]] Result<TeeCoefficients> tee_split_coefficients(const TeeSplit& tee);

/// A tee as it stands between three lines.
struct Tee {
  TeeBuild build = TeeBuild::threaded;
  double run_bore_m = required;
  double branch_bore_m = required;  ///< not above the run's
};

/// Flow [m3/s] of each leg into the tee; one that leaves is negative. They sum to zero.
struct TeeFlows {
  double first_run_m3_per_s = required;
  double second_run_m3_per_s = required;
  double branch_m3_per_s = required;
};

/// Drop [Pa] from the end of each leg to the leg that carries the combined flow, and a slope for a solver that goes
/// pass by pass: of each leg's drop by its own flow, above zero.
struct TeeDrops {
  double first_run_Pa = 0.0;
  double second_run_Pa = 0.0;
  double branch_Pa = 0.0;
  double first_run_slope_Pa_s_per_m3 = required;
  double second_run_slope_Pa_s_per_m3 = required;
  double branch_slope_Pa_s_per_m3 = required;
};

/// Between these Reynolds numbers of the combined leg the laminar loss goes over into the turbulent one (assumed: the
/// band in which pipe flow itself changes).
inline constexpr double tee_laminar_reynolds = 2000.0;
inline constexpr double tee_turbulent_reynolds = 4000.0;

/// Losses of a tee at given flows, dividing or joining as the flows say. The combined leg is the one with the largest
/// flow; it loses nothing, each other leg
///
///   Re <= 2000: tee_leg_law of that leg at its own flow      Re >= 4000: K rho V^2/2, K of tee_split_coefficients,
///   between:    the one goes over into the other by a cubic in Re        V of the combined leg
///
/// K may be negative where one stream drives the other. A combined flow in the branch is not in the source: both runs
/// then lose the branch's laminar law at every Reynolds number. Not monotone in the flows: a network meets it pass by
/// pass (room system), Q = Q* + (drop - drop*)/slope. Velocity heads are not shown, as everywhere in the network.
/// Errors: invalid_input naming `tee...` (a branch wider than the run included), `flows...` or the liquid's field.
/// Check: tests/published/hydraulics/hyd_tee_split.csv, every row in both directions, at Re 10,000.
[[nodiscard]] Result<TeeDrops> tee_drops(const Tee& tee, const TeeFlows& flows, const fuel::Liquid& liquid);

}  // namespace fw::hydraulics
