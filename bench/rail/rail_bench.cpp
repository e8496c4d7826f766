// SPDX-License-Identifier: Apache-2.0
// Rail: simulated seconds per second of processor time, V8 with eight lines at full load and two injections per cycle,
// by cells and by cylinders; capacity map of 40 x 40; and eight feed pipes on one rail beside CVODE on the same cells,
// set up as suits waves: Adams without a matrix, and BDF with Krylov's iteration.
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <ctime>
#include <vector>

#include "rail/transient.hpp"

#ifdef FW_HAS_CVODE
#include <cvode/cvode.h>
#include <nvector/nvector_serial.h>
#include <sunlinsol/sunlinsol_spgmr.h>
#include <sunnonlinsol/sunnonlinsol_fixedpoint.h>
#endif

namespace {

using namespace fw;
using namespace fw::rail;

double processor_s() { return static_cast<double>(std::clock()) / CLOCKS_PER_SEC; }

CapacityFuel warm_fuel() {
  const auto fuel = fuel::grade("en590").value();
  return {.charge = rail_liquid(fuel, 333.15, 200e6)->liquid,
          .gap = rail_liquid(fuel, 353.15, 200e6)->liquid,
          .inlet = {.pressure_Pa = 0.5e6}};
}

// Eight feed pipes between a rail that is fed at a constant rate and eight bores that inject in turn.
struct Comb {
  static constexpr std::size_t pipes = 8;
  std::size_t cells = 10;
  RailLiquid liquid = warm_fuel().charge;
  FeedPipe pipe{.length_m = 0.25, .bore_m = 3e-3, .outer_m = 8e-3};
  double rail_m3 = 54e-6;
  double bore_m3 = 1.5e-6;
  double start_Pa = 160e6;
  double fed_kg_per_s = 19e-3;
  double end_s = 0.02;

