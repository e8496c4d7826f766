// SPDX-License-Identifier: Apache-2.0
// Time per running point of the network solver, beside KINSOL on the same collapsed networks (docs/benchmarks.md).
// network_bench [REPEATS [SECONDS]]; exit 1 when a point fails or the two disagree. REPEATS runs, the best counts.
#include <algorithm>
#include <atomic>
#include <chrono>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <ctime>
#include <string>
#include <thread>
#include <utility>
#include <vector>

#include <fmt/format.h>

#include "hydraulics/network.hpp"
#include "network_case.hpp"
#ifdef FW_HAS_KINSOL
#include "kinsol_case.hpp"
#endif

namespace {

using namespace fw;

class Threads final : public Executor {
 public:
  explicit Threads(std::size_t threads) : threads_(threads) {}
  void for_each_block(std::size_t blocks, const std::function<void(std::size_t)>& work) override {
    std::atomic<std::size_t> next{0};
    const auto take = [&] {
      for (std::size_t block = next++; block < blocks; block = next++) work(block);
    };
    std::vector<std::jthread> others;
    for (std::size_t i = 1; i < threads_; ++i) others.emplace_back(take);
    take();
  }
  [[nodiscard]] std::size_t threads() const override { return threads_; }

 private:
  std::size_t threads_;
};

int repeats = 5;
double seconds = 1.0;
bool failed = false;

/// One thread: its processor time, so that other programs on the machine count less. More: the clock on the wall.
double now_s(std::size_t threads) {
  if (threads == 1) {
    timespec used{};
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &used);
    return static_cast<double>(used.tv_sec) + 1e-9 * static_cast<double>(used.tv_nsec);
  }
  return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}

/// Best rate [1/s] of `points` per call over the repeats.
template <class Work>
double rate(std::size_t points, std::size_t threads, const Work& work) {
  double best = 0.0;
  for (int i = 0; i < repeats; ++i) {
    const double begin = now_s(threads);
    double done = 0.0;
    double used = 0.0;
    do {
      work();
      done += static_cast<double>(points);
      used = now_s(threads) - begin;
    } while (used < seconds / repeats);
    best = std::max(best, done / used);
  }
  return best;
}

using Form = hydraulics::FrictionForm;

hydraulics::PointResults solve(const hydraulics::Network& network, const hydraulics::PointTable& table,
                               hydraulics::LanePath path, std::size_t threads, Form form = Form::table,
                               hydraulics::PointResults reused = {}) {
  Threads executor(threads);
  SilentProgress progress;
  return network
      .solve(table, {.lanes = path, .friction = form}, {.executor = executor, .progress = progress, .stop = {}},
             std::move(reused))
      .value();
}

/// Rate of solving into the same memory again and again, as KINSOL does.
double solving_rate(const hydraulics::Network& network, const hydraulics::PointTable& table, hydraulics::LanePath path,
                    std::size_t threads, Form form = Form::table) {
  hydraulics::PointResults answers;
  return rate(table.points(), threads,
              [&] { answers = solve(network, table, path, threads, form, std::move(answers)); });
}

std::size_t failures(const hydraulics::PointResults& results) {
  return static_cast<std::size_t>(
      std::ranges::count_if(results.status, [](auto status) { return status != hydraulics::SolveStatus::converged; }));
}

double mean_iterations(const hydraulics::PointResults& results) {
  double sum = 0.0;
  for (const int n : results.iterations) sum += n;
  return sum / static_cast<double>(results.points);
}

const char* name(hydraulics::LanePath path) {
  switch (path) {
    case hydraulics::LanePath::scalar: return "scalar";
    case hydraulics::LanePath::baseline: return "2 lanes";
    case hydraulics::LanePath::v3: return "4 lanes";
    case hydraulics::LanePath::v4: return "8 lanes";
    case hydraulics::LanePath::automatic: break;
  }
  return "automatic";
}

void lanes_and_threads(bench::Friction friction, Form form, std::size_t points) {
  const bench::Case bench_case = bench::supply_case(1, points, friction);
  const auto network = hydraulics::Network::compile(bench_case.definition).value();
  const auto table = bench::table_of(network, bench_case);
  fmt::print("\n33 elements, {}, {} points per call: points per second\n",
             friction == bench::Friction::drawn ? "drawn transition"
             : form == Form::table              ? "Churchill from tables"
                                                : "Churchill as published",
             points);
  double scalar = 0.0;
  for (const auto path : {hydraulics::LanePath::scalar, hydraulics::LanePath::baseline, hydraulics::LanePath::v3,
                          hydraulics::LanePath::v4}) {
    if (!hydraulics::lane_path_available(path)) continue;
    for (const std::size_t threads : {1U, 2U}) {
      const auto results = solve(network, table, path, threads, form);
      const std::size_t bad = failures(results);
      failed = failed || bad > 0;
      const double r = solving_rate(network, table, path, threads, form);
      if (path == hydraulics::LanePath::scalar && threads == 1) scalar = r;
      fmt::print("  {:8} {} thread{}  {:>10.0f}  x{:.2f} scalar  {:.2f} linear solves  {} failed\n", name(path),
                 threads, threads == 1 ? " " : "s", r, r / scalar, mean_iterations(results), bad);
    }
  }
}

