// SPDX-License-Identifier: Apache-2.0
// Gauge book, comparison and sizing on one small supply.
#include <algorithm>

#include <gtest/gtest.h>

#include "supply/compare.hpp"
#include "supply/gauge_book.hpp"
#include "supply/sizing.hpp"
#include "system/rail_side.hpp"

#include "quiet_run.hpp"
#include "small_supply.hpp"

namespace fw::supply {
namespace {

using test::litre_per_hour;

/// Tank, filter, assist pump with bypass, hose, engine: ports before and behind the pump and at the inlet.
system::LineSheet small_supply() {
  system::LineSheet sheet = test::small_sheet(0.0095, true, system::InletClass::fed_low);
  system::Part filter;
  filter.id = "prefilter";
  filter.title = "prefilter";
  filter.kind = system::PartKind::separator;
  filter.port = "V2";
  filter.medium = system::Medium{.clean_drop_Pa = exactly(3e3),
                                 .at_flow_m3_per_s = exactly(150 * litre_per_hour),
                                 .quadratic_share = exactly(0.5),
                                 .terminal_drop_Pa = exactly(20e3),
                                 .sensor = system::WaterSensor::wired};
  std::vector<system::Part>& parts = sheet.legs[0].parts;
  parts.insert(parts.begin(), filter);
  parts[1].port = "P1";
  parts[2].port = "P3";
  parts[2].line->length_m.id = "hose.length";
  parts[2].line->length_m.spread = {.kind = SpreadKind::normal, .half_width = 0.4};
  return sheet;
}

const BookState& state_with(const GaugeBook& book, system::FaultKind kind) {
  return *std::ranges::find_if(book.states, [kind](const BookState& state) {
    return state.faults.size() == 1 && state.faults.front().kind == kind;
  });
}
std::size_t channel_of(const GaugeBook& book, std::string_view port) {
  return static_cast<std::size_t>(std::ranges::find(book.channels, port, &Channel::port) - book.channels.begin());
}

TEST(GaugeBook, ReadingsMoveTheWayEachFaultPushesThem) {
  test::QuietRun quiet;
  const auto book = gauge_book(small_supply(), {}, {.samples = 64, .seed = 1}, quiet.run());
  ASSERT_TRUE(book) << to_text(book.error());
  const std::size_t before = channel_of(*book, "V2");
  const std::size_t inlet = channel_of(*book, "P3");
  const auto rated = [](const BookState& state, std::size_t channel) {
    return state.points.back().readings.at(channel).value().median;
  };
  const BookState& healthy = book->states.front();
  EXPECT_TRUE(healthy.points.back().fed);
  // A plugged filter deepens the vacuum behind it; a dead pump takes the pressure away; a low set lowers it.
  EXPECT_LT(rated(state_with(*book, system::FaultKind::plugged_filter), before), rated(healthy, before) - 1e3);
  EXPECT_LT(rated(state_with(*book, system::FaultKind::dead_pump), inlet), rated(healthy, inlet) - 30e3);
  EXPECT_LT(rated(state_with(*book, system::FaultKind::wrong_set), inlet), rated(healthy, inlet) - 10e3);
  EXPECT_LT(rated(state_with(*book, system::FaultKind::kinked_hose), inlet), rated(healthy, inlet));
}

TEST(GaugeBook, AFaultIsToldFromHealthByAReadingOrListedAsAlike) {
  test::QuietRun quiet;
  const auto book = gauge_book(small_supply(), {}, {.samples = 64, .seed = 1}, quiet.run());
  ASSERT_TRUE(book);
  for (std::size_t s = 1; s < book->states.size(); ++s) {
    const bool alike = std::ranges::count(book->like[s], 0U) > 0;
    EXPECT_EQ(alike, book->from_healthy[s].strength <= 1.0) << book->states[s].title;
  }
  const auto dead = static_cast<std::size_t>(&state_with(*book, system::FaultKind::dead_pump) - book->states.data());
  EXPECT_GT(book->from_healthy[dead].strength, 3.0);
}

// Pairs: the second fault comes on top of the first.
TEST(GaugeBook, PairsAreDeeperThanEitherAlone) {
  test::QuietRun quiet;
  const system::Fault plugged{.kind = system::FaultKind::plugged_filter, .part = "prefilter"};
  const system::Fault kinked{.kind = system::FaultKind::kinked_hose, .part = "hose"};
  const auto book = gauge_book(small_supply(), {{plugged}, {kinked}, {plugged, kinked}}, {}, quiet.run());
  ASSERT_TRUE(book) << to_text(book.error());
  const std::size_t inlet = channel_of(*book, "P3");
  const auto rated = [&](std::size_t state) { return book->states[state].points.back().readings[inlet]->median; };
  EXPECT_LT(rated(3), std::min(rated(1), rated(2)));
}

// Where the surplus of a pump is not known every way is read; each equals the book with that fact entered.
TEST(GaugeBook, EveryWayOfAnUnknownPumpFactIsRead) {
  test::QuietRun quiet;
  const auto book_with = [&](system::Surplus surplus) {
    system::LineSheet sheet = small_supply();
    for (system::Part& part : sheet.legs[0].parts) {
      if (part.pump) part.pump->surplus = surplus;
    }
    return *gauge_book(sheet, {{{.kind = system::FaultKind::plugged_filter, .part = "prefilter"}}},
                       {.samples = 32, .seed = 1}, quiet.run());
  };
  const GaugeBook open = book_with(system::Surplus::unknown);
  ASSERT_EQ(open.ways, 2U);
  ASSERT_EQ(open.states.size(), 4U);
  ASSERT_EQ(open.ways_apart.size(), 1U);
  for (const BookState& state : open.states) {
    const bool tank = state.way.find("to the tank") != std::string::npos;
    const GaugeBook entered = book_with(tank ? system::Surplus::to_tank : system::Surplus::to_own_inlet);
    ASSERT_EQ(entered.ways, 1U);
    EXPECT_TRUE(entered.ways_apart.empty());
    const BookState& same = entered.states[state.faults.empty() ? 0 : 1];
    EXPECT_EQ(open.states[state.healthy].way, state.way);
    for (std::size_t k = 0; k < state.points.size(); ++k) {
      for (std::size_t c = 0; c < open.channels.size(); ++c) {
        const auto& here = state.points[k].readings[c];
        const auto& there = same.points[k].readings[c];
        ASSERT_EQ(here.has_value(), there.has_value());
        if (!here) continue;
        EXPECT_EQ(here->median, there->median) << state.way << " " << open.channels[c].title;
      }
    }
  }
  // The flow that goes to the tank passes the filter at idle too: the gauge before the pump tells.
  const Separation& best = open.ways_apart.front().best;
  EXPECT_GT(best.strength, 1.0);
  EXPECT_EQ(open.channels[best.channel].port, "V2");
}

TEST(GaugeBook, TheRaisedSpeedIsTheSheets) {
  test::QuietRun quiet;
  system::LineSheet sheet = small_supply();
  const auto raised = [&] {
    const auto book = gauge_book(sheet, {{{.kind = system::FaultKind::kinked_hose, .part = "hose"}}}, {}, quiet.run());
    return 60.0 * book.value().states.front().points[1].speed_per_s;
  };
  EXPECT_NEAR(raised(), 2000.0, 1e-9);
  sheet.engine.rated_speed_per_s = exactly(1500.0 / 60.0);
  EXPECT_NEAR(raised(), 1500.0, 1e-9);
}

// A pump that is stated takes what it can fill with: its gauge reads as the supply solved with that take, and no deeper
// than where it is not stated and takes what it asks for.
TEST(GaugeBook, AStatedHighPressurePumpReadsAsItFills) {
  test::QuietRun quiet;
  system::LineSheet sheet = test::small_sheet(0.0045, false, system::InletClass::fed_low);
  sheet.legs[0].parts.back().port = "P1";
  sheet.legs[0].parts.back().end_height_m = sheet.engine.inlet_height_m;
  sheet.high_side.cylinders = 6;
  sheet.high_side.plungers = 2;
  const auto rated_kPa = [&] {
    const GaugeBook book = gauge_book(sheet, {{}}, {}, quiet.run()).value();
    return book.states.front().points.back().readings.front().value().median;
  };
  const double asked = rated_kPa();
  sheet.high_side.displacement_m3 = exactly(0.9e-6);
  const double fills = rated_kPa();
  const auto side = system::rail_side(sheet).value();
  const auto liquid = rail::rail_liquid(system::fuel_of_sheet(sheet).value(), 293.15, 200e6).value();
  const system::RailDemand demand(side.set, liquid.liquid);
  const auto model = system::SupplyModel::build(sheet, system::branches(sheet).front(), system::default_laws()).value();
  const std::vector<double> slots = model.nominal();
  const system::SupplyModel::Case one{
      .point = {.engine = system::EnginePoint::rated}, .slots = slots, .engine_law = &demand};
  const auto states = model.solve(std::span(&one, 1), quiet.run()).value();
  EXPECT_NEAR(fills, states.front().inlet_over_ambient_Pa, 1.0);
  EXPECT_TRUE(states.front().unfilled);
  EXPECT_GT(fills, asked);
}

TEST(Compare, ABypassedSeparatorLosesAStageAndTheSensor) {
  test::QuietRun quiet;
  const system::LineSheet whole = small_supply();
  system::LineSheet cut = whole;
  cut.legs[0].parts[0].bypassed = true;
  const auto points = envelope(Climate::temperate);
  const Sampling sampling{.samples = 128, .seed = 1};
  const auto a = judge_sheet(whole, points, sampling, quiet.run());
  const auto b = judge_sheet(cut, points, sampling, quiet.run());
  ASSERT_TRUE(a && b);
  const std::vector<Difference> lines = compare(*a, *b);
  const auto line = [&](std::string_view id) { return *std::ranges::find(lines, id, &Difference::id); };
  EXPECT_EQ(line("stages").effect, Effect::worse);
  EXPECT_EQ(line("water-sensor").effect, Effect::worse);
  EXPECT_EQ(line("suction-assist").effect, Effect::better);  // the filter no longer costs vacuum
  // A sheet compared with itself: every pressure difference is zero in every draw.
  for (const Difference& same : compare(*a, *a)) {
    if (!same.band) continue;
    EXPECT_EQ(same.effect, Effect::none_found) << same.id;
  }
}

// Where the surplus of a pump is not known, a line shows both sheets under one assumption: it equals the comparison of
// the sheets with that fact entered.
TEST(Compare, AnUnknownPumpFactIsTheSameOnBothSides) {
  test::QuietRun quiet;
  const auto points = envelope(Climate::temperate);
  const auto lines_with = [&](system::Surplus surplus) {
    std::vector<SheetJudgement> judged;
    for (const double bore_m : {0.0127, 0.0080}) {
      system::LineSheet sheet = small_supply();
      for (system::Part& part : sheet.legs[0].parts) {
        if (part.pump) part.pump->surplus = surplus;
        if (part.line) part.line->bore_m = exactly(bore_m);
      }
      judged.push_back(*judge_sheet(sheet, points, {.samples = 64, .seed = 1}, quiet.run()));
    }
    return compare(judged[0], judged[1]);
  };
  const std::vector<Difference> open = lines_with(system::Surplus::unknown);
  const std::vector<Difference> to_tank = lines_with(system::Surplus::to_tank);
  const std::vector<Difference> to_inlet = lines_with(system::Surplus::to_own_inlet);
  std::size_t branched = 0;
  for (const Difference& line : open) {
    if (line.branch.empty()) continue;
    ++branched;
    const bool tank = line.branch.find("to the tank") != std::string::npos;
    const std::vector<Difference>& entered = tank ? to_tank : to_inlet;
    const auto same = std::ranges::find(entered, line.id, &Difference::id);
    ASSERT_NE(same, entered.end()) << line.id;
    EXPECT_EQ(line.first, same->first) << line.id;
    EXPECT_EQ(line.second, same->second) << line.id;
    ASSERT_EQ(line.band.has_value(), same->band.has_value()) << line.id;
    if (line.band) {
      EXPECT_EQ(line.band->low, same->band->low) << line.id;
      EXPECT_EQ(line.band->high, same->band->high) << line.id;
    }
    const auto other = std::ranges::find(tank ? to_inlet : to_tank, line.id, &Difference::id);
    EXPECT_EQ(line.effect, same->effect == other->effect ? same->effect : Effect::not_determined) << line.id;
  }
  EXPECT_GT(branched, 5U);
}

TEST(Compare, WithoutDrawsNothingIsDetermined) {
  test::QuietRun quiet;
  const auto a = judge_sheet(small_supply(), envelope(Climate::temperate), {}, quiet.run());
  ASSERT_TRUE(a);
  EXPECT_EQ(compare(*a, *a).front().effect, Effect::not_determined);
}

TEST(Sizing, TheCeilingIsWhereTheFirstCheckTurns) {
  test::QuietRun quiet;
  system::LineSheet sheet = small_supply();
  sheet.engine.inlet_low_Pa = exactly(20e3);
  sheet.legs[0].parts[0].medium->terminal_drop_Pa = exactly(4e3);
  sheet.legs[0].parts[0].medium->rated_flow_m3_per_s = exactly(200 * litre_per_hour);
  const auto points = envelope(Climate::temperate);
  const auto ceiling = power_ceiling(sheet, points, quiet.run());
  ASSERT_TRUE(ceiling) << to_text(ceiling.error());
  ASSERT_TRUE(ceiling->at_rated) << ceiling->limited->id << " " << ceiling->limited->value.value_or(0.0);
  ASSERT_FALSE(ceiling->open);
  ASSERT_TRUE(ceiling->limited);
  const auto fails_at = [&](double power_W) {
    system::LineSheet other = sheet;
    other.engine.torque_peak_power_W.value *= power_W / other.engine.rated_power_W.value;
    other.engine.rated_power_W.value = power_W;
    const auto judged = judge_sheet(other, points, {}, quiet.run());
    return std::ranges::find(judged->checks, ceiling->limited->id, &Check::id)->outcome == Outcome::fails;
  };
  EXPECT_FALSE(fails_at(ceiling->ceiling_W));
  EXPECT_TRUE(fails_at(ceiling->ceiling_W * 1.01 + 0.01 * ceiling->rated_W));
}

Candidate hose_of(const char* id, double bore_m, double stem_m) {
  Candidate candidate{.id = id, .title = id, .source = "test", .part = {}};
  candidate.part.kind = system::PartKind::hose;
  candidate.part.line = system::Line{.bore_m = exactly(bore_m), .joint_bore_m = exactly(stem_m)};
  return candidate;
}

/// The same with the part as the catalog has it, judged on its own.
bool holds_with(const system::LineSheet& sheet, SizeKind kind) {
  test::QuietRun quiet;
  const auto judged = judge_sheet(sheet, envelope(Climate::temperate), {}, quiet.run());
  return std::ranges::none_of(judged->checks, [&](const Check& check) {
    const bool decides = check.id == "inlet-low" || check.id == "delivery" || check.id.starts_with("suction-") ||
                         check.id.starts_with("filter-flow-") || (kind == SizeKind::pump && check.id == "inlet-high") ||
                         (kind == SizeKind::filter && check.id == "filter-drop-prefilter");
    return decides && check.outcome == Outcome::fails;
  });
}

/// A supply whose hose decides: thin ones fail, wide ones hold.
system::LineSheet long_hose() {
  system::LineSheet sheet = small_supply();
  sheet.engine.inlet_low_Pa = exactly(40e3);
  sheet.legs[0].parts[0].medium->terminal_drop_Pa = exactly(4e3);
  sheet.legs[0].parts[2].line->joints = 2;
  sheet.legs[0].parts[2].line->joint_bore_m = exactly(0.007);
  return sheet;
}

// Invariant: a larger hose never lowers the worst inlet pressure; the smallest that holds holds when it is judged on a
// sheet of its own, and the next smaller does not.
TEST(Sizing, EachLargerHoseGainsAndTheSmallestThatHoldsIsFound) {
  test::QuietRun quiet;
  const std::vector<Candidate> hoses{hose_of("-10", 0.0159, 0.0128), hose_of("-4", 0.00635, 0.0044),
                                     hose_of("-6", 0.0095, 0.0071), hose_of("-5", 0.0079, 0.0058),
                                     hose_of("-8", 0.0127, 0.0100)};
  const auto sizing = size_part(long_hose(), "hose", hoses, envelope(Climate::temperate), quiet.run());
  ASSERT_TRUE(sizing) << to_text(sizing.error());
  ASSERT_EQ(sizing->steps.size(), 5U);
  EXPECT_EQ(sizing->steps.front().id, "-4");
  for (std::size_t i = 1; i < sizing->steps.size(); ++i) {
    EXPECT_GE(sizing->steps[i].gain_Pa.value(), 0.0) << sizing->steps[i].id;
    EXPECT_NEAR(sizing->steps[i].inlet_low_Pa.value() - sizing->steps[i - 1].inlet_low_Pa.value(),
                sizing->steps[i].gain_Pa.value(), 1e-6);
  }
  EXPECT_LT(sizing->steps[4].gain_Pa.value(), sizing->steps[1].gain_Pa.value());
  ASSERT_TRUE(sizing->smallest);
  ASSERT_GT(*sizing->smallest, 0U);
  const auto alone = [&](const SizeStep& step) {
    system::LineSheet sheet = long_hose();
    const Candidate& hose = *std::ranges::find(hoses, step.id, &Candidate::id);
    sheet.legs[0].parts[2].line->bore_m = hose.part.line->bore_m;
    sheet.legs[0].parts[2].line->joint_bore_m = hose.part.line->joint_bore_m;
    return holds_with(sheet, SizeKind::line);
  };
  EXPECT_TRUE(alone(sizing->steps[*sizing->smallest]));
  EXPECT_FALSE(alone(sizing->steps[*sizing->smallest - 1]));
}

TEST(Sizing, ThePumpThatHoldsKeepsItsSetAndWire) {
  test::QuietRun quiet;
  system::LineSheet sheet = small_supply();
  sheet.engine.inlet_low_Pa = exactly(30e3);
  sheet.legs[0].parts[0].medium->terminal_drop_Pa = exactly(4e3);
  std::vector<Candidate> pumps;
  for (const double litres : {300.0, 60.0, 160.0}) {
    Candidate candidate{.id = std::to_string(static_cast<int>(litres)), .title = "pump", .source = "test", .part = {}};
    candidate.part.kind = system::PartKind::pump;
    candidate.part.pump = system::Pump{.free_flow_m3_per_s = exactly(litres * litre_per_hour),
                                       .flow_at_rise_m3_per_s = exactly(0.9 * litres * litre_per_hour),
                                       .at_rise_Pa = exactly(80e3),
                                       .set_Pa = exactly(400e3),
                                       .stopped = system::Stopped::blocks};
    pumps.push_back(std::move(candidate));
  }
  Candidate in_tank = pumps.front();
  in_tank.part.place.where = "in the tank";
  pumps.push_back(std::move(in_tank));  // not for a place outside
  const auto sizing = size_part(sheet, "assist", pumps, envelope(Climate::temperate), quiet.run());
  ASSERT_TRUE(sizing) << to_text(sizing.error());
  ASSERT_EQ(sizing->steps.size(), 3U);
  EXPECT_EQ(sizing->steps.front().id, "60");
  EXPECT_FALSE(sizing->steps.front().holds);
  ASSERT_TRUE(sizing->smallest);
  system::LineSheet alone = sheet;
  system::Pump& pump = *alone.legs[0].parts[1].pump;
  const Candidate& chosen = *std::ranges::find(pumps, sizing->steps[*sizing->smallest].id, &Candidate::id);
  pump.free_flow_m3_per_s = chosen.part.pump->free_flow_m3_per_s;
  pump.flow_at_rise_m3_per_s = chosen.part.pump->flow_at_rise_m3_per_s;
  pump.stopped = chosen.part.pump->stopped;
  EXPECT_TRUE(holds_with(alone, SizeKind::pump));
  EXPECT_EQ(sizing->steps[*sizing->smallest].id, "160");
}

TEST(Sizing, AFilterIsReplacedByOneThatIsNotCoarser) {
  test::QuietRun quiet;
  system::LineSheet sheet = small_supply();
  sheet.legs[0].parts[0].medium->rating_m = exactly(10e-6);
  std::vector<Candidate> filters;
  const auto add = [&](const char* id, double drop_Pa, double rating_m, system::PartKind kind) {
    Candidate candidate{.id = id, .title = id, .source = "test", .part = {}};
    candidate.part.kind = kind;
    candidate.part.medium = system::Medium{.clean_drop_Pa = exactly(drop_Pa),
                                           .at_flow_m3_per_s = exactly(150 * litre_per_hour),
                                           .quadratic_share = exactly(0.5),
                                           .rating_m = exactly(rating_m)};
    filters.push_back(std::move(candidate));
  };
  add("large", 1.5e3, 10e-6, system::PartKind::separator);
  add("small", 6e3, 10e-6, system::PartKind::separator);
  add("coarse", 1e3, 30e-6, system::PartKind::separator);
  add("fine", 5e3, 5e-6, system::PartKind::filter);
  const auto sizing = size_part(sheet, "prefilter", filters, envelope(Climate::temperate), quiet.run());
  ASSERT_TRUE(sizing) << to_text(sizing.error());
  ASSERT_EQ(sizing->steps.size(), 2U);
  EXPECT_EQ(sizing->steps[0].id, "small");
  EXPECT_EQ(sizing->steps[1].id, "large");
  EXPECT_GT(sizing->steps[0].clean_share.value(), sizing->steps[1].clean_share.value());
  // Changed by its drop the larger one ends at the same drop: it gains where both are clean.
  sheet.legs[0].parts[0].medium->terminal_drop_Pa.reset();
  const auto clean = size_part(sheet, "prefilter", filters, envelope(Climate::temperate), quiet.run());
  ASSERT_EQ(clean->steps.size(), 2U);
  EXPECT_GT(clean->steps[1].gain_Pa.value(), 0.0);
  EXPECT_FALSE(clean->steps[1].clean_share);
}

TEST(Sizing, PutsFirstWhatHoldsThenWhatGains) {
  test::QuietRun quiet;
  const std::vector<Candidate> hoses{hose_of("-10", 0.0159, 0.0128)};
  const system::LineSheet sheet = long_hose();
  EXPECT_EQ(parts_with_sizes(sheet), (std::vector<std::string>{"prefilter", "assist", "hose"}));
  std::vector<Sizing> sizings;
  for (const std::string& part : parts_with_sizes(sheet)) {
    sizings.push_back(*size_part(sheet, part, hoses, envelope(Climate::temperate), quiet.run()));
  }
  rank(sizings);
  EXPECT_EQ(sizings.front().part, "hose");
  EXPECT_TRUE(sizings.front().smallest);
  EXPECT_FALSE(sizings.back().best);
  const auto missing = size_part(sheet, "hoze", hoses, envelope(Climate::temperate), quiet.run());
  EXPECT_EQ(missing.error().front().code, ErrorCode::not_found);
  EXPECT_NE(missing.error().front().hint.find("hose"), std::string::npos) << missing.error().front().hint;
}

}  // namespace
}  // namespace fw::supply