  // Share of the full rate of a bore's nozzle: a trapezoid of 2 ms every 20 ms, bores 2.5 ms apart.
  [[nodiscard]] static double opening(std::size_t i, double time_s) {
    const double since = time_s - 2.5e-3 * static_cast<double>(i);
    if (since <= 0.0 || since >= 2e-3) return 0.0;
    return std::min({1.0, since / 0.25e-3, (2e-3 - since) / 0.25e-3});
  }
  [[nodiscard]] double injected(std::size_t i, double time_s, double pressure_Pa, double density) const {
    return opening(i, time_s) * 0.0942e-6 * std::sqrt(2.0 * density * std::max(0.0, pressure_Pa - 15e6));
  }
};

struct CombEnd {
  double rail_Pa = 0.0;
  double processor_s = 0.0;
  long steps = 0;
};

CombEnd by_pipe_group(const Comb& comb) {
  const double step_s = 0.8 * comb.pipe.length_m / static_cast<double>(comb.cells) / 1900.0;
  auto group = PipeGroup::make(comb.pipe, comb.liquid,
                               {.pipes = Comb::pipes,
                                .cells = comb.cells,
                                .step_s = step_s,
                                .start_Pa = comb.start_Pa,
                                .viscosity_Pa = comb.start_Pa,
                                .friction = PipeFriction::none})
                   .value();
  const WaveCurve series(comb.liquid);
  const double density = comb.liquid.density_at(comb.start_Pa);
  double rail = density * comb.rail_m3;
  double rail_rate = 0.0;
  std::vector<double> bore(Comb::pipes, density * comb.bore_m3);
  std::vector<double> rate(Comb::pipes, 0.0);
  CombEnd end;
  const double from = processor_s();
  for (double t = 0.0; t < comb.end_s; t += step_s, ++end.steps) {
    group.half_step();
    const double rail_Pa = series.pressure_Pa((rail + 0.5 * step_s * rail_rate) / comb.rail_m3);
    rail_rate = comb.fed_kg_per_s;
    for (std::size_t i = 0; i < Comb::pipes; ++i) {
      const double p = series.pressure_Pa((bore[i] + 0.5 * step_s * rate[i]) / comb.bore_m3);
      rail_rate -= group.end_at_pressure(i, PipeSide::left, rail_Pa);
      rate[i] =
          -group.end_at_pressure(i, PipeSide::right, p) - comb.injected(i, t + 0.5 * step_s, p, bore[i] / comb.bore_m3);
      bore[i] += step_s * rate[i];
    }
    rail += step_s * rail_rate;
    group.finish();
  }
  end.processor_s = processor_s() - from;
  end.rail_Pa = series.pressure_Pa(rail / comb.rail_m3);
  return end;
}

#ifdef FW_HAS_CVODE
// The same cells, reconstruction and faces as a system of ordinary differential equations.
struct Semi {
  Comb comb;
  RailLiquid soft;
  WaveCurve node_series, pipe_series;
  double area = 0.0;
  double dx = 0.0;
  mutable std::vector<double> work;  // eight fields of a pipe
};

double limited(double a, double b) {
  const double m = std::min({2.0 * std::abs(a), 2.0 * std::abs(b), 0.5 * std::abs(a + b)});
  return a * b > 0.0 ? std::copysign(m, a) : 0.0;
}

int slope(double t, N_Vector y_, N_Vector f_, void* user) {
  const auto& s = *static_cast<const Semi*>(user);
  const double* y = N_VGetArrayPointer(y_);
  double* f = N_VGetArrayPointer(f_);
  const std::size_t n = s.comb.cells;
  const double rail_Pa = s.node_series.pressure_Pa(y[0] / s.comb.rail_m3);
  f[0] = s.comb.fed_kg_per_s;
  double* const rho = s.work.data();
  double *const u = rho + (n + 2), *const p = u + (n + 2), *const c2 = p + (n + 2), *const sr = c2 + (n + 2);
  double *const su = sr + (n + 2), *const mass = su + (n + 2), *const flux = mass + (n + 2);
  for (std::size_t k = 0; k < Comb::pipes; ++k) {
    const double* at = y + 1 + Comb::pipes + 2 * n * k;
    double* out = f + 1 + Comb::pipes + 2 * n * k;
    for (std::size_t i = 1; i <= n; ++i) {
      rho[i] = at[i - 1];
      u[i] = at[n + i - 1] / rho[i];
    }
    rho[0] = 2 * rho[1] - rho[2];
    rho[n + 1] = 2 * rho[n] - rho[n - 1];
    u[0] = 2 * u[1] - u[2];
    u[n + 1] = 2 * u[n] - u[n - 1];
    for (std::size_t i = 0; i <= n + 1; ++i) {
      p[i] = s.pipe_series.pressure_Pa(rho[i]);
      c2[i] = s.soft.modulus_at(p[i]) / rho[i];
    }
    for (std::size_t i = 1; i <= n; ++i) {
      sr[i] = limited(rho[i] - rho[i - 1], rho[i + 1] - rho[i]);
      su[i] = limited(u[i] - u[i - 1], u[i + 1] - u[i]);
    }
    for (std::size_t i = 1; i < n; ++i) {
      const double lr = rho[i] + 0.5 * sr[i], lu = u[i] + 0.5 * su[i], lp = p[i] + 0.5 * c2[i] * sr[i];
      const double rr = rho[i + 1] - 0.5 * sr[i + 1], ru = u[i + 1] - 0.5 * su[i + 1];
      const double rp = p[i + 1] - 0.5 * c2[i + 1] * sr[i + 1];
      const double lz = lr * std::sqrt(c2[i]), rz = rr * std::sqrt(c2[i + 1]);
      const double uf = (lz * lu + rz * ru + lp - rp) / (lz + rz);
      const double pf = (rz * lp + lz * rp + lz * rz * (lu - ru)) / (lz + rz);
      mass[i] = (uf >= 0 ? lr + (pf - lp) / c2[i] : rr + (pf - rp) / c2[i + 1]) * uf;
      flux[i] = mass[i] * uf + pf;
    }
    const double bore_Pa = s.node_series.pressure_Pa(y[1 + k] / s.comb.bore_m3);
    const auto end = [&](std::size_t cell, double sign, double node_Pa, double& m, double& q) {
      const double r = rho[cell] + sign * 0.5 * sr[cell];
      const double pin = p[cell] + sign * 0.5 * c2[cell] * sr[cell];
      const double out_u = sign * (u[cell] + sign * 0.5 * su[cell]) + (pin - node_Pa) / (r * std::sqrt(c2[cell]));
      const double flow = (r + (node_Pa - pin) / c2[cell]) * out_u;
      m = sign * flow;
      q = flow * out_u + node_Pa;
    };
    end(1, -1.0, rail_Pa, mass[0], flux[0]);
    end(n, 1.0, bore_Pa, mass[n], flux[n]);
    for (std::size_t i = 0; i < n; ++i) {
      out[i] = (mass[i] - mass[i + 1]) / s.dx;
      out[n + i] = (flux[i] - flux[i + 1]) / s.dx;
    }
    f[0] -= mass[0] * s.area;
    f[1 + k] = mass[n] * s.area - s.comb.injected(k, t, bore_Pa, y[1 + k] / s.comb.bore_m3);
  }
  return 0;
}

CombEnd by_cvode(const Comb& comb, int method, bool krylov) {
  Semi semi{.comb = comb};
  semi.soft = PipeGroup::make(comb.pipe, comb.liquid,
                              {.pipes = 1,
                               .cells = 3,
                               .step_s = 1e-6,
                               .start_Pa = 1e7,
                               .viscosity_Pa = 1e7,
                               .friction = PipeFriction::none})
                  ->effective_liquid();
  semi.node_series = WaveCurve(comb.liquid);
  semi.pipe_series = WaveCurve(semi.soft);
  semi.area = comb.pipe.area_m2();
  semi.dx = comb.pipe.length_m / static_cast<double>(comb.cells);
  semi.work.assign(8 * (comb.cells + 2), 0.0);
  SUNContext context = nullptr;
  if (SUNContext_Create(nullptr, &context) != 0) return {};
  const auto size = static_cast<sunindextype>(1 + Comb::pipes + 2 * comb.cells * Comb::pipes);
  N_Vector y = N_VNew_Serial(size, context);
  N_Vector tolerance = N_VNew_Serial(size, context);
  double* at = N_VGetArrayPointer(y);
  double* atol = N_VGetArrayPointer(tolerance);
  const double density = comb.liquid.density_at(comb.start_Pa);
  at[0] = density * comb.rail_m3;
  atol[0] = 1e-6 * at[0];
  for (std::size_t i = 0; i < Comb::pipes; ++i) {
    at[1 + i] = density * comb.bore_m3;
    atol[1 + i] = 1e-6 * at[1 + i];
    for (std::size_t k = 0; k < comb.cells; ++k) {
      const std::size_t j = 1 + Comb::pipes + 2 * comb.cells * i + k;
      at[j] = semi.soft.density_at(comb.start_Pa);
      at[j + comb.cells] = 0.0;
      atol[j] = 1e-6 * at[j];
      atol[j + comb.cells] = 1.0;
    }
  }
  void* memory = CVodeCreate(method, context);
  CVodeInit(memory, slope, 0.0, y);
  CVodeSVtolerances(memory, 1e-6, tolerance);
  CVodeSetUserData(memory, &semi);
  CVodeSetMaxNumSteps(memory, 2000000);
  CVodeSetMaxStep(memory, 50e-6);
  SUNLinearSolver linear = nullptr;
  SUNNonlinearSolver fixed = nullptr;
  if (krylov) {
    linear = SUNLinSol_SPGMR(y, SUN_PREC_NONE, 0, context);
    CVodeSetLinearSolver(memory, linear, nullptr);
  } else {
    fixed = SUNNonlinSol_FixedPoint(y, 0, context);
    CVodeSetNonlinearSolver(memory, fixed);
  }
  CombEnd end;
  const double from = processor_s();
  double reached = 0.0;
  const int status = CVode(memory, comb.end_s, y, &reached, CV_NORMAL);
  end.processor_s = processor_s() - from;
  end.rail_Pa = status >= 0 ? semi.node_series.pressure_Pa(at[0] / comb.rail_m3) : 0.0;
  CVodeGetNumSteps(memory, &end.steps);
  CVodeFree(&memory);
  if (linear != nullptr) SUNLinSolFree(linear);
  if (fixed != nullptr) SUNNonlinSolFree(fixed);
  N_VDestroy(tolerance);
  N_VDestroy(y);
  SUNContext_Free(&context);
  return end;
}
#endif

}  // namespace

