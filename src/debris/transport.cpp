// SPDX-License-Identifier: Apache-2.0
#include "debris/transport.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>

#include <fmt/format.h>

#include "base/contract.hpp"
#include "base/input_check.hpp"

namespace fw::debris {
namespace {

/// (1 - exp(-z))/z.
double falling(double z) { return std::abs(z) < 1e-5 ? 1.0 - z * (0.5 - z / 6.0) : -std::expm1(-z) / z; }

/// (1 - exp(-z))/z from exp(-z) where that stands already; near 0 by its series, to 1e-14.
double lost_mean(double z, double left) {
  return std::abs(z) > 1e-3 ? (1.0 - left) / z : 1.0 - z / 2.0 * (1.0 - z / 3.0 * (1.0 - z / 4.0));
}

/// 1 - exp(-z), z not below 0, to 1e-13: half the time of expm1.
double fallen(double z) {
  return z > 1e-3 ? 1.0 - std::exp(-z) : z * (1.0 - z / 2.0 * (1.0 - z / 3.0 * (1.0 - z / 4.0)));
}

/// Coefficients of one duty and duration. The arrays run over places.
struct Segment {
  std::uint32_t duty = 0;
  double duration_s = -1.0;  ///< below 0: empty
  std::vector<Bins> stays;   ///< of what comes in, at the end of the segment [-]
  std::vector<double> goes;  ///< of what lay there at its start [-]
  std::vector<Bins> home;    ///< of what lay there, share that is back in the tank at the end [-]
  Bins feed_home{};          ///< of what enters the first place
  Bins source_home{};        ///< amount that the sources bring back
  Bins source_tank{};        ///< amount that the sources bring into the tank
  double settled_goes = 0.0;
  double settled_stays = 1.0;
};

constexpr std::size_t segments_kept = 16;

bool is_share(double value) { return std::isfinite(value) && value >= 0.0 && value <= 1.0; }

/// What goes on from a place where `in` comes in. The arrays are apart from each other: without that word the
/// compiler would take one number at a time.
void pass(const double* __restrict in, const double* __restrict stay, double go, double* __restrict lies,
          double* __restrict out) {
#pragma GCC unroll 12
  for (std::size_t bin = 0; bin < bin_count; ++bin) {
    const double gain = stay[bin] * in[bin] - go * lies[bin];
    lies[bin] += gain;
    out[bin] = in[bin] - gain;
  }
}

void add_share(double share, const double* __restrict out, double* __restrict target) {
#pragma GCC unroll 12
  for (std::size_t bin = 0; bin < bin_count; ++bin) target[bin] += share * out[bin];
}

void add_product(const double* __restrict a, const double* __restrict b, double* __restrict target) {
#pragma GCC unroll 12
  for (std::size_t bin = 0; bin < bin_count; ++bin) target[bin] += a[bin] * b[bin];
}

void add(const double* __restrict in, double* __restrict target) {
#pragma GCC unroll 12
  for (std::size_t bin = 0; bin < bin_count; ++bin) target[bin] += in[bin];
}

}  // namespace

struct TransportWorkspace::Memory {
  std::array<Segment, segments_kept> kept;
  std::size_t next = 0;
  std::vector<Bins> enters;
  std::vector<Bins> tears_stays;
  std::vector<double> tears_goes;
  std::vector<Bins> through;  ///< share of what enters a place that reaches the tank within the segment
  /// Of each place: all that leaves it enters the next one, which nothing else enters. It is handed on, not added up.
  std::vector<std::uint8_t> hands_on;

  void begin(const TransportModel& model) {
    for (Segment& segment : kept) segment.duration_s = -1.0;
    next = 0;
    const std::size_t places = model.places.size();
    enters.resize(places);
    through.resize(places);
    tears_stays.resize(places);
    tears_goes.resize(places);
    std::vector<std::uint8_t>& alone = hands_on;  // first: of each place, only the one before leads to it
    alone.assign(places, 1);
    for (std::size_t at = 0; at < places; ++at) {
      for (const Outlet& outlet : model.places[at].outlets) {
        const auto to = static_cast<std::size_t>(outlet.to);
        if (outlet.to >= 0 && to != at + 1) alone[to] = 0;
      }
    }
    for (const TransportSource& source : model.sources) {
      if (source.into != to_tank) alone[static_cast<std::size_t>(source.into)] = 0;
    }
    for (std::size_t at = 0; at < places; ++at) {
      const std::vector<Outlet>& outlets = model.places[at].outlets;
      hands_on[at] = at + 1 < places && alone[at + 1] != 0 && outlets.size() == 1 &&
                     outlets[0].to == static_cast<std::int32_t>(at + 1) && outlets[0].share == 1.0;
    }
    for (std::size_t i = 0; i < places; ++i) {
      tears_stays[i] = model.places[i].lodges;
      tears_goes[i] = model.places[i].start_release;
    }
  }

