// SPDX-License-Identifier: Apache-2.0
// Time of many histories of debris transport, beside CVODE on the same model (docs/benchmarks.md).
// transport_bench [HISTORIES [THREADS]]; exit 1 when mass is lost, memory is taken in the loop, or the two disagree.
#include <algorithm>
#include <atomic>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <new>
#include <thread>
#include <vector>

#include <fmt/format.h>

#include "debris/transport.hpp"
#include "numerics/stream.hpp"
#ifdef FW_HAS_CVODE
#include <cvode/cvode.h>
#include <nvector/nvector_serial.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunmatrix/sunmatrix_dense.h>
#endif

namespace {
std::atomic<std::size_t> allocations{0};
}

void* operator new(std::size_t size) {
  ++allocations;
  if (void* memory = std::malloc(size)) return memory;
  throw std::bad_alloc();
}
void operator delete(void* memory) noexcept { std::free(memory); }
void operator delete(void* memory, std::size_t) noexcept { std::free(memory); }

namespace {

using namespace fw;
using namespace fw::debris;

constexpr double L_per_h = 1e-3 / 3600.0;
constexpr double hour_s = 3600.0;
constexpr std::size_t place_count = 25;
constexpr double start_volume_m3 = 0.1;

double now_s() { return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count(); }

/// 25 places: ten of the supply with two filters, the pump's housing and gallery, rail and injectors, the return.
TransportModel base_model() {
  TransportModel model{.tank = {.dead_volume_m3 = 0.003,
                                .capacity_m3 = 0.12,
                                .floor_m2 = 0.4,
                                .resuspension_per_s = 1e-5,
                                .start_resuspension = 0.2},
                       .duties = {{.feed_m3_per_s = 70.0 * L_per_h, .burn_m3_per_s = 9.0 * L_per_h}}};
  for (std::size_t bin = 0; bin < bin_count; ++bin) {
    model.tank.settling_m_per_s[bin] = 1e-6 * std::pow(2.0, static_cast<double>(bin));
    model.fill_per_m3[bin] = 1e9 / std::pow(4.0, static_cast<double>(bin));
  }
  for (std::size_t at = 0; at < place_count; ++at) {
    TransportPlace place{.id = fmt::format("place-{}", at), .flow_share = 1.0};
    place.outlets = {{.to = static_cast<std::int32_t>(at + 1), .share = 1.0}};
    model.places.push_back(place);
  }
  model.places[12].outlets = {{.to = 13, .share = 0.3}, {.to = 19, .share = 0.7}};  // housing: gallery, return
  for (std::size_t at = 13; at < 19; ++at) model.places[at].flow_share = 0.3;
  model.places[18].outlets = {{.to = to_burnt, .share = 9.0 / 21.0}, {.to = 19, .share = 12.0 / 21.0}};
  for (std::size_t at = 19; at < place_count; ++at) model.places[at].flow_share = 61.0 / 70.0;
  model.places.back().outlets = {{.to = to_tank, .share = 1.0}};
  return model;
}

/// A history's own numbers, in place.
void draw(TransportModel& model, std::uint32_t history) {
  for (std::size_t at = 0; at < place_count; ++at) {
    const auto key = static_cast<numerics::InputKey>(at + 1);
    const auto words = numerics::words(7, key, numerics::Purpose::synthetic, history);
    const double u = (words[0] + 0.5) / 4294967296.0;
    const double v = (words[1] + 0.5) / 4294967296.0;
    TransportPlace& place = model.places[at];
    const bool filter = at == 3 || at == 8;
    place.release_per_m3 = filter ? 0.0 : 0.5 * std::exp(4.0 * v);
    place.start_release = filter ? 0.0 : 0.05 * u;
    for (std::size_t bin = 0; bin < bin_count; ++bin) {
      const double size = static_cast<double>(bin + 1) / bin_count;
      place.lodges[bin] = filter ? 1.0 - 0.5 * std::exp(-8.0 * size) : 0.3 * u * size;
    }
  }
}

std::vector<TransportEvent> five_hundred_hours() {
  std::vector<TransportEvent> events;
  for (int i = 0; i < 250; ++i) {
    events.push_back({.kind = EventKind::rest, .duration_s = 12 * hour_s});
    events.push_back({.kind = EventKind::start});
    events.push_back({.kind = EventKind::run, .duration_s = 2 * hour_s});
    if (i % 5 == 4) events.push_back({.kind = EventKind::refuel, .volume_m3 = 0.09});
    if (i == 4 || i == 49 || i == 249) events.push_back({.kind = EventKind::mark});
  }
  return events;
}
TransportState start_state() {
  TransportState state{.volume_m3 = start_volume_m3};
  state.lodged.assign(place_count, Bins{});
  return state;
}
void begin(TransportState& state) {
  state.volume_m3 = start_volume_m3;
  state.suspended = state.dead = state.settled = {};
  for (Bins& lies : state.lodged) lies = {};
  for (std::size_t bin = 0; bin < bin_count; ++bin) state.lodged[12][bin] = 1e6;
}

#ifdef FW_HAS_CVODE
/// One bin of the model: suspended, settled, dead, burnt, lodged by place, arrived at the pump.
struct OneBin {
  const TransportModel* model;
  std::size_t bin;
  double volume_m3;
  double began_s;
};
constexpr std::size_t unknowns = 4 + place_count;

int slope(realtype t, N_Vector y_vector, N_Vector out_vector, void* data) {
  const auto& one = *static_cast<const OneBin*>(data);
  const TransportModel& model = *one.model;
  const Duty& duty = model.duties[0];
  const double* y = NV_DATA_S(y_vector);
  double* out = NV_DATA_S(out_vector);
  const double live = one.volume_m3 - duty.burn_m3_per_s * t - model.tank.dead_volume_m3;
  const double feed = duty.feed_m3_per_s * y[0] / live;
  const double falls = model.tank.settling_m_per_s[one.bin] * model.tank.floor_m2 * y[0] / live;
  const double stirs = model.tank.resuspension_per_s * y[1];
  double in[place_count] = {feed};
  out[0] = stirs - falls - feed;
  out[1] = falls - stirs;
  out[2] = 0.0;
  out[3] = 0.0;
  for (std::size_t at = 0; at < place_count; ++at) {
    const TransportPlace& place = model.places[at];
    const double released = place.release_per_m3 * place.flow_share * duty.feed_m3_per_s * y[4 + at];
    out[4 + at] = place.lodges[one.bin] * in[at] - released;
    const double leaves = in[at] - out[4 + at];
    for (const Outlet& outlet : place.outlets) {
      double& target = outlet.to == to_tank ? out[0] : outlet.to == to_burnt ? out[3] : in[outlet.to];
      target += outlet.share * leaves;
    }
  }
  return 0;
}

/// Lodged by place after the events, one bin; events other than runs are moved as carry moves them.
std::vector<double> by_cvode(const TransportModel& model, const std::vector<TransportEvent>& events, std::size_t bin,
                             double tolerance) {
  SUNContext context = nullptr;
  SUNContext_Create(nullptr, &context);
  N_Vector y = N_VNew_Serial(unknowns, context);
  TransportState state = start_state();
  begin(state);
  N_VConst(0.0, y);
  for (std::size_t at = 0; at < place_count; ++at) NV_Ith_S(y, 4 + at) = state.lodged[at][bin];
  OneBin one{.model = &model, .bin = bin, .volume_m3 = start_volume_m3, .began_s = 0.0};
  void* memory = CVodeCreate(CV_BDF, context);
  CVodeInit(memory, slope, 0.0, y);
  CVodeSStolerances(memory, tolerance, 1e-6);
  CVodeSetUserData(memory, &one);
  CVodeSetMaxNumSteps(memory, 100000);
  SUNMatrix matrix = SUNDenseMatrix(unknowns, unknowns, context);
  SUNLinearSolver solver = SUNLinSol_Dense(y, matrix, context);
  CVodeSetLinearSolver(memory, solver, matrix);
  TransportWorkspace workspace;
  TransportTally tally;
  for (const TransportEvent& event : events) {
    if (event.kind == EventKind::run) {
      CVodeReInit(memory, 0.0, y);
      double at = 0.0;
      CVodeSetStopTime(memory, event.duration_s);
      if (CVode(memory, event.duration_s, y, &at, CV_NORMAL) < 0) std::exit(1);
      one.volume_m3 -= model.duties[0].burn_m3_per_s * event.duration_s;
    } else if (event.kind != EventKind::mark) {
      state.volume_m3 = one.volume_m3;
      state.suspended[bin] = NV_Ith_S(y, 0);
      state.settled[bin] = NV_Ith_S(y, 1);
      state.dead[bin] = NV_Ith_S(y, 2);
      for (std::size_t at = 0; at < place_count; ++at) state.lodged[at][bin] = NV_Ith_S(y, 4 + at);
      carry(model, {&event, 1}, {}, state, tally, workspace);
      one.volume_m3 = state.volume_m3;
      NV_Ith_S(y, 0) = state.suspended[bin];
      NV_Ith_S(y, 1) = state.settled[bin];
      NV_Ith_S(y, 2) = state.dead[bin];
      for (std::size_t at = 0; at < place_count; ++at) NV_Ith_S(y, 4 + at) = state.lodged[at][bin];
      NV_Ith_S(y, 3) += tally.burnt[bin];
    }
  }
  std::vector<double> end(NV_DATA_S(y), NV_DATA_S(y) + unknowns);
  CVodeFree(&memory);
  SUNLinSolFree(solver);
  SUNMatDestroy(matrix);
  N_VDestroy(y);
  SUNContext_Free(&context);
  return end;
}

bool against_cvode(const std::vector<TransportEvent>& events, double ours_s) {
  TransportModel model = base_model();
  draw(model, 3);
  fmt::print("\nCVODE (BDF, dense, {} unknowns for each bin), one history of 12 bins\n", unknowns);
  const double begin_s = now_s();
  std::vector<std::vector<double>> theirs;
  for (std::size_t bin = 0; bin < bin_count; ++bin) theirs.push_back(by_cvode(model, events, bin, 1e-6));
  const double theirs_s = now_s() - begin_s;
  fmt::print("  relative tolerance 1e-6: {:.3f} s per history, x{:.0f} of ours\n", theirs_s, theirs_s / ours_s);
  const std::vector<double> sharp = by_cvode(model, events, 4, 1e-10);
  bool good = true;
  for (const double longest_s : {1e9, 1800.0, 450.0}) {
    TransportState state = start_state();
    begin(state);
    TransportTally tally;
    TransportWorkspace workspace;
    carry(model, events, {.longest_segment_s = longest_s}, state, tally, workspace);
    const double apart = std::abs(tally.burnt[4] / sharp[3] - 1.0);
    const double tank = std::abs(state.suspended[4] / sharp[0] - 1.0);
    fmt::print("  bin 5, segments of {:>6.0f} s: burnt {:.1e}, in the tank {:.1e} from CVODE at 1e-10\n",
               std::min(longest_s, 7200.0), apart, tank);
    if (longest_s < 1000.0) good = apart < 1e-4 && tank < 1e-3;
  }
  return good;
}
#endif

}  // namespace

