// SPDX-License-Identifier: Apache-2.0
#include "debris/transport.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "numerics/integrate.hpp"
#include "numerics/stream.hpp"

namespace fw::debris {
namespace {

constexpr double per_mL = 1e6;  // 1/m3
constexpr double litre = 1e-3;  // m3
constexpr double minute_s = 60.0;
constexpr double hour_s = 3600.0;
constexpr double L_per_h = litre / hour_s;

Bins all(double value) {
  Bins bins;
  bins.fill(value);
  return bins;
}

TransportPlace filter(double beta, std::vector<Outlet> outlets) {
  return {.id = "filter", .flow_share = 1.0, .lodges = all(1.0 - 1.0 / beta), .outlets = std::move(outlets)};
}

/// Tank, filter and return; the burnt share leaves behind the filter.
TransportModel loop(double beta, double feed_m3_per_s, double burn_m3_per_s) {
  const double burnt = burn_m3_per_s / feed_m3_per_s;
  return {.tank = {.capacity_m3 = 1.0},
          .places = {filter(beta, {{.to = to_tank, .share = 1.0 - burnt}, {.to = to_burnt, .share = burnt}})},
          .duties = {{.feed_m3_per_s = feed_m3_per_s, .burn_m3_per_s = burn_m3_per_s}}};
}

struct Carried {
  TransportState state;
  TransportTally tally;
  double imbalance = 0.0;
  [[nodiscard]] double tank_per_m3(double dead_m3 = 0.0) const {
    return state.suspended[0] / (state.volume_m3 - dead_m3);
  }
};

Carried carried(const TransportModel& model, const std::vector<TransportEvent>& events, double volume_m3,
                double start_per_m3, double longest_s = std::numeric_limits<double>::infinity()) {
  EXPECT_TRUE(check_model(model).has_value());
  EXPECT_TRUE(check_events(model, events, volume_m3).has_value());
  Carried out{.state = {.volume_m3 = volume_m3}, .tally = {}};
  out.state.suspended = all(start_per_m3 * (volume_m3 - model.tank.dead_volume_m3));
  out.state.dead = all(start_per_m3 * model.tank.dead_volume_m3);
  out.state.lodged.assign(model.places.size(), Bins{});
  for (std::size_t i = 0; i < model.places.size(); ++i) out.tally.watched.push_back(i);
  const Bins start = total(out.state);
  TransportWorkspace workspace;
  carry(model, events, {.longest_segment_s = longest_s}, out.state, out.tally, workspace);
  out.imbalance = imbalance(start, out.state, out.tally);
  return out;
}

TransportEvent run_for(double duration_s) { return {.kind = EventKind::run, .duration_s = duration_s}; }

// Closed form of the kidney loop: 40000 -> 40/mL after ln(1000)/E turnovers.
TEST(Transport, CleansATankLikeTheKidneyLoop) {
  const auto model = loop(1000.0, 5.0 * litre / minute_s, 0.0);
  const auto end = carried(model, {run_for(138.2934 * minute_s)}, 0.1, 40000 * per_mL);
  EXPECT_NEAR(end.tank_per_m3() / (40 * per_mL), 1.0, 1e-4);
  EXPECT_LT(end.imbalance, 1e-12);
}

// With ingress 1e5/min, beta 75: 2091.98/mL at 60 min, 160/mL at 114.657 min.
TEST(Transport, KeepsUpWithIngress) {
  auto model = loop(75.0, 5.0 * litre / minute_s, 0.0);
  model.duties[0].sheds = true;
  model.sources = {{.into = to_tank, .rate_per_s = all(1e5 / minute_s)}};
  const auto hour = carried(model, {run_for(60 * minute_s)}, 0.1, 40000 * per_mL);
  EXPECT_NEAR(hour.tank_per_m3() / (2091.98 * per_mL), 1.0, 1e-4);
  const auto end = carried(model, {run_for(50 * minute_s), run_for(64.657 * minute_s)}, 0.1, 40000 * per_mL);
  EXPECT_NEAR(end.tank_per_m3() / (160 * per_mL), 1.0, 1e-4);
  EXPECT_LT(end.imbalance, 1e-12);
}

// C = C0 (V/V0)^(Q_r E/Q_b): 0.015690. A volume frozen at its start gives 0.0499.
TEST(Transport, FollowsTheShrinkingTank) {
  const auto model = loop(1000.0, 70.0 * L_per_h, 10.0 * L_per_h);
  const auto once = carried(model, {run_for(5 * hour_s)}, 0.1, 40000 * per_mL);
  EXPECT_NEAR(once.state.volume_m3, 0.05, 1e-12);
  EXPECT_NEAR(once.tank_per_m3() / (0.0156902 * 40000 * per_mL), 1.0, 1e-4);
  const auto cut = carried(model, {run_for(1.3 * hour_s), run_for(3.7 * hour_s)}, 0.1, 40000 * per_mL, 777.0);
  EXPECT_NEAR(cut.tank_per_m3() / once.tank_per_m3(), 1.0, 1e-11);
  EXPECT_GT(cut.tally.segments, 20U);
  EXPECT_LT(cut.imbalance, 1e-12);
}

// The same through the whole engine: filters in series, pump chambers, rail and injectors that store nothing.
TEST(Transport, FollowsTheShrinkingTankThroughAllParts) {
  TransportModel model{.tank = {.capacity_m3 = 1.0},
                       .places = {{.id = "screen", .flow_share = 1.0, .outlets = {{.to = 1, .share = 1.0}}},
                                  filter(100.0, {{.to = 2, .share = 1.0}}),
                                  filter(10.0, {{.to = 3, .share = 1.0}}),
                                  {.id = "housing",
                                   .flow_share = 1.0,
                                   .outlets = {{.to = 4, .share = 2.0 / 7.0}, {.to = 6, .share = 5.0 / 7.0}}},
                                  {.id = "gallery", .flow_share = 2.0 / 7.0, .outlets = {{.to = 5, .share = 1.0}}},
                                  {.id = "injectors",
                                   .flow_share = 2.0 / 7.0,
                                   .outlets = {{.to = to_burnt, .share = 0.5}, {.to = 6, .share = 0.5}}},
                                  {.id = "return", .flow_share = 6.0 / 7.0, .outlets = {{.share = 1.0}}}},
                       .duties = {{.feed_m3_per_s = 70.0 * L_per_h, .burn_m3_per_s = 10.0 * L_per_h}}};
  const auto end = carried(model, {run_for(5 * hour_s)}, 0.1, 40000 * per_mL);
  EXPECT_NEAR(end.tank_per_m3() / (0.0156902 * 40000 * per_mL), 1.0, 1e-4);
  EXPECT_LT(end.imbalance, 1e-12);
  // What passes both filters is one particle in a thousand of the feed, per bin.
  EXPECT_NEAR(end.tally.arrived[3][4] / end.tally.arrived[0][4], 1e-3, 1e-12);
}

// Shedding into the return at constant volume: C_T -> S/(Q E) = 667.33/mL, behind the filter 0.667/mL.
TEST(Transport, SettlesToTheSheddingLoop) {
  auto model = loop(1000.0, 1.5 * litre / minute_s, 0.0);
  model.places[0].outlets = {{.to = 1, .share = 1.0}};
  model.places.push_back({.id = "return", .flow_share = 1.0, .outlets = {{.share = 1.0}}});
  model.duties[0].sheds = true;
  model.sources = {{.into = 1, .rate_per_s = all(1e6 / minute_s)}};
  const auto steady = carried(model, {run_for(100 * hour_s)}, 0.1, 0.0);
  EXPECT_NEAR(steady.tank_per_m3() / (667.33 * per_mL), 1.0, 1e-4);
  const double before = steady.tally.arrived[0][0];
  const auto more = carried(model, {run_for(101 * hour_s)}, 0.1, 0.0);
  const double fed_m3 = 1.5 * litre / minute_s * hour_s;
  EXPECT_NEAR((more.tally.arrived[0][0] - before) / fed_m3 / (667.33 * per_mL), 1.0, 1e-4);
}

// Analytic: a part that lies in clean flow empties as exp(-release x volume passed), a rest changes nothing there.
TEST(Transport, EmptiesAPartByTheVolumePassed) {
  auto model = loop(1.0, 100.0 * L_per_h, 0.0);
  model.places[0] = {.id = "line", .flow_share = 1.0, .release_per_m3 = 10.0, .outlets = {{.share = 1.0}}};
  TransportState state{.volume_m3 = 0.1};
  state.lodged = {all(5.0)};
  TransportTally tally;
  TransportWorkspace workspace;
  const std::vector<TransportEvent> events{run_for(hour_s), {.kind = EventKind::rest, .duration_s = 1e6}};
  carry(model, events, {}, state, tally, workspace);
  EXPECT_NEAR(state.lodged[0][3] / (5.0 * std::exp(-1.0)), 1.0, 1e-12);
  EXPECT_NEAR(state.suspended[3] / (5.0 * (1.0 - std::exp(-1.0))), 1.0, 1e-12);
}

// Stirred and quiescent layers: quartz of 4 um, 8 h, 0.3 m deep: 0.635 and 0.545 of the concentration remain.
TEST(Transport, SettlesWhileItRests) {
  auto model = loop(1.0, 100.0 * L_per_h, 0.0);
  model.tank.floor_m2 = 0.1 / 0.3;
  model.tank.settling_m_per_s = all(4.737e-6);
  const std::vector<TransportEvent> night{{.kind = EventKind::rest, .duration_s = 8 * hour_s}};
  EXPECT_NEAR(carried(model, night, 0.1, 1.0).tank_per_m3(), 0.635, 5e-4);
  model.tank.rest = RestLaw::quiescent;
  EXPECT_NEAR(carried(model, night, 0.1, 1.0).tank_per_m3(), 0.545, 5e-4);
  // A start stirs up half of it again.
  model.tank.start_resuspension = 0.5;
  const auto stirred = carried(model, {night[0], {.kind = EventKind::start}}, 0.1, 1.0);
  EXPECT_NEAR(stirred.tank_per_m3(), 0.545 + 0.5 * 0.455, 5e-4);
}

TEST(Transport, RefuellingDilutesAndMixesTheDeadPart) {
  auto model = loop(1.0, 100.0 * L_per_h, 0.0);
  model.tank.dead_volume_m3 = 0.01;
  model.fill_per_m3 = all(2.0);
  const auto end = carried(model, {{.kind = EventKind::refuel, .volume_m3 = 0.05}}, 0.05, 10.0);
  EXPECT_NEAR(end.tank_per_m3(0.01), 6.0, 1e-12);
  EXPECT_NEAR(end.state.dead[2], 0.06, 1e-14);
  EXPECT_LT(end.imbalance, 1e-14);
}

/// A line that lodges and lets go, a filter, a pump and a return that do too; settling and stirring in the tank.
TransportModel storing() {
  TransportModel model{.tank = {.dead_volume_m3 = 0.004,
                                .capacity_m3 = 0.2,
                                .floor_m2 = 0.4,
                                .settling_m_per_s = all(2e-6),
                                .resuspension_per_s = 2e-5,
                                .start_resuspension = 0.3},
                       .places = {{.id = "line",
                                   .flow_share = 1.0,
                                   .lodges = all(0.2),
                                   .release_per_m3 = 8.0,
                                   .start_release = 0.05,
                                   .outlets = {{.to = 1, .share = 1.0}}},
                                  filter(3.0, {{.to = 2, .share = 1.0}}),
                                  {.id = "pump",
                                   .flow_share = 1.0,
                                   .lodges = all(0.4),
                                   .release_per_m3 = 3.0,
                                   .start_release = 0.1,
                                   .outlets = {{.to = 3, .share = 0.8}, {.to = to_burnt, .share = 0.2}}},
                                  {.id = "return",
                                   .flow_share = 0.8,
                                   .lodges = all(0.3),
                                   .release_per_m3 = 12.0,
                                   .start_release = 0.02,
                                   .outlets = {{.share = 1.0}}}},
                       .duties = {{.feed_m3_per_s = 60.0 * L_per_h, .burn_m3_per_s = 12.0 * L_per_h, .sheds = true}}};
  model.fill_per_m3 = all(100.0);
  model.sources = {{.into = 2, .rate_per_s = all(1e-4)}, {.into = to_tank, .rate_per_s = all(3e-5)}};
  return model;
}

// The project's own stiff integrator, on the differential equations of the header.
double by_rodas(const TransportModel& model, double hours, double start_per_m3) {
  const Duty& duty = model.duties[0];
  const double f = duty.feed_m3_per_s;
  const auto slope = [&](double t, std::span<const double> y, std::span<double> out) {
    const double live = 0.1 - duty.burn_m3_per_s * t - model.tank.dead_volume_m3;
    const double c = y[0] / live;
    double inflow = f * c;
    const double falls = model.tank.settling_m_per_s[0] * model.tank.floor_m2 * c;
    for (std::size_t i = 0; i < 4; ++i) {
      const TransportPlace& place = model.places[i];
      if (i == 2) inflow += model.sources[0].rate_per_s[0];
      const double released = place.release_per_m3 * place.flow_share * f * y[2 + i];
      out[2 + i] = place.lodges[0] * inflow - released;
      inflow = ((1.0 - place.lodges[0]) * inflow + released) * place.outlets[0].share;
    }
    const double stirs = model.tank.resuspension_per_s * y[1];
    out[0] = inflow - f * c - falls + stirs + model.sources[1].rate_per_s[0];
    out[1] = falls - stirs;
    return numerics::Verdict::ok;
  };
  const std::vector<double> start{start_per_m3 * (0.1 - model.tank.dead_volume_m3), 0, 0, 0, 0, 0};
  return numerics::rodas(slope, 0.0, hours * hour_s, start,
                         {.relative_tolerance = 1e-11, .absolute_tolerance = {1e-12}, .steps = 1000000})
      .state[0];
}

TEST(Transport, ConvergesInSecondOrderToTheEquations) {
  const auto model = storing();
  const double exact = by_rodas(model, 4.0, 50.0);
  std::vector<double> errors;
  for (const double step_s : {1200.0, 600.0, 300.0, 150.0}) {
    const auto end = carried(model, {run_for(4 * hour_s)}, 0.1, 50.0, step_s);
    errors.push_back(std::abs(end.state.suspended[0] / exact - 1.0));
    EXPECT_LT(end.imbalance, 1e-12);
  }
  EXPECT_LT(errors[3], 1e-4);
  for (std::size_t i = 1; i < errors.size(); ++i) EXPECT_NEAR(errors[i - 1] / errors[i], 4.0, 0.8) << i;
}

// Conservation over a long life with everything in it, bin by bin.
TEST(Transport, KeepsMassOverFiveHundredHours) {
  const auto model = storing();
  std::vector<TransportEvent> events;
  for (int i = 0; i < 250; ++i) {
    events.push_back({.kind = EventKind::rest, .duration_s = 12 * hour_s});
    events.push_back({.kind = EventKind::start});
    events.push_back(run_for(2 * hour_s));
    if (i % 3 == 2) events.push_back({.kind = EventKind::refuel, .volume_m3 = 0.072});
    if (i % 50 == 49) events.push_back({.kind = EventKind::mark});
  }
  const auto end = carried(model, events, 0.1, 50.0);
  EXPECT_LT(end.imbalance, 1e-10);
  ASSERT_EQ(end.tally.at_marks.size(), 5U * 4U);
  EXPECT_GT(end.tally.at_marks[4 * 4][0], end.tally.at_marks[3 * 4][0]);
  EXPECT_EQ(end.tally.at_marks.back(), end.tally.arrived.back());
  for (const Bins& lies : end.state.lodged) EXPECT_GT(lies[0], 0.0);
}

// Linear: the sum of two starts carries to the sum of their ends.
TEST(Transport, IsLinearInWhatLiesThere) {
  auto model = storing();
  model.sources.clear();
  model.fill_per_m3 = {};
  const std::vector<TransportEvent> events{{.kind = EventKind::start}, run_for(3 * hour_s)};
  const auto end_of = [&](double line, double tank) {
    TransportState state{.volume_m3 = 0.1};
    state.suspended = all(tank);
    state.lodged.assign(4, Bins{});
    state.lodged[0] = all(line);
    TransportTally tally;
    TransportWorkspace workspace;
    carry(model, events, {}, state, tally, workspace);
    return tally.burnt[5];
  };
  EXPECT_NEAR(end_of(2.0, 5.0) / (2.0 * end_of(1.0, 0.0) + 5.0 * end_of(0.0, 1.0)), 1.0, 1e-12);
}

TEST(Transport, NamesTheBadField) {
  const auto field_of = [](const TransportModel& model) {
    const auto checked = check_model(model);
    return checked ? std::string("none") : checked.error().front().where.field;
  };
  EXPECT_EQ(field_of(storing()), "none");
  auto model = storing();
  model.places[1].outlets[0].to = 0;
  EXPECT_EQ(field_of(model), "model.places[1].outlets");
  model = storing();
  model.places[2].outlets[0].share = 0.7;
  EXPECT_EQ(field_of(model), "model.places[2].outlets");
  model = storing();
  model.fill_per_m3[3] = -1.0;
  EXPECT_EQ(field_of(model), "model.fill_per_m3[3]");
  model = storing();
  model.duties[0].burn_m3_per_s = 1.0;
  EXPECT_EQ(field_of(model), "model.duties[0].burn_m3_per_s");
  model = storing();
  model.tank.capacity_m3 = required;
  EXPECT_EQ(field_of(model), "model.tank.capacity_m3");
}

TEST(Transport, RefusesATankThatRunsDryOrOver) {
  const auto model = storing();
  const auto dry = check_events(model, std::vector<TransportEvent>{run_for(9 * hour_s)}, 0.1);
  EXPECT_EQ(dry.error().front().code, ErrorCode::outside_model);
  const auto over =
      check_events(model, std::vector<TransportEvent>{{.kind = EventKind::refuel, .volume_m3 = 0.15}}, 0.1);
  EXPECT_EQ(over.error().front().where.field, "events[0].volume_m3");
}

}  // namespace
}  // namespace fw::debris