  void fill(const TransportModel& model, std::uint32_t duty_index, double duration_s, Segment& segment) {
    const Duty& duty = model.duties[duty_index];
    const std::size_t places = model.places.size();
    segment.duty = duty_index;
    segment.duration_s = duration_s;
    segment.stays.resize(places);
    segment.goes.resize(places);
    segment.home.resize(places);
    for (std::size_t at = places; at-- > 0;) {
      const TransportPlace& place = model.places[at];
      const double z = place.release_per_m3 * place.flow_share * duty.feed_m3_per_s * duration_s;
      segment.goes[at] = -std::expm1(-z);
      const double kept_share = falling(z);
      Bins onward{};
      for (const Outlet& outlet : place.outlets) {
        if (outlet.to == to_burnt) continue;
        for (std::size_t bin = 0; bin < bin_count; ++bin) {
          onward[bin] +=
              outlet.share * (outlet.to == to_tank ? 1.0 : through[static_cast<std::size_t>(outlet.to)][bin]);
        }
      }
      for (std::size_t bin = 0; bin < bin_count; ++bin) {
        segment.stays[at][bin] = place.lodges[bin] * kept_share;
        segment.home[at][bin] = segment.goes[at] * onward[bin];
        through[at][bin] = (1.0 - segment.stays[at][bin]) * onward[bin];
      }
    }
    segment.feed_home = through[0];
    segment.source_home = {};
    segment.source_tank = {};
    if (duty.sheds) {
      for (const TransportSource& source : model.sources) {
        for (std::size_t bin = 0; bin < bin_count; ++bin) {
          const double amount = source.rate_per_s[bin] * duration_s;
          if (source.into == to_tank) {
            segment.source_tank[bin] += amount;
          } else {
            segment.source_home[bin] += amount * through[static_cast<std::size_t>(source.into)][bin];
          }
        }
      }
    }
    const double z = model.tank.resuspension_per_s * duration_s;
    segment.settled_goes = -std::expm1(-z);
    segment.settled_stays = falling(z);
  }

  const Segment& segment(const TransportModel& model, std::uint32_t duty, double duration_s) {
    for (const Segment& segment : kept) {
      if (segment.duration_s == duration_s && segment.duty == duty) return segment;
    }
    Segment& chosen = kept[next];
    next = (next + 1) % segments_kept;
    fill(model, duty, duration_s, chosen);
    return chosen;
  }

  /// Moves what is in `enters` and what lies in the places one segment on; what comes home is added to `home`.
  void sweep(const TransportModel& model, const std::vector<Bins>& stays, const std::vector<double>& goes,
             TransportState& state, TransportTally& tally, Bins& home) {
    std::size_t watch = 0;
    const std::size_t watched = tally.watched.size();
    std::array<Bins, 2> flowing;
    const double* in = enters[0].data();
    for (std::size_t at = 0; at < model.places.size(); ++at) {
      if (watch < watched && tally.watched[watch] == at) add(in, tally.arrived[watch++].data());
      double* out = flowing[at % 2].data();
      pass(in, stays[at].data(), goes[at], state.lodged[at].data(), out);
      if (hands_on[at] != 0) {
        in = out;
        continue;
      }
      for (const Outlet& outlet : model.places[at].outlets) {
        Bins& target = outlet.to == to_tank
                           ? home
                           : (outlet.to == to_burnt ? tally.burnt : enters[static_cast<std::size_t>(outlet.to)]);
        add_share(outlet.share, out, target.data());
      }
      if (at + 1 < model.places.size()) in = enters[at + 1].data();
    }
  }

