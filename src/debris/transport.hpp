// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <limits>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/required.hpp"
#include "base/result.hpp"

/// Particles carried by the fuel from the tank through every part and back, over hours of running, stops, starts and
/// refuellings. Theory: docs/theory/debris.md.
namespace fw::debris {

/// Bins of the transport: those of standard_edges_m().
inline constexpr std::size_t bin_count = 12;
/// One number for each bin. An amount may be particles or kilograms: the transport is linear and keeps what it is
/// given.
using Bins = std::array<double, bin_count>;

/// Where an outlet leads that does not lead to a place.
inline constexpr std::int32_t to_tank = -1;
inline constexpr std::int32_t to_burnt = -2;  ///< leaves with the injected fuel

/// A way out of a place.
struct Outlet {
  std::int32_t to = to_tank;  ///< index of a later place, to_tank or to_burnt
  double share = required;    ///< of all that leaves the place [-]; the shares of a place add up to 1
};

/// A leg, a part, or a chamber of the pump: what comes in lodges in part, what lies there is carried on by flow.
///
///   dM/dt = a I - k M,   out = (1 - a) I + k M,   k = release_per_m3 x flow through the place
///
/// A filter is a place with a = the bin efficiency and no release.
struct TransportPlace {
  std::string id;
  double flow_share = required;  ///< flow through the place over the feed's flow [-]
  Bins lodges{};                 ///< a [-]
  double release_per_m3 = 0.0;   ///< [1/m3]
  double start_release = 0.0;    ///< share of what lies there that a start tears off [-]
  std::vector<Outlet> outlets;
};

/// How particles fall while the engine stands.
enum class RestLaw : std::uint8_t {
  stirred,    ///< C/C0 = exp(-v t/H)
  quiescent,  ///< C/C0 = 1 - v t/H, not below 0
};

struct TransportTank {
  double dead_volume_m3 = 0.0;      ///< below the pickup; mixes with the rest at refuelling only
  double capacity_m3 = required;    ///< full
  double floor_m2 = 0.0;            ///< 0: nothing settles
  Bins settling_m_per_s{};          ///< velocity of each bin
  double resuspension_per_s = 0.0;  ///< of what lies on the floor, while running
  double start_resuspension = 0.0;  ///< share of what lies there stirred up at a start or a refuelling [-]
  RestLaw rest = RestLaw::stirred;
};

/// Flows of one way of running. What is not burnt returns.
struct Duty {
  double feed_m3_per_s = required;
  double burn_m3_per_s = required;  ///< 0 to feed
  bool sheds = false;               ///< the sources of the model are at work
};

/// A steady source into a place (or the tank) in duties that shed.
struct TransportSource {
  std::int32_t into = to_tank;
  Bins rate_per_s{};
};

/// The system. Places stand in the fuel's order: the first takes the feed, outlets lead to later places.
struct TransportModel {
  TransportTank tank;
  std::vector<TransportPlace> places;
  std::vector<Duty> duties;
  std::vector<TransportSource> sources;
  Bins fill_per_m3{};  ///< amount in a cubic metre of fuel as filled
};

enum class EventKind : std::uint8_t {
  run,     ///< `duration_s` in `duty`
  rest,    ///< `duration_s` with the engine off
  start,   ///< tears off and stirs up
  refuel,  ///< `volume_m3` more
  mark,    ///< arrivals so far are kept
};
struct TransportEvent {
  EventKind kind = EventKind::run;
  double duration_s = 0.0;
  std::uint32_t duty = 0;
  double volume_m3 = 0.0;
};

/// What lies where.
struct TransportState {
  double volume_m3 = required;  ///< fuel in the tank, dead part included
  Bins suspended{};             ///< in the live part of the tank
  Bins dead{};                  ///< in the dead part
  Bins settled{};
  std::vector<Bins> lodged;  ///< by place
};

/// What came by.
struct TransportTally {
  std::vector<std::size_t> watched;  ///< places whose arrivals are counted; set by the caller
  std::vector<Bins> arrived;         ///< by watched place
  std::vector<Bins> at_marks;        ///< mark by mark, by watched place
  Bins burnt{};
  Bins filled{};  ///< came with the fuel
  Bins shed{};    ///< came from sources
  std::size_t segments = 0;
};

struct TransportOptions {
  /// A longer run is cut into equal segments. Within a segment what returns is taken as steady; the error is of second
  /// order in the segment. Infinity: one segment for each run.
  double longest_segment_s = std::numeric_limits<double>::infinity();
};

/// Memory of a simulation, used again and again: after the first call of a model's size nothing is allocated.
class TransportWorkspace {
 public:
  TransportWorkspace();
  ~TransportWorkspace();
  TransportWorkspace(TransportWorkspace&&) noexcept;
  TransportWorkspace& operator=(TransportWorkspace&&) noexcept;
  struct Memory;
  [[nodiscard]] Memory& memory() { return *memory_; }

 private:
  std::unique_ptr<Memory> memory_;
};

/// Proves a model. Errors: invalid_input `model...`, one: a share outside 0 to 1 or not adding up, an outlet that leads
/// back, a negative amount, release, flow or volume, burn above feed, no place.
[[nodiscard]] Result<void> check_model(const TransportModel& model);

/// Proves that events can happen to a tank that holds `volume_m3`. Errors: invalid_input `events[i]...`: negative
/// duration, unknown duty, over capacity; outside_model `events[i]`: the tank runs down to its dead volume.
[[nodiscard]] Result<void> check_events(const TransportModel& model, std::span<const TransportEvent> events,
                                        double volume_m3);

/// Carries a state through events, in place, and counts.
///
///   tank  dN/dt = -(Q_f/V) N + R - v A N/V + k S,  dV/dt = -Q_b;  each bin for itself
///
/// V: live volume, N: suspended, S: settled. Within a segment the release of the parts and what they let through of the
/// feed (a share g) return steadily, and the tank follows its closed form in the burning volume,
///
///   N = N0 r^p + R t (V0/(Q_b t)) (r - r^p)/(p - 1),   r = V/V0,   p = (Q_f (1 - g) + v A)/Q_b
///
/// which is exact where nothing that lodged is carried on. Parts follow M = M0 exp(-k t) + a I (1 - exp(-k t))/(k t).
/// All moves are taken from one place and given to another: mass closes to rounding whatever the segment.
///
/// Source: balance of docs/theory/debris.md, section Transport. Check: closed forms of kidney loop, ingress, shrinking
/// tank (0.015690), shedding into the return; SUNDIALS' CVODE in bench/debris. Preconditions: check_model and
/// check_events hold, `state.lodged` and `watched` fit the model.
void carry(const TransportModel& model, std::span<const TransportEvent> events, const TransportOptions& options,
           TransportState& state, TransportTally& tally, TransportWorkspace& workspace);

/// Everything in a state.
[[nodiscard]] Bins total(const TransportState& state);

/// Largest share of the mass that appears or vanishes over a carry [-]: over the bins, |end + burnt - start - filled -
/// shed| / (start + filled + shed). 0 where nothing is.
[[nodiscard]] double imbalance(const Bins& start, const TransportState& end, const TransportTally& tally);

}  // namespace fw::debris