int main() {
  InlineExecutor executor;
  SilentProgress progress;
  const Run quiet{executor, progress, {}};
  const CapacityFuel fuel = warm_fuel();
  for (const char* id : {"v8", "i4"}) {
    const HighPressureSet set = generic_set(id).value();
    const double speed = set.rated_rev_per_s;
    const double shot = 0.9 * set.rated_W * set.consumption_kg_per_J / set.shots_per_s(speed);
    const ProfilePoint rated{.time_s = 0.0,
                             .crank_rev_per_s = speed,
                             .shot_kg = shot,
                             .pilot_kg = 2e-6,
                             .set_Pa = 0.95 * set.rated_Pa,
                             .inlet = fuel.inlet};
    for (const std::size_t cells : {5UL, 10UL, 20UL}) {
      const double from = processor_s();
      const auto run =
          rail_transient(set, fuel, {rated}, {.end_s = 0.2, .feed_cells = cells, .start_Pa = rated.set_Pa}, {}, quiet);
      const double spent = processor_s() - from;
      if (!run || std::abs(run->mass.closure()) > 1e-10) {
        std::printf("wrong answer\n");
        return 1;
      }
      std::printf("%s, %2zu cells, step %5.2f us: %6.2f simulated seconds per second\n", id, cells, run->step_s * 1e6,
                  0.2 / spent);
    }
  }
  for (const int cylinders : {4, 6, 8, 12, 16}) {
    HighPressureSet set = generic_set("v8").value();
    set.cylinders = set.injectors = cylinders;
    set.rated_W *= cylinders / 8.0;
    set.pump.drive.stroke_m *= cylinders / 8.0;
    const double shot = 0.9 * set.rated_W * set.consumption_kg_per_J / set.shots_per_s(set.rated_rev_per_s);
    const ProfilePoint rated{.time_s = 0.0,
                             .crank_rev_per_s = set.rated_rev_per_s,
                             .shot_kg = shot,
                             .pilot_kg = 2e-6,
                             .set_Pa = 0.95 * set.rated_Pa,
                             .inlet = fuel.inlet};
    const double begin = processor_s();
    const auto run =
        rail_transient(set, fuel, {rated}, {.end_s = 0.2, .feed_cells = 20, .start_Pa = rated.set_Pa}, {}, quiet);
    const double spent = processor_s() - begin;
    if (!run || std::abs(run->mass.closure()) > 1e-10) return 1;
    std::printf("%2d cylinders, 20 cells: %6.2f simulated seconds per second\n", cylinders, 0.2 / spent);
  }
  const double from = processor_s();
  const auto map = capacity_map(generic_set("v8").value(), fuel,
                                {.lowest_rev_per_s = 10, .highest_rev_per_s = 55, .highest_W = 400e3});
  if (!map || map->points.size() != 1600) return 1;
  std::printf("capacity map 40 x 40: %.2f ms\n", 1e3 * (processor_s() - from));

  for (const std::size_t cells : {5UL, 10UL, 20UL}) {
    const Comb comb{.cells = cells};
    const CombEnd ours = by_pipe_group(comb);
    std::printf("comb, %2zu cells: own scheme   %8.2f ms, %6ld steps, rail ends at %.3f MPa\n", cells,
                1e3 * ours.processor_s, ours.steps, ours.rail_Pa / 1e6);
#ifdef FW_HAS_CVODE
    for (const bool krylov : {false, true}) {
      const CombEnd theirs = by_cvode(comb, krylov ? CV_BDF : CV_ADAMS, krylov);
      std::printf("comb, %2zu cells: CVODE %-18s %8.2f ms, %6ld steps, rail ends at %.3f MPa; own scheme %.0f times\n",
                  cells, krylov ? "BDF, GMRES" : "Adams, fixed point", 1e3 * theirs.processor_s, theirs.steps,
                  theirs.rail_Pa / 1e6, theirs.processor_s / ours.processor_s);
      if (std::abs(theirs.rail_Pa / ours.rail_Pa - 1.0) > 0.005) {
        std::printf("the two disagree\n");
        return 1;
      }
    }
#endif
  }
  return 0;
}