  void run(const TransportModel& model, std::uint32_t duty_index, double duration_s, TransportState& state,
           TransportTally& tally) {
    const Segment& with = segment(model, duty_index, duration_s);
    const Duty& duty = model.duties[duty_index];
    const double live_m3 = state.volume_m3 - model.tank.dead_volume_m3;
    const double burnt_m3 = duty.burn_m3_per_s * duration_s;
    const double x = -std::log1p(-burnt_m3 / live_m3);
    const double r = 1.0 - burnt_m3 / live_m3;
    // x V0/(Q_b t) r, and h/V0 in the limit of no burn.
    const double steady = burnt_m3 > 0.0 ? r * x * live_m3 / burnt_m3 : 1.0;
    const double span = burnt_m3 > 0.0 ? x * live_m3 / burnt_m3 : 1.0;
    const double h_per_m3 = duration_s / live_m3;

    Bins back = with.source_home;
    for (std::size_t at = 0; at < model.places.size(); ++at) {
      add_product(with.home[at].data(), state.lodged[at].data(), back.data());
    }
    Bins falls_m3_per_s;
    Bins leaves_m3_per_s;
    Bins z;
    Bins left;
    const double floor_m2 = model.tank.floor_m2 * with.settled_stays;
    const double per_flow = h_per_m3 * span;
    for (std::size_t bin = 0; bin < bin_count; ++bin) {
      falls_m3_per_s[bin] = model.tank.settling_m_per_s[bin] * floor_m2;
      leaves_m3_per_s[bin] = duty.feed_m3_per_s * (1.0 - with.feed_home[bin]) + falls_m3_per_s[bin];
      z[bin] = leaves_m3_per_s[bin] * per_flow - x;
    }
    for (std::size_t bin = 0; bin < bin_count; ++bin) left[bin] = std::exp(-z[bin]);
    const double held_m3_per_s = 1e-9 * duty.feed_m3_per_s;  // below it nothing leaves, and 1/leaves means nothing
    Bins out;
    for (std::size_t bin = 0; bin < bin_count; ++bin) {
      const double stirred = with.settled_goes * state.settled[bin];
      const double gets = stirred + with.source_tank[bin];
      const double comes = back[bin] + gets;
      const double before = state.suspended[bin];
      double mean_s_per_m3 = 0.0;  // integral of N/V
      if (leaves_m3_per_s[bin] > held_m3_per_s) {
        const double after = before * r * left[bin] + comes * steady * lost_mean(z[bin], left[bin]);
        mean_s_per_m3 = (before + comes - after) / leaves_m3_per_s[bin];
      } else {
        mean_s_per_m3 = (before + 0.5 * comes) * h_per_m3;
      }
      const double falls = falls_m3_per_s[bin] * mean_s_per_m3;
      out[bin] = duty.feed_m3_per_s * mean_s_per_m3;
      state.suspended[bin] = before + gets - falls - out[bin];
      state.settled[bin] += falls - stirred;
    }
    for (Bins& in : enters) in = {};
    enters[0] = out;
    if (duty.sheds) {
      for (const TransportSource& source : model.sources) {
        for (std::size_t bin = 0; bin < bin_count; ++bin) {
          const double amount = source.rate_per_s[bin] * duration_s;
          tally.shed[bin] += amount;
          if (source.into != to_tank) enters[static_cast<std::size_t>(source.into)][bin] += amount;
        }
      }
    }
    Bins home{};
    sweep(model, with.stays, with.goes, state, tally, home);
    for (std::size_t bin = 0; bin < bin_count; ++bin) state.suspended[bin] += home[bin];
    state.volume_m3 -= burnt_m3;
    ++tally.segments;
  }

  void start(const TransportModel& model, TransportState& state, TransportTally& tally) {
    for (Bins& in : enters) in = {};
    Bins home{};
    sweep(model, tears_stays, tears_goes, state, tally, home);
    for (std::size_t bin = 0; bin < bin_count; ++bin) {
      const double stirred = model.tank.start_resuspension * state.settled[bin];
      state.settled[bin] -= stirred;
      state.suspended[bin] += home[bin] + stirred;
    }
    ++tally.segments;
  }

  static void rest(const TransportModel& model, double duration_s, TransportState& state, TransportTally& tally) {
    const double live_m3 = state.volume_m3 - model.tank.dead_volume_m3;
    const double scale_s_per_m = model.tank.floor_m2 * duration_s / live_m3;
    for (std::size_t bin = 0; bin < bin_count; ++bin) {
      const double z = model.tank.settling_m_per_s[bin] * scale_s_per_m;
      const double falls =
          state.suspended[bin] * (model.tank.rest == RestLaw::quiescent ? std::min(1.0, z) : fallen(z));
      state.suspended[bin] -= falls;
      state.settled[bin] += falls;
    }
    ++tally.segments;
  }

