// SPDX-License-Identifier: Apache-2.0
#include "debris/debris_map.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "debris/settling.hpp"
#include "numerics/stream.hpp"

namespace fw::debris {
namespace {

constexpr double cm2 = 1e-4;
constexpr double mile_m = 1609.344;
constexpr double mph_m_per_s = 0.44704;

FuelWay way() {
  const fuel::Liquid liquid{.density_kg_per_m3 = 835.0, .dynamic_viscosity_Pa_s = 3.34e-3};
  const BetaRating primary{.points = {{.size_m = 10e-6, .beta = 10.0}, {.size_m = 30e-6, .beta = 75.0}},
                           .test = FilterTest::iso_19438};
  const BetaRating final_rating{.points = {{.size_m = 4e-6, .beta = 75.0}, {.size_m = 6e-6, .beta = 1000.0}},
                                .test = FilterTest::iso_19438};
  return {.tank_m3 = 0.12,
          .tank_floor_m2 = 0.55,
          .feed_m3_per_s = 100e-3 / 3600.0,
          .primary_filter = {{.stops = efficiency_by_bin(primary).value()}},
          .final_filter = {{.stops = efficiency_by_bin(final_rating).value()}},
          .settling_m_per_s = fall_velocities_m_per_s(7850.0, liquid).value()};
}

Story drove(double miles) {
  return {.reach = Reach::driven, .ran_s = drive_time_s(miles * mile_m, 35.0 * mph_m_per_s).value(), .cranks = 4};
}

DebrisMap map_of(const Story& story, const std::vector<Finding>& findings, const MapOptions& options = {}) {
  InlineExecutor executor;
  SilentProgress progress;
  return infer(way(), story, findings, options, {.executor = executor, .progress = progress, .stop = {}}).value();
}

const PlaceOfMap& at(const DebrisMap& map, Place place) { return map.places[static_cast<std::size_t>(place)]; }

// Without findings the posterior is the prior: median 100 mg, geometric sd 10.
TEST(DebrisMap, IsThePriorWithoutFindings) {
  const DebrisMap map = map_of(drove(50), {});
  EXPECT_NEAR(map.effective_samples, 4000.0, 1e-6);
  // Standard error of a median of ln: 1.2533 ln 10/sqrt(4000).
  EXPECT_NEAR(std::log(map.shed_kg.median / 100e-6), 0.0, 4 * 1.2533 * std::log(10.0) / std::sqrt(4000.0));
  EXPECT_NEAR(std::log10(map.shed_kg.high / 100e-6), 1.645, 0.15);
  for (const PlaceOfMap& place : map.places) EXPECT_NE(place.state, PlaceState::verified_clean) << name(place.place);
}

// Conservation: what lies in all places of a history and what was burnt is what was shed.
TEST(DebrisMap, HistoriesHoldNoMoreThanWasShed) {
  const DebrisMap map = map_of(drove(50), {});
  for (const History& history : map.histories) {
    double sum = 0.0;
    for (const Bins& bins : history.mass_kg) {
      for (const double mass : bins) sum += mass;
    }
    const double shed = draw_way(1, history.sample).shed_kg;
    EXPECT_LE(sum, shed * (1.0 + 1e-10));
    EXPECT_GT(sum, 0.3 * shed);
  }
}

// Practice, in nine of ten draws: glitter in the metering bore after 50 miles means that rail, injectors and tank are
// reached. (Common practice, no source; the numbers behind it are assumed.)
TEST(DebrisMap, GlitterInTheMeteringBoreMeansRailInjectorsAndTank) {
  const std::vector<Finding> glitter{{.place = Place::metering_valve, .grade = Grade::few_specks}};
  const DebrisMap map = map_of(drove(50), glitter);
  for (const Place place : {Place::rail, Place::injectors, Place::tank}) {
    EXPECT_GE(at(map, place).reached, 0.9) << name(place);
    EXPECT_EQ(at(map, place).state, PlaceState::inferred) << name(place);
  }
  EXPECT_EQ(at(map, Place::metering_valve).state, PlaceState::seen);
  EXPECT_GT(map.effective_samples, 100.0);
  // Where it flips: a pump that was never turned has carried nothing into the rail.
  InlineExecutor executor;
  SilentProgress progress;
  const auto keyed =
      infer(way(), {.reach = Reach::keyed}, {}, {}, {.executor = executor, .progress = progress, .stop = {}});
  EXPECT_EQ(at(*keyed, Place::rail).reached, 0.0);
  EXPECT_EQ(at(*keyed, Place::rail).state, PlaceState::not_inspected);
}

TEST(DebrisMap, NotInspectedIsNeverClean) {
  const DebrisMap map = map_of({.origin = MetalOrigin::assist_pump, .reach = Reach::ran, .ran_s = 600.0}, {});
  for (const PlaceOfMap& place : map.places) {
    EXPECT_TRUE(place.state == PlaceState::inferred || place.state == PlaceState::not_inspected);
    EXPECT_FALSE(place.verified_by.has_value());
  }
}

TEST(DebrisMap, ACleanMagnetNeverVerifies) {
  const DebrisMap magnet = map_of(drove(50), {{.place = Place::tank, .by = Look::magnet, .area_m2 = 0.0}});
  EXPECT_EQ(at(magnet, Place::tank).state, PlaceState::inferred);
  for (const Look look : {Look::cloth, Look::patch, Look::count}) {
    const DebrisMap map = map_of(drove(50), {{.place = Place::tank, .by = look}});
    EXPECT_EQ(at(map, Place::tank).state, PlaceState::verified_clean);
    EXPECT_EQ(at(map, Place::tank).verified_by, look);
    EXPECT_LT(at(map, Place::tank).mass_kg.median, at(magnet, Place::tank).mass_kg.median);
  }
  // Looking by eye and seeing nothing verifies nothing either.
  EXPECT_NE(at(map_of(drove(50), {{.place = Place::tank, .by = Look::eye}}), Place::tank).state,
            PlaceState::verified_clean);
}

// A patch of 4 cm2 is 20 to 400 mg: the mass at its place is drawn into that band.
TEST(DebrisMap, APatchWeighsItsPlace) {
  const DebrisMap map = map_of(drove(50), {{.place = Place::primary_filter, .by = Look::patch, .area_m2 = 4 * cm2}});
  EXPECT_GT(at(map, Place::primary_filter).mass_kg.low, 10e-6);
  EXPECT_LT(at(map, Place::primary_filter).mass_kg.high, 800e-6);
  EXPECT_EQ(at(map, Place::primary_filter).state, PlaceState::seen);
}

// Importance sampling against rejection: keep each history with its likelihood over the largest.
TEST(DebrisMap, AgreesWithRejection) {
  const std::vector<Finding> film{{.place = Place::return_line, .grade = Grade::film}};
  const MapOptions options{.samples = 8000, .histories = 8000};
  const DebrisMap prior = map_of(drove(50), {}, options);
  double kept = 0.0;
  double heavy = 0.0;
  const double limit_kg = 100e-6;
  for (const History& history : prior.histories) {
    double lies_kg = 0.0;
    for (const double mass : history.mass_kg[static_cast<std::size_t>(Place::return_line)]) lies_kg += mass;
    const double u = numerics::uniform(9, numerics::key_of("reject"), numerics::Purpose::synthetic, history.sample);
    if (u > std::exp(log_likelihood(film[0], lies_kg))) continue;
    kept += 1.0;
    if (draw_way(options.seed, history.sample).shed_kg > limit_kg) heavy += 1.0;
  }
  const DebrisMap posterior = map_of(drove(50), film, options);
  double weighted = 0.0;
  for (const History& history : posterior.histories) {
    if (draw_way(options.seed, history.sample).shed_kg > limit_kg) weighted += 1.0 / 8000.0;
  }
  const double share = heavy / kept;
  EXPECT_GT(kept, 200.0);
  EXPECT_NEAR(weighted, share, 4.0 * std::sqrt(share * (1.0 - share) / kept + 0.25 / posterior.effective_samples));
}

TEST(DebrisMap, SameBytesWhateverTheBlocks) {
  class Backwards final : public Executor {
   public:
    void for_each_block(std::size_t blocks, const std::function<void(std::size_t)>& work) override {
      while (blocks-- > 0) work(blocks);
    }
    [[nodiscard]] std::size_t threads() const override { return 1; }
  };
  Backwards backwards;
  SilentProgress progress;
  const std::vector<Finding> film{{.place = Place::return_line, .grade = Grade::film}};
  const auto other = infer(way(), drove(10), film, {.samples = 1000}, {backwards, progress, {}}).value();
  const DebrisMap map = map_of(drove(10), film, {.samples = 1000});
  for (std::size_t i = 0; i < place_count; ++i) EXPECT_EQ(map.places[i].mass_kg.median, other.places[i].mass_kg.median);
  EXPECT_EQ(map.effective_samples, other.effective_samples);
  EXPECT_NE(map_of(drove(10), film, {.samples = 1000, .seed = 2}).shed_kg.median, map.shed_kg.median);
}

// Published procedure: over 1 cm2 on the magnet; 1.0 cm2 does not cross it.
TEST(DebrisMap, MagnetThresholdOfTheProcedure) {
  const auto patch = [](double area) {
    return std::vector<Finding>{{.place = Place::final_filter, .by = Look::magnet, .area_m2 = area * cm2}};
  };
  EXPECT_FALSE(whole_system_by_magnet(patch(1.0)));
  EXPECT_TRUE(whole_system_by_magnet(patch(1.1)));
  EXPECT_FALSE(whole_system_by_magnet({}));
}

TEST(DebrisMap, RefusesWhatCannotBe) {
  InlineExecutor executor;
  SilentProgress progress;
  const fw::Run run{.executor = executor, .progress = progress, .stop = {}};
  const auto fault = [&](const std::vector<Finding>& findings, const Story& story) {
    return infer(way(), story, findings, {.samples = 64}, run).error().front();
  };
  EXPECT_EQ(fault({{.by = Look::magnet, .area_m2 = -1.0}}, {}).where.field, "findings[0].area");
  EXPECT_EQ(fault({{.by = Look::eye, .area_m2 = 1.0}}, {}).where.field, "findings[0].area");
  EXPECT_EQ(fault({{.by = Look::cloth}, {.by = Look::eye, .grade = Grade::film}}, {}).code, ErrorCode::conflict);
  EXPECT_EQ(fault({}, {.ran_s = -1.0}).where.field, "story.ran_s");
  EXPECT_EQ(fault({}, {.cranks = -1}).where.field, "story.cranks");
  // Paste in the rail of a pump that never turned.
  const auto impossible = fault({{.place = Place::rail, .grade = Grade::paste}}, {.reach = Reach::not_keyed});
  EXPECT_EQ(impossible.code, ErrorCode::outside_model);
}

}  // namespace
}  // namespace fw::debris
