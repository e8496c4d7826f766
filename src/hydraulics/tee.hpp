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
///   joining, branch:   C (1 + v^2 - 2 (1 - s)^2),  C = 1 for b^2 <= 0.35, else 0.9 (1 - s) to s 0.4, 0.55 above
///   joining, run:      1.55 s - s^2
///   splitting, branch: 1 + v^2 for b <= 2/3, else 1 + 0.3 v^2; x (1 + 0.3 s^2) for equal bores
///   splitting, run:    M s^2,  M = 0.4 for b^2 <= 0.4, else 2 (2 s - 1) to s 0.5, 0.3 (2 s - 1) above
///
/// The source gives the factor 1 + 0.3 s^2 for b = 1; it is used from b 0.99 on. The solver does not use these: they
/// are turbulent and not monotone. They say what the laminar legs leave out.
/// Errors: invalid_input naming `tee.branch_share`, `tee.bore_ratio`.
/// Source: Technical Paper 410, Flow of Fluids (2009), chapter 2. Check: tests/published/hydraulics/hyd_tee_split.csv.
[[nodiscard]] Result<TeeCoefficients> tee_split_coefficients(const TeeSplit& tee);

}  // namespace fw::hydraulics