int main(int argc, char** argv) {
  const auto histories = static_cast<std::uint32_t>(argc > 1 ? std::max(1, std::atoi(argv[1])) : 100000);
  const auto threads = static_cast<std::size_t>(argc > 2 ? std::max(1, std::atoi(argv[2])) : 2);
  const std::vector<TransportEvent> events = five_hundred_hours();
  std::atomic<std::uint32_t> next{0};
  std::atomic<std::size_t> segments{0};
  std::atomic<std::size_t> taken{0};
  std::vector<double> worst(threads, 0.0);
  TransportModel checked = base_model();
  draw(checked, 0);
  if (const auto good = check_model(checked); !good) {
    fmt::print("{}\n", to_text(good.error()));
    return 1;
  }
  if (const auto good = check_events(checked, events, start_volume_m3); !good) {
    fmt::print("{}\n", to_text(good.error()));
    return 1;
  }
  const double begin_s = now_s();
  const auto work = [&](std::size_t thread) {
    TransportModel model = checked;
    TransportState state = start_state();
    TransportTally tally;
    tally.watched = {11, 13, 18};
    TransportWorkspace workspace;
    std::size_t done = 0;
    std::size_t before = 0;
    constexpr std::uint32_t block = 64;
    for (std::uint32_t from = next.fetch_add(block); from < histories; from = next.fetch_add(block)) {
      for (std::uint32_t history = from; history < std::min(histories, from + block); ++history) {
        draw(model, history);
        begin(state);
        const Bins start = total(state);
        carry(model, events, {}, state, tally, workspace);
        worst[thread] = std::max(worst[thread], imbalance(start, state, tally));
        done += tally.segments;
        if (before == 0) before = allocations;
      }
    }
    segments += done;
    if (threads == 1) taken += allocations - before;
  };
  {
    std::vector<std::jthread> others;
    for (std::size_t thread = 1; thread < threads; ++thread) others.emplace_back(work, thread);
    work(0);
  }
  const double used_s = now_s() - begin_s;
  const double lost = *std::ranges::max_element(worst);
  fmt::print("{} histories, 12 bins, {} places, 500 h, 250 starts, 50 refuellings, {} threads: {:.2f} s\n", histories,
             place_count, threads, used_s);
  fmt::print("  {:.0f} segments per history, {:.1f} us per history and thread, mass closes to {:.1e}{}\n",
             static_cast<double>(segments) / histories, 1e6 * used_s * static_cast<double>(threads) / histories, lost,
             threads == 1 ? fmt::format(", {} allocations in the loop", taken.load()) : "");
  bool good = lost < 1e-10 && taken == 0;
#ifdef FW_HAS_CVODE
  good = against_cvode(events, used_s * static_cast<double>(threads) / histories) && good;
#else
  fmt::print("without CVODE: run bench/setup and configure again\n");
#endif
  return good ? 0 : 1;
}
