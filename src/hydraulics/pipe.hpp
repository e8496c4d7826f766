// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/required.hpp"
#include "base/result.hpp"
#include "fuel/liquid.hpp"
#include "hydraulics/network.hpp"
#include "hydraulics/resistor.hpp"

/// Straight and curved lines: coefficients of the solver's pipe law, curvature, and the fuel's inertia.
namespace fw::hydraulics {

/// Roughness of a drawn tube or plastic line [m] (0.0015 to 0.01 mm) and of a smooth flexible hose (0.006 to
/// 0.07 mm). General roughness tables, secondary; the choice within the ranges is common practice, no source.
inline constexpr double tube_roughness_m = 0.0015e-3;
inline constexpr double hose_roughness_m = 0.03e-3;

struct PipeShape {
  double bore_m = required;  ///< true bore
  double length_m = required;
  double roughness_m = 0.0;  ///< smooth; see tube_roughness_m and hose_roughness_m
  /// Twice the bend radius to the axis of an arc over about 90 degrees; 0: straight. A short elbow is a fitting.
  double bend_diameter_m = 0.0;
};

/// Coefficients of `Law::pipe` for one run of one bore, with the loss `along` it (fittings, size changes) added.
///
///   Re = c |Q|, c = 4/(pi d nu)      laminar drop r Q, r = 128 mu L/(pi d^4)      curvature = sqrt(d/Dc)
///
/// The friction law itself (phi = f Re/64) belongs to the solver (friction.hpp).
/// Range: eps/d <= 0.05 (Colebrook, Churchill); a rougher bore is outside_model.
/// Errors: invalid_input naming `pipe.bore_m`, `pipe.length_m`, `pipe.roughness_m`, `pipe.bend_diameter_m`,
/// `along...` or the liquid's field; a bend diameter below twice the bore is refused (a kink, not a bend).
/// Source: Poiseuille; friction (1977) Churchill, Chem. Eng. 84(24):91.
/// Check: 9.5 mm, 1 m, 180 L/h, 835 kg/m3, 4.5e-6 m2/s: Re 1489.1691, r Q 939.79833 Pa. Theory:
/// docs/theory/components.md.
[[nodiscard]] Result<PipeCoefficients> pipe_law(const PipeShape& pipe, const fuel::Liquid& liquid,
                                                const ResistorCoefficients& along = no_loss);

/// Length [m] after which laminar flow is developed: 0.06 Re d (from memory). Re 1500 in 9.5 mm: 0.855 m.
[[nodiscard]] Result<double> laminar_entry_length_m(double reynolds, double bore_m);

/// Mass of the column per area and bore area, rho L/A [kg/m4]: dp = (rho L/A) dQ/dt. Adds along a line.
/// Errors as pipe_law. Check: 3 m of 9.5 mm, 835 kg/m3: 3.5340333e7.
[[nodiscard]] Result<double> inertance_kg_per_m4(const PipeShape& pipe, const fuel::Liquid& liquid);

/// How fast the draw rises when the pedal goes down.
struct TipIn {
  double full_draw_m3_per_s = required;
  double from_share = 0.5;  ///< of the full draw before; assumed
  double to_share = 1.0;    ///< of the full draw after
  double over_s = 0.3;      ///< duration of the rise; assumed
};

/// Sag [Pa] of the inlet pressure while the column is accelerated: sum(rho L/A) dQ/dt, dQ/dt taken as constant.
/// A column that ends in a hose which swells sags less: this is the stiff bound.
/// Errors: invalid_input naming `inertance_kg_per_m4`, `tip_in.full_draw_m3_per_s` (negative), `tip_in.over_s`,
/// shares outside 0 to 1.
/// Check: 3.5340333e7 kg/m4, 0 to 180 L/h in 0.1 s: 17670.167 Pa.
[[nodiscard]] Result<double> tip_in_sag_Pa(double inertance_kg_per_m4, const TipIn& tip_in);

}  // namespace fw::hydraulics