void against_kinsol(const std::string& what, const bench::Case& bench_case) {
  const std::size_t points = bench_case.points.size();
  const auto network = hydraulics::Network::compile(bench_case.definition).value();
  const auto table = bench::table_of(network, bench_case);
  const auto automatic = hydraulics::LanePath::automatic;
  const auto results = solve(network, table, automatic, 1);
  const std::size_t bad = failures(results);
  failed = failed || bad > 0;
  const double lanes = solving_rate(network, table, automatic, 1);
  const double exact = solving_rate(network, table, automatic, 1, Form::exact);
  const double scalar = solving_rate(network, table, hydraulics::LanePath::scalar, 1);
  const std::size_t elements = bench_case.definition.elements.size();
  const std::size_t answer_bytes = 8 * (results.nodes + results.elements) + 8 + 4 + 4 + 1 + 1 + 8;
  std::size_t given = bench_case.points[0].fixed_Pa.size() + 1;  // and the transition
  for (const auto& k : bench_case.points[0].coefficients) given += k.size();
  const std::size_t row_bytes = (given + 7) / 8 * 64;
  fmt::print(
      "  {}, {:5} elements: {} lanes {:>9.0f} (law as published {:>9.0f}), scalar {:>9.0f}; {:.2f} linear solves, {} "
      "failed; {} bytes given, {} answered per point\n",
      what, elements, hydraulics::lane_width(automatic), lanes, exact, scalar, mean_iterations(results), bad, row_bytes,
      answer_bytes);
#ifdef FW_HAS_KINSOL
  bench::KinsolNetwork kinsol(bench_case.definition);
  std::size_t kinsol_bad = 0;
  double worst = 0.0;
  const std::size_t compared = std::min<std::size_t>(points, 1024);
  for (std::size_t point = 0; point < compared; ++point) {
    if (!kinsol.solve(bench_case.points[point])) {
      ++kinsol_bad;
      continue;
    }
    const std::vector<double> theirs = kinsol.pressures_Pa();
    double most_Pa = 1.0;
    double apart_Pa = 0.0;
    for (std::size_t i = 0; i < theirs.size(); ++i) {
      if (std::isnan(theirs[i])) continue;
      const double ours = results.pressure(point, static_cast<hydraulics::NodeId>(i));
      most_Pa = std::max(most_Pa, std::abs(ours));
      apart_Pa = std::max(apart_Pa, std::abs(ours - theirs[i]));
    }
    worst = std::max(worst, apart_Pa / most_Pa);
  }
  failed = failed || worst > 1e-8 || 2 * kinsol_bad > compared;
  std::size_t next = 0;
  const double other = rate(64, 1, [&] {
    for (int i = 0; i < 64; ++i) (void)kinsol.solve(bench_case.points[next++ % points]);
  });
  fmt::print(
      "        KINSOL ({} unknowns) {:>9.0f}: x{:.1f} whole (law as published x{:.1f}) = x{:.1f} algorithm x{:.1f} "
      "lanes; {} of {} KINSOL points failed; largest difference {:.1e} of the largest pressure\n",
      kinsol.unknowns(), other, lanes / other, exact / other, scalar / other, lanes / scalar, kinsol_bad, compared,
      worst);
#endif
}

}  // namespace

int main(int argc, char** argv) {
  if (argc > 1) repeats = std::max(1, std::atoi(argv[1]));
  if (argc > 2) seconds = std::max(0.01, std::atof(argv[2]));
  for (const std::size_t points : {16384U, 1024U}) {
    lanes_and_threads(bench::Friction::churchill, Form::table, points);
    lanes_and_threads(bench::Friction::churchill, Form::exact, points);
  }
  lanes_and_threads(bench::Friction::drawn, Form::table, 16384);
  fmt::print("\nChurchill, one thread, points per second of its processor time\n");
  for (const std::size_t blocks : {1U, 3U, 9U, 30U}) {
    against_kinsol("one tank", bench::supply_case(blocks, blocks == 1 ? 8192 : 1024, bench::Friction::churchill));
  }
  against_kinsol("two tanks", bench::two_tank_case(8192));
#ifndef FW_HAS_KINSOL
  fmt::print("without KINSOL: run bench/setup and configure again\n");
#endif
  return failed ? 1 : 0;
}
