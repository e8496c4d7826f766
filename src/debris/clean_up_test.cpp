// SPDX-License-Identifier: Apache-2.0
#include "debris/clean_up.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "debris/beta.hpp"

namespace fw::debris {
namespace {

constexpr double litre = 1e-3;
constexpr double litre_per_minute = 1e-3 / 60.0;
constexpr double per_mL = 1e6;

KidneyLoop loop(double beta, double source_per_minute = 0.0) {
  return {.volume_m3 = 100 * litre,
          .flow_m3_per_s = 5 * litre_per_minute,
          .efficiency = *efficiency(beta),
          .source_per_s = source_per_minute / 60.0};
}

// Check rows 20 and 21 and the list of 3.1.
TEST(CleanUp, Turnovers) {
  struct Row {
    double beta, turnovers, tolerance;
  };
  for (const Row row : {Row{1000, 6.91467, 1e-5}, Row{75, 7.001, 1e-4}, Row{10, 7.675, 1e-4}, Row{2, 13.81551, 1e-5}}) {
    const auto time = time_to(loop(row.beta), 40000 * per_mL, 40 * per_mL).value();
    EXPECT_NEAR(time.turnovers / row.turnovers, 1.0, row.tolerance) << row.beta;
  }
  EXPECT_NEAR(time_to(loop(1000), 40000 * per_mL, 40 * per_mL)->time_s / 60 / 138.29, 1.0, 1e-4);
  EXPECT_NEAR(time_to(loop(1000), 2500 * per_mL, 40 * per_mL)->turnovers, 4.139, 1e-3);
  EXPECT_NEAR(time_to(loop(1000), 2 * per_mL, 1 * per_mL)->turnovers, 0.694, 1e-3);  // one code step
  EXPECT_NEAR(time_to(loop(2), 2 * per_mL, 1 * per_mL)->turnovers, 1.386, 1e-3);
  EXPECT_EQ(time_to(loop(2), 1 * per_mL, 1 * per_mL)->time_s, 0.0);
}

// Check row 22.
TEST(CleanUp, WithIngress) {
  const KidneyLoop dirty = loop(75, 1e5);
  EXPECT_NEAR(*final_concentration_per_m3(dirty) / per_mL / 20.270, 1.0, 1e-4);
  EXPECT_NEAR(*concentration_per_m3(dirty, 40000 * per_mL, 3600) / per_mL / 2091.98, 1.0, 1e-4);
  const double minutes = time_to(dirty, 40000 * per_mL, 160 * per_mL)->time_s / 60;
  EXPECT_NEAR(minutes / 114.657, 1.0, 1e-4);
  EXPECT_NEAR(*concentration_per_m3(dirty, 40000 * per_mL, minutes * 60) / per_mL, 160, 1e-6);
  EXPECT_EQ(time_to(dirty, 40000 * per_mL, 20 * per_mL).error().front().where.field, "target_per_m3");
}

TEST(CleanUp, ToACode) {
  const auto start = *parse_code("22/21/18");
  const auto target = *parse_code("14/13/11");
  const std::vector<double> efficiencies{*efficiency(2), *efficiency(75), *efficiency(1000)};
  const auto to = time_to_code(loop(2), efficiencies, start, target).value();
  EXPECT_EQ(to.governing_entry, 0);
  EXPECT_NEAR(to.time.turnovers, std::log(40000.0 / 160.0) / 0.5, 1e-9);
  const std::vector<double> even(3, 0.999);
  EXPECT_EQ(time_to_code(loop(2), even, *parse_code("-/21/18"), target)->governing_entry, 1);
  EXPECT_FALSE(time_to_code(loop(2), even, *parse_code("22/-/-"), *parse_code("-/13/11")).has_value());
  EXPECT_EQ(time_to_code(loop(2), std::vector<double>{0.9}, start, target).error().front().where.field, "efficiencies");
}

// One stirred part without dead volume is the closed form; parts in a row are faster; a dead part is slower.
TEST(CleanUp, DeadVolume) {
  const double closed = time_to(loop(75), 40000 * per_mL, 40 * per_mL)->time_s;
  const auto time = [&](int in_row, double dead, double exchange) {
    return time_with_dead_volume_s(
        {.loop = loop(75), .in_row = in_row, .dead_share = dead, .exchange_m3_per_s = exchange}, 40000 * per_mL,
        40 * per_mL);
  };
  EXPECT_NEAR(time(1, 0.0, 0.0).value() / closed, 1.0, 1e-6);
  EXPECT_LT(time(4, 0.0, 0.0).value(), closed);
  double before = 1e30;
  for (const double exchange : {0.05, 0.2, 1.0}) {  // L/min
    const double slow = time(1, 0.05, exchange * litre_per_minute).value();
    EXPECT_GT(slow, closed * 0.95);
    EXPECT_LT(slow, before);
    before = slow;
  }
  EXPECT_EQ(time(1, 0.05, 0.0).error().front().where.field, "tanks.dead_share");
  // Slow exchange governs alone: the mean falls like dead_share exp(-x t/V_dead) in the end.
  const double exchange = 1e-4 * litre_per_minute;
  const double expected = std::log(0.05 / 1e-3) * 5 * litre / exchange;
  EXPECT_NEAR(time(1, 0.05, exchange).value() / expected, 1.0, 0.01);
}

// Check row 35 and the numbers of chapter 8.
TEST(CleanUp, FlushFlow) {
  const auto flush = flush_flow(8e-3, 2.5e-6).value();
  EXPECT_NEAR(flush.speed_m_per_s / 1.250, 1.0, 1e-3);
  EXPECT_NEAR(flush.flow_m3_per_s / litre_per_minute / 3.770, 1.0, 1e-3);
  EXPECT_NEAR(flush_flow(10e-3, 2.5e-6)->flow_m3_per_s / litre_per_minute / 4.71, 1.0, 1e-3);
  EXPECT_NEAR(flush_flow(8e-3, 4e-6)->flow_m3_per_s / litre_per_minute / 6.03, 1.0, 1e-3);
  // The vehicle's own pump cannot flush.
  EXPECT_NEAR(reynolds(150e-3 / 3600, 8e-3, 2.5e-6).value(), 2653, 1);
  EXPECT_NEAR(reynolds(100e-3 / 3600, 8e-3, 4e-6).value(), 1105, 1);
}

TEST(CleanUp, RefusesLightFuelInUnratedEquipment) {
  FlushPlan plan{.bore_m = 8e-3,
                 .flow_m3_per_s = 8 * litre_per_minute,
                 .service_flow_m3_per_s = 2.5 * litre_per_minute,
                 .kinematic_viscosity_m2_per_s = 2.5e-6,
                 .flash_point_K = 338.15};
  EXPECT_EQ(judge_flush(plan).value(), std::vector{FlushCaution::bond_and_ground});
  plan.flash_point_K = 310.0;
  EXPECT_EQ(judge_flush(plan).error().front().code, ErrorCode::conflict);
  plan.equipment_rated_for_petrol = true;
  EXPECT_TRUE(judge_flush(plan).has_value());
  plan.flash_point_K = required;
  EXPECT_EQ(judge_flush(plan)->front(), FlushCaution::flash_point_unknown);
  plan.equipment_rated_for_petrol = false;
  EXPECT_FALSE(judge_flush(plan).has_value());
  plan.flash_point_K = 338.15;
  plan.flow_m3_per_s = 3 * litre_per_minute;
  EXPECT_EQ(judge_flush(plan).value(), (std::vector{FlushCaution::laminar, FlushCaution::below_twice_service_flow,
                                                    FlushCaution::bond_and_ground}));
}

// Check row 36 and "r 0.3, n 3 -> 3.857 of 142.857 (2.70 %)".
TEST(CleanUp, Decay) {
  const std::vector<double> three{100, 30, 9};
  const auto decay = judge_decay(three).value();
  EXPECT_NEAR(decay.last_share / 0.06475, 1.0, 1e-3);
  EXPECT_TRUE(decay.passed);
  EXPECT_NEAR(*decay.remaining / 3.857, 1.0, 1e-3);
  EXPECT_NEAR(*decay.remaining / (139 + *decay.remaining), 0.0270, 1e-4);
  EXPECT_FALSE(judge_decay(std::vector<double>{100})->passed);
  const auto two = judge_decay(std::vector<double>{100, 30}).value();
  EXPECT_FALSE(two.passed);
  EXPECT_TRUE(two.another_allowed);
  const auto worse = judge_decay(std::vector<double>{10, 20}).value();
  EXPECT_FALSE(worse.remaining.has_value());
  EXPECT_FALSE(judge_decay(std::vector<double>{9, 9, 9, 9, 9, 9})->another_allowed);
  EXPECT_FALSE(judge_decay(std::vector<double>(7, 1.0)).has_value());
  EXPECT_FALSE(judge_decay({}).has_value());
  EXPECT_FALSE(judge_decay(std::vector<double>{0.0, 0.0}).has_value());
  EXPECT_EQ(judge_decay(std::vector<double>{1.0, -1.0}).error().front().where.field, "extracted[1]");
}

TEST(CleanUp, TwoSamples) {
  const auto target = *parse_code("14/13/11");
  const auto at = [](const char* text) { return *parse_code(text); };
  EXPECT_TRUE(two_samples_at_target(std::vector{at("20/18/15"), at("14/13/10"), at("13/12/11")}, target).value());
  EXPECT_FALSE(two_samples_at_target(std::vector{at("14/13/10"), at("15/12/11")}, target).value());
  EXPECT_FALSE(two_samples_at_target(std::vector{at("*/13/10"), at("14/12/11")}, target).value());
  EXPECT_FALSE(two_samples_at_target(std::vector{at("14/13/10")}, target).has_value());
  EXPECT_FALSE(two_samples_at_target(std::vector{at("14/13/10"), at("-/12/11")}, target).has_value());
}

}  // namespace
}  // namespace fw::debris
