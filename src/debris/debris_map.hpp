// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstdint>
#include <limits>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "base/required.hpp"
#include "base/result.hpp"
#include "base/run.hpp"
#include "debris/fuel_way.hpp"
#include "debris/transport.hpp"

/// Where metal lies after a pump came apart: inferred from what was seen, never claimed where nobody looked.
/// Theory: docs/theory/debris.md, section Debris map.
namespace fw::debris {

/// Visible metal against the reference pictures.
enum class Grade : std::uint8_t { none, few_specks, film, paste };
[[nodiscard]] std::string_view id(Grade grade);  ///< "none", "few-specks", "film", "paste"
[[nodiscard]] std::optional<Grade> grade_of_id(std::string_view text);

/// How a place was looked at.
enum class Look : std::uint8_t {
  eye,     ///< grade by eye
  magnet,  ///< metal on a magnet: area, or grade. A clean magnet proves nothing
  cloth,   ///< white cloth
  patch,   ///< filter patch of a rinse: area, or clean
  count,   ///< particle count at target
};
[[nodiscard]] std::string_view id(Look look);
[[nodiscard]] std::optional<Look> look_of_id(std::string_view text);

/// One finding at a place: a grade or an area of metal.
struct Finding {
  Place place = Place::tank;
  Look by = Look::eye;
  Grade grade = Grade::none;
  double area_m2 = std::numeric_limits<double>::quiet_NaN();  ///< of metal on magnet or patch; NaN: not measured
};

/// How far it got after it began.
enum class Reach : std::uint8_t { not_keyed, keyed, cranked, ran, driven };
[[nodiscard]] std::string_view id(Reach reach);
[[nodiscard]] std::optional<Reach> reach_of_id(std::string_view text);

/// The story that carried the metal.
struct Story {
  MetalOrigin origin = MetalOrigin::high_pressure_pump;
  Reach reach = Reach::ran;
  double ran_s = 0.0;       ///< engine hours since the first symptom, when it ran or was driven
  int cranks = 0;           ///< attempts to start since
  double tank_share = 0.5;  ///< filling of the tank [-]
};
/// Time [s] of a distance at a mean speed. Errors: invalid_input `distance_m`, `speed_m_per_s`.
[[nodiscard]] Result<double> drive_time_s(double distance_m, double speed_m_per_s);

/// What a place may be called. What nobody looked at is inferred where the story carries metal, and not inspected
/// otherwise; it is never clean.
enum class PlaceState : std::uint8_t { not_inspected, inferred, seen, verified_clean };
[[nodiscard]] std::string_view name(PlaceState state);  ///< "not inspected", "inferred", "seen", "verified clean"

/// Weighted 5 %, 50 % and 95 % points.
struct Quantiles {
  double low = required;
  double median = required;
  double high = required;
};

struct PlaceOfMap {
  Place place = Place::tank;
  PlaceState state = PlaceState::not_inspected;
  std::optional<Look> verified_by;
  Quantiles mass_kg;
  Quantiles coarse;           ///< particles >= 14 um(c)
  double reached = required;  ///< chance that at least `reached_by` of them lie there [-]
};
/// Particles >= 14 um(c) from which a place counts as reached (assumed).
inline constexpr double reached_by = 100.0;

/// One history of equal weight drawn from the posterior.
struct History {
  std::uint32_t sample = 0;                 ///< of draw_way
  std::array<Bins, place_count> mass_kg{};  ///< by place
  Bins number_per_kg{};                     ///< particles in a kilogram of each bin
};

struct DebrisMap {
  std::vector<PlaceOfMap> places;  ///< all_places()
  Quantiles shed_kg;
  std::size_t samples = 0;
  double effective_samples = required;  ///< (sum w)^2 / sum w^2; below 100 the bands are rough
  std::vector<History> histories;
};

struct MapOptions {
  std::uint32_t samples = 4000;
  std::size_t histories = 200;
  std::uint64_t seed = 1;
};

/// Log-likelihood of a finding where `mass_kg` lies.
///
///   grade by eye: P(grade <= g | m) = Phi(ln(m_g/m)/ln 3), m_g = 0.1, 3, 100 mg for none, few specks, film
///   area: ln m uniform over 5 to 100 mg/cm2 x area, blurred by a factor of 2
///   cloth, patch, count clean: Phi(ln(m_v/m)/ln 3), m_v = 0.3, 0.1, 0.1 mg
///   clean magnet: a half plus half of "none by eye": it may have missed
///
/// All numbers assumed. Precondition: a finding that check_findings lets pass.
[[nodiscard]] double log_likelihood(const Finding& finding, double mass_kg);

/// Errors, one: invalid_input `findings[i].area` (negative, or where no area can be), conflict `findings[i]` (a place
/// both clean by cloth, patch or count and with metal).
[[nodiscard]] Result<void> check_findings(std::span<const Finding> findings);

/// Posterior over transport histories by importance sampling from the prior of draw_way.
///
/// Errors: as check_findings and transport_of; invalid_input `story...`; outside_model `findings` when no history of
/// the prior explains them (effective samples below 2). Deterministic: the executor changes nothing. Check: without
/// findings the weights are equal and the shed mass has the prior's quantiles; a patch raises the mass at its place
/// into its band; identical to rejection sampling on a coarse finding.
[[nodiscard]] Result<DebrisMap> infer(const FuelWay& way, const Story& story, std::span<const Finding> findings,
                                      const MapOptions& options, const Run& run);

/// Published procedure's rule: a magnet patch over 1 cm2 asks for the whole system. Exactly 1.0 does not.
[[nodiscard]] bool whole_system_by_magnet(std::span<const Finding> findings);

}  // namespace fw::debris