  static void refuel(const TransportModel& model, double volume_m3, TransportState& state, TransportTally& tally) {
    const double after_m3 = state.volume_m3 + volume_m3;
    const double dead_share = model.tank.dead_volume_m3 / after_m3;
    for (std::size_t bin = 0; bin < bin_count; ++bin) {
      const double comes = model.fill_per_m3[bin] * volume_m3;
      const double stirred = model.tank.start_resuspension * state.settled[bin];
      const double all = state.suspended[bin] + state.dead[bin] + comes + stirred;
      tally.filled[bin] += comes;
      state.settled[bin] -= stirred;
      state.dead[bin] = dead_share * all;
      state.suspended[bin] = all - state.dead[bin];
    }
    state.volume_m3 = after_m3;
    ++tally.segments;
  }
};

TransportWorkspace::TransportWorkspace() : memory_(std::make_unique<Memory>()) {}
TransportWorkspace::~TransportWorkspace() = default;
TransportWorkspace::TransportWorkspace(TransportWorkspace&&) noexcept = default;
TransportWorkspace& TransportWorkspace::operator=(TransportWorkspace&&) noexcept = default;

Result<void> check_model(const TransportModel& model) {
  InputCheck check;
  const auto bins = [&](const Bins& values, const std::string& field) {
    for (std::size_t bin = 0; bin < bin_count; ++bin) {
      check.non_negative(values[bin], fmt::format("{}[{}]", field, bin));
    }
  };
  const TransportTank& tank = model.tank;
  check.positive(tank.capacity_m3, "model.tank.capacity_m3")
      .non_negative(tank.dead_volume_m3, "model.tank.dead_volume_m3")
      .non_negative(tank.floor_m2, "model.tank.floor_m2")
      .non_negative(tank.resuspension_per_s, "model.tank.resuspension_per_s")
      .within(tank.start_resuspension, {.low = 0.0, .high = 1.0}, "model.tank.start_resuspension");
  bins(tank.settling_m_per_s, "model.tank.settling_m_per_s");
  bins(model.fill_per_m3, "model.fill_per_m3");
  check.that(!model.places.empty(), "model.places", "none", "at least the part that takes the feed");
  for (std::size_t at = 0; at < model.places.size() && !check.failed(); ++at) {
    const TransportPlace& place = model.places[at];
    const std::string field = fmt::format("model.places[{}]", at);
    check.within(place.flow_share, {.low = 0.0, .high = 1.0}, field + ".flow_share")
        .non_negative(place.release_per_m3, field + ".release_per_m3")
        .within(place.start_release, {.low = 0.0, .high = 1.0}, field + ".start_release");
    for (std::size_t bin = 0; bin < bin_count; ++bin) {
      check.within(place.lodges[bin], {.low = 0.0, .high = 1.0}, fmt::format("{}.lodges[{}]", field, bin));
    }
    double sum = 0.0;
    for (const Outlet& outlet : place.outlets) {
      const bool leads_on =
          outlet.to == to_tank || outlet.to == to_burnt ||
          (outlet.to > static_cast<std::int32_t>(at) && outlet.to < static_cast<std::int32_t>(model.places.size()));
      check.that(leads_on, field + ".outlets", fmt::format("place {}", outlet.to),
                 "a later place, the tank or the burnt fuel");
      check.that(is_share(outlet.share), field + ".outlets", fmt::format("a share of {}", outlet.share), "0 to 1");
      if (!check.failed()) sum += outlet.share;
    }
    check.that(std::abs(sum - 1.0) < 1e-12, field + ".outlets", fmt::format("shares that add up to {}", sum),
               "shares that add up to 1");
  }
  check.that(!model.duties.empty(), "model.duties", "none", "at least one way of running");
  for (std::size_t i = 0; i < model.duties.size() && !check.failed(); ++i) {
    const std::string field = fmt::format("model.duties[{}]", i);
    check.positive(model.duties[i].feed_m3_per_s, field + ".feed_m3_per_s");
    if (check.failed()) break;
    check.within(model.duties[i].burn_m3_per_s, {.low = 0.0, .high = model.duties[i].feed_m3_per_s},
                 field + ".burn_m3_per_s");
  }
  for (std::size_t i = 0; i < model.sources.size() && !check.failed(); ++i) {
    const TransportSource& source = model.sources[i];
    const std::string field = fmt::format("model.sources[{}]", i);
    check.that(source.into >= to_tank && source.into < static_cast<std::int32_t>(model.places.size()), field + ".into",
               fmt::format("place {}", source.into), "a place or the tank");
    bins(source.rate_per_s, field + ".rate_per_s");
  }
  if (check.failed()) return check.fault();
  return {};
}

Result<void> check_events(const TransportModel& model, std::span<const TransportEvent> events, double volume_m3) {
  if (auto good = require_positive(volume_m3, "volume_m3"); !good) return fail(good.error());
  for (std::size_t i = 0; i < events.size(); ++i) {
    const TransportEvent& event = events[i];
    const auto field = [&](std::string_view name) { return fmt::format("events[{}].{}", i, name); };
    const bool lasts = event.kind == EventKind::run || event.kind == EventKind::rest;
    if (lasts && !(std::isfinite(event.duration_s) && event.duration_s >= 0.0)) {
      return invalid(field("duration_s"), fmt::format("{} s", event.duration_s), "a time of 0 or more");
    }
    if (event.kind == EventKind::run) {
      if (event.duty >= model.duties.size()) {
        return invalid(field("duty"), fmt::format("{}", event.duty),
                       fmt::format("one of {} duties", model.duties.size()));
      }
      volume_m3 -= model.duties[event.duty].burn_m3_per_s * event.duration_s;
      if (volume_m3 <= model.tank.dead_volume_m3) {
        return outside(fmt::format("events[{}]", i), fmt::format("{:.4g} L left in the tank", 1e3 * volume_m3),
                       fmt::format("more than its dead volume of {:.4g} L", 1e3 * model.tank.dead_volume_m3),
                       "Refuel earlier or burn less.");
      }
    }
    if (event.kind == EventKind::refuel) {
      if (!(std::isfinite(event.volume_m3) && event.volume_m3 >= 0.0)) {
        return invalid(field("volume_m3"), fmt::format("{} m3", event.volume_m3), "a volume of 0 or more");
      }
      volume_m3 += event.volume_m3;
      if (volume_m3 > model.tank.capacity_m3 * (1.0 + 1e-9)) {
        return invalid(field("volume_m3"), fmt::format("{:.4g} L in the tank afterwards", 1e3 * volume_m3),
                       fmt::format("at most {:.4g} L", 1e3 * model.tank.capacity_m3));
      }
    }
  }
  return {};
}

void carry(const TransportModel& model, std::span<const TransportEvent> events, const TransportOptions& options,
           TransportState& state, TransportTally& tally, TransportWorkspace& workspace) {
  FW_EXPECTS(state.lodged.size() == model.places.size());
  FW_EXPECTS(std::ranges::is_sorted(tally.watched));
  FW_EXPECTS(options.longest_segment_s > 0.0);
  TransportWorkspace::Memory& memory = workspace.memory();
  memory.begin(model);
  tally.arrived.assign(tally.watched.size(), Bins{});
  tally.at_marks.clear();
  tally.burnt = tally.filled = tally.shed = {};
  tally.segments = 0;
  for (const TransportEvent& event : events) {
    switch (event.kind) {
      case EventKind::run: {
        if (event.duration_s <= 0.0) break;
        const double pieces = std::max(1.0, std::ceil(event.duration_s / options.longest_segment_s));
        for (double i = 0.0; i < pieces; i += 1.0) {
          memory.run(model, event.duty, event.duration_s / pieces, state, tally);
        }
        break;
      }
      case EventKind::rest: TransportWorkspace::Memory::rest(model, event.duration_s, state, tally); break;
      case EventKind::start: memory.start(model, state, tally); break;
      case EventKind::refuel: TransportWorkspace::Memory::refuel(model, event.volume_m3, state, tally); break;
      case EventKind::mark:
        tally.at_marks.insert(tally.at_marks.end(), tally.arrived.begin(), tally.arrived.end());
        break;
    }
  }
}

Bins total(const TransportState& state) {
  Bins sum{};
  for (std::size_t bin = 0; bin < bin_count; ++bin) {
    sum[bin] = state.suspended[bin] + state.dead[bin] + state.settled[bin];
    for (const Bins& lies : state.lodged) sum[bin] += lies[bin];
  }
  return sum;
}

double imbalance(const Bins& start, const TransportState& end, const TransportTally& tally) {
  const Bins after = total(end);
  double worst = 0.0;
  for (std::size_t bin = 0; bin < bin_count; ++bin) {
    const double came = start[bin] + tally.filled[bin] + tally.shed[bin];
    if (came > 0.0) worst = std::max(worst, std::abs(after[bin] + tally.burnt[bin] - came) / came);
  }
  return worst;
}

}  // namespace fw::debris
