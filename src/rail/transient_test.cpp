// SPDX-License-Identifier: Apache-2.0
#include "rail/transient.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "published_table.hpp"
#include "rail_cases.hpp"

namespace fw::rail {
namespace {

using test::page_fuel;
using test::rpm;

InlineExecutor executor;
SilentProgress progress;
const Run quiet{executor, progress, {}};

TransientRun go(const HighPressureSet& set, const std::vector<ProfilePoint>& profile, const TransientOptions& options,
                const TransientFaults& faults = {}) {
  auto run = rail_transient(set, page_fuel(), profile, options, faults, quiet);
  EXPECT_TRUE(run.has_value()) << (run ? "" : to_text(run.error()));
  return run.value();
}

// The six 0-D reference runs: plunger leak left out, constant charge from the exact balance.
TEST(Transient, MatchesTheReferenceRuns) {
  const auto table = test::published_table("rail/reference_runs.csv");
  for (std::size_t row = 0; row < table.rows.size(); ++row) {
    HighPressureSet set = generic_set(table.text(row, "set")).value();
    set.pump.gap = {.bore_m = 6.5e-3, .length_m = 12e-3, .clearance_m = 1e-9};
    set.injector.nozzle_m2 = nozzle_area_m2((set.cylinders == 8 ? 440e-6 : 390e-6) / 30.0).value();
    const double p = table.number(row, "p_MPa") * 1e6;
    const double speed = table.number(row, "rpm") * rpm;
    const double shot = table.number(row, "shot_mg") * 1e-6;
    const auto fuel = page_fuel();
    const double rate = full_rate_kg_per_s(set.injector, fuel.charge, p, 15e6);
    EXPECT_NEAR(rate * 1e3 / table.number(row, "m_max"), 1.0, 3e-3) << row;
    EXPECT_NEAR(energised_for_s(set.injector.shape, shot / rate) * 1e3 / table.number(row, "et_ms"), 1.0, 5e-3) << row;
    const double shots = set.shots_per_s(speed);
    const double need = shots * (shot + fuel.charge.free_density_kg_per_m3 * control_m3_at(set.injector, p)) +
                        set.injectors * fuel.charge.free_density_kg_per_m3 * static_m3_per_s_at(set.injector, p);
    EXPECT_NEAR(need * 1e3 / table.number(row, "need"), 1.0, 0.02) << row;
    const double strokes = set.pump.drive.strokes_per_rev() * speed * set.pump.crank_ratio;
    EXPECT_NEAR(need / strokes * 1e6 / table.number(row, "charge_mg"), 1.0, 0.02) << row;

    const double event_s = 1.0 / shots;
    const auto run = go(
        set, {{.time_s = 0, .crank_rev_per_s = speed, .shot_kg = shot, .set_Pa = p, .inlet = {.pressure_Pa = 0.5e6}}},
        {.end_s = 24 * event_s,
         .step_s = 2e-6,
         .pipes = PipeModel::lumped,
         .metering = Metering::constant_charge,
         .duration_from = DurationFrom::set_pressure,
         .charge_kg = need / strokes,
         .start_Pa = p,
         .sample_s = 10e-6});
    double low = 1e12;
    double high = 0.0;
    double mean = 0.0;
    int count = 0;
    for (const TraceSample& sample : run.trace) {
      if (sample.time_s < 20 * event_s) continue;
      low = std::min(low, sample.rail_Pa);
      high = std::max(high, sample.rail_Pa);
      mean += sample.rail_Pa;
      ++count;
    }
    EXPECT_NEAR((high - low) / 1e5 / table.number(row, "pulsation_bar"), 1.0, 0.08) << row;
    EXPECT_NEAR(mean / count / p, 1.0, 0.012) << row;
    EXPECT_LT(std::abs(run.mass.closure()), 1e-10) << row;
  }
}

// Mass in the worst of weathers: waves, cavitating start, relief, worn valves, pilots, all faults at once.
TEST(Transient, ClosesItsMass) {
  for (const char* name : {"start", "pull", "air-slug", "supply-loss"}) {
    HighPressureSet set = worn(generic_set("v8").value(), {.clearance_m = 1e-6, .delivery_leak_m2 = 1e-10}).value();
    set.pressure_valve = PressureValve{};
    const auto ready = ready_profile(set, {.pressure_Pa = 0.5e6}, name).value();
    auto points = ready.points;
    for (auto& point : points) point.pilot_kg = 2e-6;
    const auto run =
        go(set, points, {.end_s = 0.3, .feed_cells = 6, .start_Pa = ready.start_Pa}, {.metering_stiction = 0.02});
    EXPECT_EQ(run.reason, TransientReason::reached_end) << name;
    EXPECT_LT(std::abs(run.mass.closure()), 1e-10) << name;
    EXPECT_GE(run.lowest_Pa, 0.0) << name;
  }
}

// Closed form of the build-up (2.1): constant flow against a leak proportional to the pressure, K of one pressure.
TEST(Transient, BuildsUpLikeTheClosedForm) {
  HighPressureSet set = generic_set("v8").value();
  set.pump.gap.clearance_m = 1e-9;
  set.pump.gap.opening_m_per_Pa = 0.0;
  set.injector.static_m3_per_s = 1.6e-6 / 25e6 * 180e6;  // 1.6 cm3/s at 25 MPa over all injectors
  set.injector.static_m3_per_s /= set.injectors;
  const auto fuel = page_fuel();
  const double strokes = 4.0 * 200.0 * rpm;
  const double charge = 2.124e-6 * fuel.charge.free_density_kg_per_m3 / strokes;
  const auto run =
      go(set, {{.time_s = 0, .crank_rev_per_s = 200 * rpm, .set_Pa = 35e6, .inlet = {.pressure_Pa = 0.5e6}}},
         {.end_s = 2.5,
          .pipes = PipeModel::lumped,
          .metering = Metering::constant_charge,
          .charge_kg = charge,
          .start_Pa = 1e5,
          .sample_s = 1e-3});
  ASSERT_TRUE(run.enabled_s.has_value());
  // Integrated here with the same K(p): dp/dt = K(p)/(rho V) (m - G p).
  double p = 1e5;
  double t = 0.0;
  while (p < 25e6 && t < 5.0) {
    const double rho = fuel.charge.density_at(p);
    p += 1e-5 * fuel.charge.modulus_at(p) / (rho * set.pressed_volume_m3()) * fuel.charge.free_density_kg_per_m3 *
         (2.124e-6 - 1.6e-6 / 25e6 * p);
    t += 1e-5;
  }
  EXPECT_NEAR(*run.enabled_s, t, 0.05);  // one stroke lasts 0.075 s
  // And the page's constant-modulus form, 60 C instead of 20 C, within the pulse of a stroke and the modulus.
  const auto closed = build_up({.pump_m3_per_s = 2.124e-6,
                                .leak_m3_per_s_Pa = 1.6e-6 / 25e6,
                                .volume_m3 = set.pressed_volume_m3(),
                                .modulus_Pa = fuel.charge.modulus_at(12.5e6)},
                               25e6)
                          .value();
  EXPECT_NEAR(*run.enabled_s / *closed.time_s, 1.0, 0.1);
}

// Closed form of the leak-down (8) at standing engine: injectors only, plungers never; then delivery valves.
TEST(Transient, LeaksDownLikeTheClosedForm) {
  HighPressureSet set = generic_set("v8").value();
  const auto fuel = page_fuel();
  const std::vector<ProfilePoint> still{
      {.time_s = 0, .crank_rev_per_s = 0.0, .set_Pa = 35e6, .inlet = {.pressure_Pa = 1e5}}};
  const TransientOptions options{
      .end_s = 10.0, .step_s = 1e-4, .pipes = PipeModel::lumped, .start_Pa = 40e6, .sample_s = 1.0};
  const auto run = go(set, still, options);
  // The static leak is a free volume: in units of the rail's density it is G rho_free/rho.
  const double g = set.injectors * static_m3_per_s_at(set.injector, 1e6) / 1e6 * fuel.charge.free_density_kg_per_m3 /
                   fuel.charge.density_at(30e6);
  const double closed = gap_leak_down_Pa(fuel.charge, set.pressed_volume_m3(), g, 40e6, 10.0).value();
  EXPECT_NEAR(run.trace.back().rail_Pa / closed, 1.0, 0.01);
  HighPressureSet thin = worn(set, {.clearance_m = 5e-6}).value();
  EXPECT_NEAR(go(thin, still, options).trace.back().rail_Pa / run.trace.back().rail_Pa, 1.0, 1e-3);
  HighPressureSet valves = worn(set, {.delivery_leak_m2 = 1e-10}).value();
  EXPECT_LT(go(valves, still, options).trace.back().rail_Pa, 0.8 * run.trace.back().rail_Pa);
  // Emptied, the rail stands at the atmosphere, not below.
  const double emptied = go(set, still, options, {.dump_m2 = 1e-7}).trace.back().rail_Pa;
  EXPECT_NEAR(emptied, 1.01325e5, 2e3);
}

// Leak-down through an orifice (T24) by the model's dump, K and rho as they come.
TEST(Transient, LeaksThroughAnOrificeLikeTheClosedForm) {
  HighPressureSet set = generic_set("i4").value();
  set.injector.static_m3_per_s = 0.0;
  const auto fuel = page_fuel();
  const auto run = go(set, {{.time_s = 0, .crank_rev_per_s = 0.0, .set_Pa = 35e6, .inlet = {.pressure_Pa = 1e5}}},
                      {.end_s = 20.0, .step_s = 1e-4, .pipes = PipeModel::lumped, .start_Pa = 40e6, .sample_s = 0.01},
                      {.dump_m2 = 1e-10});
  double reached_s = 0.0;
  for (const auto& sample : run.trace) {
    if (sample.rail_Pa > 20e6) reached_s = sample.time_s;
  }
  const double closed = orifice_leak_down_s({.volume_m3 = set.pressed_volume_m3(),
                                             .leak_m2 = 1e-10,
                                             .modulus_Pa = fuel.charge.modulus_at(30e6),
                                             .density_kg_per_m3 = fuel.charge.density_at(30e6)},
                                            40e6, 20e6)
                            .value();
  EXPECT_NEAR(reached_s / closed, 1.0, 0.02);
}

// Spectrum in overrun (Isermann 5.3.3): four cylinders, no injection, three elements at 2/3; 1811 rpm gives lines at
// the pump's turn and its triple; unequal elements bring the first line forth.
TEST(Transient, OverrunShowsThePumpLines) {
  HighPressureSet set = generic_set("i4").value();
  set.pressure_valve = PressureValve{};
  const auto amplitude = [&](const TransientRun& run, double frequency, double from_s) {
    double c = 0.0;
    double s = 0.0;
    double mean = 0.0;
    double count = 0.0;
    for (const auto& sample : run.trace) {
      if (sample.time_s < from_s) continue;
      mean += sample.rail_Pa;
      count += 1.0;
    }
    mean /= count;
    for (const auto& sample : run.trace) {
      if (sample.time_s < from_s) continue;
      c += (sample.rail_Pa - mean) * std::cos(2 * std::numbers::pi * frequency * sample.time_s);
      s += (sample.rail_Pa - mean) * std::sin(2 * std::numbers::pi * frequency * sample.time_s);
    }
    return 2.0 * std::hypot(c, s) / count;
  };
  const double turn = 1811.0 * rpm * 2.0 / 3.0;
  const double from_s = 1.0;
  const double end_s = from_s + 20.0 / turn;
  const auto run =
      go(set, {{.time_s = 0, .crank_rev_per_s = 1811 * rpm, .set_Pa = 134.5e6, .inlet = {.pressure_Pa = 0.5e6}}},
         {.end_s = end_s,
          .pipes = PipeModel::lumped,
          .metering = Metering::constant_charge,
          .charge_kg = 8e-6,
          .start_Pa = 134.5e6});
  EXPECT_GT(amplitude(run, 3.0 * turn, from_s), 5.0 * amplitude(run, turn, from_s));
  EXPECT_GT(amplitude(run, 3.0 * turn, from_s), 5.0 * amplitude(run, 2.0 * turn, from_s));
  EXPECT_GT(amplitude(run, 3.0 * turn, from_s), 5.0 * amplitude(run, 2.5 * turn, from_s));
}

// The wave model's grid: halving cells and step changes shots by little; the estimate says how much.
TEST(Transient, EstimatesItsGridError) {
  const HighPressureSet set = generic_set("v8").value();
  const std::vector<ProfilePoint> rated{{.time_s = 0,
                                         .crank_rev_per_s = 50,
                                         .shot_kg = 90e-6,
                                         .pilot_kg = 3e-6,
                                         .set_Pa = 160e6,
                                         .inlet = {.pressure_Pa = 0.5e6}}};
  const auto at = [&](std::size_t cells) {
    return rail_transient_with_estimate(set, page_fuel(), rated,
                                        {.end_s = 0.08, .feed_cells = cells, .start_Pa = 160e6}, {}, quiet)
        .value();
  };
  const auto coarse = at(10);
  const auto fine = at(20);
  EXPECT_LT(fine.shot_share, 0.01);
  EXPECT_LT(fine.rail_Pa, 0.5e6);
  EXPECT_LT(fine.shot_share, coarse.shot_share);
  EXPECT_LT(fine.rail_Pa, coarse.rail_Pa);
}

// Waves make injectors unequal; one weak nozzle is found; equal injectors in lumped pipes are nearly equal.
TEST(Transient, FindsTheWeakInjector) {
  const HighPressureSet set = generic_set("v8").value();
  const std::vector<ProfilePoint> part{
      {.time_s = 0, .crank_rev_per_s = 25, .shot_kg = 50e-6, .set_Pa = 120e6, .inlet = {.pressure_Pa = 0.5e6}}};
  const TransientOptions options{.end_s = 0.4, .feed_cells = 6, .start_Pa = 120e6};
  std::vector<double> factor(8, 1.0);
  factor[3] = 0.9;
  const auto weak = injector_deviations(go(set, part, options, {.nozzle_factor = factor}), 0.1, false);
  const auto even = injector_deviations(go(set, part, options), 0.1, false);
  ASSERT_EQ(weak.size(), 8U);
  for (std::size_t i = 0; i < 8; ++i) {
    EXPECT_LT(std::abs(even[i].deviation), 0.02) << i;
    if (i == 3) {
      EXPECT_NEAR(weak[i].deviation, -0.0889, 0.02);
    } else {
      EXPECT_GT(weak[i].deviation, -0.01) << i;
    }
  }
}

// A start reaches the enabling pressure; a rail that leaks too much never does. A stuck relief valve keeps the rail
// low; lost supply lets it fall; a full pull is followed.
TEST(Transient, RunsAreWhatAWorkshopSees) {
  const HighPressureSet set = generic_set("v8").value();
  const PumpInlet inlet{.pressure_Pa = 0.5e6};
  const auto play = [&](const HighPressureSet& of, const char* name, const TransientFaults& faults = {}) {
    const auto ready = ready_profile(of, inlet, name).value();
    return go(of, ready.points,
              {.end_s = std::min(ready.end_s, 4.0),
               .pipes = PipeModel::lumped,
               .hold = ready.hold,
               .start_Pa = ready.start_Pa,
               .sample_s = 1e-3},
              ready.faults.relief_stuck_open || ready.faults.metering_stiction > 0.0 ? ready.faults : faults);
  };
  const auto start = play(set, "start");
  ASSERT_TRUE(start.enabled_s.has_value());
  EXPECT_LT(*start.enabled_s, 1.0);
  EXPECT_NEAR(start.trace.back().rail_Pa / set.idle_Pa, 1.0, 0.05);
  const auto leaking = play(worn(set, {.static_factor = 60.0}).value(), "start");
  EXPECT_FALSE(leaking.enabled_s.has_value());

  const auto pull = play(set, "pull");
  EXPECT_NEAR(pull.trace.back().rail_Pa / set.rated_Pa, 1.0, 0.03);
  EXPECT_FALSE(pull.relief_open_s.has_value());
  const auto open = play(set, "relief-stuck");
  EXPECT_LT(open.trace.back().rail_Pa, 0.5 * set.rated_Pa);
  // Relief, static and control flow all run into returns at atmosphere: none of them draws the rail below it.
  EXPECT_GT(open.lowest_Pa, 0.99 * 101325.0);
  const auto lost = play(set, "supply-loss");
  EXPECT_LT(lost.trace.back().rail_Pa, 0.6 * set.rated_Pa);

  const auto step = play(set, "step");
  double peak = 0.0;
  double reached_s = 0.0;
  for (const auto& sample : step.trace) {
    peak = std::max(peak, sample.rail_Pa);
    if (reached_s == 0.0 && sample.rail_Pa >= 99e6) reached_s = sample.time_s - 0.5;
  }
  // Generic acceptance of section 6 (typical, no source): 40 to 100 MPa within 0.5 s, overshoot at most 8 MPa.
  EXPECT_GT(reached_s, 0.0);
  EXPECT_LT(reached_s, 0.5);
  EXPECT_LT(peak, 108e6);

  // A sticking valve hunts where a free one stands.
  const auto swing = [&](const TransientRun& run) {
    double low = 1e12;
    double high = 0.0;
    for (const auto& sample : run.trace) {
      if (sample.time_s < 1.0) continue;
      low = std::min(low, sample.rail_Pa);
      high = std::max(high, sample.rail_Pa);
    }
    return high - low;
  };
  EXPECT_GT(swing(play(set, "metering-sticks")), 1.5 * swing(play(set, "idle")));
  // Standing, the rail leaks down and stays above the atmosphere; emptied by the control unit it falls at once.
  const auto stopped = play(set, "stop");
  EXPECT_LT(stopped.trace.back().rail_Pa, 0.9 * set.idle_Pa);
  EXPECT_GT(stopped.trace.back().rail_Pa, 1e5);
  EXPECT_LT(play(set, "stop", {.dump_m2 = 1e-7}).trace.back().rail_Pa, 0.1 * stopped.trace.back().rail_Pa);
  const auto air = play(set, "air-slug");
  EXPECT_LT(air.lowest_Pa, air.trace.front().rail_Pa - 3e6);
}

TEST(Transient, IsDeterministic) {
  const HighPressureSet set = generic_set("i4").value();
  const auto ready = ready_profile(set, {.pressure_Pa = 0.5e6}, "pull").value();
  const TransientOptions options{.end_s = 0.05, .start_Pa = ready.start_Pa};
  const auto a = go(set, ready.points, options);
  const auto b = go(set, ready.points, options);
  ASSERT_EQ(a.trace.size(), b.trace.size());
  for (std::size_t i = 0; i < a.trace.size(); ++i) EXPECT_EQ(a.trace[i].rail_Pa, b.trace[i].rail_Pa);
}

TEST(Transient, KnowsItsProfilesByName) {
  const HighPressureSet set = generic_set("i4").value();
  for (const char* name :
       {"start", "idle", "step", "pull", "supply-loss", "air-slug", "relief-stuck", "metering-sticks", "stop"}) {
    const auto ready = ready_profile(set, {.pressure_Pa = 0.5e6}, name);
    ASSERT_TRUE(ready.has_value()) << name;
    const auto run =
        go(set, ready->points,
           {.end_s = 0.1, .pipes = PipeModel::lumped, .hold = ready->hold, .start_Pa = ready->start_Pa}, ready->faults);
    EXPECT_EQ(run.reason, TransientReason::reached_end) << name;
    EXPECT_LT(std::abs(run.mass.closure()), 1e-10) << name;
  }
  EXPECT_EQ(ready_profile(set, {.pressure_Pa = 0.5e6}, "flight").error().front().code, ErrorCode::not_found);
}

TEST(Transient, RefusesBadInput) {
  const HighPressureSet set = generic_set("v8").value();
  const ProfilePoint point{.time_s = 0, .crank_rev_per_s = 50, .set_Pa = 100e6, .inlet = {.pressure_Pa = 5e5}};
  const TransientOptions options{.end_s = 0.01, .start_Pa = 100e6};
  const auto field = [&](const HighPressureSet& of, const std::vector<ProfilePoint>& profile,
                         const TransientOptions& with, const TransientFaults& faults = {}) {
    const auto run = rail_transient(of, page_fuel(), profile, with, faults, quiet);
    EXPECT_FALSE(run.has_value());
    return run.error().front().where.field;
  };
  EXPECT_EQ(field(set, {}, options), "profile");
  EXPECT_EQ(field(set, {point, point}, options), "profile[1].time_s");
  ProfilePoint high = point;
  high.set_Pa = 220e6;
  EXPECT_EQ(field(set, {high}, options), "profile[0].set_Pa");
  EXPECT_EQ(field(set, {point}, {.end_s = 0.0, .start_Pa = 1e6}), "options.end_s");
  EXPECT_EQ(field(set, {point}, {.end_s = 1e5, .start_Pa = 1e6}), "options.end_s");
  EXPECT_EQ(field(set, {point}, options, {.nozzle_factor = {1.0}}), "faults.nozzle_factor");
  HighPressureSet empty = set;
  empty.rail_volume_m3 = 0.0;
  EXPECT_EQ(field(empty, {point}, options), "rail_volume_m3");
  // A step far too long for the grid is data, not an exception.
  const auto run =
      rail_transient(set, page_fuel(), {point}, {.end_s = 0.01, .step_s = 1e-4, .start_Pa = 100e6}, {}, quiet);
  EXPECT_EQ(run->reason, TransientReason::courant_exceeded);
  std::stop_source stop;
  stop.request_stop();
  EXPECT_EQ(rail_transient(set, page_fuel(), {point}, options, {}, {executor, progress, stop.get_token()})
                .error()
                .front()
                .code,
            ErrorCode::cancelled);
}

}  // namespace
}  // namespace fw::rail
