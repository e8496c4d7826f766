// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <optional>

#include "base/required.hpp"
#include "base/result.hpp"
#include "fuel/liquid.hpp"
#include "hydraulics/network.hpp"
#include "hydraulics/resistor.hpp"

/// Filters, strainers, separators, coolers and everything else that is known by one drop at one flow.
namespace fw::hydraulics {

/// A medium, free of the liquid: dp = A mu Q + B rho Q|Q|. A stands for the pores, B for ports and housing.
struct Medium {
  double darcy_per_m3 = required;     ///< A
  double inertial_per_m4 = required;  ///< B
  /// A at the end of life over A clean (>= 1); 1: does not load (a cooler).
  double terminal_ratio = 1.0;
};

/// A drop as a data sheet or a workshop states it.
struct StatedDrop {
  double clean_drop_Pa = required;
  double flow_m3_per_s = required;
  /// Share [-] of the clean drop that is quadratic in the flow. 0.5: check grade lines of the layouts page; typical
  /// by class: strainer 0.5, 30 um 0.8, 10 um 0.75, 4 to 10 um 0.7, 2 to 5 um 0.6, each 0.3 to 0.9 (typical).
  double quadratic_share = 0.5;
  double dynamic_viscosity_Pa_s = 2.7e-6 * 817.09;  ///< of the stated drop; 2.7 mm2/s fuel near 40 C
  double density_kg_per_m3 = 817.09;
  std::optional<double> terminal_drop_Pa;  ///< at the same flow and liquid; not given: the medium does not load
};

/// The medium behind a stated drop:
///   A = (1 - share) dp/(mu0 Q0),  B = share dp/(rho0 Q0^2),  terminal_ratio = (dp_T - share dp)/((1 - share) dp).
/// At loading 1 the drop at the stated flow and liquid is the terminal drop.
/// Errors: invalid_input naming `medium...`: share not in [0, 1), terminal below clean, numbers not positive.
/// Source: Darcy plus a quadratic term, common form; shares typical, no source.
/// Check: 3 kPa at 150 L/h, 0.75, mu 2.214e-3, rho 820: A 8.13e9, B 1.58e9.
[[nodiscard]] Result<Medium> medium_from_drop(const StatedDrop& stated);

/// The medium as a resistor in a liquid at a loading: a = A mu (1 + loading (terminal_ratio - 1)), b = B rho.
///
/// Loading 0 is clean, 1 is terminal; dirt multiplies the linear part only. Loading above 1 (a plugged filter as a
/// planted fault) follows the same line and is extrapolated. A pure orifice-like part (A = 0) has no linear term: the
/// solver needs one, add it along a pipe.
/// Errors: invalid_input naming `medium...`, `loading` (negative) or the liquid's field.
/// Check: A 8.13e9, B 1.58e9, rho 820, mu 2.214e-3: 60 / 150 / 300 L/h 0.660 / 2.999 / 10.497 kPa; rho 850,
/// mu 1.275e-2, 150 L/h 6.651 kPa (part data 2). Theory: docs/theory/components.md.
[[nodiscard]] Result<ResistorLaw> medium_law(const Medium& medium, const fuel::Liquid& liquid, double loading = 0.0);

/// Loading that a measured drop stands for: the inverse of medium_law at one flow. Below 0 (cleaner than the stated
/// clean drop) and above 1 are returned as they are.
/// Errors: invalid_input as medium_law, `flow_m3_per_s`, `drop_Pa` not positive; conflict when the medium does not
/// load.
[[nodiscard]] Result<double> loading_from_drop(const Medium& medium, const fuel::Liquid& liquid, double flow_m3_per_s,
                                               double drop_Pa);

/// A path past the element that should be shut: a leaking bypass valve or a torn seal, in parallel with the medium.
struct BypassLeak {
  double flow_m3_per_s = required;  ///< leak at the stated drop and liquid
  double drop_Pa = required;
  double density_kg_per_m3 = required;
};

/// The leak as an orifice of the same flow: b = dp rho/(rho0 Q^2), with the linear part of a sharp orifice of that
/// size (orifice.hpp). Errors: invalid_input naming `leak...` or the liquid's field.
[[nodiscard]] Result<ResistorCoefficients> bypass_leak_law(const BypassLeak& leak, const fuel::Liquid& liquid);

/// Share [-] of the whole flow that passes the leak and not the medium, both with the same drop.
/// Precondition: laws with a or b above 0, drop not 0.
[[nodiscard]] double unfiltered_share(const ResistorCoefficients& medium, const ResistorCoefficients& leak,
                                      double drop_Pa);

}  // namespace fw::hydraulics
