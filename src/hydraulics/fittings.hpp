// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string_view>

#include "base/required.hpp"
#include "base/result.hpp"
#include "fuel/liquid.hpp"
#include "hydraulics/resistor.hpp"

/// Elbows, bends, tees and valves by the 2-K and 3-K laws; entrances and exits.
namespace fw::hydraulics {

/// K = k1/Re + k_infinity (1 + 25.4/d_mm), d the true bore. W. B. Hooper, Chem. Eng. 88(17) (1981) 96-100.
struct TwoK {
  double k1 = required;
  double k_infinity = required;
};

/// K = k1/Re + ki (1 + kd/Dn^0.3), Dn in inches. R. Darby, Chem. Eng. 106(7) (1999) 101; 108(4) (2001) 127.
struct ThreeK {
  double k1 = required;
  double ki = required;
  double kd = required;
};

/// One fitting of the published tables. At least one of the two laws is there.
struct Fitting {
  std::string_view id;     ///< stable name in files, e.g. "elbow-90-threaded"
  std::string_view title;  ///< for people
  std::optional<TwoK> two_k;
  std::optional<ThreeK> three_k;
};

/// All fittings, ordered as in the tables. Constants: secondary print and memory, checked against an independent
/// implementation (tests/published/hydraulics/hyd_fittings_*.csv); the originals were not seen.
[[nodiscard]] std::span<const Fitting> fittings();

/// The fitting of that id. Errors: not_found, with the nearest thing to do in the hint.
[[nodiscard]] Result<Fitting> fitting_named(std::string_view id);

/// 90 % half-width of the fitting law [-], relative: one draw shared by all fittings, size changes and joints of a
/// sheet. Common practice, no source: no accuracy is published for bores below half an inch.
inline constexpr double fitting_law_spread = 0.30;

enum class FittingMethod : std::uint8_t {
  three_k_first,  ///< 3-K where the table has it, else 2-K: the product's choice, 2-K doubles the loss below 10 mm
  two_k,
  three_k,
};

struct FittingUse {
  double bore_m = required;  ///< true bore of the neighbouring line: K, Re and V refer to it
  /// Dn of the 3-K law; not given: the true bore. A nominal size from a pipe table changes K by a few percent.
  std::optional<double> nominal_bore_m;
  FittingMethod method = FittingMethod::three_k_first;
};

/// K = k1/Re + k_infinity of a fitting on its bore, for either law.
/// Errors: invalid_input naming `fitting.bore_m`, `fitting.nominal_bore_m`; outside_model `fitting.method` when the
/// table has no such law for it.
/// Check: elbow-90-threaded, Re 1500, 9.525 mm: 2-K 2.00000, 3-K (Dn 0.375) 1.4249193.
[[nodiscard]] Result<LossCoefficient> fitting_loss_coefficient(const Fitting& fitting, const FittingUse& use);

/// The fitting as a resistor, exact for either law at every Re (see resistor_of). Both laws were fitted to process
/// pipe: below 12.7 mm they are extrapolated.
/// Errors as fitting_loss_coefficient, and the liquid's field.
[[nodiscard]] Result<ResistorLaw> fitting_law(const Fitting& fitting, const FittingUse& use,
                                              const fuel::Liquid& liquid);

enum class EntranceKind : std::uint8_t {
  sharp,       ///< flush with the wall
  re_entrant,  ///< a tube end standing in the tank
  rounded,     ///< corner of radius r
};

struct Entrance {
  EntranceKind kind = EntranceKind::sharp;
  double bore_m = required;
  double corner_radius_m = 0.0;  ///< rounded only
  /// Wall of a re-entrant tube; not given: K 0.8, the lower handbook value (0.8 to 1.0).
  std::optional<double> wall_m;
};

/// Turbulent entrance K [-] on the bore: sharp 0.50 (handbooks; Rennels & Hudson 0.57); re-entrant 1.12 - 22 t/d +
/// 216 (t/d)^2 + 80 (t/d)^3 up to t/d 0.05, 0.57 beyond; rounded 0.0696 (1 - 0.569 r/d) l^2 + (l - 1)^2 with
/// l = 1 + 0.622 (1 - 0.30 sqrt(r/d) - 0.70 r/d)^4, constant beyond r/d 1.
/// Errors: invalid_input `entrance.bore_m`, `entrance.corner_radius_m`, `entrance.wall_m`.
/// Source: D. C. Rennels, H. M. Hudson, Pipe Flow (2012), from memory;
/// tests/published/hydraulics/hyd_fittings_misc.csv. Check: r/d 0.1 -> 0.2029104, t/d 0.02 -> 0.76704.
[[nodiscard]] Result<double> entrance_loss_coefficient(const Entrance& entrance);

/// Exit into a tank: all kinetic energy is lost. 1 for a flat (turbulent) profile, 2 for a parabolic one, exact.
inline constexpr double exit_loss_turbulent = 1.0;
inline constexpr double exit_loss_laminar = 2.0;

/// Extra pressure drop of developing laminar flow over Poiseuille's [velocity heads], K_inf = 1.25 (published 1.20 to
/// 1.33; Hagenbach; Shah & London 1978, from memory); nine tenths of it are there after 0.06 Re d.
///
/// It is a pressure difference: of the 1.25, one head became kinetic energy of the parabolic profile. Where heads are
/// summed as energy and the exit takes 2, the entry costs K_inf - 1 (`laminar_entry_loss`); tank to tank both ways
/// give entrance + 1.25 + 1.
inline constexpr double laminar_entry_excess = 1.25;
inline constexpr double laminar_entry_loss = laminar_entry_excess - 1.0;

struct EntryRun {
  double reynolds = required;
  double bore_m = required;
  double length_m = required;
};

/// Part of the excess [velocity heads] that a pipe of one length has: 4 x (fRe - 16) with
///   fRe = 3.44/sqrt(x) + (1.25/(4 x) + 16 - 3.44/sqrt(x))/(1 + 0.00021/x^2),  x = L/(d Re).
/// Errors: invalid_input `reynolds`, `bore_m`, `length_m`. Validity: Re below transition, any length.
/// Source: Shah (1978) as in Shah & London, from memory. Check: 1.25 for x -> infinity, 13.76 sqrt(x) - 64 x for x ->
/// 0.
[[nodiscard]] Result<double> laminar_entry_excess_at(const EntryRun& run);

}  // namespace fw::hydraulics
